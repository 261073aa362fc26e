"""The cutting plan: which piece is cut from which bar.

A stock length falls into stretches between its no-go zones.  Pieces cut from one stretch of length S fit when their
lengths and the kerfs between them do: sum of lengths + (n - 1) kerf <= S; what is left may be less than a kerf.  Steel
on the rack is used before steel is bought, bent steel never.  Of what fits the plan takes, in this order, the fewest
bought bars, then the least length of rack bars begun.  Exact by branch and bound (pieces from the longest, equal places
tried once) while a section has few pieces; past ``MOST_TRIES`` the best plan so far stands, which is never worse than
first-fit decreasing.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import msgspec

from engine.base.formatting import M_PER_FT
from engine.schema.model import Condition, Job, Stock
from engine.schema.sections import RectTube, RoundTube, Section
from engine.schema.steel import UNKNOWN, wall_lost_m
from engine.schema.uncertainty_bands import WALL_BY_GUESS_M
from engine.shop.cut_list import pieces
from engine.shop.cut_pieces import Piece, by_stock, stock_key

BOUGHT_BAR_M = 6.0
BOUGHT_BAR_US_M = 20.0 * M_PER_FT
"""Length of a bought bar, the other for a job in US units (common practice, no source).

A longer piece is bought at its own length."""

MOST_TRIES = 40_000
"""Most branches tried for one section: well under a second."""

FITS_M = 1e-9
"""Lengths equal within a nanometre are equal: round-off of sums of millimetres."""


class Bar(msgspec.Struct, kw_only=True, frozen=True):
    """One length to cut from: ``cuts`` holds (part, start, end) of each piece, in m from the datum end.

    ``left_m`` is the longest usable length left over.
    """

    stock: str
    section: Section
    steel: str
    length_m: float
    bought: bool
    cuts: tuple[tuple[str, float, float], ...]
    no_go: tuple[tuple[float, float, str], ...]
    left_m: float


def usable_section(section: Section, condition: Condition) -> Section | None:
    """The section that steel in a condition counts as; None when it must not be used.

    Of a rusty tube's wall a millimetre counts as lost, the error of a guess by eye, or more where more is entered.  How
    much is left of a rusty bar, and what bent steel has gone through, nobody knows.
    """
    if condition == "good":
        return section
    if condition == "rusty" and isinstance(section, RectTube | RoundTube) and section.wall_m > WALL_BY_GUESS_M:
        return msgspec.structs.replace(section, wall_lost_m=max(section.wall_lost_m or 0.0, WALL_BY_GUESS_M))
    return None


def _lost_m(section: Section) -> float:
    """Wall that counts as lost to rust; of a bar that is used none."""
    return wall_lost_m(section) if isinstance(section, RectTube | RoundTube) else 0.0


class Stretch(NamedTuple):
    """A usable stretch of a bar: the bar's number among all bars, where it starts, how long it is."""

    bar: int
    from_m: float
    length_m: float


class _CutPiece(NamedTuple):
    """One piece to lay out."""

    length_m: float
    part: str


def cutting_plan(job: Job, listed: tuple[Piece, ...] | None = None) -> tuple[Bar, ...]:
    """Which piece is cut from which bar.

    Parameters
    ----------
    job : Job
        Gives stock and kerf.
    listed : tuple of Piece, optional
        By default all pieces of the rig.

    Returns
    -------
    tuple of Bar
        Every piece is on exactly one of them; bought bars come after those on the rack.
    """
    groups = by_stock(pieces(job) if listed is None else listed)
    rack = [
        _RackBar(stock_key(section), _lost_m(section), bar)
        for bar in job.stock
        for _ in range(bar.count)
        if (section := usable_section(bar.section, bar.condition)) is not None
    ]
    bought_m = BOUGHT_BAR_US_M if job.units == "us" else BOUGHT_BAR_M
    planned: list[Bar] = []
    # Named steel first: it must not come from unknown bars, so what it leaves is for the rest.
    for (key, steel), group in sorted(groups.items(), key=lambda item: item[0][1] == UNKNOWN):
        for sound_enough, cut in _by_rust(group, [bar for bar in rack if bar.key == key]):
            fitting = [bar for bar in rack if bar in sound_enough and (bar.bar.steel == steel or steel == UNKNOWN)]
            used, bars = _plan_group(cut, [bar.bar for bar in fitting], job.kerf_m, bought_m)
            planned += bars
            for index in sorted(used, reverse=True):
                rack.remove(fitting[index])
    return tuple(sorted(planned, key=lambda bar: bar.bought))


