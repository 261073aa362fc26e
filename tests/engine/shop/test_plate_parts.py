"""Outlines of plate parts against hand sums and shapely's own geometry."""

from __future__ import annotations

import math

import msgspec
import pytest
from shapely.geometry import Point, Polygon

from engine.rig import strap_pieces
from engine.schema.connections import BentStrap, FabricatedStrap, Gusset
from engine.schema.model import Job
from engine.schema.sections import FlatBar
from engine.shop.cut_list import numbered_pieces, pieces
from engine.shop.plate_parts import Corner, PlateHole, PlatePart, plate_parts, sides
from engine.shop.plate_parts import _lug as lug_outline
from tests.samples import PLATED_PATHS, read_once

REPLACE = msgspec.structs.replace
JOBS = [read_once(path) for path in PLATED_PATHS]
every_rig = pytest.mark.parametrize("job", JOBS, ids=lambda job: job.name)


def as_polygon(outline: tuple[Corner, ...], steps: int = 2000) -> Polygon:
    """The outline with its arcs as many short chords, worked out from the bulge as DXF defines it: tan(angle / 4)."""
    points: list[tuple[float, float]] = []
    for start, end in zip(outline, (*outline[1:], outline[0]), strict=True):
        points.append((start.x_m, start.y_m))
        if start.bulge:
            chord = complex(end.x_m - start.x_m, end.y_m - start.y_m)
            half = 2.0 * math.atan(start.bulge)
            centre = complex(start.x_m, start.y_m) + chord / 2.0 + 1j * chord / (2.0 * math.tan(half))
            first = complex(start.x_m, start.y_m) - centre
            for step in range(1, steps):
                point = centre + first * complex(math.cos(2 * half * step / steps), math.sin(2 * half * step / steps))
                points.append((point.real, point.imag))
    return Polygon(points)


def parts_by_name(job: Job) -> dict[str, PlatePart]:
    return {part.name: part for part in plate_parts(job)}


def test_a_lug_round_about_its_hole_by_hand() -> None:
    """100 wide, 60 straight, R50, a hole of 30.5, 22 thick: perimeter 60 + 60 + 100 + 50 pi, and so on (hand sums)."""
    outline = lug_outline(0.110, 0.100, 0.050)
    part = PlatePart(
        number="P-01", name="lug", count=1, thickness_m=0.022, steel="S355", outline=outline,
        holes=(PlateHole(0.060, 0.050, 0.0305),),
    )  # fmt: skip
    assert part.perimeter_m == pytest.approx(0.3770796, abs=1e-7)
    assert part.area_m2 == pytest.approx(9_196.374e-6, abs=1e-9)
    assert part.mass_kg == pytest.approx(1.588, abs=5e-4)
    assert part.size_m == pytest.approx((0.110, 0.100))
    shape = as_polygon(outline)
    assert shape.length == pytest.approx(part.perimeter_m, rel=1e-6)
    assert shape.area == pytest.approx(9_926.991e-6, rel=1e-5)


def test_a_lug_wider_than_twice_its_edge_is_round_at_its_corners() -> None:
    """120 wide, 40 from the hole to the end: flat for 40 between quarter circles; two squares lose 1 - pi/4."""
    outline = lug_outline(0.100, 0.120, 0.040)
    part = PlatePart(number="P-01", name="lug", count=1, thickness_m=0.02, steel="S355", outline=outline)
    assert part.area_m2 == pytest.approx(0.100 * 0.120 - 2 * 0.040**2 * (1 - math.pi / 4))
    assert part.perimeter_m == pytest.approx(0.120 + 2 * 0.060 + 0.040 + math.pi * 0.040)
    centres = [side.centre_m for side in sides(outline) if side.turn_rad]
    assert centres == [pytest.approx((0.060, 0.040)), pytest.approx((0.060, 0.080))]


@every_rig
def test_every_flat_piece_is_a_part_with_its_number(job: Job) -> None:
    flats = {number: piece for number, piece in numbered_pieces(job) if isinstance(piece.section, FlatBar)}
    parts = plate_parts(job)
    assert [part.number for part in parts] == list(flats)
    for part in parts:
        piece = flats[part.number]
        assert (part.name, part.steel) == (piece.part, piece.steel)
        assert part.thickness_m == piece.section.depth_m
        assert sorted(part.size_m) == pytest.approx(sorted((piece.length_m, piece.section.width_m)))
        assert part.size_m[0] >= part.size_m[1] or part.bends
    assert len({number for number, _ in numbered_pieces(job)}) == len(pieces(job))


