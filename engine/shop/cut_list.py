"""What has to be cut, drilled and welded to build the rig, and how to cut it out of the steel there is.

**Cut list.**  Every piece with its section, cut length (long point, where an end is mitred), mass and steel.  Lengths
follow from the sketch: a tube starts at the barrel it is welded to and ends at the next hinge's axis, or one edge
distance past the hook pin.

**Cutting plan.**  A stock length falls into stretches between its no-go zones.  Pieces cut from one stretch of length S
fit when their lengths and the kerfs between them do: sum of lengths + (n - 1) kerf <= S; what is left may be less than
a kerf.  Steel on the rack is used before steel is bought, bent steel never, and of what fits the plan takes, in this
order, the fewest bought bars, then the least length of rack bars begun.  Exact by branch and bound (pieces from the
longest, equal places tried once) while a section has few pieces; past ``MOST_TRIES`` the best plan found so far stands,
which is never worse than first-fit decreasing.

**Hole schedule.**  Every hole from one datum end, so that errors do not add up; what stepping from hole to hole would
add up to stands beside it.

**Weld list.**  Filler is 1.5 times the steel of the plain triangle, ``leg^2 / 2 x length``: weight of fillet welds as
printed in trade tables, 0.16 lb/ft for 1/4 in legs (read).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

import msgspec

from engine.rig.kinematics import mast_base_z_m
from engine.schema.model import Arm, Condition, Hinge, Job, Pin, Rig, Stock, hinge_of
from engine.schema.sections import (
    STEEL_DENSITY_KG_M3,
    FlatBar,
    RectTube,
    RoundTube,
    Section,
    SolidRound,
    mass_per_length_kg_m,
    outer_depth_m,
    outer_width_m,
)
from engine.schema.uncertainty_bands import WALL_BY_GUESS_M
from engine.strength import welds

BOUGHT_BAR_M = 6.0
"""Length of a bought bar (common practice, no source); a longer piece is bought at its own length."""

MARKING_M = 0.0005
"""How far a hole lands from its mark: scribed, centre-punched and drilled in a bench drill (common practice, no source)."""

FILLER_OVER_TRIANGLE = 1.5
"""Filler bought over the plain triangle of a fillet: convexity, starts, stops (trade tables of fillet weight, read)."""

PIN_ENDS = 2.0
"""Length a pin stands out beyond what it goes through, both ends together, in diameters: head and clip (common
practice, no source)."""

MOST_TRIES = 40_000
"""Branches looked at for one section: well under a second."""

FITS_M = 1e-9
"""Lengths equal within a nanometre are equal: round-off of sums of millimetres."""


class Piece(msgspec.Struct, kw_only=True, frozen=True):
    """One part to cut: ``length_m`` is what the saw is set to, ``mitre_rad`` how far one end is off square."""

    part: str
    section: Section
    length_m: float
    mitre_rad: float = 0.0
    count: int = 1
    steel: str
    note: str = ""

    @property
    def mass_each_kg(self) -> float:
        """Steel of one piece, from the nominal wall; a mitred piece is as heavy as its length on the axis."""
        axis_m = self.length_m - outer_depth_m(self.section) / 2.0 * math.tan(abs(self.mitre_rad))
        return mass_per_length_kg_m(self.section) * axis_m


class Total(msgspec.Struct, kw_only=True, frozen=True):
    """All pieces of one section and steel; ``length_m`` without kerfs."""

    section: Section
    steel: str
    count: int
    length_m: float
    mass_kg: float


class Bar(msgspec.Struct, kw_only=True, frozen=True):
    """One length to cut from: pieces as (part, where it starts, where it ends), in m from its datum end.

    ``left_m`` is the longest usable piece left over.
    """

    stock: str
    section: Section
    steel: str
    length_m: float
    bought: bool
    cuts: tuple[tuple[str, float, float], ...]
    no_go: tuple[tuple[float, float, str], ...]
    left_m: float


class Hole(msgspec.Struct, kw_only=True, frozen=True):
    """One hole (or row of a schedule): centre from the datum end, and from the hole before it.

    ``stack_m`` is how far off it may land when each hole is stepped off from the one before, against ``MARKING_M`` when
    every hole is marked from the datum.
    """

    part: str
    name: str
    from_datum_m: float
    step_m: float
    from_edge_m: float
    diameter_m: float
    stack_m: float


class HoleSchedule(msgspec.Struct, kw_only=True, frozen=True):
    """Holes of one part from one datum end; ``steps`` and ``end_m`` add up to ``length_m``."""

    part: str
    datum: str
    length_m: float
    holes: tuple[Hole, ...]
    end_m: float


class WeldLine(msgspec.Struct, kw_only=True, frozen=True):
    """Welds of one kind: so many lines of one length.  Leg and filler are ``None`` where the sketch has no leg."""

    name: str
    lines: int
    length_each_m: float
    leg_m: float | None
    electrode: str
    note: str = ""

    @property
    def length_m(self) -> float:
        """All lines together."""
        return self.lines * self.length_each_m

    @property
    def filler_kg(self) -> float | None:
        """Filler to buy; ``None`` where the leg is not known."""
        return None if self.leg_m is None else filler_kg(self.leg_m, self.length_m)


class PinRow(msgspec.Struct, kw_only=True, frozen=True):
    """Pins of one kind: size, hole, play, and the length of bar to cut."""

    name: str
    count: int
    diameter_m: float
    hole_m: float
    length_m: float
    steel: str

    @property
    def play_m(self) -> float:
        """Hole over pin."""
        return self.hole_m - self.diameter_m


class Fit(msgspec.Struct, kw_only=True, frozen=True):
    """Something that goes into something: inside size, outside size; ``None`` is to be measured and written in."""

    name: str
    inside_m: float
    outside_m: float

    @property
    def play_m(self) -> float:
        """Free space, both sides together."""
        return self.inside_m - self.outside_m


def filler_kg(leg_m: float, length_m: float) -> float:
    """Filler for a fillet weld, 1.5 times its plain triangle."""
    return FILLER_OVER_TRIANGLE * leg_m**2 / 2.0 * length_m * STEEL_DENSITY_KG_M3


# ---------------------------------------------------------------- pieces


def pieces(job: Job) -> tuple[Piece, ...]:
    """Every piece of the rig, from the sleeves outwards."""
    rig = job.rig
    return (*_base_pieces(job), *_saddle_pieces(rig), *_boom_and_arms(rig), *_pin_pieces(rig), *_hoop_piece(rig))


def _base_pieces(job: Job) -> Iterator[Piece]:
    rig = job.rig
    sleeves, mast = rig.sleeves, rig.jib_mast
    yield Piece(part="sleeve", section=sleeves.section, length_m=sleeves.length_m, count=2, steel=sleeves.steel)
    between_m = job.truck.forks.spread_m - sleeves.section.width_m
    note = "between the sleeves, for this fork spread"
    yield Piece(part="cross-member", section=sleeves.cross_section, length_m=between_m, steel=sleeves.steel, note=note)
    long_point_m = mast.length_m + outer_depth_m(mast.section) / 2.0 * math.tan(abs(mast.lean_rad))
    note = "foot mitred for the lean, long point given" if mast.lean_rad else ""
    yield Piece(
        part="jib mast",
        section=mast.section,
        length_m=long_point_m,
        mitre_rad=mast.lean_rad,
        steel=mast.steel,
        note=note,
    )


def _saddle_pieces(rig: Rig) -> Iterator[Piece]:
    saddles, boom = rig.saddles, rig.boom
    if saddles.bed_section is not None:
        length_m = saddles.front_x_m - saddles.rear_x_m + saddles.strap_length_m
        yield Piece(part="saddle bed", section=saddles.bed_section, length_m=length_m, steel=saddles.steel)
    flat = FlatBar(width_m=saddles.strap_length_m, depth_m=saddles.strap_thickness_m)
    around_m = 2.0 * boom.section.depth_m + boom.section.width_m + 2.0 * saddles.strap_thickness_m
    note = "bent to a U over the boom; legs trimmed to fit"
    yield Piece(part="saddle strap", section=flat, length_m=around_m, count=2, steel=saddles.steel, note=note)


def _boom_and_arms(rig: Rig) -> Iterator[Piece]:
    yield Piece(part="boom", section=rig.boom.section, length_m=rig.boom.length_m, steel=rig.boom.steel)
    for index, arm in enumerate(rig.arms):
        yield Piece(
            part=f"{arm.name} tube",
            section=arm.section,
            length_m=arm_tube_m(rig, index),
            steel=arm.steel,
            note="one end coped to the barrels",
        )
        yield from _hinge_pieces(arm)


def arm_tube_m(rig: Rig, index: int) -> float:
    """Tube of an arm: from the barrel's skin to the next hinge axis, or past the hook pin on the outermost arm."""
    arm = rig.arms[index]
    outermost = index == len(rig.arms) - 1
    return arm.length_m - hinge_of(arm).barrel_outer_m / 2.0 + (rig.hook.edge_m if outermost else 0.0)


