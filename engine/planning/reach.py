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
from engine.planning.sweep import (
    BLOCK,
    SLOW_BLOCK,
    Limits,
    Stop,
    Tell,
    best_over,
    limits_in_blocks,
    limits_over,
    never,
    quiet,
)
from engine.rig.check import Problem
from engine.rig.feasibility import boom_limits_m, impossibilities
from engine.rig.kinematics import Figures, figures, place
from engine.schema.joints import View
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import find_problems, find_unsettled

COARSE_M, FINE_M, FINEST_M = 0.20, 0.10, 0.05
"""Cell sizes: a first map that is there soon, one that shows the edge to a hand's breadth, one to half of that.

In cells twice as large as the first, what holds at middle and corners says too little of what lies between.
"""

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
    middles = _Sampled(job, pose, stances, _usable(job, stances, cell_m), stop, _part(tell, 0.0, 0.1))
    chosen, limits = _chosen(middles, _part(tell, 0.1, 0.5))
    shape = (across_m.size, x_m.size)

    def on_grid(values: NDArray[Element], fill: float) -> NDArray[Element]:
        """Values of the chosen stances laid out on the grid, ``fill`` where there is none."""
        grid = np.full(across_m.size * x_m.size, fill, dtype=values.dtype)
        grid[chosen[:, 2]] = values
        return grid.reshape(shape)

    def of_chosen(values: NDArray[Element]) -> NDArray[Element]:
        return np.broadcast_to(values, stances.can.shape)[tuple(chosen.T)]

    turns = [
        np.full(shape, math.nan) if turn is None else on_grid(of_chosen(np.asarray(turn, float)), math.nan)
        for turn in stances.turns_rad
    ]
    use, allowed_kg = on_grid(limits.use, math.inf), on_grid(limits.allowed_kg, 0.0)
    lines = chosen.size > 0 and float(np.median(of_chosen(stances.miss_m))) > ON_POINT_M
    grid = _Grid(view, x_m, across_m, cell_m)
    whole = _whole(grid, middles, use, lines, _part(tell, 0.5, 1.0))
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


class _Sampled:
    """Stances at points, each a place (boom position, elbow side, point), and what is known of them.

    ``use`` is the nominal use of each, infinite where there is no stance.  Room takes ten times as long as all other
    limits together, so it is worked out only for stances that may be chosen: until then ``use`` is without it, and
    never more than with it.  The worst case takes longer still, and is worked out once for each stance.
    """

    def __init__(
        self, job: Job, pose: Pose, stances: Stances, usable: NDArray[np.bool_], stop: Stop, tell: Tell
    ) -> None:
        self.job, self.pose, self.stances, self.usable, self.stop = job, pose, stances, usable, stop
        self.use = np.full(usable.shape, math.inf)
        without_room = functools.partial(best_over, around="nothing")
        self.use[usable] = self._limits(np.argwhere(usable), without_room, tell, BLOCK).use
        self._has_room = np.zeros(usable.shape, bool)
        self._worst_use, self._worst_kg = np.full(usable.shape, math.nan), np.full(usable.shape, math.nan)

    def _limits(
        self, places: NDArray[np.intp], evaluate: Callable[..., Limits], tell: Tell, at_once: int = SLOW_BLOCK
    ) -> Limits:
        numbers = _figures_of(self.job, self.pose, self.stances, places)
        of_job = functools.partial(evaluate, self.job, self.pose)
        return limits_in_blocks(of_job, numbers, len(places), self.stop, tell, at_once)

    def nominal(self, places: NDArray[np.intp]) -> Limits:
        """Limits of some stances with nominal values, room among them."""
        return self._limits(places, best_over, quiet)

    def add_room(self, places: NDArray[np.intp]) -> bool:
        """See to it that the use of some stances is with room; whether it was without in any."""
        at = tuple(places.T)
        new = np.unique(places[np.isfinite(self.use[at]) & ~self._has_room[at]], axis=0)
        at = tuple(new.T)
        self.use[at] = self.nominal(new).use
        self._has_room[at] = True
        return new.size > 0

    def at_worst(self, places: NDArray[np.intp], tell: Tell = quiet) -> Limits:
        """Limits of some stances in the worst case."""
        limits, at = self._limits(places, limits_over, tell), tuple(places.T)
        self._worst_use[at], self._worst_kg[at] = limits.use, limits.allowed_kg
        return limits

    def worst(self, places: NDArray[np.intp], tell: Tell = quiet) -> tuple[Array, Array]:
        """Use and allowed load of some stances in the worst case, each worked out once."""
        at = tuple(places.T)
        self.at_worst(np.unique(places[np.isnan(self._worst_use[at])], axis=0), tell)
        return self._worst_use[at], self._worst_kg[at]

    def leave_out(self, places: tuple[NDArray[np.intp], ...] | NDArray[np.bool_]) -> None:
        """Take some stances for none."""
        self.use[places] = math.inf


