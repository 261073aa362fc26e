"""Every part of plate as a drawing to cut by (DXF R2010), one file each, at full size in the design's unit.

Outlines are closed polylines with arcs by their bulge; holes that a pin bears on stand on a layer of their own, since a
flame may not cut them.  There is no kerf and no lead-in: the machine adds both.

The library takes a third of a second to load, so it is loaded when a drawing is written.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from engine.base.errors import EditError
from engine.base.formatting import M_PER_IN, System, exact_size
from engine.base.lazy import lazy
from engine.base.plain_text import file_word, one_line
from engine.exports.completeness_words import NOT_COMPLETE, is_not_complete
from engine.rig.fits import misfits
from engine.schema.model import Job
from engine.schema.nominals import design_unit, size_names
from engine.shop.design_digest import design_digest
from engine.shop.plate_parts import PlateHole, PlatePart, plate_parts

if TYPE_CHECKING:
    from ezdxf import filemanagement
    from ezdxf.document import Drawing
else:
    filemanagement = lazy("ezdxf.filemanagement")

LAYERS = {"CUT": 7, "HOLE": 1, "DRILL": 5, "MARK": 3, "NOTE": 8}
"""Layers and their colour numbers: outer contour; holes to cut; holes to drill; bend lines and the part's number, to
scribe; words for the reader, never cut."""

UNIT_M: dict[System, float] = {"metric": 0.001, "us": M_PER_IN}
INSUNITS: dict[System, int] = {"metric": 4, "us": 1}
"""``$INSUNITS`` of the DXF reference: 4 is millimetres, 1 is inches."""

SUFFIX = ".dxf"


def plate_drawings(job: Job) -> dict[str, bytes]:
    """A drawing of every part of plate, by its file's name; the same bytes every time.

    Raises
    ------
    EditError
        Where parts do not fit together, such as a hole too near an edge: nothing is to be cut by that.
    """
    wrong = misfits(job.rig)
    if wrong:
        first = wrong[0]
        raise EditError(
            first.where, "parts that fit together", "parts that do not", plain=first.words, numbers=first.numbers
        )
    unit, digest = design_unit(job), design_digest(job)
    return {file_name(job, part): _drawing(job, part, unit, digest) for part in plate_parts(job)}


def file_name(job: Job, part: PlatePart) -> str:
    """Name of a part's file: number, name, plate and its thickness, steel, how many."""
    thickness = file_word(_called(job, part.thickness_m)).removesuffix("-mm").removesuffix("-in")
    words = (part.number, file_word(part.name), f"PL{thickness}", file_word(part.steel).upper(), f"{part.count}off")
    return "_".join(words) + SUFFIX


def _called(job: Job, size_m: float) -> str:
    """What a size is called: as it was entered, else by its value."""
    return size_names(job).entered_as(size_m) or exact_size(size_m, design_unit(job))


def _drawing(job: Job, part: PlatePart, unit: System, digest: str) -> bytes:
    per_m = 1.0 / UNIT_M[unit]
    with _same_every_time():
        drawing = filemanagement.new("R2010", units=INSUNITS[unit])
        drawing.header["$MEASUREMENT"] = int(unit == "metric")
        for name, colour in LAYERS.items():
            drawing.layers.add(name, color=colour)
        _draw(drawing, job, part, per_m, digest)
        text = io.StringIO()
        drawing.write(text)
    return text.getvalue().encode(drawing.output_encoding)


@contextmanager
def _same_every_time() -> Iterator[None]:
    """No dates and no random identities in what is written."""
    options: Any = lazy("ezdxf").options
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _draw(drawing: Drawing, job: Job, part: PlatePart, per_m: float, digest: str) -> None:
    space = drawing.modelspace()
    corners = [(corner.x_m * per_m, corner.y_m * per_m, corner.bulge) for corner in part.outline]
    space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs={"layer": "CUT"})
    for hole in part.holes:
        centre, layer = (hole.x_m * per_m, hole.y_m * per_m), "DRILL" if hole.finish == "drill" else "HOLE"
        space.add_circle(centre, hole.diameter_m / 2.0 * per_m, dxfattribs={"layer": layer})
        if layer == "DRILL":
            space.add_point(centre, dxfattribs={"layer": layer})
    for bend in part.bends:
        start, end = (bend.x_m * per_m, 0.0), (bend.x_m * per_m, bend.width_m * per_m)
        space.add_line(start, end, dxfattribs={"layer": "MARK"})
    for start, end in number_strokes(part):
        ends = [(x_m * per_m, y_m * per_m) for x_m, y_m in (start, end)]
        space.add_line(*ends, dxfattribs={"layer": "MARK"})
    height, low = NOTE_M * per_m, -NOTE_M * per_m
    for line, words in enumerate(notes(job, part, digest)):
        text = space.add_text(words, height=height, dxfattribs={"layer": "NOTE"})
        text.set_placement((0.0, low - 1.6 * line * height - height))


NOTE_M = 0.004
"""Height of the words under a part."""


