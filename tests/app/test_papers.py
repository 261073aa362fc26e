"""Papers as a person gets them: written to PDF and read back; every number on them is the engine's."""

from __future__ import annotations

import functools
import re
from pathlib import Path

import pypdf
import pytest
from paper_reader import (
    DATE,
    PAPERS_OF_RIGS,
    REPLACE,
    SOME_RIGS,
    outside,
    pages_of,
    plain,
    sheet_of,
    words_of,
    words_on,
)

import app.papers.pick_sheet
import engine.explain.approval_request
import engine.explain.placard
from app.papers.layout import Sheet
from app.papers.output import PAPERS, make, write_pdf
from app.papers.page_marks import MM
from engine.base.caution import CAUTION
from engine.base.formatting import fill, show
from engine.explain.approval_request import request
from engine.explain.dials import dials
from engine.explain.placard import placard
from engine.explain.proof_load import proof_load
from engine.limits.approval import NOT_APPROVED_PAPER
from engine.limits.balance import centre_of
from engine.planning.load_chart import load_chart
from engine.planning.move import plan
from engine.schema import nominals
from engine.schema.model import Approval, Job, LogEntry
from engine.shop import edits
from engine.shop.assembly_order import assembly_steps
from engine.shop.cut_list import pieces
from engine.shop.piece_holes import piece_holes
from engine.shop.setting_out import hole_schedules
from engine.shop.weld_list import weld_list
from engine.worst_case.verdict import STATE_WORDS, evaluate
from tests.samples import sample as sample_rig

pytestmark = pytest.mark.usefixtures("qapp", "worked_out_once")

chart_of, plan_of = functools.lru_cache(maxsize=None)(load_chart), functools.lru_cache(maxsize=None)(plan)


