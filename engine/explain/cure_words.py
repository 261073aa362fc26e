"""Cures of a pose in plain words: each part with its size before and after, what that allows, what governs then."""

from __future__ import annotations

from engine.base.formatting import System, fill, show
from engine.explain.entry_names import choice_words, entry_title, kind_of
from engine.explain.why import Statement
from engine.planning.mend import PARTS_AT_MOST, Cure, Mending, PartStep
from engine.rig.check import Problem
from engine.schema.connections import BasePlate, Weld
from engine.schema.model import Job
from engine.schema.sections import RectTube, RoundTube
from engine.schema.stock_sizes import name_of_size

NOT_THE_RIG = (
    "The truck is over first ({limits}); no part of the rig cures that. Change the pose, the load or the truck; then "
    "ask again."
)
ALLOWS = "It then allows {allowed:kg_down} instead of {before:kg_down}; {limit} governs at {use:share}."
_LOOKED_AT = {"qualified_visual": "looked at by a second person", "qualified_ndt": "tested for cracks"}
MANY = f"More than {PARTS_AT_MOST} parts have to change: a new rig may be less work. "
EXAMINE = "After welding, have the weld examined."
LEFT_OUT = "Pin holes {} are left out: the truck is over there or something is in the way."


def cure_words(cure: Cure, job: Job) -> Statement:
    """What to change, what that allows, and what governs then."""
    changes = "; ".join(step_words(step, job, job.units) for step in cure.steps)
    weight = " The rig gets {added:kg_up} heavier." if cure.added_kg >= 0.5 else ""
    examine = f" {EXAMINE}" if any(step.tier == 7 for step in cure.steps) else ""
    numbers = {
        "changes": changes,
        "allowed": cure.allowed_kg,
        "before": cure.before_kg,
        "limit": cure.next_limit,
        "use": cure.next_use,
        "added": cure.added_kg,
    }
    many = MANY if len(cure.steps) > PARTS_AT_MOST else ""
    return Statement(words=f"{many}{{changes}}. {ALLOWS}{weight}{examine}", numbers=numbers)


def none_words(mending: Mending) -> Statement:
    """Why there is no cure."""
    if mending.not_the_rig:
        return Statement(words=NOT_THE_RIG, numbers={"limits": ", ".join(mending.not_the_rig)})
    if mending.problems:
        return no_verdict_words(mending.problems)
    return Statement(words=mending.why_not)


def no_verdict_words(problems: tuple[Problem, ...]) -> Statement:
    """Why there is no verdict on what was asked."""
    first = problems[0]
    return Statement(words=f"REFUSED: {first.words}", numbers=first.numbers)


def left_out_words(mending: Mending) -> str:
    """Which holes of the boom were asked about in vain, after another sentence; nothing where none was."""
    return f" {LEFT_OUT.format(', '.join(map(str, mending.left_out)))}" if mending.left_out else ""


def step_words(step: PartStep, job: Job, units: System) -> str:
    """One part at another size: "Boom, pin, diameter: 20 mm to 25 mm"."""
    name = entry_title(step.path, job)
    match step.kind:
        case "quality":
            return (
                f"{name.rpartition(', ')[0]}: have it made anew by a qualified welder and {_LOOKED_AT[str(step.now)]}"
            )
        case "groove":
            return f"{name}: fill the grooves beside the corners"
        case "base" if isinstance(step.now, BasePlate):
            words = "{name}: weld a plate under it, {thick:size} thick, {length:length} along, {width:length} across"
            plate = {"thick": step.now.thickness_m, "length": step.now.length_m, "width": step.now.width_m}
            return fill(words, {"name": name, **plate}, units)
        case _:
            was, now = (size_words(size, step.path, units) for size in (step.was, step.now))
            return f"{name}: {was} to {now}"


def size_words(size: object, path: str, units: System) -> str:
    """A size as a shop says it."""
    match size:
        case RectTube() | RoundTube():
            return name_of_size(size) or " x ".join(show(side_m, "size", units) for side_m in _sides_m(size))
        case Weld() | BasePlate():
            return ""
        case str():
            return choice_words(size)
        case float():
            return show(size, kind_of(path.rpartition(".")[2]), units)
        case _:
            return str(size)


def _sides_m(tube: RectTube | RoundTube) -> tuple[float, ...]:
    if isinstance(tube, RoundTube):
        return tube.diameter_m, tube.wall_m
    return tube.width_m, tube.depth_m, tube.wall_m
