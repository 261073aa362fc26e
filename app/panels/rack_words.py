"""What the rack panel says: a length of steel, a job wanted, a rig that was found, and how the search went."""

from __future__ import annotations

import math

from engine.base.formatting import System, fill, show
from engine.planning.stock_search import JobResult, RackCut, RackRig, StockSearch
from engine.planning.stock_tubes import is_on_edge
from engine.planning.stock_unused import NotFor, Unused
from engine.schema.model import Stock, WantedJob
from engine.schema.sections import FlatBar, RectTube, RoundTube, Section, SolidRound
from engine.schema.steel import UNKNOWN
from engine.schema.stock_sizes import name_of_size
from engine.shop.cutting_plan import usable_section

SIZES_OF: dict[type[Section], tuple[str, ...]] = {
    RectTube: ("width", "depth", "wall"),
    RoundTube: ("diameter", "wall"),
    FlatBar: ("width", "depth"),
    SolidRound: ("diameter",),
}
"""Sizes of each kind of section; each is the section's own entry without its ``_m``."""


def section_words(section: Section, units: System) -> str:
    """A section's sizes."""
    sizes = " x ".join(show(getattr(section, f"{size}_m"), "size", units) for size in SIZES_OF[type(section)])
    match section:
        case RectTube():
            return sizes
        case RoundTube():
            return f"round {sizes}"
        case FlatBar():
            return f"flat bar {sizes}"
        case SolidRound():
            return f"round bar {sizes}"


def steel_words(steel: Stock, units: System) -> str:
    """One line of the rack."""
    size = name_of_size(steel.section) or section_words(steel.section, units)
    number = f"{steel.count} of them, each " if steel.count > 1 else ""
    grade = "" if steel.steel == UNKNOWN else f", {steel.steel}"
    condition = "" if steel.condition == "good" else f", {steel.condition.upper()}"
    usable = usable_section(steel.section, steel.condition)
    unused = ": not used" if usable is None else _thinned(usable, ": ", units)
    left_out = "".join(
        f"; NOT {show(zone.from_m, 'length', units)} to {show(zone.to_m, 'length', units)} ({zone.why})"
        for zone in steel.no_go
    )
    length = show(steel.length_m, "length", units)
    return f"{steel.name}: {size}, {number}{length} long{grade}{condition}{unused}{left_out}"


def _thinned(section: Section, before: str, units: System) -> str:
    """What counts as lost of a tube's wall, where anybody has said that something is."""
    lost_m = section.wall_lost_m if isinstance(section, RectTube | RoundTube) else None
    return f"{before}counted {show(lost_m, 'mm', units)} thinner" if lost_m else ""


def job_words(job: WantedJob, units: System) -> str:
    """One job wanted."""
    known = job.load_kg.known.replace("_", " ")
    load, rigging = show(job.load_kg.best, "kg_up", units), show(job.rigging_kg, "kg_up", units)
    height, ahead = show(job.hook_height_m, "length", units), show(job.ahead_of_face_m, "length", units)
    return f"{job.name}: {load} ({known}) with {rigging} of rigging, hook {height} up, {ahead} ahead of the fork face"


def rig_words(rig: RackRig, units: System) -> str:
    """One rig: weight, what is cut from which tube, the boom's holes, and how it does each job."""
    cuts = "; ".join(_cut_words(cut, units) for cut in rig.cuts)
    boom = rig.job.rig.boom
    holes = ", ".join(show(boom.hole_m(hole), "mm", units) for hole in range(1, boom.hole_count + 1))
    jobs = " ".join(_result_words(result, units) for result in rig.results)
    head = "" if rig.works else "DOES NOT DO IT. "
    named = f"{head}Rig {show(rig.rig_kg, 'kg_up', units)}: {cuts}. Boom holes from the tail: {holes}. {jobs}"
    return f"{named} {_unproven_words(rig)}" if rig.works and rig.unproven else named


def _cut_words(cut: RackCut, units: System) -> str:
    """One part: its length, its tube, and which way up that stands."""
    on_edge = is_on_edge(cut.section)
    ways = (
        ("deeper side across the truck", "deeper side along the truck")
        if cut.part == "jib mast"
        else ("flat", "on edge")
    )
    way = "" if on_edge is None else f", {ways[on_edge]}"
    thinned = _thinned(cut.section, ", ", units)
    return f"{cut.part} {show(cut.cut_m, 'length', units)} from {cut.tube}{thinned}{way}"


def _unproven_words(rig: RackRig) -> str:
    parts = ", ".join(_inside(str(problem.numbers.get("part", problem.where))) for problem in rig.unproven)
    return f"NOT PROVEN, for what the open rig leaves open too: {parts}."


def _inside(name: str) -> str:
    """A name at the start of a sentence as it stands inside one."""
    return name[:1].lower() + name[1:]


