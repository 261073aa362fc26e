"""The saddle bed across the mast's top: two cantilevers, what joins them to the mast, and the wall at the mast's edge.

**Bed.**  A saddle's reaction R stands ``l`` out from the mast's face: bending ``R l`` and, from the side reaction Y,
``Y l`` sideways; twist ``T + Y z`` (z: from the bed's axis up to the boom's), the whole T in whichever saddle is looked
at.  Sign of T against Y is not known, so both are looked at (`at_face`).  The saddle with the boom's pin also takes the
boom's pull along, on the lever z.

**Wall at the mast's edge.**  The mast's moment comes into the bed's two side walls as a couple over the mast's depth;
each takes ``(|M|/(d - t) + |N|/2)/2`` and, from the bed's twist, ``|T|/(2 (b - t))``.  A round mast's wall crosses the
bed's side walls on a chord, which is shorter.  Where the mast is narrower than 0.85 of the bed's flat, the bed's lower
wall folds instead (``wall_patch``).

**Mast under a narrower bed.**  Its side walls carry nothing; front and back wall stand as two plates as wide as the
bed (`two_plate_groups`).

**Cap.**  A plate between bed and mast spreads the force at 1 to 1; the strip beyond the bed's flat is bent by the
mast's weld line.  Where both straps stand on the cap it is itself the cantilever.

Sources: statics, elastic plate; wall by AISC 360-22 J10 (``wall_edge``); spread at 1 to 1, common practice, no source.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.base.geometry import Number, least, most, sqrt
from engine.schema.sections import RectTube, RoundTube
from engine.strength.cuts import SectionForces
from engine.strength.linear_in_load import Linear, signed_sums
from engine.strength.weld_lines import LENGTH_TOLERANCE_M

NO_PULL = Linear(0.0, 0.0)

OVER_WALL = 1.5
"""A leg within so many walls of a side wall's middle stands on it (common practice, no source)."""


def rear_lever_m(rear_x_m: Number, mast_depth_m: Number) -> Number:
    """From the mast's rear face back to the rear saddle; never under 0."""
    return most(rear_x_m * -1.0 - mast_depth_m / 2.0, 0.0)


def front_lever_m(front_x_m: Number, mast_depth_m: Number) -> Number:
    """From the mast's front face on to the front saddle; never under 0."""
    return most(front_x_m - mast_depth_m / 2.0, 0.0)


class SaddleLoad(NamedTuple):
    """One saddle's reactions on the boom (N), and its lever from the mast's face (m).

    ``away`` is the boom's pull on the saddle along the bed, away from the mast when positive.
    """

    up: Linear
    side: Linear
    away: Linear
    lever_m: Number


def at_face(saddles: tuple[SaddleLoad, ...], twist: Linear, above_m: Number) -> tuple[SectionForces, ...]:
    """What the bed carries at one face of the mast, for both signs of the side reactions' twist.

    Parameters
    ----------
    saddles : tuple of SaddleLoad
        Those that stand beyond the face.
    twist : Linear
        The boom's whole twist (N·m).
    above_m : Number
        From the bed's axis up to the boom's.

    Returns
    -------
    tuple of SectionForces
        ``bend_up`` presses the bed's lower wall when positive.
    """
    up = side = away = bend_up = bend_side = NO_PULL
    for saddle in saddles:
        up, side, away = up.plus(saddle.up), side.plus(saddle.side), away.plus(saddle.away)
        bend_up = bend_up.plus(saddle.up.times(saddle.lever_m)).plus(saddle.away.times(above_m))
        bend_side = bend_side.plus(saddle.side.times(saddle.lever_m))
    return tuple(
        SectionForces(away, up, side, total, bend_up, bend_side) for total in signed_sums(twist, side.times(above_m))
    )


def flat_bar_groups(width_m: float, thickness_m: float, six: SectionForces) -> tuple[tuple[Linear, Linear], ...]:
    """Direct stress and shear times the root of 3 in a flat bar that lies on its side (Pa).

    The greatest resultant counts.  ``6 M/(b t^2)`` and ``6 M/(t b^2)`` with the shear of force, 1.5 times its mean,
    and of twist, ``T (3 + 1.8 t/b)/(b t^2)``.
    """
    long_m, short_m = most(width_m, thickness_m), least(width_m, thickness_m)
    per_area = 1.5 / (width_m * thickness_m)
    twisted = six.twist.times((3.0 + 1.8 * short_m / long_m) / (long_m * short_m**2) * sqrt(3.0))
    bent = (
        six.axial.times(1.0 / (width_m * thickness_m)),
        six.bend_up.times(6.0 / (width_m * thickness_m**2)),
        six.bend_side.times(6.0 / (thickness_m * width_m**2)),
    )
    cut = six.shear_up.times(per_area * sqrt(3.0)), six.shear_side.times(per_area * sqrt(3.0))
    return tuple((stress, shear) for stress in signed_sums(*bent) for shear in signed_sums(twisted, *cut))


