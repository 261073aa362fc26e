"""What holds the hook: a hoop pulled any way, a standing pin and a pin through, each alone and by hand."""

from __future__ import annotations

import math

import pytest
from rigs import REPLACE, checks, loads_met

from engine.rig.check import Check
from engine.rig.completeness import not_entered
from engine.rig.fits import misfits
from engine.rig.kinematics import figures, place
from engine.schema.connections import (
    DropInPin,
    HookBefore,
    Hoop,
    Pin,
    StayPoint,
    StayStop,
    ThroughPin,
    Weld,
    WeldedHoop,
)
from engine.schema.migration import BOTH_PIN_AND_HOOP, migrated
from engine.schema.model import Job, Policy
from engine.schema.sections import RectTube, RoundTube, properties
from engine.shop.cut_list import pieces
from engine.shop.pin_list import pin_list
from engine.shop.setting_out import hole_schedules
from engine.shop.weld_list import weld_list
from engine.strength import all_parts
from engine.strength.hook_joint import hoop_limits, on_open_end, standing_pin_limits
from engine.strength.hoop import u_frame
from engine.strength.wall_patch import PatchLimits, Wall
from engine.worst_case.verdict import evaluate
from tests.samples import by_hand

G = 9.80665
FOUR_FIGURES = 5e-4
LOWEST = Policy(unknown_yield_Pa=195e6)
"""The steel of the worked examples."""

GATE = by_hand("brightlea_glasshouses")
"""One arm on a boom; its arm is made a level one here, so that it can be raised."""

RAISED_RAD = 0.45


def hoop(leg_m: float, bar_m: float = 0.02, weld_m: float = 0.006) -> Hoop:
    return Hoop(bar_m=bar_m, bend_radius_m=0.04, leg_m=leg_m, weld=Weld(leg_m=weld_m, electrode="E70"))


def raised(end: object, rad: float = RAISED_RAD, **load: float) -> Job:
    """An arm of 100 x 100 x 8 raised by an angle, with a hook end of one's own and plain statics."""
    arm = GATE.rig.arms[0]
    section = RectTube(width_m=0.1, depth_m=0.1, wall_m=0.008, wall_known="caliper")
    hinge = REPLACE(arm.hinge, lug_edge_m=0.052)  # clear of the tube's rounded end
    arm = REPLACE(arm, axis="level", stay=StayStop(at=StayPoint(x_m=0.3, z_m=-0.05)), section=section, hinge=hinge)
    pose = REPLACE(GATE.poses[0], arms=(REPLACE(GATE.poses[0].arms[0], turn_rad=rad),))
    level = REPLACE(GATE.floors[0].fall_along, best=0.0, low=None, high=None)
    rig = REPLACE(GATE.rig, arms=(arm,), hook=REPLACE(GATE.rig.hook, end=end, gear=()))
    floor = REPLACE(GATE.floors[0], fall_along=level, fall_across=level)
    job = REPLACE(
        GATE, rig=rig, poses=(pose,), floors=(floor,), moves=(), trial_lifts=(), policy=Policy(dynamic_factor=1.0)
    )
    mass = REPLACE(job.load.mass_kg, best=load.get("load_kg", 270.0), low=None, high=None)
    return REPLACE(job, load=REPLACE(job.load, mass_kg=mass))


def told(job: Job, load_kg: float | None = None) -> dict[tuple[str, str], Check]:
    numbers = figures(job, job.poses[0])
    if load_kg is not None:
        numbers = REPLACE(numbers, load_kg=load_kg)
    return {(check.part, check.kind): check for check in all_parts.checks(job, place(job, numbers))}


def across(leg_m: float, bar_m: float = 0.02, weld_m: float = 0.006) -> WeldedHoop:
    return WeldedHoop(hoop=hoop(leg_m, bar_m, weld_m), edge_m=0.1, plane="across")


