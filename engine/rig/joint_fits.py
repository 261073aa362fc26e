"""Pieces of joints that cannot be where they are entered: pins in their holes, plates past their ends, points in steel.

Two solids cannot share a place, and a part cannot stand on nothing; either is refused, one sentence each.  Sizes that
are merely weak or ugly are for the strength checks and cautions.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.rig import free_turn, hinge_pieces, strap_pieces
from engine.rig.check import Problem
from engine.schema.connections import (
    BasePlate,
    EndPlate,
    FabricatedStrap,
    FaceLugs,
    HeelPin,
    Pin,
    StayLink,
    StayStop,
    StrapLapped,
    StrapOnTop,
    ThroughSleeve,
)
from engine.schema.model import Arm, Rig
from engine.schema.sections import outer_depth_m

TOLERANCE_M = 1e-6
"""Lengths within a micrometre of each other are equal."""

LOOSE_FIT_M = 0.0254 / 16.0
"""Hole over pin: up to 1/32 in a pin plate has its full tear-out strength, up to 1/16 in 0.95 of it, beyond none."""

EDGE_DIAMETERS = 1.5
"""From a hole's middle to the edge of the plate, over its diameter (workshop rule)."""


def problems(rig: Rig) -> Iterator[Problem]:
    """Everything of the joints that cannot be."""
    yield from _boom_pin(rig)
    yield from _heel_pin(rig)
    yield from _base_plate(rig)
    yield from _lapped_legs(rig)
    yield from _inside_fillets(rig)
    for index, arm in enumerate(rig.arms):
        yield from _hinge(rig, index, arm)
        yield from _jammed(rig, index, arm)
        yield from _stay(rig, index, arm)


def _impossible(where: str, words: str, **numbers: float | str) -> Problem:
    return Problem(kind="impossible", where=where, words=words, numbers=numbers)


def loose(pin: Pin, where: str, name: str) -> Iterator[Problem]:
    """A pin much smaller than its hole."""
    play = pin.hole_m - pin.diameter_m
    if play > LOOSE_FIT_M + TOLERANCE_M:
        words = (
            "The {name} is {play:length} smaller than its hole; more than {most:length} is no fit for a pin that "
            "carries the load."
        )
        yield _impossible(f"{where}.hole_m", words, name=name, play=play, most=LOOSE_FIT_M)


def _boom_pin(rig: Rig) -> Iterator[Problem]:
    """The boom's pin in the boom and in the strap's legs."""
    pin, saddles = rig.boom.pin, rig.saddles
    yield from loose(pin, "rig.boom.pin", "boom pin")
    hole = saddles.pin_hole_m
    if hole is None:
        return
    where = "rig.saddles.pin_hole_m"
    if hole < pin.diameter_m - TOLERANCE_M:
        words = "The boom pin is {pin:part} and does not go into the straps' hole of {hole:part}."
        yield _impossible(where, words, pin=pin.diameter_m, hole=hole)
    least = 2.0 * EDGE_DIAMETERS * hole
    if saddles.strap_length_m < least - TOLERANCE_M:
        words = (
            "A pin hole of {hole:part} in a strap {strap:length} long leaves too little beside it; it wants "
            "{least:length} (1.5 diameters to each edge)."
        )
        yield _impossible(where, words, hole=hole, strap=saddles.strap_length_m, least=least)


def _heel_pin(rig: Rig) -> Iterator[Problem]:
    hold, section = rig.sleeves.heel_hold, rig.sleeves.section
    if not isinstance(hold, HeelPin):
        return
    yield from loose(hold.pin, "rig.sleeves.heel_hold.pin", "heel pin")
    inside = section.depth_m - 2.0 * section.wall_m
    if hold.below_m is not None and hold.below_m + hold.pin.diameter_m > inside + TOLERANCE_M:
        words = (
            "A heel pin of {pin:part} that stands {below:length} under the fork is not inside a sleeve with "
            "{inside:length} from wall to wall."
        )
        where = "rig.sleeves.heel_hold.below_m"
        yield _impossible(where, words, pin=hold.pin.diameter_m, below=hold.below_m, inside=inside)


def _base_plate(rig: Rig) -> Iterator[Problem]:
    """A plate no larger than the mast that stands on it."""
    base, mast = rig.jib_mast.base, rig.jib_mast.section
    if isinstance(base, BasePlate) and base.length_m < outer_depth_m(mast) - TOLERANCE_M:
        words = "The base plate is {plate:length} along the truck and the jib mast on it {mast:length}."
        yield _impossible("rig.jib_mast.base.length_m", words, plate=base.length_m, mast=outer_depth_m(mast))


def _lapped_legs(rig: Rig) -> Iterator[Problem]:
    """Legs lapped further down than the bed is deep: below it there is nothing, or the cap."""
    foot, stand = rig.saddles.strap_foot, strap_pieces.stand_of(rig.saddles)
    if isinstance(foot, StrapLapped) and stand is not None and foot.lap_m > stand.depth_m + TOLERANCE_M:
        words = "The straps' legs lap {lap:length} down the side of a bed {bed:length} deep."
        yield _impossible("rig.saddles.strap_foot.lap_m", words, lap=foot.lap_m, bed=stand.depth_m)


