"""What the handling panel says: arms let go, push by hand, sag, softness, a stop, the fastest speed."""

from __future__ import annotations

from app.documents.document import Document
from engine.base.formatting import System, show
from engine.handling.arm_drift import ArmDrift, Drift
from engine.handling.hand_force import HIGH_HAND_N, HandForce
from engine.handling.sag import Sag, Softness
from engine.planning.stopping import FASTEST_M_S, Braking, FastestSpeed
from engine.rig.free_turn import joint_as_free
from engine.schema.model import Job, Pose, fall_is_known

AT_STOP_RAD = 1e-6
"""An arm this near the end of its turn rests against it."""

PARTS_NAMED = 3
"""Parts named as what may be softer than drawn; those further down would have to be softer still."""

NOT_IN_THE_SAG = (
    "Balance and plate rules count it. Play in straps and hinges, tyres, upright and the taper of the forks are not in "
    "it."
)


def nothing_words(document: Document) -> str:
    """Why nothing can be said of handling: the pose cannot be, or the floor's slope is not known; else nothing."""
    pose = document.pose
    if any(problem.kind == "impossible" for problem in document.verdict.problems):
        return "NOTHING TO SAY: this pose or rig cannot be, and no number for it would mean anything."
    if not fall_is_known(document.job, pose):
        return (
            f"NOT KNOWN: the slope at ‘{pose.floor}’ is not entered. Measure it with a long level at several "
            "spots; until then take it that an arm runs either way."
        )
    return ""


# ---------------------------------------------------------------- arms


def arm_words(arm: ArmDrift, units: System) -> str:
    """Which way one arm runs, and when it starts."""
    greased, dry = (
        show(slope, "fall", units) if slope < 1.0 else "no slope"
        for slope in (arm.starts_at_fall_greased, arm.starts_at_fall_dry)
    )
    starts = f"Broadside to a slope it starts by itself at {greased} greased, {dry} dry."
    if arm.runs == "still":
        return f"{arm.name}: wants to go neither way here; a push or a slope sets it going. {starts}"
    if abs(arm.torque_Nm) > arm.friction_dry_Nm:
        now = "It starts by itself, greased or dry."
    elif arm.starts_by_itself:
        now = "Greased it starts by itself; dry, a knock starts it."
    else:
        now = "A knock starts it."
    torque = _never_nothing(abs(arm.torque_Nm), "Nm", units)
    return f"{arm.name}: RUNS TO THE {arm.runs.upper()} when let go, turned by {torque}. {now} {starts}"


def rest_words(job: Job, pose: Pose, drift: Drift, units: System) -> str:
    """Where the arms come to rest when all are let go, and how the pins lean."""
    if drift.rest is None:
        return "Where the arms come to rest is not known: the slope is not entered."
    lean = "The pins stand plumb."
    if drift.downhill_rad is not None:
        lean = (
            f"The pins lean {show(drift.lean, 'fall', units)}, downhill {_direction(drift.downhill_rad, units)} "
            "(from the boom's line; floor, tilt and lean allowed for counted)."
        )
    if drift.rest == pose:
        return f"All let go, they stay where they are, held by nothing. {lean}"
    places = []
    for arm in drift.arms:
        turn_rad, stops = drift.rest.arms[arm.index].turn_rad, joint_as_free(job.rig, arm.index).stops
        at_stop = min(abs(turn_rad - stop) for stop in stops) <= AT_STOP_RAD
        places.append(f"{arm.name} {_direction(turn_rad, units)}{' (its stop)' if at_stop else ''}")
    return f"All let go, they come to rest with {', '.join(places)}. {lean}"


def hand_words(force: HandForce, units: System) -> str:
    """What moving one part takes, flagged where it is too much."""
    forces = f"{show(force.uphill_greased_N, 'N', units)} greased, {show(force.uphill_dry_N, 'N', units)} dry."
    words = f"{force.part}, {'loaded' if force.loaded else 'empty'}: {forces}"
    if force.downhill_greased_N < 0.0:
        hold = _never_nothing(-force.downhill_greased_N, "N", units)
        words += f" The easy way it runs by itself: hold it back with {hold}."
    if force.too_much:
        advice = "not by hand" if force.part == "boom" else "use a tag line"
        words += f" OVER {show(HIGH_HAND_N, 'N', units)}: {advice}."
    return words


# ---------------------------------------------------------------- sag


