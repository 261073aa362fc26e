"""Rear weight against the load, and the tip-up curve, in words: each point of a curve, and what each curve says."""

from __future__ import annotations

from engine.base.formatting import System, fill, show
from engine.explain.phrases import PARTS_ENTERED_ONLY
from engine.explain.shown import ShownFigures, figure_text, group_mass_text
from engine.handling.lift_curve import LiftCurve, LiftPoint
from engine.handling.moment_balance import first_line_to_tip
from engine.handling.tip_curve import TipCurve
from engine.schema.model import Job
from engine.worst_case.verdict import Verdict

ONLY_WHY = "The limit is the first lift of a rear wheel; this is only why it goes so fast."
"""Stands with every tip-up curve."""

NO_VERDICT = "No curve: there is no verdict on this pose."

OVER_EMPTY = "No curve: the truck tips over the {line} line with nothing on the hook."

WHEELS_UP = "No curve: the rear wheels are off the floor already, as entered. Nothing holds the truck down."


def no_verdict_words(job: Job, verdict: Verdict) -> str:
    """That there is no curve, and everything that is missing or cannot be."""
    reasons = (fill(problem.words, problem.numbers, job.units) for problem in verdict.problems)
    return " ".join((NO_VERDICT, *reasons))


# ---------------------------------------------------------------- rear weight against the load


def no_lift_curve_words(job: Job, verdict: Verdict) -> str:
    """Why there is no curve of the rear weight."""
    if verdict.worst_case is None or verdict.leaned is None:
        return no_verdict_words(job, verdict)
    return OVER_EMPTY.format(line=first_line_to_tip(verdict.leaned).name)


def lift_words(curve: LiftCurve, point: LiftPoint, figures: ShownFigures, system: System) -> str:
    """One load on the hook: what it leaves on the rear wheels."""
    hook = show(point.hook_kg, "kg_up", system)
    if "now" in point.marks:
        hook = figure_text(figures, "hook_load_kg", system)
    elif "most" in point.marks:
        hook = figure_text(figures, "allowed_hook_load_kg", system)
    elif "tips" in point.marks or "must keep" in point.marks:
        hook = show(point.hook_kg, "kg_down", system)
    keep, left, worst = (
        show(point.must_keep_kg, "kg_up", system),
        _left(point.on_rear_kg, system),
        _left(point.at_worst_kg, system),
    )
    if "tips" in point.marks:
        return f"Tips over the {curve.tips_over} line, hook load {hook}: {left} on the rear wheels as entered."
    past = curve.most_kg is None or point.hook_kg > curve.most_kg
    allowed = " More than may hang." if past and "most" not in point.marks and point.hook_kg > 0.0 else ""
    return (
        f"{_name(point, figures)}{hook}: {left} on the rear wheels as entered, {worst} in the worst case; {keep} must "
        f"stay.{allowed}"
    )


def _left(on_rear_kg: float, system: System) -> str:
    """What is left on the rear wheels; what sums leave of nothing is nothing."""
    return show(on_rear_kg, "kg_down", system) if on_rear_kg > NOTHING_KG else "nothing"


NOTHING_KG = 0.01


def _name(point: LiftPoint, figures: ShownFigures) -> str:
    """What the load of a point is, up to its figure; the first that applies of several."""
    if "now" in point.marks:
        return "Now, hook load "
    if "most" in point.marks:
        planned = figures.allowed_by == "planned"
        return f"{'Planned limit, NOT APPROVED' if planned else 'Most that may hang'}, hook load "
    if "must keep" in point.marks:
        return "Down to what must stay, as entered, hook load "
    return "Hook load "


def lift_sentence(curve: LiftCurve, verdict: Verdict, system: System) -> str:
    """What the curve comes to: where the truck tips, and whether the pose is past that."""
    worst = verdict.worst_case
    tips = "More load on the hook does not tip the truck here."
    if worst is not None and curve.marked("tips") is not None:
        at_worst_kg = max(worst.standing.tipping_load_kg, 0.0) + float(worst.numbers.rigging_kg)
        at_worst = show(at_worst_kg, "kg_down", system)
        as_entered = show(curve.tips_at_kg, "kg_down", system)
        tips = (
            f"The truck tips at a hook load of {at_worst} in the worst case, {as_entered} as entered over the "
            f"{curve.tips_over} line."
        )
    now = " What hangs now tips it, as entered." if curve.now_kg >= curve.tips_at_kg else ""
    most = "" if curve.most_kg is not None else " Nothing may hang on the hook in this pose."
    parts = "" if verdict.proven else f" {PARTS_ENTERED_ONLY} {_unsettled(verdict, system)}"
    return f"{tips}{now}{most}{parts}"


def _unsettled(verdict: Verdict, system: System) -> str:
    return " ".join(fill(problem.words, problem.numbers, system) for problem in verdict.not_entered)


# ---------------------------------------------------------------- tip-up curve


def tip_words(curve: TipCurve, lean_rad: float, system: System) -> str:
    """One lean: how high the rear wheels are, and what still brings the truck back."""
    lean, lift = show(lean_rad, "deg", system), show(float(curve.wheel_lift_m(lean_rad)), "mm", system)
    if lean_rad >= curve.no_return_rad:
        return f"Lean {lean}, rear wheels {lift} up: nothing brings it back."
    moment_Nm = float(curve.moment_Nm(lean_rad))
    moment = show(moment_Nm, "Nm_down", system)
    share = show(moment_Nm / float(curve.moment_Nm(0.0)), "share_down", system)
    return f"Lean {lean}, rear wheels {lift} up: {moment} bring it back, {share} of what held it down at first."


def tip_sentence(curve: TipCurve, verdict: Verdict, system: System) -> str:
    """Where nothing brings the truck back, what takes it there, and whether another line comes first."""
    lean = show(curve.no_return_rad, "deg", system)
    lift = show(float(curve.wheel_lift_m(curve.no_return_rad)), "mm", system)
    jolt, rise = show(curve.jolt_J, "J_down", system), show(curve.rise_m, "mm_down", system)
    mass = group_mass_text("combined", curve.mass_kg, system)
    line = "front" if verdict.leaned is None else first_line_to_tip(verdict.leaned).name
    other = ""
    if line != "front":
        other = f" More load tips this truck over the {line} line first; the curve is over the front wheels."
    return (
        f"Past {lean} nothing brings it back: the rear wheels are then {lift} up. A jolt of {jolt} takes it there: as "
        f"much as lifting all {mass} by {rise}.{other}"
    )
