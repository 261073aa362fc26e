"""Charts: doubt as a tornado, read by pointer and keyboard, copied with its caution."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable

import pyqtgraph as pg
import pytest
from hand import show_tab
from PySide6.QtCore import QPoint, QSettings, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QScrollArea, QTableWidgetItem
from pytestqt.qtbot import QtBot

from app.panels.chart import ChartPanel
from app.panels.chart_table import ChartTable
from app.panels.doubt import DoubtPanel
from app.panels.plot import VALUE_LINES
from app.shell.panel_registry import CHART, WORST_CASE
from app.shell.window import Window
from engine.base.caution import CAUTION
from engine.schema.model import Surrounding
from engine.schema.thin_end import thin_end
from engine.shop import edits
from engine.worst_case.verdict import evaluate

WAIT_MS = 120_000


def doubt_panel(window: Window) -> DoubtPanel:
    show_tab(window, "Doubt")
    QApplication.processEvents()
    return window.panels[WORST_CASE]


def test_a_bar_ends_where_the_limit_stands_with_that_entry_alone_off(window: Window) -> None:
    """The verdict itself, with the load entered at its least and at its most, walls and welds at their thin end."""
    panel, document = doubt_panel(window), window.document
    worst = document.verdict.worst_case
    assert worst is not None
    limit = document.verdict.checks[worst.worst_index].name
    mass = document.job.load.mass_kg
    assert panel.tornado.doubt is not None
    row = next(bar for bar in panel.tornado.doubt.rows if bar.entry.field == "load_kg")
    for entry_kg, use in ((mass.best - row.entry.down, row.at_least), (mass.best + row.entry.up, row.at_most)):
        load = edits.REPLACE(document.job.load, mass_kg=edits.REPLACE(mass, best=entry_kg))
        job = thin_end(edits.REPLACE(document.job, load=load))
        check = next(check for check in evaluate(job, document.pose).checks if check.name == limit)
        assert use == pytest.approx(float(check.use), rel=1e-9)


def test_the_boatyard_is_helped_by_a_hole_and_not_by_measuring(window: Window) -> None:
    words = doubt_panel(window).text
    assert "Nothing here is worth measuring again" in words
    assert "One hole in (hole 8) brings it to 92 %" in words


def test_only_doubt_is_said_to_be_settled_by_measuring(make_window: Callable[..., Window]) -> None:
    window = make_window("dunmere_bell_hangers")
    panel = doubt_panel(window)
    assert "NOT PROVEN becomes WITHIN" in panel.text
    window.document.set_value("rig.saddles.strap_make", None, "Forget how the straps are made")
    QApplication.processEvents()
    assert window.document.verdict.state == "NOT PROVEN" and not window.document.verdict.doubt_alone
    assert "becomes WITHIN" not in panel.text and "Something else comes first" in panel.text


def test_nothing_in_the_way_is_cleared_by_measuring(make_window: Callable[..., Window]) -> None:
    """The boom stands over 2.0 m high in this pose: a beam from 1.9 to 2.1 m is struck by it or the jib mast."""
    window = make_window("dunmere_bell_hangers")
    panel = doubt_panel(window)
    low = Surrounding(name="beam", known="measured", x0_m=-3.0, x1_m=6.0, y0_m=-3.0, y1_m=3.0, z0_m=1.9, z1_m=2.1)
    window.document.set_job(edits.REPLACE(window.document.job, surroundings=(low,)), "a beam")
    QApplication.processEvents()
    assert window.document.verdict.room.short
    assert "Something is in the way" in panel.text and "becomes WITHIN" not in panel.text


def test_points_are_read_by_pointer_and_by_keys_and_copied_with_the_caution(window: Window) -> None:
    tornado = doubt_panel(window).tornado
    QTest.keyClick(tornado.view, Qt.Key.Key_Down)
    assert tornado.reading.text() == tornado.points[0].words
    spot = tornado.spot_of(tornado.points[1])
    QTest.mouseMove(tornado.view.viewport(), QPoint(int(spot.x()), int(spot.y())))
    assert tornado.reading.text() == tornado.points[1].words
    QTest.keyClick(tornado.view, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    copied = QGuiApplication.clipboard().mimeData()
    assert copied.hasImage() and CAUTION in copied.text()
    assert all(point.words in copied.text() for point in tornado.points)


ENDS_WITH_A_COPY = """
from PySide6.QtCore import QMimeData
from PySide6.QtWidgets import QApplication
from app.panels import clipboard
application, data = QApplication([]), QMimeData()
data.setText("copied")
clipboard.put(data)
print(application.clipboard().text())
"""


def test_a_program_that_ends_with_something_copied_does_not_crash() -> None:
    """Where the clipboard is the program's own, Qt would delete what Python made after Python has ended."""
    ended = subprocess.run([sys.executable, "-c", ENDS_WITH_A_COPY], capture_output=True, text=True, check=False)
    assert (ended.returncode, ended.stdout) == (0, "copied\n"), ended.stderr


@pytest.mark.parametrize("text_size", [100, 200])
def test_an_axis_has_its_whole_label_in_the_middle_at_every_size_of_text(
    make_window: Callable[..., Window], settings: QSettings, text_size: int
) -> None:
    settings.setValue("text_size", text_size)
    view = doubt_panel(make_window()).tornado.view
    axis = view.getAxis("bottom")
    words = axis.label.sceneBoundingRect()
    assert words.left() >= 0.0 and words.right() <= view.width()
    assert words.center().x() == pytest.approx(axis.sceneBoundingRect().center().x(), abs=2.0)
    margin_px = axis.label.document().documentMargin()
    assert words.bottom() - margin_px <= view.viewport().height()


