"""Three dials that tell a helper what is left: rear wheels, lightest front wheel, governing part.

Every dial counts down to zero, and zero means the same on each: the truck starts to tip, or the part is at its limit.
The needle shows the worst case, the tick the nominal value; the limit is what must stay.
"""

from __future__ import annotations

import msgspec

from engine.schema.model import Job
from engine.worst_case.verdict import Verdict


class Dial(msgspec.Struct, kw_only=True, frozen=True):
    """One dial: from zero to ``full``, in ``unit`` (a kind of ``engine.base.formatting``).

    Attributes
    ----------
    name, zero_words, words : str
        What is weighed, what zero means, and one line under the number.
    left, best : float
        What is left in the worst case and with nominal values; may be below zero.
    limit : float
        What must stay.
    full : float
        End of the scale.
    """

    name: str
    unit: str
    left: float
    best: float
    limit: float
    full: float
    zero_words: str
    words: str


def dials(job: Job, verdict: Verdict) -> tuple[Dial, ...]:
    """Rear wheels, lightest front wheel and governing part of one verdict; no dials without a verdict.

    Weights are plain statics without allowances, as in ``engine.limits.balance.on_its_tyres`` and
    ``engine.worst_case.worst_case.WorstStanding``.
    """
    weighed, worst, governing = verdict.leaned, verdict.worst_case, verdict.governing
    if weighed is None or worst is None or governing is None:
        return ()
    bare_wheel_kg = job.truck.front_axle_kg.best / 2.0
    light_kg = float(weighed.light_front_kg)
    side = "left" if float(weighed.left_front_kg) <= float(weighed.right_front_kg) else "right"
    return (
        Dial(
            name="Back wheels",
            unit="kg",
            left=worst.standing.rear_weight_left_kg,
            best=float(weighed.rear_kg),
            limit=job.policy.least_rear_share * float(weighed.normal_kg),
            full=max(job.truck.rear_axle_kg.best, float(weighed.rear_kg), worst.standing.rear_weight_left_kg),
            zero_words="goes over forwards",
            words="left on the back wheels",
        ),
        Dial(
            name=f"Lightest front wheel ({side})",
            unit="kg",
            left=worst.standing.light_front_wheel_kg,
            best=light_kg,
            limit=job.policy.least_light_wheel_share * bare_wheel_kg,
            full=max(bare_wheel_kg, light_kg, worst.standing.light_front_wheel_kg),
            zero_words="goes over sideways",
            words="left on the lightest front wheel",
        ),
        Dial(
            name=f"Gives first: {governing.part}",
            unit="share",
            left=1.0 - next(use for check, use in verdict.worst_uses if check is governing),
            best=1.0 - float(governing.use),
            limit=0.0,
            full=1.0,
            zero_words="no more allowed",
            words=f"of its limit left ({governing.kind})",
        ),
    )
