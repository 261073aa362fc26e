"""What the truck's maker is asked to approve: everything needed to answer, and everything that is not known.

29 CFR 1910.178 (a)(4) asks for the maker's written approval before an addition that affects capacity or safe operation;
(a)(5) asks for the truck to be marked with the attachment and the approximate weight of truck and attachment at
maximum elevation with the load laterally centred (read in a secondary copy).  What a maker then wants to know (weight,
centre of gravity, size, mounting, capacity asked for) is common practice, no source.

The worst pose in each direction comes from a search over corners, with the job's load: every usable hole, every arm
pose of the chart and the arms square to each side, forks lowest and highest, upright plumb and tilted to both stops.
Whoever answers can repeat it.
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec
import numpy as np

from engine.base.geometry import Array, Vec
from engine.explain.placard import Placard, placard_arm_sets, placard_of, square_arm_sets
from engine.limits import balance, sideways
from engine.limits.all_limits import leaned
from engine.limits.approval import approved_load_kg
from engine.planning.load_chart import Chart, load_chart, usual_arm_sets, whole_down
from engine.rig.deflection import place_bent
from engine.rig.feasibility import usable_holes
from engine.rig.kinematics import Figures, figures, hole_out_m, place
from engine.schema.model import ArmPose, Job, Pose

REPLACE = msgspec.structs.replace


class RigAtHole(msgspec.Struct, kw_only=True, frozen=True):
    """The rig with its boom in one hole, arms straight, upright plumb.

    ``centre_m`` is the rig's centre of gravity and ``hook_m`` the hook, both in the fork frame: ahead of the fork face,
    to the left of the middle, over the top of the fork blades.  ``request_kg`` is the load asked for: the least at any
    hook height, rounded down; ``None`` where there is no verdict, or where part of the load path is not entered.
    """

    hole: int
    out_m: float
    rig_kg: float
    centre_m: Vec
    hook_m: Vec
    request_kg: int | None
    governing: str


class WorstPose(msgspec.Struct, kw_only=True, frozen=True):
    """Of the poses searched, the one with the greatest use of one tipping line, job's load and allowances included."""

    line: str
    use: float
    pose: Pose
    arms: str
    hook_m: Vec


class SidewaysMoment(msgspec.Struct, kw_only=True, frozen=True):
    """The greatest sideways moment of the poses searched, the job's own among them, and what the plate covers there.

    In kg·m, load, rigging and dynamic factor included; to the left positive.
    """

    moment_kgm: float
    covered_kgm: float | None
    arms: str
    hook_m: Vec

    @property
    def to_ask(self) -> bool:
        """Whether the plate does not cover it."""
        return self.covered_kgm is None or abs(self.moment_kgm) > self.covered_kgm


class Combined(msgspec.Struct, kw_only=True, frozen=True):
    """Truck and rig at maximum elevation, arms straight ahead, so that the load is centred side to side."""

    lift_m: float
    truck_kg: float
    rig_kg: float
    hung_kg: float
    centre_m: Vec
    centre_loaded_m: Vec

    @property
    def both_kg(self) -> float:
        """Truck and rig together, without a load."""
        return self.truck_kg + self.rig_kg


class Request(msgspec.Struct, kw_only=True, frozen=True):
    """The whole request."""

    cannot_answer: tuple[str, ...]
    at_holes: tuple[RigAtHole, ...]
    chart: Chart
    loads: Placard
    worst: tuple[WorstPose, ...]
    sideways: SidewaysMoment
    combined: Combined


def request(job: Job, pose: Pose) -> Request:
    """Everything the maker needs, upright plumb, on the floor of one pose."""
    level = REPLACE(pose, tilt_rad=0.0, loaded=True)
    chart = load_chart(job, level, placard_arm_sets(job))
    return Request(
        cannot_answer=tuple(_cannot_answer(job)),
        at_holes=tuple(_at_hole(job, level, hole, chart) for hole in usable_holes(job)),
        chart=chart,
        loads=placard_of(job, chart),
        worst=_worst_poses(job, level),
        sideways=greatest_sideways_moment(job, level),
        combined=_combined(job, level),
    )


def _cannot_answer(job: Job) -> Iterator[str]:
    """One sentence for each fact that the maker needs and nobody has entered."""
    truck = job.truck
    for known, fact in (
        (truck.serial.strip(), "the truck's serial number"),
        (truck.plate, "the plate's rated load, load centre and lift height"),
        (job.rig.serial.strip(), "a serial number on the rig"),
        (not truck.typical, "this truck's own weights (those entered are typical of its class)"),
    ):
        if not known:
            yield f"The maker cannot answer without {fact}."


def _straight(job: Job, pose: Pose, hole: int) -> Pose:
    """Arms straight and upright plumb, boom in one hole, forks at their lowest."""
    arms = tuple(ArmPose(turn_rad=arm.joint.stopped(0.0)) for arm in job.rig.arms)
    return REPLACE(pose, tilt_rad=0.0, hole=hole, free_out_m=None, arms=arms, lift_m=job.truck.upright.lift_min_m)


