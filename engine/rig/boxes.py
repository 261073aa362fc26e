"""Oriented boxes, and the gaps between them.

The gap of two boxes is the greatest separation along the 15 axes that can separate them (3 and 3 face normals, 9
products of edges).  It is never more than the true distance, exact where faces meet, and minus the depth where they
overlap (separating-axis theorem for oriented boxes, from memory).

Arrays: every gap has the shape of the poses (n,); one pose has n = 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from engine.base.geometry import Array, Indices
from engine.base.lazy import np
from engine.schema.model import Surrounding

LEAST_SINE = 1e-4
"""Edges nearer to parallel than this: their product separates nothing that a face would not."""

MOST_NUMBERS = 20_000
"""Matrix entries worked on at once: more would fall out of the cache."""

FEW = 2
"""Poses of one verdict: as drawn and as bent."""


class Boxes(NamedTuple):
    """Many oriented boxes: parts, middles (boxes, 3, n), axes (boxes, axis, 3, n), half sizes (boxes, axis)."""

    parts: tuple[str, ...]
    middle: Array
    axes: Array
    half: Array

    def reach(self) -> Array:
        """How far each reaches from its middle along the truck's own axes (boxes, 3, n)."""
        return (np.abs(self.axes) * self.half[:, :, None, None]).sum(axis=1)

    def of(self, kept: Sequence[int]) -> Boxes:
        """Some of the boxes."""
        return Boxes(tuple(self.parts[at] for at in kept), self.middle[kept], self.axes[kept], self.half[kept])


def joined(*several: Boxes) -> Boxes:
    """The boxes of several lists in one."""
    return Boxes(
        tuple(part for boxes in several for part in boxes.parts),
        np.concatenate([boxes.middle for boxes in several]),
        np.concatenate([boxes.axes for boxes in several]),
        np.concatenate([boxes.half for boxes in several]),
    )


def beside(one: Boxes, other: Boxes) -> Boxes:
    """The same boxes in the poses of both, one list after the other."""
    return Boxes(
        one.parts,
        np.concatenate([one.middle, other.middle], axis=-1),
        np.concatenate([one.axes, other.axes], axis=-1),
        one.half,
    )


def standing(squares: Sequence[Surrounding], count: int) -> Boxes:
    """Boxes that stand square to the truck, the same in every pose."""
    low = np.array([(box.x0_m, box.y0_m, box.z0_m) for box in squares]).reshape(-1, 3)
    high = np.array([(box.x1_m, box.y1_m, box.z1_m) for box in squares]).reshape(-1, 3)
    middle = np.broadcast_to(((low + high) / 2.0)[..., None], (*low.shape, count))
    axes = np.broadcast_to(np.eye(3)[None, :, :, None], (len(squares), 3, 3, count))
    return Boxes(tuple(box.name for box in squares), middle, axes, (high - low) / 2.0)


def gaps_between(one: Boxes, other: Boxes, pairs: tuple[Indices, Indices], enough_m: Array) -> Array:
    """Gap (pairs, n) of boxes of ``one`` from boxes of ``other``: which from which is said by two rows of indices.

    Pairs further apart than ``enough_m`` (pairs) along one of the truck's own axes keep that distance, which is never
    more than the gap. Of `FEW` poses, a pair that is near in one is looked at in all.
    """
    found = _square_gaps(one, other, pairs)
    near = found < enough_m[:, None]
    if found.shape[1] <= FEW:
        near |= near.any(axis=1, keepdims=True)
    pair, pose = np.nonzero(near)
    at_once = MOST_NUMBERS // 9
    for start in range(0, pair.size, at_once):
        rows, poses = pair[start : start + at_once], pose[start : start + at_once]
        close = _gaps(one, other, (pairs[0][rows], pairs[1][rows]), poses)
        found[rows, poses] = np.maximum(found[rows, poses], close)
    return found


def _square_gaps(one: Boxes, other: Boxes, pairs: tuple[Indices, Indices]) -> Array:
    """Greatest separation along the truck's own axes (pairs, n)."""
    reach = one.reach()
    other_reach = reach if other is one else other.reach()
    found = None
    for axis in range(3):
        gap = np.abs(other.middle[pairs[1], axis] - one.middle[pairs[0], axis])
        gap -= reach[pairs[0], axis]
        gap -= other_reach[pairs[1], axis]
        found = gap if found is None else np.maximum(found, gap, out=found)
    assert found is not None
    return found


_NEXT, _LAST = [1, 2, 0], [2, 0, 1]


def _gaps(one: Boxes, other: Boxes, pairs: tuple[Indices, Indices], poses: Indices) -> Array:
    """Gap (k) along all 15 axes of so many pairs, each in a pose of its own; pairs come last, next to each other."""
    first, second = pairs
    a = one.axes.transpose(1, 2, 0, 3)[:, :, first, poses]  # (axis, 3, k)
    b = other.axes.transpose(1, 2, 0, 3)[:, :, second, poses]
    half_a, half_b = one.half.T[:, first], other.half.T[:, second]  # (axis, k)
    apart = other.middle.transpose(1, 0, 2)[:, second, poses] - one.middle.transpose(1, 0, 2)[:, first, poses]
    turned = _sum_of_three(a[:, None] * b, axis=2)  # (axis of a, axis of b, k)
    on_a, on_b, size = _sum_of_three(a * apart, axis=1), _sum_of_three(b * apart, axis=1), np.abs(turned)
    found = (np.abs(on_a) - half_a - _sum_of_three(size * half_b, axis=1)).max(axis=0)
    found = np.maximum(found, (np.abs(on_b) - half_b - _sum_of_three(size * half_a[:, None], axis=0)).max(axis=0))
    # Along the product of axis i of the one and axis j of the other.
    between = on_a[_LAST, None] * turned[_NEXT] - on_a[_NEXT, None] * turned[_LAST]
    reach = half_a[_NEXT, None] * size[_LAST] + half_a[_LAST, None] * size[_NEXT]
    reach += half_b[_NEXT] * size[:, _LAST] + half_b[_LAST] * size[:, _NEXT]
    sine = np.sqrt(np.maximum(1.0 - turned * turned, LEAST_SINE**2))
    gap = np.where(sine > LEAST_SINE, (np.abs(between) - reach) / sine, -np.inf)
    return np.maximum(found, gap.max(axis=(0, 1)))


def _sum_of_three(numbers: Array, axis: int) -> Array:
    """Sum along an axis of three."""
    return np.add.reduce(numbers, axis=axis)
