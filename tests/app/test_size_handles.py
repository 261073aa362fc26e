"""Dragging sizes of parts on the drawing."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest
from hand import Hand

from app.canvas import size_handles
from app.shell.window import Window
from engine.rig.kinematics import figures, place
from engine.schema.connections import Gusset
from engine.schema.model import Job
from engine.shop.pulled_sizes import LEAST_LENGTH_M, pulled, sizes_of
from tests.samples import read_once

SAMPLE_PATHS = sorted((Path(__file__).resolve().parents[2] / "sample_rigs").glob("*.rig.json"))


@pytest.fixture
def designing(window: Window) -> Window:
    window.views.set_sizes(True)
    return window


def metric(path: Path) -> Job:
    """A sample in metric units: in US units a pull goes by sixteenths of an inch."""
    return msgspec.structs.replace(read_once(path), units="metric")


def px(window: Window, metres: float) -> float:
    return metres * 1000.0 * window.views.side_view.px_per_mm


def test_the_jib_mast_is_pulled_longer_as_one_undo_step(designing: Window) -> None:
    before = designing.document.job
    Hand(designing.views.side_view).drag("size mast length", 0.0, -px(designing, 0.2), steps=3)
    mast, was = designing.document.job.rig.jib_mast, before.rig.jib_mast
    assert mast.length_m == pytest.approx(was.length_m + 0.2, abs=0.02)
    assert mast.mass_kg.known == "worked_out"
    assert mast.mass_kg.best / was.mass_kg.best == pytest.approx(mast.length_m / was.length_m)
    assert designing.document.undo_stack.count() == 1
    designing.document.undo_stack.undo()
    assert designing.document.job == before


def test_the_boom_grows_at_its_tail_and_its_holes_stay(designing: Window) -> None:
    before = designing.document.job.rig.boom
    hook = designing.document.verdict.placed.hook_m
    Hand(designing.views.side_view).drag("size boom length", -px(designing, 0.15), 0.0, steps=3)
    boom = designing.document.job.rig.boom
    assert boom.length_m > before.length_m + 0.1
    assert boom.length_m - boom.first_hole_m == pytest.approx(before.length_m - before.first_hole_m)
    assert designing.document.verdict.placed.hook_m == pytest.approx(hook)


def test_an_arm_is_pulled_shorter_but_never_to_nothing(designing: Window) -> None:
    Hand(designing.views.side_view).drag("size arm 1 length", -px(designing, 0.2), 0.0, steps=3)
    assert designing.document.job.rig.arms[1].length_m == pytest.approx(0.6 - 0.2, abs=0.03)
    Hand(designing.views.side_view).drag("size arm 1 length", -px(designing, 3.0), 0.0, steps=3)
    assert designing.document.job.rig.arms[1].length_m >= LEAST_LENGTH_M


def test_size_handles_and_pose_handles_are_not_there_together(window: Window) -> None:
    def shown() -> set[str]:
        return {name for name, handle in window.views.side_drawing.handles.items() if handle.isVisible()}

    pose = {"lift", "tilt", "boom", "arm 0", "arm 1", "hook"}
    assert shown() == pose
    window.views.set_sizes(True)
    members = {"sleeves length", "mast place", "mast length", "boom length", "arm 0 length", "arm 1 length"}
    joints = {"front saddle", "rear saddle", "plate 1 inner"}  # the boatyard's one end plate, as its notes say
    assert shown() == {f"size {size}" for size in members | joints}
    window.views.set_sizes(False)
    assert shown() == pose


def test_a_saddle_is_pulled_along_the_boom_as_one_undo_step_and_the_bed_follows(designing: Window) -> None:
    before = designing.document.job
    Hand(designing.views.side_view).drag("size rear saddle", -px(designing, 0.1), 0.0, steps=3)
    rig = designing.document.job.rig
    assert rig.saddles.rear_x_m == pytest.approx(before.rig.saddles.rear_x_m - 0.1, abs=0.02)
    longer = before.rig.saddles.rear_x_m - rig.saddles.rear_x_m
    section = rig.saddles.bed.section
    area = section.width_m * section.depth_m - (section.width_m - 0.02) * (section.depth_m - 0.02)
    gained = rig.saddles.mass_kg.best - before.rig.saddles.mass_kg.best
    assert gained == pytest.approx(7850.0 * area * longer, rel=0.12)  # 10 mm of wall; rounded corners weigh less
    assert designing.document.undo_stack.count() == 1
    assert designing.document.undo_stack.undoText() == "Change the place of the rear saddle"
    designing.document.undo_stack.undo()
    assert designing.document.job == before


def test_saddles_cannot_be_pulled_through_each_other(designing: Window) -> None:
    saddles = designing.document.job.rig.saddles
    Hand(designing.views.side_view).drag("size rear saddle", px(designing, 2.0), 0.0, steps=5)
    pulled = designing.document.job.rig.saddles
    assert pulled.front_x_m - pulled.rear_x_m > saddles.strap_length_m


@pytest.mark.parametrize("path", SAMPLE_PATHS, ids=lambda path: path.name.split(".")[0])
def test_every_handle_stays_under_the_hand_that_pulls_it(path: Path) -> None:
    job = metric(path)
    pose = max(job.poses, key=lambda pose: sum(arm.fitted for arm in pose.arms))
    before = size_handles.spots(job, place(job, figures(job, pose)))
    assert {f"size {size}" for size in sizes_of(job.rig)} >= before.keys()
    for name, spot in before.items():
        along_m, up_m = 0.03, 0.0 if spot.up is None else 0.02
        pulled_job = pulled(job, name.removeprefix(size_handles.PREFIX), along_m, up_m)
        assert pulled_job != job, name
        after = size_handles.spots(pulled_job, place(pulled_job, figures(pulled_job, pose)))[name].at_m
        wanted = spot.at_m + spot.along.times(along_m)
        if spot.up is not None:
            wanted = wanted + spot.up.times(up_m)
        share = 0.97 if name.startswith("size arm ") else 1.0  # stands a little inside the tube's end
        moved, meant = after - spot.at_m, (wanted - spot.at_m).times(share)
        assert (moved.x, moved.y, moved.z) == pytest.approx((meant.x, meant.y, meant.z), abs=1e-6), name


def test_a_stays_point_is_pulled_both_ways(tmp_path: Path) -> None:
    (path,) = (one for one in SAMPLE_PATHS if "osier" in one.name)
    job = metric(path)
    arm = job.rig.arms[0]
    moved = pulled(job, "stay 0 arm", 0.05, -0.01).rig.arms[0].stay
    assert moved.at_arm.x_m == pytest.approx(arm.stay.at_arm.x_m + 0.05)
    assert moved.at_arm.z_m == pytest.approx(arm.stay.at_arm.z_m - 0.01)
    assert moved.at_inner == arm.stay.at_inner


def test_a_gusset_is_pulled_out_and_up_and_weighs_more(boatyard: Job) -> None:
    gusset = Gusset(face="front", out_m=0.1, up_m=0.15, thickness_m=0.01)
    mast = msgspec.structs.replace(boatyard.rig.jib_mast, gussets=(gusset,))
    job = msgspec.structs.replace(boatyard, rig=msgspec.structs.replace(boatyard.rig, jib_mast=mast))
    out = pulled(job, "gusset 0 out", 0.02)
    both = pulled(out, "gusset 0 up", 0.05)
    now = both.rig.jib_mast
    assert (now.gussets[0].out_m, now.gussets[0].up_m) == (pytest.approx(0.12), pytest.approx(0.20))
    steel = 7850.0 * 0.01 * (0.12 * 0.20 - 0.10 * 0.15) / 2.0
    assert now.mass_kg.best - mast.mass_kg.best == pytest.approx(steel) and now.mass_kg.known == "worked_out"
    assert pulled(job, "gusset 0 out", -0.09) is job


def test_a_size_is_pulled_by_sixteenths_of_an_inch_in_us_units(boatyard: Job) -> None:
    longer = pulled(msgspec.structs.replace(boatyard, units="us"), "boom length", 0.1003)
    sixteenths = (longer.rig.boom.length_m - boatyard.rig.boom.length_m) * 16.0 / 0.0254
    assert sixteenths == pytest.approx(63.0, abs=1e-3)
