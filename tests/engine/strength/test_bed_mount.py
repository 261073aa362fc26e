"""The saddle bed's mount on the jib mast, against sums by hand (unknown tube at 195 MPa, design factor 3)."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import pytest

from engine.limits.all_limits import find_checks
from engine.rig.check import Check
from engine.rig.kinematics import figures
from engine.schema.connections import BedMount, Cap, OnCap, PlateBed, SaddleBed, TubeBed, Weld
from engine.schema.model import Job, Pose
from engine.schema.sections import RectTube
from engine.strength import bed_mount, laid_welds
from engine.strength.cuts import SectionForces
from engine.strength.linear_in_load import Linear
from engine.worst_case.verdict import evaluate
from tests.samples import read_once

RIGS = Path(__file__).resolve().parents[2] / "rigs"
REPLACE = msgspec.structs.replace
FOUR_FIGURES = 5e-4

BOATYARD = read_once(RIGS / "skerry_point_boatyard.rig.json")
POSE = BOATYARD.poses[0]
MAST = RectTube(width_m=0.12, depth_m=0.12, wall_m=0.005)

TOP_WELD, BESIDE = "weld at the jib mast's top", "jib mast's wall beside its top weld"
STRIP, BED_WELD = "bending beyond the bed", "weld to the bed"


def tube(width_mm: float, depth_mm: float, wall_mm: float) -> RectTube:
    return RectTube(width_m=width_mm / 1e3, depth_m=depth_mm / 1e3, wall_m=wall_mm / 1e3)


def cap(thick_mm: float = 20.0, length_mm: float = 150.0, width_mm: float = 150.0) -> Cap:
    return Cap(thickness_m=thick_mm / 1e3, length_m=length_mm / 1e3, width_m=width_mm / 1e3)


def rig_with(bed: SaddleBed, seat_mm: float, **saddles: object) -> Job:
    """The boatyard's rig on a reclaimed mast of 120 x 120 x 5, with another bed."""
    rig = BOATYARD.rig
    changed = REPLACE(rig.saddles, bed=bed, seat_m=seat_mm / 1e3, steel="unknown", **saddles)
    mast = REPLACE(rig.jib_mast, section=MAST, steel="unknown")
    return REPLACE(BOATYARD, rig=REPLACE(rig, saddles=changed, jib_mast=mast))


def mounted(section: RectTube, mount: BedMount) -> Job:
    thick_m = 0.0 if mount.cap is None else mount.cap.thickness_m
    return rig_with(TubeBed(section=section, mount=mount), (section.depth_m + thick_m) * 1e3)


ALL_ROUND = Weld(leg_m=0.005, electrode="E60")
GROOVES = Weld(leg_m=0.006, kind="flare_bevel", process="gas_metal_arc")


def checks_of(job: Job, pose: Pose = POSE) -> dict[str, Check]:
    parts = ("saddle bed", "jib mast's cap", "boom")
    return {check.kind: check for check in find_checks(job, figures(job, pose)) if check.part in parts}


def pulls(*six: float) -> SectionForces:
    return SectionForces(*(Linear(value, 0.0) for value in six))


# ---------------------------------------------------------------- weld at the mast's top

WORKED = pulls(-3040.0, 0.0, 0.0, 0.0, 4371.0, 0.0)
"""Mast top of the worked example: 4,371 N·m along the boom, 3,040 N down."""


def use_of(laid: laid_welds.LaidWeld, six: SectionForces) -> tuple[float, float]:
    """Greatest force on a metre of weld, and its use."""
    at = bed_mount.weld_lines.pulls(laid.group, six)
    greatest = max(math.sqrt(sum(value.fixed**2 for value in point)) for point in at)
    return greatest, greatest / laid.group.allowed_N_m


def test_a_mast_welded_all_round_on_its_cap() -> None:
    """4,371/0.01920 m2 and 3,040/0.48 m: 234.0 N/mm; a 5 mm leg is allowed 169.2 by the fusion face, use 1.383."""
    job = mounted(tube(100, 80, 8), BedMount(cap=cap(), weld_mast=ALL_ROUND, weld_bed=GROOVES))
    laid = bed_mount.mount_of(job.rig, job.policy).mast
    assert laid is not None
    greatest_N_m, use = use_of(laid, WORKED)
    assert greatest_N_m / 1e3 == pytest.approx(234.0, rel=FOUR_FIGURES)
    assert use == pytest.approx(1.383, rel=FOUR_FIGURES)
    tight = mounted(tube(100, 80, 8), BedMount(cap=cap(20.0, 150.0, 129.0), weld_mast=ALL_ROUND, weld_bed=GROOVES))
    without_room = bed_mount.mount_of(tight.rig, tight.policy).mast
    assert without_room is not None
    assert {line.face for line in without_room.group.lines} == {"front", "back"}, "4.5 mm of ledge for a leg of 5"


