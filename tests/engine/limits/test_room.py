"""Room is a limit: what is in the way makes a pose OVER, whatever else holds; one that may be leaves it NOT PROVEN."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import numpy as np
import pytest

from engine.base.formatting import fill
from engine.cli import verdict_report
from engine.explain.why import remedy_of, why
from engine.limits import room, room_rows
from engine.planning.remedy import remedies
from engine.planning.sweep import judge, limits_over
from engine.rig import solids
from engine.rig.check import Check
from engine.rig.kinematics import drawn, figures, fitted_arms
from engine.schema.model import Job, Pose, Surrounding, TruckSolid
from engine.schema.quantities import Estimate
from engine.worst_case.verdict import Verdict, evaluate
from tests.samples import read_once

REPLACE = msgspec.structs.replace
SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
BOATYARD = read_once(SAMPLES / "skerry_point_boatyard.rig.json")
LINTEL = read_once(SAMPLES / "tarn_hollow_stone_yard.rig.json")
POSE = BOATYARD.poses[0]


def box(name: str = "the ceiling", known: str = "measured", **places: float) -> Surrounding:
    """A slab over the whole place unless told otherwise."""
    whole = {"x0_m": -5.0, "x1_m": 8.0, "y0_m": -5.0, "y1_m": 5.0, "z0_m": 3.0, "z1_m": 3.5}
    return Surrounding(name=name, known=known, **(whole | places))  # type: ignore[arg-type]


def among(*boxes: Surrounding, job: Job = BOATYARD, **changes: object) -> Job:
    return REPLACE(job, surroundings=boxes, **changes)


def boom_top_m(job: Job = BOATYARD, pose: Pose = POSE) -> float:
    """Lift, sleeve's wall, jib mast, seat and boom; the upright is plumb and the floor's slope moves nothing."""
    rig = job.rig
    return (
        pose.lift_m + rig.sleeves.section.wall_m + rig.jib_mast.length_m + rig.saddles.seat_m + rig.boom.section.depth_m
    )


def gap_of(verdict: Verdict, part: str) -> float:
    (check,) = (check for check in verdict.room.checks if check.part == part and check.kind == room_rows.TO_OBJECTS)
    return float(check.allowed)


def test_a_boom_in_the_ceiling_is_over_and_nothing_may_hang() -> None:
    """The boom's top is at 2.35 m and the hinge's lugs 65 above its middle; the ceiling cuts 292 mm into the boom."""
    assert POSE.tilt_rad == 0.0
    job = among(box(z0_m=boom_top_m() - 0.292))
    verdict = evaluate(job, POSE)
    assert verdict.state == "OVER" and verdict.allowed_load_kg == 0.0
    assert verdict.governing is not None and verdict.governing.of == "room"
    # The highest of boom and hinge pieces: lugs of 25 on 40 of packing stand 65 over the boom.
    assert gap_of(verdict, "boom") == pytest.approx(-0.292 - 0.065, abs=1e-9)
    open_air = evaluate(BOATYARD, POSE)
    assert open_air.state == "WITHIN" and verdict.allowed_if_clear_kg == open_air.allowed_load_kg
    said = fill(verdict.room.short[0].words, verdict.room.short[0].numbers, "metric")
    assert "runs into the ceiling by 3" in said
    assert verdict.room.short[0].allowed_load_kg == 0.0
    assert all(math.isinf(check.allowed_load_kg) for check in open_air.room.checks)
    reason = why(job, POSE, verdict)
    assert "Something is in the way" in reason.cause.words
    assert reason.remedy is None, "worked out in the background"
    told = why(job, POSE, verdict, remedy_of(remedies(job, POSE)))
    assert told.remedy is not None and "In the open this pose would allow" in told.remedy.words
    data = verdict_report.as_dict(job, POSE, verdict)
    assert data["state"] == "OVER" and data["allowed_load_kg"] == 0.0
    assert {"boom", "jib mast", "upright"} <= {gap["part"] for gap in data["gaps"]}
    assert "Room:" in verdict_report.as_text(job, POSE, verdict, "metric")


@pytest.mark.parametrize(
    ("over_m", "known", "state"),
    [
        # 100 mm wanted; 30 mm off if taped, 100 if guessed, and what the pose may be off.
        (0.09, "measured", "OVER"),
        (0.11, "measured", "NOT PROVEN"),
        (0.30, "measured", "WITHIN"),
        (0.30, "guess", "NOT PROVEN"),
        (0.40, "guess", "WITHIN"),
    ],
)
def test_short_as_entered_is_over_and_short_at_worst_not_proven(over_m: float, known: str, state: str) -> None:
    """May be off: 15 mm of lift, 15 of reach, 15 of overhang, and 1 degree over 3.5 m: some 0.12 m in all."""
    verdict = evaluate(among(box(known=known, z0_m=boom_top_m() + 0.065 + over_m)), POSE)
    assert verdict.state == state
    if state == "WITHIN":
        assert verdict.allowed_if_clear_kg is None
    else:
        assert verdict.allowed_load_kg == 0.0


def test_a_box_of_another_place_is_not_in_the_way() -> None:
    floors = (*BOATYARD.floors, REPLACE(BOATYARD.floors[0], name="shed"))
    there = REPLACE(box(z0_m=1.0), floor="shed")
    job = among(there, floors=floors)
    assert evaluate(job, POSE).state == "WITHIN"
    assert evaluate(job, REPLACE(POSE, floor="shed")).state == "OVER"


def test_a_load_under_the_floor_is_over() -> None:
    job = REPLACE(BOATYARD, load=REPLACE(BOATYARD.load, sling_m=8.0, rigging=None))
    verdict = evaluate(job, POSE)
    assert verdict.state == "OVER"
    (short,) = verdict.room.short
    # Hook 2.2 m up by hand: 2.3 m of boom's middle less the hook's 0.1; 8 m of sling and 1.2 of load.
    bottom = boom_top_m() - 0.05 - 0.1 - 8.0 - 1.2
    assert float(short.allowed) == pytest.approx(bottom, abs=0.08)
    assert "below the floor" in fill(short.words, short.numbers, "metric")
    standing = REPLACE(POSE, at="set_down")
    assert evaluate(job, standing).state == "OVER", "no sling hangs so slack"
    slack = REPLACE(BOATYARD, load=REPLACE(BOATYARD.load, sling_m=0.4 + 0.6 + 0.3, rigging=None))
    assert evaluate(slack, POSE).state == "OVER" and evaluate(slack, standing).room.short == ()


def test_the_load_may_stand_on_what_it_is_set_on_and_nowhere_near_anything_else() -> None:
    bench = box("the bench", x0_m=2.5, x1_m=3.3, y0_m=-0.6, y1_m=0.8, z0_m=0.0, z1_m=0.55)
    verdict = evaluate(among(bench), POSE)
    assert verdict.state == "OVER" and verdict.room.short[0].part == BOATYARD.load.name
    sets = among(REPLACE(bench, sets_load=True))
    assert evaluate(sets, POSE).state == "OVER"
    assert evaluate(sets, REPLACE(POSE, at="set_down")).state == "WITHIN"


@pytest.mark.parametrize(("kV", "wanted_m"), [(0.4, 3.05), (50.0, 3.05), (60.0, 3.15), (132.0, 3.95)])
def test_a_power_line_wants_three_metres_and_more_with_its_voltage(kV: float, wanted_m: float) -> None:
    line = Surrounding(
        name="the line",
        kind="line",
        line_kV=kV,
        known="measured",
        x0_m=-5,
        x1_m=5,
        y0_m=8.0,
        y1_m=8.1,
        z0_m=6,
        z1_m=6.1,
    )
    assert room_rows.wanted_m(line, 0.1) == pytest.approx(wanted_m)
    checks = evaluate(among(line), POSE).room.checks
    (boom,) = (check for check in checks if check.part == "boom" and check.kind == room_rows.TO_OBJECTS)
    assert float(boom.demand) == pytest.approx(wanted_m)


def test_a_power_line_of_unknown_voltage_refuses_every_pose_there() -> None:
    line = Surrounding(name="the line", kind="line", x0_m=-5, x1_m=5, y0_m=20.0, y1_m=20.1, z0_m=6, z1_m=6.1)
    verdict = evaluate(among(line), POSE)
    assert verdict.state == "REFUSED" and verdict.problems[0].where == "surroundings[0].line_kV"


def test_sweeps_say_what_the_verdict_says() -> None:
    """Many poses at once under a sloped set of boxes: allowed nothing exactly where the single verdict is short."""
    boxes = (box(z0_m=2.9), box("the post", x0_m=2.4, x1_m=2.5, y0_m=-0.2, y1_m=0.2, z0_m=0.0, z1_m=3.0))
    job = among(*boxes)
    lifts = np.linspace(0.1, 1.6, 7)
    limits = limits_over(job, POSE, REPLACE(figures(job, POSE), lift_m=lifts))
    shorts = 0
    for at, lift_m in enumerate(lifts):
        verdict = evaluate(job, REPLACE(POSE, lift_m=float(lift_m)))
        short = bool(verdict.room.short_at_worst)
        shorts += short
        assert (limits.allowed_kg[at] == 0.0) == short
        if short:
            assert ": room to " in limits.names[limits.worst[at]]
        else:
            assert limits.allowed_kg[at] == pytest.approx(verdict.allowed_load_kg)
    assert shorts > 0
    assert (limits_over(job, POSE, REPLACE(figures(job, POSE), lift_m=lifts), "nothing").allowed_kg > 0.0).all()


def test_a_solid_moved_nearer_never_lowers_a_use() -> None:
    uses = []
    for z0_m in np.linspace(3.5, 2.0, 16):
        job = among(box(z0_m=float(z0_m), z1_m=4.0))
        uses.append([float(check.use) for check in evaluate(job, POSE).room.checks])
    assert (np.diff(np.array(uses), axis=0) >= -1e-9).all()


def test_no_remedy_runs_into_anything() -> None:
    """Over the transom with a low beam behind the hook: what is offered is clear of it."""
    job = among(box("the beam", x0_m=1.2, x1_m=1.4, z0_m=2.50, z1_m=2.7))
    over = REPLACE(job, load=REPLACE(job.load, mass_kg=REPLACE(job.load.mass_kg, best=260.0)))
    advice = remedies(over, POSE, every=True)
    assert advice.tried
    for trial in advice.tried:
        if trial.works and trial.kind != "forks":
            assert evaluate(trial.job, trial.pose).room.short_at_worst == ()
    assert judge(among(box(z0_m=2.0)), POSE).use > 1.0


def to_rig(verdict: Verdict, kind: str = room_rows.TO_BOTH) -> Check | None:
    """The load's short gap to rig and truck."""
    return next((check for check in verdict.room.short if check.kind == kind), None)


