"""What cannot be built is refused in a sentence; what nobody has proved stands beside the verdict."""

from __future__ import annotations

import json

import msgspec
import pytest
from rigs import BOATYARD, JOBS, REPLACE, SAMPLES, STONE_YARD

from engine.base.formatting import fill
from engine.cli.command_line import main
from engine.rig.check import Problem
from engine.rig.completeness import not_entered
from engine.rig.feasibility import impossibilities
from engine.rig.fits import misfits
from engine.schema.connections import Gear, HeelChain, HeelPin, Pin, ThroughPin, TubeBed, Weld, WeldedHoop
from engine.schema.model import Job
from engine.schema.sections import RectTube
from engine.strength.cautions import cautions
from engine.worst_case.verdict import evaluate

BELL_HOOK = JOBS["dunmere_bell_hangers"].rig.hook


def with_boom(job: Job, **changes: object) -> Job:
    return REPLACE(job, rig=REPLACE(job.rig, boom=REPLACE(job.rig.boom, **changes)))


def with_saddles(job: Job, **changes: object) -> Job:
    return REPLACE(job, rig=REPLACE(job.rig, saddles=REPLACE(job.rig.saddles, **changes)))


def with_hook(job: Job, **changes: object) -> Job:
    return REPLACE(job, rig=REPLACE(job.rig, hook=REPLACE(job.rig.hook, **changes)))


def with_hinge(job: Job, **changes: object) -> Job:
    arm = job.rig.arms[0]
    bare = {"inner_end": None, "outer_end": None, "barrel_outer_m": 0.05}
    arms = (REPLACE(arm, hinge=REPLACE(arm.hinge, **{**bare, **changes})), *job.rig.arms[1:])
    return REPLACE(job, rig=REPLACE(job.rig, arms=arms))


def hooped(edge_m: float = 0.1, **changes: object) -> WeldedHoop:
    """The bell hangers' hoop, welded in line under the boom."""
    return REPLACE(BELL_HOOK.end, edge_m=edge_m, hoop=REPLACE(BELL_HOOK.end.hoop, **changes))


def told(job: Job, where: str) -> str:
    """What is told for a place, filled in; also that it refuses the verdict."""
    problems = [problem for problem in misfits(job.rig) if problem.where == where]
    assert problems, where
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "REFUSED" and verdict.allowed_load_kg is None
    return " ".join(fill(problem.words, problem.numbers, "metric") for problem in problems)


@pytest.mark.parametrize("name", list(JOBS))
def test_the_sample_rigs_fit_together(name: str) -> None:
    job = JOBS[name]
    for pose in job.poses:
        assert impossibilities(job, pose) == []


def test_a_hole_too_near_the_tail() -> None:
    assert "Pin hole 1 is only 30 mm from an edge" in told(
        with_boom(STONE_YARD, first_hole_m=0.03), "rig.boom.first_hole_m"
    )


def test_a_hole_too_near_the_end() -> None:
    job = with_boom(STONE_YARD, first_hole_m=0.88)
    assert "Pin hole 11 is only 20 mm" in told(job, "rig.boom.hole_count")


def test_a_hole_too_near_the_underside() -> None:
    assert "from an edge of the boom" in told(with_boom(STONE_YARD, hole_edge_m=0.02), "rig.boom.hole_edge_m")


def test_holes_too_near_each_other() -> None:
    job = with_boom(STONE_YARD, hole_pitch_m=0.05)
    assert "want 61.5 mm (3 diameters)" in told(job, "rig.boom.hole_pitch_m")


def test_a_hole_under_a_strap_is_only_a_caution() -> None:
    """Straps 0.45 m apart with holes every 0.15 m: three holes on, one stands under the rear strap."""
    job = with_saddles(BOATYARD, rear_x_m=-0.45)
    (caution,) = about(job, "rig.boom.hole_pitch_m")
    assert "stands under the {strap} strap" in caution.words and caution.numbers["strap"] == "rear"
    assert not [problem for problem in misfits(job.rig) if problem.where == "rig.boom.hole_pitch_m"]