def test_without_a_cap_a_narrower_bed_leaves_front_and_back_lines_over_its_flat() -> None:
    """Bed 100 x 80 x 5 has a flat of 80: S = 80 x 120 mm2, and 3,040 N on 160 mm; its ends must leave a ledge."""
    job = rig_with(TubeBed(section=tube(100, 80, 5), mount=BedMount(weld_mast=ALL_ROUND)), 80.0, front_x_m=0.11)
    laid = bed_mount.mount_of(job.rig, job.policy).mast
    assert laid is not None
    assert {line.face for line in laid.group.lines} == {"front", "back"}
    greatest_N_m, _ = use_of(laid, WORKED)
    assert greatest_N_m == pytest.approx(4371.0 / (0.08 * 0.12) + 3040.0 / 0.16, rel=1e-6)


def test_a_bed_cut_flush_with_the_mast_has_no_room_at_the_front_and_so_cannot_carry() -> None:
    """Back line alone: a weld on one line carries no moment across it.  The sample's cap is what cures it."""
    bed = BOATYARD.rig.saddles.bed
    assert isinstance(bed, TubeBed) and bed.mount is not None
    bare = REPLACE(bed, mount=BedMount(weld_mast=bed.mount.weld_mast))
    # A strap of 100 and legs of 10 end where the mast does, 60 ahead.
    saddles = REPLACE(BOATYARD.rig.saddles, bed=bare, seat_m=bed.section.depth_m, strap_length_m=0.1)
    flush = REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, saddles=saddles))
    assert float(checks_of(flush)[TOP_WELD].use) == math.inf
    assert evaluate(flush, POSE).state == "OVER"
    assert float(checks_of(BOATYARD)[TOP_WELD].use) < 1.0
    assert evaluate(BOATYARD, POSE).state == "WITHIN"


def test_the_whole_cut_at_the_masts_top_is_on_the_weld() -> None:
    """Twist of the load aside and push along count too: arms to the left, on a slope."""
    job = mounted(tube(140, 80, 10), BedMount(cap=cap(), weld_mast=ALL_ROUND, weld_bed=GROOVES))
    check = checks_of(job)[TOP_WELD]
    top = next(c for c in find_checks(job, figures(job, POSE)) if c.name == "jib mast: bending at the top")
    bent_only = float(top.demand) / 0.0192 / (0.005 / math.sqrt(2.0))
    assert float(check.demand) > bent_only
    assert float(check.demand) == pytest.approx(bent_only, rel=0.1)


def test_the_masts_wall_beside_the_weld() -> None:
    """Wall 5 mm of 65 MPa: 325 N/mm straight at it; 234 N/mm of pull use 0.720."""
    job = mounted(tube(100, 80, 8), BedMount(cap=cap(), weld_mast=ALL_ROUND, weld_bed=GROOVES))
    use = float(checks_of(job)[BESIDE].use)
    assert use == pytest.approx(234.0 / 325.0, rel=0.05)


# ---------------------------------------------------------------- cap


@pytest.mark.parametrize(("weld_bed", "strip_mm", "thick_mm"), [(GROOVES, 10.0, 14.70), (ALL_ROUND, 26.0, 23.70)])
def test_a_cap_is_bent_where_it_runs_beyond_the_bed(weld_bed: Weld, strip_mm: float, thick_mm: float) -> None:
    """Mast 120 on a bed 100 x 80 x 8: whole with its grooves filled, else its flat of 68: sqrt(6 q c/65 MPa)."""
    job = mounted(tube(100, 80, 8), BedMount(cap=cap(), weld_mast=ALL_ROUND, weld_bed=weld_bed))
    strip = bed_mount.mount_of(job.rig, job.policy).strip
    assert strip is not None
    assert strip.strip_m * 1e3 == pytest.approx(strip_mm)
    by_hand_Pa = 6.0 * 234.0e3 * strip.strip_m / 0.020**2
    assert float(checks_of(job)[STRIP].demand) == pytest.approx(by_hand_Pa, rel=0.05)
    assert math.sqrt(6.0 * 234.0e3 * strip.strip_m / 65e6) * 1e3 == pytest.approx(thick_mm, rel=FOUR_FIGURES)


def test_a_cap_under_a_bed_as_wide_as_the_mast_is_not_bent() -> None:
    job = mounted(tube(180, 80, 10), BedMount(cap=cap(), weld_mast=ALL_ROUND, weld_bed=GROOVES))
    assert STRIP not in checks_of(job)


