"""The plate's rules: which row holds, what each permits, and never more than the plate's load."""

from __future__ import annotations

import math

import msgspec
import numpy as np
import pytest
from any_pose import REPLACE, jobs
from hypothesis import given

from engine.base.geometry import GRAVITY_M_S2
from engine.limits import plate
from engine.rig.check import Check
from engine.rig.kinematics import figures, place
from engine.schema.model import Job, Plate, PlateRow, Policy
from engine.schema.plate_rows import rows_at


def row(rated_kg: float, centre_m: float, lift_m: float) -> PlateRow:
    return PlateRow(rated_kg=rated_kg, load_centre_m=centre_m, lift_m=lift_m)


STEPPED = Plate(rows=(row(2500, 0.5, 3.3), row(2000, 0.5, 4.5), row(2100, 0.6, 3.3)))


def check_of(job: Job, kind: str, table: Plate | None = None, **changes: object) -> Check:
    placed = place(job, REPLACE(figures(job, job.poses[0]), **changes))
    return next(check for check in plate.checks(placed, table or job.truck.plate, Policy()) if check.kind == kind)


def test_a_row_holds_up_to_its_height_and_the_next_above_it() -> None:
    assert rows_at(STEPPED, 2.0) == (row(2500, 0.5, 3.3), row(2100, 0.6, 3.3))
    assert rows_at(STEPPED, 3.3 + 1e-9) == plate.rows_at(STEPPED, 3.3)
    assert rows_at(STEPPED, 3.4) == (row(2000, 0.5, 4.5),)
    assert rows_at(STEPPED, 4.6) == ()


def test_above_the_plates_highest_row_nothing_is_allowed(boatyard: Job) -> None:
    for kind in ("axle rule", "fork-face rule", "rated load"):
        check = check_of(boatyard, kind, STEPPED, lift_m=4.6)
        assert check.use == math.inf
        assert check.allowed_load_kg <= 0.0
    assert [problem.where for problem in plate.problems(STEPPED, 4.6)] == ["truck.plate.rows"]
    assert plate.problems(STEPPED, 4.5) == []


def test_no_plate_is_a_missing_fact_that_says_how_to_get_it() -> None:
    (problem,) = plate.problems(None, 1.0)
    assert (problem.kind, problem.where) == ("missing", "truck.plate")
    assert "dealer" in problem.words


def test_of_several_load_centres_the_smallest_moment_counts(boatyard: Job) -> None:
    """One of them may be limited by strength, so neither may be used to raise the other."""
    overhang = boatyard.truck.front_overhang_m.best
    check = check_of(boatyard, "axle rule", STEPPED)
    assert check.allowed / GRAVITY_M_S2 == pytest.approx(min(2500 * (overhang + 0.5), 2100 * (overhang + 0.6)))
    check = check_of(boatyard, "fork-face rule", STEPPED)
    assert check.allowed / GRAVITY_M_S2 == pytest.approx(min(2500 * 0.5, 2100 * 0.6))


def test_heights_in_an_array_each_take_their_own_row(boatyard: Job) -> None:
    lifts = np.array([1.0, 3.3, 3.31, 4.5, 4.51])
    swept = check_of(boatyard, "rated load", STEPPED, lift_m=lifts)
    assert list(swept.allowed) == [2500, 2500, 2000, 2000, 0]
    for lift_m, allowed in zip(lifts, check_of(boatyard, "axle rule", STEPPED, lift_m=lifts).allowed, strict=True):
        assert allowed == check_of(boatyard, "axle rule", STEPPED, lift_m=float(lift_m)).allowed


@given(jobs())
def test_the_fork_face_rule_is_the_stricter_one_beyond_the_load_centre(job: Job) -> None:
    """29 CFR 1910.178 App. A: leaving the overhang out gives the lower load, here with the rig's own moment counted."""
    rated = job.truck.plate.rows[0]
    light = {
        "sleeves_kg": 0.0,
        "jib_mast_kg": 0.0,
        "saddles_kg": 0.0,
        "boom_kg": 0.0,
        "hook_kg": 0.0,
        "rigging_kg": 0.0,
    }
    light |= {"arms_kg": tuple(0.0 for _ in job.rig.arms), "fall_along": 0.0, "tilt_rad": 0.0}
    face, axle = (check_of(job, kind, **light) for kind in ("fork-face rule", "axle rule"))
    reach_m = float(face.numbers["reach"])
    if reach_m > rated.load_centre_m:
        assert face.allowed_load_kg <= axle.allowed_load_kg
        assert face.allowed_load_kg == pytest.approx(plate.derated_kg(rated.rated_kg, rated.load_centre_m, reach_m))
        overhang = job.truck.front_overhang_m.best
        assert axle.allowed_load_kg == pytest.approx(
            plate.derated_kg(rated.rated_kg, rated.load_centre_m, reach_m, overhang)
        )


@given(jobs())
def test_a_floor_falling_backwards_never_gains_anything_by_the_plate(job: Job) -> None:
    for kind in ("axle rule", "fork-face rule"):
        level, back = (check_of(job, kind, fall_along=fall).allowed_load_kg for fall in (0.0, -0.05))
        assert back <= level + 1e-9


@given(jobs())
def test_everything_on_the_forks_together_never_exceeds_the_rated_load(job: Job) -> None:
    check = check_of(job, "rated load")
    placed = place(job, REPLACE(figures(job, job.poses[0]), load_kg=float(check.allowed_load_kg)))
    carried = sum(body.mass_kg for body in placed.bodies if body.group != "truck")
    assert carried == pytest.approx(max(row.rated_kg for row in job.truck.plate.rows))


def test_the_policy_says_which_rules_bind(boatyard: Job) -> None:
    placed = place(boatyard, figures(boatyard, boatyard.poses[0]))
    kinds = {
        rule: [check.kind for check in plate.checks(placed, boatyard.truck.plate, Policy(plate_rule=rule))]
        for rule in ("both", "axle", "fork_face")
    }
    assert kinds["both"] == ["axle rule", "fork-face rule", "rated load"]
    assert kinds["axle"] == ["axle rule", "rated load"]
    assert kinds["fork_face"] == ["fork-face rule", "rated load"]


def test_a_rig_over_the_plate_by_itself_stays_over_whatever_hangs_behind(boatyard: Job) -> None:
    """A load behind the fork face would hold the rig back; it is taken up from nothing, so it excuses nothing."""
    behind = {"boom_out_m": -1.5, "turns_rad": (math.pi, math.pi), "sleeves_kg": 4000.0, "load_kg": 2000.0}
    check = check_of(boatyard, "fork-face rule", **behind)
    assert check.use > 1.0
    assert check.allowed_load_kg == -math.inf
    assert msgspec.structs.asdict(check)["unit"] == "Nm"
