"""The truck's shape in both views: measured boxes drawn through, usual ones dashed, where room is checked."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QGraphicsScene

from app.canvas.plan import PlanDrawing
from app.canvas.side import MEASURED, USUAL, SideDrawing
from app.canvas.style import Ink
from app.look.theme import LIGHT
from engine.schema.model import Job
from engine.worst_case.verdict import evaluate
from tests.samples import read_once

REPLACE = msgspec.structs.replace
SAMPLES = Path(__file__).resolve().parents[2] / "sample_rigs"
BOATYARD = read_once(SAMPLES / "skerry_point_boatyard.rig.json")


def side_view(job: Job) -> SideDrawing:
    drawing = SideDrawing(QGraphicsScene(), Ink(LIGHT, QFont()))
    drawing.show(job, job.poses[0], evaluate(job, job.poses[0]))
    return drawing


def covers(drawing: SideDrawing, part: str, x_m: float, z_m: float) -> bool:
    item = drawing.part(part)
    return item.path().contains(item.mapFromScene(QPointF(x_m * 1000.0, -z_m * 1000.0)))


def test_measured_and_usual_boxes_stand_where_room_is_checked(qapp: object) -> None:
    """The cross-member at 1.33 to 1.45 m, half the 0.70 m of lift higher; the driver's space as it usually is."""
    drawing = side_view(BOATYARD)
    measured, driver = MEASURED["upright inner"], USUAL["chassis"]
    assert covers(drawing, measured, 0.25, 1.74) and not covers(drawing, measured, 0.25, 1.95)
    assert covers(drawing, driver, -0.31, 1.90) and not covers(drawing, driver, -0.29, 1.90)
    assert drawing.part(driver).pen().style() == Qt.PenStyle.CustomDashLine
    assert drawing.part(measured).pen().style() == Qt.PenStyle.SolidLine
    # The backrest goes up with the forks: 1.20 m over 0.70.
    assert covers(drawing, USUAL["forks"], 0.42, 1.85) and not covers(drawing, USUAL["forks"], 0.42, 1.95)


@pytest.mark.parametrize(("has", "frame"), [("has_crosshead", "upright inner"), ("has_backrest", "forks")])
def test_what_is_not_there_is_not_drawn(qapp: object, has: str, frame: str) -> None:
    usual = REPLACE(BOATYARD, truck=REPLACE(BOATYARD.truck, solids=()))
    assert not side_view(usual).part(USUAL[frame]).path().isEmpty()
    without = REPLACE(usual, truck=REPLACE(usual.truck, **{has: False}))
    assert side_view(without).part(USUAL[frame]).path().isEmpty()


def test_guard_and_driver_are_seen_from_above(qapp: object) -> None:
    drawing = PlanDrawing(QGraphicsScene(), Ink(LIGHT, QFont()))
    drawing.show(BOATYARD, BOATYARD.poses[0], evaluate(BOATYARD, BOATYARD.poses[0]))
    bounds = drawing.part("usual shape").path().boundingRect()
    # The guard's roof: from 0.10 m ahead of the rear axle to 0.10 behind the front one, half a metre to each side.
    assert bounds.left() == pytest.approx(-1500.0) and bounds.right() == pytest.approx(-100.0)
    assert bounds.top() == pytest.approx(-500.0) and bounds.bottom() == pytest.approx(500.0)


def test_the_load_lies_as_it_is_held_and_its_turning_is_dashed(qapp: object) -> None:
    """The carousel horse, 1.1 x 0.3 m, is held across by two lines, which let it turn 15 degrees either way."""
    horse = read_once(SAMPLES / "larkfield_carousel_works.rig.json")
    plan = PlanDrawing(QGraphicsScene(), Ink(LIGHT, QFont()))
    plan.show(horse, horse.poses[0], evaluate(horse, horse.poses[0]))
    lies = plan.part("load").path().boundingRect()
    assert (lies.width(), lies.height()) == (pytest.approx(300.0, abs=1.0), pytest.approx(1100.0, abs=1.0))
    turned = plan.part("load sweep").path().boundingRect()
    assert turned.width() == pytest.approx(1100.0 * 0.2588 + 300.0 * 0.9659, abs=1.0)
    block = side_view(horse).part("load").path().boundingRect()
    assert (block.width(), block.height()) == (pytest.approx(300.0, abs=1.0), pytest.approx(970.0))
    free = REPLACE(horse, load=REPLACE(horse.load, hang="free"))
    plan.show(free, free.poses[0], evaluate(free, free.poses[0]))
    circle = plan.part("load sweep").path().boundingRect()
    assert circle.width() == circle.height() == pytest.approx(1140.2, abs=0.1)
