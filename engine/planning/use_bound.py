"""The greatest use on a step of a move: a use that is reached, and one proven not to be exceeded.

Method.  One motion changes one joint from start to end, so every figure is a function of one share s from 0 to 1.  A
joint between its stops at both ends is between them all the way.  The uses are not simple functions of s, and samples
alone can step over a peak.  So samples give a use that *is* reached, and intervals (`engine.base.interval`) give one
that *cannot be exceeded*:

1. evaluate the worst case at evenly spaced s: the greatest use among them, ``peak``, is reached;
2. put each stretch [s_i, s_i+1] as an interval into the same formulas, with every uncertain entry at each of the
   corners the worst case was in: by the inclusion property no pose in the stretch has a use over the upper end;
3. halve the stretches whose upper end is over peak + ``TOLERANCE`` (or over 1 while peak is not), sampling their
   middles, until none is left or they are ``NARROWEST`` wide; ``bound`` is the greatest upper end.  Where the answer is
   clear (all under ``EASY_USE``, or over 1 anyway) the bound is left coarser, and so it is after ``MOST_STRETCHES``.

So  peak <= true maximum <= bound  over those corners.  That the worst corners of the whole step are among those at a
few stances is an assumption of the same kind as the worst case's own
(`engine.worst_case.corner_search.CORNER_TOLERANCE`).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array
from engine.base.interval import Interval
from engine.planning.move_steps import MoveStep, figures_between
from engine.planning.sweep import at_corners, corners_over, limits_over, upper_use
from engine.schema.model import Job, Pose
from engine.worst_case.worst_case import Entry

FIRST_STRETCHES = 8
"""Stretches that every corner starts with; most corners need no more."""

CORNER_SAMPLES = 8
"""Evenly spaced stances of a motion whose worst corners are used on all of it."""

PIECE = 4096
"""Stretches evaluated at once."""

SAMPLED_MIDDLES = 12
"""Middles sampled in each round, those with the highest upper ends."""

TOLERANCE = 0.002
"""Use by which the proven bound may be over the greatest use reached: a fifth of a per cent."""

OVER_TOLERANCE = 0.01
"""The same for a step that is over its limit, as a share of its use: how far over need not be known so exactly."""

EASY_USE = 0.95
"""A step proven nowhere over this is not examined more finely: the answer is clear."""

NARROWEST = 2.0**-22
"""Stretches are not halved below this share of a motion; the bound then stays as wide as it is."""

MOST_STRETCHES = 100_000
"""Stretches examined in all, some seconds.  A step that keeps a use of 99 % all along would take a minute more to be
proven under 100 %: its bound stays as wide as it is then."""

ROUND_OFF = 1e-9
"""Added to every bound for floating-point round-off: the intervals here do not round outwards."""


def bound(
    job: Job, step: MoveStep, pose: Pose, share: Array, use: Array, entries: tuple[Entry, ...]
) -> tuple[float, float, float]:
    """Greatest use reached on a step, where, and a use proven not to be exceeded, by the method of this module.

    Parameters
    ----------
    pose : Pose
        Says which floor and whether loaded, for the uncertain entries.
    share, use : Array
        Samples (n) and the worst case there.
    entries : tuple of Entry
        The uncertain entries; with none, the bound is that of nominal values.

    Returns
    -------
    tuple of float
        Peak, its share, bound.
    """
    at = int(np.argmax(use))
    peak, peak_share = float(use[at]), float(share[at])
    if not math.isfinite(peak):
        return peak, peak_share, math.inf
    sides = corners_over(job, entries, figures_between(job, step, share[:: share.size // CORNER_SAMPLES]))
    cuts = np.linspace(0.0, 1.0, FIRST_STRETCHES + 1)
    corner = np.repeat(np.arange(len(sides)), FIRST_STRETCHES)
    low, high = np.tile(cuts[:-1], len(sides)), np.tile(cuts[1:], len(sides))
    proven, examined = -math.inf, 0
    while low.size:
        examined += low.size
        try:
            upper = _uppers(job, step, entries, sides, corner, low, high)
        except TypeError:
            # A formula without an enclosure: nothing is proven, so the step cannot be WITHIN.
            return peak, peak_share, math.inf
        middle = (low + high) / 2.0
        limit = peak * (1.0 + OVER_TOLERANCE) if peak > 1.0 else min(max(peak + TOLERANCE, EASY_USE), 1.0)
        open_ = upper > limit
        if open_.any():
            highest = np.argsort(upper[open_])[-SAMPLED_MIDDLES:]
            reached, place_ = _reached(job, step, pose, middle[open_][highest])
            if reached > peak:
                peak, peak_share = reached, place_
        narrow = open_ & ((high - low <= NARROWEST) | (examined + 2 * np.count_nonzero(open_) > MOST_STRETCHES))
        proven = max(proven, float(np.max(upper[~open_ | narrow], initial=-math.inf)))
        split = open_ & ~narrow
        corner = np.concatenate([corner[split], corner[split]])
        low, high = np.concatenate([low[split], middle[split]]), np.concatenate([middle[split], high[split]])
    return peak, peak_share, max(proven, peak)


def _uppers(
    job: Job,
    step: MoveStep,
    entries: tuple[Entry, ...],
    sides: Array,
    corner: NDArray[np.intp],
    low: Array,
    high: Array,
) -> Array:
    """For each stretch, in its corner, a use that no pose in it exceeds."""
    uppers = []
    for start in range(0, low.size, PIECE):
        part = slice(start, start + PIECE)
        numbers = figures_between(job, step, Interval(low[part], high[part]))
        uppers.append(
            np.broadcast_to(upper_use(job, at_corners(job, entries, sides[corner[part]], numbers)), low[part].shape)
        )
    return np.concatenate(uppers) + ROUND_OFF


def _reached(job: Job, step: MoveStep, pose: Pose, share: Array) -> tuple[float, float]:
    """Greatest worst-case use at some shares, and where."""
    share = np.unique(share)
    use = np.broadcast_to(limits_over(job, pose, figures_between(job, step, share), "nothing").use, share.shape)
    at = int(np.argmax(use))
    return float(use[at]), float(share[at])
