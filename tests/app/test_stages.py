"""The stages of the job: marks, the way from a reason to its field, everything by keyboard, nothing lost."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
from hand import show_tab, type_into
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app.documents.files import SAMPLES
from app.panels import missing_facts
from app.panels.stage_bar import QUESTIONS, STAGES
from app.shell.panel_registry import APPROVAL, FLOORS, LOG, PAPERS, POSE, STAY_CLEAR, TABS, WHY, tab_of
from app.shell.window import Window
from engine.explain import stages
from engine.explain.limit_entries import entry_of
from engine.schema import rig_file
from engine.schema.model import Job, LogEntry
from tests.samples import ROOT, sample
from tests.thoroughness import every

REPLACE = msgspec.structs.replace
NOT_ENTRIES = {"nominals", "name", "notes", "units", "format_version"}
"""Fields of a job that no section is for: window title, file."""


def floor_path(window: Window, name: str) -> str:
    document = window.document
    at = next(at for at, floor in enumerate(document.job.floors) if floor.name == document.pose.floor)
    return f"floors[{at}].{name}"


def test_the_stages_are_the_engine_s_in_its_order() -> None:
    assert tuple(stages.QUESTIONS) == STAGES and tuple(stages.QUESTIONS.values()) == QUESTIONS


def test_every_entry_of_a_job_belongs_to_a_stage_and_to_a_section_of_it() -> None:
    for name in set(Job.__struct_fields__) - NOT_ENTRIES:
        stage = stages.stage_of(name)
        if name != "answers":
            assert tab_of(name).stage == stage, name
    with pytest.raises(KeyError):
        stages.stage_of("weather")
    with pytest.raises(KeyError):
        tab_of("weather.wind")
    assert tab_of("truck.plate.rows[0].rated_kg").name == "Plate as stamped"
    assert tab_of("truck.wheelbase_m").name == "Weights and dimensions"
    assert tab_of("rig.boom.pin").name == "Boom and its pin"


def test_every_place_that_the_engine_names_in_a_problem_belongs_to_a_stage() -> None:
    """Read from the sources: what stands after ``where=``."""
    found = set()
    for path in (ROOT / "engine").rglob("*.py"):
        found |= set(re.findall(r'where=f?"([a-z_]+)', path.read_text(encoding="utf-8")))
    assert {"truck", "pose", "surroundings", "floors", "load", "rig"} <= found
    for root in found:
        stages.stage_of(root)
        tab_of(root)


def test_no_two_sections_share_a_title_and_each_says_what_it_is_for() -> None:
    titles = [tab.name for tab in TABS]
    assert len(set(titles)) == len(titles) and {tab.stage for tab in TABS} == set(STAGES)
    assert all(tab.about.endswith(".") and len(tab.about) > 20 for tab in TABS)


@pytest.mark.parametrize("name", every(2, tuple(SAMPLES)))
def test_every_section_of_every_stage_opens_and_says_in_a_line_what_is_in_it(
    make_window: Callable[..., Window], name: str
) -> None:
    window = make_window(name)
    for number, stage in enumerate(STAGES):
        QTest.mouseClick(window.stages.buttons[number], Qt.MouseButton.LeftButton)
        assert window.panels.shown.stage == stage and window.stages.buttons[number].isChecked()
        heads = window.panels.heads
        assert [TABS[at].stage for at, _ in heads] == [stage] * len(heads)
        assert all(head.isVisible() for _, head in heads)
        for at, head in heads:
            QTest.mouseClick(head, Qt.MouseButton.LeftButton)
            assert window.panels.shown is TABS[at] and window.panels.currentWidget().isVisible()
            closed = [other for index, other in heads if index != at]
            assert all(other.line for other in closed)
            assert not any(other.isChecked() for other in closed)


def test_a_stage_remembers_which_section_was_open(window: Window) -> None:
    show_tab(window, "By hand")
    window.panels.show_group(0)
    window.panels.show_group(STAGES.index("Pick"))
    assert window.panels.shown.name == "By hand"


def test_ctrl_and_a_number_shows_a_stage(window: Window) -> None:
    for number, stage in enumerate(STAGES):
        QTest.keyClick(window, getattr(Qt.Key, f"Key_{number + 1}"), Qt.KeyboardModifier.ControlModifier)
        assert window.panels.shown.stage == stage


# ---------------------------------------------------------------- marks


def test_marks_tell_missing_guessed_complete_and_what_cannot_be(window: Window) -> None:
    document, buttons = window.document, dict(zip(STAGES, window.stages.buttons, strict=True))
    assert buttons["Truck"].mark_words.startswith("~")
    assert f"{buttons['Truck'].mark.guessed} guessed" in buttons["Truck"].accessibleName()
    assert buttons["Place"].mark_words == "✓" and buttons["Place"].accessibleName() == "Place, complete"
    assert buttons["Papers"].mark_words == "" and "no approval entered" in buttons["Papers"].accessibleName()
    for name in ("fall_along", "fall_across"):
        document.set_value(floor_path(window, name), None, "not known")
    assert buttons["Place"].mark_words == "2" and buttons["Place"].accessibleName() == "Place, 2 facts missing"
    document.undo_stack.undo()
    document.undo_stack.undo()
    at = next(at for at, pose in enumerate(document.job.poses) if pose.name == "boom home, hook empty")
    document.show_pose(at)
    assert buttons["Pick"].mark_words == "!" and "runs into" in buttons["Pick"].accessibleName()


def test_the_four_marks_differ_in_shape_without_colour(window: Window) -> None:
    """Black on white, each mark makes another picture."""
    button, pictures = window.stages.buttons[0], []
    for mark in (
        stages.StageMark(),
        stages.StageMark(missing=2),
        stages.StageMark(guessed=2),
        stages.StageMark(cannot_be="no"),
    ):
        button.set_mark(mark)
        QApplication.processEvents()
        image = button.grab().toImage().convertToFormat(image_format())
        pictures.append(bytes(image.constBits()))
    assert len(set(pictures)) == 4


def image_format() -> object:
    from PySide6.QtGui import QImage

    return QImage.Format.Format_Mono


# ---------------------------------------------------------------- from a reason to the field


def test_a_missing_slope_is_one_click_or_one_key_away_and_comes_back_with_a_digit(window: Window) -> None:
    document = window.document
    path = floor_path(window, "fall_along")
    before = document.job
    document.set_value(path, None, "not known")
    (link,) = window.block.facts.links
    QTest.mouseClick(link, Qt.MouseButton.LeftButton)
    field = window.panels[FLOORS].entry_field(path)
    assert window.panels.shown is FLOORS and focus_of(window) is field
    assert "level" in field.note.words.text()
    assert "slope at" in window.stages.next.accessibleName()
    window.panels.show_group(0)
    window.views.side_view.setFocus()
    QTest.keyClick(window, Qt.Key.Key_F4)
    assert focus_of(window) is window.panels[FLOORS].entry_field(path)
    QTest.keyClicks(focus_of(window), "1")
    QTest.keyClick(focus_of(window), Qt.Key.Key_Return)
    slope = next(floor for floor in document.job.floors if floor.name == document.pose.floor).fall_along
    assert slope is not None and slope.best == pytest.approx(0.01)
    assert document.verdict.state != "REFUSED" and not window.block.facts.isVisible()
    assert document.job != before  # its slope is a guess now, not a measurement


def focus_of(window: Window) -> QWidget | None:
    for _ in range(3):
        QApplication.processEvents()
    return window.focusWidget()


def test_f4_walks_through_all_that_is_missing_and_back(window: Window) -> None:
    document = window.document
    slopes = [floor_path(window, name) for name in ("fall_along", "fall_across")]
    for path in slopes:
        document.set_value(path, None, "not known")
    document.set_value("truck.plate", None, "not known")
    seen = []
    for _ in range(4):
        window.commands.missing.go(1)
        seen.append(window.panels.shown.stage)
    assert seen == ["Truck", "Place", "Place", "Truck"]
    window.commands.missing.go(-1)
    assert window.panels.shown.stage == "Place"
    for _ in range(3):
        document.undo_stack.undo()
    window.commands.missing.go(1)
    assert "Nothing is missing" in window.notice.text()


@pytest.mark.parametrize("name", SAMPLES)
def test_every_reason_for_a_state_leads_to_a_field(make_window: Callable[..., Window], name: str) -> None:
    window = make_window(name)
    document = window.document
    for index, _ in enumerate(document.job.poses):
        document.show_pose(index)
        for problem in (*document.verdict.problems, *document.verdict.not_entered):
            window.commands.missing.open(problem.where)
            assert focus_of(window) is not None and window.panels.shown.stage == stages.stage_of(problem.where)
            assert window.panels.isAncestorOf(focus_of(window)), problem.where


@pytest.mark.parametrize("name", every(3, tuple(SAMPLES)))
def test_every_limit_leads_to_a_field(make_window: Callable[..., Window], name: str) -> None:
    window = make_window(name)
    document = window.document
    paths: dict[str, str] = {}
    for index, pose in enumerate(document.job.poses):
        document.show_pose(index)
        for check, _ in document.verdict.worst_uses_at_once:
            paths.setdefault(entry_of(document.job, pose, check), check.name)
    for path, limit in paths.items():
        window.panels.open_entry(path)
        assert focus_of(window) is not None and window.panels.isAncestorOf(focus_of(window)), (limit, path)
        assert window.panels.shown.stage == stages.stage_of(path), (limit, path)


def test_the_cause_of_over_opens_the_entry_it_rests_on(make_window: Callable[..., Window]) -> None:
    window = make_window("skerry_point_boatyard")
    panel = window.panels.bring(WHY)
    WHY.fill(panel, window.document)
    assert window.document.verdict.state == "WITHIN" and panel.entry_button.isHidden()
    window.document.show_pose(1)
    WHY.fill(panel, window.document)
    QTest.mouseClick(panel.entry_button, Qt.MouseButton.LeftButton)
    assert window.panels.shown.name == "Boom and its pin" and window.panels.isAncestorOf(focus_of(window))


def test_what_is_missing_past_the_last_link_is_counted_and_led_to(
    window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(missing_facts, "MOST_LINKS", 1)
    floors = tuple(msgspec.structs.replace(floor, fall_across=None) for floor in window.document.job.floors)
    job = msgspec.structs.replace(window.document.job, floors=floors)
    job = msgspec.structs.replace(job, truck=msgspec.structs.replace(job.truck, plate=None))
    window.document.set_job(job, "Two facts missing")
    assert [link.text() for link in window.block.facts.links][1:] == ["and 1 more"]
    QTest.mouseClick(window.block.facts.links[1], Qt.MouseButton.LeftButton)
    assert window.panels.shown.name in ("Plate as stamped", FLOORS.name) and focus_of(window) is not None


def test_the_field_of_an_entry_far_down_is_brought_into_view(window: Window) -> None:
    window.panels.open_entry("truck.pivot_height_m", "why")
    field = focus_of(window)
    area = window.panels.currentWidget()
    seen = field.mapTo(area.viewport(), field.rect().center())
    assert area.viewport().rect().contains(seen)
    assert field.note.words.text() == "why" and field.note.isVisible()
    type_into(field, "0.5 m")
    assert not field.note.isVisible()


# ---------------------------------------------------------------- sections that are new


def test_papers_have_a_row_each_and_say_what_is_missing(window: Window, tmp_path: Path, monkeypatch) -> None:
    panel = window.panels.bring(PAPERS)
    PAPERS.fill(panel, window.document)
    assert "PLANNING ONLY" in panel.said.text() and not panel.facts.isVisible()
    asked = []
    monkeypatch.setattr(type(window.commands.papers), "ask_pdf", lambda _self, kind: asked.append(kind))
    panel.buttons["pick", "pdf"].click()
    assert asked == ["pick"]
    window.document.set_value("truck.plate", None, "not known")
    assert panel.facts.isVisible() and len(panel.facts.links) == 1
    panel.facts.links[0].click()
    assert window.panels.shown.name == "Plate as stamped"


def test_the_approval_is_told_and_taken_out_as_one_step(make_window: Callable[..., Window]) -> None:
    window = make_window("skerry_point_boatyard")
    panel = window.panels.bring(APPROVAL)
    assert "No approval is entered" in panel.said.text() and not panel.remove.isVisible()
    approved = next(job for job in map(sample, SAMPLES) if job.approval is not None)
    window.document.set_value("approval", approved.approval, "Enter")
    assert approved.approval.reference in panel.said.text() and panel.remove.isVisible()
    panel.remove.click()
    assert window.document.job.approval is None
    window.document.undo_stack.undo()
    assert window.document.job.approval == approved.approval


def test_the_log_is_listed_the_newest_first(window: Window) -> None:
    entries = tuple(LogEntry(date=date, kind="inspection", by="me") for date in ("2026-01-05", "2026-03-01"))
    window.document.set_value("log", entries, "log")
    panel = window.panels.bring(LOG)
    dates = [entry.date for entry in reversed(window.document.job.log)]
    assert [line.split(",")[0] for line in panel.said.text().split("\n\n")] == dates


def test_the_stay_clear_switch_draws_the_circle_and_follows_the_menu(window: Window) -> None:
    panel = window.panels.bring(STAY_CLEAR)
    assert "Everybody stays" in panel.said.text()
    panel.drawn.click()
    assert window.commands.explanations.stay_clear and window.commands.stay_clear_action.isChecked()
    panel.drawn.click()
    assert not window.commands.explanations.stay_clear


def test_tab_through_every_field_of_every_stage_changes_nothing(make_window: Callable[..., Window]) -> None:
    for units in ("metric", "us"):
        window = make_window("skerry_point_boatyard")
        window.document.set_units(units)
        before = rig_file.encode(window.document.job)
        for index in range(window.panels.count()):
            window.panels.setCurrentIndex(index)
            window.panels.currentWidget().setFocus()
            for _ in range(60):
                focus = window.focusWidget()
                if focus is None:
                    break
                QTest.keyClick(focus, Qt.Key.Key_Tab)
        assert rig_file.encode(window.document.job) == before


def test_the_window_opens_on_the_stance_with_the_keyboard_on_the_drawing(window: Window) -> None:
    assert window.panels.shown is POSE
    assert window.focusWidget() is window.views.side_view


def test_f6_walks_the_regions_and_back(window: Window) -> None:
    """Stages, verdict, side view, plan, sections, and round again; a folded plan is passed over."""
    stages, block, side, plan, panels = (
        window.stages,
        window.block,
        window.views.side_view,
        window.views.plan_view,
        window.panels,
    )
    order = [stages, block, side, plan, panels]
    side.setFocus()
    for region in (plan, panels, stages, block, side):
        QTest.keyClick(window, Qt.Key.Key_F6)
        focus = focus_of(window)
        assert region is focus or region.isAncestorOf(focus), order.index(region)
    QTest.keyClick(window, Qt.Key.Key_F6, Qt.KeyboardModifier.ShiftModifier)
    assert block.isAncestorOf(focus_of(window))
    window.views.strip.fold_by_hand(folded=True)
    side.setFocus()
    QTest.keyClick(window, Qt.Key.Key_F6)
    assert panels.isAncestorOf(focus_of(window))
