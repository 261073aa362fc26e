"""The hinge of an arm: what hangs outboard turns into a couple on two barrels.

Two barrels a spacing h apart carry the moment across the hinge pin, so each takes ``M / h`` besides half of the force
across the pin; the force along the pin sits on one thrust face.  The pin is in shear between lug and barrel: in one
plane where each barrel has one lug, in two where it sits between two (`Hinge.shear_planes`).  Friction does not count.
About the pin itself a standing hinge turns freely and carries no moment; a level one needs a stay (`Arm.stay_Nm`),
which is checked here: without one the check fails.

The lug is a cantilever plate as wide as its weld, reaching out by the larger of the pin's edge distance and half the
barrel.  It is pulled, bent in its plane when the arm is turned, and bent out of its plane by the thrust and, with one
lug, by the tilting pin.  Its two weld lines, and the barrel's two, carry the same.  Magnitudes are added.
"""

from __future__ import annotations

import functools
import math
from typing import NamedTuple, assert_never

from engine.base.geometry import Axes, Number, sqrt
from engine.rig.check import Check, Unit
from engine.rig.kinematics import Placed
from engine.schema.joints import LevelJoint, StandingJoint
from engine.schema.model import Arm, Hinge, Job, Policy
from engine.strength import pins
from engine.strength.allowable_stress import AISC_OR_FACTOR, allowable_stress, weld_stress_Pa, weld_throat_m
from engine.strength.cuts import Cut, Cuts
from engine.strength.linear_in_load import (
    CheckLabel,
    Linear,
    check_magnitude,
    check_sum,
    check_whatever_load,
    check_worst_resultants,
)

NO_STAY = (
    "moment {demand:Nm} turns {arm} down about its level hinge, and nothing entered holds it up: "
    "enter the stay, ram or stop"
)
STAY = "moment {demand:Nm} about the level hinge of {arm}; its stay is good for {allowed:Nm}"


class BarrelPulls(NamedTuple):
    """Pulls on one hinge in the arm's own axes, each linear in the load.

    ``upper`` and ``lower`` are the forces across the pin at the two barrels (along the arm, and square to it),
    ``thrust`` the force along the pin.  ``moment`` is the moment across the pin that makes the couple.
    """

    upper: tuple[Linear, Linear]
    lower: tuple[Linear, Linear]
    thrust: Linear
    moment: tuple[Linear, Linear]


class BarrelLimits(NamedTuple):
    """Pull on one barrel (N) at which pin, plates and faces reach their limits; in the order of `_BARREL_CHECKS`."""

    shear_N: float
    bending_N: float
    lug_bearing_N: float
    barrel_bearing_N: float
    lug_plate_N: float
    thrust_N: float


def checks(job: Job, placed: Placed, cuts: Cuts) -> list[Check]:
    """Every fitted arm's hinge; its lugs stand on the link before it."""
    inner = [placed.frames["boom"].axes, *(cut.axes for _, cut in cuts.arms)]
    return [
        check
        for (index, cut), lug_axes in zip(cuts.arms, inner, strict=False)
        for check in _hinge_checks(job.rig.arms[index], cut, lug_axes, job.policy, cuts.load_kg)
    ]


def barrel_pulls(arm: Arm, cut: Cut) -> BarrelPulls:
    """Force and moment at the hinge axis as pulls on its two barrels.

    For a standing pin (z) with barrels at +-h/2: ``upper = F/2 + (My, -Mx)/h``, ``lower = F/2 - (My, -Mx)/h``; for a
    level pin (y) in the same way ``(-Mz, Mx)/h`` in x and z.
    """
    forces = cut.forces
    per = 1.0 / arm.hinge.spacing_m
    match arm.joint:
        case StandingJoint():
            turned = (forces.bend_up.times(per), forces.twist.times(-per))
            across, thrust = (forces.axial, forces.shear_side), forces.shear_up
            moment = (forces.bend_up, forces.twist)
        case LevelJoint():
            turned = (forces.bend_side.times(-per), forces.twist.times(per))
            across, thrust = (forces.axial, forces.shear_up), forces.shear_side
            moment = (forces.bend_side, forces.twist)
        case _ as joint:
            assert_never(joint)
    half = (across[0].times(0.5), across[1].times(0.5))
    return BarrelPulls(
        (half[0].plus(turned[0]), half[1].plus(turned[1])),
        (half[0].plus(turned[0], -1.0), half[1].plus(turned[1], -1.0)),
        thrust,
        moment,
    )


