"""A kind of joint the window has never heard of: each place that asks a joint either serves it rightly or raises.

As tests/engine/test_new_joint.py has it for the engine, with the same sliding arm.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
import sliding
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QGraphicsScene
from pytestqt.qtbot import QtBot
from sliding import ARM, BOATYARD, JOB, POSE, asking, called

from app.canvas.gestures import undo_text
from app.canvas.plan import PlanDrawing
from app.canvas.side import SideDrawing
from app.canvas.style import Ink
from app.documents.document import Document
from app.look.theme import LIGHT
from app.panels.pose import PosePanel
from engine.base.geometry import LEVEL
from engine.planning.inverse_kinematics import Solution
from engine.rig.kinematics import drawn


@pytest.fixture(autouse=True)
def third_kind(monkeypatch: pytest.MonkeyPatch) -> None:
    """A rig file could hold the word now, were it allowed there."""
    sliding.allow(monkeypatch)


def ink() -> Ink:
    return Ink(LIGHT, QFont())


# ---------------------------------------------------------------- places that serve it

KNOWING: set[str] = set()


def serves(*names: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Marks a test as a visit to those functions."""
    KNOWING.update(names)
    return lambda test: test


@serves("app.canvas.side.SideDrawing._build_handles", "app.canvas.gestures.undo_text")
def test_its_handle_slides_and_says_so(qapp: object) -> None:
    drawing = SideDrawing(QGraphicsScene(), ink())
    drawing.build(JOB)
    assert drawing.handles["arm 1"].toolTip() == "Slide arm 2"
    assert undo_text(JOB, "arm 1") == "Slide arm 2"


@serves("app.canvas.plan.PlanDrawing._build_handles")
def test_its_handle_from_above_slides_as_well(qapp: object) -> None:
    drawing = PlanDrawing(QGraphicsScene(), ink())
    drawing.build(BOATYARD)
    called("app.canvas.plan.PlanDrawing._build_handles")(drawing, JOB)
    assert drawing.handles["arm 1"].toolTip() == "Slide arm 2"


@serves("app.canvas.drawing.Drawing._needs_build")
def test_a_drawing_is_built_anew_when_an_arm_gets_another_joint(qapp: object) -> None:
    scene = QGraphicsScene()
    drawing = SideDrawing(scene, ink())
    drawing.build(BOATYARD)
    handle = drawing.handles["arm 1"]
    drawing.build(JOB)
    assert drawing.handles["arm 1"] is not handle


@serves("app.canvas.arm_marks._hinge_axes")
def test_its_place_in_the_link_before_it_is_not_turned() -> None:
    placed = drawn(JOB, POSE)
    frame = placed.frames["arm 2"]
    assert called("app.canvas.arm_marks._hinge_axes")(ARM, placed, 1, frame) == frame.axes


@serves("app.panels.pose.PosePanel._build_fields")
def test_its_field_takes_a_length(qtbot: QtBot) -> None:
    panel = PosePanel(Document(JOB))
    qtbot.addWidget(panel)
    field = panel.fields["arm 1"]
    assert field.accessibleName() == "arm 2 slide"
    field.set_value(0.1, "metric")
    assert field.text() == "100 mm"


@serves("app.panels.go_to_point.way_words")
def test_a_way_to_a_point_gives_its_length_and_direction() -> None:
    hook_m = drawn(JOB, POSE).hook_m
    way = Solution(pose=POSE, hook_m=hook_m, miss_m=0.0, state="WITHIN", use=0.5, allowed_kg=100.0, governing="")
    assert "arm 2 0.10 m out" in called("app.panels.go_to_point.way_words")(JOB, way, "metric")


# ---------------------------------------------------------------- places that do not know it


FAILING: dict[str, Callable[[Callable[..., Any]], object]] = {
    "app.canvas.arm_marks.ArmMarks.build_arm": lambda f: f(None, 1, ARM),
    "app.canvas.side_outlines.hinge_axis": lambda f: f(ARM, LEVEL),
    "app.canvas.gestures.dragged": lambda f: f(JOB, POSE, "arm 1", "side", (2.0, 2.0), (2.1, 2.0), False),
    "app.panels.pose.PosePanel._turn": lambda f: f(PosePanel(Document(JOB)), 1, 0.2),
}


@pytest.mark.parametrize("name", FAILING)
def test_a_place_that_does_not_know_it_raises(name: str, qapp: object) -> None:
    with pytest.raises((AssertionError, AttributeError), match="Slide"):
        FAILING[name](called(name))


ONLY_SWINGING_ARMS = {"app.panels.handling_words.rest_words"}
"""Says where arms come to rest; the engine lists none but those that swing, and raises for a kind it does not know."""


def test_every_function_that_asks_a_joint_is_visited_here() -> None:
    assert asking("app")["joint"] == KNOWING | FAILING.keys() | ONLY_SWINGING_ARMS


def test_the_window_never_reads_the_words_of_the_rig_file() -> None:
    assert asking("app")["axis"] == set()
