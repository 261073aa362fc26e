"""A long load is drawn between break lines with its whole length written; gaps and limits take it as it is."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QGraphicsScene
from pytestqt.qtbot import QtBot

from app.canvas.side import SideDrawing
from app.documents.document import Document
from app.look.theme import LIGHT
from app.papers.pictures import print_ink, side_picture
from app.shell.linked_views import LinkedViews
from engine.schema.model import Surrounding
from engine.shop.edits import REPLACE
from tests import samples
from tests.app.hand import Hand

ACROSS_RAD = 1.570796

LONG_M = 12.0

Shown = Callable[[Document], LinkedViews]


def with_long_load(heading_rad: float = 0.0, surroundings: tuple[Surrounding, ...] = ()) -> Document:
    """A sample rig with a load of 12 m held by two lines."""
    job = samples.sample("skerry_point_boatyard")
    load = REPLACE(job.load, length_m=LONG_M, hang="two_lines", heading_rad=heading_rad)
    return Document(REPLACE(job, load=load, surroundings=surroundings))


@pytest.fixture
def shown(qtbot: QtBot) -> Shown:
    """Both views of a document, fitted."""

    def show(document: Document) -> LinkedViews:
        views = LinkedViews(document, LIGHT, QFont())
        qtbot.addWidget(views)
        views.resize(900, 700)
        views.show_placed()
        views.show()
        qtbot.waitExposed(views)
        views.show_verdict()
        views.fit()
        return views

    return show


def truck_mm(views: LinkedViews) -> float:
    """From the counterweight's back to the fork face, as drawn."""
    drawing = views.side_drawing
    return drawing.part("forks").pos().x() - drawing.path_in_scene("counterweight").boundingRect().left()


def load_mm(drawing: SideDrawing) -> QRectF:
    return drawing.path_in_scene("load").boundingRect()


def test_the_truck_keeps_its_size_under_a_load_of_twelve_metres(shown: Shown) -> None:
    views = shown(with_long_load())
    drawing, scale = views.side_drawing, views.side_view.px_per_mm
    left, _, right, _ = drawing.margins_px()
    room = views.side_view.viewport().width() - left - right
    truck, hook = truck_mm(views), views.side_drawing.handles["hook"].pos().x()
    ahead = hook - drawing.part("forks").pos().x()
    assert scale == pytest.approx(room / (truck + ahead + 0.6 * truck), rel=0.005)
    assert truck * scale >= 0.35 * views.side_view.viewport().width()
    assert drawing.dimension_tag("load").text == "load 12\u202f000 mm long"
    assert views.plan_drawing.load_words == "load 12\u202f000 mm long"


def test_a_load_across_is_cut_in_the_plan_alone(shown: Shown) -> None:
    views = shown(with_long_load(ACROSS_RAD))
    assert truck_mm(views) * views.side_view.px_per_mm >= 0.35 * views.side_view.viewport().width()
    assert not views.side_drawing.dimension_tag("load").isVisible()
    assert views.plan_drawing.load_words == "load 12\u202f000 mm long"


@pytest.mark.parametrize(("far_m", "whole"), [(8.9, True), (9.3, False)])
def test_what_stands_in_the_true_reach_of_a_load_is_not_hidden_by_a_break(
    shown: Shown, far_m: float, whole: bool
) -> None:
    post = Surrounding(name="post", x0_m=far_m, x1_m=far_m + 0.1, y0_m=-0.1, y1_m=0.1, z0_m=0.0, z1_m=3.0)
    views = shown(with_long_load(surroundings=(post,)))
    width = load_mm(views.side_drawing).width()
    assert (width > 1000.0 * LONG_M - 20.0) is whole
    assert (views.plan_drawing.load_words == "") is whole


def test_a_load_drawn_short_is_pulled_by_its_middle_and_judged_by_its_whole_length(shown: Shown) -> None:
    document = with_long_load()
    views, before = shown(document), document.pose
    hand, middle = Hand(views.side_view), QPointF(views.side_view.mapFromScene(load_mm(views.side_drawing).center()))
    hand.press(middle)
    hand.move(middle + QPointF(-10.0, 0.0))
    hand.move(middle + QPointF(-40.0, -20.0))
    hand.release()
    assert document.pose != before
    governing = document.verdict.governing
    assert governing is not None and "upright" in str(governing.numbers["object"])


def test_papers_cut_the_load_as_the_window_does() -> None:
    document = with_long_load()
    job, pose, verdict = document.job, document.pose, document.verdict
    drawing = SideDrawing(QGraphicsScene(), print_ink())
    drawing.show(job, pose, verdict)
    assert load_mm(drawing).width() < 4000.0
    assert side_picture(job, pose, verdict, 4000.0, 2000.0).source.width() < drawing.bounds().width() + 2000.0
