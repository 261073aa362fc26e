"""Every stage, section, figure, field and button says under the pointer what it is."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from hand import Hand
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QHelpEvent
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QMenuBar, QTableView, QToolTip, QWidget

from app.panels.chart_table import ChartTable
from app.panels.fields import QuantityField, TextField
from app.panels.part_figure import PartFigure
from app.panels.plot import Plot
from app.panels.see_saw import MomentBars, SeeSaw
from app.panels.stage_bar import STAGES, StageButton
from app.shell.panel_registry import BOOM, TABS, Asking
from app.shell.window import Window

FIGURES = (ChartTable, MomentBars, SeeSaw, PartFigure, Plot)
SAID = (QAbstractButton, QuantityField, TextField, QComboBox, *FIGURES)
CODE = re.compile(r"[\[\]{}_]|\bNone\b")


def told(widget: QWidget) -> str:
    """What a pointer resting on a widget is told, by the real event."""
    middle = widget.rect().center()
    QToolTip.hideText()
    QApplication.sendEvent(widget, QHelpEvent(QEvent.Type.ToolTip, middle, widget.mapToGlobal(middle)))
    return QToolTip.text()


def said_by(window: QWidget) -> Iterator[QWidget]:
    """Every widget of a window that somebody can point at and ask what it is."""
    for widget in window.findChildren(QWidget):
        if isinstance(widget, SAID) and not isinstance(widget.parent(), QMenuBar | QTableView):
            yield widget


def test_a_pointer_on_each_stage_section_and_figure_of_the_verdict_is_told_something(window: Window) -> None:
    window.start_up.complete()
    block = window.block
    stages = window.findChildren(StageButton)
    assert len(stages) == len(STAGES) == 6
    heads = window.panels._heads  # those of the other stages are hidden
    assert len(heads) == len(TABS) and all(head.toolTip() for head in heads)
    seen = [head for head in heads if head.isVisibleTo(window)]
    figures = (block.bars, block.table, block.why, *(figure for figure, _ in block._wheels.values()))
    for widget in (*stages, *seen, *figures):
        words = told(widget)
        assert words and words[0].isupper(), (type(widget).__name__, words)
    QToolTip.hideText()


def test_every_button_field_and_figure_of_every_section_has_words(window: Window) -> None:
    window.start_up.complete()
    asked = list(said_by(window))
    for tab in TABS:
        panel = window.panels[tab]
        if not isinstance(panel, Asking):  # those have nothing more once they are filled
            tab.fill(panel, window.document)
        asked += said_by(panel)
    assert len(asked) > 500
    for widget in asked:
        words = widget.toolTip()
        assert words.strip() and not CODE.search(words), (type(widget).__name__, widget.accessibleName(), words)


def test_so_has_every_one_of_the_dialog_for_a_new_rig(window: Window) -> None:
    window.commands.new_rig()
    dialog = window.commands.first_rig
    assert not [one.accessibleName() for one in said_by(dialog) if not one.toolTip().strip()]
    assert dialog.fields["reach_m"].toolTip() == "How far from the fork face: a length such as 2 400 mm"
    dialog.reject()


def test_a_field_says_what_it_is_and_its_figure_in_the_other_units(window: Window) -> None:
    form = window.panels.bring(BOOM)
    assert form.fields["rig.boom.length_m"].toolTip() == "Length: 2\u202f400 mm (7 ft 10.488 in)"


@pytest.mark.parametrize("text_size", [100, 200])
@pytest.mark.parametrize("wide", [1024, 1280, 1600])
def test_a_figure_on_the_drawing_says_that_it_can_be_typed_over(window: Window, text_size: int, wide: int) -> None:
    """The pointer's events go to the view itself: in a long run another window may lie over this one."""
    window.appearance.set_text_size(text_size)
    window.resize(wide, 800)
    QApplication.processEvents()
    window.views.fit()
    view, drawing = window.views.side_view, window.views.side_drawing
    tag, boom, hand = drawing.dimension_tag("height"), view.handles["boom"], Hand(view)
    nothing = Qt.MouseButton.NoButton

    def told_at(spot: QPointF) -> str:
        for at in (QPointF(3.0, 3.0), QPointF(view.mapFromScene(spot))):
            hand.send(QEvent.Type.MouseMove, at, nothing, nothing)
        return view.viewport().toolTip()

    assert told_at(tag.screen_rect(view.px_per_mm).center() / view.px_per_mm) == "Double-click to type another figure"
    assert told_at(boom.scenePos()) != "Double-click to type another figure"
