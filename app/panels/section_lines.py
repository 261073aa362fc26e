"""What is in each section, in one line, while it is closed."""

from __future__ import annotations

from app.documents.document import Document
from app.panels.stay_clear import zone_words
from engine.base.formatting import show
from engine.explain.guessed_entries import guessed_entries
from engine.explain.shown import ShownFigures, figure_text, load_tag, shown_figures
from engine.rig.exclusion_zone import exclusion_zone
from engine.schema.sections import RectTube, RoundTube
from engine.schema.stock_sizes import name_of_size


def _guessed(document: Document, *roots: str) -> str:
    """How many entries under some paths nobody has looked at."""
    count = sum(path.startswith(roots) for path in guessed_entries(document.job))
    return f"~{count} guessed" if count else ""


def _figures(document: Document) -> ShownFigures:
    return shown_figures(document.job, document.pose, document.verdict)


def _figure(document: Document, name: str) -> str:
    return figure_text(_figures(document), name, document.units)


def _joined(*words: str) -> str:
    return ", ".join(filter(None, words))


def plate(document: Document) -> str:
    """The first row of the plate."""
    plate, units = document.job.truck.plate, document.units
    if plate is None:
        return "missing"
    row = plate.rows[0]
    more = f", {len(plate.rows) - 1} more" if len(plate.rows) > 1 else ""
    return (
        f"{show(row.rated_kg, 'mass', units)} at {show(row.load_centre_m, 'length', units)}, "
        f"{show(row.lift_m, 'length', units)} up{more}"
    )


def measured(document: Document) -> str:
    """How many trial lifts there are."""
    count = len(document.job.trial_lifts)
    return f"{count} trial {'lift' if count == 1 else 'lifts'}" if count else "no trial lift yet"


def dimensions(document: Document) -> str:
    """The bare truck's weight, and what is guessed of it."""
    truck = document.job.truck
    whole = show(truck.front_axle_kg.best + truck.rear_axle_kg.best, "mass", document.units)
    count = sum(
        path.startswith("truck.") and not path.startswith(("truck.forks", "truck.upright", "truck.aboard"))
        for path in guessed_entries(document.job)
    )
    return _joined(whole, f"~{count} guessed" if count else "")


def upright(document: Document) -> str:
    """How far it lifts."""
    return f"up to {show(document.job.truck.upright.lift_max_m, 'length', document.units)}"


def forks(document: Document) -> str:
    """Wear and stamp."""
    forks, units = document.job.truck.forks, document.units
    worn = "wear not measured" if forks.worn_m is None else f"worn {show(forks.worn_m, 'length', units)}"
    stamp = "no stamp" if forks.rating_each_kg is None else f"{show(forks.rating_each_kg, 'mass', units)} each"
    return f"{stamp}, {worn}"


def aboard(document: Document) -> str:
    """How many are counted."""
    counted = sum(one.counted for one in document.job.truck.aboard)
    return f"{counted} counted" if counted else "nobody counted"


def _section(document: Document, node: RectTube | RoundTube) -> str:
    """A tube by its size, as it stands in a list or as it measures."""
    name = name_of_size(node)
    if name:
        return name
    units = document.units
    sizes = (node.width_m, node.depth_m, node.wall_m) if isinstance(node, RectTube) else (node.diameter_m, node.wall_m)
    words = [show(size, "size", units) for size in sizes]
    unit = " in" if units == "us" else " mm"
    if all(word.endswith(unit) for word in words):
        words = [word.removesuffix(unit) for word in words]
    return " x ".join(words)


def sleeves(document: Document) -> str:
    """Section and length."""
    part = document.job.rig.sleeves
    return _joined(_section(document, part.section), _guessed(document, "rig.sleeves"))


def jib_mast(document: Document) -> str:
    """Section and length."""
    part = document.job.rig.jib_mast
    size = _section(document, part.section)
    return _joined(size, show(part.length_m, "length", document.units), _guessed(document, "rig.jib_mast"))


def saddles(document: Document) -> str:
    """Straps, and what is guessed."""
    part = document.job.rig.saddles
    strap = f"straps {show(part.strap_thickness_m, 'size', document.units)}"
    return _joined(strap, _guessed(document, "rig.saddles"))


def boom(document: Document) -> str:
    """Section, length and holes."""
    part = document.job.rig.boom
    size, length = _section(document, part.section), show(part.length_m, "length", document.units)
    return _joined(size, length, f"{part.hole_count} holes")


