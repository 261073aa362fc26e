"""The truck from tape, plate and scale: values, bands, refusals, contradictions."""

from __future__ import annotations

import math

import msgspec
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from engine.base.formatting import fill
from engine.schema.model import Job, Plate, PlateRow, Truck
from engine.schema.quantities import Estimate
from engine.schema.validation import checked
from engine.shop import truck_checks, truck_classes, truck_measurement
from engine.shop.truck_measurement import Driver, KnownWeight, RaisedAxle, ReadingError, Tyres

REPLACE = msgspec.structs.replace


def exact(value: float) -> Estimate:
    return Estimate(best=value, known="measured", low=value, high=value)


def row(rated_kg: float, load_centre_m: float, lift_m: float = 3.3) -> PlateRow:
    return PlateRow(rated_kg=rated_kg, load_centre_m=load_centre_m, lift_m=lift_m)


def said(derived: object, system: str = "metric") -> str:
    return fill(derived.words, derived.numbers, system)


# ---------------------------------------------------------------- plate


@given(st.floats(0.3, 0.7), st.floats(500.0, 6000.0), st.floats(0.4, 0.6), st.floats(0.1, 0.8))
def test_two_rows_of_one_moment_give_the_overhang_they_were_made_with(overhang, rated, near, further):
    far = rated * (overhang + near) / (overhang + near + further)
    assume(rated - far > 50.0)  # rows nearer than plates are printed to tell nothing
    derived = truck_measurement.overhang_from_plate(row(rated, near), row(far, near + further))
    assert derived.value == pytest.approx(overhang, rel=1e-9)
    assert derived.low <= derived.value <= derived.high


def test_a_row_limited_by_strength_is_refused_with_the_reason():
    with pytest.raises(ReadingError, match="strength"):
        truck_measurement.overhang_from_plate(row(2500.0, 0.5), row(900.0, 0.9))


def test_alike_rows_tell_nothing():
    with pytest.raises(ReadingError, match="alike"):
        truck_measurement.overhang_from_plate(row(2500.0, 0.5), row(2500.0, 0.6))
    with pytest.raises(ReadingError, match="alike"):
        truck_measurement.overhang_from_plate(row(2500.0, 0.5), row(2460.0, 0.6))


# ---------------------------------------------------------------- scale


def test_axle_weights_give_mass_and_centre():
    """Centre at -L Wr / W; 3,900 kg, 59 % on the rear, 1.60 m."""
    derived = truck_measurement.from_axle_weights(1599.0, 2301.0, 1.60)
    assert derived.mass_kg.value == 3900.0
    assert derived.cg_x_m.value == pytest.approx(-0.944)
    assert derived.rear_share == pytest.approx(0.59)
    assert derived.cg_x_m.low < -0.944 < derived.cg_x_m.high
    assert derived.cg_x_m.high - derived.cg_x_m.low < 0.02


def test_a_reading_within_the_scales_own_error_is_refused():
    with pytest.raises(ReadingError, match="scale's own error"):
        truck_measurement.from_axle_weights(1599.0, 5.0, 1.60)


def simulated_raise(
    tyres: Tyres, mass_kg: float, x_m: float, z_m: float, raised: str, block_m: float, **scale: float
) -> RaisedAxle:
    """Readings of a truck with its centre at (x, z), by turning the truck and balancing it in the plane."""

    def down_kg(block: float) -> float:
        up_hub = (0.0, tyres.front_radius_m) if raised == "front" else (-tyres.wheelbase_m, tyres.rear_radius_m)
        down_hub = (-tyres.wheelbase_m, tyres.rear_radius_m) if raised == "front" else (0.0, tyres.front_radius_m)
        along, rise = up_hub[0] - down_hub[0], up_hub[1] - down_hub[1]
        reach = math.hypot(along, rise)
        turn = math.asin((rise + block) / reach) - math.asin(rise / reach)
        side = math.copysign(1.0, along)

        def across(point: tuple[float, float]) -> float:
            """Horizontal distance from the hub that stays down, after turning about it."""
            dx, dz = side * (point[0] - down_hub[0]), point[1] - down_hub[1]
            return dx * math.cos(turn) - dz * math.sin(turn)

        return mass_kg * (1.0 - across((x_m, z_m)) / across(up_hub))

    return RaisedAxle(raised=raised, block_m=block_m, level_kg=down_kg(0.0), raised_kg=down_kg(block_m), **scale)