class _RackBar(NamedTuple):
    """A bar on the rack: what it is stock for, and how much of its wall counts as lost."""

    key: tuple[object, ...]
    lost_m: float
    bar: Stock


def _by_rust(group: list[Piece], bars: list[_RackBar]) -> list[tuple[list[_RackBar], list[Piece]]]:
    """Pieces of one section with the bars that have lost no more wall than was counted for them.

    Pieces that may come from the same bars are together; those with the fewest come first, as the rest is for others.
    """
    cuts: dict[int, list[Piece]] = {}
    for piece in group:
        cuts.setdefault(len(_sound_for(piece, bars)), []).append(piece)
    return [(_sound_for(cut[0], bars), cut) for _, cut in sorted(cuts.items())]


def _sound_for(piece: Piece, bars: list[_RackBar]) -> list[_RackBar]:
    lost_m = _lost_m(piece.section) + FITS_M
    return [bar for bar in bars if bar.lost_m <= lost_m]


def _plan_group(group: list[Piece], rack: list[Stock], kerf_m: float, bought_m: float) -> tuple[set[int], list[Bar]]:
    """Indices of the rack bars used for pieces of one section and steel, and all bars with their cuts."""
    cuts = [_CutPiece(piece.length_m, piece.part) for piece in group for _ in range(piece.count)]
    cuts.sort(key=lambda cut: -cut.length_m)
    stretches = [stretch for index, bar in enumerate(rack) for stretch in usable_stretches(bar, index)]
    places = best_places([cut.length_m for cut in cuts], stretches, [bar.length_m for bar in rack], kerf_m, bought_m)
    cuts_at: dict[int, list[_CutPiece]] = {}
    for cut, place in zip(cuts, places, strict=True):
        cuts_at.setdefault(place, []).append(cut)
    used = {stretches[place].bar for place in cuts_at if place < len(stretches)}
    bars = [_rack_bar(rack[index], index, stretches, cuts_at, kerf_m) for index in sorted(used)]
    bars += [
        _bought_bar(group[0], cuts_at[place], kerf_m, bought_m) for place in sorted(cuts_at) if place >= len(stretches)
    ]
    return used, bars


def usable_stretches(bar: Stock, index: int = 0) -> list[Stretch]:
    """Stretches of a stock length between its no-go zones, which may overlap."""
    stretches, at_m = [], 0.0
    for zone in sorted(bar.no_go, key=lambda zone: zone.from_m):
        if zone.from_m > at_m + FITS_M:
            stretches.append(Stretch(index, at_m, zone.from_m - at_m))
        at_m = max(at_m, zone.to_m)
    if bar.length_m > at_m + FITS_M:
        stretches.append(Stretch(index, at_m, bar.length_m - at_m))
    return stretches


def _rack_bar(
    bar: Stock, index: int, stretches: list[Stretch], cuts_at: dict[int, list[_CutPiece]], kerf_m: float
) -> Bar:
    cuts, left_m = [], 0.0
    for place, stretch in enumerate(stretches):
        if stretch.bar == index:
            laid, rest_m = _laid_out(cuts_at.get(place, []), stretch.from_m, stretch.length_m, kerf_m)
            cuts += laid
            left_m = max(left_m, rest_m)
    no_go = tuple((zone.from_m, zone.to_m, zone.why) for zone in sorted(bar.no_go, key=lambda zone: zone.from_m))
    return Bar(
        stock=bar.name,
        section=bar.section,
        steel=bar.steel,
        length_m=bar.length_m,
        bought=False,
        cuts=tuple(cuts),
        no_go=no_go,
        left_m=left_m,
    )


def _bought_bar(piece: Piece, cuts: list[_CutPiece], kerf_m: float, bought_m: float) -> Bar:
    length_m = max(bought_m, cuts[0].length_m)
    laid, left_m = _laid_out(cuts, 0.0, length_m, kerf_m)
    return Bar(
        stock="to buy",
        section=piece.section,
        steel=piece.steel,
        length_m=length_m,
        bought=True,
        cuts=tuple(laid),
        no_go=(),
        left_m=left_m,
    )


def _laid_out(
    cuts: list[_CutPiece], from_m: float, length_m: float, kerf_m: float
) -> tuple[list[tuple[str, float, float]], float]:
    """Pieces one after the other from the stretch's start, a kerf after each; and the length left over."""
    laid, at_m = [], from_m
    for cut in cuts:
        laid.append((cut.part, at_m, at_m + cut.length_m))
        at_m += cut.length_m + kerf_m
    return laid, max(from_m + length_m - at_m, 0.0)


