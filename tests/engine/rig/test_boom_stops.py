"""Plates that close the bed and stop the boom: sizes by hand, and where a hinge's piece already is the stop."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.rig.boom_stops import made_stops
from engine.schema.connections import BoomStops, EndPlate, FaceLugs, HingeEnd, ThroughSleeve, TubeBed
from engine.schema.joints import Axis
from engine.schema.model import Job
from engine.schema.sections import FlatBar, RectTube
from engine.shop.cut_list import pieces
from engine.shop.weld_list import weld_list
from tests.samples import read_once

REPLACE = msgspec.structs.replace
BOATYARD = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "skerry_point_boatyard.rig.json")


def the_job(stops: BoomStops = "both", end: HingeEnd | None = None, axis: Axis = "standing") -> Job:
    """A boom 100 x 100 between shims of 18 mm at each side and 1 mm above, 2 and 0.5 mm free, in straps 20 thick."""
    rig = BOATYARD.rig
    saddles = REPLACE(
        rig.saddles,
        strap_thickness_m=0.02,
        shims="steel",
        shim_side_m=0.018,
        shim_top_m=0.001,
        side_gap_m=0.002,
        top_gap_m=0.0005,
        bed=TubeBed(section=RectTube(width_m=0.14, depth_m=0.08, wall_m=0.01), ends_closed=True),
    )
    tube = RectTube(width_m=0.1, depth_m=0.1, wall_m=0.0063)
    arm = REPLACE(rig.arms[0], axis=axis, hinge=REPLACE(rig.arms[0].hinge, inner_end=end))
    boom = REPLACE(rig.boom, section=tube, stops=stops)
    return REPLACE(BOATYARD, rig=REPLACE(rig, saddles=saddles, boom=boom, arms=(arm, rig.arms[1])))


def test_a_stop_is_as_large_as_a_strap_s_outside() -> None:
    """Across 100 + 2 (18 + 2) + 2 x 20; up from the boom's underside 100 + 1 + 0.5 + 20."""
    listed = {piece.part: piece for piece in pieces(the_job())}
    for part in ("boom stop, rear", "boom stop, front"):
        assert listed[part].length_m == pytest.approx(0.1215)
        assert listed[part].section.width_m == pytest.approx(0.18)
    assert "last" in listed["boom stop, rear"].note
    (weld,) = [weld for weld in weld_list(the_job()) if weld.name == "boom stops"]
    assert (weld.lines, weld.length_each_m, weld.leg_m) == (2, pytest.approx(0.3), None)


@pytest.mark.parametrize(
    ("stops", "made"), [("both", ("rear", "front")), ("rear", ("rear",)), ("front", ("front",)), ("none", ())]
)
def test_only_the_stops_entered_are_cut_and_welded(stops: BoomStops, made: tuple[str, ...]) -> None:
    job = the_job(stops)
    assert [p.part for p in pieces(job) if p.part.startswith("boom stop")] == [f"boom stop, {end}" for end in made]
    assert any(weld.name == "boom stops" for weld in weld_list(job)) == bool(made)


@pytest.mark.parametrize(
    ("end", "axis", "stopped"),
    [
        # The straps leave 140 mm across, and 51.5 mm over the boom's middle.
        (EndPlate(thickness_m=0.02, height_m=0.102, width_m=0.141), "standing", True),
        (EndPlate(thickness_m=0.02, height_m=0.102, width_m=0.139), "standing", False),
        (EndPlate(thickness_m=0.02, height_m=0.104, width_m=0.139), "standing", True),
        # A level pin lays the plate's height across.
        (EndPlate(thickness_m=0.02, height_m=0.139, width_m=0.102), "level", False),
        (EndPlate(thickness_m=0.02, height_m=0.141, width_m=0.102), "level", True),
        # Lugs of 10 mm on faces 100 apart stand 60 mm off the middle: over it, or beside it.
        (FaceLugs(thickness_m=0.01, width_m=0.06, on_face_m=0.2, reach_m=0.05), "standing", True),
        (FaceLugs(thickness_m=0.01, width_m=0.06, on_face_m=0.2, reach_m=0.05), "level", False),
        (FaceLugs(thickness_m=0.01, width_m=0.06, on_face_m=0.2, reach_m=0.05, packing_m=0.011), "level", True),
        (ThroughSleeve(length_m=0.104, outer_m=0.06, bore_m=0.03), "standing", True),
        (ThroughSleeve(length_m=0.102, outer_m=0.06, bore_m=0.03), "standing", False),
        (None, "standing", False),
    ],
)
def test_a_hinge_s_piece_too_large_for_the_saddles_is_the_front_stop(
    end: HingeEnd | None, axis: Axis, stopped: bool
) -> None:
    job = the_job("both", end, axis)
    assert made_stops(job.rig) == (("rear",) if stopped else ("rear", "front"))
    (boom,) = [piece for piece in pieces(job) if piece.part == "boom"]
    assert ("is the stop there" in boom.note) == stopped


@pytest.mark.parametrize("closed", [True, False])
def test_the_bed_s_ends_are_closed_with_plate(closed: bool) -> None:
    """Two plates of 140 x 80 in 3 mm, and a seal weld round each."""
    job = the_job()
    saddles = REPLACE(job.rig.saddles, bed=REPLACE(job.rig.saddles.bed, ends_closed=closed))
    job = REPLACE(job, rig=REPLACE(job.rig, saddles=saddles))
    ends = [piece for piece in pieces(job) if piece.part == "saddle bed end"]
    welds = [(weld.lines, weld.length_each_m) for weld in weld_list(job) if weld.name == "saddle bed ends"]
    if not closed:
        assert (ends, welds) == ([], [])
        return
    (end,) = ends
    assert (end.count, end.length_m, end.section) == (2, 0.08, FlatBar(width_m=0.14, depth_m=0.003))
    assert welds == [(2, pytest.approx(0.44))]
