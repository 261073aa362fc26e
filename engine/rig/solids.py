"""Rig and truck as plain boxes in space: which part each belongs to, what it rides on, which may run into which.

Every part is an oriented box from its own section and length; a round tube is a box of its diameter.  The truck's are
those of `engine.rig.truck_solids`; gaps are those of `engine.rig.boxes`.

**Pairs.**  Parts joined to each other are not held against each other: forks, sleeves and jib mast; jib mast, saddles
and boom; the links at a hinge, which `engine.rig.free_turn` stops; the last link, hook and sling.  Sleeves go
no further back than the forks they ride on, so only what stands on them is held against the truck.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator, Sequence
from typing import NamedTuple, TypeAlias

from engine.base.geometry import Array, Axes, Frame, Indices, Vec
from engine.base.identity import IdentityKey
from engine.base.lazy import np
from engine.rig import strap_pieces
from engine.rig.boxes import Boxes
from engine.rig.figure_vector import filled
from engine.rig.hinge_boxes import Box, Round, boom_short_m, end_solids, tube_span_m
from engine.rig.hinge_pieces import link_ends
from engine.rig.kinematics import FORK_SHANK_HEIGHT_M, Placed, arm_link, fitted_arms
from engine.rig.truck_solids import TruckBox, truck_boxes
from engine.schema.model import Job, Rig, Truck, TruckRole
from engine.schema.sections import outer_depth_m, outer_width_m

UPRIGHT, FORKS, HOOK, GUARD, CARRIAGE, BACKREST = (
    "upright",
    "forks and sleeves",
    "hook and rigging",
    "overhead guard",
    "fork carriage",
    "load backrest",
)
"""Parts that are not named in the rig."""

_PART_OF: dict[TruckRole, str] = {
    "channel": UPRIGHT,
    "crosshead": UPRIGHT,
    "guard": GUARD,
    "guard_leg": GUARD,
    "carriage": CARRIAGE,
    "backrest": BACKREST,
    "body": "truck's body",
    "driver": "driver's space",
}

STAYS = ("truck's body", "driver's space")
"""Parts of the truck that are where the truck is: they are held against the rig, not against what stands round it."""

SLING_M = 0.03
"""Round a sling's legs."""

HOOK_HALF_M = 0.05
"""Half the width of hook and shackle."""

BOOM_END, TAIL, TIP, BELOW_HOOK = "boom end", "tail", "tip", "below hook"
"""Frames of a pose besides those of its links: both ends of the boom, and what hangs plumb at hook pin and hook."""


def end_of(link: str) -> str:
    """Name of the frame at the pin of the next hinge, in a link's own axes."""
    return f"end of {link}"


_STIFF = ("chassis", "upright outer", "upright inner", "forks", "jib mast", "boom")
"""Frames of what does not go down with the boom's end."""


class Layout(NamedTuple):
    """Boxes in the frames they ride on: part, frame, middle in it (boxes, 3), half sizes (boxes, 3).

    ``sags`` is 1 where a box goes down with the boom's end and 0 where not, ``is_tail`` whether it is the boom as seen
    from its tail.  ``truck`` has the truck's box at each of its own, None at the rig's.  Rows of indices say which
    boxes are held against what stands round the truck, which of the rig against the truck, and which of the rig
    against each other.
    """

    parts: tuple[str, ...]
    frames: tuple[str, ...]
    index: Indices
    middle: Array
    half: Array
    sags: Array
    is_tail: Array
    truck: tuple[TruckBox | None, ...]
    around: Indices
    to_truck: tuple[Indices, Indices]
    to_rig: tuple[Indices, Indices]


def layout_of(truck: Truck, rig: Rig, fitted: tuple[int, ...], sling_m: float = 0.0) -> Layout:
    """Boxes of a truck and its rig with these arms fitted, and of a sling as long as that."""
    return _layout(IdentityKey(truck, rig), fitted, sling_m)


def parts(job: Job, placed: Placed, count: int, *, loaded: bool) -> Boxes:
    """Every box of rig and truck in space, and the sling, over ``count`` poses, in the order of `layout_of`."""
    layout = _layout_of(job, placed, loaded)
    frames = [_frame(job, placed, name) for name in layout.frames]
    vectors = [(frame.origin, *frame.axes) for frame in frames]
    numbers = [number for four in vectors for vector in four for number in vector]
    table = filled(numbers, (count,)).reshape(len(frames), 4, 3, count)[layout.index]
    axes = table[:, 1:]
    middle = table[:, 0] + (layout.middle[:, :, None, None] * axes).sum(axis=1)
    return Boxes(layout.parts, middle, axes, layout.half)