def _hinge_pieces(arm: Arm) -> Iterator[Piece]:
    hinge = hinge_of(arm)
    barrel = RoundTube(diameter_m=hinge.barrel_outer_m, wall_m=(hinge.barrel_outer_m - hinge.pin.hole_m) / 2.0)
    yield Piece(part=f"{arm.name} barrel", section=barrel, length_m=hinge.barrel_length_m, count=2, steel=hinge.steel)
    lug = FlatBar(width_m=2.0 * hinge.lug_edge_m, depth_m=hinge.lug_thickness_m)
    length_m = hinge.barrel_outer_m + hinge.lug_edge_m
    note = "before shaping; round the end about the hole"
    yield Piece(
        part=f"{arm.name} lug", section=lug, length_m=length_m, count=_lugs(hinge), steel=hinge.steel, note=note
    )


def _lugs(hinge: Hinge) -> int:
    """One lug to each barrel in single shear, two in double."""
    return 2 * hinge.shear_planes


def _pin_pieces(rig: Rig) -> Iterator[Piece]:
    for row in pin_list(rig):
        bar = SolidRound(diameter_m=row.diameter_m)
        yield Piece(part=row.name, section=bar, length_m=row.length_m, count=row.count, steel=row.steel)


def _hoop_piece(rig: Rig) -> Iterator[Piece]:
    hoop = rig.hook.hoop
    if hoop is not None:
        length_m = 2.0 * hoop.leg_m + math.pi * hoop.bend_radius_m
        yield Piece(
            part="hook hoop",
            section=SolidRound(diameter_m=hoop.bar_m),
            length_m=length_m,
            steel=hoop.steel,
            note="bent to a U, length on the centreline",
        )


