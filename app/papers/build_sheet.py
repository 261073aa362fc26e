"""Build sheet: side and plan of the rig alone, dimensioned, to scale; cuts, holes, welds, pins and fits."""

from __future__ import annotations

import msgspec
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtWidgets import QGraphicsScene

from app.canvas.drawing import LAYER
from app.canvas.marks import Dimension
from app.canvas.plan import PlanDrawing
from app.canvas.side import SideDrawing
from app.canvas.transform import plan, side
from app.papers.drawing import PRINT, SCALES, Picture, print_ink
from app.papers.layout import MM, SMALL, Column, Sheet
from app.papers.paper import Matter, drawn, sheet_for, unknown
from app.papers.sections import fine_words, section_words, size_words
from app.papers.titles import TITLES
from engine.base.geometry import Vec
from engine.rig.feasibility import usable_holes
from engine.rig.kinematics import arm_link
from engine.schema.model import Estimate, Job, Pose
from engine.shop.cut_list import (
    MARKING_M,
    Bar,
    assembly_heights_m,
    cutting_plan,
    fit_list,
    hole_schedules,
    pieces,
    pin_list,
    totals,
    weld_list,
)
from engine.shop.edits import straight_ahead
from engine.worst_case.verdict import Verdict, evaluate

TITLE = TITLES["build"]
LIST = 12

SIDE_PARTS = ("sleeve", "cross-member", "jib mast", "boom", "saddles", "boom pin", "hook")
PLAN_PARTS = ("sleeves", "cross-member", "boom", "jib mast")
STEP, ASIDE = 22.0, 124.0
"""Between two level and two upright lines of dimensions, in units of paper: a line of text high, a figure wide."""


def build(about: Matter, page: str) -> Sheet:
    """Drawing and lists of one rig."""
    sheet = sheet_for(TITLE, about, page)
    job, pose = build_pose(about.job)
    # Nothing gives first on a drawing to build from: no part is hatched.
    verdict = msgspec.structs.replace(evaluate(job, pose), governing=None)
    upright, above = build_pictures(about, job, pose, verdict, sheet.column, 104.0 * MM)
    drawn(sheet, upright, f"Side view, arms straight, boom in hole {pose.hole}")
    drawn(sheet, above, "Plan")
    sheet.text(
        "Dimensions govern; do not scale a copy. Gussets at the jib mast's foot are drawn but are in no list and no sum. From the top of the fork blades: "
        + "; ".join(f"{name} {size_words(about, height)}" for name, height in assembly_heights_m(job.rig))
        + ".",
        SMALL,
    )
    _cuts(sheet, about)
    _plan(sheet, about)
    _holes(sheet, about)
    _welds(sheet, about)
    sheet.panes(
        (1.0, 1.1),
        (lambda: _pins(sheet, about), lambda: _fits(sheet, about)),
        (len(about.job.rig.arms) + 8) * LIST * 1.5,
    )
    unknown(sheet, about, size=SMALL - 2)
    return sheet


# ---------------------------------------------------------------- drawing


def build_pose(job: Job) -> tuple[Job, Pose]:
    """The rig as it is built: level floor, upright plumb, arms straight, hook empty, boom furthest out."""
    level = Estimate(best=0.0, known="measured")
    floors = tuple(msgspec.structs.replace(floor, fall_along=level, fall_across=level) for floor in job.floors)
    pose = msgspec.structs.replace(
        job.poses[0],
        lift_m=job.truck.upright.lift_min_m,
        tilt_rad=0.0,
        hole=(usable_holes(job) or (1,))[0],
        free_out_m=None,
        arms=straight_ahead(job),
        loaded=False,
    )
    return msgspec.structs.replace(job, floors=floors), pose


