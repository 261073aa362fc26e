"""A rig on another truck in plain words: what fits, and each pose on both trucks."""

from __future__ import annotations

from engine.base.formatting import System, fill, show, step_of
from engine.explain.why import Statement
from engine.planning.two_trucks import OnTruck, SideBySide
from engine.shop.another_truck import FitLine

MARKS = {"fits": "fits", "fails": "DOES NOT FIT", "asks": "ask"}


def fit_words(line: FitLine, system: System) -> str:
    """One line of what has to fit."""
    return f"{MARKS[line.fits]}: {line.what}. {fill(line.words, line.numbers, system)}"


def pose_words(row: SideBySide, system: System) -> Statement:
    """A pose on both trucks: what decides on each, what each allows, and where the hook comes on the other."""
    old, new = row.old, row.new
    numbers: dict[str, float | str] = {"pose": row.pose}
    words = f"‘{{pose}}’: on this truck {_on_this(old, numbers, system)}. On the other "
    if row.forks_to_m is not None and new.allowed_kg is not None:
        numbers |= {"spread": row.forks_to_m, "as_it_stands": new.state}
        words += "{as_it_stands} until its forks stand {spread:length} apart; then "
    words += f"{_on_the_other(row, numbers, system)}. {_hook(row, numbers)}"
    return Statement(words=words, numbers=numbers)


def _on_this(old: OnTruck, numbers: dict[str, float | str], system: System) -> str:
    """The state of a pose on this truck, what it allows and what decides that."""
    return f"{_state(old, 'old', numbers, system)}{_limit(old, 'old', numbers, system)}"


def _on_the_other(row: SideBySide, numbers: dict[str, float | str], system: System) -> str:
    """The same on the other truck, against this one."""
    new, gain_kg = row.new, row.gain_kg(system)
    words = _state(new, "new", numbers, system)
    if gain_kg is not None:
        numbers["change"] = abs(gain_kg)
        way = "more than" if gain_kg > 0.0 else "less than"
        way = "as much as" if gain_kg == 0.0 else f"{{change:kg_{'down' if gain_kg > 0.0 else 'up'}}} {way}"
        words += f", {way} on this truck"
    if new.allowed_kg is not None and new.governing == row.old.governing and new.left_out is None:
        return f"{words}, by the same limit"
    return f"{words}{_limit(new, 'new', numbers, system)}"


def _state(on: OnTruck, which: str, numbers: dict[str, float | str], system: System) -> str:
    """The state, with what is allowed or the first sentence of why there is no verdict."""
    numbers[f"{which}_state"] = on.state if on.state_once_set is None else on.state_once_set
    if on.allowed_kg is not None:
        numbers[f"{which}_kg"] = max(on.allowed_kg, 0.0)
        return f"{{{which}_state}}, {{{which}_kg:kg_down}} allowed"
    if on.problem is None:
        return f"{{{which}_state}}"
    why = fill(on.problem.words, on.problem.numbers, system)
    numbers[f"{which}_why"] = why.partition(". ")[0].removesuffix(".")
    return f"{{{which}_state}}: {{{which}_why}}"


def _limit(on: OnTruck, which: str, numbers: dict[str, float | str], system: System) -> str:
    """What limits the load, and what leaves the pose not proven; nothing where there is no verdict."""
    if on.allowed_kg is None:
        return ""
    numbers[f"{which}_part"], _, numbers[f"{which}_kind"] = on.governing.partition(": ")
    words = f", limited by {{{which}_part}} ({{{which}_kind}})"
    if on.left_out is None or numbers[f"{which}_state"] != "NOT PROVEN":
        return words
    numbers[f"{which}_left"] = fill("{part} is not {lacks}", on.left_out.numbers, system)
    return f"{words}, NOT PROVEN because: {{{which}_left}}"


