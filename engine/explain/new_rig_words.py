"""A new rig in plain words: what it is made of and what governs it; or what is in the way and what can be had."""

from __future__ import annotations

from engine.base.formatting import fill
from engine.explain.why import Statement
from engine.planning.first_rig_sizing import RESERVE
from engine.planning.new_rig import NewRig
from engine.schema.model import Job
from engine.schema.sections import RectTube
from engine.schema.stock_sizes import name_of_size
from engine.shop.first_rig import Wish
from engine.worst_case.verdict import Verdict, evaluate

HOLDS = (
    "A rig that holds: at the wish every limit of it is used {reserve:share} at most in the worst case. It weighs "
    "{weight:kg_up}."
)
OPEN = (
    "The rig is sized, but there is no verdict on it yet: {missing}. It was sized for a guessed slope of 1 % both ways "
    "where no floor is entered, and for a plate as such trucks usually have where none is read."
)
NO_ROOM = (
    "The truck stands in the way of every rig tried: the boom's tail does not clear its upright or its overhead guard. "
    "Ask for another hook height, or for a hook further out."
)
IN_THE_WAY = "No rig of common sizes does this: {limit} stays over."
WELDED = "By a qualified welder and looked at by a second person, it can be had."
TESTED = "By a qualified welder and tested for cracks, it can be had."
NEARER = "With the hook {reach:mm_down} from the fork face it can be had."
LIGHTER = "With a load of {load:kg_down} it can be had."
NOTHING_NEAR = "Nothing near it can be had either: take a larger truck, or ask for much less."
CHECK = (
    "Common sizes, from memory: see what can be bought. Read every size again before cutting, and have the truck "
    "maker's written approval before lifting."
)


def new_rig_words(wish: Wish, found: NewRig) -> Statement:
    """What came of a wish, in a few sentences."""
    if found.job is None:
        words, numbers = _none_words(wish, found)
        return Statement(words=words, numbers=numbers)
    missing = _missing(evaluate(found.job, found.job.poses[0]))
    numbers = {"reserve": RESERVE, "weight": found.weight_kg, "missing": missing}
    return Statement(words=f"{OPEN if missing else HOLDS} {CHECK}", numbers=numbers)


def _missing(verdict: Verdict) -> str:
    """What keeps a verdict from being there, in its own words' beginning."""
    entries = {"floors": "the floor's slope is not entered", "truck": "the truck's plate is not entered"}
    found = dict.fromkeys(
        entries.get(problem.where.partition("[")[0].partition(".")[0], "") for problem in verdict.problems
    )
    return " and ".join(words for words in found if words)


def _none_words(wish: Wish, found: NewRig) -> tuple[str, dict[str, float | str]]:
    if not found.limit and found.nearest is None:
        return NO_ROOM, {}
    first = IN_THE_WAY if found.limit else NO_ROOM
    numbers: dict[str, float | str] = {"limit": found.limit}
    near = found.nearest
    if near is None:
        return f"{first} {NOTHING_NEAR}", numbers
    if near.quality != wish.quality:
        return f"{first} {WELDED if near.quality == 'qualified_visual' else TESTED}", numbers
    if near.reach_m != wish.reach_m:
        return f"{first} {NEARER}", {**numbers, "reach": near.reach_m}
    return f"{first} {LIGHTER}", {**numbers, "load": near.load.best}


def part_lines(job: Job) -> tuple[Statement, ...]:
    """The tubes of a new rig, one line each: what it is, its size, its length."""
    rig = job.rig
    rows: list[tuple[str, RectTube | object, float]] = [
        ("Sleeves, two", rig.sleeves.section, rig.sleeves.length_m),
        ("Jib mast", rig.jib_mast.section, rig.jib_mast.length_m),
        ("Boom", rig.boom.section, rig.boom.length_m),
        *((arm.name.capitalize(), arm.section, arm.length_m) for arm in rig.arms),
    ]
    return tuple(
        Statement(
            words="{part}: {size}, {length:length} long",
            numbers={"part": part, "size": _size(section, job), "length": length_m},
        )
        for part, section, length_m in rows
    )


def _size(section: object, job: Job) -> str:
    named = name_of_size(section)  # type: ignore[arg-type]
    if named is not None:
        return named
    assert isinstance(section, RectTube)
    numbers = {"wide": section.width_m, "deep": section.depth_m, "wall": section.wall_m}
    return fill("{wide:size} x {deep:size} x {wall:size}", numbers, job.units)
