"""Fixtures and settings every test shares."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from app.start import screen
from engine.jit import code_files
from engine.schema import rig_file
from engine.schema.model import Job

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
screen.paint_on_one_thread()  # as the program does

# Repeatable runs with no time limit on one example: the machines that run these are shared and slow at times.
settings.register_profile(
    "tailweight",
    deadline=None,
    max_examples=40,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
settings.load_profile("tailweight")


def pytest_configure(config: pytest.Config) -> None:
    """Machine code of this run lies in a folder of its own, for its workers and the programs they start too."""
    if not hasattr(config, "workerinput") and code_files.FOLDER not in os.environ:
        folder = tempfile.mkdtemp(prefix="tailweight-code-")
        os.environ[code_files.FOLDER] = folder
        config.add_cleanup(lambda: shutil.rmtree(folder, ignore_errors=True))


ROOT = Path(__file__).resolve().parent.parent
SAMPLE_PATHS = tuple(sorted((ROOT / "sample_rigs").glob("*.rig.json")))
PLATED_PATHS = tuple(path for path in SAMPLE_PATHS if rig_file.read(path).truck.plate is not None)


@pytest.fixture(params=PLATED_PATHS, ids=lambda path: path.name.removesuffix(".rig.json"))
def sample_path(request: pytest.FixtureRequest) -> Path:
    """Each sample rig file whose truck has a plate in turn; without one there is no verdict to look at."""
    return request.param


@pytest.fixture
def sample(sample_path: Path) -> Job:
    """Each sample rig in turn."""
    return rig_file.read(sample_path)


@pytest.fixture
def boatyard() -> Job:
    """Two standing arms on a 2.5 t truck."""
    return rig_file.read(ROOT / "sample_rigs" / "skerry_point_boatyard.rig.json")


@pytest.fixture
def stone_yard() -> Job:
    """No arms: the hook sits straight in the boom, on a 3.5 t truck."""
    return rig_file.read(ROOT / "sample_rigs" / "tarn_hollow_stone_yard.rig.json")


@pytest.fixture
def vineyard() -> Job:
    """Two long arms on a 1.5 t truck."""
    return rig_file.read(ROOT / "sample_rigs" / "cold_spring_vineyard.rig.json")
