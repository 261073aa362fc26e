"""The weld list: every weld of the rig with its lines, leg and filler.

Filler is 1.5 times the steel of the plain triangle, ``leg^2 / 2 x length``: weight of fillet welds as printed in trade
tables, 0.16 lb/ft for 1/4 in legs (read).
"""

from __future__ import annotations

import math

import msgspec

from engine.rig import strap_pieces
from engine.rig.boom_stops import made_stops
from engine.rig.hinge_pieces import (
    TubeEnd,
    as_built,
    face_lugs_of,
    link_ends,
    lugs_on_arm,
    plate_lever_m,
    sleeve_of,
    weld_of,
)
from engine.schema.connections import (
    BasePlate,
    BedMount,
    EndPlate,
    FabricatedStrap,
    FaceLugs,
    MastBase,
    PlateFaces,
    StayLink,
    StrapLapped,
    ThroughSleeve,
    TubeBed,
    Weld,
)
from engine.schema.model import Arm, Job, Rig, Saddles, hinge_of
from engine.schema.sections import STEEL_DENSITY_KG_M3, TUBE_OUTSIDE_RADIUS_PER_WALL, RectTube, Section
from engine.shop.cut_list import hook_links
from engine.shop.joint_pieces import lug_count
from engine.strength import bed_mount, gussets, hinge_end_limits, welds
from engine.strength.cross_weld import cross_end
from engine.strength.foot_weld import Foot, foot_of
from engine.strength.laid_welds import LaidWeld
from engine.strength.strap_limits import lap_edge_m
from engine.strength.weld_lines import WeldGroup

FILLER_OVER_TRIANGLE = 1.5
"""Filler bought over the plain triangle of a fillet: convexity, starts, stops (trade tables of fillet weight, read)."""


class WeldLine(msgspec.Struct, kw_only=True, frozen=True):
    """Welds of one kind: ``lines`` lines of one length each.  Leg and filler are ``None`` if the sketch has no leg."""

    name: str
    lines: int
    length_each_m: float
    leg_m: float | None
    electrode: str
    note: str = ""
    filled_m3: float | None = None
    """Volume to fill where it is not that of a fillet all along: grooves beside a tube's corner."""
    edge_m: float | None = None
    """Thickness of the plate whose edge the fillet lies on; ``None`` where it lies between faces."""

    @property
    def length_m(self) -> float:
        """Length of all lines together."""
        return self.lines * self.length_each_m

    @property
    def filler_kg(self) -> float | None:
        """Filler to buy; ``None`` if the leg is not known."""
        if self.filled_m3 is not None:
            return FILLER_OVER_TRIANGLE * self.filled_m3 * STEEL_DENSITY_KG_M3
        return None if self.leg_m is None else filler_kg(self.leg_m, self.length_m)


def filler_kg(leg_m: float, length_m: float) -> float:
    """Filler for a fillet weld, 1.5 times its plain triangle."""
    return FILLER_OVER_TRIANGLE * leg_m**2 / 2.0 * length_m * STEEL_DENSITY_KG_M3


EDGE_KEPT_M, THIN_EDGE_M = 0.0254 / 16.0, 0.0254 / 4.0
"""So much of an edge stays in sight beside a fillet on it, and from which thickness on (AISC 360 J2.2b, read)."""


def largest_leg_m(edge_m: float) -> float:
    """The largest leg of a fillet along the edge of a plate of this thickness."""
    return edge_m if edge_m < THIN_EDGE_M else edge_m - EDGE_KEPT_M


