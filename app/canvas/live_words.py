"""What a drag changes, in a few words beside the pointer: the figure, how far it has moved, and the stop it is at."""

from __future__ import annotations

from engine.base.formatting import System, show
from engine.rig.feasibility import boom_limits_m
from engine.rig.free_turn import joint_as_free
from engine.rig.kinematics import Placed, boom_out_m
from engine.schema.model import Job, Pose

SAME_M = 5e-5
SAME_RAD = 1e-3
STOP_RAD = 1e-6


def of_pose(job: Job, handle: str, start: Pose, before: Placed, pose: Pose, placed: Placed) -> str:
    """What a drag of a handle has come to, from a pose with the rig ``before`` to another."""
    units = job.units
    if handle == "lift":
        upright = job.truck.upright
        stop = "lowest" if pose.lift_m <= upright.lift_min_m else "highest" if pose.lift_m >= upright.lift_max_m else ""
        return _line(f"fork height {_length(pose.lift_m, units)}", _by(pose.lift_m - start.lift_m, units), stop)
    if handle == "tilt":
        upright = job.truck.upright
        at_stop = pose.tilt_rad in (-upright.tilt_forward_max_rad, upright.tilt_back_max_rad)
        way = "back" if pose.tilt_rad > 0.0 else "forward" if pose.tilt_rad < 0.0 else "plumb"
        words = f"tilt {_angle(abs(pose.tilt_rad))} {way}"
        return _line(words, _turned(pose.tilt_rad - start.tilt_rad), "at its stop" if at_stop else "")
    if handle == "boom":
        out_m, least_most = boom_out_m(job.rig, pose), boom_limits_m(job)
        pinned = f"hole {pose.hole}" if pose.hole is not None else "not pinned"
        stop = "as far as it goes" if min(abs(out_m - end) for end in least_most) < SAME_M else ""
        moved = _by(out_m - boom_out_m(job.rig, start), units)
        return _line(f"{pinned}, boom {_length(out_m, units)} out", moved, stop)
    if handle == "hook":
        was, now = before.hook_m, placed.hook_m
        parts = []
        for name, old, new in (("reach", was.x, now.x), ("hook", was.z, now.z), ("aside", was.y, now.y)):
            if name != "aside" or abs(float(new) - float(old)) >= SAME_M:
                parts.append(_line(f"{name} {_length(float(new), units)}", _by(float(new) - float(old), units), ""))
        return ", ".join(parts)
    index = int(handle.split()[1])
    turn, stops = pose.arms[index].turn_rad, joint_as_free(job.rig, index).stops
    stop = "stop" if min(abs(turn - end) for end in stops) < STOP_RAD else ""
    arm, by = job.rig.arms[index], turn - start.arms[index].turn_rad
    now, moved = (show(value, arm.joint.entry_unit, units).replace("-", "−") for value in (turn, abs(by)))
    sign = "" if abs(by) < SAME_RAD else "+" if by > 0.0 else "−"
    return _line(f"{arm.name} {now}", f"{sign}{moved}" if sign else "", stop)


def of_length(name: str, was_m: float, now_m: float, units: System) -> str:
    """What a drag of a size has come to."""
    return _line(f"{name} {_length(now_m, units)}", _by(now_m - was_m, units), "")


def _line(words: str, moved: str, stop: str) -> str:
    told = ", ".join(filter(None, (moved, stop)))
    return f"{words} ({told})" if told else words


def _length(value_m: float, units: System) -> str:
    return show(value_m, "length", units)


def _by(moved_m: float, units: System) -> str:
    if abs(moved_m) < SAME_M:
        return ""
    return f"{'+' if moved_m > 0.0 else '−'}{show(abs(moved_m), 'length', units)}"


def _angle(value_rad: float) -> str:
    return show(value_rad, "deg", "metric").replace("-", "−")


def _turned(moved_rad: float) -> str:
    return "" if abs(moved_rad) < SAME_RAD else f"{'+' if moved_rad > 0.0 else '−'}{_angle(abs(moved_rad))}"
