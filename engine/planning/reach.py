"""Reach map: where the hook may be with this load, seen from the side and from above.

A map is a grid of points in one plane: side view (x, z) in the plane of the present hook, or plan (x, y) at its present
height.  For every point all exact ways of the rig to it (``engine.planning.inverse_kinematics``: every pin hole, elbow to either side) are
evaluated at once with best values, and the point takes the way with the smallest use; where that one fails in the worst
case, every other way that could pass is tried.  The point is allowed when some way there is within the limits.  A rig
with fewer than two turning arms reaches lines, not areas; a way counts for a cell when its hook lies within half a cell
of the middle.

Every cell keeps the stance behind its number, so that any of them can be set up and judged by itself.  A stance that
cannot be for a reason outside the joints' own limits makes its cell not allowed.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable
from typing import Literal

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array, Vec
from engine.limits.plate import HEIGHT_TOLERANCE_M
from engine.planning.inverse_kinematics import Stances, pose_of, stances_at
from engine.planning.sweep import Limits, Stop, Tell, best_over, limits_in_blocks, limits_over, never, quiet
from engine.rig.check import Problem
from engine.rig.feasibility import boom_limits_m, impossibilities
from engine.rig.kinematics import Figures, figures, place
from engine.schema.model import Job, Pose
from engine.schema.sections import outer_depth_m
from engine.worst_case.verdict import find_problems

View = Literal["side", "plan"]

COARSE_M = 0.20
FINE_M = 0.10
"""Cell sizes: a first map at once, then one that shows the rim to a hand's breadth."""


class ReachMap(msgspec.Struct, kw_only=True, frozen=True):
    """One map; arrays have shape (across, x): rows are heights (side) or places to the left (plan).

    ``use`` is the best there is at each cell in the worst case (where best values are over already, theirs), infinite
    where the hook cannot be; ``governing`` indexes ``names`` (-1 there); ``hole``, ``lift_m`` and ``turns_rad`` (last axis: arms) are the stance behind it.
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


def reach_map(
    job: Job,
    pose: Pose,
    view: View,
    cell_m: float = FINE_M,
    stop: Stop = never,
    tell: Tell = quiet,
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
    can = (
        stances.can & (stances.miss_m <= cell_m / 2.0) & (stances.lift_m <= highest_m) & ~_in_the_way(job, pose, points)
    )
    where = np.argwhere(can)
    where, limits = _chosen(job, pose, stances, where, stop, tell)
    best = where[:, 2]
    shape = (across_m.size, x_m.size)

    def spread(values: Array, none: float) -> Array:
        """Values of the chosen stances, laid out on the grid."""
        full = np.full(points.x.size, none, dtype=np.asarray(values).dtype)
        full[best] = values
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
    arms_m = sum(rig.arms[index].reach_m for index, turn in enumerate(numbers.turns_rad) if turn is not None)
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


def _in_the_way(job: Job, pose: Pose, points: Vec) -> NDArray[np.bool_]:
    """Points at which the load, or the hook alone, would hang inside the truck or against its own jib mast.

    Seen from above: the truck is as wide as its front tyres and reaches up to the fork face; which way the load hangs
    round is not known, so what is taken out is only where it fits neither way.
    """
    load, truck, numbers = job.load, job.truck, figures(job, pose)
    round_m = min(load.length_m, load.width_m) / 2.0 if pose.loaded else 0.0
    mast_x = place(job, numbers).frames["boom"].origin.x
    to_mast_m = np.hypot(points.x - mast_x, points.y) - outer_depth_m(job.rig.jib_mast.section) / 2.0
    aside_m = np.maximum(np.abs(points.y) - truck.front_track_m.best / 2.0, 0.0)
    ahead_m = np.maximum(points.x - numbers.front_overhang_m, 0.0)
    return (np.hypot(aside_m, ahead_m) <= round_m) | (to_mast_m <= round_m)


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


def _chosen(
    job: Job, pose: Pose, stances: Stances, where: NDArray[np.intp], stop: Stop, tell: Tell
) -> tuple[NDArray[np.intp], Limits]:
    """For each point one stance and its limits in the worst case.

    The stance with the smallest use at best values is tried first.  A worst case is never better than best values, so a
    point whose best values fail already keeps those, and only where the first stance fails, and another passes at best
    values, can another be allowed: those are tried too.
    """

    def over(places: NDArray[np.intp], evaluate: Callable[[Figures], Limits], first: float, last: float) -> Limits:
        numbers = _figures_of(job, pose, stances, places)
        return limits_in_blocks(
            evaluate, numbers, len(places), stop, lambda share: tell(first + share * (last - first))
        )

    worst = functools.partial(limits_over, job, pose)
    tried = over(where, functools.partial(best_over, job), 0.0, 0.2)
    chosen = _least_of_each(where[:, 2], tried.use)
    hopeful = tried.use[chosen] <= 1.0
    limits = _put(_some(tried, chosen), hopeful, over(where[chosen[hopeful]], worst, 0.2, 0.6))
    failed = where[chosen][limits.use > 1.0, 2]
    others = np.flatnonzero((tried.use <= 1.0) & np.isin(where[:, 2], failed))
    others = np.setdiff1d(others, chosen)
    if not others.size:
        tell(1.0)
        return where[chosen], limits
    more = over(where[others], worst, 0.6, 1.0)
    places = np.concatenate([where[chosen], where[others]])
    both = _joined(limits, more)
    least = _least_of_each(places[:, 2], both.use)
    return places[least], _some(both, least)


def _least_of_each(point: NDArray[np.intp], use: Array) -> NDArray[np.intp]:
    """Index of the smallest use of each point."""
    order = np.lexsort((use, point))
    first = np.ones(order.size, bool)
    first[1:] = point[order][1:] != point[order][:-1]
    return order[first]


_EACH = ("use", "worst", "allowed_kg", "governing")


def _put(limits: Limits, which: NDArray[np.bool_], others: Limits) -> Limits:
    """The limits with some of them replaced by others, which name the same checks."""
    changed = {}
    for name in _EACH:
        values = np.array(getattr(limits, name))
        values[which] = getattr(others, name)
        changed[name] = values
    return msgspec.structs.replace(limits, **changed)


def _joined(one: Limits, other: Limits) -> Limits:
    return msgspec.structs.replace(
        one, **{name: np.concatenate([getattr(one, name), getattr(other, name)]) for name in _EACH}
    )


def _some(limits: Limits, which: NDArray[np.intp]) -> Limits:
    return msgspec.structs.replace(limits, **{name: getattr(limits, name)[which] for name in _EACH})


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
