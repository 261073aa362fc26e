"""Every pin of a rig: where it goes, which way it stands, and what keeps it in its hole.

A pin that stands can drop out or be lifted out by its own weight and a knock; one that lies works sideways.  Either way
something has to keep it: what it is stands with the pin, and nothing entered counts as nothing there.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple, assert_never

from engine.schema.connections import DropInPin, Pin, Retention, StayLink
from engine.schema.joints import LevelJoint, StandingJoint
from engine.schema.model import Arm, Pose, Rig, hinge_of

RETENTION_WORDS: dict[Retention | None, str] = {
    "collar_bolt": "collar and bolt",
    "nut_split": "nut and split pin",
    "split_pin": "split pin",
    "lynch": "lynch pin",
    "r_clip": "R-clip",
    "head_only": "its head alone",
    "none": "NOTHING",
    None: "NOT ENTERED",
}
"""What keeps a pin in its hole, as papers print it."""


class PinPlace(NamedTuple):
    """One pin, or ``count`` alike; ``arm`` is the arm it belongs to, by its place in the list."""

    name: str
    path: str
    pin: Pin | DropInPin
    stands: bool = False
    arm: int | None = None
    count: int = 1


def pin_places(rig: Rig) -> Iterator[PinPlace]:
    """Every pin of a rig, from the boom outwards, then down to the heels."""
    yield PinPlace("boom pin", "rig.boom.pin", rig.boom.pin)
    for index, arm in enumerate(rig.arms):
        where = f"rig.arms[{index}]"
        yield PinPlace(f"hinge pin of {arm.name}", f"{where}.hinge.pin", hinge_of(arm).pin, _stands(arm), index)
        if isinstance(arm.stay, StayLink) and arm.stay.end_lug is not None:
            yield PinPlace(
                f"stay pins of {arm.name}", f"{where}.stay.end_lug.pin", arm.stay.end_lug.pin, arm=index, count=2
            )
    if rig.hook.cross_pin is not None:
        yield PinPlace("hook pin", f"{rig.hook.holder_path}.pin", rig.hook.cross_pin.pin)
    if isinstance(rig.hook.end, DropInPin):
        yield PinPlace("hook's standing pin", "rig.hook.end", rig.hook.end, stands=True)
    if rig.sleeves.heel_pin is not None:
        yield PinPlace("heel pins", "rig.sleeves.heel_hold.pin", rig.sleeves.heel_pin, count=2)


def pins_in_use(rig: Rig, pose: Pose) -> tuple[PinPlace, ...]:
    """The pins that a pose relies on: not the boom's while it is out, nor those of arms left off."""
    return tuple(
        place
        for place in pin_places(rig)
        if (place.arm is None or pose.arms[place.arm].fitted)
        and (pose.hole is not None or place.path != "rig.boom.pin")
    )


def _stands(arm: Arm) -> bool:
    """Whether an arm's hinge pin stands."""
    match arm.joint:
        case StandingJoint():
            return True
        case LevelJoint():
            return False
        case _ as joint:
            assert_never(joint)
