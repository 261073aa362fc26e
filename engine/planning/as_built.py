"""As built against as drawn: which entries differ, and what each difference costs in allowed load.

The rig as drawn is kept in the file when building begins (``Job.drawn``); what is measured afterwards goes into the rig
itself, so every verdict is of the rig as built.  The cost of one difference is the change of the allowed load when that
entry alone goes from its drawn to its built value, everything else as drawn; costs need not add up.
"""

from __future__ import annotations

from typing import Any

import msgspec

from engine.base.errors import TailweightError
from engine.schema.model import Estimate, Job, Pose, Rig
from engine.shop.edits import set_value
from engine.worst_case.verdict import evaluate


class BuiltDifference(msgspec.Struct, kw_only=True, frozen=True):
    """One entry of the rig: its path from ``rig``, value drawn and value built (``None``: not there, or not known)."""

    path: str
    drawn: Any
    built: Any


class Cost(msgspec.Struct, kw_only=True, frozen=True):
    """Allowed load with one difference alone against the rig as drawn; ``None`` where there is no verdict."""

    difference: BuiltDifference
    change_kg: float | None
    governing: str


class AsBuilt(msgspec.Struct, kw_only=True, frozen=True):
    """What building has changed: allowed load as drawn and as built, and each difference with its cost."""

    drawn_kg: float | None
    built_kg: float | None
    costs: tuple[Cost, ...]


def differences(drawn: Rig, built: Rig) -> tuple[BuiltDifference, ...]:
    """Every entry in which two rigs differ, in the model's order."""
    found: list[BuiltDifference] = []
    _walk("rig", drawn, built, found)
    return tuple(found)


def _walk(path: str, drawn: Any, built: Any, found: list[BuiltDifference]) -> None:
    if drawn == built:
        return
    if type(drawn) is type(built) and isinstance(drawn, msgspec.Struct) and not isinstance(drawn, Estimate):
        for name in drawn.__struct_fields__:
            _walk(f"{path}.{name}", getattr(drawn, name), getattr(built, name), found)
    elif isinstance(drawn, tuple) and isinstance(built, tuple) and len(drawn) == len(built):
        for index, (one, other) in enumerate(zip(drawn, built, strict=True)):
            _walk(f"{path}[{index}]", one, other, found)
    else:
        found.append(BuiltDifference(path=path, drawn=drawn, built=built))


def compare(job: Job, pose: Pose) -> AsBuilt | None:
    """What building has changed in this pose, or None when no drawn rig is kept."""
    if job.drawn is None:
        return None
    as_drawn = _with_rig(job, job.drawn)
    drawn_kg = _allowed(as_drawn, pose)[0]
    costs = tuple(_cost(as_drawn, pose, difference, drawn_kg) for difference in differences(job.drawn, job.rig))
    return AsBuilt(drawn_kg=drawn_kg, built_kg=_allowed(job, pose)[0], costs=costs)


def _with_rig(job: Job, rig: Rig) -> Job | None:
    """The job with another rig; None when its poses do not go with it (other arms, fewer holes)."""
    try:
        return msgspec.structs.replace(job, rig=rig)
    except ValueError:
        return None


def _cost(as_drawn: Job | None, pose: Pose, difference: BuiltDifference, drawn_kg: float | None) -> Cost:
    allowed_kg, governing = None, ""
    if as_drawn is not None:
        try:
            allowed_kg, governing = _allowed(set_value(as_drawn, difference.path, difference.built), pose)
        except TailweightError as error:
            governing = str(error)
    change = None if allowed_kg is None or drawn_kg is None else allowed_kg - drawn_kg
    return Cost(difference=difference, change_kg=change, governing=governing)


def _allowed(job: Job | None, pose: Pose) -> tuple[float | None, str]:
    if job is None or len(pose.arms) != len(job.rig.arms):
        return None, ""
    verdict = evaluate(job, pose)
    if verdict.governing is None:
        return None, ""
    return verdict.allowed_load_kg, verdict.governing.name
