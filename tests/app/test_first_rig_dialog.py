"""A rig from nothing: the six questions, the sketch beside them, the sizing; arms and sections in the forms."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import gated
import pytest
import shiboken6
from boxes import answering, press
from hand import type_into
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QKeySequence, QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QLabel, QLineEdit, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from app.panels.fields import ChoiceField
from app.panels.forms import Form
from app.panels.waiting import STOPPED
from app.panels.wish_form import AXLES, FLOOR_SAYS, FROM_FILE, PLATE_OPEN, PLATE_OWN, PLATE_READ, RATED, UNRATED
from app.panels.wish_sketch import WishSketch
from app.shell.first_rig import BARS_MEAN, BARS_OLD, CHANGED, SIZED, SKETCH, FirstRigDialog
from app.shell.panel_registry import ARMS, BOOM
from app.shell.window import Window
from app.workers import worker_tasks
from engine.base.caution import CAUTION, NOT_APPROVED
from engine.base.formatting import System
from engine.rig.kinematics import drawn
from engine.schema import rig_file
from engine.schema.stock_sizes import name_of_size
from engine.worst_case.verdict import evaluate
from tests import samples

WAIT_MS = 300_000
WISHED = {"hook_height_m": "2.4 m", "reach_m": "2 m", "load_kg": "60 kg"}

REAL = worker_tasks.new_rig


@pytest.fixture(autouse=True)
def sizing_waits(gates: gated.Gates, monkeypatch: pytest.MonkeyPatch) -> None:
    """No rig is sized before the test opens a gate, and then it is the sketch."""
    monkeypatch.setattr(worker_tasks, "new_rig", gated.new_rig)


@pytest.fixture
def dialog(window: Window) -> Iterator[FirstRigDialog]:
    window.commands.new_rig()
    yield window.commands.first_rig
    if shiboken6.isValid(window.commands.first_rig):  # it is gone once something was drawn
        window.commands.first_rig.reject()


def click(button: QPushButton) -> None:
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)


def choose(field: ChoiceField, choice: str | int) -> None:
    """Choose from a list, as a person would."""
    field.setCurrentIndex(field.findData(choice))
    field.activated.emit(field.currentIndex())


def answer(dialog: FirstRigDialog, answers: dict[str, str]) -> None:
    for name, text in answers.items():
        type_into(dialog.fields[name], text)


# ---------------------------------------------------------------- answers and sketch


def test_the_sketch_is_drawn_unsized_and_said_to_be_so(window: Window, dialog: FirstRigDialog) -> None:
    choose(dialog.questions.truck, "2.5 t")
    dialog.questions.has_plate.setChecked(True)
    choose(dialog.questions.arms, 1)
    plate = {"rated_kg": "2500 kg", "load_centre_m": "500 mm", "lift_m": "3.3 m"}
    answer(dialog, {**plate, "hook_height_m": "8 ft", "reach_m": "2 m", "load_kg": "300 lb"})
    assert dialog.drawn.text().startswith(SKETCH) and not dialog.draw_button.isEnabled()
    click(dialog.sketch_button)
    job = window.document.job
    assert job.load.mass_kg.best == pytest.approx(136.08, abs=0.01)
    assert job.truck.plate.rows[0].rated_kg == 2500.0
    assert len(job.rig.arms) == 1 and job.name == "New rig"
    assert window.document.path is None and window.document.unsaved
    assert window.block.word.state == "REFUSED"
    assert "Slope at" in window.notice.text()


def test_the_sketch_follows_every_answer(dialog: FirstRigDialog) -> None:
    form, sketch = dialog.questions, dialog.sketch
    assert sketch.job is None and "How heavy is the load" in dialog.drawn.text()
    answer(dialog, WISHED)
    seen = [sketch.job]
    for name, text in {"hook_height_m": "3 m", "reach_m": "2.2 m", "load_kg": "90 kg"}.items():
        type_into(dialog.fields[name], text)
        seen.append(sketch.job)
    choose(form.arms, 2)
    seen.append(sketch.job)
    type_into(dialog.fields["arm_1_m"], "500")
    seen.append(sketch.job)
    choose(form.boom, "120 x 80 x 8 mm")
    seen.append(sketch.job)
    choose(form.steel, "S355")
    seen.append(sketch.job)
    choose(form.floor, "guess")
    seen.append(sketch.job)
    choose(form.truck, "3.5 t")
    seen.append(sketch.job)
    assert None not in seen and all(before != after for before, after in pairwise(seen))
    job = sketch.job
    assert job is not None and job.rig.arms[0].length_m == 0.5 and job.rig.arms[1].length_m > 0.0
    assert name_of_size(job.rig.boom.section) == "120 x 80 x 8 mm" and job.rig.boom.steel == "S355"
    assert job.floors[0].fall_along is not None and job.floors[0].fall_along.known == "guess"
    assert sketch.drawing.part("boom").isVisible()
    assert [name for name, one in sketch.drawing.handles.items() if one.isVisible()] == ["hook"]
    type_into(dialog.fields["load_kg"], "")
    assert sketch.job is None, "an answer that was deleted is none"
    assert not dialog.sketch_button.isEnabled()


def test_a_slope_is_entered_with_how_it_is_known(window: Window, dialog: FirstRigDialog) -> None:
    form = dialog.questions
    answer(dialog, WISHED)
    assert not form.floor_known.isVisible()
    choose(form.floor, "slope")
    click(dialog.size_button)
    assert dialog.focusWidget() is dialog.fields["fall_along"], "asked for as soon as it is said that there is one"
    answer(dialog, {"fall_along": "-1", "fall_across": "60 %"})
    assert "No floor to lift on" in dialog.fields["fall_across"].wrong
    type_into(dialog.fields["fall_across"], "0")
    choose(form.floor_known, "similar")
    click(dialog.sketch_button)
    (floor,) = window.document.job.floors
    assert floor.fall_along is not None and (floor.fall_along.best, floor.fall_along.known) == (-0.01, "similar")
    assert floor.fall_across is not None and floor.fall_across.best == 0.0


def test_what_is_not_to_hand_is_said_at_once(window: Window, dialog: FirstRigDialog) -> None:
    form = dialog.questions
    assert form._plate_says.text() == PLATE_OPEN and "no allowed load" in PLATE_OPEN
    assert form._floor_says.text() == FLOOR_SAYS["unknown"] and "No verdict" in FLOOR_SAYS["unknown"]
    choose(form.truck, "the truck that is open")
    assert form._plate_says.text() == PLATE_OWN
    form.has_plate.setChecked(True)
    assert form._plate_says.text() == PLATE_READ and dialog.fields["rated_kg"].isVisible()
    choose(form.floor, "guess")
    assert "marks it as one" in form._floor_says.text()


def test_in_us_units_it_offers_trucks_by_the_pound_and_reads_bare_numbers_as_pounds(window: Window) -> None:
    window.document.set_units("us")
    window.commands.new_rig()
    dialog = window.commands.first_rig
    truck = dialog.questions.truck
    offered = [truck.itemText(index) for index in range(truck.count())]
    assert "3,000 lb cushion" in offered and "8,000 lb pneumatic" in offered and "2.5 t" not in offered
    choose(truck, "5,000 lb cushion")
    answer(dialog, {"hook_height_m": "8 ft", "reach_m": "6 ft", "load_kg": "300"})
    click(dialog.sketch_button)
    job = window.document.job
    assert job.load.mass_kg.best == pytest.approx(136.08, abs=0.01)
    assert job.units == "us" and job.truck.name == "Typical 5,000 lb cushion truck"


def test_other_units_change_no_answer_and_offer_their_own_sizes_first(window: Window, dialog: FirstRigDialog) -> None:
    form = dialog.questions
    answer(dialog, WISHED)
    choose(form.truck, "3.5 t")
    before = dict(form.values)
    choose(form.unit_choice, "us")
    assert form.values == before and dialog.fields["load_kg"].text() == "132.277"
    assert form.boom.itemText(1).endswith(" in") and form.steel.itemText(1).startswith("A")
    assert form.truck.currentData() == "3.5 t", "what was chosen stays"
    click(dialog.sketch_button)
    job = window.document.job
    assert job.units == "us" and (name_of_size(job.rig.boom.section) or "").endswith(" in")


def test_the_keyboard_starts_in_the_first_answer(window: Window, dialog: FirstRigDialog) -> None:
    focused = dialog.focusWidget()
    assert isinstance(focused, QLineEdit) and focused.accessibleName() == "name of the job"
    for field in (dialog.questions.unit_choice, dialog.questions.truck):
        QTest.keyClick(dialog.focusWidget(), Qt.Key.Key_Tab)
        assert dialog.focusWidget() is field


def tab_to(dialog: FirstRigDialog, name: str) -> QWidget:
    """Press Tab until the keyboard is in the entry of this name."""
    for _ in range(40):
        focused = dialog.focusWidget()
        if focused.accessibleName() == name:
            return focused
        QTest.keyClick(focused, Qt.Key.Key_Tab)
    raise AssertionError(name)


def test_tab_goes_through_every_answer_in_the_order_in_which_they_stand(dialog: FirstRigDialog) -> None:
    form = dialog.questions
    form.has_plate.setChecked(True)
    form.has_weights.setChecked(True)
    choose(form.floor, "slope")
    choose(form.arms, 2)
    passed = [dialog.focusWidget()]
    while not passed[1:] or passed[-1] is not passed[0]:
        QTest.keyClick(passed[-1], Qt.Key.Key_Tab)
        passed.append(dialog.focusWidget())
    answers = [one for one in passed[:-1] if form.isAncestorOf(one)]
    heights = [one.mapTo(form, one.rect().topLeft()).y() for one in answers]
    assert heights == sorted(heights)
    checks = form.has_plate, form.has_weights
    assert {*form.fields.values(), *form.findChildren(ChoiceField), form.name, *checks} == set(answers)
    assert all(one.accessibleName() for one in passed)
    assert dialog.size_button in passed


def test_six_answers_in_us_units_by_the_keyboard_alone(window: Window, gates: gated.Gates, qtbot: QtBot) -> None:
    gates.open()
    window.document.set_units("us")
    window.activateWindow()
    QApplication.processEvents()
    QTest.keyClick(window, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
    dialog = window.commands.first_rig
    qtbot.waitUntil(dialog.isActiveWindow)
    QTest.keyClick(tab_to(dialog, "truck class"), Qt.Key.Key_Down)
    QTest.keyClick(tab_to(dialog, "I have read the truck's plate: enter what it says"), Qt.Key.Key_Space)
    for name, text in {
        "Rated load on the plate": "5000",
        "Load centre on the plate": "24 in",
        "Up to fork height": "11 ft",
        "How heavy is the load": "130",
        "How high is the hook": "8 ft",
        "How far from the fork face": "6-6",
    }.items():
        QTest.keyClicks(tab_to(dialog, name), text)
    QTest.keyClick(tab_to(dialog, "steel of tube and plate"), Qt.Key.Key_Down)
    QTest.keyClick(tab_to(dialog, "who welds and who looks at it"), Qt.Key.Key_Down)
    assert dialog.sketch.job is not None and dialog.sketch.job.rig.boom.steel == "A500 B"
    with qtbot.waitSignal(dialog.background.answered, timeout=WAIT_MS):
        QTest.keyClick(tab_to(dialog, "choose every size so that the rig holds"), Qt.Key.Key_Space)
    QTest.keyClick(tab_to(dialog, "how the weight is known"), Qt.Key.Key_Return)
    job = window.document.job
    assert job.units == "us" and (name_of_size(job.rig.boom.section) or "").endswith(" in")
    assert job.truck.name == "Typical 6,000 lb pneumatic truck" and job.load.mass_kg.best == pytest.approx(
        58.967, abs=1e-3
    )
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    with answering(lambda box: press(box, "Cancel")) as said:
        QTest.keySequence(window, QKeySequence(QKeySequence.StandardKey.Close))
    assert "is not saved. Save it first?" in said[0] and window.document.job is job


def test_what_is_missing_is_named_and_nothing_is_drawn(window: Window, dialog: FirstRigDialog) -> None:
    before = window.document.job
    type_into(dialog.fields["reach_m"], "2 m")
    click(dialog.size_button)
    assert window.document.job is before and not dialog.background.asks
    assert "How high is the hook" in dialog._why.text()
    assert "How heavy is the load" in dialog._why.text()
    assert dialog.focusWidget() is dialog.fields["load_kg"]


def test_a_wish_that_cannot_be_is_explained(window: Window, dialog: FirstRigDialog) -> None:
    for name, text in {"hook_height_m": "20 m", "reach_m": "2 m", "load_kg": "100 kg"}.items():
        type_into(dialog.fields[name], text)
    click(dialog.size_button)
    # 1.8 m of jib mast over the 3.3 m that the forks of a 2.5 t truck rise
    words = "The hook cannot be 20\u202f000 mm high with this truck. Enter 600 mm to 5\u202f100 mm."
    assert dialog._why.text() == f"How high is the hook: {words}"
    assert dialog.focusWidget() is dialog.fields["hook_height_m"] and dialog.fields["hook_height_m"].wrong == words


def test_a_wish_that_cannot_be_is_explained_in_feet_and_inches_to_who_has_them(window: Window) -> None:
    window.document.set_units("us")
    window.commands.new_rig()
    dialog = window.commands.first_rig
    for name, text in {"hook_height_m": "8 ft", "reach_m": "1 ft", "load_kg": "300"}.items():
        type_into(dialog.fields[name], text)
    # 0.6 m: 23.62 in, to the next sixteenth
    words = "The hook cannot be 1 ft from the fork face: the jib mast stands there. Enter at least 1 ft 11-5/8 in."
    assert dialog.fields["reach_m"].wrong == words, "at once, not when all is typed"
    dialog.reject()


# ---------------------------------------------------------------- pulling the hook


def hook_m(dialog: FirstRigDialog) -> tuple[float, float]:
    """Where the hook of the sketch is: from the fork face, and up."""
    job = dialog.sketch.job
    assert job is not None
    placed = drawn(job, job.poses[0])
    return float(placed.hook_m.x - placed.frames["forks"].origin.x), float(placed.hook_m.z)


def pull(sketch: WishSketch, start: QPointF, dx_px: float, dy_px: float, steps: int = 6) -> None:
    """Take hold of a spot of the sketch and pull it by so many pixels, with real events."""
    held, none = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton
    end = start + QPointF(dx_px, dy_px)
    events = [(QEvent.Type.MouseButtonPress, start, held, held)]
    events += [
        (QEvent.Type.MouseMove, start + (end - start) * step / steps, none, held) for step in range(1, steps + 1)
    ]
    events.append((QEvent.Type.MouseButtonRelease, end, held, none))
    for kind, at, button, buttons in events:
        spot = QPointF(sketch.viewport().mapToGlobal(at.toPoint()))
        event = QMouseEvent(kind, at, spot, button, buttons, Qt.KeyboardModifier.NoModifier)
        QApplication.sendEvent(sketch.viewport(), event)
        QApplication.processEvents()


def test_the_hook_is_pulled_and_reach_and_height_follow_in_whole_steps(dialog: FirstRigDialog) -> None:
    answer(dialog, WISHED)
    sketch, mm_per_px = dialog.sketch, 1.0 / dialog.sketch.transform().m11()
    pull(sketch, sketch.hook_px, -40.0, -25.0)
    values = dialog.questions.values
    assert values["reach_m"] == pytest.approx(2.0 - 0.040 * mm_per_px, abs=0.011)
    assert values["hook_height_m"] == pytest.approx(2.4 + 0.025 * mm_per_px, abs=0.011)
    for name in ("reach_m", "hook_height_m"):
        assert 100.0 * values[name] == pytest.approx(round(100.0 * values[name]), abs=1e-6), "whole centimetres"
        assert dialog.fields[name].value == values[name]
    assert hook_m(dialog) == pytest.approx((values["reach_m"], values["hook_height_m"]), abs=0.02)


def test_what_is_typed_moves_the_hook_and_the_load_can_be_pulled_as_well(dialog: FirstRigDialog) -> None:
    answer(dialog, WISHED)
    type_into(dialog.fields["reach_m"], "1.6 m")
    assert hook_m(dialog)[0] == pytest.approx(1.6, abs=0.02)
    load = dialog.sketch.drawing.part("load")
    middle = QPointF(dialog.sketch.mapFromScene(load.mapToScene(load.path().boundingRect().center())))
    pull(dialog.sketch, middle, 0.0, -20.0)
    assert dialog.questions.values["hook_height_m"] > 2.4 and dialog.questions.values["reach_m"] == 1.6


def test_in_us_units_the_hook_is_pulled_by_half_inches(window: Window) -> None:
    window.document.set_units("us")
    window.commands.new_rig()
    dialog = window.commands.first_rig
    answer(dialog, {"hook_height_m": "8 ft", "reach_m": "6 ft", "load_kg": "150"})
    pull(dialog.sketch, dialog.sketch.hook_px, 30.0, 20.0)
    for name in ("reach_m", "hook_height_m"):
        halves = dialog.questions.values[name] / 0.0127
        assert halves == pytest.approx(round(halves), abs=1e-3)
        assert " ft " in dialog.fields[name].text()
    dialog.reject()


def test_the_arrow_keys_move_the_hook(dialog: FirstRigDialog) -> None:
    answer(dialog, WISHED)
    dialog.sketch.setFocus()
    QTest.keyClick(dialog.sketch, Qt.Key.Key_Left)
    QTest.keyClick(dialog.sketch, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    assert dialog.questions.values["reach_m"] == pytest.approx(1.99)
    assert dialog.questions.values["hook_height_m"] == pytest.approx(2.5)


def test_no_pull_brings_the_hook_where_no_rig_can_have_it(dialog: FirstRigDialog) -> None:
    answer(dialog, WISHED)
    pull(dialog.sketch, dialog.sketch.hook_px, -4000.0, -4000.0)
    # the jib mast stands nearer than 0.6 m, and 1.8 m of it over 3.3 m of lift is the highest
    assert (dialog.questions.values["reach_m"], dialog.questions.values["hook_height_m"]) == pytest.approx((0.6, 5.1))
    assert dialog.sketch.job is not None


def test_before_any_answer_an_example_is_seen_and_pulling_it_answers_where_the_hook_goes(
    dialog: FirstRigDialog,
) -> None:
    sketch = dialog.sketch
    assert sketch.job is None and dialog.drawn.text().startswith("An example, not your rig.")
    assert sketch.drawing.part("boom").opacity() < 0.5 and sketch.drawing.handles["hook"].opacity() == 1.0
    type_into(dialog.fields["box_length_m"], "900")
    assert sketch.drawing.part("load").path().boundingRect().width() == pytest.approx(900.0, abs=1.0)
    pull(sketch, sketch.hook_px, 20.0, 0.0)
    assert set(dialog.questions.values) == {"box_length_m", "reach_m", "hook_height_m"}
    assert sketch.job is None and "How heavy is the load" in dialog.drawn.text()
    assert not dialog.sketch_button.isEnabled(), "an example is nobody's rig"
    type_into(dialog.fields["load_kg"], "60 kg")
    assert sketch.job is not None and sketch.drawing.part("boom").opacity() == 1.0


def test_box_and_sling_are_drawn_to_scale_and_the_reach_from_the_fork_face(dialog: FirstRigDialog) -> None:
    answer(dialog, {**WISHED, "box_length_m": "900", "box_height_m": "300", "sling_m": "700"})
    box = dialog.sketch.drawing.part("load").path().boundingRect()
    assert (box.width(), box.height(), box.top()) == pytest.approx((900.0, 300.0, 700.0), abs=1.0)
    words = dialog.sketch.drawing.dimension_tag("reach").text
    assert words.startswith("2\u202f000") and "axle" not in words


def test_the_side_of_the_hook_is_seen_from_above_and_said(dialog: FirstRigDialog) -> None:
    answer(dialog, WISHED)
    assert not dialog.plan.isVisible() and "middle line" in dialog.drawn.text()
    choose(dialog.questions.arms, 1)
    assert dialog.plan.isVisible()
    type_into(dialog.fields["side_m"], "-300")
    assert "300 mm to the right" in dialog.drawn.text()
    hook = dialog.plan.drawing.handles["hook"].pos()
    assert hook.y() == pytest.approx(300.0, abs=20.0), "right of the truck is down in the plan"
    type_into(dialog.fields["side_m"], "2 m")
    assert dialog.sketch.job is None and "to the side at most" in dialog.drawn.text()


# ---------------------------------------------------------------- bars


def test_bars_and_weight_follow_the_answers_and_are_said_to_be_a_first_sketch(
    dialog: FirstRigDialog, qtbot: QtBot
) -> None:
    form = dialog.questions
    answer(dialog, WISHED)
    qtbot.waitUntil(lambda: "No bars yet" in dialog.bars_say.text())
    assert "the floor's slope is not entered" in dialog.bars_say.text() and dialog.bars.isHidden()
    choose(form.floor, "level")
    choose(form.truck, "the truck that is open")  # its file has its plate
    qtbot.waitUntil(lambda: dialog.bars.isVisible() and not dialog._faint.isEnabled(), timeout=WAIT_MS)
    job = dialog.sketch.job
    assert job is not None
    worst = {"RIG": 0.0, "TRUCK": 0.0}
    for check, use in evaluate(job, job.poses[0]).worst_uses:
        if check.of in ("rig", "truck"):
            worst[check.of.upper()] = max(worst[check.of.upper()], use)
    assert {bar.side: bar.use for bar in dialog.bars.bars} == pytest.approx(worst)
    assert dialog.bars_say.text() == BARS_MEAN
    mass_kg = sum(body.mass_kg for body in drawn(job, job.poses[0]).bodies if body.group == "rig")
    shown_kg = re.search(r"the rig weighs (\d+) kg", dialog.drawn.text())
    assert shown_kg is not None and float(shown_kg[1]) == pytest.approx(float(mass_kg), abs=1.0)
    before = dialog.bars.bars
    type_into(dialog.fields["load_kg"], "120")
    assert dialog._faint.isEnabled() and dialog.bars_say.text() == BARS_OLD
    qtbot.waitUntil(lambda: not dialog._faint.isEnabled(), timeout=WAIT_MS)
    assert dialog.bars.bars[1].use > before[1].use


# ---------------------------------------------------------------- truck, plate, sling


def test_a_truck_is_taken_out_of_another_file(
    window: Window, dialog: FirstRigDialog, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    other = samples.sample("tarn_hollow_stone_yard")
    path = tmp_path / "yard.rig.json"
    rig_file.write(other, path)
    form = dialog.questions
    chosen = ["", str(tmp_path / "none.rig.json"), str(path)]
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (chosen.pop(0), ""))
    choose(form.truck, FROM_FILE)
    assert form.truck.currentData() == "2.5 t", "nobody chose a file"
    choose(form.truck, FROM_FILE)
    assert form.truck.currentData() == "2.5 t" and "none.rig.json" in dialog._why.text()
    choose(form.truck, FROM_FILE)
    assert form.truck.currentText() == "the truck in yard" and not dialog._why.text()
    assert form._plate_says.text() == PLATE_OWN
    answer(dialog, WISHED)
    click(dialog.sketch_button)
    assert window.document.job.truck == other.truck


def test_axles_that_were_weighed_count_as_weighed(window: Window, dialog: FirstRigDialog) -> None:
    answer(dialog, WISHED)
    form = dialog.questions
    QTest.keyClick(form.has_weights, Qt.Key.Key_Space)
    click(dialog.size_button)
    assert dialog.focusWidget() is dialog.fields[AXLES[0]]
    answer(dialog, {AXLES[0]: "1620 kg", AXLES[1]: "2240 kg"})
    click(dialog.sketch_button)
    truck = window.document.job.truck
    assert [(one.best, one.known) for one in (truck.front_axle_kg, truck.rear_axle_kg)] == [
        (1620.0, "weighed"),
        (2240.0, "weighed"),
    ]
    assert truck.wheelbase_m.known == "typical"


def test_the_picture_of_a_plate_rings_the_figure_that_is_asked(dialog: FirstRigDialog) -> None:
    form = dialog.questions
    assert not form.plate_figure.isVisible()
    QTest.keyClick(form.has_plate, Qt.Key.Key_Space)
    assert form.plate_figure.isVisible() and "EXAMPLE" in form.plate_figure.accessibleDescription()
    form.has_plate.setFocus()
    for name in ("rated_kg", "load_centre_m", "lift_m"):
        QTest.keyClick(dialog.focusWidget(), Qt.Key.Key_Tab)
        assert dialog.focusWidget() is dialog.fields[name] and form.plate_figure.asked == name
    metric = form.plate_figure.accessibleDescription()
    choose(form.unit_choice, "us")
    assert form.plate_figure.accessibleDescription() != metric


def test_a_sling_whose_tag_nobody_read_stays_not_entered_and_is_said(
    window: Window, dialog: FirstRigDialog, gates: gated.Gates, qtbot: QtBot
) -> None:
    gates.open()
    form = dialog.questions
    choose(form.truck, "the truck that is open")
    choose(form.floor, "level")
    assert form._sling_says.text().startswith(UNRATED)
    with qtbot.waitSignal(dialog.background.answered, timeout=WAIT_MS):
        answer(dialog, WISHED)
    assert "stays NOT PROVEN: the rating on the sling's tag is not entered" in dialog.said.text()
    assert "Taken as usual, not entered" in dialog.said.text()
    with qtbot.waitSignal(dialog.background.answered, timeout=WAIT_MS):
        type_into(dialog.fields["sling_rated_kg"], "500 kg")
    assert form._sling_says.text().startswith(RATED) and dialog.said.text().startswith("A rig that holds")
    click(dialog.draw_button)
    rigging = window.document.job.load.rigging
    assert rigging is not None and rigging.tag is not None and rigging.tag.vertical_kg == 500.0


def test_a_load_that_would_stand_on_the_floor_is_said_before_anything_is_sized(dialog: FirstRigDialog) -> None:
    answer(dialog, {**WISHED, "hook_height_m": "1.2 m", "sling_m": "800", "box_height_m": "600"})
    click(dialog.size_button)
    assert not dialog.background.asks and "the load stands on the floor" in dialog._why.text()
    assert dialog.focusWidget() is dialog.fields["hook_height_m"]


def test_a_sling_too_weak_for_the_load_is_said_with_the_pull_in_it(
    dialog: FirstRigDialog, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    """Load and rigging, 100 kg as entered, pull 1.25 times as hard before any doubt and swing."""
    monkeypatch.setattr(worker_tasks, "new_rig", REAL)
    answer(dialog, {"hook_height_m": "2.4 m", "reach_m": "2 m", "sling_rated_kg": "100 kg"})
    with qtbot.waitSignal(dialog.background.answered, timeout=WAIT_MS):
        type_into(dialog.fields["load_kg"], "90 kg")
    assert dialog.said.isVisible() and dialog.said.text().startswith("The sling's tag allows 100 kg in one leg")
    assert not dialog.draw_button.isEnabled() and dialog.near_button.isHidden()


def test_the_caution_stands_over_the_questions(dialog: FirstRigDialog) -> None:
    (caution,) = [one for one in dialog.findChildren(QLabel) if one.accessibleName() == "caution"]
    assert CAUTION in caution.text() and NOT_APPROVED in caution.text() and caution.isVisible()


# ---------------------------------------------------------------- sizing


@pytest.mark.slow
def test_a_rig_is_sized_and_opened_within_its_limits_and_asked_about_when_the_window_closes(
    window: Window, dialog: FirstRigDialog, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    monkeypatch.setattr(worker_tasks, "new_rig", REAL)
    form = dialog.questions
    form.has_plate.setChecked(True)
    choose(form.floor, "level")
    answer(dialog, {"rated_kg": "2268 kg", "load_centre_m": "610 mm", "lift_m": "3.3 m"})
    answer(dialog, {"hook_height_m": "2.4 m", "reach_m": "1.5 m", "sling_rated_kg": "1000 kg"})
    with qtbot.waitSignal(dialog.background.answered, timeout=WAIT_MS):
        type_into(dialog.fields["load_kg"], "60 kg")  # Enter does what the main button does
    assert dialog.said.text().startswith("A rig that holds") and " kg." in dialog.said.text()
    assert dialog.parts.text().startswith("Sleeves, two: ") and "Boom: " in dialog.parts.text()
    assert dialog.draw_button.isDefault()
    QTest.keyClick(dialog.fields["load_kg"], Qt.Key.Key_Return)
    document = window.document
    assert document.verdict.state == "WITHIN" and document.path is None and document.unsaved
    assert [pose.name for pose in document.job.poses] == ["at work", "home, hook empty"]
    with answering(lambda box: press(box, "Cancel")) as said:
        window.close()
    assert "is not saved. Save it first?" in said[0] and window.isVisible()


def test_another_answer_makes_what_was_sized_old_but_another_name_does_not(
    window: Window, dialog: FirstRigDialog, gates: gated.Gates, qtbot: QtBot
) -> None:
    gates.open()
    with qtbot.waitSignal(dialog.background.answered, timeout=WAIT_MS):
        answer(dialog, WISHED)
    sized = dialog.sketch.job
    assert dialog.draw_button.isEnabled() and not dialog.sketch_button.isEnabled()
    assert "no verdict on it yet" in dialog.said.text() and dialog.drawn.text().startswith(SIZED)
    dialog.questions.name.setText("Sheds")
    assert dialog.draw_button.isEnabled()
    choose(dialog.questions.known, "weighed")
    assert not dialog.draw_button.isEnabled() and dialog.said.text() == CHANGED and not dialog.parts.text()
    assert dialog.size_button.isDefault() and dialog.sketch.job is not sized
    with qtbot.waitSignal(dialog.background.answered, timeout=WAIT_MS):
        click(dialog.size_button)
    click(dialog.draw_button)
    assert window.document.job.name == "Sheds" and window.document.job.load.mass_kg.known == "weighed"


def test_an_answer_changed_meanwhile_gives_the_sizing_up(dialog: FirstRigDialog, gates: gated.Gates) -> None:
    answer(dialog, WISHED)
    assert dialog.background.asks
    choose(dialog.questions.arms, 1)
    assert not dialog.background.asks and dialog.said.text() == CHANGED and dialog.waiting.isHidden()


def test_the_nearest_that_can_be_had_is_taken_with_its_rig_and_not_sized_anew(
    window: Window, dialog: FirstRigDialog, gates: gated.Gates, qtbot: QtBot
) -> None:
    gates.open()
    with qtbot.waitSignal(dialog.background.answered, timeout=WAIT_MS):
        answer(dialog, {**WISHED, "load_kg": "400 kg"})
    assert "boom: combined stress stays over" in dialog.said.text()
    assert "1\u202f800 mm from the fork face" in dialog.said.text()
    assert not dialog.draw_button.isEnabled() and dialog.near_button.isVisible()
    gates.close()
    click(dialog.near_button)
    assert not dialog.background.asks, "its rig is there already"
    assert dialog.questions.values == {"hook_height_m": 2.4, "reach_m": 1.8, "load_kg": 400.0}
    assert dialog.draw_button.isEnabled() and dialog.near_button.isHidden()
    assert dialog.drawn.text().startswith(SIZED) and dialog.parts.text().startswith("Sleeves, two: ")
    sized = dialog.sketch.job
    click(dialog.draw_button)
    assert sized is not None and window.document.job.rig == sized.rig


def test_progress_says_round_weight_and_what_is_cured_and_stop_is_felt_at_once(
    dialog: FirstRigDialog, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    monkeypatch.setattr(worker_tasks, "new_rig", REAL)
    answer(dialog, WISHED)
    said = re.compile(r"round \d+, \d+ kg so far, (.+: .+ at \d+ %|all limits hold|proving)")
    qtbot.waitUntil(lambda: said.search(dialog.waiting.line.text()) is not None, timeout=WAIT_MS)
    start_s = time.perf_counter()
    click(dialog.waiting.stop_button)
    assert time.perf_counter() - start_s < 0.1
    assert not dialog.background.asks and dialog.waiting.line.text() == STOPPED


def test_sizing_is_stopped_by_its_button_or_esc_and_the_next_esc_closes(
    window: Window, dialog: FirstRigDialog, qtbot: QtBot
) -> None:
    answer(dialog, WISHED)
    qtbot.waitUntil(dialog.waiting.stop_button.isVisible, timeout=WAIT_MS)
    assert dialog.isEnabled() and dialog.fields["reach_m"].isEnabled()
    click(dialog.waiting.stop_button)
    assert not dialog.background.asks and dialog.waiting.line.text() == STOPPED
    click(dialog.size_button)
    assert dialog.background.asks
    QTest.keyClick(dialog.fields["reach_m"], Qt.Key.Key_Escape)
    assert not dialog.background.asks and dialog.isVisible()
    QTest.keyClick(dialog.fields["reach_m"], Qt.Key.Key_Escape)
    assert not dialog.isVisible()


def test_closing_gives_the_sizing_up(window: Window, dialog: FirstRigDialog) -> None:
    answer(dialog, WISHED)
    background, before = dialog.background, window.document.job
    click(dialog.buttons.button(dialog.buttons.StandardButton.Close))
    assert not shiboken6.isValid(background) or not background.asks
    assert window.document.job is before


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("text_size", [100, 200])
def test_nothing_is_cut_at_its_least_width(window: Window, units: System, text_size: int) -> None:
    window.appearance.set_text_size(text_size)
    window.document.set_units(units)
    window.commands.new_rig()
    dialog = window.commands.first_rig
    form = dialog.questions
    form.has_plate.setChecked(True)
    choose(form.floor, "slope")
    choose(form.arms, 2)
    answer(dialog, {"hook_height_m": "2.4 m", "reach_m": "2 m"})
    dialog.resize(dialog.minimumSizeHint())
    QApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest.value)
    QApplication.processEvents()
    assert dialog.width() <= 1280 and dialog.height() <= 800
    seen = dialog._area.viewport().width()
    for one in (*form.findChildren(QLabel), *form.findChildren(ChoiceField), *form.findChildren(QLineEdit)):
        if one.isVisible() and one.parentWidget() is form:
            assert one.geometry().right() < seen, one.accessibleName()
    for field in form.fields.values():
        if field.isVisible():
            unit_px = field.textMargins().right()
            words_px = field.fontMetrics().horizontalAdvance(field.placeholderText())
            assert words_px + unit_px < field.width(), field.accessibleName()
    for field in form.findChildren(ChoiceField):
        words = max(field.fontMetrics().horizontalAdvance(field.itemText(at)) for at in range(field.count()))
        assert field.width() > words, field.accessibleName()
    dialog.reject()


# ---------------------------------------------------------------- entries that are asked about


US, METRIC = "us", "metric"


@pytest.mark.parametrize(
    ("units", "name", "text", "offers"),
    [
        (US, "hook_height_m", "8", ["8 ft"]),
        (US, "reach_m", "5", ["5 ft", "5 m"]),
        (US, "load_kg", "12000", ["1\u202f200 lb"]),
        (US, "rated_kg", "2.5", ["2.5 t"]),
        (US, "load_centre_m", "2", ["2 ft"]),
        (US, "lift_m", "11", ["11 ft"]),
        (METRIC, "hook_height_m", "2.4", ["2.4 m", "2.4 ft"]),
        (METRIC, "reach_m", "200", ["200 cm", "200 in"]),
        (METRIC, "load_kg", "9000", ["9\u202f000 lb"]),
        (METRIC, "rated_kg", "2.5", ["2.5 t"]),
        (METRIC, "load_centre_m", "50", ["50 cm", "50 in"]),
        (METRIC, "lift_m", "3.3", ["3.3 m", "3.3 ft"]),
    ],
)
def test_an_answer_in_the_wrong_unit_is_asked_about_as_soon_as_it_is_left(
    window: Window, units: System, name: str, text: str, offers: list[str]
) -> None:
    window.document.set_units(units)
    window.commands.new_rig()
    dialog = window.commands.first_rig
    dialog.questions.has_plate.setChecked(True)
    field = dialog.fields[name]
    type_into(field, text)
    assert [offer.text for offer in field.offers] == offers
    assert [button.text() for button in field.note.buttons] == offers
    field.note.buttons[0].click()
    assert not field.wrong and name in dialog.questions.values
    dialog.reject()


def test_another_truck_moves_the_ends_of_what_is_asked_about(window: Window, dialog: FirstRigDialog) -> None:
    field = dialog.fields["hook_height_m"]
    before = field.usual.most
    dialog.questions.truck.setCurrentIndex(dialog.questions.truck.findData("the truck that is open"))
    dialog.questions.truck.entered.emit("the truck that is open")
    assert field.usual.most == window.document.job.truck.upright.lift_max_m + 1.8
    assert before == pytest.approx(5.1)


# ---------------------------------------------------------------- in the forms


def button(form: Form, name: str) -> QPushButton:
    return next(one for one in form.findChildren(QPushButton) if one.accessibleName() == name)


def test_arms_are_added_and_removed_in_the_form_and_drawn_at_once(window: Window) -> None:
    form = window.panels.bring(ARMS)
    button(form, "Add an arm").click()
    assert len(window.document.job.rig.arms) == 3
    assert "arm 2" in window.views.side_drawing.handles and window.views.side_drawing.handles["arm 2"].isVisible()
    button(form, "Remove the last arm").click()
    button(form, "Remove the last arm").click()
    assert len(window.document.job.rig.arms) == 1
    assert all(len(pose.arms) == 1 for pose in window.document.job.poses)
    window.document.undo_stack.undo()
    assert len(window.document.job.rig.arms) == 2


def test_a_section_is_picked_from_the_common_sizes_or_typed(window: Window) -> None:
    form = window.panels.bring(BOOM)
    type_into(form.fields["rig.boom.section.wall_m"], "6.3")
    choice = form.fields["rig.boom.section size"]
    assert choice.currentText() == "100 x 100 x 6.3 mm"
    assert choice.itemText(1).endswith(" mm")
    window.document.set_units("us")
    choice = form.fields["rig.boom.section size"]
    assert choice.itemText(1).endswith(" in") and choice.currentText() == "100 x 100 x 6.3 mm"
    window.document.set_units("metric")
    choice = form.fields["rig.boom.section size"]
    choice.setCurrentIndex(choice.findData("120 x 120 x 8 mm"))
    choice.activated.emit(choice.currentIndex())
    assert window.document.job.rig.boom.section.wall_m == pytest.approx(0.008)
    type_into(form.fields["rig.boom.section.wall_m"], "7 mm")
    assert form.fields["rig.boom.section size"].currentText() == "typed below"  # made anew: how the wall is known went
