"""The two saddles: reactions of the boom, and the straps that hold it down and take its twist.

Moments about the front saddle give the rear reaction, ``-M_bend / spacing`` upwards: with a load ahead it is negative,
so the rear strap holds the boom *down*.  The front saddle takes the rest.  Each strap is checked for the whole twist of
the boom, since nobody can say which one fits closer: once with a top corner of the boom pressing, once with its sides
(`strap_contact`).  What is allowed stands in `strap_limits`.
"""

from __future__ import annotations

from typing import NamedTuple

from engine.rig.check import Check
from engine.schema.model import Boom, Job
from engine.schema.sections import TUBE_OUTSIDE_RADIUS_PER_WALL
from engine.strength.allowable_stress import AISC_OR_FACTOR
from engine.strength.cuts import Cuts
from engine.strength.linear_in_load import CheckLabel, Linear, check_greatest_pull, check_sum, signed_sums
from engine.strength.strap_contact import NO_PULL, LegWeights, side_demands, top_demands
from engine.strength.strap_limits import StrapLimits, strap_limits


class Reactions(NamedTuple):
    """Reactions of the saddles on the boom (N), and the twist they share (N·m); each linear in the load."""

    front_up: Linear
    rear_up: Linear
    front_side: Linear
    rear_side: Linear
    twist: Linear


def reactions(job: Job, cuts: Cuts) -> Reactions:
    """Reactions of the two saddles on the whole boom, in the boom's own axes."""
    forces = cuts.boom_whole.forces
    per = 1.0 / (job.rig.saddles.front_x_m - job.rig.saddles.rear_x_m)
    rear_up, rear_side = forces.bend_up.times(-per), forces.bend_side.times(per)
    return Reactions(
        forces.shear_up.times(-1.0).plus(rear_up, -1.0),
        rear_up,
        forces.shear_side.times(-1.0).plus(rear_side, -1.0),
        rear_side,
        forces.twist,
    )


def checks(job: Job, cuts: Cuts) -> list[Check]:
    """Both straps, each with the whole twist of the boom."""
    held, rig = reactions(job, cuts), job.rig
    straps = strap_limits(rig, job.policy)
    spacing = rig.saddles.front_x_m - rig.saddles.rear_x_m
    made: list[Check] = []
    for name, up, side, at in (
        ("rear strap", held.rear_up, held.rear_side, cuts.boom_whole.axes.out(-spacing)),
        ("front strap", held.front_up, held.front_side, cuts.boom_whole.axes.out(0.0)),
    ):
        place = cuts.boom_whole.place_m + at
        for limit in straps.limits:
            label = CheckLabel(name, limit.kind, place, limit.unit, limit.words, limit.source)
            demands = _demands(straps, up, side, held.twist, limit.top, limit.sides)
            made.append(check_greatest_pull(label, demands, limit.allowed, cuts.load_kg, **limit.numbers))
        if straps.feet is not None:
            words = "both feet of the strap together use {demand:share} of what the bed's top wall is allowed"
            source = f"{AISC_OR_FACTOR}: AISC 360-10 K2, K3 (from memory)"
            label = CheckLabel(name, "bed's wall under both legs", place, "", words, source)
            across = 1.0 / straps.feet.across_Nm
            half_m = rig.boom.section.depth_m / 2.0
            terms = (1.0 / straps.feet.push_N, up), (across, held.twist), (across * half_m, side)
            made.append(check_sum(label, terms, 1.0, cuts.load_kg))
    return made


def _demands(
    straps: StrapLimits, up: Linear, side: Linear, twist: Linear, top: LegWeights, sides: LegWeights
) -> tuple[Linear, ...]:
    """Every demand of one limit: top corner pressing, a side pressing, and held down or pushed aside without twist."""
    pressed = top_demands(up, side, twist, straps.at, top) if straps.top_counts else ()
    if straps.sides_count:
        return pressed + side_demands(up, side, twist, straps.at, sides)
    aside = side.times(sides.push)
    return pressed + signed_sums(NO_PULL, aside) + signed_sums(up.times(-0.5 * sides.pull), aside)


def flat_m(boom: Boom) -> float:
    """Width of the flat of the boom's top, between its corner radii."""
    return boom.section.width_m - 2.0 * TUBE_OUTSIDE_RADIUS_PER_WALL * boom.section.wall_m
