"""Explaining a pose: weigh-up, why not, ghosts, stay-clear outline, helper view; all with real events."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from hand import Hand, show_tab
from PySide6.QtCore import QEvent, QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QPushButton
from pytestqt.qtbot import QtBot

from app.documents.document import Document
from app.documents.files import sample_rig
from app.panels.banner import Banner
from app.shell.helper import HelperView
from app.shell.panel_registry import LIMITS, MOMENT_BALANCE, WHY
from app.shell.window import Window
from engine.base.caution import CAUTION
from engine.base.formatting import fill, show
from engine.handling.moment_balance import moment_balance, most_used_line
from engine.limits.balance import weigh
from engine.planning.remedy import remedies
from engine.rig.exclusion_zone import exclusion_zone
from engine.shop import edits, pose_edits


def hang(window: Window, load_kg: float) -> None:
    window.document.set_value("load.mass_kg.best", load_kg, "Weigh the load")
    QApplication.processEvents()


def turn(window: Window, *turns_rad: float) -> None:
    pose = window.document.pose
    arms = tuple(edits.REPLACE(arm, turn_rad=rad) for arm, rad in zip(pose.arms, turns_rad, strict=True))
    window.document.set_pose(edits.REPLACE(pose, arms=arms, hole=11), "Turn the arms")
    QApplication.processEvents()


# ---------------------------------------------------------------- weigh-up


def test_the_see_saw_follows_the_drag_while_it_lasts(window: Window, qtbot: QtBot) -> None:
    show_tab(window, "Weigh-up")
    panel, before = window.panels[MOMENT_BALANCE], window.panels[MOMENT_BALANCE].see_saw.tilt_deg
    hand = Hand(window.views.side_view)
    start = hand.handle_spot("boom")
    hand.press(start)
    hand.move(start.__class__(start.x() + 60.0, start.y()))
    document = window.document
    line = most_used_line(document.verdict.leaned)
    holds = show(float(moment_balance(document.verdict.hanging, line).holds_Nm), "Nm", "metric")
    qtbot.waitUntil(lambda: panel.see_saw.tilt_deg > before, timeout=2000)
    assert holds in panel.sum_text
    hand.release()


@pytest.mark.parametrize(
    ("line", "left_out"), [("front", False), ("left side", True), ("right side", True), ("rear", False)]
)
def test_any_tipping_line_can_be_weighed_up_by_keyboard(window: Window, line: str, left_out: bool) -> None:
    show_tab(window, "Weigh-up")
    panel = window.panels[MOMENT_BALANCE]
    panel.line.setFocus()
    for _ in range(panel.line.findData(line)):
        QTest.keyClick(panel.line, Qt.Key.Key_Down)
    assert line in panel.title
    assert ("Not counted" in panel.sum_text) is left_out
    names = " ".join(panel.bars.rows)
    for body in window.document.verdict.placed.bodies:
        if body.mass_kg > 0.0 and not (left_out and body.name == "steer axle"):
            assert body.name in names


def test_the_most_used_line_is_weighed_and_the_beam_is_down_once_nothing_is_left(
    make_window: Callable[..., Window],
) -> None:
    window = make_window("cold_spring_vineyard")
    show_tab(window, "Weigh-up")
    panel = window.panels[MOMENT_BALANCE]
    assert "front" in panel.title
    hang(window, 1200.0)
    turn(window, 1.5, 0.0)
    assert "left side" in panel.title
    assert "NOTHING LEFT" in panel.sum_text
    assert panel.see_saw.tilt_deg > 0.0


# ---------------------------------------------------------------- why not


def test_the_button_asks_why_not_and_the_answer_has_cause_order_and_remedy(make_window: Callable[..., Window]) -> None:
    window = make_window("cold_spring_vineyard")
    hang(window, 900.0)
    assert window.block.why.text() == "Why not?"
    QTest.mouseClick(window.block.why, Qt.MouseButton.LeftButton)
    panel, verdict = window.panels[WHY], window.document.verdict
    assert panel.isVisible() and panel.title.startswith("Why not?")
    assert verdict.governing.part in panel.sentences["Cause"].text()
    assert show(verdict.allowed_load_kg, "kg_down", "metric") in panel.sentences["Order"].text()
    assert panel.sentences["Remedy"].text()


def test_the_remedy_comes_from_planning_with_its_number_and_is_told_to_the_helper_too(
    make_window: Callable[..., Window], qtbot: QtBot
) -> None:
    window = make_window("cold_spring_vineyard")
    window.document.show_pose(2)
    assert window.block.word.state == "OVER"
    show_tab(window, "Cause, order, remedy")
    assert "being looked for" in window.panels[WHY].sentences["Remedy"].text()
    qtbot.waitUntil(lambda: "being looked for" not in window.panels[WHY].sentences["Remedy"].text(), timeout=60_000)
    advice = remedies(window.document.job, window.document.pose)
    said = window.panels[WHY].sentences["Remedy"].text()
    assert said.startswith(fill(advice.answer.words, advice.answer.numbers, "metric"))
    helper = window.commands.explanations.open_helper()
    helper.step(3)
    assert helper.title.endswith("What would make it hold")
    assert helper.sentence == said


def test_within_the_limits_it_says_what_would_give_first_and_at_which_load(make_window: Callable[..., Window]) -> None:
    window = make_window("tarn_hollow_stone_yard")
    assert window.block.word.state == "WITHIN"
    assert window.block.why.text() == "Why?"
    QTest.keyClick(window, Qt.Key.Key_F3)
    verdict = window.document.verdict
    assert verdict.governing.part in window.panels[WHY].sentences["Order"].text()
    assert show(verdict.allowed_load_kg, "kg_down", "metric") in window.panels[WHY].sentences["Order"].text()


def test_a_refusal_is_explained_by_what_is_missing(window: Window) -> None:
    show_tab(window, "Cause, order, remedy")
    window.document.set_value("truck.plate", None, "plate not known")
    assert "plate" in window.panels[WHY].sentences["Cause"].text()
    assert "nothing is allowed" in window.panels[WHY].sentences["Order"].text()


# ---------------------------------------------------------------- ghosts


def test_a_pose_within_the_limits_has_no_ghost(window: Window) -> None:
    assert window.commands.explanations.over is None
    assert not window.views.side_drawing.tag("going over").isVisible()


def test_too_much_load_ahead_draws_the_truck_going_over_forwards(window: Window) -> None:
    at_kg = float(window.document.verdict.leaned.tipping_load_kg)
    hang(window, 1.1 * at_kg)
    over = window.commands.explanations.over
    assert (over.line.name, over.basis) == ("front", "static")
    tag = window.views.side_drawing.tag("going over")
    assert tag.isVisible() and "would go over forwards" in tag.text and "as it stands" in tag.text
    assert not window.views.side_drawing.ghost("going over").isEmpty()
    assert window.views.plan_drawing.ghost("going over").isEmpty()
    hang(window, 0.3 * at_kg)
    assert window.views.side_drawing.ghost("going over").isEmpty()
    assert not window.views.side_drawing.tag("going over").isVisible()


def test_it_says_when_only_the_allowances_take_it_over(window: Window) -> None:
    window.document.set_value("policy.dynamic_factor", 1.5, "Sharp levers")
    hang(window, float(window.document.verdict.leaned.tipping_load_kg) / 1.4)
    assert "with the allowances" in window.views.side_drawing.tag("going over").text


def test_too_much_load_aside_draws_it_in_the_plan_about_that_side(make_window: Callable[..., Window]) -> None:
    window = make_window("cold_spring_vineyard")
    hang(window, 1100.0)
    for turned, side, leftwards in ((1.5, "left side", True), (-1.5, "right side", False)):
        turn(window, turned, 0.0)
        assert window.commands.explanations.over.line.name == side
        ghost = window.views.plan_drawing.ghost("going over")
        live = window.views.plan_drawing.bounds()
        assert not ghost.isEmpty()
        assert window.views.side_drawing.ghost("going over").isEmpty()
        assert (ghost.boundingRect().center().y() < 0.0) is leftwards
        assert live.isValid()


def test_a_pose_is_held_behind_the_live_one_and_compared_limit_by_limit(make_window: Callable[..., Window]) -> None:
    window = make_window("cold_spring_vineyard")
    show_tab(window, "Every limit")
    QTest.keyClick(window, Qt.Key.Key_G, Qt.KeyboardModifier.ControlModifier)
    held = window.commands.explanations.held
    assert held.pose is window.document.pose
    window.document.show_pose(2)
    assert window.views.side_drawing.ghost("held") == held.side
    assert window.views.plan_drawing.ghost("held") == held.plan
    assert window.views.side_drawing.tag("held").text == f"held: {held.name}"
    rows = window.panels[LIMITS].rows
    then = {
        check.name: use for check, use in zip(held.verdict.checks, held.verdict.worst_case.use_of_each, strict=True)
    }
    limits = [pair for pair in zip(window.panels[LIMITS].checks, rows, strict=True) if pair[0].of != "room"]
    assert len(limits) == len(then)
    for check, row in limits:
        assert f", held {show(then[check.name], 'use', 'metric')}" in row
    key = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    QTest.keyClick(window, Qt.Key.Key_G, key)
    assert window.views.side_drawing.ghost("held").isEmpty()
    assert not any(", held " in row for row in window.panels[LIMITS].rows)


def test_a_whole_rig_can_be_held_while_another_is_opened_and_the_theme_changes(
    make_window: Callable[..., Window],
) -> None:
    window = make_window("cold_spring_vineyard")
    window.commands.explanations.hold()
    window.commands.files.open_sample("tarn_hollow_stone_yard")
    window.appearance.set_look("dark")
    assert window.commands.explanations.held.job.name.startswith("Cold Spring")
    assert not window.views.side_drawing.ghost("held").isEmpty()


# ---------------------------------------------------------------- plan


def test_the_arc_of_each_standing_arm_passes_through_its_end(window: Window) -> None:
    for index in range(2):
        arc = window.views.plan_drawing.arc(index)
        end = pose_edits.arm_end(window.document.verdict.placed, window.document.job, index)
        spot = (end.x * 1000.0, -end.y * 1000.0)
        assert (
            min(
                abs(arc.elementAt(i).x - spot[0]) + abs(arc.elementAt(i).y - spot[1]) for i in range(arc.elementCount())
            )
            < 90.0
        )


def test_the_stay_clear_outline_is_shown_on_wish_with_its_radius(window: Window) -> None:
    shown = window.views.plan_drawing.stay_clear_words
    assert not shown
    window.commands.explanations.set_stay_clear(True)
    document = window.document
    radius = exclusion_zone(document.verdict.placed, document.job.load).radius_m
    assert show(radius, "mm", "metric") in window.views.plan_drawing.stay_clear_words
    assert window.views.side_view.mapFromScene(radius * 1000.0, 0.0).x() < window.views.side_view.viewport().width()
    window.commands.explanations.set_stay_clear(False)
    assert not window.views.plan_drawing.stay_clear_words


# ---------------------------------------------------------------- helper view


@pytest.fixture
def helper(window: Window, qtbot: QtBot) -> Iterator[HelperView]:
    """The helper view of the two-arm sample rig, opened by its key."""
    QTest.keyClick(window, Qt.Key.Key_F11)
    view = window.commands.explanations.helper
    qtbot.waitExposed(view)
    QApplication.processEvents()
    yield view
    window.commands.explanations.close()


def test_the_helper_view_opens_full_screen_with_the_caution_and_three_dials(window: Window, helper: HelperView) -> None:
    assert helper.isFullScreen()
    assert CAUTION in helper.findChild(Banner).text
    standing = window.document.verdict.worst_case.standing
    rear, light, governing = helper.faces
    assert rear.number.replace("\u00a0", " ") == show(standing.rear_weight_left_kg, "kg_down", "metric")
    assert light.number.replace("\u00a0", " ") == show(standing.light_front_wheel_kg, "kg_down", "metric")
    assert window.document.verdict.governing.part in governing.accessibleName()
    texts = " ".join(label.text() for label in helper.findChildren(QLabel))
    for words in ("Nobody under", "If the rear feels light, it is already too late", "The load must be down"):
        assert words in texts


def test_arrow_keys_walk_through_the_steps_and_stop_at_the_ends(helper: HelperView) -> None:
    titles = []
    for _ in range(6):
        titles.append(helper.title)
        QTest.keyClick(helper, Qt.Key.Key_Right)
    assert [title.split(": ")[1] for title in dict.fromkeys(titles)] == [
        "What holds",
        "What tips",
        "What is left",
        "What keeps it so",
    ]
    for _ in range(6):
        QTest.keyClick(helper, Qt.Key.Key_Left)
    assert helper.title == titles[0]
    assert "radian" not in helper.sentence and "N·m" not in helper.sentence


def test_arrow_keys_step_while_a_button_has_the_keyboard_and_space_presses_it(helper: HelperView) -> None:
    buttons = {button.accessibleName(): button for button in helper.findChildren(QPushButton)}
    buttons["next step"].setFocus()
    QTest.keyClick(buttons["next step"], Qt.Key.Key_Right)
    assert helper.index == 1
    QTest.keyClick(buttons["next step"], Qt.Key.Key_Space)
    assert helper.index == 2
    QTest.keyClick(buttons["step back"], Qt.Key.Key_Left)
    assert helper.index == 1
    QTest.keyClick(buttons["next step"], Qt.Key.Key_Escape)
    assert not helper.isVisible()


def test_escape_leaves_the_helper_view_and_changes_nothing(window: Window, helper: HelperView) -> None:
    before = window.document.job
    QTest.keyClick(helper, Qt.Key.Key_Escape)
    assert not helper.isVisible()
    assert window.commands.explanations.helper is None
    assert window.document.job is before
    assert window.isVisible()


def test_the_helper_view_follows_the_document_and_its_units(window: Window, helper: HelperView) -> None:
    helper.step(2)
    hang(window, 900.0)
    assert (
        show(window.document.verdict.worst_case.standing.rear_weight_left_kg, "kg", "metric") in helper.sentence
        or "Nothing is left" in helper.sentence
    )
    window.document.set_units("us")
    assert " kg" not in helper.sentence
    assert "lb" in helper.faces[0].number


def test_letters_grow_with_the_screen(helper: HelperView) -> None:
    helper.showNormal()
    sizes = []
    for height in (800, 1200):
        helper.resize(1400, height)
        QApplication.processEvents()
        sentence = next(label for label in helper.findChildren(QLabel) if label.accessibleName() == "sentence")
        sizes.append(sentence.fontMetrics().height() / helper.height())
    assert sizes[0] == pytest.approx(sizes[1], rel=0.1)
    assert sizes[0] > 0.03


def test_a_refusal_has_no_dials_but_says_what_is_missing(window: Window, helper: HelperView) -> None:
    window.document.set_value("truck.plate", None, "plate not known")
    assert not any(face.isVisible() for face in helper.faces)
    assert "plate" in helper.sentence


def test_a_needle_past_the_end_rests_on_its_stop(window: Window, helper: HelperView) -> None:
    face = helper.faces[0]
    assert face.turn_deg(0.0) == pytest.approx(-120.0)
    assert face.turn_deg(-1e9) == face.turn_deg(-1e6)
    assert face.turn_deg(1e9) < 130.0
    assert weigh(window.document.verdict.placed).rear_kg > 0.0


def test_what_explains_a_window_goes_with_it(settings: QSettings, qtbot: QtBot) -> None:
    """It holds a job, a verdict and a working process: one more with every window that was opened and closed."""
    window = Window(Document(sample_rig("tarn_hollow_stone_yard")), settings)
    window.show()
    gone: list[bool] = []
    window.commands.explanations.reason.background.destroyed.connect(lambda: gone.append(True))
    window.close()
    window.deleteLater()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
    qtbot.waitUntil(lambda: gone == [True])
