"""Fork heights and arm turns that bring the hook to a point, for many starts at once, whatever arms are fitted.

Method.  A stance is a row of coordinates: fork height (m), then the turn of every fitted arm (rad).  The boom stays in
its hole.  From each start, Gauss-Newton steps on the joints' own directions of motion (`engine.schema.joints`) take the
hook pin to the point, each step the shortest that would (damped least squares).  No step turns an arm by more than
`LONGEST_STEP_RAD`, and one that comes no nearer is taken back and tried with more damping.  A coordinate at its bound
that would have to go past it is left out, and the others make up for it.  Where a point cannot be met, the rows come to
rest as near it as they get from where they started.
"""

from __future__ import annotations

from typing import NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array, Frame, Indices, Number, Vec
from engine.rig.kinematics import Figures, arm_link, drawable, figures, fitted_arms, inner_frames, walk
from engine.schema.model import Job, Pose

REPLACE = msgspec.structs.replace

STOP_M = 1e-6
"""A hook this near its point needs no further step."""

LONGEST_STEP_RAD = 0.3
"""Most an arm turns in one step: its direction of motion holds no further."""

STEPS = 60
IDLE = 1e-8
"""A row whose coordinates (m, rad) would all change less in a step has come to rest."""

DAMPING_M2 = 1e-9
"""Keeps a step finite where no joint moves the hook in some direction: straight arms, level arms alone."""

LESS, MORE = 0.1, 30.0
"""How the damping of a row changes after a step that came nearer, and after one that did not; ours."""

DAMPED_M2 = 1e-6
"""Damping at least, after a step that came no nearer."""


class Chain(NamedTuple):
    """What stays of a pose while its hook is brought to a point: everything but hole, fork height and turns.

    ``numbers`` and the frames ``inner`` are those with the forks at 0; ``up`` and ``along`` are unit vectors (3,) of
    the forks' motion and of the boom.  ``arms`` are the arms fitted.
    """

    job: Job
    numbers: Figures
    inner: dict[str, Frame]
    arms: tuple[int, ...]
    up: Array
    along: Array


class Rows(NamedTuple):
    """Stances in rows: how far the boom is out (n,), and coordinates between bounds, each (n, 1 + arms)."""

    out_m: Array
    at: Array
    least: Array
    most: Array

    def picked(self, which: Indices | NDArray[np.bool_]) -> Rows:
        """Some of the rows."""
        return Rows(*(part[which] for part in self))

    def moved_to(self, at: Array) -> Rows:
        """The rows with other coordinates, none past its bounds."""
        return self._replace(at=np.clip(at, self.least, self.most))


def joined(parts: list[Rows]) -> Rows:
    """Rows of several one after another."""
    return Rows(*(np.concatenate(arrays) for arrays in zip(*parts, strict=True)))


def chain_of(job: Job, pose: Pose) -> Chain:
    """The chain of a pose; a floor whose slope is not known is taken as level, since no verdict comes of it."""
    numbers = REPLACE(drawable(figures(job, pose)), lift_m=0.0)
    inner = inner_frames(job, numbers)
    up, along = inner["forks"].axes.z, inner["boom"].axes.x
    return Chain(job, numbers, inner, fitted_arms(numbers), up.array(), along.array())


def pin_target(chain: Chain, hook_m: Vec) -> Array:
    """Where the hook pin is (3,) when the hook bears at a point."""
    gravity = walk(chain.job, chain.numbers, chain.inner).gravity
    return (hook_m - gravity.times(chain.job.rig.hook.drop_m)).array()


def pin_and_motion(chain: Chain, out_m: Array, at: Array) -> tuple[Array, Array]:
    """The hook pin (n, 3), and how it moves with each coordinate (n, 3, 1 + arms)."""
    turns = list(chain.numbers.turns_rad)
    for column, index in enumerate(chain.arms, start=1):
        turns[index] = at[:, column]
    placed = walk(chain.job, REPLACE(chain.numbers, boom_out_m=out_m, turns_rad=tuple(turns)), chain.inner)
    shape = (len(at), 3)
    motions = [np.broadcast_to(chain.up, shape)]
    for index in chain.arms:
        motion = chain.job.rig.arms[index].joint.motion(placed.frames[arm_link(index)], placed.tip_m)
        motions.append(np.broadcast_to(motion.array(), shape))
    pin = np.broadcast_to(placed.tip_m.array(), shape) + at[:, :1] * chain.up
    return pin, np.stack(motions, axis=-1)


def solve(chain: Chain, target: Array, rows: Rows) -> tuple[Rows, Array]:
    """Bring the hook pin to a target from every row, by the method at the top of this module.

    Returns
    -------
    tuple of Rows and array
        The rows where they came to rest, and how far (m) each misses the target (n,).
    """
    at = np.clip(rows.at, rows.least, rows.most)
    best, miss_m = at.copy(), np.full(len(at), np.inf)
    lack, motion = np.zeros((len(at), 3)), np.zeros((len(at), 3, at.shape[1]))
    damping_m2 = np.full(len(at), DAMPING_M2)
    active = np.arange(len(at))
    for _ in range(STEPS):
        if not active.size:
            break
        pin, motion_now = pin_and_motion(chain, rows.out_m[active], at[active])
        lack_now = target - pin
        now_m = np.sqrt(np.einsum("ni,ni->n", lack_now, lack_now))
        nearer = now_m < miss_m[active]
        before_m2 = damping_m2[active]
        less, more = np.maximum(LESS * before_m2, DAMPING_M2), np.maximum(MORE * before_m2, DAMPED_M2)
        damping_m2[active] = np.where(nearer, less, more)
        taken = active[nearer]
        best[taken], miss_m[taken] = at[taken], now_m[nearer]
        lack[taken], motion[taken] = lack_now[nearer], motion_now[nearer]
        now = rows._replace(at=best).picked(active)
        step = shortest_step(now, motion[active], lack[active], damping_m2[active])
        after = now.moved_to(now.at + step).at
        going = (miss_m[active] > STOP_M) & (np.abs(after - now.at).max(axis=1) > IDLE)
        active = active[going]
        at[active] = after[going]
    return rows._replace(at=best), miss_m


def shortest_step(rows: Rows, motion: Array, lack: Array, damping_m2: Number = DAMPING_M2) -> Array:
    """The bounded step of each row (n, 1 + arms) that makes up for what its pin lacks (n, 3)."""
    step = _damped(motion, lack, damping_m2)
    for _ in range(rows.at.shape[1]):
        held = ((rows.at <= rows.least) & (step < 0.0)) | ((rows.at >= rows.most) & (step > 0.0))
        if not held.any():
            break
        motion = np.where(held[:, None, :], 0.0, motion)
        step = _damped(motion, lack, damping_m2)
    turned = np.abs(step[:, 1:]).max(axis=1, initial=0.0)
    return step * (LONGEST_STEP_RAD / np.maximum(turned, LONGEST_STEP_RAD))[:, None]


def _damped(motion: Array, lack: Array, damping_m2: Number) -> Array:
    """The shortest step whose motion makes up for a lack, damped."""
    square = motion @ motion.transpose(0, 2, 1) + np.asarray(damping_m2)[..., None, None] * np.eye(3)
    return np.einsum("nik,ni->nk", motion, np.linalg.solve(square, lack[..., None])[..., 0])
