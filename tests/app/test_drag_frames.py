"""A drag step is one paint, and at rest nothing is out of date that it left for later."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QEvent, QObject, QPointF
from PySide6.QtGui import QFont, QFontMetricsF, QImage
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QGraphicsItem,
    QGraphicsPathItem,
    QGraphicsScene,
    QLabel,
    QLineEdit,
    QListWidget,
    QTreeWidget,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app.canvas.marks import Tag
from app.canvas.side import SideDrawing
from app.canvas.style import Ink
from app.canvas.view import DrawingView
from app.documents.document import Document
from app.look import theme
from app.look.text_metrics import text_metrics
from app.panels.figure import Figure
from app.panels.state_word import StateWord
from app.shell.window import Window
from engine.schema.model import Job
from engine.worst_case.verdict import evaluate
from tests.app.hand import Hand, show_tab

ROUND_OFF = 40
"""A part carried as a picture and the same part painted differ by round-off: a shade at an edge, here and there."""


SEEN = QPointF(500.0, -1300.0), 0.11
"""What both windows look at: a scene point and a scale."""


def texts(window: Window) -> list[tuple[str, str]]:
    """Everything the window says now, with what says it."""
    said: list[tuple[str, str]] = []
    for widget in window.findChildren(QWidget):
        if not widget.isVisible():
            continue
        if isinstance(widget, QLabel | Figure | QLineEdit | QAbstractButton):
            said.append((widget.accessibleName(), widget.text()))
        elif isinstance(widget, StateWord):
            said.append(("state", widget.state))
        elif isinstance(widget, QListWidget):
            said += [(widget.accessibleName(), widget.item(row).text()) for row in range(widget.count())]
        elif isinstance(widget, QTreeWidget):
            rows = (widget.topLevelItem(row) for row in range(widget.topLevelItemCount()))
            said += [
                (widget.accessibleName(), row.text(column)) for row in rows for column in range(widget.columnCount())
            ]
        if widget.accessibleDescription():
            said.append((f"{widget.accessibleName()}, described", widget.accessibleDescription()))
    return said


def tags(view: DrawingView) -> list[tuple[str, float, float]]:
    """Every tag to be seen, and where it stands."""
    shown = [item for item in view.scene().items() if isinstance(item, Tag) and item.isVisible() and item.text]
    rects = [(tag.text, tag.screen_rect(view.px_per_mm)) for tag in shown]
    return sorted((text, round(rect.x(), 3), round(rect.y(), 3)) for text, rect in rects)


def drawn(view: DrawingView) -> list[tuple[object, ...]]:
    """Every item to be seen: its outline or its place in the scene, in hundredths of a millimetre, and its looks."""
    shown: list[tuple[object, ...]] = []
    for item in view.scene().items():
        if not item.isVisible():
            continue
        if isinstance(item, QGraphicsPathItem):
            outline = item.sceneTransform().map(item.path())
            points = [outline.elementAt(index) for index in range(outline.elementCount())]
            spots = tuple((round(100.0 * point.x), round(100.0 * point.y)) for point in points)
            pen, brush = item.pen(), item.brush()
            looks = pen.color().name(), pen.style().name, brush.color().name(), brush.style().name
        else:
            spots, looks = ((round(100.0 * item.scenePos().x()), round(100.0 * item.scenePos().y())),), ()
        shown.append((type(item).__name__, *looks, item.opacity(), spots))
    return sorted(shown)


def unlike(one: QImage, other: QImage) -> int:
    """How many colours of two pictures' pixels differ by more than a shade."""
    assert one.size() == other.size()
    # Kept while their bytes are read: a picture's memory goes with it.
    pictures = [picture.convertToFormat(QImage.Format.Format_RGB888) for picture in (one, other)]
    line, used = pictures[0].bytesPerLine(), 3 * one.width()
    pairs = enumerate(zip(*(picture.constBits() for picture in pictures), strict=True))
    return sum(abs(a - b) > ROUND_OFF for index, (a, b) in pairs if index % line < used)


def fresh_beside(window: Window, make_window: Callable[..., Window], tab: str) -> Window:
    """Another window, opened on what the first one shows now, looking at it in the same way."""
    document = Document(window.document.job)
    document.show_pose(window.document.index)
    fresh = make_window(document=document)
    show_tab(fresh, tab)
    for _ in range(3):
        QApplication.processEvents()
    for both in (window, fresh):
        both.views.side_view.look_at(*SEEN)
        both.views.side_view.setFocus()
        QApplication.processEvents()
    return fresh


