"""The cross-member's ends on the sleeves' sides: their weld, and the sleeve's wall.

Each end hands its sleeve's weight, half of what slides the rig, and its half's twist to the sleeve, in every case of
the base (``base_on_forks``).  The blade may bear at one edge of the sleeve, so the weight comes with a moment of half
the blade's width.  The weld stands on the side wall, whose flat ends at its corner radius: a cross-member as deep as
its sleeve has no room for a fillet above and below, and the groove beside the corner counts only where it is filled.

In its own axes the end is a standing part: its depth lies fore and aft, its width upright.  The magnitudes of all
components are added at every point of the weld, so that no sign is missed.
"""

from __future__ import annotations

import functools
from collections.abc import Callable

import msgspec

from engine.base.geometry import Number, Vec, most, sqrt
from engine.base.plain_call import plain_call
from engine.rig.check import Check
from engine.schema.connections import FACES, Weld
from engine.schema.model import Job, Policy, Sleeves
from engine.schema.steel import design_wall_m, entered_wall_m
from engine.schema.thin_end import as_entered
from engine.strength import laid_welds, wall_patch, weld_lines
from engine.strength.allowable_stress import AISC_OR_FACTOR, allowable_stress
from engine.strength.base_on_forks import Bounds
from engine.strength.cuts import Cuts
from engine.strength.laid_welds import LaidWeld
from engine.strength.linear_in_load import CheckLabel, Linear, check_magnitude, check_use, worse_of
from engine.strength.sleeves import TWIST_BESIDE_BENDING, base_bounds
from engine.strength.wall_patch import Patch, Wall

PART = "cross-member"
STATICS = "statics of two sleeves on their forks, the worst of all ways to share the roll"
WORDS = "twist {twist:Nm} and {weight:N} at the cross-member's end use {demand:share} of its weld %s, {leg:weld} legs"
WALL_WORDS = (
    "{demand:Nm} turns the cross-member's end on the sleeve's wall, {wall:part} thick, where the fork bears at one "
    "edge; allowed {allowed:Nm}"
)


NO_ROOM = 2.0
"""Use of a weld that has no room on any face: over at every load."""


class CrossEnd(msgspec.Struct, frozen=True):
    """The weld of one end, the twist it holds alone (N·m), and the moment its sleeve's wall holds (N·m)."""

    laid: LaidWeld
    twist_Nm: float
    wall_Nm: float
    wall_m: float


def checks(job: Job, cuts: Cuts) -> list[Check]:
    """Weld and sleeve wall at the cross-member's ends; none without a weld (`engine.rig.completeness` says so)."""
    weld = job.rig.sleeves.cross_weld
    if weld is None:
        return []
    end, base = cross_end(job.rig.sleeves, weld, job.policy), base_bounds(job, cuts)
    place_m = cuts.forks.place_m + cuts.forks.axes.out(base.base.foot_m)
    full_Nm = cross_end(as_entered(job.rig.sleeves), as_entered(weld), job.policy).twist_Nm
    return [_weld_check(job, cuts, base, end, full_Nm), _wall_check(job, cuts, base, end, place_m)]


def _weld_check(job: Job, cuts: Cuts, base: Bounds, end: CrossEnd, full_Nm: float) -> Check:
    """The weld; ``full_Nm`` is the twist that it takes as entered, so that a thinner one has the same bounds."""
    load_kg, lever_m = cuts.load_kg, job.truck.forks.width_m / 2.0
    slide = cuts.forks.forces.axial.times(0.5)
    in_play = base.twists(TWIST_BESIDE_BENDING * full_Nm)
    uses = []
    for stiff, free, others in zip(base.stiff, base.free, in_play, strict=True):
        twists: tuple[Callable[[Number], Number], ...] = (_size(stiff.half_twist), _size(free.half_twist), *others)
        uses.append(_use_of(end.laid, slide, stiff.weight, lever_m, twists))
    place_m = cuts.forks.place_m + cuts.forks.axes.out(base.base.foot_m)
    words = WORDS.replace("%s", end.laid.faces) if end.laid.group.lines else laid_welds.NOWHERE.replace("%s", PART)
    label = CheckLabel(PART, "weld to the sleeves", place_m, "", words, f"{STATICS}; {laid_welds.SOURCE}")
    return check_use(
        label,
        lambda load: most(*(use(load) for use in uses)),
        load_kg,
        twist=most(*(abs(seat.half_twist.at(load_kg)) for seat in (*base.stiff, *base.free))),
        weight=most(*(abs(seat.weight.at(load_kg)) for seat in base.stiff)),
        leg=end.laid.leg_m,
    )


