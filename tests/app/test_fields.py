"""Fields with real keys and clicks: what is typed, what is asked back, what undo and Esc do, what an empty one says."""

from __future__ import annotations

import json
import math
from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from app.documents.document import Document
from app.panels.fields import QuantityField
from app.panels.forms import Form
from app.panels.widgets import as_label
from app.shell.panel_registry import POSE
from app.shell.window import Window
from engine.base.formatting import System
from engine.schema import rig_file
from engine.shop import edits
from tests.app.hand import show_tab, type_into
from tests.samples import sample


@pytest.fixture
def form(qtbot: QtBot) -> Form:
    document = Document(sample("skerry_point_boatyard"))
    form = Form(document, ("rig.boom", "load", "floors[0]"))
    qtbot.addWidget(form)
    document.changed.connect(lambda *_: form.show_document(document))
    form.show_document(document)
    form.show()
    qtbot.waitExposed(form)
    return form


def field(form: Form, path: str) -> QuantityField:
    found = form.fields[path]
    assert isinstance(found, QuantityField)
    return found


def test_a_bare_number_is_in_the_unit_beside_it(form: Form) -> None:
    type_into(field(form, "rig.boom.length_m"), "2350")
    assert form._document.job.rig.boom.length_m == pytest.approx(2.35)
    form._document.set_units("us")
    type_into(field(form, "load.mass_kg.best"), "300")
    assert form._document.job.load.mass_kg.best == pytest.approx(136.0777, abs=1e-4)


def test_thirty_six_millimetres_of_boom_are_asked_about_and_a_button_settles_it(form: Form) -> None:
    length = field(form, "rig.boom.length_m")
    type_into(length, "36")
    assert form._document.job.rig.boom.length_m == pytest.approx(2.4), "the old value stands"
    assert length.text() == "36" and "unusual" in length.wrong
    buttons = {button.text(): button for button in length.note.buttons}
    assert set(buttons) == {"36 cm", "36 in"}  # 36 ft is no boom of this kind either
    type_into(length, "3600")
    assert not length.wrong and form._document.job.rig.boom.length_m == pytest.approx(3.6)


def test_a_click_on_what_was_meant_enters_it(form: Form) -> None:
    fall = field(form, "floors[0].fall_along.best")
    type_into(fall, "36")
    (button,) = fall.note.buttons
    assert button.text() == "3.6 %"
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    assert form._document.job.floors[0].fall_along.best == pytest.approx(0.036)
    assert not fall.wrong and fall.note.isHidden()


def test_what_is_wrong_stays_until_it_is_put_right_or_left_by_escape(form: Form) -> None:
    length = field(form, "rig.boom.length_m")
    type_into(length, "long")
    QTest.mouseClick(field(form, "rig.boom.first_hole_m"), Qt.MouseButton.LeftButton)
    form.show_document(form._document)
    assert length.text() == "long" and length.wrong and not length.note.isHidden()
    length.setFocus()
    QTest.keyClick(length, Qt.Key.Key_Escape)
    assert length.text() == "2\u202f400" and not length.wrong and length.note.isHidden()


def test_while_typing_the_line_below_says_what_will_be_taken(form: Form) -> None:
    length = field(form, "rig.boom.length_m")
    length.setFocus()
    length.selectAll()
    QTest.keyClicks(length, "8' 6\"")
    assert length.note.words.text() == "= 2\u202f590.8 mm (8 ft 6 in)"


def test_tab_through_every_field_changes_nothing(form: Form) -> None:
    """In both units; the file is the same to the byte but for the units."""
    before = json.loads(rig_file.encode(form._document.job))
    for units in ("metric", "us"):
        form._document.set_units(units)
        steps = form._document.undo_stack.count()
        for _ in range(120):
            QTest.keyClick(QApplication.focusWidget() or form, Qt.Key.Key_Tab)
        for one in form.findChildren(QuantityField):
            one.setFocus()
            QTest.keyClick(one, Qt.Key.Key_Return)
        assert form._document.undo_stack.count() == steps
    after = json.loads(rig_file.encode(form._document.job))
    assert {**after, "units": before["units"]} == before


def test_an_empty_field_has_nothing_to_delete(form: Form) -> None:
    low = field(form, "load.mass_kg.low")
    assert low.text() == "" and low.placeholderText() == "181.3", "185 kg weighed, 2 % less"
    type_into(low, "180")
    assert form._document.job.load.mass_kg.low == 180.0
    type_into(field(form, "load.mass_kg.low"), "")
    assert form._document.job.load.mass_kg.low is None