# ---------------------------------------------------------------- the wall at the mast's edge


def edge_terms(
    moment: Linear, axial: Linear, twist: Linear, side: Linear, apart_m: float, bed_m: tuple[float, float]
) -> tuple[tuple[float, Linear], ...]:
    """Force on one side wall of the bed at the mast's edge, as a weighted sum of magnitudes (N).

    Parameters
    ----------
    moment, axial : Linear
        At the mast's top.
    twist, side : Linear
        The boom's whole twist, and the side reaction that turns the bed with the last size.
    apart_m : float
        Between the two places of the mast's wall that press (`edge_lever_m`).
    bed_m : tuple of float
        The bed's width less its wall, and the height of the boom's axis over the bed's.
    """
    between, above = bed_m
    per_twist = 1.0 / (2.0 * between)
    return (0.5 / apart_m, moment), (0.25, axial), (per_twist, twist), (per_twist * above, side)


def edge_lever_m(mast: RectTube | RoundTube, mast_wall_m: float, off_m: float) -> float:
    """Between the two places where the mast's wall, at its middle, stands ``off_m`` beside the mast's axis.

    For a rectangular mast its depth less a wall; for a round one the chord, 0 where the ring does not reach so far.
    """
    if isinstance(mast, RectTube):
        return mast.depth_m - mast_wall_m
    radius = (mast.diameter_m - mast_wall_m) / 2.0
    return 2.0 * sqrt(most(radius**2 - off_m**2, 0.0))


def two_plate_groups(
    forces: SectionForces, width_m: float, thickness_m: float, apart_m: float
) -> tuple[tuple[Linear, ...], ...]:
    """Stresses (Pa) in the mast's front and back wall under a bed that its side walls miss.

    The greatest resultant counts.  Each wall is a plate of the bed's width: push and bending along give direct stress,
    bending across its own bending; the side push and, as a couple, the mast's twist shear it in its plane, the push
    along across it.

    Parameters
    ----------
    forces : SectionForces
        At the mast's top.
    width_m, thickness_m, apart_m : float
        Of one wall under the bed, and between the two.
    """
    area = width_m * thickness_m
    direct = forces.axial.times(0.5 / area)
    along = forces.bend_up.times(1.0 / (apart_m * area))
    across = forces.bend_side.times(3.0 / (area * width_m))
    per_shear = 1.5 * sqrt(3.0) / area
    pushed, turned = forces.shear_side.times(0.5 * per_shear), forces.twist.times(per_shear / apart_m)
    over_it = forces.shear_up.times(0.5 * per_shear)
    return tuple(
        (stress, shear, over_it)
        for stress in signed_sums(direct, along, across)
        for shear in signed_sums(pushed, turned)
    )


# ---------------------------------------------------------------- plates


def least_plate_m(moment_Nm_m: float, stress_Pa: float) -> float:
    """Thickness of a plate for a moment on each metre of its width: ``sqrt(6 m/Fb)`` (elastic)."""
    return sqrt(6.0 * moment_Nm_m / stress_Pa)


def plate_Nm_m(thickness_m: float, stress_Pa: float) -> float:
    """Moment on each metre of its width that a plate is allowed (elastic)."""
    return thickness_m**2 / 6.0 * stress_Pa


def cap_strip_m(mast_width_m: float, bed_flat_m: float) -> float:
    """Width of the cap beyond the bed's flat that the mast's side weld bends; 0 where the bed is as wide.

    ``bed_flat_m`` is the bed's whole width where its flare-bevel weld is counted.
    """
    return most((mast_width_m - bed_flat_m) / 2.0, 0.0)


def cap_allowed_N_m(thickness_m: float, strip_m: float, stress_Pa: float) -> float:
    """Force on a metre of the mast's weld that the cap's strip is allowed; infinite without a strip."""
    return math.inf if strip_m <= 0.0 else plate_Nm_m(thickness_m, stress_Pa) / strip_m


def over_side_wall(leg_y_m: float, bed_width_m: float, bed_wall_m: float) -> bool:
    """Whether a leg's middle, ``leg_y_m`` from the bed's, stands over a side wall (else the top wall is a patch)."""
    return abs(abs(leg_y_m) - (bed_width_m - bed_wall_m) / 2.0) <= OVER_WALL * bed_wall_m + LENGTH_TOLERANCE_M


def stands_on(leg_y_m: float, bed_width_m: float) -> bool:
    """Whether a leg's middle is over the bed at all."""
    return abs(leg_y_m) <= bed_width_m / 2.0 + LENGTH_TOLERANCE_M
