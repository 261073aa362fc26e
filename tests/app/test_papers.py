"""Papers as a person gets them: written to PDF, read back, measured, printed from the menu and from the command line."""

from __future__ import annotations

import functools
import math
import re
import subprocess
import sys
from pathlib import Path

import msgspec
import pypdf
import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QDialogButtonBox, QFileDialog, QLineEdit, QMessageBox

import app.papers.pick_sheet
import engine.explain.approval_request
import engine.explain.placard
from app import __main__ as command
from app.documents.files import SAMPLES, sample_rig
from app.panels.record import ApprovalDialog, LogDialog
from app.papers.build_sheet import build_pictures, build_pose
from app.papers.layout import MM, UNITS_PER_INCH, Sheet
from app.papers.output import PAPERS, make, write_pdf
from app.papers.paper import matter
from app.papers.sections import size_words
from app.shell.paper_commands import PaperCommands
from app.shell.window import Window
from engine.base.caution import CAUTION
from engine.base.errors import RigFileError
from engine.base.formatting import show
from engine.explain.approval_request import request
from engine.explain.dials import dials
from engine.explain.placard import placard
from engine.explain.proof_load import proof_load
from engine.limits.approval import NOT_APPROVED_PAPER
from engine.limits.balance import centre_of
from engine.planning.load_chart import load_chart
from engine.planning.move import plan
from engine.schema import rig_file
from engine.schema.model import Approval, Job, LogEntry
from engine.shop.cut_list import hole_schedules, pieces, weld_list
from engine.worst_case.verdict import STATE_WORDS, evaluate

ROOT = Path(__file__).resolve().parents[2]
DATE = "2026-03-04"
REPLACE = msgspec.structs.replace
PAGES = ("a4", "letter")
MM_PER_PT = 25.4 / 72.0

pytestmark = pytest.mark.usefixtures("qapp", "worked_out_once")

chart_of, plan_of = functools.lru_cache(maxsize=None)(load_chart), functools.lru_cache(maxsize=None)(plan)


@pytest.fixture
def worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Charts and moves cost seconds and many papers ask for the same one; the functions themselves are the real ones."""
    for module in (engine.explain.placard, engine.explain.approval_request):
        monkeypatch.setattr(module, "load_chart", chart_of)
    monkeypatch.setattr(app.papers.pick_sheet, "plan", plan_of)


def plain(text: str) -> str:
    """Text with every kind of white space as one space."""
    return " ".join(text.split())


@functools.cache
def sheet_of(kind: str, rig: str, page: str = "a4") -> Sheet:
    """Each paper is laid out once for all that is asked of it."""
    job = sample_rig(rig)
    return make(kind, job, job.poses[0], page, DATE)


def read_back(sheet: Sheet, path: Path) -> list[str]:
    """Words of each page of a paper's PDF."""
    write_pdf(sheet, path)
    return [plain(page.extract_text()) for page in pypdf.PdfReader(path).pages]


SOME_RIGS = tuple(SAMPLES)[:3]
EVERY_RIG = (*SOME_RIGS, *(pytest.param(name, marks=pytest.mark.slow) for name in tuple(SAMPLES)[3:]))
"""The rest take a minute more and run with the slow tests."""


def words_of(sheet: Sheet, tmp_path: Path) -> str:
    return " ".join(read_back(sheet, tmp_path / "paper.pdf"))


# ---------------------------------------------------------------- every paper, every sample


