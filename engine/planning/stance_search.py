"""The search for stances that bring the hook to a point, with arms standing or level and as many as the rig has.

Method.  A point takes three of the coordinates (fork height, a turn for each arm); those left over make a family: one
stance glides into the next with the hook at rest.  For every pin hole:

1. **Seeds.**  A grid over the turns of all arms, between their stops, and fork heights that come nearest.  A seed is
   kept where a stance that meets the point lies in its cell, as far as the directions of motion there say.  Families
   end where a coordinate comes to its bound, so seeds on the grid's faces are kept a second time with it held there.
2. **Solve** (`engine.planning.hook_solver`), and keep one of those that come out as one.
3. **Postures.**  Stances with the same hole and every arm to the same side are one posture.  The one with room and the
   smallest worst-case use stands for it.
4. **Polish.**  The postures that are best in the worst case move along their family to the smallest worst-case use
   tried there: several steps to either side along every free direction, round after round, each closer in.

Without a coordinate to spare there are separate stances: the grid is finer, and there is nothing to polish.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Iterator
from typing import NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array, Indices, Vec
from engine.limits.plate import highest_lift_m
from engine.planning.hook_solver import Chain, Rows, chain_of, joined, pin_and_motion, pin_target, shortest_step, solve
from engine.planning.sweep import Limits, Stop, Stopped, best_over, limits_in_blocks, limits_over, never, room_over
from engine.rig.feasibility import usable_holes
from engine.rig.free_turn import joint_as_free
from engine.rig.kinematics import Figures, boom_out_m, figures, hole_out_m
from engine.rig.stay_places import stay_turns_rad
from engine.schema.connections import StayLink
from engine.schema.joints import swings
from engine.schema.model import Job, Pose

REACHED_M = 0.002
"""A hook this near its point is at it; a tape shows no less."""

STANDING_STEP_RAD, LEVEL_STEP_RAD = math.radians(15.0), math.radians(5.0)
"""Grid of a family; stances without a coordinate to spare are looked for on the finer one throughout."""

GRID_AT_MOST = 12_000
WIDER = 1.1
"""A grid of more points than this, for four arms and more, is made wider by and by."""

SEEDS_AT_MOST = 3_000
"""Of more seeds than this, for four arms and more, some are left out of every hole alike."""

CELL_STEPS = 1.0
"""A seed whose hook the point is further from than so many steps of the grid, in any turn, is some other seed's."""

SAME = 1e-4
"""Stances that differ by less than this (m, rad) in every coordinate are one."""

NEIGHBOURS_RAD = math.radians(6.0)
"""Stances of a family nearer each other than this are told by one of them."""

RANK_SHARE = 1e-6
RANK_ROWS = 64
"""A direction in which the hook moves less than this share of its quickest is none; asked of so many seeds."""

WORST_CASES = 500
"""Of so many stances the worst case is worked out: those with the smallest use with values as entered."""

MOST_POSTURES = 24
"""Most postures that are polished and listed: more than anybody tries."""

ROUNDS = 3
TRIES = 8
BRACKET_RAD = math.radians(10.0)
CLOSER = 2.0 / (TRIES + 1)
"""Polish: rounds, stances tried in each, how far to each side in the first, and how much closer in the next."""

NO_ROOM = 1e6
"""Added to the use of a stance that has not the room: behind all that have."""


class Candidates(NamedTuple):
    """Stances that bring the hook to a point, best first: rows, each one's hole (0: unpinned), its miss and use.

    The use is the worst case's where there is a verdict; a stance without room has `NO_ROOM` more.
    """

    rows: Rows
    hole: Indices
    miss_m: Array
    use: Array

    def picked(self, which: Indices | NDArray[np.bool_]) -> Candidates:
        """Some of the stances."""
        return Candidates(self.rows.picked(which), self.hole[which], self.miss_m[which], self.use[which])


