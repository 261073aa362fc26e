"""The saddle bed where it leaves the jib mast, against sums by hand (yield 230 MPa, design factor 3)."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import pytest

from engine.limits.all_limits import find_checks
from engine.rig.check import Check
from engine.rig.kinematics import figures
from engine.schema import rig_file
from engine.schema.model import Job, Pose
from engine.schema.sections import RectTube, properties
from engine.worst_case.verdict import evaluate

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
REPLACE = msgspec.structs.replace
BOATYARD = rig_file.read(SAMPLES / "skerry_point_boatyard.rig.json")
POSE = BOATYARD.poses[0]


def with_bed(section: RectTube | None) -> Job:
    saddles = REPLACE(BOATYARD.rig.saddles, bed_section=section)
    return REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, saddles=saddles))


def bed_checks(job: Job, pose: Pose = POSE) -> dict[str, Check]:
    return {check.kind: check for check in find_checks(job, figures(job, pose)) if check.part == "saddle bed"}


def test_a_thin_bed_is_over_and_a_thicker_one_is_not() -> None:
    """A bed of 100 x 40 x 3 is past its yield in this pose; one of 120 x 80 x 10 holds."""
    thin = bed_checks(with_bed(RectTube(width_m=0.1, depth_m=0.04, wall_m=0.003)))
    assert float(thin["behind the jib mast"].use) > 3.0
    assert evaluate(with_bed(RectTube(width_m=0.1, depth_m=0.04, wall_m=0.003)), POSE).state == "OVER"
    assert all(float(check.use) < 1.0 for check in bed_checks(BOATYARD).values())
    assert evaluate(BOATYARD, POSE).state == "WITHIN"


def test_the_bed_behind_the_mast_by_hand() -> None:
    """Rear reaction on its lever from the mast's face, the boom's whole twist, von Mises at the worst corner."""
    checks = find_checks(BOATYARD, figures(BOATYARD, POSE))
    bed = next(check for check in checks if check.part == "saddle bed" and check.kind == "behind the jib mast")
    up_N, twist_Nm = float(bed.numbers["up"]), float(bed.numbers["twist"])
    lever_m = 0.525 - 0.120 / 2.0
    assert bed.numbers["lever"] == pytest.approx(lever_m)
    steel = properties(RectTube(width_m=0.12, depth_m=0.08, wall_m=0.01))
    bending = up_N * lever_m / steel.elastic_up_m3
    area = 2.0 * 0.01 * (0.08 - 3.0 * 0.01)
    shear = up_N / area + twist_Nm / steel.torsion_m3
    by_hand = math.sqrt(bending**2 + 3.0 * shear**2) / (230e6 / 3.0)
    assert float(bed.use) == pytest.approx(by_hand, rel=2e-3), "the floor's slope adds a little to the side"


def test_the_rear_reaction_is_that_of_statics() -> None:
    """Moments about the front saddle: boom, arms, hook and load ahead of it over the spacing of 0.525 m.

    Boom 2.4 m and 55 kg, 0.9 m out: its middle 0.3 m behind.  Arms of 14 and 12 kg, 0.6 m long, at 20 and 10 degrees.
    """
    first, second = math.cos(math.radians(20.0)), math.cos(math.radians(10.0))
    out = 0.9 + 0.6 * (first + second)
    moment = 55.0 * (0.9 - 1.2) + 14.0 * (0.9 + 0.3 * first) + 12.0 * (0.9 + 0.6 * first + 0.3 * second)
    moment += (12.0 + 12.0 + 185.0) * out
    by_hand = moment * 9.80665 / 0.525
    assert float(bed_checks(BOATYARD)["behind the jib mast"].numbers["up"]) == pytest.approx(by_hand, rel=0.01)


def test_the_wall_at_the_masts_edge_by_hand() -> None:
    """``2 Fy t 5k`` with k = 1.5 t for two walls; crippling is more for so thick a wall (AISC 360 J10.2, J10.3)."""
    check = bed_checks(BOATYARD)["wall at the mast, rear saddle"]
    yielding = 230e6 * 0.01 * 5.0 * 1.5 * 0.01
    assert float(check.allowed) == pytest.approx(yielding / 3.0, rel=1e-9)


@pytest.mark.parametrize("kind", ["behind the jib mast", "ahead of the jib mast", "wall at the mast, rear saddle"])
def test_the_allowed_load_of_the_bed_is_where_its_use_reaches_one(kind: str) -> None:
    low, high = 0.0, 5000.0
    for _ in range(60):
        middle = (low + high) / 2.0
        job = REPLACE(BOATYARD, load=REPLACE(BOATYARD.load, mass_kg=REPLACE(BOATYARD.load.mass_kg, best=middle)))
        low, high = (middle, high) if float(bed_checks(job)[kind].use) <= 1.0 else (low, middle)
    assert float(bed_checks(BOATYARD)[kind].allowed_load_kg) == pytest.approx(low, rel=1e-6)


def test_a_bed_that_is_not_entered_has_no_checks_and_is_not_proven() -> None:
    job = with_bed(None)
    assert bed_checks(job) == {}
    verdict = evaluate(job, POSE)
    assert verdict.state == "NOT PROVEN"
    assert [problem.where for problem in verdict.not_entered] == ["rig.saddles.bed_section"]