@pytest.fixture
def worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Charts and moves cost seconds and many papers ask for the same one; the functions are the real ones."""
    for module in (engine.explain.placard, engine.explain.approval_request):
        monkeypatch.setattr(module, "load_chart", chart_of)
    monkeypatch.setattr(app.papers.pick_sheet, "plan", plan_of)


# ---------------------------------------------------------------- every paper, every sample


# Those with the longest lists and names.
ON_LETTER = ("cold_spring_vineyard", "skerry_point_boatyard", "osier_wharf_pumps", "dunmere_bell_hangers")

MOST_PAGES = {"check": 4, "build": 4}
"""Pages of the papers that list every limit, or every piece, weld and pin; the others have two at most."""


@pytest.mark.parametrize(("kind", "rig"), PAPERS_OF_RIGS)
def test_every_page_says_what_it_is_and_carries_the_caution(kind: str, rig: str) -> None:
    job, sheet = sample_rig(rig), sheet_of(kind, rig)
    assert_nothing_is_clipped(sheet)
    pages = pages_of(kind, rig)
    assert 1 <= len(pages) <= MOST_PAGES.get(kind, 2)
    for number, words in enumerate(pages, start=1):
        for needed in (
            PAPERS[kind].title,
            job.name,
            f"revision {job.rig.revision}",
            DATE,
            "Units: metres" if job.units == "metric" else "Units: feet",
            CAUTION,
            f"page {number} of {len(pages)}",
        ):
            assert plain(needed) in words
        if job.approval is None:
            assert words.count(NOT_APPROVED_PAPER) == 2, "across the page and in its head"
        else:
            assert NOT_APPROVED_PAPER not in words and job.approval.reference in words
    whole = " ".join(pages)
    assert "Not known, and assumed" in whole
    assert ("No approval of the truck's maker is entered." in whole) == (job.approval is None)
    assert not re.search(r"certif|load rating|rated by", whole, re.IGNORECASE)


def assert_nothing_is_clipped(sheet: Sheet) -> None:
    """No mark off its page, no text over another or past the margins."""
    assert [(mark.kind, mark.words) for mark in outside(sheet)] == []
    for marks in sheet.pages:
        texts = [mark for mark in marks if mark.kind == "text"]
        for mark in texts:
            assert mark.box.right() <= sheet.width - 11.0 * MM, mark.words
            assert mark.box.left() >= 11.0 * MM, mark.words
        inner = [mark.box.adjusted(1.0, 2.0, -1.0, -2.0) for mark in texts]
        sides = [(box.left(), box.right(), box.top(), box.bottom()) for box in inner]
        for index, (left, right, top, bottom) in enumerate(sides):
            for other, (other_left, other_right, other_top, other_bottom) in enumerate(sides[:index]):
                apart = min(right, other_right) <= max(left, other_left) or min(bottom, other_bottom) <= max(
                    top, other_top
                )
                assert apart, (texts[other].words, texts[index].words)


@pytest.mark.parametrize("rig", ON_LETTER)
@pytest.mark.parametrize("kind", PAPERS)
def test_nothing_is_clipped_on_letter_pages_either(kind: str, rig: str) -> None:
    sheet = sheet_of(kind, rig, "letter")
    assert len(sheet.pages) <= MOST_PAGES.get(kind, 2)
    assert_nothing_is_clipped(sheet)


@pytest.mark.parametrize("kind", PAPERS)
def test_pages_have_the_size_asked_for(kind: str, tmp_path: Path) -> None:
    for page, size in (("a4", (595.0, 842.0)), ("letter", (612.0, 792.0))):
        write_pdf(sheet_of(kind, "tarn_hollow_stone_yard", page), tmp_path / "paper.pdf")
        for pdf_page in pypdf.PdfReader(tmp_path / "paper.pdf").pages:
            sides = float(pdf_page.mediabox.width), float(pdf_page.mediabox.height)
            if kind == "drawing":  # it lies or stands as it fits best
                sides = tuple(sorted(sides))
            assert sides == pytest.approx(size, abs=1.0)


@pytest.mark.parametrize("kind", ["helper", "pick", "build", "proof", "check", "drawing"])
def test_us_units_are_used_throughout(kind: str, tmp_path: Path) -> None:
    job = REPLACE(sample_rig("skerry_point_boatyard"), units="us")
    words = words_of(make(kind, job, job.poses[0], "letter", DATE), tmp_path)
    assert "Units: feet, inches" in words
    assert " lb" in words
    if kind != "check":  # its first table is in SI and says so
        # Sizes of the rig stand as they were entered, with inches in brackets.
        words = re.sub(r"[\d.]+( (x|-) [\d.]+)* mm \[[\dx ./-]+ in\]", "", words)
        words = words.replace("holes every 150 mm", "")  # in inches too it would add up to a wrong place
        left = re.search(r".{60}\d (kg|mm|m)\b.{20}", words)
        assert not left, left[0]


def test_a_metric_rig_on_us_paper_keeps_its_sizes(tmp_path: Path) -> None:
    """From the rig file: pins of 20 mm, legs of 6 mm; 20 mm is not 13/16 in, and 1/4 in is not less than 6 mm."""
    job = REPLACE(sample_rig("skerry_point_boatyard"), units="us")
    for kind in ("build", "check"):
        words = words_of(make(kind, job, job.poses[0], "letter", DATE), tmp_path)
        assert "Design unit mm. Inches in brackets are for reference." in words
        assert "20 mm [0.787 in]" in words and "6 mm [1/4 in]" in words
        assert not re.search(r"(?<![-\d])13/16 in pin|3/16 in (weld|fillet|legs)", words)


def test_a_size_typed_in_inches_stands_so_on_a_metric_paper(tmp_path: Path) -> None:
    job = sample_rig("skerry_point_boatyard")
    path = "rig.boom.pin.diameter_m"
    job = nominals.with_name(job, edits.set_value(job, path, 0.01905), path, "3/4 in")
    words = words_of(make("build", job, job.poses[0], "a4", DATE), tmp_path)
    assert "1 x boom pin 3/4 in [19.05 mm]" in words
    assert "Design unit mm. Millimetres in brackets are for reference." in words
    assert "Design unit" not in words_on("build", "skerry_point_boatyard")


@pytest.mark.parametrize("kind", PAPERS)
def test_a_pose_without_a_verdict_still_makes_a_paper_and_gives_no_load(kind: str, tmp_path: Path) -> None:
    job = sample_rig("tarn_hollow_stone_yard")
    bare = REPLACE(job, truck=REPLACE(job.truck, plate=None))
    words = words_of(make(kind, bare, bare.poses[0], "a4", DATE), tmp_path)
    assert "plate" in words
    assert "at most" not in words


# ---------------------------------------------------------------- approval


@pytest.mark.parametrize("kind", PAPERS)
def test_with_an_approval_the_words_across_go_and_its_reference_comes(kind: str, tmp_path: Path) -> None:
    job = sample_rig("tarn_hollow_stone_yard")
    approval = Approval(reference="TH-77", date="2026-02-01", by="maker", allowed_kg=90.0, lift_max_m=2.0)
    words = words_of(make(kind, REPLACE(job, approval=approval), job.poses[0], "a4", DATE), tmp_path)
    assert NOT_APPROVED_PAPER not in words
    assert "Approval TH-77, 2026-02-01" in words
    if kind in ("helper", "pick"):
        assert "Approval's limit: load at most 74 kg" in words  # 90 less the rigging of 15 at its heaviest


# ---------------------------------------------------------------- numbers are the engine's


@pytest.mark.parametrize("rig", SOME_RIGS)
def test_helper_card_shows_the_engine_s_dials(rig: str) -> None:
    job = sample_rig(rig)
    words = words_on("helper", rig)
    verdict = evaluate(job, job.poses[0])
    assert STATE_WORDS[verdict.state] in words
    for dial in dials(job, verdict):
        kind = "paper_kg_down" if dial.unit == "kg" else f"{dial.unit}_down"
        assert plain(show(dial.left, kind, "metric")) in words
        assert plain(show(dial.best, kind, "metric")) in words


@pytest.mark.parametrize("rig", SOME_RIGS)
def test_pick_sheet_shows_load_and_what_is_allowed(rig: str) -> None:
    job = sample_rig(rig)
    words = words_on("pick", rig)
    verdict = evaluate(job, job.poses[0])
    assert plain(f"at most {show(verdict.allowed_load_kg, 'paper_kg_down', 'metric')} here") in words
    assert plain(show(verdict.worst_case.standing.rear_weight_left_kg, "paper_kg_down", "metric")) in words
    for length_m in verdict.placed.hook_m:
        assert plain(f"as set {show(float(length_m), 'mm', 'metric')}") in words
    assert "Raised 50-100 mm" in words


def test_the_placard_holds_for_the_slopes_entered(tmp_path: Path) -> None:
    assert "firm, slope 0.5 % to 1.5 %, side slope -0.5 % to 0.5 %" in words_on("placard", "skerry_point_boatyard")
    job = sample_rig("skerry_point_boatyard")
    job = REPLACE(job, floors=tuple(REPLACE(floor, fall_across=None) for floor in job.floors))
    words = words_of(make("placard", job, job.poses[0], "a4", DATE), tmp_path)
    assert "firm, slope 0.5 % to 1.5 %, side slope not known" in words


def test_pick_sheet_does_not_say_within_when_the_move_is_not() -> None:
    job = sample_rig("cold_spring_vineyard")
    move = plan_of(job, job.moves[0])
    words = words_on("pick", "cold_spring_vineyard")
    assert (evaluate(job, job.poses[0]).state, move.state) == ("WITHIN", "OVER")
    assert plain(f"BUT move {move.name}: Over a limit") in words
    worst = move.steps[move.worst_step]
    assert plain(f"{show(worst.peak_use, 'use', 'metric')} used") in words


def _fives_down(load_kg: int) -> str:
    """A load and the hook load with the boatyard's 12 kg of rigging, whole fives of kilograms from 100 on."""
    load, hook_load = (kg - kg % 5 if kg >= 100 else kg for kg in (load_kg, load_kg + 12))
    return f"{load} kg ({hook_load})"


