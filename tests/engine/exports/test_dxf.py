"""Cutting drawings read back by a reader of group codes that knows nothing of the library that wrote them.

Group codes and entities as in the DXF reference for R2010 (read): 0 entity, 8 layer, 10/20 point, 40 radius, 42 bulge,
70 flags (1: closed), 90 number of vertices.
"""

from __future__ import annotations

import io
import math
from pathlib import Path
from typing import NamedTuple

import ezdxf
import msgspec
import pytest
from ezdxf import recover
from shapely.geometry import Point, Polygon

from engine.base.errors import EditError
from engine.exports.dxf import LAYERS, number_strokes, plate_drawings
from engine.schema.model import Job
from engine.schema.sections import FlatBar
from engine.shop import plate_parts as outlines
from engine.shop.cut_list import numbered_pieces
from engine.shop.plate_parts import plate_parts
from tests.samples import PLATED_PATHS, read_once

REPLACE = msgspec.structs.replace
JOBS = [read_once(path) for path in PLATED_PATHS]
every_rig = pytest.mark.parametrize("job", JOBS, ids=lambda job: job.name)


class Entity(NamedTuple):
    kind: str
    codes: tuple[tuple[int, str], ...]

    def all(self, code: int) -> list[float]:
        return [float(value) for found, value in self.codes if found == code]

    def one(self, code: int) -> str:
        return next(value for found, value in self.codes if found == code)


def pairs(data: bytes) -> list[tuple[int, str]]:
    lines = data.decode("utf-8").split("\n")
    return [(int(code), value) for code, value in zip(lines[0::2], lines[1::2], strict=False)]


def header(data: bytes) -> dict[str, str]:
    found, name = {}, ""
    for code, value in pairs(data):
        if code == 9:
            name = value
        elif name and name not in found:
            found[name] = value
        if (code, value) == (0, "ENDSEC"):
            break
    return found


def entities(data: bytes) -> list[Entity]:
    """What stands in the section ENTITIES."""
    every, read = pairs(data), []
    start = next(place for place, pair in enumerate(every) if pair == (2, "ENTITIES")) + 1
    for code, value in every[start:]:
        if (code, value) == (0, "ENDSEC"):
            break
        if code == 0:
            read.append((value, []))
        else:
            read[-1][1].append((code, value))
    return [Entity(kind, tuple(codes)) for kind, codes in read]


def loop_of(entity: Entity, unit_m: float) -> list[tuple[float, float, float]]:
    """Vertices of a polyline with their bulges, in metres: a bulge follows the vertex that it belongs to."""
    vertices: list[list[float]] = []
    for code, value in entity.codes:
        if code == 10:
            vertices.append([float(value) * unit_m, 0.0, 0.0])
        elif code == 20:
            vertices[-1][1] = float(value) * unit_m
        elif code == 42:
            vertices[-1][2] = float(value)
    return [(x, y, bulge) for x, y, bulge in vertices]


def polygon_of(loop: list[tuple[float, float, float]], steps: int = 720) -> Polygon:
    points: list[tuple[float, float]] = []
    for (x0, y0, bulge), (x1, y1, _) in zip(loop, (*loop[1:], loop[0]), strict=True):
        points.append((x0, y0))
        if bulge:
            turn = 4.0 * math.atan(bulge)
            start, end = complex(x0, y0), complex(x1, y1)
            centre = (start + end) / 2.0 + 1j * (end - start) / 2.0 / math.tan(turn / 2.0)
            for step in range(1, steps):
                angle = turn * step / steps
                point = centre + (start - centre) * complex(math.cos(angle), math.sin(angle))
                points.append((point.real, point.imag))
    return Polygon(points)


UNIT_M = {"4": 0.001, "1": 0.0254}


@every_rig
def test_every_plate_part_has_a_drawing_whose_sizes_are_the_cut_list_s(job: Job) -> None:
    """Closed loops alone, at z 0, lower left at the origin, the longest side along x, the size of the piece."""
    drawings = plate_drawings(job)
    flats = [(number, piece) for number, piece in numbered_pieces(job) if isinstance(piece.section, FlatBar)]
    assert [name.split("_")[0] for name in drawings] == [number for number, _ in flats]
    for (_, piece), data in zip(flats, drawings.values(), strict=True):
        unit_m = UNIT_M[header(data)["$INSUNITS"]]
        assert header(data)["$MEASUREMENT"].strip() == {0.001: "1", 0.0254: "0"}[unit_m]
        read = entities(data)
        assert {entity.one(8) for entity in read} <= set(LAYERS)
        assert {entity.kind for entity in read} <= {"LWPOLYLINE", "CIRCLE", "POINT", "LINE", "TEXT"}
        assert not any(value for entity in read for code in (30, 31, 38) for value in entity.all(code))
        (cut,) = [entity for entity in read if entity.one(8) == "CUT"]
        assert int(cut.one(70)) & 1
        shape = polygon_of(loop_of(cut, unit_m))
        left, low, right, high = shape.bounds
        assert ((left, low) == pytest.approx((0.0, 0.0), abs=1e-9) and right >= high - 1e-9) or piece.note.startswith(
            "bent"
        )
        sizes = sorted((piece.length_m, piece.section.width_m))
        assert sorted((right, high)) == pytest.approx(sizes, abs=1e-6)
        assert shape.is_valid and len(read) == len(set(read))