def arms(document: Document) -> str:
    """How many, and what is guessed."""
    count = len(document.job.rig.arms)
    words = f"{count} {'arm' if count == 1 else 'arms'}" if count else "none"
    return _joined(words, _guessed(document, "rig.arms"))


def rig_hook(document: Document) -> str:
    """What holds the hook."""
    end = document.job.rig.hook.end
    return "not entered" if end is None else str(end.__struct_config__.tag).replace("_", " ")


def rig(document: Document) -> str:
    """The rig's weight, and what is guessed of it."""
    return _joined(f"rig {_figure(document, 'rig_kg')}", _guessed(document, "rig."))


def rack(document: Document) -> str:
    """How many lengths."""
    count = sum(stock.count for stock in document.job.stock)
    return f"{count} {'length' if count == 1 else 'lengths'}" if count else "none entered"


def built(document: Document) -> str:
    """Whether there is a drawing to compare with."""
    return "not compared yet" if document.job.drawn is None else "compared with the drawing"


def floors(document: Document) -> str:
    """How many spots, and how many slopes are missing."""
    floors = document.job.floors
    missing = sum((floor.fall_along is None) + (floor.fall_across is None) for floor in floors)
    spots = f"{len(floors)} {'spot' if len(floors) == 1 else 'spots'}"
    return _joined(spots, f"{missing} missing" if missing else "", _guessed(document, "floors["))


def surroundings(document: Document) -> str:
    """How many boxes."""
    count = len(document.job.surroundings)
    return f"{count} entered" if count else "nothing entered"


def stay_clear(document: Document) -> str:
    """The radius."""
    words = zone_words(exclusion_zone(document.verdict.placed, document.job.load), document.units)
    return words.removeprefix("Everybody stays ").partition(" or more")[0]


def load(document: Document) -> str:
    """Load and rigging."""
    return load_tag(document.job)


def stance(document: Document) -> str:
    """The pose shown."""
    return document.pose.name


def hook(document: Document) -> str:
    """Where the hook is."""
    hook_m = document.verdict.placed.hook_m
    return f"{show(float(hook_m.x), 'mm', document.units)} out, {show(float(hook_m.z), 'mm', document.units)} up"


def moves(document: Document) -> str:
    """How many moves."""
    count = len(document.job.moves)
    return f"{count} planned" if count else "none yet"


def by_hand(document: Document) -> str:
    """How many arms can drift."""
    count = sum(stance.fitted for stance in document.pose.arms)
    return f"{count} {'arm' if count == 1 else 'arms'} to hold" if count else "no arms"


def cause(document: Document) -> str:
    """What gives first."""
    governing = document.verdict.governing
    return "no verdict" if governing is None else governing.part


def cures(document: Document) -> str:
    """How many limits of the rig are over."""
    over = sum(check.of == "rig" and not use <= 1.0 for check, use in document.verdict.worst_uses_at_once)
    return f"{over} {'limit' if over == 1 else 'limits'} of the rig over" if over else "nothing to cure"


def limits(document: Document) -> str:
    """How many."""
    verdict = document.verdict
    return f"{len(verdict.checks) + len(verdict.room.checks)}"


def balance(document: Document) -> str:
    """How much is left at the rear."""
    figures = _figures(document)
    if figures.settled is None:
        return "not known"
    return f"{figure_text(figures.settled, 'rear_left_kg', document.units)} left at the rear"


def tipping(document: Document) -> str:
    """The load that tips the truck."""
    figures = _figures(document)
    if figures.worst is None:
        return "no verdict"
    return f"tips at {figure_text(figures.worst, 'tipping_load_kg', document.units)} of load in the worst case"


def doubt(document: Document) -> str:
    """How many numbers are uncertain."""
    worst = document.verdict.worst_case
    return "no verdict" if worst is None else f"{len(worst.entries)} uncertain numbers"


def chart(document: Document) -> str:
    """Over what."""
    return f"{document.job.rig.boom.hole_count} holes"


def rules(document: Document) -> str:
    """The allowances."""
    policy = document.job.policy
    typical = len(policy.still_typical)
    return _joined(f"dynamic factor {policy.dynamic_factor:g}", f"{typical} typical" if typical else "")


def papers(document: Document) -> str:
    """Whether anything is missing."""
    return "no verdict" if document.verdict.state == "REFUSED" else "ready"


def approval(document: Document) -> str:
    """Which, or that there is none."""
    entered = document.job.approval
    return "none entered" if entered is None else f"{entered.reference}, {entered.date}"


def log(document: Document) -> str:
    """How many lines."""
    count = len(document.job.log)
    return f"{count} {'line' if count == 1 else 'lines'}" if count else "empty"
