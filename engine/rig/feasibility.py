"""Rigs that do not fit together and poses outside their limits, each problem in one sentence."""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator
from typing import Any, assert_never

import msgspec

from engine.base.identity import IdentityKey
from engine.rig import boom_ends, sling_legs
from engine.rig.check import Problem
from engine.rig.fits import FIT_TOLERANCE_M, misfits
from engine.rig.free_turn import joint_as_free
from engine.rig.kinematics import boom_out_m, chassis_left, figures, hole_out_m
from engine.rig.sleeve_spread import does_not_go_in
from engine.rig.stay_places import stay_length_m
from engine.schema.connections import StayLink
from engine.schema.joints import STOP_TOLERANCE_RAD, LevelJoint, StandingJoint
from engine.schema.model import Arm, Forks, Job, Pose, Sleeves

_PACKED = msgspec.msgpack.Encoder(enc_hook=float)
_NOT_FINITE = (b"\xcb\x7f\xf8", b"\xcb\xff\xf8", b"\xcb\x7f\xf0\0", b"\xcb\xff\xf0\0")
"""How a packed double that is not a number, or infinite, begins (IEEE 754 exponent all ones)."""


def not_numbers(job: Job, pose: Pose) -> list[Problem]:
    """Every entry that is not a finite number.

    No file and no edit can hold one; if a fault in the program made one, most comparisons with it would pass silently.
    Everything is packed and searched for the marks of such a number; all but the poses only once while it stays the
    same.  A mark that occurs by chance inside a text only costs the slower, exact search.
    """
    rest = IdentityKey(*[getattr(job, name) for name in job.__struct_fields__ if name != "poses"])
    if _unmarked(rest) and _unmarked.__wrapped__(IdentityKey(job.poses, pose)):
        return []
    places = [*_not_finite(job, ""), *_not_finite(pose, "pose")]
    return [_impossible(place, "{place} is not a number. Enter it again.", place=place) for place in places]


@functools.lru_cache(maxsize=8)
def _unmarked(same: IdentityKey) -> bool:
    data = _PACKED.encode(same.parts)
    return not any(mark in data for mark in _NOT_FINITE)


def _not_finite(value: Any, place: str) -> Iterator[str]:
    if isinstance(value, msgspec.Struct):
        for name in value.__struct_fields__:
            yield from _not_finite(getattr(value, name), f"{place}.{name}" if place else name)
    elif isinstance(value, tuple):
        for index, entry in enumerate(value):
            yield from _not_finite(entry, f"{place}[{index}]")
    elif isinstance(value, float) and not math.isfinite(value):
        yield place


def impossibilities(job: Job, pose: Pose) -> list[Problem]:
    """Every reason why this pose of this job is impossible.

    Parameters
    ----------
    job : Job
    pose : Pose

    Returns
    -------
    list of Problem
        Of kind ``impossible``; empty when the pose is possible.
    """
    return [
        *_rig_on_truck(job),
        *misfits(job.rig),
        *_truck_itself(job, pose),
        *_lift_and_tilt(job, pose),
        *_boom(job, pose),
        *_arms(job, pose),
        *(sling_legs.impossible(job.load.rigging) if pose.loaded else ()),
    ]


def boom_limits_m(job: Job) -> tuple[float, float]:
    """Least and greatest distance of the boom's end ahead of the jib mast.

    The boom stays in both saddles, and nothing that stands out of it near its ends comes into a strap.
    """
    saddles, boom = job.rig.saddles, job.rig.boom
    half_strap, proud = saddles.strap_length_m / 2.0, boom_ends.at_front(job.rig)
    least_m = saddles.front_x_m + half_strap + (0.0 if proud is None else proud.reach_m)
    return least_m, boom.length_m - boom_ends.at_tail_m(job.rig) + saddles.rear_x_m - half_strap


def usable_holes(job: Job) -> tuple[int, ...]:
    """Pin holes that keep the boom in both saddles."""
    from_m, to_m = boom_limits_m(job)
    holes = range(1, job.rig.boom.hole_count + 1)
    return tuple(
        hole for hole in holes if from_m - FIT_TOLERANCE_M <= hole_out_m(job.rig, hole) <= to_m + FIT_TOLERANCE_M
    )


def _impossible(where: str, words: str, **numbers: float | str) -> Problem:
    return Problem(kind="impossible", where=where, words=words, numbers=numbers)


