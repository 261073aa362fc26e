"""Files that change, vanish, cannot be written or cannot be read: no work is lost, none written over in silence."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from boxes import answering, open_boxes, press, the_box
from hand import type_into
from PySide6.QtCore import QEvent, QMimeData, QPointF, QSettings, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QMenu
from pytestqt.qtbot import QtBot

from app.documents import files, recent
from app.documents.document import Document
from app.documents.files import sample_rig
from app.documents.json_locator import SourceSheet, line_of
from app.shell.window import Window
from app.shell.windows import Windows
from engine.base.errors import RigFileError
from engine.schema import rig_file
from engine.schema.model import Job
from engine.shop import edits

BOATYARD = "skerry_point_boatyard"


@pytest.fixture
def windows(qtbot: QtBot, settings: QSettings) -> Iterator[Windows]:
    """The program with its windows; all closed afterwards."""
    program = Windows(settings)
    yield program
    for window in list(program.all):
        for box in open_boxes(window):
            box.close()
        window.document.undo_stack.setClean()
        window.close()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)


@pytest.fixture
def rig(tmp_path: Path) -> Path:
    """A rig file of a person's own."""
    path = tmp_path / "jobs" / "mine.rig.json"
    path.parent.mkdir()
    rig_file.write(sample_rig(BOATYARD), path)
    return path


@pytest.fixture
def on_file(windows: Windows, rig: Path) -> Window:
    """A window on that file."""
    job, stamp = files.read(rig)
    return windows.open(Document(job, rig, stamp))


def weigh(window: Window, load_kg: float) -> None:
    window.document.set_value("load.mass_kg.best", load_kg, "Weigh it")


def with_load(load_kg: float) -> Job:
    return edits.set_value(sample_rig(BOATYARD), "load.mass_kg.best", load_kg)


def load_in(path: Path) -> float:
    return rig_file.read(path).load.mass_kg.best


@pytest.fixture
def say_path(monkeypatch: pytest.MonkeyPatch) -> Callable[[Path], None]:
    """What the person picks in the file dialog."""

    def choose(path: Path) -> None:
        for name in ("getSaveFileName", "getOpenFileName"):
            monkeypatch.setattr(QFileDialog, name, lambda *_arguments: (str(path), ""))

    return choose


# ---------------------------------------------------------------- several windows


def test_a_file_opens_in_the_same_window_only_if_nothing_of_the_persons_is_in_it(
    windows: Windows, rig: Path, tmp_path: Path
) -> None:
    window = windows.open(Document(sample_rig(BOATYARD)))
    assert window.commands.files.open(rig)
    assert (len(windows.all), window.document.path) == (1, rig)
    other = tmp_path / "other.rig.json"
    rig_file.write(with_load(150.0), other)
    assert window.commands.files.open(other)
    assert [each.document.path for each in windows.all] == [rig, other]


def test_unsaved_work_is_left_where_it_is_and_the_file_gets_a_window_of_its_own(windows: Windows, rig: Path) -> None:
    window = windows.open(Document(sample_rig(BOATYARD)))
    weigh(window, 151.0)
    assert window.commands.files.open(rig)
    assert len(windows.all) == 2
    assert window.document.unsaved and window.document.job.load.mass_kg.best == 151.0


def test_a_file_is_open_in_one_window_only(windows: Windows, on_file: Window, rig: Path) -> None:
    other = windows.open(Document(sample_rig(BOATYARD)))
    assert other.commands.files.open(rig)
    assert len(windows.all) == 2 and other.document.path is None
    weigh(other, 160.0)
    assert not other.commands.files.save_to(rig)
    assert "another window" in the_box(other).informativeText()
    assert load_in(rig) != 160.0


def test_the_menu_opens_a_new_window_with_a_document_of_its_own(windows: Windows, on_file: Window) -> None:
    next(
        action
        for action in on_file.findChildren(type(on_file.commands.unit_actions["us"]))
        if action.text() == "New &window"
    ).trigger()
    first, second = windows.all
    weigh(second, 152.0)
    assert not first.document.unsaved and first.document is not second.document