def build_pictures(
    about: Matter, job: Job, pose: Pose, verdict: Verdict, width: float, height: float
) -> tuple[Picture, Picture]:
    """Side view and plan of the rig alone, on one scale and one x."""
    for scale in SCALES:
        upright = _side(about, job, pose, verdict, MM / scale, scale)
        above = _plan_view(about, job, pose, verdict, upright.source, MM / scale, scale)
        if upright.width <= width and upright.height + above.height <= height:
            break
    return upright, above


def _side(about: Matter, job: Job, pose: Pose, verdict: Verdict, per_mm: float, scale: int) -> Picture:
    scene, ink = QGraphicsScene(), print_ink()
    drawing = SideDrawing(scene, ink)
    drawing.show(job, pose, verdict)
    arms = [name for index in range(len(job.rig.arms)) for name in (arm_link(index), f"axis {index}")]
    drawing.show_only((*SIDE_PARTS, *arms))
    rig, frames = job.rig, verdict.placed.frames
    forks, boom = frames["forks"], frames["boom"]
    out_m, half_m = float(verdict.placed.figures.boom_out_m), rig.boom.section.depth_m / 2.0
    tail_m = out_m - rig.boom.length_m
    sleeves, mast, saddles = rig.sleeves, rig.jib_mast, rig.saddles
    below_m = sleeves.section.wall_m - sleeves.section.depth_m
    heel, tip = (
        forks.at(sleeves.heel_gap_m, 0.0, below_m),
        forks.at(sleeves.heel_gap_m + sleeves.length_m, 0.0, below_m),
    )
    foot = frames["jib mast"].at()
    pin_x = saddles.front_x_m if saddles.pin_at == "front" else saddles.rear_x_m
    tops = [boom.at(x, 0.0, half_m) for x in (tail_m, tail_m + rig.boom.first_hole_m, pin_x, out_m)]

    def show(value_m: float) -> str:
        return size_words(about, value_m)

    across = [
        (heel, tip, 1, f"sleeves {show(sleeves.length_m)}"),
        (heel, Vec(foot.x, 0.0, heel.z), 2, f"jib mast {show(mast.foot_x_m - sleeves.heel_gap_m)}"),
        (
            boom.at(saddles.rear_x_m, 0.0, half_m),
            boom.at(saddles.front_x_m, 0.0, half_m),
            -1,
            f"saddles {show(saddles.front_x_m - saddles.rear_x_m)}",
        ),
        (tops[0], tops[1], -2, f"first hole {show(rig.boom.first_hole_m)}"),
        (
            tops[0],
            tops[3],
            -3,
            f"boom {show(rig.boom.length_m)}, {rig.boom.hole_count} holes every {show(rig.boom.hole_pitch_m)}",
        ),
    ]
    for index, arm in enumerate(rig.arms):
        frame = frames[arm_link(index)]
        across.append(
            (
                frame.at(0.0, 0.0, half_m),
                frame.at(arm.length_m, 0.0, half_m),
                -1 - index % 2,
                f"{arm.name} {show(arm.length_m)}",
            )
        )
    dims = _Dims(scene, per_mm)
    for a, b, line, words in across:
        edge = side(tops[0]).y() if line < 0 else side(heel).y()
        dims.level(side(a), side(b), edge, line, words)
    top = frames["jib mast"].at(z_m=mast.length_m)
    behind = min(side(tops[0]).x(), side(heel).x())
    dims.upright(side(foot), side(top), behind, 1, f"jib mast {show(mast.length_m)}")
    dims.upright(
        side(forks.origin), side(boom.at(tail_m)), behind, 2, f"axis {show(float(boom.origin.z - forks.origin.z))}", 0.7
    )
    source = _whole(scene, drawing.bounds(), dims)
    return Picture(scene, source, scale)