def test_a_hole_beside_a_strap_is_no_fault() -> None:
    near = (BOATYARD.rig.saddles.strap_length_m + 0.0205) / 2.0
    for rear, flagged in ((-0.45 - near - 0.001, False), (-0.45 - near + 0.001, True)):
        job = with_saddles(BOATYARD, rear_x_m=rear)
        assert bool(about(job, "rig.boom.hole_pitch_m")) == flagged


def test_saddles_too_close_together() -> None:
    job = with_saddles(STONE_YARD, rear_x_m=-0.09, strap_length_m=0.08)
    assert "hold only 170 mm of the boom; at least 200 mm" in told(job, "rig.saddles.rear_x_m")


def test_a_hook_pin_too_near_the_end() -> None:
    pin = ThroughPin(pin=Pin(diameter_m=0.025, hole_m=0.0255), edge_m=0.03)
    assert "hook pin is only 30 mm from the tube's end" in told(with_hook(STONE_YARD, end=pin), "rig.hook.end.edge_m")
    pin = REPLACE(STONE_YARD.rig.hook.end, edge_m=0.03)
    assert "standing pin is only 30 mm from" in told(with_hook(STONE_YARD, end=pin), "rig.hook.end.edge_m")


def test_a_loose_pin_that_carries_the_load() -> None:
    pin = Pin(diameter_m=0.02, hole_m=0.022)
    assert "2 mm smaller than its hole" in told(
        with_hook(STONE_YARD, end=ThroughPin(pin=pin, edge_m=0.05)), "rig.hook.end.pin.hole_m"
    )
    assert "2 mm smaller than its hole" in told(
        with_hook(STONE_YARD, end=REPLACE(STONE_YARD.rig.hook.end, hole_m=0.032)), "rig.hook.end.hole_m"
    )
    assert "hinge pin of arm 1" in told(with_hinge(BOATYARD, pin=pin), "rig.arms[0].hinge.pin.hole_m")


def test_a_barrel_without_a_wall() -> None:
    assert "no wall is left" in told(with_hinge(BOATYARD, barrel_outer_m=0.0255), "rig.arms[0].hinge.barrel_outer_m")


def test_a_lug_that_ends_inside_its_hole() -> None:
    assert "inside the" in told(with_hinge(BOATYARD, lug_edge_m=0.012), "rig.arms[0].hinge.lug_edge_m")


def test_barrels_that_run_into_each_other() -> None:
    assert "run into each other" in told(with_hinge(BOATYARD, spacing_m=0.04), "rig.arms[0].hinge.spacing_m")


def test_a_hoop_bent_too_tight() -> None:
    job = with_hook(STONE_YARD, end=hooped(bend_radius_m=0.015))
    assert "cannot be bent" in told(job, "rig.hook.end.hoop.bend_radius_m")


def test_a_wall_thicker_than_the_tube_allows() -> None:
    with pytest.raises(ValueError, match="thicker than the tube allows"):
        RectTube(width_m=0.1, depth_m=0.1, wall_m=0.025)


# ---------------------------------------------------------------- cautions


def cautions_of(job: Job) -> dict[str, Problem]:
    return {caution.where: caution for caution in cautions(job, job.poses[0])}


def words_of(job: Job) -> str:
    return " ".join(fill(problem.words, problem.numbers, "metric") for problem in cautions(job, job.poses[0]))


def test_assumed_steel_is_named_with_what_would_settle_it() -> None:
    words = words_of(BOATYARD)
    assert "assumed, 195 MPa for tube and 185 MPa for plate" in words and "boom" in words and "Mill papers" in words


