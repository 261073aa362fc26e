"""A share that vanishes or a permission that is lost ends in one calm question; the window is never held by it."""

from __future__ import annotations

import ctypes
import errno
import io
import os
import re
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from boxes import answering, answering_each, open_boxes, press, the_box
from PySide6.QtCore import QEvent, QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QFileDialog, QMenu, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from app.documents import files, patience, recent
from app.documents.document import Document
from app.documents.files import sample_rig
from app.documents.recovery import left_behind
from app.shell.window import Window
from app.shell.windows import Windows
from engine.schema import rig_file

BOATYARD = "skerry_point_boatyard"
NUMBERS = (errno.ESTALE, errno.ENOTCONN, errno.EIO, errno.EACCES, errno.ETIMEDOUT)
ANSWERS = ["Save elsewhere...", "Try again", "Keep working"]
CALLS = [
    *((os, name) for name in ("stat", "lstat", "open", "replace", "unlink", "scandir", "mkdir", "readlink", "listdir")),
    (io, "open"),
]


class Drive:
    """A folder whose drive can go: every call of the system on anything in it then fails."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._patch = pytest.MonkeyPatch()
        self._back = threading.Event()

    def go(self, number: int, only: str = "") -> None:
        """From now on every call, or the one named, ends with this error of the system."""
        self.come_back()
        for module, name in CALLS:
            if not only or name == only:
                self._patch.setattr(module, name, self._refusing(getattr(module, name), number))

    def hang(self) -> None:
        """From now on no call comes back until the drive does; then each does what it was asked for."""
        self._back.clear()
        for module, name in CALLS:
            self._patch.setattr(module, name, self._waiting(getattr(module, name)))

    def hang_at(self, call: str) -> None:
        """From now on one of the system's calls does not come back until the drive does."""
        self._back.clear()
        self._patch.setattr(os, call, self._waiting(getattr(os, call)))

    def come_back(self) -> None:
        self._patch.undo()
        self._back.set()

    def has_it(self, place: object) -> bool:
        return not isinstance(place, int) and os.fsdecode(place).startswith(str(self.folder))  # type: ignore[arg-type]

    def _waiting(self, real: Callable[..., object]) -> Callable[..., object]:
        def call(place: object = ".", *arguments: object, **named: object) -> object:
            if self.has_it(place):
                assert threading.current_thread() is not threading.main_thread(), "the window would hang"
                self._back.wait(60.0)
            return real(place, *arguments, **named)

        return call

    def _refusing(self, real: Callable[..., object], number: int) -> Callable[..., object]:
        def call(place: object = ".", *arguments: object, **named: object) -> object:
            if self.has_it(place):
                raise OSError(number, os.strerror(number), str(place))
            return real(place, *arguments, **named)

        return call


@pytest.fixture
def drive(tmp_path: Path) -> Iterator[Drive]:
    """The drive that the person's rig files are on."""
    (tmp_path / "share").mkdir()
    drive = Drive(tmp_path / "share")
    yield drive
    drive.come_back()


@pytest.fixture
def windows(qtbot: QtBot, settings: QSettings, drive: Drive) -> Iterator[Windows]:
    """The program with its windows; all closed afterwards."""
    program = Windows(settings)
    yield program
    drive.come_back()
    for window in list(program.all):
        for box in open_boxes(window):
            box.close()
        window.document.undo_stack.setClean()
        window.close()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)


@pytest.fixture
def rig(drive: Drive) -> Path:
    """A rig file of a person's own."""
    path = drive.folder / "mine.rig.json"
    rig_file.write(sample_rig(BOATYARD), path)
    return path


@pytest.fixture
def on_file(windows: Windows, rig: Path) -> Window:
    """A window on that file."""
    job, stamp = files.read(rig)
    window = windows.open(Document(job, rig, stamp))
    window.start_up.complete()
    return window