def test_placard_shows_every_cell_of_the_engine_s() -> None:
    job = sample_rig("skerry_point_boatyard")
    words = words_on("placard", "skerry_point_boatyard")
    loads = placard(job, job.poses[0])
    for hole, out_m, between, row in zip(loads.holes, loads.out_m, loads.between_m, loads.cells, strict=True):
        heights = "-" if between is None else f"{between[0]:.2f}\N{EN DASH}{between[1]:.2f} m"
        proven = [cell for cell, of_arm_set in zip(row, loads.proven, strict=True) if of_arm_set]
        kg = ["-" if cell.allowed_kg is None else _fives_down(cell.allowed_kg) for cell in proven]
        assert plain(" ".join([str(hole), show(out_m, "m", "metric"), heights, *kg])) in words
    assert "Not valid unless signed" in words
    assert "approved by (blank until given)" in words
    assert "NOT PROVEN, no load: arm 2 removed; arm 1 and arm 2 removed." in words
    assert "What holds the hook on arm 1 while arm 2 is removed is not entered" in words


def test_a_placard_of_which_nothing_is_proven_has_no_load_and_says_why(tmp_path: Path) -> None:
    job = sample_rig("skerry_point_boatyard")
    rig = REPLACE(job.rig, sleeves=REPLACE(job.rig.sleeves, cross_weld=None))
    job = REPLACE(job, rig=rig)
    words = words_of(make("placard", job, job.poses[0], "a4", DATE), tmp_path)
    assert "NOT PROVEN, no load: arms straight;" in words
    assert "The weld of the cross-member to the sleeves is not entered" in words
    assert "What gives first in these figures" not in words


