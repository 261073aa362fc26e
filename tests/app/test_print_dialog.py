"""File > Print: every paper and the drawing with a preview, by keyboard, to a printer or into a file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest
from paper_reader import plain
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QFileDialog

from app.papers import output
from app.papers.layout import Sheet
from app.papers.titles import TITLES
from app.shell.print_dialog import TAKES_SECONDS, PrintDialog
from app.shell.window import Window

CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def dialog(window: Window) -> PrintDialog:
    """The dialog as Ctrl+P opens it, on a rig with moves taken out so that its pick sheet is quick."""
    window.document.set_value("moves", (), "No moves")
    QTest.keyClick(window, Qt.Key.Key_P, CTRL)
    dialog = window.commands.print_dialog
    assert dialog.isVisible()
    return dialog


def choose(dialog: PrintDialog, kind: str) -> None:
    """Go to a paper with the arrow keys; its preview comes at rest."""
    wanted = list(TITLES).index(kind)
    while dialog.list.currentRow() != wanted:
        key = Qt.Key.Key_Down if dialog.list.currentRow() < wanted else Qt.Key.Key_Up
        QTest.keyClick(dialog.list, key)
    dialog._at_rest.timeout.emit()


def test_every_paper_is_listed_and_the_pick_sheet_shown_first(dialog: PrintDialog) -> None:
    assert [dialog.list.item(row).text() for row in range(dialog.list.count())] == list(TITLES.values())
    assert dialog.kind == "pick"
    dialog._at_rest.timeout.emit()
    assert dialog.preview.pages and dialog.print.isEnabled()
    page = dialog.preview.pages[0].pixmap()
    assert page.height() / page.width() == pytest.approx(297.0 / 210.0, rel=0.01)


def test_a_paper_chosen_by_keyboard_is_shown_and_written(
    window: Window, dialog: PrintDialog, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "x"), ""))
    choose(dialog, "helper")
    assert dialog.preview.pages
    dialog.pdf.setFocus()
    QTest.keyClick(dialog.pdf, Qt.Key.Key_Space)
    QApplication.processEvents()
    assert "Helper card" in plain(pypdf.PdfReader(tmp_path / "x.pdf").pages[0].extract_text())
    assert "Helper card written" in window.notice.text()


def test_the_drawing_has_scales_and_prints_as_chosen(dialog: PrintDialog, monkeypatch: pytest.MonkeyPatch) -> None:
    printed = []
    monkeypatch.setattr("PySide6.QtPrintSupport.QPrintDialog.exec", lambda _: QDialog.DialogCode.Accepted)
    monkeypatch.setattr(output, "print_on", lambda sheet, _printer: printed.append(sheet) or True)
    assert not dialog.options.isVisible()
    choose(dialog, "drawing")
    assert dialog.options.isVisible() and not dialog.page.isVisible()
    dialog.options.shows.setFocus()
    QTest.keyClick(dialog.options.shows, Qt.Key.Key_Home)
    assert dialog.options.choice.shows == "side"
    QTest.keyClick(dialog.options.scale, Qt.Key.Key_End)
    assert dialog.options.choice.scale == 200
    assert dialog.print.isDefault() and dialog.print.isEnabled()
    QTest.keyClick(dialog, Qt.Key.Key_Return)
    assert not dialog.isVisible()
    QApplication.processEvents()
    (sheet,) = printed
    assert "Side view, scale 1:200 at full paper size" in [mark.words for mark in sheet.pages[0]]


def test_a_paper_that_takes_seconds_waits_until_it_is_asked_for(
    window: Window, dialog: PrintDialog, monkeypatch: pytest.MonkeyPatch
) -> None:
    made, document = [], window.document

    def make(kind: str) -> Sheet:
        made.append(kind)
        return output.make("log", document.job, document.pose)

    monkeypatch.setattr(dialog, "_make", make)
    choose(dialog, "placard")
    assert dialog.show_it.isVisible() and not dialog.preview.pages and made == []
    assert TAKES_SECONDS in dialog.preview._words and dialog.print.isEnabled()
    QTest.keyClick(dialog.show_it, Qt.Key.Key_Space)
    assert made == ["placard"] and dialog.preview.pages and not dialog.show_it.isVisible()
    choose(dialog, "helper")
    choose(dialog, "placard")
    assert made == ["placard", "helper"], "kept"


def test_the_page_chosen_is_that_of_all_papers(window: Window, dialog: PrintDialog) -> None:
    choose(dialog, "helper")
    dialog.page.setFocus()
    QTest.keyClick(dialog.page, Qt.Key.Key_Down)
    assert window.commands.papers.page == "letter"
    page = dialog.preview.pages[0].pixmap()
    assert page.height() / page.width() == pytest.approx(11.0 / 8.5, rel=0.01)


def test_a_pick_sheet_with_a_move_waits_as_well(make_window: Callable[..., Window]) -> None:
    window = make_window("cold_spring_vineyard")
    assert window.document.job.moves
    window.commands.ask_print()
    dialog = window.commands.print_dialog
    dialog._at_rest.timeout.emit()
    assert dialog.show_it.isVisible()
    dialog.reject()
