"""Lists of a rig as comma-separated text (RFC 4180): parts, saw cuts, bars, holes, welds, and the load chart.

First the exact numbers in SI, each column named with its unit; then what the sizes are called, as on the papers.  Loads
are rounded down; a load is empty where none may be allowed.  A cell that a spreadsheet would take for a formula gets an
apostrophe before it.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence

from engine.base.caution import CAUTION, NOT_APPROVED, SIGNAL_WORD
from engine.base.formatting import exact_size, fill
from engine.base.plain_text import one_line
from engine.exports.completeness_words import NOT_COMPLETE, is_not_complete
from engine.planning.load_chart import Chart, load_chart
from engine.planning.sweep import Stop, never
from engine.schema.model import Job, Pose
from engine.schema.nominals import design_unit, size_names
from engine.schema.sections import FlatBar, RectTube, RoundTube, Section, SolidRound
from engine.shop.cut_list import numbered_pieces
from engine.shop.cutting_plan import cutting_plan
from engine.shop.design_digest import design_digest
from engine.shop.piece_holes import piece_holes
from engine.shop.setting_out import hole_schedules
from engine.shop.weld_list import weld_list

Row = Sequence[object]


def shop_lists(job: Job) -> dict[str, bytes]:
    """Every list but the load chart, by its file's name; the same bytes every time."""
    return {
        "parts.csv": _table(job, _PARTS, _parts(job)),
        "cuts.csv": _table(job, _CUTS, _cuts(job)),
        "bars.csv": _table(job, _BARS, _bars(job)),
        "holes.csv": _table(job, _HOLES, _holes(job)),
        "welds.csv": _table(job, _WELDS, _welds(job)),
    }


def chart_list(job: Job, pose: Pose, stop: Stop = never) -> bytes:
    """The load chart as `chart.csv`, a line for each arm pose, hole and hook height.

    Raises
    ------
    Stopped
        When ``stop`` answers true.
    """
    return _table(job, _CHART, _chart(job, load_chart(job, pose, stop=stop)))


# ---------------------------------------------------------------- writing


