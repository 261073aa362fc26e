"""The saddle bed where it leaves the jib mast, against sums by hand (unknown tube at 195 MPa, design factor 3)."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import pytest

from engine.base.formatting import System, fill
from engine.limits.all_limits import find_checks
from engine.rig.check import Check
from engine.rig.kinematics import figures
from engine.schema.connections import StrapLapped, TubeBed
from engine.schema.model import Job, Pose
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube, RoundTube, properties
from engine.worst_case.verdict import evaluate
from tests.samples import read_once

RIGS = Path(__file__).resolve().parents[2] / "rigs"
REPLACE = msgspec.structs.replace


def tube(width_mm: float, depth_mm: float, wall_mm: float) -> RectTube:
    return RectTube(width_m=width_mm / 1e3, depth_m=depth_mm / 1e3, wall_m=wall_mm / 1e3)


_SAMPLE = read_once(RIGS / "skerry_point_boatyard.rig.json")
BOATYARD = REPLACE(
    _SAMPLE,
    rig=REPLACE(
        _SAMPLE.rig,
        saddles=REPLACE(
            _SAMPLE.rig.saddles,
            steel="unknown",
            strap_length_m=0.08,
            strap_foot=StrapLapped(lap_m=0.05),
            bed=TubeBed(section=RectTube(width_m=0.14, depth_m=0.08, wall_m=0.01)),
            seat_m=0.08,
            mass_kg=Estimate(best=26.0, known="weighed"),
        ),
        jib_mast=REPLACE(
            _SAMPLE.rig.jib_mast, steel="unknown", length_m=1.462, mass_kg=Estimate(best=31.0, known="weighed")
        ),
    ),
)
"""The boatyard's rig with jib mast, saddles and a lower bed of reclaimed steel."""
POSE = BOATYARD.poses[0]
ALLOWED_PA = 195e6 / 3.0
GRAVITY = 9.80665

BEHIND, AHEAD = "combined stress behind the jib mast", "combined stress ahead of the jib mast"
EDGE = "side wall at the jib mast's edge, twist in the rear saddle"
EDGE_FRONT = "side wall at the jib mast's edge, twist in the front saddle"
FOLD, FOLD_PRESSED = "lower wall folding under the jib mast", "lower wall folding and pressed"
PLATES = "jib mast's walls under a narrower bed"


def with_saddles(**changes: object) -> Job:
    return REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, saddles=REPLACE(BOATYARD.rig.saddles, **changes)))


MAST = tube(120, 120, 5)


def with_bed(section: RectTube | None, mast: RectTube | RoundTube | None = None) -> Job:
    """The boatyard's rig with another bed, and the boom as high over the mast as that bed is deep."""
    foot = _SAMPLE.rig.saddles.strap_foot
    assert isinstance(foot, StrapLapped)
    lap_m = foot.lap_m if section is None else min(foot.lap_m, section.depth_m)
    job = with_saddles(
        strap_foot=REPLACE(foot, lap_m=lap_m),
        bed=None if section is None else TubeBed(section=section),
        seat_m=0.08 if section is None else section.depth_m,
    )
    if mast is None:
        return job
    return REPLACE(job, rig=REPLACE(job.rig, jib_mast=REPLACE(job.rig.jib_mast, section=mast)))


def bed_checks(job: Job, pose: Pose = POSE) -> dict[str, Check]:
    return {check.kind: check for check in find_checks(job, figures(job, pose)) if check.part == "saddle bed"}


def number(check: Check, name: str) -> float:
    value = check.numbers[name]
    assert isinstance(value, float)
    return value


# ---------------------------------------------------------------- the bed at the mast's faces


@pytest.mark.parametrize(
    ("section", "over", "stress_MPa"),
    [(tube(100, 40, 3), True, 374.2), (tube(100, 80, 8), True, 74.35), (tube(140, 80, 10), False, 48.53)],
)
def test_a_thin_bed_is_over_and_a_thicker_one_is_not(section: RectTube, over: bool, stress_MPa: float) -> None:
    """8,416 N on 0.465 m with 239.2 N·m of twist: 374.2 MPa in 100 x 40 x 3 and 74.35 in 100 x 80 x 8; 65 allowed.

    The boom's slide of 20 N and its side force on a slope of 1 % are not in those two numbers.
    140 x 80 x 10 (S 86.04 and C 178.1 cm3, corners 20 and 10): 45.49 MPa bent, 1.34 twisted, 8.42 sheared, 48.53.
    """
    checks = bed_checks(with_bed(section))
    assert float(checks[BEHIND].use) * ALLOWED_PA / 1e6 == pytest.approx(stress_MPa, rel=0.01)
    assert (float(checks[BEHIND].use) > 1.0) is over