def find_stances(
    job: Job,
    pose: Pose,
    target_m: Vec,
    near_m: float = REACHED_M,
    most: int = MOST_POSTURES,
    rounds: int = ROUNDS,
    stop: Stop = never,
) -> Candidates:
    """Stances that bring the hook to a point, the one with the smallest worst-case use first.

    Parameters
    ----------
    job : Job
    pose : Pose
        Gives what stays: tilt, floor, which arms are fitted.
    target_m : Vec
        Where the hook should bear, in the truck's frame.
    near_m : float
        How far a stance may miss.
    most : int
        At most so many postures are polished.
    rounds : int
        How often they are; 0 for postures as the grid has them.
    stop : callable
        Asked between two steps of the search.

    Raises
    ------
    Stopped
    """
    search = _search(job, pose, target_m, near_m, stop)
    candidates = _merged(_solved(search, _seeds(search)), NEIGHBOURS_RAD if search.spare else SAME)
    candidates = _sorted(candidates._replace(use=_use(search, candidates, best_over)))
    candidates = candidates.picked(np.arange(min(WORST_CASES, len(candidates.use))))
    candidates = candidates._replace(use=_use(search, candidates, limits_over))
    candidates = candidates.picked(_best_of_each_posture(candidates, search.spare)[:most])
    bracket_rad = BRACKET_RAD
    for _ in range(rounds if len(candidates.use) else 0):
        for direction in range(search.spare):
            candidates = _polished(search, candidates, direction, bracket_rad)
        bracket_rad *= CLOSER
    return _apart(_sorted(candidates), NEIGHBOURS_RAD if search.spare else SAME)


def poses_of(pose: Pose, candidates: Candidates) -> Iterator[Pose]:
    """The poses of candidates."""
    fitted = [index for index, arm in enumerate(pose.arms) if arm.fitted]
    for hole, out_m, (lift_m, *turns) in zip(
        candidates.hole.tolist(), candidates.rows.out_m.tolist(), candidates.rows.at.tolist(), strict=True
    ):
        arms = list(pose.arms)
        for index, turn_rad in zip(fitted, turns, strict=True):
            arms[index] = msgspec.structs.replace(arms[index], turn_rad=turn_rad)
        yield msgspec.structs.replace(
            pose, hole=hole or None, free_out_m=None if hole else out_m, lift_m=lift_m, arms=tuple(arms)
        )


def boom_positions(job: Job, pose: Pose) -> tuple[Indices, Array]:
    """Usable holes and how far out each puts the boom; a rig without any keeps the boom where it is (hole 0)."""
    holes = np.array(usable_holes(job), dtype=np.intp)
    if holes.size:
        return holes, hole_out_m(job.rig, holes.astype(float))
    return np.zeros(1, np.intp), np.array([boom_out_m(job.rig, pose)])


class _Search(NamedTuple):
    """One search: the chain, its target, the grid's axes, and how many coordinates are to spare.

    ``fixed`` has a row for each arm that cannot be turned, 1 in its column.  ``raises`` says whether some arm moves the
    hook along the forks' way, so that the fork height is not given.
    """

    pose: Pose
    chain: Chain
    target: Array
    near_m: float
    axes: tuple[_Axis, ...]
    fixed: Array
    spare: int
    raises: bool
    stop: Stop


def _search(job: Job, pose: Pose, target_m: Vec, near_m: float, stop: Stop) -> _Search:
    chain, axes = chain_of(job, pose), _family_axes(job, pose)
    turned = np.array([True, *((axis.least < axis.most).any() for axis in axes)])
    fixed = np.eye(turned.size)[~turned]
    search = _Search(pose, chain, pin_target(chain, target_m), near_m, axes, fixed, 0, False, stop)
    grid = _grid(search)
    if not len(grid.at):
        return search
    some = grid.picked(np.unique(np.linspace(0, len(grid.at) - 1, RANK_ROWS).astype(np.intp)))
    _, motion = pin_and_motion(chain, some.out_m, some.at)
    sizes = np.linalg.svd(_restrained(search, motion), compute_uv=False)
    least = RANK_SHARE * float(sizes.max())
    spare = turned.size - int((sizes > least).sum(axis=1).max())
    raises = bool((np.abs(np.einsum("i,nik->nk", chain.up, motion))[:, 1:][:, turned[1:]] > least).any())
    if not spare:
        axes = tuple(_axis(job, index, LEVEL_STEP_RAD) for index in chain.arms)
    return search._replace(axes=axes, spare=spare, raises=raises)