CASES = (
    ("skerry_point_boatyard", "side", "boom", (70, 0), "Stance"),
    ("skerry_point_boatyard", "side", "hook", (-40, -30), "Every limit"),
    ("skerry_point_boatyard", "plan", "arm 0", (-30, -40), "Weigh-up"),
    ("cold_spring_vineyard", "side", "lift", (0, -60), "Doubt"),
    ("cold_spring_vineyard", "plan", "hook", (-30, 40), "By hand"),
    ("cold_spring_vineyard", "side", "tilt", (25, 0), "Cause, order, remedy"),
    ("tarn_hollow_stone_yard", "side", "boom", (200, 0), "Stance"),
    ("lantern_lane_scenery", "side", "boom", (60, 0), "Every limit"),
)


@pytest.mark.parametrize(("sample", "view", "handle", "pull", "tab"), CASES)
def test_after_a_drag_everything_is_as_in_a_window_opened_anew(
    make_window: Callable[..., Window], sample: str, view: str, handle: str, pull: tuple[float, float], tab: str
) -> None:
    window = make_window(sample)
    show_tab(window, tab)
    QApplication.processEvents()
    before = window.document.pose
    hand = Hand(window.views.side_view if view == "side" else window.views.plan_view)
    hand.drag(handle, *pull, steps=12)
    for _ in range(3):
        QApplication.processEvents()
    assert window.document.pose != before
    fresh = fresh_beside(window, make_window, tab)
    assert texts(window) == texts(fresh)
    for here, there in (
        (window.views.side_view, fresh.views.side_view),
        (window.views.plan_view, fresh.views.plan_view),
    ):
        assert tags(here) == tags(there)
        assert drawn(here) == drawn(there)


@pytest.mark.parametrize("handle", ["size boom length", "size mast length", "size arm 0 length"])
def test_after_a_drag_of_a_length_the_drawing_is_as_in_a_window_opened_anew(
    make_window: Callable[..., Window], handle: str
) -> None:
    window = make_window("skerry_point_boatyard")
    window.views.set_sizes(True)
    before = window.document.job.rig
    Hand(window.views.side_view).drag(handle, -30, -30, steps=6)
    assert window.document.job.rig != before
    window.views.set_sizes(False)
    fresh = fresh_beside(window, make_window, "Stance")
    assert texts(window) == texts(fresh)
    for here, there in (
        (window.views.side_view, fresh.views.side_view),
        (window.views.plan_view, fresh.views.plan_view),
    ):
        assert tags(here) == tags(there)
        assert drawn(here) == drawn(there)


class Paints(QObject):
    """Counts how often widgets are painted."""

    def __init__(self) -> None:
        super().__init__()
        self.of: dict[QObject, int] = {}

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Paint:
            self.of[watched] = self.of.get(watched, 0) + 1
        return False


def test_a_drag_step_is_one_paint_of_both_views_and_of_nothing_under_them(window: Window) -> None:
    hand = Hand(window.views.side_view)
    start = hand.handle_spot("hook")
    hand.press(start)
    for step in range(1, 4):
        hand.move(start + QPointF(4.0 * step, 0.0))
    for _ in range(3):
        QApplication.processEvents()
    paints = Paints()
    window.installEventFilter(paints)
    window.centralWidget().installEventFilter(paints)
    for view in (window.views.side_view, window.views.plan_view):
        view.viewport().installEventFilter(paints)
    hand.move(start + QPointF(60.0, 0.0))  # to another hole, so that the plan changes too
    for _ in range(3):
        QApplication.processEvents()
    assert paints.of[window.views.side_view.viewport()] == 1
    assert paints.of[window.views.plan_view.viewport()] == 1
    hand.release()


def test_a_drag_back_to_where_it_began_leaves_nothing_out_of_date(
    window: Window, make_window: Callable[..., Window], qtbot: QtBot
) -> None:
    hand = Hand(window.views.side_view)
    start = hand.handle_spot("boom")
    hand.press(start)
    for away in (40.0, 80.0, 40.0, 0.0):
        hand.move(start + QPointF(away, 0.0))
    hand.release()
    assert not window.document.unsaved
    fresh = fresh_beside(window, make_window, "Stance")
    qtbot.waitUntil(lambda: texts(window) == texts(fresh), timeout=2000)


# ---------------------------------------------------------------- parts carried as pictures

CARRIED = QGraphicsItem.CacheMode.DeviceCoordinateCache


