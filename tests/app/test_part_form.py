"""The picture over a part's fields shows which number is which; few fields first, the others under more."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from hand import type_into
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QPushButton, QScrollArea

from app.documents.files import SAMPLES
from app.panels import part_pictures
from app.panels.forms import get
from app.panels.part_form import PartForm
from app.panels.part_pictures import Picture
from app.shell.panel_registry import ABOARD, ARMS, BOOM, FORKS, JIB_MAST, LOAD, SADDLES, SLEEVES, TRUCK, UPRIGHT
from app.shell.window import Window
from engine.schema.model import Job
from engine.schema.quantities import Estimate
from tests.samples import sample

PARTS = (SLEEVES, JIB_MAST, SADDLES, BOOM, ARMS, FORKS, TRUCK, LOAD)
MOST_FIRST = 11
"""Fields over "more" of one part: eight, or those of a section besides."""


def pictures_of(job: Job) -> list[Picture]:
    names = ("sleeves", "jib_mast", "saddles", "boom", "forks", "truck", "load")
    found = [getattr(part_pictures, name)(job) for name in names]
    return [*found, *(part_pictures.arm(index)(job) for index in range(len(job.rig.arms)))]


@pytest.mark.parametrize("name", SAMPLES)
def test_every_letter_stands_for_one_entry_of_the_job(name: str) -> None:
    job = sample(name)
    for picture in pictures_of(job):
        letters = picture.letters
        assert len(set(letters.values())) == len(letters) == sum(len(view.dims) for view in picture.views)
        for path in letters:
            value = get(job, path)
            assert isinstance(value, int | float | Estimate) or value is None, path


@pytest.mark.parametrize("name", SAMPLES)
def test_a_dimension_is_as_long_as_its_entry(name: str) -> None:
    """From the rig file: the line drawn for a length has that length."""
    job = sample(name)
    checked = 0
    for picture in pictures_of(job):
        for dim in (dim for view in picture.views for dim in view.dims):
            if dim.a == dim.b or not dim.path.endswith("_m"):
                continue
            value = get(job, dim.path)
            wanted = abs(value.best if isinstance(value, Estimate) else value)
            drawn = abs(dim.b[0] - dim.a[0]) + abs(dim.b[1] - dim.a[1])
            if dim.path != "rig.saddles.strap_thickness_m":
                assert drawn == pytest.approx(wanted, abs=1e-9), dim.path
                checked += 1
    assert checked > 15


def shown(window: Window, tab: object) -> PartForm:
    form = window.panels.bring(tab)
    tab.fill(form, window.document)  # type: ignore[attr-defined]
    for _ in range(3):
        QApplication.processEvents()
    return form


@pytest.mark.parametrize("tab", PARTS, ids=lambda tab: tab.name)
def test_the_lettered_fields_come_first_and_no_entry_is_lost(window: Window, tab: object) -> None:
    from app.panels.forms import Form

    form = shown(window, tab)
    seen = {path for path, field in form.fields.items() if field.isVisible()}
    entries = {re.sub(r"\.(best|known|low|high)$| size$", "", path) for path in seen}
    assert len(entries) <= MOST_FIRST * (len(window.document.job.rig.arms) if tab is ARMS else 1)
    assert not form._rest.isVisible()
    form.more.click()
    assert form._rest.isVisible() and seen < {path for path, field in form.fields.items() if field.isVisible()}
    plain = Form(window.document, form._paths, only=form._only)
    plain.show_document(window.document)
    assert set(form.fields) == set(plain.fields)
    captions = [label.text() for label in form.findChildren(QLabel)]
    for letter in form._letters.values():
        assert any(text.startswith(f"{letter}   ") for text in captions), letter


def test_the_keyboard_in_a_field_makes_its_dimension_bold_and_a_click_goes_to_the_field(window: Window) -> None:
    """Acceptance row 7: the boom, dimension C, six inches."""
    form = shown(window, BOOM)
    (figure,) = form.figures
    figure.repaint()
    QTest.mouseClick(figure, Qt.MouseButton.LeftButton, pos=figure.spot("rig.boom.hole_pitch_m").toPoint())
    QApplication.processEvents()
    field = form.fields["rig.boom.hole_pitch_m"]
    assert window.focusWidget() is field and figure.bold == "rig.boom.hole_pitch_m"
    type_into(field, '6"')
    assert window.document.job.rig.boom.hole_pitch_m == pytest.approx(0.1524)
    form.fields["rig.boom.length_m"].setFocus()
    assert figure.bold == "rig.boom.length_m"


def test_the_figure_follows_the_entry(window: Window) -> None:
    form = shown(window, BOOM)
    before = form.figures[0].grab().toImage()
    window.document.set_value("rig.boom.first_hole_m", window.document.job.rig.boom.first_hole_m + 0.1, "holes")
    assert form.figures[0].grab().toImage() != before


def test_an_entry_under_more_is_unfolded_when_it_is_asked_for(window: Window) -> None:
    form = shown(window, BOOM)
    assert not form._rest.isVisible()
    field = window.panels.open_entry("rig.boom.pin.diameter_m")
    assert field is not None and form._rest.isVisible() and form._rest.isAncestorOf(field)


def test_steps_in_place_of_one_pitch_take_the_pitch_s_letter_away(make_window: Callable[..., Window]) -> None:
    window = make_window("skerry_point_boatyard")
    form = shown(window, BOOM)
    assert "rig.boom.hole_pitch_m" in form._letters
    boom = window.document.job.rig.boom
    window.document.set_value("rig.boom.hole_steps_m", (boom.hole_pitch_m,) * (boom.hole_count - 1), "steps")
    assert "rig.boom.hole_pitch_m" not in form._letters and "rig.boom.hole_steps_m[0]" in form.fields


def test_labels_of_the_truck_are_words_of_a_shop(window: Window) -> None:
    window.panels.bring(UPRIGHT)
    said = {label.text() for label in window.panels.currentWidget().findChildren(QLabel)}
    assert {"Tilt pivot, ahead of the front axle", "Tilt pivot, above the floor", "Lowest fork height"} <= said
    assert not any(re.search(r" (x|z|min|max)$", text) for text in said)
    window.panels.bring(ABOARD)
    said = {button.text() for button in window.panels.currentWidget().findChildren(QPushButton)}
    assert {"Add a person or thing", "Remove the last person or thing"} <= said


def test_no_button_of_a_list_is_wider_than_its_panel_with_large_text(window: Window) -> None:
    window.resize(1280, 800)
    window.appearance.set_text_size(200)
    window.panels.bring(ABOARD)
    for _ in range(6):
        QApplication.processEvents()
    panel = window.panels.currentWidget()
    assert isinstance(panel, QScrollArea)
    ends = {
        button.text(): button.mapTo(panel, button.rect().topRight()).x()
        for button in panel.findChildren(QPushButton)
        if button.isVisible()
    }
    assert ends and max(ends.values()) < panel.viewport().width(), ends
