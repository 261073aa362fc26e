"""The helper view at the usual screen sizes: full panes, letters for two metres, every tag led to its mark."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from app.canvas.marks import CentreMark, Tag, nearest
from app.documents.document import Document
from app.documents.files import SAMPLES
from app.look.theme import LIGHT
from app.shell.helper import HelperView, Sheet
from app.shell.pane_widths import Content, pane_widths
from engine.explain.why import why
from tests import samples
from tests.thoroughness import every

SIZES = ((1920, 1080), (1366, 768))


@pytest.fixture(params=every(3, list(SAMPLES)))
def view(request: pytest.FixtureRequest, qtbot: QtBot) -> Iterator[HelperView]:
    document = Document(samples.sample(request.param))
    view = HelperView(document, LIGHT, lambda shown: why(shown.job, shown.pose, shown.verdict))
    qtbot.addWidget(view)
    view.show()
    yield view
    document.deleteLater()


def settled(view: HelperView, size: tuple[int, int]) -> None:
    view.resize(*size)
    for _ in range(3):
        QApplication.processEvents()


def rect_px(sheet: Sheet, item: object) -> QRectF:
    return item.deviceTransform(sheet.viewportTransform()).mapRect(item.boundingRect())


def tags(sheet: Sheet) -> list[Tag]:
    return [item for item in sheet.scene().items() if isinstance(item, Tag) and item.isVisible() and item.text]


def content_px(sheet: Sheet) -> QRectF:
    """What is drawn on a sheet, without the endless lines of floor, tipping line and centreline."""
    seen, content = QRectF(sheet.viewport().rect()), QRectF()
    for item in sheet.scene().items():
        rect = rect_px(sheet, item)
        if item.isVisible() and not rect.isEmpty() and rect.width() <= seen.width() and rect.height() <= seen.height():
            content |= rect
    return content & seen


def far(rect: QRectF, at: QPointF) -> float:
    way = nearest(rect, at) - at
    return way.manhattanLength()


def check_fill(sheet: Sheet) -> None:
    content = content_px(sheet)
    shares = sorted((content.width() / sheet.viewport().width(), content.height() / sheet.viewport().height()))
    assert shares[1] >= 0.85, (sheet.accessibleName(), shares)
    assert shares[0] >= 0.60, (sheet.accessibleName(), shares)


def check_tags(sheet: Sheet) -> None:
    """On the sheet, off each other, and each led to its mark or nearer to it than to any other."""
    seen, shown = QRectF(sheet.viewport().rect()), tags(sheet)
    marks = [item for item in sheet.scene().items() if isinstance(item, CentreMark) and item.isVisible()]
    rects = [rect_px(sheet, tag) if not tag.led else led_rect(sheet, tag) for tag in shown]
    for tag, rect in zip(shown, rects, strict=True):
        assert seen.contains(rect), tag.text
        assert not any(rect.intersects(other) for other in rects if other is not rect), tag.text
        own = sheet.viewportTransform().map(tag.pos())
        assert rect_px(sheet, tag).contains(own) or far(rect, own) <= min(
            (far(rect, sheet.viewportTransform().map(mark.pos())) for mark in marks), default=far(rect, own)
        ), tag.text
        assert tag.led or far(rect, own) <= 0.6 * rect.width(), tag.text


def led_rect(sheet: Sheet, tag: Tag) -> QRectF:
    at = sheet.viewportTransform().map(tag.pos())
    return tag.screen_rect(1.0).translated(at - tag.pos())


def check_letters(view: HelperView, height: int) -> None:
    """Large enough for two metres, none cut and none shrunk."""
    sentence = next(label for label in view.findChildren(QLabel) if label.accessibleName() == "sentence")
    assert sentence.fontInfo().pixelSize() >= height // 18
    assert sentence.height() >= sentence.heightForWidth(sentence.width())
    assert sentence.height() <= 4.8 * sentence.fontMetrics().lineSpacing()  # the drawings keep their room
    for face in view.faces:
        assert face.fontInfo().pixelSize() >= height // 24
        assert not face.isVisible() or face.needed_px() <= face.width()


def test_panes_take_the_whole_width_and_none_is_under_its_least() -> None:
    wide, circle = Content(1.6, 200.0, 150.0), Content(1.0, 6.0, 110.0, 480.0)
    for width in (900.0, 1200.0, 1892.0, 2600.0):
        for dials in (0.0, 400.0):
            side, plan, column = pane_widths(width, 660.0, (wide, circle), dials)
            assert side + plan + column == pytest.approx(width)
            assert plan >= circle.least_px - 1e-6 and column >= dials and side > 0.0
            assert column <= 1.2 * dials + 1e-6


def test_panes_are_full_tags_led_and_letters_large_at_the_usual_screen_sizes(view: HelperView) -> None:
    for size in SIZES:
        settled(view, size)
        check_letters(view, size[1])
        for sheet in (view.side_sheet, view.plan_sheet):
            check_fill(sheet)
            check_tags(sheet)
        plan, viewport = content_px(view.plan_sheet), view.plan_sheet.viewport()
        assert max(plan.width() / viewport.width(), plan.height() / viewport.height()) >= 0.97  # the circle touches
        words = " ".join(tag.text for tag in tags(view.side_sheet))
        assert "load " in words
        assert "hook" in words
