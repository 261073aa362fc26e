"""Bought gear between the rig's hook and the load, and a boom that nothing pins.

Gear is held against its working load limit, which has its own design factor; only the dynamic factor is added.  Of legs
that spread from one point two carry all, however many there are (a rigid load; common practice, no source):
``T = P/(n cos beta)`` with beta from plumb and n at most 2.

A boom without its pin slides as soon as its own slope is more than nothing: friction is not counted.

Sources: statics; no leg flatter than 30 degrees, common practice of the trade.
"""

from __future__ import annotations

import math
from typing import Literal

from engine.base.geometry import GRAVITY_M_S2, Number, cos, least, one, sin

FLATTEST_RAD = math.radians(60.0)
"""From plumb; a leg flatter than this is over whatever it is rated for."""

FLAT_RAD = math.radians(45.0)
SPREAD_RAD = math.radians(30.0)
"""From plumb; from here on a leg earns a caution."""

ANGLE_TOLERANCE_RAD = 1e-9


def leg_share(legs: int, angle_rad: Number) -> Number:
    """Pull in each leg over the whole; ``angle_rad`` from plumb."""
    return 1.0 / (least(legs, 2) * cos(angle_rad))


def leg_angle(legs: int, angle_rad: float) -> Literal["plumb", "spread", "flat", "over"]:
    """What an angle from plumb asks for: nothing, a caution, a strong caution, or no lift at all."""
    if legs == 1 or angle_rad <= SPREAD_RAD + ANGLE_TOLERANCE_RAD:
        return "plumb"
    if angle_rad > FLATTEST_RAD + ANGLE_TOLERANCE_RAD:
        return "over"
    return "flat" if angle_rad > FLAT_RAD + ANGLE_TOLERANCE_RAD else "spread"


def allowed_pull_N(wll_kg: float, legs: int, angle_rad: float) -> float:
    """Pull on the whole gear that the rating of each leg allows."""
    return wll_kg * GRAVITY_M_S2 / one(leg_share(legs, angle_rad))


def unpinned_slide_N(mass_kg: Number, slope_rad: Number) -> Number:
    """Force along a boom without its pin, on a slope of its own."""
    return mass_kg * GRAVITY_M_S2 * sin(slope_rad)
