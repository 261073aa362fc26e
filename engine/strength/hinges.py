"""The hinge of an arm: what hangs outboard turns into a couple on two barrels.

Two barrels a spacing h apart carry the moment across the hinge pin, so each takes ``M / h`` besides half of the force
across the pin; the force along the pin sits on one thrust face.  The pin is in shear between lug and barrel: in one
plane where each barrel has one lug, in two where it sits between two (`Hinge.shear_planes`).  Friction does not count.
About the pin itself a standing hinge turns freely and carries no moment; at a level one a stay holds the arm, and its
force goes through the hinge too (`stay_limits`).

The lug is a cantilever plate as wide as its weld, reaching out by the larger of the pin's edge distance and half the
barrel.  It is pulled, bent in its plane when the arm is turned, and bent out of its plane by the thrust and, with one
lug, by the tilting pin.  Its two weld lines, and the barrel's two, carry the same.  Magnitudes are added.

What stands between lugs or barrels and the tubes has its own limits (`hinge_end_limits`).  The sizes of those pieces
count here too: a through sleeve is the barrel, with no barrel weld; lugs on a tube's faces reach from the tube's end,
and their weld is there.
"""

from __future__ import annotations

import functools
import math
from typing import NamedTuple, assert_never

from engine.base.geometry import Axes, Number, least, most, sqrt
from engine.base.plain_call import plain_call
from engine.rig import hinge_pieces
from engine.rig.check import Check, Unit
from engine.rig.hinge_pieces import TubeEnd
from engine.rig.kinematics import Placed
from engine.schema.joints import LevelJoint, StandingJoint
from engine.schema.model import Arm, Hinge, Job, Policy
from engine.strength import hinge_end_limits, hinge_ends, pins, stay_limits
from engine.strength.allowable_stress import AISC_OR_FACTOR, allowable_stress, weld_stress_Pa, weld_throat_m
from engine.strength.cuts import Cut, Cuts
from engine.strength.hinge_end_limits import HingeSide, HingeWork
from engine.strength.hinge_ends import HingePull
from engine.strength.linear_in_load import (
    CheckLabel,
    Linear,
    check_magnitude,
    check_sum,
    check_worst_resultants,
)
from engine.strength.stay_limits import Hold


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
    """Every fitted arm's hinge, on the link that it is fitted to."""
    made, before, inner_axes = [], None, placed.frames["boom"].axes
    for index, cut in cuts.arms:
        ends, raised_rad = hinge_pieces.link_ends(job.rig, index, before), placed.figures.turns_rad[index]
        assert raised_rad is not None  # a fitted arm has its turn
        made += _hinge_checks(job.rig.arms[index], cut, inner_axes, ends, raised_rad, job.policy, cuts.load_kg)
        before, inner_axes = index, cut.axes
    return made


def pull_at(arm: Arm, cut: Cut) -> HingePull:
    """Force and moment at the hinge axis, in the arm's own axes.

    For a standing pin (z) the moments that pull along the arm and across it are ``(My, -Mx)``, for a level pin (y)
    ``(-Mz, Mx)``.
    """
    forces = cut.forces
    match arm.joint:
        case StandingJoint():
            return HingePull(forces.axial, forces.shear_side, forces.shear_up, forces.bend_up, forces.twist.times(-1.0))
        case LevelJoint():
            return HingePull(
                forces.axial, forces.shear_up, forces.shear_side, forces.bend_side.times(-1.0), forces.twist
            )
        case _ as joint:
            assert_never(joint)


def hold_at(arm: Arm, cut: Cut, raised_rad: Number) -> Hold | None:
    """What holds a level arm up; a standing hinge turns freely."""
    match arm.joint:
        case StandingJoint():
            return None
        case LevelJoint():
            return stay_limits.hold_of(arm, cut, raised_rad)
        case _ as joint:
            assert_never(joint)


def barrel_pulls(pull: HingePull, lever_m: float) -> BarrelPulls:
    """A pull at the hinge axis as pulls on two barrels: half the force each, plus and minus moment over lever."""
    upper, lower = hinge_ends.ends(pull, lever_m)
    return BarrelPulls(upper, lower, pull.thrust, (pull.moment_along, pull.moment_across))


