"""Every figure that window, papers, text and JSON show of one pose, worked out in one place.

**Two geometries.**  *As set* is what a person sets and tapes with the hook empty: reach, hook height.  *Settled* is the
rig bent and the truck leaned with the load on: wheel weights, tipping load.  A figure of one kind never stands under
the name of the other; what has both kinds says which (``_as_set``, ``_settled``).

**Three masses.**  *Load* is the thing lifted, *rigging* everything between the rig's own hook and the load, *hook load*
both together: what a scale in the hook reads.  Allowed load and tipping load leave the rigging out.

**Rounding.**  `figure_text` is the only place that says which way a figure is rounded (`KINDS`); how, is
`engine.base.formatting`.  On papers loads have coarser steps.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

import msgspec

from engine.base.formatting import System, Way, fill, show, step_of
from engine.handling.moment_balance import tipping_ratio
from engine.limits import balance
from engine.limits.approval import permitted
from engine.limits.room_rows import FLOOR, HANGS
from engine.rig.check import Check, Side
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import Verdict


class WheelFigures(msgspec.Struct, kw_only=True, frozen=True):
    """What the wheels keep, and the load that tips the truck: plain statics without allowances.

    ``tipping_ratio`` is the hook load that tips the truck over the hook load as entered; infinite for an empty hook,
    None for the worst case.
    """

    rear_left_kg: float
    light_wheel_kg: float
    tipping_load_kg: float
    tipping_ratio: float | None = None


class SideUse(msgspec.Struct, kw_only=True, frozen=True):
    """The most used limit of rig or truck: its use in the worst case and as entered, as shares of what it allows."""

    check: Check
    use: float
    use_as_entered: float


class LeastRoom(msgspec.Struct, kw_only=True, frozen=True):
    """The gap with the least room over what is wanted: as entered, and at worst."""

    check: Check
    gap_m: float
    worst_m: float

    @property
    def short(self) -> bool:
        """Whether it is too small, as entered or at worst."""
        return not self.worst_m >= float(self.check.demand)


class ShownFigures(msgspec.Struct, kw_only=True, frozen=True):
    """The figures of one pose.

    Attributes
    ----------
    load_kg, rigging_kg, hook_load_kg : float
        What hangs in this pose, as entered; nothing from an empty hook.
    rig_kg : float
        The rig with its own hook.
    allowed_load_kg : float or None
        Worst case, the approval's limit included; never less than 0, and None without a verdict.
    allowed_rigging_kg : float
        The rigging that is counted with it.
    allowed_hook_load_kg : float or None
        Both together: what a scale in the hook may read.
    allowed_as_entered_kg, allowed_if_clear_kg : float or None
        Allowed load with every entry as entered, and with nothing in the way (None unless something is).
    allowed_by : str
        Whose rule makes it so small: nobody has approved what is ``planned``.
    settled, worst : WheelFigures or None
        As entered on the bent rig and the leaning truck, and the same in the worst case.
    light_side : str
        Which front wheel has less.
    rear_of_bare, rear_of_all, light_of_bare : float or None
        Shares of the bare truck's rear weight, of the whole weight, of a bare front wheel.
    reach_m, from_fork_face_m, hook_height_m : float
        The hook as set: from the front axle, from the fork face, over the floor.
    reach_settled_m, hook_height_settled_m : float
        The same with the load on.
    governing : Check or None
        The limit that governs.
    governing_use, governing_use_as_entered : float or None
        Its use in the worst case and as entered.
    rig_use, truck_use : SideUse or None
        The most used limit of the rig and of the truck, the maker's approval included; None without a verdict.
    room : LeastRoom or None
        The gap with the least room; None where nothing is near.
    rear_must_keep_kg, light_must_keep_kg : float or None
        What the rules want left on the rear wheels and on the lightest front wheel.
    tipping : Check or None
        The tipping limit that is most used in the worst case.
    tipping_use, tipping_use_as_entered, tipping_use_allowed : float or None
        Share of the standing moment that it uses, in the worst case and as entered, and the share allowed.
    """

    load_kg: float
    rigging_kg: float
    hook_load_kg: float
    rig_kg: float
    allowed_load_kg: float | None
    allowed_rigging_kg: float
    allowed_hook_load_kg: float | None
    allowed_as_entered_kg: float | None
    allowed_if_clear_kg: float | None
    allowed_by: Literal["planned", "approval", "limits"] | None
    settled: WheelFigures | None
    worst: WheelFigures | None
    light_side: str
    rear_of_bare: float | None
    rear_of_all: float | None
    light_of_bare: float | None
    reach_m: float
    from_fork_face_m: float
    hook_height_m: float
    reach_settled_m: float
    hook_height_settled_m: float
    governing: Check | None
    governing_use: float | None
    governing_use_as_entered: float | None
    rig_use: SideUse | None
    truck_use: SideUse | None
    room: LeastRoom | None
    rear_must_keep_kg: float | None
    light_must_keep_kg: float
    tipping: Check | None
    tipping_use: float | None
    tipping_use_as_entered: float | None
    tipping_use_allowed: float

    @property
    def hook_moves_m(self) -> float:
        """How far the load carries the hook, in reach or in height, whichever is more."""
        reach_m, height_m = self.reach_settled_m - self.reach_m, self.hook_height_settled_m - self.hook_height_m
        return max(abs(reach_m), abs(height_m))


NOT_KNOWN = "not known"

SETTLES_M = 0.010
"""From here on a hook is shown with the load on as well as set (10 mm: what a tape on a hook is good for)."""


def shown_figures(job: Job, pose: Pose, verdict: Verdict, *, at_once: bool = False) -> ShownFigures:
    """The figures of a pose and its verdict.

    Parameters
    ----------
    job, pose : Job, Pose
        What the verdict is about.
    verdict : Verdict
    at_once : bool
        For a move of a drag: the use of the side that is less used may be a few points of use short.
    """
    weighed, drawn, hanging = verdict.leaned, verdict.placed, verdict.hanging
    load_kg, rigging_kg = (job.load.mass_kg.best, job.load.rigging_kg.best) if pose.loaded else (0.0, 0.0)
    allowed_kg, by = _allowed(job, pose, verdict)
    worst_uses = verdict.worst_uses_at_once if at_once else verdict.worst_uses
    uses = {id(check): use for check, use in worst_uses}
    governing = verdict.governing
    tipping = _most_used_tipping(worst_uses)
    share = float(job.policy.allowed_tipping_use)
    truck = job.truck
    return ShownFigures(
        load_kg=load_kg,
        rigging_kg=rigging_kg,
        hook_load_kg=load_kg + rigging_kg,
        rig_kg=sum(float(body.mass_kg) for body in drawn.bodies if body.group == "rig"),
        allowed_load_kg=allowed_kg,
        allowed_rigging_kg=job.load.rigging_kg.best,
        allowed_hook_load_kg=_hook_load(job, allowed_kg),
        allowed_as_entered_kg=verdict.nominal_allowed_load_kg,
        allowed_if_clear_kg=verdict.allowed_if_clear_kg,
        allowed_by=by,
        settled=None if weighed is None else _wheel_figures(job, pose, weighed),
        worst=_worst_figures(verdict),
        light_side="left" if weighed is None or _left_is_lighter(weighed) else "right",
        rear_of_bare=None if weighed is None else float(weighed.rear_kg) / truck.rear_axle_kg.best,
        rear_of_all=None if weighed is None else float(weighed.rear_kg) / float(weighed.normal_kg),
        light_of_bare=None if weighed is None else float(weighed.light_front_kg) / (truck.front_axle_kg.best / 2.0),
        reach_m=float(drawn.hook_m.x),
        from_fork_face_m=float(drawn.hook_m.x) - float(drawn.frames["forks"].origin.x),
        hook_height_m=float(drawn.hook_m.z),
        reach_settled_m=float(hanging.hook_m.x),
        hook_height_settled_m=float(hanging.hook_m.z),
        governing=governing,
        governing_use=None if governing is None else uses[id(governing)],
        governing_use_as_entered=None if governing is None else float(governing.use),
        rig_use=_most_used(worst_uses, "rig"),
        truck_use=_most_used(worst_uses, "truck"),
        room=_least_room(verdict),
        rear_must_keep_kg=None if weighed is None else job.policy.least_rear_share * float(weighed.normal_kg),
        light_must_keep_kg=job.policy.least_light_wheel_share * truck.front_axle_kg.best / 2.0,
        tipping=tipping,
        tipping_use=None if tipping is None else uses[id(tipping)] * share,
        tipping_use_as_entered=None if tipping is None else float(tipping.use) * share,
        tipping_use_allowed=share,
    )


def figures_as_set(job: Job, pose: Pose, verdict: Verdict) -> WheelFigures | None:
    """What the wheels keep of the rig as set, not bent, on a truck that does not lean; beside JSON's bodies."""
    return None if verdict.balance is None else _wheel_figures(job, pose, balance.weigh(verdict.placed))


