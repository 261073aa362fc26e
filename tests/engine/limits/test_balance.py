"""Balance: what must hold of any pose of any rig, whatever the numbers."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from any_pose import REPLACE, between, jobs, policies
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from engine.base.geometry import GRAVITY_M_S2
from engine.limits import balance, plate
from engine.limits.all_limits import find_checks, leaned
from engine.rig.check import Check
from engine.rig.kinematics import Figures, figures, place
from engine.schema.model import Job
from engine.worst_case.verdict import evaluate

EXACT = 1e-9
"""Relative round-off of a few dozen float operations, with room."""

FAR_KG = 7e3
"""Twice what a sample's plate carries: beyond its plate a rig's bending is no straight line (`deflection`)."""


def weighed(job: Job, numbers: Figures | None = None) -> balance.Balance:
    return balance.weigh(place(job, numbers or figures(job, job.poses[0])))


def mirrored(job: Job) -> Job:
    floor, pose = job.floors[0], job.poses[0]
    across = REPLACE(floor.fall_across, best=-floor.fall_across.best)
    arms = tuple(
        REPLACE(stance, turn_rad=-stance.turn_rad) if arm.axis == "standing" else stance
        for arm, stance in zip(job.rig.arms, pose.arms, strict=True)
    )
    return REPLACE(job, floors=(REPLACE(floor, fall_across=across),), poses=(REPLACE(pose, arms=arms),))


@given(jobs())
def test_a_mirrored_pose_on_a_mirrored_floor_swaps_left_and_right(job: Job) -> None:
    here, there = weighed(job), weighed(mirrored(job))
    assert here.left_front_kg == pytest.approx(there.right_front_kg, rel=EXACT, abs=1e-6)
    assert here.right_front_kg == pytest.approx(there.left_front_kg, rel=EXACT, abs=1e-6)
    assert here.rear_kg == pytest.approx(there.rear_kg, rel=EXACT, abs=1e-6)
    assert here.tipping_load_kg == pytest.approx(there.tipping_load_kg, rel=1e-8, abs=1e-6)
    for one, other in ((0, 0), (1, 2), (2, 1), (3, 3)):
        assert here.lines[one].margin_Nm == pytest.approx(there.lines[other].margin_Nm, rel=EXACT, abs=1e-4)


@given(jobs(), between(0.0, 5000.0))
def test_the_moment_left_over_every_line_is_linear_in_the_load(job: Job, load_kg: float) -> None:
    numbers = figures(job, job.poses[0])
    none, one, here = (weighed(job, REPLACE(numbers, load_kg=kg)) for kg in (0.0, 1000.0, load_kg))
    for at_none, at_one, at_load in zip(none.lines, one.lines, here.lines, strict=True):
        straight = at_none.margin_Nm + load_kg / 1000.0 * (at_one.margin_Nm - at_none.margin_Nm)
        assert at_load.margin_Nm == pytest.approx(straight, rel=EXACT, abs=1e-4)


@given(jobs())
def test_the_three_reactions_carry_the_whole_weight_square_to_the_floor(job: Job) -> None:
    stance = weighed(job)
    whole = stance.rear_kg + stance.left_front_kg + stance.right_front_kg
    assert whole == pytest.approx(stance.normal_kg, rel=1e-9)
    pressed = sum(body.mass_kg for body in place(job, figures(job, job.poses[0])).bodies)
    assert stance.normal_kg == pytest.approx(-pressed * place(job, figures(job, job.poses[0])).gravity.z, rel=EXACT)


@given(jobs())
def test_no_moment_is_left_about_any_axis_when_ground_forces_are_added(job: Job) -> None:
    """Weights and ground forces together turn the truck about nothing: checked about the front axle and across."""
    placed = place(job, figures(job, job.poses[0]))
    stance, numbers = balance.weigh(placed), placed.figures
    weight_about_axle = sum(
        b.mass_kg * (b.position_m.x * placed.gravity.z - b.position_m.z * placed.gravity.x) for b in placed.bodies
    )
    assert stance.rear_kg * numbers.wheelbase_m == pytest.approx(weight_about_axle, rel=1e-9, abs=1e-6)


@given(jobs(tilted=False, most_fall=0.0), between(0.0, 1.0))
def test_pulling_the_boom_in_never_lowers_the_rear_weight(job: Job, pulled_m: float) -> None:
    pose = job.poses[0]
    numbers = figures(job, pose)
    pulled = REPLACE(numbers, boom_out_m=numbers.boom_out_m - pulled_m)
    assert weighed(job, pulled).rear_kg >= weighed(job, numbers).rear_kg - 1e-9


@given(jobs())
def test_at_the_tipping_load_the_first_line_has_no_moment_left(job: Job) -> None:
    numbers = figures(job, job.poses[0])
    tipping_kg = weighed(job, numbers).tipping_load_kg
    assume(0.0 < tipping_kg < math.inf)
    left = [line.margin_Nm for line in weighed(job, REPLACE(numbers, load_kg=tipping_kg)).lines]
    scale = max(abs(line.restoring_Nm) for line in weighed(job, numbers).lines) + tipping_kg * GRAVITY_M_S2
    assert min(left) == pytest.approx(0.0, abs=1e-9 * scale)


@given(jobs())
def test_the_tipping_load_does_not_depend_on_the_load_hung_now(job: Job) -> None:
    numbers = figures(job, job.poses[0])
    empty = weighed(job, REPLACE(numbers, load_kg=0.0)).tipping_load_kg
    assert weighed(job, numbers).tipping_load_kg == pytest.approx(empty, rel=EXACT, abs=1e-6)


@given(jobs())
def test_the_bare_truck_as_weighed_meets_its_own_axle_weights(job: Job) -> None:
    """Level floor, upright vertical, forks as weighed, nothing on them: axle weights and height come back."""
    truck = job.truck
    bare = REPLACE(
        figures(job, job.poses[0]), lift_m=truck.weighed_lift_m, tilt_rad=0.0, fall_along=0.0, fall_across=0.0,
        sleeves_kg=0.0, jib_mast_kg=0.0, saddles_kg=0.0, boom_kg=0.0, arms_kg=tuple(0.0 for _ in job.rig.arms),
        hook_kg=0.0, rigging_kg=0.0, load_kg=0.0,
    )  # fmt: skip
    stance = weighed(job, bare)
    assert stance.rear_kg == pytest.approx(truck.rear_axle_kg.best, rel=EXACT)
    assert stance.left_front_kg == pytest.approx(truck.front_axle_kg.best / 2.0, rel=EXACT)
    assert stance.right_front_kg == pytest.approx(truck.front_axle_kg.best / 2.0, rel=EXACT)
    assert stance.combined_m.z == pytest.approx(truck.cg_height_m.best, rel=EXACT)


def test_the_steer_axle_holds_the_front_down_but_no_side(boatyard: Job) -> None:
    numbers = figures(boatyard, boatyard.poses[0])
    heavier = REPLACE(numbers, steer_axle_kg=280.0, rear_axle_kg=numbers.rear_axle_kg + 100.0)
    # The whole truck weighs more at the axle, by exactly the axle's extra 100 kg at its own height.
    before, after = weighed(boatyard, numbers), weighed(boatyard, heavier)
    assert after.lines[0].restoring_Nm > before.lines[0].restoring_Nm + 0.99 * 100.0 * GRAVITY_M_S2 * 1.6 * 0.99
    for side in (1, 2):
        assert before.lines[side].left_out == ("steer axle",)
    assert before.lines[0].left_out == before.lines[3].left_out == ()


def test_a_floor_falling_forward_takes_weight_off_the_rear_and_falling_left_off_the_right_wheel(boatyard: Job) -> None:
    numbers = REPLACE(figures(boatyard, boatyard.poses[2]), fall_along=0.0, fall_across=0.0)
    level = weighed(boatyard, numbers)
    nose_down = weighed(boatyard, REPLACE(numbers, fall_along=0.05))
    left_down = weighed(boatyard, REPLACE(numbers, fall_across=0.05))
    assert nose_down.rear_kg < level.rear_kg
    assert left_down.right_front_kg < level.right_front_kg
    assert left_down.left_front_kg > level.left_front_kg
    assert left_down.lines[1].margin_Nm < level.lines[1].margin_Nm


# ---------------------------------------------------------------- sweeps


def stacked(one: list[Figures]) -> Figures:
    """Figures of several poses as arrays (arms fitted alike)."""

    def together(name: str) -> object:
        values = [getattr(numbers, name) for numbers in one]
        if isinstance(values[0], tuple):
            return tuple(None if column[0] is None else np.array(column) for column in zip(*values, strict=True))
        return np.array(values)

    return Figures(**{name: together(name) for name in Figures.__struct_fields__})


@settings(max_examples=12)
@given(st.data())
def test_a_sweep_gives_for_every_field_what_each_single_pose_gives(data: st.DataObject) -> None:
    job = REPLACE(data.draw(jobs()), policy=data.draw(policies()))
    first = figures(job, job.poses[0])
    singles = [
        REPLACE(
            first,
            lift_m=data.draw(between(0.1, 3.0)),
            tilt_rad=data.draw(between(-0.05, 0.1)),
            boom_out_m=data.draw(between(0.1, 1.5)),
            turns_rad=tuple(None if t is None else data.draw(between(-2.5, 2.5)) for t in first.turns_rad),
            fall_along=data.draw(between(-0.2, 0.2)),
            fall_across=data.draw(between(-0.2, 0.2)),
            load_kg=data.draw(between(0.0, 3000.0)),
        )
        for _ in range(4)
    ]
    swept = find_checks(job, stacked(singles))
    for index, numbers in enumerate(singles):
        alone = find_checks(job, numbers)
        assert [c.kind for c in alone] == [c.kind for c in swept]
        for one, many in zip(alone, swept, strict=True):
            for field in ("use", "demand", "allowed", "allowed_load_kg"):
                value = np.broadcast_to(np.asarray(getattr(many, field), float), (4,))[index]
                assert value == pytest.approx(getattr(one, field), rel=1e-9, abs=1e-6), (one.part, one.kind, field)
            for part, parts in zip(one.place_m, many.place_m, strict=True):
                assert np.broadcast_to(parts, (4,))[index] == pytest.approx(part, abs=1e-9)
            for key, value in one.numbers.items():
                there = np.broadcast_to(many.numbers[key], (4,))[index]
                assert there == value if isinstance(value, str) else there == pytest.approx(value, rel=1e-9, abs=1e-6)


# ---------------------------------------------------------------- allowed load of every check


Limits = Callable[[Job, Figures], list[Check]]


def truck_and_plate(job: Job, numbers: Figures) -> list[Check]:
    """The limits of balance and plate alone, leaned as the policy says."""
    placed = place(job, leaned(numbers, job.policy))
    return balance.checks(placed, job.policy) + plate.checks(placed, job.truck.plate, job.policy)


def are_over(limits: Limits, job: Job, numbers: Figures, loads_kg: np.ndarray) -> np.ndarray:
    """Whether each limit (its place along the first axis) is over at loads (kg) of its own (along the second)."""
    checks = limits(job, REPLACE(numbers, load_kg=loads_kg))
    return np.array([np.broadcast_to(check.use, loads_kg.shape)[index] for index, check in enumerate(checks)]) > 1.0


def bracketed_kg(limits: Limits, job: Job, numbers: Figures, count: int) -> np.ndarray:
    """Load at which each limit's use first passes 1, narrowed down; -1 when it is over with nothing hung, inf if never.

    Looked for in steps first: a load that bends the rig across the middle of the truck is within once more.
    """
    loads_kg = np.broadcast_to(np.concatenate([[0.0], np.geomspace(1.0, FAR_KG, 127)]), (count, 128))
    rows = np.arange(count)
    over = are_over(limits, job, numbers, loads_kg)
    over_empty, never = over[:, 0], ~over.any(axis=1)
    for _ in range(5):
        first = np.maximum(np.argmax(over, axis=1), 1)
        low, high = loads_kg[rows, first - 1], loads_kg[rows, first]
        loads_kg = np.linspace(low, high, 32, axis=1)
        over = are_over(limits, job, numbers, loads_kg)
        over[:, -1] = True
    return np.where(over_empty, -1.0, np.where(never, math.inf, (low + high) / 2.0))


CHORD = 0.6
"""Lean on the tyres grows with the load along a curve, and the allowed load lies on its chord: never over the load
where the limit is met, and this share of it at least (the limit that governs is far nearer, `test_lean`)."""


def assert_allowed_loads_are_where_use_passes_one(limits: Limits, job: Job, leaning: tuple[str, ...] = ()) -> None:
    """``leaning`` are the parts whose limits count the truck's lean."""
    numbers = figures(job, job.poses[0])
    checks = limits(job, numbers)
    rated_kg = max(row.rated_kg for row in job.truck.plate.rows)
    for check, bracketed in zip(checks, bracketed_kg(limits, job, numbers, len(checks)), strict=True):
        said = float(check.allowed_load_kg)
        case = (check.part, check.kind, bracketed, said)
        if bracketed < 0.0:
            assert said <= 1e-6, case
        elif bracketed == math.inf:
            assert said >= FAR_KG or check.part in leaning, case
        elif check.part in leaning and bracketed > rated_kg:
            assert said >= CHORD * rated_kg, case
        elif check.part in leaning:
            assert CHORD * bracketed - 1e-4 <= said <= bracketed * (1.0 + 1e-5) + 1e-4, case
        else:
            assert said == pytest.approx(bracketed, rel=1e-5, abs=1e-4), case


