"""What may be planned for: the truck maker's approval as entered, or the tool's own rules, whichever allows less.

It is a limit like any other (`checks`), so that chart, move, remedy and window follow.

An approval counts only with reference, date and limits, which the file format asks for together.  Its limit is the load
or the hook load, as the letter says (`Approval.limit_is`); of a hook load the rigging at its heaviest is taken off.
Above its fork height nothing is approved.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from engine.base.geometry import where
from engine.rig.check import Check, use_of
from engine.rig.kinematics import Placed
from engine.schema.model import Approval, Job
from engine.schema.uncertainty_bands import low_high

NOT_APPROVED_PAPER = "PLANNING ONLY - NOT APPROVED"
"""Printed across every paper until an approval is entered."""

LIFT_TOLERANCE_M = 1e-6
"""A fork height typed in inches may miss the approval's by round-off; a micrometre is far above it."""

EQUAL_KG = 1e-6
"""Loads within a milligram are equal: the verdict's own figure may be the approval's, computed another way."""

MASS_WORDS = {"load": "load", "hook_load": "hook load (load and rigging)"}
"""What hangs, as the approval counts it."""

SOURCE = "the truck maker's written approval, as entered"


class Permitted(msgspec.Struct, kw_only=True, frozen=True):
    """Load at the hook that may be planned for, and whose rule made it so small.

    ``planned`` is a number that nobody has approved.
    """

    load_kg: float
    by: Literal["planned", "approval", "limits"]


def permitted(job: Job, lift_m: float, allowed_kg: float) -> Permitted:
    """The lower of the approval's load and the tool's own allowed load.

    Parameters
    ----------
    job : Job
    lift_m : float
        Fork height of the pose.
    allowed_kg : float
        What the tool's own rules allow on the hook, rigging already counted.

    Returns
    -------
    Permitted
    """
    most_kg = approved_load_kg(job, lift_m)
    if most_kg is None:
        return Permitted(load_kg=allowed_kg, by="planned")
    if most_kg <= allowed_kg + EQUAL_KG:
        return Permitted(load_kg=most_kg, by="approval")
    return Permitted(load_kg=allowed_kg, by="limits")


def approved_load_kg(job: Job, lift_m: float) -> float | None:
    """Load at the hook that the approval allows with the forks this high; ``None`` without an approval."""
    approval = job.approval
    if approval is None:
        return None
    if lift_m > approval.lift_max_m + LIFT_TOLERANCE_M:
        return 0.0
    rigging_kg = low_high(job.load.rigging_kg, "mass")[1] if approval.limit_is == "hook_load" else 0.0
    return max(approval.allowed_kg - rigging_kg, 0.0)


def checks(placed: Placed, approval: Approval | None) -> list[Check]:
    """What hangs on the hook, the rigging included if it counts, and what the approval allows; none without one.

    Parameters
    ----------
    placed : Placed
        One pose or arrays of poses (...).
    approval : Approval or None
    """
    if approval is None:
        return []
    numbers = placed.figures
    covered = numbers.lift_m <= approval.lift_max_m + LIFT_TOLERANCE_M
    allowed_kg = where(covered, approval.allowed_kg, 0.0 * numbers.lift_m)
    counted_kg = numbers.rigging_kg if approval.limit_is == "hook_load" else 0.0
    hung_kg = numbers.load_kg + counted_kg
    return [
        Check(
            of="approval",
            part="approval",
            kind="load on the hook",
            place_m=placed.hook_m,
            demand=hung_kg,
            allowed=allowed_kg,
            unit="kg",
            use=use_of(hung_kg, allowed_kg),
            allowed_load_kg=allowed_kg - counted_kg,
            words=f"{MASS_WORDS[approval.limit_is]} {{hung:kg}}; the approval allows {{allowed:kg}} "
            "at this fork height ({most:kg_down} up to {lift:m})",
            numbers={"hung": hung_kg, "allowed": allowed_kg, "most": approval.allowed_kg, "lift": approval.lift_max_m},
            source=SOURCE,
        )
    ]
