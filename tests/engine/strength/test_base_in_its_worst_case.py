"""The checks of sleeves and forks take the worst of all cases of the base, and name it."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rigs import JOBS, REPLACE, VINEYARD, checks, loads_met, unweighed

from engine.base.geometry import GRAVITY_M_S2
from engine.rig.check import Check
from engine.rig.kinematics import Figures, figures
from engine.schema.connections import HeelPin, Pin
from engine.schema.model import Job, Plate, PlateRow
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube
from engine.strength.base_on_forks import Base, Pull, Seat, bounds, cases
from engine.strength.forks import half_of_plate
from engine.strength.linear_in_load import LeastOf, Linear, load_at_least_of
from engine.strength.sleeves import heel_pin_limits
from engine.worst_case.verdict import evaluate

G = GRAVITY_M_S2
BOATYARD = JOBS["skerry_point_boatyard"]
number = st.integers(-3000, 3000).map(float)
slope = st.integers(-30, 30).map(float)
linear = st.tuples(number, slope).map(lambda parts: Linear(*parts))
pull = st.builds(
    Pull,
    st.tuples(st.integers(500, 5000).map(float), st.integers(0, 20).map(float)).map(lambda parts: Linear(*parts)),
    linear,
    linear,
)
bases = st.builds(
    Base,
    st.sampled_from((0.0, 0.05)),
    st.sampled_from((0.9, 1.1)),
    st.sampled_from((0.2, 0.4, 0.6)),
    st.sampled_from((0.5, 0.8)),
)
loads = st.floats(0.0, 1000.0)


@given(bases, pull, loads, st.booleans())
def test_the_bounds_are_the_worst_of_every_case(base: Base, pull: Pull, load_kg: float, play: bool) -> None:
    """Tip, heel, fork moment and twist of each half, by looking at every case that counts at this load."""
    open_now = [case for case in cases(base, pull, play=play) if case.window.from_kg <= load_kg <= case.window.to_kg]
    found = bounds(base, pull, play=play)
    near = abs(1e-9 * load_kg) + 1e-6

    def worst(part: str) -> float:
        return max(abs(getattr(seat, part).at(load_kg)) for case in open_now for seat in (case.left, case.right))

    def bound(part: str, ends: tuple[Seat, ...], in_play: tuple[LeastOf, ...]) -> float:
        seats = [abs(getattr(seat, part).at(load_kg)) for seat in ends]
        return max(*seats, *(value.at(load_kg) for value in in_play), 0.0)

    assert bound("heel", found.stiff, ()) == pytest.approx(worst("heel"), abs=near)
    assert bound("tip", found.free, found.near_tips) == pytest.approx(worst("tip"), abs=near)
    moments = found.near_fork_moments()
    assert bound("fork_moment", found.free, moments) == pytest.approx(worst("fork_moment"), abs=near)
    exact, safe = found.near_twists(), found.twists(500.0)
    both = 2.0 * found.free[0].half_twist.at(load_kg)
    for side, bounded in enumerate(safe):
        ends = (found.free[side], found.stiff[side])
        half = max(abs((case.left, case.right)[side].half_twist.at(load_kg)) for case in open_now)
        in_play = (exact[side].at(load_kg), exact[1 - side].at(load_kg) - both) if exact else ()
        alone = bound("half_twist", ends, ())
        assert max(alone, *in_play, 0.0) == pytest.approx(half, abs=near)
        assert max(alone, *(twist(load_kg) for twist in bounded), 0.0) >= half - near


@given(bases, pull, st.integers(500, 9000).map(float))
def test_a_near_tip_in_its_play_reaches_its_limit_at_the_load_where_all_three_lines_do(
    base: Base, pull: Pull, allowed: float
) -> None:
    for tip in bounds(base, pull, play=True).near_tips:
        at_kg = load_at_least_of(tip, allowed)
        if 0.0 < at_kg < 1e4:
            assert min(value.at(at_kg * (1.0 - 1e-6)) for value in tip.values) <= allowed + 1e-6
        for load_kg in np.linspace(0.0, min(max(at_kg, 0.0), 1e4) * (1.0 - 1e-9), 5):
            assert at_kg <= 0.0 or tip.at(float(load_kg)) <= allowed + 1e-6


# ---------------------------------------------------------------- the rig the issue names, and its repaired twin


def of(job: Job, pose: int = 0) -> dict[tuple[str, str], Check]:
    return {(check.part, check.kind): check for check in checks(job, figures(job, job.poses[pose]))}


def as_first_built() -> Job:
    """The vineyard's base before it was rebuilt: sleeves 160 x 80 x 8 and pins of 16 mm on forks 100 x 35, no stamp."""
    sleeves = REPLACE(
        VINEYARD.rig.sleeves,
        section=RectTube(width_m=0.16, depth_m=0.08, wall_m=0.008),
        heel_hold=HeelPin(pin=Pin(diameter_m=0.016, hole_m=0.0165)),
        steel="unknown",
    )
    mast = REPLACE(VINEYARD.rig.jib_mast, length_m=1.337)
    saddles = REPLACE(VINEYARD.rig.saddles, bed=None, mass_kg=Estimate(best=11.0, known="weighed"))
    forks = REPLACE(VINEYARD.truck.forks, thickness_m=0.035, mass_kg=60.0, rating_each_kg=None, rating_centre_m=None)
    return REPLACE(
        VINEYARD,
        rig=REPLACE(VINEYARD.rig, sleeves=sleeves, jib_mast=mast, saddles=saddles),
        truck=REPLACE(VINEYARD.truck, forks=forks),
        policy=REPLACE(VINEYARD.policy, unknown_yield_Pa=195e6),
    )