@pytest.mark.parametrize("rig", SOME_RIGS)
def test_build_sheet_lists_every_piece_hole_and_weld(rig: str) -> None:
    job = sample_rig(rig)
    words = words_on("build", rig)
    for piece in pieces(job):
        assert plain(f"{piece.count} x {piece.part}") in words
        assert plain(f"{round(piece.length_m * 1000.0, 1):g} mm") in words
    for schedule in hole_schedules(job.rig):
        for hole in schedule.holes:
            assert plain(f"{hole.name} {_mm(hole.from_datum_m)} mm {_mm(hole.step_m)} mm") in words
    for hole in piece_holes(job):
        assert plain(f"{hole.count} x {hole.piece}") in words
        if hole.from_datum_m is not None:
            assert plain(f"{_mm(hole.diameter_m)} mm {_mm(hole.from_datum_m)} mm from {hole.datum}") in words
    for number, step in enumerate(assembly_steps(job), start=1):
        assert plain(f"{number}. {fill(step.words, step.numbers, 'metric')}") in words
    for weld in weld_list(job):
        assert plain(weld.name) in words
    total = sum(piece.count * piece.mass_each_kg for piece in pieces(job))
    assert plain(show(total, "mass", "metric")) in words


def test_build_sheet_names_the_stay_to_buy() -> None:
    stay = sample_rig("osier_wharf_pumps").rig.arms[0].stay
    words = words_on("build", "osier_wharf_pumps")
    lengths = "2 ft to 3 ft 8 in, pin to pin"
    assert (stay.length_min_m, stay.length_max_m) == (pytest.approx(24 * 0.0254), pytest.approx(44 * 0.0254))
    marked = show(stay.wll_kg, "kg_down", "us")
    assert plain(f"Bought, not cut: arm 1 stay, {stay.make}; {lengths}; marked {marked}.") in words
    assert "Bought, not cut" not in words_on("build", "skerry_point_boatyard")


def _mm(value_m: float) -> str:
    text = f"{value_m * 1000.0:.2f}".rstrip("0").rstrip(".")
    return text or "0"


def test_approval_request_gives_mass_centre_and_hook_at_each_hole() -> None:
    job = sample_rig("skerry_point_boatyard")
    words = words_on("approval", "skerry_point_boatyard")
    asked = request(job, job.poses[0])
    for row in asked.at_holes:
        centre = f"{show(float(row.centre_m.x), 'm', 'metric')} ahead, {show(float(row.centre_m.z), 'm', 'metric')} up"
        hook = f"{show(float(row.hook_m.x), 'm', 'metric')} ahead, {show(float(row.hook_m.z), 'm', 'metric')} up"
        assert plain(f"{centre} {hook} {show(row.request_kg, 'paper_kg_down', 'metric')}") in words
    for worst in asked.worst:
        assert plain(f"{worst.line} {show(worst.use, 'use', 'metric')}") in words
    assert "The maker cannot answer without the truck's serial number." in words
    assert plain(show(asked.combined.both_kg, "kg", "metric")) in words


@pytest.mark.parametrize("rig", SOME_RIGS)
def test_proof_sheet_gives_load_rear_weight_and_sag(rig: str) -> None:
    job = sample_rig(rig)
    words = words_on("proof", rig)
    test = proof_load(job, job.poses[0])
    if test is None:
        assert "No test load" in words
        return
    for value in (test.test_hung_kg, test.test_load_kg):
        assert plain(show(value, "test_kg_down", "metric")) in words
    for value in (test.rear_empty_kg, test.rear_kg):
        assert plain(show(value, "paper_kg_down", "metric")) in words
    assert plain(show(test.sag_m, "length", "metric")) in words
    assert ("ON A FIXED FRAME" in words) == test.on_a_frame