def _plan_view(
    about: Matter, job: Job, pose: Pose, verdict: Verdict, side_source: QRectF, per_mm: float, scale: int
) -> Picture:
    scene, ink = QGraphicsScene(), print_ink()
    drawing = PlanDrawing(scene, ink)
    drawing.show(job, pose, verdict)
    drawing.show_only((*PLAN_PARTS, *(arm_link(index) for index in range(len(job.rig.arms)))))
    rig, forks = job.rig, verdict.placed.frames["forks"]

    def show(value_m: float) -> str:
        return size_words(about, value_m)

    sleeves, spread_m = rig.sleeves, job.truck.forks.spread_m
    half_m = sleeves.section.width_m / 2.0
    heel = sleeves.heel_gap_m
    dims = _Dims(scene, per_mm)
    left, right = plan(forks.at(heel, spread_m / 2.0)), plan(forks.at(heel, -spread_m / 2.0))
    behind = left.x()
    dims.upright(left, right, behind, 1, f"forks {show(spread_m)}", 0.75)
    inner = plan(forks.at(heel, spread_m / 2.0 - half_m)), plan(forks.at(heel, half_m - spread_m / 2.0))
    ahead = plan(forks.at(heel + sleeves.length_m, 0.0)).x()
    dims.upright(*inner, ahead, -1, f"cross-member {show(spread_m - 2.0 * half_m)}", 0.22)
    found = QRectF()
    for item in scene.items():
        if item.isVisible():
            found |= item.mapRectToScene(item.boundingRect()) if item.scene() and not dims.owns(item) else QRectF()
    tall = _whole(scene, found, dims)
    return Picture(scene, QRectF(side_source.left(), tall.top(), side_source.width(), tall.height()), scale)


class _Dims:
    """Dimension lines about a drawing, stepped away from it so that none lies on another."""

    def __init__(self, scene: QGraphicsScene, per_mm: float) -> None:
        self._scene, self.per_mm = scene, per_mm
        self.made: list[Dimension] = []
        self.reach = QRectF()

    def level(self, a: QPointF, b: QPointF, edge: float, line: int, words: str) -> None:
        """A level dimension below the drawing (line 1, 2 ...) or above it (-1, -2 ...)."""
        y = edge + line * STEP / self.per_mm
        self._make(a, b, QPointF(a.x(), y), QPointF(b.x(), y), words)

    def upright(self, a: QPointF, b: QPointF, edge: float, line: int, words: str, share: float = 0.5) -> None:
        """An upright dimension behind the drawing (line 1, 2 ...) or ahead of it (-1, -2 ...), its figure at a share of it."""
        x = edge - (line * ASIDE - (0.4 if line > 0 else -0.4) * ASIDE) / self.per_mm
        at_a, at_b = QPointF(x, a.y()), QPointF(x, b.y())
        self._make(
            a, b, at_a, at_b, words, at_a * (1.0 - share) + at_b * share, (0.5, 0.5) if line > 0 else (-0.03, 0.5)
        )

    def _make(
        self,
        a: QPointF,
        b: QPointF,
        at_a: QPointF,
        at_b: QPointF,
        words: str,
        spot: QPointF | None = None,
        align: tuple[float, float] = (0.5, 0.5),
    ) -> None:
        made = Dimension(self._scene, print_ink(), PRINT.ink, LAYER["tags"])
        made.set(at_a, at_b, words, (a, b))
        if spot is not None:
            made.tag.set(words, spot, align)
        elif made.tag.screen_rect(self.per_mm).width() > abs(at_b.x() - at_a.x()) * self.per_mm * 0.8:
            made.tag.set(words, at_b, (-0.03, 0.5))  # too short a line for its figure: beside it
        made.tag.setZValue(LAYER["tags"] + 0.5)
        self.made.append(made)
        rect = made.tag.screen_rect(self.per_mm)
        self.reach |= QRectF(rect.topLeft() / self.per_mm, rect.size() / self.per_mm)
        self.reach |= QRectF(at_a, at_b).normalized().adjusted(-1.0, -1.0, 1.0, 1.0)

    def owns(self, item: object) -> bool:
        """Whether an item is part of a dimension (those keep their size and have no scene rectangle of their own)."""
        return any(item is made.tag for made in self.made)