def test_a_hoop_pulled_square_to_its_plane_by_a_raised_arm_is_over_at_its_feet_and_welds() -> None:
    """287 kg on an arm raised by 0.45 rad pull 1,224 N along it: 0.29 m under the arm that is far too much."""
    job = raised(across(0.25))
    hung = (job.load.mass_kg.best + job.load.rigging_kg.best + job.rig.hook.mass_kg.best) * G
    legs, out = hung * math.cos(RAISED_RAD), hung * math.sin(RAISED_RAD)
    area, elastic = math.pi * 0.02**2 / 4.0, math.pi * 0.02**3 / 32.0
    foot = u_frame(0.25 / 0.04).foot * 0.04
    bending = legs * (0.5 / area + foot / elastic) + out * 0.145 / elastic
    twist = out * 0.02 / (2.0 * elastic)
    checks = told(job)
    feet = checks["hook hoop", "combined stress at the feet"]
    assert float(feet.demand) == pytest.approx(math.hypot(bending, math.sqrt(3.0) * twist))
    assert float(feet.allowed) == pytest.approx(175e6 / 3.0)
    assert float(feet.use) > 3.0
    around, modulus, throat = math.pi * 0.02, math.pi * 0.02**2 / 4.0, 0.006 / math.sqrt(2.0)
    straight = legs * (0.5 / around + foot / modulus) + out * 0.145 / modulus
    thrust = u_frame(0.25 / 0.04).thrust * legs / around
    aside = out * (0.5 / around + 0.02 / (2.0 * modulus))
    weld = checks["hook hoop", "foot weld"]
    assert float(weld.demand) == pytest.approx(math.hypot(straight, thrust, aside) / throat)
    assert float(weld.use) > 1.5
    assert evaluate(job, job.poses[0]).state == "OVER"


def test_short_legs_of_thicker_bar_carry_that_pull() -> None:
    checks = told(raised(across(0.02, 0.025, 0.008)))
    uses = {kind: float(check.use) for (part, kind), check in checks.items() if part == "hook hoop"}
    assert max(uses.values()) < 1.0, uses


@pytest.mark.parametrize("plane", ["along", "across"])
def test_allowed_loads_of_a_hoop_are_found_again_by_bisection(plane: str) -> None:
    job = raised(REPLACE(across(0.05), plane=plane))
    numbers = figures(job, job.poses[0])
    asked = 0
    for check, there in zip(checks(job, numbers), loads_met(job, numbers, 1e5, 80), strict=True):
        if check.part == "hook hoop":
            assert there == pytest.approx(float(check.allowed_load_kg), rel=1e-6), check.kind
            asked += 1
    assert asked


def test_the_wall_under_a_hoops_feet() -> None:
    """20 mm feet 80 apart on B 75, t 6.4: 14,370 N, along 243.6 and across 237.6 N·m; both as one patch 22,120 N."""
    tube = RectTube(width_m=0.075, depth_m=0.08, wall_m=0.0064, wall_known="caliper")
    limits = hoop_limits(WeldedHoop(hoop=hoop(0.25), edge_m=0.2, plane="along"), tube, "unknown", LOWEST)
    assert limits.foot is not None and limits.both is not None
    assert limits.foot.pull_N == pytest.approx(14_370.0, rel=FOUR_FIGURES)
    assert limits.foot.along_Nm == pytest.approx(243.6, rel=FOUR_FIGURES)
    assert limits.foot.across_Nm == pytest.approx(237.6, rel=FOUR_FIGURES)
    assert limits.both.pull_N == pytest.approx(22_120.0, rel=FOUR_FIGURES)
    wide = RectTube(width_m=0.09, depth_m=0.09, wall_m=0.006, wall_known="caliper")
    limits = hoop_limits(WeldedHoop(hoop=hoop(0.25), edge_m=0.2, plane="along"), wide, "unknown", LOWEST)
    assert limits.foot is not None
    assert (limits.foot.pull_N, limits.foot.along_Nm) == pytest.approx((11_950.0, 224.8), rel=FOUR_FIGURES)


def test_feet_further_apart_than_the_wall_is_wide_are_no_patch_together() -> None:
    tube = RectTube(width_m=0.05, depth_m=0.08, wall_m=0.005)
    limits = hoop_limits(WeldedHoop(hoop=hoop(0.1), edge_m=0.2, plane="along"), tube, "unknown", LOWEST)
    assert limits.foot is not None and limits.both is None