def test_more_than_the_weakest_tube_sold_asks_for_the_evidence() -> None:
    for taken_Pa, flagged in ((195e6, 0), (196e6, 1)):
        job = REPLACE(BOATYARD, policy=REPLACE(BOATYARD.policy, unknown_yield_Pa=taken_Pa))
        high = [caution for caution in cautions(job, job.poses[0]) if caution.where == "policy.unknown_yield_Pa"]
        assert len(high) == flagged
        assert all(caution.numbers == {"yield": taken_Pa, "lowest": 195e6} for caution in high)
    grades = json.dumps(msgspec.to_builtins(job)).replace('"steel": "unknown"', '"steel": "S235"')
    assert "evidence" not in words_of(msgspec.convert(json.loads(grades), Job))


def test_a_named_grade_is_not_flagged() -> None:
    raw = json.dumps(msgspec.to_builtins(STONE_YARD)).replace('"steel": "unknown"', '"steel": "A500 B"')
    job = msgspec.convert(json.loads(raw), Job)
    assert "unknown grade" not in words_of(job)


def test_a_grade_nobody_knows_counts_as_unknown() -> None:
    job = with_boom(STONE_YARD, steel="good stuff")
    assert "boom" in words_of(job)
    check = next(check for check in evaluate(job, job.poses[0]).checks if check.kind == "bending at the front saddle")
    assert check.numbers["yield"] == 195e6


def test_an_unknown_electrode_is_flagged() -> None:
    job = with_saddles(STONE_YARD, strap_weld=Weld(leg_m=0.005))
    assert "reckoned as E60" in words_of(job)


def test_a_cold_and_a_burnt_weld_are_flagged() -> None:
    mast = STONE_YARD.rig.jib_mast
    for leg, part in ((0.002, "the least is 3 mm"), (0.009, "count only as 6 mm")):
        rig = REPLACE(STONE_YARD.rig, jib_mast=REPLACE(mast, foot_weld=Weld(leg_m=leg, electrode="E70")))
        assert part in words_of(REPLACE(STONE_YARD, rig=rig))


def test_play_is_flagged_before_it_is_refused() -> None:
    job = with_hook(STONE_YARD, end=ThroughPin(pin=Pin(diameter_m=0.025, hole_m=0.0262), edge_m=0.05))
    assert "1.2 mm of play" in words_of(job)
    assert evaluate(job, job.poses[0]).state != "REFUSED"


def test_a_missing_fork_stamp_is_flagged() -> None:
    assert "half of what the truck's plate allows" in words_of(STONE_YARD)


def test_an_unpinned_boom_is_flagged() -> None:
    pose = REPLACE(STONE_YARD.poses[0], hole=None, free_out_m=0.8)
    assert "not pinned" in cautions(STONE_YARD, pose)[0].words
    assert all("not pinned" not in caution.words for caution in cautions(STONE_YARD, STONE_YARD.poses[0]))


def test_a_narrow_bed_is_flagged() -> None:
    bed = RectTube(width_m=0.06, depth_m=0.08, wall_m=0.005)
    assert "presses on the middle" in words_of(with_saddles(STONE_YARD, bed=TubeBed(section=bed)))


def left_out(job: Job) -> list[str]:
    return [problem.where for problem in not_entered(job, job.poses[0])]


def about(job: Job, where: str) -> list[Problem]:
    return [caution for caution in cautions(job, job.poses[0]) if caution.where == where]


def with_weld(job: Job, part: str, leg_m: float) -> tuple[Job, str]:
    """The job with one weld's leg changed, and the entry of it."""
    rig, weld = job.rig, Weld(leg_m=leg_m, electrode="E70")
    changed = {
        "foot": (REPLACE(rig, jib_mast=REPLACE(rig.jib_mast, foot_weld=weld)), "rig.jib_mast.foot_weld.leg_m"),
        "strap": (REPLACE(rig, saddles=REPLACE(rig.saddles, strap_weld=weld)), "rig.saddles.strap_weld.leg_m"),
        "hinge": (
            with_hinge(job, weld=weld).rig,
            "rig.arms[0].hinge.weld.leg_m",
        ),
        "hoop": (
            REPLACE(rig, hook=REPLACE(rig.hook, end=hooped(weld=weld))),
            "rig.hook.end.hoop.weld.leg_m",
        ),
    }[part]
    return REPLACE(job, rig=changed[0]), changed[1]