def _whole(scene: QGraphicsScene, bounds: QRectF, dims: _Dims) -> QRectF:
    room = 4.0 / dims.per_mm
    return (bounds | dims.reach).adjusted(-room, -room, room, room)


# ---------------------------------------------------------------- lists


def _cuts(sheet: Sheet, about: Matter) -> None:
    listed = pieces(about.job)
    sheet.heading("Cut list", 50.0)
    rows = []
    for number, piece in enumerate(listed, start=1):
        mitre = "square" if not piece.mitre_rad else about.show(abs(piece.mitre_rad), "deg") + " off square"
        each, both = about.show(piece.mass_each_kg, "mass"), about.show(piece.count * piece.mass_each_kg, "mass")
        row = [
            str(number),
            f"{piece.count} x {piece.part}",
            section_words(about, piece.section),
            size_words(about, piece.length_m),
            mitre,
            each,
            both,
        ]
        rows.append([*row, piece.steel, piece.note])
    rows.append(
        [
            "",
            "all pieces",
            "",
            "",
            "",
            "",
            about.show(sum(piece.count * piece.mass_each_kg for piece in listed), "mass"),
            "",
            "steel alone, holes not taken off",
        ]
    )
    columns = (
        Column("", 0.3), Column("piece", 1.45), Column("section", 2.0), Column("cut length", 1.2, "right"), Column("ends", 0.7),
        Column("each", 0.7, "right"), Column("together", 0.75, "right"), Column("steel", 0.75), Column("note", 2.7),
    )  # fmt: skip
    sheet.table(columns, rows, LIST, strong=(len(rows) - 1,))


def _plan(sheet: Sheet, about: Matter) -> None:
    """A row for each bar; what all of a section comes to stands with its first bar."""
    sheet.heading(f"Cutting plan and totals, kerf {fine_words(about, about.job.kerf_m)}", 40.0)
    waiting = {(section_words(about, total.section), total.steel): total for total in totals(pieces(about.job))}
    rows = []
    for total in waiting.values():
        name = section_words(about, total.section)
        summed = [
            f"{name}, {total.steel}",
            f"{total.count}",
            size_words(about, total.length_m),
            about.show(total.mass_kg, "mass"),
        ]
        for bar in cutting_plan(about.job):
            if (name, total.steel) == _cut_for(about, bar):
                rows.append([*summed, *_bar(about, bar)])
                summed = ["", "", "", ""]
    columns = (
        Column("section, steel", 1.9), Column("pieces", 0.55, "right"), Column("length", 1.05, "right"), Column("mass", 0.75, "right"),
        Column("bar", 1.6), Column("cut from its datum end: piece, from - to", 4.2), Column("left", 1.1, "right"),
    )  # fmt: skip
    sheet.table(columns, rows, LIST)


def _cut_for(about: Matter, bar: Bar) -> tuple[str, str]:
    """Section and steel of the list a bar is cut for; steel on the rack may be better than asked."""
    for piece in pieces(about.job):
        if piece.part == bar.cuts[0][0]:
            return section_words(about, piece.section), piece.steel
    return section_words(about, bar.section), bar.steel


def _bar(about: Matter, bar: Bar) -> list[str]:
    cuts = "; ".join(f"{part} {_bare(about, a)} - {size_words(about, b)}" for part, a, b in bar.cuts)
    zones = "; ".join(f"NOT {_bare(about, a)} - {size_words(about, b)} ({why})" for a, b, why in bar.no_go)
    name = f"{bar.stock}, {size_words(about, bar.length_m)}"
    return [name, "; ".join(part for part in (cuts, zones) if part), size_words(about, bar.left_m)]


def _bare(about: Matter, value_m: float) -> str:
    """The first of two lengths: in millimetres its unit follows with the second."""
    return size_words(about, value_m).removesuffix(" mm")