@given(
    st.floats(1.2, 2.3), st.floats(0.23, 0.42), st.floats(0.20, 0.35), st.floats(0.45, 0.70), st.floats(0.5, 1.0),
    st.sampled_from(("front", "rear")), st.floats(0.2, 0.5),
)  # fmt: skip
def test_a_raised_axle_gives_back_the_height_it_was_made_with(base, front, rear, share, height, raised, block):
    tyres = Tyres(wheelbase_m=base, front_radius_m=front, rear_radius_m=rear)
    reading = simulated_raise(
        tyres, 4000.0, -base * share, height, raised, block, scale_kg=0.1, block_off_m=0.0, radius_off_m=0.0
    )
    derived = truck_measurement.cg_height_from_raise(tyres, 4000.0, reading)
    assert derived.value == pytest.approx(height, rel=1e-6)
    assert derived.low < derived.value < derived.high


def test_the_bound_of_a_raised_axle_is_what_three_readings_of_ten_kilograms_leave():
    """3.9 t, 1.6 m, 300 mm: 0.5998 to 0.7021 m about 0.6502, every error at once (pick.md section 4.2)."""
    tyres = Tyres(wheelbase_m=1.6, front_radius_m=0.335, rear_radius_m=0.265)
    derived = truck_measurement.cg_height_from_raise(
        tyres, 3900.0, simulated_raise(tyres, 3900.0, -0.944, 0.65, "front", 0.30)
    )
    assert derived.value == pytest.approx(0.65, abs=1e-9)
    assert (derived.low, derived.high) == pytest.approx((0.5998, 0.7021), abs=3e-4)
    assert "within" in said(derived)


def test_a_raise_too_small_to_tell_is_refused_and_says_how_high():
    tyres = Tyres(wheelbase_m=1.6, front_radius_m=0.335, rear_radius_m=0.265)
    reading = simulated_raise(tyres, 3900.0, -0.944, 0.65, "front", 0.08)
    with pytest.raises(ReadingError, match=r"a raise of 80 mm.*Raise about \d+ mm"):
        truck_measurement.cg_height_from_raise(tyres, 3900.0, reading)


def test_a_change_the_scale_cannot_see_is_refused():
    tyres = Tyres(wheelbase_m=1.6, front_radius_m=0.335, rear_radius_m=0.265)
    reading = RaisedAxle(raised="front", block_m=0.3, level_kg=2300.0, raised_kg=2310.0)
    with pytest.raises(ReadingError, match="a change of 10 kg"):
        truck_measurement.cg_height_from_raise(tyres, 3900.0, reading)


def test_blocks_as_high_as_the_truck_is_long_are_refused():
    tyres = Tyres(wheelbase_m=1.6, front_radius_m=0.3, rear_radius_m=0.3)
    with pytest.raises(ReadingError, match="half the wheelbase"):
        truck_measurement.cg_height_from_raise(
            tyres, 3900.0, RaisedAxle(raised="front", block_m=1.0, level_kg=2300.0, raised_kg=2900.0)
        )


# ---------------------------------------------------------------- known weights


@given(
    st.floats(1.2, 2.3),
    st.floats(1000.0, 4000.0),
    st.lists(st.floats(0.0, 1200.0), min_size=3, max_size=6, unique=True),
)
def test_known_weights_give_wheelbase_and_empty_rear_weight(base, empty, weights):
    readings = [
        KnownWeight(weight_kg=kg, ahead_of_axle_m=1.0, rear_kg=empty - kg / base) for kg in (0.0, 800.0, *weights)
    ]
    derived = truck_measurement.from_known_weights(readings)
    assert derived.wheelbase_m.value == pytest.approx(base, rel=1e-9)
    assert derived.empty_rear_kg.value == pytest.approx(empty, rel=1e-9)
    assert max(map(abs, derived.residuals_kg)) < 1e-6


def test_a_reading_that_does_not_fit_shows_in_its_residual():
    readings = [KnownWeight(weight_kg=kg, ahead_of_axle_m=1.0, rear_kg=2300.0 - kg / 1.6) for kg in (0.0, 400.0, 800.0)]
    odd = KnownWeight(weight_kg=600.0, ahead_of_axle_m=1.0, rear_kg=2300.0 - 600.0 / 1.6 + 60.0)
    residuals = truck_measurement.from_known_weights([*readings, odd]).residuals_kg
    assert max(residuals, key=abs) == residuals[3]


