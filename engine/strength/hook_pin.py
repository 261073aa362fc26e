"""The hook pin through the end of the last link: shear, bending over the gap, bearing on the walls, tear-out.

The pin goes across through both side walls.  What hangs on it takes the pull at the middle of the pin unless the free
gap between wall and hook is entered.  The walls are held with their design thickness; distances to an edge are taken
as the smaller of tube end and tube underside, whichever way the pull leans.
"""

from __future__ import annotations

import functools

from engine.base.geometry import GRAVITY_M_S2
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
    section, steel = (
        (job.rig.arms[cuts.arms[-1][0]].section, job.rig.arms[cuts.arms[-1][0]].steel)
        if cuts.arms
        else (job.rig.boom.section, job.rig.boom.steel)
    )
    forces = cut.forces
    pull = (forces.axial, forces.shear_up, forces.shear_side)
    allowed = _allowed_N(job.rig.hook, section, steel, policy)
    numbers = {"pin": hook.pin.diameter_m, "wall": allowed[4], "edge": hook.edge_m, "span": allowed[5]}
    place = cut.place_m
    labels = (CheckLabel("hook pin", kind, place, "N", words, source) for kind, words, source in _KINDS)
    found = check_worst_resultants(zip(labels, allowed, strict=False), (pull,), load_kg, numbers)
    if hook.hoop is not None:
        found += hoop.checks(hook.hoop, allowed[4], policy, place, pull, load_kg)
    if hook.rated_kg is not None:
        found.append(_rated(cuts, hook.rated_kg))
    return found


_KINDS = (
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


@functools.lru_cache(maxsize=64)
def _allowed_N(hook: Hook, section: RectTube | RoundTube, steel: str, policy: Policy) -> tuple[float, ...]:
    """Allowed pulls in the order of ``_KINDS``, then the wall and the bending span for the words."""
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
    return (
        pins.allowed_shear_N(pin, 2, pin_stress),
        bending,
        bearing * pin.diameter_m * 2.0 * wall,
        2.0 * pins.allowed_plate_N(pin, wall, edge, link),
        wall,
        span,
    )


def _rated(cuts: Cuts, rated_kg: float) -> Check:
    """The hook load as felt (rigging, load, dynamic factor, swing) against the mark."""
    forces, rigging_kg = cuts.hook.forces, cuts.rigging_kg
    each = (forces.axial.per_kg, forces.shear_up.per_kg, forces.shear_side.per_kg)
    pull = tuple(Linear(per_kg * rigging_kg, per_kg) for per_kg in each)
    words = "hook load as felt {demand:N}; the hook is marked {rated:kg}"
    label = CheckLabel("hook", "mark", cuts.hook.place_m, "N", words, MARK)
    return check_resultant(label, pull, rated_kg * GRAVITY_M_S2, cuts.load_kg, rated=rated_kg)