def test_a_cap_spreads_what_the_mast_presses_into_the_beds_wall() -> None:
    """J10.2 near the end: Fy t (5k/2 + 2 x 20 mm), k = 1.5 t, t 8 mm: 70 mm for 30."""
    bare = rig_with(TubeBed(section=tube(100, 80, 8), mount=BedMount(weld_mast=ALL_ROUND)), 80.0)
    capped = mounted(tube(100, 80, 8), BedMount(cap=cap(), weld_mast=ALL_ROUND, weld_bed=GROOVES))
    kind = "side wall at the jib mast's edge, twist in the rear saddle"
    assert float(checks_of(bare)[kind].allowed) == pytest.approx(195e6 * 0.008 * 0.030 / 3.0)
    assert float(checks_of(capped)[kind].allowed) == pytest.approx(195e6 * 0.008 * 0.070 / 3.0)


def test_the_bed_lies_on_its_cap_in_filled_grooves_and_fillets_at_the_ends() -> None:
    """Bed 140 x 80 x 10 ends 10 mm past its strap, 70 mm ahead: touching length 140, width 140.

    Cap 160 long: 10 mm of ledge at the front; the bed runs on behind it.  Corner 20 mm: throat 12.5, so the wall of 10.
    """
    job = mounted(tube(140, 80, 10), BedMount(cap=cap(length_mm=160.0), weld_mast=ALL_ROUND, weld_bed=GROOVES))
    laid = bed_mount.mount_of(job.rig, job.policy).below_bed
    assert laid is not None
    assert {(line.face, line.kind) for line in laid.group.lines} == {
        ("front", "fillet"),
        ("back", "fillet"),
        ("left", "flare_bevel"),
        ("right", "flare_bevel"),
    }
    side = next(line for line in laid.group.lines if line.face == "left")
    assert side.length_m == pytest.approx(0.14)
    assert side.allowed_N_m == pytest.approx(0.010 * 0.60 * 290e6 / 3.6 * 0.70)
    fillets = mounted(tube(140, 80, 10), BedMount(cap=cap(length_mm=160.0), weld_mast=ALL_ROUND, weld_bed=ALL_ROUND))
    only = bed_mount.mount_of(fillets.rig, fillets.policy).below_bed
    assert only is not None and {line.face for line in only.group.lines} == {"front", "back"}


# ---------------------------------------------------------------- other kinds of bed


def test_straps_on_the_cap_alone() -> None:
    """Cap as a cantilever: 6 M/(b t^2) with M the rear reaction on 0.465 m, shear with 1.5 times its mean."""
    bed = OnCap(mount=BedMount(cap=cap(60.0, 1200.0, 150.0), weld_mast=ALL_ROUND))
    checks = checks_of(rig_with(bed, 60.0))
    behind = checks["combined stress behind the jib mast"]
    up_N = behind.numbers["up"]
    assert isinstance(up_N, float)
    bent = 6.0 * up_N * 0.465 / (0.15 * 0.06**2)
    assert float(behind.demand) == pytest.approx(bent, rel=0.02)
    grade = REPLACE(bed, mount=BedMount(cap=REPLACE(cap(60.0, 1200.0, 150.0), steel="S235"), weld_mast=ALL_ROUND))
    known = checks_of(rig_with(grade, 60.0))["combined stress behind the jib mast"]
    assert float(behind.allowed) == pytest.approx(175e6 / 3.0), "unknown plate over 16 mm"
    assert float(known.allowed) == pytest.approx(215e6 / 3.0)
    assert BED_WELD not in checks and STRIP not in checks


def test_a_strap_beside_the_cap_stands_on_nothing() -> None:
    bed = OnCap(mount=BedMount(cap=cap(20.0), weld_mast=ALL_ROUND))
    verdict = evaluate(rig_with(bed, 20.0), POSE)
    assert verdict.state == "REFUSED"
    assert "rear saddle stands on nothing" in next(
        p.words for p in verdict.problems if p.where.endswith("rear_x_m")
    ).replace("{name}", "rear")


def test_a_plate_as_bed() -> None:
    """150 x 50: 6 M/(b t^2) from the rear reaction on its lever; the weld needs a ledge beside the mast."""
    bed = PlateBed(width_m=0.15, thickness_m=0.05, mount=BedMount(weld_mast=ALL_ROUND))
    checks = checks_of(rig_with(bed, 50.0, front_x_m=0.11))
    behind = checks["combined stress behind the jib mast"]
    up_N = behind.numbers["up"]
    assert isinstance(up_N, float)
    assert float(behind.demand) == pytest.approx(6.0 * up_N * 0.465 / (0.15 * 0.05**2), rel=0.02)
    assert 0.0 < float(checks[TOP_WELD].use) < math.inf