@settings(max_examples=25)
@given(jobs(most_fall=0.12), policies(braking=False))
def test_every_checks_allowed_load_is_where_its_use_passes_one(job: Job, policy: object) -> None:
    assert_allowed_loads_are_where_use_passes_one(truck_and_plate, REPLACE(job, policy=policy))


@settings(max_examples=25)
@given(jobs(most_fall=0.04), policies())
def test_every_checks_allowed_load_is_where_its_use_passes_one_while_braking(job: Job, policy: object) -> None:
    assert_allowed_loads_are_where_use_passes_one(truck_and_plate, REPLACE(job, policy=policy))


@pytest.mark.slow
@settings(max_examples=6)
@given(jobs(most_fall=0.04), policies(braking=False))
def test_every_limits_allowed_load_along_the_whole_load_path_is_where_its_use_passes_one(
    job: Job, policy: object
) -> None:
    assert_allowed_loads_are_where_use_passes_one(find_checks, REPLACE(job, policy=policy), ("truck balance",))


@settings(max_examples=18)
@given(jobs(most_fall=0.12), policies())
def test_within_only_with_a_load_no_greater_than_allowed(job: Job, policy: object) -> None:
    job = REPLACE(job, policy=policy)
    verdict = evaluate(job, job.poses[0])
    if verdict.state == "WITHIN":
        assert job.load.mass_kg.best <= verdict.allowed_load_kg * (1.0 + 1e-9) + 1e-6


