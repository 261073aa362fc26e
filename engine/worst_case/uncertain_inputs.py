"""The uncertain entries of a pose: what may be off, by how much, and what to measure.

Left out: welds and walls, which count at their thin end in every variant (``engine.schema.thin_end``); and steel, which
the design factor covers.  An arm's angle is as far off as what holds it there lets it be: the pose is set by eye.
"""

from __future__ import annotations

import functools

import msgspec

from engine.base.identity import IdentityKey
from engine.rig.check import Problem
from engine.rig.kinematics import Figures, figures, fitted_arms
from engine.rig.rig_masses import rig_masses
from engine.schema import uncertainty_bands
from engine.schema.joints import swings
from engine.schema.model import Arm, Floor, Job, Load, Pose, Rig, Truck, TyreKind, find_floor
from engine.schema.quantities import Estimate
from engine.schema.uncertainty_bands import BEST_WAY, QuantityKind, low_high, tyre_stiffness_N_m


class Entry(msgspec.Struct, kw_only=True, frozen=True):
    """One uncertain number: its place in `Figures`, its name for a person, and how far it may be off.

    ``down`` and ``up`` are positive; ``measured_down`` and ``measured_up`` would remain once ``advice`` is followed.
    """

    field: str
    index: int | None = None
    name: str
    advice: str
    down: float
    up: float
    measured_down: float
    measured_up: float


def entries_of(job: Job, pose: Pose, numbers: Figures) -> tuple[Entry, ...]:
    """Every number that may be off; those known exactly are left out.

    Parameters
    ----------
    job, pose : Job, Pose
    numbers : Figures
        Of the pose, or of any of several poses: only which arms are fitted is read.
    """
    same = IdentityKey(job.truck, job.rig, job.load, find_floor(job, pose))
    return _entries(same, fitted_arms(numbers), pose.loaded, job.policy.lean_rad)


@functools.lru_cache(maxsize=16)
def _entries(
    same: IdentityKey[Truck, Rig, Load, Floor], fitted: tuple[int, ...], loaded: bool, lean_rad: float
) -> tuple[Entry, ...]:
    """Entries of every pose on this floor with these arms fitted: the same tuple until one of them changes."""
    truck, rig, load, floor = same.parts
    entries = (
        *_truck_entries(truck),
        *_rig_entries(truck, rig, fitted),
        *(_load_entries(load) if loaded else ()),
        *_pose_entries(floor, lean_rad),
        *(_angle(rig.arms[index], index) for index in fitted),
    )
    return tuple(entry for entry in entries if entry.down > 0.0 or entry.up > 0.0)[:MOST_ENTRIES]


MOST_ENTRIES = 39
"""A corner is numbered in base 3 (``engine.worst_case.corner_search``); more digits would not fit into 64 bits."""


def not_combined(job: Job, pose: Pose) -> tuple[Problem, ...]:
    """That more is uncertain than can be put together, which leaves arms' angles as they are set: not proven."""
    entries = entries_of(job, pose, figures(job, pose))
    angles = {entry.index for entry in entries if entry.field == "turns_rad"}
    left = [job.rig.arms[at].name for at, stance in enumerate(pose.arms) if stance.fitted and at not in angles]
    if not left:
        return ()
    words = (
        "More of this truck and rig is uncertain than can be put together, so the angle of {arms} is taken exactly as "
        "set. Enter fewer bodies aboard, or put several of them together."
    )
    numbers = {"arms": " and ".join(left), "part": "the angle of an arm", "measure": "enter fewer bodies aboard"}
    return (Problem(kind="not_entered", where="truck.aboard", words=words, numbers={**numbers, "lacks": "confirmed"}),)


def _entry(
    field: str, name: str, advice: str, estimate: Estimate[float], kind: QuantityKind, index: int | None = None
) -> Entry:
    best = estimate.best
    low, high = low_high(estimate, kind)
    then = BEST_WAY[kind]
    return Entry(
        field=field,
        index=index,
        name=name,
        advice=advice,
        down=best - low,
        up=high - best,
        measured_down=min(best - low, best - then.low(best)),
        measured_up=min(high - best, then.high(best) - best),
    )


