"""Creeping with a load hung: the stop, the load's swing and a step of the floor, as allowances of every limit.

Nobody creeps without stopping.  A move that says no speed creeps at walking pace, and one that says no stop stops as
hard as the truck's brakes do without thought, 0.2 g; a longer stop counts only if somebody enters it.  One front wheel
may run over a step meanwhile, which rolls the truck by the step's height over its front track.

A creep goes straight unless its move says that it turns.  Then it may turn either way, and stop on the way round
(`engine.rig.turning`): at 0.5 m/s with a radius of 2.0 m, or the least the truck turns if that is more; tighter only if
the radius is entered, and at inching speed.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import msgspec

from engine.base.geometry import GRAVITY_M_S2
from engine.planning.stopping import WALKING_PACE_M_S, fastest, while_stopping
from engine.rig.truck_solids import half_width_m, rear_overhang_m
from engine.rig.turning import Turn, TurningPolicy
from engine.schema.model import Floor, Job, Move, Pose, Truck
from engine.schema.quantities import Estimate
from engine.schema.uncertainty_bands import low_high

BRAKES = 0.2
"""Deceleration of a stop that nobody has measured, as a share of gravity (ours)."""

LEAST_STOP_M = 0.10
"""No truck stops in less (ours)."""

STEP_M = 0.020
"""Step of the floor under one front wheel while creeping (common practice, no source)."""

INCHING_M_S, INCHING_M = 0.3, 2.0
"""A load may be crept raised no faster and no further than this, to place it (common practice, no source)."""


TURNING_M_S, TURN_M = 0.5, 2.0
"""Speed and radius of a turn of which nobody has said more (ours); tighter is for inching alone."""


class Creep(NamedTuple):
    """Speed (m/s), stopping distance and step (m) of a move's creeps; ``said`` is whether somebody entered the speed.

    ``distance_m`` is how far it creeps, None if not entered; ``radius_m`` that of its turns, None where it goes
    straight.
    """

    speed_m_s: float
    stop_m: float
    step_m: float
    said: bool
    distance_m: float | None
    radius_m: float | None = None

    @property
    def inching(self) -> bool:
        """Whether it is slow and short enough to place a raised load."""
        return self.distance_m is not None and self.distance_m <= INCHING_M and self.speed_m_s <= INCHING_M_S

    @property
    def too_fast_for_its_turn(self) -> bool:
        """Whether it turns tighter than is usual, and faster than one inches."""
        return self.radius_m is not None and self.radius_m < TURN_M and self.speed_m_s > INCHING_M_S


def creep_of(move: Move, truck: Truck) -> Creep:
    """A move's creeps as entered, and what is taken where nothing is."""
    radius_m = _radius_m(move, truck) if move.turning else None
    speed_m_s = move.speed_m_s
    if speed_m_s is None:
        speed_m_s = WALKING_PACE_M_S
        if radius_m is not None:
            speed_m_s = TURNING_M_S if radius_m >= TURN_M else INCHING_M_S
    brakes_m = max(LEAST_STOP_M, speed_m_s**2 / (2.0 * BRAKES * GRAVITY_M_S2))
    return Creep(
        speed_m_s=speed_m_s,
        stop_m=brakes_m if move.stop_m is None else move.stop_m,
        step_m=STEP_M if move.step_m is None else move.step_m,
        said=move.speed_m_s is not None,
        distance_m=move.distance_m,
        radius_m=radius_m,
    )


def _radius_m(move: Move, truck: Truck) -> float:
    """Radius at the front axle's middle; the tightest that the truck may turn is the hardest on every limit."""
    if move.turn_radius_m is not None:
        return move.turn_radius_m
    return max(TURN_M, least_radius_m(truck) or 0.0)


def least_radius_m(truck: Truck) -> float | None:
    """The least radius that the truck may turn with, at the front axle's middle; None where nobody has entered it.

    What is entered is the circle of the outermost corner, at the rear.
    """
    if truck.turning_radius_m is None:
        return None
    outer_m, _ = low_high(truck.turning_radius_m, "length")
    back_m = truck.wheelbase_m.best + rear_overhang_m(truck)
    return math.sqrt(max(outer_m**2 - back_m**2, 0.0)) - half_width_m(truck)


def creeping(job: Job, creep: Creep) -> Job:
    """The job with a creep's stop, turn and swing among its allowances, and its step in the floors' fall across."""
    return over_step(_underway(job, creep, creep.speed_m_s), creep)


def _underway(job: Job, creep: Creep, speed_m_s: float) -> Job:
    """The job with the allowances of a stop from some speed, on the way round a turn where the creep has one."""
    if creep.radius_m is None:
        return while_stopping(job, speed_m_s, creep.stop_m)
    slowing_m_s2 = max(speed_m_s**2 / (2.0 * creep.stop_m), job.policy.braking * GRAVITY_M_S2)
    turn = Turn(radius_m=creep.radius_m, speed_m_s=speed_m_s, slowing_m_s2=slowing_m_s2)
    entered: dict[str, Any] = {name: getattr(job.policy, name) for name in job.policy.__struct_fields__} | {
        "braking": 0.0
    }
    return msgspec.structs.replace(job, policy=TurningPolicy(**entered, turn=turn))


def over_step(job: Job, creep: Creep) -> Job:
    """The job with every side slope less sure by a step under either front wheel."""
    roll = creep.step_m / job.truck.front_track_m.best
    return msgspec.structs.replace(job, floors=tuple(_rolled(floor, roll) for floor in job.floors))


def _rolled(floor: Floor, roll: float) -> Floor:
    across = floor.fall_across
    if across is None:
        return floor
    low, high = low_high(across, "fall")
    rolled = Estimate(best=across.best, known=across.known, low=low - roll, high=high + roll)
    return msgspec.structs.replace(floor, fall_across=rolled)


def fastest_m_s(job: Job, creep: Creep, *poses: Pose) -> float:
    """Fastest speed (m/s) from which a creep's stop keeps every limit in all of these poses."""
    stepped = over_step(job, creep)

    def underway(speed_m_s: float) -> Job:
        return _underway(stepped, creep, speed_m_s)

    return min(fastest(stepped, pose, creep.stop_m, underway=underway).speed_m_s for pose in poses)