def test_a_thin_wall_under_the_hoop_is_over_and_a_thick_one_is_not() -> None:
    """The same hoop and pull on 3 mm of wall and on 8."""
    job = raised(REPLACE(across(0.02, 0.025, 0.008), plane="along"), 0.1, load_kg=400.0)
    thin = REPLACE(job.rig.arms[0], section=REPLACE(job.rig.arms[0].section, wall_m=0.003))
    bad = REPLACE(job, rig=REPLACE(job.rig, arms=(thin,)))
    kinds = ("wall under one foot", "wall under one foot, pressed")
    assert max(float(told(bad)["hook hoop", kind].use) for kind in kinds) > 1.0
    assert max(float(told(job)["hook hoop", kind].use) for kind in kinds) < 1.0


def test_a_wall_by_hand_under_one_foot() -> None:
    """Pull at the worse foot, and both moments, each over what the wall allows."""
    job = raised(REPLACE(across(0.05), plane="along"))
    on = job.rig.arms[0].section
    limits = hoop_limits(job.rig.hook.end, on, "unknown", job.policy)
    hung = (job.load.mass_kg.best + job.load.rigging_kg.best + job.rig.hook.mass_kg.best) * G
    legs, along = hung * math.cos(RAISED_RAD), hung * math.sin(RAISED_RAD)
    foot = u_frame(0.05 / 0.04).foot * 0.04
    pull, moment = legs / 2.0 + along * 0.09 / 0.08, legs * foot + along * 0.045
    assert limits.foot is not None and limits.both is not None
    use = pull / limits.foot.push_N + moment / limits.foot.along_Nm
    check = told(job)["hook hoop", "wall under one foot"]
    assert float(check.use) == pytest.approx(use)
    both = legs / limits.both.push_N + along * 0.09 / limits.both.along_Nm
    assert float(told(job)["hook hoop", "wall under both feet as one patch"].use) == pytest.approx(both)
    # The arm's own bending there, with the wall's yield: 0.4 * 3 * stress/yield / beta on top.
    section = properties(on)
    stress = (legs * 0.04 + along * 0.1) / section.elastic_up_m3 + along / section.area_m2
    pressed = told(job)["hook hoop", "wall under one foot, pressed"]
    assert float(pressed.allowed) == 1.3
    assert use < float(pressed.demand) <= use + 0.4 * 3.0 * stress / 195e6 / 0.2


def test_a_patch_near_the_open_end_is_allowed_half() -> None:
    limits, wall = PatchLimits(10.0, 8.0, 6.0, 4.0, 0.36), Wall(0.1, 0.1, 0.005, 195e6)
    assert on_open_end(limits, wall, 0.0801) == limits
    assert on_open_end(limits, wall, 0.0799) == (5.0, 4.0, 3.0, 2.0, 0.36)


# ---------------------------------------------------------------- standing pin


def standing(**changes: object) -> DropInPin:
    first = DropInPin(
        diameter_m=0.025, head_m=0.05, hole_m=0.026, drop_m=0.12, edge_m=0.2, retention="nut_split", steel="unknown"
    )
    return REPLACE(first, **changes)


def test_a_standing_pins_head_and_shank() -> None:
    """Head of 50 on B 100, t 6.3, hole 26: 9,482 N."""
    tube = RectTube(width_m=0.1, depth_m=0.1, wall_m=0.0063, wall_known="caliper")
    limits = standing_pin_limits(standing(), tube, "unknown", LOWEST)
    assert limits.head_N == pytest.approx(9_482.0, rel=FOUR_FIGURES)


def test_a_side_pull_on_a_standing_pin_bends_it_and_bears_on_both_walls() -> None:
    """A raised arm pulls along itself: F_s (120 + 100)/100 on the lower wall, F_s 0.12 in the pin."""
    job = raised(standing())
    hung = (job.load.mass_kg.best + job.load.rigging_kg.best + job.rig.hook.mass_kg.best) * G
    down, along = hung * math.cos(RAISED_RAD), hung * math.sin(RAISED_RAD)
    checks = told(job)
    part = "hook's standing pin"
    elastic = math.pi * 0.025**3 / 32.0
    shank = checks[part, "pull and bending at the lower wall"]
    assert float(shank.demand) == pytest.approx(along * 0.12 / elastic + down * 4.0 / (math.pi * 0.025**2))
    assert 300.0 * 0.12 / elastic / 1e6 == pytest.approx(23.47, rel=FOUR_FIGURES)
    assert float(checks[part, "bearing on the lower wall"].demand) == pytest.approx(2.2 * along)
    assert float(checks[part, "shear between the walls"].demand) == pytest.approx(1.2 * along)
    assert float(checks[part, "head on the top wall"].demand) == pytest.approx(down)
    assert float(shank.use) > 1.0
    short = told(raised(standing(diameter_m=0.04, hole_m=0.041, head_m=0.07, drop_m=0.04)))
    assert max(float(check.use) for (name, _), check in short.items() if name == part) < 1.0


