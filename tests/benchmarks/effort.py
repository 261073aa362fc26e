"""How much is measured: all of it, or enough to see that nothing is grossly slow."""

from __future__ import annotations

import msgspec


class Effort(msgspec.Struct, kw_only=True, frozen=True):
    """How often each thing is done, and of how many poses a sweep is made."""

    verdicts: int
    arm_rounds: int
    arms_apart: int
    """Of the rigs of no arm to six, which each take seconds to make code of, every so many."""
    sweep_poses: int
    sweep_s: float
    """A sweep over every limit is timed until this is spent; what it had come to by then is the number."""
    forwards: int
    long_rounds: int
    fine: bool
    """Fine maps, charts and every handle as well, not the quickest of each alone."""
    files: int
    starts: int
    frames: int
    run: int
    """Frames in a row of one kind, before as many of the other; the first of each run is not counted."""


FULL = Effort(
    verdicts=500,
    arm_rounds=100,
    arms_apart=1,
    sweep_poses=1_000_000,
    sweep_s=15.0,
    forwards=20_000,
    long_rounds=5,
    fine=True,
    files=200,
    starts=21,
    frames=400,
    run=20,
)
SHORT = Effort(
    verdicts=40,
    arm_rounds=6,
    arms_apart=3,
    sweep_poses=8_192,
    sweep_s=1.0,
    forwards=600,
    long_rounds=1,
    fine=False,
    files=10,
    starts=2,
    frames=7,
    run=8,
)
