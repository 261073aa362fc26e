"""Cut list, cutting plan, hole schedule, welds and pins: closed against the sketch and against brute force."""

from __future__ import annotations

import itertools
import math
from collections import Counter

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.rig.kinematics import hole_out_m
from engine.rig.rig_masses import steel_masses
from engine.schema.model import Job, NoGo, Stock
from engine.schema.sections import RectTube
from engine.shop.cut_list import pieces
from engine.shop.cut_pieces import totals
from engine.shop.cutting_plan import BOUGHT_BAR_M, Stretch, best_places, cutting_plan, usable_stretches
from engine.shop.pin_list import fit_list, pin_list
from engine.shop.setting_out import hole_schedules
from engine.shop.weld_list import filler_kg, weld_list

LB_KG, IN_M, FT_M = 0.45359237, 0.0254, 0.3048
TUBE = RectTube(width_m=0.1, depth_m=0.1, wall_m=0.006)
REPLACE = msgspec.structs.replace


# ---------------------------------------------------------------- pieces


def test_pieces_weigh_what_the_balance_counts(sample: Job) -> None:
    """The list's steel against the steel of the balance; pins and straps are a little longer, arm tubes shorter."""
    steel = steel_masses(sample.truck, sample.rig)
    balance_kg = sum(sum(kg) if isinstance(kg, tuple) else kg for kg in steel.values())
    listed = sum(piece.count * piece.mass_each_kg for piece in pieces(sample))
    assert listed == pytest.approx(balance_kg, rel=0.05)


def test_totals_add_up_to_the_pieces(sample: Job) -> None:
    listed = pieces(sample)
    summed = totals(listed)
    assert sum(total.count for total in summed) == sum(piece.count for piece in listed)
    assert sum(total.mass_kg for total in summed) == pytest.approx(sum(p.count * p.mass_each_kg for p in listed))
    assert sum(total.length_m for total in summed) == pytest.approx(sum(p.count * p.length_m for p in listed))


def test_a_leaning_mast_is_cut_to_its_long_point_and_weighs_the_same(sample: Job) -> None:
    lean = 0.1
    rig = REPLACE(sample.rig, jib_mast=REPLACE(sample.rig.jib_mast, lean_rad=lean))
    upright, leaning = (
        next(p for p in pieces(job) if p.part == "jib mast") for job in (sample, REPLACE(sample, rig=rig))
    )
    assert leaning.length_m - upright.length_m == pytest.approx(
        sample.rig.jib_mast.section.depth_m / 2.0 * math.tan(lean)
    )
    assert leaning.mass_each_kg == pytest.approx(upright.mass_each_kg)
    assert leaning.mitre_rad == lean


# ---------------------------------------------------------------- cutting plan


def test_every_piece_is_cut_once_and_nothing_runs_over_its_bar_or_a_no_go_zone(sample: Job) -> None:
    stock = (
        Stock(name="old boom", section=sample.rig.boom.section, length_m=3.0, no_go=(NoGo(from_m=0.4, to_m=0.55),)),
        Stock(
            name="sleeve stock",
            section=sample.rig.sleeves.section,
            length_m=1.2,
            count=3,
            steel=sample.rig.sleeves.steel,
            no_go=(NoGo(from_m=1.0, to_m=1.1),),
        ),
    )
    job = REPLACE(sample, stock=stock)
    bars = cutting_plan(job)
    wanted = Counter({piece.part: 0 for piece in pieces(job)})
    for piece in pieces(job):
        wanted[piece.part] += piece.count
    assert Counter(part for bar in bars for part, _, _ in bar.cuts) == wanted
    for bar in bars:
        _assert_sound(bar, job.kerf_m)
    assert sum(bar.stock == "sleeve stock" for bar in bars) == 2
    (boom_m,) = (piece.length_m for piece in pieces(job) if piece.part == "boom")
    # Where the jib mast is of the same tube, one bought bar gives both and the old boom stays on the rack.
    for bar in bars:
        assert bar.stock != "old boom" or bar.cuts == (("boom", 0.55, pytest.approx(0.55 + boom_m)),)


def _assert_sound(bar, kerf_m: float) -> None:
    ordered = sorted(bar.cuts, key=lambda cut: cut[1])
    assert all(0.0 <= start < end <= bar.length_m + 1e-9 for _, start, end in ordered)
    for (_, _, end), (_, start, _) in itertools.pairwise(ordered):
        assert start - end >= kerf_m - 1e-9
    for zone_from, zone_to, _ in bar.no_go:
        assert all(end <= zone_from + 1e-9 or start >= zone_to - 1e-9 for _, start, end in ordered)


def test_steel_of_unknown_grade_is_never_cut_for_a_part_of_a_named_grade(sample: Job) -> None:
    boom = REPLACE(sample.rig.boom, steel="S355")
    named = REPLACE(sample, rig=REPLACE(sample.rig, boom=boom))
    for steel, bought in (("unknown", True), ("S355", False)):
        stock = (Stock(name="rack", section=boom.section, length_m=3.0, steel=steel),)
        bar = next(bar for bar in cutting_plan(REPLACE(named, stock=stock)) if bar.cuts[0][0] == "boom")
        assert bar.bought is bought


def test_no_go_zones_that_overlap_leave_only_what_is_outside_all_of_them() -> None:
    zones = (NoGo(from_m=0.5, to_m=1.0), NoGo(from_m=0.8, to_m=1.5), NoGo(from_m=2.9, to_m=3.0))
    left = usable_stretches(Stock(name="old", section=TUBE, length_m=3.0, no_go=zones))
    assert [(s.from_m, pytest.approx(s.length_m)) for s in left] == [(0.0, 0.5), (1.5, pytest.approx(1.4))]


