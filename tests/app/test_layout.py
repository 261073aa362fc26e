"""No text is cut off and nothing overlaps: every sample rig, every panel, both text sizes, in 1280 x 800."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QLineF, QPointF, QRect, QSize
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QCheckBox,
    QComboBox,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QWidget,
)

from app.canvas.marks import ARROW_HEAD, Tag, nearest
from app.canvas.side_labels import FLAG_KEY
from app.canvas.view import DrawingView
from app.look.appearance import program_font
from app.panels.figure import Figure
from app.shell.window import Window
from engine.base.formatting import System
from engine.schema.quantities import Estimate
from tests.thoroughness import every

FRAME_PX = 2
"""Widgets may share so much of a border."""

ARROW_PX = 18
"""What a list's arrow takes of it at the least."""

STILL_ROUNDS = 3
"""A window in which nothing moved for so many rounds of events has settled."""

ROOT = Path(__file__).resolve().parents[2]
RIGS = sorted(path.name.removesuffix(".rig.json") for path in (ROOT / "sample_rigs").glob("*.rig.json"))
PLAIN = "tarn_hollow_stone_yard", "cold_spring_vineyard"
"""No arms and long arms: at 100 % these stand for all; at 200 %, where room is short, every rig is looked at."""

OF_ITS_OWN = (*PLAIN, "fernbank_tree_nursery", "osier_wharf_pumps", "skerry_point_boatyard")
"""Rigs with something no other has: no arms, long arms, no plate, a stay, the longest forms."""

rigs = pytest.mark.parametrize("sample", RIGS)
cases = pytest.mark.parametrize(("sample", "percent"), [*((rig, 100) for rig in PLAIN), *((rig, 200) for rig in RIGS)])


@pytest.fixture
def laid_out(make_window: Callable[..., Window]) -> Callable[[str, int], Window]:
    """Opens a sample rig at a text size in a window of 1280 x 800."""

    def open_it(sample: str, percent: int) -> Window:
        window = make_window(sample)
        window.resize(1280, 800)
        window.appearance.set_text_size(percent)
        settle(window)
        assert window.size() == QSize(1280, 800), "it wants more than the screen has"
        return window

    yield open_it
    QApplication.setFont(program_font())


def settle(window: Window) -> None:
    """Until nothing has moved for some rounds: the verdict block is laid out late, and moves the rest."""
    for _ in range(2):
        still, last = 0, None
        while still < STILL_ROUNDS:
            QApplication.processEvents()
            places = [part.geometry() for part in (window.block, window.views, window.views.side_view, window.panels)]
            still, last = still + 1 if places == last else 0, places
        window.views.fit()
    QApplication.processEvents()


def shown(window: Window) -> list[QWidget]:
    """Labels, fields, lists and buttons of the window that are to be seen now."""
    kinds = (QLabel, Figure, QLineEdit, QPushButton, QCheckBox, QComboBox)
    return [
        widget
        for widget in window.findChildren(QWidget)
        if isinstance(widget, kinds) and widget.isVisibleTo(window) and widget.isVisible()
    ]


def cut_off(widget: QWidget) -> str | None:
    """What of a widget's text has no room, in words."""
    if isinstance(widget, QLabel | Figure):
        wraps = isinstance(widget, Figure) or widget.wordWrap()
        if not widget.text():
            return None
        need = widget.heightForWidth(widget.width()) if wraps else widget.sizeHint().height()
        wide = 0 if wraps else widget.sizeHint().width()
        if wraps:
            words = widget.text().split()
            margins = widget.contentsMargins().left() + widget.contentsMargins().right()
            wide = max(widget.fontMetrics().horizontalAdvance(word) for word in words) + margins
        lacks = need - widget.height(), wide - widget.width()
    elif isinstance(widget, QComboBox):
        lacks = 0, widget.fontMetrics().horizontalAdvance(widget.currentText()) + ARROW_PX - widget.width()
    elif isinstance(widget, QLineEdit):
        if isinstance(widget.parent(), QComboBox):
            return None
        room = widget.contentsRect().width() - 8
        lacks = (
            widget.fontMetrics().height() - widget.height(),
            widget.fontMetrics().horizontalAdvance(widget.text()) - room,
        )
    else:
        lacks = widget.sizeHint().height() - widget.height(), widget.sizeHint().width() - widget.width()
    if max(lacks) <= 1:
        return None
    text = widget.currentText() if isinstance(widget, QComboBox) else widget.text()
    return f"{type(widget).__name__} {widget.accessibleName() or ''} {text[:60]!r}: lacks {max(lacks)} px"