def _wheel_figures(job: Job, pose: Pose, weighed: balance.Balance) -> WheelFigures:
    return WheelFigures(
        rear_left_kg=float(weighed.rear_kg),
        light_wheel_kg=float(weighed.light_front_kg),
        tipping_load_kg=float(weighed.tipping_load_kg),
        tipping_ratio=tipping_ratio(job, pose, weighed),
    )


def _worst_figures(verdict: Verdict) -> WheelFigures | None:
    if verdict.worst_case is None:
        return None
    standing = verdict.worst_case.standing
    return WheelFigures(
        rear_left_kg=standing.rear_weight_left_kg,
        light_wheel_kg=standing.light_front_wheel_kg,
        tipping_load_kg=standing.tipping_load_kg,
    )


def _left_is_lighter(weighed: balance.Balance) -> bool:
    return float(weighed.left_front_kg) <= float(weighed.right_front_kg)


def _allowed(
    job: Job, pose: Pose, verdict: Verdict
) -> tuple[float | None, Literal["planned", "approval", "limits"] | None]:
    """Allowed load, and whose rule it is."""
    if verdict.allowed_load_kg is None:
        return None, None
    most = permitted(job, pose.lift_m, verdict.allowed_load_kg)
    return most.load_kg, most.by


def _hook_load(job: Job, allowed_kg: float | None) -> float | None:
    """The same with the rigging as entered; where nothing may hang, no rigging either."""
    return allowed_kg if not allowed_kg else allowed_kg + job.load.rigging_kg.best