def totals(listed: tuple[Piece, ...]) -> tuple[Total, ...]:
    """Count, length and mass of each section and steel, in the order they are first met."""
    groups: dict[tuple[object, str], list[Piece]] = {}
    for piece in listed:
        groups.setdefault((_same(piece.section), piece.steel), []).append(piece)
    return tuple(
        Total(
            section=group[0].section,
            steel=group[0].steel,
            count=sum(piece.count for piece in group),
            length_m=math.fsum(piece.count * piece.length_m for piece in group),
            mass_kg=math.fsum(piece.count * piece.mass_each_kg for piece in group),
        )
        for group in groups.values()
    )


def _same(section: Section) -> tuple[object, ...]:
    """What makes two sections one and the same stock, whichever side stands up; to a hundredth of a millimetre."""
    match section:
        case RectTube():
            return ("rect tube", *sorted(_rounded(section.width_m, section.depth_m)), *_rounded(section.wall_m))
        case RoundTube():
            return ("round tube", *_rounded(section.diameter_m, section.wall_m))
        case SolidRound():
            return ("round bar", *_rounded(section.diameter_m))
        case FlatBar():
            return ("flat bar", *sorted(_rounded(section.width_m, section.depth_m)))


def _rounded(*sizes_m: float) -> tuple[float, ...]:
    return tuple(round(size * 1e5) for size in sizes_m)


