"""Whether a truck parked on a slope is held by its braked front wheels."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import msgspec
import pytest

from engine.base.formatting import fill
from engine.base.geometry import Vec, gravity_direction
from engine.limits import brakes
from engine.rig.kinematics import Body, figures, place
from engine.schema.friction import FRICTION, SLIPPERY, friction_of
from engine.schema.model import Job, Pose, Surface
from engine.schema.quantities import Estimate, Known
from engine.worst_case.verdict import Verdict, evaluate
from tests.samples import read_once

REPLACE = msgspec.structs.replace
BOATYARD = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "skerry_point_boatyard.rig.json")
LOADED, LOW = BOATYARD.poses[0], BOATYARD.poses[3]
HELD = "truck: held by its braked wheels"


def on(along: float, surface: Surface | None = None, across: float = 0.0, known: Known = "measured") -> Job:
    falls = {"fall_along": along, "fall_across": across}
    floor = {name: Estimate(best=value, known=known) for name, value in falls.items()}
    floors = tuple(REPLACE(old, **floor, surface=surface) for old in BOATYARD.floors)
    return REPLACE(BOATYARD, floors=floors, trial_lifts=())


def place_of(verdict: Verdict) -> int:
    return [check.name for check in verdict.checks].index(HELD)


def use_of_one_weight(fall: float, friction: float) -> float:
    """Use of a truck that is one weight: 3,900 kg, 0.944 m behind the front axle, 0.65 m up, wheelbase 1.6 m."""
    weight = Body(name="all", group="truck", link="chassis", mass_kg=3900.0, position_m=Vec(-0.944, 0.0, 0.65))
    placed = place(BOATYARD, figures(BOATYARD, LOW))
    numbers = REPLACE(placed.figures, wheelbase_m=1.6, friction=friction, fall_along=fall, load_kg=0.0, rigging_kg=0.0)
    placed = REPLACE(placed, figures=numbers, gravity=gravity_direction(fall, 0.0), bodies=(weight,))
    (check,) = brakes.checks(placed)
    return float(check.use)


@pytest.mark.parametrize(
    ("friction", "nose_up", "nose_down"),
    [(0.6, 0.198, 0.325), (0.4, 0.141, 0.196), (0.3, 0.110, 0.140), (0.2, 0.076, 0.089)],
)
def test_the_slope_that_friction_just_holds(friction: float, nose_up: float, nose_down: float) -> None:
    """By hand: tan b = mu (L + x)/(L + mu h) nose up, L - mu h nose down, before the 1.25."""
    for sign, tangent in ((-1.0, nose_up), (1.0, nose_down)):
        exact = friction * (1.6 - 0.944) / (1.6 - sign * friction * 0.65)
        assert exact == pytest.approx(tangent, abs=5e-4)
        assert use_of_one_weight(sign * exact, friction) == pytest.approx(1.25, abs=1e-9)
        assert use_of_one_weight(sign * 0.9 * exact, friction) < 1.25 < use_of_one_weight(sign * 1.1 * exact, friction)


def test_every_surface_has_its_friction_or_holds_nothing() -> None:
    assert (friction_of("dry"), friction_of("wet"), friction_of("mud"), friction_of(None)) == (0.6, 0.4, 0.2, 0.4)
    assert {*FRICTION, *SLIPPERY} == set(get_args(Surface)) and not {*FRICTION} & SLIPPERY
    assert all(friction_of(surface) == 0.0 for surface in SLIPPERY)


@pytest.mark.parametrize("surface", sorted(SLIPPERY))
def test_nothing_holds_on_ice_oil_or_snow_however_level(surface: Surface) -> None:
    verdict = evaluate(on(0.0, surface), LOADED)
    assert verdict.state == "REFUSED" and verdict.allowed_load_kg is None
    (words,) = (fill(p.words, p.numbers, "metric") for p in verdict.problems if p.where.endswith(".surface"))
    assert words.startswith("The floor at") and f"{surface} on it: no brake holds a truck there" in words


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_truck_on_mud_slides_where_it_holds_on_concrete(sign: float) -> None:
    """9 % of slope: over mud of 0.2 either way with an empty hook, well within dry concrete."""
    held = {surface: evaluate(on(sign * 0.09, surface), LOW) for surface in ("dry", "wet", "mud")}
    uses = [float(verdict.checks[place_of(verdict)].use) for verdict in held.values()]
    assert uses[0] < uses[1] < 1.0 < uses[2]
    assert uses[0] * 0.6 == pytest.approx(uses[2] * 0.2)
    assert held["mud"].state == "OVER" and held["mud"].allowed_load_kg == 0.0
    assert evaluate(on(sign * 0.09), LOW).checks[place_of(held["wet"])].use == uses[1], "unnamed is wet"


def test_the_slope_across_counts_with_the_one_along() -> None:
    """3 % and 4 % make 5 %."""
    both, steep = evaluate(on(0.03, "mud", 0.04), LOW), evaluate(on(0.05, "mud"), LOW)
    index = place_of(both)
    assert both.checks[index].demand == pytest.approx(steep.checks[index].demand, rel=1e-9)


def test_a_load_presses_the_front_wheels_on_the_floor() -> None:
    loaded, empty = (evaluate(on(0.06, "mud"), REPLACE(LOADED, loaded=hangs)) for hangs in (True, False))
    index = place_of(loaded)
    assert loaded.checks[index].allowed > empty.checks[index].allowed
    assert loaded.checks[index].use < empty.checks[index].use <= 1.0


def test_it_must_hold_before_the_load_hangs_as_well() -> None:
    """Where the empty truck would slide, no load is allowed, though it would hold once it hangs."""

    def found(fall: float, pose: Pose) -> tuple[float, float]:
        job = on(fall, "mud")
        nothing = Estimate(best=0.0, known="measured", low=0.0, high=0.0)
        verdict = evaluate(REPLACE(job, load=REPLACE(job.load, rigging=None, rigging_kg=nothing)), pose)
        check = verdict.checks[place_of(verdict)]
        return float(check.use), float(check.allowed_load_kg)

    low, high = 0.05, 0.15
    for _ in range(40):
        middle = (low + high) / 2.0
        low, high = (middle, high) if found(middle, REPLACE(LOADED, loaded=False))[0] <= 1.0 else (low, middle)
    just_over, just_under = found(high + 1e-6, LOADED), found(low - 1e-6, LOADED)
    assert just_over[0] > 1.0 and just_over[1] <= 0.0
    assert just_under[0] < 0.95 and just_under[1] == float("inf")


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_slope_that_is_not_sure_is_taken_at_its_steeper_end(sign: float) -> None:
    """5 % guessed may be 2 % more: at worst at least as much as on a slope entered as 7 %."""
    unsure = evaluate(on(sign * 0.05, "mud", known="guess"), LOW)
    index = place_of(unsure)
    assert unsure.worst_case is not None
    steeper = evaluate(on(sign * 0.07, "mud"), LOW)
    assert steeper.checks[index].use > unsure.checks[index].use
    assert unsure.worst_case.use[index] >= steeper.checks[index].use
