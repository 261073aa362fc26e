"""A kind of joint the window has never heard of: each module that asks a joint either serves it rightly or raises.

As tests/engine/test_new_joint.py has it for the engine, with the same sliding arm.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
import sliding
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QGraphicsScene
from pytestqt.qtbot import QtBot
from sliding import ARM, BOATYARD, JOB, POSE, asking

from app.canvas import live_words, size_handles
from app.canvas.arm_marks import ArmMarks
from app.canvas.bodies import bodies
from app.canvas.gestures import dragged, undo_text
from app.canvas.plan import PlanDrawing
from app.canvas.side import SideDrawing
from app.canvas.side_outlines import hinge_axis
from app.canvas.style import Ink
from app.documents.document import Document
from app.look.theme import LIGHT
from app.panels.pose import PosePanel
from app.panels.solution_words import solution_words
from engine.base.geometry import LEVEL
from engine.planning.inverse_kinematics import Solution
from engine.rig.kinematics import drawn
from engine.shop import pose_edits


@pytest.fixture(autouse=True)
def third_kind(monkeypatch: pytest.MonkeyPatch, qapp: object) -> None:
    """A rig file could hold the word now, were it allowed there."""
    sliding.allow(monkeypatch)


def side_drawing() -> SideDrawing:
    return SideDrawing(QGraphicsScene(), Ink(LIGHT, QFont()))


def plan_drawing() -> PlanDrawing:
    return PlanDrawing(QGraphicsScene(), Ink(LIGHT, QFont()))


VISITED: set[str] = set()


def visits(*modules: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Marks a test as a visit to what those modules ask of a joint."""
    VISITED.update(modules)
    return lambda test: test


# ---------------------------------------------------------------- places that serve it


@visits("app.canvas.bodies", "app.canvas.live_words")
def test_its_body_is_pulled_the_way_it_slides_and_says_so() -> None:
    (body,) = [body for body in bodies(JOB, "side") if body.entry == "rig.arms[1]"]
    assert (body.handle, body.way) == ("arm 1", "along")
    pose = JOB.poses[0]
    moved = pose_edits.turn_arm_to(JOB, pose, 1, pose.arms[1].turn_rad + 0.05)
    placed = drawn(JOB, pose)
    words = live_words.of_pose(JOB, "arm 1", pose, placed, moved, drawn(JOB, moved))
    assert words.startswith(JOB.rig.arms[1].name) and "(+50 mm" in words


@visits("app.canvas.side", "app.canvas.gestures")
def test_its_handle_slides_and_says_so() -> None:
    drawing = side_drawing()
    drawing.build(JOB)
    assert drawing.handles["arm 1"].toolTip() == "Slide arm 2"
    assert undo_text(JOB, "arm 1") == "Slide arm 2"


@visits("app.canvas.drawing")
def test_a_drawing_is_built_anew_when_an_arm_gets_another_joint() -> None:
    drawing = side_drawing()
    drawing.build(BOATYARD)
    handle = drawing.handles["arm 1"]
    drawing.build(JOB)
    assert drawing.handles["arm 1"] is not handle


@visits("app.panels.pose")
def test_its_field_takes_a_length(qtbot: QtBot) -> None:
    panel = PosePanel(Document(JOB))
    qtbot.addWidget(panel)
    field = panel.fields["arm 1"]
    assert field.accessibleName() == "arm 2 slide"
    field.set_value(0.1, "metric")
    assert field.shown == "100 mm"


@visits("app.panels.solution_words")
def test_a_pose_that_reaches_a_point_is_told_by_its_length_and_direction() -> None:
    hook_m = drawn(JOB, POSE).hook_m
    solution = Solution(
        pose=POSE,
        hook_m=hook_m,
        miss_m=0.0,
        state="WITHIN",
        state_words="Within the limits entered",
        has_room=True,
        use=0.5,
        allowed_kg=100.0,
        governing="",
    )
    assert "arm 2 0.10 m out" in solution_words(JOB, solution, "metric")


@visits("app.canvas.size_handles")
def test_its_length_is_pulled_and_no_plate_is_taken_for_one_seen_from_the_side() -> None:
    spots = size_handles.spots(JOB, drawn(JOB, POSE))
    assert "size arm 1 length" in spots and not any(name.startswith("size plate 1") for name in spots)


# ---------------------------------------------------------------- places that do not know it


@visits("app.canvas.arm_marks", "app.canvas.plan", "app.canvas.side_outlines", "app.canvas.gestures")
@pytest.mark.parametrize(
    "place",
    [
        lambda: ArmMarks(plan_drawing()).build_arm(1, ARM),
        lambda: plan_drawing().build(JOB),
        lambda: hinge_axis(ARM, LEVEL),
        lambda: dragged(JOB, POSE, "arm 1", "side", (2.0, 2.0), (2.1, 2.0), False),
        lambda: Document(JOB).verdict,
    ],
    ids=["arc and drift arrow", "plan", "hinge pin", "drag of its handle", "verdict shown"],
)
def test_a_place_that_does_not_know_it_raises(place: Callable[[], object]) -> None:
    with pytest.raises((AssertionError, AttributeError), match="Slide"):
        place()


def test_every_module_that_asks_a_joint_is_visited_here() -> None:
    modules = {".".join(name.split(".")[:3]) for name in asking("app")["joint"]}
    assert modules == VISITED


def test_the_window_never_reads_the_words_of_the_rig_file() -> None:
    assert asking("app")["axis"] == set()
