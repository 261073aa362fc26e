"""Every piece, hole, weld and pin of one rig by hand, and bars laid out by hand.

The rig is the boatyard's with every size made different from its neighbour, so that none can stand in for another.
Bars of 6 m, 0.5 mm of marking and pins two diameters longer than what they go through are common practice, no source.
"""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import pytest

from engine.base.formatting import fill
from engine.schema.connections import (
    BasePlate,
    BentStrap,
    EndPlate,
    FabricatedStrap,
    FaceLugs,
    Gusset,
    HookBefore,
    Hoop,
    Pin,
    StrapLapped,
    StrapOnTop,
    ThroughPin,
    TubeBed,
    Weld,
)
from engine.schema.model import Job, NoGo, Rig, Stock
from engine.schema.sections import FlatBar, RectTube, RoundTube, SolidRound, mass_per_length_kg_m
from engine.schema.steel import design_wall_m
from engine.shop.cut_list import pieces
from engine.shop.cut_pieces import Piece, totals
from engine.shop.cutting_plan import Stretch, cutting_plan, usable_section, usable_stretches
from engine.shop.pin_list import Fit, fit_list, pin_list
from engine.shop.setting_out import assembly_heights_m, hole_schedules
from engine.shop.weld_list import weld_list
from tests.samples import read_once

REPLACE = msgspec.structs.replace
BOATYARD = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "skerry_point_boatyard.rig.json")

STEEL_KG_M3 = 7850.0
"""EN 1991-1-1."""

LEAN = 0.12


def tube(width_mm: float, depth_mm: float, wall_mm: float) -> RectTube:
    return RectTube(width_m=width_mm / 1e3, depth_m=depth_mm / 1e3, wall_m=wall_mm / 1e3)


FILLED = Weld(leg_m=0.007, electrode="E70", kind="flare_bevel", process="gas_metal_arc")
"""Grooves beside a corner filled where faces are flush."""


def the_job(lean_rad: float = LEAN) -> Job:
    rig = BOATYARD.rig
    weld = Weld(leg_m=0.007, electrode="E80")
    inner, outer = rig.arms
    inner_hinge = REPLACE(
        inner.hinge,
        pin=Pin(diameter_m=0.026, hole_m=0.0264, steel="S355"),
        spacing_m=0.21,
        barrel_outer_m=0.052,
        barrel_length_m=0.055,
        lug_thickness_m=0.024,
        lug_edge_m=0.041,
        shear_planes=2,
        lug_weld_length_m=0.09,
        weld=weld,
        inner_end=None,
        outer_end=None,
        steel="unknown",
    )
    outer_hinge = REPLACE(
        outer.hinge,
        pin=Pin(diameter_m=0.023, hole_m=0.0235),
        spacing_m=0.18,
        barrel_outer_m=0.047,
        barrel_length_m=0.044,
        lug_thickness_m=0.021,
        lug_edge_m=0.037,
        inner_end=None,
        outer_end=None,
    )
    rig = REPLACE(
        rig,
        sleeves=REPLACE(
            rig.sleeves,
            section=tube(160, 80, 8),
            cross_section=tube(120, 70, 6),
            cross_weld=FILLED,
            length_m=0.95,
        ),
        jib_mast=REPLACE(rig.jib_mast, section=tube(130, 110, 5), length_m=1.45, lean_rad=lean_rad, foot_weld=FILLED),
        saddles=REPLACE(
            rig.saddles,
            front_x_m=0.04,
            rear_x_m=-0.52,
            strap_length_m=0.08,
            strap_thickness_m=0.02,
            strap_make=FabricatedStrap(corner_weld=Weld(leg_m=0.006, electrode="E70"), corner_faces="both"),
            strap_foot=StrapLapped(lap_m=0.03),
            strap_weld=Weld(leg_m=0.008, electrode="E70"),
            side_gap_m=0.001,
            top_gap_m=0.0015,
            shims="steel",
            shim_side_m=0.002,
            shim_top_m=0.003,
            seat_m=0.08,
            bed=TubeBed(section=tube(100, 60, 8)),
        ),
        boom=REPLACE(
            rig.boom,
            section=tube(100, 140, 6),
            length_m=2.4,
            first_hole_m=0.6,
            hole_pitch_m=0.25,
            hole_count=3,
            hole_edge_m=0.06,
            pin=Pin(diameter_m=0.019, hole_m=0.0195),
        ),
        arms=(
            REPLACE(inner, section=tube(90, 95, 6), length_m=0.7, hinge=inner_hinge),
            REPLACE(outer, section=tube(75, 80, 5), length_m=0.6, hinge=outer_hinge),
        ),
        hook=REPLACE(
            rig.hook,
            end=None,
            version1=HookBefore(
                edge_m=0.05,
                pin=Pin(diameter_m=0.021, hole_m=0.0216),
                hoop=Hoop(bar_m=0.018, bend_radius_m=0.045, leg_m=0.06, weld=weld),
            ),
        ),
    )
    pose = REPLACE(BOATYARD.poses[0], hole=2)
    return REPLACE(BOATYARD, rig=rig, poses=(pose,), trial_lifts=(), stock=(), wanted=(), moves=())


# ---------------------------------------------------------------- pieces

