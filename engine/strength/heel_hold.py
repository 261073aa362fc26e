"""What holds a sleeve's heel down: a pin under the blade, or a chain to the truck.

**Pin.**  It spans between the middles of the sleeve's side walls and is bent by the blade above it, over the blade's
whole width, ``U (2 L - b)/8``, or at its two edges, ``U (L - b)/4``.  Uplift and half of what slides the rig along are
added by vector; while the heel is pressed on the blade only the slide counts (`pulls`, with ``load_window``).

**Chain.**  Its rating already holds a design factor.  One chain over both heels carries twice the worse heel's uplift;
at an angle from plumb it pulls with ``U/cos``.  The anchor on the truck is not checked.

Source: statics.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from engine.base.geometry import GRAVITY_M_S2, cos
from engine.strength.linear_in_load import Linear
from engine.strength.load_window import Window, window


def span_m(sleeve_width_m: float, wall_m: float) -> float:
    """Between the middles of a sleeve's side walls."""
    return sleeve_width_m - wall_m


def bending_m(span: float, blade_m: float, contact: Literal["spread", "edges"]) -> float:
    """Moment in a heel pin for each newton of uplift (m)."""
    return (2.0 * span - blade_m) / 8.0 if contact == "spread" else (span - blade_m) / 4.0


class PinLimits(NamedTuple):
    """Uplift one heel pin is allowed by bending, double shear, bearing in two walls and tearing out of them (N)."""

    bending_N: float
    shear_N: float
    bearing_N: float
    tear_out_N: float


def pin_limits(moment_Nm: float, lever_m: float, shear_N: float, bearing_N: float, tear_out_N: float) -> PinLimits:
    """What a heel pin is allowed.

    Parameters
    ----------
    moment_Nm, lever_m : float
        Allowed moment of the pin (``pins.bending_Nm``), and `bending_m`.
    shear_N, bearing_N, tear_out_N : float
        Allowed pull of the pin in two planes, of two walls bearing, and of two walls torn towards their lower edge.
    """
    return PinLimits(math.inf if lever_m <= 0.0 else moment_Nm / lever_m, shear_N, bearing_N, tear_out_N)


def pulls(uplift: Linear, slide: Linear) -> tuple[tuple[Linear, Linear], Window]:
    """Pull on one heel's pin, to be added by vector, and the loads at which the heel is lifted at all (N).

    Outside that window only the second, half of what slides the rig along, counts.
    """
    return (uplift, slide.times(0.5)), window(uplift)


def chain_N(wll_kg: float, count: int, angle_rad: float) -> float:
    """Uplift of the worse heel that chains are allowed: one over both heels, or one each."""
    return wll_kg * GRAVITY_M_S2 * cos(angle_rad) * count / 2.0


def chain_pull_N(uplift_N: float, count: int, angle_rad: float) -> float:
    """Pull in a chain at an uplift of the worse heel."""
    return uplift_N * 2.0 / count / cos(angle_rad)
