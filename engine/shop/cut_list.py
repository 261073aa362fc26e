"""The cut list: every piece to saw for the rig, with its section, cut length, mass and steel.

Lengths follow from the sketch: a tube about a sleeve runs past the pin by half its width and is rounded there, or is
cut at the pin and coped half round; else it ends at the end plate's face, or as far short of the pin as its lugs reach.
Where a hinge's end is not entered, an arm's tube starts at the barrel's skin and the tube before it ends at the hinge's
axis.  The last tube ends one edge distance past the hook pin.  A mitred piece is given at its long
point.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from engine.rig import hook_place, strap_pieces
from engine.rig.boom_stops import STOP_M, hinge_stops, made_stops, stop_size_m
from engine.rig.hinge_pieces import (
    TubeEnd,
    ends_short_m,
    link_ends,
)
from engine.rig.pieces import BED_END_M
from engine.rig.strap_pieces import bed_ends_m
from engine.schema.connections import (
    BasePlate,
    BentStrap,
    DropInPin,
    EndPlate,
    FabricatedStrap,
    FaceLugs,
    HingeEnd,
    ThroughSleeve,
    TubeBed,
)
from engine.schema.model import Arm, Boom, JibMast, Job, Rig
from engine.schema.sections import (
    FlatBar,
    RectTube,
    RoundTube,
    SolidRound,
    outer_depth_m,
)
from engine.shop.cut_pieces import Piece
from engine.shop.joint_pieces import hinge_pieces, stay_pieces
from engine.shop.pin_list import HEAD_DIAMETERS, pin_list


def pieces(job: Job) -> tuple[Piece, ...]:
    """Every piece of the rig, from the sleeves outwards."""
    rig = job.rig
    return (*_base_pieces(job), *_saddle_pieces(rig), *_boom_and_arms(rig), *_pin_pieces(rig), *_hook_end_pieces(job))


def numbered_pieces(job: Job) -> tuple[tuple[str, Piece], ...]:
    """Every piece with its part number, the same on every sheet and in every file."""
    return tuple((f"P-{number:02d}", piece) for number, piece in enumerate(pieces(job), start=1))


def _base_pieces(job: Job) -> Iterator[Piece]:
    rig = job.rig
    sleeves, mast = rig.sleeves, rig.jib_mast
    yield Piece(part="sleeve", section=sleeves.section, length_m=sleeves.length_m, count=2, steel=sleeves.steel)
    between_m = sleeves.spread_on(job.truck.forks) - sleeves.section.width_m
    note = "between the sleeves, for this fork spread"
    yield Piece(part="cross-member", section=sleeves.cross_section, length_m=between_m, steel=sleeves.steel, note=note)
    base = mast.base
    if isinstance(base, BasePlate):
        flat = FlatBar(width_m=base.width_m, depth_m=base.thickness_m)
        note = "between cross-member and jib mast; length along the truck"
        yield Piece(part="base plate", section=flat, length_m=base.length_m, steel=base.steel, note=note)
    notes = ["foot mitred for the lean, long point given"] if mast.lean_rad else []
    notes += _way_up(mast.section, "its deeper side along the truck", "its deeper side across the truck")
    yield Piece(
        part="jib mast",
        section=mast.section,
        length_m=mast_tube_m(mast),
        mitre_rad=mast.lean_rad,
        steel=mast.steel,
        note="; ".join(notes),
    )
    yield from _gussets(mast)


def mast_tube_m(mast: JibMast) -> float:
    """Length of the jib mast's tube, to the long point of its mitre."""
    return mast.length_m + outer_depth_m(mast.section) / 2.0 * math.tan(abs(mast.lean_rad))


def _way_up(section: RectTube | RoundTube, on_edge: str, flat: str) -> list[str]:
    """Which way a tube that is deeper than wide, or wider than deep, stands."""
    if isinstance(section, RoundTube) or section.depth_m == section.width_m:
        return []
    return [on_edge if section.depth_m > section.width_m else flat]


ON_EDGE, LYING_FLAT = "on edge, its deeper side upright", "lying flat, its deeper side across"


def _gussets(mast: JibMast) -> Iterator[Piece]:
    """Rectangles that give two gussets each; an odd one leaves half of one over."""
    sizes: dict[tuple[float, float, float, str], int] = {}
    for gusset in mast.gussets:
        size = gusset.out_m, gusset.up_m, gusset.thickness_m, gusset.steel
        sizes[size] = sizes.get(size, 0) + gusset.count
    for (out_m, up_m, thick_m, steel), count in sizes.items():
        flat, note = FlatBar(width_m=out_m, depth_m=thick_m), f"cut corner to corner: makes {count} in all, two of each"
        yield Piece(
            part="jib mast's gussets",
            section=flat,
            length_m=up_m,
            count=math.ceil(count / 2),
            steel=steel,
            note=note,
            triangles=count,
        )