BY_HAND = {
    "sleeve": (2, 0.95),
    "cross-member": (1, 0.600 - 0.160),
    "jib mast": (1, 1.45 + 0.055 * math.tan(LEAN)),
    # On past both straps by the 8 mm leg of the welds up the edges of their legs.
    "saddle bed": (1, 0.04 + 0.52 + 0.08 + 2 * 0.008),
    # Over gap, shim and leg at each side; legs from 30 mm down the bed through both shims and the gap.
    # The top reaches past the legs by the 6 mm leg of the weld under it.
    "saddle strap top": (2, 0.10 + 2 * (0.001 + 0.002 + 0.02) + 2 * 0.006),
    "saddle strap leg, front saddle": (2, 0.03 + 0.003 + 0.14 + 0.0015 + 0.003),
    "saddle strap leg, rear saddle": (2, 0.03 + 0.003 + 0.14 + 0.0015 + 0.003),
    "saddle side shim, front saddle": (2, 0.08),
    "saddle side shim, rear saddle": (2, 0.08),
    "saddle shim": (4, 0.08),
    "boom": (1, 2.4),
    # Up from the boom's underside, over gap and shim, to the strap's top.
    "boom stop, rear": (1, 0.14 + 0.0015 + 0.003 + 0.02),
    "boom stop, front": (1, 0.14 + 0.0015 + 0.003 + 0.02),
    # From the barrel's skin to the next hinge's axis.
    "arm 1 tube": (1, 0.7 - 0.026),
    "arm 1 barrel": (2, 0.055),
    "arm 1 lug": (4, 0.052 + 0.041),
    # From the barrel's skin to one edge distance past the hook pin.
    "arm 2 tube": (1, 0.6 - 0.0235 + 0.05),
    "arm 2 barrel": (2, 0.044),
    "arm 2 lug": (2, 0.047 + 0.037),
    "boom pin": (1, 0.146 + 2 * 0.019),
    "hook pin": (1, 0.075 + 2 * 0.021),
    "arm 1 hinge pin": (1, 0.21 + 0.055 + 2 * 0.024 + 2 * 0.026),
    "arm 2 hinge pin": (1, 0.18 + 0.044 + 2 * 0.021 + 2 * 0.023),
    "heel pin": (2, 0.160 + 2 * 0.022),
    "hook hoop": (1, 2 * 0.06 + math.pi * 0.045),
}
"""Count and cut length (m)."""


def test_every_piece_by_hand() -> None:
    listed = {piece.part: (piece.count, piece.length_m) for piece in pieces(the_job())}
    assert list(listed) == list(BY_HAND)
    for part, (count, length_m) in BY_HAND.items():
        assert listed[part] == (count, pytest.approx(length_m, rel=1e-12)), part


def test_the_bed_is_cut_to_cover_the_whole_mast() -> None:
    """Boatyard: 10 mm past the straps' edges, 525 + 60 mm behind the mast's axis and 60 ahead; a mast of 160 has 80."""
    (bed,) = [piece for piece in pieces(BOATYARD) if piece.part == "saddle bed"]
    assert bed.length_m == pytest.approx(0.595 + 0.070)
    mast = REPLACE(BOATYARD.rig.jib_mast, section=tube(160, 160, 6))
    deep = REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, jib_mast=mast))
    (bed,) = [piece for piece in pieces(deep) if piece.part == "saddle bed"]
    assert bed.length_m == pytest.approx(0.595 + 0.080)


def test_packing_is_narrower_than_its_lug_so_that_the_lug_has_a_ledge_over_it() -> None:
    """Boatyard's first hinge: lugs of 74 with 6 mm legs, 62 of packing on a flat of 74.8."""
    (packing,) = [piece for piece in pieces(BOATYARD) if piece.part.endswith("packing")]
    assert packing.section == FlatBar(width_m=pytest.approx(0.062), depth_m=0.04) and packing.count == 2


@pytest.mark.parametrize(
    ("edge_m", "sleeve_m", "length_m"),
    [
        # The lug's edge is more than the sleeve's radius: 40 to the pin, 40 beyond.
        (0.040, 0.055, 0.080),
        # A sleeve of 90 mm takes more room than the edge: 45 to the pin, 40 beyond.
        (0.040, 0.090, 0.085),
    ],
)
def test_a_lug_on_an_end_plate_reaches_from_its_face_to_the_round_end(
    edge_m: float, sleeve_m: float, length_m: float
) -> None:
    rig = BOATYARD.rig
    arm = rig.arms[1]
    hinge = REPLACE(arm.hinge, lug_edge_m=edge_m, outer_end=REPLACE(arm.hinge.outer_end, outer_m=sleeve_m))
    job = REPLACE(BOATYARD, rig=REPLACE(rig, arms=(rig.arms[0], REPLACE(arm, hinge=hinge))))
    (lug,) = [piece for piece in pieces(job) if piece.part == "arm 2 lug"]
    assert lug.length_m == pytest.approx(length_m)


def test_pieces_are_of_the_section_and_steel_drawn() -> None:
    of = {piece.part: piece for piece in pieces(the_job())}
    rig = the_job().rig
    assert of["cross-member"].section == tube(120, 70, 6)
    assert of["jib mast"].section == tube(130, 110, 5)
    assert of["saddle bed"].section == tube(100, 60, 8)
    assert of["saddle strap leg, rear saddle"].section == FlatBar(width_m=0.08, depth_m=0.02)
    assert of["saddle side shim, front saddle"].section == FlatBar(width_m=0.14, depth_m=0.002)
    assert [of[f"{arm.name} tube"].section for arm in rig.arms] == [arm.section for arm in rig.arms]
    barrel, lug = of["arm 1 barrel"].section, of["arm 1 lug"].section
    assert (barrel.diameter_m, barrel.wall_m) == pytest.approx((0.052, (0.052 - 0.0264) / 2))
    assert (lug.width_m, lug.depth_m) == pytest.approx((0.082, 0.024))
    assert of["hook hoop"].section == SolidRound(diameter_m=0.018)
    assert of["arm 1 hinge pin"].section == SolidRound(diameter_m=0.026)
    assert of["arm 1 hinge pin"].steel == "S355"