def _at_hole(job: Job, pose: Pose, hole: int, chart: Chart) -> RigAtHole:
    stance = _straight(job, pose, hole)
    placed = place(job, figures(job, stance))
    rig_kg, centre = balance.centre_of(placed, ("rig",))
    face = placed.frames["forks"].origin
    request_kg, governing = _least_load(chart, hole)
    approved = approved_load_kg(job, stance.lift_m)
    if approved is not None and request_kg is not None:
        request_kg = min(request_kg, whole_down(approved))
    return RigAtHole(
        hole=hole,
        out_m=float(hole_out_m(job.rig, hole)),
        rig_kg=float(rig_kg),
        centre_m=centre - face,
        hook_m=placed.tip_m + Vec(0.0, 0.0, -job.rig.hook.drop_m) - face,
        request_kg=request_kg,
        governing=governing,
    )


def _least_load(chart: Chart, hole: int) -> tuple[int | None, str]:
    """Least allowed load at a hole, arms straight, over the heights at which nothing is in the way, and its limit."""
    if chart.problems or hole not in chart.holes or not chart.proven[0]:
        return None, ""
    column = chart.holes.index(hole)
    row = np.where(chart.in_the_way[0, column], np.nan, chart.allowed_kg[0, column])
    if not np.isfinite(row).any():
        return None, ""
    at = int(np.nanargmin(row))
    return whole_down(row[at]), chart.names[chart.governing[0, column, at]]


def _worst_poses(job: Job, pose: Pose) -> tuple[WorstPose, ...]:
    """The worst pose over each tipping line; where several are equal, the first of the search."""
    upright, holes = job.truck.upright, usable_holes(job)
    lifts = np.array([upright.lift_min_m, upright.lift_max_m])
    tilts = np.array([-upright.tilt_forward_max_rad, 0.0, upright.tilt_back_max_rad])
    worst: dict[str, WorstPose] = {}
    for arm_set in (*usual_arm_sets(job), *square_arm_sets(job)) if holes else ():
        numbers = _grid(job, REPLACE(pose, arms=arm_set.arms), np.array(holes), lifts, tilts)
        placed = place_bent(job, leaned(numbers, job.policy))
        weighed = balance.weigh(placed, balance.allowances_of(job.policy))
        for line in weighed.lines:
            use = np.broadcast_to(np.asarray(line.use, float), (len(holes), len(lifts), len(tilts)))
            use = np.where(np.isnan(use), np.inf, use)
            hole, lift, tilt = np.unravel_index(int(use.argmax()), use.shape)
            greatest = float(use[hole, lift, tilt])
            if line.name in worst and worst[line.name].use >= greatest:
                continue
            stance = REPLACE(
                pose,
                arms=arm_set.arms,
                hole=holes[hole],
                free_out_m=None,
                lift_m=float(lifts[lift]),
                tilt_rad=float(tilts[tilt]),
            )
            hook = place(job, figures(job, stance)).hook_m
            worst[line.name] = WorstPose(line=line.name, use=greatest, pose=stance, arms=arm_set.name, hook_m=hook)
    return tuple(worst.values())


def greatest_sideways_moment(job: Job, pose: Pose) -> SidewaysMoment:
    """Of every arm pose of the search in every hole, and of the job's own loaded poses."""
    sets = [
        (arm_set.name, REPLACE(pose, arms=arm_set.arms)) for arm_set in (*usual_arm_sets(job), *square_arm_sets(job))
    ]
    stances = [
        (name, REPLACE(stance, hole=hole, free_out_m=None)) for name, stance in sets for hole in usable_holes(job)
    ]
    stances += [(own.name, own) for own in job.poses if own.loaded] or [(pose.name, pose)]
    found: list[SidewaysMoment] = []
    for name, stance in stances:
        placed = place_bent(job, figures(job, stance))
        moment = float(sideways.carried(placed, job.policy.dynamic_factor).moment_kgm)
        plate = job.truck.plate
        covered = None if plate is None else float(sideways.plate_kgm(plate, stance.lift_m))
        found.append(SidewaysMoment(moment_kgm=moment, covered_kgm=covered, arms=name, hook_m=placed.hook_m))
    return max(found, key=lambda one: abs(one.moment_kgm))


def _grid(job: Job, pose: Pose, holes: Array, lifts: Array, tilts: Array) -> Figures:
    """Figures of shape (holes, fork heights, tilts)."""
    return REPLACE(
        figures(job, pose),
        boom_out_m=np.asarray(hole_out_m(job.rig, holes), float)[:, None, None],
        pinned=1.0,
        lift_m=lifts[None, :, None],
        tilt_rad=tilts[None, None, :],
    )


def _combined(job: Job, pose: Pose) -> Combined:
    highest = job.truck.upright.lift_max_m
    stance = REPLACE(_straight(job, pose, (usable_holes(job) or (1,))[0]), lift_m=highest)
    placed = place(job, figures(job, stance))
    truck_kg, _ = balance.centre_of(placed, ("truck",))
    rig_kg, _ = balance.centre_of(placed, ("rig",))
    hung_kg, _ = balance.centre_of(placed, ("rigging", "load"))
    _, centre = balance.centre_of(placed, ("truck", "rig"))
    _, loaded = balance.centre_of(placed, ("truck", "rig", "rigging", "load"))
    return Combined(
        lift_m=highest,
        truck_kg=float(truck_kg),
        rig_kg=float(rig_kg),
        hung_kg=float(hung_kg),
        centre_m=centre,
        centre_loaded_m=loaded,
    )
