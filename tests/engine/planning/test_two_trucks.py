"""One rig on two trucks, against the verdict of each job by itself."""

from __future__ import annotations

import math

import msgspec
import pytest

from engine.base.formatting import fill
from engine.explain.truck_words import cells, differences, more, pose_words
from engine.planning.two_trucks import OnTruck, SideBySide, put_on, side_by_side, what_fits
from engine.rig.kinematics import drawn
from engine.schema.model import Truck
from engine.shop.another_truck import on_another_truck
from engine.worst_case.verdict import evaluate
from tests.samples import sample

REPLACE = msgspec.structs.replace


def other_truck() -> Truck:
    """The stone yard's, a typical one of 3.5 t with a plate."""
    return sample("tarn_hollow_stone_yard").truck


def test_each_truck_has_the_figures_of_its_own_verdict_with_the_hook_as_high() -> None:
    job, truck = sample("skerry_point_boatyard"), other_truck()
    other = on_another_truck(job, truck)
    rows = side_by_side(job, truck)
    assert [row.pose for row in rows] == [pose.name for pose in job.poses]
    for pose, row in zip(job.poses, rows, strict=True):
        height_m = float(drawn(job, pose).hook_m.z)
        for there, on, at in ((job, row.old, pose), (other, row.new, REPLACE(pose, lift_m=row.new.lift_m))):
            verdict = evaluate(there, at)
            assert verdict.worst_case is not None
            assert float(drawn(there, at).hook_m.z) == pytest.approx(height_m, abs=1e-4)
            assert (on.state, on.allowed_kg) == (verdict.state, verdict.allowed_load_kg)
            in_the_way = verdict.room.short_at_worst
            limit = verdict.checks[verdict.worst_case.governing_index]
            assert on.governing == (in_the_way[0].name if in_the_way else limit.name)
            assert on.rear_kg == verdict.worst_case.standing.rear_weight_left_kg


def test_what_is_in_the_way_is_named_and_not_a_limit() -> None:
    """The boatyard's boom drawn home: its tail stands in the way on either truck."""
    job = sample("skerry_point_boatyard")
    home = next(row for row in side_by_side(job, other_truck()) if row.pose == "boom home, hook empty")
    assert home.old.state == "OVER" and ": room to " in home.old.governing


def test_a_truck_without_a_plate_has_no_figures() -> None:
    job = sample("skerry_point_boatyard")
    row = side_by_side(job, REPLACE(other_truck(), plate=None))[0]
    assert row.new.state == "REFUSED" and row.new.allowed_kg is None and row.gain_kg("metric") is None


def said(row: SideBySide) -> str:
    statement = pose_words(row, "metric")
    return fill(statement.words, statement.numbers, "metric")


def on(allowed_kg: float) -> OnTruck:
    return OnTruck(
        lift_m=0.5,
        hook_height_m=2.0,
        reach_m=2.5,
        state="WITHIN",
        allowed_kg=allowed_kg,
        governing="boom: bending",
        uses={},
        rear_kg=0.0,
        light_kg=0.0,
        least_gap_m=None,
    )


@pytest.mark.parametrize(
    ("old_kg", "new_kg", "gain_kg"),
    [(196.95, 197.05, 0.0), (197.05, 196.95, -1.0), (197.2, 197.1, 0.0), (190.0, 201.9, 11.0), (190.9, 201.0, 10.0)],
)
def test_a_gain_is_rounded_toward_none_and_a_loss_is_that_of_the_printed_loads(
    old_kg: float, new_kg: float, gain_kg: float
) -> None:
    row = SideBySide(pose="any", old=on(old_kg), new=on(new_kg))
    assert row.gain_kg("metric") == gain_kg


def test_forks_that_stop_before_the_hook_is_there_are_said_with_how_far() -> None:
    """The other truck's forks stop 0.20 m under where the first pose has them; the hook is about as much too low."""
    job, truck = sample("skerry_point_boatyard"), other_truck()
    matched = side_by_side(job, truck)[0]
    assert matched.rise_m == 0.0 and not matched.forks_stop
    stopped = REPLACE(truck, upright=REPLACE(truck.upright, lift_max_m=matched.new.lift_m - 0.2))
    row = side_by_side(job, stopped)[0]
    assert row.new.lift_m == pytest.approx(matched.new.lift_m - 0.2)
    assert row.rise_m == pytest.approx(-0.2, abs=0.005)  # a tilted upright's forks rise by its cosine
    assert row.forks_stop
    forks_mm = f"{1000 * row.new.lift_m:.0f} mm"
    assert f"Its forks stop at {forks_mm}. The hook is 200 mm lower and" in said(row)