def weld_list(job: Job) -> tuple[WeldLine, ...]:
    """Every weld of the rig; a weld whose leg the sketch does not give says so in its note."""
    rig = job.rig
    mast, saddles = rig.jib_mast, rig.saddles
    foot = foot_of(mast, rig.sleeves, job.policy, rig.sleeves.spread_on(job.truck.forks))
    lines = [
        _laid("jib mast foot", 1, foot.on_mast, mast.foot_weld, rig.sleeves.cross_section),
        *_gussets(job),
        *_base_plate(mast.base, foot),
        *_cross_member(job),
        *_straps(saddles),
    ]
    lines += _bed_mount(job)
    lines += _bed_ends(saddles)
    lines += _boom_stops(rig)
    for index, arm in enumerate(rig.arms):
        lines += _hinge_welds(arm)
        lines += _hinge_end_welds(job, index)
        stay = arm.stay
        lug = stay.end_lug if isinstance(stay, StayLink) else None
        if lug is not None and lug.weld is not None:
            lines.append(_of_weld(f"{arm.name} stay lugs", 4, lug.on_face_m, lug.weld))
    hoop = rig.hook.hoop
    if hoop is not None:
        lines.append(
            WeldLine(
                name="hook hoop feet",
                lines=2 * len(hook_links(rig)),
                length_each_m=math.pi * hoop.bar_m,
                leg_m=hoop.weld.leg_m,
                electrode=hoop.weld.electrode,
                note="all round",
            )
        )
    return tuple(lines)


def _straps(saddles: Saddles) -> list[WeldLine]:
    """Feet of the four legs, and the corners of straps made of three plates; both faces are two lines."""
    weld, long_m = saddles.strap_weld, saddles.strap_length_m
    name, bed = "saddle strap feet", strap_pieces.stand_of(saddles)
    lines = []
    if isinstance(saddles.strap_foot, StrapLapped) and bed is not None:
        edge_m, below = lap_edge_m(saddles, bed, saddles.strap_foot.lap_m)
        along = _of_weld(name, 8, edge_m, weld, "along both edges, on the bed's flat")
        lines.append(_on_edge(along, saddles.strap_thickness_m))
        if below:
            lines.append(_of_weld(f"{name}, below", 4, long_m, weld, "below each leg"))
    else:
        lines.append(_plate_weld(name, saddles.foot_faces, long_m, weld))
    make = saddles.strap_make
    if isinstance(make, FabricatedStrap) and make.corner_weld is not None:
        lines.append(_plate_weld("saddle strap corners", make.corner_faces, long_m, make.corner_weld))
    return lines


def _plate_weld(name: str, faces: PlateFaces, long_m: float, weld: Weld) -> WeldLine:
    """A weld across each of four plates."""
    count, note = (8, "both faces of each") if faces == "both" else (4, "outside only")
    return _of_weld(name, count, long_m, weld, note)


def _laid(name: str, count: int, laid: LaidWeld, weld: Weld, beside: Section | None = None) -> WeldLine:
    """A weld by the lines that count; the note says where they run, which faces are left out, and what is a groove.

    ``beside`` is the tube whose round corners the grooves lie beside.
    """
    missing = dict.fromkeys(left_out.face for left_out in laid.group.left_out if left_out.reason != "not_welded")
    note = laid.faces.removeprefix("at ") if laid.group.lines else "nowhere"
    if missing:
        note += f"; no room at {' and '.join(missing)}"
    filled, fillets = (
        sum(line.length_m for line in laid.group.lines if (line.kind == "flare_bevel") is groove)
        for groove in (True, False)
    )
    volume_m3 = None
    if filled > 0.0 and isinstance(beside, RectTube):
        faces = dict.fromkeys(line.face for line in laid.group.lines if line.kind == "flare_bevel")
        where = "all of it" if fillets == 0.0 else " and ".join(faces)
        note += f"; GROOVE FILLED, {where}: {PROCESS_WORDS[weld.process]}, not a fillet"
        corner_m = TUBE_OUTSIDE_RADIUS_PER_WALL * beside.wall_m
        groove_m2 = corner_m**2 * (1.0 - math.pi / 4.0)
        volume_m3 = count * (filled * groove_m2 + fillets * weld.leg_m**2 / 2.0)
    return WeldLine(
        name=name,
        lines=count,
        length_each_m=laid.group.length_m,
        leg_m=weld.leg_m,
        electrode=weld.electrode,
        note=note,
        filled_m3=volume_m3,
    )


