"""Pieces of joints that cannot be where they are entered: each is refused at its own entry, and the sample is not."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.rig.fits import misfits
from engine.schema.model import Job
from engine.shop import edits
from engine.worst_case.verdict import evaluate
from tests.samples import by_hand, read_once

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
JOBS = {path.name.removesuffix(".rig.json"): read_once(path) for path in sorted(SAMPLES.glob("*.rig.json"))}
BOATYARD, PUMPS = JOBS["skerry_point_boatyard"], by_hand("osier_wharf_pumps")
MEMORIALS = JOBS["greywether_memorials"]

BAD = [
    (BOATYARD, "rig.boom.pin.hole_m", 0.03),
    (BOATYARD, "rig.saddles.pin_hole_m", 0.0005),
    (BOATYARD, "rig.saddles.pin_hole_m", 0.119),
    (BOATYARD, "rig.sleeves.heel_hold.pin.hole_m", 0.06),
    (BOATYARD, "rig.sleeves.heel_hold.below_m", 0.5),
    (BOATYARD, "rig.saddles.strap_foot.lap_m", 0.3),
    (BOATYARD, "rig.arms[0].hinge.inner_end.on_face_m", 5.0),
    (BOATYARD, "rig.arms[1].hinge.lug_weld_length_m", 0.5),
    (BOATYARD, "rig.arms[1].hinge.lug_edge_m", 0.3),
    (PUMPS, "rig.arms[0].hinge.outer_end.length_m", 0.06),
    (PUMPS, "rig.arms[0].stay.at_inner.z_m", 0.03),
    (PUMPS, "rig.arms[0].stay.at_arm.x_m", 1.5),
    (PUMPS, "rig.arms[0].stay.end_lug.pin.hole_m", 0.07),
    (MEMORIALS, "rig.jib_mast.base.length_m", 0.05),
]


@pytest.mark.parametrize("name", JOBS)
def test_no_sample_is_refused_for_its_joints(name: str) -> None:
    assert misfits(JOBS[name].rig) == ()


@pytest.mark.parametrize(("job", "path", "value"), BAD, ids=[f"{path} {value}" for _, path, value in BAD])
def test_what_cannot_be_there_is_refused_at_its_entry(job: Job, path: str, value: float) -> None:
    bad = edits.set_value(job, path, value)
    verdict = evaluate(bad, bad.poses[0])
    assert verdict.state == "REFUSED" and verdict.allowed_load_kg is None
    assert path in [problem.where for problem in verdict.problems]