@pytest.mark.parametrize(
    ("part", "thinner_m", "least_m"),
    [
        # Boatyard: mast of 6.3 mm on a cross-member of 8; straps of 22 on a bed of 10; lugs of 25 on barrels of 50 over
        # 25.5 mm; a hoop of 20 mm bar on arm 2's wall of 6.4.
        ("foot", 0.0063, 0.005),
        ("strap", 0.010, 0.005),
        ("hinge", 0.01225, 0.005),
        ("hoop", 0.0064, 0.005),
    ],
)
def test_legs_are_held_against_the_thinner_part_they_join(part: str, thinner_m: float, least_m: float) -> None:
    """Least leg by Table J2.4 in metric (from memory): 3 mm on up to 6, 5 mm on up to 13."""
    for leg_m, told in (
        (least_m - 0.0001, "cold"),
        (least_m, None),
        (thinner_m, None),
        (thinner_m + 0.0001, "count only as"),
    ):
        job, where = with_weld(BOATYARD, part, leg_m)
        raised = about(job, where)
        assert [told in caution.words for caution in raised] == ([] if told is None else [True]), leg_m
        for caution in raised:
            assert caution.numbers["thick"] == pytest.approx(thinner_m)
            assert (caution.numbers["leg"], caution.numbers["least"]) == (leg_m, least_m)


@pytest.mark.parametrize(("inches", "cold"), [(3 / 16, False), (0.18, True), (1 / 8, True)])
def test_a_leg_of_the_tables_own_inch_size_is_not_cold(inches: float, cold: bool) -> None:
    """Table J2.4 has 3/16 in (4.76 mm) where its metric column has 5 mm, on steel over 1/4 in (from memory)."""
    job, where = with_weld(BOATYARD, "strap", inches * 0.0254)
    assert any("cold" in caution.words for caution in about(job, where)) == cold


def test_a_foot_weld_joins_the_thinner_of_mast_and_cross_member_and_a_hinge_weld_of_lug_and_barrel() -> None:
    sleeves = BOATYARD.rig.sleeves
    thin = REPLACE(sleeves, cross_section=REPLACE(sleeves.cross_section, wall_m=0.004))
    job = REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, sleeves=thin))
    (caution,) = about(job, "rig.jib_mast.foot_weld.leg_m")
    assert caution.numbers["thick"] == pytest.approx(0.93 * 0.004)  # new steel: AISC 360 B4.2 design wall
    (caution,) = about(with_hinge(BOATYARD, lug_thickness_m=0.007), "rig.arms[0].hinge.weld.leg_m")
    assert caution.numbers["thick"] == 0.007
    job = with_saddles(BOATYARD, bed=None, strap_thickness_m=0.006)
    (caution,) = about(job, "rig.saddles.strap_weld.leg_m")
    assert caution.numbers["thick"] == 0.006


def test_a_hoop_is_welded_to_the_last_link_that_is_drawn() -> None:
    """Stone yard without arms: the boom's wall of 6 mm, and the bar itself where it is thinner."""
    weld = Weld(leg_m=0.0065, electrode="E70")
    for bar_m, thick_m in ((0.02, 0.006), (0.004, 0.004)):
        job = with_hook(STONE_YARD, end=hooped(weld=weld, bar_m=bar_m))
        (caution,) = about(job, "rig.hook.end.hoop.weld.leg_m")
        assert caution.numbers["thick"] == thick_m


