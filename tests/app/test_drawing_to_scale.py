"""Pictures at a drawing scale: measured in the PDF itself, and never without caution, state, loads, date and file."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import msgspec
import pypdf
import pytest
from paper_reader import DATE, plain
from pdf_paths import path_boxes
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QImage, QPalette
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog

from app.panels.fields import ChoiceField
from app.papers.drawing_sheet import drawing, scale_words, scales_that_fit
from app.papers.layout import Sheet
from app.papers.output import write_page
from app.papers.subject import Subject, subject_of
from app.shell.panel_registry import CHART
from app.shell.picture_dialog import PictureDialog
from app.shell.picture_pages import SHOWN, Choice
from app.shell.window import Window
from engine.base.caution import CAUTION
from engine.base.errors import RigFileError
from engine.base.formatting import System
from engine.limits.approval import NOT_APPROVED_PAPER
from engine.planning.load_chart import Chart, load_chart
from tests.samples import ROOT, sample

pytestmark = pytest.mark.usefixtures("qapp")

TRUE_MM, OF_MM = 0.5, 200.0
"""A length on paper is true to so much in so much."""

PAGE_PX = {"a4": QSize(1123, 794), "letter": QSize(1056, 816)}
"""Pages lying on their side, at 96 dots an inch."""


def in_file(rig: str) -> dict[str, float]:
    """Sizes of the truck as they stand in the rig file (m)."""
    truck = json.loads((ROOT / "sample_rigs" / f"{rig}.rig.json").read_text(encoding="utf-8"))["truck"]
    return {
        "wheelbase": truck["wheelbase_m"]["best"],
        "front tyre": 2.0 * truck["front_tyre_radius_m"],
        "rear tyre": 2.0 * truck["rear_tyre_radius_m"],
    }


def subject(rig: str, units: str = "metric") -> Subject:
    job = msgspec.structs.replace(sample(rig), units=units)
    return subject_of(job, job.poses[0], DATE)


def measured_wheelbase(sheet: Sheet, path: Path, sizes: dict[str, float], scale: int) -> float:
    """Millimetres of paper from the middle of the rear tyre to that of the front tyre, in the PDF."""
    write_page(sheet, path)
    circles = [box for box in path_boxes(pypdf.PdfReader(path).pages[0]) if box.curved]
    middles = []
    for tyre in ("rear tyre", "front tyre"):
        wanted = sizes[tyre] * 1000.0 / scale
        tyres = [box for box in circles if max(abs(side - wanted) for side in box.size) < 0.1]
        assert len(tyres) == 1, (tyre, wanted)
        middles.append((tyres[0].left + tyres[0].right) / 2.0)
    return middles[1] - middles[0]


@pytest.mark.parametrize(
    ("rig", "units", "page", "views", "scale"),
    [
        ("skerry_point_boatyard", "metric", "a4", "side", 25),
        ("skerry_point_boatyard", "metric", "a3", "side", 20),
        ("skerry_point_boatyard", "metric", "a4", "both", 50),
        ("lantern_lane_scenery", "us", "letter", "both", 48),
        ("lantern_lane_scenery", "us", "tabloid", "side", 24),
    ],
)
def test_the_wheelbase_measures_true_to_the_scale(
    rig: str, units: System, page: str, views: str, scale: int, tmp_path: Path
) -> None:
    """Within 0.5 mm in 200, the wheelbase from the rig file against the tyres' middles in the PDF."""
    sizes = in_file(rig)
    sheet = drawing(subject(rig, units), views, page, scale)
    wanted_mm = sizes["wheelbase"] * 1000.0 / scale
    assert measured_wheelbase(sheet, tmp_path / "x.pdf", sizes, scale) == pytest.approx(
        wanted_mm, abs=wanted_mm * TRUE_MM / OF_MM
    )
    words = " ".join(mark.words for mark in sheet.pages[0])
    assert f"scale {scale_words(scale, units)} at full paper size" in words


def test_a_bar_to_check_a_print_with_is_as_long_as_it_says(tmp_path: Path) -> None:
    """2 m at 1:25 is 80 mm."""
    write_page(drawing(subject("skerry_point_boatyard"), "side", "a4", 25), tmp_path / "x.pdf")
    page = pypdf.PdfReader(tmp_path / "x.pdf").pages[0]
    assert "This bar stands for 2000 mm and is 80 mm long on paper." in plain(page.extract_text())
    bars = [box for box in path_boxes(page) if abs(box.size[0] - 80.0) < 0.1 and 1.0 < box.size[1] < 1.6]
    assert bars, "7 half points high"


