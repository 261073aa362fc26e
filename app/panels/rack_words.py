"""What the rack panel says: a length of steel, a job wanted, a rig that was found, and how the search went."""

from __future__ import annotations

import math

from app.panels.solution_words import used_words
from engine.base.formatting import System, show
from engine.planning.stock_search import JobResult, RackRig, StockSearch
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
    sizes = " x ".join(show(getattr(section, f"{size}_m"), "length", units) for size in SIZES_OF[type(section)])
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
    unused = ": not used" if usable_section(steel.section, steel.condition) is None else ""
    left_out = "".join(
        f"; NOT {show(zone.from_m, 'length', units)} to {show(zone.to_m, 'length', units)} ({zone.why})"
        for zone in steel.no_go
    )
    length = show(steel.length_m, "m", units)
    return f"{steel.name}: {size}, {number}{length} long{grade}{condition}{unused}{left_out}"


def job_words(job: WantedJob, units: System) -> str:
    """One job wanted."""
    known = job.load_kg.known.replace("_", " ")
    load, rigging = show(job.load_kg.best, "kg", units), show(job.rigging_kg, "kg", units)
    height, ahead = show(job.hook_height_m, "m", units), show(job.ahead_of_face_m, "m", units)
    return f"{job.name}: {load} ({known}) with {rigging} of rigging, hook {height} up, {ahead} ahead of the fork face"


def rig_words(rig: RackRig, units: System) -> str:
    """One rig: weight, tubes, and how it does each job."""
    tubes = ", ".join(f"{part} from {name}" for part, name in rig.tubes)
    jobs = " ".join(_result_words(result, units) for result in rig.results)
    head = "" if rig.works else "DOES NOT DO IT. "
    return f"{head}Rig {show(rig.rig_kg, 'kg', units)}: {tubes}. {jobs}"


def _result_words(result: JobResult, units: System) -> str:
    """How a rig does one job."""
    if not math.isfinite(result.use):
        return f"{result.wanted}: NOT DONE, {result.governing or 'refused'}."
    head = "" if result.works else "NOT DONE, "
    used, allowed = used_words(result.use, units), show(result.allowed_kg, "kg_down", units)
    return f"{result.wanted}: {head}{used} used, {allowed} allowed, governs {result.governing}."


def search_words(search: StockSearch) -> str:
    """What the search came to."""
    looked = f"{search.looked_at} of {search.of} rigs looked at"
    if search.rigs:
        return f"Lightest first, every job within the limits in its worst case ({looked})."
    if search.nearest is None:
        return "NOTHING: no rig can be cut from these tubes. Longer or more tubes, nearer jobs, or another pattern."
    return f"NONE does every job ({looked}). The nearest is listed: it DOES NOT do them."