PROCESS_WORDS = {
    "gas_metal_arc": "gas metal arc (MIG)",
    "stick": "stick",
    "unknown": "process not entered",
}
"""How a groove is filled; its throat depends on it."""


def _gussets(job: Job) -> list[WeldLine]:
    """Lines of the gussets that count: along the base as far as they count, and up the jib mast."""
    rig, lines = job.rig, []
    for row in gussets.counted(
        gussets.rows_of(rig.jib_mast, rig.sleeves, rig.sleeves.spread_on(job.truck.forks), job.policy)
    ):
        gusset, weld = row.entered, row.entered.weld
        if weld is not None:
            name, both = f"gussets, {gusset.face}", 2 * gusset.count
            note = "both sides, the length that counts; weld the whole edge"
            lines.append(_of_weld(f"{name}: along the base", both, row.stands.effective_m, weld, note))
            lines.append(_of_weld(f"{name}: up the jib mast", both, gusset.up_m, weld, "both sides"))
    return lines


def _base_plate(base: MastBase, foot: Foot) -> list[WeldLine]:
    if not isinstance(base, BasePlate):
        return []
    if base.weld_below is None or foot.plate is None or foot.plate.laid is None:
        return [_no_leg("base plate to cross-member", 1, 2.0 * (base.length_m + base.width_m))]
    laid = _laid("base plate to cross-member", 1, foot.plate.laid, base.weld_below)
    return [_on_edge(laid, base.thickness_m)]


def _bed_mount(job: Job) -> list[WeldLine]:
    """Welds at the jib mast's top, the lines that count."""
    saddles, mast_top = job.rig.saddles, "jib mast to its cap"
    if saddles.bed is None:
        return []
    if saddles.cap is None:
        mast_top = "saddle bed to jib mast"
    entered = BedMount() if saddles.bed.mount is None else saddles.bed.mount
    mount, lines = bed_mount.mount_of(job.rig, job.policy), []
    if entered.weld_mast is None or mount.mast is None:
        lines.append(_no_leg(mast_top, 1, welds.around(job.rig.jib_mast.section, "all_round").length_m))
    else:
        lines.append(_laid(mast_top, 1, mount.mast, entered.weld_mast))
    if entered.weld_bed is not None and mount.below_bed is not None:
        lines.append(_laid("saddle bed on its cap", 1, mount.below_bed, entered.weld_bed, saddles.bed_section))
    elif saddles.cap is not None and saddles.bed_section is not None:
        lines.append(_no_leg("saddle bed on its cap", 1, 2.0 * (saddles.cap.length_m + saddles.cap.width_m)))
    return lines


def _bed_ends(saddles: Saddles) -> list[WeldLine]:
    if not isinstance(saddles.bed, TubeBed) or not saddles.bed.ends_closed:
        return []
    section = saddles.bed.section
    return [_no_leg("saddle bed ends", 2, 2.0 * (section.width_m + section.depth_m), "a seal weld all round")]


def _boom_stops(rig: Rig) -> list[WeldLine]:
    section, count = rig.boom.section, len(made_stops(rig))
    if not count:
        return []
    advice = "over the boom and at both sides; below, the stop is level with it"
    return [_no_leg("boom stops", count, section.width_m + 2.0 * section.depth_m, advice)]


def _cross_member(job: Job) -> list[WeldLine]:
    sleeves = job.rig.sleeves
    if sleeves.cross_weld is None:
        return [_no_leg("cross-member to sleeves", 2, welds.around(sleeves.cross_section, "all_round").length_m)]
    end = cross_end(sleeves, sleeves.cross_weld, job.policy)
    return [_laid("cross-member to sleeves", 2, end.laid, sleeves.cross_weld, sleeves.section)]


def _no_leg(name: str, lines: int, length_m: float, advice: str = "at least as good as the foot weld") -> WeldLine:
    return WeldLine(
        name=name,
        lines=lines,
        length_each_m=length_m,
        leg_m=None,
        electrode="not known",
        note=f"not in the sketch: {advice}",
    )


