"""Reach map: where the hook may be with this load, seen from the side and from above.

A map is a grid of points in one plane: side view (x, z) in the plane of the present hook, or plan (x, y) at its
present height.  For every point, all stances that bring the hook there (``engine.planning.inverse_kinematics``: every
pin hole, elbow to either side) are evaluated at once with nominal values, and the point takes the stance with the
smallest use.  Where that one fails in the worst case, every other stance that could pass is tried.  The point is
allowed when some stance is within the limits.  A rig with fewer than two turning arms reaches lines, not areas; a
stance counts for a cell when its hook lies within half a cell of the middle.

Every cell keeps the stance of its middle, so that the stance can be set up and judged by itself.  A cell whose stance
is impossible for a reason other than the joints' own limits is not allowed.

**Whole cells.**  A cell is allowed only if its middle and its four corners are, all by the same pin hole and the elbow
to the same side, and so is what lies between them, taken to bulge no more than the middle stands off the corners'
average.  Its allowed load is the least of the five, less as much.  A corner that is not reached takes the cell away,
unless the rig reaches lines only.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable
from typing import NamedTuple, TypeVar

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array, Number, Vec
from engine.limits.plate import highest_lift_m
from engine.planning.inverse_kinematics import Stances, pose_of, stances_at
from engine.planning.sweep import Limits, Stop, Tell, best_over, limits_in_blocks, limits_over, never, quiet
from engine.rig.check import Problem
from engine.rig.feasibility import boom_limits_m, impossibilities
from engine.rig.kinematics import Figures, figures, place
from engine.schema.joints import View
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import find_problems, find_unsettled

COARSE_M = 0.20
FINE_M = 0.10
"""Cell sizes: a first map that is there at once, then one that shows the edge to a hand's breadth."""

ON_POINT_M = 1e-6
"""A stance whose hook misses the point by more than this is of a rig that reaches lines, not areas."""

Element = TypeVar("Element", bound=np.generic)


