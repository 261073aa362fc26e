"""The cut list's pieces at the joints of the arms: what stands at a hinge, and a stay with its lugs."""

from __future__ import annotations

from collections.abc import Iterator

from engine.rig.hinge_pieces import (
    TubeEnd,
    as_built,
    link_ends,
    lug_length_m,
    lugs_on_arm,
    off_plate_m,
    packing_width_m,
)
from engine.rig.pieces import stay_lug_m
from engine.schema.connections import EndPlate, FaceLugs, HingeEnd, StayLink, ThroughSleeve
from engine.schema.model import Arm, Boom, Hinge, Rig, hinge_of
from engine.schema.sections import FlatBar, RectTube, RoundTube
from engine.shop.cut_pieces import Piece


def hinge_pieces(rig: Rig, index: int) -> Iterator[Piece]:
    """Barrels, lugs, sleeves and end plates of an arm's hinge."""
    arm = rig.arms[index]
    hinge, name = as_built(hinge_of(arm)), arm.name
    ends, tubes = (hinge.inner_end, hinge.outer_end), link_ends(rig, index, index - 1 if index else None)
    if not any(isinstance(end, ThroughSleeve) for end in ends):
        barrel = RoundTube(diameter_m=hinge.barrel_outer_m, wall_m=(hinge.barrel_outer_m - hinge.pin.hole_m) / 2.0)
        yield Piece(part=f"{name} barrel", section=barrel, length_m=hinge.barrel_length_m, count=2, steel=hinge.steel)
    if not any(isinstance(end, FaceLugs) for end in ends):
        lug = FlatBar(width_m=2.0 * hinge.lug_edge_m, depth_m=hinge.lug_thickness_m)
        length_m, note = plate_lug_m(hinge), "before shaping; round the end about the hole"
        count = lug_count(hinge)
        yield Piece(part=f"{name} lug", section=lug, length_m=length_m, count=count, steel=hinge.steel, note=note)
    for side, end, tube in zip(("inner", "outer"), ends, tubes, strict=True):
        yield from _end_pieces(f"{name} hinge, {side} end", end, hinge, tube)


def stay_pieces(rig: Rig, index: int) -> Iterator[Piece]:
    """A stay that is made, and the lugs at both its ends; a marked one is bought."""
    arm = rig.arms[index]
    stay = arm.stay
    if not isinstance(stay, StayLink):
        return
    if stay.section is not None:
        note = f"{stay.make}, from pin to pin at its longest"
        part, length_m = f"{arm.name} stay", stay.length_max_m
        yield Piece(part=part, section=stay.section, length_m=length_m, steel=stay.steel, note=note)
    lug = stay.end_lug
    if lug is not None:
        plate = FlatBar(width_m=lug.on_face_m, depth_m=lug.thickness_m)
        inner: Boom | Arm = rig.boom if index == 0 else rig.arms[index - 1]
        for name, link, pin_m in (
            ("inner", inner, stay.at_inner.z_m + arm.stack_m),
            ("outer", arm, stay.at_arm.z_m),
        ):
            part, length_m = f"{arm.name} stay, {name} lug", stay_lug_m(link.section, pin_m, lug)
            yield Piece(part=part, section=plate, length_m=length_m, steel=lug.steel, note=_lug_note(link.section))


def _lug_note(section: RectTube | RoundTube) -> str:
    start = "from the tube's face" if isinstance(section, RectTube) else "from the top of the round, cut to fit it"
    return f"{start}; round the end about the hole"


def _end_pieces(part: str, end: HingeEnd | None, hinge: Hinge, tube: TubeEnd) -> Iterator[Piece]:
    """What stands on one end of a hinge: sleeve, plate, or lugs and their packing."""
    match end:
        case ThroughSleeve():
            sleeve = RoundTube(diameter_m=end.outer_m, wall_m=(end.outer_m - end.bore_m) / 2.0)
            note = "one piece, bored for the pin"
            yield Piece(part=f"{part}: sleeve", section=sleeve, length_m=end.length_m, steel=hinge.steel, note=note)
        case EndPlate():
            plate = FlatBar(width_m=end.width_m, depth_m=end.thickness_m)
            note = f"length {'upright' if tube.deep else 'across the rig'}, along the hinge pin"
            yield Piece(part=f"{part}: end plate", section=plate, length_m=end.height_m, steel=hinge.steel, note=note)
        case FaceLugs():
            lug = FlatBar(width_m=end.width_m, depth_m=end.thickness_m)
            note = "before shaping; round the end about the hole"
            length_m = lug_length_m(hinge, end)
            yield Piece(part=f"{part}: lug", section=lug, length_m=length_m, count=2, steel=hinge.steel, note=note)
            if end.packing_m > 0.0:
                packing = FlatBar(width_m=packing_width_m(end), depth_m=end.packing_m)
                on_m = end.on_face_m
                yield Piece(part=f"{part}: packing", section=packing, length_m=on_m, count=2, steel=hinge.steel)
        case None:
            return


def plate_lug_m(hinge: Hinge) -> float:
    """Length of a lug that stands on an end plate, from the plate's face to its round end.

    Where what carries the lugs is not entered, a barrel's width stands for the distance from there to the pin.
    """
    carries = hinge.outer_end if lugs_on_arm(hinge) else hinge.inner_end
    to_pin_m = off_plate_m(hinge, carries_lugs=True) if isinstance(carries, EndPlate) else hinge.barrel_outer_m
    return to_pin_m + hinge.lug_edge_m


def lug_count(hinge: Hinge) -> int:
    """One lug to each barrel in single shear, two in double."""
    return 2 * hinge.shear_planes
