"""What the worst case of a changed rig may come to, from where that of the rig before it was: for searches.

A worst case is looked for over the whole box of bands, some two hundred variants of a pose.  A part of another size
moves the worst corner of a limit seldom, so a search that tries hundreds of sizes evaluates each in the corners of the
rig it began with, and asks for the whole worst case at its end.  Where the formulas are recorded for such a rig
(`engine.worst_case.structure`), all corners take as long as one; where they are not, only the corners of the limits
that are over most are looked at.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from engine.limits.all_limits import find_checks_at_thin_end
from engine.rig.check import use_of
from engine.rig.deflection import with_bending
from engine.rig.figure_vector import inputs_of, map_numbers
from engine.rig.kinematics import figures
from engine.schema.model import Job, Pose
from engine.worst_case.corner_search_llvm import CornerNumbers
from engine.worst_case.corner_variants import sides_of
from engine.worst_case.recorded_formulas import found_formulas
from engine.worst_case.uncertain_inputs import entries_of
from engine.worst_case.uncertainty_box import box_around
from engine.worst_case.worst_case import WorstCase

COUNTS = 0.5
"""Use in the worst case from which a limit's corner is among those looked at."""


WALKED = 2
"""Corners looked at where formulas are not recorded: a walk through them takes some milliseconds for each."""


class Corners(NamedTuple):
    """Corners (corners) of a box of so many entries, in numbers, as `corner_variants.numbers_of` has them.

    The rig as entered is the first, then those of the limits that are used least; that of the most used is the last.
    """

    numbers: CornerNumbers
    entries: int


def worst_corners(worst: WorstCase) -> Corners:
    """Where the limits of a pose are passed first, those that are hardly used left out."""
    use, corner = np.array(worst.use), worst.corner_of_each
    known = np.where(np.isnan(use), np.inf, use)
    most_used_first = np.argsort(-known)
    counting = corner[most_used_first[known[most_used_first] >= COUNTS]].tolist()
    counts = len(worst.entries)
    return Corners(np.array([*dict.fromkeys([*counting, _as_entered(counts)])][::-1]), counts)


def _as_entered(entries: int) -> int:
    """Number of the corner of which every entry is as entered."""
    return (3**entries - 1) // 2


def uses_foreseen(job: Job, pose: Pose, corners: Corners) -> dict[str, float]:
    """Greatest use of every limit, by name, in these corners, welds and walls at their thin end.

    Where other entries are uncertain than in the rig the corners are of: with values as entered.
    """
    straight = figures(job, pose)
    numbers = with_bending(job, straight)
    entries = entries_of(job, pose, numbers)
    box = box_around(job, numbers, entries)
    chosen = corners.numbers if len(entries) == corners.entries else np.array([_as_entered(len(entries))])
    recorded = found_formulas(job, numbers)
    if recorded is None:
        found: dict[str, float] = {}
        for sides in sides_of(chosen[-WALKED:, None], len(entries)).transpose(1, 0, 2):
            there = map_numbers(
                box.figures_at(sides[:, None], NO_OTHER_LOAD), lambda number: np.ravel(number)[0].item()
            )
            for check in find_checks_at_thin_end(job, there):
                found[check.name] = max(found.get(check.name, 0.0), _known(float(check.use)))
        return found
    names = [check.name for check in recorded.evaluate_pose(inputs_of(straight)).checks]
    in_corners = box.figures_at(sides_of(chosen[:, None], len(entries)), np.full((len(chosen), 1), np.nan))
    values = recorded.values(inputs_of(in_corners), (len(chosen), 1))[:, :, 0]
    with np.errstate(invalid="ignore"):
        uses = np.asarray(use_of(values[: len(names)], values[len(names) : 2 * len(names)])).max(axis=1)
    return dict(zip(names, map(_known, uses.tolist()), strict=True))


def _known(use: float) -> float:
    """A use that is not a number never holds."""
    return use if use == use else math.inf


NO_OTHER_LOAD = np.full((1, 1), np.nan)
