"""The hook pin through the end of the last link: shear, bending over the gap, bearing on the walls, tear-out.

The pin goes across through both side walls.  The pull counts at the middle of the pin unless the free gap between wall
and hook is entered.  The walls count with their design thickness; the distance to an edge is the smaller of those to
tube end and tube underside, whichever way the pull leans.
"""

from __future__ import annotations

import functools
from typing import NamedTuple

from engine.base.geometry import Number, least
from engine.base.plain_call import plain_call
from engine.rig.check import Check
from engine.schema.connections import HookBefore, ThroughPin
from engine.schema.model import Arm, Boom, Policy
from engine.schema.sections import RectTube, RoundTube, outer_depth_m, outer_width_m
from engine.schema.steel import design_wall_m
from engine.strength import pins
from engine.strength.allowable_stress import AISC_OR_FACTOR, allowable_stress
from engine.strength.cuts import Cuts
from engine.strength.linear_in_load import CheckLabel, Linear, check_worst_resultants


def checks(held: ThroughPin | HookBefore, on: Boom | Arm, policy: Policy, cuts: Cuts) -> list[Check]:
    """The hook pin and the walls it goes through."""
    limits = pull_limits(held, on.section, on.steel, policy)
    numbers: dict[str, Number | str] = {
        "pin": held.pin.diameter_m,
        "wall": limits.wall_m,
        "edge": held.edge_m,
        "span": limits.span_m,
    }
    labels = (
        CheckLabel("hook pin", kind, cuts.hook.place_m, "N", words, source) for kind, words, source in _PIN_CHECKS
    )
    return check_worst_resultants(zip(labels, limits, strict=False), (pull_at(cuts),), cuts.load_kg, numbers)


def pull_at(cuts: Cuts) -> tuple[Linear, Linear, Linear]:
    """The pull at the hook along the last link, up and to its left."""
    forces = cuts.hook.forces
    return forces.axial, forces.shear_up, forces.shear_side


_PIN_CHECKS = (
    (
        "double shear",
        "pull {demand:N} on a {pin:part} pin in double shear; allowed {allowed:N}",
        f"{AISC_OR_FACTOR}: shear of a solid pin",
    ),
    (
        "bending over the gap",
        "pull {demand:N} bends the {pin:part} pin over {span:length}; allowed {allowed:N}",
        f"{AISC_OR_FACTOR}: F11",
    ),
    (
        "bearing on the walls",
        "pull {demand:N} on two walls of {wall:part}, pin {pin:part}; allowed {allowed:N}",
        f"{AISC_OR_FACTOR}: J7",
    ),
    (
        "tear-out of the walls",
        "pull {demand:N} on two walls of {wall:part}, pin centre {edge:length} from the end; allowed {allowed:N}",
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


@plain_call
@functools.lru_cache(maxsize=64)
def pull_limits(held: ThroughPin | HookBefore, section: RectTube | RoundTube, steel: str, policy: Policy) -> PullLimits:
    """What the pin and the walls of the last link allow of the pull at the hook."""
    pin = held.pin
    pin_stress = allowable_stress(pin.steel, policy, pin.diameter_m)
    link = allowable_stress(steel, policy, section)
    wall = design_wall_m(section, steel)
    bearing = pins.allowed_bearing_Pa(pin_stress, link)
    moment = pins.allowed_bending_Nm(pin, pin_stress)
    span = outer_width_m(section) - wall
    if held.gap_m is None:
        bending = 4.0 * moment / span
    else:
        bending = pins.pull_by_bending_double_N(pin, held.gap_m, moment, bearing)
        span = held.gap_m
    edge = least(held.edge_m, outer_depth_m(section) / 2.0)
    return PullLimits(
        pins.allowed_shear_N(pin, 2, pin_stress),
        bending,
        bearing * pin.diameter_m * 2.0 * wall,
        2.0 * pins.allowed_plate_N(pin, wall, edge, link),
        wall,
        span,
    )
