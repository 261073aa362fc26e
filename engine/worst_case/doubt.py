"""Doubt about one limit: what each uncertain entry does to its use by itself, and what measuring it would buy.

Every entry is taken at its least and at its most with all others as entered (walls and welds at their thin end, as in
every worst case), by the formulas themselves; then, for the
few that matter most, the worst case is searched again with that entry measured as well as a shop can.  What single
entries add does not sum to the worst case exactly: all of them together may help or hinder each other.

Source: statics; bands as in `engine.schema.uncertainty_bands`.
"""

from __future__ import annotations

import math

import msgspec
import numpy as np

from engine.rig.check import Check, use_of
from engine.worst_case.corner_search import single_entry_sides
from engine.worst_case.corner_variants import Columns, evaluate_columns
from engine.worst_case.entry_costs import LEAST_COST, RANKED, uses_when_measured
from engine.worst_case.evaluator import evaluator_of
from engine.worst_case.uncertain_inputs import Entry
from engine.worst_case.uncertainty_box import box_around
from engine.worst_case.verdict import Verdict

WORTH_MEASURING = 0.005
"""Use that a measurement must buy at worst to be worth the trouble (ours)."""


class Swing(msgspec.Struct, kw_only=True, frozen=True):
    """One entry's doubt about a limit.

    ``at_least`` and ``at_most`` are the limit's uses with this entry alone at its least and its most; ``measured`` is
    its worst use once the entry is measured, coming out as entered; ``settles`` whether that alone makes a pose that is
    not proven WITHIN.
    """

    entry: Entry
    base: float
    at_least: float
    at_most: float
    measured: float
    buys: float
    settles: bool

    @property
    def adds(self) -> float:
        """What the worse side adds to the use."""
        return max(self.at_least, self.at_most, self.base) - self.base

    @property
    def both_worse(self) -> bool:
        """Whether either side makes the limit worse."""
        return min(self.at_least, self.at_most) > self.base

    @property
    def worth_measuring(self) -> bool:
        """Whether measuring it buys anything that shows."""
        return self.settles or self.buys >= WORTH_MEASURING


class Doubt(msgspec.Struct, kw_only=True, frozen=True):
    """The limit most used at worst: its use with everything against it, and its entries' swings.

    ``base`` is its use with every entry as entered, walls and welds at their thin end as in every worst case.

    ``rows`` come dearest first, ``others`` is how many more entries there are and ``others_add`` what they add.
    """

    check: Check
    base: float
    worst: float
    rows: tuple[Swing, ...]
    others: int
    others_add: float


def doubt_of(verdict: Verdict, most: int = RANKED) -> Doubt | None:
    """The doubt about the limit that is most used in the worst case; None where there is no verdict.

    Parameters
    ----------
    verdict : Verdict
        Of one pose.
    most : int
        How many entries are told one by one.
    """
    worst = verdict.worst_case
    if worst is None:
        return None
    index, count = worst.worst_index, len(worst.entries)
    evaluator = evaluator_of(worst.job, worst.numbers)
    box = box_around(worst.job, worst.numbers, worst.entries)
    alone = Columns(sides=single_entry_sides(count), load_kg=np.full((2 * count + 1, 1), math.nan))
    limits = evaluate_columns(box, evaluator, alone)
    uses = np.asarray(use_of(limits.demand[index, :, 0], limits.allowed[index, :, 0]))
    base, low, high = float(uses[0]), uses[1 : 1 + count], uses[1 + count :]
    adds = np.maximum(np.maximum(low, high) - base, 0.0) if math.isfinite(base) else np.zeros(count)
    order = sorted(range(count), key=lambda at: -float(adds[at]))
    shown = [at for at in order[:most] if adds[at] > LEAST_COST]
    then = uses_when_measured(worst, [(at,) for at in shown]) if shown else np.zeros((0, 0))
    worst_use = worst.use[index]
    rows = tuple(
        Swing(
            entry=worst.entries[at],
            base=base,
            at_least=float(low[at]),
            at_most=float(high[at]),
            measured=float(then[index, place]),
            buys=max(worst_use - float(then[index, place]), 0.0),
            settles=verdict.doubt_alone and bool((then[:, place] <= 1.0).all()),
        )
        for place, at in enumerate(shown)
    )
    rest = [at for at in order if at not in shown and adds[at] > LEAST_COST]
    return Doubt(
        check=verdict.checks[index],
        base=base,
        worst=worst_use,
        rows=rows,
        others=len(rest),
        others_add=math.fsum(float(adds[at]) for at in rest),
    )