def test_a_limit_broken_with_the_hook_empty_stays_broken_under_a_load_that_helps(vineyard: Job) -> None:
    """High rig on a floor falling right: over the right side unloaded; a load turned left would hold it back."""
    numbers = REPLACE(
        figures(vineyard, vineyard.poses[0]), lift_m=3.2, fall_across=-0.24, fall_along=0.0, rigging_kg=0.0,
        turns_rad=(1.5, 0.0), load_kg=150.0, jib_mast_kg=200.0,
    )  # fmt: skip
    job = REPLACE(vineyard, policy=REPLACE(vineyard.policy, least_light_wheel_share=0.5))
    right = next(c for c in find_checks(job, numbers) if c.kind == "tipping, right side")
    line = balance.weigh(place(job, numbers)).lines[2]
    assert line.per_kg_Nm < 0.0
    assert line.use == 0.0  # with the load hung, taken alone
    assert right.allowed_load_kg < 0.0
    assert right.use > 1.0
    wheel = next(c for c in find_checks(job, numbers) if c.kind == "lightest front wheel")
    assert (wheel.allowed_load_kg < 0.0) == (wheel.use > 1.0)


# ---------------------------------------------------------------- allowances


def test_braking_and_swing_never_leave_more_than_standing_still(boatyard: Job) -> None:
    placed = place(boatyard, figures(boatyard, boatyard.poses[0]))
    still = balance.weigh(placed)
    for worse in (
        balance.Allowances(braking=0.2),
        balance.Allowances(swing_rad=0.1),
        balance.Allowances(dynamic_factor=1.3),
    ):
        shaken = balance.weigh(placed, worse)
        assert shaken.rear_kg < still.rear_kg
        for line, calm in zip(shaken.lines[:1], still.lines[:1], strict=True):
            assert line.margin_Nm < calm.margin_Nm
    for worse in (balance.Allowances(braking=0.2), balance.Allowances(swing_rad=0.1)):
        shaken = balance.weigh(placed, worse)
        for line, calm in zip(shaken.lines, still.lines, strict=True):
            assert line.margin_Nm <= calm.margin_Nm + 1e-9


