"""The truck's usual boxes, worked by hand, and what replaces them.

The usual sizes are ours; no source says them.
"""

from __future__ import annotations

import msgspec
import pytest

from engine.rig.truck_solids import TruckBox, truck_boxes
from engine.schema.model import Truck, TruckSolid
from engine.schema.quantities import Estimate
from tests.samples import by_hand

REPLACE = msgspec.structs.replace
TRUCK = by_hand("brightlea_glasshouses").truck
"""Wheelbase 1.38, overhang 0.40, front track 0.90, tyres 0.26, upright 1.95; nothing of its shape entered."""


def boxes_of(truck: Truck, role: str) -> list[TruckBox]:
    return [box for box in truck_boxes(truck) if box.role == role]


def the_box(truck: Truck, role: str) -> TruckBox:
    (box,) = boxes_of(truck, role)
    return box


def test_usual_boxes_by_hand() -> None:
    body = the_box(TRUCK, "body")
    assert body.box == ((pytest.approx(-1.83), 0.26), (pytest.approx(-0.57), pytest.approx(0.57)), (0.08, 1.10))
    roof = the_box(TRUCK, "guard")
    assert roof.box == ((pytest.approx(-1.28), -0.10), (-0.50, 0.50), (pytest.approx(2.05), 2.15))
    # At most to 0.25 m ahead of the rear axle: 1.13 m behind the front one, past the usual 1.10.
    assert the_box(TRUCK, "driver").box == ((-1.10, -0.30), (-0.35, 0.35), (0.50, pytest.approx(2.05)))
    short = REPLACE(TRUCK, wheelbase_m=Estimate(best=1.20, known="measured"))
    assert the_box(short, "driver").box[0] == (pytest.approx(-0.95), -0.30)
    assert len(boxes_of(TRUCK, "guard_leg")) == 4 and len(boxes_of(TRUCK, "channel")) == 4
    head = the_box(TRUCK, "crosshead")
    assert head.frame == "upright inner" and head.box[2] == (pytest.approx(1.83), 1.95)
    assert the_box(TRUCK, "carriage").box == ((-0.10, 0.0), (-0.50, 0.50), (-0.05, 0.50))
    assert the_box(TRUCK, "backrest").box[2] == (0.50, 1.20)
    assert all(box.usual for box in truck_boxes(TRUCK))


def test_only_cross_member_and_backrest_prove_nothing_until_they_are_measured() -> None:
    assert {box.role for box in truck_boxes(TRUCK) if box.unsure} == {"crosshead", "backrest"}
    none = REPLACE(TRUCK, has_crosshead=False, has_backrest=False, has_guard=False)
    left = {box.role for box in truck_boxes(none)}
    assert left == {"body", "driver", "channel", "carriage"}


def test_sizes_entered_move_the_usual_boxes() -> None:
    sized = REPLACE(
        TRUCK,
        width_m=Estimate(best=1.0, known="measured"),
        rear_overhang_m=Estimate(best=0.30, known="measured"),
        guard_height_m=Estimate(best=2.00, known="measured"),
    )
    assert the_box(sized, "body").box[:2] == ((pytest.approx(-1.68), 0.26), (-0.5, 0.5))
    assert the_box(sized, "guard").box[2] == (pytest.approx(1.90), 2.00)
    assert the_box(sized, "driver").box[2] == (0.50, pytest.approx(1.90))


def test_a_measured_box_replaces_every_usual_one_of_its_role() -> None:
    """Measured from the front axle with the forks down: 0.40 m of overhang less on what the upright carries."""
    head = TruckSolid(
        name="top", role="crosshead", link="inner", known="measured",
        x0_m=0.10, x1_m=0.25, y0_m=-0.4, y1_m=0.4, z0_m=1.40, z1_m=1.50,
    )  # fmt: skip
    post = REPLACE(head, name="post", role="channel", link="chassis", known="guess")
    boxes = truck_boxes(REPLACE(TRUCK, solids=(head, post)))
    (measured,) = (box for box in boxes if box.role == "crosshead")
    assert measured.frame == "upright inner" and measured.box[0] == (pytest.approx(-0.30), pytest.approx(-0.15))
    assert measured.off_m == 0.03 and not measured.unsure
    (channel,) = (box for box in boxes if box.role == "channel")
    assert channel.frame == "chassis" and channel.box[0] == (0.10, 0.25) and channel.off_m == 0.10


def test_a_box_inside_out_is_refused() -> None:
    with pytest.raises(ValueError, match="upwards it goes from 1\u202f500 mm to 1\u202f400 mm"):
        TruckSolid(name="top", role="crosshead", x0_m=0, x1_m=1, y0_m=0, y1_m=1, z0_m=1.5, z1_m=1.4)


def test_a_typical_box_is_no_measured_one_and_replaces_nothing() -> None:
    """A new row of the form proves nothing until somebody says how it is known."""
    head = TruckSolid(name="top", role="crosshead", link="inner", x0_m=0, x1_m=1, y0_m=0, y1_m=1, z0_m=0.2, z1_m=0.3)
    assert head.known == "typical"
    both = boxes_of(REPLACE(TRUCK, solids=(head,)), "crosshead")
    assert len(both) == 2 and all(box.unsure for box in both)


def test_a_size_that_is_a_guess_leaves_its_side_as_unsure_as_it_is() -> None:
    """1.80 to 2.20 about 2.15: 350 mm lower at worst; a taped one is as sure as a usual box."""
    guessed = Estimate(best=2.15, known="guess", low=1.80, high=2.20)
    assert the_box(REPLACE(TRUCK, guard_height_m=guessed), "guard").off_m == pytest.approx(0.35)
    taped = Estimate(best=2.15, known="measured")
    assert the_box(REPLACE(TRUCK, guard_height_m=taped), "guard").off_m == 0.05
    wide = Estimate(best=1.2, known="guess", low=1.0, high=1.4)
    assert the_box(REPLACE(TRUCK, width_m=wide), "body").off_m == pytest.approx(0.10), "half of it each side"


def test_however_small_a_truck_is_entered_its_boxes_are_not_inside_out() -> None:
    short = REPLACE(
        TRUCK,
        wheelbase_m=Estimate(best=0.3, known="guess"),
        guard_height_m=Estimate(best=1.6, known="guess"),
        upright=REPLACE(TRUCK.upright, lowered_height_m=0.05),
    )
    for box in truck_boxes(short):
        assert all(low < high for low, high in box.box), box
    assert the_box(short, "driver").box[2][1] == 1.80, "the driver is as tall under a low guard"
