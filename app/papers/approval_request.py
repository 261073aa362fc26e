"""Approval request to the truck's maker: what is fitted, what is asked for, the worst of it, and what is not known."""

from __future__ import annotations

from app.papers.head_and_foot import NOT_ENTERED
from app.papers.layout import Column, Sheet
from app.papers.load_placard import add_load_table
from app.papers.page_marks import MM, SMALL
from app.papers.pictures import side_picture
from app.papers.shared_parts import add_picture, add_unknowns, sheet_for
from app.papers.subject import Subject
from app.papers.titles import TITLES
from engine.base.geometry import Vec
from engine.explain.approval_request import Request, SidewaysMoment, WorstPose, request
from engine.schema.connections import HeelChain, HeelHold, HeelPin, NoHeelHold
from engine.schema.quantities import Estimate
from engine.shop.assumptions import KNOWN_WORDS

TITLE = TITLES["approval"]

ASKS = (
    "Please approve, refuse or limit in writing the use of the attachment below on the truck below, and say which "
    "capacity plate the truck must then carry (29 CFR 1910.178 (a)(4) and (a)(5) where that applies). Until you answer "
    "it is not used."
)
NOBODY = (
    "Not checked by: the truck's maker, a licensed engineer, a qualified welder. All figures come from a planning "
    "sketch."
)

ANSWERS = (
    "maker's answer: approved / refused / limited to",
    "sideways moment up to",
    "reference",
    "date",
    "name and signature",
)

STRAIGHT_M = 0.005
"""A hook this near the centreline is not said to be to one side."""


def build(subject: Subject, page: str) -> Sheet:
    """The request for one rig on one truck."""
    sheet = sheet_for(TITLE, subject, page, sizes=True)
    asked = request(subject.job, subject.pose)
    sheet.text(ASKS)
    for words in asked.cannot_answer:
        sheet.text(words, bold=True)
    sheet.panes((1.0, 1.0), (lambda: _add_truck(sheet, subject), lambda: _add_rig(sheet, subject, asked)), 74.0 * MM)
    picture = side_picture(subject.job, subject.pose, subject.verdict, sheet.column, 58.0 * MM)
    add_picture(sheet, picture, f"Pose {subject.pose.name}")
    _add_pin_holes(sheet, subject, asked)
    _add_worst_poses(sheet, subject, asked)
    _add_sideways(sheet, subject, asked.sideways)
    if asked.loads.cells:
        add_load_table(sheet, subject, asked.loads, SMALL)
    sheet.text(NOBODY, SMALL, bold=True)
    sheet.boxes(ANSWERS, 52.0)
    add_unknowns(sheet, subject, rules=True, size=SMALL - 2)
    return sheet


def _add_truck(sheet: Sheet, subject: Subject) -> None:
    truck, show = subject.job.truck, subject.show
    rows = [["model", truck.name], ["serial", truck.serial.strip() or NOT_ENTERED]]
    if truck.plate is None:
        rows.append(["plate", NOT_ENTERED])
    else:
        rows += [
            [
                f"plate: up to {show(row.lift_m, 'm')}",
                f"{subject.show_down(row.rated_kg)} at {show(row.load_centre_m, 'mm')} from the fork face",
            ]
            for row in truck.plate.rows
        ]
    tilts = f"{show(truck.upright.tilt_forward_max_rad, 'deg')} / {show(truck.upright.tilt_back_max_rad, 'deg')}"
    forks = f"{show(truck.forks.length_m, 'mm')} long, {show(truck.forks.spread_m, 'mm')} centre to centre"
    rows += [
        ["front axle, bare", _estimate_words(subject, truck.front_axle_kg, "kg")],
        ["rear axle, bare", _estimate_words(subject, truck.rear_axle_kg, "kg")],
        ["wheelbase", _estimate_words(subject, truck.wheelbase_m, "m")],
        ["front axle to fork face", _estimate_words(subject, truck.front_overhang_m, "m")],
        ["height of centre of gravity", _estimate_words(subject, truck.cg_height_m, "m")],
        ["highest fork height", show(truck.upright.lift_max_m, "m")],
        ["tilt forward / back", tilts],
        ["forks", forks],
    ]
    sheet.table((Column("Truck", 1.0), Column("", 1.5)), rows, SMALL - 1)


def _estimate_words(subject: Subject, estimate: Estimate[float], kind: str) -> str:
    return f"{subject.show(estimate.best, kind)}, {KNOWN_WORDS[estimate.known]}"


def _heel_words(subject: Subject, hold: HeelHold | None) -> str:
    """What keeps the sleeves' heels on the forks."""
    match hold:
        case HeelPin():
            return f"a pin of {subject.size(hold.pin.diameter_m)} under each fork's heel"
        case HeelChain():
            chains = "one chain over both heels" if hold.count == 1 else "a chain on each heel"
            mark = "NO MARK ENTERED" if hold.wll_kg is None else f"marked {subject.show_down(hold.wll_kg)}"
            return f"{chains}, {mark}, to the {hold.to.replace('_', ' ')}"
        case NoHeelHold():
            return "NOTHING"
        case None:
            return "NOTHING ENTERED"