def _result_words(result: JobResult, units: System) -> str:
    """How a rig does one job."""
    off = ""
    if result.off_m > TOLD_OFF_M:
        off = f" The hook is {show(result.off_m, 'mm', units)} further out than wanted: stand the truck back."
    if not math.isfinite(result.use):
        return f"{result.wanted}: NOT DONE, {_why_not(result, units)}"
    head = "" if result.works else "NOT DONE, "
    used, allowed = show(result.use, "use", units), show(result.allowed_kg, "kg_down", units)
    why = "" if result.works or not result.problems else f" {_why_not(result, units)}"
    return (
        f"{result.wanted}, hole {result.pose.hole}: {head}{used} used, {allowed} allowed, governs "
        f"{result.governing}.{off}{why}"
    )


TOLD_OFF_M = 0.005
"""A hook further out than wanted by less is said to be where it is wanted."""


def _why_not(result: JobResult, units: System) -> str:
    """Why there is no use to give for a job."""
    if result.governing == "hook height":
        way, by_m = ("higher", result.up_m) if result.up_m > 0.0 else ("lower", -result.up_m)
        return f"the hook stays {show(by_m, 'mm', units)} {way} than wanted."
    if result.problems:
        return fill(result.problems[0].words, result.problems[0].numbers, units)
    return f"{result.governing or 'refused'}."


def search_words(search: StockSearch, units: System) -> str:
    """What the search came to, how much of all there is it looked at, and what the rest weighs at least."""
    if search.nearest is None and not search.rigs and not search.was_cut_off:
        return "NOTHING: no rig can be cut from these tubes. Longer or more tubes, nearer jobs, or another pattern."
    looked = f"{search.looked_at} of {search.of} choices of tubes and lengths were looked at"
    step = "" if search.arm_step_m is None else f" Arms come in steps of {show(search.arm_step_m, 'length', units)}."
    rest = "" if search.bound_kg is None else f"; no other weighs less than {show(search.bound_kg, 'kg_down', units)}"
    cut_off = "The search was cut off. " if search.was_cut_off else ""
    if search.rigs:
        judged = "every job within the limits in its worst case"
        if any(rig.unproven for rig in search.rigs):
            judged = "every limit kept in its worst case, NOT PROVEN where it says so"
        return f"{cut_off}Lightest first, {judged}. {looked}{rest}.{step}"
    near = " The nearest of them is listed: it DOES NOT do them." if search.nearest is not None else ""
    none = "NONE of those looked at does every job." if search.was_cut_off else "NONE does every job."
    return f"{cut_off}{none} {looked}{rest}.{step}{near}"


# ---------------------------------------------------------------- steel that is left lying


NO_SPLICE_WORDS = (
    "A spliced boom is not offered: the joint would need its own checks for bending, shear and fit in the saddles, and "
    "Tailweight has none."
)
NOT_COUNTED_WORDS = (
    "Not checked: doublers and splices. A doubler is not counted, so flat bar is never used to make a part pass."
)


def unused_words(unused: Unused, units: System) -> str:
    """Why one line of the rack is not used: one reason for each part."""
    steel = unused.steel
    usable = usable_section(steel.section, steel.condition)
    if isinstance(steel.section, FlatBar | SolidRound):
        return f"{steel.name}: not used, it is no tube. A doubler is not counted."
    if usable is None:
        why = "BENT" if steel.condition == "bent" else "TOO RUSTY, nobody knows how much wall is left"
        return f"{steel.name}: not used, {why}."
    thinned = _thinned(usable, f" ({steel.condition}: " if steel.condition != "good" else " (", units)
    reasons = "; ".join(f"{reason.part}: {_reason_words(reason, units)}" for reason in unused.reasons)
    head = f"{steel.name}{thinned}{')' if thinned else ''}"
    return f"{head}: {reasons.removesuffix('.')}." if reasons else f"{head}: no lengths bring the hook to every job."


def _reason_words(reason: NotFor, units: System) -> str:
    match reason.why:
        case "too short" | "splice":
            cut, longest = (show(size_m, "length", units) for size_m in (reason.cut_m, reason.longest_m))
            two = ", and no splice is offered" if reason.why == "splice" else ""
            return f"too short, longest stretch {longest}, {cut} needed{two}"
        case "round":
            return "round, and the saddles hold rectangular tube"
        case "misfit":
            problem = reason.problem
            return "does not fit" if problem is None else f"does not fit: {fill(problem.words, problem.numbers, units)}"
        case "over" | "rust":
            if not math.isfinite(reason.use):
                return f"not shown to hold: {reason.limit}"
            rusty = "too rusty, in good condition it would keep its limits as entered"
            head = rusty if reason.why == "rust" else "over a limit"
            return f"{head}: {reason.limit} {show(reason.use, 'use', units)} used"
        case "place":
            return "the hook would not be where it is wanted"
        case "length":
            return "the other parts leave too little of it"
        case "heavier":
            more = show(reason.more_kg, "kg_down", units)
            return f"keeps its limits as entered, but makes the rig {more} heavier"
        case "worst case":
            return "keeps its limits as entered, but is not shown to in the worst case"
        case "not needed":
            return "would do as well, the same tube is cut already"
        case "none":
            return "long enough, but no whole rig can be cut"


def splice_words(unused: tuple[Unused, ...]) -> str:
    """What is said of a boom from two lengths, where two would add up; empty where none would."""
    return NO_SPLICE_WORDS if any(one.why == "splice" for each in unused for one in each.reasons) else ""
