"""The sizes that each part of a rig could have next: pins, welds, plates, levers, straps, tubes and bought gear.

A ladder holds one part's sizes in order, from the next one up.  Taking one of them makes another rig: what goes with
the size (the pin's hole, the sleeve round it, the weight of a part that was weighed) goes along.  Nothing is judged
here, and no rule says which part cures which limit: whoever searches tries the ladders (`engine.planning.mend`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import Any, Literal, NamedTuple

import msgspec

from engine.base.errors import TailweightError
from engine.base.formatting import System
from engine.rig.hinge_pieces import tube_end
from engine.rig.rig_masses import steel_masses
from engine.schema.connections import (
    BasePlate,
    Cap,
    DropInPin,
    EndPlate,
    FaceLugs,
    Gear,
    Gusset,
    Hoop,
    OnCross,
    Pin,
    PlateBed,
    StayLug,
    StrapLapped,
    ThroughSleeve,
    Weld,
    WeldQuality,
)
from engine.schema.model import Arm, Boom, Hinge, JibMast, Job, Saddles, Sleeves
from engine.schema.part_sizes_for_sale import (
    BAR_SIZES_M,
    LENGTH_STEP_M,
    PIN_SIZES_M,
    PLATE_SIZES_M,
    SHACKLE_WLL_KG,
    WELD_LEGS_M,
)
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube, RoundTube
from engine.schema.steel import GRADES
from engine.schema.stock_sizes import RECT_TUBES, ROUND_TUBES, SAME_M, of_units, units_first
from engine.shop.edits import is_under, set_value, value_at

REPLACE = msgspec.structs.replace

Tier = Literal[6, 7, 8]
"""What a change takes: 6 no welding, 7 welding, 8 a new tube."""

Size = float | str | RectTube | RoundTube | Weld | BasePlate

STEPS = 8
"""Sizes of a ladder at most."""

BESIDE_WELD_M = 0.005
"""Plate that stands out past a weld's toe (common practice, no source)."""

BETTER_WELDS: tuple[WeldQuality, ...] = ("qualified_visual", "qualified_ndt")
"""Who makes a weld and who looks at it, better and better."""

STEELS: dict[System, tuple[str, ...]] = {"metric": ("S235", "S275", "S355"), "us": ("A500 B", "A500 C")}
"""Marked steel that tube is bought in."""


SOLD = frozenset({
    "section", "cross_section", "diameter_m", "thickness_m", "lug_thickness_m", "strap_thickness_m", "bar_m", "leg_m",
    "wll_kg",
})  # fmt: skip
"""Entries whose sizes come by lists, smaller as well as larger."""

KINDS = ("tube", "pin", "plate", "weld", "gear")
"""Of `SOLD`, what carries most first."""


class Ladder(NamedTuple):
    """One part's next sizes.

    Attributes
    ----------
    path : str
        The entry that changes, such as ``rig.boom.pin.diameter_m``.
    tier : Tier
    kind : str
        What is changed: pin, weld, plate, length, lever, tube or gear; "groove" fills the grooves beside a weld, "base"
        puts a plate under the jib mast, "steel" takes stronger marked steel, "quality" has a
        weld made by a qualified welder.
    was : Size
        Its size now: a length (m), a mark (kg), a tube, a grade, a weld; what the jib mast stands on.
    sizes : tuple of Size
        The next ones, in order.
    """

    path: str
    tier: Tier
    kind: Literal["pin", "weld", "plate", "length", "lever", "tube", "gear", "groove", "base", "steel", "quality"]
    was: Any
    sizes: tuple[Size, ...]


class SoldSize(NamedTuple):
    """A size of one part that is bought by lists: the entry's path, the kind of thing, the size and those beside it."""

    path: str
    kind: str
    was: Size
    smaller: Size | None
    larger: Size | None


def ladders(job: Job) -> tuple[Ladder, ...]:
    """Every ladder of a job's rig, those that take least work first."""
    found = [ladder for ladder in _of(job, job.rig, "rig") if ladder.sizes]
    return tuple(sorted(found, key=lambda ladder: ladder.tier))


