"""A new rig in plain words: what it is made of and what governs it; or what is in the way and what can be had."""

from __future__ import annotations

from engine.base.formatting import fill
from engine.explain.why import Statement
from engine.planning.first_rig_sizing import RESERVE
from engine.planning.new_rig import NewRig
from engine.schema.model import Job
from engine.schema.sections import RectTube
from engine.schema.stock_sizes import name_of_size
from engine.shop.first_joints import SLING_M
from engine.shop.first_rig import RIGGING_KG, USUAL_BOX_M, Wish

HOLDS = (
    "A rig that holds: at the wish every limit of it is used {reserve:share} at most in the worst case. It weighs "
    "{weight:kg_up}."
)
OPEN = "The rig is sized, but there is no verdict on it yet: {missing}. {instead}"
UNPROVEN = "The rig is sized, but it stays NOT PROVEN: {missing}. {instead}"
MISSING = {
    "floor": ("the floor's slope is not entered", "a guessed slope of 1 % both ways"),
    "plate": ("the truck's plate is not entered", "a plate as such trucks usually have"),
    "sling": ("the rating on the sling's tag is not entered", "a sling rated for twice the load"),
}
"""What keeps a new rig from being within its limits, and what it is sized for instead."""

TAKEN = "Taken as usual, not entered: {taken}."
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
    missing = _missing(found.job)
    numbers: dict[str, float | str] = {"reserve": RESERVE, "weight": found.weight_kg}
    numbers["missing"] = _listed([MISSING[name][0] for name in missing])
    numbers["instead"] = f"It was sized for {_listed([MISSING[name][1] for name in missing])}."
    head = HOLDS if not missing else UNPROVEN if missing == ["sling"] else OPEN
    taken, sizes = _taken(wish)
    said = [head, *([TAKEN.replace("{taken}", taken)] if taken else []), CHECK]
    return Statement(words=" ".join(said), numbers=numbers | sizes)


def _missing(job: Job) -> list[str]:
    """What nobody has said or read, of what nothing is proven without."""
    floor, rigging = job.floors[0], job.load.rigging
    there = {
        "floor": floor.fall_along is not None and floor.fall_across is not None,
        "plate": job.truck.plate is not None,
        "sling": rigging is not None and rigging.tag is not None,
    }
    return [name for name, said in there.items() if not said]


def missing_words(job: Job) -> tuple[str, ...]:
    """What keeps a new rig from any verdict, each in a few words; a sling without a rating leaves one."""
    return tuple(MISSING[name][0] for name in _missing(job) if name != "sling")


def _taken(wish: Wish) -> tuple[str, dict[str, float | str]]:
    """Sizes of load and rigging that are the usual ones, as a template and its numbers."""
    taken: list[str] = []
    if None in wish.box_m:
        sides = [name for name, size_m in zip(("length", "width", "height"), wish.box_m, strict=True) if size_m is None]
        taken.append(f"{_listed(sides)} of the load, {{box:length}}{' each' if len(sides) > 1 else ''}")
    if wish.sling_m is None:
        taken.append("length of the sling, {sling:length}")
    taken.append("weight of the rigging, {rigging:kg}")
    return "; ".join(taken), {"box": USUAL_BOX_M[wish.units], "sling": SLING_M[wish.units], "rigging": RIGGING_KG}


def _listed(words: list[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


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
