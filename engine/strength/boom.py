"""The boom: an overhanging beam in two saddles, worst at the front one.

Everything hangs outboard of the front saddle; inboard there is only the tail.  So bending, shear and twist are checked
in the middle of the front strap.  Pin holes run along the boom, and where it is pinned at the front saddle one stands
right there, so the section is always taken net of a hole.  The saddles' edges press on one side wall of the boom with
half the reaction and, as the boom rolls in its straps, with the whole twist on its flat's width (`strap_contact`); near
the boom's end a wall takes half.  What slides the boom along (floor slope, tilt, lean of the jib mast, braking) is held
by the boom pin alone: friction never counts, and on a boom without its pin nothing may hang.  A pin with less play than
the straps leave, or in straps whose gaps nobody entered, takes the boom's twist as well: a couple of its two ends.
"""

from __future__ import annotations

import functools
import math

from engine.base.geometry import Number, Vec, least, where
from engine.base.plain_call import plain_call
from engine.rig.check import Check
from engine.rig.kinematics import Placed
from engine.schema.model import Boom, Job, Policy, Saddles
from engine.schema.steel import design_wall_m
from engine.strength import members, pins, strap_contact, strap_limits
from engine.strength.allowable_stress import AISC_OR_FACTOR, allowable_stress
from engine.strength.cuts import Cuts
from engine.strength.linear_in_load import CheckLabel, Linear, check_greatest_pull, check_resultant, check_unheld
from engine.strength.members import CrossHole, Member
from engine.strength.saddles import flat_m, reactions
from engine.strength.unverified_values import BASE_PLATE_K

AT_FRONT, AT_REAR = "at the front saddle", "at the rear saddle"


def checks(job: Job, placed: Placed, cuts: Cuts) -> list[Check]:
    """The boom at the front saddle, its walls at both saddles, and its pin."""
    boom, policy, load_kg, place = job.rig.boom, job.policy, cuts.load_kg, cuts.boom.place_m
    held, saddles = reactions(job, cuts), job.rig.saddles
    out_m = placed.figures.boom_out_m
    half_strap_m = saddles.strap_length_m / 2.0
    to_end_m = out_m - (saddles.front_x_m + half_strap_m)
    to_tail_m = boom.length_m + saddles.rear_x_m - half_strap_m - out_m
    at_rear = place + cuts.boom.axes.x.times(saddles.rear_x_m - saddles.front_x_m)
    return [
        *members.checks("boom", AT_FRONT, place, boom_member(boom, policy), cuts.boom.forces, load_kg),
        _crushing(job, AT_FRONT, place, (held.front_up, held.twist), to_end_m, load_kg),
        _crushing(job, AT_REAR, at_rear, (held.rear_up, held.twist), to_tail_m, load_kg),
        _pin(job, cuts, held.twist),
        _unpinned(cuts, place),
    ]


def _pin(job: Job, cuts: Cuts, twist: Linear) -> Check:
    """The boom pin at the end that takes more: half of what slides the boom, and the twist where it takes that."""
    boom, saddles = job.rig.boom, job.rig.saddles
    taken = takes_twist(boom, saddles)
    slide, couple = strap_contact.pin_pulls(
        cuts.boom_whole.forces.axial.times(cuts.pinned), twist.times(cuts.pinned), boom.section.width_m
    )
    words = "{demand:N} at one end of the boom's {pin:part} pin, in a wall and a strap's leg, from what slides the boom"
    words += " and from its twist, which the pin takes before the straps do" if taken else ""
    words += "; allowed {allowed:N}"
    source = f"{AISC_OR_FACTOR}: shear of a solid pin, J7"
    label = CheckLabel("boom pin", "double shear and bearing", cuts.boom.place_m, "N", words, source)
    pulls = (slide, couple) if taken else (slide,)
    allowed_N = allowed_pin_end_N(boom, saddles, job.policy)
    return check_resultant(label, pulls, allowed_N, cuts.load_kg, pin=boom.pin.diameter_m)


