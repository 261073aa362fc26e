"""Which entry of a job a limit rests on first: where a person goes to change it."""

from __future__ import annotations

from collections.abc import Sequence

from engine.rig.check import Check
from engine.schema.model import Job, Pose
from engine.shop.edits import is_under

_OF_PARTS = {
    "approval": "approval",
    "base plate": "rig.jib_mast.base",
    "boom": "rig.boom.section",
    "boom pin": "rig.boom.pin.diameter_m",
    "cross-member": "rig.sleeves.cross_section",
    "forks": "truck.forks",
    "front strap": "rig.saddles.strap_thickness_m",
    "hook hoop": "rig.hook.end",
    "hook pin": "rig.hook.end",
    "hook's standing pin": "rig.hook.end",
    "jib mast": "rig.jib_mast.section",
    "jib mast's cap": "rig.saddles.bed",
    "plate": "truck.plate",
    "rear strap": "rig.saddles.strap_thickness_m",
    "saddle bed": "rig.saddles.bed",
    "sleeves": "rig.sleeves.section",
    "truck balance": "load.mass_kg",
}
"""By the part that a limit names."""

_OF_LIMITS = {
    ("jib mast", "foot weld"): "rig.jib_mast.foot_weld.leg_m",
    ("jib mast", "wall beside the foot weld"): "rig.jib_mast.foot_weld.leg_m",
    ("sleeves", "heel uplift"): "rig.sleeves.heel_hold",
    ("cross-member", "weld to the sleeves"): "rig.sleeves.cross_weld",
    ("rear strap", "foot weld"): "rig.saddles.strap_weld.leg_m",
    ("front strap", "foot weld"): "rig.saddles.strap_weld.leg_m",
}
"""Limits that rest on another entry of their part."""


def entry_of(job: Job, pose: Pose, check: Check) -> str:
    """Path of the entry that a limit or a gap rests on first.

    What hangs at the hook, and a gap, rest on the load and on how high the forks are.
    """
    at = (check.part, check.kind)
    if at in _OF_LIMITS:
        return _OF_LIMITS[at]
    if check.of == "room":
        return _lift_of(job, pose)
    if check.part in ("floor", "truck"):
        floor = next((index for index, floor in enumerate(job.floors) if floor.name == pose.floor), 0)
        return f"floors[{floor}].{'fall_across' if 'across' in check.kind else 'fall_along'}"
    for index, arm in enumerate(job.rig.arms):
        if check.part == arm.name:
            return f"rig.arms[{index}].section"
        if check.part.startswith(f"{arm.name} "):
            pin = "pin" in check.kind and "weld" not in check.kind
            return f"rig.arms[{index}].hinge{'.pin.diameter_m' if pin else ''}"
    return _OF_PARTS.get(check.part, "load.rigging" if check.part.startswith("sling") else "rig.hook.gear")


def rests_on(job: Job, pose: Pose, check: Check, roots: Sequence[str]) -> bool:
    """Whether a limit rests first on an entry under one of some paths."""
    return is_under(entry_of(job, pose, check), roots)


def _lift_of(job: Job, pose: Pose) -> str:
    """Fork height of a pose."""
    index = next((index for index, each in enumerate(job.poses) if each.name == pose.name), 0)
    return f"poses[{index}].lift_m"