def test_the_vineyards_old_heel_pin_bends_although_shear_would_pass_it() -> None:
    """7,927 N at the far heel, held fully: 25.5 mm x 7,927 N = 202 N·m on 16 mm; allowed 402 mm3 x 61.7 MPa = 24.8."""
    job = as_first_built()
    check = of(job)["sleeves", "heel uplift"]
    assert check.demand == pytest.approx(7927.0, rel=1e-3)
    assert check.allowed == pytest.approx(math.pi * 0.016**3 / 32.0 * 185e6 / 3.0 / 0.0255, rel=1e-9)
    assert check.use == pytest.approx(8.15, rel=2e-3)
    assert check.numbers["held"] == "pin, bent by the fork above it,"
    pin = job.rig.sleeves.heel_hold
    assert isinstance(pin, HeelPin)
    limits = heel_pin_limits(job.rig.sleeves, pin, job.truck.forks, job.policy)
    assert limits.shear_N > check.demand and limits.bearing_N > check.demand and limits.tear_out_N > check.demand
    assert of(VINEYARD)["sleeves", "heel uplift"].use < 0.8
    shipped = JOBS["cold_spring_vineyard"]
    assert evaluate(shipped, shipped.poses[0]).state == "WITHIN"
    assert evaluate(unweighed(job), job.poses[0]).state == "OVER"


def test_the_worked_example_through_the_checks() -> None:
    """Free, stiff and in the play: tip 6,062 N, heel 7,927 N, fork moment 5,759 N·m; weight 9,761 N.

    With limits that none of them passes: beyond a limit the demand follows the straight line from no load to it.
    """
    job = as_first_built()
    forks = REPLACE(job.truck.forks, rating_each_kg=1500.0, rating_centre_m=0.5)
    policy = REPLACE(job.policy, design_factor=2.0)
    of_old = of(REPLACE(job, truck=REPLACE(job.truck, forks=forks), policy=policy))
    for key, demand, case in (
        (("sleeves", "bearing at the heel"), 7927.0, "fully"),
        (("sleeves", "bearing at the fork tip"), 6062.0, "lifted in its play"),
        (("forks", "moment at the heel"), 5759.0, "lifted in its play"),
        (("forks", "weight"), 9761.0, ""),
    ):
        assert of_old[key].demand == pytest.approx(demand, rel=6e-4)
        assert case in str(of_old[key].numbers["case"])
    assert of_old["sleeves", "cross-member under the jib mast"].numbers["twist"] == pytest.approx(4593.0, rel=6e-4)


def test_forks_without_a_stamp_are_taken_at_half_the_plate() -> None:
    """1,500 kg at 0.5 m: 375 kg m and 750 kg each; the vineyard's swung arms take 5,759 N·m of 3,677."""
    job = as_first_built()
    moment, weight = (of(job)["forks", kind] for kind in ("moment at the heel", "weight"))
    assert (moment.allowed, weight.allowed) == (pytest.approx(375.0 * G), pytest.approx(750.0 * G))
    assert 5759.0 / (375.0 * G) <= moment.use < 1.02 * 5759.0 / (375.0 * G)
    (caution,) = [
        each for each in evaluate(unweighed(job), job.poses[0]).cautions if each.where == "truck.forks.rating_each_kg"
    ]
    assert "half of what the truck's plate allows" in caution.words and "1250 x 500" in caution.words
    stamped = evaluate(unweighed(VINEYARD), VINEYARD.poses[0])
    assert not [each for each in stamped.cautions if each.where == "truck.forks.rating_each_kg"]
    assert of(VINEYARD)["forks", "moment at the heel"].allowed == pytest.approx(1500.0 * 0.5 * G)


