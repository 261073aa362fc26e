"""Sizes a first rig: every part as small as holds at the wish, beside all the others.

Everything starts well up in its list.  The limit that is used most decides which parts are tried larger; the one that
brings all limits furthest down for its weight stays.  When all limits hold with the reserve, parts go down again as far
as they may, the heaviest first, and a tube may go down where others then go up.  No rule says which part cures which
limit.

In between, limits are looked at with values as entered, times what the worst case added to each at the last full
verdict; a full verdict decides at the end.

A look takes ten milliseconds, a verdict thirty times as long.  So a change that was looked at before is foreseen at
other sizes of the other parts (`engine.planning.size_effects`), and only the best foreseen is looked at.  Verdicts are
asked at the sizes that the search starts from, to learn what the worst case adds, and where it ends.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Iterator, Sequence
from typing import Literal, NamedTuple

from engine.base.errors import TailweightError
from engine.limits.all_limits import find_rig_checks
from engine.planning.first_rig_catalogue import Catalogue, Choice
from engine.planning.size_effects import Looked, SizeEffects
from engine.planning.stock_rigs import weight_kg
from engine.planning.sweep import Stop, Stopped, never, unheard
from engine.rig.check import Check
from engine.rig.feasibility import impossibilities
from engine.rig.kinematics import figures
from engine.schema.model import Job
from engine.shop.first_rig import Layout, draft
from engine.worst_case.verdict import Verdict, evaluate

RESERVE = 0.9
"""Use that every limit of the rig may reach at the wish, in the worst case (ours)."""

ROUNDS = 12
"""Full verdicts that may send the sizing back to work."""


class Uses(NamedTuple):
    """What a choice comes to, looked at or foreseen: its weight, and every limit's use foreseen at worst.

    ``over`` is how far all limits together are over what they may reach, as logarithms; 0 where everything holds.
    ``doubt`` is how far that may be off where it is foreseen.
    """

    weight_kg: float
    uses: dict[str, float]
    over: float
    doubt: float = 0.0

    @property
    def worst(self) -> str:
        """The limit that is used most."""
        return max(self.uses, key=lambda name: _finite(self.uses[name]))


class Tried(NamedTuple):
    """A choice that was looked at, its job, and its limits: uses under one pull, and those foreseen at worst."""

    choice: Choice
    job: Job
    under_one: Looked
    at_worst: Uses

    @property
    def weight_kg(self) -> float:
        """Weight of the rig."""
        return self.at_worst.weight_kg

    @property
    def uses(self) -> dict[str, float]:
        """Use of every limit, foreseen at worst."""
        return self.at_worst.uses

    @property
    def over(self) -> float:
        """How far all limits together are over."""
        return self.at_worst.over

    @property
    def worst(self) -> str:
        """The limit that is used most."""
        return self.at_worst.worst


class Drawn(NamedTuple):
    """A choice drawn: its job and weight."""

    job: Job
    weight_kg: float


Doing = Literal["cure", "lighten", "prove"]
"""What the sizing does now: a limit is over, all hold and parts go down, or the worst case is looked at."""


class Step(NamedTuple):
    """Where the sizing stands: its round from 1, the weight so far, and the limit used most with its use."""

    round: int
    doing: Doing
    weight_kg: float
    limit: str
    use: float


Told = Callable[[Step], object]
"""Told of each step."""


def _finite(use: float) -> float:
    return min(use, MOST_USE) if use == use else MOST_USE  # not a number


MOST_USE = 1000.0
"""A use beyond this is as bad as none."""


def is_sized(check: Check) -> bool:
    """Whether a limit is one of a part that is sized: of what the shop builds, not of the sling, which is bought."""
    return check.of == "rig" and not check.part.startswith(SLING)


SLING = "sling"
"""How the parts of the rigging are called whose own tag is their limit (`engine.strength.rigging`)."""


def _worst_at_once(verdict: Verdict) -> float:
    """The most used of the limits that are sized, by what is quickly known of it: it may still be used more."""
    return _most_sized(verdict.worst_uses_at_once)


def _most_sized(uses: Sequence[tuple[Check, float]]) -> float:
    return max((use for check, use in uses if is_sized(check)), default=math.inf)


class Sizing:
    """The search for one wish and one layout."""

    def __init__(self, catalogue: Catalogue, layout: Layout, stop: Stop = never, told: Told = unheard) -> None:
        self.catalogue, self.layout, self._stop, self._told = catalogue, layout, stop, told
        self._round = 0
        self._more: dict[str, float] = {}
        """What the worst case adds to each limit, as a factor."""
        self._moves: dict[tuple[int, str], bool] = {}
        """Whether a part moves a limit, where that has been seen."""
        self._effects = SizeEffects([part.sizes for part in catalogue.parts])
        self._drawn: dict[Choice, Drawn | None] = {}
        self._looked: dict[Choice, Looked] = {}
        self._fits: dict[tuple[str, int, int, int], list[int]] = {}
        self.stuck = ""
        """The limit that was over when the search ended without a rig; empty where none was looked at."""

    def run(self) -> tuple[Tried, Verdict] | None:
        """The lightest choice found that holds; None where none does."""
        start = at = self.start()
        for self._round in range(1, ROUNDS + 1):
            tried = None if at is None else self.tried(at)
            if tried is not None and not self._more:
                self._learn(tried, evaluate(tried.job, tried.job.poses[0]).worst_uses_at_once)
                tried = self._again(tried)
            tried = None if tried is None else self._raised(tried)
            if (tried is None or tried.over > 0.0) and at != start:
                at = start
                continue
            if tried is None or tried.over > 0.0:
                self.stuck = "" if tried is None else tried.worst
                return None
            tried = self._traded(self._lowered(tried))
            self._say("prove", tried)
            verdict = evaluate(tried.job, tried.job.poses[0])
            if _worst_at_once(verdict) <= RESERVE:
                found = self._lightest(tried, verdict)
                if found is not None:
                    return found
            over = verdict.worst_uses_at_once if _worst_at_once(verdict) > RESERVE else verdict.worst_uses
            self.stuck = max((use, check.name) for check, use in over if is_sized(check))[1]
            self._learn(tried, over)
            at = tried.choice
        return None

    def start(self) -> Choice | None:
        """Sizes well up in every list, where most things hold."""
        return self._repaired(tuple(int(START * (len(part.sizes) - 1)) for part in self.catalogue.parts))

    def _say(self, doing: Doing, tried: Tried) -> None:
        worst = tried.worst
        self._told(Step(self._round, doing, tried.weight_kg, worst, _finite(tried.uses[worst])))

    # -------------------------------------------------------- steps

    def _raised(self, tried: Tried, most_kg: float = math.inf) -> Tried:
        """One part larger at a time, until everything holds, nothing helps, or the rig is too heavy.

        Where no one part helps, a larger tube is taken that asks for other parts to be larger too.
        """
        tried = self._raised_straight(tried, most_kg)
        while tried.over > 0.0 and tried.weight_kg < most_kg:
            limit = tried.worst
            now = tried.uses[limit]
            leaps = [
                (known.over, choice)
                for place, choice in self._larger(tried, limit)
                if (known := self._known(tried, place, choice)) is not None and known.uses.get(limit, math.inf) < now
            ]
            looks = (self.tried(choice) for _, choice in sorted(leaps)[:LEAPS])
            landed = (self._raised_straight(other, most_kg) for other in looks if other is not None)
            found = next((other for other in landed if other.over < tried.over - 1e-6), None)
            if found is None:
                return tried
            tried = found
        return tried

    def _raised_straight(self, tried: Tried, most_kg: float) -> Tried:
        while tried.over > 0.0 and tried.weight_kg < most_kg:
            self._say("cure", tried)
            best = self._best(tried)
            if best is None:  # what moved nothing at other sizes may do so now
                self._moves.clear()
                best = self._best(tried)
            if best is None:
                return tried
            tried = best
        return tried

    def _best(self, tried: Tried) -> Tried | None:
        """What brings all limits furthest down for its weight: the best foreseen is looked at until one keeps to it."""
        rivals: list[tuple[float, Choice, int]] = []
        for place, choice in self._larger(tried, tried.worst):
            known = self._known(tried, place, choice)
            price = math.inf if known is None else _price(tried, known)
            if price < math.inf:
                rivals.append((price, choice, place))
        heapq.heapify(rivals)
        while rivals:
            price, choice, place = heapq.heappop(rivals)
            other = self._look(tried, place, choice)
            real = math.inf if other is None else _price(tried, other.at_worst)
            if real <= max(price, rivals[0][0] if rivals else math.inf) * (1.0 + SAME_PRICE) and real < math.inf:
                return other
            if real < math.inf:
                heapq.heappush(rivals, (real, choice, place))
        return None

    def _lowered(self, tried: Tried) -> Tried:
        """Every part as small as it may be beside the others, those that weigh most first."""
        for _ in range(LOWERINGS):
            before = tried
            for place in self._by_weight(tried):
                self._say("lighten", tried)
                tried = self._lowest(tried, place)
            if tried is before:
                break
        return tried

    def _by_weight(self, tried: Tried) -> list[int]:
        """Places of the parts, those first of which one size less saves most."""
        saved = []
        for place in range(len(self.catalogue.parts)):
            choice = self._step(tried.choice, place, -1)
            less = None if choice is None else self._foreseen(tried, choice) or self.drawn(choice)
            saved.append((0.0 if less is None else tried.weight_kg - less.weight_kg, place))
        return [place for _, place in sorted(saved, reverse=True)]

    def _lowest(self, tried: Tried, place: int) -> Tried:
        """One part as small as holds; of tubes several sizes less are looked at, as one may be stronger and lighter."""
        is_tube = self.catalogue.is_tube(place)
        most_more_kg = -1e-6 if is_tube else LEAST_PRICE_KG  # a smaller hole leaves more steel
        while True:
            steps = range(-1, -5, -1) if is_tube else self._down_to_the_foreseen(tried, place)
            choices = (self._step(tried.choice, place, step) for step in steps)
            less = (self._lighter(tried, place, choice, most_more_kg) for choice in choices if choice is not None)
            found = next((other for other in less if other is not None and other.over == 0.0), None)
            if found is None:
                return tried
            tried = found

    def _down_to_the_foreseen(self, tried: Tried, place: int) -> Sequence[int]:
        """Steps down of one part, from the smallest size that is foreseen to hold up to the next."""
        furthest = -1
        while (choice := self._step(tried.choice, place, furthest - 1)) is not None:
            foreseen = self._foreseen(tried, choice)
            if foreseen is None or foreseen.over > 0.0:
                break
            furthest -= 1
        return range(furthest, 0)

    def _lighter(
        self, tried: Tried, place: int, choice: Choice, most_more_kg: float, most: float = 0.0
    ) -> Tried | None:
        """A choice where the rig is lighter, or hardly heavier, and not foreseen to be over."""
        foreseen = self._foreseen(tried, choice)
        if foreseen is not None and foreseen.over > most + foreseen.doubt:
            return None
        drawn = self.drawn(choice)
        if drawn is None or not drawn.weight_kg < tried.weight_kg + most_more_kg:
            return None
        return self._look(tried, place, choice)

    def _traded(self, tried: Tried) -> Tried:
        """A tube smaller and other parts larger, where that is lighter altogether."""
        for place in self._by_weight(tried):
            if self.catalogue.is_tube(place):
                tried = self._traded_at(tried, place)
        return tried

    def _traded_at(self, tried: Tried, place: int) -> Tried:
        """The same with one tube smaller: the first of three sizes that makes the whole rig lighter."""
        for step in (-1, -2, -3):
            choice = self._step(tried.choice, place, step)
            less = None if choice is None else self._lighter(tried, place, choice, SLACK_KG, MOST_TRADED)
            if less is not None and less.over < MOST_TRADED:
                raised = self._raised(less, tried.weight_kg + SLACK_KG)
                if raised.over == 0.0 and raised.weight_kg < tried.weight_kg + SLACK_KG:
                    lowered = self._lowered(raised)
                    if lowered.weight_kg < tried.weight_kg - 1e-6:
                        return lowered
        return tried

    def _lightest(self, tried: Tried, verdict: Verdict) -> tuple[Tried, Verdict] | None:
        """What is lighter once it is known what the worst case adds to each limit, as far as a full verdict holds.

        Verdicts are asked to the end, which takes longer than what is known of them at once, for the last one first.
        """
        holding = [(tried, verdict)]
        while True:
            self._learn(tried, verdict.worst_uses_at_once)
            less = self._traded(self._lowered(self._again(tried)))
            if less.weight_kg > tried.weight_kg - LEAST_SAVED_KG:
                break
            self._say("prove", less)
            tried, verdict = less, evaluate(less.job, less.job.poses[0])
            if _worst_at_once(verdict) > RESERVE:
                break
            holding.append((tried, verdict))
        for tried, verdict in reversed(holding):
            self._say("prove", tried)
            if _most_sized(verdict.worst_uses) <= RESERVE:
                return tried, verdict
        return None

    def _larger(self, tried: Tried, limit: str) -> Iterator[tuple[int, Choice]]:
        """The next sizes of every part that moves a limit, as far as known; of tubes several."""
        for place in range(len(self.catalogue.parts)):
            steps = (1, 2, 3, 5) if self.catalogue.is_tube(place) else (1,)
            for step in steps:
                for choice in self._steps(tried.choice, place, step):
                    if self._moves.get((place, limit), True):
                        yield place, choice

    def _step(self, choice: Choice, place: int, step: int) -> Choice | None:
        """One part so many sizes on, and the parts that go with it; None where there is no such size."""
        index = choice[place] + step
        if not 0 <= index < len(self.catalogue.parts[place].sizes):
            return None
        stepped = (*choice[:place], index, *choice[place + 1 :])
        return self._repaired(stepped, place) if self.catalogue.is_tube(place) else stepped

    def _steps(self, choice: Choice, place: int, step: int) -> Iterator[Choice]:
        """The same, and with thicker ones of the parts that have to go with it, where it takes others."""
        first = self._step(choice, place, step)
        if first is None:
            return
        yield first
        for name in DEPENDENT:
            other = self.catalogue.place[name]
            if other != place and first[other] != choice[other]:
                fits = [at for at in self._that_fit(name, first) if at > first[other]]
                thicker = (self._step(first, other, at - first[other]) for at in fits[:THICKER])
                yield from (one for one in thicker if one is not None and one[place] == first[place])

    def _repaired(self, choice: Choice, kept: int = -1) -> Choice | None:
        """The choice with the nearest cross-member, bed and sleeves that go with its other tubes."""
        catalogue, made = self.catalogue, list(choice)
        for name in DEPENDENT:
            place = catalogue.place[name]
            if place == kept:
                continue
            fits = self._that_fit(name, made)
            if not fits:
                return None
            made[place] = min(fits, key=lambda at, was=made[place]: abs(at - was))
        return (
            tuple(made)
            if all(made[catalogue.place[name]] in self._that_fit(name, made) for name in DEPENDENT)
            else None
        )

    def _that_fit(self, name: str, choice: Sequence[int]) -> list[int]:
        """Sizes of a tube that go with the boom, the mast and the sleeves of a choice."""
        place = self.catalogue.place
        key = name, choice[place["boom"]], choice[place["mast"]], choice[place["sleeve"]]
        if key not in self._fits:
            sizes = range(len(self.catalogue.parts[place[name]].sizes))
            self._fits[key] = [at for at in sizes if self.catalogue.fits(name, at, choice)]
        return self._fits[key]

    # -------------------------------------------------------- judging

    def tried(self, choice: Choice) -> Tried | None:
        """What a choice comes to; None where there cannot be such a rig."""
        drawn = self.drawn(choice)
        if drawn is None:
            return None
        if choice not in self._looked:
            checks = find_rig_checks(drawn.job, figures(drawn.job, drawn.job.poses[0]))
            uses = {check.name: float(check.use) for check in checks if is_sized(check)}
            self._looked[choice] = Looked(choice, drawn.weight_kg, uses)
        looked = self._looked[choice]
        return Tried(choice, drawn.job, looked, self._at_worst(looked))

    def drawn(self, choice: Choice) -> Drawn | None:
        """A choice drawn; None where there cannot be such a rig."""
        if choice not in self._drawn:
            if self._stop():
                raise Stopped
            self._drawn[choice] = self._drawn_now(choice)
        return self._drawn[choice]

    def _drawn_now(self, choice: Choice) -> Drawn | None:
        make = self.catalogue.make(choice)
        if make is None:
            return None
        try:
            job = draft(self.catalogue.wish, make, self.layout)
        except (TailweightError, ValueError):
            return None
        return None if impossibilities(job, job.poses[0]) else Drawn(job, weight_kg(job))

    def _again(self, tried: Tried) -> Tried:
        """The same with what is known by now of the worst case."""
        return tried._replace(at_worst=self._at_worst(tried.under_one))

    def _at_worst(self, looked: Looked) -> Uses:
        uses = {name: use * self._more.get(name, FIRST_MORE) for name, use in looked.uses.items()}
        over = sum(math.log(_finite(use) / RESERVE) for use in uses.values() if not use <= RESERVE)
        return Uses(looked.weight_kg, uses, over)

    def _look(self, before: Tried, place: int, choice: Choice) -> Tried | None:
        """What a choice comes to, and what its other size of a part does is remembered."""
        after = self.tried(choice)
        if after is not None and choice != before.choice:
            self._effects.remember(before.under_one, after.under_one)
            now = after.under_one.uses
            for limit, use in before.under_one.uses.items():
                self._moves[place, limit] = abs(now.get(limit, math.inf) - use) > MOVED * use
        return after

    def _foreseen(self, before: Tried, choice: Choice) -> Uses | None:
        """What a choice is foreseen to come to; None where nothing like it was looked at."""
        if choice in self._looked:
            return self._at_worst(self._looked[choice])
        foreseen = self._effects.foreseen(before.under_one, choice)
        if foreseen is None:
            return None
        return self._at_worst(foreseen.looked)._replace(doubt=SURE if foreseen.same_change else LIKELY)

    def _known(self, before: Tried, place: int, choice: Choice) -> Uses | None:
        """The same, looked at where that is the only way to know."""
        foreseen = self._foreseen(before, choice)
        if foreseen is not None:
            return foreseen
        looked = self._look(before, place, choice)
        return None if looked is None else looked.at_worst

    def _learn(self, tried: Tried, worst_uses: Sequence[tuple[Check, float]]) -> None:
        """What the worst case and the other pulls add, from a full verdict; what was foreseen before counts no more."""
        under_one = tried.under_one.uses
        for check, use in worst_uses:
            if under_one.get(check.name, 0.0) > 0.0 and math.isfinite(use):
                self._more[check.name] = use / under_one[check.name]


def _price(tried: Tried, other: Uses) -> float:
    """What is paid in weight for bringing all limits down; infinite where they are not."""
    gained = tried.over - other.over
    return max(other.weight_kg - tried.weight_kg, LEAST_PRICE_KG) / gained if gained > 1e-6 else math.inf


DEPENDENT = ("sleeve", "cross", "bed")
"""Tubes that have to go with others."""

THICKER = 3
"""How many sizes more of a tube that has to go with another are looked at."""

LEAPS = 3
"""Larger tubes that are followed up where no one part helps."""

MOVED = 0.003
"""A limit that changes by less with a part's size does not depend on that part."""

LEAST_PRICE_KG = 0.05
"""What a change costs at least, so that a change for nothing is not made for its own sake."""

SLACK_KG = 3.0
"""How much heavier a rig with another tube may be at first: the parts that go with it may be smaller then."""

LOWERINGS = 3
"""How often all parts are gone through at most."""

START = 0.6
"""Where in its list every part starts."""

MOST_TRADED = 1.0
"""How far over a smaller tube may leave a rig that other parts are then made larger for."""

SURE, LIKELY = 0.03, 0.12
"""How far over a change has to be foreseen, as a logarithm, to be left out without a look at it.

The second is for one that is only like one that was looked at.
"""

SAME_PRICE = 0.02
"""How much dearer than foreseen what is looked at may be and still be taken before the next."""

LEAST_SAVED_KG = 0.1
"""A rig lighter by less is not worth another verdict."""

FIRST_MORE = 1.2
"""What the worst case adds to a limit before it is known."""