@pytest.mark.parametrize(
    ("where", "name"),
    [
        ("rig.boom.pin", "boom pin"),
        ("rig.hook.end.pin", "hook pin"),
        ("rig.sleeves.heel_hold.pin", "heel pins"),
        ("rig.arms[0].hinge.pin", "hinge pin of arm 1"),
    ],
)
def test_every_pin_is_flagged_from_a_thirty_second_of_an_inch_of_play(where: str, name: str) -> None:
    """AISC 360 D5.2: 1/32 in is 0.79 mm."""

    def with_play(play_m: float) -> Job:
        pin, rig, arm = Pin(diameter_m=0.02, hole_m=0.02 + play_m), BOATYARD.rig, BOATYARD.rig.arms[0]
        changed = {
            "boom pin": REPLACE(rig, boom=REPLACE(rig.boom, pin=pin)),
            "hook pin": REPLACE(rig, hook=REPLACE(rig.hook, end=REPLACE(rig.hook.end, pin=pin))),
            "heel pins": REPLACE(rig, sleeves=REPLACE(rig.sleeves, heel_hold=HeelPin(pin=pin))),
            "hinge pin of arm 1": REPLACE(rig, arms=(REPLACE(arm, hinge=REPLACE(arm.hinge, pin=pin)), *rig.arms[1:])),
        }[name]
        return REPLACE(BOATYARD, rig=changed)

    assert about(with_play(0.00079), f"{where}.hole_m") == []
    (caution,) = about(with_play(0.0009), f"{where}.hole_m")
    assert caution.numbers == {"name": name, "play": pytest.approx(0.0009), "most": 0.0254 / 32.0}


def test_every_assumed_steel_and_unknown_electrode_is_named_with_its_entry() -> None:
    rough = with_saddles(with_boom(BOATYARD, steel="unknown"), steel="unknown")
    rough = REPLACE(rough, rig=REPLACE(rough.rig, jib_mast=REPLACE(rough.rig.jib_mast, steel="unknown")))
    (steel,) = [caution for caution in cautions(rough, rough.poses[0]) if "yield" in caution.numbers]
    parts = ["jib mast", "straps and saddle bed", "boom", "boom pin"]
    assert (steel.numbers["yield"], steel.numbers["bar"]) == (195e6, 185e6)
    assert [arm.hinge.steel for arm in BOATYARD.rig.arms] == ["S355", "unknown"]
    parts += ["arm 1", "hinge pin of arm 1", "arm 2", "hinge of arm 2", "hinge pin of arm 2"]
    assert steel.numbers["parts"] == ", ".join([*parts, "hook pin"])
    assert "rig.arms[1].hinge.pin.steel" in steel.where.split(", ")
    assert len(steel.where.split(", ")) == 10
    named = with_boom(rough, steel="S355")
    (steel,) = [caution for caution in cautions(named, named.poses[0]) if "yield" in caution.numbers]
    assert "boom" not in steel.numbers["parts"].split(", ") and "rig.boom.steel" not in steel.where.split(", ")
    job = with_saddles(with_hinge(BOATYARD, weld=Weld(leg_m=0.008)), strap_weld=Weld(leg_m=0.008))
    (electrode,) = [caution for caution in cautions(job, job.poses[0]) if "lowest" in caution.numbers]
    assert electrode.where == "rig.saddles.strap_weld.electrode, rig.arms[0].hinge.weld.electrode"
    assert electrode.numbers == {"lowest": "E60", "parts": "strap welds, hinge welds of arm 1"}


def test_the_hooks_mark_and_either_retention_of_the_heels_will_do() -> None:
    sleeves = STONE_YARD.rig.sleeves
    for rated_kg, flagged in ((500.0, 0), (None, 1)):
        gear = (Gear(kind="hook", name="hook", wll_kg=rated_kg),)
        assert left_out(with_hook(STONE_YARD, gear=gear)) == ["rig.hook.gear[0].wll_kg"] * flagged
    for hold, flagged in ((sleeves.heel_hold, 0), (HeelChain(wll_kg=800.0, angle_rad=0.0), 0), (None, 1)):
        held = REPLACE(sleeves, heel_hold=hold)
        job = REPLACE(STONE_YARD, rig=REPLACE(STONE_YARD.rig, sleeves=held))
        assert left_out(job) == ["rig.sleeves.heel_hold"] * flagged
    assert len(about(STONE_YARD, "truck.forks.rating_each_kg")) == 1
    forks = REPLACE(STONE_YARD.truck.forks, rating_each_kg=1500.0)
    stamped = REPLACE(STONE_YARD, truck=REPLACE(STONE_YARD.truck, forks=forks))
    assert about(stamped, "truck.forks.rating_each_kg") == []


