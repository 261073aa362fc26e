"""Ceiling, beams and benches: drawn, checked, and what runs into them named."""

from __future__ import annotations

import re
from collections.abc import Callable

import msgspec
import pytest
from hand import show_tab, type_into
from PySide6.QtWidgets import QPushButton

from app.shell.panel_registry import SURROUNDINGS
from app.shell.window import Window
from engine.limits import room_rows
from engine.schema.model import Surrounding

CEILING = Surrounding(name="ceiling", x0_m=-3.0, x1_m=6.0, y0_m=-3.0, y1_m=3.0, z0_m=2.6, z1_m=2.8)
BENCH = Surrounding(name="bench", x0_m=2.2, x1_m=3.4, y0_m=-1.0, y1_m=1.0, z0_m=0.0, z1_m=0.9)


def around(window: Window, *boxes: Surrounding) -> None:
    document = window.document
    document.set_job(msgspec.structs.replace(document.job, surroundings=boxes), "Put a box there")


def test_a_pose_under_the_ceiling_is_clear_and_one_through_it_is_named(window: Window) -> None:
    around(window, CEILING)
    assert "in the way" not in window.notice.text()
    window.document.set_pose(msgspec.structs.replace(window.document.pose, lift_m=1.2), "Raise")
    assert "Something is in the way" in window.notice.text() and "ceiling" in window.notice.text()
    window.document.undo_stack.undo()
    assert "in the way" not in window.notice.text()


def test_boxes_are_drawn_in_side_view_and_low_ones_in_the_plan(window: Window) -> None:
    around(window, CEILING, BENCH)
    assert window.views.side_drawing.part("around ceiling").isVisible()
    assert window.views.side_drawing.part("around bench").isVisible()
    assert window.views.plan_drawing.part("around bench").isVisible()
    with pytest.raises(KeyError):
        window.views.plan_drawing.part("around ceiling")


def test_a_box_of_another_place_does_not_count_here(window: Window) -> None:
    document = window.document
    floors = (*document.job.floors, msgspec.structs.replace(document.job.floors[0], name="shed"))
    elsewhere = msgspec.structs.replace(CEILING, floor="shed", z0_m=1.0)
    document.set_job(msgspec.structs.replace(document.job, floors=floors, surroundings=(elsewhere,)), "A shed")
    assert "in the way" not in window.notice.text()
    assert not window.views.side_drawing.part("around ceiling").isVisible()


def test_the_panel_says_the_clearance_that_the_engine_computes(window: Window) -> None:
    show_tab(window, "What stands round")
    around(window, CEILING)
    checks = window.document.verdict.room.checks
    rows = {check.part: check for check in checks if check.kind == room_rows.TO_OBJECTS}
    # The inner upright, 2.0 m lowered, is half of 0.7 m up; the box begins at 2.6 m.
    assert rows["upright"].allowed == pytest.approx(2.6 - 2.0 - 0.35, abs=1e-6)
    said = window.panels[SURROUNDINGS].clearances.text()
    assert "Truck's upright to ceiling: " in said and " in the worst case, 250 mm as drawn; must be " in said
    assert "to the floor" in said


def test_the_list_of_gaps_says_the_same_worst_gap_as_the_verdict_block(window: Window) -> None:
    """The boom's tail is 200 mm from the guard as drawn; what may be off leaves a third of that."""
    show_tab(window, "What stands round")
    least = window.block.bars.room
    gap = re.fullmatch(r"(.*): (\d+) mm, must be (\d+) mm", least)
    assert gap is not None
    said = window.panels[SURROUNDINGS].clearances.text().lower()
    assert f"{gap[1].lower()}: {gap[2]} mm in the worst case, " in said and f"as drawn; must be {gap[3]} mm." in said


def test_a_box_is_put_in_by_a_button_and_taken_away_by_undo(window: Window) -> None:
    show_tab(window, "What stands round")
    button = next(b for b in window.panels[SURROUNDINGS].findChildren(QPushButton) if b.text().startswith("Add"))
    button.click()
    assert len(window.document.job.surroundings) == 1
    window.document.undo_stack.undo()
    assert window.document.job.surroundings == ()


def test_the_panel_with_a_box_in_it_is_no_wider_than_its_room(window: Window) -> None:
    show_tab(window, "What stands round")
    around(window, CEILING)
    area = window.panels.currentWidget()
    assert window.panels[SURROUNDINGS].minimumSizeHint().width() <= area.viewport().width()


def test_a_box_is_kept_to_one_place_by_typing_its_name(window: Window) -> None:
    show_tab(window, "What stands round")
    around(window, CEILING)
    type_into(window.panels[SURROUNDINGS].form.fields["surroundings[0].floor"], "slipway head")
    assert window.document.job.surroundings[0].floor == "slipway head"
    type_into(window.panels[SURROUNDINGS].form.fields["surroundings[0].name"], "lintel")
    assert window.document.job.surroundings[0].name == "lintel"


def test_a_pose_without_a_verdict_that_runs_into_something_is_told_both(make_window: Callable[..., Window]) -> None:
    window = make_window("skerry_point_boatyard")
    low = Surrounding(name="beam", x0_m=-3.0, x1_m=6.0, y0_m=-3.0, y1_m=3.0, z0_m=1.9, z1_m=2.1)
    window.document.set_value("surroundings", (low,), "Add a beam")
    assert window.notice.text().startswith("Something is in the way")
    index = [floor.name for floor in window.document.job.floors].index(window.document.pose.floor)
    window.document.set_value(f"floors[{index}].fall_along", None, "not known")
    assert "is not known" in window.notice.text() and "Something is in the way" in window.notice.text()
    window.document.undo_stack.undo()
    assert window.notice.text().startswith("Something is in the way")
    window.document.undo_stack.undo()
    assert window.notice.text() == ""
