"""Moves and surroundings in the rig file: they name what is there, and edits keep them so."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.base.errors import EditError, RigFileError
from engine.schema import rig_file
from engine.schema.model import Move, Surrounding
from engine.shop import edits

SAMPLE = Path(__file__).resolve().parents[3] / "sample_rigs/cold_spring_vineyard.rig.json"


@pytest.fixture(scope="module")
def job():
    job = rig_file.read(SAMPLE)
    return msgspec.structs.replace(job, moves=(Move(name="across", poses=(job.poses[0].name, job.poses[2].name)),))


def test_a_job_with_moves_and_surroundings_reads_back_as_written(job):
    wall = Surrounding(name="wall", x0_m=2.0, x1_m=2.2, y0_m=-1.0, y1_m=1.0, z0_m=0.0, z1_m=3.0)
    job = msgspec.structs.replace(job, surroundings=(wall,))
    assert rig_file.decode(rig_file.encode(job)) == job


def test_a_move_over_an_unknown_pose_is_refused(job):
    raw = msgspec.to_builtins(job)
    raw["moves"][0]["poses"] = ["nowhere", job.poses[0].name]
    with pytest.raises(RigFileError, match="nowhere"):
        rig_file.decode(msgspec.json.encode(raw))


def test_a_box_with_its_ends_swapped_is_refused():
    with pytest.raises(ValueError, match="lengthways it goes from 2\u202f000 mm to 1\u202f000 mm"):
        Surrounding(name="wall", x0_m=2.0, x1_m=1.0, y0_m=-1.0, y1_m=1.0, z0_m=0.0, z1_m=3.0)


def test_renaming_a_pose_renames_it_in_its_moves(job):
    assert edits.rename_pose(job, 0, "over the stand").moves[0].poses[0] == "over the stand"


def test_a_pose_on_a_move_cannot_be_removed(job):
    with pytest.raises(EditError, match="across"):
        edits.remove_pose(job, 0)
    assert len(edits.remove_pose(job, 1).poses) == len(job.poses) - 1
