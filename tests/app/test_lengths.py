"""Dragging lengths of parts on the drawing."""

from __future__ import annotations

import pytest
from hand import Hand

from app.shell.window import Window
from engine.shop import edits


@pytest.fixture
def designing(window: Window) -> Window:
    window.views.set_lengths(True)
    return window


def px(window: Window, metres: float) -> float:
    return metres * 1000.0 * window.views.side_view.px_per_mm


def test_the_jib_mast_is_pulled_longer_as_one_undo_step(designing: Window) -> None:
    before = designing.document.job
    Hand(designing.views.side_view).drag("length mast", 0.0, -px(designing, 0.2), steps=3)
    mast, was = designing.document.job.rig.jib_mast, before.rig.jib_mast
    assert mast.length_m == pytest.approx(was.length_m + 0.2, abs=0.02)
    assert mast.mass_kg.known == "worked_out"
    assert mast.mass_kg.best / was.mass_kg.best == pytest.approx(mast.length_m / was.length_m)
    assert designing.document.undo_stack.count() == 1
    designing.document.undo_stack.undo()
    assert designing.document.job == before


def test_the_boom_grows_at_its_tail_and_its_holes_stay(designing: Window) -> None:
    before = designing.document.job.rig.boom
    hook = designing.document.verdict.placed.hook_m
    Hand(designing.views.side_view).drag("length boom", -px(designing, 0.15), 0.0, steps=3)
    boom = designing.document.job.rig.boom
    assert boom.length_m > before.length_m + 0.1
    assert boom.length_m - boom.first_hole_m == pytest.approx(before.length_m - before.first_hole_m)
    assert designing.document.verdict.placed.hook_m == pytest.approx(hook)


def test_an_arm_is_pulled_shorter_but_never_to_nothing(designing: Window) -> None:
    Hand(designing.views.side_view).drag("length arm 1", -px(designing, 0.2), 0.0, steps=3)
    assert designing.document.job.rig.arms[1].length_m == pytest.approx(0.6 - 0.2, abs=0.03)
    Hand(designing.views.side_view).drag("length arm 1", -px(designing, 3.0), 0.0, steps=3)
    assert designing.document.job.rig.arms[1].length_m >= edits.LEAST_LENGTH_M


def test_length_handles_and_pose_handles_are_not_there_together(window: Window) -> None:
    shown = {name for name, handle in window.views.side_drawing.handles.items() if handle.isVisible()}
    assert shown == {"lift", "tilt", "boom", "arm 0", "arm 1", "hook"}
    window.views.set_lengths(True)
    shown = {name for name, handle in window.views.side_drawing.handles.items() if handle.isVisible()}
    assert shown == {"length mast", "length boom", "length arm 0", "length arm 1"}