def test_the_shipped_bed_that_failed_and_the_one_that_holds() -> None:
    assert evaluate(with_bed(tube(100, 40, 3)), POSE).state == "OVER"
    assert evaluate(_SAMPLE, POSE).state == "WITHIN"
    assert max(float(check.use) for check in bed_checks(BOATYARD).values()) < 1.0


def test_the_bed_behind_the_mast_by_hand() -> None:
    """Rear reaction on its lever from the mast's face, the boom's whole twist, von Mises at the worst corner."""
    bed = bed_checks(BOATYARD)[BEHIND]
    lever_m = 0.525 - 0.120 / 2.0
    assert bed.numbers["lever"] == pytest.approx(lever_m)
    steel = properties(tube(140, 80, 10))
    bending = number(bed, "up") * lever_m / steel.elastic_up_m3
    area = 2.0 * 0.01 * (0.08 - 3.0 * 0.01)
    shear = number(bed, "up") / area + number(bed, "twist") / steel.torsion_m3
    by_hand = math.sqrt(bending**2 + 3.0 * shear**2) / ALLOWED_PA
    assert float(bed.use) == pytest.approx(by_hand, rel=2e-3), "the floor's slope adds a little to the side"


def test_the_rear_reaction_is_that_of_statics() -> None:
    """Moments about the front saddle: boom, arms, hook and load ahead of it over the spacing of 0.525 m.

    Boom 2.4 m and 55 kg, 0.9 m out: its middle 0.3 m behind.  Arms of 14 and 12 kg, 0.6 m long, at 20 and 10 degrees.
    """
    first, second = math.cos(math.radians(20.0)), math.cos(math.radians(10.0))
    out = 0.9 + 0.6 * (first + second)
    moment = 55.0 * (0.9 - 1.2) + 14.0 * (0.9 + 0.3 * first) + 12.0 * (0.9 + 0.6 * first + 0.3 * second)
    moment += (12.0 + 12.0 + 185.0) * out
    assert number(bed_checks(BOATYARD)[BEHIND], "up") == pytest.approx(moment * GRAVITY / 0.525, rel=0.01)


def test_a_saddle_over_the_mast_has_no_lever_but_its_bed_carries_shear_and_twist() -> None:
    """Front saddle on the mast's axis: bending from the boom's pull along alone, so little that shear decides."""
    check = bed_checks(BOATYARD)[AHEAD]
    assert check.numbers["lever"] == 0.0
    shear = (
        number(check, "up") / (2.0 * 0.01 * 0.05) + number(check, "twist") / properties(tube(140, 80, 10)).torsion_m3
    )
    assert float(check.use) == pytest.approx(math.sqrt(3.0) * shear / ALLOWED_PA, rel=0.01)


def test_a_front_saddle_ahead_of_the_mast_bends_the_bed_there() -> None:
    """Front saddle 0.26 m ahead: its lever is 0.20 m.  Its reaction is the weight and the rear's hold-down."""
    check = bed_checks(with_saddles(front_x_m=0.26))[AHEAD]
    assert check.numbers["lever"] == pytest.approx(0.20)
    weight_N = (55.0 + 14.0 + 12.0 + 12.0 + 12.0 + 185.0) * GRAVITY
    rear_N = number(bed_checks(with_saddles(front_x_m=0.26))[BEHIND], "up")
    assert number(check, "up") == pytest.approx(weight_N + rear_N, rel=1e-3)
    assert number(check, "bend") == pytest.approx((weight_N + rear_N) * 0.20, rel=0.01)


def test_two_saddles_ahead_of_the_mast_share_its_front_face() -> None:
    """Saddles 0.20 and 0.725 m ahead: weight on the bed's face, moments of both on 0.14 and 0.665 m."""
    job = with_saddles(front_x_m=0.725, rear_x_m=0.20)
    check = bed_checks(job)[AHEAD]
    weight_N = (55.0 + 14.0 + 12.0 + 12.0 + 12.0 + 185.0) * GRAVITY
    rear_N = number(bed_checks(job)[BEHIND], "up")
    assert number(check, "up") == pytest.approx(weight_N, rel=1e-3)
    assert number(check, "bend") == pytest.approx((weight_N + rear_N) * 0.665 - rear_N * 0.14, rel=0.01)


