"""What long work hands over before it is done is the beginning of what it answers, and changes no answer."""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np
import pytest

from engine.planning.inverse_kinematics import solutions_to
from engine.planning.load_chart import ArmSet, Chart, load_chart
from engine.planning.remedy import remedies
from engine.planning.sweep import Stopped
from engine.rig.kinematics import figures, place
from engine.schema.quantities import Estimate
from tests.samples import sample

REPLACE = msgspec.structs.replace
STANDS_ALONE = "tarn_hollow_stone_yard"


class Listener:
    """Keeps all that is handed over, and what is said to be tried."""

    def __init__(self) -> None:
        self.parts: list[Any] = []
        self.tried: list[str] = []
        self.shares: list[float] = []

    def tell(self, share: float, trying: str = "", /) -> None:
        self.shares.append(share)
        self.tried += [trying] if trying else []


def test_a_chart_comes_arm_set_by_arm_set():
    job, heard = sample(STANDS_ALONE), Listener()
    sets = tuple(ArmSet(name=name, arms=()) for name in ("one", "two", "three"))
    chart = load_chart(job, job.poses[0], sets, (2.0,), tell=heard.tell, so_far=heard.parts.append)
    assert [len(part.arm_sets) for part in heard.parts] == [1, 2]
    for part in heard.parts:
        assert isinstance(part, Chart) and part.unsettled == chart.unsettled[: len(part.arm_sets)]
        for name in ("lift_m", "reach_m", "allowed_kg"):
            whole = getattr(chart, name)[: len(part.arm_sets)]
            assert np.array_equal(getattr(part, name), whole, equal_nan=True), name
        assert [part.names[index] for index in part.governing.flat if index >= 0] == [
            chart.names[index] for index in chart.governing[: len(part.arm_sets)].flat if index >= 0
        ]
    assert heard.tried == ["one, 1 of 3", "two, 2 of 3", "three, 3 of 3"]
    assert heard.shares == sorted(heard.shares) and heard.shares[-1] == 1.0


def test_remedies_are_handed_over_as_they_are_tried():
    job, heard = sample(STANDS_ALONE), Listener()
    heavy = REPLACE(job, load=REPLACE(job.load, mass_kg=Estimate(best=900.0, known="weighed")))
    with pytest.raises(Stopped):
        remedies(heavy, job.poses[0], stop=lambda: len(heard.parts) == 2, tell=heard.tell, so_far=heard.parts.append)
    first, second = heard.parts
    assert (len(first), len(second)) == (1, 2) and second[0] is first[0] and not first[0].works


def test_stances_come_best_first():
    job, heard = sample(STANDS_ALONE), Listener()
    pose = job.poses[0]
    hook_m = place(job, figures(job, pose)).hook_m
    solutions = solutions_to(job, pose, hook_m, tell=heard.tell, so_far=heard.parts.append)
    assert solutions and len(heard.parts) == len(solutions) - 1 == len(heard.tried) - 1
    assert all(set(map(id, part)) <= set(map(id, solutions)) for part in heard.parts), "none is judged twice"
