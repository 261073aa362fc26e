"""The rail of a wide window: what explains the pose, as the stage asks, beside whatever panel is open."""

from __future__ import annotations

from collections.abc import Callable

import pyqtgraph as pg
import pytest
from hand import Hand, show_tab
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.panels.rail import MOST, NO_LIMITS, Rail
from app.papers import output
from app.shell.panel_registry import (
    ARMS,
    BOOM,
    FLOORS,
    GO_TO_POINT,
    LIMITS,
    LOAD,
    PAPERS,
    PLATE,
    POSE,
    RACK,
    RIG,
    TABS,
    WHY,
    WORST_CASE,
)
from app.shell.rail_paper import RailPaper
from app.shell.window import Window
from engine.base.formatting import show
from engine.planning.part_ladders import sold_sizes, with_size
from engine.worst_case.verdict import evaluate

ANSWER_MS = 120_000


@pytest.fixture
def wide(make_window: Callable[..., Window]) -> Window:
    window = make_window("skerry_point_boatyard")
    window.resize(1920, 1080)
    QTest.qWait(20)
    return window


def rail_of(window: Window) -> Rail:
    assert window.rail is not None and window.rail.isVisible()
    return window.rail


def test_a_wide_window_lists_the_most_used_limits_beside_any_panel(wide: Window, qtbot: QtBot) -> None:
    rail = rail_of(wide)
    assert 400 <= rail.width() <= 480
    limits = wide.panels[LIMITS]
    limits.show_verdict(wide.document.job, wide.document.verdict)
    assert len(rail.limits.rows) == MOST and rail.limits.rows == limits.rows[:MOST]
    governing = wide.document.verdict.governing
    assert governing is not None and rail.first.text() == governing.name
    assert rail.doubt.tornado.isVisible()
    assert not rail.limits.sum.isVisible()
    rail.limits.setCurrentRow(1)
    assert rail.limits.sum.isVisible() and rail.limits.sum.text().startswith(rail.limits.checks[1].name)
    assert "Source:" in rail.limits.sum.text()
    assert wide.views.side_drawing.tag("governing").text == rail.limits.checks[1].part


def test_the_rail_follows_the_pose_and_says_when_there_is_no_verdict(wide: Window) -> None:
    rail = rail_of(wide)
    before = rail.limits.rows
    wide.document.show_pose(1)
    assert rail.limits.rows != before
    wide.document.set_units("us")
    floor = next(at for at, one in enumerate(wide.document.job.floors) if one.name == wide.document.pose.floor)
    wide.document.set_value(f"floors[{floor}].fall_along", None, "Nobody has measured it")
    assert rail.first.text() == NO_LIMITS and rail.limits.isHidden() and rail.doubt.isHidden()
    assert rail.reach.isHidden() and not rail.asking


# ---------------------------------------------------------------- Place and Pick


def test_pick_and_place_show_the_allowed_load_against_reach_and_where_the_pose_is(wide: Window, qtbot: QtBot) -> None:
    """The mark of the pose's own hole carries its allowed load; Enter on another mark stands there."""
    rail, document = rail_of(wide), wide.document
    assert rail.reach.isVisible() and rail.sizes.isHidden() and rail.paper.isHidden()
    qtbot.waitUntil(lambda: bool(rail.reach.plot.points), timeout=ANSWER_MS)
    verdict, pose = document.verdict, document.pose
    assert verdict.allowed_load_kg is not None and pose.hole is not None
    allowed = show(verdict.allowed_load_kg, "kg_down", "metric")
    (here,) = [point for point in rail.reach.plot.points if f"hole {pose.hole}," in point.words]
    assert f": {allowed}, gives first: {verdict.governing.name if verdict.governing else ''}" in here.words
    assert here.x == pytest.approx(float(verdict.placed.hook_m.x), abs=1e-6)
    QTest.qWait(20)
    assert rail.verticalScrollBar().maximum() == 0, "all of it is to be seen at once"
    plot, viewport = rail.reach.plot, rail.reach.plot.view.viewport()
    shorter = next(point for point in plot.points if f"hole {pose.hole + 1}," in point.words)
    QTest.mouseClick(viewport, Qt.MouseButton.LeftButton, pos=plot.spot_of(shorter).toPoint())
    assert document.pose.hole == pose.hole + 1 and document.undo_stack.undoText() == "Stand as in the chart"
    show_tab(wide, FLOORS.name)
    assert rail.reach.isVisible() and rail.doubt.isVisible()


