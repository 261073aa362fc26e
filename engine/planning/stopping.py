"""Swing: what a stop from walking pace does to the hook and to the rear wheels.

Method.  The truck slows evenly by ``a`` for the time ``t`` it takes to stand (distance d from speed v: a = v^2/2d,
t = 2d/v).  The load, hung on a sling, lags behind and swings through: a pendulum of length l pushed evenly for a time t
swings out to

    k = (2a/g) sin(min(w t, pi) / 2),    w = sqrt(g / l),

in units of its own weight pulling sideways at the hook: 2a/g for a long gentle stop, v / sqrt(g l) for a dead one.  This
is the small-swing solution; for larger swings it pulls a little less than that (held by integration in the tests).

The truck and rig press forward with a meanwhile.  Both are taken at once, though the load swings furthest a moment later.
A longer sling pulls less at a sudden stop but wanders further; what costs margin is the height of the hook.

Sources: dynamics of a pendulum under an even push.  Walking pace and stopping distance are starts to be replaced by the
user's own (common practice, no source).
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
"""5 km/h (common practice, no source)."""

STOP_M = 0.5
"""Distance in which a truck at walking pace is stopped when somebody shouts (common practice, no source)."""

FASTEST_M_S = 4.0
"""Nothing faster is looked for: a hung load is not driven faster than a run."""

BEST_HALVINGS, HALVINGS = 14, 6
"""Of the bracket in which the speed is looked for: to a sixty-fourth of it, always on the slow side."""


class Braking(msgspec.Struct, kw_only=True, frozen=True):
    """A stop and what it does; masses are reactions over standard gravity, best values, no other allowance.

    ``pull`` is the sideways pull at the hook in weights of what hangs on it; ``wander_m`` how far the load swings out.
    """

    speed_m_s: float
    stop_m: float
    slowing_m_s2: float
    pull: float
    side_N: float
    sling_N: float
    wander_m: float
    rear_standing_kg: float
    rear_stopping_kg: float
    rear_share: float
    light_wheel_kg: float

    @property
    def rear_lost_kg(self) -> float:
        """Weight the stop takes off the rear wheels."""
        return self.rear_standing_kg - self.rear_stopping_kg


class Fastest(msgspec.Struct, kw_only=True, frozen=True):
    """Fastest speed at which a stop keeps every limit in the worst case, and the limit it runs into."""

    speed_m_s: float
    stop_m: float
    governing: str


def braking(job: Job, pose: Pose, speed_m_s: float = WALKING_PACE_M_S, stop_m: float = STOP_M) -> Braking:
    """A stop from a speed within a distance.

    Parameters
    ----------
    job : Job
    pose : Pose
    speed_m_s : float
        Speed the truck creeps at; walking pace unless said.
    stop_m : float
        Distance it stops in.
    """
    slowing, pull = slowing_and_pull(job, speed_m_s, stop_m)
    placed = place_bent(job, figures(job, pose))
    standing = balance.weigh(placed)
    stopping = balance.weigh(placed, _allowances(slowing, pull))
    hung_N = GRAVITY_M_S2 * (placed.figures.load_kg + placed.figures.rigging_kg)
    return Braking(
        speed_m_s=speed_m_s,
        stop_m=stop_m,
        slowing_m_s2=slowing,
        pull=pull,
        side_N=hung_N * pull,
        sling_N=hung_N * math.hypot(1.0, pull),
        wander_m=pendulum_m(job) * min(pull, 1.0),
        rear_standing_kg=float(standing.rear_kg),
        rear_stopping_kg=float(stopping.rear_kg),
        rear_share=float(stopping.rear_kg / stopping.normal_kg),
        light_wheel_kg=float(stopping.light_front_kg),
    )


def slowing_and_pull(job: Job, speed_m_s: float, stop_m: float) -> tuple[float, float]:
    """Slowing of the truck (m/s2), and sideways pull of what hangs, in weights of it."""
    if speed_m_s <= 0.0:
        return 0.0, 0.0
    slowing = speed_m_s**2 / (2.0 * stop_m)
    stop_s = 2.0 * stop_m / speed_m_s
    rate = math.sqrt(GRAVITY_M_S2 / pendulum_m(job))
    return slowing, 2.0 * slowing / GRAVITY_M_S2 * math.sin(min(rate * stop_s, math.pi) / 2.0)


def pendulum_m(job: Job) -> float:
    """From the hook pin to the middle of the load."""
    return job.rig.hook.drop_m + job.load.sling_m + job.load.height_m / 2.0


def _allowances(slowing: float, pull: float) -> Allowances:
    """The truck's slowing presses on everything, the load included; what the load swings beyond that comes on top."""
    share = slowing / GRAVITY_M_S2
    return Allowances(braking=share, swing_rad=math.atan(max(pull - share, 0.0)))


def while_stopping(job: Job, speed_m_s: float, stop_m: float) -> Job:
    """The job with its allowances those of a stop, so that every limit is held against it.

    Braking and swing the job already allows for stay when they are larger.
    """
    allowances = _allowances(*slowing_and_pull(job, speed_m_s, stop_m))
    policy = msgspec.structs.replace(
        job.policy,
        braking=max(job.policy.braking, allowances.braking),
        swing_rad=max(job.policy.swing_rad, allowances.swing_rad),
    )
    return msgspec.structs.replace(job, policy=policy)


def fastest(job: Job, pose: Pose, stop_m: float = STOP_M, stop: Stop = never) -> Fastest:
    """Fastest speed from which the truck may be stopped in a distance with every limit kept in the worst case.

    A faster stop in the same distance is harder on every limit, so the speed is found by halving; ``stop`` is asked at
    each try, and `Stopped` raised when it says so.
    """
    standing = judge(job, pose)
    if not standing.within:
        return Fastest(speed_m_s=0.0, stop_m=stop_m, governing=standing.worst)

    def best_use(speed_m_s: float) -> float:
        return float(best_over(while_stopping(job, speed_m_s, stop_m), figures(job, pose)).use)

    def keeps(speed_m_s: float) -> bool:
        if stop():
            raise Stopped
        return judge(while_stopping(job, speed_m_s, stop_m), pose).within

    # The worst case is never kinder than best values, so those say cheaply where not to look.
    _, most = _halved(0.0, FASTEST_M_S, BEST_HALVINGS, lambda speed: best_use(speed) <= 1.0)
    low, high = _halved(0.0, most, HALVINGS, keeps)
    return Fastest(speed_m_s=low, stop_m=stop_m, governing=judge(while_stopping(job, high, stop_m), pose).worst)


def _halved(low: float, high: float, count: int, holds: Callable[[float], bool]) -> tuple[float, float]:
    """A bracket of where something stops to hold; both ends the upper one where it still holds there."""
    if holds(high):
        return high, high
    for _ in range(count):
        middle = (low + high) / 2.0
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low, high
