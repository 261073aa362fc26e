"""Make-it-pass panel: changes of parts found in the background, one chosen by a click as one undo step."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hand import show_tab, type_into
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.panels.make_it_pass import CHANGED, HOLES, MOVE, POSE, SO_FAR, MakeItPassPanel
from app.shell.panel_registry import MAKE_IT_PASS
from app.shell.window import Window
from engine.explain.cure_words import step_words
from engine.planning.load_chart import load_chart
from engine.planning.mend import Cure, Mending, PartStep
from engine.planning.mend_wanted import Wanted, with_load
from engine.shop.edits import set_value

WAIT_MS = 240_000


@pytest.fixture
def over(make_window: Callable[..., Window]) -> Window:
    """The boatyard one hole further out: its boom is over at the front saddle."""
    window = make_window("skerry_point_boatyard")
    window.document.show_pose(1)
    assert window.document.verdict.state == "OVER"
    show_tab(window, "Make it pass")
    return window


def a_cure(window: Window) -> Cure:
    job = set_value(window.document.job, "rig.boom.steel", "S275")
    step = PartStep(path="rig.boom.steel", tier=8, kind="steel", was="S235", now="S275")
    return Cure(
        steps=(step,),
        job=job,
        added_kg=0.0,
        allowed_kg=190.0,
        before_kg=172.0,
        next_limit="boom: bending",
        next_use=0.97,
    )


def listed(panel: MakeItPassPanel) -> list[str]:
    return [panel.list.item(row).text() for row in range(panel.list.count())]


@pytest.mark.slow
def test_a_change_found_is_made_by_a_click_and_undone_in_one_step(over: Window, qtbot: QtBot) -> None:
    panel, document = over.panels[MAKE_IT_PASS], over.document
    before = document.job
    with qtbot.waitSignal(panel.background.answered, timeout=WAIT_MS):
        QTest.mouseClick(panel.find_button, Qt.MouseButton.LeftButton)
    assert panel.cures and listed(panel)[0].startswith("1. Boom, ")
    row = panel.list.visualItemRect(panel.list.item(0))
    QTest.mouseClick(panel.list.viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, row.center())
    assert document.verdict.state == "WITHIN" and document.unsaved
    assert panel.said.text() == CHANGED and not listed(panel)
    document.undo_stack.undo()
    assert document.job == before


def test_what_has_come_so_far_is_listed_with_its_loads_and_a_key_makes_it(over: Window) -> None:
    panel, document = over.panels[MAKE_IT_PASS], over.document
    panel._asked = ()
    panel._take_part((a_cure(over),))
    assert panel.said.text() == SO_FAR
    assert "Boom, steel: S235 to S275. It then allows 190 kg instead of 172 kg" in listed(panel)[0]
    panel.list.setCurrentRow(0)
    QTest.keyClick(panel.list, Qt.Key.Key_Return)
    assert document.job.rig.boom.steel == "S275" and document.undo_stack.undoText() == "Change parts so that it passes"


def test_a_better_weld_is_said_to_be_made_anew_by_a_qualified_welder(over: Window) -> None:
    path = "rig.jib_mast.foot_weld.quality"
    step = PartStep(path=path, tier=7, kind="quality", was="own_eye", now="qualified_ndt")
    words = step_words(step, over.document.job, "metric")
    assert words == "Jib mast, foot weld: have it made anew by a qualified welder and tested for cracks"


def test_where_the_truck_is_over_it_says_that_no_part_of_the_rig_cures_that(make_window: Callable[..., Window]) -> None:
    window = make_window("alder_fork_sawmill")
    show_tab(window, "Make it pass")
    panel = window.panels[MAKE_IT_PASS]
    panel._take(Mending(cures=(), not_the_rig=("truck balance: tipping, front",)))
    assert "no part of the rig cures that" in panel.said.text() and not panel.list.isVisible()
    assert not panel.cures


def test_changes_of_another_rig_or_pose_are_dropped(over: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    panel, document = over.panels[MAKE_IT_PASS], over.document
    monkeypatch.setattr(panel.background, "ask", lambda *_: None)
    panel.find()
    panel._take_part((a_cure(over),))
    document.show_pose(0)
    assert panel.said.text() == CHANGED and not listed(panel)


def test_a_load_in_another_hole_is_asked_about_and_choosing_a_change_leaves_load_and_pose(
    over: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Typed and chosen with the keyboard, as a person asks what the rig would need."""
    panel, document = over.panels[MAKE_IT_PASS], over.document
    asked: list[tuple[object, ...]] = []
    monkeypatch.setattr(panel.background, "ask", lambda *question: asked.append(question))
    before = document.job
    type_into(panel.load, "250")
    assert panel.load.value == 250.0
    panel.hole.setFocus()
    QTest.keyClick(panel.hole, Qt.Key.Key_Home)
    panel.hole.activated.emit(panel.hole.currentIndex())
    QTest.mouseClick(panel.find_button, Qt.MouseButton.LeftButton)
    _, job, wanted = asked[-1]
    assert isinstance(wanted, Wanted)
    assert (wanted.load_kg, wanted.pose.hole, wanted.every_hole, wanted.move) == (250.0, 1, False, None)
    assert job == before == document.job
    panel._take_part((a_cure(over),))
    pose = document.pose
    panel.list.setCurrentRow(0)
    QTest.keyClick(panel.list, Qt.Key.Key_Return)
    assert document.job.rig.boom.steel == "S275" and document.pose == pose
    assert document.job.load == before.load


def test_every_hole_and_each_move_of_the_file_can_be_asked_about(make_window: Callable[..., Window]) -> None:
    window = make_window("lantern_lane_scenery")
    show_tab(window, "Make it pass")
    panel, moves = window.panels[MAKE_IT_PASS], window.document.job.moves
    assert moves and [panel.where.itemData(at) for at in range(panel.where.count())] == [
        POSE,
        HOLES,
        *(MOVE + move.name for move in moves),
    ]
    panel.where.set_value(HOLES)
    panel.show_document(window.document)
    assert panel.wanted.every_hole and not panel.hole.isEnabled()
    panel.where.set_value(MOVE + moves[0].name)
    assert panel.wanted.move == moves[0]


def test_the_longest_reach_is_listed_and_a_click_goes_there(make_window: Callable[..., Window], qtbot: QtBot) -> None:
    """Tarn Hollow's boom alone: as far out as the load chart allows the load at this hook height."""
    window = make_window("tarn_hollow_stone_yard")
    show_tab(window, "Make it pass")
    panel, document = window.panels[MAKE_IT_PASS], window.document
    load_kg = 400.0
    height_m = float(document.verdict.placed.hook_m.z)
    type_into(panel.load, f"{load_kg:g}")
    with qtbot.waitSignal(panel.background.answered, timeout=WAIT_MS):
        QTest.mouseClick(panel.reach_button, Qt.MouseButton.LeftButton)
    place = panel.places[0]
    chart = load_chart(with_load(document.job, load_kg), document.pose, hook_heights_m=(height_m,))
    enough = chart.allowed_kg[0, :, 0] >= load_kg
    assert place.reach_m == pytest.approx(chart.reach_m[0, :, 0][enough].max())
    assert "is allowed there" in listed(panel)[0] and "One step further out" in panel.said.text()
    row = panel.list.visualItemRect(panel.list.item(0))
    QTest.mouseClick(panel.list.viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, row.center())
    assert document.pose.hole == place.pose.hole and document.undo_stack.undoText() == "Go to the longest reach"
    assert float(document.verdict.placed.hook_m.z) == pytest.approx(height_m, abs=1e-6)