@given(jobs(), between(0.01, 0.3))
def test_swing_is_the_worst_of_every_way_the_load_can_hang_off_plumb(job: Job, swing_rad: float) -> None:
    """Against a scan of the hung weight pulled off plumb by the angle, all ways round."""
    placed = place(job, figures(job, job.poses[0]))
    swung = balance.weigh(placed, balance.Allowances(swing_rad=swing_rad))
    plumb = np.array([float(part) for part in placed.gravity])
    side = np.cross(plumb, [0.0, 1.0, 0.0])
    side /= np.linalg.norm(side)
    ways = np.linspace(0.0, 2.0 * math.pi, 721)[:, None]
    off = math.tan(swing_rad) * (np.cos(ways) * side + np.sin(ways) * np.cross(plumb, side))
    hung_kg = placed.figures.rigging_kg + placed.figures.load_kg
    for calm, line in zip(balance.weigh(placed).lines, swung.lines, strict=True):
        a, b = (np.array([float(part) for part in point]) for point in (line.a_m, line.b_m))
        along = (b - a) / np.linalg.norm(b - a)
        turned = np.cross(np.array([float(part) for part in placed.hook_m]) - a, hung_kg * GRAVITY_M_S2 * off) @ along
        lost = calm.margin_Nm - line.margin_Nm
        # The scan steps half a degree: it may miss the worst by its cosine, 1e-5.
        assert lost == pytest.approx(-turned.min(), rel=2e-5, abs=1e-6)