def test_half_the_plate_goes_by_the_row_of_the_height_and_is_nothing_above_it() -> None:
    rows = (
        PlateRow(rated_kg=2500.0, load_centre_m=0.5, lift_m=3.0),
        PlateRow(rated_kg=2000.0, load_centre_m=0.5, lift_m=4.0),
    )
    heights = np.array([1.0, 3.5, 4.5])
    moment, load = half_of_plate(Plate(rows=rows), heights)
    assert np.array_equal(moment, [625.0, 500.0, 0.0]) and np.array_equal(load, [1250.0, 1000.0, 0.0])
    assert half_of_plate(Plate(rows=rows), 3.5) == (500.0, 1000.0)


def test_without_a_plate_or_a_stamp_there_is_wear_alone() -> None:
    job = REPLACE(BOATYARD, truck=REPLACE(BOATYARD.truck, plate=None))
    assert [check.kind for check in checks(job, figures(job, job.poses[0])) if check.part == "forks"] == [
        "wear at the heel"
    ]


def test_without_play_no_contact_hangs_clear() -> None:
    """Sleeves that fit the fork tightly: the near fork takes the free share, 5,444 of 5,759 N·m."""
    job = as_first_built()
    tight = RectTube(width_m=0.16, depth_m=0.051, wall_m=0.008)
    job = REPLACE(job, rig=REPLACE(job.rig, sleeves=REPLACE(job.rig.sleeves, section=tight)))
    moment = of(job)["forks", "moment at the heel"]
    assert moment.demand == pytest.approx(5444.0, rel=1e-3)
    assert moment.numbers["case"] == "if the cross-member does not hold the sleeves together"


@pytest.mark.parametrize(
    ("name", "pose"), [("cold_spring_vineyard", 0), ("cold_spring_vineyard", 1), ("lantern_lane_scenery", 0)]
)
def test_the_load_at_each_limit_of_the_base_is_the_first_that_is_over(name: str, pose: int) -> None:
    """By bisection on the use itself."""
    job = JOBS[name]
    numbers = figures(job, job.poses[pose])
    limits = checks(job, numbers)
    asked = [
        (check, there)
        for check, there in zip(limits, loads_met(job, numbers, 6000.0, 45), strict=True)
        if check.part in ("sleeves", "cross-member", "forks") and 0.0 < check.allowed_load_kg < 5000.0
    ]
    assert asked
    for check, there in asked:
        assert check.allowed_load_kg == pytest.approx(there, rel=1e-8), check.name


def test_a_heel_pin_thicker_than_the_space_below_the_fork_is_flagged() -> None:
    """24 mm below forks of 40 in sleeves of 64."""
    fits, too_thick = (
        REPLACE(
            BOATYARD,
            rig=REPLACE(
                BOATYARD.rig,
                sleeves=REPLACE(
                    BOATYARD.rig.sleeves, heel_hold=HeelPin(pin=Pin(diameter_m=d, hole_m=d + 0.0005, steel="S355"))
                ),
            ),
        )
        for d in (0.024, 0.025)
    )
    where = "rig.sleeves.heel_hold.pin.diameter_m"
    assert not [each for each in evaluate(fits, fits.poses[0]).cautions if each.where == where]
    (caution,) = [each for each in evaluate(too_thick, too_thick.poses[0]).cautions if each.where == where]
    assert caution.numbers == {"pin": 0.025, "room": pytest.approx(0.024)}


def excess_at_loads(job: Job, numbers: Figures, loads_kg: np.ndarray) -> np.ndarray:
    """Demand less what is allowed, of each limit at a load of its own."""
    swept = checks(job, REPLACE(numbers, load_kg=loads_kg))
    return np.array(
        [np.broadcast_to(one.demand - one.allowed, loads_kg.shape)[index] for index, one in enumerate(swept)]
    )


@pytest.mark.parametrize("name", ["cold_spring_vineyard", "lantern_lane_scenery", "skerry_point_boatyard"])
def test_a_chord_between_two_loads_never_allows_the_base_too_much(name: str) -> None:
    """Though with a contact in its play an excess may bend downwards."""
    job = JOBS[name]
    for pose in job.poses:
        numbers = figures(job, pose)
        limits = checks(job, numbers)
        met_kg = np.array([check.allowed_load_kg for check in limits])
        asked = [
            index
            for index, check in enumerate(limits)
            if check.part in ("sleeves", "cross-member", "forks") and 0.0 < met_kg[index] < 5000.0
        ]
        there_kg = np.where(np.isfinite(met_kg), met_kg, 0.0)
        excesses = {
            share: excess_at_loads(job, numbers, there_kg * share) for share in (0.0, 0.5, 0.8, 0.95, 1.05, 1.2, 1.6)
        }
        for index in asked:
            check, excess = limits[index], {share: float(each[index]) for share, each in excesses.items()}
            for low in (0.0, 0.5, 0.8, 0.95):
                for high in (1.05, 1.2, 1.6):
                    met = low - (high - low) * excess[low] / (excess[high] - excess[low])
                    assert met <= 1.0 + 1e-9, (pose.name, check.name, low, high)