def _saddle_pieces(rig: Rig) -> Iterator[Piece]:
    saddles, boom = rig.saddles, rig.boom
    bed, cap = saddles.bed_section, saddles.cap
    if bed is not None:
        rear_m, front_m = bed_ends_m(rig)
        yield Piece(part="saddle bed", section=bed, length_m=front_m - rear_m, steel=saddles.steel)
    if isinstance(saddles.bed, TubeBed) and saddles.bed.ends_closed:
        section = saddles.bed.section
        flat, note = (
            FlatBar(width_m=section.width_m, depth_m=BED_END_M),
            "closes the bed; thickness: common practice, no source",
        )
        yield Piece(
            part="saddle bed end", section=flat, length_m=section.depth_m, count=2, steel=saddles.steel, note=note
        )
    if cap is not None:
        plate = FlatBar(width_m=cap.width_m, depth_m=cap.thickness_m)
        note = "on the jib mast's top; length along the boom"
        yield Piece(part="jib mast's cap", section=plate, length_m=cap.length_m, steel=cap.steel, note=note)
    flat = FlatBar(width_m=saddles.strap_length_m, depth_m=saddles.strap_thickness_m)
    leg_m = strap_pieces.leg_m(saddles, boom)
    match saddles.strap_make:
        case FabricatedStrap():
            top_m, note = strap_pieces.top_m(saddles, boom), "over the ends of its legs"
            yield Piece(part="saddle strap top", section=flat, length_m=top_m, count=2, steel=saddles.steel, note=note)
            for saddle in SADDLES:
                part = f"saddle strap leg, {saddle} saddle"
                yield Piece(part=part, section=flat, length_m=leg_m, count=2, steel=saddles.steel)
        case BentStrap() | None as make:
            note, numbers = "bent to a U over the boom; legs trimmed to fit", {}
            if make is not None:
                note = "bent to a U, {inside:length} radius inside; length along the bends"
                numbers = {"inside": make.inside_radius_m}
            long_m = strap_pieces.flat_bar_m(saddles, boom)
            for saddle in SADDLES:
                part = f"saddle strap, {saddle}"
                yield Piece(part=part, section=flat, length_m=long_m, steel=saddles.steel, note=note, numbers=numbers)
    yield from _shims(rig)


SADDLES = "front", "rear"
"""Their pieces are listed apart: the boom pin goes through one saddle alone."""


def _shims(rig: Rig) -> Iterator[Piece]:
    """What stands between boom and straps; only steel is cut from the rack."""
    saddles, section = rig.saddles, rig.boom.section
    if saddles.shims != "steel":
        return
    side_m, top_m = strap_pieces.shim_m(saddles)
    long_m = saddles.strap_length_m
    if side_m > 0.0:
        flat, note = FlatBar(width_m=section.depth_m, depth_m=side_m), "beside the boom, fixed in the strap"
        if strap_pieces.inside_welds(saddles):
            note += "; chamfer the inside edges clear of the welds"
        for saddle in SADDLES:
            part = f"saddle side shim, {saddle} saddle"
            yield Piece(part=part, section=flat, length_m=long_m, count=2, steel=saddles.steel, note=note)
    if top_m > 0.0:
        flat, note = FlatBar(width_m=section.width_m, depth_m=top_m), "over and under the boom, fixed in strap and bed"
        yield Piece(part="saddle shim", section=flat, length_m=long_m, count=4, steel=saddles.steel, note=note)


def _boom_and_arms(rig: Rig) -> Iterator[Piece]:
    yield Piece(
        part="boom",
        section=rig.boom.section,
        length_m=boom_tube_m(rig),
        steel=rig.boom.steel,
        note=_boom_note(rig),
    )
    yield from _boom_stops(rig)
    for index, arm in enumerate(rig.arms):
        yield Piece(
            part=f"{arm.name} tube",
            section=arm.section,
            length_m=arm_tube_m(rig, index),
            steel=arm.steel,
            note=_arm_tube_note(rig, index),
        )
        yield from hinge_pieces(rig, index)
        yield from stay_pieces(rig, index)