def hook_to_mast_m(verdict: Verdict) -> float:
    return float(verdict.hanging.tip_m.x - verdict.hanging.frames["jib mast"].origin.x) - 0.06


def test_a_free_lintel_turns_into_the_jib_mast_and_is_over() -> None:
    """1.8 x 0.3: it sweeps 0.912 m; the jib mast's face is 0.69 m from the hook."""
    free = REPLACE(LINTEL, load=REPLACE(LINTEL.load, hang="free"))
    verdict = evaluate(free, free.poses[0])
    check = to_rig(verdict)
    assert check is not None
    assert float(check.allowed) == pytest.approx(hook_to_mast_m(verdict) - math.hypot(0.9, 0.15), abs=0.02)
    assert verdict.state == "OVER" and verdict.allowed_load_kg == 0.0 and verdict.governing is check
    assert check.numbers["object"] == "the jib mast" and "free to turn" in str(check.numbers["the_part"])
    assert to_rig(evaluate(LINTEL, LINTEL.poses[0])) is None, "held across"


@pytest.mark.parametrize(("width_m", "state"), [(0.80, "WITHIN"), (1.10, "NOT PROVEN"), (1.25, "OVER"), (1.45, "OVER")])
def test_a_load_wants_100_mm_from_the_rig_as_it_turns(width_m: float, state: str) -> None:
    """Sweeps of 0.43, 0.57, 0.64 and 0.74 m round a hook 0.69 m from the jib mast's face."""
    free = REPLACE(LINTEL, load=REPLACE(LINTEL.load, hang="free", length_m=0.3, width_m=width_m))
    verdict = evaluate(free, free.poses[0])
    assert verdict.state == state
    check = next(check for check in verdict.room.checks if check.kind == room_rows.TO_BOTH)
    swept_m = math.hypot(width_m / 2.0, 0.15)
    assert float(check.allowed) == pytest.approx(hook_to_mast_m(verdict) - swept_m, abs=0.02)
    assert float(check.demand) == 0.10
    if state == "OVER":
        inside = hook_to_mast_m(verdict) < swept_m
        assert ("runs into" if inside else "comes within") in check.words