@pytest.mark.parametrize(
    ("changes", "chamfered"),
    [
        ({}, True),
        ({"strap_make": FabricatedStrap(corner_weld=Weld(leg_m=0.006), corner_faces="outside")}, False),
        ({"strap_make": BentStrap(inside_radius_m=0.02)}, False),
        ({"strap_make": BentStrap(inside_radius_m=0.02), "foot_faces": "both"}, False),  # lapped: no weld inside
        ({"strap_make": BentStrap(inside_radius_m=0.02), "foot_faces": "both", "strap_foot": StrapOnTop()}, True),
    ],
)
def test_side_shims_are_chamfered_where_the_straps_are_welded_inside(
    changes: dict[str, object], chamfered: bool
) -> None:
    rig = the_job().rig
    job = REPLACE(the_job(), rig=REPLACE(rig, saddles=REPLACE(rig.saddles, **changes)))
    shims = [piece for piece in pieces(job) if piece.part.startswith("saddle side shim")]
    assert ["chamfer the inside edges clear of the welds" in shim.note for shim in shims] == [chamfered] * 2


def test_a_bent_strap_s_note_has_its_radius_in_the_units_of_the_shop() -> None:
    rig = the_job().rig
    bent = REPLACE(rig.saddles, strap_make=BentStrap(inside_radius_m=0.01905))
    listed = pieces(REPLACE(the_job(), rig=REPLACE(rig, saddles=bent)))
    straps = [one for one in listed if one.part in ("saddle strap, front", "saddle strap, rear")]
    words = "bent to a U, {} radius inside; length along the bends"
    assert [fill(strap.note, strap.numbers, "us") for strap in straps] == [words.format("3/4 in")] * 2
    assert [fill(strap.note, strap.numbers, "metric") for strap in straps] == [words.format("19.05 mm")] * 2


@pytest.mark.parametrize("lean", [LEAN, -LEAN])
def test_a_leaning_mast_is_cut_to_its_long_point_and_weighs_its_length_on_the_axis(lean: float) -> None:
    """The long point stands beyond the axis by half the depth, which lies fore and aft, times the lean's tangent."""
    mast, upright = (
        next(piece for piece in pieces(the_job(angle)) if piece.part == "jib mast") for angle in (lean, 0.0)
    )
    assert mast.length_m == pytest.approx(1.45 + 0.055 * math.tan(LEAN))
    assert mast.mass_each_kg == pytest.approx(upright.mass_each_kg)
    assert "mitred" in mast.note and upright.note == "its deeper side across the truck"


def test_bars_and_plates_weigh_their_volume() -> None:
    of = {piece.part: piece.mass_each_kg for piece in pieces(the_job())}
    assert of["saddle strap leg, rear saddle"] == pytest.approx(0.08 * 0.02 * 0.1775 * STEEL_KG_M3)
    assert of["boom pin"] == pytest.approx(math.pi / 4 * 0.019**2 * 0.184 * STEEL_KG_M3)
    assert of["arm 2 barrel"] == pytest.approx(math.pi / 4 * (0.047**2 - 0.0235**2) * 0.044 * STEEL_KG_M3)


def test_a_rig_without_bed_hoop_heel_pin_or_arms_lists_none() -> None:
    rig = the_job().rig
    rig = REPLACE(
        rig,
        saddles=REPLACE(rig.saddles, bed=None, strap_make=None, strap_foot=None, shims="none"),
        hook=REPLACE(rig.hook, end=ThroughPin(pin=rig.hook.version1.pin, edge_m=0.05), version1=None),
        sleeves=REPLACE(rig.sleeves, heel_hold=None),
        boom=REPLACE(rig.boom, stops=None),
        arms=(),
    )
    job = REPLACE(the_job(), rig=rig, poses=(REPLACE(the_job().poses[0], arms=()),))
    parts = [piece.part for piece in pieces(job)]
    assert parts == [
        *("sleeve", "cross-member", "jib mast", "saddle strap, front", "saddle strap, rear"),
        *("boom", "boom pin", "hook pin"),
    ]
    hook_pin = next(row for row in pin_list(rig) if row.name == "hook pin")
    assert hook_pin.length_m == pytest.approx(0.100 + 2 * 0.021)
    assert [weld.name for weld in weld_list(job)] == ["jib mast foot", "cross-member to sleeves", "saddle strap feet"]


def piece(section: object, length_m: float, steel: str = "unknown", count: int = 1, part: str = "part") -> Piece:
    return Piece(part=part, section=section, length_m=length_m, steel=steel, count=count)


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        (tube(100, 150, 6), tube(150, 100, 6), True),
        (tube(100, 150, 6), tube(100, 140, 6), False),
        (tube(100, 150, 6), tube(110, 150, 6), False),
        (tube(100, 150, 6), tube(100, 150, 5), False),
        (tube(100, 100, 6), tube(100.0048, 100, 6), True),
        (tube(100, 100, 6), tube(100.0052, 100, 6), False),
        (FlatBar(width_m=0.08, depth_m=0.02), FlatBar(width_m=0.02, depth_m=0.08), True),
        (FlatBar(width_m=0.08, depth_m=0.02), FlatBar(width_m=0.07, depth_m=0.02), False),
        (FlatBar(width_m=0.08, depth_m=0.02), FlatBar(width_m=0.08, depth_m=0.03), False),
        (SolidRound(diameter_m=0.02), SolidRound(diameter_m=0.021), False),
        (RoundTube(diameter_m=0.05, wall_m=0.005), RoundTube(diameter_m=0.05, wall_m=0.006), False),
        (RoundTube(diameter_m=0.05, wall_m=0.005), RoundTube(diameter_m=0.06, wall_m=0.005), False),
    ],
)
def test_sections_are_one_stock_whichever_side_stands_up_to_a_hundredth_of_a_millimetre(
    one: object, other: object, same: bool
) -> None:
    assert len(totals((piece(one, 1.0), piece(other, 2.0)))) == (1 if same else 2)