lengths = st.lists(st.integers(1, 30), min_size=1, max_size=4).map(
    lambda tenths: sorted((tenth * 0.1 for tenth in tenths), reverse=True)
)
racks = st.lists(st.lists(st.integers(2, 25), min_size=1, max_size=2), max_size=2)


@given(lengths, racks, st.sampled_from([0.0, 0.003]))
def test_cutting_plan_is_as_good_as_the_best_of_all_ways(
    cut_m: list[float], rack: list[list[int]], kerf_m: float
) -> None:
    """Bars bought, then length of rack bars begun, against every way of putting the pieces into stretches."""
    stretches, bars_m = [], []
    for bar, parts in enumerate(rack):
        at = 0.0
        for part in parts:
            stretches.append(Stretch(bar, at, part * 0.1))
            at += part * 0.1 + 0.05
        bars_m.append(at)
    places = best_places(cut_m, stretches, bars_m, kerf_m)
    cost = _cost(cut_m, places, stretches, bars_m, kerf_m)
    every = itertools.product(range(len(stretches) + len(cut_m)), repeat=len(cut_m))
    best = min(c for places in every if (c := _cost(cut_m, list(places), stretches, bars_m, kerf_m)) is not None)
    assert cost == (best[0], pytest.approx(best[1]))


def _cost(cut_m, places, stretches, bars_m, kerf_m) -> tuple[int, float] | None:
    """Bought bars and rack length begun; None where a stretch is overfull."""
    held: dict[int, list[float]] = {}
    for length, place in zip(cut_m, places, strict=True):
        held.setdefault(place, []).append(length)
    for place, inside in held.items():
        room = stretches[place].length_m if place < len(stretches) else max(BOUGHT_BAR_M, *inside)
        if sum(inside) + (len(inside) - 1) * kerf_m > room + 1e-9:
            return None
    begun = {stretches[place].bar for place in held if place < len(stretches)}
    return sum(place >= len(stretches) for place in held), math.fsum(bars_m[bar] for bar in begun)


# ---------------------------------------------------------------- holes


def test_hole_schedules_close_on_the_length_of_the_part(sample: Job) -> None:
    for schedule in hole_schedules(sample.rig):
        assert math.fsum(hole.step_m for hole in schedule.holes) + schedule.end_m == pytest.approx(schedule.length_m)
        at = [hole.from_datum_m for hole in schedule.holes]
        assert at == sorted(at)
        assert all(0.0 < place < schedule.length_m for place in at)


def test_the_boom_s_holes_are_where_the_balance_pins_it(sample: Job) -> None:
    """Pinned in a hole the boom's end stands as far out as the mechanics say."""
    rig = sample.rig
    pin_x = rig.saddles.front_x_m if rig.saddles.pin_at == "front" else rig.saddles.rear_x_m
    holes = [hole for hole in hole_schedules(rig)[0].holes if hole.name.startswith("hole ")]
    assert len(holes) == rig.boom.hole_count
    for number, hole in enumerate(holes, start=1):
        assert pin_x + rig.boom.length_m - hole.from_datum_m == pytest.approx(float(hole_out_m(rig, number)))


def test_stepping_off_adds_up_and_marking_from_the_datum_does_not(sample: Job) -> None:
    holes = hole_schedules(sample.rig)[0].holes
    assert [round(hole.stack_m / holes[0].stack_m) for hole in holes] == list(range(1, len(holes) + 1))


# ---------------------------------------------------------------- welds, pins, fits


@pytest.mark.parametrize(
    ("leg_in", "lb_per_ft"), [(1 / 4, 0.16), (5 / 16, 0.25), (3 / 8, 0.36), (1 / 2, 0.64), (5 / 8, 1.00), (3 / 4, 1.44)]
)
def test_filler_is_what_trade_tables_of_fillet_weight_print(leg_in: float, lb_per_ft: float) -> None:
    """Weight of fillet welds at 1.5 times the plain triangle, as printed in trade tables (read), two decimals."""
    assert round(filler_kg(leg_in * IN_M, FT_M) / LB_KG, 2) == pytest.approx(lb_per_ft, abs=0.0051)


def test_welds_without_a_leg_in_the_sketch_say_so_and_count_no_filler(sample: Job) -> None:
    sleeves = REPLACE(sample.rig.sleeves, cross_weld=None)
    sample = REPLACE(sample, rig=REPLACE(sample.rig, sleeves=sleeves))
    without = [weld for weld in weld_list(sample) if weld.leg_m is None]
    assert [weld.name for weld in without][:1] == ["cross-member to sleeves"]
    assert all(weld.filler_kg is None and "not in the sketch" in weld.note for weld in without)


def test_foot_weld_all_round_a_square_tube_is_its_girth(sample: Job) -> None:
    section = sample.rig.jib_mast.section
    foot = next(weld for weld in weld_list(sample) if weld.name == "jib mast foot")
    assert foot.length_m == pytest.approx(2.0 * (section.width_m + section.depth_m))


def test_pins_go_through_what_they_hold_and_fit_their_holes(sample: Job) -> None:
    rows = {row.name: row for row in pin_list(sample.rig)}
    assert rows["boom pin"].length_m > sample.rig.boom.section.width_m + 2.0 * sample.rig.saddles.strap_thickness_m
    assert all(row.play_m >= 0.0 for row in rows.values())
    assert all(fit.play_m is None or fit.play_m >= 0.0 for fit in fit_list(sample))
