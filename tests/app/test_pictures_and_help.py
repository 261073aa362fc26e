"""Pictures that always carry caution and verdict, the built-in guide, the hint of the first run."""

from __future__ import annotations

from pathlib import Path

from boxes import the_box
from PySide6.QtCore import QSettings, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.panels.about import AboutSheet, details
from app.panels.guide_pages import PAGES, page_for
from app.panels.stage_bar import STAGES
from app.shell.first_hint import SEEN
from app.shell.window import Window
from engine.base.caution import CAUTION


def test_a_picture_that_cannot_be_written_is_told_and_spoils_nothing(window: Window, tmp_path: Path) -> None:
    path = tmp_path / "no such folder" / "x.png"
    assert not window.commands.pictures.write(path)
    assert "The picture was NOT written. This place is not there:" in window.notice.text()
    the_box(window).close()
    kept = tmp_path / "kept.gif"
    kept.write_bytes(b"mine")
    assert not window.commands.pictures.write(kept) and kept.read_bytes() == b"mine"


def test_a_picture_is_copied_by_a_key(window: Window) -> None:
    QGuiApplication.clipboard().clear()
    keys = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    QTest.keyClick(window, Qt.Key.Key_C, keys)
    assert not QGuiApplication.clipboard().image().isNull()
    assert "clipboard" in window.notice.text()


# ---------------------------------------------------------------- help


def test_f1_opens_the_guide_at_the_stage_shown(window: Window) -> None:
    for number, stage in enumerate(STAGES):
        window.panels.show_group(number)
        window.views.side_view.setFocus()
        QTest.keyClick(window, Qt.Key.Key_F1)
        guide = window.commands._guide
        assert guide.isVisible() and PAGES[guide.list.currentRow()].stage == stage
        assert PAGES[page_for(stage)].title in guide.text.toPlainText()
    QTest.keyClick(guide, Qt.Key.Key_Escape)
    assert not guide.isVisible()


def test_the_guide_has_a_page_for_each_stage_words_states_and_limits() -> None:
    titles = [page.title for page in PAGES]
    assert {page.stage for page in PAGES} - {""} == set(STAGES) and len(titles) >= 10
    assert {"Words", "States", "Limits of this program"} <= set(titles)
    text = " ".join(page.text for page in PAGES)
    for state in ("WITHIN", "NOT PROVEN", "OVER", "REFUSED"):
        assert f"**{state}**" in text
    assert "Never lift people" in text and "written approval" in text


def test_about_says_version_licence_warnings_and_limits(window: Window) -> None:
    window.commands.show_about()
    (sheet,) = window.findChildren(AboutSheet)
    assert CAUTION in sheet.said.text() and "MIT licence" in sheet.said.text()
    sheet.copy.click()
    assert QGuiApplication.clipboard().text() == details() and "Qt" in details()
    sheet.reject()


# ---------------------------------------------------------------- hint


def test_the_hint_goes_after_three_kinds_of_pull_or_a_click_and_comes_again_when_asked(
    window: Window, settings: QSettings
) -> None:
    hint = window.hint
    assert not hint.isVisible()
    hint.offer()
    assert hint.isVisible()
    for handle in ("arm 0", "arm 1", "lift", "lift"):
        hint.pulled(handle)
        assert hint.isVisible()
    hint.pulled("hook")
    assert not hint.isVisible() and settings.value(SEEN) == "yes"
    hint.offer()
    assert not hint.isVisible()
    hint.show_again()
    hint.got.click()
    QApplication.processEvents()
    assert not hint.isVisible()
