"""Errors say where, what was expected and what came, as a sentence and as attributes."""

from __future__ import annotations

import errno
import pickle
from pathlib import Path

import pytest

from engine.base.errors import EditError, PoseNameError, RigFileError, TailweightError, UnitError
from engine.base.file_fault import FileFault, of_kind
from engine.schema import rig_file
from engine.schema.entry_fault import EntryError
from engine.shop.edits import set_value
from tests.samples import SAMPLE_PATHS


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


def test_an_error_comes_whole_out_of_the_working_process() -> None:
    """One that cannot be taken out of its package ends the process, and says nothing of what was wrong."""
    job = rig_file.read(SAMPLE_PATHS[0])
    with pytest.raises(EntryError) as refused:
        set_value(job, "name", "")
    errors = [
        refused.value,
        FileFault(Path("a.rig.json"), "a file", of_kind(errno.ENOSPC), writing=True),
        EditError("a", "b", "c", plain="It is {mass}.", numbers={"mass": 2.0}),
    ]
    for error in errors:
        out = pickle.loads(pickle.dumps(error))
        assert type(out) is type(error) and str(out) == str(error) and vars(out) == vars(error)
