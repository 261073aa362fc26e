"""Which way the truck would go over, and where it would be as it starts to.

A line the truck tips over (``engine.limits.balance``) is looked at three times, the plainest first: plain statics with best
values; best values with the allowances (factor on the hook load, swing, braking, lean); and the worst case of the
entries, plain statics.  The first that leaves nothing is told, because it is the surest to happen.
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
"""The way a truck goes over each line, as a person says it."""

START_RAD = 0.14
"""How far the ghost of a truck that starts to go over is turned: 8 degrees, enough to be seen."""


class Overturn(msgspec.Struct, kw_only=True, frozen=True):
    """The line one pose would go over, and on what basis that is said."""

    line: TipLine
    basis: Basis

    @property
    def way(self) -> str:
        """Which way, in words."""
        return f"would go over {WAY_WORDS[self.line.name]}"

    @property
    def basis_words(self) -> str:
        """What it is said on, in words."""
        return BASIS_WORDS[self.basis]

    @property
    def words(self) -> str:
        """Both in one."""
        return f"{self.way} {self.basis_words}"


def overturning(job: Job, verdict: Verdict) -> Overturn | None:
    """The line that has nothing left over it, and on which basis; None where every line keeps some.

    Parameters
    ----------
    job : Job
    verdict : Verdict
        Of one pose of the job.

    Returns
    -------
    Overturn or None
        None too when nothing is known of the balance.
    """
    if verdict.balance is None:
        return None
    found = _gone(verdict.balance.lines, "static")
    if found is None and not _kept_with_allowances(verdict):
        placed = place_bent(job, leaned(verdict.placed.figures, job.policy))
        found = _gone(balance.weigh(placed, balance.allowances_of(job.policy)).lines, "allowances")
    if found is None and verdict.worst_case is not None:
        use = verdict.worst_case.standing.tipping_use
        worst = max(verdict.balance.lines, key=lambda line: use[line.name])
        found = Overturn(line=worst, basis="worst") if not use[worst.name] < 1.0 else None
    return found


def _kept_with_allowances(verdict: Verdict) -> bool:
    """Whether the tipping limits, weighed with the allowances already, show that every line keeps some.

    Their demand is the load moment or more, so this never says so where something has gone.
    """
    tipping = [check for check in verdict.checks if check.kind.startswith("tipping, ")]
    return not verdict.checks or (
        bool(tipping) and all(float(check.demand) < float(check.numbers["hold"]) for check in tipping)
    )


def _gone(lines: tuple[TipLine, ...], basis: Basis) -> Overturn | None:
    """The line with the least left over it, if that is nothing or not a number."""
    least = min(lines, key=lambda line: float(line.margin_Nm))
    return None if float(least.margin_Nm) > 0.0 else Overturn(line=least, basis=basis)


def turned_over(point_m: Vec, line: TipLine, angle_rad: float = START_RAD) -> Vec:
    """Where a point of the truck is once it has turned over a tipping line.

    Parameters
    ----------
    point_m : Vec
        In the truck's frame while it stands.
    line : TipLine
        The line it turns about, its direction making standing positive.
    angle_rad : float
        How far it has turned, going over.

    Returns
    -------
    Vec
        Rotation about the line (Rodrigues' formula).
    """
    axis = (line.b_m - line.a_m).unit()
    arm = point_m - line.a_m
    # Standing moments are positive about the axis, so going over turns the other way.
    c, s = cos(angle_rad), sin(-angle_rad)
    turned = arm.times(c) + axis.cross(arm).times(s) + axis.times(axis.dot(arm) * (1.0 - c))
    return line.a_m + turned
