"""Which way the truck would tip over, and where it would be as it starts to.

The tipping lines (``engine.limits.balance``) are weighed on three bases, the plainest first: plain statics with nominal
values; nominal values with the allowances (factor on the hook load, swing, braking, lean); plain statics in the worst
case of the entries.  In all three the truck leans on its tyres.  The first basis on which a line has nothing left is
reported, as the likeliest to happen.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from engine.base.geometry import Vec, cos, sin
from engine.limits import balance
from engine.limits.all_limits import leaned
from engine.limits.balance import TipLine
from engine.rig.deflection import place_bent
from engine.schema.model import Job
from engine.worst_case.verdict import Verdict

Basis = Literal["static", "allowances", "worst"]

BASIS_WORDS: dict[Basis, str] = {
    "static": "as it stands",
    "allowances": "with the allowances",
    "worst": "with every weight at its worst",
}

WAY_WORDS = {
    "front": "forwards",
    "rear": "backwards",
    "left side": "sideways to the left",
    "right side": "sideways to the right",
}
"""Which way the truck goes over each line."""

START_RAD = 0.14
"""Turn of the truck drawn as it starts to tip: 8 degrees, enough to be seen."""


class Overturn(msgspec.Struct, kw_only=True, frozen=True):
    """The line one pose would tip over, and the basis of that statement."""

    line: TipLine
    basis: Basis

    @property
    def way(self) -> str:
        """Which way the truck goes over, in words."""
        return f"would go over {WAY_WORDS[self.line.name]}"

    @property
    def basis_words(self) -> str:
        """The basis in words."""
        return BASIS_WORDS[self.basis]

    @property
    def words(self) -> str:
        """Way and basis in one phrase."""
        return f"{self.way} {self.basis_words}"


def overturning(job: Job, verdict: Verdict) -> Overturn | None:
    """The line with no standing moment left, and on which basis; ``None`` where every line keeps some.

    Parameters
    ----------
    job : Job
    verdict : Verdict
        Of one pose of the job.

    Returns
    -------
    Overturn or None
        ``None`` too where the pose has no balance.
    """
    if verdict.leaned is None:
        return None
    lines = verdict.leaned.lines
    return _tipped(lines, "static") or _tipped_with_allowances(job, verdict) or _tipped_at_worst(lines, verdict)


def _tipped_with_allowances(job: Job, verdict: Verdict) -> Overturn | None:
    if _kept_with_allowances(verdict):
        return None
    placed = place_bent(job, leaned(verdict.placed.figures, job.policy))
    allowances = balance.allowances_of(job.policy)
    return _tipped(balance.weigh(placed, allowances, leaning="up_to_own").lines, "allowances")


def _kept_with_allowances(verdict: Verdict) -> bool:
    """Whether the verdict's own tipping limits already show that every line keeps some with the allowances.

    Their demand is the load moment or more, so a line that has tipped is never passed over.
    """
    tipping = [check for check in verdict.checks if balance.is_tipping(check)]
    return not verdict.checks or (
        bool(tipping) and all(float(check.demand) < float(check.numbers["hold"]) for check in tipping)
    )


def _tipped_at_worst(lines: tuple[TipLine, ...], verdict: Verdict) -> Overturn | None:
    if verdict.worst_case is None:
        return None
    use = verdict.worst_case.standing.tipping_use
    worst = max(lines, key=lambda line: use[line.name])
    return None if use[worst.name] < 1.0 else Overturn(line=worst, basis="worst")


def _tipped(lines: tuple[TipLine, ...], basis: Basis) -> Overturn | None:
    """The line with the smallest margin, if that is nothing or not a number."""
    least = min(lines, key=lambda line: float(line.margin_Nm))
    return None if float(least.margin_Nm) > 0.0 else Overturn(line=least, basis=basis)


def turned_over(point_m: Vec, line: TipLine, angle_rad: float = START_RAD) -> Vec:
    """Where a point of the truck is after a turn about a tipping line.

    Parameters
    ----------
    point_m : Vec
        In the truck's frame while it stands.
    line : TipLine
        The line to turn about; its direction makes standing moments positive.
    angle_rad : float
        How far the truck has turned, tipping.

    Returns
    -------
    Vec
        Rotation about the line (Rodrigues' formula).
    """
    axis = (line.b_m - line.a_m).unit()
    arm = point_m - line.a_m
    # Standing moments are positive about the axis, so tipping turns the other way.
    c, s = cos(angle_rad), sin(-angle_rad)
    turned = arm.times(c) + axis.cross(arm).times(s) + axis.times(axis.dot(arm) * (1.0 - c))
    return line.a_m + turned