def test_totals_add_lengths_and_masses_of_one_section_and_steel() -> None:
    flat = FlatBar(width_m=0.05, depth_m=0.01)
    listed = (piece(flat, 0.5, count=3), piece(flat, 0.2), piece(flat, 1.0, steel="S355"))
    unknown, named = totals(listed)
    assert (unknown.count, unknown.length_m, unknown.mass_kg) == (
        4,
        pytest.approx(1.7),
        pytest.approx(1.7 * 0.05 * 0.01 * STEEL_KG_M3),
    )
    assert (named.count, named.length_m, named.steel) == (1, 1.0, "S355")


# ---------------------------------------------------------------- stock


def test_rusty_tube_counts_a_millimetre_thinner_and_other_rust_and_bends_not_at_all() -> None:
    """Its strength does, once; it weighs what its whole wall weighs."""
    assert usable_section(tube(100, 100, 6), "good") == tube(100, 100, 6)
    rusty = usable_section(tube(100, 100, 6), "rusty")
    assert design_wall_m(rusty, "unknown") == pytest.approx(0.005)
    assert design_wall_m(rusty, "S355") == pytest.approx(0.93 * 0.006 - 0.001)
    assert mass_per_length_kg_m(rusty) == mass_per_length_kg_m(tube(100, 100, 6))
    for lost_m, left_m in ((None, 0.005), (0.0004, 0.005), (0.002, 0.004)):
        entered = msgspec.structs.replace(tube(100, 100, 6), wall_lost_m=lost_m)
        assert design_wall_m(usable_section(entered, "rusty"), "unknown") == pytest.approx(left_m)
    assert usable_section(RoundTube(diameter_m=0.06, wall_m=0.004), "rusty").wall_lost_m == 0.001
    assert usable_section(tube(30, 30, 1), "rusty") is None
    assert usable_section(SolidRound(diameter_m=0.02), "rusty") is None
    assert usable_section(tube(100, 100, 6), "bent") is None
    assert usable_section(SolidRound(diameter_m=0.02), "bent") is None


def test_a_piece_is_cut_only_from_a_bar_that_has_lost_no_more_wall_than_was_counted_for_it() -> None:
    sound, rusted = tube(100, 100, 6), msgspec.structs.replace(tube(100, 100, 6), wall_lost_m=0.001)
    rack = (
        Stock(name="rusty", section=sound, length_m=2.0, condition="rusty"),
        Stock(name="good", section=sound, length_m=2.0),
    )
    cut = {"boom": (rusted, 1.8), "mast": (sound, 1.8)}
    listed = tuple(
        Piece(part=part, section=section, length_m=length, steel="unknown") for part, (section, length) in cut.items()
    )
    planned = {part: bar for bar in cutting_plan(REPLACE(the_job(), stock=rack), listed) for part, _, _ in bar.cuts}
    assert {part: bar.stock for part, bar in planned.items()} == {"boom": "rusty", "mast": "good"}
    good_alone = cutting_plan(REPLACE(the_job(), stock=rack[1:]), listed[:1])
    assert [bar.stock for bar in good_alone] == ["good"], "what counts as rusted may come from sound steel"


def stock(length_m: float, *zones: tuple[float, float], **changes: object) -> Stock:
    no_go = tuple(NoGo(from_m=start, to_m=end) for start, end in zones)
    return Stock(name=changes.pop("name", "bar"), section=FLAT, length_m=length_m, no_go=no_go, **changes)


FLAT = FlatBar(width_m=0.05, depth_m=0.01)


@pytest.mark.parametrize(
    ("zones", "left"),
    [
        ((), [(0.0, 3.0)]),
        (((0.0, 0.4),), [(0.4, 2.6)]),
        (((2.5, 3.0),), [(0.0, 2.5)]),
        (((1.0, 1.2), (1.2, 1.5)), [(0.0, 1.0), (1.5, 1.5)]),
        (((1.2, 1.5), (0.5, 2.0)), [(0.0, 0.5), (2.0, 1.0)]),
        (((0.0, 3.0),), []),
    ],
)
def test_stretches_between_no_go_zones(zones: tuple, left: list[tuple[float, float]]) -> None:
    stretches = usable_stretches(stock(3.0, *zones))
    assert [(s.from_m, s.length_m) for s in stretches] == [(start, pytest.approx(length)) for start, length in left]
    assert all(stretch == Stretch(0, *stretch[1:]) for stretch in stretches)
    assert all(stretch.bar == 4 for stretch in usable_stretches(stock(3.0, *zones), 4))


def plan(*cuts: Piece, rack: tuple[Stock, ...] = (), kerf_m: float = 0.003) -> list:
    return list(cutting_plan(REPLACE(BOATYARD, stock=rack, kerf_m=kerf_m), cuts))


