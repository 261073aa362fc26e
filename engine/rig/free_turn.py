"""How far an arm turns on its hinge before its pieces run into those of the link before it.

A hinge's two links are boxes (tube, end plate, lugs, packing) and rounds about the pin (sleeve, barrels, lug ends, the
rounded end of a tube).  Only pieces at the same height of the pin can meet.  A round clears the other link's boxes at
every turn or at none; boxes of the two links clear each other up to a turn to each side, found here by the axes that
separate two rectangles (separating-axis theorem; exact for rectangles), a degree at a time and then by halving.

Pieces of a link further on are not looked at, nor is what hangs on it.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator
from typing import NamedTuple, assert_never

import msgspec

from engine.base.geometry import Number, cos, sin
from engine.base.geometry import most as greatest
from engine.base.lazy import np
from engine.rig.hinge_boxes import Box, Round, Solid, end_solids
from engine.rig.hinge_pieces import ends_short_m, link_ends
from engine.schema.joints import Joint, LevelJoint, StandingJoint, TurningJoint
from engine.schema.model import Rig
from engine.schema.sections import RectTube, RoundTube, outer_depth_m, outer_width_m

REPLACE = msgspec.structs.replace

TOUCH_M = 1e-4
"""Pieces that stand no further in each other than this touch."""

BESIDE_M = 0.001
"""Pieces whose heights along the pin overlap by no more than this pass each other (a tape's reading)."""

STEPS = 180
HALVINGS = 30


class _Flat(NamedTuple):
    """A box seen along the pin: along its link and across the pin, and its place along the pin (m)."""

    along: tuple[float, float]
    across: tuple[float, float]
    along_pin: tuple[float, float]

    def nearest_m(self) -> float:
        """From the pin to the box."""
        return math.hypot(*(max(least, -most, 0.0) for least, most in (self.along, self.across)))


class _Link(NamedTuple):
    """The pieces of one link at a hinge."""

    flats: tuple[_Flat, ...]
    rounds: tuple[Round, ...]


class Jam(NamedTuple):
    """A round of one link that stands in a box of the other at every turn.

    ``on_arm`` says whether the round is the arm's; ``radius_m`` is its own, ``box_m`` from the pin to the box.
    """

    on_arm: bool
    radius_m: float
    box_m: float


def joint_as_free(rig: Rig, index: int) -> Joint:
    """An arm's joint between its stops, or where its pieces run into the link before it if that comes first."""
    joint = rig.arms[index].joint
    if not isinstance(joint, TurningJoint):
        return joint
    least, most = free_turn_rad(rig, index)
    least, most = max(least, joint.least_rad), min(most, joint.most_rad)
    return REPLACE(joint, least_rad=least, most_rad=most) if least <= most else joint


@functools.lru_cache(maxsize=64)
def free_turn_rad(rig: Rig, index: int) -> tuple[float, float]:
    """Least and greatest turn at which nothing of an arm's hinge runs into the link before it.

    Infinite where a side of the hinge is not entered; both 0 where pieces meet as the arm stands straight.
    """
    if _is_open(rig, index):
        return -math.inf, math.inf
    inner, own = _links(rig, index)
    pairs = tuple((a, b) for a in inner.flats for b in own.flats if _beside(a.along_pin, b.along_pin))
    if not pairs:
        return -math.inf, math.inf
    return -_free(pairs, -1.0), _free(pairs, 1.0)


@functools.lru_cache(maxsize=64)
def jam(rig: Rig, index: int) -> Jam | None:
    """What of an arm's hinge stands in the other link at every turn; the deepest, if there is any."""
    if _is_open(rig, index):
        return None
    inner, own = _links(rig, index)
    found = [
        Jam(on_arm, piece.radius_m, box.nearest_m())
        for on_arm, rounds, boxes in ((False, inner.rounds, own.flats), (True, own.rounds, inner.flats))
        for piece in rounds
        for box in boxes
        if _beside(piece.along_pin, box.along_pin) and box.nearest_m() < piece.radius_m - TOUCH_M
    ]
    return max(found, key=lambda row: row.radius_m - row.box_m, default=None)


def _is_open(rig: Rig, index: int) -> bool:
    hinge = rig.arms[index].hinge
    return hinge.inner_end is None or hinge.outer_end is None


def _beside(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return min(one[1], other[1]) - max(one[0], other[0]) > BESIDE_M


def _links(rig: Rig, index: int) -> tuple[_Link, _Link]:
    """The link before an arm and the arm, each about the pin's middle."""
    arm, ends = rig.arms[index], link_ends(rig, index, index - 1 if index else None)
    before = rig.arms[index - 1] if index else rig.boom
    short_m, start_m = (max(short, 0.0) for short in ends_short_m(rig, index))
    inner = _tube((-before.length_m, -short_m), before.section, -arm.stack_m)
    own = _tube((start_m, max(arm.length_m, start_m)), arm.section, 0.0)
    before_it, of_it = (
        _link((tube, *end_solids(arm.hinge, end, outer=outer)), arm.joint)
        for tube, end, outer in ((inner, ends[0], False), (own, ends[1], True))
    )
    return before_it, of_it


def _tube(long: tuple[float, float], section: RectTube | RoundTube, up_m: float) -> Box:
    half_deep, half_wide = outer_depth_m(section) / 2.0, outer_width_m(section) / 2.0
    return long, (-half_wide, half_wide), (up_m - half_deep, up_m + half_deep)


def _link(solids: tuple[Solid, ...], joint: Joint) -> _Link:
    return _Link(
        tuple(_seen_along_pin(solid, joint) for solid in solids if not isinstance(solid, Round)),
        tuple(solid for solid in solids if isinstance(solid, Round)),
    )


def _seen_along_pin(box: Box, joint: Joint) -> _Flat:
    along, aside, up = box
    match joint:
        case StandingJoint():
            return _Flat(along, aside, up)
        case LevelJoint():
            return _Flat(along, up, aside)
        case _:
            assert_never(joint)


@functools.lru_cache(maxsize=256)
def _free(pairs: tuple[tuple[_Flat, _Flat], ...], way: float) -> float:
    """Greatest turn (rad) one way up to which every pair of boxes is clear; most rigs that are tried share a hinge."""
    turns = np.linspace(0.0, math.pi, STEPS + 1)
    first = min((_first_met(pair, turns, way) for pair in pairs), default=None)
    if first is None or first > STEPS:
        return math.inf
    if first == 0:
        return 0.0
    free, met = float(turns[first - 1]), float(turns[first])
    for _ in range(HALVINGS):
        middle = (free + met) / 2.0
        clear = all(_gap_m(pair, way * middle) >= -TOUCH_M for pair in pairs)
        free, met = (middle, met) if clear else (free, middle)
    return free


def _first_met(pair: tuple[_Flat, _Flat], turns: np.ndarray, way: float) -> int:
    """The first step at which a pair runs into each other; past the last if it never does."""
    met = np.flatnonzero(_gap_m(pair, way * turns) < -TOUCH_M)
    return int(met[0]) if met.size else STEPS + 1


def _gap_m(pair: tuple[_Flat, _Flat], turn: Number) -> Number:
    """Gap (m) between a box and one turned by ``turn`` (rad): negative where they overlap."""
    (x, y, half_x, half_y), (u, v, half_u, half_v) = (_middle_and_half(flat) for flat in pair)
    c, s = cos(turn), sin(turn)
    over_x, over_y = u * c - v * s - x, u * s + v * c - y
    wide, turned = abs(c), abs(s)
    return greatest(
        abs(over_x) - half_x - half_u * wide - half_v * turned,
        abs(over_y) - half_y - half_u * turned - half_v * wide,
        abs(over_x * c + over_y * s) - half_u - half_x * wide - half_y * turned,
        abs(over_y * c - over_x * s) - half_v - half_x * turned - half_y * wide,
    )


def _middle_and_half(flat: _Flat) -> Iterator[float]:
    for least, most in (flat.along, flat.across):
        yield (least + most) / 2.0
    for least, most in (flat.along, flat.across):
        yield (most - least) / 2.0
