"""Outlines of truck, rig and load seen from above (mm, y down), most of them built once per rig."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath

from app.canvas.shapes import rectangle
from app.canvas.side_outlines import gusset_rows, rear_end_m
from app.canvas.transform import MM_PER_M, Spans
from engine.rig import strap_pieces
from engine.rig.truck_solids import BESIDE_TRACK_M, truck_boxes
from engine.schema.connections import BasePlate
from engine.schema.model import Job, Truck
from engine.schema.sections import outer_depth_m, outer_width_m

TYRE_WIDTH_M = 0.2
"""Drawn width of a tyre; no number is worked out from it."""

CORNER_MM = 160.0
"""Radius of the truck's corners."""


def half_width_m(truck: Truck) -> float:
    """From the middle of the truck to its side."""
    return (truck.width_m.best if truck.width_m else truck.front_track_m.best + 2.0 * BESIDE_TRACK_M) / 2.0


def body(truck: Truck) -> QPainterPath:
    """Chassis and counterweight in one outline, up to the upright."""
    half, rear = half_width_m(truck), rear_end_m(truck)
    front = truck.front_overhang_m.best - 0.06
    bounds = QRectF(QPointF(rear * MM_PER_M, -half * MM_PER_M), QPointF(front * MM_PER_M, half * MM_PER_M))
    path = QPainterPath()
    path.addRoundedRect(bounds, CORNER_MM, CORNER_MM)
    return path


def shape(truck: Truck, *, usual: bool) -> QPainterPath:
    """Boxes of the truck's shape that stand still, seen from above: guard and driver's space, or those measured."""
    path = QPainterPath()
    for one in truck_boxes(truck):
        shown = one.role in ("guard", "driver") if usual else True
        if one.frame == "chassis" and one.usual is usual and shown:
            path.addPath(rectangle(*one.box[0], *one.box[1]))
    return path


def wheels(truck: Truck) -> QPainterPath:
    """The tyres of both axles."""
    path, half_tyre = QPainterPath(), TYRE_WIDTH_M / 2.0
    for x, track, radius in (
        (0.0, truck.front_track_m.best, truck.front_tyre_radius_m),
        (-truck.wheelbase_m.best, truck.rear_track_m, truck.rear_tyre_radius_m),
    ):
        for y in (track / 2.0, -track / 2.0):
            path.addPath(rectangle(x - radius, x + radius, y - half_tyre, y + half_tyre))
    return path


def fork_pair(job: Job) -> list[Spans]:
    """Both fork blades, in the fork frame."""
    forks = job.truck.forks
    return _pair((0.0, forks.length_m), forks.spread_m / 2.0, forks.width_m / 2.0)


def sleeve_pair(job: Job) -> list[Spans]:
    """Both sleeves, in the fork frame."""
    sleeves = job.rig.sleeves
    along = sleeves.heel_gap_m, sleeves.heel_gap_m + sleeves.length_m
    return _pair(along, sleeves.spread_on(job.truck.forks) / 2.0, sleeves.section.width_m / 2.0)


def cross_member(job: Job) -> Spans:
    """The cross-member between the sleeves, in the fork frame."""
    sleeves = job.rig.sleeves
    half_cross, foot_x = sleeves.cross_section.width_m / 2.0, job.rig.jib_mast.foot_x_m
    half_gap = sleeves.spread_on(job.truck.forks) / 2.0 - sleeves.section.width_m / 2.0
    return (foot_x - half_cross, foot_x + half_cross), (-half_gap, half_gap), (0.0, 0.0)


def base_plate(job: Job) -> list[Spans]:
    """The base plate under the jib mast, if there is one, in the fork frame."""
    base, foot_x = job.rig.jib_mast.base, job.rig.jib_mast.foot_x_m
    if not isinstance(base, BasePlate):
        return []
    half_length, half_width = base.length_m / 2.0, base.width_m / 2.0
    return [((foot_x - half_length, foot_x + half_length), (-half_width, half_width), (0.0, 0.0))]


def gussets(job: Job, *, counted: bool) -> list[Spans]:
    """Gussets at the jib mast's foot that count, or that do not, from above, in the fork frame."""
    mast, boxes = job.rig.jib_mast, []
    for row in gusset_rows(job):
        if (row.missing is None) is not counted:
            continue
        gusset, thick = row.entered, row.entered.thickness_m / 2.0
        sign = 1.0 if gusset.face in ("front", "left") else -1.0
        upright = gusset.face in ("front", "back")
        half = (outer_depth_m if upright else outer_width_m)(mast.section) / 2.0
        out = _between(sign * half, sign * (half + gusset.out_m))
        for offset in row.stands.offsets_m:
            across = offset - thick, offset + thick
            along, aside = (out, across) if upright else (across, out)
            boxes.append(((mast.foot_x_m + along[0], mast.foot_x_m + along[1]), aside, (0.0, 0.0)))
    return boxes


def straps(job: Job) -> list[Spans]:
    """Both straps from above, their legs and the shims beside the boom, about the jib mast's axis along the boom."""
    part, boom, found = job.rig.saddles, job.rig.boom, []
    outside, top = strap_pieces.over_legs_m(part, boom) / 2.0, strap_pieces.top_m(part, boom) / 2.0
    inside, side = outside - part.strap_thickness_m, strap_pieces.shim_m(part)[0]
    for centre in (part.rear_x_m, part.front_x_m):
        along = centre - part.strap_length_m / 2.0, centre + part.strap_length_m / 2.0
        found.append((along, (-top, top), (0.0, 0.0)))
        for sign in (1.0, -1.0):
            found.append((along, _between(sign * inside, sign * outside), (0.0, 0.0)))
            if side > 0.0:
                found.append((along, _between(sign * (inside - side), sign * inside), (0.0, 0.0)))
    return found


def _between(a: float, b: float) -> tuple[float, float]:
    return min(a, b), max(a, b)


def _pair(along: tuple[float, float], aside: float, half_width: float) -> list[Spans]:
    """A left and a right bar along the forks, each so far to its side."""
    return [(along, (y - half_width, y + half_width), (0.0, 0.0)) for y in (aside, -aside)]
