"""A million poses: every limit with values as entered, and every limit in the worst case.

References: the simulator's forward call per pose, hanging and standing on its feet; and what the memory could carry if
nothing but the answers had to be written.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import msgspec
import numpy as np

from engine.base.geometry import Array
from engine.planning.sweep import BLOCK, Limits, best_over, cut, limits_over
from engine.rig.kinematics import Figures, figures
from engine.schema.model import Job, Pose
from engine.worst_case.evaluator import evaluator_of
from tests.benchmarks.effort import Effort
from tests.benchmarks.rigs import sample
from tests.benchmarks.simulator import Simulated, any_poses
from tests.benchmarks.table import Goal, Ratio, Row
from tests.benchmarks.timing import Lap, Times, lap_of

GROUP = "Sweeps"
RIG = "cold_spring_vineyard"
WHOLE_PER_S = 500_000.0

ROUNDS = 3
TRIAL = 16
FEWEST_BLOCKS = 3

LIMITS_ANSWERS = 4
"""Greatest use, its limit, smallest allowed load, its limit."""

TRIAD_LENGTH = 4_000_000
TRIAD_BYTES = 40
"""Per element: c read, a written, a and b read, a written."""


# ---------------------------------------------------------------- poses


def scattered(job: Job, count: int) -> Figures:
    """Poses anywhere between the stops, in no order."""
    lift_m, tilt_rad, out_m, turns_rad = any_poses(job, count)
    numbers = figures(job, job.poses[0])
    return msgspec.structs.replace(numbers, lift_m=lift_m, tilt_rad=tilt_rad, boom_out_m=out_m, turns_rad=turns_rad)


# ---------------------------------------------------------------- measuring


def measure(effort: Effort) -> Iterator[Row]:
    """Rows of this group."""
    job = sample(RIG)
    pose = job.poses[0]
    rows = Simulated(job, figures(job, pose)).coordinates(*any_poses(job, 1000))
    memory = Times(tuple(lap_of(triad()) for _ in range(7)))
    bytes_per_s = TRIAD_LENGTH * TRIAD_BYTES / memory.median_s

    standing = Simulated(job, figures(job, pose))
    hanging = Simulated(job, figures(job, pose))
    hanging.without_contacts()
    laps: dict[str, list[Lap]] = {"standing": [], "hanging": []}
    for _ in range(ROUNDS):
        laps["standing"] += forward_laps(standing, rows, effort.forwards)
        laps["hanging"] += forward_laps(hanging, rows, effort.forwards)
    times = {name: Times(tuple(each)) for name, each in laps.items()}
    references = [
        ("the simulator's forward call", times["hanging"]),
        ("that call with the feet on the floor", times["standing"]),
    ]
    numbers = scattered(job, effort.sweep_poses)
    needed = (f">= {WHOLE_PER_S:,.0f} poses/s", WHOLE_PER_S)
    evaluator_of(job, numbers).record(job, numbers)
    best_over(job, pose, cut(numbers, slice(0, 512)))  # the first makes its code
    for what, evaluate in whole_sweeps(job, pose).items():
        blocks, size = in_blocks(evaluate, numbers, effort)
        done = (
            ""
            if size * len(blocks.laps) >= 0.9 * effort.sweep_poses
            else f", {size * len(blocks.laps):,} of them timed"
        )
        yield _row(
            f"{what}, {effort.sweep_poses:,} poses{done}", blocks, size, references, bytes_per_s, LIMITS_ANSWERS, needed
        )
    yield _rate_row("the simulator's forward call, joints and weights only", times["hanging"])
    yield _rate_row("that call with the feet on the floor", times["standing"])
    yield Row(
        group=GROUP,
        what=f"memory: a = b + s c over {TRIAD_LENGTH:,} numbers",
        median=bytes_per_s / 1e9,
        p99=TRIAD_LENGTH * TRIAD_BYTES / memory.p99_s / 1e9,
        unit="GB/s",
    )


def whole_sweeps(job: Job, pose: Pose) -> dict[str, Callable[[Figures], Limits]]:
    """Name and function of each sweep over every limit."""
    return {
        "every limit, best values": lambda numbers: best_over(job, pose, numbers, "nothing"),
        "every limit, worst case": lambda numbers: limits_over(job, pose, numbers, "nothing"),
    }


def in_blocks(evaluate: Callable[[Figures], Limits], numbers: Figures, effort: Effort) -> tuple[Times, int]:
    """Laps of each block of a sweep until its time is spent, and the poses in a block.

    Blocks are as large as planning's own, or as large as leaves time for a few of them.
    """
    size = TRIAL
    while size < min(BLOCK, effort.sweep_poses):
        trial = lap_of(lambda size=size: evaluate(cut(numbers, slice(0, size))))
        if trial.processor_s > effort.sweep_s / FEWEST_BLOCKS / 2.0:
            break
        size *= 2
    laps: list[Lap] = []
    for start in range(0, effort.sweep_poses - size + 1, size):
        block = cut(numbers, slice(start, start + size))
        laps.append(lap_of(lambda block=block: evaluate(block)))
        if sum(lap.clock_s for lap in laps) > effort.sweep_s and len(laps) >= 2:
            break
    return Times(tuple(laps)), size


def _row(
    what: str,
    blocks: Times,
    size: int,
    references: list[tuple[str, Times]],
    bytes_per_s: float,
    answers: int,
    needed: tuple[str, float],
) -> Row:
    """A sweep's poses a second, by blocks of ``size``, against the simulator and the memory."""
    median, best = size / blocks.median_s, size / blocks.least_s
    words, wanted = needed
    ratios = [Ratio(median * times.median_s, name) for name, times in references]
    return Row(
        group=GROUP,
        what=what,
        median=median,
        p99=size / blocks.p99_s,
        unit="poses/s",
        ratios=(*ratios, Ratio(median * 8 * answers / bytes_per_s, "what the memory could carry")),
        goals=(Goal(words, wanted / median, wanted / best),),
    )


def _rate_row(what: str, times: Times) -> Row:
    return Row(group=GROUP, what=what, median=1.0 / times.median_s, p99=1.0 / times.p99_s, unit="poses/s")


def forward_laps(simulated: Simulated, rows: Array, count: int) -> list[Lap]:
    """Forward calls alone, setting the joints left out."""
    laps = []
    for index in range(count):
        simulated.set(rows[index % len(rows)])
        laps.append(lap_of(simulated.forward))
    return laps


def triad() -> Callable[[], object]:
    """a = b + s c, in place: as much as one core can move."""
    b, c, a = np.ones(TRIAD_LENGTH), np.ones(TRIAD_LENGTH), np.ones(TRIAD_LENGTH)

    def call() -> object:
        np.multiply(c, 3.0, out=a)
        return np.add(a, b, out=a)

    return call
