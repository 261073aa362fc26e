"""Windows for tests: settings of their own, real events, nothing left on the screen."""

from __future__ import annotations

import gc
import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from collections.abc import Callable, Iterator
from pathlib import Path

import gated
import pytest
from PySide6.QtCore import QEvent, QSettings
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.documents.document import Document
from app.shell.window import Window
from app.start.collector import Collector
from app.workers import warm_up
from app.workers.working_process import WorkingProcess
from tests import samples


@pytest.fixture(autouse=True, scope="module")
def nothing_of_these_windows_is_left_to_other_tests() -> Iterator[None]:
    """What the tests of a module leave on purpose (imports, answers kept) is not looked through at every collection."""
    yield
    gc.collect()
    gc.freeze()
    gc.enable()


@pytest.fixture(autouse=True)
def garbage_goes_on_this_thread() -> Iterator[None]:
    """Collect cyclic garbage between the tests, as the program does between events.

    Python would also collect on the thread of a process pool. There it would delete the scenes that earlier tests left,
    while Qt delivers their posted events on this thread, and the whole run would end in a segmentation fault.
    """
    gc.disable()
    yield
    Collector.look()


@pytest.fixture(autouse=True)
def state_dir(tmp_path: Path) -> Iterator[Path]:
    """Recovery records of a test lie in a folder of its own."""
    place = tmp_path / "state"
    with pytest.MonkeyPatch.context() as own:
        own.setenv("TAILWEIGHT_STATE_DIR", str(place))
        yield place


@pytest.fixture(autouse=True)
def no_warm_up() -> Iterator[None]:
    """Windows of tests are open for a moment only: compiling their formulas would be most of the work."""
    with pytest.MonkeyPatch.context() as own:
        own.setattr(warm_up, "QUIET_MS", 3_600_000)
        yield


@pytest.fixture
def settings(tmp_path: Path) -> QSettings:
    """Settings that no other test and no person shares."""
    own = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
    own.setValue("look", "light")
    return own


@pytest.fixture
def make_window(qtbot: QtBot, settings: QSettings) -> Iterator[Callable[..., Window]]:
    """Opens windows on sample rigs and closes them afterwards."""
    made: list[Window] = []

    def make(name: str = "skerry_point_boatyard", document: Document | None = None) -> Window:
        window = Window(document or Document(samples.sample(name)), settings)
        made.append(window)
        window.show()
        qtbot.waitExposed(window)
        QApplication.processEvents()
        window.start_up.complete()
        window.views.fit()
        return window

    yield make
    for window in made:
        window.document.undo_stack.setClean()
        window.close()
        window.document.deleteLater()  # as the program does: its children refer to it, so nobody else frees it
        window.deleteLater()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)


@pytest.fixture
def window(make_window: Callable[..., Window]) -> Window:
    """A window on the two-arm sample rig."""
    return make_window()


@pytest.fixture
def gates(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> gated.Gates:
    """Gates of the questions in `gated`, all closed."""
    return gated.Gates(tmp_path, monkeypatch)


@pytest.fixture
def process(qtbot: QtBot) -> Iterator[WorkingProcess]:
    """A working process of the test's own."""
    process = WorkingProcess()
    yield process
    process.close()