def sold_sizes(job: Job, roots: Sequence[str]) -> tuple[SoldSize, ...]:
    """Sizes that come by lists (`SOLD`) of the parts under some paths, with the next one either way; tubes first."""
    up, down = ({ladder.path: ladder for ladder in _of(job, job.rig, "rig", up=up)} for up in (True, False))
    found = [
        SoldSize(path, ladder.kind, ladder.was, _first(down.get(path)), _first(ladder))
        for path, ladder in up.items()
        if path.rpartition(".")[2] in SOLD and is_under(path, roots)
    ]
    return tuple(sorted(found, key=lambda size: KINDS.index(size.kind)))


def _first(ladder: Ladder | None) -> Size | None:
    return ladder.sizes[0] if ladder is not None and ladder.sizes else None


def with_size(job: Job, path: str, size: Size) -> Job | None:
    """The job with one part of another size, and what goes with it; None where there cannot be such a rig."""
    owner_path, _, entry = path.rpartition(".")
    try:
        was = value_at(job, path)
        made = set_value(job, owner_path, _resized(value_at(job, owner_path), entry, was, size))
        made = _followed(made, owner_path, entry, was, size)
        return _weighed_again(job, made)
    except (TailweightError, ValueError):
        return None


# ---------------------------------------------------------------- what has a ladder


def _of(job: Job, node: object, path: str, *, up: bool = True) -> Iterator[Ladder]:
    """The ladders of a part and of the parts in it; not ``up`` the smaller sizes of those that come by lists."""
    if isinstance(node, tuple):
        for index, each in enumerate(node):
            yield from _of(job, each, f"{path}[{index}]", up=up)
        return
    if not isinstance(node, msgspec.Struct) or isinstance(node, Estimate):
        return
    for entry, tier, kind, sizes in _rows(job, node, up=up):
        was = getattr(node, entry)
        if was is not None:
            yield Ladder(f"{path}.{entry}", tier, kind, was, tuple(sizes(was))[:STEPS])
    if up and isinstance(node, Weld) and node.kind == "fillet" and node.process != "unknown":
        yield Ladder(path, 7, "groove", node, (REPLACE(node, kind="flare_bevel"),))
    if up and isinstance(node, JibMast) and isinstance(node.base, OnCross):
        yield Ladder(f"{path}.base", 7, "base", node.base, tuple(_base_plates(job)))
    for entry in node.__struct_fields__:
        yield from _of(job, getattr(node, entry), f"{path}.{entry}", up=up)


Row = tuple[str, Tier, Any, Callable[[Any], Iterator[Size]]]


def _rows(job: Job, node: object, *, up: bool) -> tuple[Row, ...]:
    """Entries of a part that come in sizes: name, tier, kind, and the next sizes after one, up or down."""
    units = job.units

    def listed(sizes: tuple[float, ...]) -> Callable[[float], Iterator[float]]:
        if up:
            return lambda was: (size for size in sizes if size > was + SAME_M)
        return lambda was: (size for size in reversed(sizes) if size < was - SAME_M)

    def stepped(step_m: float) -> Callable[[float], Iterator[float]]:
        return lambda was: (was + count * step_m for count in range(1, STEPS + 1))

    pins, plates = listed(PIN_SIZES_M[units]), listed(PLATE_SIZES_M[units])
    lengths, levers = stepped(LENGTH_STEP_M[units]), stepped(2.0 * LENGTH_STEP_M[units])

    def tubes(was: RectTube | RoundTube) -> Iterator[RectTube | RoundTube]:
        return larger_tubes(job, was) if up else smaller_tubes(job, was)

    def steels(was: str) -> Iterator[str]:
        now_Pa = 0.0 if was not in GRADES else GRADES[was].yield_Pa
        return (name for name in STEELS[units] if GRADES[name].yield_Pa > now_Pa)

    def qualities(was: WeldQuality) -> Iterator[str]:
        better = BETTER_WELDS if was not in BETTER_WELDS else BETTER_WELDS[BETTER_WELDS.index(was) + 1 :]
        return iter(better)

    match node:
        case Pin() | DropInPin():
            return (("diameter_m", 6, "pin", pins),)
        case Weld():
            legs = WELD_LEGS_M[units] if node.kind != "pjp" else ()
            return (("leg_m", 7, "weld", listed(legs)), ("quality", 7, "quality", qualities))
        case Gear():
            return (("wll_kg", 6, "gear", listed(SHACKLE_WLL_KG)),)
        case Hoop():
            return (("bar_m", 7, "plate", listed(BAR_SIZES_M[units])),)
        case Hinge():
            return (
                ("lug_thickness_m", 7, "plate", plates),
                ("lug_edge_m", 7, "length", lengths),
                ("lug_weld_length_m", 7, "weld", lengths),
                ("spacing_m", 7, "lever", levers),
            )
        case EndPlate():
            return (
                ("thickness_m", 7, "plate", plates),
                ("height_m", 7, "length", levers),
                ("width_m", 7, "length", levers),
            )
        case FaceLugs():
            return (
                ("thickness_m", 7, "plate", plates),
                ("width_m", 7, "length", lengths),
                ("on_face_m", 7, "weld", lengths),
            )
        case ThroughSleeve():
            return (("outer_m", 7, "plate", lengths),)
        case StayLug():
            return (
                ("thickness_m", 7, "plate", plates),
                ("on_face_m", 7, "weld", lengths),
                ("edge_m", 7, "length", lengths),
            )
        case Saddles():
            return (
                ("strap_thickness_m", 7, "plate", plates),
                ("strap_length_m", 7, "length", levers),
                ("front_x_m", 7, "lever", levers),
            )
        case StrapLapped():
            return (("lap_m", 7, "weld", lengths),)
        case BasePlate():
            return (
                ("thickness_m", 7, "plate", plates),
                ("length_m", 7, "length", lengths),
                ("width_m", 7, "length", lengths),
            )
        case PlateBed() | Cap() | Gusset():
            return (("thickness_m", 7, "plate", plates),)
        case Sleeves():
            return (("section", 8, "tube", tubes), ("cross_section", 8, "tube", tubes), ("steel", 8, "steel", steels))
        case JibMast() | Boom() | Arm():
            return (("section", 8, "tube", tubes), ("steel", 8, "steel", steels))
        case _:
            return ()


