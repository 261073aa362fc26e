"""The saddle bed, its cap and their welds as boxes in the boom's own axes, true to size; nothing for what is missing.

Their origin is on the boom's centreline over the jib mast's axis.  A weld is drawn as a bar as thick as its leg, on
the faces that are entered; the weld list says on which of them it counts.
"""

from __future__ import annotations

from app.canvas.transform import Spans
from engine.rig.strap_pieces import bed_ends_m
from engine.schema.connections import FACES, Weld
from engine.schema.model import Job, Rig
from engine.schema.sections import outer_depth_m, outer_width_m


def pieces(rig: Rig) -> list[Spans]:
    """Bed and cap."""
    saddles, top_m, boxes = rig.saddles, mast_top_m(rig), []
    section, cap = saddles.bed_section, saddles.cap
    if cap is not None:
        half_length, half_width = cap.length_m / 2.0, cap.width_m / 2.0
        boxes.append(((-half_length, half_length), (-half_width, half_width), (top_m, top_m + cap.thickness_m)))
    if section is not None:
        half_width, bottom_m = section.width_m / 2.0, top_m + saddles.cap_m
        boxes.append((bed_ends_m(rig), (-half_width, half_width), (bottom_m, bottom_m + outer_depth_m(section))))
    return boxes


def weld_bars(job: Job) -> list[Spans]:
    """The weld at the jib mast's top, and the one between a cap and its bed."""
    saddles, mast = job.rig.saddles, job.rig.jib_mast.section
    mount, section = None if saddles.bed is None else saddles.bed.mount, saddles.bed_section
    if mount is None:
        return []
    top_m, boxes = mast_top_m(job.rig), []
    if mount.weld_mast is not None:
        half = outer_depth_m(mast) / 2.0, outer_width_m(mast) / 2.0
        boxes += _around(half, mount.weld_mast, (top_m - mount.weld_mast.leg_m, top_m))
    if mount.weld_bed is not None and mount.cap is not None and section is not None:
        rear_m, front_m = bed_ends_m(job.rig)
        reach_m = min(mount.cap.length_m / 2.0, front_m, -rear_m)
        bottom_m = top_m + mount.cap.thickness_m
        half = reach_m, min(mount.cap.width_m, section.width_m) / 2.0
        boxes += _around(half, mount.weld_bed, (bottom_m, bottom_m + mount.weld_bed.leg_m))
    return boxes


def _around(half_m: tuple[float, float], weld: Weld, tall: tuple[float, float]) -> list[Spans]:
    """Bars on the faces of a rectangle, given half its length and half its width."""
    (length, width), leg = half_m, weld.leg_m
    bars: dict[str, Spans] = {
        "front": ((length, length + leg), (-width, width), tall),
        "back": ((-length - leg, -length), (-width, width), tall),
        "left": ((-length, length), (width, width + leg), tall),
        "right": ((-length, length), (-width - leg, -width), tall),
    }
    return [bars[face] for face in FACES[weld.faces]]


def mast_top_m(rig: Rig) -> float:
    """The jib mast's top, under the boom's centreline."""
    return -rig.boom.section.depth_m / 2.0 - rig.saddles.seat_m
