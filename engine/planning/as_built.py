"""As built against as drawn: which entries differ, and what each difference costs in allowed load.

When building begins, the rig as drawn is kept in the file (``Job.drawn``).  What is measured afterwards is entered in
the rig itself, so every verdict is of the rig as built.  The cost of one difference is the change of the allowed load
when that entry alone goes from its drawn to its built value, everything else as drawn; costs need not add up.
"""

from __future__ import annotations

import msgspec

from engine.base.errors import TailweightError
from engine.schema.model import Job, Pose, Rig
from engine.schema.quantities import Estimate
from engine.shop.edits import set_value
from engine.worst_case.verdict import evaluate


class BuiltDifference(msgspec.Struct, kw_only=True, frozen=True):
    """One entry of the rig: its path from ``rig``, value drawn and value built (``None``: not there, or not known)."""

    path: str
    drawn: object
    built: object


class DifferenceCost(msgspec.Struct, kw_only=True, frozen=True):
    """What one difference alone changes the allowed load by; ``None`` where there is no verdict.

    ``governing`` is the limit that then governs, or why the difference alone cannot be applied.
    """

    difference: BuiltDifference
    change_kg: float | None
    governing: str


class AsBuilt(msgspec.Struct, kw_only=True, frozen=True):
    """What building has changed: allowed load as drawn and as built, and each difference with its cost."""

    drawn_kg: float | None
    built_kg: float | None
    costs: tuple[DifferenceCost, ...]


def compare(job: Job, pose: Pose) -> AsBuilt | None:
    """What building has changed in this pose, or ``None`` when no drawn rig is kept."""
    if job.drawn is None:
        return None
    as_drawn = _with_rig(job, job.drawn)
    drawn_kg, _ = _allowed(as_drawn, pose)
    built_kg, _ = _allowed(job, pose)
    differences = _differences("rig", job.drawn, job.rig)
    costs = tuple(_cost(as_drawn, pose, difference, drawn_kg) for difference in differences)
    return AsBuilt(drawn_kg=drawn_kg, built_kg=built_kg, costs=costs)


def _differences(path: str, drawn: object, built: object) -> list[BuiltDifference]:
    """Every entry in which two values of the model differ, in the model's order; an estimate is one entry."""
    if drawn == built:
        return []
    if isinstance(drawn, msgspec.Struct) and not isinstance(drawn, Estimate) and type(drawn) is type(built):
        return [
            difference
            for name in drawn.__struct_fields__
            for difference in _differences(f"{path}.{name}", getattr(drawn, name), getattr(built, name))
        ]
    if isinstance(drawn, tuple) and isinstance(built, tuple) and len(drawn) == len(built):
        return [
            difference
            for index, (one, other) in enumerate(zip(drawn, built, strict=True))
            for difference in _differences(f"{path}[{index}]", one, other)
        ]
    return [BuiltDifference(path=path, drawn=drawn, built=built)]


def _with_rig(job: Job, rig: Rig) -> Job | None:
    """The job with another rig; ``None`` when its poses do not suit that rig (other arms, fewer holes)."""
    try:
        return msgspec.structs.replace(job, rig=rig)
    except ValueError:
        return None


DOES_NOT_FIT = "with this change alone the rig does not fit together"


def _cost(as_drawn: Job | None, pose: Pose, difference: BuiltDifference, drawn_kg: float | None) -> DifferenceCost:
    allowed_kg, governing = None, ""
    if as_drawn is not None:
        try:
            allowed_kg, governing = _allowed(set_value(as_drawn, difference.path, difference.built), pose)
        except TailweightError:
            governing = DOES_NOT_FIT
    change_kg = None if allowed_kg is None or drawn_kg is None else allowed_kg - drawn_kg
    return DifferenceCost(difference=difference, change_kg=change_kg, governing=governing)


def _allowed(job: Job | None, pose: Pose) -> tuple[float | None, str]:
    """Allowed load (kg) and governing limit; ``None`` where there is no verdict."""
    if job is None or len(pose.arms) != len(job.rig.arms):
        return None, ""
    verdict = evaluate(job, pose)
    return (None, "") if verdict.governing is None else (verdict.allowed_load_kg, verdict.governing.name)