def test_braking_pulls_on_the_pinned_saddle_alone() -> None:
    """0.3 g on all that the boom carries, at 90 mm over the bed's axis: 0.3 x 290 kg x g x 0.09 = 76.8 N·m.

    Over the mast that is the front face's whole bending; pinned at the rear saddle the front face has none.
    """
    fast = REPLACE(BOATYARD, policy=REPLACE(BOATYARD.policy, braking=0.3))
    kg = 55.0 + 14.0 + 12.0 + 12.0 + 12.0 + 185.0
    assert number(bed_checks(fast)[AHEAD], "bend") == pytest.approx(0.3 * kg * GRAVITY * 0.09, rel=0.05)
    saddles = REPLACE(fast.rig.saddles, pin_at="rear")
    assert number(bed_checks(REPLACE(fast, rig=REPLACE(fast.rig, saddles=saddles)))[AHEAD], "bend") == 0.0


def test_a_boom_that_slides_forward_bends_the_bed_of_its_rear_pin_further_up() -> None:
    """A floor that falls 1 in 10 to the front pulls 290 kg with g sin 5.711 degrees, 90 mm over the bed's axis.

    Behind the mast the strap pulls the bed up; so does a forward pull above it, by 25.5 N·m.
    """
    floor = REPLACE(BOATYARD.floors[0], fall_along=Estimate(best=0.1, known="measured"))
    sloping = REPLACE(with_saddles(pin_at="rear"), floors=(floor, *BOATYARD.floors[1:]))
    check = bed_checks(sloping)[BEHIND]
    slide_Nm = number(check, "bend") - number(check, "up") * 0.465
    assert slide_Nm == pytest.approx(290.0 * GRAVITY * math.sin(math.atan(0.1)) * 0.09, rel=0.01)


# ---------------------------------------------------------------- what presses on what at the mast's top


def test_a_side_wall_at_the_masts_edge_by_hand() -> None:
    """``Fy t 5k/2`` with k = 1.5 t, because the bed is cut flush with the mast's front (AISC 360 J10.2).

    Crippling near an end takes more: 0.40 t^2 sqrt(E Fy) = 271 kN.
    """
    check = bed_checks(BOATYARD)[EDGE]
    assert float(check.allowed) == pytest.approx(195e6 * 0.01 * 2.5 * 1.5 * 0.01 / 3.0, rel=1e-9)
    assert check.numbers["to_end"] == pytest.approx(0.0, abs=1e-12)


def test_a_bed_that_runs_on_past_the_mast_takes_twice_as_much_at_its_edge() -> None:
    """Front strap 0.11 m ahead of the mast's axis: the bed ends 100 mm beyond the mast's face, more than its depth."""
    check = bed_checks(with_saddles(front_x_m=0.11))[EDGE]
    assert check.numbers["to_end"] == pytest.approx(0.10)
    assert float(check.allowed) == pytest.approx(195e6 * 0.01 * 5.0 * 1.5 * 0.01 / 3.0, rel=1e-9)


def test_the_force_on_a_side_wall_by_hand() -> None:
    """Worked number of a thin bed: M 4,371 N·m over 115 mm and N 3,040 N, half of it on each wall, twist over 2 b.

    The mast's moment is the hook's, the boom's and the arms' about its axis, and the slope's on their height.
    """
    check = bed_checks(with_bed(tube(100, 40, 3)))[EDGE]
    twist_N = 239.2 / (2.0 * 0.097)
    assert float(check.demand) == pytest.approx((4371.0 / 0.115 + 1520.0) / 2.0 + twist_N, rel=0.01)
    assert float(check.use) == pytest.approx(float(check.demand) / (195e6 * 0.003 * 2.5 * 0.0045 / 3.0), rel=1e-9)
    assert float(check.use) > 1.0


def test_a_bed_much_wider_than_the_mast_folds_under_it() -> None:
    """Mast 80 x 80 on a bed 160 x 80 x 8, flat 128: 80 < 0.85 x 128, so chapter K takes the side walls' place.

    beta = eta = 0.5; along ``Fy t^2 Hb (1/(2 eta) + 2/sqrt(1 - beta) + eta/(1 - beta))`` over 3.
    """
    checks = bed_checks(with_bed(tube(160, 80, 8), tube(80, 80, 6)))
    assert EDGE not in checks
    folding = 195e6 * 0.008**2 * 0.08 * (1.0 + 2.0 / math.sqrt(0.5) + 1.0) / 3.0
    mast = next(c for c in find_checks(BOATYARD, figures(BOATYARD, POSE)) if c.name == "jib mast: bending at the top")
    assert float(checks[FOLD].use) > float(mast.demand) / folding > 1.0
    assert float(checks[FOLD_PRESSED].use) > 1.0