def _holes(sheet: Sheet, about: Matter) -> None:
    schedules = hole_schedules(about.job.rig)
    sheet.heading("Hole schedule, every hole from one datum end", 40.0)
    rows = []
    for schedule in schedules:
        for hole in schedule.holes:
            sizes = (hole.from_datum_m, hole.step_m, hole.from_edge_m, hole.diameter_m, MARKING_M, hole.stack_m)
            rows.append(
                [f"{schedule.part}, {schedule.datum}", hole.name, *(fine_words(about, value) for value in sizes)]
            )
        rows.append(
            [
                f"{schedule.part}, {schedule.datum}",
                "other end",
                fine_words(about, schedule.length_m),
                fine_words(about, schedule.end_m),
                "",
                "",
                "",
                "",
            ]
        )
    columns = (
        Column("part, datum", 1.3), Column("hole", 0.8), Column("from datum", 1.0, "right"), Column("from the one before", 1.3, "right"), Column("up from underside", 1.2, "right"),
        Column("diameter", 0.8, "right"), Column("off, from datum ±", 1.1, "right"), Column("off, if stepped ±", 1.1, "right"),
    )  # fmt: skip
    sheet.table(columns, rows, LIST)


def _welds(sheet: Sheet, about: Matter) -> None:
    sheet.heading("Weld list (arithmetic, not inspection: needs a qualified welder)", 40.0)
    rows = []
    for weld in weld_list(about.job):
        leg = "not in the sketch" if weld.leg_m is None else size_words(about, weld.leg_m)
        filler = "-" if weld.filler_kg is None else _grams(about, weld.filler_kg)
        rows.append(
            [
                weld.name,
                f"{weld.lines} x {size_words(about, weld.length_each_m)}",
                size_words(about, weld.length_m),
                leg,
                weld.electrode,
                filler,
                weld.note,
            ]
        )
    known = sum(weld.filler_kg or 0.0 for weld in weld_list(about.job))
    rows.append(["filler, welds with a leg", "", "", "", "", _grams(about, known), "1.5 x the plain triangle"])
    columns = (
        Column("weld", 1.4), Column("lines", 1.0), Column("length", 0.8, "right"), Column("leg", 1.0, "right"), Column("electrode", 0.75),
        Column("filler", 0.7, "right"), Column("note", 2.6),
    )  # fmt: skip
    sheet.table(columns, rows, LIST, strong=(len(rows) - 1,))


def _grams(about: Matter, mass_kg: float) -> str:
    return about.show(mass_kg, "mass") if mass_kg >= 1.0 or about.units == "us" else f"{mass_kg * 1000.0:.0f} g"


def _pins(sheet: Sheet, about: Matter) -> None:
    rows = []
    for row in pin_list(about.job.rig):
        sizes = (fine_words(about, row.diameter_m), size_words(about, row.length_m), fine_words(about, row.hole_m))
        rows.append([f"{row.count} x {row.name}", *sizes, row.steel])
    columns = (
        Column("pin", 1.5),
        Column("bar", 0.8, "right"),
        Column("cut length", 0.9, "right"),
        Column("hole", 0.8, "right"),
        Column("steel", 0.8),
    )
    sheet.table(columns, rows, LIST)


def _fits(sheet: Sheet, about: Matter) -> None:
    rows = [
        [fit.name, *(fine_words(about, value) for value in (fit.inside_m, fit.outside_m, fit.play_m)), ""]
        for fit in fit_list(about.job)
    ]
    rows += [[name, "", "", "not known", ""] for name in ("boom in saddles, across", "boom in saddles, up")]
    columns = (
        Column("fit", 1.7),
        Column("inside", 0.8, "right"),
        Column("outside", 0.8, "right"),
        Column("play", 0.8, "right"),
        Column("as built", 0.7),
    )
    sheet.table(columns, rows, LIST)
