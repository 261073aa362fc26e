"""Which rows of a truck's plate hold at a fork height."""

from __future__ import annotations

from engine.schema.model import Plate, PlateRow

HEIGHT_TOLERANCE_M = 1e-6
"""A fork height typed in inches may miss the plate's by round-off; a micrometre is far above it."""


def rows_at(plate: Plate, lift_m: float) -> tuple[PlateRow, ...]:
    """Plate rows that hold at this fork height: for each load centre, the lowest row that reaches it.

    Empty where the plate says nothing about so great a height.
    """
    reaching = [row for row in plate.rows if row.lift_m >= lift_m - HEIGHT_TOLERANCE_M]
    best: list[PlateRow] = []
    for row in sorted(reaching, key=lambda row: row.lift_m):
        if all(row.load_centre_m != lower.load_centre_m for lower in best):
            best.append(row)
    return tuple(best)
