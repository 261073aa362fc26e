"""Why steel on the rack is not in a rig made from it: one reason for each part it might have been.

Method.  Each line of the rack that no part is cut from is put in the place of each part of the rig found, every way up,
with nothing else changed, and asked in this order: is a stretch long enough; may the part be of such a section; does it
fit with the parts beside it; what is over a limit, as entered (the worst case is never better); what would the rig
weigh.  A tube that holds as entered and weighs no more was judged by the search, and is over in its worst case.

What rust counts for is `engine.shop.cutting_plan.usable_section` alone.  No doubler and no splice has a strength here:
neither flat bar nor two short tubes are ever offered for a part.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

import msgspec

from engine.limits import sideways
from engine.planning.stock_rigs import Part, PartsMade, Shape, built, parts_of, picks_of, shapes, weight_kg
from engine.planning.stock_search import RackRig, hook_is_there, pose_for, with_load
from engine.planning.stock_tubes import Rack, Standing
from engine.planning.sweep import Stop, Stopped, best_over, never
from engine.rig.check import Problem
from engine.rig.fits import misfits
from engine.rig.kinematics import figures
from engine.schema.model import Job, Stock
from engine.schema.sections import RectTube, RoundTube
from engine.shop.cutting_plan import FITS_M, usable_section, usable_stretches
from engine.worst_case.verdict import find_problems

REPLACE = msgspec.structs.replace

SAME_KG = 1e-6
"""Rigs whose weights differ by less weigh the same: round-off of sums of parts."""

Why = Literal[
    "too short",
    "splice",
    "round",
    "misfit",
    "over",
    "rust",
    "place",
    "length",
    "heavier",
    "worst case",
    "not needed",
    "none",
]
"""``splice``: too short, though two lengths would add up.  ``rust``: over a limit that it keeps as good steel.
``place``: the hook is not where it is wanted.  ``length``: the other parts leave too little of it.  ``none``: it is
long enough, but no whole rig can be cut."""


class NotFor(msgspec.Struct, kw_only=True, frozen=True):
    """Why a line of the rack is not cut for a part.

    Of ``too short`` and ``splice`` the numbers are the cut wanted and the longest stretch, m; of ``over`` and ``rust``
    ``use`` is the use as entered of the limit named ``limit``; of ``heavier`` ``more_kg`` is what the rig would gain.
    """

    part: str
    why: Why
    cut_m: float = 0.0
    longest_m: float = 0.0
    limit: str = ""
    use: float = 0.0
    more_kg: float = 0.0
    problem: Problem | None = None


class Unused(msgspec.Struct, kw_only=True, frozen=True):
    """A line of the rack that nothing is cut from; without reasons its kind or condition alone rules it out."""

    line: int
    steel: Stock
    reasons: tuple[NotFor, ...]


class _Base(NamedTuple):
    """The rig found, and what the tubes are tried against."""

    pattern: Job
    rig: RackRig
    rack: Rack
    shape: Shape
    chosen: tuple[Standing, ...]
    parts: tuple[Part, ...]
    made: PartsMade


def why_unused(pattern: Job, rig: RackRig | None, stop: Stop = never) -> tuple[Unused, ...]:
    """Why each line of the rack that a rig does not use is not used, in the order of the rack.

    Parameters
    ----------
    pattern : Job
        What was searched: `engine.planning.stock_search.search`.
    rig : RackRig, optional
        The rig found, or the nearest where none does every job; None where none can be cut, and the shortest cut for
        each part is what counts.
    stop
        Called between two trials.

    Raises
    ------
    Stopped
        When ``stop`` answers true.
    """
    pattern = REPLACE(pattern, approval=None, trial_lifts=())
    if rig is None:
        return _too_short_for_any(pattern, stop)
    base = _base(pattern, rig)
    used = {base.rack.line_of(cut.tube) for cut in rig.cuts}
    return tuple(
        Unused(line=line, steel=steel, reasons=_reasons(base, steel, stop))
        for line, steel in enumerate(pattern.stock)
        if line not in used
    )


def _base(pattern: Job, rig: RackRig) -> _Base:
    rack, boom = Rack(pattern.stock, pattern.kerf_m), rig.job.rig.boom
    arms_m = tuple(arm.length_m for arm in rig.job.rig.arms)
    holes = tuple(result.pose.hole or 1 for result in rig.results)
    shape = Shape(arms_m, boom.length_m, boom.first_hole_m, boom.hole_steps_m, holes)
    kind_of = {name: index for index, kind in enumerate(rack.kinds) for name in kind.names}
    # Cuts come jib mast first, tubes are chosen from the hook inwards.
    chosen = tuple(
        Standing(kind_of[cut.tube], cut.section, rack.kinds[kind_of[cut.tube]].steel) for cut in reversed(rig.cuts)
    )
    return _Base(pattern, rig, rack, shape, chosen, parts_of(pattern, shape), PartsMade(pattern, rack))


def _reasons(base: _Base, steel: Stock, stop: Stop) -> tuple[NotFor, ...]:
    ways = _ways(base.rack, steel)
    count = len(base.shape.arms_m)
    reasons: list[NotFor] = []
    for place, part in enumerate(base.parts if ways else ()):
        usable = _standing_as(part, ways)
        short = _too_short(base.rack, part, usable, steel, [base.made.made(part, way, count).cut_m for way in usable])
        reasons.append(short or _best_way(base, part, place, usable, steel, stop))
    return tuple(reversed(reasons))


def _ways(rack: Rack, steel: Stock) -> list[Standing]:
    """Every way a line of the rack can stand; none of steel that no part is cut from."""
    section = usable_section(steel.section, steel.condition)
    if not isinstance(section, RectTube | RoundTube):
        return []
    either = [section]
    if isinstance(section, RectTube):
        either.append(REPLACE(section, width_m=section.depth_m, depth_m=section.width_m))
    return [way for way in rack.standings() if way.steel == steel.steel and way.section in either]


def _is_boom(part: Part) -> bool:
    return part.name == "boom" and part.arm is None


def _standing_as(part: Part, ways: list[Standing]) -> list[Standing]:
    """A boom is cut from rectangular tube alone."""
    return [way for way in ways if not _is_boom(part) or isinstance(way.section, RectTube)]


def _too_short(rack: Rack, part: Part, ways: list[Standing], steel: Stock, cuts_m: list[float]) -> NotFor | None:
    """Whether no stretch of a line is long enough for a part, or no such tube may be it."""
    if not ways:
        return NotFor(part=part.name, why="round")
    longest_m = max((stretch.length_m for stretch in usable_stretches(steel, 0)), default=0.0)
    cut_m = min(cuts_m)
    if cut_m <= longest_m + FITS_M:
        return None
    two_m = sum(sorted(stretch.length_m for stretch in rack.kinds[ways[0].kind].stretches)[-2:])
    why: Why = "splice" if _is_boom(part) and two_m >= cut_m else "too short"
    return NotFor(part=part.name, why=why, cut_m=cut_m, longest_m=longest_m)


def _too_short_for_any(pattern: Job, stop: Stop) -> tuple[Unused, ...]:
    """Every line of the rack against the shortest cut for each part over all shapes."""
    rack = Rack(pattern.stock, pattern.kerf_m)
    made = PartsMade(pattern, rack)
    possible = list(shapes(pattern, pattern.wanted)) if rack.kinds else []
    fewest = min((len(shape.arms_m) for shape in possible), default=0)
    wanted: dict[str, list[tuple[Part, int]]] = {}
    for shape in possible:
        for part in parts_of(pattern, shape):
            # Arms may be left off, boom and mast not.
            if part.arm is None or part.arm < fewest:
                wanted.setdefault(part.name, []).append((part, len(shape.arms_m)))
    unused: list[Unused] = []
    for line, steel in enumerate(pattern.stock):
        ways, reasons = _ways(rack, steel), []
        for name, lengths in wanted.items() if ways else ():
            if stop():
                raise Stopped
            part = lengths[0][0]
            usable = _standing_as(part, ways)
            cuts_m = [made.made(each, way, count).cut_m for each, count in lengths for way in usable]
            reasons.append(_too_short(rack, part, usable, steel, cuts_m) or NotFor(part=name, why="none"))
        unused.append(Unused(line=line, steel=steel, reasons=tuple(reversed(reasons))))
    return tuple(unused)


_NEAREST: tuple[Why, ...] = ("not needed", "heavier", "worst case", "rust", "over", "length", "place", "misfit")
"""How near a way up comes to doing, nearest first."""


def _best_way(base: _Base, part: Part, place: int, ways: list[Standing], steel: Stock, stop: Stop) -> NotFor:
    tried: list[NotFor] = []
    for way in ways:
        if stop():
            raise Stopped
        found = _tried(base, part, place, way)
        if found.why == "over" and _holds_as_good(base, part, place, way, steel):
            found = REPLACE(found, why="rust")
        tried.append(found)
    return min(tried, key=lambda one: (_NEAREST.index(one.why), one.use))


def _holds_as_good(base: _Base, part: Part, place: int, way: Standing, steel: Stock) -> bool:
    """Whether a tube would be over no limit as entered if it were in good condition."""
    good = usable_section(steel.section, "good")
    if not isinstance(good, RectTube | RoundTube) or good.wall_lost_m == way.section.wall_lost_m:
        return False
    section = REPLACE(way.section, wall_lost_m=good.wall_lost_m)
    return _over(base, part, _with(base, place, way._replace(section=section))) is None


def _with(base: _Base, place: int, way: Standing) -> Job | None:
    chosen = (*base.chosen[:place], way, *base.chosen[place + 1 :])
    return built(base.pattern, base.shape, picks_of(chosen))


def _tried(base: _Base, part: Part, place: int, way: Standing) -> NotFor:
    """Why a rig with one part cut from another tube is not the rig found."""
    made = _with(base, place, way)
    over = _over(base, part, made)
    if over is not None or made is None:
        return over or NotFor(part=part.name, why="misfit")
    if way == base.chosen[place]:
        return NotFor(part=part.name, why="not needed")
    count = len(base.shape.arms_m)
    chosen = (*base.chosen[:place], way, *base.chosen[place + 1 :])
    cuts = [(tube.kind, base.made.made(each, tube, count).cut_m) for each, tube in zip(base.parts, chosen, strict=True)]
    if base.rack.places(tuple(cuts)) is None:
        return NotFor(part=part.name, why="length")
    more_kg = weight_kg(made) - base.rig.rig_kg
    why: Why = "heavier" if base.rig.works and more_kg >= -SAME_KG else "worst case"
    return NotFor(part=part.name, why=why, more_kg=more_kg)


def _over(base: _Base, part: Part, made: Job | None) -> NotFor | None:
    """What rules a rig out as entered; None where nothing does."""
    if made is None:
        return NotFor(part=part.name, why="misfit")
    new = [problem for problem in misfits(made.rig) if problem not in misfits(base.rig.job.rig)]
    if new:
        return NotFor(part=part.name, why="misfit", problem=new[0])
    worst = NotFor(part=part.name, why="over")
    for index, wanted in enumerate(base.pattern.wanted):
        loaded = with_load(made, wanted)
        pose = pose_for(loaded, base.shape, index, wanted)
        refused = [
            problem for problem in find_problems(loaded, pose) if problem not in base.rig.results[index].problems
        ]
        if refused:
            return NotFor(part=part.name, why="misfit", problem=refused[0])
        if not hook_is_there(loaded, pose, wanted):
            return NotFor(part=part.name, why="place")
        nominal = best_over(loaded, pose, figures(loaded, pose), "floor")
        name, use = nominal.names[int(nominal.worst)], float(nominal.use)
        if name != sideways.NAME and not use <= max(1.0, worst.use):
            worst = REPLACE(worst, limit=name, use=use)
    return worst if worst.limit else None