def test_an_empty_hook_has_no_load_to_turn_into_the_rig() -> None:
    free = REPLACE(LINTEL, load=REPLACE(LINTEL.load, hang="free"))
    empty = REPLACE(free.poses[0], loaded=False)
    assert not [check for check in evaluate(free, empty).room.checks if check.kind == room_rows.TO_BOTH]


# ---------------------------------------------------------------- the truck


def test_a_boom_with_its_tail_in_the_drivers_space_is_over() -> None:
    """A 3.0 m boom 0.6 m out, its axis 1.75 m up: the driver's space goes up to 2.05, so 350 mm are in it."""
    job = boom_of(length_m=3.0, axis_m=1.75)
    verdict = evaluate(job, REPLACE(POSE, hole=None, free_out_m=0.6, tilt_rad=0.0))
    tail = float(verdict.placed.frames["boom"].at(0.6 - 3.0).x)
    assert tail == pytest.approx(-1.58, abs=1e-9)
    check = next(check for check in verdict.room.checks if check.name.startswith("boom: room to the truck"))
    assert float(check.allowed) == pytest.approx(-0.350, abs=1e-9)
    assert verdict.state == "OVER" and float(check.demand) == 0.12
    said = fill(check.words, check.numbers, "metric")
    assert said == "the boom's tail runs into the driver's space by 350 mm"
    # The mark stands where the tail is in it, not at the boom's middle.
    assert -1.10 <= check.place_m.x <= -0.30 and check.place_m.z == pytest.approx(1.75, abs=0.06)