def _restrained(search: _Search, motion: Array) -> Array:
    """The motion of the hook and of the arms that cannot be turned (n, 3 + fixed, 1 + arms)."""
    return np.concatenate([motion, np.broadcast_to(search.fixed, (len(motion), *search.fixed.shape))], axis=1)


# ---------------------------------------------------------------- seeds


class _Axis(NamedTuple):
    """Turns of one arm on the grid (k,), each with its own bounds: a stay may leave an arm two ranges."""

    at: Array
    least: Array
    most: Array
    step: float


def _axis(job: Job, index: int, step_rad: float) -> _Axis:
    """Turns of an arm between its stops, no further apart than a step."""
    spans = [
        (np.linspace(least, most, math.ceil((most - least) / step_rad) + 1), least, most)
        for least, most in turn_ranges_rad(job, index)
    ]
    at = [turns for turns, _, _ in spans]
    least, most = ([np.full(len(span[0]), span[side]) for span in spans] for side in (1, 2))
    none = np.zeros(0)
    return _Axis(np.concatenate([none, *at]), np.concatenate([none, *least]), np.concatenate([none, *most]), step_rad)


def turn_ranges_rad(job: Job, index: int) -> list[tuple[float, float]]:
    """Where an arm may be turned: between its stops, as far as its hinge and its stay let it."""
    arm, (least, most) = job.rig.arms[index], joint_as_free(job.rig, index).stops
    if swings(arm.joint) or not isinstance(arm.stay, StayLink):
        return [(least, most)]
    turns = ((max(least, low), min(most, high)) for low, high in stay_turns_rad(arm.stay))
    return [(low, high) for low, high in turns if low <= high]


def _family_axes(job: Job, pose: Pose) -> tuple[_Axis, ...]:
    """The grid of a family, for the arms fitted: as fine as `GRID_AT_MOST` lets it be."""
    arms = [index for index, arm in enumerate(pose.arms) if arm.fitted]
    steps = [STANDING_STEP_RAD if swings(job.rig.arms[index].joint) else LEVEL_STEP_RAD for index in arms]
    wider = 1.0
    while True:
        axes = tuple(_axis(job, index, wider * step) for index, step in zip(arms, steps, strict=True))
        if math.prod(axis.at.size for axis in axes) <= GRID_AT_MOST:
            return axes
        wider *= WIDER


def _grid(search: _Search) -> Rows:
    """Every point of the grid; fork heights at their least, holes left out."""
    upright = search.chain.job.truck.upright
    lifts = np.array([upright.lift_min_m]), np.array([upright.lift_min_m]), np.array([upright.lift_max_m])
    columns = [
        np.stack([part.ravel() for part in np.meshgrid(lift, *parts, indexing="ij")], axis=1)
        for lift, parts in zip(lifts, zip(*(axis[:3] for axis in search.axes), strict=True), strict=True)
    ]
    return Rows(np.zeros(len(columns[0])), *columns)


class _Seeds(NamedTuple):
    """Seeds, and which boom position each belongs to."""

    rows: Rows
    hole: Indices