def thickest_m(hinge: Hinge) -> float:
    """Thickness of the hinge's thickest steel, lug or barrel: one grade is entered for both."""
    return max(hinge.lug_thickness_m, (hinge.barrel_outer_m - hinge.pin.hole_m) / 2.0)


@functools.lru_cache(maxsize=64)
def allowed_pulls(hinge: Hinge, policy: Policy) -> BarrelLimits:
    """Pulls that one barrel of a hinge may carry."""
    pin_stress = allowable_stress(hinge.pin.steel, policy, hinge.pin.diameter_m)
    plate = allowable_stress(hinge.steel, policy, thickest_m(hinge))
    pin, gap = hinge.pin, hinge.gap_m
    pressure = pins.allowed_bearing_Pa(pin_stress, plate)
    line = pressure * pin.diameter_m
    moment = pins.allowed_bending_Nm(pin, pin_stress)
    planes = hinge.shear_planes
    if planes == 1:
        lug_length = pins.single_shear_length_m(hinge.lug_thickness_m, gap)
        barrel_length = pins.single_shear_length_m(hinge.barrel_length_m, gap)
        bending = pins.pull_by_bending_single_N(pin, gap, moment, pressure)
    else:
        lug_length, barrel_length = hinge.lug_thickness_m, hinge.barrel_length_m
        bending = pins.pull_by_bending_double_N(pin, gap, moment, pressure)
    face = math.pi / 4.0 * (hinge.barrel_outer_m**2 - pin.hole_m**2)
    return BarrelLimits(
        pins.allowed_shear_N(pin, planes, pin_stress),
        bending,
        planes * line * lug_length,
        line * barrel_length,
        planes * pins.allowed_plate_N(pin, lug_length, hinge.lug_edge_m, plate),
        plate.bearing_Pa * face,
    )


_BARREL_CHECKS = (
    (
        "pin shear",
        "{demand:N} on each barrel ({moment:Nm} over {spacing:length}) cuts the {pin:length} pin in {planes} plane(s); "
        "allowed {allowed:N}",
        f"{AISC_OR_FACTOR}: shear of a solid pin",
    ),
    (
        "pin bending over the lug gap",
        "{demand:N} on each barrel bends the {pin:length} pin over a gap of {gap:length}; allowed {allowed:N}",
        f"{AISC_OR_FACTOR}: F11; bearing lengths by Johansen 1949",
    ),
    (
        "bearing on the lug",
        "{demand:N} on each barrel bears on lugs of {lug:length}; allowed {allowed:N}",
        f"{AISC_OR_FACTOR}: J7; bearing length by Johansen 1949",
    ),
    (
        "bearing in the barrel",
        "{demand:N} bears in each barrel, {barrel:length} long; allowed {allowed:N}",
        f"{AISC_OR_FACTOR}: J7; bearing length by Johansen 1949",
    ),
    (
        "lug tear-out",
        "{demand:N} on each barrel pulls at lugs of {lug:length}, hole centre {edge:length} from the edge; "
        "allowed {allowed:N}",
        f"{AISC_OR_FACTOR}: D5.1, J4.2",
    ),
)
"""Kind, words and source of each check on one barrel."""


