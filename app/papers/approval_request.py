"""Approval request to the truck's maker: what is fitted, what is asked for, the worst of it, and what is not known."""

from __future__ import annotations

from app.papers.drawing import side_picture
from app.papers.layout import MM, SMALL, Column, Sheet
from app.papers.load_placard import load_table
from app.papers.paper import Matter, drawn, sheet_for, unknown
from app.papers.titles import TITLES
from engine.base.geometry import Vec
from engine.explain.approval_request import Request, WorstPose, request
from engine.schema.model import Estimate
from engine.shop.assumptions import KNOWN_WORDS

TITLE = TITLES["approval"]

ASKS = (
    "Please approve, refuse or limit in writing the use of the attachment below on the truck below, and say which capacity plate the truck "
    "must then carry (29 CFR 1910.178 (a)(4) and (a)(5) where that applies). Until you answer it is not used."
)
NOBODY = "Not checked by: the truck's maker, a licensed engineer, a qualified welder. All figures come from a planning sketch."


def build(about: Matter, page: str) -> Sheet:
    """The request for one rig on one truck."""
    sheet = sheet_for(TITLE, about, page)
    found = request(about.job, about.pose)
    sheet.text(ASKS)
    for words in found.cannot_answer:
        sheet.text(words, bold=True)
    sheet.panes((1.0, 1.0), (lambda: _truck(sheet, about), lambda: _rig(sheet, about, found)), 74.0 * MM)
    drawn(sheet, side_picture(about.job, about.pose, about.verdict, sheet.column, 58.0 * MM), f"Pose {about.pose.name}")
    _at_holes(sheet, about, found)
    _worst(sheet, about, found)
    if found.loads.cells:
        load_table(sheet, about, found.loads, SMALL)
    sheet.text(NOBODY, SMALL, bold=True)
    sheet.boxes(("maker's answer: approved / refused / limited to", "reference", "date", "name and signature"), 52.0)
    unknown(sheet, about, rules=True, size=SMALL - 2)
    return sheet


def _truck(sheet: Sheet, about: Matter) -> None:
    truck = about.job.truck
    rows = [["model", truck.name], ["serial", truck.serial.strip() or "NOT ENTERED"]]
    rows += [
        [
            f"plate: up to {about.show(row.lift_m, 'm')}",
            f"{about.show(row.rated_kg, 'kg')} at {about.show(row.load_centre_m, 'mm')} from the fork face",
        ]
        for row in (truck.plate.rows if truck.plate else ())
    ]
    if truck.plate is None:
        rows.append(["plate", "NOT ENTERED"])
    rows += [
        ["front axle, bare", _known(about, truck.front_axle_kg, "kg")],
        ["rear axle, bare", _known(about, truck.rear_axle_kg, "kg")],
        ["wheelbase", _known(about, truck.wheelbase_m, "m")],
        ["front axle to fork face", _known(about, truck.front_overhang_m, "m")],
        ["height of centre of gravity", _known(about, truck.cg_height_m, "m")],
        ["highest fork height", about.show(truck.upright.lift_max_m, "m")],
        [
            "tilt forward / back",
            f"{about.show(truck.upright.tilt_forward_max_rad, 'deg')} / {about.show(truck.upright.tilt_back_max_rad, 'deg')}",
        ],
        [
            "forks",
            f"{about.show(truck.forks.length_m, 'mm')} long, {about.show(truck.forks.spread_m, 'mm')} centre to centre",
        ],
    ]
    sheet.table((Column("Truck", 1.0), Column("", 1.5)), rows, SMALL - 1)


def _known(about: Matter, estimate: Estimate[float], kind: str) -> str:
    return f"{about.show(estimate.best, kind)}, {KNOWN_WORDS[estimate.known]}"


