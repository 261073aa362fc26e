"""What carries a hinge's barrels or lugs on the end of a tube: a through sleeve, an end plate, or lugs on its faces.

Barrels stand further apart (h) than the tube is deep (d); the piece between carries the couple ``M/h`` over the
overhang o.  Everything is taken in the axes of the link that carries the piece: *along* it, *across* it, and
*thrust* along the pin.  Each end takes half of the force and the couple: ``F/2 +- M/h``.

* **Through sleeve.**  Its weld runs about it at the tube's top and bottom, only where their flat reaches a leg beyond
  it (``weld_lines``).  It bears on the pin near its ends over ``c = F/(p D_bore)``, so the couple's lever is
  ``length - c`` and the sleeve's moment at the tube's skin ``F (o - c/2)``.  Its allowed end force and the lever there
  are plain numbers; with less force the lever is longer, so demands are exact at the limit and a little high below it.
* **End plate.**  A cantilever of overhang ``(h - d)/2`` above and below the tube, on the width ``min(plate, tube +
  2t)``; pulled across it is twisted, a barrel's radius and half a plate off its middle.
* **Face lugs.**  Two lines of weld on the face, with the pull's moment about their middle; plate bending at the tube's
  end; tension with shear lag ``U = 3 L^2/(3 L^2 + w^2)``; the tube's wall as a patch.

Sources: statics; bearing length as K. W. Johansen (1949); elastic plate, torsion of a flat bar; shear lag AISC 360-22
Table D3.1 case 4 (from memory); welds ``weld_lines``; wall ``wall_patch``.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from engine.base.geometry import Number, asin, least, most, sqrt
from engine.strength.cuts import SectionForces
from engine.strength.linear_in_load import Linear, signed_sums
from engine.strength.unverified_values import SHEAR_LAG_WELDS

LEAST_SLEEVE_WALL_M = 0.003
CAUTION_SLEEVE_WALL_M = 0.004
COPE_GAP_M = 0.002
LUG_EDGE = 1.5
"""Walls and gaps that earn a caution, and the edge of a lug over its pin (common practice, no source)."""

MOST_BEARING = 0.5
"""Share of a sleeve's overhang that counts as bearing at most (our choice)."""


class HingePull(NamedTuple):
    """Force at a hinge (N) and the moment across its pin (N·m), in the axes of the link that carries the piece.

    ``moment_along`` is what turns into pulls along the link at the two ends, ``moment_across`` into pulls across it;
    for a standing pin the bending in the upright plane, and minus the twist.
    """

    along: Linear
    across: Linear
    thrust: Linear
    moment_along: Linear
    moment_across: Linear


def ends(pull: HingePull, lever_m: Number) -> tuple[tuple[Linear, Linear], tuple[Linear, Linear]]:
    """Pull along and across at the upper and the lower end, ``lever_m`` apart: ``F/2 +- M/lever`` (N)."""
    per = 1.0 / lever_m
    upper, lower = (
        (
            pull.along.times(0.5).plus(pull.moment_along.times(per), sign),
            pull.across.times(0.5).plus(pull.moment_across.times(per), sign),
        )
        for sign in (1.0, -1.0)
    )
    return upper, lower


# ---------------------------------------------------------------- through sleeve


class Sleeve(NamedTuple):
    """A sleeve through the tube's end: its length, outside and bore (m), and the tube's depth it stands through."""

    length_m: float
    outer_m: float
    bore_m: float
    depth_m: float

    @property
    def overhang_m(self) -> float:
        """Past the tube's skin, at each end."""
        return most((self.length_m - self.depth_m) / 2.0, 0.0)

    @property
    def modulus_m3(self) -> float:
        """Elastic section modulus."""
        return math.pi * (self.outer_m**4 - self.bore_m**4) / (32.0 * self.outer_m)

    @property
    def shear_area_m2(self) -> float:
        """Half the area (AISC 360-22 G5)."""
        return math.pi * (self.outer_m**2 - self.bore_m**2) / 8.0


def bearing_length_m(end_N: float, sleeve: Sleeve, bearing_Pa: float) -> float:
    """Length over which the pin bears at an end: ``c = F/(p D_bore)``."""
    return end_N / (bearing_Pa * sleeve.bore_m)


def sleeve_end_N(moment_Nm: Number, sleeve: Sleeve, bearing_Pa: float) -> Number:
    """Force at each end for a moment across the pin alone: ``F (length - c) = M`` with ``c = F/(p D_bore)``."""
    line = bearing_Pa * sleeve.bore_m
    length = sleeve.length_m
    return (length - sqrt(length * length - 4.0 * moment_Nm / line)) * line / 2.0


