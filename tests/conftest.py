"""Fixtures and settings every test shares."""

from __future__ import annotations

import functools
import gc
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from app.start import screen
from engine.base.identity import IdentityKey
from engine.jit import code_files
from engine.schema import rig_file
from engine.schema.model import Job
from engine.worst_case import evaluator, structure
from tests.samples import PLATED_PATHS, ROOT, are_shared, read_once
from tests.thoroughness import times

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
screen.paint_on_one_thread()  # as the program does

# Repeatable runs with no time limit on one example: the machines that run these are shared and slow at times.
settings.register_profile(
    "tailweight",
    deadline=None,
    max_examples=times(14, 40),
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
settings.load_profile("tailweight")


def pytest_configure(config: pytest.Config) -> None:
    """Machine code of this run lies in a folder of its own, for its workers and the programs they start too.

    Workers take tests from each other at the end only, so that those of one module meet what the module keeps.
    """
    if getattr(config.option, "dist", "no") == "load":  # what ``-n`` alone means
        config.option.dist = "worksteal"
    if not hasattr(config, "workerinput") and code_files.FOLDER not in os.environ:
        folder = tempfile.mkdtemp(prefix="tailweight-code-")
        os.environ[code_files.FOLDER] = folder
        config.add_cleanup(lambda: shutil.rmtree(folder, ignore_errors=True))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The long tests come first, so that no worker is left with one at the end while the others have nothing to do."""
    items.sort(key=lambda item: item.get_closest_marker("slow") is None)


def pytest_collection_finish() -> None:
    """Modules and tests stay to the end: no collection looks through them again."""
    gc.collect()
    gc.freeze()


PROGRAM_KEEPS = evaluator._evaluator_of.cache_parameters()["maxsize"]
EVALUATORS_KEPT = 60
"""A run of all tests meets every sample again and again, between many others."""

WALKS_AT_ONCE = 4.0
"""Walks after which the formulas of a sample are recorded by a worker: at its second verdict."""

new_evaluator = evaluator._evaluator_of.__wrapped__


@functools.lru_cache(maxsize=EVALUATORS_KEPT)
def kept_evaluator(same: IdentityKey, fitted: tuple[int, ...]) -> evaluator.Evaluator:
    """As the program's; the worker of a whole run knows that it will be asked for a sample again."""
    made = new_evaluator(same, fitted)
    if "PYTEST_XDIST_WORKER" in os.environ and are_shared(same.parts):
        job: Any = SimpleNamespace(**dict(zip(structure.PARTS, same.parts, strict=True)))
        structure.Structure(job, fitted).walks.count = evaluator.RECORD_AFTER_WALKS - WALKS_AT_ONCE
    return made


evaluator._evaluator_of = kept_evaluator


@pytest.fixture
def no_evaluators() -> Iterator[None]:
    """Nothing recorded of any rig at first, and nothing of what this test records left to others."""
    with pytest.MonkeyPatch.context() as own:
        own.setattr(evaluator, "_evaluator_of", functools.lru_cache(maxsize=PROGRAM_KEEPS)(new_evaluator))
        own.setattr(structure, "_kept", structure.Kept(in_files=False))
        yield


@pytest.fixture(autouse=True)
def recordings_are_left_as_they_were() -> Iterator[None]:
    """What a test puts in the place of the recordings goes with it, whatever fixture put it there."""
    kept = structure._kept
    yield
    structure._kept = kept


@pytest.fixture
def monkeypatch(monkeypatch: pytest.MonkeyPatch) -> pytest.MonkeyPatch:
    """A test that puts something else in the place of formulas records anew, and leaves nothing of it to others."""

    def recording_anew(put: Callable[..., None]) -> Callable[..., None]:
        def put_and_record_anew(target: object, *rest: Any, **options: Any) -> None:
            put(target, *rest, **options)
            if not _is_above_the_formulas(target):
                structure._kept = structure.Kept(in_files=False)

        return put_and_record_anew

    for name in ("setattr", "delattr", "setitem", "delitem"):
        object.__setattr__(monkeypatch, name, recording_anew(getattr(monkeypatch, name)))
    return monkeypatch


ABOVE_THE_FORMULAS = ("app", "PySide6", "engine.cli", "engine.explain", "engine.planning", "engine.shop")
"""What asks for limits and is no part of them; ``engine.worst_case`` imports none of it."""


def _is_above_the_formulas(target: object) -> bool:
    """Whether what is patched is in a module or a class of those; a dictionary says nothing of where it is."""
    named = target if isinstance(target, str) else getattr(target, "__module__", getattr(target, "__name__", ""))
    return any(f"{named}.".startswith(f"{above}.") for above in ABOVE_THE_FORMULAS)


def rig_for(request: pytest.FixtureRequest, path: Path) -> Job:
    """The rig that all tests share; one of its own for a test that puts something else in the engine's place."""
    return rig_file.read(path) if "monkeypatch" in request.fixturenames else read_once(path)


@pytest.fixture(params=PLATED_PATHS, ids=lambda path: path.name.removesuffix(".rig.json"))
def sample_path(request: pytest.FixtureRequest) -> Path:
    """Each sample rig file whose truck has a plate in turn; without one there is no verdict to look at."""
    return request.param


@pytest.fixture
def sample(request: pytest.FixtureRequest, sample_path: Path) -> Job:
    """Each sample rig in turn."""
    return rig_for(request, sample_path)


@pytest.fixture
def boatyard(request: pytest.FixtureRequest) -> Job:
    """Two standing arms on a 2.5 t truck."""
    return rig_for(request, ROOT / "sample_rigs" / "skerry_point_boatyard.rig.json")


@pytest.fixture
def stone_yard(request: pytest.FixtureRequest) -> Job:
    """No arms: the hook sits straight in the boom, on a 3.5 t truck."""
    return rig_for(request, ROOT / "sample_rigs" / "tarn_hollow_stone_yard.rig.json")


@pytest.fixture
def vineyard(request: pytest.FixtureRequest) -> Job:
    """Two long arms on a 1.5 t truck."""
    return rig_for(request, ROOT / "sample_rigs" / "cold_spring_vineyard.rig.json")