@pytest.mark.parametrize("rig", EVERY_RIG)
@pytest.mark.parametrize("kind", PAPERS)
def test_every_page_says_what_it_is_and_carries_the_caution(kind: str, rig: str, tmp_path: Path) -> None:
    job = sample_rig(rig)
    pages = read_back(sheet_of(kind, rig), tmp_path / "paper.pdf")
    assert 1 <= len(pages) <= 2
    for number, words in enumerate(pages, start=1):
        for needed in (
            PAPERS[kind].title,
            job.name,
            f"revision {job.rig.revision}",
            DATE,
            "Units: metres",
            CAUTION,
            f"page {number} of {len(pages)}",
        ):
            assert plain(needed) in words
        assert words.count(NOT_APPROVED_PAPER) == 2, "across the page and in its head"
    whole = " ".join(pages)
    assert "Not known, and assumed" in whole
    assert "No approval of the truck's maker is entered." in whole
    assert not re.search(r"certif|load rating|rated by", whole, re.IGNORECASE)


@pytest.mark.parametrize("rig", EVERY_RIG)
@pytest.mark.parametrize("kind", PAPERS)
@pytest.mark.parametrize("page", PAGES)
def test_nothing_is_clipped_or_runs_off_the_page(kind: str, rig: str, page: str) -> None:
    sheet = sheet_of(kind, rig, page)
    assert len(sheet.pages) <= 2
    assert [(mark.kind, mark.words) for mark in sheet.outside()] == []
    for marks in sheet.pages:
        texts = [mark for mark in marks if mark.kind == "text"]
        for mark in texts:
            assert mark.box.right() <= sheet.width - 11.0 * MM, mark.words
            assert mark.box.left() >= 11.0 * MM, mark.words
        for index, one in enumerate(texts):
            for other in texts[index + 1 :]:
                lapped = one.box.adjusted(1.0, 2.0, -1.0, -2.0).intersected(other.box.adjusted(1.0, 2.0, -1.0, -2.0))
                assert lapped.isEmpty(), (one.words, other.words)


@pytest.mark.parametrize("kind", PAPERS)
def test_pages_have_the_size_asked_for(kind: str, tmp_path: Path) -> None:
    for page, size in (("a4", (595.0, 842.0)), ("letter", (612.0, 792.0))):
        write_pdf(sheet_of(kind, "tarn_hollow_stone_yard", page), tmp_path / "paper.pdf")
        for found in pypdf.PdfReader(tmp_path / "paper.pdf").pages:
            assert (float(found.mediabox.width), float(found.mediabox.height)) == pytest.approx(size, abs=1.0)


@pytest.mark.parametrize("kind", ["helper", "pick", "build", "proof", "check"])
def test_us_units_are_used_throughout(kind: str, tmp_path: Path) -> None:
    job = REPLACE(sample_rig("skerry_point_boatyard"), units="us")
    words = words_of(make(kind, job, job.poses[0], "letter", DATE), tmp_path)
    assert "Units: feet, inches" in words
    assert " lb" in words
    if kind != "check":  # its first table is in SI and says so
        assert not re.search(r"\d (kg|mm|m)\b", words.replace("50-100 mm", ""))


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
        assert "Approval's limit: at most 74 kg" in words  # 90 less the rigging of 15 at its heaviest


# ---------------------------------------------------------------- numbers are the engine's


@pytest.mark.parametrize("rig", SOME_RIGS)
def test_helper_card_shows_the_engine_s_dials(rig: str, tmp_path: Path) -> None:
    job = sample_rig(rig)
    words = words_of(sheet_of("helper", rig), tmp_path)
    verdict = evaluate(job, job.poses[0])
    assert STATE_WORDS[verdict.state] in words
    for dial in dials(job, verdict):
        assert plain(show(dial.left, "kg_down" if dial.unit == "kg" else dial.unit, "metric")) in words
        assert plain(show(dial.best, dial.unit, "metric")) in words


@pytest.mark.parametrize("rig", SOME_RIGS)
def test_pick_sheet_shows_load_and_what_is_allowed(rig: str, tmp_path: Path) -> None:
    job = sample_rig(rig)
    words = words_of(sheet_of("pick", rig), tmp_path)
    verdict = evaluate(job, job.poses[0])
    assert plain(f"at most {show(verdict.allowed_load_kg, 'kg_down', 'metric')} here") in words
    assert plain(show(verdict.worst_case.standing.rear_weight_left_kg, "kg_down", "metric")) in words
    assert plain(show(float(verdict.placed.hook_m.z), "m", "metric")) in words
    assert "Raised 50-100 mm" in words


