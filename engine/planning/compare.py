"""Two verdicts compared limit by limit."""

from __future__ import annotations

import math

import msgspec

from engine.worst_case.verdict import Verdict


class LimitDifference(msgspec.Struct, kw_only=True, frozen=True):
    """Use of one limit then and now; ``None`` where the verdict has no such limit."""

    part: str
    kind: str
    use_then: float | None
    use_now: float | None

    @property
    def change(self) -> float:
        """Use now less use then (0.1: ten percentage points), NaN where either is unknown."""
        if self.use_then is None or self.use_now is None:
            return math.nan
        # Two infinite uses are equal; their difference would be NaN.
        return 0.0 if self.use_now == self.use_then else self.use_now - self.use_then


def differences(then: Verdict, now: Verdict) -> tuple[LimitDifference, ...]:
    """Every limit of either verdict, those of ``now`` first and in their order.

    Two limits are the same when part and kind are.  Uses are those of the worst case where there is one, since the
    state follows them.
    """
    before, after = _uses(then), _uses(now)
    names = [*after, *(name for name in before if name not in after)]
    return tuple(
        LimitDifference(part=part, kind=kind, use_then=before.get((part, kind)), use_now=after.get((part, kind)))
        for part, kind in names
    )


def _uses(verdict: Verdict) -> dict[tuple[str, str], float]:
    worst = verdict.worst_case
    uses = (float(check.use) for check in verdict.checks) if worst is None else worst.use_of_each
    return {(check.part, check.kind): use for check, use in zip(verdict.checks, uses, strict=True)}