def boom_of(length_m: float, axis_m: float) -> Job:
    """The boatyard on a truck of usual shape, the mast's axis 0.82 m ahead, its boom so long and so high."""
    rig, truck = BOATYARD.rig, BOATYARD.truck
    truck = REPLACE(truck, solids=(), guard_height_m=None)
    assert truck.front_overhang_m.best + rig.jib_mast.foot_x_m == pytest.approx(0.82)
    up_m = axis_m - POSE.lift_m - rig.sleeves.section.wall_m - rig.saddles.seat_m - rig.boom.section.depth_m / 2.0
    mast = REPLACE(rig.jib_mast, length_m=up_m)
    return REPLACE(BOATYARD, truck=truck, rig=REPLACE(rig, jib_mast=mast, boom=REPLACE(rig.boom, length_m=length_m)))


def test_a_tail_over_a_usual_cross_member_is_not_proven_until_that_is_measured() -> None:
    """As shipped the cross-member is measured lower; where it usually is, tail and bed run into it."""
    usual = REPLACE(BOATYARD, truck=REPLACE(BOATYARD.truck, solids=()))
    verdict = evaluate(usual, POSE)
    assert verdict.state == "NOT PROVEN" and verdict.allowed_load_kg == 0.0 and verdict.room.short == ()
    check = verdict.room.short_at_worst[0]
    assert check.kind == room_rows.UNMEASURED and check.leaves_unproven
    # Usual: 1.88 to 2.00 m with the forks down, and half the 0.70 m of lift up: 2.23 to 2.35; the tail is 2.25 to 2.35.
    tail = next(c for c in verdict.room.checks if c.part == "boom" and c.kind == room_rows.UNMEASURED)
    assert float(tail.allowed) == pytest.approx(-0.10, abs=0.001)
    said = why(usual, POSE, verdict).cause
    words = fill(said.words, said.numbers, "metric")
    assert (
        words.startswith("Something may be in the way")
        and "Nobody has measured the upright's top cross-member" in words
    )
    gone = REPLACE(usual, truck=REPLACE(usual.truck, has_crosshead=False))
    assert evaluate(gone, POSE).state == "WITHIN"
    here = REPLACE(BOATYARD.truck.solids[0], z0_m=1.88, z1_m=2.00)
    measured = evaluate(REPLACE(usual, truck=REPLACE(usual.truck, solids=(here,))), POSE)
    assert measured.state == "OVER" and measured.room.short[0].kind == room_rows.TO_TRUCK


