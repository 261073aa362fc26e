"""Balance over a grid is the balance of every pose of it."""

from __future__ import annotations

import math

import msgspec
import numpy as np
import pytest

from engine.limits import balance
from engine.rig.kinematics import Figures, figures, place
from engine.schema.model import Job
from engine.worst_case.evaluator import _kept
from engine.worst_case.gridded import Standings, balance_over


def axes(job: Job, *counts: int) -> Figures:
    """Fork height, tilt and every arm along axes of their own."""
    upright = job.truck.upright
    ends = [(upright.lift_min_m, upright.lift_max_m), (-upright.tilt_forward_max_rad, upright.tilt_back_max_rad)]
    ends += [(-1.5, 1.5)] * len(job.rig.arms)
    values = [
        np.linspace(*end, count).reshape([-1 if other == axis else 1 for other in range(len(ends))])
        for axis, (end, count) in enumerate(zip(ends, counts, strict=True))
    ]
    return msgspec.structs.replace(
        figures(job, job.poses[0]), lift_m=values[0], tilt_rad=values[1], turns_rad=tuple(values[2:])
    )


def agrees(found: Standings, job: Job, numbers: Figures) -> bool:
    weighed = balance.weigh(place(job, numbers))
    return all(
        np.allclose(getattr(found, name), getattr(weighed, name), rtol=1e-12, equal_nan=True)
        for name in Standings.__struct_fields__
    )


@pytest.mark.parametrize("code", [True, False], ids=["machine code", "formulas"])
def test_every_pose_of_a_grid_stands_as_it_does_alone(
    vineyard: Job, stone_yard: Job, monkeypatch: pytest.MonkeyPatch, code: bool
) -> None:
    _kept.cache_clear()
    if not code:
        monkeypatch.setattr("engine.worst_case.gridded.machine_function", lambda *_: None)
    else:
        pytest.importorskip("llvmlite")
        monkeypatch.setattr(balance, "weigh", once_only(balance.weigh))
    numbers = axes(vineyard, 3, 2, 5, 7)
    found = [balance_over(vineyard, numbers), balance_over(vineyard, numbers)]
    armless = axes(stone_yard, 4, 9)
    bare = balance_over(stone_yard, armless)
    monkeypatch.undo()
    assert found[0].rear_kg.shape == (3, 2, 5, 7) and bare.rear_kg.shape == (4, 9)
    assert (
        agrees(found[0], vineyard, numbers)
        and agrees(found[1], vineyard, numbers)
        and agrees(bare, stone_yard, armless)
    )
    _kept.cache_clear()


def once_only(weigh):
    """The formulas are walked to be recorded, once for each rig, and not again."""
    left = [2]

    def counted(*given):
        left[0] -= 1
        assert left[0] >= 0
        return weigh(*given)

    return counted


def test_poses_in_no_order_and_a_single_one_stand_so_too(vineyard: Job) -> None:
    rng = np.random.default_rng(2)
    spread = msgspec.structs.replace(
        figures(vineyard, vineyard.poses[0]),
        lift_m=rng.uniform(0.1, 2.0, 33),
        turns_rad=(rng.uniform(-1, 1, 33), rng.uniform(-1, 1, 33)),
    )
    assert agrees(balance_over(vineyard, spread), vineyard, spread)
    one = figures(vineyard, vineyard.poses[0])
    assert agrees(balance_over(vineyard, one), vineyard, one)
    crossed = msgspec.structs.replace(spread, lift_m=spread.lift_m[:, None])
    assert agrees(balance_over(vineyard, crossed), vineyard, crossed)
    both = msgspec.structs.replace(one, lift_m=np.ones((4, 5)) + np.arange(5.0), tilt_rad=np.linspace(0.0, 0.02, 5))
    assert agrees(balance_over(vineyard, both), vineyard, both)


def test_a_fall_that_is_not_known_makes_nothing_known(vineyard: Job) -> None:
    unknown = msgspec.structs.replace(axes(vineyard, 2, 2, 2, 2), fall_along=math.nan)
    assert np.isnan(balance_over(vineyard, unknown).tipping_load_kg).all()