def _add_rig(sheet: Sheet, subject: Subject, asked: Request) -> None:
    rig, combined, show = subject.job.rig, asked.combined, subject.show
    held = _heel_words(subject, rig.sleeves.heel_hold)
    mounting = f"two closed sleeves {show(rig.sleeves.length_m, 'mm')} long over the forks, kept on by {held}"
    elevated_kg = combined.both_kg + combined.hung_kg
    elevated = (
        f"{show(combined.lift_m, 'm')}, load in the middle: {subject.show_up(elevated_kg)} "
        f"with a hook load of {subject.show_up(combined.hung_kg)}"
    )
    rows = [
        ["attachment", rig.name],
        ["serial, revision", f"{rig.serial.strip() or NOT_ENTERED}, {rig.revision}"],
        ["mounting", mounting],
        ["weight", subject.show_up(combined.rig_kg)],
        ["lowest / highest hook asked for", _hook_range(subject, asked)],
        ["truck and attachment together", f"{subject.show_up(combined.both_kg)}, without a load"],
        ["... at maximum elevation", elevated],
        ["centre of both, no load", _from_axle(subject, combined.centre_m)],
        ["centre of all, with that load", _from_axle(subject, combined.centre_loaded_m)],
    ]
    sheet.table((Column("Attachment", 1.0), Column("", 1.5)), rows, SMALL - 1)


def _hook_range(subject: Subject, asked: Request) -> str:
    heights_m = asked.chart.hook_heights_m
    if asked.chart.problems or not heights_m:
        return "not known"
    return f"{subject.show(min(heights_m), 'm')} / {subject.show(max(heights_m), 'm')}"


def _from_axle(subject: Subject, at: Vec) -> str:
    ahead_m = float(at.x)
    way = "ahead of" if ahead_m >= 0.0 else "behind"
    return f"{subject.show(abs(ahead_m), 'm')} {way} the front axle, {subject.show(float(at.z), 'm')} up"


def _add_pin_holes(sheet: Sheet, subject: Subject, asked: Request) -> None:
    sheet.heading("Attachment at each pin hole, arms straight; places from fork face and top of blades", 50.0)

    def ahead_and_up(at: Vec) -> str:
        return f"{subject.show(float(at.x), 'm')} ahead, {subject.show(float(at.z), 'm')} up"

    rows = [
        [
            str(row.hole),
            subject.show(row.out_m, "m"),
            subject.show_up(row.rig_kg),
            ahead_and_up(row.centre_m),
            ahead_and_up(row.hook_m),
            "none" if row.request_kg is None else subject.show_down(row.request_kg),
            row.governing,
        ]
        for row in asked.at_holes
    ]
    columns = (
        Column("hole", 0.45),
        Column("boom out", 0.9, "right"),
        Column("weight", 0.75, "right"),
        Column("its centre of gravity", 1.9),
        Column("hook", 1.9),
        Column("load asked for", 0.95, "right"),
        Column("limit behind it", 2.4),
    )
    sheet.table(columns, rows, SMALL - 1)
    rigging = subject.show_up(subject.job.load.rigging_kg.best)
    sheet.text(
        "Load asked for: least at any hook height in the chart, worst case, rounded down, "
        f"rigging of {rigging} not included; never more than the plate.",
        SMALL - 1,
    )


def _add_worst_poses(sheet: Sheet, subject: Subject, asked: Request) -> None:
    sheet.heading("Worst pose in each direction, with the job's load", 50.0)
    rows = [_worst_pose_cells(subject, worst) for worst in asked.worst]
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
    load = subject.job.load
    mass, rigging = subject.show_up(load.mass_kg.best), subject.show_up(load.rigging_kg.best)
    both = subject.show_up(load.mass_kg.best + load.rigging_kg.best)
    governing = subject.verdict.governing
    here = f" In the pose drawn {governing.name} gives first." if governing is not None else ""
    sheet.text(
        f"{load.name}: load {mass} + rigging {rigging} = hook load {both}; use of the bare truck's restoring moment, "
        f"allowances as listed; the truck starts to go at 100 %.{here}",
        SMALL - 1,
    )


def _add_sideways(sheet: Sheet, subject: Subject, asked: SidewaysMoment) -> None:
    """The number that the maker is asked for, and what the plate covers."""
    show = subject.show
    moment, covered = show(abs(asked.moment_kgm), "kgm_up"), asked.covered_kgm
    side = "left" if asked.moment_kgm >= 0.0 else "right"
    plate = "no plate is entered" if covered is None else f"the plate covers {show(covered, 'kgm_down')}"
    ask = " Please say which sideways moment the truck may carry." if asked.to_ask else ""
    words = (
        f"Sideways moment of attachment, rigging and load: up to {moment} to the {side} ({asked.arms}); {plate}.{ask}"
    )
    sheet.text(words, SMALL, bold=asked.to_ask)


def _worst_pose_cells(subject: Subject, worst: WorstPose) -> list[str]:
    hook, pose, show = worst.hook_m, worst.pose, subject.show
    ahead_m, left_m, up_m = float(hook.x), float(hook.y), float(hook.z)
    aside = (
        "" if abs(left_m) < STRAIGHT_M else f", {show(abs(left_m), 'm')} to the {'left' if left_m > 0.0 else 'right'}"
    )
    return [
        worst.line,
        show(worst.use, "use"),
        worst.arms,
        str(pose.hole),
        show(pose.lift_m, "m"),
        show(pose.tilt_rad, "deg"),
        f"{show(ahead_m, 'm')} from front axle{aside}, {show(up_m, 'm')} up",
    ]