class ReachMap(msgspec.Struct, kw_only=True, frozen=True):
    """One map; arrays have shape (across, x): rows are heights (side) or places to the left (plan).

    ``use`` is the smallest worst-case use of any stance at each cell's middle (where all are over with nominal values,
    the smallest nominal use), infinite where the hook cannot be.  ``governing`` indexes ``names``, -1 where the hook
    cannot be.  ``hole``, ``out_m``, ``lift_m`` and ``turns_rad`` (last axis: arms) are the stance behind it.
    ``whole_use`` is the greatest use that is looked for in the cell, ``allowed_kg`` what may hang anywhere in it.
    ``unsettled`` is what leaves the whole map not proven: parts that are not entered, and entries in question.
    """

    view: View
    problems: tuple[Problem, ...]
    cell_m: float
    plane_m: float
    x_m: Array
    across_m: Array
    use: Array
    whole_use: Array
    allowed_kg: Array
    names: tuple[str, ...]
    governing: NDArray[np.intp]
    hole: NDArray[np.intp]
    out_m: Array
    lift_m: Array
    turns_rad: Array
    unsettled: tuple[Problem, ...]

    @property
    def reachable(self) -> NDArray[np.bool_]:
        """Cells that some stance of the rig can bring the hook to."""
        return self.governing >= 0

    @property
    def allowed(self) -> NDArray[np.bool_]:
        """Cells where some stance is within the limits, at middle and corners, and nothing leaves that unproven."""
        return self.holds & (not self.unsettled)

    @property
    def holds(self) -> NDArray[np.bool_]:
        """Cells where some stance is within the limits of the parts entered, at middle and corners."""
        return (self.use <= 1.0) & (self.whole_use <= 1.0)


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
        Called after each block of poses.

    Raises
    ------
    Stopped
        When ``stop`` answers true.
    """
    problems = tuple(find_problems(job, pose))
    if problems:
        return _empty(job, view, problems, cell_m)
    x_m, across_m = _grid(job, pose, view, cell_m)
    points, plane_m = _points(job, pose, view, x_m, across_m)
    stances = stances_at(job, pose, points)
    usable = _usable(job, stances, cell_m)
    chosen, limits, nominal = _chosen(
        job, pose, stances, np.argwhere(usable), stop, lambda share, _trying="": tell(0.5 * share)
    )
    shape = (across_m.size, x_m.size)

    def on_grid(values: NDArray[Element], fill: float) -> NDArray[Element]:
        """Values of the chosen stances laid out on the grid, ``fill`` where there is none."""
        grid = np.full(across_m.size * x_m.size, fill, dtype=values.dtype)
        grid[chosen[:, 2]] = values
        return grid.reshape(shape)

    def of_chosen(values: NDArray[Element]) -> NDArray[Element]:
        return np.broadcast_to(values, usable.shape)[tuple(chosen.T)]

    turns = [
        np.full(shape, math.nan) if turn is None else on_grid(of_chosen(np.asarray(turn, float)), math.nan)
        for turn in stances.turns_rad
    ]
    use, allowed_kg = on_grid(limits.use, math.inf), on_grid(limits.allowed_kg, 0.0)
    lines = chosen.size > 0 and float(np.median(of_chosen(stances.miss_m))) > ON_POINT_M
    middles = _Sampled(stances, _laid_out(stances, usable, nominal, lines))
    whole = _whole(job, pose, view, (x_m, across_m), cell_m, middles, use, lines, stop)
    tell(1.0)
    reach = ReachMap(
        view=view,
        problems=(),
        cell_m=cell_m,
        plane_m=plane_m,
        x_m=x_m,
        across_m=across_m,
        use=use,
        whole_use=whole[0],
        allowed_kg=np.minimum(allowed_kg, whole[1]),
        names=limits.names,
        governing=on_grid(limits.worst, -1),
        hole=on_grid(of_chosen(stances.hole), 0),
        out_m=on_grid(of_chosen(stances.out_m), math.nan),
        lift_m=on_grid(of_chosen(stances.lift_m), math.nan),
        turns_rad=np.stack(turns, axis=-1) if turns else np.zeros((*shape, 0)),
        unsettled=find_unsettled(job, pose),
    )
    return _without_impossible(job, pose, reach)


def stance_at(pose: Pose, reach: ReachMap, row: int, column: int) -> Pose:
    """The pose behind one reachable cell of a map made from ``pose``."""
    turns = tuple(None if math.isnan(turn) else np.array([turn]) for turn in reach.turns_rad[row, column])
    single = Stances(
        hole=reach.hole[row, column].reshape(1),
        out_m=reach.out_m[row, column].reshape(1),
        lift_m=reach.lift_m[row, column].reshape(1),
        turns_rad=turns,
        miss_m=np.zeros(1),
        can=np.ones(1, bool),
    )
    return pose_of(pose, single, (0,))


# ---------------------------------------------------------------- whole cells


def _usable(job: Job, stances: Stances, cell_m: float) -> NDArray[np.bool_]:
    near = (stances.miss_m <= cell_m / 2.0) & (stances.lift_m <= highest_lift_m(job.truck.plate))
    return stances.can & near


class _Sampled(NamedTuple):
    """Stances at points, and the nominal use of each (boom position, elbow side, point), infinite where none is."""

    stances: Stances
    nominal: Array


def _laid_out(stances: Stances, usable: NDArray[np.bool_], nominal: Limits, lines: bool) -> Array:
    """Nominal uses where they belong; of a rig that reaches areas, only of stances that come to the very point."""
    use = np.full(usable.shape, math.inf)
    use[usable] = nominal.use
    return use if lines else np.where(np.broadcast_to(stances.miss_m, use.shape) > ON_POINT_M, math.inf, use)


FAMILIES_TRIED = 2
"""Pin holes and elbow sides tried for a whole cell: those that look best with values as entered."""


def _whole(
    job: Job,
    pose: Pose,
    view: View,
    grid: tuple[Array, Array],
    cell_m: float,
    middles: _Sampled,
    use: Array,
    lines: bool,
    stop: Stop,
) -> tuple[Array, Array]:
    """Greatest use looked for in each cell, and least allowed load of its middle and corners (across, x).

    Infinite, and infinite, where the middle fails already.
    """
    x_m, across_m = (np.append(values - cell_m / 2.0, values[-1] + cell_m / 2.0) for values in grid)
    points, _ = _points(job, pose, view, x_m, across_m)
    stances = stances_at(job, pose, points)
    usable = _usable(job, stances, cell_m)
    where = np.argwhere(usable)
    numbers = _figures_of(job, pose, stances, where)
    nominal = limits_in_blocks(functools.partial(best_over, job, pose), numbers, len(where), stop, quiet)
    corners = _Sampled(stances, _laid_out(stances, usable, nominal, lines))
    whole, allowed_kg = np.full(use.size, math.inf), np.full(use.size, math.inf)
    cells = np.flatnonzero(use.ravel() <= 1.0)
    crossings = _crossings(cells, len(grid[0]))
    for _ in range(FAMILIES_TRIED):
        if not cells.size:
            break
        family = _best_family(middles, corners, cells, crossings, lines)
        whole[cells], allowed_kg[cells] = _of_family(job, pose, middles, corners, cells, crossings, family, lines, stop)
        failed = whole[cells] > 1.0
        hole, elbow = (index[failed] for index in family)
        middles.nominal[hole, elbow, cells[failed]] = math.inf  # not to be tried again
        cells, crossings = cells[failed], crossings[failed]
    return whole.reshape(use.shape), allowed_kg.reshape(use.shape)


def _crossings(cells: NDArray[np.intp], columns: int) -> NDArray[np.intp]:
    """The four crossings round each cell (cells, 4), counted along a grid that is one wider."""
    row, column = np.divmod(cells, columns)
    first = row * (columns + 1) + column
    return np.stack([first, first + 1, first + columns + 1, first + columns + 2], axis=1)


def _best_family(
    middles: _Sampled, corners: _Sampled, cells: NDArray[np.intp], crossings: NDArray[np.intp], lines: bool
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Boom position and elbow side of each cell whose greatest nominal use at middle and corners is the least."""
    middle, round_ = middles.nominal[:, :, cells], corners.nominal[:, :, crossings]
    if lines:
        round_ = np.where(np.isfinite(round_), round_, middle[..., None])
    greatest = np.maximum(middle, round_.max(axis=-1))
    flat = greatest.reshape(-1, cells.size).argmin(axis=0)
    hole, elbow = np.unravel_index(flat, greatest.shape[:2])
    return hole, elbow


