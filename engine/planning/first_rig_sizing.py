"""Sizes a first rig: every part as small as holds at the wish, beside all the others.

Everything starts well up in its list.  The limit that is used most decides which parts are tried larger; the one that
brings all limits furthest down for its weight stays.  When all limits hold with the reserve, parts go down again as far
as they may, the heaviest first, and a tube may go down where others then go up.  No rule says which part cures which
limit.

In between, limits are looked at with values as entered, times what the worst case added to each at the last full
verdict; a full verdict decides at the end.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import Literal, NamedTuple

from engine.base.errors import TailweightError
from engine.limits.all_limits import find_rig_checks
from engine.planning.first_rig_catalogue import Catalogue, Choice
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


class Tried(NamedTuple):
    """A choice, its job, its weight, and the rig's limits by name: uses under one pull, and those foreseen at worst."""

    choice: Choice
    job: Job
    weight_kg: float
    under_one: dict[str, float]
    uses: dict[str, float]

    @property
    def over(self) -> float:
        """How far all limits together are over what they may reach, as logarithms; 0 where everything holds."""
        return sum(math.log(max(_finite(use) / RESERVE, 1.0)) for use in self.uses.values())

    @property
    def worst(self) -> str:
        """The limit that is used most."""
        return max(self.uses, key=lambda name: _finite(self.uses[name]))


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


