"""Boxes of rig and truck in space, and which of them may run into each other."""

from __future__ import annotations

from pathlib import Path

import msgspec
import numpy as np
import pytest

from engine.base.geometry import Vec
from engine.rig import solids
from engine.rig.kinematics import figures, place
from engine.rig.solids import BOOM_END, TAIL, gone_down, layout_of, parts
from tests.samples import read_once

REPLACE = msgspec.structs.replace
BOATYARD = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "skerry_point_boatyard.rig.json")
POSE = BOATYARD.poses[0]


def test_arrays_of_poses_have_the_boxes_of_each_pose() -> None:
    lifts = np.array([0.3, 0.65, 1.4])
    numbers = figures(BOATYARD, POSE)
    many = parts(BOATYARD, place(BOATYARD, REPLACE(numbers, lift_m=lifts)), 3, loaded=True)
    for at, lift_m in enumerate(lifts):
        one = parts(BOATYARD, place(BOATYARD, REPLACE(numbers, lift_m=float(lift_m))), 1, loaded=True)
        assert one.parts == many.parts
        np.testing.assert_allclose(many.middle[..., at], one.middle[..., 0], atol=1e-12)
        np.testing.assert_allclose(many.axes[..., at], one.axes[..., 0], atol=1e-12)
    assert {"boom", "jib mast", "arm 1", "arm 2", "upright", "saddles"} <= set(many.parts)
    boom = many.parts.index("boom")
    # The whole boom with its tail: 2.4 m less the 50 its lugs reach past it.
    assert many.half[boom][0] == pytest.approx(1.175)


def pairs_of(fitted: tuple[int, ...]) -> tuple[set[tuple[str, str]], set[tuple[str, str]]]:
    """Names of what is held against the truck, and of what of the rig against what of it."""
    layout = layout_of(BOATYARD.truck, BOATYARD.rig, fitted, 0.4)
    named = [
        {(layout.parts[one], layout.parts[other]) for one, other in zip(*rows, strict=True)}
        for rows in (layout.to_truck, layout.to_rig)
    ]
    return named[0], named[1]


def test_what_is_joined_is_not_held_against_each_other() -> None:
    truck, rig = pairs_of((0, 1))
    assert {"boom", "saddles", "jib mast", "arm 1", "arm 2", solids.HOOK} == {one for one, _ in truck}
    assert ("boom", "driver's space") in truck and ("jib mast", solids.UPRIGHT) in truck
    assert {("jib mast", solids.CARRIAGE), ("jib mast", solids.BACKREST)} <= truck
    # The next link on its hinge is stopped there; what holds the hook is joined to it.
    assert rig == {
        ("arm 1", solids.FORKS),
        ("arm 2", solids.FORKS),
        (solids.HOOK, solids.FORKS),
        ("arm 1", "jib mast"),
        ("arm 1", "saddles"),
        ("arm 2", "jib mast"),
        ("arm 2", "saddles"),
        ("arm 2", "boom"),
        (solids.HOOK, "jib mast"),
        (solids.HOOK, "saddles"),
        (solids.HOOK, "boom"),
        (solids.HOOK, "arm 1"),
    }
    assert pairs_of(())[1] == {(solids.HOOK, solids.FORKS), (solids.HOOK, "jib mast"), (solids.HOOK, "saddles")}


def test_the_boom_is_held_against_the_truck_once_by_its_tail() -> None:
    layout = layout_of(BOATYARD.truck, BOATYARD.rig, (0, 1))
    frames = {layout.frames[layout.index[at]] for at in layout.to_truck[0] if layout.parts[at] == "boom"}
    assert frames == {TAIL}
    around = {layout.frames[layout.index[at]] for at in layout.around if layout.parts[at] == "boom"}
    assert BOOM_END in around and TAIL not in around


def test_a_boom_that_goes_down_at_its_end_goes_up_at_its_tail() -> None:
    """1.8 m of boom ahead of the mast and 0.6 behind: 30 mm down is 10 mm up."""
    pose = REPLACE(POSE, hole=None, free_out_m=1.8)
    placed = place(BOATYARD, figures(BOATYARD, pose))
    straight = parts(BOATYARD, placed, 1, loaded=True)
    bent = gone_down(BOATYARD, placed, straight, Vec(0.0, 0.0, -0.030), loaded=True)
    moved = dict.fromkeys(straight.parts, 0.0)
    layout = layout_of(BOATYARD.truck, BOATYARD.rig, (0, 1), BOATYARD.load.sling_m)
    for at, part in enumerate(straight.parts):
        down_m = float(bent.middle[at, 2, 0] - straight.middle[at, 2, 0])
        moved[f"{part} {layout.frames[layout.index[at]]}"] = down_m
    assert moved[f"boom {TAIL}"] == pytest.approx(0.010)
    assert moved[f"boom {BOOM_END}"] == moved["arm 2 arm 2"] == pytest.approx(-0.030)
    assert moved[f"{solids.HOOK} {solids.TIP}"] == pytest.approx(-0.030)
    for still in ("jib mast jib mast", "saddles boom", "truck's body chassis", "upright upright inner"):
        assert moved[still] == 0.0