def _table(job: Job, columns: Sequence[str], rows: Iterable[Row]) -> bytes:
    """Header, rows, and on every line what they are of, so that a line by itself still says it."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow([*columns, "design", "status"])
    approval = job.approval
    status = NOT_APPROVED if approval is None else f"approval entered: {approval.reference}, {approval.date}"
    built = f"{NOT_COMPLETE} " if is_not_complete(job) else ""
    of = (design_digest(job), f"{built}{SIGNAL_WORD}: {CAUTION} {status}")
    writer.writerows([_cell(value) for value in (*row, *of)] for row in rows)
    return text.getvalue().encode("utf-8")


FORMULA = ("=", "+", "-", "@")


def _cell(value: object) -> str:
    """An exact number, or text on one line that no spreadsheet works out."""
    if isinstance(value, float):
        return "" if math.isnan(value) else repr(value)
    if value is None:
        return ""
    text = one_line(str(value))
    return f"'{text}" if text.startswith(FORMULA) and not isinstance(value, int) else text


# ---------------------------------------------------------------- rows

_SECTION = ("section", "width_m", "depth_m", "wall_m")
_PARTS = (
    *("part_no", "part", "count", *_SECTION, "length_m", "mitre_rad", "mass_each_kg", "steel"),
    *("section_as_called", "length_as_called", "note"),
)
_CUTS = ("stock", "bought", "part", "from_m", "to_m")
_BARS = ("stock", "bought", *_SECTION, "steel", "length_m", "pieces", "left_m", "section_as_called")
_HOLES = (
    *("part", "hole", "count", "from_datum_m", "datum", "from_edge_m", "edge", "diameter_m"),
    *("diameter_as_called", "note"),
)
_WELDS = ("weld", "lines", "length_each_m", "leg_m", "leg_as_called", "electrode", "filler_kg", "note")
_CHART = ("arms", "hole", "boom_out_m", "hook_height_m", "reach_m", "load_kg", "hook_load_kg", "gives_first", "state")


def _called(job: Job, *sizes_m: float) -> str:
    names, design = size_names(job), design_unit(job)
    return " x ".join(names.entered_as(size_m) or exact_size(size_m, design) for size_m in sizes_m)


def _section(section: Section) -> tuple[str, float | None, float | None, float | None]:
    """Kind, width, depth and wall; a round one has its diameter for its width."""
    match section:
        case RectTube():
            return "tube", section.width_m, section.depth_m, section.wall_m
        case RoundTube():
            return "round tube", section.diameter_m, None, section.wall_m
        case SolidRound():
            return "round bar", section.diameter_m, None, None
        case FlatBar():
            return "flat", section.width_m, section.depth_m, None


def _section_called(job: Job, section: Section) -> str:
    kind, *sizes_m = _section(section)
    return f"{kind} {_called(job, *(size_m for size_m in sizes_m if size_m is not None))}"


def _parts(job: Job) -> Iterable[Row]:
    for number, piece in numbered_pieces(job):
        yield (
            *(number, piece.part, piece.count, *_section(piece.section), piece.length_m, piece.mitre_rad),
            *(piece.mass_each_kg, piece.steel, _section_called(job, piece.section), _called(job, piece.length_m)),
            fill(piece.note, piece.numbers, job.units) if piece.numbers else piece.note,
        )


def _cuts(job: Job) -> Iterable[Row]:
    for number, bar in enumerate(cutting_plan(job), start=1):
        stock = f"bar {number}: {bar.stock}"
        for part, start_m, end_m in bar.cuts:
            yield stock, "yes" if bar.bought else "no", part, start_m, end_m


def _bars(job: Job) -> Iterable[Row]:
    for number, bar in enumerate(cutting_plan(job), start=1):
        stock = f"bar {number}: {bar.stock}"
        bought = "yes" if bar.bought else "no"
        called = _section_called(job, bar.section)
        yield (stock, bought, *_section(bar.section), bar.steel, bar.length_m, len(bar.cuts), bar.left_m, called)


def _holes(job: Job) -> Iterable[Row]:
    for schedule in hole_schedules(job.rig):
        for hole in schedule.holes:
            yield (
                *(schedule.part, hole.name, 1, hole.from_datum_m, schedule.datum, hole.from_edge_m),
                *("underside or side", hole.diameter_m, _called(job, hole.diameter_m), ""),
            )
    for hole in piece_holes(job):
        yield (
            *(hole.piece, hole.through, hole.count, hole.from_datum_m, hole.datum, hole.from_edge_m, hole.edge),
            *(hole.diameter_m, _called(job, hole.diameter_m), hole.note),
        )


def _welds(job: Job) -> Iterable[Row]:
    for weld in weld_list(job):
        leg = "NOT ENTERED" if weld.leg_m is None else _called(job, weld.leg_m)
        yield (weld.name, weld.lines, weld.length_each_m, weld.leg_m, leg, weld.electrode, weld.filler_kg, weld.note)


def _chart(job: Job, chart: Chart) -> Iterable[Row]:
    if chart.problems:
        return
    rigging_kg, state = job.load.rigging_kg.best, "PLANNED LIMIT" if job.approval is None else "ALLOWED"
    for table, arm_set in enumerate(chart.arm_sets):
        for column, hole in enumerate(chart.holes):
            for row, height_m in enumerate(chart.hook_heights_m):
                cell = (table, column, row)
                where = (arm_set.name, hole, float(chart.out_m[column]), float(height_m))
                allowed_kg = float(chart.allowed_kg[cell])
                if math.isnan(allowed_kg):
                    yield (*where, None, None, None, "", "CANNOT BE")
                    continue
                reach_m = float(chart.reach_m[cell])
                first = chart.names[int(chart.governing[cell])]
                if chart.in_the_way[cell]:
                    yield (*where, reach_m, None, None, first, "IN THE WAY")
                elif not chart.proven[table]:
                    yield (*where, reach_m, None, None, first, "NOT PROVEN")
                else:
                    load_kg = float(math.floor(max(allowed_kg, 0.0)))
                    yield (*where, reach_m, load_kg, load_kg + rigging_kg, first, state)