def test_pick_sheet_does_not_say_within_when_the_move_is_not(tmp_path: Path) -> None:
    job = sample_rig("cold_spring_vineyard")
    found = plan_of(job, job.moves[0])
    words = words_of(sheet_of("pick", "cold_spring_vineyard"), tmp_path)
    assert (evaluate(job, job.poses[0]).state, found.state) == ("WITHIN", "OVER")
    assert plain(f"BUT move {found.name}: Over a limit") in words
    worst = found.steps[found.worst_step]
    assert plain(f"{show(worst.peak_use, 'share', 'metric')} used") in words


def test_placard_shows_every_cell_of_the_engine_s(tmp_path: Path) -> None:
    job = sample_rig("skerry_point_boatyard")
    words = words_of(sheet_of("placard", "skerry_point_boatyard"), tmp_path)
    found = placard(job, job.poses[0])
    for hole, out_m, row in zip(found.holes, found.out_m, found.cells, strict=True):
        cells = [str(hole), show(out_m, "m", "metric"), *(show(cell.allowed_kg, "kg_down", "metric") for cell in row)]
        assert plain(" ".join(cells)) in words
    assert "Not valid unless signed" in words
    assert "approved by (blank until given)" in words


@pytest.mark.parametrize("rig", SOME_RIGS)
def test_build_sheet_lists_every_piece_hole_and_weld(rig: str, tmp_path: Path) -> None:
    job = sample_rig(rig)
    about = matter(job, job.poses[0], DATE)
    words = words_of(sheet_of("build", rig), tmp_path)
    for piece in pieces(job):
        assert plain(f"{piece.count} x {piece.part}") in words
        assert plain(size_words(about, piece.length_m)) in words
    for schedule in hole_schedules(job.rig):
        for hole in schedule.holes:
            assert plain(f"{hole.name} {_mm(hole.from_datum_m)} mm {_mm(hole.step_m)} mm") in words
    for weld in weld_list(job):
        assert plain(weld.name) in words
    total = sum(piece.count * piece.mass_each_kg for piece in pieces(job))
    assert plain(show(total, "mass", "metric")) in words


def _mm(value_m: float) -> str:
    text = f"{value_m * 1000.0:.2f}".rstrip("0").rstrip(".")
    return text or "0"


def test_approval_request_gives_mass_centre_and_hook_at_each_hole(tmp_path: Path) -> None:
    job = sample_rig("skerry_point_boatyard")
    words = words_of(sheet_of("approval", "skerry_point_boatyard"), tmp_path)
    found = request(job, job.poses[0])
    for row in found.at_holes:
        centre = f"{show(float(row.centre_m.x), 'm', 'metric')} ahead, {show(float(row.centre_m.z), 'm', 'metric')} up"
        hook = f"{show(float(row.hook_m.x), 'm', 'metric')} ahead, {show(float(row.hook_m.z), 'm', 'metric')} up"
        assert plain(f"{centre} {hook} {show(row.request_kg, 'kg_down', 'metric')}") in words
    for worst in found.worst:
        assert plain(f"{worst.line} {show(worst.use, 'share', 'metric')}") in words
    assert "The maker cannot answer without the truck's serial number." in words
    assert plain(show(found.combined.both_kg, "kg", "metric")) in words