def test_the_boatyards_boom_may_come_no_further_in_than_hole_2_with_the_forks_low() -> None:
    """Tail at 0.37 m less 0.15 per hole; the roof of the guard begins at -0.10 and wants 50 mm, as high as the boom."""
    low = BOATYARD.poses[3]
    verdicts = {hole: evaluate(BOATYARD, REPLACE(low, hole=hole)) for hole in range(1, 11)}
    tails = {
        hole: float(v.placed.frames["boom"].at(v.placed.figures.boom_out_m - 2.4).x) for hole, v in verdicts.items()
    }
    assert tails == {hole: pytest.approx(0.37 - 0.15 * hole, abs=1e-9) for hole in range(1, 11)}
    clear = [hole for hole, v in verdicts.items() if not any(check.part == "boom" for check in v.room.short)]
    assert clear == [hole for hole in range(1, 11) if tails[hole] + 0.10 >= 0.05] == [1, 2]


def room_at(pose: Pose) -> dict[tuple[str, str], float]:
    """Gap of every pair of a pose, possible or not."""
    placed = drawn(BOATYARD, pose)
    return {
        (check.part, check.kind): float(check.allowed) for check in room.room_of(BOATYARD, pose, placed, placed).checks
    }


def test_an_arm_folded_back_into_the_jib_mast_is_over() -> None:
    """Arm 2 folded back along a boom 0.35 m out runs into the mast; straight ahead it is a metre from it."""
    pose = REPLACE(POSE, hole=None, free_out_m=0.35)
    one, two = pose.arms
    folded = REPLACE(pose, arms=(REPLACE(one, turn_rad=0.0), REPLACE(two, turn_rad=math.pi)))
    assert room_at(folded)["arm 2", room_rows.TO_RIG] < 0.0
    straight = REPLACE(pose, arms=(REPLACE(one, turn_rad=0.0), REPLACE(two, turn_rad=0.0)))
    assert room_at(straight)["arm 2", room_rows.TO_RIG] > 0.5


def test_a_load_drawn_in_over_the_forks_is_over() -> None:
    """The hook 0.2 m ahead of the mast: the load hangs in the mast, and between the forks."""
    bare = REPLACE(POSE, hole=None, free_out_m=0.2, arms=tuple(REPLACE(arm, fitted=False) for arm in POSE.arms))
    assert room_at(bare)[BOATYARD.load.name, room_rows.TO_BOTH] < -0.1