# ---------------------------------------------------------------- allowed load against reach


@pytest.fixture
def charted(window: Window, qtbot: QtBot) -> ChartPanel:
    """The load chart of the two-arm sample, worked out."""
    with qtbot.waitSignal(window.panels[CHART].background.answered, timeout=WAIT_MS):
        show_tab(window, "Load chart")
    return window.panels[CHART]


def test_a_mark_of_a_curve_is_stood_at_and_allows_what_the_verdict_does(window: Window, charted: ChartPanel) -> None:
    """At the hook height of the pose, which is none of the usual ones, each mark is a verdict of its own."""
    plot, document = charted.view.plot, window.document
    here_m = float(document.verdict.placed.hook_m.z)
    assert charted.chart is not None
    assert any(abs(height - here_m) < 1e-6 for height in charted.chart.hook_heights_m)
    point = next(point for point in plot.points if "arms straight, hole 9" in point.words)
    spot = plot.spot_of(point)
    QTest.mouseClick(plot.view.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(round(spot.x()), round(spot.y())))
    assert document.pose.hole == 9 and document.undo_stack.count() == 1
    assert float(document.verdict.placed.hook_m.z) == pytest.approx(here_m, abs=1e-6)
    verdict = evaluate(document.job, document.pose)
    assert point.y == pytest.approx(verdict.allowed_load_kg, rel=1e-3)
    assert point.x == pytest.approx(float(verdict.placed.hook_m.x), abs=1e-6)


def test_marks_are_read_by_keys_and_what_is_in_the_way_is_said_and_loads_have_room_beside_their_axis(
    charted: ChartPanel,
) -> None:
    plot = charted.view.plot
    widest_px = plot.fontMetrics().horizontalAdvance("300")
    assert plot.view.getAxis("left").width() == pytest.approx(
        widest_px + VALUE_LINES * plot.fontMetrics().height(), abs=1.0
    )
    charted.view.height_choice.setCurrentIndex(0)
    charted.view.height_choice.entered.emit(0)
    QTest.keyClick(plot.view, Qt.Key.Key_Right)
    assert plot.reading.text() == plot.points[0].words
    assert any("something is in the way" in point.words for point in plot.points)
    assert any("gives first" in point.words for point in plot.points)


def test_the_chart_in_a_window_of_its_own_follows_the_drawing(
    window: Window, charted: ChartPanel, qtbot: QtBot
) -> None:
    charted.show_own_window()
    own = charted.own_window
    assert own is not None and own.isWindow() and own.isVisible()
    assert own.table.rowCount() == charted.view.table.rowCount() > 0
    with qtbot.waitSignal(charted.background.answered, timeout=WAIT_MS):
        window.document.set_value("load.mass_kg.best", 90.0, "A lighter load")
    there, here = (table.item(0, 0) for table in (own.table, charted.view.table))
    assert there is not None and here is not None and there.text() == here.text()
    own.close()


# ---------------------------------------------------------------- the table


def cut_cells(table: ChartTable) -> list[int]:
    """Columns of which a part is seen that is wide enough for a letter, and not all."""
    room_px, letter_px = table.viewport().width(), table.fontMetrics().averageCharWidth()
    spans = [(table.columnViewportPosition(at), table.columnWidth(at)) for at in range(table.columnCount())]
    shown = [max(0, min(x + width, room_px) - max(x, 0)) for x, width in spans]
    return [at for at, (_, width) in enumerate(spans) if letter_px <= shown[at] < width]


def text_of(item: QTableWidgetItem | None) -> str:
    assert item is not None
    return item.text()


def test_no_cell_of_the_chart_is_cut_at_1280(charted: ChartPanel, window: Window) -> None:
    """However far it is scrolled; the panel's words are whole, the hook's height is seen, letters name one thing."""
    view, area = charted.view, window.panels.currentWidget()
    table, bar = view.table, view.table.horizontalScrollBar()
    columns = range(table.columnCount())
    texts = [text_of(table.item(row, at)) for row in range(table.rowCount()) for at in columns]
    assert "187 kg P" in texts and view.key.text() == "Gives first: P boom; Q arm 1 hinge."
    curves = {item.toPlainText() for item in view.plot.view.scene().items() if isinstance(item, pg.TextItem)}
    assert {"A", "B", "C", "D", "E"} <= curves and not {"P", "Q"} & curves
    own = f"{float(window.document.verdict.placed.hook_m.z):.2f}"
    (here,) = [at for at in columns if own in text_of(table.horizontalHeaderItem(at))]
    for text_size in (100, 200):
        window.appearance.set_text_size(text_size)
        window.resize(1280, 800)
        QApplication.processEvents()
        assert window.width() == 1280 and isinstance(area, QScrollArea)
        assert charted.width() <= area.viewport().width()
        widest_px = max(table.fontMetrics().horizontalAdvance(text) for text in texts)
        assert min(table.columnWidth(at) for at in columns) > widest_px
        view.refresh()
        QApplication.processEvents()
        assert here not in cut_cells(table) and 0 <= table.columnViewportPosition(here) < table.viewport().width()
        for at in range(bar.minimum(), bar.maximum() + 1):
            bar.setValue(at)
            assert not cut_cells(table), (text_size, at)