def sleeve_moment_Nm(end_N: Number, sleeve: Sleeve, bearing_Pa: float) -> Number:
    """Moment in the sleeve at the tube's skin: ``F (o - c/2)``, for a bearing length within the overhang."""
    return end_N * (sleeve.overhang_m - end_N / (2.0 * bearing_Pa * sleeve.bore_m))


class SleeveLimits(NamedTuple):
    """Allowed force at each end by bending, shear and bearing (N), and the couple's lever at the least of them (m)."""

    bending_N: float
    shear_N: float
    bearing_N: float
    lever_m: float


def sleeve_limits(sleeve: Sleeve, stress_Pa: float, shear_Pa: float, bearing_Pa: float) -> SleeveLimits:
    """What a through sleeve is allowed at each end.

    Bending is met at ``F (o - c/2) = S Fb``, c counted up to half the overhang, so that a softer bearing never allows
    more.  Both ends together bear over no more than the whole length.
    """
    line, overhang, moment = bearing_Pa * sleeve.bore_m, sleeve.overhang_m, sleeve.modulus_m3 * stress_Pa
    room = overhang**2 - 2.0 * moment / line
    bearing = line * sleeve.length_m / 2.0
    if overhang <= 0.0:
        bending = math.inf
    elif room > (1.0 - MOST_BEARING) ** 2 * overhang**2:
        bending = line * (overhang - sqrt(room))
    else:
        bending = moment / ((1.0 - MOST_BEARING / 2.0) * overhang)
    shear = sleeve.shear_area_m2 * shear_Pa
    end_N = least(bending, shear, bearing)
    return SleeveLimits(bending, shear, bearing, sleeve.length_m - end_N / line)


class CopedTube(NamedTuple):
    """The tube a sleeve stands in (m): its width across the pin, the round of its corners, its wall."""

    width_m: float
    corner_m: float
    wall_m: float


class Cope(NamedTuple):
    """Weld of a sleeve in the tube's end: arc at top and at bottom (m), second moment (m3), length in all (m)."""

    arc_m: float
    second_m3: float
    length_m: float


def cope(sleeve: Sleeve, coped: Literal["half", "through"], tube: CopedTube, leg_m: float) -> Cope:
    """Arcs at the tube's top and bottom, half or all round, where the flat reaches one leg beyond them.

    A half cope that reaches both side walls is welded along them too.
    """
    radius, flat, depth = sleeve.outer_m / 2.0, tube.width_m / 2.0 - tube.corner_m, sleeve.depth_m
    half_angle = asin(least(most(flat, 0.0) / (radius + leg_m), 1.0))
    arc = radius * half_angle * (2.0 if coped == "half" else 4.0)
    sides = depth if coped == "half" and sleeve.outer_m >= tube.width_m - 2.0 * tube.wall_m else 0.0
    return Cope(arc, arc * depth**2 / 2.0 + sides * depth**2 / 6.0, 2.0 * arc + 2.0 * sides)


def cope_pulls(pull: HingePull, weld: Cope, depth_m: float) -> tuple[tuple[Linear, Linear, Linear], ...]:
    """Pull on a metre of the cope's weld at the arcs (N/m): force over its length, moment over its section.

    Of a weld that can be laid nowhere, the pull on one metre; it is allowed nothing.
    """
    length, second = (weld.length_m, weld.second_m3) if weld.length_m > 0.0 else (1.0, depth_m**2)
    per_force, per_moment = 1.0 / length, depth_m / 2.0 / second
    return tuple(
        (
            pull.along.times(per_force).plus(pull.moment_along.times(per_moment), sign),
            pull.across.times(per_force).plus(pull.moment_across.times(per_moment), sign),
            pull.thrust.times(per_force),
        )
        for sign in (1.0, -1.0)
    )


# ---------------------------------------------------------------- end plate


class EndPlate(NamedTuple):
    """A plate on the tube's end (m): thickness, width, the tube's width and depth, barrel spacing and outside."""

    thickness_m: float
    width_m: float
    tube_width_m: float
    tube_depth_m: float
    spacing_m: float
    barrel_m: float

    @property
    def overhang_m(self) -> float:
        """From the tube's skin to a barrel's middle."""
        return most((self.spacing_m - self.tube_depth_m) / 2.0, 0.0)

    @property
    def carrying_m(self) -> float:
        """Width that carries: the plate's, at most the tube's and one thickness at each side."""
        return least(self.width_m, self.tube_width_m + 2.0 * self.thickness_m)

    @property
    def reach_m(self) -> float:
        """From the plate's middle to a barrel's axis."""
        return self.barrel_m / 2.0 + self.thickness_m / 2.0


