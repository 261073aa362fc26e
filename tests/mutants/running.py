"""Runs an area's tests against mutated source, in a temporary copy of the tree."""

from __future__ import annotations

import compileall
import contextlib
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

COPIED = ("app", "engine", "sample_rigs", "tests", "pyproject.toml")
"""All that the tests of the areas read; ``tests/conftest.py`` imports the app."""

OF_ONE_MODULE = (
    "base_on_forks",
    "bed",
    "bed_mount",
    "gussets",
    "heel_hold",
    "hinge_ends",
    "hook_ends",
    "linear_in_load",
    "load_window",
    "mast_foot",
    "saddle_bed",
    "stays",
    "strap_contact",
    "strap_limits",
    "wall_patch",
    "weld_lines",
)
"""Strength tests of one module or two, quick ones."""

AREAS: dict[str, tuple[tuple[str, ...], ...]] = {
    "strength": (
        ("tests/engine/strength/test_parts_by_hand.py",),
        tuple(f"tests/engine/strength/test_{name}.py" for name in OF_ONE_MODULE),
        (
            "tests/engine/strength",
            "tests/engine/rig/test_completeness.py",
            "tests/engine/rig/test_heels_held.py",
            "tests/engine/rig/test_pin_places.py",
            "tests/validation/test_aisc_members.py",
            "tests/validation/test_aisc_pins.py",
            "tests/validation/test_base_on_forks_contact.py",
            "tests/validation/test_beams.py",
            "tests/validation/test_rings.py",
            "tests/validation/test_scenarios_strength.py",
            "tests/validation/test_shigley.py",
            "tests/validation/test_strap_contact_frame.py",
            "tests/validation/test_welds.py",
        ),
        ("tests/validation/test_pynite_chain.py",),
    ),
    "hand force": (("tests/engine/handling/test_hand_force.py",),),
    "limits": (("tests/engine/limits/test_play.py", "tests/engine/limits/test_sideways.py"),),
    "cut list": (("tests/engine/shop/test_cut_list_by_hand.py", "tests/engine/shop/test_cut_list.py"),),
}
"""Each area with the tests that have to notice its mutants, in runs: quick ones that notice most come first.

Before them come the tests named after the mutant's module.
"""

SECONDS = 300
"""Far beyond what an area's tests take on a busy machine; a mutant that never ends counts as killed."""

PASSED, FAILED, NOT_COLLECTED = 0, 1, 4
"""Exit statuses of pytest that say something of the code; 4 also where ``conftest.py`` cannot be imported."""


@contextlib.contextmanager
def copied_tree() -> Iterator[Path]:
    """A temporary copy of the tree, compiled; removed at the end."""
    with tempfile.TemporaryDirectory(prefix="mutants-") as name:
        tree = Path(name)
        for part in COPIED:
            source = ROOT / part
            if source.is_dir():
                shutil.copytree(source, tree / part, ignore=shutil.ignore_patterns("__pycache__"))
            else:
                shutil.copy2(source, tree / part)
        for part in ("app", "engine", "tests"):
            compileall.compile_dir(tree / part, quiet=2)
        yield tree


def is_killed(tree: Path, module: str, mutated: str, area: str) -> bool:
    """Whether the area's tests fail with this source in place of the module's."""
    path = tree / module
    original = path.read_text(encoding="utf-8")
    # Python tells compiled files apart by time and size alone: the original's could pass for the mutant's.
    for compiled in (path.parent / "__pycache__").glob(f"{path.stem}.*"):
        compiled.unlink()
    path.write_text(mutated, encoding="utf-8")
    try:
        return run_tests(tree, area, module) != PASSED
    finally:
        path.write_text(original, encoding="utf-8")


def run_tests(tree: Path, area: str, module: str = "") -> int:
    """Exit status of pytest over a module's own tests and then the area's, stopped at the first failure."""
    found = sorted(tree.glob(f"tests/engine/*/test_{Path(module).stem}*.py")) if module else ()
    own = tuple(str(path.relative_to(tree)) for path in found)
    runs = (own, *AREAS[area]) if own else AREAS[area]
    return next((status for tests in runs if (status := _pytest(tree, tests)) != PASSED), PASSED)


def run_quick_tests(tree: Path, area: str) -> int:
    """Exit status of pytest over the first of the area's runs."""
    return _pytest(tree, AREAS[area][0])


def _pytest(tree: Path, tests: tuple[str, ...]) -> int:
    """Exit status of one run.

    Raises
    ------
    RuntimeError
        When pytest ends in a way that says nothing of the code: wrong usage, no tests, an internal error.
    """
    options = ("-q", "-x", "--assert=plain", "-p", "no:cacheprovider", "-p", "no:xdist")
    command = [sys.executable, "-m", "pytest", *options, *tests]
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    environment = {**kept, "PYTHONDONTWRITEBYTECODE": "1", "QT_QPA_PLATFORM": "offscreen"}
    try:
        done = subprocess.run(command, cwd=tree, env=environment, capture_output=True, timeout=SECONDS, check=False)
    except subprocess.TimeoutExpired:
        return FAILED
    collecting = 2  # interrupted: a test module could not be imported
    if done.returncode not in (PASSED, FAILED, collecting, NOT_COLLECTED):
        raise RuntimeError(f"pytest ended with {done.returncode}:\n{done.stdout.decode()}\n{done.stderr.decode()}")
    return done.returncode
