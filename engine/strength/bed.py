"""The saddle bed across the mast's top: two cantilevers, what joins them to the mast, and the wall at the mast's edge.

**Bed.**  A saddle's reaction R stands ``l`` out from the mast's face: bending ``R l`` and, from the side reaction Y,
``Y l`` sideways; twist ``T + Y z`` (z: from the bed's axis up to the boom's), the whole T in whichever saddle is looked
at.  Sign of T against Y is not known, so both are looked at (`sixes`).

**Wall at the mast's edge.**  The mast's moment comes into the bed's two side walls as a couple over the mast's depth;
each takes ``(|M|/(d - t) + |N|/2)/2`` and, from the bed's twist, ``|T|/(2 (b - t))``.

**Cap.**  A plate between bed and mast spreads the force at 1 to 1; the strip beyond the bed's flat is bent by the
mast's weld line.  Where both straps stand on the cap it is itself the cantilever.

Sources: statics, elastic plate; wall by AISC 360-22 J10 (``wall_edge``); spread at 1 to 1, common practice, no source.
"""

from __future__ import annotations

import math

from engine.base.geometry import Number, most
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


def sixes(up: Linear, side: Linear, twist: Linear, lever_m: Number, above_m: Number) -> tuple[SectionForces, ...]:
    """What the bed carries at the mast's face, for both signs of the side reaction's twist.

    Parameters
    ----------
    up, side, twist : Linear
        One saddle's reactions, and the boom's whole twist.
    lever_m, above_m : Number
        From the mast's face to the saddle, and from the bed's axis up to the boom's.
    """
    return tuple(
        SectionForces(NO_PULL, up, side, total, up.times(lever_m), side.times(lever_m))
        for total in signed_sums(twist, side.times(above_m))
    )


def flat_bar_groups(width_m: float, thickness_m: float, six: SectionForces) -> tuple[tuple[Linear, Linear], ...]:
    """Direct stress and shear times the root of 3 in a flat bar that lies on its side (Pa).

    The greatest resultant counts.  ``6 M/(b t^2)`` and ``6 M/(t b^2)`` with the shear of force, 1.5 times its mean,
    and of twist, ``T (3 + 1.8 t/b)/(b t^2)``.
    """
    long_m, short_m = max(width_m, thickness_m), min(width_m, thickness_m)
    per_area = 1.5 / (width_m * thickness_m)
    twisted = six.twist.times((3.0 + 1.8 * short_m / long_m) / (long_m * short_m**2) * math.sqrt(3.0))
    bent = (
        six.axial.times(1.0 / (width_m * thickness_m)),
        six.bend_up.times(6.0 / (width_m * thickness_m**2)),
        six.bend_side.times(6.0 / (thickness_m * width_m**2)),
    )
    cut = six.shear_up.times(per_area * math.sqrt(3.0)), six.shear_side.times(per_area * math.sqrt(3.0))
    return tuple((stress, shear) for stress in signed_sums(*bent) for shear in signed_sums(twisted, *cut))


# ---------------------------------------------------------------- the wall at the mast's edge


def edge_terms(
    moment: Linear, axial: Linear, twist: Linear, side: Linear, sizes_m: tuple[float, float], bed_m: tuple[float, float]
) -> tuple[tuple[float, Linear], ...]:
    """Force on one side wall of the bed at the mast's edge, as a weighted sum of magnitudes (N).

    Parameters
    ----------
    moment, axial : Linear
        At the mast's top.
    twist, side : Linear
        The boom's whole twist, and the side reaction that turns the bed with the last size.
    sizes_m : tuple of float
        The mast's depth along the boom and its wall.
    bed_m : tuple of float
        The bed's width less its wall, and the height of the boom's axis over the bed's.
    """
    (depth, wall), (between, above) = sizes_m, bed_m
    per_twist = 1.0 / (2.0 * between)
    return (0.5 / (depth - wall), moment), (0.25, axial), (per_twist, twist), (per_twist * above, side)


# ---------------------------------------------------------------- plates


def least_plate_m(moment_Nm_m: float, stress_Pa: float) -> float:
    """Thickness of a plate for a moment on each metre of its width: ``sqrt(6 m/Fb)`` (elastic)."""
    return math.sqrt(6.0 * moment_Nm_m / stress_Pa)


def plate_Nm_m(thickness_m: float, stress_Pa: float) -> float:
    """Moment on each metre of its width that a plate is allowed (elastic)."""
    return thickness_m**2 / 6.0 * stress_Pa


def cap_strip_m(mast_width_m: float, bed_flat_m: float) -> float:
    """Width of the cap beyond the bed's flat that the mast's side weld bends; 0 where the bed is as wide.

    ``bed_flat_m`` is the bed's whole width where its flare-bevel weld is counted.
    """
    return max((mast_width_m - bed_flat_m) / 2.0, 0.0)


def cap_allowed_N_m(thickness_m: float, strip_m: float, stress_Pa: float) -> float:
    """Force on a metre of the mast's weld that the cap's strip is allowed; infinite without a strip."""
    return math.inf if strip_m <= 0.0 else plate_Nm_m(thickness_m, stress_Pa) / strip_m


def over_side_wall(leg_y_m: float, bed_width_m: float, bed_wall_m: float) -> bool:
    """Whether a leg's middle, ``leg_y_m`` from the bed's, stands over a side wall (else the top wall is a patch)."""
    return abs(abs(leg_y_m) - (bed_width_m - bed_wall_m) / 2.0) <= OVER_WALL * bed_wall_m + LENGTH_TOLERANCE_M


def stands_on(leg_y_m: float, bed_width_m: float) -> bool:
    """Whether a leg's middle is over the bed at all."""
    return abs(leg_y_m) <= bed_width_m / 2.0 + LENGTH_TOLERANCE_M
