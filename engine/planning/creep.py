"""Creeping with a load hung: the stop, the load's swing and a step of the floor, as allowances of every limit.

Nobody creeps without stopping.  A move that says no speed creeps at walking pace, and one that says no stop stops as
hard as the truck's brakes do without thought, 0.2 g; a longer stop counts only if somebody enters it.  One front wheel
may run over a step meanwhile, which rolls the truck by the step's height over its front track.
"""

from __future__ import annotations

from typing import NamedTuple

import msgspec

from engine.base.geometry import GRAVITY_M_S2
from engine.planning.stopping import WALKING_PACE_M_S, fastest, while_stopping
from engine.schema.model import Floor, Job, Move, Pose
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


class Creep(NamedTuple):
    """Speed (m/s), stopping distance and step (m) of a move's creeps; ``said`` is whether somebody entered the speed.

    ``distance_m`` is how far it creeps, None if not entered.
    """

    speed_m_s: float
    stop_m: float
    step_m: float
    said: bool
    distance_m: float | None

    @property
    def inching(self) -> bool:
        """Whether it is slow and short enough to place a raised load."""
        return self.distance_m is not None and self.distance_m <= INCHING_M and self.speed_m_s <= INCHING_M_S


def creep_of(move: Move) -> Creep:
    """A move's creeps as entered, and what is taken where nothing is."""
    speed_m_s = WALKING_PACE_M_S if move.speed_m_s is None else move.speed_m_s
    brakes_m = max(LEAST_STOP_M, speed_m_s**2 / (2.0 * BRAKES * GRAVITY_M_S2))
    return Creep(
        speed_m_s=speed_m_s,
        stop_m=brakes_m if move.stop_m is None else move.stop_m,
        step_m=STEP_M if move.step_m is None else move.step_m,
        said=move.speed_m_s is not None,
        distance_m=move.distance_m,
    )


def creeping(job: Job, creep: Creep) -> Job:
    """The job with a creep's stop and swing among its allowances, and its step in the floors' fall across."""
    return over_step(while_stopping(job, creep.speed_m_s, creep.stop_m), creep)


def over_step(job: Job, creep: Creep) -> Job:
    """The job with every floor's fall across less sure by a step under either front wheel."""
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
    return min(fastest(stepped, pose, creep.stop_m).speed_m_s for pose in poses)