def takes_twist(boom: Boom, saddles: Saddles) -> bool:
    """Whether the boom pin has less play than the straps leave, so that it takes the boom's twist first."""
    if saddles.side_gap_m is None or saddles.top_gap_m is None:
        return True
    at = strap_limits.strap_of(saddles, boom)[1]
    strap_hole_m = boom.pin.hole_m if saddles.pin_hole_m is None else saddles.pin_hole_m
    pin_rad = strap_contact.pin_touch_rad(boom.section.width_m, boom.pin.hole_m, strap_hole_m, boom.pin.diameter_m)
    return pin_rad < least(saddles.top_gap_m / at.flat_width_m, 2.0 * saddles.side_gap_m / at.flat_depth_m)


def _unpinned(cuts: Cuts, place_m: Vec) -> Check:
    """What hangs on a boom without its pin: nothing but friction holds that, and the next tilt decides."""
    free = 1.0 - cuts.pinned
    hung = Linear(cuts.rigging_kg * free, free)
    words = "{demand:kg} hangs on the boom while its pin is out: nothing but friction would keep the boom from sliding"
    return check_unheld(CheckLabel("boom", "hung without its pin", place_m, "kg", words, "statics"), hung, cuts.load_kg)


@plain_call
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


def _crushing(
    job: Job, at: str, place_m: Vec, pressed: tuple[Linear, Linear], to_end_m: Number, load_kg: Number
) -> Check:
    """One side wall at a saddle's edge, under the saddle's reaction and the boom's whole twist."""
    boom, saddles, policy = job.rig.boom, job.rig.saddles, job.policy
    words = "{demand:N} from the saddle's edge on one side wall, which bears over {bearing:length}; allowed {allowed:N}"
    label = CheckLabel(
        "boom", f"wall crushing {at}", place_m, "N", words, f"{AISC_OR_FACTOR}: J10-2, J10-4 (from memory)"
    )
    up, twist = pressed
    depth_m = boom.section.depth_m
    middle_N, near_N, end_N = allowed_crushing_N(boom, saddles, policy)
    allowed_N = where(to_end_m < depth_m / 2.0, end_N, where(to_end_m <= depth_m, near_N, middle_N))
    forces = strap_contact.wall_forces(up, twist, flat_m(boom)) + strap_contact.wall_forces(
        up.times(-1.0), twist, flat_m(boom)
    )
    bearing_m = strap_limits.bearing_m(saddles)
    return check_greatest_pull(label, forces, allowed_N, load_kg, bearing=bearing_m)


@plain_call
@functools.lru_cache(maxsize=64)
def allowed_crushing_N(boom: Boom, saddles: Saddles, policy: Policy) -> tuple[float, float, float]:
    """Force (N) that one side wall takes from an edge: away from an end, within its depth of one, within half."""
    depth_m = boom.section.depth_m
    far, near, end = (strap_limits.edge_N(boom, saddles, policy, off * depth_m) for off in (math.inf, 0.75, 0.0))
    return far, near, end


@plain_call
@functools.lru_cache(maxsize=64)
def allowed_pin_end_N(boom: Boom, saddles: Saddles, policy: Policy) -> float:
    """Allowed pull (N) on one end of the boom pin, across a side wall and held in a strap's leg."""
    pin_stress, link, strap = (
        allowable_stress(boom.pin.steel, policy, boom.pin.diameter_m),
        allowable_stress(boom.steel, policy, boom.section),
        allowable_stress(saddles.steel, policy, saddles.strap_thickness_m),
    )
    wall = design_wall_m(boom.section, boom.steel)
    return least(
        pins.allowed_shear_N(boom.pin, 1, pin_stress),
        wall * boom.pin.diameter_m * pins.allowed_bearing_Pa(pin_stress, link),
        saddles.strap_thickness_m * boom.pin.diameter_m * pins.allowed_bearing_Pa(pin_stress, strap),
    )
