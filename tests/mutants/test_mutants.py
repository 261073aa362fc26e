"""The catalogue fits the code as it is, and the tests kill its mutants."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.mutants import catalogue, running
from tests.mutants.catalogue import MUTANTS, Mutant
from tests.thoroughness import times

ROTATION = times(90, 20)
"""A run tries one mutant in so many, other ones each day; ``python -m tests.mutants`` tries them all."""


@pytest.mark.parametrize("mutant", MUTANTS, ids=lambda mutant: f"{Path(mutant.module).stem}: {mutant.original}")
def test_every_fragment_stands_exactly_once_in_its_module(mutant: Mutant) -> None:
    mutated = catalogue.mutated_source(running.ROOT, mutant)
    compile(mutated, mutant.module, "exec")


def test_a_fragment_that_is_gone_or_stands_twice_is_told() -> None:
    gone, twice = (
        Mutant("strength", "engine/strength/pins.py", fragment, "0", "") for fragment in ("no such text", "def ")
    )
    with pytest.raises(LookupError, match="0 times"):
        catalogue.mutated_source(running.ROOT, gone)
    with pytest.raises(LookupError, match="expected once"):
        catalogue.mutated_source(running.ROOT, twice)


def test_every_strength_module_has_mutants_and_every_area_ten() -> None:
    modules = {path.relative_to(running.ROOT).as_posix() for path in (running.ROOT / "engine/strength").glob("*.py")}
    assert modules - {mutant.module for mutant in MUTANTS} == {"engine/strength/__init__.py"}
    for area in running.AREAS:
        assert sum(mutant.area == area for mutant in MUTANTS) >= 10, area


@pytest.fixture(scope="module")
def tree() -> Iterator[Path]:
    with running.copied_tree() as copied:
        yield copied


@pytest.mark.slow
@pytest.mark.parametrize("area", running.AREAS)
def test_without_a_mutant_the_quick_tests_of_an_area_pass_in_the_copied_tree(tree: Path, area: str) -> None:
    """All of them pass in this very run; ``python -m tests.mutants`` runs them all in the copy too."""
    assert running.run_quick_tests(tree, area) == running.PASSED


@pytest.mark.slow
@pytest.mark.parametrize("turn", range(len(MUTANTS) // ROTATION))
def test_the_mutants_of_the_day_are_killed(tree: Path, turn: int) -> None:
    today = datetime.date.today().toordinal()
    mutant = MUTANTS[(today + turn * ROTATION) % len(MUTANTS)]
    mutated = catalogue.mutated_source(running.ROOT, mutant)
    assert running.is_killed(tree, mutant.module, mutated, mutant.area), mutant
