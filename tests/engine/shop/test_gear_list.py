"""Bought gear that is a part of the rig: a stay without a section, and none that is cut from one."""

from __future__ import annotations

from pathlib import Path

import msgspec

from engine.schema.connections import StayLink, StayPoint
from engine.schema.model import Job
from engine.schema.sections import RoundTube
from engine.shop.cut_list import pieces
from engine.shop.gear_list import gear_list, rig_gear
from tests.samples import read_once

REPLACE = msgspec.structs.replace
BOATYARD = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "skerry_point_boatyard.rig.json")
TURNBUCKLE = StayLink(
    at_inner=StayPoint(x_m=-0.4, z_m=0.2),
    at_arm=StayPoint(x_m=0.5, z_m=0.15),
    make="turnbuckle",
    length_min_m=0.6,
    length_max_m=1.1,
    wll_kg=2000.0,
)


def held_by(stay: StayLink) -> Job:
    rig = BOATYARD.rig
    arm = REPLACE(rig.arms[0], axis="level", stay=stay)
    return REPLACE(BOATYARD, rig=REPLACE(rig, arms=(arm, rig.arms[1])))


def test_a_bought_stay_is_in_the_gear_list_with_its_mark_and_its_lengths() -> None:
    job = held_by(TURNBUCKLE)
    row = gear_list(job)[-1]
    assert (row.name, row.rated_kg, row.pins_m) == ("arm 1 stay, turnbuckle", 2000.0, (0.6, 1.1))
    assert rig_gear(job.rig) == (row,)
    assert not any(piece.part == "arm 1 stay" for piece in pieces(job))


def test_a_stay_cut_from_a_section_is_not_bought() -> None:
    made = REPLACE(TURNBUCKLE, make="strut", section=RoundTube(diameter_m=0.06, wall_m=0.005))
    assert rig_gear(held_by(made).rig) == ()
    assert any(piece.part == "arm 1 stay" for piece in pieces(held_by(made)))
