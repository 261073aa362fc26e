"""Weight on the rear wheels against the load on the hook, from an empty hook to the load that tips the truck.

Method.  Every point is the balance itself (`engine.limits.balance`) with that load on the hook: plain statics on the
bent rig and the truck that leans on its tyres, without allowances.  On a level floor, stiff tyres and a stiff rig that
is the straight line ``R(P) = R0 - P x / L`` with the hook ``x`` ahead of the front axle and the wheelbase ``L``; a rig
that bends and a truck that leans make it fall a little faster.

The worst case is looked for at each load by itself: every uncertain entry goes to whichever of its ends leaves less,
and again with the others where they went.  The load's own doubt counts at every load as it does at the one entered.

The curve ends where the truck tips, over whichever line comes first.  It passes the allowed load, so it explains and
never stands on a paper.

Source: statics, as in `engine.limits.balance`.
"""

from __future__ import annotations

import math

import msgspec
import numpy as np

from engine.base.formatting import KG_PER_LB
from engine.base.geometry import Array
from engine.limits import balance
from engine.limits.approval import permitted
from engine.limits.balance import Balance, TipLine
from engine.rig.deflection import place_bent
from engine.rig.kinematics import Figures
from engine.schema.model import Job, Pose
from engine.worst_case.uncertainty_box import box_around
from engine.worst_case.verdict import Verdict
from engine.worst_case.worst_case import WorstCase

STEPS = (10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 250.0, 500.0, 1000.0, 2500.0)
"""Round loads, in kg or lb, that points may be apart."""

MOST_STEPS = 14

CLOSE_KG = 1e-7
SETTLED_AFTER = 20
"""Steps after which a load that is looked for stays as it is; it takes some five."""

ROUNDS = 2
"""Times that each entry is tried at its ends with the others as they were left; a third changes nothing that shows."""


class LiftPoint(msgspec.Struct, kw_only=True, frozen=True):
    """One load on the hook (load and rigging): what it leaves on the rear wheels, and what must stay there; kg.

    ``marks`` say what the load is: ``empty hook``, ``now``, ``most``, ``must keep``, ``tips``; mostly nothing.
    """

    hook_kg: float
    on_rear_kg: float
    at_worst_kg: float
    must_keep_kg: float
    marks: tuple[str, ...] = ()


class LiftCurve(msgspec.Struct, kw_only=True, frozen=True):
    """Rear weight against the load on the hook.

    Attributes
    ----------
    points : tuple of LiftPoint
        From an empty hook to the load that tips the truck, the marks among them.
    tips_at_kg : float
        Load on the hook at which the truck tips, as entered; infinite where more load never tips it.  It is the
        verdict's own tipping load, which soft tyres leave a little under the true one (`engine.limits.lean`).
    tips_over : str
        The line that it tips over.
    now_kg : float
        Load on the hook in this pose.
    most_kg : float or None
        Most that may hang, worst case and approval included; None where nothing may.
    """

    points: tuple[LiftPoint, ...]
    tips_at_kg: float
    tips_over: str
    now_kg: float
    most_kg: float | None

    def marked(self, mark: str) -> LiftPoint | None:
        """The point of a mark; None where the curve ends before it."""
        return next((point for point in self.points if mark in point.marks), None)


def lift_curve(job: Job, pose: Pose, verdict: Verdict) -> LiftCurve | None:
    """The curve of a pose; None without a verdict, and for a truck that tips with an empty hook.

    Parameters
    ----------
    job, pose : Job, Pose
        What the verdict is about.
    verdict : Verdict
    """
    worst = verdict.worst_case
    if worst is None:
        return None
    numbers = worst.numbers
    line, tips_at_kg = _tips_at(job, numbers)
    if not tips_at_kg > 0.0:
        return None
    now_kg = float(numbers.rigging_kg + numbers.load_kg)
    most_kg = _most_on_the_hook(job, pose, verdict)
    marks = {
        "empty hook": 0.0,
        "now": now_kg,
        "most": math.nan if most_kg is None else most_kg,
        "must keep": _load_at_must_keep(job, numbers),
        "tips": tips_at_kg,
    }
    end_kg = tips_at_kg if math.isfinite(tips_at_kg) else 2.0 * max(now_kg, most_kg or 0.0, 1.0)
    marks = {mark: load_kg for mark, load_kg in marks.items() if 0.0 <= load_kg <= end_kg}
    loads_kg = np.array(sorted({*marks.values(), *_round_loads(end_kg, job), end_kg}))
    weighed = _weighed(job, _hung(numbers, loads_kg))
    normal_kg = np.broadcast_to(weighed.normal_kg, loads_kg.shape)
    rows = zip(
        loads_kg.tolist(),
        np.broadcast_to(weighed.rear_kg, loads_kg.shape).tolist(),
        _rear_at_worst(worst, loads_kg).tolist(),
        (job.policy.least_rear_share * normal_kg).tolist(),
        strict=True,
    )
    return LiftCurve(
        points=tuple(
            LiftPoint(
                hook_kg=hook_kg,
                on_rear_kg=on_rear_kg,
                at_worst_kg=at_worst_kg,
                must_keep_kg=must_keep_kg,
                marks=tuple(mark for mark, load_kg in marks.items() if load_kg == hook_kg),
            )
            for hook_kg, on_rear_kg, at_worst_kg, must_keep_kg in rows
        ),
        tips_at_kg=tips_at_kg,
        tips_over=line.name,
        now_kg=now_kg,
        most_kg=most_kg,
    )