def gone_down(job: Job, placed: Placed, straight: Boxes, sag_m: Vec, *, loaded: bool) -> Boxes:
    """The boxes of `parts` with the rig's end ``sag_m`` (n) further down under its load.

    Boom, arms and what hangs are moved by all of it, the boom's tail the other way by its share.
    """
    layout, count = _layout_of(job, placed, loaded), straight.middle.shape[-1]
    out_m = np.broadcast_to(np.asarray(placed.figures.boom_out_m, float), (count,))
    behind = (out_m - job.rig.boom.length_m) / np.maximum(out_m, 0.1)
    shares = np.where(layout.is_tail[:, None], behind, layout.sags[:, None])
    return straight._replace(middle=straight.middle + shares[:, None] * filled(sag_m, (count,)))


def _layout_of(job: Job, placed: Placed, loaded: bool) -> Layout:
    return layout_of(job.truck, job.rig, fitted_arms(placed.figures), job.load.sling_m if loaded else 0.0)


def _frame(job: Job, placed: Placed, name: str) -> Frame:
    if name in placed.frames:
        return placed.frames[name]
    if name == TIP:
        return Frame(_plumb(placed.gravity), placed.tip_m)
    if name == BELOW_HOOK:
        return Frame(_plumb(placed.gravity), placed.hook_m)
    if name in (BOOM_END, TAIL):
        boom, out_m = placed.frames["boom"], placed.figures.boom_out_m
        return Frame(boom.axes, boom.at(out_m if name == BOOM_END else out_m - job.rig.boom.length_m))
    for index, arm in enumerate(job.rig.arms):
        link = arm_link(index - 1) if index else "boom"
        if name == end_of(link):
            inner = placed.frames[link]
            length_m = job.rig.arms[index - 1].length_m if index else placed.figures.boom_out_m
            return Frame(inner.axes, inner.at(length_m, 0.0, arm.stack_m))
    raise KeyError(name)


def _plumb(gravity: Vec) -> Axes:
    """Axes of what hangs: up against gravity, the first near the truck's forward."""
    up = gravity.times(-1.0)
    aside = up.cross(Vec(1.0, 0.0, 0.0)).unit()
    return Axes(aside.cross(up), aside, up)


@functools.lru_cache(maxsize=32)
def _layout(same: IdentityKey[Truck, Rig], fitted: tuple[int, ...], sling_m: float) -> Layout:
    truck, rig = same.parts
    found = [*_base(truck, rig), *_boom(rig), *_arms(rig, fitted), *_hook(rig, sling_m)]
    of_truck = truck_boxes(truck)
    placed = [*found, *((_PART_OF[one.role], one.frame, one.box) for one in of_truck)]
    frames = tuple(dict.fromkeys(frame for _, frame, _ in placed))
    low = np.array([[span[0] for span in box] for _, _, box in placed])
    high = np.array([[span[1] for span in box] for _, _, box in placed])
    parts_of = tuple(part for part, _, _ in placed)
    around = [at for at, (part, frame, _) in enumerate(placed) if frame != TAIL and part not in STAYS]
    return Layout(
        parts_of,
        frames,
        np.array([frames.index(frame) for _, frame, _ in placed]),
        (low + high) / 2.0,
        (high - low) / 2.0,
        np.array([0.0 if frame in _STIFF else 1.0 for _, frame, _ in placed]),
        np.array([frame == TAIL for _, frame, _ in placed]),
        (*(None for _ in found), *of_truck),
        np.array(around),
        _rows(_against_truck(found, len(of_truck))),
        _rows(_against_rig(rig, found)),
    )


def _rows(pairs: Iterator[tuple[int, int]]) -> tuple[Indices, Indices]:
    both = np.array(list(pairs), dtype=int).reshape(-1, 2)
    return both[:, 0], both[:, 1]


def _against_truck(found: Sequence[_Placed], many: int) -> Iterator[tuple[int, int]]:
    """Which boxes of the rig may run into which of the truck; the boom by its tail."""
    for at, (part, frame, _) in enumerate(found):
        if part == FORKS or (part == "boom" and frame != TAIL):
            continue
        for other in range(many):
            yield at, len(found) + other


def _against_rig(rig: Rig, found: Sequence[_Placed]) -> Iterator[tuple[int, int]]:
    """Which boxes of the rig may run into each other."""
    chain = ["boom", *(arm.name for arm in rig.arms)]
    behind = {FORKS: -1, "jib mast": -1, "saddles": -1} | {name: place for place, name in enumerate(chain)}
    fitted = [part for part, _, _ in found if part in chain]
    for at, (part, frame, _) in enumerate(found):
        if frame == TAIL or part not in (*chain, HOOK):
            continue
        place = chain.index(fitted[-1]) + 1 if part == HOOK else behind[part]
        for other, (that, where, _) in enumerate(found):
            if that in behind and where != TAIL and behind[that] < place - 1:
                yield at, other


