"""A rig on another truck: every line of what has to fit, from the sizes in the rig file."""

from __future__ import annotations

import math

import msgspec
import pytest

from engine.schema.connections import HeelPin
from engine.schema.model import Answer, Job, Truck
from engine.shop.another_truck import FitLine, fits_truck, left_behind, on_another_truck, tail_line, with_forks_set
from engine.shop.edits import set_value
from engine.shop.truck_classes import typical_truck
from engine.worst_case.verdict import evaluate
from tests.samples import sample

REPLACE = msgspec.structs.replace


def job() -> Job:
    return sample("skerry_point_boatyard")


def with_forks(**sizes: float) -> Truck:
    truck = job().truck
    return REPLACE(truck, typical=False, forks=REPLACE(truck.forks, **sizes))


def line(truck: Truck, what: str, of: Job | None = None) -> FitLine:
    return next(one for one in fits_truck(of or job(), truck) if one.what == what)


def test_its_own_forks_fit_with_the_room_there_is_inside_the_sleeves() -> None:
    """160 x 80 x 8 mm sleeves: 144 mm by 64 mm inside."""
    sleeves, forks = job().rig.sleeves.section, job().truck.forks
    assert (sleeves.width_m, sleeves.depth_m, sleeves.wall_m) == (0.16, 0.08, 0.008)
    own = with_forks()
    assert line(own, "fork width in the sleeves").fits == "fits"
    assert line(own, "fork width in the sleeves").numbers["free"] == pytest.approx(0.144 - forks.width_m)
    assert line(own, "fork thickness in the sleeves").numbers["free"] == pytest.approx(0.064 - forks.thickness_m)
    assert line(own, "fork spread").fits == "fits"


@pytest.mark.parametrize(
    ("sizes", "what", "fits"),
    [
        ({"width_m": 0.145}, "fork width in the sleeves", "fails"),
        ({"width_m": 0.118}, "fork width in the sleeves", "asks"),  # 26 mm free
        ({"thickness_m": 0.065}, "fork thickness in the sleeves", "fails"),
        ({"thickness_m": 0.048}, "fork thickness in the sleeves", "asks"),  # 16 mm free
        ({"length_m": 0.94}, "fork length", "fails"),  # the sleeves are 950 mm long
        ({"spread_m": 0.55}, "fork spread", "asks"),
    ],
)
def test_forks_of_another_size_fail_or_are_asked_about(sizes: dict[str, float], what: str, fits: str) -> None:
    assert line(with_forks(**sizes), what).fits == fits


def test_thicker_forks_foul_heel_pins_that_stand_too_near() -> None:
    hold = job().rig.sleeves.heel_hold
    assert isinstance(hold, HeelPin)
    near = set_value(job(), "rig.sleeves.heel_hold", REPLACE(hold, below_m=0.004))
    was_m = job().truck.forks.thickness_m
    fouls = line(with_forks(thickness_m=was_m + 0.006), "heel pins", near)
    assert fouls.fits == "fails" and fouls.numbers["left"] == pytest.approx(0.002)
    clears = line(with_forks(thickness_m=was_m + 0.003), "heel pins", near)
    assert clears.fits == "asks" and clears.numbers["left"] == pytest.approx(0.001)


def test_an_upright_that_cannot_stand_as_in_a_pose_is_named_with_it() -> None:
    own = job().truck
    high = max(pose.lift_m for pose in job().poses)
    low = REPLACE(own, upright=REPLACE(own.upright, lift_max_m=high - 0.01))
    assert line(low, "lift").fits == "fails" and "‘" in str(line(low, "lift").numbers["poses"])
    leaning = set_value(job(), "poses[0].tilt_rad", math.radians(3.0))
    stiff = REPLACE(own, upright=REPLACE(own.upright, tilt_back_max_rad=math.radians(2.0)))
    tilt = line(stiff, "tilt", leaning)
    assert tilt.fits == "fails" and tilt.numbers["poses"] == f"‘{job().poses[0].name}’"
    assert line(REPLACE(own, typical=False), "tilt", leaning).fits == "fits"


def test_nothing_that_was_read_tried_or_approved_on_the_old_truck_goes_along() -> None:
    old = REPLACE(
        job(),
        answers=(Answer(where="truck.cg_height_m.best", value=0.7), Answer(where="load.mass_kg.best", value=185.0)),
    )
    made = on_another_truck(old, typical_truck("3.5 t"))
    assert (made.approval, made.trial_lifts, made.log) == (None, (), ())
    assert [answer.where for answer in made.answers] == ["load.mass_kg.best"]
    assert made.rig == old.rig and made.poses == old.poses
    assert evaluate(made, made.poses[0]).state == "REFUSED"  # a class has no plate
    assert line(typical_truck("3.5 t"), "truck's plate").fits == "asks"
    assert any("placard" in words for words in left_behind(old))


@pytest.mark.parametrize("entered", [True, False])
def test_the_rig_is_refused_until_the_other_trucks_forks_stand_as_its_sleeves_are_welded(entered: bool) -> None:
    """The boatyard's sleeves are welded 600 mm apart; forks at 550 mm miss them by more than the 22 mm of side room."""
    old = job()
    if not entered:
        old = set_value(old, "rig.sleeves.welded_spread_m", None)
    made = on_another_truck(old, with_forks(spread_m=0.55))
    assert made.rig.sleeves.welded_spread_m == old.truck.forks.spread_m == 0.6
    assert made.truck.forks.spread_m == 0.55
    assert evaluate(made, made.poses[0]).state == "REFUSED"
    forks_set = with_forks_set(made)
    assert forks_set.truck.forks.spread_m == 0.6
    assert evaluate(forks_set, forks_set.poses[0]).state == evaluate(old, old.poses[0]).state == "WITHIN"
    assert with_forks_set(forks_set) is forks_set


def test_sizes_of_a_class_never_pass_and_are_asked() -> None:
    """A class stands for no truck: what its usual sizes would fit is still to be measured."""
    lines = {one.what: one for one in fits_truck(job(), typical_truck("2.5 t"))}
    sizes = (
        "fork width in the sleeves",
        "fork thickness in the sleeves",
        "fork length",
        "front overhang",
        "tilt",
        "lift",
    )
    assert all(lines[what].fits != "fits" for what in sizes)
    assert "measure this truck's" in lines["tilt"].words
    own = REPLACE(job().truck, typical=False)
    measured = REPLACE(own, front_overhang_m=REPLACE(own.front_overhang_m, known="measured"))
    guessed = REPLACE(own, front_overhang_m=REPLACE(own.front_overhang_m, known="guess"))
    assert line(measured, "front overhang").fits == "fits" and line(guessed, "front overhang").fits == "asks"


def test_the_booms_tail_passes_only_by_a_guard_and_cross_member_that_were_measured() -> None:
    own = job().truck
    open_above = REPLACE(own, has_guard=False, has_crosshead=False)
    closed = REPLACE(own, has_guard=True, guard_height_m=None, has_crosshead=True, solids=())
    assert tail_line(open_above, 0.01, "any", is_short=False).fits == "fits"
    asked = tail_line(closed, 0.01, "any", is_short=False)
    assert asked.fits == "asks"
    assert asked.numbers["missing"] == "the overhead guard and the upright's top cross-member"
    assert tail_line(open_above, -0.01, "any", is_short=False).fits == "asks"
    assert tail_line(open_above, -0.01, "any", is_short=True).fits == "fails"
    assert tail_line(open_above, None, "", is_short=False).fits == "asks"
