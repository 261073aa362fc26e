"""Where a truck on three points tips: table of a synthetic truck, driven through the whole engine.

Track 38 in, wheelbase 58 in; no maker's truck.  All values computed with numpy and shapely, independently of the
engine.  The support triangle, and the tilt table set parallel to the plan projection of the line from the steer axle
to a front tyre, follow the family of tests in ISO 22915 (AS ISO 22915-13 and -14, 4.2.4, read in a secondary copy); the
4 % forward slope is the stacking test of the Japanese Fork-lift Structure Standard, Art. 1 (read).

The truck is built so that its weighed data give the wanted centre of gravity; the floor is then let fall until the
engine's own margin over a line is zero.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import msgspec
import numpy as np
import pytest
from scipy.optimize import brentq

from engine.limits import balance
from engine.limits.balance import TipLine
from engine.rig.kinematics import Figures, figures, place
from engine.schema.model import Job, RectTube
from engine.schema.quantities import Estimate

REPLACE = msgspec.structs.replace
IN, LB = 0.0254, 0.45359237

TRACK_IN, BASE_IN = 38.0, 58.0
TRUCK_LB = 9000.0

PRINTED = 0.00051
"""Angles and plan distances are printed to a thousandth."""


def bare(job: Job, back_in: float, high_in: float, pivot_in: float) -> Figures:
    """The bare truck with its centre of gravity ``back_in`` behind the front axle and ``high_in`` up."""
    truck_kg = TRUCK_LB * LB
    rear_kg = truck_kg * back_in / BASE_IN
    return REPLACE(
        figures(job, job.poses[0]),
        lift_m=job.truck.weighed_lift_m,
        tilt_rad=0.0,
        fall_along=0.0,
        fall_across=0.0,
        front_axle_kg=truck_kg - rear_kg,
        rear_axle_kg=rear_kg,
        cg_height_m=high_in * IN,
        wheelbase_m=BASE_IN * IN,
        front_track_m=TRACK_IN * IN,
        pivot_height_m=pivot_in * IN,
        steer_axle_kg=0.0,
        sleeves_kg=0.0,
        jib_mast_kg=0.0,
        saddles_kg=0.0,
        boom_kg=0.0,
        arms_kg=tuple(0.0 for _ in job.rig.arms),
        hook_kg=0.0,
        rigging_kg=0.0,
        load_kg=0.0,
    )


def line_over(job: Job, numbers: Figures, name: str) -> TipLine:
    return next(line for line in balance.weigh(place(job, numbers)).lines if line.name == name)


def vector(point: object) -> np.ndarray:
    return np.array([float(part) for part in point])


def tip_angle_deg(job: Job, numbers: Figures, name: str, floor_at: Callable[[float], tuple[float, float]]) -> float:
    """Angle at which the margin over a line is zero, the floor falling as ``floor_at`` says."""

    def margin_at(angle_rad: float) -> float:
        along, across = floor_at(angle_rad)
        return float(line_over(job, REPLACE(numbers, fall_along=along, fall_across=across), name).margin_Nm)

    return math.degrees(brentq(margin_at, 0.0, math.radians(60.0), xtol=1e-12))


# Outward normal of the left side line in plan: from the steer pivot to the left front tyre.
_PLAN = np.array([BASE_IN, TRACK_IN / 2.0]) / math.hypot(BASE_IN, TRACK_IN / 2.0)
OUTWARD = (-_PLAN[1], _PLAN[0])


def table_parallel_to_plan_line(angle_rad: float) -> tuple[float, float]:
    return math.tan(angle_rad) * OUTWARD[0], math.tan(angle_rad) * OUTWARD[1]


@pytest.mark.parametrize(("back_in", "distance_in"), [(5.0, 16.499), (15.0, 13.386), (25.0, 10.273), (40.0, 5.604)])
def test_plan_distance_from_the_centre_of_gravity_to_the_side_of_the_triangle(
    stone_yard: Job, back_in: float, distance_in: float
) -> None:
    """On a level floor the margin over a side line whose pivot is on the ground is weight times plan distance."""
    for side in ("left side", "right side"):
        line = line_over(stone_yard, bare(stone_yard, back_in, 24.0, 0.0), side)
        assert line.margin_Nm / (TRUCK_LB * LB * 9.80665) / IN == pytest.approx(distance_in, abs=PRINTED)


# The first angle with the pivot 8 in up is 27.05946 degrees, also by atan(d_plan / (h - z_line)) worked by hand.
SIDE_TILT = [
    (0.0, (23.173, 19.698, 15.376)),
    (8.0, (27.0595, 20.784, 15.725)),
    (12.0, (29.489, 21.371, 15.905)),
]
CENTRES_IN = ((25.0, 24.0), (12.0, 40.0), (5.0, 60.0))


@pytest.mark.parametrize(("pivot_in", "angles_deg"), SIDE_TILT, ids=str)
def test_side_tilt_table_angle_with_the_table_axis_parallel_to_the_plan_tip_line(
    stone_yard: Job, pivot_in: float, angles_deg: tuple[float, ...]
) -> None:
    for (back_in, high_in), expected_deg in zip(CENTRES_IN, angles_deg, strict=True):
        numbers = bare(stone_yard, back_in, high_in, pivot_in)
        left = tip_angle_deg(stone_yard, numbers, "left side", table_parallel_to_plan_line)
        right = tip_angle_deg(
            stone_yard,
            numbers,
            "right side",
            lambda a: (table_parallel_to_plan_line(a)[0], -table_parallel_to_plan_line(a)[1]),
        )
        assert left == pytest.approx(expected_deg, abs=PRINTED)
        assert right == pytest.approx(left, abs=1e-8)


@pytest.mark.parametrize(
    ("centre_in", "expected_deg"), list(zip(CENTRES_IN, (29.957, 21.743, 16.194), strict=True)), ids=str
)
def test_side_tilt_angle_measured_square_to_the_sloping_tip_line(
    stone_yard: Job, centre_in: tuple[float, float], expected_deg: float
) -> None:
    """Pivot 12 in up: gravity turned about the three-dimensional tip line itself, a different and larger angle."""
    numbers = bare(stone_yard, *centre_in, 12.0)
    line = line_over(stone_yard, numbers, "left side")
    along = (vector(line.b_m) - vector(line.a_m)) / np.linalg.norm(vector(line.b_m) - vector(line.a_m))
    # In the plane square to the line: plumb's own part, turned outwards by the angle; gravity along the line kept.
    plumb = np.array([0.0, 0.0, -1.0])
    kept = (plumb @ along) * along
    square = plumb - kept
    outward = np.cross(along, square)
    outward = outward if outward @ np.array([*OUTWARD, 0.0]) > 0.0 else -outward

    def floor_at(angle_rad: float) -> tuple[float, float]:
        pull = kept + math.cos(angle_rad) * square + math.sin(angle_rad) * outward
        return pull[0] / -pull[2], pull[1] / -pull[2]

    assert tip_angle_deg(stone_yard, numbers, "left side", floor_at) == pytest.approx(expected_deg, abs=PRINTED)


@pytest.mark.parametrize(("back_in", "percent"), [(5.0, 8.333), (2.4, 4.000)])
def test_forward_tip_slope(stone_yard: Job, back_in: float, percent: float) -> None:
    """Centre of gravity 60 in up; at 2.4 in behind the axle exactly the 4 % stacking test."""
    numbers = bare(stone_yard, back_in, 60.0, 8.0)
    angle_deg = tip_angle_deg(stone_yard, numbers, "front", lambda angle: (math.tan(angle), 0.0))
    assert 100.0 * math.tan(math.radians(angle_deg)) == pytest.approx(percent, abs=PRINTED)


@pytest.mark.parametrize(
    ("percent", "degrees"),
    [(3.5, 2.0045), (4.0, 2.2906), (6.0, 3.4336), (10.0, 5.7106), (18.0, 10.2040), (26.0, 14.574), (42.5, 23.026)],
)
def test_a_fall_in_per_cent_turns_gravity_by_its_angle(stone_yard: Job, percent: float, degrees: float) -> None:
    """Slopes of the stacking and travelling tests as angles (computed)."""
    numbers = REPLACE(bare(stone_yard, 26.0, 22.0, 8.0), fall_along=percent / 100.0)
    gravity = place(stone_yard, numbers).gravity
    assert math.degrees(math.atan2(gravity.x, -gravity.z)) == pytest.approx(degrees, abs=PRINTED)
    assert gravity.length() == pytest.approx(1.0, rel=1e-12)


def tube_area(width: float, depth: float, wall: float) -> float:
    """Rectangular tube with corners of 2 t outside and t inside."""
    return 2.0 * wall * (width + depth - 2.0 * wall) - 3.0 * (4.0 - math.pi) * wall**2


def test_combined_centre_of_gravity_axle_loads_and_balance_load(stone_yard: Job) -> None:
    """9,000 lb truck (26 in behind, 22 up) with 500 lb (40 ahead, 30 up), 60 lb (75, 95), a load of 2,000 lb (90, 60).

    Computed: centre of gravity 2.5519 in behind the axle and 29.299 in up; 11,051.4 lb on the front axle, 508.6 lb on
    the rear one; the truck balances on its front axle with 2,327.8 lb.  The 500 lb are the sleeves with their
    cross-member, which stands ahead of their middle; the 60 lb are the jib mast; the boom carries the hook out with no
    weight of its own.
    """
    overhang_in, foot_in, wall_in, depth_in = 16.5, 58.5, 0.25, 4.0
    lift_in = 30.0 - wall_in + depth_in / 2.0
    # Pair of sleeves about their middle L/2, cross-member under the foot: p L (L/2) + c 58.5 = (p L + c) 23.5, with
    # p the pair's area and c the cross-member's area times its length between the sleeves.
    pair, ahead_in = 2.0 * tube_area(7.0, depth_in, wall_in), 40.0 - overhang_in
    cross = tube_area(2.0, 1.5, 0.1) * (stone_yard.truck.forks.spread_m / IN - 7.0)
    length_in = ahead_in + math.sqrt(ahead_in**2 - 2.0 * cross / pair * (foot_in - ahead_in))
    sleeves = REPLACE(
        stone_yard.rig.sleeves,
        section=RectTube(width_m=7.0 * IN, depth_m=depth_in * IN, wall_m=wall_in * IN),
        length_m=length_in * IN,
        heel_gap_m=0.0,
        cross_section=RectTube(width_m=2.0 * IN, depth_m=1.5 * IN, wall_m=0.1 * IN),
        mass_kg=Estimate(best=500.0 * LB, known="weighed"),
    )
    mast = REPLACE(
        stone_yard.rig.jib_mast,
        length_m=2.0 * (95.0 - lift_in - wall_in) * IN,
        foot_x_m=foot_in * IN,
        mass_kg=Estimate(best=60.0 * LB, known="weighed"),
    )
    rig = REPLACE(stone_yard.rig, sleeves=sleeves, jib_mast=mast)
    boom_up_in = lift_in + wall_in + mast.length_m / IN + (rig.saddles.seat_m + rig.boom.section.depth_m / 2.0) / IN
    rig = REPLACE(rig, hook=REPLACE(rig.hook, drop_m=(boom_up_in - 60.0) * IN))
    # Forks weighed where they stand, so that the truck's own centre of gravity is the given one.
    job = REPLACE(stone_yard, rig=rig, truck=REPLACE(stone_yard.truck, weighed_lift_m=lift_in * IN))
    numbers = REPLACE(
        bare(job, 26.0, 22.0, 8.0),
        front_overhang_m=overhang_in * IN,
        boom_out_m=(90.0 - overhang_in - foot_in) * IN + rig.hook.edge_m,
        sleeves_kg=500.0 * LB,
        jib_mast_kg=60.0 * LB,
        load_kg=2000.0 * LB,
    )
    placed = place(job, numbers)
    at = {body.name: body.position_m for body in placed.bodies}
    assert (at["sleeves"].x / IN, at["sleeves"].z / IN) == pytest.approx((40.0, 30.0))
    assert (at["jib mast"].x / IN, at["jib mast"].z / IN) == pytest.approx((75.0, 95.0))
    assert (placed.hook_m.x / IN, placed.hook_m.z / IN) == pytest.approx((90.0, 60.0))

    weighed = balance.weigh(placed)
    assert weighed.combined_m.x / IN == pytest.approx(-2.5519, abs=0.00005)
    assert weighed.combined_m.z / IN == pytest.approx(29.299, abs=PRINTED)
    assert (weighed.left_front_kg + weighed.right_front_kg) / LB == pytest.approx(11_051.4, abs=0.05)
    assert weighed.rear_kg / LB == pytest.approx(508.6, abs=0.05)
    assert weighed.tipping_load_kg / LB == pytest.approx(2327.8, abs=0.05)