def test_nothing_is_worked_out_for_the_rail_while_a_hand_holds_the_load(wide: Window, qtbot: QtBot) -> None:
    """What was asked is given up at the press, nothing is asked at a step, and it is asked when the hand lets go."""
    rail = rail_of(wide)
    qtbot.waitUntil(lambda: bool(rail.asking), timeout=ANSWER_MS)
    hand, asked = Hand(wide.views.side_view), []
    rail.reach.background.begun.connect(lambda: asked.append("reach"))
    start, rows = hand.handle_spot("hook"), rail.limits.rows
    hand.press(start)
    hand.move(start + QPointF(-10, 4))
    assert not rail.asking
    for step in range(1, 9):
        hand.move(start + QPointF(-6 * step, 4 * step))
        QTest.qWait(25)
    QTest.qWait(250)
    assert not asked and rail.limits.rows == rows, "it waits for rest, however long a hand holds still"
    hand.release()
    assert asked == ["reach"] and rail.limits.rows != rows
    qtbot.waitUntil(lambda: not rail.asking, timeout=ANSWER_MS)
    assert rail.reach.plot.points and not rail.reach.plot.is_old


def test_a_drag_given_up_asks_again_for_what_it_gave_up(wide: Window, qtbot: QtBot) -> None:
    rail = rail_of(wide)
    hand = Hand(wide.views.side_view)
    start = hand.handle_spot("hook")
    hand.press(start)
    hand.move(start + QPointF(-30, 10))
    assert not rail.asking
    QTest.keyClick(wide.views.side_view, Qt.Key.Key_Escape)
    hand.release()
    qtbot.waitUntil(lambda: bool(rail.reach.plot.points), timeout=ANSWER_MS)
    assert not rail.reach.plot.is_old
    assert any(f"hole {wide.document.pose.hole}," in point.words for point in rail.reach.plot.points)


# ---------------------------------------------------------------- Truck and Build


def test_truck_lists_the_truck_s_limits_and_build_those_of_the_part_that_is_open(wide: Window) -> None:
    rail = rail_of(wide)
    show_tab(wide, PLATE.name)
    assert rail.title.text() == "Limits of the truck" and rail.limits.checks
    assert {check.side for check in rail.limits.checks} == {"truck"}
    assert rail.sizes.isHidden() and rail.reach.isHidden() and rail.doubt.isHidden()
    show_tab(wide, BOOM.name)
    assert rail.title.text() == "Limits: boom and its pin"
    assert {check.part for check in rail.limits.checks} == {"boom", "boom pin"}
    show_tab(wide, ARMS.name)
    assert all(check.part.startswith("arm ") for check in rail.limits.checks)
    uses = [float(row.split(" ")[0]) for row in rail.limits.rows]
    assert uses == sorted(uses, reverse=True) and len(uses) > 2
    show_tab(wide, RIG.name)
    assert rail.title.text() == "Limits of the rig" and {check.side for check in rail.limits.checks} == {"rig"}
    assert rail.sizes.isHidden()