def _boom_stops(rig: Rig) -> Iterator[Piece]:
    ends, (width_m, height_m) = made_stops(rig), stop_size_m(rig)
    notes = {
        "rear": "too large for the saddles, thickness: common practice; the last piece to go on",
        "front": "too large for the saddles, thickness: common practice; cut out where the hook needs the end",
    }
    for end in ends:
        flat = FlatBar(width_m=width_m, depth_m=STOP_M)
        part = f"boom stop, {end}"
        yield Piece(part=part, section=flat, length_m=height_m, steel=rig.boom.steel, note=notes[end])


def boom_tube_m(rig: Rig) -> float:
    """Length of the boom's tube: to its piece of the first hinge, or whole without arms."""
    return rig.boom.length_m - (ends_short_m(rig, 0)[0] if rig.arms else 0.0)


def arm_tube_m(rig: Rig, index: int) -> float:
    """Length of an arm's tube: from its piece of the hinge to that of the next one, or past the hook pin."""
    arm = rig.arms[index]
    outermost = index == len(rig.arms) - 1
    beyond_m = rig.hook.edge_m if outermost else -ends_short_m(rig, index + 1)[0]
    return arm.length_m - ends_short_m(rig, index)[1] + beyond_m


def _arm_tube_note(rig: Rig, index: int) -> str:
    own = link_ends(rig, index, index - 1 if index else None)[1]
    notes = _way_up(rig.arms[index].section, ON_EDGE, LYING_FLAT)
    notes.append(f"inner end {_end_note(rig.arms[index].hinge.outer_end, own)}")
    if index + 1 < len(rig.arms) and isinstance(rig.arms[index + 1].hinge.inner_end, ThroughSleeve):
        tube, _ = link_ends(rig, index + 1, index)
        notes.append(f"outer end {_end_note(rig.arms[index + 1].hinge.inner_end, tube)}")
    return "; ".join(notes)


def _boom_note(rig: Rig) -> str:
    notes = _way_up(rig.boom.section, ON_EDGE, LYING_FLAT)
    if rig.arms and isinstance(rig.arms[0].hinge.inner_end, ThroughSleeve):
        tube, _ = link_ends(rig, 0, None)
        notes.append(f"front end {_end_note(rig.arms[0].hinge.inner_end, tube)}")
    if rig.boom.stops in ("both", "front") and hinge_stops(rig):
        notes.append("the hinge's piece at its front end, too large for the saddles, is the stop there")
    return "; ".join(notes)


def _end_note(end: HingeEnd | None, tube: TubeEnd) -> str:
    """How a tube's end is made for what stands on it at a hinge."""
    match end:
        case ThroughSleeve(coped="half"):
            return "cut half round to the sleeve"
        case ThroughSleeve():
            walls = "top and bottom wall" if tube.deep else "both side walls"
            return f"drilled at the pin for the sleeve, {walls} rounded about it"
        case EndPlate() | FaceLugs():
            return "square"
        case None:
            return "coped to the barrels"


def _pin_pieces(rig: Rig) -> Iterator[Piece]:
    for row in pin_list(rig):
        bar = SolidRound(diameter_m=row.diameter_m)
        yield Piece(part=row.name, section=bar, length_m=row.length_m, count=row.count, steel=row.steel)


def hook_links(rig: Rig) -> tuple[Boom | Arm, ...]:
    """The links with a place for the hook: each needs a hook end of its own, boom first."""
    return tuple(hook_place.link_of(rig, link) for link in hook_place.places(rig))


def _hook_end_pieces(job: Job) -> Iterator[Piece]:
    hook, links = job.rig.hook, hook_links(job.rig)
    if hook.hoop is not None:
        names = " and ".join("boom" if isinstance(link, Boom) else link.name for link in links)
        on = f"; one each on {names}" if len(links) > 1 else ""
        yield Piece(
            part="hook hoop",
            section=SolidRound(diameter_m=hook.hoop.bar_m),
            length_m=2.0 * hook.hoop.leg_m + math.pi * hook.hoop.bend_radius_m,
            count=len(links),
            steel=hook.hoop.steel,
            note=f"bent to a U, length on the centreline{on}",
        )
    if isinstance(hook.end, DropInPin):
        yield Piece(
            part="head of the hook's standing pin",
            section=SolidRound(diameter_m=hook.end.head_m),
            length_m=HEAD_DIAMETERS * hook.end.diameter_m,
            steel=hook.end.steel,
            note="bored for the pin, welded all round on both sides",
        )