def _rig(sheet: Sheet, about: Matter, found: Request) -> None:
    rig, both = about.job.rig, found.combined
    hold = "heel pins" if rig.sleeves.heel_pin else "a heel chain" if rig.sleeves.heel_chain_kg else "NOTHING ENTERED"
    rows = [
        ["attachment", rig.name],
        ["serial, revision", f"{rig.serial.strip() or 'NOT ENTERED'}, {rig.revision}"],
        [
            "mounting",
            f"two closed sleeves {about.show(rig.sleeves.length_m, 'mm')} long over the forks, kept on by {hold}",
        ],
        ["weight", about.show(both.rig_kg, "kg")],
        ["lowest / highest hook asked for", _hook_range(about, found)],
        ["truck and attachment together", f"{about.show(both.both_kg, 'kg')}, without a load"],
        [
            "... at maximum elevation",
            f"{about.show(both.lift_m, 'm')}, load in the middle: {about.show(both.both_kg + both.hung_kg, 'kg')} with {about.show(both.hung_kg, 'kg')} hung",
        ],
        ["centre of both, no load", _from_axle(about, both.centre_m)],
        ["centre of all, with that load", _from_axle(about, both.centre_loaded_m)],
    ]
    sheet.table((Column("Attachment", 1.0), Column("", 1.5)), rows, SMALL - 1)


def _hook_range(about: Matter, found: Request) -> str:
    heights = found.chart.hook_heights_m
    return (
        "not known"
        if found.chart.problems or not heights
        else f"{about.show(min(heights), 'm')} / {about.show(max(heights), 'm')}"
    )


def _from_axle(about: Matter, at: Vec) -> str:
    ahead = float(at.x)
    way = "ahead of" if ahead >= 0.0 else "behind"
    return f"{about.show(abs(ahead), 'm')} {way} the front axle, {about.show(float(at.z), 'm')} up"


def _at_holes(sheet: Sheet, about: Matter, found: Request) -> None:
    sheet.heading("Attachment at each pin hole, arms straight; places from fork face and top of blades", 50.0)
    rows = []
    for row in found.at_holes:
        asked = "none" if row.request_kg is None else about.show(row.request_kg, "kg_down")
        centre = f"{about.show(float(row.centre_m.x), 'm')} ahead, {about.show(float(row.centre_m.z), 'm')} up"
        hook = f"{about.show(float(row.hook_m.x), 'm')} ahead, {about.show(float(row.hook_m.z), 'm')} up"
        rows.append(
            [
                str(row.hole),
                about.show(row.out_m, "m"),
                about.show(row.rig_kg, "kg"),
                centre,
                hook,
                asked,
                row.governing,
            ]
        )
    columns = (
        Column("hole", 0.45), Column("boom out", 0.9, "right"), Column("weight", 0.75, "right"), Column("its centre of gravity", 1.9), Column("hook", 1.9),
        Column("load asked for", 0.95, "right"), Column("limit behind it", 2.4),
    )  # fmt: skip
    sheet.table(columns, rows, SMALL - 1)
    rigging = about.show(about.job.load.rigging_kg.best, "kg")
    sheet.text(
        f"Load asked for: least at any hook height in the chart, worst case, rounded down, besides {rigging} of rigging; never more than the plate.",
        SMALL - 1,
    )


def _worst(sheet: Sheet, about: Matter, found: Request) -> None:
    sheet.heading("Worst pose in each direction, with the job's load", 50.0)
    rows = [_direction(about, pose) for pose in found.worst]
    columns = (
        Column("over the line", 0.9),
        Column("tipping use", 0.7, "right"),
        Column("arms", 1.5),
        Column("hole", 0.4),
        Column("forks", 0.8, "right"),
        Column("tilt", 0.6, "right"),
        Column("hook", 2.2),
    )
    sheet.table(columns, rows, SMALL - 1)
    load = f"{about.job.load.name}, {about.show(about.job.load.mass_kg.best, 'kg')} and {about.show(about.job.load.rigging_kg.best, 'kg')} of rigging"
    governing = about.verdict.governing
    here = f" In the pose drawn {governing.name} gives first." if governing else ""
    sheet.text(
        f"Load: {load}; use of the bare truck's restoring moment, allowances as listed; the truck starts to go at 100 %.{here}",
        SMALL - 1,
    )


def _direction(about: Matter, found: WorstPose) -> list[str]:
    hook = found.hook_m
    side = (
        ""
        if abs(float(hook.y)) < 0.005
        else f", {about.show(abs(float(hook.y)), 'm')} to the {'left' if hook.y > 0.0 else 'right'}"
    )
    where = f"{about.show(float(hook.x), 'm')} from front axle{side}, {about.show(float(hook.z), 'm')} up"
    pose = found.pose
    return [
        found.line,
        about.show(found.use, "share"),
        found.arms,
        str(pose.hole),
        about.show(pose.lift_m, "m"),
        about.show(pose.tilt_rad, "deg"),
        where,
    ]
