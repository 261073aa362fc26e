"""The hook pin through the end of the last link: shear, bending over the gap, bearing on the walls, tear-out.

The pin goes across through both side walls.  The pull counts at the middle of the pin unless the free gap between wall
and hook is entered.  The walls count with their design thickness; the distance to an edge is the smaller of those to
tube end and tube underside, whichever way the pull leans.
"""

from __future__ import annotations

import functools
from typing import NamedTuple

from engine.base.geometry import GRAVITY_M_S2, Number
from engine.rig.check import Check
from engine.schema.model import Hook, Job, Policy
from engine.schema.sections import RectTube, RoundTube, outer_depth_m, outer_width_m
from engine.schema.steel import design_wall_m
from engine.strength import hoop, pins
from engine.strength.allowable_stress import AISC_OR_FACTOR, allowable_stress
from engine.strength.cuts import Cuts
from engine.strength.linear_in_load import CheckLabel, Linear, check_resultant, check_worst_resultants

MARK = "mark on the hook or shackle"


def checks(job: Job, cuts: Cuts) -> list[Check]:
    """Everything from the load to the end of the last link."""
    hook, policy, cut, load_kg = job.rig.hook, job.policy, cuts.hook, cuts.load_kg
    link = job.rig.arms[cuts.arms[-1][0]] if cuts.arms else job.rig.boom
    forces = cut.forces
    pull = (forces.axial, forces.shear_up, forces.shear_side)
    limits = pull_limits(hook, link.section, link.steel, policy)
    numbers: dict[str, Number | str] = {
        "pin": hook.pin.diameter_m,
        "wall": limits.wall_m,
        "edge": hook.edge_m,
        "span": limits.span_m,
    }
    place = cut.place_m
    labels = (CheckLabel("hook pin", kind, place, "N", words, source) for kind, words, source in _PIN_CHECKS)
    on_pin = check_worst_resultants(zip(labels, limits, strict=False), (pull,), load_kg, numbers)
    on_hoop = [] if hook.hoop is None else hoop.checks(hook.hoop, limits.wall_m, policy, place, pull, load_kg)
    on_mark = [] if hook.rated_kg is None else [_mark_check(cuts, hook.rated_kg)]
    return [*on_pin, *on_hoop, *on_mark]


_PIN_CHECKS = (
    (
        "double shear",
        "pull {demand:N} on a {pin:length} pin in double shear; allowed {allowed:N}",
        f"{AISC_OR_FACTOR}: shear of a solid pin",
    ),
    (
        "bending over the gap",
        "pull {demand:N} bends the {pin:length} pin over {span:length}; allowed {allowed:N}",
        f"{AISC_OR_FACTOR}: F11",
    ),
    (
        "bearing on the walls",
        "pull {demand:N} on two walls of {wall:length}, pin {pin:length}; allowed {allowed:N}",
        f"{AISC_OR_FACTOR}: J7",
    ),
    (
        "tear-out of the walls",
        "pull {demand:N} on two walls of {wall:length}, pin centre {edge:length} from the end; allowed {allowed:N}",
        f"{AISC_OR_FACTOR}: D5.1, J4.2",
    ),
)


class PullLimits(NamedTuple):
    """Allowed pulls (N) in the order of `_PIN_CHECKS`, then the wall and the bending span for the words."""

    shear_N: float
    bending_N: float
    bearing_N: float
    tear_out_N: float
    wall_m: float
    span_m: float


@functools.lru_cache(maxsize=64)
def pull_limits(hook: Hook, section: RectTube | RoundTube, steel: str, policy: Policy) -> PullLimits:
    """What the pin and the walls of the last link allow of the pull at the hook."""
    pin = hook.pin
    pin_stress, link = allowable_stress(pin.steel, policy), allowable_stress(steel, policy)
    wall = design_wall_m(section, steel)
    bearing = pins.allowed_bearing_Pa(pin_stress, link)
    moment = pins.allowed_bending_Nm(pin, pin_stress)
    span = outer_width_m(section) - wall
    if hook.gap_m is None:
        bending = 4.0 * moment / span
    else:
        bending = pins.pull_by_bending_double_N(pin, hook.gap_m, moment, bearing)
        span = hook.gap_m
    edge = min(hook.edge_m, outer_depth_m(section) / 2.0)
    return PullLimits(
        pins.allowed_shear_N(pin, 2, pin_stress),
        bending,
        bearing * pin.diameter_m * 2.0 * wall,
        2.0 * pins.allowed_plate_N(pin, wall, edge, link),
        wall,
        span,
    )


def _mark_check(cuts: Cuts, rated_kg: float) -> Check:
    """The hook load as felt (rigging, load, dynamic factor, swing) against the mark."""
    forces = cuts.hook.forces
    pull = tuple(
        Linear(part.per_kg * cuts.rigging_kg, part.per_kg)
        for part in (forces.axial, forces.shear_up, forces.shear_side)
    )
    words = "hook load as felt {demand:N}; the hook is marked {rated:kg}"
    label = CheckLabel("hook", "mark", cuts.hook.place_m, "N", words, MARK)
    return check_resultant(label, pull, rated_kg * GRAVITY_M_S2, cuts.load_kg, rated=rated_kg)