@pytest.mark.parametrize(("width_mm", "flagged"), [(75.9, 1), (76.1, 0)])
def test_a_bed_narrower_than_the_booms_flat_is_flagged(width_mm: float, flagged: int) -> None:
    """Boom 100 mm wide and 150 deep with walls of 6: corners of 12 mm leave a flat of 76."""
    deep = with_boom(STONE_YARD, section=RectTube(width_m=0.1, depth_m=0.15, wall_m=0.006))
    bed = RectTube(width_m=width_mm / 1000.0, depth_m=0.08, wall_m=0.005)
    told_of = about(with_saddles(deep, bed=TubeBed(section=bed)), "rig.saddles.bed")
    assert [caution.numbers for caution in told_of] == [{"bed": width_mm / 1000.0, "boom": 0.1}] * flagged
    assert about(with_saddles(STONE_YARD, bed=None), "rig.saddles.bed") == []


def test_cautions_stand_beside_every_verdict(capsys: pytest.CaptureFixture[str]) -> None:
    shipped = JOBS["cold_spring_vineyard"]
    verdict = evaluate(shipped, shipped.poses[0])
    told = cautions(shipped, shipped.poses[0])
    assert told and verdict.cautions[: len(told)] == told
    main(["check", str(SAMPLES / "cold_spring_vineyard.rig.json")])
    assert "yield is assumed" in capsys.readouterr().out
    main(["check", str(SAMPLES / "cold_spring_vineyard.rig.json"), "--json"])
    assert any("yield is assumed" in caution["words"] for caution in json.loads(capsys.readouterr().out)["cautions"])


# ---------------------------------------------------------------- python -m engine parts


def test_parts_prints_every_limit_worst_first_with_its_sum(capsys: pytest.CaptureFixture[str]) -> None:
    path = SAMPLES / "greywether_memorials.rig.json"
    assert main(["parts", str(path)]) == 1
    text = capsys.readouterr().out
    assert text.index("jib mast: foot weld") < text.index("boom: bending at the front saddle")
    # The hand sum of scenario 10 in tests/validation, with legs of 4 mm, and the saddles, cap and gaps entered since.
    assert "59 MPa / 56 MPa = 104 %" in text and "load at this limit: 369 kg" in text
    assert "AISC 360-22" in text


def test_parts_as_json_has_every_check_sorted(capsys: pytest.CaptureFixture[str]) -> None:
    path = SAMPLES / "halden_pipe_organs.rig.json"
    main(["parts", str(path), "--json"])
    printed = json.loads(capsys.readouterr().out)
    uses = [check["use"] for check in printed["checks"] if check["use"] is not None]
    assert uses == sorted(uses, reverse=True)
    assert printed["checks"][0]["part"] == "arm 1 hinge"
    assert len(printed["checks"]) == len(
        evaluate(JOBS["halden_pipe_organs"], JOBS["halden_pipe_organs"].poses[0]).checks
    )


def test_lugs_are_held_against_what_they_stand_on_not_against_a_sleeve() -> None:
    """Boatyard: hinge 2 has lugs of 25 on a plate of 25, its sleeve is not in that weld; hinge 1's stand on packing."""
    (plate,) = about(BOATYARD, "rig.arms[1].hinge.weld.leg_m")
    assert (plate.numbers["thick"], plate.numbers["least"]) == (0.025, 0.008)
    thick = [row.numbers["thick"] for row in about(BOATYARD, "rig.arms[0].hinge.inner_end.weld.leg_m")]
    assert thick == [0.025]
