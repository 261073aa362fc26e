"""Questions about entries that are hardly right: asked, answered with one click, and undone like any edit."""

from __future__ import annotations

from collections.abc import Callable

import hand
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from app.panels.questions import RIGHT
from app.panels.why import WhyPanel
from app.shell.window import Window
from engine.schema.quantities import Estimate


def window_with_a_light_mast(make_window: Callable[..., Window], kg: float) -> tuple[Window, WhyPanel]:
    window = make_window()
    window.document.set_value("rig.jib_mast.mass_kg", Estimate(best=kg, known="weighed"), "weigh the jib mast")
    hand.show_tab(window, "Cause, order, remedy")
    (panel,) = window.findChildren(WhyPanel)
    return window, panel


def click(qtbot: QtBot, panel: WhyPanel, text: str) -> None:
    (button,) = [button for button in panel.questions.buttons if button.text() == text]
    assert isinstance(button, QPushButton) and button.isVisible()
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def test_a_light_jib_mast_is_asked_and_said_to_be_right(qtbot: QtBot, make_window: Callable[..., Window]) -> None:
    """The boatyard's jib mast holds 31 kg of steel; 24 kg is under 0.9 of it, and over half."""
    window, panel = window_with_a_light_mast(make_window, 24.0)
    assert window.document.verdict.state == "NOT PROVEN"
    assert panel.questions.isVisible()
    assert "weight of the jib mast is not confirmed" in window.block.sentence.text()
    click(qtbot, panel, RIGHT)
    assert window.document.verdict.state == "WITHIN"
    assert not panel.questions.isVisible()
    window.document.undo_stack.undo()
    assert window.document.verdict.state == "NOT PROVEN" and panel.questions.isVisible()


def test_the_number_that_was_meant_is_put_in_with_one_click(qtbot: QtBot, make_window: Callable[..., Window]) -> None:
    """310 kg for 31: refused, and offered back."""
    window, panel = window_with_a_light_mast(make_window, 310.0)
    assert window.document.verdict.state == "REFUSED"
    assert RIGHT not in [button.text() for button in panel.questions.buttons], "what cannot be is not right"
    click(qtbot, panel, "Use 31 kg")
    weight = window.document.job.rig.jib_mast.mass_kg
    assert weight is not None and weight.best == pytest.approx(31.0)
    assert window.document.verdict.state == "WITHIN"
    assert not panel.questions.isVisible()