def overlapping(widgets: list[QWidget]) -> list[str]:
    """Pairs of widgets of one parent that lie over each other."""
    by_parent: dict[QWidget, list[QWidget]] = {}
    for widget in widgets:
        by_parent.setdefault(widget.parentWidget(), []).append(widget)
    pairs: list[str] = []
    for siblings in by_parent.values():
        sides = [
            (place.left(), place.right(), place.top(), place.bottom()) for place in map(QWidget.geometry, siblings)
        ]
        for index, (left, right, top, bottom) in enumerate(sides):
            for other, (other_left, other_right, other_top, other_bottom) in enumerate(sides[:index]):
                wide = min(right, other_right) - max(left, other_left) + 1
                high = min(bottom, other_bottom) - max(top, other_top) + 1
                if wide > FRAME_PX and high > FRAME_PX:
                    pairs.append(f"{words_of(siblings[index])} over {words_of(siblings[other])}")
    return pairs


def words_of(widget: QWidget) -> str:
    return (
        repr(widget.text()[:40])
        if isinstance(widget, QLabel | Figure | QLineEdit | QAbstractButton)
        else widget.accessibleName()
    )


def tag_rects(view: DrawingView) -> list[tuple[str, QRect]]:
    """Every tag to be seen on a view with where it stands, in pixels."""
    rects: list[tuple[str, QRect]] = []
    for item in view.scene().items():
        if isinstance(item, Tag) and item.isVisible() and item.text:
            place = item.deviceTransform(view.viewportTransform())
            rect = place.mapRect(item.screen_rect(0.0))  # without its leader
            rects.append((item.text, rect.toAlignedRect()))
    return rects


@cases
def test_no_text_of_any_panel_is_cut_off_or_overlapped(
    laid_out: Callable[[str, int], Window], sample: str, percent: int
) -> None:
    """Of the rigs with nothing of their own every third panel, in turn; all with ``TAILWEIGHT_THOROUGH=1``."""
    window = laid_out(sample, percent)
    wrong: dict[str, list[str]] = {}
    tabs = range(window.panels.count())
    for tab in tabs if sample in OF_ITS_OWN else every(3, tabs, RIGS.index(sample)):
        window.panels.setCurrentIndex(tab)
        for _ in range(3):
            QApplication.processEvents()
        widgets = shown(window)
        faults = [words for words in map(cut_off, widgets) if words] + overlapping(widgets)
        if faults:
            wrong[window.panels.tabText(tab)] = faults
    assert wrong == {}


def figures_under_handles(view: DrawingView) -> list[str]:
    """Tags that a handle's ring lies over."""
    rings = [view.mapFromScene(handle.pos()) for handle in view.handles.values() if handle.isVisible()]
    return [text for text, rect in tag_rects(view) for ring in rings if rect.adjusted(-5, -5, 5, 5).contains(ring)]


@pytest.mark.parametrize(
    ("sample", "percent", "units"),
    [
        *((rig, 100, "metric") for rig in PLAIN),
        *((rig, 200, "metric") for rig in RIGS),
        *((rig, 200, "us") for rig in PLAIN),
    ],
)
def test_tags_on_the_drawing_keep_clear_of_each_other_of_its_edges_and_of_handles(
    laid_out: Callable[[str, int], Window], sample: str, percent: int, units: str
) -> None:
    window = laid_out(sample, percent)
    window.document.set_units(units)
    views = [view for view in (window.views.side_view, window.views.plan_view) if view.isVisible()]
    poses = range(len(window.document.job.poses))
    for index in poses:
        window.document.show_pose(index)
        QApplication.processEvents()
        for view in views:
            assert figures_under_handles(view) == [], window.document.pose.name
    for index in poses:
        window.document.show_pose(index)
        settle(window)
        for view in views:
            assert_tags_keep_clear(view)


def assert_tags_keep_clear(view: DrawingView) -> None:
    """No tag over another or past the view's edges."""
    rects, sheet = tag_rects(view), view.viewport().rect()
    for place, (text, rect) in enumerate(rects):
        assert sheet.adjusted(-1, -1, 1, 1).contains(rect), f"{text!r} at {rect} leaves {sheet}"
        for other_text, other in rects[place + 1 :]:
            assert not rect.adjusted(1, 1, -1, -1).intersects(other), f"{text!r} over {other_text!r}"