def test_sampled_points_of_rig_and_truck_come_no_nearer_than_their_gaps() -> None:
    """A slow clearance of its own: points over every box of the rig against the truck's boxes, from their corners."""
    rng = np.random.default_rng(12)
    wide = np.linspace(-1.0, 1.0, 7)
    grid = np.stack(np.meshgrid(wide, wide, wide, indexing="ij"), -1).reshape(-1, 3)
    for name in ("skerry_point_boatyard", "cold_spring_vineyard", "brightlea_glasshouses"):
        job = read_once(SAMPLES / f"{name}.rig.json")
        for _ in range(6):
            pose = REPLACE(
                job.poses[0], lift_m=float(rng.uniform(0.1, 2.5)), hole=int(rng.integers(3, 9)), tilt_rad=0.0
            )
            verdict = evaluate(job, pose)
            layout = solids.layout_of(job.truck, job.rig, fitted_arms(verdict.placed.figures), job.load.sling_m)
            scene = solids.parts(job, verdict.placed, 1, loaded=True)
            told = {
                check.part: float(check.allowed) for check in verdict.room.checks if check.kind == room_rows.TO_TRUCK
            }
            for one, other in zip(*layout.to_truck, strict=True):
                if layout.truck[other].unsure:  # type: ignore[union-attr]
                    continue
                points = scene.middle[one, :, 0] + (grid * scene.half[one]) @ scene.axes[one, :, :, 0]
                along = (points - scene.middle[other, :, 0]) @ scene.axes[other, :, :, 0].T
                outside = np.maximum(np.abs(along) - scene.half[other], 0.0)
                # The pair told is the shortest of what it wants, 120 mm to the driver's space and 50 to the rest.
                slack_m = 0.07
                assert told[layout.parts[one]] <= float(np.linalg.norm(outside, axis=1).min()) + slack_m + 1e-9


@pytest.mark.parametrize("hole", [3, 7])
def test_removing_what_was_measured_of_the_truck_is_never_greener(hole: int) -> None:
    """Forgetting the measured cross-member, guard or backrest never raises what is allowed."""
    pose = REPLACE(POSE, hole=hole)
    allowed = evaluate(BOATYARD, pose).allowed_load_kg or 0.0
    for change in ({"solids": ()}, {"guard_height_m": None}, {"solids": (), "guard_height_m": None}):
        forgot = REPLACE(BOATYARD, truck=REPLACE(BOATYARD.truck, **change))
        assert (evaluate(forgot, pose).allowed_load_kg or 0.0) <= allowed + 1e-9


def test_a_guessed_guard_height_proves_less_than_a_taped_one() -> None:
    """The tail is 2.25 m up: over a guard of 2.05 by 200 mm; a guess of 2.05 may be a guard of 2.87."""
    for known, state in (("measured", "WITHIN"), ("guess", "NOT PROVEN")):
        truck = REPLACE(BOATYARD.truck, guard_height_m=Estimate(best=2.05, known=known))
        assert evaluate(REPLACE(BOATYARD, truck=truck), POSE).state == state


def test_a_collision_of_measured_steel_is_over_whatever_else_is_near() -> None:
    """A pipe 40 mm behind the channels and just under where the cross-member usually is."""
    memorials = read_once(SAMPLES / "greywether_memorials.rig.json")
    pose = REPLACE(memorials.poses[1], loaded=False, lift_m=2.0)
    ahead, top = memorials.truck.front_overhang_m.best, memorials.truck.upright.lowered_height_m + 1.0
    places = {
        "x0_m": ahead - 0.3,
        "x1_m": ahead - 0.15,
        "y0_m": -0.2,
        "y1_m": 0.2,
        "z0_m": top - 0.06,
        "z1_m": top + 0.5,
    }
    pipe = Surrounding(name="pipe", known="measured", **places)
    for has in (True, False):
        truck = REPLACE(memorials.truck, has_crosshead=has, solids=())
        assert evaluate(REPLACE(memorials, surroundings=(pipe,), truck=truck), pose).state == "OVER"


