"""Ends that hold the hook without a cross pin: a welded hoop pulled any way, and a standing pin dropped in.

**Hoop.**  The pull is resolved in the hoop's own axes: N along its legs (the U frame of ``hoop``), F_s across in its
plane, F_o out of its plane.  With ``e = leg + R``, F_s bends each foot by ``F_s e/2`` and pulls and pushes at the
feet by ``F_s e/(2R)``; F_o bends each by ``F_o e/2`` and twists it by at most ``F_o R/2`` (bounds, statics).
Stresses add and meet the twist by von Mises; the weld round each foot carries the same.

**Drop-in pin.**  Its head is a patch on the wall, less its hole; a side pull F_s at e under the wall is held by the
near wall, ``F_s (e + h)/h``, and the far one, ``F_s e/h``, and bends the pin by ``F_s e``.

Sources: statics; what a hole takes from the wall under a head, ``1 - hole/head``, common practice, no source.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from engine.base.geometry import sqrt
from engine.strength.hoop import UFrame, u_frame
from engine.strength.linear_in_load import Linear, signed_sums

ASIDE = 0.1
"""A pull out of the hoop's plane over this share of the whole earns "turn the hoop, or hang a shackle in it"."""


class HoopPull(NamedTuple):
    """The pull in a hoop's own axes (N): along its legs, across in its plane, out of its plane."""

    along_legs: Linear
    in_plane: Linear
    out_of_plane: Linear


def in_hoop_axes(
    force: tuple[Linear, Linear, Linear], plane: Literal["along", "across"], place: Literal["under", "end"]
) -> HoopPull:
    """A pull given along the link, to its left and up, in the axes of a hoop.

    Under the link its legs hang down, on the link's end they stand out; its plane stands along the link (on the end:
    upright) or across it.
    """
    x, y, z = force
    if place == "under":
        return HoopPull(z.times(-1.0), x, y) if plane == "along" else HoopPull(z.times(-1.0), y, x)
    return HoopPull(x, z, y) if plane == "along" else HoopPull(x, y, z)


class HoopSize(NamedTuple):
    """Bar, bend radius to its middle, and straight leg (m)."""

    bar_m: float
    radius_m: float
    leg_m: float

    @property
    def lever_m(self) -> float:
        """From the foot to the crown's middle line."""
        return self.leg_m + self.radius_m

    @property
    def frame(self) -> UFrame:
        """The U frame under a pull along the legs."""
        return u_frame(self.leg_m / self.radius_m)


class FootDemands(NamedTuple):
    """What one foot hands on for each newton of pull along the legs, in plane and out of plane.

    ``pull`` (N) and ``moment_in`` (m) by the first two, ``moment_out`` and ``twist`` (m) by the last.
    """

    pull: tuple[float, float]
    moment_in: tuple[float, float]
    moment_out: float
    twist: float


def foot_demands(size: HoopSize) -> FootDemands:
    """Pull, moments and twist at a foot (bounds)."""
    e, radius, frame = size.lever_m, size.radius_m, size.frame
    return FootDemands((0.5, e / (2.0 * radius)), (frame.foot * radius, e / 2.0), e / 2.0, radius / 2.0)


def foot_groups(pull: HoopPull, size: HoopSize) -> tuple[tuple[Linear, Linear], ...]:
    """Direct stress and twist's shear times the root of 3 at a foot (Pa): the greatest resultant counts."""
    at, bar = foot_demands(size), size.bar_m
    area, elastic = math.pi * bar**2 / 4.0, math.pi * bar**3 / 32.0
    by_legs, by_plane = (force / area + moment / elastic for force, moment in zip(at.pull, at.moment_in, strict=True))
    twisted = pull.out_of_plane.times(at.twist / (2.0 * elastic) * sqrt(3.0))
    parts = pull.in_plane.times(by_plane), pull.out_of_plane.times(at.moment_out / elastic)
    return tuple((stress, twisted) for stress in signed_sums(pull.along_legs.times(by_legs), *parts))


def foot_weld_groups(pull: HoopPull, size: HoopSize) -> tuple[tuple[Linear, Linear, Linear], ...]:
    """Pull on a metre of the weld round a foot (N/m), straight and the two ways across: the greatest resultant."""
    at, bar = foot_demands(size), size.bar_m
    around, modulus, polar = math.pi * bar, math.pi * bar**2 / 4.0, math.pi * bar**2 / 2.0
    by_legs, by_plane = (force / around + moment / modulus for force, moment in zip(at.pull, at.moment_in, strict=True))
    straight = signed_sums(
        pull.along_legs.times(by_legs),
        pull.in_plane.times(by_plane),
        pull.out_of_plane.times(at.moment_out / modulus),
    )
    in_plane = signed_sums(pull.along_legs.times(size.frame.thrust / around), pull.in_plane.times(0.5 / around))
    out = pull.out_of_plane.times(0.5 / around + at.twist / polar)
    return tuple((normal, shear, out) for normal in straight for shear in in_plane)


def foot_on_wall(pull: HoopPull, size: HoopSize) -> tuple[tuple[Linear, ...], tuple[Linear, ...], Linear]:
    """A foot's demand on the wall: pull (N) and moment in the hoop's plane, for both signs of F_s; moment out of it."""
    at = foot_demands(size)
    (by_legs, by_plane), (moment_legs, moment_plane) = at.pull, at.moment_in
    return (
        signed_sums(pull.along_legs.times(by_legs), pull.in_plane.times(by_plane)),
        signed_sums(pull.along_legs.times(moment_legs), pull.in_plane.times(moment_plane)),
        pull.out_of_plane.times(at.moment_out),
    )


# ---------------------------------------------------------------- drop-in pin


class DropIn(NamedTuple):
    """A standing pin dropped through top and bottom wall (m): diameter, how far the pull is under it, walls apart."""

    diameter_m: float
    drop_m: float
    depth_m: float


def head_N(patch_N: float, hole_m: float, head_m: float) -> float:
    """Pull the wall allows under a drop-in pin's head, from that of a whole patch as large as the head."""
    return patch_N * (1.0 - hole_m / head_m)


def wall_shares(pin: DropIn) -> tuple[float, float]:
    """Force on the near and the far wall for each newton of side pull."""
    return (pin.drop_m + pin.depth_m) / pin.depth_m, pin.drop_m / pin.depth_m


def drop_in_terms(down: Linear, side: tuple[Linear, Linear], pin: DropIn) -> tuple[tuple[float, Linear], ...]:
    """Stress in a drop-in pin at the near wall, a weighted sum of magnitudes (Pa): tension, and bending either way."""
    elastic = math.pi * pin.diameter_m**3 / 32.0
    first, second = side
    return (
        (4.0 / (math.pi * pin.diameter_m**2), down),
        (pin.drop_m / elastic, first),
        (pin.drop_m / elastic, second),
    )