@pytest.fixture
def say_path(monkeypatch: pytest.MonkeyPatch) -> Callable[[Path | None], None]:
    """What the person picks in the next file dialogs; None for cancelling them."""

    def choose(path: Path | None) -> None:
        for name in ("getSaveFileName", "getOpenFileName"):
            monkeypatch.setattr(QFileDialog, name, lambda *_arguments: (str(path or ""), ""))

    return choose


def weigh(window: Window, load_kg: float) -> None:
    window.document.set_value("load.mass_kg.best", load_kg, "Weigh it")


def load_in(path: Path) -> float:
    return rig_file.read(path).load.mass_kg.best


def answers_of(box: QWidget) -> list[str]:
    return [button.text().replace("&", "") for button in box.findChildren(QAbstractButton)]


def calm(box: QMessageBox, number: int) -> None:
    """The question is in plain words."""
    said = re.sub(r"/\S+", "", f"{box.text()} {box.informativeText()}")
    for raw in ("Errno", "[", "Error", "Traceback", os.strerror(number), str(number)):
        assert raw not in said, said


def look_again(window: Window) -> None:
    """Come to the front and look at the file, again and again, as a watch that ticks would."""
    for _ in range(3):
        QApplication.sendEvent(window, QEvent(QEvent.Type.ActivationChange))
        window.commands.files.watch.look()


# ---------------------------------------------------------------- one calm question


def save(window: Window) -> None:
    assert not window.commands.files.save()


def notice(window: Window) -> None:
    window.commands.files.watch.look()


def read_again(window: Window) -> None:
    window.commands.files.reload()


@pytest.mark.parametrize(("act", "numbers"), [(save, NUMBERS), (notice, NUMBERS[:2]), (read_again, NUMBERS[3:])])
def test_a_drive_that_goes_is_one_question_and_the_window_stays_usable(
    on_file: Window, rig: Path, drive: Drive, act: Callable[[Window], None], numbers: tuple[int, ...]
) -> None:
    window = on_file
    for load_kg, number in enumerate(numbers, 150):
        weigh(window, load_kg)
        drive.go(number)
        act(window)
        box = the_box(window)
        assert sorted(answers_of(box)) == sorted(ANSWERS)
        calm(box, number)
        assert "Nothing is lost" in box.informativeText() and "a copy is kept for recovery" in box.informativeText()
        look_again(window)
        assert the_box(window) is box, "the watch asks nothing over an open question"
        press(box, "Keep working")
        look_again(window)
        weigh(window, load_kg + 0.5)
        look_again(window)
        assert not open_boxes(window), "who keeps working is not asked again"
        assert window.document.unsaved and "mine.rig.json, not saved" in window.windowTitle()
        save(window)
        press(the_box(window), "Keep working")
        drive.come_back()
        assert window.commands.files.save() and load_in(rig) == load_kg + 0.5
        assert "not saved" not in window.windowTitle()


@pytest.mark.parametrize("call", ["open", "replace", "stat", "lstat"])
def test_whichever_call_of_a_save_fails_nothing_is_lost(on_file: Window, rig: Path, drive: Drive, call: str) -> None:
    for load_kg, number in enumerate(NUMBERS, 150):
        before = rig.read_bytes()
        weigh(on_file, load_kg)
        drive.go(number, only=call)
        saved = on_file.commands.files.save()
        drive.come_back()
        if not saved:
            calm(the_box(on_file), number)
            assert on_file.document.unsaved and rig.read_bytes() == before
            press(the_box(on_file), "Try again")
        assert not open_boxes(on_file) and load_in(rig) == load_kg and not on_file.document.unsaved


def test_a_file_that_was_saved_and_then_vanishes_is_unsaved_at_the_next_save(on_file: Window, drive: Drive) -> None:
    assert not on_file.document.unsaved
    drive.go(errno.ENOTCONN)
    save(on_file)
    assert on_file.document.unsaved, "no file holds it"
    look_again(on_file)
    assert len(open_boxes(on_file)) == 1


