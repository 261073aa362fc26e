"""The forks' spread against that of the sleeves, which the cross-member fixes.

Forks that stand off the sleeves' spread by no more than the worst case counts (`FORKS_OFF_M`) are covered by it.
Further off they still go in as long as both sleeves have side room for it, but then no sum counts where they bear.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.base.geometry import least, most
from engine.rig.check import Problem
from engine.rig.fits import FIT_TOLERANCE_M
from engine.schema.model import Forks, Job, Sleeves
from engine.schema.uncertainty_bands import FORKS_OFF_M


def spread_off_m(sleeves: Sleeves, forks: Forks) -> float:
    """How far the forks stand off the spread that the sleeves are welded at; 0 where nobody has entered it."""
    return abs(forks.spread_m - sleeves.spread_on(forks))


def must_be_set(sleeves: Sleeves, forks: Forks) -> bool:
    """Whether the forks stand further off the sleeves' spread than counts or than they have room for."""
    off_m = spread_off_m(sleeves, forks)
    return off_m > most(least(FORKS_OFF_M, side_room_m(sleeves, forks)), 0.0) + FIT_TOLERANCE_M


def does_not_go_in(sleeves: Sleeves, forks: Forks) -> bool:
    """Whether the forks stand further off the sleeves' spread than the sleeves have side room for."""
    return spread_off_m(sleeves, forks) > most(side_room_m(sleeves, forks), 0.0) + FIT_TOLERANCE_M


def side_room_m(sleeves: Sleeves, forks: Forks) -> float:
    """Side room of a fork in its sleeve: half of it at each side, so both forks together may stand so far off."""
    return sleeves.section.width_m - 2.0 * sleeves.section.wall_m - forks.width_m


def not_counted(job: Job) -> Iterator[Problem]:
    """Forks that go in, but stand further off the sleeves' spread than the worst case counts."""
    sleeves, forks = job.rig.sleeves, job.truck.forks
    if spread_off_m(sleeves, forks) <= FORKS_OFF_M + FIT_TOLERANCE_M:
        return
    words = (
        "The sleeves are welded {welded:length} apart, centre to centre, the forks stand {stand:length} apart: the "
        "sums count {most:size} off and no more. Set the forks to {welded:length}."
    )
    numbers: dict[str, float | str] = {
        "welded": sleeves.spread_on(forks),
        "stand": forks.spread_m,
        "most": FORKS_OFF_M,
        "part": "The forks' distance off the sleeves' spread",
        "measure": "set the forks to the spread of the sleeves",
        "lacks": "covered",
    }
    yield Problem(kind="not_entered", where="truck.forks.spread_m", words=words, numbers=numbers)
