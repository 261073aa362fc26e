"""What a stop does to a hung load and to the rear wheels, and the fastest speed from which every limit still holds.

Method.  The truck slows down evenly by ``a`` over the time ``t`` (distance d from speed v: a = v^2/2d, t = 2d/v).  The
load hangs on a sling, lags behind and swings through: a pendulum of length l under an even push for a time t pulls
sideways at the hook with

    k = (2a/g) sin(min(w t, pi) / 2),    w = sqrt(g / l),

times its own weight: 2a/g for a long gentle stop, v / sqrt(g l) for a dead one.  This is the solution for small
swings; a larger swing pulls a little less (the tests integrate it).

Truck and rig press forward with ``a`` meanwhile.  Both are taken at once, though the load swings furthest a moment
later.  A longer sling pulls less at a sudden stop but swings out further; the height of the hook is what costs
margin.

Source: dynamics of a pendulum under an even push.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import msgspec

from engine.base.geometry import GRAVITY_M_S2
from engine.limits import balance
from engine.limits.balance import Allowances
from engine.planning.sweep import Stop, Stopped, best_over, judge, never
from engine.rig.deflection import place_bent
from engine.rig.kinematics import figures
from engine.schema.model import Job, Pose

WALKING_PACE_M_S = 1.4
"""5 km/h (common practice, no source): a start for the user's own speed."""

STOP_M = 0.5
"""Distance in which a truck at walking pace stops when somebody shouts (common practice, no source)."""

FASTEST_M_S = 4.0
"""Fastest speed that is tried: nobody drives a hung load faster than a run."""

NOMINAL_HALVINGS, HALVINGS = 14, 6
"""Halvings of the bracket of the speed, with nominal values and then in the worst case: to a sixty-fourth of it."""


class Braking(msgspec.Struct, kw_only=True, frozen=True):
    """A stop and what it does: nominal values, no other allowance; masses are reactions over standard gravity.

    ``pull`` is the sideways pull at the hook over the weight of what hangs on it, ``side_N`` the same as a force, and
    ``wander_m`` how far the load swings out.
    """

    speed_m_s: float
    stop_m: float
    slowing_m_s2: float
    pull: float
    side_N: float
    wander_m: float
    rear_standing_kg: float
    rear_stopping_kg: float

    @property
    def rear_lost_kg(self) -> float:
        """Weight the stop takes off the rear wheels."""
        return self.rear_standing_kg - self.rear_stopping_kg


class FastestSpeed(msgspec.Struct, kw_only=True, frozen=True):
    """Fastest speed from which a stop keeps every limit in the worst case, and the limit that a faster one exceeds."""

    speed_m_s: float
    stop_m: float
    governing: str


def braking(job: Job, pose: Pose, speed_m_s: float = WALKING_PACE_M_S, stop_m: float = STOP_M) -> Braking:
    """A stop from a speed within a distance."""
    slowing, pull = slowing_and_pull(job, speed_m_s, stop_m)
    placed = place_bent(job, figures(job, pose))
    standing = balance.weigh(placed)
    stopping = balance.weigh(placed, _allowances(slowing, pull))
    hung_N = GRAVITY_M_S2 * float(placed.figures.load_kg + placed.figures.rigging_kg)
    return Braking(
        speed_m_s=speed_m_s,
        stop_m=stop_m,
        slowing_m_s2=slowing,
        pull=pull,
        side_N=hung_N * pull,
        wander_m=pendulum_m(job) * min(pull, 1.0),
        rear_standing_kg=float(standing.rear_kg),
        rear_stopping_kg=float(stopping.rear_kg),
    )


def slowing_and_pull(job: Job, speed_m_s: float, stop_m: float) -> tuple[float, float]:
    """Deceleration of the truck (m/s2), and the sideways pull at the hook over the weight of what hangs on it."""
    if speed_m_s <= 0.0:
        return 0.0, 0.0
    slowing = speed_m_s**2 / (2.0 * stop_m)
    stop_s = 2.0 * stop_m / speed_m_s
    rate = math.sqrt(GRAVITY_M_S2 / pendulum_m(job))
    return slowing, 2.0 * slowing / GRAVITY_M_S2 * math.sin(min(rate * stop_s, math.pi) / 2.0)


def pendulum_m(job: Job) -> float:
    """Length of the pendulum: from the hook pin to the middle of the load."""
    return job.rig.hook.drop_m + job.load.sling_m + job.load.height_m / 2.0


def _allowances(slowing: float, pull: float) -> Allowances:
    """Braking acts on everything, the load included; what the load pulls beyond that is swing."""
    share = slowing / GRAVITY_M_S2
    return Allowances(braking=share, swing_rad=math.atan(max(pull - share, 0.0)))


def while_stopping(job: Job, speed_m_s: float, stop_m: float) -> Job:
    """The job with the allowances of a stop, so that every limit counts it.

    Braking and swing that the job allows for already stay where they are larger.
    """
    allowances = _allowances(*slowing_and_pull(job, speed_m_s, stop_m))
    policy = msgspec.structs.replace(
        job.policy,
        braking=max(job.policy.braking, allowances.braking),
        swing_rad=max(job.policy.swing_rad, allowances.swing_rad),
    )
    return msgspec.structs.replace(job, policy=policy)


def fastest(
    job: Job,
    pose: Pose,
    stop_m: float = STOP_M,
    stop: Stop = never,
    underway: Callable[[float], Job] | None = None,
) -> FastestSpeed:
    """Fastest speed from which the truck may stop in a distance with every limit kept in the worst case.

    A faster stop in the same distance is harder on every limit, so the speed is found by halving.

    Parameters
    ----------
    job : Job
    pose : Pose
    stop_m : float
        Distance in which the truck stops.
    stop : callable
        Asked before each verdict.
    underway : callable, optional
        The job with the allowances of a stop from some speed (m/s); by default of one on a straight way.

    Raises
    ------
    Stopped
        When ``stop`` answers true.
    """
    standing = judge(job, pose)
    if not standing.within:
        return FastestSpeed(speed_m_s=0.0, stop_m=stop_m, governing=standing.worst)

    def slowed(speed_m_s: float) -> Job:
        return while_stopping(job, speed_m_s, stop_m) if underway is None else underway(speed_m_s)

    def keeps_nominally(speed_m_s: float) -> bool:
        return float(best_over(slowed(speed_m_s), pose, figures(job, pose), "nothing").use) <= 1.0

    def keeps(speed_m_s: float) -> bool:
        if stop():
            raise Stopped
        return judge(slowed(speed_m_s), pose).within

    # The worst case is never better than the nominal one, which costs little: it says where not to look.
    _, most = _bracket(0.0, FASTEST_M_S, NOMINAL_HALVINGS, keeps_nominally)
    low, high = _bracket(0.0, most, HALVINGS, keeps)
    return FastestSpeed(speed_m_s=low, stop_m=stop_m, governing=judge(slowed(high), pose).worst)


def _bracket(low: float, high: float, halvings: int, holds: Callable[[float], bool]) -> tuple[float, float]:
    """The greatest value that holds lies between both; where the upper end still holds, both are that."""
    if holds(high):
        return high, high
    for _ in range(halvings):
        middle = (low + high) / 2.0
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low, high