def test_the_beds_own_bending_takes_from_what_its_lower_wall_holds() -> None:
    """Qf: the row ``D/A + 0.4 U/beta <= 1.3`` grows with the bending that presses the lower wall, at the front face."""
    near = with_bed(tube(160, 80, 10), tube(80, 80, 6))
    far = REPLACE(near, rig=REPLACE(near.rig, saddles=REPLACE(near.rig.saddles, front_x_m=0.6, rear_x_m=-0.2)))
    checks = bed_checks(far)
    per_bend = 3.0 / properties(tube(160, 80, 10)).elastic_up_m3 / 195e6
    extra = 0.4 * per_bend * number(checks[AHEAD], "bend") / 0.5
    assert float(checks[FOLD_PRESSED].demand) == pytest.approx(float(checks[FOLD].demand) + extra, rel=1e-6)


def test_a_narrower_bed_leaves_the_masts_side_walls_empty() -> None:
    """Bed 80 wide on a mast 120 x 120 x 5: M 4,371 over 115 mm and half of N 3,040 on 80 x 5 mm: about 98.8 MPa."""
    check = bed_checks(with_bed(tube(80, 80, 10), MAST))[PLATES]
    direct = (4371.0 / 0.115 + 1520.0) / (0.08 * 0.005)
    # The boom's twist bends each wall in its plane: 3 x 239 N·m over 400 mm2 and 80 mm.
    direct += 3.0 * 239.2 / (0.08 * 0.005 * 0.08)
    assert float(check.demand) == pytest.approx(direct, rel=0.02)
    assert float(check.use) > 1.0
    assert PLATES not in bed_checks(BOATYARD)


def test_a_round_mast_presses_on_a_shorter_chord() -> None:
    """Ring 120 x 5, bed 100 x 80 x 10: at 45 mm off its chord is 2 sqrt(57.5^2 - 45^2) = 71.6 mm, not 115."""
    square = bed_checks(with_bed(tube(100, 80, 10), MAST))[EDGE]
    ring = bed_checks(with_bed(tube(100, 80, 10), RoundTube(diameter_m=0.12, wall_m=0.005)))[EDGE]
    chord_m = 2.0 * math.sqrt(0.0575**2 - 0.045**2)
    moment_Nm = (float(ring.demand) - float(square.demand)) * 2.0 / (1.0 / chord_m - 1.0 / 0.115)
    assert moment_Nm == pytest.approx(4371.0, rel=0.01)


# ---------------------------------------------------------------- loads, words, places


@pytest.mark.parametrize(
    ("job", "kind"),
    [
        (BOATYARD, BEHIND),
        (BOATYARD, AHEAD),
        (BOATYARD, EDGE),
        (BOATYARD, EDGE_FRONT),
        (with_bed(tube(160, 80, 16), tube(80, 80, 6)), FOLD),
        (with_bed(tube(160, 80, 16), tube(80, 80, 6)), FOLD_PRESSED),
        (with_bed(tube(80, 80, 10)), PLATES),
    ],
)
def test_the_allowed_load_of_the_bed_is_where_its_use_reaches_one(job: Job, kind: str) -> None:
    low, high = 0.0, 5000.0
    for _ in range(60):
        middle = (low + high) / 2.0
        loaded = REPLACE(job, load=REPLACE(job.load, mass_kg=REPLACE(job.load.mass_kg, best=middle)))
        low, high = (middle, high) if float(bed_checks(loaded)[kind].use) <= 1.0 else (low, middle)
    assert low > 1.0
    assert float(bed_checks(job)[kind].allowed_load_kg) == pytest.approx(low, rel=1e-6)


def test_a_bed_that_is_not_entered_has_no_checks_and_is_not_proven() -> None:
    job = with_bed(None)
    assert bed_checks(job) == {}
    verdict = evaluate(job, POSE)
    assert verdict.state == "NOT PROVEN"
    assert [problem.where for problem in verdict.not_entered] == ["rig.saddles.bed"]


@pytest.mark.parametrize(("system", "lever"), [("metric", "465 mm"), ("us", "1 ft 6.307 in")])
def test_the_bed_is_spoken_of_in_the_readers_units(system: System, lever: str) -> None:
    check = bed_checks(BOATYARD)[BEHIND]
    words = fill(check.words, check.numbers, system)
    assert f"on the saddle {lever} behind the jib mast" in words
    assert "{" not in words


def test_the_bed_is_marked_at_the_masts_faces() -> None:
    """Half the mast's 120 mm behind and ahead of its axis, and half the bed's 80 mm over its top."""
    checks = find_checks(BOATYARD, figures(BOATYARD, POSE))
    top = next(check.place_m for check in checks if check.name == "jib mast: bending at the top")
    behind, ahead = (bed_checks(BOATYARD)[kind].place_m for kind in (BEHIND, AHEAD))
    assert float(ahead.x - behind.x) == pytest.approx(0.12, rel=1e-3)
    assert float(behind.z + ahead.z - 2.0 * top.z) / 2.0 == pytest.approx(0.04, rel=1e-3)