def _most_used(worst_uses: Sequence[tuple[Check, float]], side: Side) -> SideUse | None:
    of_side = [(use, check) for check, use in worst_uses if check.side == side]
    if not of_side:
        return None
    use, check = max(of_side, key=lambda pair: pair[0])
    return SideUse(check=check, use=use, use_as_entered=float(check.use))


def _least_room(verdict: Verdict) -> LeastRoom | None:
    room = verdict.room
    gaps = zip(room.checks, room.worst_m, strict=True)
    # What is not a number is the shortest.
    gaps = [(check, -math.inf if math.isnan(worst_m) else worst_m) for check, worst_m in gaps]
    over = [(worst_m - float(check.demand), check, worst_m) for check, worst_m in gaps]
    if not over:
        return None
    _, check, worst_m = min(over, key=lambda gap: gap[0])
    return LeastRoom(check=check, gap_m=float(check.allowed), worst_m=worst_m)


def _most_used_tipping(worst_uses: Sequence[tuple[Check, float]]) -> Check | None:
    tipping = [(use, check) for check, use in worst_uses if balance.is_tipping(check)]
    return max(tipping, key=lambda pair: pair[0])[1] if tipping else None


# ---------------------------------------------------------------- as text

KINDS: dict[str, str] = {
    "load_kg": "kg_up",
    "rigging_kg": "kg",
    "hook_load_kg": "kg_up",
    "rig_kg": "kg_up",
    "allowed_load_kg": "kg_down",
    "allowed_rigging_kg": "kg",
    "allowed_hook_load_kg": "kg_down",
    "allowed_as_entered_kg": "kg_down",
    "allowed_if_clear_kg": "kg_down",
    "rear_left_kg": "kg_down",
    "light_wheel_kg": "kg_down",
    "tipping_load_kg": "kg_down",
    "tipping_ratio": "ratio_down",
    "rear_of_bare": "share_down",
    "rear_of_all": "share_down",
    "light_of_bare": "share_down",
    "reach_m": "mm",
    "from_fork_face_m": "mm",
    "hook_height_m": "mm",
    "reach_settled_m": "mm",
    "hook_height_settled_m": "mm",
    "governing_use": "use",
    "governing_use_as_entered": "use",
    "tipping_use": "use",
    "tipping_use_as_entered": "use",
    "tipping_use_allowed": "share_down",
    "rear_must_keep_kg": "kg_up",
    "light_must_keep_kg": "kg_up",
}
"""How each figure is shown: loads and uses up, what is allowed or left down, places as they are set."""