class _Grid(NamedTuple):
    """Middles of cells."""

    view: View
    x_m: Array
    across_m: Array
    cell_m: float

    def crossings(self) -> tuple[Array, Array]:
        """Where the cells' edges are, along x and across."""
        x_m, across_m = (np.append(each - self.cell_m / 2.0, each[-1] + self.cell_m / 2.0) for each in self[1:3])
        return x_m, across_m


FAMILIES_TRIED = 2
"""Pin holes and elbow sides tried for a whole cell: those that look best with values as entered."""


def _whole(grid: _Grid, middles: _Sampled, use: Array, lines: bool, tell: Tell) -> tuple[Array, Array]:
    """Greatest use looked for in each cell, and least allowed load of its middle and corners (across, x).

    Infinite, and infinite, where the middle fails already.
    """
    whole, allowed_kg = np.full(use.size, math.inf), np.full(use.size, math.inf)
    cells = np.flatnonzero(use.ravel() <= 1.0)
    crossings = _crossings(cells, len(grid.x_m))
    corners = _corners(grid, middles, crossings, lines, _part(tell, 0.0, 0.1))
    for number in range(FAMILIES_TRIED):
        if not cells.size:
            break
        part = _part(tell, (0.1, 0.8)[number > 0], (0.8, 1.0)[number > 0])
        family = _best_family(middles, corners, cells, crossings, lines)
        whole[cells], allowed_kg[cells] = _of_family(middles, corners, cells, crossings, family, lines, part)
        failed = whole[cells] > 1.0
        hole, elbow = (index[failed] for index in family)
        middles.leave_out((hole, elbow, cells[failed]))  # not to be tried again
        cells, crossings = cells[failed], crossings[failed]
    return whole.reshape(use.shape), allowed_kg.reshape(use.shape)


def _corners(grid: _Grid, middles: _Sampled, crossings: NDArray[np.intp], lines: bool, tell: Tell) -> _Sampled:
    """Stances at the corners of some cells; of a rig that reaches areas, only those that come to the very point."""
    job, pose = middles.job, middles.pose
    stances = stances_at(job, pose, _points(job, pose, grid.view, *grid.crossings())[0])
    usable = _usable(job, stances, grid.cell_m)
    asked = np.zeros(usable.shape[-1], bool)
    asked[crossings] = True
    usable = usable & asked
    if not lines:
        usable = usable & (stances.miss_m <= ON_POINT_M)
        middles.leave_out(np.broadcast_to(middles.stances.miss_m > ON_POINT_M, middles.use.shape))
    return _Sampled(job, pose, stances, usable, middles.stop, tell)


def _crossings(cells: NDArray[np.intp], columns: int) -> NDArray[np.intp]:
    """The four crossings round each cell (cells, 4), counted along a grid that is one wider."""
    row, column = np.divmod(cells, columns)
    first = row * (columns + 1) + column
    return np.stack([first, first + 1, first + columns + 1, first + columns + 2], axis=1)


