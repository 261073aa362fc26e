"""Reach map: where the hook may be with this load, seen from the side and from above.

A map is a grid of points in one plane: side view (x, z) in the plane of the present hook, or plan (x, y) at its present
height.  For every point all exact ways of the rig to it (``engine.aim``: every pin hole, elbow to either side) are
evaluated at once, and the point takes the best of them: it is allowed when some way there is within the limits.  A rig
with fewer than two turning arms reaches lines, not areas; a way counts for a cell when its hook lies within half a cell
of the middle.

Every cell keeps the stance behind its number, so that any of them can be set up and judged by itself.  A stance that
cannot be for a reason outside the joints' own limits makes its cell not allowed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.aim import Stances, pose_of, stances_at
from engine.checks import Problem
from engine.geometry import Array, Vec
from engine.model import Job, Pose
from engine.placing import Figures, figures, place
from engine.plate import HEIGHT_TOLERANCE_M
from engine.possible import boom_limits_m, impossibilities
from engine.sweep import Stop, Tell, limits_in_blocks, never, quiet
from engine.verdict import find_problems

View = Literal["side", "plan"]

COARSE_M = 0.15
FINE_M = 0.05
"""Cell sizes: a first map at once, then one that shows the rim (a hand's breadth on the floor)."""


class ReachMap(msgspec.Struct, kw_only=True, frozen=True):
    """One map; arrays have shape (across, x): rows are heights (side) or places to the left (plan).

    ``use`` is the best there is at each cell, infinite where the hook cannot be; ``governing`` indexes ``names`` (-1
    there); ``hole``, ``lift_m`` and ``turns_rad`` (last axis: arms) are the stance behind it.
    """

    view: View
    problems: tuple[Problem, ...]
    cell_m: float
    plane_m: float
    x_m: Array
    across_m: Array
    use: Array
    allowed_kg: Array
    names: tuple[str, ...]
    governing: NDArray[np.intp]
    hole: NDArray[np.intp]
    out_m: Array
    lift_m: Array
    turns_rad: Array

    @property
    def reachable(self) -> NDArray[np.bool_]:
        """Cells some stance of the rig can bring the hook to."""
        return self.governing >= 0

    @property
    def allowed(self) -> NDArray[np.bool_]:
        """Cells where some stance is within the limits."""
        return self.use <= 1.0


def reach_levels(
    job: Job, pose: Pose, view: View, stop: Stop = never, tell: Tell = quiet
) -> Iterator[ReachMap]:
    """The coarse map, then the fine one."""
    for cell_m in (COARSE_M, FINE_M):
        yield reach_map(job, pose, view, cell_m, stop=stop, tell=tell)


def reach_map(
    job: Job, pose: Pose, view: View, cell_m: float = FINE_M, stop: Stop = never, tell: Tell = quiet
) -> ReachMap:
    """Where the hook may be with this load.

    Parameters
    ----------
    job : Job
    pose : Pose
        Gives load, tilt, floor, fitted arms and the plane of the map.
    view : str
        ``side`` (x, z) or ``plan`` (x, y).
    cell_m : float
        Size of a cell.
    stop, tell
        Asked and told block by block.

    Raises
    ------
    Stopped
    """
    problems = tuple(find_problems(job, pose))
    hook = place(job, figures(job, pose)).hook_m
    if problems:
        return _empty(job, view, problems, cell_m)
    x_m, across_m = _grid(job, pose, view, cell_m)
    points, plane_m = _points(hook, view, x_m, across_m)
    stances = stances_at(job, pose, points)
    highest_m = max(row.lift_m for row in job.truck.plate.rows) + HEIGHT_TOLERANCE_M
    can = stances.can & (stances.miss_m <= cell_m / 2.0) & (stances.lift_m <= highest_m)
    where = np.argwhere(can)
    limits = limits_in_blocks(job, _figures_of(job, pose, stances, where), len(where), stop, tell)
    best, chosen = _best(where, limits.use, points.x.size)
    shape = (across_m.size, x_m.size)

    def spread(values: Array, none: float) -> Array:
        """Values of the chosen stances, laid out on the grid."""
        full = np.full(points.x.size, none, dtype=np.asarray(values).dtype)
        full[best] = values[chosen]
        return full.reshape(shape)

    places = tuple(where.T)
    at = {name: np.broadcast_to(getattr(stances, name), can.shape)[places] for name in ("hole", "out_m", "lift_m")}
    turns = [
        np.full(len(where), math.nan) if turn is None else np.broadcast_to(turn, can.shape)[places]
        for turn in stances.turns_rad
    ]
    found = ReachMap(
        view=view,
        problems=(),
        cell_m=cell_m,
        plane_m=plane_m,
        x_m=x_m,
        across_m=across_m,
        use=spread(limits.use, math.inf),
        allowed_kg=spread(limits.allowed_kg, 0.0),
        names=limits.names,
        governing=spread(limits.worst, -1),
        hole=spread(at["hole"], 0),
        out_m=spread(at["out_m"], math.nan),
        lift_m=spread(at["lift_m"], math.nan),
        turns_rad=np.stack([spread(turn, math.nan) for turn in turns], axis=-1) if turns else np.zeros((*shape, 0)),
    )
    return _without_impossible(job, pose, found)


def stance_at(pose: Pose, found: ReachMap, row: int, column: int) -> Pose:
    """The pose behind one reachable cell of a map made from ``pose``."""
    turns = tuple(None if math.isnan(turn) else np.array([turn]) for turn in found.turns_rad[row, column])
    one = Stances(
        hole=found.hole[row, column].reshape(1),
        out_m=found.out_m[row, column].reshape(1),
        lift_m=found.lift_m[row, column].reshape(1),
        turns_rad=turns,
        miss_m=np.zeros(1),
        can=np.ones(1, bool),
    )
    return pose_of(pose, one, (0,))


# ---------------------------------------------------------------- steps


def _grid(job: Job, pose: Pose, view: View, cell_m: float) -> tuple[Array, Array]:
    """Middles of the cells: whatever the rig could reach with every joint anywhere, and a cell more."""
    rig, numbers = job.rig, figures(job, pose)
    placed = place(job, numbers)
    mast_x = placed.frames["boom"].origin.x
    arms_m = sum(rig.arms[index].length_m for index, turn in enumerate(numbers.turns_rad) if turn is not None)
    out_m = boom_limits_m(job)[1]
    lean_m = abs(placed.frames["forks"].axes.z.x) * job.truck.upright.lift_max_m
    x_m = _middles(mast_x - arms_m - lean_m, mast_x + out_m + arms_m + lean_m, cell_m)
    if view == "plan":
        side_m = max(arms_m, cell_m)
        return x_m, _middles(-side_m, side_m, cell_m)
    upright = job.truck.upright
    per_m = placed.frames["forks"].axes.z.z
    low, high = (placed.hook_m.z + per_m * (lift - numbers.lift_m) for lift in (upright.lift_min_m, upright.lift_max_m))
    lean_z = abs(placed.frames["boom"].axes.x.z) * (out_m + arms_m)
    return x_m, _middles(low - lean_z, high + lean_z, cell_m)


def _middles(low: float, high: float, cell_m: float) -> Array:
    """Multiples of the cell size that cover a range: the same cells whatever the range, so that maps line up."""
    return cell_m * np.arange(math.floor(low / cell_m), math.ceil(high / cell_m) + 1)


def _points(hook: Vec, view: View, x_m: Array, across_m: Array) -> tuple[Vec, float]:
    across, x = (part.ravel() for part in np.meshgrid(across_m, x_m, indexing="ij"))
    if view == "side":
        return Vec(x, np.full(x.size, hook.y), across), float(hook.y)
    return Vec(x, across, np.full(x.size, hook.z)), float(hook.z)


def _figures_of(job: Job, pose: Pose, stances: Stances, where: NDArray[np.intp]) -> Figures:
    """Figures of the stances at some places of their arrays, one after another."""
    places, shape = tuple(where.T), stances.can.shape

    def picked(values: object) -> object:
        return np.broadcast_to(values, shape)[places] if isinstance(values, np.ndarray) else values

    return msgspec.structs.replace(
        figures(job, pose),
        boom_out_m=picked(stances.out_m),
        lift_m=picked(stances.lift_m),
        turns_rad=tuple(picked(turn) for turn in stances.turns_rad),
    )


def _best(where: NDArray[np.intp], use: Array, count: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Points that have a stance, and for each the index of its stance with the smallest use."""
    point = where[:, 2]
    order = np.lexsort((use, point))
    first = np.ones(order.size, bool)
    first[1:] = point[order][1:] != point[order][:-1]
    chosen = order[first]
    return point[chosen], chosen


def _without_impossible(job: Job, pose: Pose, found: ReachMap) -> ReachMap:
    """Cells whose stance cannot be, taken out; asked only of cells that would be allowed."""
    use = found.use.copy()
    for row, column in np.argwhere(found.allowed):
        if impossibilities(job, stance_at(pose, found, row, column)):
            use[row, column] = math.inf
    return msgspec.structs.replace(found, use=use)


def _empty(job: Job, view: View, problems: tuple[Problem, ...], cell_m: float) -> ReachMap:
    none = np.zeros((0, 0))
    return ReachMap(
        view=view,
        problems=problems,
        cell_m=cell_m,
        plane_m=math.nan,
        x_m=np.zeros(0),
        across_m=np.zeros(0),
        use=none,
        allowed_kg=none,
        names=(),
        governing=none.astype(np.intp),
        hole=none.astype(np.intp),
        out_m=none,
        lift_m=none,
        turns_rad=np.zeros((0, 0, len(job.rig.arms))),
    )