def carried(view: DrawingView) -> list[QGraphicsItem]:
    return [item for item in view.scene().items() if item.cacheMode() == CARRIED]


@pytest.mark.parametrize("look", ["light", "dark"])
def test_what_is_carried_as_a_picture_looks_as_if_it_were_painted(
    make_window: Callable[..., Window], look: str
) -> None:
    window = make_window("skerry_point_boatyard")
    window.appearance.set_look(look)
    for view in (window.views.side_view, window.views.plan_view):
        before = view.viewport().grab().toImage()
        pictures = carried(view)
        assert len(pictures) > 10
        for item in pictures:
            item.setCacheMode(QGraphicsItem.CacheMode.NoCache)
        # Ends of the ground's hatching lie a pixel outside its outline.
        assert unlike(before, view.viewport().grab().toImage()) <= 60


def test_large_parts_are_painted_and_small_ones_carried(make_window: Callable[..., Window]) -> None:
    window = make_window("skerry_point_boatyard")
    body, wheel = window.views.side_drawing.part("body"), window.views.side_drawing.part("rear wheel")
    assert body.cacheMode() == wheel.cacheMode() == CARRIED
    window.views.side_view.zoom(6.0)
    assert body.cacheMode() == QGraphicsItem.CacheMode.NoCache
    assert wheel.cacheMode() == CARRIED
    assert window.views.plan_drawing.part("truck").cacheMode() == QGraphicsItem.CacheMode.NoCache
    window.views.fit()
    assert body.cacheMode() == CARRIED


def test_another_look_keeps_what_is_carried_to_the_scale_of_a_sheet_moved_by_hand(
    make_window: Callable[..., Window],
) -> None:
    window = make_window("skerry_point_boatyard")
    window.views.side_view.zoom(6.0)
    where = tags(window.views.side_view)
    window.appearance.set_look("dark")
    assert window.views.side_drawing.part("body").cacheMode() == QGraphicsItem.CacheMode.NoCache
    assert tags(window.views.side_view) == where


def test_papers_are_drawn_in_lines_and_letters(boatyard: Job) -> None:
    """A picture on paper would be blurred, and its words could not be searched for."""
    scene = QGraphicsScene()
    drawing = SideDrawing(scene, Ink(theme.LIGHT, QFont()))
    drawing.set_scale(0.1)
    pose = boatyard.poses[0]
    drawing.show(boatyard, pose, evaluate(boatyard, pose))
    assert all(item.cacheMode() == QGraphicsItem.CacheMode.NoCache for item in scene.items())


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("bold", [False, True])
def test_a_tag_has_room_for_every_figure_and_the_same_for_all_of_its_length(bold: bool) -> None:
    face = text_metrics(QFont("Serif", 11), bold)
    metrics = QFontMetricsF(face.font)
    widths = {face.size(f"hook {number} m")[0] for number in range(100, 1000)}
    assert len(widths) == 1
    assert all(metrics.size(0, f"hook {number} m").width() <= widths.copy().pop() + 0.5 for number in range(100, 1000))
    assert face.size("rear\n9 kg")[1] > face.size("9 kg")[1]
    assert face.size("hook 1000 m")[0] > widths.pop()
    assert face.font.bold() is bold


@pytest.mark.usefixtures("qapp")
def test_words_are_broken_at_spaces_into_lines_that_fit_whatever_their_figures() -> None:
    face = text_metrics(QFont("Serif", 11))
    text = "left, 153 % of bare; at worst 108 kg\nplus 12 kg of rigging"
    for width in (70, 120, 300):
        lines = face.lines(text, width)
        assert " ".join(lines) == text.replace("\n", " ") and any(line.startswith("plus") for line in lines)
        metrics = QFontMetricsF(face.font)
        assert all(
            metrics.horizontalAdvance(line) <= width + 0.5 or line == "108 kg" or " " not in line for line in lines
        )
        assert not any(line[-1].isdigit() for line in lines), "a number stands apart from its unit"
        assert [len(line) for line in lines] == [
            len(line) for line in face.lines(text.replace("153", "188").replace("108", "999"), width)
        ]
    assert face.lines("", 50) == [""] and face.lines("unbreakable", 1) == ["unbreakable"]
    assert len(face.lines("a\n", 100)) == 2, "an empty line keeps its room"
    assert face.longest_word_px("a bb") == face.size("bb")[0] and text_metrics(QFont("Serif", 11)) is face