def test_build_says_what_the_next_sizes_of_the_part_allow(wide: Window, qtbot: QtBot) -> None:
    """Each number is that of the whole verdict on the rig with that size; another part has other sizes."""
    rail, document = rail_of(wide), wide.document
    show_tab(wide, BOOM.name)
    qtbot.waitUntil(lambda: len(rail.sizes.lines) == 2 and not rail.asking, timeout=ANSWER_MS)
    pin = next(size for size in sold_sizes(document.job, ("rig.boom",)) if size.kind == "pin")
    text = rail.sizes.lines[1].text()
    assert "Boom, pin, diameter: 20 mm now" in text
    for which, size in (("One size up, 25 mm", pin.larger), ("One size down, 16 mm", pin.smaller)):
        assert size is not None
        made = with_size(document.job, pin.path, size)
        assert made is not None
        allowed_kg = evaluate(made, document.pose).allowed_load_kg
        assert allowed_kg is not None and f"{which}: allows {show(allowed_kg, 'kg_down', 'metric')};" in text
    line = rail.sizes.lines[1]
    line.setFocus()
    QTest.keyClick(line, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClick(line, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text().startswith("Boom, pin, diameter: 20 mm now")
    assert rail.verticalScrollBar().maximum() == 0
    show_tab(wide, ARMS.name)
    assert rail.sizes.lines == [] and rail.sizes.background.asks
    show_tab(wide, RACK.name)
    assert rail.sizes.isHidden() and not rail.sizes.background.asks, "nobody waits for what is not on the rail"


# ---------------------------------------------------------------- Why


def test_why_shows_the_sum_of_the_limit_chosen_in_the_list_of_all(wide: Window) -> None:
    """Before anybody chooses, that of the limit most used; one far down the list comes to the top of the rail."""
    rail = rail_of(wide)
    show_tab(wide, LIMITS.name)
    assert rail.limits.currentRow() == 0 and rail.limits.sum.isVisible() and "Source: " in rail.limits.sum.text()
    rows = wide.panels[LIMITS]._list
    rows.setFocus()
    for _ in range(MOST + 4):
        QTest.keyClick(rows, Qt.Key.Key_Down)
    chosen = rows.chosen_check
    assert chosen is not None and rail.limits.chosen_check is not None
    assert rail.limits.chosen_check.name == chosen.name and len(rail.limits.rows) == MOST + 1
    assert rail.limits.sum.text() == rows.sum.text() and rail.limits.visualItemRect(rail.limits.item(0)).contains(
        rail.limits.sum.geometry()
    )
    third = rail.limits.visualItemRect(rail.limits.item(2))
    QTest.mouseClick(rail.limits.viewport(), Qt.MouseButton.LeftButton, pos=third.topLeft() + QPoint(20, 6))
    name = rail.limits.checks[2].name
    assert rail.limits.sum.text().startswith(name)
    wide.document.show_pose(1)
    assert rail.limits.sum.text().startswith(name), "it stays chosen in another pose"
    show_tab(wide, POSE.name)
    assert not rail.limits.sum.isVisible() and len(rail.limits.rows) == MOST


# ---------------------------------------------------------------- Papers


def test_papers_shows_the_paper_chosen_as_it_will_print_and_turns_its_pages(wide: Window, qtbot: QtBot) -> None:
    """The first page is, dot for dot, that of the paper made here; keys and wheel turn; a row's button chooses."""
    rail = rail_of(wide)
    paper = rail.paper
    assert isinstance(paper, RailPaper)
    show_tab(wide, PAPERS.name)
    assert paper.isVisible() and rail.limits.isHidden() and rail.title.isHidden() and not rail.first.isVisible()
    assert paper.kind == "pick" and "Drawing" in paper.said.text() and not paper.view.count
    qtbot.waitUntil(lambda: paper.view.count > 0, timeout=ANSWER_MS)
    sheet = output.make("pick", wide.document.job, wide.document.pose, wide.commands.papers.page)
    assert paper.view.count == len(sheet.pages) == 2 and paper.said.text().startswith("Page 1 of 2.")
    first = paper.view.picture(0).toImage()
    made = output.page_image(sheet, 0, first.width(), 1.0).convertToFormat(first.format())
    assert first.size() == made.size() and first == made
    paper.view.setFocus()
    QTest.keyClick(paper.view, Qt.Key.Key_PageDown)
    assert paper.view.page == 1 and paper.said.text().startswith("Page 2 of 2.")
    QTest.keyClick(paper.view, Qt.Key.Key_PageDown)
    assert paper.view.page == 1
    at = paper.view.mapTo(wide, paper.view.rect().center())
    QTest.wheelEvent(wide.windowHandle(), QPointF(at), QPoint(0, 120))
    QApplication.processEvents()
    assert paper.view.page == 0
    wide.activateWindow()
    assert QTest.qWaitForWindowActive(wide)
    wide.panels[PAPERS].buttons["log", "pdf"].setFocus(Qt.FocusReason.TabFocusReason)
    assert paper.kind == "log" and "Drawing" in paper.said.text()
    qtbot.waitUntil(lambda: paper.view.count == 1, timeout=ANSWER_MS)
    assert paper.said.text() == "Page 1 of 1."


def test_a_paper_from_before_a_change_is_pale_and_drawn_anew_in_a_quiet_moment(wide: Window, qtbot: QtBot) -> None:
    """Several changes at once are drawn once; in another stage nothing is."""
    rail = rail_of(wide)
    paper = rail.paper
    assert isinstance(paper, RailPaper)
    show_tab(wide, PAPERS.name)
    paper.choose("log")
    qtbot.waitUntil(lambda: paper.view.count == 1, timeout=ANSWER_MS)
    asked: list[int] = []
    paper.background.begun.connect(lambda: asked.append(1))
    for pose in (1, 0, 2):
        wide.document.show_pose(pose)
        QTest.qWait(20)
    assert not asked and "Drawing" in paper.said.text()
    qtbot.waitUntil(lambda: bool(asked), timeout=ANSWER_MS)
    qtbot.waitUntil(lambda: not paper.background.asks, timeout=ANSWER_MS)
    assert asked == [1] and paper.said.text() == "Page 1 of 1."
    show_tab(wide, POSE.name)
    assert paper.isHidden()


# ---------------------------------------------------------------- the window round it


def test_f6_walks_on_from_the_panels_to_the_rail(wide: Window) -> None:
    """Without a verdict to the sentence that says so, in Papers to the paper; in a narrower window to the stages."""
    rail, head = rail_of(wide), wide.panels.open_head
    wide.activateWindow()
    assert QTest.qWaitForWindowActive(wide)
    head.setFocus()
    QTest.keyClick(wide, Qt.Key.Key_F6)
    assert wide.focusWidget() is rail.limits
    QTest.keyClick(wide, Qt.Key.Key_F6)
    assert wide.focusWidget() in wide.stages.buttons
    QTest.keyClick(wide, Qt.Key.Key_F6, Qt.KeyboardModifier.ShiftModifier)
    assert wide.focusWidget() is rail.limits
    show_tab(wide, PAPERS.name)
    wide.panels.open_head.setFocus()
    QTest.keyClick(wide, Qt.Key.Key_F6)
    assert isinstance(rail.paper, RailPaper) and wide.focusWidget() is rail.paper.choice
    show_tab(wide, POSE.name)
    floor = next(at for at, one in enumerate(wide.document.job.floors) if one.name == wide.document.pose.floor)
    wide.document.set_value(f"floors[{floor}].fall_along", None, "Nobody has measured it")
    head.setFocus()
    QTest.keyClick(wide, Qt.Key.Key_F6)
    assert wide.focusWidget() is rail.first
    wide.resize(1280, 800)
    QTest.qWait(20)
    head.setFocus()
    QTest.keyClick(wide, Qt.Key.Key_F6)
    assert wide.focusWidget() in wide.stages.buttons


def test_a_narrower_window_or_larger_text_has_no_rail_and_the_panel_keeps_its_width(wide: Window) -> None:
    rail, width = wide.rail, wide.panels.width()
    assert rail is not None
    for _ in range(2):
        wide.resize(1500, 900)
        QTest.qWait(20)
        assert rail.isHidden() and abs(wide.panels.width() - width) <= 60
        assert not rail.asking, "nobody sees it: nothing is worked out for it"
        wide.resize(1920, 1080)
        QTest.qWait(20)
        assert rail.isVisible() and abs(wide.panels.width() - width) <= 60
    wide.appearance.set_text_size(200)
    QTest.qWait(20)
    assert rail.isHidden()
    wide.appearance.set_text_size(100)
    QTest.qWait(20)
    assert rail.isVisible()


def test_another_look_leaves_the_rail_its_width(wide: Window) -> None:
    rail = rail_of(wide)
    width = rail.width()
    for look in ("dark", "light"):
        wide.appearance.set_look(look)
        QTest.qWait(20)
        assert rail.isVisible() and rail.width() == width


def test_a_window_as_it_is_first_shown_has_no_rail(make_window: Callable[..., Window]) -> None:
    assert make_window("skerry_point_boatyard").rail is None


def test_a_wide_window_has_two_sections_open(wide: Window) -> None:
    """The one opened before stays open beside the new one; a narrower window shows the new one alone."""
    panels = wide.panels
    pose, load = panels[POSE], panels[LOAD]
    assert pose.isVisible() and load.isVisible()
    assert [head.text() for _, head in panels.heads if head.isChecked()] == [LOAD.name, POSE.name]
    assert load.mapTo(panels, load.rect().topLeft()).y() < pose.mapTo(panels, pose.rect().topLeft()).y()
    head = next(head for at, head in panels.heads if at == TABS.index(GO_TO_POINT))
    QTest.mouseClick(head, Qt.MouseButton.LeftButton)
    QTest.qWait(20)
    assert panels[GO_TO_POINT].isVisible() and pose.isVisible() and not load.isVisible()
    assert panels.shown is GO_TO_POINT
    panels.bring(POSE)
    assert panels.shown is POSE and panels[GO_TO_POINT].isVisible() and pose.isVisible()
    panels.bring(LIMITS)
    assert panels[LIMITS].isVisible() and panels[WHY].isVisible() and not pose.isVisible()
    wide.document.show_pose(1)
    assert wide.document.verdict.state_words.lower() in panels[WHY].title.lower()
    panels.bring(POSE)
    assert pose.isVisible() and not panels[WHY].isVisible()
    wide.resize(1280, 800)
    QTest.qWait(20)
    assert pose.isVisible() and not load.isVisible() and len([1 for _, head in panels.heads if head.isChecked()]) == 1


def test_no_name_of_the_tornado_covers_its_bar_and_every_figure_beside_the_reach_stands_whole(
    wide: Window, qtbot: QtBot
) -> None:
    rail = rail_of(wide)
    wide.panels.bring(WORST_CASE)
    QTest.qWait(50)
    view = wide.panels[WORST_CASE].tornado.view
    items = view.plotItem.items
    names = [item for item in items if isinstance(item, pg.TextItem)]
    bars = [item.mapRectToScene(item.boundingRect()) for item in items if isinstance(item, pg.BarGraphItem)]
    assert len(names) > 4 and len(bars) >= len(names)
    for name in names:
        rect = name.mapRectToScene(name.boundingRect()).adjusted(0.0, 2.0, 0.0, -2.0)
        assert not [bar for bar in bars if bar.intersects(rect)], name.textItem.toPlainText()
    show_tab(wide, POSE.name)
    qtbot.waitUntil(lambda: bool(rail.reach.plot.points), timeout=ANSWER_MS)
    view = rail.reach.plot.view
    (ticks,) = view.getAxis("left")._tickLevels
    box, half_px = view.getViewBox(), 0.5 * rail.fontMetrics().capHeight()
    for value, _ in ticks:
        assert box.mapViewToScene(QPointF(0.0, value)).y() - half_px >= 0.0
