"""The next sizes of a part in plain words: what each would allow, and what gives first then."""

from __future__ import annotations

from engine.base.formatting import System, fill
from engine.explain.cure_words import size_words
from engine.explain.entry_names import entry_title
from engine.planning.neighbour_sizes import Neighbours, OtherSize
from engine.schema.model import Job

ALLOWS = "{which}, {size}: allows {allowed:kg_down}{unproven}; gives first: {limit}"
NOTHING = "{which}, {size}: allows nothing; gives first: {limit}"
NO_SUCH = "{which}: none is listed"
CANNOT = "{which}, {size}: does not go together with the parts round it"
REFUSED = "{which}, {size}: no verdict. {why}"
UNPROVEN = ", not proven"
DOWN, UP = "One size down", "One size up"


def neighbour_words(neighbours: Neighbours, job: Job, units: System) -> str:
    """A part's size now, and a line for the next one either way."""
    path = neighbours.path
    title = f"{entry_title(path, job)}: {size_words(neighbours.was, path, units)} now"
    pairs = ((UP, neighbours.larger), (DOWN, neighbours.smaller))
    return "\n".join([title, *(_line(which, other, path, units) for which, other in pairs)])


def _line(which: str, other: OtherSize | None, path: str, units: System) -> str:
    if other is None:
        return fill(NO_SUCH, {"which": which}, units)
    numbers: dict[str, float | str] = {
        "which": which,
        "size": size_words(other.size, path, units),
        "limit": other.limit,
    }
    if other.allowed_kg is None:
        if other.problem is None:
            return fill(CANNOT, numbers, units)
        return fill(REFUSED, {**numbers, "why": fill(other.problem.words, other.problem.numbers, units)}, units)
    numbers |= {"allowed": other.allowed_kg, "unproven": UNPROVEN if other.state == "NOT PROVEN" else ""}
    return fill(ALLOWS if other.allowed_kg >= 1.0 else NOTHING, numbers, units)
