"""The load charts of one rig on two trucks, hole by hole: same arms, same hook height.

Source: each column is `load_chart` of its truck; the other truck's forks are set to the sleeves' spread.
"""

from __future__ import annotations

import math

import msgspec

from engine.planning.load_chart import ArmSet, Chart, all_unsettled, load_chart
from engine.planning.sweep import Stop, Tell, never, quiet
from engine.rig.check import Problem
from engine.rig.kinematics import drawn
from engine.schema.model import Job, Pose, Truck
from engine.shop.another_truck import on_another_truck, with_forks_set


class AtHole(msgspec.Struct, kw_only=True, frozen=True):
    """One truck at one pin hole; ``reach_m`` is how far the hook is ahead of the front axle.

    Nothing is allowed where something is in the way.
    """

    reach_m: float
    allowed_kg: float
    governing: str
    in_the_way: bool = False


class HoleRow(msgspec.Struct, kw_only=True, frozen=True):
    """One pin hole on both trucks; None where a truck cannot hold the hook at its height there."""

    hole: int
    old: AtHole | None
    new: AtHole | None


class TwoCharts(msgspec.Struct, kw_only=True, frozen=True):
    """Both charts; ``problems`` of a truck are why it has none, ``unsettled`` is what leaves its loads not proven."""

    pose: str
    hook_height_m: float
    rows: tuple[HoleRow, ...]
    old_problems: tuple[Problem, ...]
    new_problems: tuple[Problem, ...]
    old_unsettled: tuple[Problem, ...]
    new_unsettled: tuple[Problem, ...]
    forks_to_m: float | None = None


def two_charts(job: Job, truck: Truck, pose: Pose, stop: Stop = never, tell: Tell = quiet) -> TwoCharts:
    """The allowed load at every pin hole on a job's own truck and on another, with a pose's arms and hook height.

    ``stop`` and ``tell`` are called between the two trucks.

    Raises
    ------
    Stopped
        When ``stop`` answers true.
    """
    height_m = float(drawn(job, pose).hook_m.z)
    other = on_another_truck(job, truck)
    forks_set = with_forks_set(other)

    def chart(of: Job, done: float) -> Chart:
        """One truck's chart; half of the work."""
        sets = (ArmSet(name=pose.name, arms=pose.arms),)
        return load_chart(
            of,
            pose,
            sets,
            (height_m,) if math.isfinite(height_m) else (),
            stop=stop,
            tell=lambda share, _trying="", /: tell(done + share / 2.0, of.truck.name),
        )

    old, new = chart(job, 0.0), chart(forks_set, 0.5)
    holes = sorted({*old.holes, *new.holes})
    return TwoCharts(
        pose=pose.name,
        hook_height_m=height_m,
        rows=tuple(HoleRow(hole=hole, old=_at(old, hole), new=_at(new, hole)) for hole in holes),
        old_problems=old.problems,
        new_problems=new.problems,
        old_unsettled=all_unsettled(old),
        new_unsettled=all_unsettled(new),
        forks_to_m=None if forks_set is other else forks_set.truck.forks.spread_m,
    )


def _at(chart: Chart, hole: int) -> AtHole | None:
    if hole not in chart.holes or not chart.hook_heights_m or chart.problems:
        return None
    cell = (0, chart.holes.index(hole), 0)
    allowed_kg = float(chart.allowed_kg[cell])
    if math.isnan(allowed_kg):
        return None
    return AtHole(
        reach_m=float(chart.reach_m[cell]),
        allowed_kg=max(allowed_kg, 0.0),
        governing=chart.names[int(chart.governing[cell])],
        in_the_way=bool(chart.in_the_way[cell]),
    )