def _worst_of_rig(verdict: Verdict) -> float:
    """The most used of the limits that are sized; where that is over the reserve, what is quickly known of it."""
    at_once = _most_sized(verdict.worst_uses_at_once)
    return at_once if at_once > RESERVE else _most_sized(verdict.worst_uses)


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
        self._seen: dict[Choice, Tried | None] = {}
        self.stuck = ""
        """The limit that was over when the search ended without a rig; empty where none was looked at."""

    def run(self) -> tuple[Tried, Verdict] | None:
        """The lightest choice found that holds; None where none does."""
        start = at = self.start()
        for self._round in range(1, ROUNDS + 1):
            tried = None if at is None else self.tried(at)
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
            if _worst_of_rig(verdict) <= RESERVE:
                return self._polished(tried, verdict)
            sized = (pair for pair in verdict.worst_uses_at_once if is_sized(pair[0]))
            self.stuck = max(sized, key=lambda pair: pair[1])[0].name
            self._learn(tried, verdict)
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
            leaps = [
                other for other in self._larger(tried, limit) if other.uses.get(limit, math.inf) < tried.uses[limit]
            ]
            leaps.sort(key=lambda other: other.over)
            landed = (self._raised_straight(other, most_kg) for other in leaps[:LEAPS])
            found = next((other for other in landed if other.over < tried.over - 1e-6), None)
            if found is None:
                return tried
            tried = found
        return tried

    def _raised_straight(self, tried: Tried, most_kg: float) -> Tried:
        while tried.over > 0.0 and tried.weight_kg < most_kg:
            self._say("cure", tried)
            best = self._best(tried, self._larger(tried, tried.worst))
            if best is None:  # what moved nothing at other sizes may do so now
                self._moves.clear()
                best = self._best(tried, self._larger(tried, tried.worst))
            if best is None:
                return tried
            tried = best
        return tried

    @staticmethod
    def _best(tried: Tried, others: Iterator[Tried]) -> Tried | None:
        """What brings all limits furthest down for its weight."""
        best: tuple[float, Tried] | None = None
        for other in others:
            gained = tried.over - other.over
            if gained > 1e-6:
                price = max(other.weight_kg - tried.weight_kg, LEAST_PRICE_KG) / gained
                if best is None or price < best[0]:
                    best = price, other
        return None if best is None else best[1]

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
            less = self._stepped(tried, place, -1)
            saved.append((0.0 if less is None else tried.weight_kg - less.weight_kg, place))
        return [place for _, place in sorted(saved, reverse=True)]

    def _lowest(self, tried: Tried, place: int) -> Tried:
        """One part as small as holds; of tubes several sizes less are looked at, as one may be stronger and lighter."""
        is_tube = self.catalogue.is_tube(place)
        most_more_kg = -1e-6 if is_tube else LEAST_PRICE_KG  # a smaller hole leaves more steel
        while True:
            less = (self._stepped(tried, place, step) for step in (range(-1, -5, -1) if is_tube else (-1,)))
            holding = (other for other in less if other is not None and other.over == 0.0)
            found = next((other for other in holding if other.weight_kg < tried.weight_kg + most_more_kg), None)
            if found is None:
                return tried
            tried = found

    def _traded(self, tried: Tried) -> Tried:
        """A tube smaller and other parts larger, where that is lighter altogether."""
        for place in self._by_weight(tried):
            if self.catalogue.is_tube(place):
                for step in (-1, -2, -3):
                    less = self._stepped(tried, place, step)
                    if less is not None and less.weight_kg < tried.weight_kg and less.over < MOST_TRADED:
                        raised = self._raised(less, tried.weight_kg)
                        if raised.over == 0.0 and raised.weight_kg < tried.weight_kg - 1e-6:
                            tried = self._lowered(raised)
                            break
        return tried

    def _polished(self, tried: Tried, verdict: Verdict) -> tuple[Tried, Verdict]:
        """A smaller tube where the full verdict allows one, whatever was foreseen."""
        for place in self._by_weight(tried):
            if self.catalogue.is_tube(place):
                self._say("prove", tried)
                for step in (-1, -2, -3):
                    less = self._stepped(tried, place, step)
                    if less is not None and less.weight_kg < tried.weight_kg - 1e-6 and less.over < MOST_TRADED:
                        judged = evaluate(less.job, less.job.poses[0])
                        if _worst_of_rig(judged) <= RESERVE:
                            tried, verdict = less, judged
                            break
        return tried, verdict

    def _larger(self, tried: Tried, limit: str) -> Iterator[Tried]:
        """The next sizes of every part that moves a limit, as far as known; of tubes several."""
        for place in range(len(self.catalogue.parts)):
            if self._moves.get((place, limit), True):
                steps = (1, 2, 3, 5) if self.catalogue.is_tube(place) else (1,)
                for other in (other for step in steps for other in self._steps(tried, place, step)):
                    before, after = tried.uses[limit], other.uses.get(limit, math.inf)
                    self._moves[place, limit] = abs(after - before) > MOVED * before
                    yield other

    def _stepped(self, tried: Tried, place: int, step: int) -> Tried | None:
        """One part so many sizes on, and the parts that go with it."""
        index = tried.choice[place] + step
        if not 0 <= index < len(self.catalogue.parts[place].sizes):
            return None
        repaired = self._repaired((*tried.choice[:place], index, *tried.choice[place + 1 :]), place)
        return None if repaired is None else self.tried(repaired)

    def _steps(self, tried: Tried, place: int, step: int) -> Iterator[Tried]:
        """The same, and with thicker ones of the parts that have to go with it, where it takes others."""
        first = self._stepped(tried, place, step)
        if first is None:
            return
        yield first
        for name in DEPENDENT:
            other = self.catalogue.place[name]
            if other != place and first.choice[other] != tried.choice[other]:
                sizes = range(first.choice[other] + 1, len(self.catalogue.parts[other].sizes))
                fits = [at for at in sizes if self.catalogue.fits(name, at, first.choice)]
                thicker = (self._stepped(first, other, at - first.choice[other]) for at in fits[:THICKER])
                yield from (one for one in thicker if one is not None and one.choice[place] == first.choice[place])

    def _repaired(self, choice: Choice, kept: int = -1) -> Choice | None:
        """The choice with the nearest cross-member, bed and sleeves that go with its other tubes."""
        catalogue, made = self.catalogue, list(choice)
        for name in DEPENDENT:
            place = catalogue.place[name]
            if place == kept:
                continue
            sizes = range(len(catalogue.parts[place].sizes))
            fits = [at for at in sizes if catalogue.fits(name, at, made)]
            if not fits:
                return None
            made[place] = min(fits, key=lambda at, was=made[place]: abs(at - was))
        return tuple(made) if catalogue.make(tuple(made)) is not None else None

    # -------------------------------------------------------- judging

    def tried(self, choice: Choice) -> Tried | None:
        """What a choice comes to; None where there cannot be such a rig."""
        if choice not in self._seen:
            if self._stop():
                raise Stopped
            self._seen[choice] = self._evaluated(choice)
        return self._seen[choice]

    def _evaluated(self, choice: Choice) -> Tried | None:
        make = self.catalogue.make(choice)
        if make is None:
            return None
        try:
            job = draft(self.catalogue.wish, make, self.layout)
        except (TailweightError, ValueError):
            return None
        pose = job.poses[0]
        if impossibilities(job, pose):
            return None
        checks = find_rig_checks(job, figures(job, pose))
        under_one = {check.name: float(check.use) for check in checks if is_sized(check)}
        uses = {name: use * self._more.get(name, FIRST_MORE) for name, use in under_one.items()}
        return Tried(choice, job, weight_kg(job), under_one, uses)

    def _learn(self, tried: Tried, verdict: Verdict) -> None:
        """What the worst case and the other pulls add, from a full verdict; what was foreseen before counts no more."""
        for check, use in verdict.worst_uses_at_once:
            if tried.under_one.get(check.name, 0.0) > 0.0:
                self._more[check.name] = use / tried.under_one[check.name]
        self._seen.clear()


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

LOWERINGS = 3
"""How often all parts are gone through at most."""

START = 0.6
"""Where in its list every part starts."""

MOST_TRADED = 1.0
"""How far over a smaller tube may leave a rig that other parts are then made larger for."""

FIRST_MORE = 1.2
"""What the worst case adds to a limit before it is known."""
