"""Two verdicts held against each other, limit by limit."""

from __future__ import annotations

import math

import msgspec

from engine.rig.check import Check
from engine.worst_case.verdict import Verdict


class LimitDifference(msgspec.Struct, kw_only=True, frozen=True):
    """One limit then and now; ``None`` where it was not there.  ``change`` is in points of use, NaN where unknown."""

    part: str
    kind: str
    use_then: float | None
    use_now: float | None
    allowed_then_kg: float | None
    allowed_now_kg: float | None

    @property
    def change(self) -> float:
        """Use now less use then."""
        if self.use_then is None or self.use_now is None:
            return math.nan
        return 0.0 if self.use_now == self.use_then else self.use_now - self.use_then


def differences(then: Verdict, now: Verdict) -> tuple[LimitDifference, ...]:
    """Every limit of either verdict, those of ``now`` first and in their order.

    Limits are the same when part and kind are; worst-case uses are compared where both are known, since the state
    follows them.
    """
    before, after = _by_name(then), _by_name(now)
    names = [*after, *(name for name in before if name not in after)]
    return tuple(_difference(name, before.get(name), after.get(name)) for name in names)


def _by_name(verdict: Verdict) -> dict[tuple[str, str], tuple[Check, float, float]]:
    worst = verdict.worst_case
    found = {}
    for index, check in enumerate(verdict.checks):
        use = float(check.use) if worst is None else worst.use[index]
        allowed = float(check.allowed_load_kg) if worst is None else worst.allowed_load_kg[index]
        found[check.part, check.kind] = (check, use, allowed)
    return found


def _difference(
    name: tuple[str, str], then: tuple[Check, float, float] | None, now: tuple[Check, float, float] | None
) -> LimitDifference:
    return LimitDifference(
        part=name[0],
        kind=name[1],
        use_then=then[1] if then else None,
        use_now=now[1] if now else None,
        allowed_then_kg=then[2] if then else None,
        allowed_now_kg=now[2] if now else None,
    )