def _hinge_checks(arm: Arm, cut: Cut, lug_axes: Axes, policy: Policy, load_kg: Number) -> list[Check]:
    hinge, part, place = arm.hinge, f"{arm.name} hinge", cut.place_m
    pulled, limits = barrel_pulls(arm, cut), allowed_pulls(hinge, policy)
    barrels = (pulled.upper, pulled.lower)
    first, second = (moment.at(load_kg) for moment in pulled.moment)
    common = {
        "moment": sqrt(first * first + second * second),
        "spacing": hinge.spacing_m,
        "pin": hinge.pin.diameter_m,
        "planes": str(hinge.shear_planes),
        "gap": hinge.gap_m,
        "lug": hinge.lug_thickness_m,
        "barrel": hinge.barrel_length_m,
        "edge": hinge.lug_edge_m,
    }
    labels = (CheckLabel(part, kind, place, "N", words, source) for kind, words, source in _BARREL_CHECKS)
    on_barrel = check_worst_resultants(zip(labels, limits, strict=False), barrels, load_kg, common)
    words = "{demand:N} along the pin sits on one thrust face of {outer:length}; allowed {allowed:N}"
    label = CheckLabel(part, "thrust face", place, "N", words, f"{AISC_OR_FACTOR}: J7")
    thrust = check_magnitude(label, pulled.thrust, limits.thrust_N, load_kg, outer=hinge.barrel_outer_m)
    checks = [*on_barrel, thrust, *_plate_checks(arm, cut, pulled, lug_axes, policy, load_kg)]
    match arm.joint:
        case StandingJoint():
            return checks
        case LevelJoint():
            return [*checks, _stay_check(arm, cut, part, load_kg)]
        case _ as joint:
            assert_never(joint)


def _plate_checks(
    arm: Arm, cut: Cut, pulled: BarrelPulls, lug_axes: Axes, policy: Policy, load_kg: Number
) -> list[Check]:
    """Lug at its root, lug weld and barrel weld."""
    hinge, place, part = arm.hinge, cut.place_m, f"{arm.name} hinge"
    along, across = _on_lug(arm, cut.axes, lug_axes, pulled)
    thrust, lug = pulled.thrust, plate_stresses(hinge, policy)
    on_barrel = (pulled.upper[0], pulled.lower[0]), (pulled.upper[1], pulled.lower[1])
    root = (*_barrel_terms(lug.pull, along), *_barrel_terms(lug.sideways, across), (lug.thrust, thrust))
    weld = (*_barrel_terms(lug.weld_pull, along), *_barrel_terms(lug.weld_sideways, across), (lug.weld_thrust, thrust))
    barrel = (
        *_barrel_terms(lug.barrel_pull, on_barrel[0]),
        *_barrel_terms(lug.barrel_sideways, on_barrel[1]),
        (lug.barrel_thrust, thrust),
    )
    sizes = {
        "lug": hinge.lug_thickness_m,
        "leg": hinge.weld.leg_m,
        "width": lug.width_m,
        "barrel": hinge.barrel_length_m,
    }
    return [
        check_sum(CheckLabel(part, kind, place, unit, words, source), terms, allowed, load_kg, **sizes)
        for (kind, unit, words, source), terms, allowed in zip(
            _PLATE_CHECKS, (root, weld, barrel), (lug.stress_Pa, lug.weld_Pa, lug.weld_Pa), strict=True
        )
    ]


_PLATE_CHECKS: tuple[tuple[str, Unit, str, str], ...] = (
    (
        "lug at its root",
        "Pa",
        "pull, turned pull and thrust stress the {lug:length} lug, {width:length} wide at its root, with {demand:Pa}; "
        "allowed {allowed:Pa}",
        f"{AISC_OR_FACTOR}: elastic plate",
    ),
    (
        "lug weld",
        "Pa",
        "{demand:Pa} on the throat of the {leg:length} fillets of the lugs, {width:length} long; allowed {allowed:Pa}",
        f"{AISC_OR_FACTOR}: J2.4, elastic",
    ),
    (
        "barrel weld",
        "Pa",
        "{demand:Pa} on the throat of the {leg:length} fillets of the barrels, {barrel:length} long; "
        "allowed {allowed:Pa}",
        f"{AISC_OR_FACTOR}: J2.4, elastic",
    ),
)
"""Kind, unit, words and source of each check on lug and welds."""


def _barrel_terms(weight: float, barrels: tuple[Linear, Linear]) -> tuple[tuple[float, Linear], ...]:
    """Terms of ``w (|F/2| + |C|)``, which is the larger of ``w |F/2 + C|`` and ``w |F/2 - C|``, the two barrels."""
    upper, lower = barrels
    return (weight / 2.0, upper.plus(lower)), (weight / 2.0, upper.plus(lower, -1.0))


