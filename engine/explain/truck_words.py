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
    """What the other truck changes for a pose, in a sentence."""
    old, new = row.old, row.new
    numbers: dict[str, float | str] = {"pose": row.pose, "old": old.state, "new": new.state, "limit": new.governing}
    if new.allowed_kg is None:
        return Statement(words="‘{pose}’: {new} on the other truck; there is no verdict yet.", numbers=numbers)
    numbers |= {"allowed": max(new.allowed_kg, 0.0), "off": abs(row.too_low_m)}
    if row.too_low_m:
        side = "below" if row.too_low_m > 0.0 else "above"
        words = f"‘{{pose}}’: the other truck's forks stop with the hook {{off:length_up}} {side} its height; there "
        words += "{new}, {allowed:kg_down} allowed ({limit} governs)."
        if row.forks_to_m is not None:
            numbers |= {"spread": row.forks_to_m}
            words = words.replace("{allowed", "and with the forks {spread:length} apart {allowed")
        return Statement(words=words, numbers=numbers)
    words = "‘{pose}’: {old} on this truck, {new} on the other, which allows {allowed:kg_down} ({limit} governs)"
    if row.forks_to_m is not None:
        numbers |= {"spread": row.forks_to_m, "then": new.state_once_set or new.state}
        words = "‘{pose}’: {old} on this truck, {new} on the other until its forks stand {spread:length} apart; then "
        words += "{then}, and it allows {allowed:kg_down} ({limit} governs)"
    gain_kg = row.gain_kg(system)
    if gain_kg is None:
        return Statement(words=f"{words}.", numbers=numbers)
    if gain_kg == 0.0:
        return Statement(words=f"{words}, no more than this one.", numbers=numbers)
    numbers |= {"change": abs(gain_kg)}
    more = "{change:kg_down} more" if gain_kg > 0.0 else "{change:kg_up} less"
    return Statement(words=f"{words}, {more} than this one.", numbers=numbers)


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

    rise_m = new.lift_m - old.lift_m
    shares = {f"{name} tipping": points(use, new.uses.get(name)) for name, use in old.uses.items()}
    was_kg, now_kg = (None if on.allowed_kg is None else max(on.allowed_kg, 0.0) for on in (old, new))
    return {
        "state": same(old.state, new.state),
        "allowed load": shown(was_kg, now_kg, "kg"),
        "gives first": "-" if not (old.governing and new.governing) else same(old.governing, new.governing),
        **shares,
        "rear wheels": shown(old.rear_kg, new.rear_kg, "kg"),
        "lightest front wheel": shown(old.light_kg, new.light_kg, "kg"),
        "fork height": f"{_sign(round(rise_m, 4))}{show(abs(rise_m), 'length', system)}",
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
