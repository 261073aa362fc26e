"""Recordings kept in files: read as they were made, for the same structure and engine alone, and made anew in doubt."""

from __future__ import annotations

import functools
import os
import pickle
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest

from engine.jit import code_files, machine_code
from engine.rig.kinematics import figures
from engine.schema import rig_file
from engine.schema.model import Job
from engine.worst_case import evaluator, recorded_formulas, recording_files, structure
from tests.conftest import PROGRAM_KEEPS, new_evaluator
from tests.samples import ROOT

STONE_YARD = ROOT / "sample_rigs" / "tarn_hollow_stone_yard.rig.json"


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    """A folder of its own, and a process that has recorded nothing."""
    place = tmp_path / "code"
    with pytest.MonkeyPatch.context() as own:
        own.setenv(code_files.FOLDER, str(place))
        own.setattr(evaluator, "_evaluator_of", functools.lru_cache(maxsize=PROGRAM_KEEPS)(new_evaluator))
        own.setattr(structure, "_kept", structure.Kept())
        own.setattr(machine_code, "_cache", machine_code._CodeCache())
        yield place


@pytest.fixture
def made(folder: Path) -> Iterator[list[str]]:
    """A name for every recording made and not read."""
    names: list[str] = []
    record = recorded_formulas._values_and_pose

    def counted(*given: object) -> object:
        names.append("values and pose")
        return record(*given)

    with pytest.MonkeyPatch.context() as own:
        own.setattr(recorded_formulas, "_values_and_pose", counted)
        yield names


def as_after_a_start() -> None:
    structure.forget_recordings()
    evaluator._evaluator_of.cache_clear()
    machine_code._cache.latest.clear()
    machine_code._cache.held.clear()


def said_of(job: Job) -> list[float]:
    """Numbers of the recorded limits in the first pose, bit by bit."""
    numbers = figures(job, job.poses[0])
    made = evaluator.evaluator_of(job, numbers)
    made.record(job, numbers)
    assert made._recorded is not None
    bent = made.evaluate_pose(job, numbers).numbers
    return [*made.values(job, bent, ()), *(float(check.use) for check in made.evaluate_pose(job, numbers).checks)]


@pytest.fixture
def stone_yard() -> Job:
    return rig_file.read(STONE_YARD)


def heavier(job: Job) -> Job:
    mass = msgspec.structs.replace(job.load.mass_kg, best=job.load.mass_kg.best + 1.0)
    return msgspec.structs.replace(job, load=msgspec.structs.replace(job.load, mass_kg=mass))


def test_a_recording_is_made_once_for_all_runs_and_says_the_same_bits(made: list[str], stone_yard: Job) -> None:
    first = said_of(stone_yard)
    as_after_a_start()
    assert said_of(rig_file.read(STONE_YARD)) == first
    assert len(made) == 1


def test_what_is_read_serves_the_structure_with_other_numbers(made: list[str], stone_yard: Job) -> None:
    said_of(stone_yard)
    as_after_a_start()
    other = heavier(stone_yard)
    read = said_of(other)
    assert len(made) == 1
    by_formulas = recorded_formulas.evaluate_pose(other, figures(other, other.poses[0])).checks
    assert read[-len(by_formulas) :] == [float(check.use) for check in by_formulas]
    assert read != said_of(stone_yard)


def test_another_process_reads_it_at_its_first_verdict(folder: Path, made: list[str], stone_yard: Job) -> None:
    said_of(stone_yard)
    program = (
        "from engine.schema import rig_file; from engine.rig.kinematics import figures;"
        "from engine.worst_case import evaluator, verdict;"
        f"job = rig_file.read({str(STONE_YARD)!r}); verdict.evaluate(job, job.poses[0]);"
        "print(evaluator.evaluator_of(job, figures(job, job.poses[0])).machine_code is not None)"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, env={**os.environ}, capture_output=True, text=True, check=True
    )
    assert run.stdout.split() == ["True"]


def test_a_read_once_miss_is_not_looked_for_again(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    looked: list[object] = []
    monkeypatch.setattr(recording_files, "find", lambda key, numbers, quick: looked.append(key))
    kept = structure.Kept()
    for _ in range(3):
        assert kept.read_once("any", []) is None
    assert looked == ["any"]


@pytest.mark.parametrize(
    "spoil",
    [
        lambda content: content[:-1],
        lambda content: b"",
        lambda content: bytes([content[0] ^ 1]) + content[1:],
        lambda content: content[:200] + bytes([content[200] ^ 8]) + content[201:],
    ],
)
def test_a_file_spoiled_is_not_used(spoil: object, folder: Path, made: list[str], stone_yard: Job) -> None:
    first = said_of(stone_yard)
    for file in folder.glob(f"*-*{code_files.SUFFIX}"):
        file.write_bytes(spoil(file.read_bytes()))  # type: ignore[operator]
    as_after_a_start()
    assert said_of(stone_yard) == first
    assert len(made) == 2


def test_a_recording_whose_code_is_gone_is_made_anew(folder: Path, made: list[str], stone_yard: Job) -> None:
    said_of(stone_yard)
    for file in folder.glob(f"*{code_files.SUFFIX}"):
        if "-" not in file.name:
            file.unlink()
    as_after_a_start()
    said_of(stone_yard)
    assert len(made) == 2


def test_code_that_answers_otherwise_than_when_it_was_made_is_not_used(folder: Path, stone_yard: Job) -> None:
    said_of(stone_yard)
    values = evaluator.evaluator_of(stone_yard, figures(stone_yard, stone_yard.poses[0])).machine_code
    assert values is not None
    trial = machine_code._Trial((1.0,) * values.inputs, (), b"another answer")
    (recording, _) = structure._kept._recordings.popitem()[1].functions
    recording._trial = trial
    with pytest.raises(LookupError, match="answers as it did"):
        pickle.loads(pickle.dumps(recording))


@pytest.mark.parametrize("what", ["engine", "python"])
def test_a_recording_of_another_engine_or_python_is_not_used(
    what: str, made: list[str], stone_yard: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    said_of(stone_yard)
    as_after_a_start()
    recording_files._made_by.cache_clear()
    if what == "python":
        monkeypatch.setattr(recording_files.sys, "version", "3.99")
    else:
        monkeypatch.setattr(recording_files.engine, "__path__", [str(ROOT / "engine" / "jit")])
    said_of(stone_yard)
    monkeypatch.undo()
    recording_files._made_by.cache_clear()
    assert len(made) == 2


def test_several_ways_are_kept_and_the_one_unused_for_longest_goes(
    folder: Path, made: list[str], stone_yard: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(recording_files, "WAYS_AT_MOST", 2)
    numbers = figures(stone_yard, stone_yard.poses[0])
    found = evaluator.evaluator_of(stone_yard, numbers)
    found.record(stone_yard, numbers)
    recording = structure._kept._recordings.popitem()[1]
    for key in ("a", "a", "a"):
        recording_files.keep(key, *recording)
    name = recording_files._name_of("a")
    assert sorted(path.name for path in folder.glob(f"{name}*")) == [f"{name}-{n}{code_files.SUFFIX}" for n in (0, 1)]


def test_without_a_folder_nothing_is_kept_and_all_is_said(made: list[str], stone_yard: Job) -> None:
    with pytest.MonkeyPatch.context() as own:
        own.delenv(code_files.FOLDER)
        first = said_of(stone_yard)
        as_after_a_start()
        assert said_of(stone_yard) == first
    assert len(made) == 2
