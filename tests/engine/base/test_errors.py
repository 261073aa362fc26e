"""Errors say where, what was expected and what came, as a sentence and as attributes."""

from __future__ import annotations

import pytest

from engine.base.errors import EditError, PoseNameError, RigFileError, TailweightError, UnitError


@pytest.mark.parametrize("kind", [EditError, PoseNameError, RigFileError, UnitError])
def test_every_error_is_one_sentence_with_its_parts_beside_it(kind: type[TailweightError]) -> None:
    error = kind("rig.boom.length_m", "a number over 0 m", "-2.4", "Lengths are in metres.")
    assert isinstance(error, TailweightError) and isinstance(error, ValueError)
    assert str(error) == "rig.boom.length_m: expected a number over 0 m, got -2.4. Lengths are in metres."
    assert (error.where, error.expected, error.got, error.hint) == (
        "rig.boom.length_m",
        "a number over 0 m",
        "-2.4",
        "Lengths are in metres.",
    )
    assert str(kind("a", "b", "c")) == "a: expected b, got c."