def _seeds(search: _Search) -> _Seeds:
    """Seeds of every hole, by step 1 of the method."""
    rows = _grid(search)
    if search.spare:
        rows = joined([rows, *_on_faces(search, rows)])
    chain, target = search.chain, search.target
    holes, outs_m = boom_positions(chain.job, search.pose)
    pin, motion = pin_and_motion(chain, rows.out_m, rows.at)
    steps = np.array([axis.step for axis in search.axes])
    # An arm's step moves the hook at most so far: the turn times the hook's distance from its pin.
    span_m = CELL_STEPS * np.sqrt((motion[:, :, 1:] ** 2).sum(axis=1)) @ steps
    parts, at_hole = [], []
    for hole, out_m in zip(holes, outs_m, strict=True):
        lack = target - pin - out_m * chain.along
        raised = np.clip(rows.at[:, 0] + lack @ chain.up, rows.least[:, 0], rows.most[:, 0])
        lack = lack - (raised - rows.at[:, 0])[:, None] * chain.up
        near = np.flatnonzero((lack**2).sum(axis=1) <= (span_m + search.near_m) ** 2)
        at = np.concatenate([raised[near, None], rows.at[near, 1:]], axis=1)
        some = rows.picked(near)._replace(out_m=np.full(near.size, out_m), at=at)
        # Near a fold, such as a level arm straight out, a step says too little; where it matters all seeds are kept.
        step = shortest_step(some, motion[near], lack[near])
        inside = np.flatnonzero((np.abs(step[:, 1:]) <= CELL_STEPS * steps).all(axis=1) | (search.spare == 0))
        most = SEEDS_AT_MOST // holes.size
        if inside.size > most:
            inside = inside[np.linspace(0, inside.size - 1, most).astype(np.intp)]
        parts.append(some.picked(inside))
        at_hole.append(np.full(inside.size, hole))
    return _Seeds(joined(parts), np.concatenate(at_hole))


def _on_faces(search: _Search, rows: Rows) -> Iterator[Rows]:
    """The grid's points at a bound, held there; all of them for the fork height, where it is not given by the point."""
    for column in range(0 if search.raises else 1, rows.at.shape[1]):
        for bound in (rows.least, rows.most):
            at = rows.at[:, column] if column else bound[:, 0]
            held = rows.picked((at == bound[:, column]) & (rows.least[:, column] < rows.most[:, column]))
            value = (held.least if bound is rows.least else held.most)[:, column]
            parts = [part.copy() for part in held[1:]]
            for part in parts:
                part[:, column] = value
            yield Rows(held.out_m, *parts)


def _solved(search: _Search, seeds: _Seeds) -> Candidates:
    """The seeds that come to the point."""
    if search.stop():
        raise Stopped
    rows, miss_m = solve(search.chain, search.target, seeds.rows)
    use = np.zeros(len(miss_m))
    return Candidates(_unlocked(search, rows), seeds.hole, miss_m, use).picked(miss_m <= search.near_m)


def _unlocked(search: _Search, rows: Rows) -> Rows:
    """The rows between their own bounds again, for those that were held at one."""
    upright = search.chain.job.truck.upright
    least, most = rows.least.copy(), rows.most.copy()
    least[:, 0], most[:, 0] = upright.lift_min_m, upright.lift_max_m
    for column, axis in enumerate(search.axes, start=1):
        spans = np.unique(np.stack([axis.least, axis.most], axis=1), axis=0)
        for low, high in spans:
            inside = (rows.at[:, column] >= low) & (rows.at[:, column] <= high)
            least[inside, column], most[inside, column] = low, high
    return rows._replace(least=least, most=most)


def _merged(candidates: Candidates, apart: float) -> Candidates:
    """One of the stances that are one, the first of each; of those at a bound none is lost to one that is not."""
    rows = candidates.rows
    cell = np.floor(rows.at / apart + 0.5)
    at_bound = (rows.at == rows.least).astype(float) - (rows.at == rows.most)
    keys = np.concatenate([candidates.hole[:, None].astype(float), cell, at_bound], axis=1)
    _, first = np.unique(keys, axis=0, return_index=True)
    return candidates.picked(np.sort(first))


# ---------------------------------------------------------------- what each is worth


def _figures_of(search: _Search, candidates: Candidates) -> Figures:
    """Figures of candidates, each field that differs an array (n,)."""
    chain = search.chain
    turns = list(chain.numbers.turns_rad)
    for column, index in enumerate(chain.arms, start=1):
        turns[index] = candidates.rows.at[:, column]
    return msgspec.structs.replace(
        figures(chain.job, search.pose),
        lift_m=candidates.rows.at[:, 0],
        boom_out_m=candidates.rows.out_m,
        pinned=np.where(candidates.hole > 0, 1.0, 0.0),
        turns_rad=tuple(turns),
    )