def _base_plates(job: Job) -> Iterator[BasePlate]:
    """Plates under the jib mast: room for its weld all round, as wide as the cross-member's flat takes below."""
    mast, cross, step_m = job.rig.jib_mast, job.rig.sleeves.cross_section, LENGTH_STEP_M[job.units]
    room_m = 2.0 * (mast.foot_weld.leg_m + BESIDE_WELD_M)
    width_m, depth_m = _outer(mast.section)
    flat_m = cross.width_m - 2.0 * (2.0 * cross.wall_m) - room_m
    along_m = math.floor(min(depth_m + room_m, flat_m) / step_m + 1e-6) * step_m
    across_m = math.ceil((width_m + room_m) / step_m - 1e-6) * step_m
    if along_m < depth_m:
        return
    for thickness_m in PLATE_SIZES_M[job.units]:
        if thickness_m >= 2.0 * mast.section.wall_m:
            yield BasePlate(thickness_m=thickness_m, length_m=along_m, width_m=across_m, weld_below=mast.foot_weld)


def larger_tubes(job: Job, was: RectTube | RoundTube) -> Iterator[RectTube | RoundTube]:
    """The same tube with the next thicker walls, then those of the next larger outside: rack first, then common sizes.

    A wall that rust has taken from the old tube is not taken from a new one that nobody has looked at.
    """
    own = [each.section for each in job.stock if isinstance(each.section, type(was))]
    listed = units_first(RECT_TUBES if isinstance(was, RectTube) else ROUND_TUBES, job.units).values()
    seen: list[RectTube | RoundTube] = []
    for size in (*own, *listed):
        new = REPLACE(size, wall_lost_m=None)
        as_large = all(now >= before - SAME_M for now, before in zip(_outer(new), _outer(was), strict=True))
        if as_large and new.wall_m > was.wall_m - SAME_M and _is_more(new, was) and new not in seen:
            seen.append(new)
    same = [size for size in seen if _same_outside(size, was)]
    larger = [size for size in seen if not _same_outside(size, was)]
    yield from sorted(same, key=lambda size: size.wall_m)
    yield from sorted(larger, key=_steel_m2)


