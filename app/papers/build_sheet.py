"""Build sheet: the dimensioned drawing of the rig alone; cuts, holes, welds, pins and fits; the order of assembly."""

from __future__ import annotations

import msgspec

from app.papers import rounding
from app.papers.build_drawing import build_pictures, build_pose
from app.papers.layout import Column, Sheet
from app.papers.page_marks import MM, SMALL
from app.papers.shared_parts import add_picture, add_unknowns, sheet_for
from app.papers.subject import Subject
from app.papers.titles import TITLES
from engine.rig.pin_places import RETENTION_WORDS
from engine.schema.sections import FlatBar, RectTube, RoundTube, Section, SolidRound
from engine.shop.assembly_order import assembly_steps
from engine.shop.cut_list import numbered_pieces, pieces
from engine.shop.cut_pieces import totals
from engine.shop.cutting_plan import Bar, cutting_plan
from engine.shop.gear_list import rig_gear
from engine.shop.piece_holes import piece_holes
from engine.shop.pin_list import fit_list, pin_list
from engine.shop.setting_out import MARKING_M, assembly_heights_m, hole_schedules
from engine.shop.weld_list import weld_list
from engine.worst_case.verdict import evaluate

TITLE = TITLES["build"]
LIST = 12
"""Type size of the lists."""

DIMENSIONS_GOVERN = "Dimensions govern; do not scale a copy. Gussets drawn dashed count nothing."


def build(subject: Subject, page: str) -> Sheet:
    """Drawing and lists of one rig."""
    sheet = sheet_for(TITLE, subject, page, sizes=True)
    job, pose = build_pose(subject.job)
    # Nothing gives first on a drawing to build from: no part is hatched.
    verdict = msgspec.structs.replace(evaluate(job, pose), governing=None)
    elevation, from_above = build_pictures(subject, job, pose, verdict, sheet.column, 104.0 * MM)
    add_picture(sheet, elevation, f"Side view, arms straight, boom in hole {pose.hole}")
    add_picture(sheet, from_above, "Plan")
    heights = [f"{name} {subject.cut_length(height_m)}" for name, height_m in assembly_heights_m(job.rig)]
    lean = ", along the leaning jib mast" if job.rig.jib_mast.lean_rad else ""
    sheet.text(f"{DIMENSIONS_GOVERN} From the top of the fork blades{lean}: {'; '.join(heights)}.", SMALL)
    _add_cut_list(sheet, subject)
    _add_bought(sheet, subject)
    _add_cutting_plan(sheet, subject)
    _add_hole_schedule(sheet, subject)
    _add_piece_holes(sheet, subject)
    _add_weld_list(sheet, subject)
    sheet.panes(
        (1.1, 1.0),
        (lambda: _add_pin_list(sheet, subject), lambda: _add_fit_list(sheet, subject)),
        (len(subject.job.rig.arms) + 8) * LIST * 1.5,
    )
    _add_assembly_order(sheet, subject)
    add_unknowns(sheet, subject, size=SMALL - 2)
    return sheet


def _add_cut_list(sheet: Sheet, subject: Subject) -> None:
    sheet.heading("Cut list", 50.0)
    rows, total_kg = [], 0.0
    for number, piece in numbered_pieces(subject.job):
        mass_kg = piece.count * piece.mass_each_kg
        total_kg += mass_kg
        rows.append(
            [
                number,
                f"{piece.count} x {piece.part}",
                section_words(subject, piece.section),
                subject.cut_length(piece.length_m),
                f"{subject.show(abs(piece.mitre_rad), 'deg')} off square" if piece.mitre_rad else "square",
                subject.show(piece.mass_each_kg, "mass"),
                subject.show(mass_kg, "mass"),
                piece.steel,
                subject.note(piece),
            ]
        )
    rows.append(
        ["", "all pieces", "", "", "", "", subject.show(total_kg, "mass"), "", "steel alone, holes not taken off"]
    )
    columns = (
        Column("", 0.5),
        Column("piece", 1.45),
        Column("section", 2.0),
        Column("cut length", 1.2, "right"),
        Column("ends", 0.7),
        Column("each", 0.7, "right"),
        Column("together", 0.75, "right"),
        Column("steel", 0.75),
        Column("note", 2.7),
    )
    sheet.table(columns, rows, LIST, strong=(len(rows) - 1,))