@pytest.mark.parametrize("rig", SOME_RIGS)
def test_hand_check_s_column_of_moments_adds_up_to_the_engine_s_margin(rig: str) -> None:
    job = sample_rig(rig)
    verdict = evaluate(job, job.poses[0])
    words = pages_of("check", rig)[0]
    bodies = verdict.placed.bodies
    total = 0.0
    for body in bodies:
        row = re.search(rf"{re.escape(plain(body.name))} {body.group} ([\d.]+)((?: -?[\d.]+){{5}})", words)
        assert row, body.name
        kg, (x, _, z, distance, moment) = float(row[1]), (float(cell) for cell in row[2].split())
        gravity = verdict.placed.gravity
        # Over the front line u = (0, -1, 0): d = x gz - z gx.
        assert distance == pytest.approx(x * gravity.z - z * gravity.x, abs=0.002)
        assert moment == pytest.approx(kg * 9.80665 * distance, abs=0.6 + kg * 0.006)
        total += moment
    assert total == pytest.approx(float(verdict.balance.lines[0].margin_Nm), abs=len(bodies))
    rear = total / (9.80665 * job.truck.wheelbase_m.best)
    assert rear == pytest.approx(float(verdict.balance.rear_kg), abs=1.5)
    assert f"{float(verdict.balance.rear_kg):.1f} kg" in words


def test_log_prints_every_entry_and_asks_which_rig(tmp_path: Path) -> None:
    entry = LogEntry(
        date="2026-02-03",
        kind="trial lift",
        by="A",
        words="rear tyres firm",
        pose="over the bed",
        load_kg=400.0,
        rear_kg=2350.0,
        sag_m=0.0115,
        next_due="2026-08-03",
    )
    job = sample_rig("tarn_hollow_stone_yard")
    job = REPLACE(job, log=(entry,), rig=REPLACE(job.rig, serial=""))
    words = words_of(make("log", job, job.poses[0], "a4", DATE), tmp_path)
    for needed in (
        "2026-02-03",
        "trial lift",
        "rear tyres firm",
        "400 kg",
        "2 350 kg",
        "11.5 mm",
        "Next due: 2026-08-03",
        "Which rig?",
    ):
        assert needed in words


def test_the_rig_weighs_the_same_on_placard_and_in_the_balance() -> None:
    job = sample_rig("skerry_point_boatyard")
    rig_kg, _ = centre_of(evaluate(job, job.poses[0]).placed, ("rig",))
    assert plain(f"rig weighs {show(float(rig_kg), 'kg', 'metric')}") in words_on("placard", "skerry_point_boatyard")


@pytest.mark.parametrize("kind", PAPERS)
def test_the_largest_rig_the_file_allows_makes_a_longer_paper_and_nothing_is_lost(kind: str, tmp_path: Path) -> None:
    """A plate of twenty rows, sixty holes and three hundred lines of log: more pages, every one whole."""
    job = sample_rig("tarn_hollow_stone_yard")
    row = job.truck.plate.rows[0]
    plate = REPLACE(job.truck.plate, rows=tuple(REPLACE(row, lift_m=1.0 + 0.12 * index) for index in range(20)))
    boom = REPLACE(job.rig.boom, hole_count=60, hole_pitch_m=0.03, first_hole_m=0.5)
    log = tuple(LogEntry(date=f"day {index}", kind="pick") for index in range(300))
    poses = tuple(REPLACE(pose, hole=60) for pose in job.poses)
    job = REPLACE(job, truck=REPLACE(job.truck, plate=plate), rig=REPLACE(job.rig, boom=boom), log=log, poses=poses)
    sheet = make(kind, job, job.poses[0], "letter", DATE)
    assert outside(sheet) == []
    words = words_of(sheet, tmp_path)
    for wanted in {"build": ("hole 60",), "log": ("day 0", "day 299"), "approval": ("up to 3.28 m",)}.get(kind, ()):
        assert wanted in words


def test_names_too_long_for_a_line_are_broken_not_cut(tmp_path: Path) -> None:
    job: Job = sample_rig("tarn_hollow_stone_yard")
    job = REPLACE(job, name="W" * 120, rig=REPLACE(job.rig, name="M" * 120), load=REPLACE(job.load, name="Q" * 120))
    for kind in ("helper", "pick", "check"):
        sheet = make(kind, job, job.poses[0], "a4", DATE)
        assert outside(sheet) == []
        assert words_of(sheet, tmp_path).replace(" ", "").count("W" * 120) >= 1