# ---------------------------------------------------------------- cutting plan


def counted(section: Section, condition: Condition) -> Section | None:
    """The section that steel in a condition counts for; None where it is not to be used.

    A rusty tube counts for one with a millimetre less wall, which is what a guess by eye is worth; how much is left of
    rusty bars, and what bent steel has gone through, nobody knows.
    """
    if condition == "good":
        return section
    if condition == "rusty" and isinstance(section, RectTube | RoundTube) and section.wall_m > WALL_BY_GUESS_M:
        return msgspec.structs.replace(section, wall_m=section.wall_m - WALL_BY_GUESS_M)
    return None


class Stretch(NamedTuple):
    """A usable stretch of a bar: the bar's number among all bars, where it starts, how long it is."""

    bar: int
    from_m: float
    length_m: float


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
    listed = pieces(job) if listed is None else listed
    rack = [bar for bar in job.stock for _ in range(bar.count) if counted(bar.section, bar.condition) is not None]
    groups: dict[tuple[object, str], list[Piece]] = {}
    for piece in listed:
        groups.setdefault((_same(piece.section), piece.steel), []).append(piece)
    found: list[Bar] = []
    # Named steel first: it may not come from unknown bars, so what it leaves is for the rest.
    for (section, steel), group in sorted(groups.items(), key=lambda item: item[0][1] == "unknown"):
        own = [
            bar
            for bar in rack
            if _same(counted(bar.section, bar.condition)) == section and (bar.steel == steel or steel == "unknown")
        ]
        used, bars = _plan_group(group, own, job.kerf_m)
        found += bars
        for index in sorted(used, reverse=True):
            rack.remove(own[index])
    return tuple(sorted(found, key=lambda bar: bar.bought))


def _plan_group(group: list[Piece], own: list[Stock], kerf_m: float) -> tuple[set[int], list[Bar]]:
    cuts = sorted(
        ((piece.length_m, piece.part) for piece in group for _ in range(piece.count)), key=lambda cut: -cut[0]
    )
    stretches = [stretch for index, bar in enumerate(own) for stretch in usable(bar, index)]
    places = best_places([length for length, _ in cuts], stretches, [bar.length_m for bar in own], kerf_m)
    held: dict[int, list[tuple[float, str]]] = {}
    for cut, place in zip(cuts, places, strict=True):
        held.setdefault(place, []).append(cut)
    used = {stretches[place].bar for place in held if place < len(stretches)}
    bars = [_rack_bar(own[index], index, stretches, held, kerf_m) for index in sorted(used)]
    bars += [_bought_bar(group[0], held[place], kerf_m) for place in sorted(held) if place >= len(stretches)]
    return used, bars


def usable(bar: Stock, index: int = 0) -> list[Stretch]:
    """Stretches of a stock length between its no-go zones, which may overlap."""
    found, at_m = [], 0.0
    for zone in sorted(bar.no_go, key=lambda zone: zone.from_m):
        if zone.from_m > at_m + FITS_M:
            found.append(Stretch(index, at_m, zone.from_m - at_m))
        at_m = max(at_m, zone.to_m)
    if bar.length_m > at_m + FITS_M:
        found.append(Stretch(index, at_m, bar.length_m - at_m))
    return found