def _add_bought(sheet: Sheet, subject: Subject) -> None:
    """Gear of the rig itself that is bought, not cut."""
    bought = []
    for row in rig_gear(subject.job.rig):
        mark = "mark not entered" if row.rated_kg is None else f"marked {subject.show_down(row.rated_kg)}"
        lengths = [subject.pin_to_pin(row.pins_m)] if row.pins_m is not None else []
        bought.append("; ".join([row.name, *lengths, mark]))
    if bought:
        sheet.text(f"Bought, not cut: {'. '.join(bought)}.", SMALL)


def _add_cutting_plan(sheet: Sheet, subject: Subject) -> None:
    """A row for each bar; what all of a section comes to stands with its first bar."""
    sheet.heading(f"Cutting plan and totals, kerf {subject.size(subject.job.kerf_m)}", 40.0)
    totals_by_kind = {
        (section_words(subject, total.section), total.steel): total for total in totals(pieces(subject.job))
    }
    rows = []
    for kind, total in totals_by_kind.items():
        section, steel = kind
        sums = [
            f"{section}, {steel}",
            f"{total.count}",
            subject.cut_length(total.length_m),
            subject.show(total.mass_kg, "mass"),
        ]
        for bar in cutting_plan(subject.job):
            if kind == _kind_cut_from(subject, bar):
                rows.append([*sums, *_bar_cells(subject, bar)])
                sums = ["", "", "", ""]
    columns = (
        Column("section, steel", 1.9),
        Column("pieces", 0.55, "right"),
        Column("length", 1.05, "right"),
        Column("mass", 0.75, "right"),
        Column("bar", 1.6),
        Column("cut from its datum end: piece, from - to", 4.2),
        Column("left", 1.1, "right"),
    )
    sheet.table(columns, rows, LIST)


def _kind_cut_from(subject: Subject, bar: Bar) -> tuple[str, str]:
    """Section and steel of the pieces cut from a bar; the bar's own steel may be better than asked for."""
    for piece in pieces(subject.job):
        if piece.part == bar.cuts[0][0]:
            return section_words(subject, piece.section), piece.steel
    return section_words(subject, bar.section), bar.steel


def _bar_cells(subject: Subject, bar: Bar) -> list[str]:
    """The bar, its cuts and what must not be used of it, and what is left."""
    stretches = [f"{part} {subject.from_to(start_m, end_m)}" for part, start_m, end_m in bar.cuts]
    stretches += [f"NOT {subject.from_to(start_m, end_m)} ({why})" for start_m, end_m, why in bar.no_go]
    return [f"{bar.stock}, {subject.stock_length(bar.length_m)}", "; ".join(stretches), subject.cut_length(bar.left_m)]


def _add_hole_schedule(sheet: Sheet, subject: Subject) -> None:
    sheet.heading("Holes in boom and arms, every one from one datum end", 40.0)
    rows, show = [], subject.size
    for schedule in hole_schedules(subject.job.rig):
        part = f"{schedule.part}, {schedule.datum}"
        for hole in schedule.holes:
            sizes_m = (hole.from_datum_m, hole.step_m, hole.from_edge_m, hole.diameter_m, MARKING_M, hole.stack_m)
            rows.append([part, hole.name, *(show(size_m) for size_m in sizes_m)])
        rows.append([part, "other end", show(schedule.length_m), show(schedule.end_m), "", "", "", ""])
    columns = (
        Column("part, datum", 1.05),
        Column("hole", 1.45),
        Column("from datum", 0.8, "right"),
        Column("from the one before", 1.25, "right"),
        Column("from underside or side", 1.42, "right"),
        Column("diameter", 0.7, "right"),
        Column("off, from datum ±", 1.16, "right"),
        Column("off, if stepped ±", 1.1, "right"),
    )
    sheet.table(columns, rows, LIST)