def _hung(numbers: Figures, hook_kg: float | Array) -> Figures:
    """The figures with so much on the hook; rigging and load hang from the same point."""
    return msgspec.structs.replace(numbers, rigging_kg=0.0, load_kg=hook_kg)


def _weighed(job: Job, numbers: Figures) -> Balance:
    return balance.on_its_tyres(place_bent(job, numbers))


def _tips_at(job: Job, numbers: Figures) -> tuple[TipLine, float]:
    """The line that tips first and the load on the hook at which it does, as the verdict gives it."""
    placed, rigging_kg = place_bent(job, numbers), float(numbers.rigging_kg)
    lines = (*balance.weigh(placed, leaning="up_to_own").lines, *balance.weigh(placed, leaning="beyond").lines)
    return min(((line, float(line.load_at()) + rigging_kg) for line in lines), key=lambda pair: pair[1])


def _most_on_the_hook(job: Job, pose: Pose, verdict: Verdict) -> float | None:
    """Allowed load with the rigging as entered; None where nothing may hang."""
    allowed_kg = 0.0 if verdict.allowed_load_kg is None else verdict.allowed_load_kg
    load_kg = permitted(job, pose.lift_m, allowed_kg).load_kg
    return load_kg + job.load.rigging_kg.best if load_kg > 0.0 else None


def _load_at_must_keep(job: Job, numbers: Figures) -> float:
    """Load on the hook that leaves as much on the rear wheels, as entered, as the rules want there: secant steps."""

    def spare_kg(hook_kg: float) -> float:
        weighed = _weighed(job, _hung(numbers, hook_kg))
        return float(weighed.rear_kg - job.policy.least_rear_share * weighed.normal_kg)

    before_kg, at_kg = 0.0, 100.0
    spare_before_kg = spare_kg(before_kg)
    for _ in range(SETTLED_AFTER):
        spare = spare_kg(at_kg)
        if abs(spare) <= CLOSE_KG or spare == spare_before_kg:
            break
        per_kg = (spare - spare_before_kg) / (at_kg - before_kg)
        before_kg, spare_before_kg = at_kg, spare
        at_kg -= spare / per_kg
    return at_kg


def _round_loads(end_kg: float, job: Job) -> list[float]:
    """Round loads of the person's unit up to an end."""
    unit_kg = KG_PER_LB if job.units == "us" else 1.0
    step_kg = unit_kg * next((step for step in STEPS if end_kg / (unit_kg * step) <= MOST_STEPS), end_kg / unit_kg)
    return [count * step_kg for count in range(math.ceil(end_kg / step_kg))]


def _rear_at_worst(worst: WorstCase, hook_kg: Array) -> Array:
    """Rear weight (kg) at each load on the hook (n,) in the worst case."""
    box, count = box_around(worst.job, worst.numbers, worst.entries), len(worst.entries)
    fields = [entry.field for entry in worst.entries]
    heavier_kg = worst.entries[fields.index("load_kg")].up if "load_kg" in fields else 0.0
    load_kg = (hook_kg - worst.numbers.rigging_kg + heavier_kg)[None]

    def rear_kg(sides: Array) -> Array:
        loads_kg = np.broadcast_to(load_kg, (sides.shape[1], len(hook_kg)))
        weighed = _weighed(worst.job, box.figures_at(sides, loads_kg))
        return np.broadcast_to(np.asarray(weighed.rear_kg, float), loads_kg.shape)

    sides = np.zeros((count, 1, len(hook_kg)))
    least_kg = np.full(len(hook_kg), np.inf)
    for _ in range(ROUNDS):
        tried = rear_kg(_one_by_one(sides))
        here, low, high = tried[:1], tried[1 : 1 + count], tried[1 + count :]
        least_kg = np.minimum(least_kg, tried.min(axis=0))
        better = np.where(low < high, -1.0, 1.0)
        sides = np.where(np.minimum(low, high) < here, better, sides[:, 0])[:, None]
    return np.minimum(least_kg, rear_kg(sides)[0])


def _one_by_one(sides: Array) -> Array:
    """Sides (entries, 1, loads) as they are, then with each entry at its least, then with each at its most."""
    count = len(sides)
    tried = np.repeat(sides, 2 * count + 1, axis=1)
    each = np.arange(count)
    tried[each, 1 + each], tried[each, 1 + count + each] = -1.0, 1.0
    return tried