def _lift_and_tilt(job: Job, pose: Pose) -> Iterator[Problem]:
    upright = job.truck.upright
    if not upright.lift_min_m - FIT_TOLERANCE_M <= pose.lift_m <= upright.lift_max_m + FIT_TOLERANCE_M:
        yield _impossible(
            "pose.lift_m",
            "The forks cannot stand at {lift:length}: this truck lifts from {least:length} to {most:length}.",
            lift=pose.lift_m,
            least=upright.lift_min_m,
            most=upright.lift_max_m,
        )
    forward, back = -upright.tilt_forward_max_rad, upright.tilt_back_max_rad
    if not forward - STOP_TOLERANCE_RAD <= pose.tilt_rad <= back + STOP_TOLERANCE_RAD:
        yield _impossible(
            "pose.tilt_rad",
            "The upright cannot tilt to {tilt:deg}: it goes from {forward:deg} (forward) to {back:deg} (back).",
            tilt=pose.tilt_rad,
            forward=forward,
            back=back,
        )


def no_such_hole(job: Job, pose: Pose) -> tuple[Problem, ...]:
    """Why a pose cannot be pinned where it is: its hole is beyond the boom's last."""
    holes = job.rig.boom.hole_count
    if pose.hole is None or pose.hole <= holes:
        return ()
    words = "There is no pin hole {hole}: this boom has {holes}."
    return (_impossible("pose.hole", words, hole=str(pose.hole), holes=str(holes)),)


def _boom(job: Job, pose: Pose) -> Iterator[Problem]:
    if problems := no_such_hole(job, pose):
        yield from problems
        return
    out_m = boom_out_m(job.rig, pose)
    least, most = boom_limits_m(job)
    place_name = "pose.hole" if pose.free_out_m is None else "pose.free_out_m"
    if out_m > most + FIT_TOLERANCE_M:
        words = (
            "The boom leaves the rear saddle at {out:length} out: its tail must stay through the strap, so "
            "{most:length} is the most."
        )
        yield _impossible(place_name, words, out=out_m, most=most)
    elif out_m < least - FIT_TOLERANCE_M and (proud := boom_ends.at_front(job.rig)) is not None:
        words = (
            "At {out:length} out, the {part} on the boom stands in the front strap: it reaches back {back:length} from "
            "the boom's end, so {least:length} is the least."
        )
        yield _impossible(place_name, words, out=out_m, least=least, part=proud.name, back=proud.reach_m)
    elif out_m < least - FIT_TOLERANCE_M:
        words = (
            "The boom leaves the front saddle at {out:length} out: its end must stay through the strap, so "
            "{least:length} is the least."
        )
        yield _impossible(place_name, words, out=out_m, least=least)


def _arms(job: Job, pose: Pose) -> Iterator[Problem]:
    for index, (arm, stance) in enumerate(zip(job.rig.arms, pose.arms, strict=True)):
        joint, free = arm.joint, joint_as_free(job.rig, index)
        if stance.fitted and not joint.allows(stance.turn_rad):
            least, most = joint.stops
            yield _impossible(
                f"pose.arms[{index}].turn_rad",
                joint.beyond_words,
                arm=arm.name,
                turn=stance.turn_rad,
                least=least,
                most=most,
            )
        elif stance.fitted and not free.allows(stance.turn_rad):
            least, most = free.stops
            words = (
                "Turned to {turn:deg}, {arm} runs into the end of the {link}: their hinge lets it turn from "
                "{least:deg} to {most:deg}. Turn it less, or set the pin further from the end of the {link}."
            )
            link = job.rig.arms[index - 1].name if index else "boom"
            numbers = {"turn": stance.turn_rad, "least": least, "most": most}
            yield _impossible(f"pose.arms[{index}].turn_rad", words, arm=arm.name, link=link, **numbers)
        elif stance.fitted and isinstance(arm.stay, StayLink):
            yield from _stay(arm, arm.stay, stance.turn_rad, f"pose.arms[{index}].turn_rad")


def _stay(arm: Arm, stay: StayLink, raised_rad: float, where: str) -> Iterator[Problem]:
    """A stay is between its two lengths, or the arm cannot stand so."""
    match arm.joint:
        case LevelJoint():
            length_m = stay_length_m(stay, raised_rad)
        case StandingJoint():
            return
        case _ as joint:
            assert_never(joint)
    if not stay.length_min_m - FIT_TOLERANCE_M <= length_m <= stay.length_max_m + FIT_TOLERANCE_M:
        words = (
            "The stay of {arm} would be {length:length} long; it goes from {least:length} to {most:length}. Raise or "
            "lower the arm, or enter where the stay is fixed again."
        )
        numbers = {"length": length_m, "least": stay.length_min_m, "most": stay.length_max_m}
        yield _impossible(where, words, arm=arm.name, **numbers)


