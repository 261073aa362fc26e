"""Chips beside numbers: how each is known, what it may be off, and what is missing; by mouse and by keyboard."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from hand import type_into
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QCheckBox, QPushButton
from pytestqt.qtbot import QtBot

from app.documents.document import Document
from app.documents.files import SAMPLES
from app.panels.fields import QuantityField
from app.panels.forms import Form
from app.panels.known_chip import Chipped, KnownChip
from app.shell.window import Window
from tests.samples import ROOT, sample

LEFT = Qt.MouseButton.LeftButton

SAID = {
    "weighed": "weighed",
    "weighbridge": "weighbridge",
    "plate": "plate",
    "papers": "papers",
    "worked_out": "worked out",
    "similar": "like another",
    "typical": "typical",
    "guess": "guess",
}


@pytest.fixture
def form(qtbot: QtBot) -> Form:
    document = Document(sample("skerry_point_boatyard"))
    form = Form(document, ("load", "truck", "floors[0]", "rig.boom"))
    qtbot.addWidget(form)
    document.changed.connect(lambda *_: form.show_document(document))
    form.show_document(document)
    form.resize(420, 900)
    form.show()
    qtbot.waitExposed(form)
    form.activateWindow()
    return form


def chip(form: Form, path: str) -> KnownChip:
    return form.chips[path]


def field(form: Form, path: str) -> QuantityField:
    found = form.fields[path]
    assert isinstance(found, QuantityField)
    return found


def test_every_number_says_how_it_is_known_in_the_words_of_the_file(form: Form) -> None:
    """Against the rig file itself."""
    file = json.loads((ROOT / "sample_rigs" / "skerry_point_boatyard.rig.json").read_text("utf-8"))
    seen = 0
    for part in ("load", "truck"):
        for name, entry in file[part].items():
            if isinstance(entry, dict) and "known" in entry:
                known = entry["known"]
                words = SAID.get(known) or ("taped" if name.endswith("_m") else "measured")
                assert chip(form, f"{part}.{name}").text() == words, name
                seen += 1
    assert seen >= 10
    assert chip(form, "floors[0].fall_along").text() == "measured"


def test_a_click_opens_least_and_most_and_what_a_shop_could_do(form: Form) -> None:
    """185 kg weighed is 2 % either way; 1 599 kg typical is 10 %, and would be 2 % if weighed."""
    low, details = field(form, "load.mass_kg.low"), form._details["load.mass_kg"]
    assert not low.isVisible()
    QTest.mouseClick(chip(form, "load.mass_kg"), LEFT)
    assert low.isVisible() and low.placeholderText() == "181.3"
    assert field(form, "load.mass_kg.high").placeholderText() == "188.7"
    QTest.mouseClick(chip(form, "truck.front_axle_kg"), LEFT)
    assert field(form, "truck.front_axle_kg.low").placeholderText().replace("\u202f", " ") == "1 439.1"
    shop = form._details["truck.front_axle_kg"].shop.text().replace("\u202f", " ")
    assert shop == "As good as a shop can (weighed): 1 567 kg to 1 631 kg"
    QTest.mouseClick(chip(form, "load.mass_kg"), LEFT)
    assert not details.isVisible()


def test_the_keyboard_opens_changes_and_closes_a_chip(form: Form) -> None:
    mass, shown = field(form, "load.mass_kg.best"), chip(form, "load.mass_kg")
    mass.setFocus()
    QTest.keyClick(mass, Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is shown
    QTest.keyClick(shown, Qt.Key.Key_Return)
    known = form.fields["load.mass_kg.known"]
    assert QApplication.focusWidget() is known
    QTest.keyClick(known, Qt.Key.Key_Down)
    assert form._document.job.load.mass_kg.known == "weighbridge" and shown.text() == "weighbridge"
    assert field(form, "load.mass_kg.low").placeholderText() == "165", "a weighbridge is good to 20 kg"
    QTest.keyClick(known, Qt.Key.Key_Escape)
    assert not known.isVisible() and QApplication.focusWidget() is shown
    assert shown.accessibleName() == "how mass is known: weighbridge"


def test_it_stays_open_while_least_is_typed(form: Form) -> None:
    QTest.mouseClick(chip(form, "load.mass_kg"), LEFT)
    type_into(field(form, "load.mass_kg.low"), "180")
    assert form._document.job.load.mass_kg.low == 180.0
    assert QApplication.focusWidget() is field(form, "load.mass_kg.low"), "though the fields were built again"
    assert field(form, "load.mass_kg.low").isVisible() and chip(form, "load.mass_kg").isChecked()


def test_a_missing_fact_is_an_empty_field_with_its_chip(form: Form) -> None:
    """The side slope at the spot of the pose: without it there is no verdict."""
    path = "floors[0].fall_across"
    type_into(field(form, f"{path}.best"), "")
    empty = chip(form, path)
    assert form._document.job.floors[0].fall_across is None and form._document.verdict.state == "REFUSED"
    assert QApplication.focusWidget() is field(form, path)
    assert empty.text() == "missing!" and field(form, path).text() == ""
    QTest.mouseClick(empty, LEFT)
    assert QApplication.focusWidget() is field(form, path)
    type_into(field(form, path), "0.5")
    assert chip(form, path).text() == "guess"
    fall = form._document.job.floors[0].fall_across
    assert fall is not None and fall.best == 0.005


def test_what_may_stay_empty_is_not_said_to_be_missing(form: Form) -> None:
    assert form._document.job.truck.turning_radius_m is None
    assert chip(form, "truck.turning_radius_m").text() == "not known"


def test_a_way_to_least_from_outside_opens_the_chip(form: Form) -> None:
    low = form.entry_field("load.mass_kg.low")
    assert low is not None and low.isVisible()


def test_a_part_is_ticked_in_and_out_and_no_button_says_not_known(window: Window) -> None:
    document = window.document
    window.panels.show_entry("truck.plate")
    for tab in ("rig.jib_mast", "rig.saddles", "rig.hook.end", "truck.plate", "load.rigging_kg"):
        window.panels.show_entry(tab)
    texts = {button.text() for button in window.panels.findChildren(QPushButton)}
    assert not texts & {"not known", "none: draw one in", "not known: enter it"}
    boxes = [box for box in window.panels.findChildren(QCheckBox) if box.accessibleName() == "plate: entered"]
    assert len(boxes) == 1 and boxes[0].isChecked()
    boxes[0].click()
    QApplication.processEvents()
    assert document.job.truck.plate is None
    form = window.panels.show_entry("truck.plate")
    assert isinstance(form, QCheckBox) and not form.isChecked()
    document.undo_stack.undo()
    assert document.job.truck.plate is not None


def test_a_chip_goes_under_a_field_that_it_would_leave_too_little(form: Form) -> None:
    (row,) = [one for one in form.findChildren(Chipped) if one._chip is chip(form, "load.mass_kg")]
    mass = field(form, "load.mass_kg.best")
    assert chip(form, "load.mass_kg").y() < mass.height()
    row.resize(120, row.height())
    row._row.activate()
    assert chip(form, "load.mass_kg").y() >= mass.height()


@pytest.mark.parametrize("rig", list(SAMPLES)[:3])
def test_no_chip_is_empty_and_each_has_a_tip(make_window: Callable[..., Window], rig: str) -> None:
    window = make_window(rig)
    for path in ("truck.front_axle_kg", "rig.boom.mass_kg", "load.mass_kg", "floors[0].fall_along"):
        window.panels.show_entry(path)
    chips = window.panels.findChildren(KnownChip)
    assert len(chips) > 15
    assert all(one.text() and one.toolTip() and one.accessibleName() for one in chips)