def _best_family(
    middles: _Sampled, corners: _Sampled, cells: NDArray[np.intp], crossings: NDArray[np.intp], lines: bool
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Boom position and elbow side of each cell whose greatest nominal use at middle and corners is the least."""
    while True:
        middle, round_ = middles.use[:, :, cells], corners.use[:, :, crossings]
        if lines:
            round_ = np.where(np.isfinite(round_), round_, middle[..., None])
        greatest = np.maximum(middle, round_.max(axis=-1))
        flat = greatest.reshape(-1, cells.size).argmin(axis=0)
        hole, elbow = np.unravel_index(flat, greatest.shape[:2])
        at_middle, at_corners = _places(hole, elbow, cells, crossings)
        if not middles.add_room(at_middle) | corners.add_room(at_corners):
            return hole, elbow


def _places(
    hole: NDArray[np.intp], elbow: NDArray[np.intp], cells: NDArray[np.intp], crossings: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Stances of one family at the middles of cells, and at their corners, four after another."""
    at_corners = np.stack([np.repeat(hole, 4), np.repeat(elbow, 4), crossings.ravel()], axis=1)
    return np.stack([hole, elbow, cells], axis=1), at_corners


def _of_family(
    middles: _Sampled,
    corners: _Sampled,
    cells: NDArray[np.intp],
    crossings: NDArray[np.intp],
    family: tuple[NDArray[np.intp], NDArray[np.intp]],
    lines: bool,
    tell: Tell,
) -> tuple[Array, Array]:
    """Greatest use in each cell and least allowed load, all by the stances of one family."""
    at_middle, at_corners = _places(*family, cells, crossings)
    there = np.isfinite(corners.use[tuple(at_corners.T)]).reshape(-1, 4)
    # A corner that is not reached takes the cell away: of the others nothing need be known.
    asked = np.isfinite(middles.use[tuple(at_middle.T)]) & (lines | there.all(axis=1))
    use, allowed_kg = np.full((cells.size, 5), math.inf), np.zeros((cells.size, 5))
    use[asked, 0], allowed_kg[asked, 0] = middles.worst(at_middle[asked], _part(tell, 0.0, 0.3))
    there &= asked[:, None]
    use[:, 1:][there], allowed_kg[:, 1:][there] = corners.worst(at_corners[there.ravel()], _part(tell, 0.3, 1.0))
    if lines:
        missing = np.zeros_like(use, bool)
        missing[:, 1:] = ~there
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


def _part(tell: Tell, first: float, last: float) -> Tell:
    """Tells of a part of the work as of a share of all of it."""

    def told(share: float, _trying: str = "", /) -> None:
        tell(first + share * (last - first))

    return told


def _chosen(middles: _Sampled, tell: Tell) -> tuple[NDArray[np.intp], Limits]:
    """For each point one stance (its place) and its limits, in the worst case where it passes with nominal values.

    The stance with the smallest nominal use is tried first.  The worst case is never better than the nominal one.  So
    a point whose nominal use is over 1 keeps that, and another stance can only help where the first fails in the
    worst case and the other passes with nominal values: those are tried too.
    """
    places = np.argwhere(middles.usable)
    at, point = tuple(places.T), places[:, 2]
    chosen = _least_at_each_point(point, middles.use[at])
    while middles.add_room(places[chosen]):
        chosen = _least_at_each_point(point, middles.use[at])
    passes = middles.use[at][chosen] <= 1.0
    chosen = np.concatenate([chosen[~passes], chosen[passes]])
    limits = _joined(
        middles.nominal(places[chosen[: np.sum(~passes)]]),
        middles.at_worst(places[chosen[np.sum(~passes) :]], _part(tell, 0.2, 0.6)),
    )
    others = np.setdiff1d(np.flatnonzero(np.isin(point, point[chosen[limits.use > 1.0]])), chosen)
    others = others[middles.use[at][others] <= 1.0]
    middles.add_room(places[others])
    others = others[middles.use[at][others] <= 1.0]
    both = _joined(limits, middles.at_worst(places[others], _part(tell, 0.6, 1.0)))
    all_tried = np.concatenate([chosen, others])
    least = _least_at_each_point(point[all_tried], both.use)
    tell(1.0)
    return places[all_tried[least]], _selected(both, least)


def _least_at_each_point(point: NDArray[np.intp], use: Array) -> NDArray[np.intp]:
    """Index of the smallest use at each point."""
    order = np.lexsort((use, point))
    first = np.ones(order.size, bool)
    first[1:] = point[order][1:] != point[order][:-1]
    return order[first]


_ARRAYS = ("use", "worst", "allowed_kg", "governing")
"""Fields of `Limits` that are arrays over poses."""


def _joined(one: Limits, other: Limits) -> Limits:
    """Limits of some poses after those of others; they name the same checks, if any."""
    return msgspec.structs.replace(
        one,
        names=one.names or other.names,
        **{name: np.concatenate([getattr(one, name), getattr(other, name)]) for name in _ARRAYS},
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
