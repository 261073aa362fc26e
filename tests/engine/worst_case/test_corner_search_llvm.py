"""The search in machine code says what the same search as arrays says, bit for bit, or is not used."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import numpy as np
import pytest

from engine.base.geometry import ratio, sqrt, where
from engine.jit import machine_code
from engine.jit.machine_code import machine_function
from engine.jit.trace import Recorder
from engine.rig.deflection import with_bending
from engine.rig.figure_vector import filled, inputs_of, map_numbers, shape_of
from engine.rig.kinematics import Figures, figures
from engine.schema import rig_file
from engine.schema.model import Job, Pose
from engine.worst_case import corner_search, corner_search_llvm
from engine.worst_case.corner_search import NominalUses, WorstOfPoses, search_by_arrays
from engine.worst_case.corner_search_llvm import CompiledCornerSearch
from engine.worst_case.evaluator import evaluator_of, record_ahead
from engine.worst_case.uncertain_inputs import entries_of
from engine.worst_case.uncertainty_box import MOST_ENTRIES, EntryPlaces, UncertaintyBox, box_around
from engine.worst_case.verdict import evaluate
from engine.worst_case.worst_case import worst_values
from tests.thoroughness import THOROUGH, every

pytest.importorskip("llvmlite", reason="there is no llvmlite for this Python")

SAMPLES = sorted((Path(__file__).resolve().parents[3] / "sample_rigs").glob("*.rig.json"))
REPLACE = msgspec.structs.replace


def spread(job: Job, pose: Pose, count: int, seed: int = 3) -> Figures:
    """Poses around one: lift, tilt, boom and load changed."""
    chance, numbers, upright = np.random.default_rng(seed), figures(job, pose), job.truck.upright
    return REPLACE(
        numbers,
        lift_m=chance.uniform(upright.lift_min_m, upright.lift_max_m, count),
        tilt_rad=chance.uniform(-upright.tilt_forward_max_rad, upright.tilt_back_max_rad, count),
        boom_out_m=numbers.boom_out_m + chance.uniform(-0.05, 0.05, count),
        load_kg=numbers.load_kg * chance.uniform(0.0, 2.0, count),
    )


def asked(job: Job, pose: Pose, numbers: Figures) -> tuple[UncertaintyBox, NominalUses, object]:
    evaluator = evaluator_of(job, numbers)
    shape = shape_of(numbers)
    row, use, load_kg = evaluator.nominal(job, numbers, shape or (1,))
    return (
        box_around(job, row, entries_of(job, pose, numbers)),
        NominalUses(use=use, allowed_load_kg=load_kg),
        evaluator,
    )


def same(one: WorstOfPoses, other: WorstOfPoses) -> bool:
    fields = [
        (getattr(one, name), getattr(other, name)) for name in ("use", "allowed_kg", "governing", "bend", "corner")
    ]
    fields += [(getattr(one.first, name), getattr(other.first, name)) for name in one.first.__struct_fields__]
    return all(np.array_equal(mine, theirs, equal_nan=True) for mine, theirs in fields)


@pytest.mark.parametrize(
    ("path", "quick"),
    [
        pytest.param(path, nth % 3 != 0 and not THOROUGH, id=path.name.split(".")[0])
        for nth, path in enumerate(every(2, SAMPLES[::2]))
    ],
)
def test_code_says_what_the_arrays_say_on_every_second_sample(path: Path, quick: bool) -> None:
    """Of every third rig the code is that of a quiet moment, which takes four times as long to make."""
    job = rig_file.read(path)  # not the one other tests had code made of
    if job.truck.plate is None:
        pytest.skip("a truck without a plate has no limits")
    pose = job.poses[0]
    evaluator_of(job, figures(job, pose)).record(job, figures(job, pose), quick)
    box, best, evaluator = asked(job, pose, spread(job, pose, 9))
    assert evaluator.compiled_search is not None
    assert same(
        corner_search.search_by_machine_code(box, best, evaluator.compiled_search),
        search_by_arrays(box, best, evaluator),
    )


@pytest.mark.parametrize("count", [1, 2, 5, 64, 131])
def test_any_number_of_poses_and_of_threads(count: int, vineyard: Job) -> None:
    pose = vineyard.poses[0]
    record_ahead(vineyard, pose)
    box, best, evaluator = asked(vineyard, pose, spread(vineyard, pose, count, seed=count))
    wanted = search_by_arrays(box, best, evaluator)
    with pytest.MonkeyPatch.context() as own:
        for threads in (1, 2, 3):
            own.setattr(machine_code._Threads, "count", threads)
            assert same(corner_search.search_by_machine_code(box, best, evaluator.compiled_search), wanted)


# ---------------------------------------------------------------- numbers that are none


class Strange:
    """Limits that are lost, infinite or turn over somewhere in the box, as code and as arrays."""

    LIMITS = 7

    def __init__(self, numbers: Figures) -> None:
        recorder = Recorder()
        self.made = machine_function(recorder, self.limits(map_numbers(numbers, lambda _: recorder.new_input())))
        self.compiled_search = corner_search_llvm.compiled_search(self.made, 2, 7)
        self.machine_code = None
        self.first = numbers

    @staticmethod
    def limits(numbers: Figures) -> list[object]:
        load, out, lift, tilt = numbers.load_kg, numbers.boom_out_m, numbers.lift_m, numbers.tilt_rad
        lost = sqrt(out - 1.0)  # not a number with the boom short of a metre
        over = ratio(load, lift - 1.0)  # infinite at one height, of either sign about it
        demand = [
            load * out,
            lost * load,
            over,
            load * load * tilt,
            where(load > 400.0, math.inf, load),
            0.0 * load,
            load * (lift - 1.0),
        ]
        allowed = [500.0 + lift, 300.0 + out, lost, 90.0 + tilt, 800.0 + lift, 0.0 * load, where(out > 1.0, 3.0, 0.0)]
        return [*demand, *allowed, tilt, -tilt * load, *[out * load, lost, over, lift, tilt, load, lift * tilt]]

    def values(self, _job: Job, numbers: Figures, shape: tuple[int, ...]) -> np.ndarray:
        with np.errstate(all="ignore"):
            return filled(self.limits(numbers), shape)


def test_what_is_lost_or_infinite_stays_so(vineyard: Job) -> None:
    pose = vineyard.poses[0]
    numbers = with_bending(vineyard, figures(vineyard, pose))
    grid = np.array(
        [
            (out, lift, load)
            for out in (0.9, 1.0, 1.004, 1.2)
            for lift in (0.9, 1.0, 1.02, 2.0)
            for load in (0.0, 1.0, 300.0, 390.0, 900.0)
        ]
    ).T
    numbers = REPLACE(
        numbers, boom_out_m=grid[0], lift_m=grid[1], load_kg=grid[2], tilt_rad=np.linspace(-0.02, 0.02, grid.shape[1])
    )
    evaluator = Strange(numbers)
    entries = tuple(entry for entry in entries_of(vineyard, pose, figures(vineyard, pose)))
    with np.errstate(all="ignore"):
        values = evaluator.values(vineyard, numbers, (grid.shape[1],))
        demand, allowed = values[: Strange.LIMITS], values[Strange.LIMITS : 2 * Strange.LIMITS]
        use = corner_search.use_of(demand, allowed)
        load_kg = np.resize([math.inf, math.nan, -math.inf, 120.0, 300.0, 7.0, 50_000.0], use.shape[::-1]).T
    best = NominalUses(use=use, allowed_load_kg=load_kg)
    box = box_around(vineyard, numbers, entries)
    wanted = search_by_arrays(box, best, evaluator)
    assert same(corner_search.search_by_machine_code(box, best, evaluator.compiled_search), wanted)
    assert np.isnan(wanted.use).any() and np.isinf(wanted.use).any() and (wanted.allowed_kg == -math.inf).any()


# ---------------------------------------------------------------- not used


def test_code_that_says_something_else_is_never_used(vineyard: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    job = REPLACE(vineyard, rig=REPLACE(vineyard.rig))
    pose = job.poses[0]
    wanted = evaluate(job, pose)
    record_ahead(job, pose)
    evaluator = evaluator_of(job, figures(job, pose))
    right = CompiledCornerSearch._search_poses

    def wrong(self: CompiledCornerSearch, asked: corner_search_llvm.SearchInput) -> corner_search_llvm.SearchResult:
        answer = right(self, asked)
        return answer._replace(use=answer.use * 0.5)

    search = evaluator.compiled_search
    assert search is not None
    monkeypatch.setattr(search._limits.compiled.code, "verified", False)  # another test may have compared it
    monkeypatch.setattr(CompiledCornerSearch, "_search_poses", wrong)
    assert evaluate(job, pose).worst_case.use == pytest.approx(wanted.worst_case.use, rel=1e-9)
    assert evaluator.compiled_search is None
    monkeypatch.undo()
    assert evaluate(job, pose).worst_case.use == pytest.approx(wanted.worst_case.use, rel=1e-9)


def test_without_machine_code_arrays_do_it(vineyard: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    def none(*_: object) -> None:
        raise ImportError("no llvmlite")

    monkeypatch.setattr(machine_code, "_code_of", none)
    job = REPLACE(vineyard, rig=REPLACE(vineyard.rig))
    pose = job.poses[0]
    record_ahead(job, pose)
    assert evaluator_of(job, figures(job, pose)).compiled_search is None
    numbers = spread(job, pose, 5)
    by_arrays = worst_values(job, pose, numbers)
    monkeypatch.undo()
    record_ahead(vineyard, pose)
    wanted = worst_values(vineyard, pose, numbers)
    assert by_arrays.use == pytest.approx(wanted.use, rel=1e-9, nan_ok=True)
    assert by_arrays.allowed_kg == pytest.approx(wanted.allowed_kg, rel=1e-9)


def test_another_number_of_figures_is_refused(vineyard: Job) -> None:
    pose = vineyard.poses[0]
    record_ahead(vineyard, pose)
    box, best, evaluator = asked(vineyard, pose, spread(vineyard, pose, 3))
    code = corner_search_llvm.compiled_search(evaluator.compiled_search._limits, 2, 7)
    fewer = corner_search_llvm.SearchInput(
        entries=EntryPlaces(inputs=(0, 1), hung=(), load=0, load_entry=None),
        numbers=np.ones((3, 4)),
        least=np.ones((3, 2)),
        most=np.ones((3, 2)),
        nominal_use=best.use,
        nominal_kg=best.allowed_load_kg,
    )
    with pytest.raises(ValueError, match=f"Expected {len(inputs_of(box.numbers))} inputs, got 4"):
        code(fewer)


def test_more_entries_than_a_corners_number_holds_are_refused(vineyard: Job) -> None:
    pose = vineyard.poses[0]
    numbers = figures(vineyard, pose)
    entries = entries_of(vineyard, pose, numbers)
    often = -(-(MOST_ENTRIES + 1) // len(entries))
    with pytest.raises(ValueError, match="at most 39 uncertain entries"):
        box_around(vineyard, numbers, entries * often)
