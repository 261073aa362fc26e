"""What a person sees first: the drawing under its caution, and a verdict that is said to be still coming."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from hand import block_words
from PySide6.QtCore import QSettings
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication, QScrollArea, QTableWidget

from app.canvas.marks import Tag
from app.documents.document import Document
from app.documents.files import SAMPLES, sample_rig
from app.look.theme import LIGHT
from app.panels.state_word import NO_VERDICT_YET
from app.shell.panel_registry import CHART, RACK, TABS
from app.shell.window import Window
from engine.base.caution import CAUTION, NOT_APPROVED
from engine.worst_case import verdict as judging

pytestmark = pytest.mark.usefixtures("qapp")

BOXES = ("Rear wheels", "Lightest front wheel")

AT_THE_FIRST_PAINT = """
import os, sys
from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtWidgets import QApplication, QGraphicsView
from app.start import run
from app.__main__ import _parser
from app.start.collector import Collector

def look():
    window = next(one for one in application.topLevelWidgets() if one.inherits("QMainWindow"))
    later = sorted({"numpy", "pyqtgraph", "engine.worst_case.verdict", "app.shell.commands"} & set(sys.modules))
    handles = len(window.views.side_drawing.handles)
    print(window.block.text("Rear wheels"), later, handles > 4, sep="|", flush=True)
    window.start_up.completed.connect(lambda: QTimer.singleShot(0, lambda: end(window)))

def end(window):
    print(window.block.word.state, application.findChild(Collector) is not None, flush=True)
    os._exit(0)

class FirstPaint(QObject):
    def eventFilter(self, watched, event):
        if event.type() == QEvent.Type.Paint and isinstance(watched.parent(), QGraphicsView):
            application.removeEventFilter(self)
            QTimer.singleShot(0, look)
        return False