@pytest.mark.parametrize("rig", SOME_RIGS)
def test_proof_sheet_gives_load_rear_weight_and_sag(rig: str, tmp_path: Path) -> None:
    job = sample_rig(rig)
    words = words_of(sheet_of("proof", rig), tmp_path)
    found = proof_load(job, job.poses[0])
    if found is None:
        assert "No test load" in words
        return
    for value in (found.test_hung_kg, found.test_load_kg, found.rear_empty_kg, found.rear_kg):
        assert plain(show(value, "kg", "metric")) in words
    assert plain(show(found.sag_m, "length", "metric")) in words
    assert ("ON A FIXED FRAME" in words) == found.on_a_frame


@pytest.mark.parametrize("rig", SOME_RIGS)
def test_hand_check_s_column_of_moments_adds_up_to_the_engine_s_margin(rig: str, tmp_path: Path) -> None:
    job = sample_rig(rig)
    verdict = evaluate(job, job.poses[0])
    write_pdf(sheet_of("check", rig), tmp_path / "paper.pdf")
    words = plain(pypdf.PdfReader(tmp_path / "paper.pdf").pages[0].extract_text())
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


def test_the_rig_weighs_the_same_on_placard_and_in_the_balance(tmp_path: Path) -> None:
    job = sample_rig("skerry_point_boatyard")
    rig_kg, _ = centre_of(evaluate(job, job.poses[0]).placed, ("rig",))
    assert plain(f"rig weighs {show(float(rig_kg), 'kg', 'metric')}") in words_of(
        sheet_of("placard", "skerry_point_boatyard"), tmp_path
    )


# ---------------------------------------------------------------- drawn to scale


def paths_mm(page: pypdf.PageObject) -> list[tuple[float, float]]:
    """Width and height (mm) of every path painted on a page, from its content stream."""
    matrix, kept, points, found = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0), [], [], []
    for operands, operator in pypdf.generic.ContentStream(page.get_contents(), page.pdf).operations:
        numbers = [float(value) for value in operands] if operator in (b"cm", b"m", b"l", b"c", b"re") else []
        if operator == b"q":
            kept.append(matrix)
        elif operator == b"Q":
            matrix = kept.pop()
        elif operator == b"cm":
            a, b, c, d, e, f = numbers
            p, q, r, s, t, u = matrix
            matrix = (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)
        elif operator == b"re":
            x, y, w, h = numbers
            points += [_moved(matrix, x, y), _moved(matrix, x + w, y + h)]
        elif numbers:
            points += [_moved(matrix, *numbers[index : index + 2]) for index in range(0, len(numbers), 2)]
        elif operator in (b"S", b"s", b"f", b"F", b"f*", b"B", b"B*", b"b", b"b*", b"n"):
            if points:
                across, up = zip(*points, strict=True)
                found.append(((max(across) - min(across)) * MM_PER_PT, (max(up) - min(up)) * MM_PER_PT))
            points = []
    return found


def _moved(matrix: tuple[float, ...], x: float, y: float) -> tuple[float, float]:
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("rig", ["tarn_hollow_stone_yard", "skerry_point_boatyard"])
def test_the_boom_and_sleeves_measure_true_on_the_build_sheet(rig: str, page: str, tmp_path: Path) -> None:
    """Boom from the side, both sleeves from above: within 0.2 mm of size over scale, in the PDF itself."""
    job = sample_rig(rig)
    sheet = sheet_of("build", rig, page)
    write_pdf(sheet, tmp_path / "paper.pdf")
    found = paths_mm(pypdf.PdfReader(tmp_path / "paper.pdf").pages[0])
    scale = int(re.search(r"scale 1:(\d+)", " ".join(mark.words for mark in sheet.pages[0]))[1])
    boom, sleeves = job.rig.boom, job.rig.sleeves
    for width_m, height_m in (
        (boom.length_m, boom.section.depth_m),
        (sleeves.length_m, job.truck.forks.spread_m + sleeves.section.width_m),
    ):
        wanted = (width_m * 1000.0 / scale, height_m * 1000.0 / scale)
        assert any(math.dist(size, wanted) <= 0.2 for size in found), (wanted, scale)