def test_pieces_are_laid_from_the_datum_longest_first_with_a_kerf_after_each() -> None:
    (bar,) = plan(piece(FLAT, 0.9, part="short"), piece(FLAT, 1.0, part="long", count=2), rack=(stock(3.5),))
    starts = [("long", 0.0, 1.0), ("long", 1.003, 2.003), ("short", 2.006, 2.906)]
    assert [(part, start, end) for part, start, end in bar.cuts] == [
        (part, pytest.approx(start), pytest.approx(end)) for part, start, end in starts
    ]
    assert bar.left_m == pytest.approx(3.5 - 2.909)
    assert not bar.bought and bar.stock == "bar"


def test_a_bought_bar_is_6_m_long_and_a_longer_piece_is_bought_at_its_own_length() -> None:
    longest, bar = plan(piece(FLAT, 7.5), piece(FLAT, 2.0, count=2))
    assert (longest.length_m, longest.left_m, longest.bought) == (7.5, 0.0, True)
    assert (bar.length_m, bar.bought, bar.stock) == (6.0, True, "to buy")
    assert bar.left_m == pytest.approx(6.0 - 4.006)
    assert [cut[1] for cut in bar.cuts] == pytest.approx([0.0, 2.003])


def test_a_bar_bought_in_us_units_is_20_ft_long() -> None:
    """Two of 3.04 m and one kerf of 3 mm come out of 20 ft (6.096 m), not out of 6 m."""
    job = REPLACE(BOATYARD, stock=(), kerf_m=0.003, units="us")
    (bar,) = cutting_plan(job, (piece(FLAT, 3.04, count=2),))
    assert (bar.length_m, bar.bought) == (pytest.approx(6.096), True)


def test_pieces_fill_a_bar_to_its_end_with_kerfs_only_between_them() -> None:
    """3.003 m takes two of 1.5 m and one kerf; of a hair less, both are cut from a bought bar."""
    (full,) = plan(piece(FLAT, 1.5, count=2), rack=(stock(3.003),))
    assert full.left_m == 0.0
    assert [bar.bought for bar in plan(piece(FLAT, 1.5, count=2), rack=(stock(3.00299),))] == [True]


@pytest.mark.parametrize(
    ("zones", "start_m", "left_m"),
    [
        # Stretches of 1.5 and 1.4 m: the tighter one is cut, the other is left whole.
        (((1.5, 1.6),), 1.6, 1.5),
        # Stretches of 0.4, 2.0 and 0.4 m: 2.0 - 1.2 - 0.003 is left of the middle one.
        (((2.5, 2.6), (0.4, 0.5)), 0.5, 0.797),
        # Stretches of 1.25 and 0.4 m.
        (((1.25, 2.6),), 0.0, 0.4),
    ],
)
def test_what_is_left_of_a_rack_bar_is_its_longest_usable_piece(
    zones: tuple[tuple[float, float], ...], start_m: float, left_m: float
) -> None:
    (bar,) = plan(piece(FLAT, 1.2), rack=(stock(3.0, *zones),))
    assert bar.cuts == (("part", pytest.approx(start_m), pytest.approx(start_m + 1.2)),)
    assert bar.left_m == pytest.approx(left_m)
    assert bar.no_go == tuple((*zone, "old holes") for zone in sorted(zones))


def test_a_bought_bar_too_is_filled_to_its_end_with_kerfs_only_between() -> None:
    """Two of 2.9985 m and one kerf of 3 mm are 6 m."""
    (full,) = plan(piece(FLAT, 2.9985, count=2))
    assert full.left_m == 0.0
    assert len(plan(piece(FLAT, 2.9986, count=2))) == 2


def test_named_steel_is_cut_before_unknown_steel_and_bought_bars_come_last() -> None:
    """The one S355 bar goes to the part that asks for it, though the unknown part comes first in the list."""
    rack = (stock(3.0, name="named", steel="S355"),)
    bars = plan(piece(FLAT, 2.0, part="any"), piece(FLAT, 2.0, steel="S355", part="named part"), rack=rack)
    assert [(bar.stock, bar.cuts[0][0]) for bar in bars] == [("named", "named part"), ("to buy", "any")]
    (alone,) = plan(piece(FLAT, 2.0, part="any"), rack=rack)
    assert alone.stock == "named"


def test_each_bar_of_a_count_is_cut_once_and_bent_or_other_steel_not_at_all() -> None:
    """A bought bar of 6 m takes only two of 2.4 m."""
    two, bent = stock(2.5, count=2, name="pair"), stock(12.0, condition="bent", name="bent")
    bars = plan(piece(FLAT, 2.4, count=4), rack=(bent, two))
    assert [bar.stock for bar in bars] == ["pair", "pair", "to buy"]
    other = Stock(name="thicker", section=FlatBar(width_m=0.05, depth_m=0.012), length_m=3.0)
    assert [bar.stock for bar in plan(piece(FLAT, 2.0), rack=(other,))] == ["to buy"]


def test_of_two_bars_that_do_the_shorter_is_begun() -> None:
    rack = (stock(3.0, name="long"), stock(2.5, name="short"))
    assert [bar.stock for bar in plan(piece(FLAT, 2.0), rack=rack)] == ["short"]
    both = plan(piece(FLAT, 1.2, count=2), rack=rack)
    assert [bar.stock for bar in both] == ["short"]
    # One of 2.5 m rather than two of 1.6 m, however many pieces come from it.
    offcuts = stock(1.6, name="offcut", count=2)
    assert [bar.stock for bar in plan(piece(FLAT, 1.2, count=2), rack=(offcuts, rack[1]))] == ["short"]