application = QApplication(["tailweight"])
first = FirstPaint()
application.installEventFilter(first)
run.window(application, _parser().parse_args(["cold_spring_vineyard"]))
"""


@pytest.fixture
def unseen(qapp: QApplication, settings: QSettings) -> Iterator[Window]:
    """A window nobody has seen yet."""
    window = Window(Document(sample_rig("skerry_point_boatyard")), settings)
    yield window
    window.document.undo_stack.setClean()
    window.close()
    window.deleteLater()


def test_the_program_paints_its_drawing_before_numpy_and_the_limits_are_loaded_and_then_judges(tmp_path: Path) -> None:
    own = {
        "QT_QPA_PLATFORM": "offscreen",
        "TAILWEIGHT_STATE_DIR": str(tmp_path),
        "HOME": str(tmp_path),
        "XDG_CONFIG_HOME": str(tmp_path),
    }
    root = Path(__file__).resolve().parents[2]
    done = subprocess.run(
        [sys.executable, "-c", AT_THE_FIRST_PAINT],
        cwd=root,
        env={**os.environ, **own},
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    first, then = done.stdout.split("\n")[:2]
    assert first == f"{NO_VERDICT_YET}|[]|True"
    job = sample_rig("cold_spring_vineyard")
    assert then == f"{judging.evaluate(job, job.poses[0]).state} True"


def test_until_there_is_a_verdict_every_box_says_so_and_no_state_s_colour_is_shown(unseen: Window) -> None:
    block = unseen.block
    assert [block_words(unseen, box) for box in BOXES] == [NO_VERDICT_YET] * len(BOXES)
    assert [block_words(unseen, row) for row in ("now", "most")] == [
        f"now: {NO_VERDICT_YET}",
        f"most: {NO_VERDICT_YET}",
    ]
    assert (
        block.word.state == ""
        and NO_VERDICT_YET in block.word.accessibleName()
        and NO_VERDICT_YET in block.bars.toolTip()
    )
    assert not block.why.isEnabled()
    assert CAUTION in unseen.banner.text and NOT_APPROVED in unseen.banner.text
    assert NOT_APPROVED in unseen.windowTitle()
    image = block.grab().toImage()
    seen = {image.pixelColor(x, y).name() for x in range(0, image.width(), 2) for y in range(0, image.height(), 2)}
    assert not seen & {QColor(look.ground).name() for look in LIGHT.states.values()}


def test_the_first_drawing_says_nothing_of_weights_or_of_what_gives(unseen: Window) -> None:
    side, plan = unseen.views.side_drawing, unseen.views.plan_drawing
    words = [
        item.text
        for drawing in (side, plan)
        for item in drawing.scene.items()
        if isinstance(item, Tag) and item.isVisible()
    ]
    assert not [text for text in words if " kg" in text]
    assert not side.tag("governing").isVisible() and not side.dimension_tag("combined").isVisible()
    assert side.tag("pin").isVisible() and side.dimension_tag("reach").isVisible()


@pytest.mark.parametrize("sample", sorted(SAMPLES))
def test_nothing_drawn_moves_when_the_verdict_comes(sample: str, settings: QSettings) -> None:
    window = Window(Document(sample_rig(sample)), settings)

    def stands() -> dict[str, tuple[object, ...]]:
        parts = window.views.side_drawing._parts | {
            f"plan {name}": item for name, item in window.views.plan_drawing._parts.items()
        }
        return {
            name: (item.pos(), item.rotation(), item.isVisible(), item.path())
            for name, item in parts.items()
            if not name.startswith(LATER)
        }

    before = stands()
    window.start_up.complete()
    assert stands() == before
    window.close()
    window.deleteLater()


LATER = ("plumb", "going over", "plan going over", "plan arc", "plan drift", "held", "plan held")
"""What a verdict brings."""


def test_one_verdict_is_worked_out_at_the_start(settings: QSettings, monkeypatch: pytest.MonkeyPatch) -> None:
    asked, evaluate = [], judging.evaluate
    monkeypatch.setattr(judging, "evaluate", lambda job, pose: asked.append(pose) or evaluate(job, pose))
    window = Window(Document(sample_rig("skerry_point_boatyard"), index=1), settings)
    assert asked == []
    window.start_up.complete()
    window.start_up.complete()
    assert asked == [window.document.job.poses[1]]
    assert window.block.word.state == window.document.verdict.state and window.block.why.isEnabled()
    window.close()
    window.deleteLater()


def test_whatever_is_asked_for_sooner_is_there(unseen: Window) -> None:
    unseen.document.set_pose(unseen.document.job.poses[0], "nothing")
    unseen.document.step_holes(1)
    assert unseen.block.word.state == unseen.document.verdict.state
    assert unseen.commands.files.recovery is not None and unseen.document.unsaved


def test_a_look_chosen_before_the_verdict_is_taken_up(unseen: Window) -> None:
    unseen.appearance.set_text_size(150)
    assert unseen.block.word.state == ""
    unseen.start_up.complete()
    assert unseen.block.word.state == unseen.document.verdict.state


def test_a_panel_is_made_when_it_is_asked_for_and_once(unseen: Window) -> None:
    areas = len(unseen.panels.findChildren(QScrollArea))
    assert areas == 1, "the sections' own"
    panel = unseen.panels[CHART]
    assert panel is unseen.panels[CHART] and len(unseen.panels.findChildren(QTableWidget)) == 1
    unseen.panels.setCurrentIndex(TABS.index(RACK))
    assert unseen.panels.currentWidget().widget() is unseen.panels[RACK]


def test_a_window_closed_before_its_verdict_is_gone_for_good(settings: QSettings) -> None:
    window = Window(Document(sample_rig("skerry_point_boatyard")), settings)
    window.show()
    assert window.close()
    QApplication.processEvents()
    assert window.block.word.state == ""
    with pytest.raises(RuntimeError):
        _ = window.commands
    window.deleteLater()