def test_what_swings_goes_as_far_aside_as_its_lowest_edge() -> None:
    """Pull of tan 1 deg and 0.02 of braking together: the sine of its angle times hook, sling and the load's height."""
    policy = REPLACE(LINTEL.policy, swing_rad=math.radians(1.0), braking=0.02)
    pull = math.tan(math.radians(1.0)) + 0.02
    load = LINTEL.load
    aside_m = pull / math.hypot(1.0, pull) * (LINTEL.rig.hook.drop_m + load.sling_m + load.height_m)
    still, swung = (
        next(c for c in evaluate(one, one.poses[0]).room.checks if c.kind == room_rows.TO_BOTH)
        for one in (LINTEL, REPLACE(LINTEL, policy=policy))
    )
    assert still.numbers["object"] == swung.numbers["object"] == "the jib mast"
    assert float(still.allowed) - float(swung.allowed) == pytest.approx(aside_m, abs=1e-6) and aside_m > 0.02


def test_a_sling_through_a_fork_is_over() -> None:
    """Arms folded back so that the hook is plumb over the right blade, the load hung under it."""
    vineyard = read_once(SAMPLES / "cold_spring_vineyard.rig.json")
    mass = REPLACE(vineyard.load.mass_kg, best=20.0, low=None, high=None)
    sizes = {"height_m": 0.3, "length_m": 0.3, "width_m": 0.3, "sling_m": vineyard.rig.jib_mast.length_m + 1.0}
    job = REPLACE(vineyard, load=REPLACE(vineyard.load, mass_kg=mass, **sizes))
    arms = (REPLACE(POSE.arms[0], turn_rad=-1.613), REPLACE(POSE.arms[1], turn_rad=-2.331))
    pose = REPLACE(vineyard.poses[0], hole=5, free_out_m=None, lift_m=2.067, arms=arms)
    verdict = evaluate(job, pose)
    assert verdict.state == "OVER"
    assert any(check.part == solids.HOOK and check.kind == room_rows.TO_RIG for check in verdict.room.short)


def test_a_jib_mast_that_leans_into_a_measured_backrest_is_over() -> None:
    ahead = BOATYARD.truck.front_overhang_m.best
    places = {"x0_m": ahead - 0.1, "x1_m": ahead, "y0_m": -0.5, "y1_m": 0.5, "z0_m": 0.5, "z1_m": 1.0}
    rest = TruckSolid(name="rest", role="backrest", link="forks", known="measured", **places)
    truck = REPLACE(BOATYARD.truck, solids=(*BOATYARD.truck.solids, rest))
    mast = REPLACE(BOATYARD.rig.jib_mast, foot_x_m=0.3, lean_rad=0.35)
    job = REPLACE(BOATYARD, truck=truck, rig=REPLACE(BOATYARD.rig, jib_mast=mast))
    assert any(check.part == "jib mast" for check in evaluate(job, POSE).room.short)


def test_what_is_short_as_entered_is_told_before_what_is_only_less_sure() -> None:
    """A measured beam 95 mm over the lugs is over; a guessed one at 105 mm is short only at worst, but by more."""
    top_m = boom_top_m() + 0.065
    measured, guessed = box("beam", z0_m=top_m + 0.095), box("lamp", known="guess", z0_m=top_m + 0.105)
    verdict = evaluate(among(measured, guessed), POSE)
    assert verdict.state == "OVER" and verdict.room.short[0].numbers["object"] == "beam"
    assert evaluate(among(guessed), POSE).state == "NOT PROVEN"


def test_the_load_hangs_as_low_as_the_bent_rig_lets_it() -> None:
    verdict = evaluate(BOATYARD, POSE)
    (floor,) = (check for check in verdict.room.checks if check.kind == room_rows.TO_FLOOR)
    under_m = float(verdict.hanging.hook_m.z) - BOATYARD.load.sling_m - BOATYARD.load.height_m
    assert float(floor.allowed) == pytest.approx(under_m, abs=1e-9)
    assert float(verdict.placed.hook_m.z) > float(verdict.hanging.hook_m.z) + 0.01