def _use(search: _Search, candidates: Candidates, evaluate: Callable[..., Limits]) -> Array:
    """Use of candidates, as `Candidates` has it; infinite where the plate has no row and for a point that is missed."""
    job, pose = search.chain.job, search.pose
    use = np.full(len(candidates.use), math.inf)
    within = candidates.rows.at[:, 0] <= highest_lift_m(job.truck.plate)
    judged = np.flatnonzero(within & (candidates.miss_m <= search.near_m))
    if not judged.size:
        return use
    numbers = _figures_of(search, candidates.picked(judged))
    limits = limits_in_blocks(
        functools.partial(evaluate, job, pose, around="nothing"), numbers, judged.size, search.stop
    )
    room = room_over(job, pose, numbers)
    use[judged] = np.where(room > 1.0, NO_ROOM + np.maximum(room, limits.use), limits.use)
    return use


def _sorted(candidates: Candidates) -> Candidates:
    return candidates.picked(np.lexsort((candidates.miss_m, candidates.use)))


def _best_of_each_posture(candidates: Candidates, spare: int) -> Indices:
    """Indices of the best stance of each posture, best first; with nothing to spare, of every stance."""
    order = np.lexsort((candidates.miss_m, candidates.use))
    if not spare:
        return order
    keys = np.concatenate([candidates.hole[:, None].astype(float), candidates.rows.at[:, 1:] >= 0.0], axis=1)[order]
    _, first = np.unique(keys, axis=0, return_index=True)
    return order[np.sort(first)]


def _apart(candidates: Candidates, apart: float) -> Candidates:
    """The stances without those that come near one before them."""
    kept: list[int] = []
    for index, (hole, at) in enumerate(zip(candidates.hole, candidates.rows.at, strict=True)):
        near = np.abs(candidates.rows.at[kept] - at).max(axis=1) < apart
        if not (near & (candidates.hole[kept] == hole)).any():
            kept.append(index)
    return candidates.picked(np.array(kept, np.intp))


# ---------------------------------------------------------------- polish


def _polished(search: _Search, candidates: Candidates, direction: int, bracket_rad: float) -> Candidates:
    """The stances moved along one free direction of their families to the smallest use there."""
    if search.stop():
        raise Stopped
    along = _free_direction(search, candidates.rows, direction)
    count = len(candidates.use)
    steps = bracket_rad * np.linspace(-1.0, 1.0, TRIES + 2)[1:-1].repeat(count)
    tried = candidates.picked(np.tile(np.arange(count), TRIES))
    tried = tried._replace(rows=tried.rows.moved_to(tried.rows.at + steps[:, None] * np.tile(along, (TRIES, 1))))
    rows, miss_m = solve(search.chain, search.target, tried.rows)
    tried = tried._replace(rows=rows, miss_m=miss_m)
    tried = tried._replace(use=_use(search, tried, limits_over))
    both = Candidates(
        joined([candidates.rows, tried.rows]),
        np.concatenate([candidates.hole, tried.hole]),
        np.concatenate([candidates.miss_m, tried.miss_m]),
        np.concatenate([candidates.use, tried.use]),
    )
    best = both.use.reshape(TRIES + 1, count).argmin(axis=0)
    return both.picked(best * count + np.arange(count))


def _free_direction(search: _Search, rows: Rows, direction: int) -> Array:
    """A direction (n, 1 + arms) in which the hook stays where it is; its greatest turn is 1 rad."""
    _, motion = pin_and_motion(search.chain, rows.out_m, rows.at)
    _, _, basis = np.linalg.svd(_restrained(search, motion))
    along = basis[:, -1 - direction, :]
    return along / np.maximum(np.abs(along[:, 1:]).max(axis=1), 1e-9)[:, None]