def _rack_bar(
    bar: Stock, index: int, stretches: list[Stretch], held: dict[int, list[tuple[float, str]]], kerf_m: float
) -> Bar:
    cuts, left_m = [], 0.0
    for place, stretch in enumerate(stretches):
        if stretch.bar == index:
            laid, rest_m = _laid(held.get(place, []), stretch.from_m, stretch.length_m, kerf_m)
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


def _bought_bar(piece: Piece, cuts: list[tuple[float, str]], kerf_m: float) -> Bar:
    length_m = max(BOUGHT_BAR_M, cuts[0][0])
    laid, left_m = _laid(cuts, 0.0, length_m, kerf_m)
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


def _laid(
    cuts: list[tuple[float, str]], from_m: float, length_m: float, kerf_m: float
) -> tuple[list[tuple[str, float, float]], float]:
    """Pieces laid out from the stretch's start, a kerf after each; and what is left."""
    found, at_m = [], from_m
    for length, part in cuts:
        found.append((part, at_m, at_m + length))
        at_m += length + kerf_m
    return found, max(from_m + length_m - at_m, 0.0)


class _PackingSearch:
    """Branch and bound over where each piece goes; pieces from the longest."""

    def __init__(self, lengths_m: list[float], stretches: list[Stretch], bars_m: list[float], kerf_m: float) -> None:
        self.lengths, self.stretches, self.bars, self.kerf = lengths_m, stretches, bars_m, kerf_m
        # A kerf longer, so that n pieces with a kerf each stand for n pieces with n - 1 kerfs between.
        self.room = [stretch.length_m + kerf_m for stretch in stretches]
        self.begun = [0] * len(bars_m)
        self.places: list[int] = []
        self.best: list[int] = []
        self.best_cost = (math.inf, math.inf)
        self.tries = 0

    def run(self) -> list[int]:
        self._place(0, 0, 0.0)
        return self.best

    def _place(self, index: int, bought: int, begun_m: float) -> None:
        if (bought, begun_m) >= self.best_cost:
            return
        if index == len(self.lengths):
            self.best_cost, self.best = (bought, begun_m), list(self.places)
            return
        if self.best and self.tries >= MOST_TRIES:
            return
        self.tries += 1
        need_m = self.lengths[index] + self.kerf
        for place in self._tried(need_m):
            self._put(index, place, need_m, bought, begun_m)
        self._put(index, len(self.room), need_m, bought + 1, begun_m)

    def _tried(self, need_m: float) -> list[int]:
        """Places the piece goes into, each kind of place once, those already begun first, the tightest first."""
        seen: set[tuple[object, ...]] = set()
        found = []
        for place in sorted(range(len(self.room)), key=lambda place: (not self._is_begun(place), self.room[place])):
            if self.room[place] + FITS_M < need_m:
                continue
            key: tuple[object, ...] = (
                round(self.room[place] / FITS_M),
                place if self._is_begun(place) else self._kind(place),
            )
            if key not in seen:
                seen.add(key)
                found.append(place)
        return found

    def _is_begun(self, place: int) -> bool:
        return place >= len(self.stretches) or self.begun[self.stretches[place].bar] > 0

    def _kind(self, place: int) -> tuple[object, ...]:
        """What an untouched bar looks like: bars that look alike are tried once."""
        bar = self.stretches[place].bar
        alike = tuple((s.from_m, s.length_m) for s in self.stretches if s.bar == bar)
        return ("untouched", self.bars[bar], alike, self.stretches[place].from_m)

    def _put(self, index: int, place: int, need_m: float, bought: int, begun_m: float) -> None:
        new = place == len(self.room)
        if new:
            self.room.append(max(BOUGHT_BAR_M, self.lengths[index]) + self.kerf)
        bar = None if place >= len(self.stretches) else self.stretches[place].bar
        if bar is not None:
            begun_m += self.bars[bar] if self.begun[bar] == 0 else 0.0
            self.begun[bar] += 1
        self.room[place] -= need_m
        self.places.append(place)
        self._place(index + 1, bought, begun_m)
        self.places.pop()
        self.room[place] += need_m
        if bar is not None:
            self.begun[bar] -= 1
        if new:
            self.room.pop()