def _hinge_welds(arm: Arm) -> list[WeldLine]:
    hinge = hinge_of(arm)
    line_m = hinge.lug_weld_length_m or 2.0 * hinge.lug_edge_m
    lines = []
    if face_lugs_of(hinge) is None:
        lines.append(_of_weld(f"{arm.name} lugs", 2 * lug_count(hinge), line_m, weld_of(hinge, lugs=True)))
    if sleeve_of(hinge) is None:
        lines.append(_of_weld(f"{arm.name} barrels", 4, hinge.barrel_length_m, weld_of(hinge, lugs=False)))
    return lines


def _of_weld(name: str, lines: int, length_m: float, weld: Weld, note: str = "two lines each") -> WeldLine:
    return WeldLine(
        name=name, lines=lines, length_each_m=length_m, leg_m=weld.leg_m, electrode=weld.electrode, note=note
    )


def _on_edge(line: WeldLine, edge_m: float) -> WeldLine:
    return msgspec.structs.replace(line, edge_m=edge_m)


def _hinge_end_welds(job: Job, index: int) -> list[WeldLine]:
    """Welds of what stands on the two ends of an arm's hinge, the lines that count."""
    arm, rig, lines = job.rig.arms[index], job.rig, []
    tubes = link_ends(rig, index, index - 1 if index else None)
    hinge = as_built(arm.hinge)
    for side, end, tube in zip(("inner", "outer"), (hinge.inner_end, hinge.outer_end), tubes, strict=True):
        name = f"{arm.name} hinge, {side} end"
        match end:
            case ThroughSleeve() if end.weld is not None:
                parts = hinge_end_limits.sleeve_parts(end, hinge, tube, job.policy)
                crossed, beside = _PIN_WALLS[tube.deep]
                note = f"round it at the {crossed}, the length that counts"
                lines.append(_of_weld(f"{name}: sleeve", 2, parts.cope.arc_m, end.weld, note))
                beside_m = parts.cope.length_m / 2.0 - parts.cope.arc_m
                if beside_m > 0.0:
                    lines.append(_of_weld(f"{name}: sleeve", 2, beside_m, end.weld, f"along the {beside}"))
            case EndPlate() if end.weld_tube is not None:
                lever_m = plate_lever_m(hinge, tubes)
                carries = lugs_on_arm(hinge) == (side == "outer")
                plate = hinge_end_limits.plate_parts(end, hinge, tube, lever_m, carries_lugs=carries, policy=job.policy)
                note = _counted_faces(plate.lines, tube)
                lines.append(_of_weld(f"{name}: end plate", 1, plate.lines.length_m, end.weld_tube, note))
            case FaceLugs() if end.weld is not None:
                on = "" if end.packing_m <= 0.0 else " on their packing"
                lines.append(_of_weld(f"{name}: lugs{on}", 4, end.on_face_m, end.weld, "along both sides of each"))
                if on:
                    packing = _of_weld(f"{name}: packing", 4, end.on_face_m, end.weld, "along both sides of each")
                    lines.append(_on_edge(packing, end.packing_m))
            case _:
                pass
    return lines


_PIN_WALLS = {
    True: ("top and bottom wall", "side walls"),
    False: ("side walls", "top and bottom wall"),
}
"""The walls that a standing pin (``TubeEnd.deep``) or a level one goes through, and the other two."""

_FACE_WORDS = {
    True: {"front": "top", "back": "bottom", "left": "one side", "right": "the other side"},
    False: {"front": "one side", "back": "the other side", "left": "top", "right": "bottom"},
}
"""Faces of a tube's end as the weld's lines name them, front and back along the pin; for a standing and a level pin."""


def _counted_faces(group: WeldGroup, tube: TubeEnd) -> str:
    """All round, or the faces that have room for a fillet."""
    if not group.left_out:
        return "all round"
    counted = dict.fromkeys(_FACE_WORDS[tube.deep][line.face] for line in group.lines)
    return f"counted at {', '.join(counted)}: no room for a fillet elsewhere" if counted else "no room for a fillet"
