"""Unsaved work comes back: offered after a restart, never taken from a running program, never lost to a full disk."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from boxes import answering, press
from hand import Hand
from PySide6.QtCore import QEvent, QPointF, QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QMessageBox, QPushButton
from pytestqt.qtbot import QtBot

from app.documents import recovery
from app.documents.document import Document
from app.documents.files import sample_rig
from app.documents.recovery import FORCE_LAG_MS, KEPT, NOW, left_behind
from app.panels.recovered import RecoveredSheet
from app.shell.window import Window
from app.shell.windows import Windows
from engine.schema import rig_file
from engine.shop import edits

ROOT = Path(__file__).resolve().parents[2]
HERE = Path(__file__).resolve().parent
BOATYARD = "skerry_point_boatyard"

LEAVE = """
import os, sys
from pathlib import Path
from PySide6.QtCore import QCoreApplication
application = QCoreApplication([])
from app.documents.document import Document
from app.documents.files import sample_rig, stamp_of
from app.documents.recovery import Recovery
file = Path({file!r}) if {file!r} else None
document = Document(sample_rig({sample!r}), file, stamp_of(file) if file else None)
recovery = Recovery(document)
document.set_value("load.mass_kg.best", {load_kg}, "Weigh it")
print("ready", flush=True)
sys.stdin.read() if {stay} else None
os.kill(os.getpid(), 9)
"""


def leave(
    load_kg: float, file: Path | None = None, sample: str = BOATYARD, stay: bool = False
) -> subprocess.Popen[str]:
    """A program that makes one edit and then is killed, or stays until it is."""
    code = LEAVE.format(sample=sample, file=str(file or ""), load_kg=load_kg, stay=stay)
    process = subprocess.Popen(
        [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=ROOT
    )
    assert process.stdout.readline() == "ready\n"
    if not stay:
        end(process)
    return process


def end(process: subprocess.Popen[str]) -> None:
    process.kill()
    process.wait(timeout=20)
    process.stdin.close()
    process.stdout.close()


@pytest.fixture
def windows(qtbot: QtBot, settings: QSettings) -> Iterator[Windows]:
    """A freshly started program."""
    program = Windows(settings)
    yield program
    for window in list(program.all):
        window.document.undo_stack.setClean()
        window.close()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)


@pytest.fixture
def started(windows: Windows) -> Window:
    """Its first window, on a sample rig."""
    return windows.open(Document(sample_rig("tarn_hollow_stone_yard")))


def texts(sheet: RecoveredSheet) -> str:
    return "\n".join(label.text() for label in sheet.findChildren(QLabel))


# ---------------------------------------------------------------- what is kept, and when


def test_every_finished_edit_is_on_disk_when_the_edit_returns(window: Window, state_dir: Path) -> None:
    for load_kg in (150.0, 151.0, 152.0):
        window.document.set_value("load.mass_kg.best", load_kg, "Weigh it")
        (record,) = (state_dir / "recovery").glob(f"*{NOW}")
        assert f'"best":{load_kg}'.encode() in record.read_bytes()


def test_a_drag_writes_nothing_until_it_ends(window: Window, state_dir: Path) -> None:
    hand = Hand(window.views.side_view)
    start = hand.handle_spot("boom")
    hand.press(start)
    for step in range(1, 6):
        hand.move(start + QPointF(-12.0 * step, 0.0))
        assert not (state_dir / "recovery").exists()
    hand.release()
    assert len(list((state_dir / "recovery").glob(f"*{NOW}"))) == 1


def test_within_a_second_or_so_it_is_forced_to_disk_as_well(window: Window, state_dir: Path, qtbot: QtBot) -> None:
    window.document.set_value("load.mass_kg.best", 150.0, "Weigh it")
    qtbot.waitUntil(lambda: bool(list((state_dir / "recovery").glob(f"*{KEPT}"))), timeout=FORCE_LAG_MS + 4000)
    (kept,) = (state_dir / "recovery").glob(f"*{KEPT}")
    assert b'"best":150.0' in kept.read_bytes()


@pytest.mark.parametrize("how", ["save", "undo", "close"])
def test_nothing_is_left_when_nothing_is_unsaved(
    windows: Windows, started: Window, state_dir: Path, tmp_path: Path, how: str
) -> None:
    started.document.set_value("load.mass_kg.best", 150.0, "Weigh it")
    assert list((state_dir / "recovery").iterdir())
    if how == "save":
        assert started.commands.files.save_to(tmp_path / "x.rig.json")
    elif how == "undo":
        started.document.undo_stack.undo()
    else:
        with answering(lambda box: press(box, "Don't save")):
            started.close()
    assert list((state_dir / "recovery").iterdir()) == []


def test_keeping_an_edit_takes_no_time_worth_speaking_of(window: Window) -> None:
    """A bound far over what it takes (about half a millisecond), to stand on a busy machine."""
    kept = window.commands.files.recovery
    window.document.set_value("load.mass_kg.best", 150.0, "Weigh it")
    took = []
    for _ in range(20):
        kept._held = None
        started = time.perf_counter()
        kept.keep()
        took.append(time.perf_counter() - started)
    assert sorted(took)[len(took) // 2] < 0.02


# ---------------------------------------------------------------- the offer


def test_after_a_kill_the_work_is_offered_with_file_time_and_state_and_opens_unsaved(
    windows: Windows, started: Window, tmp_path: Path, state_dir: Path
) -> None:
    file = tmp_path / "mine.rig.json"
    rig_file.write(sample_rig(BOATYARD), file)
    leave(150.0, file)
    sheet = windows.offer_recovery(started)
    said = texts(sheet)
    assert str(file) in said and "Last edit: " in said and "20" in said
    assert "Pose over the transom: " in said
    press(sheet, "Open")
    assert not sheet.isVisible()
    (window,) = windows.all
    assert window.document.job.load.mass_kg.best == 150.0
    assert window.document.unsaved and window.document.path == file
    assert rig_file.read(file).load.mass_kg.best != 150.0, "the file is untouched until somebody saves"
    assert len(list((state_dir / "recovery").glob(f"*{NOW}"))) == 1, "it is kept on, under the window's own name"
    with_answer = window.commands.files.save()
    assert with_answer and rig_file.read(file).load.mass_kg.best == 150.0
    assert list((state_dir / "recovery").iterdir()) == []


def test_several_windows_come_back_each_in_its_own(windows: Windows, started: Window) -> None:
    leave(150.0)
    leave(290.0, sample="cold_spring_vineyard")
    sheet = windows.offer_recovery(started)
    assert len(sheet.boxes) == 2
    for _ in range(2):
        press(next(iter(sheet.boxes.values())), "Open")
    assert sorted(window.document.job.load.mass_kg.best for window in windows.all) == [150.0, 290.0]
    assert all(window.document.unsaved for window in windows.all)


def test_work_in_the_first_window_is_not_replaced_by_recovered_work(windows: Windows, started: Window) -> None:
    leave(150.0)
    started.document.set_value("load.mass_kg.best", 400.0, "Weigh it")
    press(windows.offer_recovery(started), "Open")
    assert [window.document.job.load.mass_kg.best for window in windows.all] == [400.0, 150.0]


def test_a_program_that_runs_keeps_its_own_record(windows: Windows, started: Window) -> None:
    running = leave(150.0, stay=True)
    try:
        assert windows.offer_recovery(started) is None
    finally:
        end(running)
    assert windows.offer_recovery(started) is not None
    windows.recovered.close()


def test_two_programs_starting_at_once_do_not_both_offer_it(started: Window, windows: Windows) -> None:
    leave(150.0)
    sheet = windows.offer_recovery(started)
    assert left_behind() == []
    sheet.close()
    assert len(left_behind()) == 1


def test_a_lock_nobody_could_finish_does_not_hide_the_work(state_dir: Path) -> None:
    """As after a power cut: the record is there, its lock is empty."""
    leave(150.0)
    (lock,) = (state_dir / "recovery").glob("*.lock")
    lock.write_bytes(b"")
    assert left_behind() == [], "it may be in the making just now"
    os.utime(lock, (0.0, 0.0))
    (left,) = left_behind()
    assert left.job is not None and left.job.load.mass_kg.best == 150.0
    left.discard()
    assert list((state_dir / "recovery").iterdir()) == []


def test_closing_the_sheet_keeps_everything_for_later(windows: Windows, started: Window) -> None:
    leave(150.0)
    sheet = windows.offer_recovery(started)
    QTest.keyClick(sheet, Qt.Key.Key_Escape)
    again = windows.offer_recovery(started)
    assert len(again.boxes) == 1
    press(again, "Keep for later")
    assert not again.isVisible()
    assert len(left_behind()) == 1


def test_discarding_takes_two_presses(windows: Windows, started: Window, state_dir: Path) -> None:
    leave(150.0)
    sheet = windows.offer_recovery(started)
    press(sheet, "Discard")
    assert list((state_dir / "recovery").glob(f"*{NOW}")) and sheet.isVisible()
    press(sheet, "Discard for good?")
    assert list((state_dir / "recovery").iterdir()) == [] and not sheet.isVisible()


def test_what_its_file_holds_already_is_not_offered(
    windows: Windows, started: Window, tmp_path: Path, state_dir: Path
) -> None:
    """Killed after the file was written and before the record was taken away."""
    file = tmp_path / "mine.rig.json"
    leave(150.0, file)
    rig_file.write(edits.set_value(sample_rig(BOATYARD), "load.mass_kg.best", 150.0), file)
    assert windows.offer_recovery(started) is None
    assert list((state_dir / "recovery").iterdir()) == []


def test_a_record_cut_short_falls_back_on_the_one_before(windows: Windows, started: Window, state_dir: Path) -> None:
    leave(150.0)
    (now,) = (state_dir / "recovery").glob(f"*{NOW}")
    kept = now.with_name(now.name.replace(NOW, KEPT))
    kept.write_bytes(now.read_bytes())
    now.write_bytes(now.read_bytes()[:700])
    (left,) = left_behind()
    assert left.job is not None and left.job.load.mass_kg.best == 150.0


@pytest.mark.parametrize("spoil", [b"", b"\x00" * 900, b'{"record_version": 99', b"[]"])
def test_a_record_that_cannot_be_read_is_said_and_kept(
    windows: Windows, started: Window, state_dir: Path, spoil: bytes
) -> None:
    leave(150.0)
    (now,) = (state_dir / "recovery").glob(f"*{NOW}")
    now.write_bytes(spoil)
    sheet = windows.offer_recovery(started)
    assert "cannot be read" in texts(sheet) and str(now.parent) in texts(sheet)
    assert "Open" not in [button.text() for button in sheet.findChildren(QPushButton)]
    sheet.close()
    assert now.read_bytes() == spoil


def test_a_file_changed_since_is_noticed_when_its_unsaved_work_comes_back(
    windows: Windows, started: Window, tmp_path: Path
) -> None:
    file = tmp_path / "mine.rig.json"
    rig_file.write(sample_rig(BOATYARD), file)
    leave(150.0, file)
    rig_file.write(edits.set_value(sample_rig(BOATYARD), "load.mass_kg.best", 99.0), file)
    press(windows.offer_recovery(started), "Open")
    (box,) = [box for box in started.findChildren(QMessageBox) if box.isVisible()]
    assert "changed by something else" in box.text()
    press(box, "Keep mine")
    assert started.document.job.load.mass_kg.best == 150.0


@pytest.mark.parametrize(("look", "text"), [("light", 100), ("dark", 200)])
def test_the_sheet_fits_the_window_and_every_button_has_a_name(
    windows: Windows, started: Window, state_dir: Path, look: str, text: int
) -> None:
    leave(150.0)
    (now,) = (state_dir / "recovery").glob(f"*{NOW}")
    for copy in ("another", "a third"):
        shutil.copy(now, now.with_name(f"{copy}{NOW}"))
    started.appearance.set_look(look)
    started.appearance.set_text_size(text)
    sheet = windows.offer_recovery(started)
    QApplication.processEvents()
    assert sheet.height() <= started.height() and sheet.width() <= started.width()
    for button in sheet.findChildren(QPushButton):
        assert button.accessibleName() or button.text()
        assert button.width() >= button.fontMetrics().horizontalAdvance(button.text())
    sheet.close()
    started.appearance.set_text_size(100)


# ---------------------------------------------------------------- a disk that says no


def test_a_full_disk_is_said_once_and_the_record_before_stays(
    window: Window, monkeypatch: pytest.MonkeyPatch, state_dir: Path
) -> None:
    window.document.set_value("load.mass_kg.best", 150.0, "Weigh it")
    said: list[str] = []
    window.commands.files.recovery.failed.connect(said.append)
    really = os.write

    def half(handle: int, data: bytes) -> int:
        really(handle, bytes(data)[:100])
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(recovery.os, "write", half)
    for load_kg in (151.0, 152.0):
        window.document.set_value("load.mass_kg.best", load_kg, "Weigh it")
    monkeypatch.undo()
    assert len(said) == 1 and "The drive is full" in said[0] and said[0] in window.notice.text()
    (now,) = (state_dir / "recovery").glob("*.recovery*")
    assert b'"best":150.0' in now.read_bytes()
    window.document.set_value("load.mass_kg.best", 153.0, "Weigh it")
    assert b'"best":153.0' in now.read_bytes()


FULL = """
import os, resource, sys
from pathlib import Path
from PySide6.QtCore import QCoreApplication
application = QCoreApplication([])
from app.documents.document import Document
from app.documents.files import sample_rig, read
from app.documents.recovery import Recovery, left_behind
from engine.schema import rig_file
from engine.base.errors import RigFileError
folder = Path(sys.argv[1])
rig_file.write(sample_rig("skerry_point_boatyard"), folder / "rig.rig.json")
before = (folder / "rig.rig.json").read_bytes()
document = Document(*read(folder / "rig.rig.json")[:1], folder / "rig.rig.json")
recovery = Recovery(document, folder / "recovery")
said = []
recovery.failed.connect(said.append)
document.set_value("load.mass_kg.best", 150.0, "Weigh it")
FILL
document.set_value("notes", "x" * 2000, "Type")
try:
    document.save(document.path)
    print("saved")