def test_a_bed_narrower_than_the_booms_flat_presses_its_underside() -> None:
    """Boom 100 x 100 x 6.3 has a flat of 74.8; a bed 60 wide with corners of 10 presses on 40 mm by the strap's length.

    Yield line: Fy t^2 (2 eta/(1 - beta) + 4/sqrt(1 - beta)), beta 0.4.
    """
    job = mounted(tube(60, 80, 5), BedMount(cap=cap(), weld_mast=ALL_ROUND, weld_bed=GROOVES))
    job = REPLACE(job, rig=REPLACE(job.rig, boom=REPLACE(job.rig.boom, steel="unknown")))
    check = checks_of(job)["underside on a narrower bed, front saddle"]
    strap_m = job.rig.saddles.strap_length_m
    allowed_N = 195e6 * 0.0063**2 * (2.0 * strap_m / 0.1 / 0.6 + 4.0 / math.sqrt(0.6)) / 3.0
    front_N = checks_of(job)["combined stress ahead of the jib mast"].numbers["up"]
    assert isinstance(front_N, float)
    lines_m = 0.5 * strap_m * 1.4 / 0.6 + math.sqrt(2.0 * 0.1 * 0.04 * 1.4 / 0.6)
    twist_Nm = checks_of(job)["combined stress ahead of the jib mast"].numbers["twist"]
    assert isinstance(twist_Nm, float)
    by_hand = front_N / allowed_N + twist_Nm / (195e6 * 0.0063**2 * lines_m / 3.0)
    assert float(check.demand) == pytest.approx(by_hand, rel=0.02)
    wide = mounted(tube(100, 80, 5), BedMount(cap=cap(), weld_mast=ALL_ROUND, weld_bed=GROOVES))
    assert "underside on a narrower bed, front saddle" not in checks_of(wide)


# ---------------------------------------------------------------- not entered, loads


@pytest.mark.parametrize(
    ("bed", "seat_mm", "missing"),
    [
        (TubeBed(section=tube(140, 80, 10)), 80.0, ["mount"]),
        (TubeBed(section=tube(140, 80, 10), mount=BedMount()), 80.0, ["mount.weld_mast"]),
        (
            TubeBed(section=tube(140, 80, 10), mount=BedMount(cap=cap(), weld_mast=ALL_ROUND)),
            100.0,
            ["mount.weld_bed"],
        ),
        (OnCap(mount=BedMount(weld_mast=ALL_ROUND)), 80.0, ["mount.cap"]),
    ],
)
def test_a_mount_that_is_not_entered_is_named(bed: SaddleBed, seat_mm: float, missing: list[str]) -> None:
    verdict = evaluate(rig_with(bed, seat_mm), POSE)
    named = [problem.where for problem in verdict.not_entered if problem.where.startswith("rig.saddles.bed.")]
    assert named == [f"rig.saddles.bed.{path}" for path in missing]


@pytest.mark.parametrize(
    ("seat_mm", "state", "where"),
    [(121.0, None, None), (124.0, "caution", None), (125.0, "not_entered", "gap"), (117.0, "refused", "too low")],
)
def test_the_seat_against_bed_and_cap(seat_mm: float, state: str | None, where: str | None) -> None:
    """Bed 100, cap 20, shim 1 mm."""
    bed = BOATYARD.rig.saddles.bed
    job = REPLACE(
        BOATYARD, rig=REPLACE(BOATYARD.rig, saddles=REPLACE(BOATYARD.rig.saddles, bed=bed, seat_m=seat_mm / 1e3))
    )
    verdict = evaluate(job, POSE)
    told = [problem.kind for problem in verdict.problems if problem.where == "rig.saddles.seat_m"]
    open_ends = [problem.where for problem in verdict.not_entered]
    assert (verdict.state == "REFUSED") is (state == "refused")
    assert ("rig.saddles.seat_m" in open_ends) is (state == "not_entered")
    if state == "refused":
        assert told == ["impossible"]


@pytest.mark.parametrize("kind", [TOP_WELD, BESIDE, STRIP, BED_WELD])
def test_the_allowed_load_of_the_mount_is_where_its_use_reaches_one(kind: str) -> None:
    job = mounted(tube(100, 80, 8), BedMount(cap=cap(), weld_mast=ALL_ROUND, weld_bed=GROOVES))
    low, high = 0.0, 5000.0
    for _ in range(60):
        middle = (low + high) / 2.0
        loaded = REPLACE(job, load=REPLACE(job.load, mass_kg=REPLACE(job.load.mass_kg, best=middle)))
        low, high = (middle, high) if float(checks_of(loaded)[kind].use) <= 1.0 else (low, middle)
    assert low > 1.0
    assert float(checks_of(job)[kind].allowed_load_kg) == pytest.approx(low, rel=1e-6)
