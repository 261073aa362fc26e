"""The design factor on local buckling, against values worked by hand (unknown steel at 195 MPa, factor 3)."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import pytest

from engine.limits.all_limits import find_checks
from engine.rig.check import Check
from engine.rig.kinematics import figures
from engine.schema.model import Policy
from engine.schema.sections import RectTube, RoundTube, properties
from engine.strength.cuts import SectionForces
from engine.strength.linear_in_load import Linear
from engine.strength.members import (
    Member,
    combined_use,
    member_of,
    nominal_bending_Nm,
    nominal_shear_N,
    nominal_twist_Nm,
    shear_area_m2,
)
from tests.samples import read_once

REPLACE = msgspec.structs.replace
SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
FOUR_FIGURES = 5e-4
POLICY = Policy(unknown_yield_Pa=195e6)
NONE = Linear(0.0, 0.0)


def of(tube: RectTube | RoundTube) -> Member:
    return member_of(tube, "unknown", POLICY, unbraced_m=0.0, column_m=0.0)


def square(size_mm: float, wall_mm: float) -> RectTube:
    return RectTube(width_m=size_mm / 1000.0, depth_m=size_mm / 1000.0, wall_m=wall_mm / 1000.0)


@pytest.mark.parametrize(
    ("tube", "before_Nm", "after_Nm"), [(square(100.0, 2.0), 1599.0, 1455.0), (square(150.0, 2.5), 4559.0, 2820.0)]
)
def test_a_thin_tube_is_allowed_less(tube: RectTube, before_Nm: float, after_Nm: float) -> None:
    """Slenderness 47.00 and 57.00 against 44.83: the elastic moment times (44.83/47)^2 or (44.83/57)^2, over 3."""
    elastic_m3 = properties(tube).elastic_up_m3
    assert elastic_m3 * 195e6 / 3.0 == pytest.approx(before_Nm, rel=FOUR_FIGURES)
    assert of(tube).allowed_bend_up_Nm == pytest.approx(after_Nm, rel=FOUR_FIGURES)


@pytest.mark.parametrize("tube", [square(100.0, 5.0), RoundTube(diameter_m=0.1, wall_m=0.005)], ids=["square", "round"])
def test_a_tube_that_yields_before_it_buckles_keeps_all(tube: RectTube | RoundTube) -> None:
    found, full = of(tube), properties(tube)
    assert found.section.elastic_up_m3 == pytest.approx(full.elastic_up_m3, rel=1e-12)
    assert found.section.elastic_side_m3 == pytest.approx(full.elastic_side_m3, rel=1e-12)
    assert found.section.torsion_m3 == pytest.approx(full.torsion_m3, rel=1e-12)
    assert found.area_up_m2 == pytest.approx(shear_area_m2(tube, tube.wall_m), rel=1e-12)


def test_what_a_thin_tube_is_allowed_in_bending_shear_and_twist() -> None:
    """min(Mn/1.67, min(Mn, Fy S)/3); shear and twist at 1/sqrt 3 of yield over 3, cut by Vn/(0.6 Fy A) and its like."""
    tube = square(300.0, 3.0)
    cut, full = of(tube), properties(tube)
    nominal = nominal_bending_Nm(tube, 0.003, 195e6)
    assert nominal < 195e6 * full.elastic_up_m3
    assert cut.allowed_bend_up_Nm == pytest.approx(nominal / 3.0)
    shear = nominal_shear_N(tube, 0.003, 195e6)
    assert shear < 0.6 * 195e6 * shear_area_m2(tube, 0.003)
    assert cut.allowed_shear_up_N == pytest.approx(min(shear / 1.67, shear / 0.6 / math.sqrt(3.0) / 3.0))
    twist = nominal_twist_Nm(tube, 0.003, 195e6)
    assert twist < 0.6 * 195e6 * full.torsion_m3
    assert cut.allowed_twist_Nm == pytest.approx(min(twist / 1.67, twist / 0.6 / math.sqrt(3.0) / 3.0))
    assert (cut.bend_up_Nm, cut.twist_Nm) == pytest.approx((nominal / 1.67, twist / 1.67))


def test_bending_alone_uses_a_thin_tube_up_at_its_allowed_moment_in_the_combined_check_too() -> None:
    cut = of(square(150.0, 2.5))
    six = SectionForces(NONE, NONE, NONE, NONE, Linear(cut.allowed_bend_up_Nm, 0.0), NONE)
    assert combined_use(cut, six)(0.0) == pytest.approx(1.0)


def test_a_boom_thin_enough_to_buckle_is_over_where_yielding_alone_would_pass_it_and_a_thicker_one_is_not() -> None:
    """About 3.6 kN·m in 150 x 150 x 2.5: 4.559 allowed at yield, 2.820 with the buckling; 150 x 150 x 5 carries it."""
    over, within = (with_boom(square(150.0, wall)) for wall in (2.5, 5.0))
    assert 2820.0 < float(over.demand) < 4559.0
    assert 2780.0 < float(over.allowed) < 2820.0 and float(over.use) > 1.0, "the pin's hole takes a little more"
    assert float(within.use) < 1.0


def with_boom(tube: RectTube) -> Check:
    """Bending of the stone yard's boom at the front saddle, the boom being another tube as heavy as the first."""
    job = read_once(SAMPLES / "tarn_hollow_stone_yard.rig.json")
    boom = REPLACE(job.rig.boom, section=tube, steel="unknown")
    job = REPLACE(job, rig=REPLACE(job.rig, boom=boom))
    checks = find_checks(job, figures(job, job.poses[0]))
    return next(check for check in checks if (check.part, check.kind) == ("boom", "bending at the front saddle"))


def test_the_load_at_which_a_thin_boom_is_used_up_is_found_again_by_bisection() -> None:
    check = with_boom(square(150.0, 2.5))
    job = read_once(SAMPLES / "tarn_hollow_stone_yard.rig.json")
    boom = REPLACE(job.rig.boom, section=square(150.0, 2.5), steel="unknown")
    job = REPLACE(job, rig=REPLACE(job.rig, boom=boom))
    low, high = 0.0, 1000.0
    for _ in range(50):
        middle = (low + high) / 2.0
        at = find_checks(job, REPLACE(figures(job, job.poses[0]), load_kg=middle))
        use = next(one.use for one in at if (one.part, one.kind) == ("boom", "bending at the front saddle"))
        low, high = (middle, high) if float(use) <= 1.0 else (low, middle)
    assert float(check.allowed_load_kg) == pytest.approx(low, rel=1e-6)