def _rig_on_truck(job: Job) -> Iterator[Problem]:
    sleeves, forks = job.rig.sleeves, job.truck.forks
    reach = sleeves.heel_gap_m + sleeves.length_m
    if reach > forks.length_m + FIT_TOLERANCE_M:
        words = (
            "The sleeves reach {reach:length} from the fork face but the forks are only {forks:length} long. Check the "
            "unit: forks of 1.07 m are 42 in."
        )
        yield _impossible("rig.sleeves.length_m", words, reach=reach, forks=forks.length_m)
    yield from _spread(sleeves, forks)
    if not sleeves.heel_gap_m <= job.rig.jib_mast.foot_x_m <= reach + FIT_TOLERANCE_M:
        words = (
            "The jib mast's foot is {foot:length} ahead of the fork face; the sleeves run from {least:length} to "
            "{most:length}."
        )
        foot_m = job.rig.jib_mast.foot_x_m
        yield _impossible("rig.jib_mast.foot_x_m", words, foot=foot_m, least=sleeves.heel_gap_m, most=reach)
    inner_width = sleeves.section.width_m - 2.0 * sleeves.section.wall_m
    inner_depth = sleeves.section.depth_m - 2.0 * sleeves.section.wall_m
    if inner_width < forks.width_m or inner_depth < forks.thickness_m:
        yield _impossible(
            "rig.sleeves.section",
            "The forks ({width:mm} x {thick:mm}) do not go into the sleeves (inside {in_width:mm} x {in_depth:mm}).",
            width=forks.width_m,
            thick=forks.thickness_m,
            in_width=inner_width,
            in_depth=inner_depth,
        )


def _spread(sleeves: Sleeves, forks: Forks) -> Iterator[Problem]:
    """Whether the forks stand where the sleeves are welded, and both sleeves have room."""
    where = "truck.forks.spread_m" if sleeves.welded_spread_m is None else "rig.sleeves.welded_spread_m"
    stand = "The forks stand" if sleeves.welded_spread_m is None else "The sleeves are welded"
    if sleeves.spread_on(forks) <= sleeves.section.width_m:
        words = f"{stand} {{spread:length}} apart, centre to centre; sleeves {{width:length}} wide would run into each "
        yield _impossible(where, f"{words}other.", spread=sleeves.spread_on(forks), width=sleeves.section.width_m)
    if does_not_go_in(sleeves, forks):
        words = (
            "The sleeves are welded {welded:length} apart, centre to centre; the forks stand {stand:length} apart and "
            "do not go in. Set the forks to {welded:length}, each locked in its notch. If the carriage has no notch "
            "there, the rig cannot go on this truck; before the sleeves are welded, enter another spread for them."
        )
        yield _impossible("truck.forks.spread_m", words, welded=sleeves.spread_on(forks), stand=forks.spread_m)


def _truck_itself(job: Job, pose: Pose) -> Iterator[Problem]:
    """Whether the truck's parts leave a chassis and rear weight over."""
    truck, upright = job.truck, job.truck.upright
    axles_kg = truck.front_axle_kg.best + truck.rear_axle_kg.best
    parts_kg = truck.steer_axle_kg.best + upright.outer_kg + upright.inner_kg + truck.carriage_kg + truck.forks.mass_kg
    if parts_kg >= axles_kg:
        words = (
            "Steer axle, upright, carriage and forks together weigh {parts:kg}, the whole truck only {axles:kg}: "
            "nothing is left for the chassis."
        )
        yield _impossible("truck.front_axle_kg", words, parts=parts_kg, axles=axles_kg)
    else:
        _, chassis_m = chassis_left(job, figures(job, pose))
        if not chassis_m.z > 0.0:
            words = (
                "With its centre of gravity {height:length} up, the truck's chassis would lie under the floor. Check "
                "the height, and the weights of upright and forks."
            )
            yield _impossible("truck.cg_height_m", words, height=truck.cg_height_m.best)
    if truck.steer_axle_kg.best > truck.rear_axle_kg.best:
        words = "The steer axle itself weighs {axle:kg}, more than the {rear:kg} on the rear wheels."
        yield _impossible("truck.steer_axle_kg", words, axle=truck.steer_axle_kg.best, rear=truck.rear_axle_kg.best)