@given(jobs(), between(0.01, 0.3))
def test_braking_is_the_worse_of_both_ways_along_the_truck(job: Job, braking: float) -> None:
    placed = place(job, figures(job, job.poses[0]))
    braked, calm = balance.weigh(placed, balance.Allowances(braking=braking)), balance.weigh(placed)
    for line, still in zip(braked.lines, calm.lines, strict=True):
        a, b = (np.array([float(part) for part in point]) for point in (line.a_m, line.b_m))
        along = (b - a) / np.linalg.norm(b - a)
        pull = np.array([braking * GRAVITY_M_S2, 0.0, 0.0])
        turned = sum(
            along @ np.cross(np.array([float(p) for p in body.position_m]) - a, body.mass_kg * pull)
            for body in placed.bodies
            if body.name not in line.left_out
        )
        assert still.margin_Nm - line.margin_Nm == pytest.approx(abs(turned), rel=1e-8, abs=1e-6)


def test_figures_that_are_not_numbers_never_come_out_as_numbers(boatyard: Job) -> None:
    for field in ("fall_along", "fall_across", "rear_axle_kg", "lift_m", "load_kg", "wheelbase_m"):
        numbers = REPLACE(figures(boatyard, boatyard.poses[0]), **{field: math.nan})
        stance = weighed(boatyard, numbers)
        assert all(math.isnan(line.margin_Nm) for line in stance.lines[:1])
        uses = [check.use for check in find_checks(boatyard, numbers)]
        assert any(math.isnan(use) or use == math.inf for use in uses)


def test_a_results_shape_is_that_of_its_poses(boatyard: Job) -> None:
    numbers = REPLACE(
        figures(boatyard, boatyard.poses[0]),
        lift_m=np.linspace(0.1, 3.0, 5)[:, None],
        load_kg=np.linspace(0.0, 500.0, 3),
    )
    stance = weighed(boatyard, numbers)
    assert np.shape(stance.rear_kg + stance.left_front_kg) == (5, 3)
    assert np.shape(stance.tipping_load_kg) in {(5, 1), (5, 3)}


def test_a_rig_that_tips_the_truck_by_itself_has_a_tipping_load_of_nothing(boatyard: Job) -> None:
    numbers = REPLACE(figures(boatyard, boatyard.poses[0]), jib_mast_kg=6000.0)
    stance = weighed(boatyard, numbers)
    assert stance.lines[0].margin_Nm < 0.0
    assert stance.tipping_load_kg == 0.0


def test_a_front_wheel_too_light_with_the_hook_empty_allows_no_load_at_all(vineyard: Job) -> None:
    """Floor falling left, arms turned right: a load would bring the light right wheel down again, from too little."""
    job = REPLACE(vineyard, policy=REPLACE(vineyard.policy, least_light_wheel_share=0.8))
    numbers = REPLACE(
        figures(vineyard, vineyard.poses[0]),
        lift_m=2.0,
        fall_across=0.2,
        fall_along=0.0,
        turns_rad=(-1.4, 0.0),
        rigging_kg=0.0,
    )
    for load_kg in (0.0, 150.0, 400.0, 900.0):
        wheel = next(
            c for c in truck_and_plate(job, REPLACE(numbers, load_kg=load_kg)) if c.kind == "lightest front wheel"
        )
        assert wheel.allowed_load_kg == -math.inf
        assert wheel.use > 1.0