def sag_words(sag: Sag, under_load_m: float, units: System) -> str:
    """How far the hook goes, part by part."""
    hook = ", ".join(
        (
            _moved(sag.hook_drop_m, "down", "up", units),
            _moved(sag.hook_forward_m, "forward", "back", units),
            _moved(sag.hook_aside_m, "to the left", "to the right", units),
        )
    )
    top = _moved(sag.mast_top_forward_m, "forward", "back", units)
    lean = show(abs(sag.mast_top_lean_rad), "deg", units)
    lines = [
        f"As drawn, bending takes the hook {hook}; the jib mast's top goes {top} and leans {lean}.",
        f"Putting the load on takes the hook {_distance(under_load_m, units)} down: measure that.",
    ]
    for part in sag.parts:
        down, ahead = _moved(part.drop_m, "down", "up", units), _moved(part.forward_m, "forward", "back", units)
        lines.append(f"{part.part}: {down}, {ahead}")
    return "\n".join([*lines, NOT_IN_THE_SAG])


def softness_words(parts: tuple[Softness, ...], measured_m: float, expected_m: float, units: System) -> str:
    """Which part would explain a measured sag."""
    measured = f"Measured {_distance(measured_m, units)}, expected {_distance(expected_m, units)}."
    if measured_m <= expected_m or not parts:
        return f"{measured} Nothing is softer than drawn by this; look at load and tape again."
    first, *others = parts[:PARTS_NAMED]
    words = (
        f"{measured} Softer than drawn: most likely {first.part}, {show(first.ratio, 'ratio', units)} times as soft as "
        "drawn if it is that part alone."
    )
    if others:
        alone = ", ".join(f"{part.part} {show(part.ratio, 'ratio', units)} times" for part in others)
        words += f" Or, alone: {alone}."
    return f"{words} Or play: look there first."


# ---------------------------------------------------------------- stopping


def stop_words(stop: Braking, pose: Pose, speed_assumed: bool, distance_assumed: bool, units: System) -> str:
    """What a stop does to hook and rear wheels, and what of it is assumed."""
    speed, distance = show(stop.speed_m_s, "speed", units), show(stop.stop_m, "length", units)
    side, pull = show(stop.side_N, "N_up", units), show(stop.pull, "share_up", units)
    standing, stopping, lost = (
        show(mass_kg, kind, units)
        for mass_kg, kind in (
            (stop.rear_standing_kg, "kg_down"),
            (stop.rear_stopping_kg, "kg_down"),
            (stop.rear_lost_kg, "kg_up"),
        )
    )
    sentences = [
        f"Walking pace, {speed}, is assumed." if speed_assumed else "",
        f"A stop within {distance} is assumed." if distance_assumed else "",
        "" if pose.loaded else "The hook is shown empty.",
        f"From {speed} to a stand within {distance}: the hook is pulled sideways by {side} ({pull} of what hangs "
        f"there), and the load swings out {_distance(stop.wander_m, units)}.",
        f"Rear wheels: {standing} standing, {stopping} stopping, {lost} lost.",
        "THE REAR WHEELS LIFT." if stop.rear_stopping_kg <= 0.0 else "",
        "Best values, straight ahead, no other allowance.",
    ]
    return " ".join(filter(None, sentences))


def fastest_words(fastest: FastestSpeed, units: System) -> str:
    """The fastest speed with what rules it."""
    if fastest.speed_m_s <= 0.0:
        rules = f": {fastest.governing}" if fastest.governing else ""
        return f"No speed at all: standing still does not keep every limit in the worst case{rules}."
    distance = show(fastest.stop_m, "length", units)
    if fastest.speed_m_s >= FASTEST_M_S:
        return (
            f"Every limit is kept in the worst case up to {show(FASTEST_M_S, 'speed_down', units)}, stopping within "
            f"{distance}; nothing faster is looked for, a hung load is not driven faster than a run."
        )
    return (
        f"Fastest speed that keeps every limit in the worst case, stopping within {distance}: "
        f"{show(fastest.speed_m_s, 'speed_down', units)}. Faster, {fastest.governing} gives first. Swing and braking "
        "allowed for under Rules used count as well."
    )


# ---------------------------------------------------------------- numbers


def _never_nothing(value: float, kind: str, units: System) -> str:
    """A force or torque; what rounds to nothing is not called nothing."""
    words = show(value, kind, units)
    return f"less than 1 {words.split(' ', 1)[1]}" if words.startswith("0 ") else words


def _distance(value_m: float, units: System) -> str:
    """A distance without its sign, as a tape shows it."""
    return show(abs(value_m), "mm", units)


def _moved(value_m: float, positive: str, negative: str, units: System) -> str:
    """A distance and the way it goes."""
    return f"{_distance(value_m, units)} {positive if value_m >= 0.0 else negative}"


def _direction(turn_rad: float, units: System) -> str:
    """An angle to a side, in words; left is positive."""
    words = show(abs(turn_rad), "deg", units)
    if words == show(0.0, "deg", units):
        return "straight ahead"
    return f"{words} to the {'left' if turn_rad >= 0.0 else 'right'}"