@pytest.mark.parametrize("rear", [(2300.0, 2300.0), (2300.0, 2350.0), (2300.0, 2298.0)])
def test_a_rear_axle_that_does_not_get_lighter_is_refused(rear):
    readings = [
        KnownWeight(weight_kg=kg, ahead_of_axle_m=1.0, rear_kg=r) for kg, r in zip((0.0, 20.0), rear, strict=True)
    ]
    with pytest.raises(ReadingError):
        truck_measurement.from_known_weights(readings)


def test_one_reading_is_not_a_line():
    with pytest.raises(ReadingError, match="two readings"):
        truck_measurement.from_known_weights([KnownWeight(weight_kg=100.0, ahead_of_axle_m=1.0, rear_kg=2000.0)])


# ---------------------------------------------------------------- typical trucks, forks


@pytest.mark.parametrize("name", sorted(truck_classes.CLASSES))
def test_a_typical_truck_is_valid_marked_typical_and_has_no_plate(name, stone_yard: Job):
    truck = truck_classes.typical_truck(name)
    assert truck.typical and truck.plate is None
    assert {truck.front_axle_kg.known, truck.cg_height_m.known, truck.wheelbase_m.known} == {"typical"}
    assert checked(REPLACE(stone_yard, truck=truck)).truck == truck


@pytest.mark.parametrize("name", sorted(truck_classes.CLASSES))
def test_a_typical_truck_with_its_classs_plate_contradicts_nothing(name):
    usual = truck_classes.CLASSES[name]
    truck = truck_classes.typical_truck(name)
    plate = Plate(rows=(row(usual.rated_kg, usual.load_centre_m),))
    assert truck_checks.contradictions(REPLACE(truck, plate=plate)) == ()


def test_an_unknown_class_is_refused():
    with pytest.raises(ReadingError, match="one of"):
        truck_classes.typical_truck("9 t")


def test_ten_per_cent_of_wear_costs_about_a_fifth_of_a_forks_strength():
    assert truck_checks.fork_strength_left(0.04, 0.004) == pytest.approx(0.81)


# ---------------------------------------------------------------- bounds for understanding


def test_the_stacking_bound_is_above_what_the_plate_allows_and_below_what_sample_trucks_hold(sample: Job):
    truck = sample.truck
    if truck.plate is None:
        pytest.skip("no plate")
    derived = truck_checks.stacking_bound(truck, truck.plate.rows[0])
    allowed = truck_checks.plate_moment_kgm(truck.plate.rows[0], truck.front_overhang_m.best)
    assert allowed < derived.value < truck.wheelbase_m.best * truck.rear_axle_kg.best
    assert "understanding only" in said(derived)


# ---------------------------------------------------------------- contradictions


def with_plate(truck: Truck, *rows: PlateRow) -> Truck:
    return REPLACE(truck, plate=Plate(rows=rows))


def only(truck: Truck) -> truck_checks.Contradiction:
    (derived,) = truck_checks.contradictions(truck)
    return derived


def test_swapped_axle_weights_are_called_out_with_both_numbers(stone_yard: Job):
    truck = stone_yard.truck
    swapped = REPLACE(truck, front_axle_kg=truck.rear_axle_kg, rear_axle_kg=truck.front_axle_kg)
    words = [said(derived) for derived in truck_checks.contradictions(swapped)]
    assert any("40 %" in text and "45 %" in text for text in words)


def test_a_truck_too_light_for_its_plate_is_called_out(stone_yard: Job):
    truck = REPLACE(stone_yard.truck, front_axle_kg=exact(1300.0), rear_axle_kg=exact(2000.0))
    assert any("106 % of the bare truck" in said(derived) for derived in truck_checks.contradictions(truck))


def test_plate_and_tape_that_disagree_are_called_out_with_both_numbers(stone_yard: Job):
    truck = with_plate(stone_yard.truck, row(3500.0, 0.5), row(3500.0 * 1.0 / 1.4, 0.9))
    assert truck_checks.contradictions(truck) == ()
    taped = REPLACE(truck, front_overhang_m=exact(0.70))
    (text,) = [said(derived) for derived in truck_checks.contradictions(taped) if derived.where.endswith("overhang_m")]
    assert "500 mm" in text and "700 mm" in text


def test_rows_no_balance_could_give_are_called_out(stone_yard: Job):
    assert "strength" in said(only(with_plate(stone_yard.truck, row(3500.0, 0.5), row(1000.0, 0.9))))


