"""A rig from nothing: the guided start, arms and sections in the forms."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import shiboken6
from hand import type_into
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QPushButton

from app.panels.forms import Form
from app.shell.first_rig import FirstRigDialog
from app.shell.panel_registry import ARMS, BOOM
from app.shell.window import Window
from engine.base.formatting import System


def press_draw(dialog: FirstRigDialog) -> None:
    QTest.mouseClick(dialog.buttons.button(dialog.buttons.StandardButton.Ok), Qt.MouseButton.LeftButton)


@pytest.fixture
def dialog(window: Window) -> Iterator[FirstRigDialog]:
    window.commands.new_rig()
    yield window.commands.first_rig
    if shiboken6.isValid(window.commands.first_rig):  # it is gone once something was drawn
        window.commands.first_rig.reject()


def test_a_whole_rig_is_drawn_from_a_few_answers(window: Window, dialog: FirstRigDialog) -> None:
    dialog.truck.setCurrentIndex(dialog.truck.findData("2.5 t"))
    dialog.has_plate.setChecked(True)
    answers = {
        "rated_kg": "2500 kg", "load_centre_m": "500 mm", "lift_m": "3.3 m",
        "hook_height_m": "8 ft", "reach_m": "2 m", "load_kg": "300 lb",
    }  # fmt: skip
    for name, text in answers.items():
        type_into(dialog.fields[name], text)
    press_draw(dialog)
    job = window.document.job
    assert job.load.mass_kg.best == pytest.approx(136.08, abs=0.01)
    assert job.truck.plate.rows[0].rated_kg == 2500.0
    assert len(job.rig.arms) == 1
    assert window.document.path is None
    assert window.block.word.state == "REFUSED"
    assert "Slope at" in window.notice.text()


def test_in_us_units_it_offers_trucks_by_the_pound_and_reads_bare_numbers_as_pounds(window: Window) -> None:
    window.document.set_units("us")
    window.commands.new_rig()
    dialog = window.commands.first_rig
    offered = [dialog.truck.itemText(index) for index in range(dialog.truck.count())]
    assert "3,000 lb cushion" in offered and "8,000 lb pneumatic" in offered and "2.5 t" not in offered
    dialog.truck.setCurrentIndex(dialog.truck.findData("5,000 lb cushion"))
    for name, text in {"hook_height_m": "8 ft", "reach_m": "6 ft", "load_kg": "300"}.items():
        type_into(dialog.fields[name], text)
    press_draw(dialog)
    job = window.document.job
    assert job.load.mass_kg.best == pytest.approx(136.08, abs=0.01)
    assert job.units == "us" and job.truck.name == "Typical 5,000 lb cushion truck"


def test_the_keyboard_starts_in_the_first_answer(window: Window, dialog: FirstRigDialog) -> None:
    focused = dialog.focusWidget()
    assert isinstance(focused, QLineEdit) and focused.accessibleName() == "name of the job"
    QTest.keyClick(focused, Qt.Key.Key_Tab)
    assert dialog.focusWidget() is dialog.truck


def test_what_is_missing_is_named_and_nothing_is_drawn(window: Window, dialog: FirstRigDialog) -> None:
    before = window.document.job
    type_into(dialog.fields["reach_m"], "2 m")
    press_draw(dialog)
    assert window.document.job is before
    assert "How high is the hook" in dialog._why.text()
    assert "How heavy is the load" in dialog._why.text()


def test_a_wish_that_cannot_be_is_explained(window: Window, dialog: FirstRigDialog) -> None:
    for name, text in {"hook_height_m": "20 m", "reach_m": "2 m", "load_kg": "100 kg"}.items():
        type_into(dialog.fields[name], text)
    press_draw(dialog)
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
    # 0.35 m to the jib mast's foot and a strap of 0.08 m: 16.93 in, to the next sixteenth
    words = "The hook cannot be 1 ft from the fork face: the jib mast stands there. Enter at least 1 ft 4-15/16 in."
    assert dialog.fields["reach_m"].wrong == words, "at once, not when all is typed"
    dialog.reject()


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
    dialog.has_plate.setChecked(True)
    field = dialog.fields[name]
    type_into(field, text)
    assert [offer.text for offer in field.offers] == offers
    assert [button.text() for button in field.note.buttons] == offers
    field.note.buttons[0].click()
    assert not field.wrong and name in dialog._values
    dialog.reject()


def test_another_truck_moves_the_ends_of_what_is_asked_about(window: Window, dialog: FirstRigDialog) -> None:
    field = dialog.fields["hook_height_m"]
    before = field.usual.most
    dialog.truck.setCurrentIndex(dialog.truck.findData("the truck that is open"))
    dialog.truck.entered.emit("the truck that is open")
    assert field.usual.most == window.document.job.truck.upright.lift_max_m + 1.8
    assert before == pytest.approx(5.1)


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
