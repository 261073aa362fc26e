"""Lists as comma-separated text against the rig file and the lists that the papers print."""

from __future__ import annotations

import csv
import io
import math

import msgspec
import pytest

from engine.exports.completeness_words import NOT_COMPLETE, is_not_complete
from engine.exports.dxf import plate_drawings
from engine.exports.lists import chart_list, shop_lists
from engine.schema.model import Approval, Job
from engine.shop.cut_list import pieces
from engine.shop.design_digest import design_digest
from tests.samples import PLATED_PATHS, read_once
from tests.thoroughness import every

REPLACE = msgspec.structs.replace
JOBS = [read_once(path) for path in PLATED_PATHS]
every_rig = pytest.mark.parametrize("job", JOBS, ids=lambda job: job.name)


def read(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8"), newline="")))


@every_rig
def test_parts_have_their_exact_sizes_and_weigh_what_the_steel_weighs(job: Job) -> None:
    rows = read(shop_lists(job)["parts.csv"])
    listed = pieces(job)
    assert [row["part_no"] for row in rows] == [f"P-{number:02d}" for number in range(1, len(listed) + 1)]
    assert [float(row["length_m"]) for row in rows] == [piece.length_m for piece in listed]
    boom = next(row for row in rows if row["part"] == "boom")
    section = job.rig.boom.section
    assert (float(boom["width_m"]), float(boom["depth_m"]), float(boom["wall_m"])) == (
        *(section.width_m, section.depth_m, section.wall_m),
    )
    together = math.fsum(int(row["count"]) * float(row["mass_each_kg"]) for row in rows)
    assert together == pytest.approx(math.fsum(piece.count * piece.mass_each_kg for piece in listed), rel=1e-12)
    assert {row["design"] for row in rows} == {design_digest(job)}
    assert all("never lift people" in row["status"].lower() for row in rows)


@every_rig
def test_holes_of_the_boom_stand_where_the_file_has_them(job: Job) -> None:
    rows = [
        row for row in read(shop_lists(job)["holes.csv"]) if row["part"] == "boom" and row["hole"].startswith("hole ")
    ]
    boom = job.rig.boom
    assert len(rows) == boom.hole_count
    assert float(rows[0]["from_datum_m"]) == boom.first_hole_m
    assert {float(row["diameter_m"]) for row in rows} == {boom.pin.hole_m}


@every_rig
def test_every_piece_is_cut_once_from_a_bar(job: Job) -> None:
    lists = shop_lists(job)
    cuts, bars = read(lists["cuts.csv"]), read(lists["bars.csv"])
    wanted = sorted(piece.part for piece in pieces(job) for _ in range(piece.count))
    assert sorted(row["part"] for row in cuts) == wanted
    assert sum(int(row["pieces"]) for row in bars) == len(cuts)
    assert all(0.0 <= float(row["from_m"]) < float(row["to_m"]) for row in cuts)


@every_rig
def test_a_weld_without_a_leg_says_so(job: Job) -> None:
    for row in read(shop_lists(job)["welds.csv"]):
        assert (row["leg_m"] == "") == (row["leg_as_called"] == "NOT ENTERED")
        assert row["length_each_m"] and float(row["length_each_m"]) > 0.0


@pytest.mark.parametrize("job", every(4, JOBS), ids=lambda job: job.name)
def test_chart_rows_with_a_load_add_up_and_the_others_have_none(job: Job) -> None:
    rows = read(chart_list(job, job.poses[0]))
    assert rows
    for row in rows:
        if row["state"] in ("PLANNED LIMIT", "ALLOWED"):
            assert (row["state"] == "ALLOWED") == (job.approval is not None)
            assert float(row["load_kg"]).is_integer()
            assert float(row["hook_load_kg"]) == pytest.approx(float(row["load_kg"]) + job.load.rigging_kg.best)
        else:
            assert row["load_kg"] == row["hook_load_kg"] == ""


def test_a_chart_allows_no_more_than_the_maker_and_nothing_above_the_maker_s_fork_height() -> None:
    job = next(job for job in JOBS if job.approval is None and not is_not_complete(job))
    low_m = job.truck.upright.lift_min_m + 0.3
    approval = Approval(reference="A-1", date="2026-01-02", allowed_kg=50.0, lift_max_m=low_m, limit_is="load")
    rows = read(chart_list(REPLACE(job, approval=approval), job.poses[0]))
    loads = [float(row["load_kg"]) for row in rows if row["load_kg"]]
    assert loads and max(loads) <= 50.0 and 0.0 in loads


def test_text_of_the_file_is_no_formula_and_breaks_no_line() -> None:
    job = next(job for job in JOBS if job.rig.arms)
    for name, shown in (("=1+1", "'=1+1"), ("@a\u202e b", "'@a b"), ('-a "x", y', '\'-a "x", y')):
        arms = (REPLACE(job.rig.arms[0], name=name), *job.rig.arms[1:])
        rows = read(shop_lists(REPLACE(job, rig=REPLACE(job.rig, arms=arms)))["parts.csv"])
        assert f"{shown} tube" in [row["part"] for row in rows]
        assert len(rows) == len(pieces(job))


def test_the_design_s_figures_change_with_rig_truck_and_allowances_alone() -> None:
    job = JOBS[0]
    digest = design_digest(job)
    assert len(digest) == 8 and int(digest, 16) >= 0
    same = REPLACE(job, name="another", poses=job.poses[:1], approval=None, units="us", log=())
    assert design_digest(same) == digest
    longer = REPLACE(job, rig=REPLACE(job.rig, boom=REPLACE(job.rig.boom, length_m=job.rig.boom.length_m + 0.001)))
    heavier = REPLACE(job, truck=REPLACE(job.truck, serial="other"))
    assert len({digest, design_digest(longer), design_digest(heavier)}) == 3


def test_a_rig_with_a_joint_that_is_not_entered_says_so_in_every_line_and_on_every_drawing() -> None:
    whole = next(job for job in JOBS if job.rig.sleeves.cross_weld is not None and not is_not_complete(job))
    less = REPLACE(whole, rig=REPLACE(whole.rig, sleeves=REPLACE(whole.rig.sleeves, cross_weld=None)))
    for job, said in ((whole, False), (less, True)):
        for data in shop_lists(job).values():
            assert all(row["status"].startswith(NOT_COMPLETE) == said for row in read(data))
        assert all((NOT_COMPLETE.encode() in data) == said for data in plate_drawings(job).values())