def test_drawings_are_vectors_not_pictures(tmp_path: Path) -> None:
    for kind in ("helper", "build", "approval"):
        write_pdf(sheet_of(kind, "tarn_hollow_stone_yard"), tmp_path / "paper.pdf")
        for page in pypdf.PdfReader(tmp_path / "paper.pdf").pages:
            assert len(page.images) == 0


def test_side_and_plan_of_the_build_sheet_share_scale_and_x() -> None:
    job, pose = build_pose(sample_rig("skerry_point_boatyard"))
    about = matter(job, pose, DATE)
    upright, above = build_pictures(about, job, pose, about.verdict, 170.0 * MM, 104.0 * MM)
    assert upright.scale == above.scale
    assert (upright.source.left(), upright.source.width()) == (above.source.left(), above.source.width())
    assert upright.units_per_mm * 25.4 == pytest.approx(UNITS_PER_INCH / upright.scale)


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
    assert sheet.outside() == []
    words = words_of(sheet, tmp_path)
    for wanted in {"build": ("hole 60",), "log": ("day 0", "day 299"), "approval": ("up to 3.28 m",)}.get(kind, ()):
        assert wanted in words


# ---------------------------------------------------------------- ways out of the program


def test_the_command_line_writes_a_paper_without_a_screen(tmp_path: Path) -> None:
    out = tmp_path / "pick.pdf"
    done = _run(
        "skerry_point_boatyard",
        "--paper",
        "pick",
        "--out",
        str(out),
        "--page",
        "letter",
        "--pose",
        "one hole further out",
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert "one hole further out" in plain(pypdf.PdfReader(out).pages[0].extract_text())


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("skerry_point_boatyard", "--paper", "pick"), "go together"),
        (("skerry_point_boatyard", "--paper", "poster", "--out", "x.pdf"), "invalid choice"),
        (("skerry_point_boatyard", "--paper", "log", "--out", "no/such/folder/x.pdf"), "PDF file"),
    ],
)
def test_a_paper_that_cannot_be_is_one_clear_line_and_status_2(arguments: tuple[str, ...], says: str) -> None:
    done = _run(*arguments)
    assert done.returncode == 2
    assert says in done.stderr.strip().splitlines()[-1]
    assert "Traceback" not in done.stderr


def _run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "app", *arguments], cwd=ROOT, capture_output=True, text=True, timeout=120
    )


def test_the_command_line_knows_every_kind_of_paper() -> None:
    assert tuple(PAPERS) == command.KINDS


def test_a_file_that_cannot_be_written_leaves_the_old_one_whole(tmp_path: Path) -> None:
    with pytest.raises(RigFileError):
        write_pdf(sheet_of("log", "tarn_hollow_stone_yard"), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_the_papers_menu_has_every_paper_and_writes_the_pose_shown(
    window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    menu = next(action.menu() for action in window.menuBar().actions() if action.text().replace("&", "") == "Papers")
    titles = [
        action.text()
        for action in menu.actions()
        if action.menu() is None and not action.isCheckable() and action.text()
    ]
    assert titles[: len(PAPERS)] == [f"{paper.title}..." for paper in PAPERS.values()]
    out = tmp_path / "card"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(out), ""))
    window.step_pose(1)
    menu.actions()[0].trigger()
    QApplication.processEvents()
    words = plain(pypdf.PdfReader(out.with_suffix(".pdf")).pages[0].extract_text())
    assert window.document.pose.name in words
    assert "written" in window.notice.text()


def test_page_size_follows_the_units_until_it_is_chosen(window: Window, settings: QSettings) -> None:
    papering: PaperCommands = window.papering
    assert papering.page == "a4"
    window.set_units("us")
    assert papering.page == "letter"
    papering.set_page("a4")
    assert papering.page == "a4"
    settings.setValue("page", "poster")
    assert papering.page == "letter"


