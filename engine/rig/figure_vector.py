"""Figures as a vector: the inputs of a recorded formula in a row, their common shape, results in one array."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

from engine.base.geometry import Array
from engine.base.lazy import np
from engine.rig.kinematics import Figures


def inputs_of(numbers: Figures) -> list[Any]:
    """The figures in a row, without arms that are not fitted."""
    inputs: list[Any] = []
    for field in Figures.__struct_fields__:
        value = getattr(numbers, field)
        inputs += [part for part in value if part is not None] if isinstance(value, tuple) else [value]
    return inputs


def places_of(numbers: Figures) -> dict[tuple[str, int | None], int]:
    """Place of each figure in the row, by its field and its index where a field has several."""
    keys: list[tuple[str, int | None]] = []
    for field in Figures.__struct_fields__:
        value = getattr(numbers, field)
        keys += (
            [(field, index) for index, part in enumerate(value) if part is not None]
            if isinstance(value, tuple)
            else [(field, None)]
        )
    return {key: place for place, key in enumerate(keys)}


def map_numbers(numbers: Figures, change: Callable[[Any], Any]) -> Figures:
    """The figures with every number changed; an arm that is not fitted stays so."""
    changed = {}
    for field in Figures.__struct_fields__:
        value = getattr(numbers, field)
        changed[field] = (
            tuple(part if part is None else change(part) for part in value)
            if isinstance(value, tuple)
            else change(value)
        )
    return Figures(**changed)


def shape_of(numbers: Figures) -> tuple[int, ...]:
    """The shape that all figures broadcast to."""
    return shape_among(inputs_of(numbers))


def shape_among(inputs: Sequence[Any]) -> tuple[int, ...]:
    """The shape that numbers in a row broadcast to."""
    return np.broadcast_shapes(*[number.shape for number in inputs if isinstance(number, np.ndarray)])


def flat(number: Any, shape: tuple[int, ...]) -> Any:
    """The number of each pose in one row; a plain number stays plain."""
    return np.broadcast_to(number, shape).ravel() if isinstance(number, np.ndarray) and number.ndim else number


def filled(values: Sequence[Any], shape: tuple[int, ...]) -> Array:
    """Values that broadcast to a shape, in one array of shape (values, *shape)."""
    if math.prod(shape) == 1 and np.ndarray not in set(map(type, values)):
        return np.array(values, float).reshape(-1, *shape)
    table = np.empty((len(values), *shape))
    for row, value in enumerate(values):
        table[row] = value
    return table