def test_closing_one_window_leaves_the_other_working(windows: Windows, on_file: Window) -> None:
    other = windows.open(Document(sample_rig(BOATYARD)))
    on_file.close()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
    weigh(other, 153.0)
    other.appearance.set_look("dark")
    assert windows.all == [other]


def test_quit_stops_at_the_window_that_refuses(windows: Windows, on_file: Window) -> None:
    weigh(on_file, 154.0)
    with answering(lambda box: press(box, "Cancel")) as said:
        on_file.commands.files.quit()
    assert windows.all == [on_file] and "not saved" in said[0]


def test_light_and_dark_are_chosen_for_all_windows(windows: Windows, on_file: Window) -> None:
    other = windows.open(Document(sample_rig(BOATYARD)))
    on_file.appearance.set_look("dark")
    assert other.views.ink.colours is on_file.views.ink.colours
    view = next(action.menu() for action in other.menuBar().actions() if action.text() == "&View")
    view.aboutToShow.emit()
    assert [action.text() for action in view.actions() if action.isChecked() and "ark" in action.text()] == ["&Dark"]


# ---------------------------------------------------------------- a rig that was just made


def draw_a_rig(window: Window) -> None:
    """Press Ctrl+N, answer the questions and press the button, as a person does."""
    window.start_up.complete()
    window.activateWindow()
    QApplication.processEvents()
    QTest.keyClick(window, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
    dialog = window.commands.first_rig
    for name, text in {"hook_height_m": "3 m", "reach_m": "1.4 m", "load_kg": "180 kg"}.items():
        type_into(dialog.fields[name], text)
    press(dialog, "Draw it not sized")


def test_a_rig_just_made_is_unsaved_from_its_first_moment(windows: Windows, rig: Path, state_dir: Path) -> None:
    window = windows.open(Document(sample_rig(BOATYARD)))
    draw_a_rig(window)
    made = window.document.job
    assert windows.all == [window] and made.load.mass_kg.best == 180.0
    assert window.document.unsaved and window.isWindowModified()
    assert len(list((state_dir / "recovery").glob("*.now.recovery"))) == 1
    with answering(lambda box: press(box, "Cancel")) as said:
        next(act for act in window.menu_heads["&File"].actions() if act.text() == "&Close window").trigger()
    assert "is not saved. Save it first?" in said[0] and windows.all == [window]
    assert window.commands.files.open(rig)
    assert window.document.job is made and window.document.unsaved, "the file has a window of its own"


def test_a_rig_just_made_in_a_window_of_its_own_is_asked_about_even_before_it_is_painted(
    windows: Windows, on_file: Window
) -> None:
    draw_a_rig(on_file)
    other = windows.all[1]
    assert other.document.unsaved and not on_file.document.unsaved
    with answering(lambda box: press(box, "Cancel")):
        other.close()
    assert windows.all == [on_file, other] and other.commands.files.recovery.keeps
    with answering(lambda box: press(box, "Don't save")):
        other.close()
    assert windows.all == [on_file]


# ---------------------------------------------------------------- recent files and drops


def test_files_opened_and_saved_are_listed_newest_first_and_missing_ones_said(
    on_file: Window, rig: Path, settings: QSettings
) -> None:
    other = rig.with_name("other.rig.json")
    assert on_file.commands.files.open(rig) and on_file.commands.files.save_to(other)
    assert recent.recent(settings) == [other, rig]
    rig.unlink()
    menu = QMenu()
    on_file.commands.files.fill_recent(menu)
    first, second = (action.text() for action in menu.actions())
    assert "other.rig.json" in first and "not there" not in first
    assert "mine.rig.json  (not there any more)" in second
    menu.actions()[1].trigger()
    assert "not there any more" in the_box(on_file).text()
    assert recent.recent(settings) == [other]


def test_an_empty_list_of_recent_files_says_so_and_a_long_one_ends(
    on_file: Window, tmp_path: Path, settings: QSettings
) -> None:
    menu = QMenu()
    on_file.commands.files.fill_recent(menu)
    assert [(action.text(), action.isEnabled()) for action in menu.actions()] == [("none yet", False)]
    for number in range(15):
        recent.remember(settings, tmp_path / f"{number}.rig.json")
        settings.sync()
    assert len(recent.recent(settings)) == recent.MOST


def drop(window: Window, *urls: QUrl) -> bool:
    """Drop files on the middle of the drawing; whether the window took them."""
    mime = QMimeData()
    mime.setUrls(list(urls))
    at = window.views.side_view.mapTo(window, window.views.side_view.rect().center())
    assert window.childAt(at) in (window.views.side_view.viewport(), window.views.side_view)
    assert not window.views.side_view.acceptDrops() and not window.views.side_view.viewport().acceptDrops()
    copy, left, no_keys = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    enter = QDragEnterEvent(at, copy, mime, left, no_keys)
    QApplication.sendEvent(window, enter)
    if enter.isAccepted():
        QApplication.sendEvent(window, QDropEvent(QPointF(at), copy, mime, left, no_keys))
    return enter.isAccepted()


def test_a_rig_file_dropped_on_the_window_opens(windows: Windows, rig: Path) -> None:
    window = windows.open(Document(sample_rig(BOATYARD)))
    assert drop(window, QUrl.fromLocalFile(str(rig)))
    assert window.document.path == rig


@pytest.mark.parametrize("what", ["folder", "web", "zero"])
def test_what_is_no_rig_file_is_told_when_dropped(windows: Windows, tmp_path: Path, what: str) -> None:
    window = windows.open(Document(sample_rig(BOATYARD)))
    before = window.document.job
    urls = {
        "folder": QUrl.fromLocalFile(str(tmp_path)),
        "web": QUrl("https://nowhere.invalid/x"),
        "zero": QUrl.fromLocalFile("/dev/zero"),
    }
    drop(window, urls[what])
    assert "not opened" in the_box(window).text()
    assert window.document.job is before


# ---------------------------------------------------------------- read-only


def test_a_read_only_file_says_so_and_save_goes_to_save_as(
    windows: Windows, rig: Path, say_path: Callable[[Path], None]
) -> None:
    before = rig.read_bytes()
    rig.chmod(0o444)
    window = windows.open(Document(sample_rig(BOATYARD)))
    window.commands.files.open(rig)
    assert "mine.rig.json, read-only" in window.windowTitle()
    weigh(window, 155.0)
    copy = rig.with_name("copy.rig.json")
    say_path(copy)
    assert window.commands.files.save()
    assert rig.read_bytes() == before and load_in(copy) == 155.0
    assert "read-only" not in window.windowTitle() and "copy.rig.json" in window.windowTitle()


def test_save_as_onto_a_read_only_file_is_refused(windows: Windows, on_file: Window, rig: Path) -> None:
    locked = rig.with_name("locked.rig.json")
    rig_file.write(with_load(1.0), locked)
    locked.chmod(0o444)
    weigh(on_file, 156.0)
    assert not on_file.commands.files.save_to(locked)
    assert "is read-only" in the_box(on_file).informativeText()
    assert load_in(locked) == 1.0 and on_file.document.unsaved


def test_a_file_made_read_only_while_open_is_seen_at_the_next_save(
    on_file: Window, rig: Path, say_path: Callable[[Path], None]
) -> None:
    weigh(on_file, 157.0)
    rig.chmod(0o444)
    say_path(rig.with_name("copy.rig.json"))
    assert on_file.commands.files.save()
    assert load_in(rig) != 157.0


# ---------------------------------------------------------------- changed or removed underneath


def test_a_change_on_disk_is_noticed_by_itself_and_loading_it_can_be_undone(
    on_file: Window, rig: Path, qtbot: QtBot
) -> None:
    mine = on_file.document.job
    rig_file.write(with_load(99.0), rig)
    qtbot.waitUntil(lambda: bool(open_boxes(on_file)), timeout=5000)
    box = the_box(on_file)
    assert "changed by something else" in box.text()
    press(box, "Load the changed file")
    assert on_file.document.job.load.mass_kg.best == 99.0 and not on_file.document.unsaved
    on_file.document.undo_stack.undo()
    assert on_file.document.job == mine and on_file.document.unsaved


def test_keeping_mine_never_writes_over_the_other_in_silence(on_file: Window, rig: Path) -> None:
    weigh(on_file, 158.0)
    rig_file.write(with_load(99.0), rig)
    on_file.commands.files.watch.look()
    press(the_box(on_file), "Keep mine")
    on_file.commands.files.watch.look()
    assert not open_boxes(on_file), "the same change is told once"
    with answering(lambda box: press(box, "Cancel")) as said:
        assert not on_file.commands.files.save()
    assert "would be written over" in said[0] and load_in(rig) == 99.0
    with answering(lambda box: press(box, "Write over it")):
        assert on_file.commands.files.save()
    assert load_in(rig) == 158.0 and not on_file.document.unsaved


def test_a_file_nobody_knows_the_content_of_is_asked_about_too(windows: Windows, rig: Path) -> None:
    window = windows.open(Document(with_load(150.0), rig))
    with answering(lambda box: press(box, "Cancel")):
        assert not window.commands.files.save()
    assert load_in(rig) != 150.0


def test_escape_keeps_mine(on_file: Window, rig: Path) -> None:
    rig_file.write(with_load(99.0), rig)
    on_file.commands.files.watch.look()
    QTest.keyClick(the_box(on_file), Qt.Key.Key_Escape)
    assert on_file.document.job.load.mass_kg.best != 99.0
    assert on_file.document.unsaved, "what is open is in no file now"


def test_a_change_is_seen_by_saving_even_when_nobody_noticed_before(
    on_file: Window, rig: Path, say_path: Callable[[Path], None]
) -> None:
    weigh(on_file, 159.0)
    rig_file.write(with_load(99.0), rig)
    copy = rig.with_name("copy.rig.json")
    say_path(copy)
    with answering(lambda box: press(box, "Save as...")):
        assert not on_file.commands.files.save()
    assert load_in(rig) == 99.0 and load_in(copy) == 159.0
    assert on_file.document.path == copy and not on_file.document.unsaved


def test_a_file_written_anew_with_the_same_rig_is_no_change(on_file: Window, rig: Path) -> None:
    rig.write_bytes(rig.read_bytes() + b"\n\n")
    on_file.commands.files.watch.look()
    assert not open_boxes(on_file)
    weigh(on_file, 160.0)
    assert on_file.commands.files.save() and load_in(rig) == 160.0


def test_a_file_spoiled_underneath_cannot_be_loaded_and_what_is_open_stays(on_file: Window, rig: Path) -> None:
    before = on_file.document.job
    rig.write_bytes(rig.read_bytes()[:500])
    on_file.commands.files.watch.look()
    press(the_box(on_file), "Load the changed file")
    assert "cut short" in the_box(on_file).informativeText()
    assert on_file.document.job is before


def test_a_change_is_not_told_into_a_drag(on_file: Window, rig: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from PySide6.QtGui import QGuiApplication

    rig_file.write(with_load(99.0), rig)
    monkeypatch.setattr(QGuiApplication, "mouseButtons", lambda: Qt.MouseButton.LeftButton)
    on_file.commands.files.watch.look()
    assert not open_boxes(on_file)
    monkeypatch.undo()
    on_file.commands.files.watch.look()
    assert open_boxes(on_file)


def test_a_file_removed_underneath_is_told_and_can_be_saved_again(on_file: Window, rig: Path, qtbot: QtBot) -> None:
    rig.unlink()
    qtbot.waitUntil(lambda: bool(open_boxes(on_file)), timeout=5000)
    assert on_file.document.unsaved, "closing would lose it"
    press(the_box(on_file), "Try again")
    assert rig_file.read(rig) == on_file.document.job and not on_file.document.unsaved


def test_a_folder_removed_underneath_makes_saving_fail_loudly_with_the_edit_in_hand(on_file: Window, rig: Path) -> None:
    weigh(on_file, 161.0)
    rig.unlink()
    rig.parent.rmdir()
    assert not on_file.commands.files.save()
    assert "NOT saved" in the_box(on_file).text()
    assert on_file.document.unsaved and on_file.document.job.load.mass_kg.best == 161.0


# ---------------------------------------------------------------- the disk says no

NO_SPACE = OSError(28, "No space left on device")


@pytest.mark.parametrize("call", ["fsync", "replace", "fdopen"])
def test_a_save_the_disk_refuses_is_loud_and_loses_nothing(
    on_file: Window, rig: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    before = rig.read_bytes()
    weigh(on_file, 162.0)

    def refuse(*_arguments: object, **_named: object) -> None:
        raise NO_SPACE

    monkeypatch.setattr(os, call, refuse)
    assert not on_file.commands.files.save()
    monkeypatch.undo()
    assert "The drive is full" in the_box(on_file).informativeText()
    assert rig.read_bytes() == before
    assert [entry.name for entry in rig.parent.iterdir()] == [rig.name]
    assert on_file.document.unsaved and on_file.document.job.load.mass_kg.best == 162.0
    the_box(on_file).close()
    assert on_file.commands.files.save() and load_in(rig) == 162.0


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is read-only to root")
def test_a_read_only_folder_makes_its_files_read_only(windows: Windows, rig: Path) -> None:
    rig.parent.chmod(0o555)
    try:
        assert files.is_read_only(rig)
        with pytest.raises(RigFileError):
            rig_file.write(sample_rig(BOATYARD), rig)
    finally:
        rig.parent.chmod(0o755)


ELSEWHERE = """
import sys
from pathlib import Path
from app.documents import files
from app.documents.files import sample_rig
from engine.schema import rig_file
from engine.base.errors import RigFileError
here, stick = Path(sys.argv[1]), Path(sys.argv[1]) / "stick"
import subprocess
link = here / "link.rig.json"
(stick / "rig.rig.json").touch()
link.symlink_to(stick / "rig.rig.json")
rig_file.write(sample_rig("skerry_point_boatyard"), link)
same = rig_file.read(stick / "rig.rig.json") == sample_rig("skerry_point_boatyard")
print(link.is_symlink(), same, files.is_read_only(link))
subprocess.run(["mount", "-o", "remount,ro", str(stick)], check=True)
print(files.is_read_only(link), files.is_read_only(stick / "rig.rig.json"))
try:
    rig_file.write(sample_rig("skerry_point_boatyard"), link)
except RigFileError as error:
    print(error.got)
"""


def test_another_device_is_written_through_a_link_and_a_read_only_one_is_seen(tmp_path: Path) -> None:
    """On a small file system of its own, where this process may make one."""
    (tmp_path / "stick").mkdir()
    mount = 'mount -t tmpfs -o size=1m none "$1/stick" && exec "$2" -c "$3" "$1"'
    command = ["unshare", "-m", "sh", "-c", mount, "sh", str(tmp_path), sys.executable, ELSEWHERE]
    root = Path(__file__).resolve().parents[2]
    try:
        done = subprocess.run(command, cwd=root, capture_output=True, text=True, timeout=60, check=False)
    except FileNotFoundError:
        pytest.skip("no unshare here")
    if done.returncode and not done.stdout:
        pytest.skip(f"no file system can be made here: {done.stderr.strip()[:80]}")
    assert done.stdout.splitlines() == ["True True False", "True True", "Read-only file system"], done.stderr


def test_what_a_save_that_was_stopped_left_beside_the_file_is_taken_away_in_time(on_file: Window, rig: Path) -> None:
    old, new, other = (
        rig.with_name(f".{name}.new")
        for name in ("mine.rig.json.abcdefgh", "mine.rig.json.ijklmnop", "theirs.rig.json.abcdefgh")
    )
    for left in (old, new, other):
        left.write_bytes(b"{")
    for left in (old, other):
        os.utime(left, (0.0, 0.0))
    weigh(on_file, 164.0)
    assert on_file.commands.files.save()
    assert [left.exists() for left in (old, new, other)] == [False, True, True]


def test_save_as_asks_before_it_writes_over_a_name_it_has_completed_itself(
    on_file: Window, rig: Path, say_path: Callable[[Path], None]
) -> None:
    other = rig.with_name("other.rig.json")
    rig_file.write(with_load(7.0), other)
    say_path(rig.with_name("other"))
    weigh(on_file, 163.0)
    with answering(lambda box: press(box, "Cancel")):
        assert not on_file.commands.files.ask_save()
    assert load_in(other) == 7.0


# ---------------------------------------------------------------- a damaged file


def test_a_damaged_file_shows_where(on_file: Window, rig: Path) -> None:
    bad = rig.with_name("bad.rig.json")
    bad.write_bytes(rig.read_bytes().replace(b'"length_m": 0.95', b'"length_m": -3'))
    before = on_file.document.job
    assert not on_file.commands.files.open(bad)
    said = "bad.rig.json: Sleeves, length: -3\u202f000 mm cannot be: more than 0 mm."
    assert the_box(on_file).informativeText() == said
    the_box(on_file).close()
    assert on_file.document.job is before
    on_file.document.set_units("us")
    assert not on_file.commands.files.open(bad)
    assert the_box(on_file).informativeText().startswith("bad.rig.json: Sleeves, length: -9 ft 10.11")
    press(the_box(on_file), "Show where")
    sheet = next(sheet for sheet in on_file.findChildren(SourceSheet) if sheet.isVisible())
    assert sheet.text.textCursor().selectedText().strip() == '"length_m": -3,'
    sheet.close()


def test_the_line_of_every_place_is_found(sample_path: Path) -> None:
    text = sample_path.read_text(encoding="utf-8")
    lines = text.splitlines()
    job = rig_file.read(sample_path)
    for place, key in (
        ("truck.upright.lift_max_m", "lift_max_m"),
        ("poses[1].lift_m", "lift_m"),
        ("floors[0].name", "name"),
        ("load.mass_kg.best", "best"),
    ):
        assert lines[line_of(text, f"f.rig.json: {place}") - 1].strip().startswith(f'"{key}":'), place
    assert repr(job.poses[1].lift_m) in lines[line_of(text, "f: poses[1].lift_m") - 1]
    assert line_of(text, "f.rig.json, line 7, column 3") == 7
    assert line_of(text, "f.rig.json") is None or line_of(text, "f.rig.json") == 1
    assert line_of(text, "f: no.such.place") is None


def test_a_file_of_nothing_but_brackets_is_looked_through_at_once() -> None:
    began = time.perf_counter()
    assert line_of("[" * 200_000, "rig file: rig.arms") is None
    assert time.perf_counter() - began < 2.0


def test_a_file_of_version_1_opens_says_so_and_is_left_as_it_is(window: Window, tmp_path: Path) -> None:
    old = Path(__file__).parents[1] / "data" / "version1" / "skerry_point_boatyard.rig.json"
    path = tmp_path / "old.rig.json"
    path.write_bytes(old.read_bytes())
    assert window.commands.files.open(path)
    box = the_box(window)
    assert box.text() == "This file is of an older version." and "cannot read it" in box.informativeText()
    box.close()
    assert path.read_bytes() == old.read_bytes() and not window.document.unsaved
    window.document.set_value("truck.serial", "7", "serial")
    window.commands.files.save()
    assert b'"format_version": 2' in path.read_bytes()


def test_a_file_whose_typed_sizes_no_longer_fit_opens_and_says_so(window: Window, tmp_path: Path) -> None:
    raw = json.loads(rig_file.encode(sample_rig(BOATYARD)))
    raw["nominals"] = {"rig.boom.pin.diameter_m": "22 mm"}
    path = tmp_path / "by hand.rig.json"
    path.write_text(json.dumps(raw), encoding="utf-8")
    assert window.commands.files.open(path)
    box = the_box(window)
    assert box.text() == "Sizes as typed no longer fit this file." and "“22 mm”" in box.informativeText()
    box.close()
    assert window.document.job.rig.boom.pin.diameter_m == 0.02 and not window.document.unsaved
