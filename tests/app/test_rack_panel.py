"""Rack panel: tubes and jobs typed in, the engine's search beside the window, a rig found opened as any new one."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from hand import show_tab, type_into

from app.panels.rack import TYPED_ROUND, found_words
from app.window import Window
from engine.rack import Tube, search
from engine.sections import RectTube, RoundTube
from engine.verdict import evaluate

WAIT_MS = 120_000
PATTERN = "tarn_hollow_stone_yard"


def pick(choice: object, data: object) -> None:
    choice.setCurrentIndex(choice.findData(data))
    choice.activated.emit(choice.currentIndex())


def want(panel: object, name: str, load: str, height: str, reach: str) -> None:
    type_into(panel.job_name, name)
    for entry, text in (("load", load), ("height", height), ("reach", reach)):
        type_into(panel.fields[f"job {entry}"], text)
    panel.add_job.click()


def listed(rows: object) -> list[str]:
    return [rows.item(row).text() for row in range(rows.count())]


@pytest.fixture
def opened(make_window: Callable[..., Window]) -> Window:
    window = make_window(PATTERN)
    show_tab(window, "Rack")
    return window


def test_tubes_are_picked_or_typed_and_taken_off_again(opened: Window) -> None:
    panel = opened.rack_panel
    pick(panel.size, "80 x 80 x 5 mm")
    type_into(panel.fields["tube length"], "3 m")
    panel.add_tube.click()
    assert panel.tubes == (Tube(name="1: 80 x 80 x 5 mm", section=RectTube(width_m=0.08, depth_m=0.08, wall_m=0.005), length_m=3.0),)
    type_into(panel.fields["tube depth"], "90 mm")
    pick(panel.condition, "rusty")
    panel.add_tube.click()
    assert panel.tubes[1].section == RectTube(width_m=0.08, depth_m=0.09, wall_m=0.005) and panel.tubes[1].condition == "rusty"
    assert listed(panel.tube_list) == ["1: 80 x 80 x 5 mm, 3.00 m long", "2: 80 mm x 90 mm x 5 mm, 3.00 m long, RUSTY"]
    pick(panel.size, TYPED_ROUND)
    assert panel.fields["tube width"].isHidden() and not panel.fields["tube diameter"].isHidden()
    panel.add_tube.click()
    assert "Enter the diameter" in opened.notice.text() and len(panel.tubes) == 2
    type_into(panel.fields["tube diameter"], "88.9 mm")
    type_into(panel.fields["tube wall"], "6.3 mm")
    panel.add_tube.click()
    assert panel.tubes[2].section == RoundTube(diameter_m=0.0889, wall_m=0.0063)
    panel.tube_list.setCurrentRow(0)
    panel.remove_tube.click()
    assert [tube.name[0] for tube in panel.tubes] == ["2", "3"]
    pick(panel.size, "80 x 80 x 5 mm")
    type_into(panel.fields["tube wall"], "30 mm")
    panel.add_tube.click()
    assert "no tube" in opened.notice.text() and len(panel.tubes) == 2


def test_three_jobs_at_most_each_whole_and_a_load_counts_as_guessed_until_said(opened: Window) -> None:
    panel = opened.rack_panel
    panel.add_job.click()
    assert "Enter the load and the height and the reach" in opened.notice.text()
    panel.find.click()
    assert "at least one tube and one job" in opened.notice.text()
    for name in ("lintel", "sill", "step"):
        want(panel, name, "300 kg", "2 m", "1.1 m")
    assert [one.name for one in panel.wants] == ["lintel", "sill", "step"] and not panel.add_job.isEnabled()
    first = panel.wants[0]
    assert (first.load_kg.best, first.load_kg.known, first.hook_height_m, first.ahead_of_face_m) == (300.0, "guess", 2.0, 1.1)
    assert first.rigging_kg == opened.document.job.load.rigging_kg.best
    panel.job_list.setCurrentRow(1)
    panel.remove_job.click()
    assert [one.name for one in panel.wants] == ["lintel", "step"] and panel.add_job.isEnabled()


def test_rigs_found_are_the_engines_and_open_as_new_ones(opened: Window, qtbot: object) -> None:
    panel, pattern = opened.rack_panel, opened.document.job
    pick(panel.size, "100 x 100 x 6 mm")
    panel.add_tube.click()
    pick(panel.known, "weighed")
    want(panel, "lintel", "300 kg", "2 m", "1.1 m")
    want(panel, "sill", "120 kg", "2.6 m", "1.7 m")
    with qtbot.waitSignal(panel.background.answered, timeout=WAIT_MS):
        panel.find.click()
        assert panel.stop.isEnabled() and "Searching" in panel.said.text()
    expected = search(pattern, panel.tubes, panel.wants)
    assert expected.found and [one.rig_kg for one in panel.found] == [one.rig_kg for one in expected.found]
    assert listed(panel.list) == [f"{number}. {found_words(one, 'metric')}" for number, one in enumerate(expected.found, start=1)]
    assert not panel.stop.isEnabled()
    QTest.keyClick(panel.list, Qt.Key.Key_Return)
    job = opened.document.job
    assert job.rig == expected.found[0].job.rig and job.name.endswith("from the rack") and job.approval is None
    assert evaluate(job, job.poses[0]).state == "WITHIN"
    assert listed(panel.list), "the other rigs can still be opened"
    panel.remove_job.click()
    assert listed(panel.list) == [] and "search again" in panel.said.text()


def test_a_stopped_search_lists_nothing(opened: Window) -> None:
    panel = opened.rack_panel
    panel.add_tube.click()
    want(panel, "lintel", "300 kg", "2 m", "1.1 m")
    panel.find.click()
    panel.stop.click()
    assert panel.said.text().startswith("Stopped") and listed(panel.list) == [] and not panel.stop.isEnabled()
    assert not panel.open.isEnabled()