@every_rig
def test_outlines_are_sound_and_their_holes_lie_within_them(job: Job) -> None:
    """By shapely: closed, no side over another, area and perimeter as worked out, every hole wholly in the plate."""
    for part in plate_parts(job):
        shape = as_polygon(part.outline)
        assert shape.is_valid and shape.exterior.is_ccw
        assert shape.bounds[:2] == pytest.approx((0.0, 0.0), abs=1e-12)
        assert shape.length == pytest.approx(part.perimeter_m, rel=1e-5)
        holes_m2 = sum(math.pi / 4 * hole.diameter_m**2 for hole in part.holes)
        assert shape.area - holes_m2 == pytest.approx(part.area_m2, rel=1e-5)
        for hole in part.holes:
            assert shape.contains(Point(hole.x_m, hole.y_m).buffer(hole.diameter_m / 2.0)), part.name


def test_every_pin_through_plate_has_its_hole_in_every_part() -> None:
    """The boatyard, from its file: the boom pin through two legs at the front, the hinge pin through its lugs."""
    job = next(job for job in JOBS if job.name.startswith("Skerry Point"))
    rig, parts = job.rig, parts_by_name(job)
    boom_hole_m = rig.boom.pin.hole_m if rig.saddles.pin_hole_m is None else rig.saddles.pin_hole_m
    leg, other = parts["saddle strap leg, front saddle"], parts["saddle strap leg, rear saddle"]
    assert (leg.count, len(leg.holes), leg.holes[0].diameter_m) == (2, 1, boom_hole_m)
    assert (other.count, other.holes) == (2, ())
    # Up the leg: what stands below the boom's underside, then half the boom's depth.
    up_m = strap_pieces.below_m(rig.saddles) + rig.boom.section.depth_m / 2.0
    assert leg.holes[0].x_m == pytest.approx(up_m) and leg.holes[0].y_m == pytest.approx(rig.saddles.strap_length_m / 2)
    lug = parts["arm 1 hinge, inner end: lug"]
    assert [hole.diameter_m for hole in lug.holes] == [rig.arms[0].hinge.pin.hole_m]
    assert lug.size_m[0] - lug.holes[0].x_m == pytest.approx(0.037)  # half of 74 wide, under the 40 entered
    assert all(hole.finish == "drill" for part in parts.values() for hole in part.holes)


def test_a_bent_strap_is_flat_with_four_bend_lines_and_a_hole_near_each_end() -> None:
    """Inside 150 x 160, 10 thick, R 20: legs straight for 140, bends of 38.33, 110 between: 466.65 (by hand)."""
    job = next(job for job in JOBS if isinstance(job.rig.saddles.strap_make, FabricatedStrap))
    boom = REPLACE(job.rig.boom, section=REPLACE(job.rig.boom.section, width_m=0.146, depth_m=0.158))
    saddles = REPLACE(
        job.rig.saddles, strap_make=BentStrap(inside_radius_m=0.020), strap_thickness_m=0.010, shims="none",
        side_gap_m=0.002, top_gap_m=0.002, strap_foot=None,
    )  # fmt: skip
    parts = parts_by_name(REPLACE(job, rig=REPLACE(job.rig, boom=boom, saddles=saddles)))
    front, rear = parts["saddle strap, front"], parts["saddle strap, rear"]
    assert front.size_m[0] == pytest.approx(0.46665, abs=1e-5) and front.count == rear.count == 1
    assert [bend.x_m for bend in front.bends] == pytest.approx([0.140, 0.17833, 0.28833, 0.32665], abs=1e-5)
    assert len(front.holes) == 2 and not rear.holes
    assert front.holes[0].x_m + front.holes[1].x_m == pytest.approx(front.size_m[0])


def test_gussets_are_triangles_and_as_many_as_there_are() -> None:
    job = JOBS[0]
    entered = (
        Gusset(face="front", out_m=0.1, up_m=0.15, thickness_m=0.01, count=3),
        Gusset(face="back", out_m=0.1, up_m=0.15, thickness_m=0.01, count=2),
        Gusset(face="left", out_m=0.08, up_m=0.08, thickness_m=0.008),
    )
    job = REPLACE(job, rig=REPLACE(job.rig, jib_mast=REPLACE(job.rig.jib_mast, gussets=entered)))
    gussets = [part for part in plate_parts(job) if part.name == "jib mast's gussets"]
    assert [part.count for part in gussets] == [5, 1]
    assert math.fsum(part.count * part.area_m2 for part in gussets) == pytest.approx(
        math.fsum(gusset.count * gusset.out_m * gusset.up_m / 2.0 for gusset in entered)
    )