def covered_arrow_heads(view: DrawingView) -> list[str]:
    """Tags that lie over the head of a dimension's arrow."""
    heads = [item for item in view.items() if item.data(0) == ARROW_HEAD and item.isVisible()]
    boxes = [head.deviceTransform(view.viewportTransform()).mapRect(head.boundingRect()) for head in heads]
    assert boxes
    inside = [box.adjusted(1.0, 1.0, -1.0, -1.0).toAlignedRect() for box in boxes]
    return [text for text, rect in tag_rects(view) for box in inside if rect.intersects(box)]


def lost_tags(view: DrawingView) -> list[str]:
    """Tags that stand more than a line and a half away from their mark with no leader to it."""
    lost: list[str] = []
    for item in view.scene().items():
        if isinstance(item, Tag) and item.isVisible() and item.text and item.mark_px is not None and not item.led:
            end = nearest(item.screen_rect(0.0), QPointF())
            if QLineF(QPointF(), end).length() - item.mark_px > 1.5 * item.size_px[1]:
                lost.append(item.text)
    return lost


@pytest.mark.parametrize(
    ("sample", "percent", "units", "size"),
    [
        ("skerry_point_boatyard", 200, "metric", (1280, 800)),
        ("skerry_point_boatyard", 100, "us", (900, 800)),
        ("cold_spring_vineyard", 200, "metric", (1280, 800)),
        ("cold_spring_vineyard", 100, "us", (1280, 720)),
    ],
)
def test_tags_away_from_their_marks_are_led_to_them_and_words_leave_the_arrow_heads_of_dimensions_free(
    laid_out: Callable[[str, int], Window], sample: str, percent: int, units: System, size: tuple[int, int]
) -> None:
    window = laid_out(sample, percent)
    window.resize(*size)
    window.document.set_units(units)
    led: set[str] = set()
    for index in range(len(window.document.job.poses)):
        window.document.show_pose(index)
        settle(window)
        view = window.views.side_view
        assert lost_tags(view) == [], window.document.pose.name
        assert covered_arrow_heads(view) == [], window.document.pose.name
        led |= {item.text for item in view.scene().items() if isinstance(item, Tag) and item.isVisible() and item.led}
    assert led  # some had to go away from their marks


@cases
def test_what_a_helper_must_not_miss_is_never_left_out(
    laid_out: Callable[[str, int], Window], sample: str, percent: int
) -> None:
    window = laid_out(sample, percent)
    weighed = window.document.verdict.leaned
    if weighed is None:
        return
    too_much = Estimate(best=1.2 * float(weighed.tipping_load_kg), known="weighed")
    window.document.set_value("load.mass_kg", too_much, "Too much")
    settle(window)
    tag = window.views.side_drawing.tag("going over")
    rects = dict(tag_rects(window.views.side_view))
    assert tag.isVisible()
    assert window.views.side_view.viewport().rect().adjusted(-1, -1, 1, 1).contains(rects[tag.text])


@rigs
def test_that_a_fall_is_not_known_is_to_be_seen_on_the_drawing(
    laid_out: Callable[[str, int], Window], sample: str
) -> None:
    """The fall across alone, and both."""
    window = laid_out(sample, 100)
    document = window.document
    index = [floor.name for floor in document.job.floors].index(document.pose.floor)
    for fall in ("fall_across", "fall_along"):
        document.set_value(f"floors[{index}].{fall}", None, "not known")
        for percent in (100, 200):
            window.appearance.set_text_size(percent)
            settle(window)
            tag = window.views.side_drawing.tag("floor")
            assert "NOT KNOWN" in tag.text and tag.isVisible()


@pytest.mark.parametrize("percent", [100, 200])
@pytest.mark.parametrize("width", [1280, 200])
def test_a_window_made_as_small_as_it_goes_cuts_no_words_off(
    laid_out: Callable[[str, int], Window], percent: int, width: int
) -> None:
    """With a title and a bar under it the window has to be less tall than the screen."""
    window = laid_out("skerry_point_boatyard", percent)
    window.resize(width, 200)
    settle(window)
    assert window.width() == max(width, window.minimumSizeHint().width()) < 1281
    assert width == 200 or window.height() <= 700
    registers = window.panels.findChildren(QAbstractButton, "register")
    widgets = [*shown(window.banner), *shown(window.block), *filter(QWidget.isVisible, registers)]
    assert "By hand" in {button.text() for button in registers if button.isVisible()}
    assert [words for words in map(cut_off, widgets) if words] + overlapping(widgets) == []
    panel = window.panels.currentWidget()
    assert panel.height() >= 3 * panel.fontMetrics().height()
    views = (window.views.side_view, window.views.plan_view)
    assert min(view.height() for view in views if view.isVisible()) > 40


