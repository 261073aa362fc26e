"""Forks and jib mast off their place: 10 mm each, half a degree out of true, all to the worse side (ours)."""

from __future__ import annotations

import math

import msgspec
import pytest

from engine.limits import play
from engine.rig.kinematics import Figures, Placed, figures, place
from engine.rig.load_path import load_path, rig_parts
from engine.schema.model import Job
from engine.strength.cuts import Cuts, calm_pull, cuts_of
from engine.strength.sleeves import base_bounds
from engine.worst_case.corner_search import CORNER_TOLERANCE
from engine.worst_case.uncertain_inputs import entries_of
from engine.worst_case.worst_case import worst_values
from tests.samples import PLATED_PATHS, read_once, sample
from tests.thoroughness import every

REPLACE = msgspec.structs.replace
LEAN = math.sin(math.radians(0.5))


def off(job: Job, share: float) -> Figures:
    return REPLACE(figures(job, job.poses[0]), off_place=share)


def calm_cuts(job: Job, placed: Placed) -> Cuts:
    return cuts_of(job, placed, load_path(rig_parts(placed)), calm_pull(placed, job.policy))


def test_the_hook_goes_aside_by_the_foot_and_by_the_lean_over_the_height() -> None:
    """Lantern, arm straight ahead: hook pin further out by 10 mm + sin 0.5 deg of its height over the foot."""
    job = sample("lantern_lane_scenery")
    job = REPLACE(job, moves=(), poses=tuple(pose for pose in job.poses if pose.name == "arm straight ahead"))
    true, aside = (play.settled_aside(job, place(job, off(job, share))) for share in (0.0, 1.0))
    placed = place(job, off(job, 0.0))
    foot_m = placed.frames["jib mast"].origin
    expected_m = 0.010 + LEAN * (placed.tip_m.z - foot_m.z)
    assert abs(aside.tip_m.y - true.tip_m.y) == pytest.approx(expected_m, rel=0.01)
    still, moved = (next(body.position_m for body in chain.bodies if body.name == "sleeves") for chain in (true, aside))
    assert (still - moved).length() < 0.002, "sleeves stay where they are"


@pytest.mark.parametrize("name", ["lantern_lane_scenery", "skerry_point_boatyard"])
def test_the_sleeve_on_the_near_side_takes_what_the_lever_adds(name: str) -> None:
    """Statics: half the weight, and the roll about the middle over a spread 10 mm less."""
    job = sample(name)
    true, aside = (calm_cuts(job, place(job, off(job, share))) for share in (0.0, 1.0))
    pull, spread_m, rig = true.forks.forces, job.truck.forks.spread_m, job.rig
    load_kg = true.load_kg
    weight_N, roll_Nm = -pull.shear_up.at(load_kg), -pull.twist.at(load_kg)
    boom_m = rig.sleeves.section.wall_m + rig.jib_mast.length_m + rig.saddles.seat_m + rig.boom.section.depth_m / 2.0
    lever_m = 0.010 + math.radians(0.5) * boom_m
    couple_N = (abs(roll_Nm) + weight_N * lever_m) / (spread_m - 0.010)
    heavier = max(float(seat.weight.at(load_kg)) for seat in base_bounds(job, aside).stiff)
    assert heavier == pytest.approx(weight_N / 2.0 + couple_N, rel=1e-9)
    assert heavier > max(float(seat.weight.at(load_kg)) for seat in base_bounds(job, true).stiff)


@pytest.mark.parametrize("path", every(3, PLATED_PATHS), ids=lambda path: path.name.split(".")[0])
def test_nothing_is_used_less_for_forks_and_jib_mast_being_off_their_place(path: object) -> None:
    job = read_once(path)  # type: ignore[arg-type]
    for pose in job.poses:
        numbers = figures(job, pose)
        entries = entries_of(job, pose, numbers)
        assert [entry.up for entry in entries if entry.field == "off_place"] == [1.0]
        without = tuple(entry for entry in entries if entry.field != "off_place")
        more, less = (worst_values(job, pose, numbers, some) for some in (entries, without))
        if math.isnan(float(more.allowed_kg)):
            continue
        assert (more.use >= less.use * (1.0 - CORNER_TOLERANCE) - 1e-9).all(), pose.name
        assert float(more.allowed_kg) <= float(less.allowed_kg) * (1.0 + CORNER_TOLERANCE) + 1e-9


def test_the_hook_goes_out_by_the_foot_and_by_the_lean_over_the_height() -> None:
    job = sample("lantern_lane_scenery")
    true, out = (play.settled_forward(job, place(job, off(job, share))) for share in (0.0, 1.0))
    placed = place(job, off(job, 0.0))
    expected_m = 0.010 + LEAN * (placed.tip_m.z - placed.frames["jib mast"].origin.z)
    assert out.tip_m.x - true.tip_m.x == pytest.approx(expected_m, rel=0.03)