class LoadTexts(NamedTuple):
    """Load, rigging and hook load as they are shown: the third is the sum of the other two."""

    load: str
    rigging: str
    hook_load: str


def load_texts(load_kg: float, rigging_kg: float, system: System, way: Way, *, paper: bool = False) -> LoadTexts:
    """What hangs (``way`` up) or may hang (down), so that the figures add up as they stand.

    The rigging goes to the nearest whole unit, the load up or down.  What may hang is never more than both together
    really come to: where the rigging was rounded up, the load goes a step lower.

    Parameters
    ----------
    load_kg, rigging_kg : float
    system : {"metric", "us"}
    way : {"up", "down"}
    paper : bool
        Whether the load has the coarser steps of a paper.
    """
    whole = step_of("kg", system, rigging_kg)
    step = step_of("paper_kg" if paper else "kg", system, load_kg)
    rigging, count = round(rigging_kg / whole.at(1)), step.count(load_kg, way)
    most = whole.count(load_kg + rigging_kg, "down")
    while way == "down" and count > 0 and count * step.every + rigging > most:
        count -= 1
    return LoadTexts(step.text(count), whole.text(rigging), whole.text(count * step.every + rigging))


def _load_texts(figures: ShownFigures, name: str, system: System, paper: bool) -> LoadTexts | None:
    """The three texts that one of `_ADD_UP` belongs to; None where nothing hangs or may."""
    if not name.startswith("allowed"):
        return load_texts(figures.load_kg, figures.rigging_kg, system, "up", paper=paper)
    allowed_kg = figures.allowed_load_kg
    if not allowed_kg or math.isinf(allowed_kg):
        return None
    return load_texts(allowed_kg, figures.allowed_rigging_kg, system, "down", paper=paper)


_ADD_UP = {
    "load_kg": "load",
    "rigging_kg": "rigging",
    "hook_load_kg": "hook_load",
    "allowed_load_kg": "load",
    "allowed_rigging_kg": "rigging",
    "allowed_hook_load_kg": "hook_load",
}
"""Figures that stand beside each other as a sum."""


def figure_text(figures: ShownFigures | WheelFigures | None, name: str, system: System, *, paper: bool = False) -> str:
    """One figure with its unit, as it is shown everywhere; "not known" without it.

    Parameters
    ----------
    figures : ShownFigures, WheelFigures or None
    name : str
        One of `KINDS`.
    paper : bool
        On papers loads have whole units only when they are small, and steps of five or ten above.
    """
    if isinstance(figures, ShownFigures) and name in _ADD_UP:
        texts = _load_texts(figures, name, system, paper)
        if texts is not None:
            return getattr(texts, _ADD_UP[name])
    value = None if figures is None else getattr(figures, name)
    kind = KINDS[name]
    return show(value, f"paper_{kind}" if paper and kind.startswith("kg_") else kind, system)


GROUP_WORDS = {"truck": "truck", "rig": "rig", "load": "hook load", "combined": "combined"}
"""Name of each centre of gravity that is drawn: what hangs is load and rigging together."""


def group_mass_text(group: str, mass_kg: float, system: System) -> str:
    """Weight of truck, rig, hook load or all together, each by its name; what has to be lifted goes up."""
    return show(mass_kg, "kg" if group in ("truck", "combined") else "kg_up", system)


def group_words(group: str, mass_kg: float, system: System) -> str:
    """A group of bodies by its name and weight, as drawings have it."""
    return f"{GROUP_WORDS[group]} {group_mass_text(group, mass_kg, system)}"


def load_tag(job: Job) -> str:
    """What hangs, as drawings have it: the load, and the rigging besides."""
    unit = _UNITS[job.units]
    load, rigging, _ = load_texts(job.load.mass_kg.best, job.load.rigging_kg.best, job.units, "up")
    besides = rigging.removesuffix(f" {unit}")
    return f"load {load}" if besides == "0" else f"load {load} (+{besides} rigging)"