def _on_lug(
    arm: Arm, own: Axes, lug_axes: Axes, pulled: BarrelPulls
) -> tuple[tuple[Linear, Linear], tuple[Linear, Linear]]:
    """Both barrels' pulls along, then across, the link that the lugs stand on."""
    own_aside, lug_aside = arm.joint.aside(own), arm.joint.aside(lug_axes)
    xx, xo = lug_axes.x.dot(own.x), lug_axes.x.dot(own_aside)
    ox, oo = lug_aside.dot(own.x), lug_aside.dot(own_aside)

    def along(pull: tuple[Linear, Linear]) -> Linear:
        return pull[0].times(xx).plus(pull[1].times(xo))

    def across(pull: tuple[Linear, Linear]) -> Linear:
        return pull[0].times(ox).plus(pull[1].times(oo))

    upper, lower = pulled.upper, pulled.lower
    return (along(upper), along(lower)), (across(upper), across(lower))


class PlateStresses(NamedTuple):
    """Stress in plate and weld throat (Pa) for each newton of pull, turned pull and thrust, and the allowed stress.

    ``width_m`` is the lug's width at its root.
    """

    width_m: float
    pull: float
    sideways: float
    thrust: float
    weld_pull: float
    weld_sideways: float
    weld_thrust: float
    barrel_pull: float
    barrel_sideways: float
    barrel_thrust: float
    stress_Pa: float
    weld_Pa: float


@functools.lru_cache(maxsize=64)
def plate_stresses(hinge: Hinge, policy: Policy) -> PlateStresses:
    """Weights of the sums in `_plate_checks`.

    The lug is a cantilever of width L and thickness t reaching out e: ``1/(n t L)`` for the pull, ``6 e/(n t L^2)``
    turned, ``6 e/(L t^2)`` for the thrust (on one lug); with one lug (n = 1) the tilting pin adds
    ``3 (gap + t)/(L t^2)``.  Its two weld lines, t apart: ``1/(2 n L)``, ``3 e/(n L^2)``, ``e/(t L)`` and
    ``(gap + t)/(2 t L)``.  The barrel's two lines, its outer size D apart and b long: ``1/(2 b)``, ``1/(2 b)`` for the
    turned pull at lever D/2, ``3 D/(2 b^2)`` for thrust.  Weld terms are over the throat.
    """
    n, t, gap = hinge.shear_planes, hinge.lug_thickness_m, hinge.gap_m
    width = hinge.lug_weld_length_m or 2.0 * hinge.lug_edge_m
    reach = max(hinge.lug_edge_m, hinge.barrel_outer_m / 2.0)
    tilt = 3.0 * (gap + t) / (width * t**2) if n == 1 else 0.0
    weld_tilt = (gap + t) / (2.0 * t * width) if n == 1 else 0.0
    barrel, outer = hinge.barrel_length_m, hinge.barrel_outer_m
    throat = weld_throat_m(hinge.weld, min(t, (outer - hinge.pin.hole_m) / 2.0))
    return PlateStresses(
        width,
        1.0 / (n * t * width) + tilt,
        6.0 * reach / (n * t * width**2) + tilt,
        6.0 * reach / (width * t**2),
        (1.0 / (2.0 * n * width) + weld_tilt) / throat,
        (3.0 * reach / (n * width**2) + weld_tilt) / throat,
        reach / (t * width) / throat,
        1.0 / (2.0 * barrel) / throat,
        1.0 / (2.0 * barrel) / throat,
        3.0 * outer / (2.0 * barrel**2) / throat,
        allowable_stress(hinge.steel, policy, thickest_m(hinge)).stress_Pa,
        weld_stress_Pa(hinge.weld, policy),
    )


def _stay_check(arm: Arm, cut: Cut, part: str, load_kg: Number) -> Check:
    """Moment about a level hinge against the stay that holds the arm up; without one the check fails."""
    moment = cut.forces.bend_up
    if arm.stay_Nm is None:
        label = CheckLabel(part, "nothing holds the arm up", cut.place_m, "Nm", NO_STAY, "statics")
        return check_whatever_load(label, abs(moment.at(load_kg)), 0.0, True, arm=arm.name)
    label = CheckLabel(part, "stay", cut.place_m, "Nm", STAY, "moment entered for the stay")
    return check_magnitude(label, moment, arm.stay_Nm, load_kg, arm=arm.name)