def notes(job: Job, part: PlatePart, digest: str) -> list[str]:
    """What stands beside a part, for the reader."""
    drill = [f"drill, do not cut: {_called(job, hole.diameter_m)}" for hole in part.holes if hole.finish == "drill"]
    lines = [
        f"{part.number} {part.name}",
        f"{_called(job, part.thickness_m)} {part.steel}, {part.count} off",
        *dict.fromkeys(drill),
        *(["bend lines: where each bend begins and ends"] if part.bends else []),
        *([NOT_COMPLETE] if is_not_complete(job) else []),
        f"design {digest}. Planning only, check before cutting. No kerf, no lead-in.",
    ]
    return [_escaped(line) for line in lines]


def _escaped(text: str) -> str:
    """Without the characters that DXF text obeys instead of showing."""
    return one_line(text).replace("%%", "% %").translate(_OBEYED)


_OBEYED = str.maketrans({"\\": "/", "^": "'", "{": "(", "}": ")"})

# ---------------------------------------------------------------- the number, to scribe

Stroke = tuple[tuple[float, float], tuple[float, float]]

_STROKES: dict[str, tuple[float, float, float, float]] = {
    "top": (0.0, 2.0, 1.0, 2.0),
    "middle": (0.0, 1.0, 1.0, 1.0),
    "bottom": (0.0, 0.0, 1.0, 0.0),
    "upper left": (0.0, 1.0, 0.0, 2.0),
    "upper right": (1.0, 1.0, 1.0, 2.0),
    "lower left": (0.0, 0.0, 0.0, 1.0),
    "lower right": (1.0, 0.0, 1.0, 1.0),
}

_SHAPES: dict[str, tuple[str, ...]] = {
    "0": ("top", "bottom", "upper left", "upper right", "lower left", "lower right"),
    "1": ("upper right", "lower right"),
    "2": ("top", "middle", "bottom", "upper right", "lower left"),
    "3": ("top", "middle", "bottom", "upper right", "lower right"),
    "4": ("middle", "upper left", "upper right", "lower right"),
    "5": ("top", "middle", "bottom", "upper left", "lower right"),
    "6": ("top", "middle", "bottom", "upper left", "lower left", "lower right"),
    "7": ("top", "upper right", "lower right"),
    "8": ("top", "middle", "bottom", "upper left", "upper right", "lower left", "lower right"),
    "9": ("top", "middle", "bottom", "upper left", "upper right", "lower right"),
    "P": ("top", "middle", "upper left", "upper right", "lower left"),
    "-": ("middle",),
}
"""Figures of seven strokes, each in a box one wide and two high."""

MOST_HIGH_M, CLEAR_M, PLACES = 0.010, 0.003, 24
"""Height of the number at most, its distance from edges and holes, and how many places along the part are tried."""


def number_strokes(part: PlatePart) -> list[Stroke]:
    """The part's number as strokes (m), clear of its holes and inside its outline; none where there is no room."""
    long_m, wide_m = part.size_m
    for high_m in (MOST_HIGH_M, 0.6 * MOST_HIGH_M):
        pitch_m = 0.8 * high_m
        word_m = pitch_m * len(part.number)
        room_x, room_y = long_m - word_m - 2.0 * CLEAR_M, wide_m - high_m - 2.0 * CLEAR_M
        if min(room_x, room_y) < 0.0:
            continue
        for step_y in range(PLACES):
            for step_x in range(PLACES):
                x_m, y_m = CLEAR_M + room_x * step_x / (PLACES - 1), CLEAR_M + room_y * step_y / (PLACES - 1)
                if _is_free(part, (x_m, y_m, x_m + word_m, y_m + high_m)):
                    return _written(part.number, x_m, y_m, high_m, pitch_m)
    return []


def _is_free(part: PlatePart, box: tuple[float, float, float, float]) -> bool:
    """Whether a box lies on steel, off every hole and bend: outlines are convex, so its corners tell."""
    left, low, right, high = box
    if any(left - CLEAR_M < bend.x_m < right + CLEAR_M for bend in part.bends):
        return False
    corners = ((left, low), (right, low), (right, high), (left, high))
    return not any(_reaches(hole, box) for hole in part.holes) and all(
        part.depth_within_m(*corner) >= CLEAR_M for corner in corners
    )


def _reaches(hole: PlateHole, box: tuple[float, float, float, float]) -> bool:
    left, low, right, high = box
    off_x = max(left - hole.x_m, 0.0, hole.x_m - right)
    off_y = max(low - hole.y_m, 0.0, hole.y_m - high)
    return off_x**2 + off_y**2 < (hole.diameter_m / 2.0 + CLEAR_M) ** 2


def _written(number: str, x_m: float, y_m: float, high_m: float, pitch_m: float) -> list[Stroke]:
    half_m = high_m / 2.0
    strokes: list[Stroke] = []
    for place, mark in enumerate(number):
        left_m = x_m + place * pitch_m
        for name in _SHAPES[mark]:
            x0, y0, x1, y1 = _STROKES[name]
            strokes.append(((left_m + x0 * half_m, y_m + y0 * half_m), (left_m + x1 * half_m, y_m + y1 * half_m)))
    return strokes
