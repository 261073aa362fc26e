"""Pin holes of the boom at steps of their own: places by hand, and every reader of a hole's place agrees."""

from __future__ import annotations

from pathlib import Path

import msgspec
import numpy as np
import pytest

from engine.base.errors import EditError
from engine.rig.fits import hole_under_strap, misfits
from engine.rig.kinematics import hole_out_m
from engine.schema import rig_file
from engine.schema.model import Job, Rig
from engine.shop.edits import set_value
from engine.shop.setting_out import hole_schedules
from tests.samples import read_once

JOB = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "tarn_hollow_stone_yard.rig.json")
STEPS_M = (0.11, 0.37)
PLACES_M = (0.55, 0.66, 1.03)
"""The first hole 0.55 m from the tail, as in the file."""


def with_steps(steps_m: tuple[float, ...] = STEPS_M) -> Rig:
    boom = msgspec.structs.replace(JOB.rig.boom, hole_count=len(steps_m) + 1, hole_steps_m=steps_m)
    return msgspec.structs.replace(JOB.rig, boom=boom)


def job_with(rig: Rig) -> Job:
    return msgspec.structs.replace(JOB, rig=rig, poses=(msgspec.structs.replace(JOB.poses[0], hole=1),), moves=())


def test_each_hole_stands_a_step_ahead_of_the_one_before_it():
    rig = with_steps()
    assert [rig.boom.hole_m(hole) for hole in (1, 2, 3)] == pytest.approx(PLACES_M)
    pin_m = rig.saddles.front_x_m if rig.saddles.pin_at == "front" else rig.saddles.rear_x_m
    outs_m = [pin_m + rig.boom.length_m - place_m for place_m in PLACES_M]
    assert [hole_out_m(rig, hole) for hole in (1, 2, 3)] == pytest.approx(outs_m)
    assert hole_out_m(rig, np.array([3.0, 1.0])) == pytest.approx([outs_m[2], outs_m[0]])


def test_the_schedule_of_holes_gives_the_same_places():
    boom, *_ = hole_schedules(with_steps())
    assert [hole.from_datum_m for hole in boom.holes if hole.name.startswith("hole ")] == pytest.approx(PLACES_M)


def test_the_nearest_two_holes_keep_three_diameters_apart():
    """Holes of 20.5 mm want 61.5 mm; a pitch that does not count may be anything."""
    fine, tight = with_steps((0.0615, 0.3)), with_steps((0.3, 0.0614))
    loose = msgspec.structs.replace(fine.boom, hole_pitch_m=0.01)
    assert misfits(fine) == misfits(msgspec.structs.replace(fine, boom=loose)) == ()
    (problem,) = misfits(tight)
    assert problem.where == "rig.boom.hole_steps_m" and problem.numbers["pitch"] == 0.0614


def test_a_hole_under_a_strap_is_found_at_its_step():
    """Pinned in hole 3 at the front strap, hole 2 is a step behind: its rim reaches into the rear strap, or not."""
    saddles = JOB.rig.saddles
    apart_m, reach_m = saddles.front_x_m - saddles.rear_x_m, (saddles.strap_length_m + 0.0205) / 2.0
    assert hole_under_strap(with_steps((0.2, apart_m + reach_m - 0.001)), (1, 2, 3)) == (2, "rear", 3)
    assert hole_under_strap(with_steps((0.2, apart_m + reach_m + 0.001)), (1, 2, 3)) is None


def test_steps_are_as_many_as_the_holes_after_the_first_and_stay_on_the_boom():
    job = job_with(with_steps())
    assert rig_file.decode(rig_file.encode(job)) == job
    with pytest.raises(EditError, match="2 holes have 1 distances"):
        set_value(job, "rig.boom.hole_count", 2)
    with pytest.raises(EditError, match=r"hole 3 would be .* past the boom"):
        set_value(job, "rig.boom.hole_steps_m[1]", 2.0)
    assert set_value(job, "rig.boom.hole_steps_m", ()).rig.boom.hole_m(3) == pytest.approx(0.55 + 2 * 0.15)