@plain_call
@functools.lru_cache(maxsize=64)
def allowed_pulls(hinge: Hinge, policy: Policy) -> BarrelLimits:
    """Pulls that one barrel of a hinge may carry."""
    pin_stress = allowable_stress(hinge.pin.steel, policy, hinge.pin.diameter_m)
    plate = allowable_stress(hinge.steel, policy, hinge_pieces.thickest_m(hinge))
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
        "{demand:N} on each barrel ({moment:Nm} over {spacing:length}) cuts the {pin:part} pin in {planes} plane(s); "
        "allowed {allowed:N}",
        f"{AISC_OR_FACTOR}: shear of a solid pin",
    ),
    (
        "pin bending over the lug gap",
        "{demand:N} on each barrel bends the {pin:part} pin over a gap of {gap:length}; allowed {allowed:N}",
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


def _hinge_checks(
    arm: Arm,
    cut: Cut,
    inner_axes: Axes,
    ends: tuple[TubeEnd, TubeEnd],
    raised_rad: Number,
    policy: Policy,
    load_kg: Number,
) -> list[Check]:
    hinge, part, place = hinge_pieces.as_built(arm.hinge), f"{arm.name} hinge", cut.place_m
    lever_m = hinge_pieces.pin_lever_m(arm.hinge, ends)
    hold = hold_at(arm, cut, raised_rad)
    pull = stay_limits.with_hold(pull_at(arm, cut), hold)
    pulled, limits = barrel_pulls(pull, lever_m), allowed_pulls(hinge, policy)
    barrels = (pulled.upper, pulled.lower)
    first, second = (moment.at(load_kg) for moment in pulled.moment)
    common = {
        "moment": sqrt(first * first + second * second),
        "spacing": lever_m,
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
    own_axes = cut.axes
    lug_axes, barrel_axes = (own_axes, inner_axes) if hinge_pieces.lugs_on_arm(hinge) else (inner_axes, own_axes)
    made = [*on_barrel, thrust, *_plate_checks(arm, hinge, cut, pulled, (lug_axes, barrel_axes), policy, load_kg)]
    match arm.joint:
        case StandingJoint():
            pass
        case LevelJoint():
            inner_pull = _turned(arm, cut.axes, inner_axes, pull)
            made += stay_limits.checks(arm, cut, hold, ends, inner_pull, policy, load_kg)
        case _ as joint:
            assert_never(joint)
    return [*made, *_end_checks(arm, hinge, cut, inner_axes, ends, pull, policy, load_kg)]


def _end_checks(
    arm: Arm,
    hinge: Hinge,
    cut: Cut,
    inner_axes: Axes,
    ends: tuple[TubeEnd, TubeEnd],
    pull: HingePull,
    policy: Policy,
    load_kg: Number,
) -> list[Check]:
    """The pieces that carry lugs and barrels, on the link before the arm and on the arm."""
    if hinge.inner_end is None and hinge.outer_end is None:
        return []
    lever_m = hinge_pieces.plate_lever_m(arm.hinge, ends)
    work = HingeWork(hinge, lever_m, f"{arm.name} hinge", cut.place_m, policy, load_kg)
    on_arm, made = hinge_pieces.lugs_on_arm(hinge), []
    for side, end, tube, axes, carries_lugs in (
        ("inner", hinge.inner_end, ends[0], inner_axes, not on_arm),
        ("outer", hinge.outer_end, ends[1], cut.axes, on_arm),
    ):
        here = pull if side == "outer" else _turned(arm, cut.axes, axes, pull)
        made += hinge_end_limits.checks(HingeSide(side, end, tube, here, carries_lugs), work)
    return made


def _turned(arm: Arm, own: Axes, other: Axes, pull: HingePull) -> HingePull:
    """A pull at the hinge in the axes of the other link."""
    (xx, xo), (ox, oo) = _across_links(arm, own, other)
    return HingePull(
        pull.along.times(xx).plus(pull.across.times(xo)),
        pull.along.times(ox).plus(pull.across.times(oo)),
        pull.thrust,
        pull.moment_along.times(xx).plus(pull.moment_across.times(xo)),
        pull.moment_along.times(ox).plus(pull.moment_across.times(oo)),
    )


def _plate_checks(
    arm: Arm,
    hinge: Hinge,
    cut: Cut,
    pulled: BarrelPulls,
    axes: tuple[Axes, Axes],
    policy: Policy,
    load_kg: Number,
) -> list[Check]:
    """Lug at its root, lug weld and barrel weld, where the hinge has them; ``axes`` of the lugs' and barrels' links."""
    place, part = cut.place_m, f"{arm.name} hinge"
    along, across = _on_link(arm, cut.axes, axes[0], pulled)
    on_barrel = _on_link(arm, cut.axes, axes[1], pulled)
    thrust, lug = pulled.thrust, plate_stresses(hinge, policy)
    root = (*_barrel_terms(lug.pull, along), *_barrel_terms(lug.sideways, across), (lug.thrust, thrust))
    weld = (*_barrel_terms(lug.weld_pull, along), *_barrel_terms(lug.weld_sideways, across), (lug.weld_thrust, thrust))
    barrel = (
        *_barrel_terms(lug.barrel_pull, on_barrel[0]),
        *_barrel_terms(lug.barrel_sideways, on_barrel[1]),
        (lug.barrel_thrust, thrust),
    )
    sizes = {"lug": hinge.lug_thickness_m, "width": lug.width_m, "barrel": hinge.barrel_length_m}
    on_faces, sleeve = hinge_pieces.face_lugs_of(hinge), hinge_pieces.sleeve_of(hinge)
    wanted = (True, on_faces is None, sleeve is None)
    legs = (hinge.weld.leg_m, *(hinge_pieces.weld_of(hinge, lugs=lugs).leg_m for lugs in (True, False)))
    return [
        check_sum(CheckLabel(part, kind, place, unit, words, source), terms, allowed, load_kg, leg=leg_m, **sizes)
        for (kind, unit, words, source), terms, allowed, leg_m, there in zip(
            _PLATE_CHECKS,
            (root, weld, barrel),
            (lug.stress_Pa, lug.weld_Pa, lug.barrel_weld_Pa),
            legs,
            wanted,
            strict=True,
        )
        if there
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
        "{demand:Pa} on the throat of the {leg:weld} fillets of the lugs, {width:length} long; allowed {allowed:Pa}",
        f"{AISC_OR_FACTOR}: J2.4, elastic",
    ),
    (
        "barrel weld",
        "Pa",
        "{demand:Pa} on the throat of the {leg:weld} fillets of the barrels, {barrel:length} long; "
        "allowed {allowed:Pa}",
        f"{AISC_OR_FACTOR}: J2.4, elastic",
    ),
)
"""Kind, unit, words and source of each check on lug and welds."""


def _barrel_terms(weight: float, barrels: tuple[Linear, Linear]) -> tuple[tuple[float, Linear], ...]:
    """Terms of ``w (|F/2| + |C|)``, which is the larger of ``w |F/2 + C|`` and ``w |F/2 - C|``, the two barrels."""
    upper, lower = barrels
    return (weight / 2.0, upper.plus(lower)), (weight / 2.0, upper.plus(lower, -1.0))


def _across_links(arm: Arm, own: Axes, other: Axes) -> tuple[tuple[Number, Number], tuple[Number, Number]]:
    """The other link's two directions across the pin, each by its shares of the arm's own two."""
    own_aside, other_aside = arm.joint.aside(own), arm.joint.aside(other)
    return (
        (other.x.dot(own.x), other.x.dot(own_aside)),
        (other_aside.dot(own.x), other_aside.dot(own_aside)),
    )


def _on_link(
    arm: Arm, own: Axes, link_axes: Axes, pulled: BarrelPulls
) -> tuple[tuple[Linear, Linear], tuple[Linear, Linear]]:
    """Both barrels' pulls along, then across, the link that a piece stands on."""
    upper, lower = pulled.upper, pulled.lower
    if link_axes is own:
        return (upper[0], lower[0]), (upper[1], lower[1])
    (xx, xo), (ox, oo) = _across_links(arm, own, link_axes)

    def along(pull: tuple[Linear, Linear]) -> Linear:
        return pull[0].times(xx).plus(pull[1].times(xo))

    def across(pull: tuple[Linear, Linear]) -> Linear:
        return pull[0].times(ox).plus(pull[1].times(oo))

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
    barrel_weld_Pa: float


@plain_call
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
    on_faces = hinge_pieces.face_lugs_of(hinge)
    if on_faces is None:
        width = hinge.lug_weld_length_m or 2.0 * hinge.lug_edge_m
        reach = most(hinge.lug_edge_m, hinge.barrel_outer_m / 2.0)
    else:
        width, reach = on_faces.width_m, on_faces.reach_m
    tilt = 3.0 * (gap + t) / (width * t**2) if n == 1 else 0.0
    weld_tilt = (gap + t) / (2.0 * t * width) if n == 1 else 0.0
    barrel, outer = hinge.barrel_length_m, hinge.barrel_outer_m
    lug_weld, barrel_weld = (hinge_pieces.weld_of(hinge, lugs=lugs) for lugs in (True, False))
    thinner = least(t, (outer - hinge.pin.hole_m) / 2.0)
    throat, barrel_throat = weld_throat_m(lug_weld, thinner), weld_throat_m(barrel_weld, thinner)
    return PlateStresses(
        width,
        1.0 / (n * t * width) + tilt,
        6.0 * reach / (n * t * width**2) + tilt,
        6.0 * reach / (width * t**2),
        (1.0 / (2.0 * n * width) + weld_tilt) / throat,
        (3.0 * reach / (n * width**2) + weld_tilt) / throat,
        reach / (t * width) / throat,
        1.0 / (2.0 * barrel) / barrel_throat,
        1.0 / (2.0 * barrel) / barrel_throat,
        3.0 * outer / (2.0 * barrel**2) / barrel_throat,
        allowable_stress(hinge.steel, policy, hinge_pieces.thickest_m(hinge)).stress_Pa,
        weld_stress_Pa(lug_weld, policy, hinge.steel),
        weld_stress_Pa(barrel_weld, policy, hinge.steel),
    )
