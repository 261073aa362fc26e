"""The tip-up curve: its hand figures, that it starts from the balance, and that its work is that of the moment."""

from __future__ import annotations

import math

import numpy as np
import pytest
from any_pose import REPLACE

from engine.handling.tip_curve import TipCurve, tip_curve, tip_curve_of
from engine.schema.model import Job
from engine.schema.quantities import Estimate
from engine.worst_case.verdict import evaluate
from tests.samples import sample

CENTRE = {"mass_kg": 4295.0, "behind_m": 0.67629, "over_m": 0.79491, "wheelbase_m": 1.6}
"""A truck of 2.5 t with a jib, on a floor that slopes by 1 %; the figures below are worked by hand."""


@pytest.fixture
def curve() -> TipCurve:
    return tip_curve(**CENTRE, fall=0.01)


def test_a_slope_down_to_the_front_brings_the_centre_nearer_the_line_and_higher(curve: TipCurve) -> None:
    assert curve.behind_m == pytest.approx(0.66831, abs=5e-6)
    assert curve.over_m == pytest.approx(0.80163, abs=5e-6)


@pytest.mark.parametrize(
    ("lean_deg", "moment_Nm"), [(0.0, 28_149.0), (10.0, 21_858.0), (20.0, 14_903.0), (30.0, 7_495.0)]
)
def test_the_moment_is_the_hand_figure(curve: TipCurve, lean_deg: float, moment_Nm: float) -> None:
    assert curve.moment_Nm(math.radians(lean_deg)) == pytest.approx(moment_Nm, abs=0.5)


def test_the_end_of_the_curve_is_the_hand_figure(curve: TipCurve) -> None:
    assert math.degrees(curve.no_return_rad) == pytest.approx(39.82, abs=0.005)
    assert curve.jolt_J == pytest.approx(10_195.0, abs=0.5)
    assert curve.rise_m == pytest.approx(0.242, abs=5e-4)
    assert curve.wheel_lift_m(curve.no_return_rad) == pytest.approx(1.025, abs=5e-4)
    assert curve.moment_Nm(curve.no_return_rad) == pytest.approx(0.0, abs=1e-8)


def test_a_jolt_does_the_work_of_the_moment_from_the_first_lift_on(curve: TipCurve) -> None:
    leans_rad = np.linspace(0.0, curve.no_return_rad, 2001)
    moment_Nm = np.asarray(curve.moment_Nm(leans_rad))
    work_J = float(((moment_Nm[1:] + moment_Nm[:-1]) / 2.0 * np.diff(leans_rad)).sum())
    assert work_J == pytest.approx(curve.jolt_J, rel=1e-6)


def test_leans_go_in_steps_to_where_nothing_brings_it_back_and_heights_are_read_back(curve: TipCurve) -> None:
    leans_rad = curve.leans_rad(math.radians(1.0))
    assert len(leans_rad) == 41 and leans_rad[0] == 0.0 and leans_rad[-1] == curve.no_return_rad
    assert leans_rad[10] == pytest.approx(math.radians(10.0))
    assert math.sin(curve.lean_at_lift_rad(0.4)) * 1.6 == pytest.approx(0.4)


def test_a_centre_ahead_of_the_line_has_no_curve() -> None:
    with pytest.raises(ValueError, match="behind the front line"):
        tip_curve(**(CENTRE | {"behind_m": 0.0079}), fall=0.01)  # over_m times the slope is 0.00795


@pytest.mark.parametrize("name", ["skerry_point_boatyard", "halden_pipe_organs"])
@pytest.mark.parametrize("fall_across", [0.0, 0.05])
def test_the_curve_starts_from_what_the_balance_leaves_over_the_front_line(name: str, fall_across: float) -> None:
    """On a side slope too, where part of gravity does not turn the truck over its front wheels."""
    job = sample(name)
    aslant = REPLACE(job.floors[0], fall_across=Estimate(best=fall_across, known="measured"))
    job = REPLACE(job, floors=(aslant, *job.floors[1:]))
    verdict = evaluate(job, REPLACE(job.poses[0], floor=aslant.name))
    curve = tip_curve_of(verdict)
    assert curve is not None and verdict.balance is not None
    assert curve.moment_Nm(0.0) == pytest.approx(float(verdict.balance.lines[0].margin_Nm), rel=1e-12)
    assert curve.mass_kg == pytest.approx(sum(float(body.mass_kg) for body in verdict.placed.bodies))


def test_wheels_off_the_floor_and_a_missing_fact_have_no_curve(boatyard: Job) -> None:
    heavy = REPLACE(boatyard.load, mass_kg=Estimate(best=1500.0, known="weighed"))
    over = evaluate(REPLACE(boatyard, load=heavy), boatyard.poses[0])
    assert over.state == "OVER" and tip_curve_of(over) is None
    unknown = REPLACE(boatyard, truck=REPLACE(boatyard.truck, plate=None))
    assert tip_curve_of(evaluate(unknown, boatyard.poses[0])) is None
