"""How far off a number may be: the default band for each way of knowing it.

An ``Estimate`` may carry its own low and high; without them, the band here applies.  The bands are ours (common
practice, no source): a starting point, to be replaced by the person's own.

``BEST_WAY`` is the band left once a number has been weighed or measured as well as a shop can.
"""

from __future__ import annotations

import math
from typing import Literal

import msgspec

from engine.schema.quantities import Estimate, Known

QuantityKind = Literal["mass", "centre", "length", "fall"]
"""A weight; a centre of gravity, out of reach of a tape; a length within its reach; a slope of the floor."""


class Band(msgspec.Struct, kw_only=True, frozen=True):
    """Error under and over the nominal value: shares of it plus a fixed amount, all positive."""

    under_share: float = 0.0
    over_share: float = 0.0
    fixed: float = 0.0

    def low(self, best: float) -> float:
        """Least the number could be."""
        return best - abs(best) * self.under_share - self.fixed

    def high(self, best: float) -> float:
        """Most the number could be."""
        return best + abs(best) * self.over_share + self.fixed


TAPE_M = 0.015
"""Error of a tape on a machine: fork height, overhang, reach."""

TILT_BY_EYE_RAD = math.radians(1.0)
TILT_BY_LEVEL_RAD = math.radians(0.2)
FALL_BY_PHONE = 0.005
FALL_BY_LONG_LEVEL = 0.002
FALL_BY_GUESS = 0.02
WALL_BY_GUESS_M = 0.001

GIVE_SHARE = 0.25
"""Sag is worked out from walls, corner radii and fork blades as drawn; a real rig sags more or less by this share."""
GIVE_MEASURED_SHARE = 0.10

_WEIGHED = Band(under_share=0.02, over_share=0.02)
_PLATE = Band(under_share=0.02, over_share=0.05)
_WORKED_OUT = Band(under_share=0.10, over_share=0.15)
_SIMILAR = Band(under_share=0.20, over_share=0.25)
_TYPICAL = Band(under_share=0.10, over_share=0.10)
_GUESS = Band(under_share=0.25, over_share=0.40)
_RAISED_AXLE = Band(under_share=0.08, over_share=0.08)
_TAPE = Band(fixed=TAPE_M)

MASS_BANDS: dict[Known, Band] = {
    "weighed": _WEIGHED,
    "weighbridge": Band(fixed=20.0),
    "plate": _PLATE,
    "papers": _PLATE,
    "measured": _WORKED_OUT,
    "worked_out": _WORKED_OUT,
    "similar": _SIMILAR,
    "typical": _TYPICAL,
    "guess": _GUESS,
}
"""A weight that is "measured" was worked out from its measured size."""

CENTRE_BANDS: dict[Known, Band] = {
    **MASS_BANDS,
    "weighed": _RAISED_AXLE,
    "weighbridge": _RAISED_AXLE,
    "plate": _RAISED_AXLE,
    "papers": _RAISED_AXLE,
    "measured": _RAISED_AXLE,
}
"""Height of the centre of gravity; a raised-axle weighing on a 300 mm raise is good to about 8 %."""

LENGTH_BANDS: dict[Known, Band] = {
    "weighed": _TAPE,
    "weighbridge": _TAPE,
    "plate": _TAPE,
    "papers": _TAPE,
    "measured": _TAPE,
    "worked_out": Band(fixed=2.0 * TAPE_M),
    "similar": _TYPICAL,
    "typical": _TYPICAL,
    "guess": _GUESS,
}

FALL_BANDS: dict[Known, Band] = {
    "weighed": Band(fixed=FALL_BY_PHONE),
    "weighbridge": Band(fixed=FALL_BY_PHONE),
    "plate": Band(fixed=FALL_BY_PHONE),
    "papers": Band(fixed=FALL_BY_PHONE),
    "measured": Band(fixed=FALL_BY_PHONE),
    "worked_out": Band(fixed=FALL_BY_PHONE),
    "similar": Band(fixed=FALL_BY_GUESS),
    "typical": Band(fixed=FALL_BY_GUESS),
    "guess": Band(fixed=FALL_BY_GUESS),
}

BANDS: dict[QuantityKind, dict[Known, Band]] = {
    "mass": MASS_BANDS,
    "centre": CENTRE_BANDS,
    "length": LENGTH_BANDS,
    "fall": FALL_BANDS,
}

ARM_BY_HAND_RAD = math.radians(5.0)
ARM_PINNED_RAD = math.radians(1.0)
"""How far off its angle an arm stands that is set by eye and held by hand, or pinned or held by its stay (ours)."""

MAST_OFF_M = 0.010
FORKS_OFF_M = 0.010
MAST_LEAN_RAD = math.radians(0.5)
"""How far the jib mast's foot may be off its place and the forks off their spread, and how far out of true the jib mast
may stand, to every side (ours).
"""

SIDE_PLAY_RAD = math.radians(0.5)
"""Play of upright and carriage to either side (ours)."""

_TYRES_N_M: dict[str, Estimate[float]] = {
    "pneumatic": Estimate(best=0.6e6, known="typical", low=0.4e6, high=0.9e6),
    "pneumatic_soft": Estimate(best=0.6e6, known="typical", low=0.25e6, high=0.9e6),
    "solid": Estimate(best=1.2e6, known="typical", low=0.8e6, high=1.9e6),
    "press_on": Estimate(best=3.0e6, known="typical", low=2.0e6, high=5.0e6),
}
"""Stiffness of one front tyre for each kind (common practice, no source)."""

_ANY_TYRE_N_M = Estimate(best=0.6e6, known="typical", low=0.4e6, high=3.0e6)

TYRE_MEASURED_SHARE = 0.10
"""How far off a tyre's softness is once its hub's height was measured with and without a known load."""


def tyre_stiffness_N_m(kind: str | None) -> Estimate[float]:
    """Stiffness of one front tyre of this kind; of any kind where nobody has said which."""
    return _ANY_TYRE_N_M if kind is None else _TYRES_N_M[kind]


BEST_WAY: dict[QuantityKind, Band] = {
    "mass": _WEIGHED,
    "centre": _RAISED_AXLE,
    "length": _TAPE,
    "fall": Band(fixed=FALL_BY_LONG_LEVEL),
}
"""Band left once a number has been weighed or measured as well as a shop can."""


def quantity_kind(name: str) -> QuantityKind:
    """What an entry of the model is a number of, from its name."""
    if name.endswith("_kg"):
        return "mass"
    if name.startswith("fall_"):
        return "fall"
    return "centre" if name == "cg_height_m" else "length"


def shop_low_high(best: float, kind: QuantityKind) -> tuple[float, float]:
    """Least and most a number could be once it is known as well as a shop can; a weight or length never under zero."""
    low, high = BEST_WAY[kind].low(best), BEST_WAY[kind].high(best)
    return (low if kind == "fall" else max(low, 0.0)), high


def low_high(estimate: Estimate[float], kind: QuantityKind) -> tuple[float, float]:
    """Least and most an entry could be: its own low and high, else those of the default band.

    A weight or a length is never under zero.
    """
    band = BANDS[kind][estimate.known]
    low = band.low(estimate.best) if estimate.low is None else estimate.low
    high = band.high(estimate.best) if estimate.high is None else estimate.high
    return (low if kind == "fall" else max(low, 0.0)), high