def _of_family(
    job: Job,
    pose: Pose,
    middles: _Sampled,
    corners: _Sampled,
    cells: NDArray[np.intp],
    crossings: NDArray[np.intp],
    family: tuple[NDArray[np.intp], NDArray[np.intp]],
    lines: bool,
    stop: Stop,
) -> tuple[Array, Array]:
    """Greatest use in each cell and least allowed load, all by the stances of one family."""
    hole, elbow = family
    at_middle = np.stack([hole, elbow, cells], axis=1)
    at_corners = np.stack([np.repeat(hole, 4), np.repeat(elbow, 4), crossings.ravel()], axis=1)
    there = np.isfinite(corners.nominal[tuple(at_corners.T)])
    use, allowed_kg = np.full((cells.size, 5), math.inf), np.zeros((cells.size, 5))
    worst = functools.partial(limits_over, job, pose)

    def judged(sampled: _Sampled, places: NDArray[np.intp]) -> Limits:
        return limits_in_blocks(worst, _figures_of(job, pose, sampled.stances, places), len(places), stop, quiet)

    limits = judged(middles, at_middle)
    use[:, 0], allowed_kg[:, 0] = limits.use, limits.allowed_kg
    if there.any():
        limits = judged(corners, at_corners[there])
        at = np.flatnonzero(there)
        use[at // 4, 1 + at % 4], allowed_kg[at // 4, 1 + at % 4] = limits.use, limits.allowed_kg
    if lines:
        missing = np.zeros_like(use, bool)
        missing[:, 1:] = ~there.reshape(-1, 4)
        use = np.where(missing, use[:, :1], use)
        allowed_kg = np.where(missing, allowed_kg[:, :1], allowed_kg)
    with np.errstate(invalid="ignore"):
        whole = use.max(axis=1) + _bulge(use)
    return np.where(np.isnan(whole), math.inf, whole), np.maximum(allowed_kg.min(axis=1) - _bulge(allowed_kg), 0.0)


def _bulge(values: Array) -> Array:
    """How far the middle stands off the average of the corners (cells), from the values of all five (cells, 5)."""
    return np.abs(values[:, 0] - values[:, 1:].mean(axis=1))


# ---------------------------------------------------------------- steps


def _grid(job: Job, pose: Pose, view: View, cell_m: float) -> tuple[Array, Array]:
    """Middles of the cells along x and across: all that the rig could reach with joints anywhere, and a cell more."""
    rig, numbers = job.rig, figures(job, pose)
    placed = place(job, numbers)
    forks, boom = placed.frames["forks"].axes, placed.frames["boom"]
    mast_x = float(boom.origin.x)
    arms_m = sum(rig.arms[index].length_m for index, turn in enumerate(numbers.turns_rad) if turn is not None)
    out_m = boom_limits_m(job)[1]
    upright = job.truck.upright
    lean_m = abs(float(forks.z.x)) * upright.lift_max_m
    x_m = _middles(mast_x - arms_m - lean_m, mast_x + out_m + arms_m + lean_m, cell_m)
    if view == "plan":
        side_m = max(arms_m, cell_m)
        return x_m, _middles(-side_m, side_m, cell_m)
    hook_z, per_m = placed.hook_m.z, forks.z.z
    low, high = (float(hook_z + per_m * (lift - numbers.lift_m)) for lift in (upright.lift_min_m, upright.lift_max_m))
    lean_z = abs(float(boom.axes.x.z)) * (out_m + arms_m)
    return x_m, _middles(low - lean_z, high + lean_z, cell_m)


def _middles(low: float, high: float, cell_m: float) -> Array:
    """Multiples of the cell size that cover a range: the same cells whatever the range, so that maps line up."""
    return np.arange(math.floor(low / cell_m), math.ceil(high / cell_m) + 1, dtype=float) * cell_m


def _points(job: Job, pose: Pose, view: View, x_m: Array, across_m: Array) -> tuple[Vec, float]:
    """Middles of the cells in space, row after row, and where their plane lies."""
    hook = place(job, figures(job, pose)).hook_m
    across, x = (part.ravel() for part in np.meshgrid(across_m, x_m, indexing="ij"))
    if view == "side":
        return Vec(x, np.full(x.size, hook.y), across), float(hook.y)
    return Vec(x, across, np.full(x.size, hook.z)), float(hook.z)


def _figures_of(job: Job, pose: Pose, stances: Stances, where: NDArray[np.intp]) -> Figures:
    """Figures of the stances at some places (rows of ``where``) of their arrays, one after another."""
    places, shape = tuple(where.T), stances.can.shape

    def picked(values: Number | None) -> Number | None:
        return np.broadcast_to(values, shape)[places] if isinstance(values, np.ndarray) else values

    return msgspec.structs.replace(
        figures(job, pose),
        boom_out_m=picked(stances.out_m),
        pinned=picked(np.where(stances.hole > 0, 1.0, 0.0)),
        lift_m=picked(stances.lift_m),
        turns_rad=tuple(picked(turn) for turn in stances.turns_rad),
    )


def _chosen(
    job: Job, pose: Pose, stances: Stances, where: NDArray[np.intp], stop: Stop, tell: Tell
) -> tuple[NDArray[np.intp], Limits, Limits]:
    """For each point one stance (its place in the arrays) and its limits in the worst case; nominal ones of all.

    The stance with the smallest nominal use is tried first.  The worst case is never better than the nominal one.  So
    a point whose nominal use is over 1 keeps that, and another stance can only help where the first fails in the
    worst case and the other passes with nominal values: those are tried too.
    """

    def over(places: NDArray[np.intp], evaluate: Callable[[Figures], Limits], first: float, last: float) -> Limits:
        numbers = _figures_of(job, pose, stances, places)
        return limits_in_blocks(
            evaluate, numbers, len(places), stop, lambda share, _trying="": tell(first + share * (last - first))
        )

    worst = functools.partial(limits_over, job, pose)
    nominal = over(where, functools.partial(best_over, job, pose), 0.0, 0.2)
    chosen = _least_at_each_point(where[:, 2], nominal.use)
    hopeful = nominal.use[chosen] <= 1.0
    limits = _replaced(_selected(nominal, chosen), hopeful, over(where[chosen[hopeful]], worst, 0.2, 0.6))
    failed = where[chosen][limits.use > 1.0, 2]
    others = np.flatnonzero((nominal.use <= 1.0) & np.isin(where[:, 2], failed))
    others = np.setdiff1d(others, chosen)
    if not others.size:
        tell(1.0)
        return where[chosen], limits, nominal
    both = _joined(limits, over(where[others], worst, 0.6, 1.0))
    places = np.concatenate([where[chosen], where[others]])
    least = _least_at_each_point(places[:, 2], both.use)
    return places[least], _selected(both, least), nominal


def _least_at_each_point(point: NDArray[np.intp], use: Array) -> NDArray[np.intp]:
    """Index of the smallest use at each point."""
    order = np.lexsort((use, point))
    first = np.ones(order.size, bool)
    first[1:] = point[order][1:] != point[order][:-1]
    return order[first]


_ARRAYS = ("use", "worst", "allowed_kg", "governing")
"""Fields of `Limits` that are arrays over poses."""


def _replaced(limits: Limits, which: NDArray[np.bool_], others: Limits) -> Limits:
    """The limits, those of some poses replaced by others that name the same checks."""
    changed = {}
    for name in _ARRAYS:
        values = np.array(getattr(limits, name))
        values[which] = getattr(others, name)
        changed[name] = values
    return msgspec.structs.replace(limits, **changed)


def _joined(one: Limits, other: Limits) -> Limits:
    return msgspec.structs.replace(
        one, **{name: np.concatenate([getattr(one, name), getattr(other, name)]) for name in _ARRAYS}
    )


def _selected(limits: Limits, which: NDArray[np.intp]) -> Limits:
    return msgspec.structs.replace(limits, **{name: getattr(limits, name)[which] for name in _ARRAYS})


def _without_impossible(job: Job, pose: Pose, reach: ReachMap) -> ReachMap:
    """The map with no allowed cell whose stance is impossible."""
    use = reach.use.copy()
    for row, column in np.argwhere(reach.holds):
        if impossibilities(job, stance_at(pose, reach, row, column)):
            use[row, column] = math.inf
    return msgspec.structs.replace(reach, use=use)


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
        whole_use=none,
        allowed_kg=none,
        names=(),
        governing=none.astype(np.intp),
        hole=none.astype(np.intp),
        out_m=none,
        lift_m=none,
        turns_rad=np.zeros((0, 0, len(job.rig.arms))),
        unsettled=(),
    )
