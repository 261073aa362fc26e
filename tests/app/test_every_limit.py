"""Every limit: the row chosen holds its sum, and one thing scrolls at any size of text."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, QPointF, QRect, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QScrollArea, QWidget

from app.panels.limit_rows import LimitRows
from app.shell.panel_registry import LIMITS
from app.shell.window import Window


@pytest.fixture(params=[100, 200])
def limits(make_window: Callable[..., Window], request: pytest.FixtureRequest) -> LimitRows:
    """The list of every limit in a small window, the keyboard in it, at the size of text that is asked for."""
    window = make_window("skerry_point_boatyard")
    window.appearance.set_text_size(request.param)
    window.resize(1280, 800)
    window.panels.bring(LIMITS)
    QTest.qWait(100)
    rows = window.panels[LIMITS].findChild(LimitRows)
    rows.setFocus()
    return rows


def pages_that_scroll(widget: QWidget) -> list[QScrollArea]:
    """Scroll areas round a widget that have anything to scroll."""
    found, part = [], widget.parentWidget()
    while part is not None:
        if isinstance(part, QScrollArea) and part.verticalScrollBar().maximum() > 0:
            found.append(part)
        part = part.parentWidget()
    return found


def seen(rows: LimitRows, row: QRect) -> QRect:
    """What is to be seen of a row."""
    return rows.viewport().visibleRegion().boundingRect().intersected(row)


def test_one_page_scrolls_and_follows_the_row_chosen(limits: LimitRows) -> None:
    """Down and Page Down choose; the row's head is to be seen with its sum under it, and so it is after End."""
    (page,) = pages_that_scroll(limits)
    for key, count in ((Qt.Key.Key_Down, 9), (Qt.Key.Key_PageDown, 2), (Qt.Key.Key_End, 1), (Qt.Key.Key_PageUp, 1)):
        before = limits.currentRow()
        for _ in range(count):
            QTest.keyClick(limits, key)
        QTest.qWait(50)
        row = limits.visualItemRect(limits.currentItem())
        assert abs(limits.currentRow() - before) >= 1 and limits.verticalScrollBar().maximum() == 0
        assert seen(limits, row).top() == row.top() and seen(limits, row).height() >= min(row.height(), 150)
        assert limits.sum.isVisible() and row.contains(limits.sum.geometry())
        assert limits.sum.text().startswith(limits.chosen_check.name if limits.chosen_check else "?")
        assert limits.sum.heightForWidth(limits.sum.width()) <= limits.sum.height(), "no line of the sum is cut"
    assert pages_that_scroll(limits) == [page]
    assert limits.currentRow() < limits.count() - 1, "a page up from the last row"


def test_a_click_moves_the_sum_into_another_row_and_the_wheel_scrolls_the_page(limits: LimitRows) -> None:
    (page,) = pages_that_scroll(limits)
    bar = page.verticalScrollBar()
    QTest.keyClick(limits, Qt.Key.Key_Home)
    QTest.qWait(50)
    heights = [limits.visualItemRect(limits.item(row)).height() for row in (0, 1)]
    second = limits.visualItemRect(limits.item(1))
    QTest.mouseClick(limits.viewport(), Qt.MouseButton.LeftButton, pos=second.topLeft() + QPoint(20, 6))
    QTest.qWait(50)
    assert limits.currentRow() == 1 and limits.visualItemRect(limits.item(1)).contains(limits.sum.geometry())
    assert limits.visualItemRect(limits.item(0)).height() < heights[0]
    assert limits.visualItemRect(limits.item(1)).height() > heights[1]
    before, middle = bar.value(), seen(limits, limits.rect()).center()
    window = limits.window()
    at = limits.viewport().mapTo(window, middle)
    QTest.wheelEvent(window.windowHandle(), QPointF(at), QPoint(0, -240))
    QApplication.processEvents()
    assert bar.value() > before


def test_row_and_sum_are_copied_by_keys(limits: LimitRows) -> None:
    """Ctrl+C on a row copies the row; a Tab further the sum is selected and copied."""
    QTest.keyClick(limits, Qt.Key.Key_Down)
    QTest.keyClick(limits, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text() == limits.rows[limits.currentRow()]
    QTest.keyClick(limits, Qt.Key.Key_Tab)
    assert limits.window().focusWidget() is limits.sum
    QTest.keyClick(limits.sum, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClick(limits.sum, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    copied = QGuiApplication.clipboard().text()
    assert copied.splitlines() == limits.sum.text().splitlines() and "Source: " in copied


def test_the_row_chosen_keeps_its_sum_while_the_pose_changes(limits: LimitRows) -> None:
    """A limit that moves in the list takes its sum along, with its new numbers."""
    window = limits.window()
    assert isinstance(window, Window)
    QTest.keyClick(limits, Qt.Key.Key_Down)
    name, before = limits.chosen_check, limits.sum.text()
    window.document.show_pose(1)
    QTest.qWait(50)
    assert name is not None and limits.chosen_check is not None and limits.chosen_check.name == name.name
    assert limits.sum.text() != before and limits.sum.text().startswith(name.name)
    assert limits.visualItemRect(limits.currentItem()).contains(limits.sum.geometry())