def test_names_too_long_for_a_line_are_broken_not_cut(tmp_path: Path) -> None:
    job: Job = sample_rig("tarn_hollow_stone_yard")
    job = REPLACE(job, name="W" * 120, rig=REPLACE(job.rig, name="M" * 120), load=REPLACE(job.load, name="Q" * 120))
    for kind in ("helper", "pick", "check"):
        sheet = make(kind, job, job.poses[0], "a4", DATE)
        assert sheet.outside() == []
        assert words_of(sheet, tmp_path).replace(" ", "").count("W" * 120) >= 1


# ---------------------------------------------------------------- what goes on record


def _type(field: QLineEdit, text: str) -> None:
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def test_an_approval_needs_reference_date_and_both_limits_and_can_be_undone(
    window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    def answer(dialog: ApprovalDialog) -> int:
        ok = dialog.buttons.button(QDialogButtonBox.StandardButton.Ok)
        dialog.show()
        for name, text in (
            ("reference", "M-12"),
            ("date", "2026-02-01"),
            ("allowed_kg", "150 kg"),
            ("lift_max_m", "2 m"),
        ):
            assert not ok.isEnabled()
            _type(dialog.lines[name] if name in dialog.lines else dialog.fields[name], text)
        assert ok.isEnabled()
        return QDialog.DialogCode.Accepted

    monkeypatch.setattr(ApprovalDialog, "exec", answer)
    window.papering.ask_approval()
    approval = window.document.job.approval
    assert (approval.reference, approval.allowed_kg, approval.lift_max_m) == ("M-12", 150.0, 2.0)
    assert "NOT APPROVED" not in window.windowTitle()
    assert "Approval entered: M-12" in window.banner.text
    window.document.undo_stack.undo()
    assert window.document.job.approval is None
    assert "NOT APPROVED" in window.windowTitle()


def test_an_approval_can_be_taken_out_again(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    job = window.document.job
    window.document.set_job(
        REPLACE(job, approval=Approval(reference="M", date="d", allowed_kg=100.0, lift_max_m=2.0)), "approve"
    )

    def answer(dialog: ApprovalDialog) -> int:
        dialog.none.click()
        return dialog.result()

    monkeypatch.setattr(ApprovalDialog, "exec", answer)
    window.papering.ask_approval()
    assert window.document.job.approval is None


def test_a_log_entry_goes_into_the_rig_file_and_onto_the_paper(
    window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def answer(dialog: LogDialog) -> int:
        dialog.show()
        dialog.kind.set_value("inspection")
        _type(dialog.lines["by"], "A. B.")
        _type(dialog.fields["rear_kg"], "1790 kg")
        _type(dialog.lines["words"], "welds looked at with dye")
        return QDialog.DialogCode.Accepted

    monkeypatch.setattr(LogDialog, "exec", answer)
    window.papering.ask_log_entry()
    entry = window.document.job.log[-1]
    assert (entry.kind, entry.by, entry.rear_kg, entry.sag_m, entry.pose) == (
        "inspection",
        "A. B.",
        1790.0,
        None,
        window.document.pose.name,
    )
    path = tmp_path / "kept.rig.json"
    rig_file.write(window.document.job, path)
    assert rig_file.read(path).log == (entry,)
    job = window.document.job
    assert "welds looked at with dye" in words_of(make("log", job, job.poses[0], "a4", DATE), tmp_path)


def test_a_paper_that_cannot_be_made_is_told_of_when_printed_too(
    window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("PySide6.QtPrintSupport.QPrintDialog.exec", lambda _: QDialog.DialogCode.Accepted)

    def fault(_: str) -> Sheet:
        raise RigFileError("rig.hook", "a hook that can be drawn", "none")

    monkeypatch.setattr(window.papering, "made", fault)
    window.papering.print("pick")
    box = window.findChild(QMessageBox)
    assert box.text() == "The paper was NOT made." and "a hook that can be drawn" in box.informativeText()
    box.close()