def smaller_tubes(job: Job, was: RectTube | RoundTube) -> Iterator[RectTube | RoundTube]:
    """The same tube with the next thinner walls, then those of the next smaller outside.

    Of the rack, and of the common sizes in the job's own units.
    """
    own = [each.section for each in job.stock if isinstance(each.section, type(was))]
    listed = of_units(RECT_TUBES if isinstance(was, RectTube) else ROUND_TUBES, job.units).values()
    now = _outer(was)
    new = [REPLACE(size, wall_lost_m=None) for size in (*own, *listed)]
    same = [size for size in new if _same_outside(size, was) and size.wall_m < was.wall_m - SAME_M]
    inside = [size for size in new if all(one <= other + SAME_M for one, other in zip(_outer(size), now, strict=True))]
    smaller = [size for size in inside if not _same_outside(size, was) and _steel_m2(size) < _steel_m2(was)]
    yield from sorted(same, key=lambda size: -size.wall_m)
    yield from sorted(smaller, key=lambda size: -_steel_m2(size))


def _outer(tube: RectTube | RoundTube) -> tuple[float, float]:
    return (tube.width_m, tube.depth_m) if isinstance(tube, RectTube) else (tube.diameter_m, tube.diameter_m)


def _same_outside(one: RectTube | RoundTube, other: RectTube | RoundTube) -> bool:
    return all(abs(a - b) < SAME_M for a, b in zip(_outer(one), _outer(other), strict=True))


def _is_more(new: RectTube | RoundTube, was: RectTube | RoundTube) -> bool:
    return not _same_outside(new, was) or new.wall_m > was.wall_m + SAME_M


def _steel_m2(tube: RectTube | RoundTube) -> float:
    """Cross-section of steel, near enough for an order."""
    return sum(_outer(tube)) * tube.wall_m


# ---------------------------------------------------------------- what goes with a size


def _resized(owner: Any, entry: str, was: Any, size: Any) -> Any:
    """The part itself; a pin and its hole change in one step, since neither may be without the other."""
    if entry == "diameter_m" and isinstance(owner, Pin | DropInPin):
        more = {"head_m": owner.head_m + size - was} if isinstance(owner, DropInPin) else {}
        return REPLACE(owner, diameter_m=size, hole_m=owner.hole_m + size - was, **more)
    if entry == "spacing_m":
        return _spaced(owner, size - was, "inner_end", "outer_end")
    if entry == "front_x_m":
        return REPLACE(owner, front_x_m=size, rear_x_m=owner.rear_x_m - (size - was))
    return REPLACE(owner, **{entry: size})


def _longer_by(end: Any, more_m: float) -> Any:
    """What stands on a tube at a hinge, with its lever."""
    match end:
        case ThroughSleeve():
            return REPLACE(end, length_m=end.length_m + more_m)
        case EndPlate():
            return REPLACE(end, height_m=end.height_m + more_m)
        case FaceLugs():
            return REPLACE(end, packing_m=end.packing_m + more_m / 2.0)
        case _:
            return end


def _followed(job: Job, owner_path: str, entry: str, was: Any, size: Any) -> Job:
    """The parts round a pin with its new hole; a part with another tube weighs as much as that tube says."""
    if entry == "diameter_m" and owner_path.endswith(".hinge.pin"):
        path = owner_path.removesuffix(".pin")
        return set_value(job, path, _round_a_larger_pin(value_at(job, path), size - was))
    if entry == "thickness_m" and isinstance(value_at(job, owner_path), FaceLugs):
        path = owner_path.rpartition(".")[0]
        hinge = value_at(job, path)
        spacing_m = hinge.spacing_m + size - was  # from lug to lug, centre to centre
        return set_value(job, path, REPLACE(hinge, lug_thickness_m=size, spacing_m=spacing_m))
    if entry == "section" and owner_path == "rig.boom":
        job = set_value(job, "rig.saddles", _packed(job.rig.saddles, was, size))
        return _hinge_round_tube(job, 0, was, size, outer=False)
    if entry == "section" and owner_path.startswith("rig.arms["):
        index = int(owner_path.removeprefix("rig.arms[").removesuffix("]"))
        return _hinge_round_tube(
            _hinge_round_tube(job, index, was, size, outer=True), index + 1, was, size, outer=False
        )
    if owner_path == "rig.boom.pin" and job.rig.saddles.pin_hole_m is not None:
        return set_value(job, "rig.saddles.pin_hole_m", job.rig.saddles.pin_hole_m + size - was)
    return job