def _add_piece_holes(sheet: Sheet, subject: Subject) -> None:
    rows = [
        [
            f"{hole.count} x {hole.piece}{f', {hole.through}' if hole.through else ''}",
            subject.size(hole.diameter_m),
            _place(subject, hole.from_datum_m, hole.datum),
            _place(subject, hole.from_edge_m, hole.edge),
            hole.note,
        ]
        for hole in piece_holes(subject.job)
    ]
    if not rows:
        return
    sheet.heading("Holes in the other pieces", 40.0)
    columns = (
        Column("piece", 2.0),
        Column("diameter", 0.7, "right"),
        Column("middle", 1.5),
        Column("and", 1.5),
        Column("note", 3.0),
    )
    sheet.table(columns, rows, LIST)


def _place(subject: Subject, from_m: float | None, end: str) -> str:
    return end if from_m is None else f"{subject.size(from_m)} from {end}"


def _add_weld_list(sheet: Sheet, subject: Subject) -> None:
    sheet.heading("Weld list (arithmetic, not inspection: needs a qualified welder)", 40.0)
    rows, total_kg = [], 0.0
    for weld in weld_list(subject.job):
        total_kg += weld.filler_kg or 0.0
        rows.append(
            [
                weld.name,
                f"{weld.lines} x {subject.cut_length(weld.length_each_m)}",
                subject.cut_length(weld.length_m),
                subject.weld_leg(weld),
                weld.electrode,
                "-" if weld.filler_kg is None else rounding.filler_mass(weld.filler_kg, subject.units),
                weld.note,
            ]
        )
    filler = rounding.filler_mass(total_kg, subject.units)
    rows.append(["filler, welds with a leg", "", "", "", "", filler, "1.5 x the plain triangle"])
    columns = (
        Column("weld", 1.4),
        Column("lines", 1.0),
        Column("length", 0.8, "right"),
        Column("leg", 1.0, "right"),
        Column("electrode", 0.75),
        Column("filler", 0.7, "right"),
        Column("note", 2.6),
    )
    sheet.table(columns, rows, LIST, strong=(len(rows) - 1,))


def _add_pin_list(sheet: Sheet, subject: Subject) -> None:
    rows = [
        [
            f"{pin.count} x {pin.name}",
            subject.size(pin.diameter_m),
            subject.cut_length(pin.length_m),
            subject.size(pin.hole_m),
            pin.steel,
            RETENTION_WORDS[pin.retention],
            "[    ]",
        ]
        for pin in pin_list(subject.job.rig)
    ]
    columns = (
        Column("pin", 1.35),
        Column("bar", 1.0, "right"),
        Column("cut length", 1.1, "right"),
        Column("hole", 1.0, "right"),
        Column("steel", 0.8),
        Column("kept in by", 1.1),
        Column("in place", 0.6),
    )
    sheet.table(columns, rows, LIST)


def _add_fit_list(sheet: Sheet, subject: Subject) -> None:
    rows = [
        [fit.name, *(_fine_or_unknown(subject, size_m) for size_m in (fit.inside_m, fit.outside_m, fit.play_m)), ""]
        for fit in fit_list(subject.job)
    ]
    columns = (
        Column("fit", 1.7),
        Column("inside", 0.8, "right"),
        Column("outside", 0.8, "right"),
        Column("play", 0.8, "right"),
        Column("as built", 0.7),
    )
    sheet.table(columns, rows, LIST)


def _add_assembly_order(sheet: Sheet, subject: Subject) -> None:
    steps = [f"{number}. {subject.fill(step)}" for number, step in enumerate(assembly_steps(subject.job), start=1)]
    sheet.heading("Order of assembly", sheet.points_height(steps, SMALL - 1))
    sheet.points(steps, SMALL - 1, ticks=True)


def _fine_or_unknown(subject: Subject, size_m: float | None) -> str:
    return rounding.NOT_KNOWN if size_m is None else subject.size(size_m)


def section_words(subject: Subject, section: Section) -> str:
    """Shape and sizes of a section as they were entered."""
    match section:
        case RectTube():
            sizes_m, name = (section.width_m, section.depth_m, section.wall_m), "tube"
        case RoundTube():
            sizes_m, name = (section.diameter_m, section.wall_m), "round tube"
        case SolidRound():
            sizes_m, name = (section.diameter_m,), "round bar"
        case FlatBar():
            sizes_m, name = (section.width_m, section.depth_m), "flat"
    return f"{name} {subject.size(*sizes_m)}"
