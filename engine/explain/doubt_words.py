"""Doubt in words: what each measurement would buy, and the one sentence that says what settles a pose or helps it."""

from __future__ import annotations

from engine.base.formatting import NO_MORE_USE, System, show
from engine.rig.kinematics import hole_out_m
from engine.schema.model import Job, Pose
from engine.shop.edits import REPLACE
from engine.strength.cautions import thin_end_advice
from engine.worst_case.doubt import Doubt, Swing
from engine.worst_case.entry_costs import entries_to_measure
from engine.worst_case.verdict import Verdict, evaluate

BEST_KNOWN = "as well known as a shop can"


def heading_of(doubt: Doubt, system: System) -> str:
    """The limit, its use with everything against it, as entered, and with walls and welds at their thin end."""
    uses = (doubt.worst, float(doubt.check.use), doubt.base)
    worst, as_entered, base = (show(use, "use", system) for use in uses)
    thin = "" if base == as_entered else f"; {base} with walls and welds at their thin end"
    return f"Most used in the worst case: {doubt.check.name}, {worst} (as entered {as_entered}{thin})."


def entry_name(swing: Swing) -> str:
    """The entry's name as the first words of a line."""
    name = swing.entry.name
    return name[:1].upper() + name[1:]


def label_of(swing: Swing, system: System) -> str:
    """The entry over its bar, and what measuring it would bring the worst case to."""
    if not swing.worth_measuring:
        return entry_name(swing)
    then = "WITHIN" if swing.settles else show(swing.measured, "use", system)
    return f"{entry_name(swing)} \N{RIGHTWARDS ARROW} {then}"


def buys_words(swing: Swing, system: System) -> str:
    """What following the advice buys, for the line that is read."""
    if swing.settles:
        return f"{swing.entry.advice}: WITHIN"
    if not swing.worth_measuring:
        return BEST_KNOWN
    return f"{swing.entry.advice}: {show(swing.measured, 'use', system)} in the worst case"


def swing_words(swing: Swing, system: System) -> str:
    """One entry in a sentence: its use at its least and at its most, and what measuring it would buy."""
    # Single entries mostly make less than a point of difference.
    kinds = ("fine_share_up" if use <= NO_MORE_USE else "use" for use in (swing.at_least, swing.at_most))
    uses = zip((swing.at_least, swing.at_most), kinds, strict=True)
    least, most = (show(use, kind, system) for use, kind in uses)
    both = ", both ways worse" if swing.both_worse else ""
    buys = buys_words(swing, system)
    if not (swing.settles or swing.worth_measuring):
        buys = f"It is {buys}"
    return f"{entry_name(swing)}: {least} at its least, {most} at its most{both}. {buys}."


def settling_words(job: Job, pose: Pose, verdict: Verdict, doubt: Doubt) -> str:
    """What settles a pose, or what would help it instead, in a sentence or two.

    Parameters
    ----------
    job, pose : Job, Pose
        What the verdict is about.
    verdict, doubt : Verdict, Doubt
        Of that pose.
    """
    if verdict.room.short:
        return "Something is in the way: no measuring of these clears it."
    if verdict.state == "OVER":
        return "Measuring cures nothing here: a limit is passed with every value as entered." + _one_hole_in(
            job, pose, verdict, doubt
        )
    if verdict.doubt_alone:
        entries = entries_to_measure(verdict.worst_case) if verdict.worst_case is not None else ()
        if entries:
            advice = "; ".join(entry.advice for entry in entries)
            return f"{advice}: NOT PROVEN becomes WITHIN, if it comes out as entered."
        words = "Measuring these alone is not enough: less load, less reach or a stronger part is needed."
        return words + _one_hole_in(job, pose, verdict, doubt) + thin_end_advice(job.rig)
    if verdict.state == "NOT PROVEN":
        return "Something else comes first: no measuring of these makes this pose WITHIN. The verdict names it."
    worth = [swing for swing in doubt.rows if swing.worth_measuring]
    if worth:
        best = max(worth, key=lambda swing: swing.buys)
        then = show(best.measured, "use", job.units)
        return f"{best.entry.advice}: the use in the worst case comes down to {then}, if it comes out as entered."
    return "Nothing here is worth measuring again." + _one_hole_in(job, pose, verdict, doubt)


def _one_hole_in(job: Job, pose: Pose, verdict: Verdict, doubt: Doubt) -> str:
    """What the boom one hole further in makes of the same limit, where that is better and the pose can be."""
    if pose.hole is None or pose.hole >= job.rig.boom.hole_count:
        return ""
    hole = pose.hole + 1
    assert hole_out_m(job.rig, hole) < hole_out_m(job.rig, pose.hole)  # holes are counted from the tail
    then = evaluate(job, REPLACE(pose, hole=hole))
    uses = [use for check, use in then.worst_uses if check.name == doubt.check.name]
    if then.problems or then.room.short_at_worst or not uses or not uses[0] < doubt.worst:
        return ""
    state = "" if then.state == verdict.state else f", {then.state}"
    return f" One hole in (hole {hole}) brings it to {show(uses[0], 'use', job.units)}{state}."