def test_the_hole_of_a_standing_pin_leaves_a_net_section() -> None:
    job = raised(standing(), rad=0.0)
    kinds = [kind for part, kind in told(job) if part == job.rig.arms[0].name]
    assert "net section at the hook's standing pin" in kinds and "net section at the hook pin" not in kinds


# ---------------------------------------------------------------- no phantom parts

PIN = ThroughPin(pin=Pin(diameter_m=0.02, hole_m=0.0205, retention="nut_split"), edge_m=0.05)
ALONG = REPLACE(across(0.04), plane="along")


@pytest.mark.parametrize(
    ("end", "there", "welded"),
    [
        (PIN, "hook pin", False),
        (ALONG, "hook hoop", True),
        (standing(), "hook's standing pin", False),
        (None, None, False),
    ],
    ids=["pin", "hoop", "standing pin", "nothing"],
)
def test_only_what_is_there_is_checked_cut_drilled_and_welded(end: object, there: str | None, welded: bool) -> None:
    job = raised(end)
    names = {"hook pin", "hook hoop", "hook's standing pin"}
    wanted = set() if there is None else {there}
    assert {part for part, _ in told(job) if part in names} == wanted
    assert {piece.part for piece in pieces(job)} & names == wanted
    assert {row.name for row in pin_list(job.rig)} & names == wanted - {"hook hoop"}
    holes = [hole.name for schedule in hole_schedules(job.rig) for hole in schedule.holes if "hook" in hole.name]
    assert len(holes) == (0 if there in (None, "hook hoop") else 1)
    assert any("hoop" in weld.name for weld in weld_list(job)) == welded


def test_every_link_with_a_place_for_the_hook_gets_a_hoop_of_its_own() -> None:
    """The boom has one behind the hinge of arm 1 only where that place is entered."""
    job = raised(ALONG)
    for behind_m, count, words in ((None, 1, ""), (0.3, 2, "one each on boom and arm 1")):
        hook = REPLACE(job.rig.hook, behind_hinge_m=behind_m)
        hung = REPLACE(job, rig=REPLACE(job.rig, hook=hook))
        (piece,) = [piece for piece in pieces(hung) if piece.part == "hook hoop"]
        assert piece.count == count and words in piece.note
        (weld,) = [weld for weld in weld_list(hung) if "hoop" in weld.name]
        assert weld.lines == 2 * count


def test_a_standing_pin_is_cut_through_the_tube_and_down_to_its_hook() -> None:
    """100 deep, 120 below, and as much as its diameter through the head."""
    (pin,) = [piece for piece in pieces(raised(standing())) if piece.part == "hook's standing pin"]
    assert pin.length_m == pytest.approx(0.1 + 0.12 + 0.025)
    (head,) = [piece for piece in pieces(raised(standing())) if piece.part == "head of the hook's standing pin"]
    assert head.section.diameter_m == 0.05


# ---------------------------------------------------------------- not entered, refused, migrated


@pytest.mark.parametrize(
    ("end", "where"),
    [
        (None, "rig.hook.end"),
        (REPLACE(ALONG, plane=None), "rig.hook.end.plane"),
        (REPLACE(ALONG, place="end"), "rig.hook.end.place"),
        (standing(retention=None), "rig.hook.end.retention"),
        (standing(retention="none"), "rig.hook.end.retention"),
    ],
)
def test_a_hook_end_not_fully_entered_is_not_proven(end: object, where: str) -> None:
    job = raised(end, rad=0.0, load_kg=20.0)
    verdict = evaluate(job, job.poses[0])
    assert where in [problem.where for problem in verdict.not_entered]
    for whole in (PIN, ALONG, standing()):
        assert not [p for p in not_entered(raised(whole), job.poses[0]) if p.where.startswith("rig.hook.end")]


