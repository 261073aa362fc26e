"""Tip-up curve: what brings a truck back on its rear wheels once they lift, and why it goes over so fast.

Method.  Everything on the wheels turns as one stiff body about the front line, slowly; what hangs pulls at the hook.
With the combined centre ``a`` behind and ``h`` over that line, seen along gravity, and a weight ``W``,

    M(t) = W (a cos t - h sin t)

brings it back at the lean ``t``, and the rear wheels are ``L sin t`` up.  Past ``t0 = atan(a / h)`` nothing brings it
back.  A jolt that takes it there lifts the combined centre to straight over the line: ``E = W (sqrt(a2 + h2) - h)``.
On a floor that slopes by ``f`` down to the front a centre ``a'`` behind and ``h'`` over the line, square to the floor,
stands at ``a = a' cos f - h' sin f``, ``h = h' cos f + a' sin f``.

This explains only.  The limit is the first lift of a rear wheel: nothing here says how much lean is safe.

Source: statics.
"""

from __future__ import annotations

import math

import msgspec

from engine.base.geometry import GRAVITY_M_S2, Array, Number, cos, sin
from engine.base.lazy import np
from engine.worst_case.verdict import Verdict


class TipCurve(msgspec.Struct, kw_only=True, frozen=True):
    """A truck with rig and load on its front line.

    Attributes
    ----------
    mass_kg : float
        Everything on the wheels.
    weight_N : float
        Its weight square to the front line.
    behind_m, over_m : float
        Combined centre behind and over the front line, seen along gravity; ``behind_m`` is positive.
    wheelbase_m : float
    """

    mass_kg: float
    weight_N: float
    behind_m: float
    over_m: float
    wheelbase_m: float

    @property
    def no_return_rad(self) -> float:
        """Lean past which nothing brings the truck back."""
        return math.atan2(self.behind_m, self.over_m)

    @property
    def rise_m(self) -> float:
        """How far the combined centre rises until there."""
        return math.hypot(self.behind_m, self.over_m) - self.over_m

    @property
    def jolt_J(self) -> float:
        """What a jolt must bring to take the truck there."""
        return self.weight_N * self.rise_m

    def moment_Nm(self, lean_rad: Number) -> Number:
        """Moment that brings the truck back at a lean: one number or an array (...)."""
        return self.weight_N * (self.behind_m * cos(lean_rad) - self.over_m * sin(lean_rad))

    def wheel_lift_m(self, lean_rad: Number) -> Number:
        """How high the rear wheels are at a lean: one number or an array (...)."""
        return self.wheelbase_m * sin(lean_rad)

    def lean_at_lift_rad(self, lift_m: float) -> float:
        """Lean at which the rear wheels are so high; at most the wheelbase."""
        return math.asin(lift_m / self.wheelbase_m)

    def leans_rad(self, step_rad: float) -> Array:
        """Leans from none to the last one, a step apart, shape (n,)."""
        whole = np.arange(0.0, self.no_return_rad, step_rad)
        return np.append(whole, self.no_return_rad)


def tip_curve(
    *, mass_kg: float, behind_m: float, over_m: float, fall: float, wheelbase_m: float, level_share: float = 1.0
) -> TipCurve:
    """The curve of a combined centre.

    Parameters
    ----------
    mass_kg : float
        Everything on the wheels.
    behind_m, over_m : float
        Its combined centre behind the front line and over the floor, along and square to the floor.
    fall : float
        Slope down to the front, as rise over run.
    wheelbase_m : float
    level_share : float
        Share of gravity that acts square to the front line; less than 1 on a side slope.

    Raises
    ------
    ValueError
        When the combined centre is not behind the front line: nothing brings such a truck back.
    """
    slope_rad = math.atan(fall)
    along, square = math.sin(slope_rad), math.cos(slope_rad)
    behind, over = behind_m * square - over_m * along, over_m * square + behind_m * along
    if not behind > 0.0:
        raise ValueError(f"behind_m: expected, seen along gravity, a centre behind the front line, got {behind:.3f}")
    return TipCurve(
        mass_kg=mass_kg,
        weight_N=mass_kg * GRAVITY_M_S2 * level_share,
        behind_m=behind,
        over_m=over,
        wheelbase_m=wheelbase_m,
    )


def tip_curve_of(verdict: Verdict) -> TipCurve | None:
    """The curve of a pose, values as entered, every weight where the bent rig carries it.

    None without a verdict, and where the rear wheels are off the floor already.
    """
    weighed, placed = verdict.balance, verdict.hanging
    if weighed is None or not verdict.checks or not float(weighed.lines[0].margin_Nm) > 0.0:
        return None
    gravity, centre_m = placed.gravity, weighed.combined_m
    return tip_curve(
        mass_kg=float(weighed.combined_kg),
        behind_m=-float(centre_m.x),
        over_m=float(centre_m.z),
        fall=float(gravity.x / -gravity.z),
        wheelbase_m=float(placed.figures.wheelbase_m),
        level_share=math.hypot(float(gravity.x), float(gravity.z)),
    )
