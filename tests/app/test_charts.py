"""Charts: doubt as a tornado, read by pointer and keyboard, copied with its caution."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hand import show_tab
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.panels.doubt import DoubtPanel
from app.shell.panel_registry import WORST_CASE
from app.shell.window import Window
from engine.base.caution import CAUTION
from engine.schema.thin_end import thin_end
from engine.shop import edits
from engine.worst_case.verdict import evaluate


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
    row = next(bar for bar in panel.tornado.doubt.swings if bar.entry.field == "load_kg")
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
