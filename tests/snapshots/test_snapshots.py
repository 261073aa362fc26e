"""``check --json`` of every pose of every sample says what it said when it was recorded."""

from __future__ import annotations

import copy

import pytest

from tests.snapshots.recording import FOLDER, difference, names, recorded, said


@pytest.mark.parametrize("name", names())
def test_a_sample_rig_is_judged_as_it_was(name: str) -> None:
    assert difference(recorded(name), said(name), name) == ""


def test_every_record_is_of_a_sample_rig() -> None:
    assert sorted(path.stem for path in FOLDER.glob("*.json")) == names()


def test_a_difference_is_found_wherever_it_is() -> None:
    then = recorded("skerry_point_boatyard")
    now = copy.deepcopy(then)
    pose = next(iter(now))
    now[pose]["checks"][3]["use"] += 1e-9
    assert difference(then, now).startswith(f".{pose}.checks[3].use:")
    del now[pose]["checks"][3]
    assert "entries" in difference(then, now)
