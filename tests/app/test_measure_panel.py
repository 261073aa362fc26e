"""Knowing the truck: weighings in the window, nothing applied by itself."""

from __future__ import annotations

import pytest
from hand import show_tab, type_into

from app.canvas.measures import measure_of
from app.panels.measure import DRIVER_ON, MeasurePanel
from app.shell.panel_registry import MEASURE, TRUCK
from app.shell.window import Window


@pytest.fixture
def panel(window: Window) -> MeasurePanel:
    show_tab(window, "Weigh and tape")
    return window.panels[MEASURE]


def test_axle_weights_are_said_with_their_band_and_taken_only_when_told(window: Window, panel: MeasurePanel) -> None:
    before = window.document.job.truck
    type_into(panel.axles.fields["front"], "1700 kg")
    assert panel.axles.said.text() == "" and not panel.axles.take.isEnabled()
    type_into(panel.axles.fields["rear"], "2200 kg")
    assert "Truck 3\u202f900 kg" in panel.axles.said.text() and "within" in panel.axles.said.text()
    assert window.document.job.truck == before
    panel.axles.take.click()
    truck = window.document.job.truck
    assert (truck.front_axle_kg.best, truck.front_axle_kg.known) == (1700.0, "weighed")
    assert (truck.rear_axle_kg.low, truck.rear_axle_kg.high) == (2190.0, 2210.0)
    window.document.undo_stack.undo()
    assert window.document.job.truck == before


def test_a_driver_who_sat_on_the_scale_is_taken_off(window: Window, panel: MeasurePanel) -> None:
    """90 kg at 0.75 m behind the front axle of 1.60 m: 42 kg off the rear axle, with 15 kg and 0.15 m either way."""
    panel.driver.set_value(DRIVER_ON)
    type_into(panel.axles.fields["front"], "1700 kg")
    type_into(panel.axles.fields["rear"], "2200 kg")
    assert "Truck 3\u202f810 kg" in panel.axles.said.text()
    panel.axles.take.click()
    rear = window.document.job.truck.rear_axle_kg
    assert rear.best == pytest.approx(2157.8, abs=0.1)
    assert rear.low is not None and rear.low < 2190.0 - 42.0 - 10.0


def test_of_the_whole_weight_alone_the_axles_are_typical_of_the_class(window: Window, panel: MeasurePanel) -> None:
    """2.5 t: 55 to 62 % on the rear axle."""
    type_into(panel.whole.fields["whole"], "4000 kg")
    assert "Not weighed" in panel.whole.said.text() and "2\u202f200 kg to 2\u202f480 kg" in panel.whole.said.text()
    panel.whole.take.click()
    rear = window.document.job.truck.rear_axle_kg
    assert rear.known == "typical" and (rear.low, rear.high) == pytest.approx((2200.0, 2480.0))


def test_a_raise_too_small_to_tell_is_refused_with_the_reason(panel: MeasurePanel) -> None:
    for name, text in {"block": "100 mm", "level": "1600 kg", "raised": "1605 kg"}.items():
        type_into(panel.raised_axle.fields[name], text)
    assert "Raise higher" in panel.raised_axle.said.text()
    assert not panel.raised_axle.take.isEnabled()


def test_a_good_raise_gives_the_height_with_its_band(window: Window, panel: MeasurePanel) -> None:
    for name, text in {"block": "400 mm", "level": "1600 kg", "raised": "1830 kg"}.items():
        type_into(panel.raised_axle.fields[name], text)
    assert panel.raised_axle.take.isEnabled(), panel.raised_axle.said.text()
    panel.raised_axle.take.click()
    height = window.document.job.truck.cg_height_m
    assert height.low < height.best < height.high


def test_known_weights_give_the_empty_rear_weight_and_check_the_wheelbase(window: Window, panel: MeasurePanel) -> None:
    reach = window.document.job.truck.front_overhang_m.best + 0.5
    for i, kg in ((1, 500.0), (2, 1500.0)):
        rear = 2250.0 - kg * reach / 1.6
        for name, text in {f"kg{i}": f"{kg} kg", f"at{i}": "500 mm", f"rear{i}": f"{rear:.3f} kg"}.items():
            type_into(panel.known_weights.fields[name], text)
    assert "1\u202f600 mm" in panel.known_weights.said.text()
    panel.known_weights.take.click()
    assert window.document.job.truck.rear_axle_kg.best == pytest.approx(2250.0, abs=0.1)


def test_a_trial_lift_is_noted_compared_and_a_corrected_truck_only_offered(window: Window, panel: MeasurePanel) -> None:
    before = window.document.job.truck
    type_into(panel.trial_lifts.form.fields["load"], "150 kg")
    type_into(panel.trial_lifts.form.fields["rear"], "1700 kg")
    assert "Predicted" in panel.trial_lifts.form.said.text()
    panel.trial_lifts.form.take.click()
    assert len(window.document.job.trial_lifts) == 1
    assert window.document.job.truck == before
    assert "further" in panel.trial_lifts.said.text() and panel.trial_lifts.correct.isEnabled()
    panel.trial_lifts.correct.click()
    assert window.document.job.truck.rear_axle_kg.best < before.rear_axle_kg.best
    panel.trial_lifts.forget.click()
    assert window.document.job.trial_lifts == ()


def test_contradictions_are_said_in_words(window: Window, panel: MeasurePanel) -> None:
    assert "Nothing entered contradicts" in panel.contradictions.text()
    window.document.set_value("truck.rear_axle_kg.best", 4500.0, "wrong reading")
    assert "Nothing entered contradicts" not in panel.contradictions.text()


@pytest.mark.parametrize("path", ["truck.wheelbase_m.best", "truck.front_overhang_m.best", "truck.front_track_m.best"])
def test_the_drawing_shows_what_to_measure_for_the_field_in_hand(window: Window, path: str) -> None:
    show_tab(window, "Weights and dimensions")
    window.panels[TRUCK].fields[path].setFocus()
    measure = measure_of(path, window.document.job.truck)
    drawing = window.views.side_drawing if measure.view == "side" else window.views.plan_drawing
    assert drawing.measure_words == measure.words
    assert measure.words[1:] in window.notice.text()
