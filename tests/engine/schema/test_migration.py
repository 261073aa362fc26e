"""Files of version 1 open; what they do not hold counts as not entered, and the file on disk is not touched."""

from __future__ import annotations

import copy
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.schema import rig_file, typical_allowances
from engine.schema.migration import WRITTEN_ANEW, migrated

VERSION_1 = sorted((Path(__file__).parents[2] / "data" / "version1").glob(f"*{rig_file.SUFFIX}"))
"""The sample rigs as they were shipped in version 1."""

json_values = st.recursive(
    st.none() | st.booleans() | st.floats(allow_nan=False) | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)


def test_there_are_eleven() -> None:
    assert len(VERSION_1) == 11


@pytest.mark.parametrize("path", VERSION_1, ids=lambda path: path.name.split(".")[0])
def test_a_file_of_version_1_opens_and_says_what_was_changed(path: Path) -> None:
    before = path.read_bytes()
    job, changes = rig_file.read_with_changes(path)
    assert job.format_version == 2 and changes[0] == WRITTEN_ANEW
    assert path.read_bytes() == before
    again = rig_file.decode_with_changes(rig_file.encode(job), path.name)
    assert again == (job, ())


@pytest.mark.parametrize("path", VERSION_1, ids=lambda path: path.name.split(".")[0])
def test_migration_leaves_what_it_is_given(path: Path) -> None:
    raw = json.loads(path.read_text(encoding="utf-8"))
    kept = copy.deepcopy(raw)
    migrated(raw)
    assert raw == kept


@given(st.sampled_from(("rig", "drawn", "truck", "policy", "poses", "load", "approval")), json_values)
def test_what_is_no_rig_is_left_for_the_types_to_refuse(place: str, value: object) -> None:
    job, _ = migrated({"format_version": 1, place: value})
    assert job["format_version"] == 2


@given(st.sampled_from(("sleeves", "jib_mast", "saddles", "boom", "arms", "hook")), json_values)
def test_what_is_no_part_is_left_too(place: str, value: object) -> None:
    assert migrated({"format_version": 1, "rig": {place: value}})[0]["format_version"] == 2


def test_a_file_of_the_present_version_is_not_changed() -> None:
    raw = {"format_version": 2, "rig": {}}
    assert migrated(raw) == (raw, ())
    assert migrated({"format_version": True}) == ({"format_version": True}, ())


def policy_of(**values: object) -> tuple[dict[str, object], str]:
    """The policy but for swing and the like, which nothing here is about."""
    job, notes = migrated({"format_version": 1, "policy": values})
    typical = {*typical_allowances.TYPICAL, "taken_as_typical"}
    return {name: value for name, value in job["policy"].items() if name not in typical}, " ".join(notes[1:])


def test_a_design_factor_under_2_is_raised_and_said() -> None:
    policy, notes = policy_of(design_factor=1.5, unknown_yield_Pa=200e6)
    assert policy == {"design_factor": 2.0, "unknown_yield_Pa": 200e6}
    assert "was 1.5; it is 2 now" in notes
    assert policy_of(design_factor=2.0, unknown_yield_Pa=200e6)[0]["design_factor"] == 2.0
    assert policy_of(design_factor=1.4)[0]["design_factor"] == 1.4, "version 1 refused it, and so do the types"


def test_unknown_steel_over_235_MPa_is_lowered_and_said() -> None:
    policy, notes = policy_of(unknown_yield_Pa=300e6)
    assert policy == {"unknown_yield_Pa": 235e6} and "taken to yield at 300 MPa" in notes
    policy, notes = policy_of(unknown_yield_Pa=230e6)
    assert policy == {"unknown_yield_Pa": 230e6} and "taken to yield" not in notes
    policy, notes = policy_of()
    assert policy == {} and "230 MPa then and counts as 195 MPa now" in notes


@pytest.mark.parametrize(("before", "after"), [({}, None), ({"worn_m": 0.0}, None), ({"worn_m": 0.002}, 0.002)])
def test_forks_that_were_not_worn_were_not_measured(before: dict[str, float], after: float | None) -> None:
    job, notes = migrated({"format_version": 1, "truck": {"forks": before}})
    assert job["truck"]["forks"]["worn_m"] == after
    assert ("a tenth of their thickness counts" in " ".join(notes)) is (after is None)
