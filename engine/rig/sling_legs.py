"""How a load hangs in its slings: the legs' angles and pulls, from their lengths and where they hold the load.

Two legs l1 and l2 hold the load a behind and b ahead of its centre of gravity, ``above`` over it.  Their apex stands at

    x = (l1^2 - l2^2 + b^2 - a^2) / (2 (a + b)),    z = above + root(l1^2 - (x + a)^2)

from that centre, and the load turns until the apex is plumb over it: by ``atan(x/z)``.  The pulls are in balance in the
turned shape.  Both sides of a basket are legs; a spreader's top legs hold the beam by its ends.

Sources: statics; of more than two legs two carry all (a rigid load), no leg flatter than 30 degrees, and no load tipped
by more than 5 degrees, common practice, no source.
"""

from __future__ import annotations

import functools
import math
from typing import NamedTuple

from engine.base.geometry import asin, atan2, hypot, sin, sqrt
from engine.rig.check import Problem
from engine.schema.connections import Rigging, SlingPoints

FLATTEST_RAD = math.radians(30.0)
"""From level; a leg flatter than this lifts nothing."""

FLAT_RAD = math.radians(45.0)
SPREAD_RAD = math.radians(60.0)
"""From level; below these a leg earns a strong caution, and a caution."""

TIPPED_RAD = math.radians(5.0)
"""A load that hangs further out of level is slung anew."""

ANGLE_TOLERANCE_RAD = 1e-9

CHOKE_FACTORS = ((120.0, 1.00), (90.0, 0.87), (60.0, 0.74), (30.0, 0.62), (0.0, 0.49))
"""Rating of a choker by the angle of choke (degrees): over 120 in full, then 90, 60, 30 and more (ASME B30.9 table,
read in a secondary copy)."""


class Leg(NamedTuple):
    """One leg: its pull over the whole, and its angle from level."""

    share: float
    from_level_rad: float


class Hang(NamedTuple):
    """How a load hangs: its legs, and how far it hangs out of level (positive: ahead of its centre is up)."""

    legs: tuple[Leg, ...]
    tipped_rad: float


def spreads(rigging: Rigging) -> bool:
    """Whether legs spread from the hook, so that their angle counts."""
    return rigging.hitch in ("two_leg", "basket", "spreader") or (rigging.hitch == "choker" and len(rigging.legs) > 1)


@functools.lru_cache(maxsize=32)
def hang(rigging: Rigging) -> Hang | None:
    """How the load hangs; None where the rigging does not say it or cannot be.

    Of legs that cannot reach each other, or meet below the load's centre, `impossible` says so.
    """
    if not spreads(rigging):
        return Hang((Leg(1.0, math.pi / 2.0),), 0.0)
    points = points_of(rigging)
    return None if points is None else in_two_legs(*_lengths_m(rigging), points)


def points_of(rigging: Rigging) -> SlingPoints | None:
    """Where the spreading legs hold: the load, or a spreader's ends."""
    if rigging.hitch != "spreader":
        return rigging.points
    if rigging.spreader is None:
        return None
    half_m = rigging.spreader.length_m / 2.0
    return SlingPoints(a_m=half_m, b_m=half_m)


def _lengths_m(rigging: Rigging) -> tuple[float, float]:
    """The first two legs; a single length is that of both."""
    return rigging.legs[0].length_m, rigging.legs[min(1, len(rigging.legs) - 1)].length_m


def in_two_legs(first_m: float, second_m: float, points: SlingPoints) -> Hang | None:
    """Angles and pulls of two legs; None where they do not meet above the load's centre of gravity."""
    a, b, above = points.a_m, points.b_m, points.above_m
    if a + b <= 0.0:
        return Hang((Leg(0.5, math.pi / 2.0),) * 2, 0.0) if first_m == second_m else None
    x = (first_m**2 - second_m**2 + b**2 - a**2) / (2.0 * (a + b))
    squared = first_m**2 - (x + a) ** 2
    if squared <= 0.0 or above + sqrt(squared) <= 0.0:
        return None
    z = above + sqrt(squared)
    plumb_m = hypot(x, z)
    up = x / plumb_m, z / plumb_m
    first = (x + a) / first_m, (z - above) / first_m
    second = (x - b) / second_m, (z - above) / second_m
    across = first[0] * second[1] - first[1] * second[0]
    shares = (
        (up[0] * second[1] - up[1] * second[0]) / across,
        (first[0] * up[1] - first[1] * up[0]) / across,
    )
    if min(shares) < 0.0:
        return None
    legs = tuple(
        Leg(share, asin(min(max(way[0] * up[0] + way[1] * up[1], -1.0), 1.0)))
        for share, way in zip(shares, (first, second), strict=True)
    )
    return Hang(legs, atan2(x, z))


def level_lengths_m(rigging: Rigging) -> tuple[float, float]:
    """Lengths of two legs that hang the load level from the same points, as high over them as the legs are now."""
    points = points_of(rigging)
    assert points is not None
    first_m, second_m = _lengths_m(rigging)
    a, b = points.a_m, points.b_m
    x = (first_m**2 - second_m**2 + b**2 - a**2) / (2.0 * (a + b))
    over_m = sqrt(first_m**2 - (x + a) ** 2)
    return hypot(a, over_m), hypot(b, over_m)


def choke_factor(angle_rad: float) -> float:
    """What a choker's rating is multiplied by for its angle of choke."""
    degrees = math.degrees(angle_rad)
    if degrees > CHOKE_FACTORS[0][0]:
        return CHOKE_FACTORS[0][1]
    return next(factor for least, factor in CHOKE_FACTORS[1:] if degrees >= least - 1e-9)


def leg_rating_kg(rigging: Rigging) -> float | None:
    """What one leg may pull by the sling's tag; None where the tag does not say it."""
    tag = rigging.tag
    if tag is None or not tag.legible:
        return None
    rated_kg = tag.choker_kg if rigging.hitch == "choker" else tag.vertical_kg
    if rated_kg is None:
        return None
    if tag.legs_at_rad is not None:
        rated_kg = rated_kg / (len(rigging.legs) * sin(tag.legs_at_rad))
    if rigging.hitch == "choker":
        return rated_kg * choke_factor(rigging.choke_angle_rad)
    if rigging.hitch == "basket" and tag.basket_kg is not None:
        return min(rated_kg, tag.basket_kg / 2.0)
    return rated_kg


@functools.lru_cache(maxsize=16)
def impossible(rigging: Rigging | None) -> tuple[Problem, ...]:
    """A sling without a legible tag, and legs that do not meet above the load."""
    if rigging is None:
        return ()
    problems = []
    if rigging.tag is not None and not rigging.tag.legible:
        words = "The sling has no legible tag. No tag, no lift."
        problems.append(Problem(kind="impossible", where="load.rigging.tag.legible", words=words))
    if hang(rigging) is None and points_of(rigging) is not None:
        words = (
            "The sling's legs do not meet above the load's centre of gravity: they are too short for where they hold "
            "the load, or it would turn over in them."
        )
        problems.append(Problem(kind="impossible", where="load.rigging.legs", words=words))
    return tuple(problems)
