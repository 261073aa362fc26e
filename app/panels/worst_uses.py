"""Limits with their worst case beside them, as the panels show them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from engine.rig.check import Check
    from engine.worst_case.verdict import Verdict


def worst_uses(verdict: Verdict) -> list[tuple[Check, float]]:
    """Each check with its use in the worst case; NaN counts as used up."""
    uses = verdict.worst_case.use if verdict.worst_case is not None else [math.inf] * len(verdict.checks)
    return [
        (check, math.inf if math.isnan(use) else float(use)) for check, use in zip(verdict.checks, uses, strict=True)
    ]