def best_places(lengths_m: list[float], stretches: list[Stretch], bars_m: list[float], kerf_m: float) -> list[int]:
    """Where each piece goes (lengths from the longest down): a stretch's index, or past them a bought bar's.

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

    Returns
    -------
    list of int
        With the fewest bought bars, then the least length of rack bars begun.
    """
    return _PackingSearch(lengths_m, stretches, bars_m, kerf_m).run()


# ---------------------------------------------------------------- holes


def hole_schedules(rig: Rig) -> tuple[HoleSchedule, ...]:
    """Every part with drilled holes: boom from its tail, arms from their outer ends."""
    found = [_boom_holes(rig)]
    for index, arm in enumerate(rig.arms):
        end_m = rig.hook.edge_m
        length_m = arm_tube_m(rig, index) + (0.0 if index == len(rig.arms) - 1 else rig.hook.edge_m)
        half_m = outer_depth_m(arm.section) / 2.0
        found.append(_schedule(arm.name, "outer end", length_m, (("hook pin", end_m, half_m, rig.hook.pin.hole_m),)))
    return tuple(found)


def _boom_holes(rig: Rig) -> HoleSchedule:
    boom, hook = rig.boom, rig.hook
    edge_m = boom.section.depth_m / 2.0 if boom.hole_edge_m is None else boom.hole_edge_m
    marks = [
        (f"hole {number}", boom.first_hole_m + (number - 1) * boom.hole_pitch_m, edge_m, boom.pin.hole_m)
        for number in range(1, boom.hole_count + 1)
    ]
    marks.append(("hook pin", boom.length_m - hook.edge_m, boom.section.depth_m / 2.0, hook.pin.hole_m))
    return _schedule("boom", "tail end", boom.length_m, tuple(marks))


def _schedule(
    part: str, datum: str, length_m: float, marks: tuple[tuple[str, float, float, float], ...]
) -> HoleSchedule:
    holes, before_m = [], 0.0
    for number, (name, at_m, edge_m, diameter_m) in enumerate(sorted(marks, key=lambda mark: mark[1]), start=1):
        holes.append(
            Hole(
                part=part,
                name=name,
                from_datum_m=at_m,
                step_m=at_m - before_m,
                from_edge_m=edge_m,
                diameter_m=diameter_m,
                stack_m=number * MARKING_M,
            )
        )
        before_m = at_m
    return HoleSchedule(part=part, datum=datum, length_m=length_m, holes=tuple(holes), end_m=length_m - before_m)


# ---------------------------------------------------------------- welds


def weld_list(job: Job) -> tuple[WeldLine, ...]:
    """Every weld of the rig with its lines, legs and filler; those the sketch has no leg for say so."""
    rig = job.rig
    mast, saddles = rig.jib_mast, rig.saddles
    foot_m = welds.around(mast.section, mast.foot_weld.outline).length_m
    outline = mast.foot_weld.outline.replace("_", " ") if isinstance(mast.section, RectTube) else "all round"
    found = [
        WeldLine(
            name="jib mast foot",
            lines=1,
            length_each_m=foot_m,
            leg_m=mast.foot_weld.leg_m,
            electrode=mast.foot_weld.electrode,
            note=outline,
        ),
        _no_leg("cross-member to sleeves", 2, welds.around(rig.sleeves.cross_section, "all_round").length_m),
        WeldLine(
            name="saddle strap feet",
            lines=4,
            length_each_m=saddles.strap_length_m,
            leg_m=saddles.strap_weld.leg_m,
            electrode=saddles.strap_weld.electrode,
        ),
    ]
    if saddles.bed_section is not None:
        found.append(_no_leg("saddle bed to jib mast", 1, welds.around(mast.section, "all_round").length_m))
    for arm in rig.arms:
        found += _hinge_welds(arm)
    hoop = rig.hook.hoop
    if hoop is not None:
        found.append(
            WeldLine(
                name="hook hoop feet",
                lines=2,
                length_each_m=math.pi * hoop.bar_m,
                leg_m=hoop.weld.leg_m,
                electrode=hoop.weld.electrode,
                note="all round",
            )
        )
    return tuple(found)


