"""The boom: an overhanging beam in two saddles, worst at the front one.

Everything hangs outboard of the front saddle; inboard there is only the tail.  So bending, shear and twist are checked
in the middle of the front strap.  Pin holes run along the boom, and where it is pinned at the front saddle one stands
right there, so the section is always taken net of a hole.  The saddles' reactions press on the boom at their edges
(wall crushing).  What slides the boom along (floor slope, tilt, lean of the jib mast, braking) is held by the boom pin
alone: friction never counts, and on a boom without its pin nothing may hang.
"""

from __future__ import annotations

import functools
import math

from engine.base.geometry import Number, Vec
from engine.rig.check import Check
from engine.schema.model import Boom, Job, Policy, Saddles
from engine.schema.steel import design_wall_m
from engine.strength import members, pins
from engine.strength.allowable_stress import AISC_OR_FACTOR, allowable_stress
from engine.strength.cuts import Cuts
from engine.strength.linear_in_load import CheckLabel, Linear, check_magnitude, check_unheld
from engine.strength.members import CrossHole, Member
from engine.strength.saddles import reactions
from engine.strength.unverified_values import (
    BASE_PLATE_K,
    CRIPPLING,
    CRIPPLING_END,
    CRIPPLING_OMEGA,
    YIELDING_OMEGA,
    YIELDING_SPREAD,
)

AT_FRONT = "at the front saddle"


def checks(job: Job, cuts: Cuts) -> list[Check]:
    """The boom at the front saddle, its walls at both saddles, and its pin."""
    boom, policy, load_kg, place = job.rig.boom, job.policy, cuts.load_kg, cuts.boom.place_m
    held = reactions(job, cuts)
    middle_N, end_N = allowed_crushing_N(boom, policy)
    spacing = job.rig.saddles.front_x_m - job.rig.saddles.rear_x_m
    at_rear = place + cuts.boom.axes.x.times(-spacing)
    words = "{demand:N} slides the boom along; its {pin:length} pin, in two walls and two straps, allows {allowed:N}"
    source = f"{AISC_OR_FACTOR}: shear of a solid pin, J7"
    pin = CheckLabel("boom pin", "double shear and bearing", place, "N", words, source)
    pin_N = allowed_pin_N(boom, job.rig.saddles, policy)
    sliding = cuts.boom_whole.forces.axial.times(cuts.pinned)
    return [
        *members.checks("boom", AT_FRONT, place, boom_member(boom, policy), cuts.boom.forces, load_kg),
        _crushing(AT_FRONT, place, held.front_up, middle_N, load_kg),
        _crushing("at the rear saddle", at_rear, held.rear_up, end_N, load_kg),
        check_magnitude(pin, sliding, pin_N, load_kg, pin=boom.pin.diameter_m),
        _unpinned(cuts, place),
    ]


def _unpinned(cuts: Cuts, place_m: Vec) -> Check:
    """What hangs on a boom without its pin: nothing but friction holds that, and the next tilt decides."""
    free = 1.0 - cuts.pinned
    hung = Linear(cuts.rigging_kg * free, free)
    words = "{demand:kg} hangs on the boom while its pin is out: nothing but friction would keep the boom from sliding"
    return check_unheld(CheckLabel("boom", "hung without its pin", place_m, "kg", words, "statics"), hung, cuts.load_kg)


@functools.lru_cache(maxsize=64)
def boom_member(boom: Boom, policy: Policy) -> Member:
    """The boom's section in the front saddle, net of a pin hole at its place in the walls (``hole_edge_m``)."""
    off = 0.0 if boom.hole_edge_m is None else boom.hole_edge_m - boom.section.depth_m / 2.0
    return members.member_of(
        boom.section,
        boom.steel,
        policy,
        unbraced_m=boom.length_m,
        column_m=BASE_PLATE_K * boom.length_m,
        hole=CrossHole(boom.pin.hole_m, off),
    )


def _crushing(at: str, place_m: Vec, force: Linear, allowed_N: float, load_kg: Number) -> Check:
    words = "{demand:N} from the saddle's edge on two walls; allowed {allowed:N}"
    label = CheckLabel(
        "boom", f"wall crushing {at}", place_m, "N", words, f"{AISC_OR_FACTOR}: J10-2, J10-4 (from memory)"
    )
    return check_magnitude(label, force, allowed_N, load_kg)


@functools.lru_cache(maxsize=64)
def allowed_crushing_N(boom: Boom, policy: Policy) -> tuple[float, float]:
    """Force (N) that both side walls take from an edge across the boom: away from an end, and near one.

    Local yielding ``2 Fy t 5 k`` (half near an end) and crippling ``2 * 0.80 t^2 sqrt(E Fy)`` (0.40), k being the
    smallest outside corner radius, 1.5 t; the edge has no length.  Both over their Omega or the design factor.
    """
    wall = design_wall_m(boom.section, boom.steel)
    steel = allowable_stress(boom.steel, policy, boom.section)
    fy = steel.grade.yield_Pa
    yielding = 2.0 * fy * wall * YIELDING_SPREAD * 1.5 * wall / max(YIELDING_OMEGA, policy.design_factor)
    strength = 2.0 * wall**2 * math.sqrt(members.E_PA * fy) / max(CRIPPLING_OMEGA, policy.design_factor)
    return min(yielding, CRIPPLING * strength), min(yielding / 2.0, CRIPPLING_END * strength)


@functools.lru_cache(maxsize=64)
def allowed_pin_N(boom: Boom, saddles: Saddles, policy: Policy) -> float:
    """Allowed pull (N) along the boom on its pin, across both side walls and held in the strap's two legs."""
    pin_stress, link, strap = (
        allowable_stress(boom.pin.steel, policy, boom.pin.diameter_m),
        allowable_stress(boom.steel, policy, boom.section),
        allowable_stress(saddles.steel, policy, saddles.strap_thickness_m),
    )
    wall = design_wall_m(boom.section, boom.steel)
    return min(
        pins.allowed_shear_N(boom.pin, 2, pin_stress),
        2.0 * wall * boom.pin.diameter_m * pins.allowed_bearing_Pa(pin_stress, link),
        2.0 * saddles.strap_thickness_m * boom.pin.diameter_m * pins.allowed_bearing_Pa(pin_stress, strap),
    )