def test_the_largest_standard_scale_that_fits_is_taken() -> None:
    """Truck and rig span 5.30 m from counterweight to load: 1:20 is 265 mm, which an A3 sheet takes and A4 does not."""
    shown = subject("skerry_point_boatyard")
    assert scales_that_fit(shown, "side", "a3")[0] == 20
    assert scales_that_fit(shown, "side", "a4")[0] == 25
    assert "scale 1:25" in " ".join(mark.words for mark in drawing(shown, "side", "a4").pages[0])
    with pytest.raises(RigFileError, match=r"Drawing on A4: expected at most 1:25, got 1:10"):
        drawing(shown, "side", "a4", 10)


def test_us_scales_are_inches_to_a_foot() -> None:
    """An inch to a foot is 1:12."""
    for words, ratio in (("3 in", 4), ("1 in", 12), ("1/2 in", 24), ("3/8 in", 32), ("1/4 in", 48), ("1/8 in", 96)):
        assert scale_words(ratio, "us") == f"{words} = 1 ft (1:{ratio})"
    assert scale_words(25, "metric") == "1:25"


# ---------------------------------------------------------------- what every picture carries


CHARTED = "tarn_hollow_stone_yard"


@pytest.fixture(scope="module")
def chart() -> Chart:
    job = sample(CHARTED)
    return load_chart(job, job.poses[0])


@pytest.fixture
def charted(make_window: Callable[..., Window], chart: Chart, monkeypatch: pytest.MonkeyPatch) -> Window:
    """A window whose load chart is worked out: a stone of 415 kg on 15 kg of rigging, 474.04 kg allowed."""
    window = make_window(CHARTED)
    panel = window.panels[CHART]
    monkeypatch.setattr(panel.background, "ask", lambda *_: None)
    panel.show_document(window.document)
    panel._take(chart, is_whole=True)
    return window


@pytest.mark.parametrize("shows", SHOWN)
def test_every_picture_carries_caution_approval_state_loads_date_and_file(
    charted: Window, shows: str, tmp_path: Path
) -> None:
    pictures = charted.commands.pictures
    for ending in ("pdf", "svg"):
        assert pictures.write(tmp_path / f"x.{ending}", choice=Choice(shows))
    pages = pypdf.PdfReader(tmp_path / "x.pdf").pages
    assert len(pages) == 1
    svg = re.sub(r"<[^>]+>", " ", (tmp_path / "x.svg").read_text("utf-8"))
    for text in (pages[0].extract_text(), svg):
        for words in (CAUTION, NOT_APPROVED_PAPER, "Within the limits", "= hook load", "430 kg", "485 kg", "not saved"):
            assert words in plain(text).replace("\xa0", " "), words
        assert re.search(r"Printed \d{4}-\d\d-\d\d", plain(text))