def test_save_elsewhere_and_try_again_do_what_they_say(
    on_file: Window, rig: Path, drive: Drive, tmp_path: Path, say_path: Callable[[Path | None], None]
) -> None:
    elsewhere = tmp_path / "stick.rig.json"
    weigh(on_file, 152.0)
    drive.go(errno.ESTALE)
    save(on_file)
    press(the_box(on_file), "Try again")
    press(the_box(on_file), "Try again")
    say_path(elsewhere)
    press(the_box(on_file), "Save elsewhere...")
    assert not open_boxes(on_file) and load_in(elsewhere) == 152.0
    assert on_file.document.path == elsewhere and not on_file.document.unsaved
    drive.come_back()
    assert load_in(rig) != 152.0


def test_a_question_is_answered_by_escape_as_keep_working(on_file: Window, drive: Drive) -> None:
    weigh(on_file, 153.0)
    drive.go(errno.EIO)
    notice(on_file)
    QTest.keyClick(the_box(on_file), Qt.Key.Key_Escape)
    assert not open_boxes(on_file) and on_file.document.unsaved
    assert on_file.document.job.load.mass_kg.best == 153.0


def test_no_copy_for_recovery_is_promised_where_none_is_kept(on_file: Window, drive: Drive, state_dir: Path) -> None:
    weigh(on_file, 154.0)
    for record in (state_dir / "recovery").iterdir():
        record.unlink()
    drive.go(errno.EIO)
    save(on_file)
    assert "only there: no copy for recovery could be kept" in the_box(on_file).informativeText()


# ---------------------------------------------------------------- opening, and what is written beside the rig


def test_a_file_that_cannot_be_opened_is_one_question_and_what_is_open_stays(on_file: Window, drive: Drive) -> None:
    other = drive.folder / "other.rig.json"
    rig_file.write(sample_rig(BOATYARD), other)
    before = on_file.document.job
    menu = QMenu()
    for number in NUMBERS:
        drive.go(number)
        assert not on_file.commands.files.open(other)
        calm(the_box(on_file), number)
        assert sorted(answers_of(the_box(on_file))) == ["Keep working", "Open another...", "Try again"]
        press(the_box(on_file), "Keep working")
        on_file.commands.files.watch.asked_about()
        recent.remember(on_file._settings, other)
        on_file.commands.files.fill_recent(menu)
        assert "other.rig.json  (cannot be reached now)" in menu.actions()[0].text()
        menu.actions()[0].trigger()
        press(the_box(on_file), "Keep working")
        assert recent.recent(on_file._settings)[0] == other, "the share may come back"
    assert on_file.document.job is before


def test_what_is_written_beside_the_rig_asks_where_else(
    on_file: Window, drive: Drive, tmp_path: Path, say_path: Callable[[Path | None], None]
) -> None:
    makers = {
        "a.pdf": lambda path: on_file.commands.papers.write("log", path),
        "a.png": on_file.commands.pictures.write,
    }
    for number in (errno.ESTALE, errno.EACCES):
        for name, make in makers.items():
            drive.go(number)
            make(drive.folder / name)
            box = the_box(on_file)
            calm(box, number)
            assert "NOT written" in box.text() and sorted(answers_of(box)) == sorted(ANSWERS)
            say_path(tmp_path / f"{number} {name}")
            press(the_box(on_file), "Save elsewhere...")
            assert not open_boxes(on_file) and (tmp_path / f"{number} {name}").stat().st_size > 100
    drive.come_back()
    assert list(drive.folder.glob("a.*")) == []


def test_a_recovery_folder_that_cannot_be_looked_at_holds_up_no_start(state_dir: Path, on_file: Window) -> None:
    weigh(on_file, 155.0)
    for number in NUMBERS:
        records = Drive(state_dir)
        records.go(number)
        assert left_behind() == [], "its window is open, or nothing can be seen"
        assert not on_file.commands.files.recovery.keeps
        weigh(on_file, 155.0 + number)
        records.come_back()
    assert "Unsaved changes are not being kept for recovery. " in on_file.notice.text()
    assert not open_boxes(on_file), "told over the drawing, never in a box"
    weigh(on_file, 156.0)
    assert on_file.commands.files.recovery.keeps