def test_a_pose_that_keeps_its_fork_height_says_how_far_its_hook_moves() -> None:
    """Tilted 3° back about a pivot 100 mm further back, the hook is 100 mm sin 3° = 5.2 mm higher."""
    job, other = sample("skerry_point_boatyard"), other_truck()
    pose, upright = REPLACE(job.poses[0], tilt_rad=math.radians(3.0)), job.truck.upright
    leaning = REPLACE(job, poses=(pose,))
    back = REPLACE(job.truck, upright=REPLACE(upright, tilt_pivot_x_m=upright.tilt_pivot_x_m - 0.1))
    (row,) = side_by_side(leaning, back, "fork_height")
    assert row.new.lift_m == pose.lift_m and not row.forks_stop
    assert row.rise_m == pytest.approx(0.1 * math.sin(math.radians(3.0)), abs=1e-4)
    assert "The hook is 5.2 mm higher." in said(row)
    (kept,) = side_by_side(leaning, back, "hook_height")
    assert kept.rise_m == 0.0 and kept.new.lift_m < pose.lift_m
    row = side_by_side(job, other, "fork_height")[0]
    further_m = other.front_overhang_m.best - job.truck.front_overhang_m.best
    assert row.further_m == pytest.approx(further_m) and further_m == pytest.approx(0.03)
    assert "The hook is 30 mm further from the front axle." in said(row)
    assert put_on(job, other, "fork_height").poses == job.poses


def test_a_pose_that_keeps_its_hook_height_changes_its_fork_height() -> None:
    job, truck = sample("skerry_point_boatyard"), other_truck()
    made = put_on(job, truck, "hook_height")
    rows = side_by_side(job, truck, "hook_height")
    for pose, there, row in zip(job.poses, made.poses, rows, strict=True):
        assert float(drawn(made, there).hook_m.z) == pytest.approx(float(drawn(job, pose).hook_m.z), abs=1e-4)
        assert there.lift_m == row.new.lift_m and REPLACE(there, lift_m=pose.lift_m) == pose


def test_forks_that_stand_elsewhere_refuse_and_the_figures_are_those_with_them_set() -> None:
    """The boatyard's own truck, its forks at 550 mm where the sleeves are welded 600 mm apart."""
    job = sample("skerry_point_boatyard")
    aside = REPLACE(job.truck, forks=REPLACE(job.truck.forks, spread_m=0.55))
    row = side_by_side(job, aside)[0]
    assert (row.old.state, row.new.state, row.new.state_once_set) == ("WITHIN", "REFUSED", "WITHIN")
    assert row.forks_to_m == 0.6 and row.new.allowed_kg == row.old.allowed_kg
    assert "On the other REFUSED until its forks stand 600 mm apart; then WITHIN, " in said(row)
    assert "as much as on this truck" in said(row)
    assert cells(row.new, "metric")["state"] == "REFUSED; forks set: WITHIN"
    assert side_by_side(job, job.truck)[0].forks_to_m is None


def test_a_tail_in_the_way_does_not_fit_and_the_pose_is_named() -> None:
    """Boom drawn home, the boatyard's tail is in the driver's space of either truck."""
    job = sample("skerry_point_boatyard")
    rows = side_by_side(job, other_truck())
    tail = next(line for line in what_fits(job, other_truck(), rows) if line.what == "room of the boom's tail")
    assert tail.fits == "fails" and tail.numbers["pose"] == "boom home, hook empty"
    home = on_another_truck(job, other_truck())
    verdict = evaluate(home, REPLACE(home.poses[-1], lift_m=rows[-1].new.lift_m))
    pairs = zip(verdict.room.checks, verdict.room.worst_m, strict=True)
    worst_m = min(gap_m - float(check.demand) for check, gap_m in pairs if check.part == "boom")
    assert tail.numbers["over"] == pytest.approx(-worst_m)


@pytest.mark.parametrize(
    ("old", "new", "kind", "steps"),
    [
        (950.9, 961.0, "kg", 10),  # printed 950 and 961; there is only 10.1
        (961.0, 950.9, "kg", -11),
        (-0.801, -0.790, "share", 1),  # a use of 81 % and of 79 %; there is only 1.1
        (-0.790, -0.801, "share", -2),
        (0.0500, 0.0504, "length", 4),
        (0.0504, 0.0500, "length", -4),
    ],
)
def test_a_figure_gains_no_more_than_there_is_and_loses_as_it_is_printed(
    old: float, new: float, kind: str, steps: int
) -> None:
    assert more(old, new, kind, "metric") == steps


def test_the_difference_of_each_figure_has_the_sign_of_its_change() -> None:
    was = REPLACE(on(190.9), uses={"front": 0.80}, rear_kg=500.0, light_kg=300.0, least_gap_m=0.10)
    now = REPLACE(on(201.0), uses={"front": 0.70}, rear_kg=450.0, light_kg=300.0, least_gap_m=0.05, state="OVER")
    row = SideBySide(pose="any", old=was, new=REPLACE(now, lift_m=0.52, hook_height_m=1.97, reach_m=2.53))
    changes = differences(row, "metric")
    assert changes["allowed load"] == "+10 kg" and changes["front tipping"] == "−10 points"
    assert changes["rear wheels"] == "−50 kg" and changes["lightest front wheel"] == "0 kg"
    assert changes["gap left over"] == "−50 mm" and changes["fork height"] == "+20 mm" and changes["state"] == "changes"
    assert changes["hook above the floor"] == "−30 mm" and changes["hook from front axle"] == "+30 mm"
    assert set(changes) == set(cells(row.old, "metric"))
    blank = differences(REPLACE(row, new=REPLACE(now, allowed_kg=None, uses={}, rear_kg=None)), "metric")
    assert (blank["allowed load"], blank["front tipping"], blank["rear wheels"]) == ("-", "-", "-")