@pytest.mark.parametrize("sample", every(2, RIGS))
def test_the_helper_view_cuts_nothing_off(make_window: Callable[..., Window], sample: str) -> None:
    window = make_window(sample)
    helper = window.commands.explanations.open_helper()
    helper.showNormal()
    for step in range(4):
        helper.step(1 if step else 0)
        for size in ((1280, 800), (1920, 1080)):
            helper.resize(*size)
            for _ in range(3):
                QApplication.processEvents()
            widgets = list(shown_in(helper))
            assert [words for words in map(cut_off, widgets) if words] == []
            assert overlapping(widgets) == []
            for view in (helper.side_sheet, helper.plan_sheet):
                assert_tags_keep_clear(view)


def shown_in(helper: QWidget) -> list[QWidget]:
    kinds = (QLabel, QPushButton)
    return [widget for widget in helper.findChildren(QWidget) if isinstance(widget, kinds) and widget.isVisible()]


def test_in_a_low_view_the_drawing_is_not_hidden_by_its_words(laid_out: Callable[[str, int], Window]) -> None:
    """Large text with the plan unfolded: what is least wanted goes, and comes back with the room for it."""
    window = laid_out("skerry_point_boatyard", 200)
    to_fork_face = window.views.side_drawing.dimension_tag("fork face").text.split(" from")[0]
    view, words = window.views.side_view, (to_fork_face, "truck", "rig 250", "front tipping line")
    assert all(any(word in text for text, _ in tag_rects(view)) for word in words)
    window.views.strip.fold_by_hand(folded=False)
    settle(window)
    texts = [text for text, _ in tag_rects(view)]
    assert not any(word in text for text in texts for word in words)
    assert any("from front axle" in text for text in texts) and any("slope" in text for text in texts)
    assert_tags_keep_clear(view)
    assert covered_arrow_heads(view) == [] and lost_tags(view) == []
    window.views.strip.fold_by_hand(folded=True)
    settle(window)
    assert all(any(word in text for text, _ in tag_rects(view)) for word in words)


def test_nothing_scrolls_inside_what_scrolls(laid_out: Callable[[str, int], Window]) -> None:
    """At 200 % heads and panel are one page; its fields come into view and lists keep their rows, at 100 % as ever."""
    for percent in (200, 100):
        window = laid_out("skerry_point_boatyard", percent)
        for tab in range(window.panels.count()):
            window.panels.setCurrentIndex(tab)
            settle(window)
            scrolling = [
                area for area in window.panels.findChildren(QScrollArea) if area.isVisible() and scroll_px(area)
            ]
            assert len(scrolling) <= 1, (percent, window.panels.tabText(tab), [scroll_px(area) for area in scrolling])
    window = laid_out("skerry_point_boatyard", 200)
    field = window.panels.open_entry("truck.rear_track_m")
    assert field is not None
    settle(window)
    assert not field.visibleRegion().isEmpty() and field.visibleRegion().boundingRect().height() == field.height()


def scroll_px(area: QScrollArea) -> int:
    """How far an area scrolls up and down."""
    return area.verticalScrollBar().maximum()


@pytest.mark.parametrize("percent", [100, 200])
def test_a_flag_on_the_drawing_has_its_key_in_a_corner(laid_out: Callable[[str, int], Window], percent: int) -> None:
    window = laid_out("skerry_point_boatyard", percent)
    view = window.views.side_view
    assert not window.views.side_drawing.is_flagged and FLAG_KEY not in dict(tag_rects(view))
    window.document.set_value("rig.hook.end", None, "What holds the hook is not known")
    settle(window)
    assert window.views.side_drawing.is_flagged
    key, sheet = dict(tag_rects(view))[FLAG_KEY], view.viewport().rect()
    assert key.left() < 0.1 * sheet.width() or key.right() > 0.9 * sheet.width()
    assert_tags_keep_clear(view)
    window.document.undo_stack.undo()
    settle(window)
    assert FLAG_KEY not in dict(tag_rects(view))