def end_plate_groups(pull: HingePull, plate: EndPlate) -> tuple[tuple[Linear, Linear], ...]:
    """Direct stress and shear times the root of 3 in an end plate at the tube's skin (Pa).

    The greatest resultant counts.  Pull along ``6 F o/(b t^2)``, pull across ``6 F o/(t b^2)`` and its twist ``3 F e
    (1 + 0.6 t/b)/(b t^2)``, thrust on one barrel ``6 V e/(b t^2)``.
    """
    t, b, o, e = plate.thickness_m, plate.carrying_m, plate.overhang_m, plate.reach_m
    thrust = pull.thrust.times(6.0 * e / (b * t**2))
    shear = 3.0 * e * (1.0 + 0.6 * t / b) / (b * t**2) * sqrt(3.0)
    return tuple(
        (stress, across.times(shear))
        for along, across in ends(pull, plate.spacing_m)
        for stress in signed_sums(along.times(6.0 * o / (b * t**2)), across.times(6.0 * o / (t * b**2)), thrust)
    )


def least_end_plate_m(end_N: float, plate: EndPlate, stress_Pa: float) -> float:
    """Thickness for a pull along at each end alone, on the width that carries now."""
    return sqrt(6.0 * end_N * plate.overhang_m / (plate.carrying_m * stress_Pa))


def end_plate_weld_sixes(pull: HingePull, reach_m: float) -> tuple[SectionForces, ...]:
    """What the plate's weld to the tube carries, as a standing group of depth up and width across (see ``weld_lines``).

    The forces act ``reach_m`` off the plate; whether thrust and moment add up is not known, so both are looked at.
    """
    return tuple(
        SectionForces(pull.along, pull.thrust, pull.across, pull.moment_across, bend_up, pull.across.times(reach_m))
        for bend_up in signed_sums(pull.moment_along, pull.thrust.times(reach_m))
    )


# ---------------------------------------------------------------- lugs on the tube's faces


class FaceLug(NamedTuple):
    """A plate on a tube's top or bottom face (m): thickness, width, length on the face, reach past it, packing."""

    thickness_m: float
    width_m: float
    on_face_m: float
    reach_m: float
    packing_m: float = 0.0

    @property
    def standoff_m(self) -> float:
        """From the face to the lug's middle."""
        return self.packing_m + self.thickness_m / 2.0

    @property
    def lever_m(self) -> float:
        """From the middle of its weld to the pin."""
        return self.reach_m + self.on_face_m / 2.0


def lug_six(along: Linear, across: Linear, thrust: Linear, lug: FaceLug) -> tuple[SectionForces, ...]:
    """What a face lug's weld carries, as a standing group of depth along the tube (see ``weld_lines``).

    Also the patch's demand on the tube's wall: ``axial`` pulls at it, ``bend_up`` is along and ``bend_side`` across it.
    Whether thrust and pull bend it the same way is not known, so both are looked at.
    """
    return tuple(
        SectionForces(thrust, along, across, across.times(lug.lever_m), bend_up, across.times(lug.standoff_m))
        for bend_up in signed_sums(along.times(lug.standoff_m), thrust.times(lug.lever_m))
    )


def shear_lag(lug: FaceLug) -> float:
    """Share of a lug's section that two side welds reach: ``3 L^2/(3 L^2 + w^2)`` (AISC 360-22 D3.1 case 4, memory)."""
    long = SHEAR_LAG_WELDS * lug.on_face_m**2
    return long / (long + lug.width_m**2)


def lug_terms(along: Linear, across: Linear, thrust: Linear, lug: FaceLug) -> tuple[tuple[float, Linear], ...]:
    """Stress in a face lug at the tube's end, a weighted sum of magnitudes (Pa)."""
    t, w, reach = lug.thickness_m, lug.width_m, lug.reach_m
    return (
        (1.0 / (w * t), along),
        (6.0 * reach / (t * w**2), across),
        (6.0 * reach / (w * t**2), thrust),
    )


def lug_rupture_N(lug: FaceLug, tensile_Pa: float, breaking_over: float) -> float:
    """Allowed pull along a lug by breaking, with shear lag (AISC 360-22 D2, D3)."""
    return tensile_Pa * lug.width_m * lug.thickness_m * shear_lag(lug) / breaking_over