_Placed: TypeAlias = tuple[str, str, Box]
"""A part, the frame it rides on, and its box in that frame."""


def _base(truck: Truck, rig: Rig) -> Iterator[_Placed]:
    forks, sleeves, mast = truck.forks, rig.sleeves, rig.jib_mast
    section, thick = sleeves.section, forks.thickness_m
    along = sleeves.heel_gap_m, sleeves.heel_gap_m + sleeves.length_m
    for side in (1.0, -1.0):
        of_blade, of_sleeve = side * forks.spread_m / 2.0, side * sleeves.spread_on(forks) / 2.0
        blade = of_blade - forks.width_m / 2.0, of_blade + forks.width_m / 2.0
        sleeve = of_sleeve - section.width_m / 2.0, of_sleeve + section.width_m / 2.0
        yield FORKS, "forks", ((0.0, forks.length_m), blade, (-thick, 0.0))
        yield FORKS, "forks", ((-thick, 0.0), blade, (-thick, FORK_SHANK_HEIGHT_M))
        yield FORKS, "forks", (along, sleeve, (section.wall_m - section.depth_m, section.wall_m))
    tall = 0.0, mast.length_m + rig.saddles.cap_m
    yield "jib mast", "jib mast", (_half(outer_depth_m(mast.section)), _half(outer_width_m(mast.section)), tall)


def _half(size_m: float) -> tuple[float, float]:
    return -size_m / 2.0, size_m / 2.0


def _boom(rig: Rig) -> Iterator[_Placed]:
    saddles, boom = rig.saddles, rig.boom
    deep, wide = _half(outer_depth_m(boom.section)), _half(outer_width_m(boom.section))
    top_m = strap_pieces.inside_m(saddles, boom)[1] + deep[0] + saddles.strap_thickness_m
    over = _half(strap_pieces.over_legs_m(saddles, boom))
    yield "saddles", "boom", (strap_pieces.bed_ends_m(rig), over, (deep[0] - saddles.seat_m, top_m))
    short_m = boom_short_m(rig)
    yield "boom", BOOM_END, ((-boom.length_m, -short_m), wide, deep)
    yield "boom", TAIL, ((0.0, boom.length_m - short_m), wide, deep)


def _arms(rig: Rig, fitted: tuple[int, ...]) -> Iterator[_Placed]:
    """Tubes of the fitted arms, and the pieces at both ends of their hinges, each with the link it stands on."""
    for index, arm in enumerate(rig.arms):
        if index and index - 1 not in fitted:
            continue
        before = rig.arms[index - 1].name if index else "boom"
        ends = link_ends(rig, index, index - 1 if index else None)
        on_inner = end_of(arm_link(index - 1) if index else "boom")
        yield from _pieces(before, on_inner, end_solids(arm.hinge, ends[0], outer=False))
        if index in fitted:
            deep, wide = _half(outer_depth_m(arm.section)), _half(outer_width_m(arm.section))
            yield arm.name, arm_link(index), (tube_span_m(rig, index), wide, deep)
            yield from _pieces(arm.name, arm_link(index), end_solids(arm.hinge, ends[1], outer=True))


def _pieces(part: str, frame: str, solids: Sequence[Box | Round]) -> Iterator[_Placed]:
    """One box round all that stands at an end of a hinge."""
    boxes = [_box_of(solid) for solid in solids]
    if boxes:
        x, y, z = ((min(box[axis][0] for box in boxes), max(box[axis][1] for box in boxes)) for axis in range(3))
        yield part, frame, (x, y, z)


def _box_of(solid: Box | Round) -> Box:
    if not isinstance(solid, Round):
        return solid
    around = _half(2.0 * solid.radius_m)
    return (around, around, solid.along_pin) if solid.deep else (around, solid.along_pin, around)


def _hook(rig: Rig, sling_m: float) -> Iterator[_Placed]:
    """The hook under its pin, and the sling under the hook, plumb."""
    if rig.hook.drop_m > 0.0:
        yield HOOK, TIP, (_half(2.0 * HOOK_HALF_M), _half(2.0 * HOOK_HALF_M), (-rig.hook.drop_m, 0.0))
    if sling_m > 0.0:
        yield HOOK, BELOW_HOOK, (_half(2.0 * SLING_M), _half(2.0 * SLING_M), (-sling_m, 0.0))