@every_rig
def test_holes_stand_where_the_model_has_them_within_a_hundredth_of_a_millimetre(job: Job) -> None:
    for part, data in zip(plate_parts(job), plate_drawings(job).values(), strict=True):
        unit_m = UNIT_M[header(data)["$INSUNITS"]]
        read = entities(data)
        shape = polygon_of(loop_of(next(entity for entity in read if entity.one(8) == "CUT"), unit_m))
        circles = [entity for entity in read if entity.kind == "CIRCLE"]
        found = [(*entity.all(10), *entity.all(20), *entity.all(40)) for entity in circles]
        wanted = [(hole.x_m, hole.y_m, hole.diameter_m / 2.0) for hole in part.holes]
        assert sorted(tuple(size * unit_m for size in circle) for circle in found) == [
            pytest.approx(hole, abs=1e-5) for hole in sorted(wanted)
        ]
        assert {entity.one(8) for entity in circles} <= {"DRILL"}
        points = [entity for entity in read if entity.kind == "POINT"]
        assert len(points) == len(circles)
        for x, y, radius in found:
            assert shape.contains(Point(x * unit_m, y * unit_m).buffer(radius * unit_m))


def test_a_us_rig_is_drawn_in_inches() -> None:
    jobs = [job for job in JOBS if job.units == "us"]
    assert jobs
    drawings = plate_drawings(jobs[0])
    assert {header(data)["$INSUNITS"] for data in drawings.values()} == {"1"}


@every_rig
def test_the_library_s_own_audit_finds_nothing_and_two_writings_are_the_same(job: Job) -> None:
    first = plate_drawings(job)
    assert first == plate_drawings(job)
    for data in first.values():
        drawing, audit = recover.read(io.BytesIO(data))
        assert not audit.has_errors and not audit.has_fixes
        assert drawing.dxfversion == "AC1024"  # R2010
    assert not ezdxf.options.write_fixed_meta_data_for_testing


@every_rig
def test_the_number_is_scribed_on_steel_clear_of_holes(job: Job) -> None:
    for part in plate_parts(job):
        strokes = number_strokes(part)
        shape = polygon_of([(corner.x_m, corner.y_m, corner.bulge) for corner in part.outline])
        for hole in part.holes:
            shape = shape.difference(Point(hole.x_m, hole.y_m).buffer(hole.diameter_m / 2.0))
        assert strokes or min(part.size_m) < 0.015 or part.size_m[0] < 0.04
        assert all(shape.contains(Point(*end)) for stroke in strokes for end in stroke)


def test_how_deep_a_point_is_within_an_outline() -> None:
    """A lug 100 wide, straight for 60, R50: its hole is 50 deep, a point 10 from the round end 10, outside below 0."""
    outline = outlines._lug(0.110, 0.100, 0.050)
    lug = outlines.PlatePart(number="P-01", name="lug", count=1, thickness_m=0.02, steel="", outline=outline)
    assert lug.depth_within_m(0.060, 0.050) == pytest.approx(0.050)
    assert lug.depth_within_m(0.100, 0.050) == pytest.approx(0.010)
    assert lug.depth_within_m(0.108, 0.002) < 0.0 < lug.depth_within_m(0.010, 0.002)


def test_names_of_files_and_words_are_plain_whatever_the_rig_s_parts_are_called() -> None:
    job = next(job for job in JOBS if job.rig.arms)
    arms = (REPLACE(job.rig.arms[0], name="Arm %%c \\P{x}^J \u202eé"), *job.rig.arms[1:])
    drawings = plate_drawings(REPLACE(job, rig=REPLACE(job.rig, arms=arms)))
    names = [name for name in drawings if "arm-c-p-x-j-e" in name]
    assert names and all(name.isascii() and "/" not in name and " " not in name for name in drawings)
    words = [entity.one(1) for entity in entities(drawings[names[0]]) if entity.kind == "TEXT"]
    assert words and not any(mark in "".join(words) for mark in ("%%", "\\", "^", "{", "}", "\u202e"))
    assert "Arm % %c" in words[0] and "é" in words[0]


def test_a_hole_too_near_an_edge_is_not_drawn_but_refused() -> None:
    job = next(job for job in JOBS if job.rig.arms and job.rig.saddles.pin_at)
    pin = REPLACE(job.rig.boom.pin, diameter_m=0.019, hole_m=0.0195)
    boom = REPLACE(job.rig.boom, pin=pin, hole_edge_m=0.012)
    with pytest.raises(EditError) as refused:
        plate_drawings(REPLACE(job, rig=REPLACE(job.rig, boom=boom)))
    assert "edge" in refused.value.plain


def test_the_library_is_not_loaded_before_a_drawing_is_written() -> None:
    source = Path(__file__).resolve().parents[3] / "engine" / "exports" / "dxf.py"
    assert "\nimport ezdxf" not in source.read_text(encoding="utf-8").split("if TYPE_CHECKING:")[0]