@pytest.mark.parametrize(
    ("shows", "said"),
    [
        ("chart", ("allowed load, kg", "474 kg P", "hook ahead of the front axle")),
        ("helper", ("What holds", "must keep")),
    ],
)
def test_chart_and_helper_view_are_saved_as_lines_and_letters(
    charted: Window, shows: str, said: tuple[str, ...], tmp_path: Path
) -> None:
    """No picture of dots in either file; words can be searched for, and nothing is painted outside its own pane."""
    pictures = charted.commands.pictures
    for ending in ("pdf", "svg"):
        assert pictures.write(tmp_path / f"x.{ending}", choice=Choice(shows))
    (page,) = pypdf.PdfReader(tmp_path / "x.pdf").pages
    assert not list(page.images)
    svg = (tmp_path / "x.svg").read_text("utf-8")
    assert "<image" not in svg
    for text in (page.extract_text(), re.sub(r"<[^>]+>", " ", svg)):
        assert all(words in plain(text) for words in said)
    assert pictures.write(tmp_path / "x.png", choice=Choice(shows))
    image = QImage(str(tmp_path / "x.png"))
    margin = {image.pixelColor(x, y).name() for x in range(image.width() // 50) for y in range(image.height())}
    assert margin == {"#ffffff"}, "the ground line ends at the edge of its pane"


def test_a_saved_rig_s_picture_names_its_file(window: Window, tmp_path: Path) -> None:
    window.commands.files.save_to(tmp_path / "mine.rig.json")
    assert window.commands.pictures.write(tmp_path / "x.pdf")
    assert "File: mine.rig.json" in plain(pypdf.PdfReader(tmp_path / "x.pdf").pages[0].extract_text())


@pytest.mark.parametrize("fineness", [1, 2, 3])
def test_a_png_is_as_fine_as_asked_for_and_prints_to_scale(window: Window, tmp_path: Path, fineness: int) -> None:
    path = tmp_path / "x.png"
    assert window.commands.pictures.write(path, fineness)
    image, size = QImage(str(path)), PAGE_PX["a4"]
    assert abs(image.width() - size.width() * fineness) <= 2 and abs(image.height() - size.height() * fineness) <= 2
    assert image.width() / image.dotsPerMeterX() == pytest.approx(0.297, rel=0.002)


def test_an_svg_has_the_size_of_its_paper(window: Window, tmp_path: Path) -> None:
    assert window.commands.pictures.write(tmp_path / "x.svg")
    head = (tmp_path / "x.svg").read_text("utf-8")[:400]
    width = re.search(r'width="([\d.]+)mm"', head)
    assert width is not None and float(width[1]) == pytest.approx(297.0, abs=0.3)


def test_a_chart_that_is_not_worked_out_is_said_to_be_coming(
    make_window: Callable[..., Window], chart: Chart, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    window = make_window(CHARTED)
    panel = window.panels[CHART]
    monkeypatch.setattr(panel.background, "ask", lambda *_: None)
    assert not window.commands.pictures.write(tmp_path / "x.pdf", choice=Choice("chart"))
    assert "load chart" in window.notice.text() and not (tmp_path / "x.pdf").exists()
    dialog = window.commands.pictures.ask()
    choose(dialog.options.shows, "Load chart")
    assert not dialog.save.isEnabled() and not dialog.preview.pages
    panel._take(chart, is_whole=True)
    panel.background.ended.emit()
    assert dialog.save.isEnabled() and len(dialog.preview.pages) == 1
    dialog.reject()


# ---------------------------------------------------------------- the dialog


def choose(field: ChoiceField, words: str) -> None:
    """Choose by the arrow keys."""
    field.setFocus()
    QTest.keyClick(field, Qt.Key.Key_Home)
    for _ in range(field.count()):
        if field.currentText() != words:
            QTest.keyClick(field, Qt.Key.Key_Down)
    assert field.currentText() == words


def test_a_picture_is_saved_by_keyboard_at_the_scale_chosen(
    window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "boat"), ""))
    dialog: PictureDialog = window.commands.pictures.ask()
    choose(dialog.options.shows, "Side view")
    choose(dialog.options.page, "A3")
    assert [dialog.options.scale.itemText(at) for at in (0, 1, 2)] == ["Largest that fits: 1:20", "1:20", "1:25"]
    choose(dialog.options.scale, "1:25")
    assert len(dialog.preview.pages) == 1
    QTest.keyClick(dialog, Qt.Key.Key_Return)
    QApplication.processEvents()
    words = plain(pypdf.PdfReader(tmp_path / "boat.pdf").pages[0].extract_text())
    assert "Side view, scale 1:25 at full paper size" in words and "Plan, scale" not in words
    assert "Picture written" in window.notice.text()
    assert notice_ink(window) != window.appearance.colours.error
    assert not window.commands.pictures.write(tmp_path / "no such folder" / "boat.pdf")
    assert "NOT written" in window.notice.text()
    assert notice_ink(window) == window.appearance.colours.error


def notice_ink(window: Window) -> str:
    """Colour that the sentence under the drawing is written in."""
    return window.notice.palette().color(QPalette.ColorRole.WindowText).name()


def test_us_units_offer_letter_paper_and_inches_to_a_foot(make_window: Callable[..., Window]) -> None:
    window = make_window("lantern_lane_scenery")
    window.document.set_units("us")
    dialog = window.commands.pictures.ask()
    assert dialog.choice == Choice("both", "letter", None)
    assert dialog.options.scale.currentText() == "Largest that fits: 3/8 in = 1 ft (1:32)"
    dialog.reject()