def _size(value: Linear) -> Callable[[Number], Number]:
    return lambda load_kg: abs(value.at(load_kg))


def _use_of(
    laid: LaidWeld,
    slide: Linear,
    weight: Linear,
    lever_m: float,
    twists: tuple[Callable[[Number], Number], ...],
) -> Callable[[Number], Number]:
    """Use of the weld of one end, as a function of the load."""
    points = [point for point in laid.group.points if point.allowed_N_m > 0.0]
    if not points:
        return lambda load_kg: NO_ROOM + 0.0 * load_kg  # of the load's own shape

    def use(load_kg: Number) -> Number:
        along, up = abs(slide.at(load_kg)), abs(weight.at(load_kg))
        twist: Number = 0.0
        for value in twists:
            twist = most(twist, value(load_kg))
        worst: Number = 0.0
        for point in points:
            normal = abs(point.normal[2]) * up * lever_m
            x, y = (
                abs(weights[0]) * along + abs(weights[1]) * up + abs(weights[2]) * twist
                for weights in (point.along_x, point.along_y)
            )
            worst = most(worst, sqrt(normal * normal + x * x + y * y) / point.allowed_N_m)
        return worst

    return use


def _wall_check(job: Job, cuts: Cuts, base: Bounds, end: CrossEnd, place_m: Vec) -> Check:
    label = CheckLabel(
        PART,
        "sleeve's wall at its end",
        place_m,
        "Nm",
        WALL_WORDS,
        f"{AISC_OR_FACTOR}: AISC 360-10 chapter K (from memory)",
    )
    lever_m = job.truck.forks.width_m / 2.0
    return worse_of(
        *(
            check_magnitude(label, seat.weight.times(lever_m), end.wall_Nm, cuts.load_kg, wall=end.wall_m)
            for seat in base.stiff
        )
    )


@plain_call
@functools.lru_cache(maxsize=64)
def cross_end(sleeves: Sleeves, weld: Weld, policy: Policy) -> CrossEnd:
    """Weld and sleeve wall of one end of the cross-member."""
    cross, sleeve = sleeves.cross_section, sleeves.section
    cross_wall_m, sleeve_wall_m = design_wall_m(cross, sleeves.steel), design_wall_m(sleeve, sleeves.steel)
    joined = laid_welds.joined_of(policy, (sleeves.steel, cross, cross_wall_m), (sleeves.steel, sleeve, sleeve_wall_m))
    receiver = weld_lines.tube_along(sleeve.depth_m, sleeve.wall_m)
    deposit, faces = laid_welds.deposit_of(weld), FACES[weld.faces]
    group = weld_lines.laid(cross.depth_m, cross.width_m, receiver, deposit, joined, faces)
    turned_N_m = max((abs(point.along_x[2]) + abs(point.along_y[2]) for point in group.points), default=0.0)
    yield_Pa = allowable_stress(sleeves.steel, policy, sleeve).grade.yield_Pa
    limits = wall_patch.under_tube(
        Wall(sleeve.depth_m, sleeve.width_m, sleeve_wall_m, yield_Pa, entered_wall_m(sleeve, sleeves.steel)),
        Patch(cross.depth_m, cross.width_m),
        policy.design_factor,
        wall_patch.branches(cross, (cross_wall_m, entered_wall_m(cross, sleeves.steel)), yield_Pa),
    )
    return CrossEnd(
        laid=laid_welds.laid_weld(group, weld, joined),
        twist_Nm=group.allowed_N_m / turned_N_m if turned_N_m > 0.0 else 1.0,
        wall_Nm=limits.across_Nm,
        wall_m=sleeve_wall_m,
    )