def test_a_plate_beyond_what_the_truck_holds_is_called_out(stone_yard: Job):
    words = [said(derived) for derived in truck_checks.contradictions(with_plate(stone_yard.truck, row(4500.0, 0.7)))]
    assert any("hold 0.95 times" in text for text in words)


def test_a_centre_too_high_for_the_side_test_is_called_out(stone_yard: Job):
    assert "empty side test" in said(only(REPLACE(stone_yard.truck, cg_height_m=exact(0.95))))


def test_worn_forks_are_called_out(stone_yard: Job):
    forks = REPLACE(stone_yard.truck.forks, worn_m=0.006)
    assert "Stop using them" in said(only(REPLACE(stone_yard.truck, forks=forks)))


def test_every_sample_truck_agrees_with_itself(sample: Job):
    assert truck_checks.contradictions(sample.truck) == ()


@pytest.mark.parametrize("system", ["metric", "us"])
def test_every_answer_can_be_said_in_either_system(system, stone_yard: Job):
    weights = truck_measurement.from_axle_weights(1960.0, 2940.0, 1.75)
    answers = [weights.mass_kg, weights.cg_x_m, truck_checks.cg_height_cap(stone_yard.truck)]
    answers.append(truck_measurement.overhang_from_plate(row(3500.0, 0.5), row(2500.0, 0.9)))
    assert all("{" not in said(derived, system) for derived in answers)


def test_axle_weights_are_bounds_with_every_error_at_once():
    """pick.md section 4.2: front 1,210, rear 1,540 kg, 1.38 m, scale 10 kg, tape 5 mm."""
    weighed = truck_measurement.from_axle_weights(1210.0, 1540.0, 1.38, 10.0)
    assert (weighed.mass_kg.low, weighed.mass_kg.high) == (2730.0, 2770.0)
    assert (weighed.cg_x_m.low, weighed.cg_x_m.value, weighed.cg_x_m.high) == pytest.approx(
        (-0.7806, -0.7728, -0.7650), abs=5e-5
    )


def test_known_weights_are_bounds_and_share_their_scale_and_their_error():
    """pick.md section 4.1: moments of 0, 400 and 800 kg·m, 1.6 m, scale 10 kg, weights 2 % off alike."""
    line = truck_measurement.from_known_weights(
        [KnownWeight(weight_kg=kg, ahead_of_axle_m=1.0, rear_kg=2000.0 - kg / 1.6) for kg in (0.0, 400.0, 800.0)], 10.0
    )
    assert (line.wheelbase_m.low, line.wheelbase_m.high) == pytest.approx((1.509, 1.702), abs=5e-4)
    assert line.empty_rear_kg.high - 2000.0 == pytest.approx(18.33, abs=0.01)


def test_a_driver_in_the_seat_is_taken_off_both_axles():
    """pick.md section 4.3: 90 kg, 0.75 m behind the front axle of 1.6 m: 42.19 kg off the rear, 47.81 off the front."""
    off = truck_measurement.from_axle_weights(1600.0, 2300.0, 1.6, 10.0)
    on = truck_measurement.from_axle_weights(1600.0, 2300.0, 1.6, 10.0, Driver())
    assert off.front_kg.best - on.front_kg.best == pytest.approx(47.81, abs=0.01)
    assert off.rear_kg.best - on.rear_kg.best == pytest.approx(42.19, abs=0.01)
    assert on.mass_kg.value == pytest.approx(3900.0 - 90.0)
    assert (off.rear_kg.low, off.rear_kg.high) == (2290.0, 2310.0)
    # 75 kg at 0.60 m and 105 kg at 0.90 m: 28.1 and 59.1 kg, and the scale's 10 kg besides.
    assert (on.rear_kg.low, on.rear_kg.high) == pytest.approx((2290.0 - 59.06, 2310.0 - 28.13), abs=0.3)


def test_of_the_whole_weight_alone_the_axles_are_those_of_the_class():
    """pick.md section 4.3: 2,750 kg, 52 to 58 % on the rear axle: 1,430 to 1,595 kg, 1,513 in the middle."""
    total = truck_classes.from_total_weight(2750.0, 1500.0)
    assert (total.rear_kg.low, total.rear_kg.best, total.rear_kg.high) == pytest.approx((1430.0, 1512.5, 1595.0))
    assert (total.front_kg.low, total.front_kg.high) == pytest.approx((1155.0, 1320.0))
    assert total.rear_kg.known == "typical"
    with pytest.raises(ReadingError, match="whole truck"):
        truck_classes.from_total_weight(27_500.0, 1500.0)