except RigFileError as error:
    print("refused:", error)
print(len(said), document.unsaved, len(document.job.notes), (folder / "rig.rig.json").read_bytes() == before)
print(sorted(path.name.partition(".")[2] for path in folder.iterdir()))
recovery.parent().undo_stack.blockSignals(True)
for slot in (recovery._slot,):
    print(b'"best":150.0' in (slot.place / (slot.name + ".now.recovery")).read_bytes())
os._exit(0)
"""


def check_full(done: subprocess.CompletedProcess[str]) -> None:
    lines = done.stdout.splitlines()
    assert len(lines) == 4, done.stdout + done.stderr
    assert lines[0].startswith("refused:") and "place that can be written" in lines[0]
    assert lines[1:] == ["1 True 2000 True", "['', 'rig.json']", "True"]


def test_a_write_that_stops_half_way_leaves_file_and_record_whole(tmp_path: Path) -> None:
    """The system's own limit on file size, so that a real write ends short."""
    size = len(rig_file.encode(sample_rig(BOATYARD))) - 1000
    code = FULL.replace("FILL", f"resource.setrlimit(resource.RLIMIT_FSIZE, ({size // 2}, resource.RLIM_INFINITY))")
    check_full(
        subprocess.run(
            [sys.executable, "-c", code, str(tmp_path)],
            cwd=ROOT,
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
    )


def test_a_full_file_system_leaves_file_and_record_whole(tmp_path: Path) -> None:
    """A small file system of its own, where this process may make one."""
    fill = """with open(folder / '.fill', 'wb', buffering=0) as file:
    try:
        while True: file.write(b'x' * 512)
    except OSError: pass"""
    code = (
        FULL.replace("FILL", fill)
        .replace("path.name.partition", "path.name.replace('.fill', '').partition")
        .replace("for path in folder.iterdir())", "for path in folder.iterdir() if path.name != '.fill')")
    )
    mount = 'mount -t tmpfs -o size=64k,nr_inodes=40 none "$1" && exec "$2" -c "$3" "$1"'
    command = ["unshare", "-m", "sh", "-c", mount, "sh", str(tmp_path), sys.executable, code]
    try:
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=60, check=False)
    except FileNotFoundError:
        pytest.skip("no unshare here")
    if done.returncode and not done.stdout:
        pytest.skip(f"no file system can be made here: {done.stderr.strip()[:80]}")
    check_full(done)