# ---------------------------------------------------------------- branch and bound


def best_places(
    lengths_m: list[float],
    stretches: list[Stretch],
    bars_m: list[float],
    kerf_m: float,
    bought_m: float = BOUGHT_BAR_M,
) -> list[int]:
    """Where each piece goes: the index of its stretch, or a higher one for a bought bar.

    Parameters
    ----------
    lengths_m : list of float
        Pieces, longest first.
    stretches : list of Stretch
        Usable stretches of the bars on the rack.
    bars_m : list of float
        Whole length of each of those bars.
    kerf_m : float
        Width of a cut.
    bought_m : float
        Length of a bought bar.

    Returns
    -------
    list of int
        With the fewest bought bars, then the least length of rack bars begun.
    """
    return _PackingSearch(lengths_m, stretches, bars_m, kerf_m, bought_m).run()


class _PackingSearch:
    """Branch and bound over the place of each piece; pieces from the longest."""

    def __init__(
        self, lengths_m: list[float], stretches: list[Stretch], bars_m: list[float], kerf_m: float, bought_m: float
    ) -> None:
        self.bought_m = bought_m
        self.lengths_m, self.stretches, self.bars_m, self.kerf_m = lengths_m, stretches, bars_m, kerf_m
        # A kerf longer, so that n pieces with a kerf each stand for n pieces with n - 1 kerfs between.
        self.free_m = [stretch.length_m + kerf_m for stretch in stretches]
        self.cuts_on_bar = [0] * len(bars_m)
        self.places: list[int] = []
        self.best: list[int] = []
        self.best_cost = (math.inf, math.inf)
        self.tries = 0

    def run(self) -> list[int]:
        """The best places of all pieces within ``MOST_TRIES``."""
        self._place(0, 0, 0.0)
        return self.best

    def _place(self, index: int, bought: int, begun_m: float) -> None:
        if (bought, begun_m) >= self.best_cost:
            return
        if index == len(self.lengths_m):
            self.best_cost, self.best = (bought, begun_m), list(self.places)
            return
        if self.best and self.tries >= MOST_TRIES:
            return
        self.tries += 1
        need_m = self.lengths_m[index] + self.kerf_m
        for place in self._candidates(need_m):
            self._put(index, place, need_m, bought, begun_m)
        self._put(index, len(self.free_m), need_m, bought + 1, begun_m)

    def _candidates(self, need_m: float) -> list[int]:
        """Places the piece fits into, of equal places one, those already begun first, the tightest first."""
        seen: set[tuple[object, ...]] = set()
        candidates = []
        for place in sorted(range(len(self.free_m)), key=lambda place: (not self._is_begun(place), self.free_m[place])):
            if self.free_m[place] + FITS_M < need_m:
                continue
            kind = place if self._is_begun(place) else self._untouched_kind(place)
            key: tuple[object, ...] = (round(self.free_m[place] / FITS_M), kind)
            if key not in seen:
                seen.add(key)
                candidates.append(place)
        return candidates

    def _is_begun(self, place: int) -> bool:
        return place >= len(self.stretches) or self.cuts_on_bar[self.stretches[place].bar] > 0

    def _untouched_kind(self, place: int) -> tuple[object, ...]:
        """Equal for the same stretch of equal bars, of which only one has to be tried."""
        bar = self.stretches[place].bar
        stretches = tuple((s.from_m, s.length_m) for s in self.stretches if s.bar == bar)
        return ("untouched", self.bars_m[bar], stretches, self.stretches[place].from_m)

    def _put(self, index: int, place: int, need_m: float, bought: int, begun_m: float) -> None:
        """Put a piece in a place, go on with the next piece, and take it out again."""
        new = place == len(self.free_m)
        if new:
            self.free_m.append(max(self.bought_m, self.lengths_m[index]) + self.kerf_m)
        bar = None if place >= len(self.stretches) else self.stretches[place].bar
        if bar is not None:
            begun_m += self.bars_m[bar] if self.cuts_on_bar[bar] == 0 else 0.0
            self.cuts_on_bar[bar] += 1
        self.free_m[place] -= need_m
        self.places.append(place)
        self._place(index + 1, bought, begun_m)
        self.places.pop()
        self.free_m[place] += need_m
        if bar is not None:
            self.cuts_on_bar[bar] -= 1
        if new:
            self.free_m.pop()
