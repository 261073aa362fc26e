"""Handles of the sizes that can be pulled on the side view: where each stands, which way it goes, what it says."""

from __future__ import annotations

from typing import NamedTuple

from app.canvas.handles import HandleKind
from engine.base.geometry import Axes, Vec
from engine.rig.hinge_pieces import lugs_on_arm, off_plate_m
from engine.rig.kinematics import Placed, arm_link, fitted_arms
from engine.rig.stay_places import stay_ends
from engine.schema.connections import EndPlate, StayStop
from engine.schema.joints import StandingJoint
from engine.schema.model import Arm, Job, Rig
from engine.schema.sections import outer_depth_m
from engine.shop.pulled_sizes import sizes_of

PREFIX = "size "
"""Handles that change a size instead of the pose have names that start so."""

END_ON = 0.05
"""A direction with less of its square than this in the side view is seen end-on: the hand moves forward for it."""


class SizeHandle(NamedTuple):
    """What a handle of a size says, and how it is pulled."""

    name: str
    kind: HandleKind
    hint: str


class Spot(NamedTuple):
    """Where a handle stands and which way its size grows; ``up`` where the hand may pull it square to that too."""

    at_m: Vec
    along: Vec
    up: Vec | None = None


def handles(rig: Rig) -> list[SizeHandle]:
    """A handle for every size of the rig."""
    return [SizeHandle(PREFIX + size, *_words(rig, size)) for size in sizes_of(rig)]


PLACES_AND_LENGTHS = {
    "sleeves length": "the length of the sleeves",
    "mast place": "the place of the jib mast",
    "mast length": "the length of the jib mast",
    "front saddle": "the place of the front saddle",
    "rear saddle": "the place of the rear saddle",
    "boom length": "the length of the boom",
}


def what(rig: Rig, size: str) -> str:
    """What is pulled, as the undo menu calls it."""
    if size in PLACES_AND_LENGTHS:
        return PLACES_AND_LENGTHS[size]
    kind, number, part = size.split(" ")
    if kind == "gusset":
        return f"the size of the {rig.jib_mast.gussets[int(number)].face} gusset"
    name = rig.arms[int(number)].name
    match kind:
        case "plate":
            return f"the height of {name}'s end plate"
        case "stay":
            return f"the place of {name}'s {'stop' if part == 'stop' else 'stay'}"
        case _:
            return f"the length of {name}"


def _words(rig: Rig, size: str) -> tuple[HandleKind, str]:
    """How a size is pulled, and what its handle says."""
    said = what(rig, size)
    said = f"{said[:1].upper()}{said[1:]}"
    kind, _, which = size.partition(" ")
    if kind == "boom":
        return "slide", f"{said}, at its tail"
    if kind == "stay":
        return "free", said
    return ("raise" if size == "mast length" or kind == "plate" or which.endswith("up") else "slide"), said


def spots(job: Job, placed: Placed) -> dict[str, Spot]:
    """Where the handle of each size stands; none for an arm that is not fitted, nor for what is seen end-on."""
    rig, frames = job.rig, placed.frames
    forks, mast, boom = frames["forks"], frames["jib mast"], frames["boom"]
    out_m, saddles = placed.figures.boom_out_m, rig.saddles
    end_m = rig.sleeves.heel_gap_m + rig.sleeves.length_m
    high_m = outer_depth_m(rig.boom.section) / 2.0
    found = {
        "sleeves length": Spot(forks.at(end_m), forks.axes.x),
        "mast place": Spot(mast.origin, forks.axes.x),
        "mast length": Spot(mast.at(z_m=rig.jib_mast.length_m), mast.axes.z),
        "front saddle": Spot(boom.at(saddles.front_x_m, 0.0, high_m), boom.axes.x),
        "rear saddle": Spot(boom.at(saddles.rear_x_m, 0.0, high_m), boom.axes.x),
        "boom length": Spot(boom.at(out_m - rig.boom.length_m), -boom.axes.x),
    }
    half_m = outer_depth_m(rig.jib_mast.section) / 2.0
    for index, gusset in enumerate(rig.jib_mast.gussets):
        if gusset.face in ("front", "back"):
            ahead = 1.0 if gusset.face == "front" else -1.0
            found[f"gusset {index} out"] = Spot(mast.at(ahead * (half_m + gusset.out_m)), mast.axes.x.times(ahead))
            found[f"gusset {index} up"] = Spot(mast.at(ahead * half_m, 0.0, gusset.up_m), mast.axes.z)
    before = boom.axes
    for index in fitted_arms(placed.figures):
        found |= _of_arm(rig, placed, index, before)
        before = frames[arm_link(index)].axes
    return {PREFIX + size: spot for size, spot in found.items()}


def _of_arm(rig: Rig, placed: Placed, index: int, before: Axes) -> dict[str, Spot]:
    arm, frame = rig.arms[index], placed.frames[arm_link(index)]
    found = {f"arm {index} length": Spot(frame.at(arm.length_m * 0.97), frame.axes.x)}
    if isinstance(arm.joint, StandingJoint):  # a level arm's plates are seen end-on
        found |= _plates(arm, index, frame.origin, before, frame.axes)
    ends = stay_ends(rig, placed, index)
    if ends is not None:
        if isinstance(arm.stay, StayStop):
            found[f"stay {index} stop"] = Spot(ends.arm_m, frame.axes.x, frame.axes.z)
        else:
            found[f"stay {index} inner"] = Spot(ends.inner_m, before.x, before.z)
            found[f"stay {index} arm"] = Spot(ends.arm_m, frame.axes.x, frame.axes.z)
    return found


def _plates(arm: Arm, index: int, pin_m: Vec, before: Axes, own: Axes) -> dict[str, Spot]:
    """The upper edge of each end plate of a standing hinge."""
    found = {}
    for side, axes, sign, outer in (("inner", before, -1.0, False), ("outer", own, 1.0, True)):
        plate = arm.hinge.outer_end if outer else arm.hinge.inner_end
        if isinstance(plate, EndPlate):
            off_m = off_plate_m(arm.hinge, carries_lugs=lugs_on_arm(arm.hinge) == outer) + plate.thickness_m / 2.0
            at_m = pin_m + axes.x.times(sign * off_m) + axes.z.times(plate.height_m / 2.0 - arm.stack_m * (not outer))
            found[f"plate {index} {side}"] = Spot(at_m, axes.z)
    return found


def pulled_by(spot: Spot, ahead_m: float, up_m: float) -> tuple[float, float]:
    """How far a hand that moved so far forward and up pulls a size along its way, and square to it."""
    return _along(spot.along, ahead_m, up_m), 0.0 if spot.up is None else _along(spot.up, ahead_m, up_m)


def _along(way: Vec, ahead_m: float, up_m: float) -> float:
    ahead, up = float(way.x), float(way.z)
    if ahead * ahead + up * up <= END_ON:
        ahead, up = 1.0, 0.0
    return ahead_m * ahead + up_m * up