def test_a_round_link_under_a_hoop_or_a_head_is_not_entered() -> None:
    for end in (ALONG, standing()):
        job = raised(end)
        arm = REPLACE(job.rig.arms[0], section=RoundTube(diameter_m=0.1, wall_m=0.008))
        job = REPLACE(job, rig=REPLACE(job.rig, arms=(arm,)))
        assert "rig.hook.end" in [problem.where for problem in not_entered(job, job.poses[0])]
        told(job)


@pytest.mark.parametrize(
    ("end", "where", "words"),
    [
        (REPLACE(ALONG, edge_m=0.049), "rig.hook.end.edge_m", "stands on nothing"),
        (
            REPLACE(across(0.04), hoop=REPLACE(hoop(0.04), bend_radius_m=0.041)),
            "rig.hook.end.hoop.bend_radius_m",
            "wider",
        ),
        (standing(head_m=0.026), "rig.hook.end.head_m", "falls through"),
        (standing(diameter_m=0.0838, hole_m=0.084, head_m=0.09), "rig.hook.end.hole_m", "leaves nothing"),
        (standing(edge_m=0.038), "rig.hook.end.edge_m", "1.5 diameters"),
    ],
)
def test_what_cannot_be_built_is_refused(end: object, where: str, words: str) -> None:
    job = raised(end)
    assert [problem for problem in misfits(job.rig) if problem.where == where and words in problem.words]
    assert evaluate(job, job.poses[0]).state == "REFUSED"


def test_feet_that_just_stand_on_their_tube_are_not_refused() -> None:
    for end in (REPLACE(ALONG, edge_m=0.05), across(0.04)):
        assert not [problem for problem in misfits(raised(end).rig) if problem.where.startswith("rig.hook")]


OLD_PIN = {"pin": {"diameter_m": 0.02, "hole_m": 0.0205}, "edge_m": 0.05, "gap_m": 0.01}
OLD_HOOP = {"bar_m": 0.02, "bend_radius_m": 0.04, "leg_m": 0.04, "weld": {"leg_m": 0.006}}


def test_a_hook_of_version_1_with_a_pin_alone_hangs_on_that_pin() -> None:
    job, notes = migrated({"format_version": 1, "rig": {"hook": {"drop_m": 0.1, "hoop": None, **OLD_PIN}}})
    assert job["rig"]["hook"] == {"drop_m": 0.1, "gear": [], "end": {"kind": "through_pin", **OLD_PIN}}
    assert BOTH_PIN_AND_HOOP not in notes


def test_a_hook_of_version_1_with_pin_and_hoop_is_asked_about_and_both_are_kept() -> None:
    job, notes = migrated({"format_version": 1, "rig": {"hook": {"drop_m": 0.1, "hoop": OLD_HOOP, **OLD_PIN}}})
    assert job["rig"]["hook"] == {"drop_m": 0.1, "gear": [], "end": None, "version1": {"hoop": OLD_HOOP, **OLD_PIN}}
    assert BOTH_PIN_AND_HOOP in notes


def test_pin_and_hoop_of_version_1_are_both_checked_until_the_end_is_entered() -> None:
    job = raised(None)
    before = HookBefore(pin=PIN.pin, edge_m=0.05, gap_m=0.01, hoop=hoop(0.04))
    kept = REPLACE(job, rig=REPLACE(job.rig, hook=REPLACE(job.rig.hook, version1=before)))
    parts = [part for part, _ in told(kept)]
    assert (parts.count("hook pin"), parts.count("hook hoop")) == (4, 3)
    (asked,) = [problem for problem in not_entered(kept, kept.poses[0]) if problem.where == "rig.hook.end"]
    assert "does it hang on the pin?" in str(asked.numbers["measure"])
    entered = REPLACE(kept, rig=REPLACE(kept.rig, hook=REPLACE(kept.rig.hook, end=PIN)))
    assert "hook hoop" not in [part for part, _ in told(entered)]