# ---------------------------------------------------------------- the whole window, killed


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="kills are by signal")
@pytest.mark.parametrize("wait_s", [0.1, 0.37, 0.61])
def test_the_whole_program_killed_while_somebody_types_loses_no_finished_edit(
    tmp_path: Path, state_dir: Path, wait_s: float
) -> None:
    file, log = tmp_path / "mine.rig.json", tmp_path / "log"
    rig_file.write(sample_rig(BOATYARD), file)
    environment = {
        **os.environ,
        "PYTHONPATH": f"{ROOT}:{HERE}",
        "QT_QPA_PLATFORM": "offscreen",
        "HOME": str(tmp_path),
        "XDG_CONFIG_HOME": str(tmp_path),
    }
    process = subprocess.Popen(
        [sys.executable, str(HERE / "window_driver.py"), str(file), str(log)],
        env=environment,
        cwd=ROOT,
        stderr=subprocess.PIPE,
        text=True,
    )
    limit = time.monotonic() + 60.0
    while not log.exists() or log.read_text(encoding="utf-8").count("edited") < 3:
        assert time.monotonic() < limit and process.poll() is None, process.stderr.read()
        time.sleep(0.01)
    time.sleep(wait_s)
    process.send_signal(signal.SIGKILL)
    process.wait(timeout=20)
    process.stderr.close()
    steps = [line.split() for line in log.read_text(encoding="utf-8").splitlines()]
    finished = [value for what, value in steps if what == "edited"][-1]
    allowed = {finished, steps[-1][1]}
    in_file = f"{rig_file.read(file).poses[0].lift_m:.2f}"
    found = left_behind()
    offered = {f"{each.job.poses[0].lift_m:.2f}" for each in found} or {in_file}
    assert offered <= allowed, (offered, steps[-3:])
    assert len(found) <= 1 and not any(each.wrong for each in found)
    for each in found:
        each.keep()
