"""What may run into what in a pose, and the gap of each: a row for every pair of boxes, in groups.

A group is one moving part and one kind of thing it may run into; the rows of a group are next to each other.  Each row
wants a free space, and may be off by so much: what moves a point straight counts whole, what turns it counts with the
furthest point that matters, and what was entered counts by how it is known.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator
from typing import Literal, NamedTuple

from engine.base.geometry import GRAVITY_M_S2, Array, Indices, Number, Vec, most
from engine.base.identity import IdentityKey
from engine.base.lazy import np
from engine.rig import boxes, solids
from engine.rig.boxes import Boxes
from engine.rig.figure_vector import filled
from engine.rig.hung_load import HungLoad, hung_load, load_to_box, load_to_parts
from engine.rig.kinematics import Placed, fitted_arms
from engine.rig.truck_solids import MEASURED_OFF_M, SAID
from engine.rig.turning import HUNG, fields_of
from engine.schema.model import Gaps as FreeSpace
from engine.schema.model import Job, Load, Pose, Rig, Surrounding, Truck, find_floor
from engine.schema.uncertainty_bands import TAPE_M, TILT_BY_EYE_RAD, low_high

FLOOR = "the floor"
TO_OBJECTS = "room to what stands round the truck"
TO_FLOOR = "room to the floor"
TO_TRUCK, TO_RIG, TO_BOTH = "room to the truck", "room to the rig itself", "room to rig and truck"
UNMEASURED = "room to what nobody has measured of the truck"
UNMEASURED_TO_OBJECTS = "room of what nobody has measured of the truck"
"""The upright's top cross-member and the load backrest, where they usually are: against the rig, and against what
stands round the truck."""

HANGS = {
    "free": "free to turn",
    "one_line": "held by one tag line",
    "two_lines": "held by two tag lines",
    "fixed": "held as it is",
}
"""How a load hangs, in a sentence."""

LINE_M, LINE_kV, LINE_M_PER_kV = 3.05, 50.0, 0.01

BEYOND_M = 0.3
"""Parts round the ends of boom and arms reach no further than this from them."""

Off = Literal["object", "chassis", "tail", "rig", "hung", "none"]
"""What makes a gap uncertain besides the box itself: a pose's place among what stands round it, against the truck's
chassis (the load, the boom's tail), against upright and rig (a part of the rig, the load), or nothing."""

_OFFS: tuple[Off, ...] = ("object", "chassis", "tail", "rig", "hung", "none")

FAR_M = 0.3
"""A gap this much wider than wanted may be told as less than it is."""

SLACK_M = 0.5
"""How much lower than taut a hook may be over a load that stands (ours)."""

LOAD, UNDER = -1, -2
"""In place of a box: the load's middle, and its underside."""


class Row(NamedTuple):
    """One pair of boxes; ``box`` is the moving one among `solids.parts`, or the load.

    ``called`` and ``met`` are both in a sentence; ``unmeasured`` names what of the two nobody has measured, so that a
    short gap proves nothing.  ``met_box`` is what it meets among `solids.parts`, None where that is not one of them.
    ``hangs`` is whether the moving one hangs.
    """

    part: str
    called: str
    kind: str
    met: str
    box: int
    wanted_m: float
    off: Off
    off_m: float
    unmeasured: str = ""
    met_box: int | None = None
    hangs: bool = False


class Rows(NamedTuple):
    """The rows of a job and stance, where each group starts, and which boxes each asks about.

    ``order`` says where among the gaps as they are found each row's is, ``enough_m`` (as they are found) which of them
    need not be told exactly.
    """

    rows: tuple[Row, ...]
    starts: Indices
    wanted_m: Array
    off_m: Array
    off: Indices
    objects: tuple[Surrounding, ...]
    between: tuple[Indices, Indices]
    load_objects: tuple[Surrounding, ...]
    load_boxes: list[int]
    to_floor: bool
    order: Indices
    enough_m: Array
    hangs: Array


class Gaps(NamedTuple):
    """Gap of every row, and the gap at worst (rows, n)."""

    of: Rows
    gap: Array
    worst: Array
    scene: Boxes
    load: HungLoad | None

    def group_most(self, lack: Array) -> Array:
        """Greatest value of each group (groups, n) of values of every row."""
        if not self.of.rows:
            return np.zeros((0, lack.shape[-1]))
        return np.maximum.reduceat(lack, self.of.starts)


class _Parts(NamedTuple):
    """What of a job says which pairs there are."""

    truck: Truck
    rig: Rig
    load: Load
    gaps: FreeSpace
    surroundings: tuple[Surrounding, ...]


def rows_of(job: Job, pose: Pose, fitted: tuple[int, ...], *, at_place: bool = True) -> Rows:
    """Every pair of a job with these arms fitted.

    Parameters
    ----------
    job : Job
    pose : Pose
        Says which floor the truck stands on, whether a load hangs, and whether it stands on something.
    fitted : tuple of int
        Arms fitted.
    at_place : bool
        Whether what stands round the truck counts; without it the floor, the truck and the rig do.
    """
    same = IdentityKey(job.truck, job.rig, job.load, job.policy.gaps, job.surroundings)
    return _rows_of(same, pose.floor if at_place else None, pose.at != "between", pose.loaded, fitted)


@functools.lru_cache(maxsize=64)
def _rows_of(
    same: IdentityKey[Truck, Rig, Load, FreeSpace, tuple[Surrounding, ...]],
    floor: str | None,
    standing: bool,
    loaded: bool,
    fitted: tuple[int, ...],
) -> Rows:
    job = _Parts(*same.parts)
    layout = solids.layout_of(job.truck, job.rig, fitted, job.load.sling_m if loaded else 0.0)
    objects = tuple(box for box in job.surroundings if floor is not None and box.floor in (None, floor))
    load_objects = tuple(box for box in objects if loaded and not (standing and box.sets_load))
    load_boxes = _held_against_load(layout) if loaded else []
    # In the order in which `gaps_of` finds the gaps.
    rows = list(_to_objects(job, layout, objects))
    rows += [_to_truck(job, layout, one, other) for one, other in zip(*layout.to_truck, strict=True)]
    rows += [_to_rig(job, layout, one, other) for one, other in zip(*layout.to_rig, strict=True)]
    rows += [_load_to_object(job, box) for box in load_objects]
    if loaded:
        rows.append(_load_to_floor(job, standing))
    rows += [_load_to_box(job, layout, at) for at in load_boxes]
    groups = list(dict.fromkeys((row.part, row.kind) for row in rows))
    keys = [groups.index((row.part, row.kind)) for row in rows]
    order = sorted(range(len(rows)), key=keys.__getitem__)
    sorted_keys = [keys[at] for at in order]
    starts = [place for place, key in enumerate(sorted_keys) if place == 0 or key != sorted_keys[place - 1]]
    kept = tuple(rows[at] for at in order)
    first, second = _object_pairs(layout, len(objects))
    many = len(layout.parts)
    between = (
        np.concatenate([first, layout.to_truck[0], layout.to_rig[0]]).astype(int),
        np.concatenate([second + many, layout.to_truck[1], layout.to_rig[1]]).astype(int),
    )
    return Rows(
        kept,
        np.array(starts, dtype=int),
        np.array([row.wanted_m for row in kept]),
        np.array([row.off_m for row in kept]),
        np.array([_OFFS.index(row.off) for row in kept], dtype=int),
        objects,
        between,
        load_objects,
        load_boxes,
        loaded,
        np.array(order, dtype=int),
        np.array([row.wanted_m for row in rows]) + FAR_M,
        np.array([float(row.hangs) for row in kept]),
    )


def _object_pairs(layout: solids.Layout, many: int) -> tuple[Indices, Indices]:
    return np.repeat(layout.around, many), np.tile(np.arange(many), len(layout.around))


def _held_against_load(layout: solids.Layout) -> list[int]:
    """Boxes that the load may turn or swing into: all but hook and sling, and the boom once."""
    kept = enumerate(zip(layout.parts, layout.index, strict=True))
    return [at for at, (part, frame) in kept if part != solids.HOOK and layout.frames[frame] != solids.TAIL]


# ---------------------------------------------------------------- rows


def _called(job: _Parts, part: str) -> str:
    return part if part in {arm.name for arm in job.rig.arms} else f"the {part}"


def _to_objects(job: _Parts, layout: solids.Layout, objects: tuple[Surrounding, ...]) -> Iterator[Row]:
    for at in layout.around.tolist():
        part, box = layout.parts[at], layout.truck[at]
        loose_m, called = 0.0, _called(job, part)
        if box is not None:
            loose_m, called = box.off_m, SAID[box.role]
        unsure = called if box is not None and box.unsure else ""
        for met in objects:
            yield Row(
                part,
                called,
                UNMEASURED_TO_OBJECTS if unsure else TO_OBJECTS,
                met.name,
                at,
                wanted_m(met, job.gaps.rig_to_object_m),
                "object",
                MEASURED_OFF_M[met.known] + loose_m,
                unsure,
                hangs=part == solids.HOOK,
            )


def _to_truck(job: _Parts, layout: solids.Layout, one: int, other: int) -> Row:
    part, box, gaps = layout.parts[one], layout.truck[other], job.gaps
    assert box is not None  # a box of the truck
    wanted = gaps.rig_to_driver_m if box.role == "driver" else gaps.rig_to_truck_m
    tail = part == "boom"
    near = part in ("boom", "saddles", "jib mast")
    off: Off = "rig" if box.frame != "chassis" else "tail" if near else "chassis"
    called = "the boom's tail" if tail else _called(job, part)
    said, kind = SAID[box.role], UNMEASURED if box.unsure else TO_TRUCK
    unsure, hangs = said if box.unsure else "", part == solids.HOOK
    return Row(part, called, kind, said, one, wanted, off, box.off_m, unsure, other, hangs)


def _to_rig(job: _Parts, layout: solids.Layout, one: int, other: int) -> Row:
    part, met = layout.parts[one], layout.parts[other]
    wanted = job.gaps.rig_to_rig_m
    called, hangs = _called(job, met), part == solids.HOOK
    return Row(part, _called(job, part), TO_RIG, called, one, wanted, "rig", 0.0, met_box=other, hangs=hangs)


def _load_to_object(job: _Parts, box: Surrounding) -> Row:
    wanted, off_m = wanted_m(box, job.gaps.load_to_object_m), MEASURED_OFF_M[box.known]
    return Row(job.load.name, f"the {job.load.name}", TO_OBJECTS, box.name, LOAD, wanted, "object", off_m)


def _load_to_floor(job: _Parts, standing: bool) -> Row:
    """How high a load hangs over the floor is seen: nothing is off.  Where it stands, its sling may hang slack."""
    wanted = -SLACK_M if standing else job.gaps.load_to_floor_m
    return Row(job.load.name, f"the {job.load.name}", TO_FLOOR, FLOOR, UNDER, wanted, "none", 0.0)


def _load_to_box(job: _Parts, layout: solids.Layout, at: int) -> Row:
    box, gaps, load = layout.truck[at], job.gaps, job.load
    called, wanted = f"the {load.name}, {HANGS[load.hang]},", gaps.load_to_rig_m
    if box is None:
        return Row(load.name, called, TO_BOTH, _called(job, layout.parts[at]), LOAD, wanted, "hung", 0.0)
    if box.role == "driver":
        wanted = max(wanted, gaps.rig_to_driver_m)
    kind, off = UNMEASURED if box.unsure else TO_BOTH, "chassis" if box.frame == "chassis" else "hung"
    said = SAID[box.role]
    return Row(load.name, called, kind, said, LOAD, wanted, off, box.off_m, said if box.unsure else "")


def wanted_m(box: Surrounding, usual_m: float) -> float:
    """Free space wanted to a box (m): ``usual_m``, or what the voltage of a power line asks."""
    if box.kind != "line":
        return usual_m
    over_kV = max((box.line_kV or 0.0) - LINE_kV, 0.0)
    return LINE_M + math.ceil(over_kV / 10.0 - 1e-9) * 10.0 * LINE_M_PER_kV


# ---------------------------------------------------------------- gaps


def gaps_of(job: Job, pose: Pose, placed: Placed, count: int, sag_m: Vec, *, at_place: bool = True) -> Gaps:
    """The gap of every row: of placed poses (n) as drawn, and then as the loaded rig bends (2n in all).

    Parameters
    ----------
    job : Job
    pose : Pose
        As in `rows_of`.
    placed : Placed
        Frames and hook of the poses, as drawn.
    count : int
        How many poses.
    sag_m : Vec
        How far the loaded rig's end is from where it is drawn.
    at_place : bool
        As in `rows_of`.
    """
    rows = rows_of(job, pose, fitted_arms(placed.figures), at_place=at_place)
    straight = solids.parts(job, placed, count, loaded=pose.loaded)
    scene = boxes.beside(straight, solids.gone_down(job, placed, straight, sag_m, loaded=pose.loaded))
    load = _load(job, placed, count, sag_m) if pose.loaded else None
    everything = boxes.joined(scene, boxes.standing(rows.objects, 2 * count)) if rows.objects else scene
    found = [boxes.gaps_between(everything, everything, rows.between, rows.enough_m[: len(rows.between[0])])]
    if load is not None:
        found += [load_to_box(load, box)[None] for box in rows.load_objects]
        if rows.to_floor:
            found.append(load.under[None])
        enough_m = rows.enough_m[len(rows.rows) - len(rows.load_boxes) :]
        found.append(load_to_parts(load, scene.of(rows.load_boxes), enough_m))
    gap = np.concatenate(found)[rows.order] - rows.hangs[:, None] * _swing(job, placed) * (
        job.rig.hook.drop_m + job.load.sling_m
    )
    off = _off(job, pose, placed, count)
    worst = gap - np.concatenate([off, off], axis=1)[rows.off] - rows.off_m[:, None]
    return Gaps(rows, gap, worst, scene, load)


def _load(job: Job, placed: Placed, count: int, sag_m: Vec) -> HungLoad:
    """The load of many poses as it may hang, swing counted; as drawn, and then as the rig bends."""
    wander_m = _swing(job, placed) * (job.rig.hook.drop_m + job.load.sling_m + job.load.height_m)
    load = hung_load(job.load, placed, count, wander_m)
    drawn, moved = np.array(load[:4]), filled((sag_m.x, sag_m.y, sag_m.z, sag_m.z), (count,))
    x, y, under, top = np.concatenate([drawn, drawn + moved], axis=1)
    return load._replace(x=x, y=y, under=under, top=top)


def _swing(job: Job, placed: Placed) -> float:
    """How far what hangs goes aside, as a share of how far down it hangs: it swings, and the truck brakes or turns."""
    aside = math.tan(job.policy.swing_rad) + job.policy.braking
    turned = [field.at(placed.hook_m) for field in fields_of(job.policy)]
    if turned:
        aside += HUNG * max(float(np.max(pull.length())) for pull in turned) / GRAVITY_M_S2
    return math.sin(math.atan(aside))


def _off(job: Job, pose: Pose, placed: Placed, count: int) -> Array:
    """At least as far as a point may be from where it is placed (kinds of `Off`, n)."""
    floor, numbers, upright = find_floor(job, pose), placed.figures, job.truck.upright
    overhang = job.truck.front_overhang_m
    low, high = low_high(overhang, "length")
    ahead = max(overhang.best - low, high - overhang.best)
    pivot, boom = Vec(upright.tilt_pivot_x_m, 0.0, upright.tilt_pivot_z_m), placed.frames["boom"]

    def far(end: Vec) -> Number:
        return (end - pivot).length() + BEYOND_M

    tail = far(boom.at(numbers.boom_out_m - job.rig.boom.length_m))
    furthest = most(far(placed.tip_m), tail)
    hung_m = job.rig.hook.drop_m + job.load.sling_m + job.load.height_m
    known = [fall for fall in (floor.fall_along, floor.fall_across) if fall is not None]
    plumb_rad = sum(max(fall.best - low_high(fall, "fall")[0], low_high(fall, "fall")[1] - fall.best) for fall in known)
    turned_rad = TILT_BY_EYE_RAD + job.policy.lean_rad
    hangs_m = (plumb_rad + turned_rad) * hung_m
    # Fork height and the boom's reach are taped.
    moved_m = ahead + 2.0 * TAPE_M
    to_chassis = moved_m + turned_rad * furthest + hangs_m
    return filled(
        [to_chassis, to_chassis, moved_m + turned_rad * tail, TAPE_M, TAPE_M + hangs_m, 0.0],
        (count,),
    )


def places_of(gaps: Gaps, rows: list[Row], at: list[int]) -> list[Vec]:
    """The point of each row's moving box that is nearest to the middle of what it meets, in its own pose ``at``."""
    scene, load = gaps.scene, gaps.load
    moving = [max(row.box, 0) for row in rows]
    met = [own if row.met_box is None else row.met_box for row, own in zip(rows, moving, strict=True)]
    middle, axes, half = scene.middle[moving, :, at], scene.axes[moving, :, :, at], scene.half[moving]
    along = (axes * (scene.middle[met, :, at] - middle)[:, None]).sum(axis=2)
    along = np.minimum(np.maximum(along, -half), half)
    places = [Vec(*place) for place in (middle + (along[:, :, None] * axes).sum(axis=1)).tolist()]
    for index, row in enumerate(rows):
        if row.box < 0:
            assert load is not None  # the row is the load's
            pose = at[index]
            height = load.under[pose] if row.box == UNDER else (load.under[pose] + load.top[pose]) / 2.0
            places[index] = Vec(float(load.x[pose]), float(load.y[pose]), float(height))
    return places