# ---------------------------------------------------------------- holes


def without_arms() -> Rig:
    return REPLACE(the_job().rig, arms=())


def test_the_booms_holes_by_hand() -> None:
    """Three pin holes from 0.6 m every 0.25 m, then the hook pin 0.05 m from the end; 0.5 mm of marking each step."""
    boom = hole_schedules(without_arms())[0]
    at = (0.6, 0.85, 1.1, 2.35)
    assert [hole.name for hole in boom.holes] == ["hole 1", "hole 2", "hole 3", "hook pin"]
    assert [hole.from_datum_m for hole in boom.holes] == pytest.approx(at)
    assert [hole.step_m for hole in boom.holes] == pytest.approx((0.6, 0.25, 0.25, 1.25))
    assert [hole.from_edge_m for hole in boom.holes] == pytest.approx((0.06, 0.06, 0.06, 0.07))
    assert [hole.diameter_m for hole in boom.holes] == [0.0195, 0.0195, 0.0195, 0.0216]
    assert [hole.stack_m for hole in boom.holes] == pytest.approx((0.0005, 0.001, 0.0015, 0.002))
    assert (boom.part, boom.datum, boom.length_m, boom.end_m) == ("boom", "tail end", 2.4, pytest.approx(0.05))


def test_a_boom_that_carries_an_arm_is_drilled_as_long_as_it_is_cut_and_holds_no_hook() -> None:
    """Lugs on its faces reach 0.05 m past its end to the pin; an end plate of 25 mm stands a lug's 41 mm off it."""
    rig = the_job().rig
    lugs = FaceLugs(thickness_m=0.02, width_m=0.06, on_face_m=0.2, reach_m=0.05)
    plate = EndPlate(thickness_m=0.025, height_m=0.3, width_m=0.12)
    for end, short_m in ((lugs, 0.05), (plate, 0.025 + 0.041)):
        arm = REPLACE(rig.arms[0], hinge=REPLACE(rig.arms[0].hinge, inner_end=end))
        boom = hole_schedules(REPLACE(rig, arms=(arm, rig.arms[1])))[0]
        assert [hole.name for hole in boom.holes] == ["hole 1", "hole 2", "hole 3"]
        assert (boom.length_m, boom.end_m) == (pytest.approx(2.4 - short_m), pytest.approx(1.3 - short_m))


def test_holes_come_in_order_from_the_datum_however_near_an_edge_they_are() -> None:
    rig = without_arms()
    boom = hole_schedules(REPLACE(rig, boom=REPLACE(rig.boom, hole_edge_m=0.08)))[0]
    assert [hole.name for hole in boom.holes] == ["hole 1", "hole 2", "hole 3", "hook pin"]


def test_pin_holes_stand_in_the_middle_of_the_depth_where_no_edge_is_entered() -> None:
    rig = without_arms()
    middle = hole_schedules(REPLACE(rig, boom=REPLACE(rig.boom, hole_edge_m=None)))[0]
    assert {hole.from_edge_m for hole in middle.holes} == {0.07}


def test_only_the_outermost_arm_has_a_hole_for_the_hook() -> None:
    _, outer = hole_schedules(the_job().rig)
    assert (outer.part, outer.datum, outer.length_m) == ("arm 2", "outer end", pytest.approx(0.6 - 0.0235 + 0.05))
    (hole,) = outer.holes
    assert (hole.name, hole.from_datum_m, hole.diameter_m) == ("hook pin", 0.05, 0.0216)
    assert hole.from_edge_m == pytest.approx(0.04)


def test_a_link_that_carries_an_arm_has_its_hole_for_the_hook_behind_the_hinge() -> None:
    """Lugs reach 0.05 m past the boom's end to the pin: 0.3 m behind the pin is 0.25 m from the boom's own end.

    Arm 1 runs to the next hinge's axis, as what stands there is not entered.  The pin goes through the boom, 100 wide.
    """
    rig = the_job().rig
    lugs = FaceLugs(thickness_m=0.02, width_m=0.06, on_face_m=0.2, reach_m=0.05)
    arm = REPLACE(rig.arms[0], hinge=REPLACE(rig.arms[0].hinge, inner_end=lugs))
    rig = REPLACE(rig, arms=(arm, rig.arms[1]), hook=REPLACE(rig.hook, behind_hinge_m=0.3))
    boom, inner, outer = (
        next(hole for hole in schedule.holes if hole.name == "hook pin") for schedule in hole_schedules(rig)
    )
    assert (boom.from_datum_m, boom.from_edge_m) == (pytest.approx(2.4 - 0.3), 0.07)
    assert (inner.from_datum_m, inner.from_edge_m) == (pytest.approx(0.3), 0.0475)
    assert (outer.from_datum_m, outer.from_edge_m) == (0.05, 0.04)
    assert next(row for row in pin_list(rig) if row.name == "hook pin").length_m == pytest.approx(0.1 + 2 * 0.021)


# ---------------------------------------------------------------- welds