# ---------------------------------------------------------------- real folders and permissions


def test_a_folder_removed_under_the_file_can_be_left_by_saving_elsewhere(
    on_file: Window, rig: Path, tmp_path: Path, say_path: Callable[[Path | None], None]
) -> None:
    weigh(on_file, 157.0)
    rig.unlink()
    rig.parent.rmdir()
    save(on_file)
    calm(the_box(on_file), errno.ENOENT)
    assert "This place is not there" in the_box(on_file).informativeText()
    say_path(tmp_path / "saved.rig.json")
    press(the_box(on_file), "Save elsewhere...")
    assert load_in(tmp_path / "saved.rig.json") == 157.0 and not open_boxes(on_file)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="permissions are of another kind here")
def test_a_folder_whose_permission_is_taken_away_is_told_so(windows: Windows, say_path: Callable[..., None]) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "jobs"
        folder.mkdir()
        path, own, system = folder / "mine.rig.json", os.geteuid(), ctypes.CDLL(None)
        rig_file.write(sample_rig(BOATYARD), path)
        job, stamp = files.read(path)
        window = windows.open(Document(job, path, stamp))
        weigh(window, 158.0)
        window.start_up.complete()
        folder.chmod(0)
        try:
            if own == 0:
                system.setfsuid(65534)  # nothing is forbidden to root; this thread alone gives that up
            saved = window.commands.files.save()
        finally:
            system.setfsuid(own)
            folder.chmod(0o700)
        assert not saved
        calm(the_box(window), errno.EACCES)
        assert "do not have permission to write to" in the_box(window).informativeText()
        press(the_box(window), "Try again")
        assert load_in(path) == 158.0 and not window.document.unsaved


# ---------------------------------------------------------------- leaving


@pytest.mark.parametrize("answer", ["Save elsewhere...", "Don't save", "Cancel"])
def test_a_window_whose_file_has_vanished_is_never_held(
    windows: Windows,
    on_file: Window,
    drive: Drive,
    tmp_path: Path,
    say_path: Callable[[Path | None], None],
    answer: str,
) -> None:
    elsewhere = tmp_path / "stick.rig.json"
    weigh(on_file, 159.0)
    drive.go(errno.ETIMEDOUT)
    notice(on_file)
    say_path(elsewhere)
    seen: list[list[str]] = []
    with answering(lambda box: (seen.append(answers_of(box)), calm(box, errno.ETIMEDOUT), press(box, answer))):
        on_file.close()
    assert sorted(seen[0]) == ["Cancel", "Don't save", "Save elsewhere..."]
    assert (on_file in windows.all) == (answer == "Cancel")
    assert elsewhere.exists() == (answer == "Save elsewhere...")
    if answer == "Cancel":
        assert on_file.document.unsaved and not open_boxes(on_file)
    elif answer == "Save elsewhere...":
        assert load_in(elsewhere) == 159.0


def test_a_save_on_closing_that_fails_offers_to_save_elsewhere(
    windows: Windows, on_file: Window, rig: Path, drive: Drive, tmp_path: Path, say_path: Callable[[Path | None], None]
) -> None:
    weigh(on_file, 160.0)
    drive.go(errno.EIO, only="replace")
    say_path(tmp_path / "stick.rig.json")
    with answering_each("Save", "Save elsewhere...") as said:
        on_file.close()
    assert "Save it first?" in said[0] and "reports a fault" in said[1]
    assert on_file not in windows.all and load_in(tmp_path / "stick.rig.json") == 160.0
    drive.come_back()
    assert load_in(rig) != 160.0