def _truck_entries(truck: Truck) -> list[Entry]:
    entries = [
        _entry(
            "front_axle_kg", "truck's front axle weight", "Weigh the truck's front axle", truck.front_axle_kg, "mass"
        ),
        _entry("rear_axle_kg", "truck's rear axle weight", "Weigh the truck's rear axle", truck.rear_axle_kg, "mass"),
        _entry(
            "cg_height_m",
            "height of the truck's centre",
            "Weigh the truck with one axle raised",
            truck.cg_height_m,
            "centre",
        ),
        _entry("wheelbase_m", "wheelbase", "Tape the wheelbase", truck.wheelbase_m, "length"),
        _entry(
            "front_overhang_m", "front overhang", "Tape from front axle to fork face", truck.front_overhang_m, "length"
        ),
        _entry("front_track_m", "front track", "Tape the front track", truck.front_track_m, "length"),
        _entry(
            "pivot_height_m",
            "height of the rear axle pivot",
            "Tape the height of the rear axle pivot",
            truck.pivot_height_m,
            "length",
        ),
        _entry(
            "steer_axle_kg",
            "weight of the steer axle",
            "Ask the dealer for the steer axle's weight",
            truck.steer_axle_kg,
            "mass",
        ),
    ]
    entries += [_tyres(truck.tyres), _side_play(), _off_place()]
    for index, body in enumerate(truck.aboard):
        if body.counted:
            entries.append(_aboard_entry(body.name, body.mass_kg, index))
    return entries


def _tyres(kind: TyreKind | None) -> Entry:
    """How far the tyres give; measured: by a front hub's height with and without a known load."""
    stiffness = tyre_stiffness_N_m(kind)
    assert stiffness.low is not None  # of every kind both ends are known
    assert stiffness.high is not None
    best = 1.0 / stiffness.best
    measured = uncertainty_bands.TYRE_MEASURED_SHARE * best
    advice = "Say what tyres the truck has" if kind is None else "Measure how far a front hub sinks under a known load"
    return Entry(
        field="tyre_m_N",
        name="softness of the tyres",
        advice=advice,
        down=best - 1.0 / stiffness.high,
        up=1.0 / stiffness.low - best,
        measured_down=measured,
        measured_up=measured,
    )


def _side_play() -> Entry:
    """Play of upright and carriage; it acts to the side that the rig leans to."""
    return Entry(
        field="side_play_rad",
        name="side play of upright and carriage",
        advice="Have the upright's side play taken up",
        down=0.0,
        up=uncertainty_bands.SIDE_PLAY_RAD,
        measured_down=0.0,
        measured_up=uncertainty_bands.SIDE_PLAY_RAD / 2.0,
    )


def _off_place() -> Entry:
    """Forks nearer together than entered, the jib mast's foot off its place and the jib mast out of true."""
    return Entry(
        field="off_place",
        name="place of forks and jib mast",
        advice="Square the jib mast with a level, tape its foot and the forks",
        down=0.0,
        up=1.0,
        measured_down=0.0,
        measured_up=0.5,
    )


def _aboard_entry(name: str, mass_kg: Estimate[float], index: int) -> Entry:
    """What is aboard may be gone (the driver has got off, the bottle is empty): its low side is 0."""
    high = low_high(mass_kg, "mass")[1]
    return Entry(
        field="aboard_kg",
        index=index,
        name=name,
        advice=f"Leave {name} out of the sum",
        down=mass_kg.best,
        up=high - mass_kg.best,
        measured_down=mass_kg.best,
        measured_up=high - mass_kg.best,
    )