def test_a_click_on_the_unit_turns_one_field_to_the_other_units(form: Form) -> None:
    length, hole = field(form, "rig.boom.length_m"), field(form, "rig.boom.first_hole_m")
    QTest.mouseClick(length._unit, Qt.MouseButton.LeftButton)
    assert length.shown == "7 ft 10.488 in" and hole.shown.endswith("mm")
    type_into(length, "8-6")
    assert form._document.job.rig.boom.length_m == pytest.approx(2.5908)
    QTest.mouseClick(length._unit, Qt.MouseButton.LeftButton)
    assert length.shown == "2\u202f590.8 mm"


def test_two_nearly_equal_sizes_never_look_alike(form: Form) -> None:
    form._document.set_units("us")
    shown = []
    for text in ("2.480", "2.500"):
        type_into(field(form, "rig.boom.section.width_m"), text)
        shown.append(field(form, "rig.boom.section.width_m").text())
    assert shown == ["2.480", "2-1/2"]


def test_undo_in_a_field_takes_back_typing_and_else_the_last_change(make_window: Callable[..., Window]) -> None:
    window = make_window()
    show_tab(window, "Stance")
    tilt = window.panels[POSE].fields["tilt"]
    type_into(tilt, "2")
    assert window.document.undo_stack.index() == 1
    tilt.setFocus()
    QTest.keyClicks(tilt, "12")
    QTest.keyClick(tilt, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.document.undo_stack.index() == 1, "typing is taken back first"
    QTest.keyClick(tilt, Qt.Key.Key_Escape)
    QTest.keyClick(tilt, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.document.undo_stack.index() == 0
    assert window.document.pose.tilt_rad == pytest.approx(0.0)


def test_a_step_lands_on_a_whole_one(form: Form) -> None:
    length = field(form, "rig.boom.length_m")
    type_into(length, "2404")
    QTest.keyClick(length, Qt.Key.Key_Up)
    assert form._document.job.rig.boom.length_m == pytest.approx(2.41)
    QTest.keyClick(length, Qt.Key.Key_Down)
    assert form._document.job.rig.boom.length_m == pytest.approx(2.40)
    weight = field(form, "load.mass_kg.best")
    QTest.keyClick(weight, Qt.Key.Key_Up)
    assert form._document.job.load.mass_kg.best == pytest.approx(190.0), "five kilograms from a hundred on"


@pytest.mark.parametrize(
    ("path", "typed", "stepped_m"),
    [
        ("rig.boom.section.width_m", "3-31/32", 4.0 * 0.0254),
        ("rig.boom.length_m", "94-1/4 in", 94.5 * 0.0254),
    ],
)
def test_a_step_in_us_units_is_a_sixteenth_of_a_section_and_half_an_inch_of_a_place(
    form: Form, path: str, typed: str, stepped_m: float
) -> None:
    form._document.set_units("us")
    size = field(form, path)
    type_into(size, typed)
    QTest.keyClick(size, Qt.Key.Key_Up)
    assert size.value == pytest.approx(stepped_m, abs=1e-9)


def test_tilt_goes_by_half_a_degree_and_an_arm_by_five_or_with_shift_by_one(make_window: Callable[..., Window]) -> None:
    window = make_window("skerry_point_boatyard")
    show_tab(window, "Stance")
    fields, document = window.panels[POSE].fields, window.document
    for name, typed in (("tilt", "1"), ("arm 0", "20")):
        type_into(fields[name], typed)
        QTest.keyClick(fields[name], Qt.Key.Key_Up)
    QTest.keyClick(fields["arm 0"], Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert math.degrees(document.pose.tilt_rad) == pytest.approx(1.5)
    assert math.degrees(document.pose.arms[0].turn_rad) == pytest.approx(24.0)


@pytest.mark.parametrize(
    ("units", "typed", "beside", "text"),
    [
        ("us", "20 mm", "in (20 mm)", "0.787"),
        ("us", "5/16", "in", "5/16"),
        ("metric", "5/16 in", "mm (5/16 in)", "7.938"),
        ("metric", "20", "mm", "20"),
    ],
)
def test_a_size_keeps_its_name_in_the_other_units(
    form: Form, units: System, typed: str, beside: str, text: str
) -> None:
    form._document.set_units(units)
    pin = field(form, "rig.boom.pin.diameter_m")
    type_into(pin, "19 mm")
    type_into(pin, typed)
    assert (pin.text(), pin._unit.text()) == (text, beside)


# ---------------------------------------------------------------- sizes keep the name they were typed by

PIN, WALL = "rig.boom.pin.diameter_m", "rig.boom.section.wall_m"


def test_a_size_typed_in_the_other_units_keeps_its_name_beside_it_and_undo_takes_both_back(form: Form) -> None:
    pin, document = field(form, PIN), form._document
    before = document.job
    type_into(pin, "25/32 in")
    assert document.job.nominals == {PIN: "25/32 in"}
    assert document.job.rig.boom.pin.diameter_m == pytest.approx(0.01984375, abs=1e-9)
    assert pin._unit.text() == "mm (25/32 in)" and "entered as 25/32 in" in pin.toolTip()
    assert document.undo_stack.count() == 1
    document.undo_stack.undo()
    assert document.job == before and pin._unit.text() == "mm" and "entered as" not in pin.toolTip()
    document.undo_stack.redo()
    assert document.job.nominals == {PIN: "25/32 in"} and pin._unit.text() == "mm (25/32 in)"


def test_a_name_too_long_for_its_field_stands_in_the_tooltip_alone(form: Form) -> None:
    length = field(form, "rig.boom.length_m")
    type_into(length, "7 ft 10-1/2 in")
    length.setFixedWidth(300)
    QApplication.processEvents()
    assert length._unit.text() == "mm (7 ft 10-1/2 in)"
    length.setFixedWidth(110)
    QApplication.processEvents()
    assert length._unit.text() == "mm" and "entered as 7 ft 10-1/2 in" in length.toolTip()


def test_a_bare_number_is_kept_with_the_unit_that_stood_beside_it(form: Form) -> None:
    pin, document = field(form, PIN), form._document
    type_into(pin, "19")
    assert document.job.nominals == {PIN: "19 mm"}
    document.set_units("us")
    pin = field(form, PIN)
    assert pin.text() == "0.748" and pin._unit.text() == "in (19 mm)"
    type_into(pin, "0.750")
    assert document.job.nominals == {PIN: "0.750 in"} and pin._unit.text() == "in"
    type_into(field(form, "rig.boom.length_m"), "7-6")
    assert document.job.nominals["rig.boom.length_m"] == "7 ft 6 in"


def test_a_gauge_that_was_chosen_is_kept_in_inches(form: Form) -> None:
    wall = field(form, WALL)
    type_into(wall, "11 ga")
    tube = next(button for button in wall.note.buttons if "tube" in button.text())
    QTest.mouseClick(tube, Qt.MouseButton.LeftButton)
    assert form._document.job.rig.boom.section.wall_m == pytest.approx(0.003048)
    assert form._document.job.nominals == {WALL: "0.12 in"}


def test_an_arrow_key_and_a_drag_take_the_name_out(form: Form) -> None:
    """A number nobody chose has none: it is called by its value."""
    pin, document = field(form, PIN), form._document
    type_into(pin, "3/4 in")
    QTest.keyClick(pin, Qt.Key.Key_Down)
    assert document.job.nominals == {} and document.job.rig.boom.pin.diameter_m == pytest.approx(0.019)
    assert pin._unit.text() == "mm"
    type_into(pin, "3/4 in")
    document.preview_job(edits.set_value(document.job, PIN, 0.019))
    assert pin._unit.text() == "mm", "while it is dragged already"
    document.commit_preview("Change diameter")
    assert document.job.nominals == {}


def test_typing_what_stands_there_is_no_edit(form: Form) -> None:
    type_into(field(form, PIN), "20")
    assert form._document.undo_stack.count() == 0 and form._document.job.nominals == {}


def test_an_entry_that_was_empty_keeps_its_name_too(form: Form) -> None:
    type_into(field(form, "rig.boom.hole_edge_m"), "2 in")
    assert form._document.job.nominals == {"rig.boom.hole_edge_m": "2 in"}


def test_labels_start_with_a_capital_letter_in_every_form(window: Window) -> None:
    """Sentence case everywhere; the letter of a dimension on the part's picture stands before its words."""
    seen = 0
    for stage in range(window.panels.count()):
        window.panels.setCurrentIndex(stage)
        for label in window.panels.currentWidget().findChildren(QLabel):
            words = label.text().partition("   ")[2] or label.text()
            if label.buddy() is not None and words[:1].isalpha():
                assert words[0].isupper(), label.text()
                seen += 1
    assert seen > 100


@pytest.mark.parametrize(
    ("label", "shown"),
    [
        ("hole pitch", "Hole pitch"),
        ("C   from hole to hole", "C   From hole to hole"),
        ("Tilt (back +)", "Tilt (back +)"),
    ],
)
def test_a_label_is_put_in_sentence_case_behind_its_letter(label: str, shown: str) -> None:
    assert as_label(label) == shown