def test_quitting_asks_every_window_before_the_first_one_closes(windows: Windows, on_file: Window, rig: Path) -> None:
    other = windows.open(Document(sample_rig(BOATYARD)))
    weigh(on_file, 161.0)
    weigh(other, 162.0)
    with answering_each("Don't save", "Cancel"):
        windows.quit()
    assert windows.all == [on_file, other], "Cancel keeps everything"
    assert on_file.document.unsaved and other.document.unsaved
    with answering_each("Save", "Don't save"):
        windows.quit()
    assert windows.all == [] and load_in(rig) == 161.0


# ---------------------------------------------------------------- a share that neither answers nor refuses


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """As a person waits, with a shorter breath."""
    monkeypatch.setattr(patience, "LOOK_S", 0.05)
    monkeypatch.setattr(patience, "WRITE_S", 0.1)


def all_back() -> None:
    """Every call that was out has come back and done what it still does."""
    for thread in [thread for thread in threading.enumerate() if thread.name == "a call on a file"]:
        thread.join(10.0)
        assert not thread.is_alive()


@pytest.mark.usefixtures("impatient")
def test_a_share_that_hangs_never_holds_the_window_and_a_save_given_up_writes_nothing_later(
    on_file: Window, rig: Path, drive: Drive
) -> None:
    before = rig.read_bytes()
    weigh(on_file, 155.0)
    drive.hang()
    save(on_file)
    assert "The drive or network share does not answer" in the_box(on_file).informativeText()
    assert sorted(answers_of(the_box(on_file))) == sorted(ANSWERS)
    began_s = time.monotonic()
    look_again(on_file)
    save(on_file)
    assert time.monotonic() - began_s < 2.0, "each look waits anew"
    assert len(open_boxes(on_file)) == 1 and on_file.document.unsaved
    drive.come_back()
    all_back()
    assert rig.read_bytes() == before and [path.name for path in drive.folder.iterdir()] == [rig.name]
    press(the_box(on_file), "Try again")
    assert not open_boxes(on_file) and load_in(rig) == 155.0 and not on_file.document.unsaved


@pytest.mark.usefixtures("impatient")
def test_a_save_that_hangs_in_its_last_step_is_either_whole_or_not_there(
    on_file: Window, rig: Path, drive: Drive, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Given up while the rename is out: the drive may still do it, and what it holds then is this window's own."""
    weigh(on_file, 156.0)
    drive.hang_at("replace")
    save(on_file)
    press(the_box(on_file), "Keep working")
    drive.come_back()
    all_back()
    assert load_in(rig) == 156.0
    on_file.commands.files.watch.begin()
    look_again(on_file)
    assert not open_boxes(on_file), "it holds what was to be saved"
    assert on_file.commands.files.save() and not on_file.document.unsaved


@pytest.mark.usefixtures("impatient")
def test_files_opened_last_on_a_share_that_hangs_are_listed_at_once(
    on_file: Window, rig: Path, drive: Drive, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    names = [drive.folder / f"job {number}" / "mine.rig.json" for number in range(8)]
    for path in [rig, *names]:
        recent.remember(on_file._settings, path)
    drive.hang()
    began_s, menu = time.monotonic(), QMenu()
    on_file.commands.files.fill_recent(menu)
    assert time.monotonic() - began_s < 2.0
    assert len(menu.actions()) == 9
    assert all("cannot be reached now" in action.text() for action in menu.actions())
    drive.come_back()
    all_back()
    on_file.commands.files.fill_recent(menu)
    assert ["not there" in action.text() for action in menu.actions()] == [True] * 8 + [False]


@pytest.mark.usefixtures("impatient")
def test_a_disk_that_only_wakes_up_is_waited_for(drive: Drive, rig: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A look is given up in a menu; the file opened right after it waits for the disk."""
    monkeypatch.setattr(patience, "LOOK_S", 20.0)
    drive.hang()
    assert files.faults_at([rig], 0.01)[0] is not None
    threading.Timer(0.3, drive.come_back).start()
    assert files.read(rig)[0].load.mass_kg.best == sample_rig(BOATYARD).load.mass_kg.best