def _rig_entries(truck: Truck, rig: Rig, fitted: tuple[int, ...]) -> list[Entry]:
    """Weights of the rig's parts: as weighed, else computed from section and length."""
    weights = rig_masses(truck, rig)

    def part(
        field: str, name: str, weighed: Estimate[float] | None, steel_kg: float, index: int | None = None
    ) -> Entry:
        estimate = weighed if weighed is not None else Estimate(best=steel_kg, known="worked_out")
        return _entry(field, f"weight of {name}", f"Weigh {name}", estimate, "mass", index)

    entries = [
        part("sleeves_kg", "the sleeves", rig.sleeves.mass_kg, weights["sleeves_kg"]),
        part("jib_mast_kg", "the jib mast", rig.jib_mast.mass_kg, weights["jib_mast_kg"]),
        part("saddles_kg", "the saddles", rig.saddles.mass_kg, weights["saddles_kg"]),
        part("boom_kg", "the boom", rig.boom.mass_kg, weights["boom_kg"]),
        part("hook_kg", "the hook", rig.hook.mass_kg, weights["hook_kg"]),
    ]
    for index in fitted:
        arm = rig.arms[index]
        entries.append(part("arms_kg", arm.name, arm.mass_kg, weights["arms_kg"][index], index))
    return entries


def _load_entries(load: Load) -> list[Entry]:
    return [
        _entry("rigging_kg", "weight of the rigging", "Weigh the rigging", load.rigging_kg, "mass"),
        _entry("load_kg", "weight of the load", "Weigh the load", load.mass_kg, "mass"),
    ]


def _pose_entries(floor: Floor, lean_rad: float) -> list[Entry]:
    """Slopes of the floor, fork height, tilt, bending and reach.

    The forward lean allowed for may be there whole, in part or not at all: where it helps it is not counted.
    """
    entries = []
    slopes = (("fall_along", "slope", floor.fall_along), ("fall_across", "side slope", floor.fall_across))
    for field, name, fall in slopes:
        if fall is not None:
            entries.append(_entry(field, name, f"Measure the {name} with a long level", fall, "fall"))
    entries.append(
        _read("lift_m", "fork height", "Tape the fork height", uncertainty_bands.TAPE_M, uncertainty_bands.TAPE_M)
    )
    tilt = _read(
        "tilt_rad",
        "tilt of the upright",
        "Set a level on the upright",
        uncertainty_bands.TILT_BY_EYE_RAD,
        uncertainty_bands.TILT_BY_LEVEL_RAD,
    )
    entries.append(msgspec.structs.replace(tilt, up=tilt.up + lean_rad, measured_up=tilt.measured_up + lean_rad))
    entries.append(_bending())
    entries.append(
        _read("boom_out_m", "reach of the boom", "Tape the reach", uncertainty_bands.TAPE_M, uncertainty_bands.TAPE_M)
    )
    return entries


def _angle(arm: Arm, index: int) -> Entry:
    """How far off its angle an arm may stand, to either side; its stops are seen to where the pose is known."""
    held = not swings(arm.joint) or arm.angle_held == "pinned"
    off = uncertainty_bands.ARM_PINNED_RAD if held else uncertainty_bands.ARM_BY_HAND_RAD
    measured = min(off, uncertainty_bands.ARM_PINNED_RAD)
    return Entry(
        field="turns_rad",
        index=index,
        name=f"angle of {arm.name}",
        advice=f"Pin {arm.name} at its angle",
        down=off,
        up=off,
        measured_down=measured,
        measured_up=measured,
    )


def _bending() -> Entry:
    """How far the rig bends, as a share of what is computed; measured: by the hook's sag under a known load."""
    name, advice = "how far the rig bends", "Measure the hook's sag under a known load"
    off, measured_off = uncertainty_bands.GIVE_SHARE, uncertainty_bands.GIVE_MEASURED_SHARE
    return Entry(
        field="give", name=name, advice=advice, down=off, up=off, measured_down=measured_off, measured_up=measured_off
    )


def _read(field: str, name: str, advice: str, off: float, measured_off: float) -> Entry:
    return Entry(
        field=field, name=name, advice=advice, down=off, up=off, measured_down=measured_off, measured_up=measured_off
    )