def _hook(row: SideBySide, numbers: dict[str, float | str]) -> str:
    """Where the hook comes on the other truck, against where it was above the floor and ahead of the front axle."""
    numbers |= {"rise": abs(row.rise_m), "further": abs(row.further_m), "lift": row.new.lift_m}
    moved = ["{rise:length} higher" if row.rise_m > 0.0 else "{rise:length} lower"] if row.rise_m else []
    if row.further_m > 0.0:
        moved.append("{further:length} further from the front axle")
    elif row.further_m < 0.0:
        moved.append("{further:length} nearer to the front axle")
    words = f"The hook is {' and '.join(moved)}." if moved else "The hook is as high and as far from the front axle."
    return f"Its forks stop at {{lift:length}}. {words}" if row.forks_stop else words


def cells(on: OnTruck, system: System) -> dict[str, str]:
    """The figures of one truck for a table, by what they are; a dash where there is no verdict."""

    def shown(value: float | None, kind: str) -> str:
        return "-" if value is None else show(value, kind, system)

    shares = {f"{name} tipping": shown(use, "use") for name, use in on.uses.items()}
    return {
        "state": on.state if on.state_once_set is None else f"{on.state}; forks set: {on.state_once_set}",
        "allowed load": shown(None if on.allowed_kg is None else max(on.allowed_kg, 0.0), "kg_down"),
        "gives first": on.governing or "-",
        **shares,
        "rear wheels": shown(on.rear_kg, "kg_down"),
        "lightest front wheel": shown(on.light_kg, "kg_down"),
        "fork height": shown(on.lift_m, "length"),
        "hook above the floor": shown(on.hook_height_m, "length"),
        "hook from front axle": shown(on.reach_m, "length"),
        "gap left over": shown(on.least_gap_m, "length_down"),
    }


def differences(row: SideBySide, system: System) -> dict[str, str]:
    """What each figure of `cells` is more or less on the other truck; a gain is rounded down, a loss as it prints.

    A dash where one of the two has no verdict.
    """
    old, new = row.old, row.new

    def shown(was: float | None, now: float | None, kind: str) -> str:
        return "-" if was is None or now is None else gain_words(was, now, kind, system)

    def points(was: float | None, now: float | None) -> str:
        """Less of a use is a gain."""
        if was is None or now is None:
            return "-"
        gain = more(-was, -now, "share", system)
        return f"{_sign(-gain)}{abs(gain)} points"

    def same(was: str, now: str) -> str:
        return "same" if was == now else "changes"

    def shift(was_m: float, now_m: float) -> str:
        """Longer or shorter, higher or lower: no gain and no loss."""
        off_m = round(now_m - was_m, 4)
        return f"{_sign(off_m)}{show(abs(off_m), 'length', system)}"

    shares = {f"{name} tipping": points(use, new.uses.get(name)) for name, use in old.uses.items()}
    was_kg, now_kg = (None if on.allowed_kg is None else max(on.allowed_kg, 0.0) for on in (old, new))
    return {
        "state": same(old.state, new.state),
        "allowed load": shown(was_kg, now_kg, "kg"),
        "gives first": "-" if not (old.governing and new.governing) else same(old.governing, new.governing),
        **shares,
        "rear wheels": shown(old.rear_kg, new.rear_kg, "kg"),
        "lightest front wheel": shown(old.light_kg, new.light_kg, "kg"),
        "fork height": shift(old.lift_m, new.lift_m),
        "hook above the floor": shift(old.hook_height_m, new.hook_height_m),
        "hook from front axle": shift(old.reach_m, new.reach_m),
        "gap left over": shown(old.least_gap_m, new.least_gap_m, "length"),
    }


def gain_words(was: float, now: float, kind: str, system: System) -> str:
    """What a figure that is better the greater it is gains or loses, with its sign and unit (see `more`)."""
    gain = more(was, now, kind, system)
    return f"{_sign(gain)}{step_of(kind, system, now).text(abs(gain))}"


def more(was: float, now: float, kind: str, system: System) -> int:
    """Steps of a kind by which a figure that is better the greater it is gains; less than zero: loses.

    Both are compared as they are printed, rounded down, and a gain is never more than there is.
    """
    step = step_of(kind, system, now)
    printed = step.count(now, "down") - step.count(was, "down")
    return min(printed, max(step.count(now - was, "down"), 0)) if printed > 0 else printed


def _sign(change: float) -> str:
    return "+" if change > 0 else "−" if change < 0 else ""
