"""The two saddles: reactions of the boom, straps and their welds.

Moments about the front saddle give the rear reaction, ``-M_bend / spacing`` upwards: with a load ahead it is negative,
so the rear strap holds the boom *down*.  The front saddle takes the rest.  Twist of the boom is a couple of two forces
on the flats of its top and underside, a corner radius in from its sides.  Each strap is checked for the whole couple,
since nobody can say which one fits closer.

Each leg of a strap carries half the hold-down and that couple: in tension; in its weld (one line as long as the strap
is wide, at the foot of each leg, no thicker than the thinner of strap and bed, and in shear of that beside it); and in
bending of the strap's top, which the boom touches beside its corner radius (ends fixed in the legs).  Side reactions
bend the legs as a portal.
"""

from __future__ import annotations

import functools
from typing import NamedTuple

from engine.rig.check import Check
from engine.schema.model import Boom, Job, Policy, Saddles
from engine.schema.sections import TUBE_OUTSIDE_RADIUS_PER_WALL
from engine.strength.allowable_stress import AISC_OR_FACTOR, allowable_stress, weld_stress_Pa, weld_throat_m
from engine.strength.cuts import Cuts
from engine.strength.linear_in_load import CheckLabel, Linear, check_magnitude, check_pull_with_couple


class Reactions(NamedTuple):
    """Reactions of the saddles on the boom (N), and the twist they share (N·m); each linear in the load."""

    front_up: Linear
    rear_up: Linear
    front_side: Linear
    rear_side: Linear
    twist: Linear


class StrapLimits(NamedTuple):
    """Allowed pull on one strap leg, in the order of `_LEG_CHECKS`, and allowed side push on a strap (N)."""

    tension_N: float
    weld_N: float
    top_N: float
    side_N: float


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
    """Both straps: legs in tension, their welds, the top in bending, the legs pushed sideways."""
    held = reactions(job, cuts)
    rig = job.rig
    limits, load_kg = strap_limits(rig.saddles, rig.boom, job.policy), cuts.load_kg
    spacing = rig.saddles.front_x_m - rig.saddles.rear_x_m
    couple = held.twist.times(1.0 / flat_m(rig.boom))
    sizes = {
        "strap": rig.saddles.strap_length_m,
        "thick": rig.saddles.strap_thickness_m,
        "weld": rig.saddles.strap_weld.leg_m,
    }
    checks = []
    for name, up, side, at in (
        ("rear strap", held.rear_up, held.rear_side, cuts.boom_whole.axes.out(-spacing)),
        ("front strap", held.front_up, held.front_side, cuts.boom_whole.axes.out(0.0)),
    ):
        place = cuts.boom_whole.place_m + at
        leg = up.times(-0.5)
        for (kind, words, source), allowed in zip(_LEG_CHECKS, limits, strict=False):
            label = CheckLabel(name, kind, place, "N", words, source)
            checks.append(check_pull_with_couple(label, leg, couple, allowed, load_kg, **sizes))
        words = "{demand:N} pushes the strap's legs sideways; allowed {allowed:N}"
        label = CheckLabel(name, "legs pushed sideways", place, "N", words, f"{AISC_OR_FACTOR}: elastic plate, portal")
        checks.append(check_magnitude(label, side, limits.side_N, load_kg))
    return checks


_LEG_CHECKS = (
    (
        "tension in a leg",
        "{demand:N} holds the boom down in one leg, {strap:length} by {thick:length}; allowed {allowed:N}",
        f"{AISC_OR_FACTOR}: D2",
    ),
    (
        "weld of a leg",
        "{demand:N} in one leg, on {strap:length} of {weld:length} fillet; allowed {allowed:N}",
        f"{AISC_OR_FACTOR}: J2.4",
    ),
    (
        "bending of the top",
        "{demand:N} in one leg bends the strap's top beside the boom's corner; allowed {allowed:N}",
        f"{AISC_OR_FACTOR}: elastic plate",
    ),
)
"""Kind, words and source of each check on one leg."""


def flat_m(boom: Boom) -> float:
    """Width of the flat of the boom's top, between its corner radii."""
    return boom.section.width_m - 2.0 * TUBE_OUTSIDE_RADIUS_PER_WALL * boom.section.wall_m


@functools.lru_cache(maxsize=64)
def strap_limits(saddles: Saddles, boom: Boom, policy: Policy) -> StrapLimits:
    """What one strap leg may carry, and the side push that one strap may carry."""
    steel = allowable_stress(saddles.steel, policy, saddles.strap_thickness_m)
    length, thick = saddles.strap_length_m, saddles.strap_thickness_m
    plate_moment = length * thick**2 / 6.0 * steel.stress_Pa
    span = boom.section.width_m + thick
    near = TUBE_OUTSIDE_RADIUS_PER_WALL * boom.section.wall_m + thick / 2.0
    fixed_share = near * (span - near) / span
    thinner = thick if saddles.bed_section is None else min(thick, saddles.bed_section.wall_m)
    on_weld = weld_throat_m(saddles.strap_weld, thinner) * weld_stress_Pa(saddles.strap_weld, policy, saddles.steel)
    return StrapLimits(
        length * thick * steel.stress_Pa,
        length * min(on_weld, thinner * steel.shear_Pa),
        plate_moment / fixed_share,
        plate_moment * 4.0 / boom.section.depth_m,
    )