_UNITS: dict[System, str] = {"metric": "kg", "us": "lb"}


def wheel_text(mass_kg: float, system: System, *, light: bool) -> str:
    """What a wheel carries: down where the question is what is left on it, up where it is what it has to bear."""
    return show(mass_kg, "kg_down" if light else "kg_up", system)


def masses_text(figures: ShownFigures, system: System, *, paper: bool = False) -> str:
    """What hangs: load, rigging and hook load, each by its name."""
    if not figures.hook_load_kg:
        return "hook empty"
    load, rigging, both = (
        figure_text(figures, name, system, paper=paper) for name in ("load_kg", "rigging_kg", "hook_load_kg")
    )
    return f"load {load} + rigging {rigging} = hook load {both}"


WORST_GAP = "{worst:mm_down}, must be {wanted:mm}"


def room_text(room: LeastRoom | None, system: System) -> str:
    """The gap with the least room, at worst, and what is wanted; nothing where nothing is near."""
    if room is None:
        return ""
    if not room.gap_m >= float(room.check.demand):
        words = fill(room.check.words, room.check.shown_numbers, system)
        return words[:1].upper() + words[1:]
    return _gap_words(room.check, room.worst_m, system, f"{{the_part}} to {{object}}: {WORST_GAP}")


SHORT_GAP = "{name} to {object}: {gap:length}, must be {wanted:length}{unmeasured}"
INSIDE = "{name} into {object}: {over:length_up}{unmeasured}"
BELOW_FLOOR = "{name}: {over:length_up} below the floor"


def brief_room_text(room: LeastRoom | None, system: System) -> str:
    """The same in as few words as say it, for a line that the whole does not fit: no sentence, not how the load hangs.

    What nobody has measured is still said to be so.
    """
    if room is None:
        return ""
    check = room.check
    name = str(check.numbers["the_part"]).rstrip(",").removeprefix("the ")
    for hangs in HANGS.values():
        name = name.removesuffix(f", {hangs}")
    if room.gap_m >= float(check.demand):
        return _gap_words(check, room.worst_m, system, f"{name} to {{object}}: {WORST_GAP}")
    words = SHORT_GAP if not room.gap_m < 0.0 else BELOW_FLOOR if check.numbers["object"] == FLOOR else INSIDE
    unmeasured = "; not measured" if "unmeasured" in check.numbers else ""
    return fill(words, {**check.shown_numbers, "name": name, "unmeasured": unmeasured}, system)


def gap_text(check: Check, worst_m: float, system: System) -> str:
    """One gap in a sentence: at worst, as drawn, and what it must be; the limit's own words where it is short."""
    if not float(check.allowed) >= float(check.demand):
        words = fill(check.words, check.shown_numbers, system)
        return f"{words[:1].upper()}{words[1:]}."
    both = "{the_part} to {object}: {worst:mm_down} in the worst case, {gap:mm_down} as drawn; must be {wanted:mm}."
    words = _gap_words(check, worst_m, system, both)
    return words[:1].upper() + words[1:]


def _gap_words(check: Check, worst_m: float, system: System, words: str) -> str:
    numbers = {**check.numbers, "gap": float(check.allowed), "worst": max(worst_m, 0.0)}
    filled = fill(words, numbers, system)
    return filled.removeprefix("the ").removeprefix("The ")


def tipping_text(figures: ShownFigures, system: System) -> str:
    """How near the truck is to going over, in a sentence."""
    if figures.tipping is None:
        return "Tipping use is not known"
    worst, as_entered, allowed = (
        figure_text(figures, name, system) for name in ("tipping_use", "tipping_use_as_entered", "tipping_use_allowed")
    )
    return (
        f"Tipping use {worst} in the worst case, {as_entered} as entered ({figures.tipping.kind}); allowed {allowed}; "
        "at 100 % the truck goes over"
    )


_ALLOWED_BY = {
    "planned": "Planned limit, NOT APPROVED: nobody has approved it",
    "approval": "Limited by the maker's approval",
    "limits": "Allowed by the limits entered",
}


def allowed_by_text(figures: ShownFigures) -> str:
    """Whose rule makes the allowed load what it is."""
    return "No allowed load" if figures.allowed_by is None else _ALLOWED_BY[figures.allowed_by]
