"""Handling panel: drift of the arms, push by hand, sag, stopping; every number the engine's, none delays a drag."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import pytest
from hand import Hand, show_tab, type_into
from pytestqt.qtbot import QtBot

from app.documents.document import Document
from app.documents.files import sample_rig
from app.panels.handling import LATER
from app.panels.handling_words import fastest_words
from app.shell.panel_registry import HANDLING
from app.shell.window import Window
from engine.base.formatting import show
from engine.handling.arm_drift import arm_drifts, drift
from engine.handling.hand_force import NEVER_LOADED, hand_forces
from engine.handling.sag import sag_of, softness
from engine.planning.stopping import FASTEST_M_S, STOP_M, WALKING_PACE_M_S, FastestSpeed, braking, fastest

WAIT_MS = 120_000
VINEYARD = "cold_spring_vineyard"
OVER = "greywether_memorials"


@pytest.fixture
def opened(make_window: Callable[..., Window]) -> Window:
    """A window on long arms that want to run, the panel shown."""
    window = make_window(VINEYARD)
    show_tab(window, "By hand")
    return window


def test_each_arm_is_said_to_run_the_way_the_engine_says_and_an_arrow_points_there(opened: Window) -> None:
    document, said = opened.document, opened.panels[HANDLING].arms_said.text()
    arms = drift(document.job, document.pose).arms
    assert [arm.runs for arm in arms] == ["right", "right"]
    for arm in arms:
        assert f"{arm.name}: RUNS TO THE RIGHT when let go, turned by {show(-arm.torque_Nm, 'Nm', 'metric')}" in said
        greased, dry = (show(fall, "fall", "metric") for fall in (arm.starts_at_fall_greased, arm.starts_at_fall_dry))
        assert f"{greased} greased, {dry} dry" in said
        arrow = opened.views.plan_drawing.drift_arrow(arm.index)
        # The arm points to the left; its right is ahead of it.
        assert arrow.elementAt(1).x > arrow.elementAt(0).x
    assert "come to rest with arm 1 straight ahead, arm 2 straight ahead" in said


def test_arms_turned_the_other_way_run_the_other_way_and_still_ones_have_no_arrow(
    make_window: Callable[..., Window],
) -> None:
    job = sample_rig(VINEYARD)
    pose = job.poses[0]
    mirrored = msgspec.structs.replace(
        pose, arms=tuple(msgspec.structs.replace(arm, turn_rad=-arm.turn_rad) for arm in pose.arms)
    )
    window = make_window(document=Document(job))
    show_tab(window, "By hand")
    window.document.set_pose(mirrored, "Turn")
    assert window.panels[HANDLING].arms_said.text().count("RUNS TO THE LEFT") == 2
    level = tuple(
        msgspec.structs.replace(
            floor, fall_along=msgspec.structs.replace(floor.fall_along, best=0.0, low=None, high=None)
        )
        for floor in job.floors
    )
    policy = msgspec.structs.replace(job.policy, lean_rad=0.0)
    plumb = msgspec.structs.replace(window.document.job, floors=level, policy=policy)
    window.document.set_job(plumb, "Level the floor")
    assert {arm.runs for arm in arm_drifts(plumb, window.document.pose)} == {"still"}
    assert window.views.plan_drawing.drift_arrow(0).isEmpty()
    assert "neither way" in window.panels[HANDLING].arms_said.text()


def test_a_push_over_what_a_person_should_start_is_flagged(opened: Window) -> None:
    forces = hand_forces(opened.document.job, opened.document.pose)
    lines = opened.panels[HANDLING].hands_said.text().split("\n")
    assert len(lines) == len(forces) + 1 == 6 and lines.pop() == NEVER_LOADED
    assert any(force.too_much for force in forces) and not all(force.too_much for force in forces)
    for force, line in zip(forces, lines, strict=True):
        assert line.startswith(f"{force.part}, {'loaded' if force.loaded else 'empty'}")
        assert f"{show(force.uphill_dry_N, 'N', 'metric')} dry" in line
        assert ("OVER 110 N" in line) == force.too_much
        assert ("use a tag line" in line) == (force.too_much and force.part != "boom")


def test_a_measured_sag_names_the_softest_part(opened: Window) -> None:
    document, panel = opened.document, opened.panels[HANDLING]
    loaded, empty = (
        sag_of(document.job, msgspec.structs.replace(document.pose, loaded=full)) for full in (True, False)
    )
    assert f"{show(loaded.hook_drop_m, 'mm', 'metric')} down" in panel.sag_said.text()
    assert panel.softness_said.isHidden()
    type_into(panel.sag, "80 mm")
    first = softness(document.job, document.pose, 0.08)[0]
    said = panel.softness_said.text()
    assert f"most likely {first.part}, {show(first.ratio, 'ratio', 'metric')} times" in said
    assert f"expected {show(loaded.hook_drop_m - empty.hook_drop_m, 'mm', 'metric')}" in said
    type_into(panel.sag, "5 mm")
    assert "Nothing is softer than drawn" in panel.softness_said.text()
    type_into(panel.sag, "")
    assert panel.softness_said.isHidden() and panel.sag.placeholderText() == "not measured"


def test_walking_pace_is_assumed_and_said_until_a_speed_is_entered(opened: Window) -> None:
    document, panel = opened.document, opened.panels[HANDLING]
    stop = braking(document.job, document.pose, WALKING_PACE_M_S, STOP_M)
    said = panel.stop_said.text()
    assert "Walking pace, 5 km/h, is assumed." in said and "A stop within 500 mm is assumed." in said
    assert show(stop.side_N, "N", "metric") in said and f"{show(stop.rear_lost_kg, 'kg_up', 'metric')} lost" in said
    type_into(panel.speed, "2 km/h")
    type_into(panel.stop, "1 m")
    stop = braking(document.job, document.pose, 2.0 / 3.6, 1.0)
    said = panel.stop_said.text()
    assert "assumed" not in said
    assert show(stop.side_N, "N", "metric") in said and f"{show(stop.rear_lost_kg, 'kg_up', 'metric')} lost" in said
    type_into(panel.stop, "0")
    assert "no truck stops on the spot" in opened.notice.text()
    panel.stop.drop_typed()
    type_into(panel.speed, "200 km/h")
    assert "enter none to 54 km/h" in opened.notice.text()
    panel.speed.drop_typed()
    type_into(panel.speed, "")
    assert "Walking pace, 5 km/h, is assumed." in panel.stop_said.text()


def test_the_fastest_speed_comes_from_the_background_and_goes_when_the_pose_changes(
    make_window: Callable[..., Window], qtbot: QtBot
) -> None:
    window = make_window(OVER)
    show_tab(window, "By hand")
    panel, document = window.panels[HANDLING], window.document
    with qtbot.waitSignal(panel.background.answered, timeout=WAIT_MS):
        panel.find_button.click()
        assert panel.waiting.stop_button.isEnabled() and panel.fastest_said.text() == ""
    assert panel.fastest_said.text() == fastest_words(fastest(document.job, document.pose), "metric")
    assert "No speed at all" in panel.fastest_said.text()
    document.set_pose(msgspec.structs.replace(document.pose, lift_m=document.pose.lift_m + 0.1), "Raise")
    assert panel.fastest_said.text() == ""


def test_a_fastest_speed_is_rounded_down_and_names_what_rules() -> None:
    said = fastest_words(FastestSpeed(speed_m_s=1.38, stop_m=0.5, governing="boom: bending"), "metric")
    assert "4.9 km/h. Faster, boom: bending gives first." in said
    assert "nothing faster is looked for" in fastest_words(
        FastestSpeed(speed_m_s=FASTEST_M_S, stop_m=0.5, governing="boom"), "metric"
    )


def test_a_drag_leaves_the_long_sums_for_its_end(opened: Window) -> None:
    panel, hand = opened.panels[HANDLING], Hand(opened.views.plan_view)
    start = hand.handle_spot("arm 0")
    hand.press(start)
    hand.move(start.__class__(start.x() + 20, start.y() + 12))
    opened.pace.catch_up()
    assert LATER in panel.arms_said.text() and panel.sag_said.text() == LATER
    hand.release()
    opened.pace.catch_up()
    assert LATER not in panel.arms_said.text() + panel.sag_said.text()


def test_on_a_floor_whose_fall_is_not_known_the_panel_says_so_and_no_arrow_points_anywhere(
    make_window: Callable[..., Window],
) -> None:
    window = make_window(VINEYARD)
    show_tab(window, "By hand")
    index = window.document.job.floors.index(
        next(floor for floor in window.document.job.floors if floor.name == window.document.pose.floor)
    )
    window.document.set_value(f"floors[{index}].fall_across", None, "Fall not known")
    panel = window.panels[HANDLING]
    said = [label.text() for label in (panel.arms_said, panel.hands_said, panel.sag_said, panel.stop_said)]
    assert all(words.startswith("NOT KNOWN") and window.document.pose.floor in words for words in said)
    assert all(
        window.views.plan_drawing.drift_arrow(arm.index).isEmpty()
        for arm in arm_drifts(window.document.job, window.document.pose)
    )
    hand = Hand(window.views.side_view)
    before = window.document.pose
    hand.drag("hook", -40, 30)
    assert window.document.pose != before and not window.notice.text().startswith("pose")
    window.document.undo_stack.undo()
    window.document.undo_stack.undo()
    assert "RUNS TO THE RIGHT" in panel.arms_said.text()


def test_nothing_is_said_of_handling_a_pose_that_cannot_be(opened: Window) -> None:
    document, panel = opened.document, opened.panels[HANDLING]
    document.preview_pose(msgspec.structs.replace(document.pose, hole=None, free_out_m=9.0))
    show_tab(opened, "By hand")
    panel.show_document(document)
    for label in (panel.arms_said, panel.hands_said, panel.sag_said, panel.stop_said):
        assert label.text().startswith("NOTHING TO SAY")
    document.restore()
    assert "RUNS TO THE RIGHT" in panel.arms_said.text()