def _inside_fillets(rig: Rig) -> Iterator[Problem]:
    """Welds inside the straps, at their corners and feet, that stand in the boom."""
    saddles, make = rig.saddles, rig.saddles.strap_make
    beside, over = saddles.side_gap_m, saddles.top_gap_m
    if beside is None or over is None:
        return
    inside = []
    if isinstance(make, FabricatedStrap) and make.corner_faces == "both":
        inside.append(("rig.saddles.strap_make.corner_weld.leg_m", "corners", make.corner_weld, over))
    if isinstance(saddles.strap_foot, StrapOnTop) and saddles.foot_faces == "both":
        inside.append(("rig.saddles.strap_weld.leg_m", "feet", saddles.strap_weld, 0.0))
    for where, place, weld, above_m in inside:
        room = strap_pieces.room_for_a_fillet_m(saddles, rig.boom, above_m, beside)
        if weld is not None and weld.kind == "fillet" and weld.leg_m > room + TOLERANCE_M:
            words = (
                "A weld of {leg:weld} inside the straps' {place} stands in the boom's corner, which leaves "
                "{room:length}: weld the outside alone, or leave more room beside the boom."
            )
            yield _impossible(where, words, leg=weld.leg_m, place=place, room=room)


def _hinge(rig: Rig, index: int, arm: Arm) -> Iterator[Problem]:
    """Sleeves shorter than their tube, lugs welded past the tube or the plate they stand on."""
    hinge, where = arm.hinge, f"rig.arms[{index}].hinge"
    inner = rig.boom if index == 0 else rig.arms[index - 1]
    tubes = hinge_pieces.link_ends(rig, index, None if index == 0 else index - 1)
    ends = (("inner_end", hinge.inner_end, inner.length_m), ("outer_end", hinge.outer_end, arm.length_m))
    for tube, (side, end, length_m) in zip(tubes, ends, strict=True):
        match end:
            case ThroughSleeve() if end.length_m < tube.along_pin_m - TOLERANCE_M:
                words = (
                    "The sleeve of {arm} is {sleeve:length} long and the tube it goes through {tube:length}: the lugs "
                    "would stand in the tube."
                )
                numbers = {"sleeve": end.length_m, "tube": tube.along_pin_m}
                yield _impossible(f"{where}.{side}.length_m", words, arm=arm.name, **numbers)
            case FaceLugs() if end.on_face_m > length_m + TOLERANCE_M:
                words = "The lugs of {arm} are welded along {lug:length} of a tube {tube:length} long."
                yield _impossible(f"{where}.{side}.on_face_m", words, arm=arm.name, lug=end.on_face_m, tube=length_m)
            case EndPlate() if hinge_pieces.lugs_on_arm(hinge) == (side == "outer_end"):
                yield from _lugs_on_plate(arm, end, where)


def _jammed(rig: Rig, index: int, arm: Arm) -> Iterator[Problem]:
    """What is round about the pin and stands in the other link at every turn."""
    found = free_turn.jam(rig, index)
    if found is None:
        return
    before = "the boom" if index == 0 else rig.arms[index - 1].name
    its, other = (arm.name, before) if found.on_arm else (before, arm.name)
    side = "inner_end" if found.on_arm else "outer_end"
    match getattr(arm.hinge, side):
        case FaceLugs():
            entry = f"{side}.reach_m"
        case EndPlate() if hinge_pieces.lugs_on_arm(arm.hinge) != found.on_arm:
            entry = "lug_edge_m"
        case _:
            entry = side
    words = (
        "At the hinge of {arm}, the piece of {its} that is round about the pin reaches {round:length} from the "
        "pin's middle, and the steel of {other} begins at {box:length}: they would stand in each other. Set the "
        "pin further from that steel."
    )
    numbers = {"round": found.radius_m, "box": found.box_m}
    yield _impossible(f"rig.arms[{index}].hinge.{entry}", words, arm=arm.name, its=its, other=other, **numbers)


def _lugs_on_plate(arm: Arm, plate: EndPlate, where: str) -> Iterator[Problem]:
    hinge = arm.hinge
    wide, entry = hinge.lug_weld_length_m, "lug_weld_length_m"
    if wide is None:
        wide, entry = 2.0 * hinge.lug_edge_m, "lug_edge_m"
    if wide > plate.width_m + TOLERANCE_M:
        words = "The lugs of {arm} are welded along {lug:length} of an end plate {plate:length} wide."
        yield _impossible(f"{where}.{entry}", words, arm=arm.name, lug=wide, plate=plate.width_m)


def _stay(rig: Rig, index: int, arm: Arm) -> Iterator[Problem]:
    """Ends of a stay inside a tube, a stop where the arm is not, a loose pin."""
    stay, where = arm.stay, f"rig.arms[{index}].stay"
    if isinstance(stay, StayStop) and stay.at.x_m < 0.0:
        words = "{arm} has no steel {back:length} behind its hinge to bear on a stop."
        yield _impossible(f"{where}.at.x_m", words, arm=arm.name, back=-stay.at.x_m)
    if not isinstance(stay, StayLink):
        return
    inner = rig.boom if index == 0 else rig.arms[index - 1]
    for entry, point, link, off_m in (
        ("at_inner", stay.at_inner, inner, stay.at_inner.z_m + arm.stack_m),
        ("at_arm", stay.at_arm, arm, stay.at_arm.z_m),
    ):
        half_m = outer_depth_m(link.section) / 2.0
        if stay.end_lug is not None and abs(off_m) < half_m - TOLERANCE_M:
            words = (
                "The stay of {arm} is fixed {off:length} from the middle of a tube {deep:length} deep: its pin would "
                "stand in the tube."
            )
            deep = outer_depth_m(link.section)
            yield _impossible(f"{where}.{entry}.z_m", words, arm=arm.name, off=abs(off_m), deep=deep)
        if abs(point.x_m) > link.length_m + TOLERANCE_M:
            words = "The stay of {arm} is fixed {at:length} along a link {link:length} long."
            numbers = {"at": abs(point.x_m), "link": link.length_m}
            yield _impossible(f"{where}.{entry}.x_m", words, arm=arm.name, **numbers)
    if stay.end_lug is not None:
        yield from loose(stay.end_lug.pin, f"{where}.end_lug.pin", f"pin of {arm.name}'s stay")