WELDS_BY_HAND = {
    "jib mast foot": (1, 2 * (0.13 + 0.11), 0.007),
    # Grooves filled where faces are flush: above and below at the sleeve, in front and behind at the mast.
    "cross-member to sleeves": (2, 2 * (0.12 + 0.07), 0.007),
    # Edges on the bed's flat, from 16 mm down; the corners on both faces.
    "saddle strap feet": (8, 0.03 - 0.016, 0.008),
    "saddle strap feet, below": (4, 0.08, 0.008),
    "saddle strap corners": (8, 0.08, 0.006),
    "saddle bed to jib mast": (1, 2 * (0.13 + 0.11), None),
    # Over the boom and at both sides.
    "boom stops": (2, 0.10 + 2 * 0.14, None),
    # Two lugs to each of two barrels, two lines each; the line's length is entered.
    "arm 1 lugs": (8, 0.09, 0.007),
    "arm 1 barrels": (4, 0.055, 0.007),
    # One lug to each barrel; the line is twice the edge distance.
    "arm 2 lugs": (4, 2 * 0.037, 0.006),
    "arm 2 barrels": (4, 0.044, 0.006),
    "hook hoop feet": (2, math.pi * 0.018, 0.007),
}
"""Lines, length of each and leg (m)."""


def test_every_weld_by_hand() -> None:
    listed = {weld.name: weld for weld in weld_list(the_job())}
    assert list(listed) == list(WELDS_BY_HAND)
    for name, (lines, length_m, leg_m) in WELDS_BY_HAND.items():
        weld = listed[name]
        assert (weld.lines, weld.length_each_m, weld.leg_m) == (lines, pytest.approx(length_m), leg_m), name
        assert weld.length_m == pytest.approx(lines * length_m)
    assert (listed["arm 1 lugs"].electrode, listed["arm 2 lugs"].electrode) == ("E80", "E70")


def test_filler_of_a_weld_is_half_as_much_again_as_its_triangles() -> None:
    lugs = next(weld for weld in weld_list(the_job()) if weld.name == "arm 1 lugs")
    assert lugs.filler_kg == pytest.approx(1.5 * 0.007**2 / 2 * 8 * 0.09 * STEEL_KG_M3)


@pytest.mark.parametrize(
    ("faces", "length_m", "note"),
    [
        ("all_round", 0.48, "all round"),
        ("front_and_back", 2 * 0.13, "front and back"),
        ("both_sides", 2 * (0.12 - 4 * 0.006), "left and right"),  # cut to the flat of the cross-member
    ],
)
def test_the_foot_weld_runs_where_its_outline_says(faces: str, length_m: float, note: str) -> None:
    rig = the_job().rig
    weld = REPLACE(rig.jib_mast.foot_weld, faces=faces)
    job = REPLACE(the_job(), rig=REPLACE(rig, jib_mast=REPLACE(rig.jib_mast, foot_weld=weld)))
    foot = weld_list(job)[0]
    assert (foot.length_m, foot.note.split(";")[0]) == (pytest.approx(length_m), note)
    assert ("GROOVE FILLED" in foot.note) == (faces != "both_sides")


def test_a_filled_groove_is_told_as_one_and_takes_its_own_filler() -> None:
    """Boatyard's bed on its cap: corner 2 x 10, so 400 (1 - pi/4) mm2 on 2 x 140 and 6 mm fillets on 2 x 140."""
    (bed,) = (weld for weld in weld_list(BOATYARD) if weld.name == "saddle bed on its cap")
    assert bed.note == "all round; GROOVE FILLED, left and right: gas metal arc (MIG), not a fillet"
    mm3 = 280.0 * 400.0 * (1.0 - math.pi / 4.0) + 280.0 * 18.0
    assert bed.filler_kg == pytest.approx(1.5 * mm3 * 1e-9 * STEEL_KG_M3)


def test_packed_lugs_have_two_welds_one_on_the_other() -> None:
    named = [weld for weld in weld_list(BOATYARD) if weld.name.startswith("arm 1 hinge, inner end")]
    assert [(weld.lines, weld.length_each_m) for weld in named] == [(4, 0.2), (4, 0.2)]
    assert [weld.name.rpartition(": ")[2] for weld in named] == ["lugs on their packing", "packing"]


def test_a_round_mast_on_a_base_plate_is_welded_all_round_whatever_the_faces_say() -> None:
    """In 32 straight pieces, a little short of the circle."""
    rig = the_job().rig
    mast = REPLACE(
        rig.jib_mast,
        section=RoundTube(diameter_m=0.114, wall_m=0.006),
        foot_weld=Weld(leg_m=0.007, faces="both_sides"),
        base=BasePlate(thickness_m=0.02, length_m=0.15, width_m=0.15),
    )
    foot = weld_list(REPLACE(the_job(), rig=REPLACE(rig, jib_mast=mast)))[0]
    assert (foot.length_m, foot.note) == (pytest.approx(math.pi * 0.114, rel=2e-3), "all round")


def test_gussets_are_cut_two_to_a_rectangle_and_welded_where_they_count() -> None:
    """On a cross-member 200 x 8 the mast of 110 has its side wall 96 off: 41 out; the third piece leaves half over."""
    rig = the_job().rig
    front = Gusset(face="front", out_m=0.041, up_m=0.1, thickness_m=0.01, count=2, steel="S235", weld=Weld(leg_m=0.005))
    behind = REPLACE(front, face="back", count=1, weld=None)
    base = BasePlate(thickness_m=0.02, length_m=0.2, width_m=0.2)
    mast = REPLACE(rig.jib_mast, base=base, gussets=(front, behind))
    sleeves = REPLACE(rig.sleeves, cross_section=tube(200, 80, 8))
    job = REPLACE(the_job(), rig=REPLACE(rig, jib_mast=mast, sleeves=sleeves))
    (cut,) = [piece for piece in pieces(job) if piece.part == "jib mast's gussets"]
    assert (cut.section, cut.length_m, cut.count) == (FlatBar(width_m=0.041, depth_m=0.01), 0.1, 2)
    welds = {
        weld.name: (weld.lines, weld.length_each_m, weld.leg_m) for weld in weld_list(job) if "gusset" in weld.name
    }
    assert welds == {
        "gussets, front: along the base": (4, 0.041, 0.005),
        "gussets, front: up the jib mast": (4, 0.1, 0.005),
    }
    assert weld_list(job)[0].length_m == pytest.approx(2 * (0.13 + 0.11))  # round the mast alone