def _no_leg(name: str, lines: int, length_m: float) -> WeldLine:
    note = "not in the sketch: at least as good as the foot weld"
    return WeldLine(name=name, lines=lines, length_each_m=length_m, leg_m=None, electrode="not known", note=note)


def _hinge_welds(arm: Arm) -> list[WeldLine]:
    hinge = hinge_of(arm)
    line_m = hinge.lug_weld_length_m or 2.0 * hinge.lug_edge_m
    common = {"leg_m": hinge.weld.leg_m, "electrode": hinge.weld.electrode, "note": "two lines each"}
    return [
        WeldLine(name=f"{arm.name} lugs", lines=2 * _lugs(hinge), length_each_m=line_m, **common),
        WeldLine(name=f"{arm.name} barrels", lines=4, length_each_m=hinge.barrel_length_m, **common),
    ]


# ---------------------------------------------------------------- pins and fits


def pin_list(rig: Rig) -> tuple[PinRow, ...]:
    """Every pin with the bar to cut for it: what it goes through and ``PIN_ENDS``."""
    boom, saddles = rig.boom, rig.saddles
    through_m = outer_width_m(boom.section) + 2.0 * saddles.strap_thickness_m
    last = rig.arms[-1].section if rig.arms else boom.section
    found = [_pin_row("boom pin", 1, boom.pin, through_m), _pin_row("hook pin", 1, rig.hook.pin, outer_width_m(last))]
    found += [
        _pin_row(
            f"{arm.name} hinge pin",
            1,
            hinge.pin,
            hinge.spacing_m + hinge.barrel_length_m + 2.0 * hinge.lug_thickness_m,
        )
        for arm in rig.arms
        for hinge in (hinge_of(arm),)
    ]
    if rig.sleeves.heel_pin is not None:
        found.append(_pin_row("heel pin", 2, rig.sleeves.heel_pin, rig.sleeves.section.width_m))
    return tuple(found)


def _pin_row(name: str, count: int, pin: Pin, through_m: float) -> PinRow:
    length_m = through_m + PIN_ENDS * pin.diameter_m
    return PinRow(
        name=name, count=count, diameter_m=pin.diameter_m, hole_m=pin.hole_m, length_m=length_m, steel=pin.steel
    )


def fit_list(job: Job) -> tuple[Fit, ...]:
    """What goes into what: forks in sleeves, pins in holes."""
    section, forks = job.rig.sleeves.section, job.truck.forks
    found = [
        Fit(name="fork in sleeve, across", inside_m=section.width_m - 2.0 * section.wall_m, outside_m=forks.width_m),
        Fit(
            name="fork in sleeve, upright", inside_m=section.depth_m - 2.0 * section.wall_m, outside_m=forks.thickness_m
        ),
    ]
    found += [
        Fit(name=f"{row.name} in its hole", inside_m=row.hole_m, outside_m=row.diameter_m) for row in pin_list(job.rig)
    ]
    return tuple(found)


# ---------------------------------------------------------------- heights


def assembly_heights_m(rig: Rig) -> tuple[tuple[str, float], ...]:
    """Heights over the fork blades' top to set out when tacking up."""
    foot = mast_base_z_m(rig)
    top = foot + rig.jib_mast.length_m
    underside = top + rig.saddles.seat_m
    return (("top of sleeves (jib mast foot)", foot), ("top of jib mast", top), ("underside of boom", underside))
