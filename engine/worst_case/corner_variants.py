"""Corners of the box as numbers, and every limit evaluated in them."""

from __future__ import annotations

import functools
import itertools
from typing import Any

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array
from engine.worst_case.corner_search_llvm import CornerNumbers
from engine.worst_case.evaluator import Evaluator
from engine.worst_case.recorded_formulas import GUIDES, STANDING_VALUES
from engine.worst_case.uncertainty_box import UncertaintyBox

Sides = NDArray[np.int8]


class Columns(msgspec.Struct, kw_only=True, frozen=True):
    """Variants to evaluate: sides (entries, variants, poses or 1), loads (variants, poses), NaN for the load's own."""

    sides: NDArray[Any]
    load_kg: Array


class ColumnLimits(msgspec.Struct, kw_only=True, frozen=True):
    """Limits over variants, arrays (limits, variants, poses); guides and standing, (values, variants, poses)."""

    demand: Array
    allowed: Array
    guides: Array
    standing: Array

    def some(self, variants: slice) -> ColumnLimits:
        """Some of the variants."""
        return ColumnLimits(**{name: getattr(self, name)[:, variants] for name in ColumnLimits.__struct_fields__})


def evaluate_columns(box: UncertaintyBox, evaluator: Evaluator, columns: Columns) -> ColumnLimits:
    """Every limit in every variant; of a box of one pose, columns may stand for as many poses as they like."""
    table = _table(box, evaluator, columns)
    limits = (len(table) - GUIDES - STANDING_VALUES) // 2
    ends = [0, limits, 2 * limits, 2 * limits + GUIDES, len(table)]
    parts = (table[start:end] for start, end in itertools.pairwise(ends))
    return ColumnLimits(**dict(zip(ColumnLimits.__struct_fields__, parts, strict=True)))


def _table(box: UncertaintyBox, evaluator: Evaluator, columns: Columns) -> Array:
    code = evaluator.machine_code if box.poses == 1 else None
    if code is None:
        return evaluator.values(box.job, box.figures_at(columns.sides, columns.load_kg), columns.load_kg.shape)
    places, rows = _changed_inputs(box, columns)
    return code.of_rows(box.inputs[:, 0], places, rows).reshape(-1, *columns.load_kg.shape)


def _changed_inputs(box: UncertaintyBox, columns: Columns) -> tuple[tuple[int, ...], Array]:
    """The inputs that the columns change, of one pose, as `UncertaintyBox.figures_at` has them: places and rows."""
    places, row = box.places.inputs, box.places.load_entry
    if row is None:
        places, row = (*places, box.places.load), len(places)
    values = np.empty((len(places), *columns.load_kg.shape))
    values[row] = box.inputs[box.places.load]
    up, down = np.maximum(columns.sides, 0) * box.up[:, None], np.minimum(columns.sides, 0) * box.down[:, None]
    values[: len(box.entries)] = box.nominal[:, None] + up + down
    own = np.isnan(columns.load_kg)
    if not own.all():
        values[row] = np.where(own, values[row], columns.load_kg)
    return places, values.reshape(len(places), -1)


# ---------------------------------------------------------------- corners as numbers

# A corner is one number in base 3, a digit for each entry: 0 at its least, 1 as entered, 2 at its most.


@functools.lru_cache(maxsize=64)
def place_values(entries: int) -> CornerNumbers:
    """What a step of each entry's side adds to a corner's number."""
    return 3 ** np.arange(entries, dtype=np.int64)


def numbers_of(sides: NDArray[Any]) -> CornerNumbers:
    """Numbers (..., poses) of corners given by their sides (..., entries, poses)."""
    return np.einsum("...ep,e->...p", sides.astype(np.int64) + 1, place_values(sides.shape[-2]))


def sides_of(numbers: CornerNumbers, entries: int) -> Sides:
    """Sides (entries, corners, poses) of numbered corners (corners, poses)."""
    return (numbers // place_values(entries)[:, None, None] % 3 - 1).astype(np.int8)