def _packed(saddles: Saddles, was: Any, size: Any) -> Saddles:
    """The saddles with side shims as much thinner as the boom is wider; without room for that, straps to suit."""
    if saddles.shims == "none":
        return saddles
    side_m = saddles.shim_side_m - (_outer(size)[0] - _outer(was)[0]) / 2.0
    return REPLACE(saddles, shim_side_m=round(max(side_m, 0.0), 6))


def _hinge_round_tube(job: Job, index: int, was: Any, size: Any, *, outer: bool) -> Job:
    """An arm's hinge with what stands on a tube of another size at it: the arm's own (``outer``), or that before it."""
    if index >= len(job.rig.arms):
        return job
    arm = job.rig.arms[index]
    before, now = (tube_end(section, "", arm.joint) for section in (was, size))
    more_m, wider_m = now.along_pin_m - before.along_pin_m, now.across_pin_m - before.across_pin_m
    hinge, mine, other = arm.hinge, *(("outer_end", "inner_end") if outer else ("inner_end", "outer_end"))
    match end := getattr(hinge, mine):
        case FaceLugs():  # on thinner packing; where there is none, further apart
            thinner_m = min(end.packing_m, more_m / 2.0)
            hinge = REPLACE(hinge, **{mine: REPLACE(end, packing_m=end.packing_m - thinner_m)})
            hinge = _spaced(hinge, more_m - 2.0 * thinner_m, other)
        case ThroughSleeve():  # over the whole tube, and its rounded end clear of the link before it
            hinge = _spaced(hinge, max(now.along_pin_m - end.length_m, 0.0), mine, other)
            far = getattr(hinge, other)
            if isinstance(far, FaceLugs):
                hinge = REPLACE(hinge, **{other: REPLACE(far, reach_m=far.reach_m + wider_m / 2.0)})
        case EndPlate():
            plate = REPLACE(end, width_m=end.width_m + wider_m, height_m=max(end.height_m, now.along_pin_m))
            hinge = REPLACE(hinge, **{mine: plate})
        case _:
            pass
    return set_value(job, f"rig.arms[{index}].hinge", hinge)


def _spaced(hinge: Hinge, more_m: float, *ends: str) -> Hinge:
    """The hinge with its lugs further apart, and these ends longer with them."""
    longer = {name: _longer_by(getattr(hinge, name), more_m) for name in ends}
    return REPLACE(hinge, spacing_m=hinge.spacing_m + more_m, **longer)


def _round_a_larger_pin(hinge: Hinge, more_m: float) -> Hinge:
    """Barrels and sleeves keep their walls, lugs the steel beside the hole."""

    def end(part: Any) -> Any:
        if isinstance(part, ThroughSleeve):
            return REPLACE(part, bore_m=part.bore_m + more_m, outer_m=part.outer_m + more_m)
        return part

    return REPLACE(
        hinge,
        barrel_outer_m=hinge.barrel_outer_m + more_m,
        lug_edge_m=hinge.lug_edge_m + more_m / 2.0,
        inner_end=end(hinge.inner_end),
        outer_end=end(hinge.outer_end),
    )


def _weighed_again(was: Job, made: Job) -> Job:
    """Parts that were weighed, with the steel that the change adds."""
    before, after = steel_masses(was.truck, was.rig), steel_masses(made.truck, made.rig)

    def changed(part: Any, more_kg: float) -> Any:
        mass = part.mass_kg
        if mass is None or abs(more_kg) < 1e-9:
            return part
        ends = {
            name: None if end is None else max(end + more_kg, 0.0)
            for name, end in (("low", mass.low), ("high", mass.high))
        }
        return REPLACE(part, mass_kg=REPLACE(mass, best=max(mass.best + more_kg, 0.0), **ends))

    rig = made.rig
    arms_kg = zip(rig.arms, before["arms_kg"], after["arms_kg"], strict=True)
    rig = REPLACE(
        rig,
        sleeves=changed(rig.sleeves, after["sleeves_kg"] - before["sleeves_kg"]),
        jib_mast=changed(rig.jib_mast, after["jib_mast_kg"] - before["jib_mast_kg"]),
        saddles=changed(rig.saddles, after["saddles_kg"] - before["saddles_kg"]),
        boom=changed(rig.boom, after["boom_kg"] - before["boom_kg"]),
        arms=tuple(changed(arm, now_kg - then_kg) for arm, then_kg, now_kg in arms_kg),
    )
    return made if rig == made.rig else REPLACE(made, rig=rig)