# ---------------------------------------------------------------- pins, fits, heights


def test_every_pin_has_its_hole_play_and_steel() -> None:
    rows = {row.name: row for row in pin_list(the_job().rig)}
    assert list(rows) == ["boom pin", "hook pin", "arm 1 hinge pin", "arm 2 hinge pin", "heel pin"]
    pin = rows["arm 1 hinge pin"]
    assert (pin.diameter_m, pin.hole_m, pin.steel, pin.count) == (0.026, 0.0264, "S355", 1)
    assert pin.play_m == pytest.approx(0.0004)
    assert rows["heel pin"].count == 2


def test_forks_in_sleeves_and_pins_in_holes() -> None:
    """Sleeves of 160 x 80 x 8 mm are 144 x 64 inside; the forks are 122 x 40."""
    fits = {fit.name: fit for fit in fit_list(the_job())}
    assert fits["fork in sleeve, across"].play_m == pytest.approx(0.144 - 0.122)
    assert fits["fork in sleeve, upright"].play_m == pytest.approx(0.064 - 0.040)
    assert fits["hook pin in its hole"] == Fit(name="hook pin in its hole", inside_m=0.0216, outside_m=0.021)
    assert len(fits) == 2 + 5 + 2


def test_a_sleeve_has_its_play_between_the_lugs() -> None:
    """Lugs 25 thick, their middles 205 apart, leave 180 for a sleeve of 178."""
    rig = BOATYARD.rig
    arm = rig.arms[0]
    sleeve = REPLACE(arm.hinge.outer_end, length_m=0.178)
    lugs = REPLACE(arm.hinge.inner_end, thickness_m=0.025)
    hinge = REPLACE(arm.hinge, spacing_m=0.205, inner_end=lugs, outer_end=sleeve)
    job = REPLACE(BOATYARD, rig=REPLACE(rig, arms=(REPLACE(arm, hinge=hinge), rig.arms[1])))
    fit = next(fit for fit in fit_list(job) if fit.name == "arm 1 hinge sleeve, lug to lug")
    assert (fit.inside_m, fit.outside_m, fit.play_m) == pytest.approx((0.18, 0.178, 0.002))


def test_the_boom_s_play_in_its_saddles_is_what_is_free_beside_its_shims() -> None:
    """A boom of 100 x 140 with 1 mm free at each side and 1.5 mm over it; not known where nobody entered a gap."""
    rig = the_job().rig
    fits = {fit.name: fit for fit in fit_list(the_job())}
    across, up = fits["boom in saddles, across"], fits["boom in saddles, up"]
    assert (across.inside_m, across.outside_m, across.play_m) == pytest.approx((0.102, 0.1, 0.002))
    assert (up.inside_m, up.outside_m, up.play_m) == pytest.approx((0.1415, 0.14, 0.0015))
    saddles = REPLACE(rig.saddles, side_gap_m=None, top_gap_m=None)
    unknown = {fit.name: fit for fit in fit_list(REPLACE(the_job(), rig=REPLACE(rig, saddles=saddles)))}
    assert unknown["boom in saddles, across"].play_m is None and unknown["boom in saddles, up"].inside_m is None


def test_heights_add_up_from_the_fork_blades() -> None:
    """A sleeve's wall of 8 mm, a mast of 1.45 m, a bed of 60 mm; the seat of 80 mm has something else in it."""
    heights = dict(assembly_heights_m(the_job().rig))
    assert heights == pytest.approx(
        {
            "top of sleeves (jib mast foot)": 0.008,
            "top of jib mast": 1.458,
            "top of saddle bed": 1.518,
            "underside of boom": 1.538,
            "boom pin, through straps and shims": 1.598,
        }
    )


@pytest.mark.parametrize(
    ("seat_m", "shims", "underside_m"),
    [
        # A bed of 60 mm and 3 mm of shim, whether the seat was entered with the shim, without it, or in between.
        (0.063, "steel", 1.521),
        (0.060, "steel", 1.521),
        (0.062, "steel", 1.521),
        # Without shims the boom lies on the bed.
        (0.060, "none", 1.518),
        # 7 mm more than the pieces: something else is there.
        (0.070, "steel", 1.528),
    ],
)
def test_the_boom_lies_on_the_shim_under_it(seat_m: float, shims: str, underside_m: float) -> None:
    rig = the_job().rig
    saddles = REPLACE(rig.saddles, seat_m=seat_m, shims=shims)
    heights = dict(assembly_heights_m(REPLACE(rig, saddles=saddles)))
    assert heights["underside of boom"] == pytest.approx(underside_m)
    assert heights["boom pin, through straps and shims"] == pytest.approx(underside_m + 0.06)


def test_a_seat_without_bed_and_cap_is_as_entered() -> None:
    rig = the_job().rig
    heights = dict(assembly_heights_m(REPLACE(rig, saddles=REPLACE(rig.saddles, bed=None))))
    assert "top of saddle bed" not in heights
    assert heights["underside of boom"] == pytest.approx(1.538)
