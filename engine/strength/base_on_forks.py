"""The rig on two forks: four contacts, three equations, and everything between the bounds.

Two sleeves joined by the cross-member sit on two blades, each at its tip and its heel.  With weight W, moment M nose
down about the fork face and roll K, statics gives the sums of both sides,

    R_t = (M - W x_h)/(x_t - x_h),    R_h = W - R_t,

and with P = K/s the two sides up to one unknown, the share of the roll that the tips take:

    R_t,i = R_t/2 +- alpha P,    R_h,i = R_h/2 +- (1 - alpha) P.

What the share is depends on how stiff blades, cross-member and contacts are and on how much play the sleeves have; so
every limit is looked at in all `cases` and the worst counts:

* **free**: the sleeves pitch apart, alpha = a_h/(a_h + a_t) (a: from the mast's foot to heel and tip);
* **stiff**: a rigid cross-member on soft blade tips, alpha = 0;
* **one contact in its play**: a closed sleeve with play lets one contact hang clear of both faces, and the other three
  carry all by statics.  The more loaded ("near") tip then takes the most it can,
  ``alpha P = min(R_t/2, P - |R_h|/2)``: the far tip clear, the far heel clear, or the near heel clear, whichever comes
  first.  Each is one case, counted at the loads where it is the least and not negative.

The share by springs (`spring_share`) lies between free and stiff; it is shown and never used alone.  Whatever the
stiffness and the play, the reactions stay inside these cases (``tests/validation`` holds them against a model with
one-sided contacts).

**Play.**  Roll, pitch and yaw by which the rig can settle in its sleeves are added to the lean.

Sources: statics; blade as a cantilever; stiffness of shank and contact, common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from engine.base.geometry import Number
from engine.schema.steel import ELASTIC_MODULUS_PA, SHEAR_MODULUS_PA
from engine.strength.cuts import SectionForces
from engine.strength.linear_in_load import LeastOf, Linear
from engine.strength.load_window import ALWAYS, Window, window

HEEL_STIFFNESS_N_M = 1e8
"""Shank and contact at a heel (common practice, no source)."""

LOOSE_RAD = 0.01
"""Play over this earns the caution "shim the sleeves" (common practice, no source)."""

NO_PULL = Linear(0.0, 0.0)


class Base(NamedTuple):
    """Where the rig stands: heel, tip and mast foot ahead of the fork face, and the forks' spread (m)."""

    heel_m: Number
    tip_m: Number
    foot_m: Number
    spread_m: Number

    @property
    def to_heel_m(self) -> Number:
        """From the mast's foot back to the heel."""
        return self.foot_m - self.heel_m

    @property
    def to_tip_m(self) -> Number:
        """From the mast's foot on to the tip."""
        return self.tip_m - self.foot_m


class Pull(NamedTuple):
    """What the rig puts on both forks: weight, moment nose down about the fork face, roll that loads the left side."""

    weight: Linear
    nose_down: Linear
    roll: Linear


class Seat(NamedTuple):
    """What one sleeve carries and hands on, each linear in the load.

    Weight and the reactions upwards at tip and heel (N); twist of its half of the cross-member and moment of its fork
    at the fork face (N·m).
    """

    weight: Linear
    tip: Linear
    heel: Linear
    half_twist: Linear
    fork_moment: Linear


class Case(NamedTuple):
    """One way the four contacts may share: both sleeves, and the loads at which it counts."""

    name: str
    left: Seat
    right: Seat
    window: Window


def pull_of(six: SectionForces) -> Pull:
    """The pull from the cut at the fork face (``Chain.forks``)."""
    return Pull(six.shear_up.times(-1.0), six.bend_up, six.twist.times(-1.0))


def at_tips_and_heels(base: Base, pull: Pull) -> tuple[Linear, Linear]:
    """Sum of both tips' and of both heels' reactions (N, upwards)."""
    per = 1.0 / (base.tip_m - base.heel_m)
    tips = pull.nose_down.times(per).plus(pull.weight.times(base.heel_m * per), -1.0)
    return tips, pull.weight.plus(tips, -1.0)


def seats(base: Base, pull: Pull, roll_at_tips: Linear) -> tuple[Seat, Seat]:
    """Left and right sleeve with a given part of the roll couple at the tips (``alpha P``, N)."""
    tips, heels = at_tips_and_heels(base, pull)
    couple = pull.roll.times(1.0 / base.spread_m)
    roll_at_heels = couple.plus(roll_at_tips, -1.0)

    def seat(sign: float) -> Seat:
        tip = tips.times(0.5).plus(roll_at_tips, sign)
        heel = heels.times(0.5).plus(roll_at_heels, sign)
        return Seat(
            pull.weight.times(0.5).plus(couple, sign),
            tip,
            heel,
            tip.times(base.to_tip_m).plus(heel.times(base.to_heel_m), -1.0),
            tip.times(base.tip_m).plus(heel.times(base.heel_m)),
        )

    return seat(1.0), seat(-1.0)


def free_share(base: Base) -> Number:
    """Share of the roll at the tips where the sleeves pitch apart."""
    return base.to_heel_m / (base.to_heel_m + base.to_tip_m)


def cases(base: Base, pull: Pull, *, play: bool) -> tuple[Case, ...]:
    """Every way the contacts may share.

    Parameters
    ----------
    base : Base
    pull : Pull
    play : bool
        Whether the sleeves have play up and down on the blades.

    Returns
    -------
    tuple of Case
        ``free`` and ``stiff``; with play three more for each side that may be the more loaded one.

    The checks use `bounds` of them, which cost less.
    """
    couple = pull.roll.times(1.0 / base.spread_m)
    found = [
        Case("free", *seats(base, pull, couple.times(free_share(base))), ALWAYS),
        Case("stiff", *seats(base, pull, NO_PULL), ALWAYS),
    ]
    if not play:
        return tuple(found)
    tips, heels = at_tips_and_heels(base, pull)
    for near, sign in (("left", 1.0), ("right", -1.0)):
        # What the near tip takes beyond its half, in each case; the least counts, and none of them below zero.
        beyond = {
            f"far tip clear, {near} near": tips.times(0.5),
            f"far heel clear, {near} near": couple.times(sign).plus(heels, -0.5),
            f"near heel clear, {near} near": couple.times(sign).plus(heels, 0.5),
        }
        for name, own in beyond.items():
            others = (other.plus(own, -1.0) for key, other in beyond.items() if key != name)
            found.append(Case(name, *seats(base, pull, own.times(sign)), window(own, *others)))
    return tuple(found)


class Bounds(NamedTuple):
    """The greatest that any of `cases` gives, part by part, without looking at every case.

    With the roll's part at the tips called r, every reaction and moment moves straight with r, so that its greatest
    magnitude stands at one end of what r may be: r = 0 (stiff), or the greater of the free share and of the most that
    the play lets the near tip take.  Hence

    * heels: ``|R_h|/2 + |K|/s - r`` is greatest when stiff, in every case;
    * tips and fork moments: greatest when free, or with a contact in its play;
    * the cross-member's twist: at either end.

    ``near_tips`` are the reactions of the near tip with one contact in its play (see `cases`), for the left and for the
    right side as the near one.  Empty without play.
    """

    base: Base
    couple: Linear
    free: tuple[Seat, Seat]
    stiff: tuple[Seat, Seat]
    near_tips: tuple[LeastOf, ...]

    def near_fork_moments(self) -> tuple[LeastOf, ...]:
        """Moment of the near fork with one contact in its play: what the tip takes more, the heel takes less."""
        return tuple(
            self._in_play(tip, stiff.tip, stiff.fork_moment)
            for stiff, tip in zip(self.stiff, self.near_tips, strict=False)
        )

    def near_twists(self) -> tuple[LeastOf, ...]:
        """Twist of the near half of the cross-member with one contact in its play: of the left, and of the right."""
        return tuple(
            self._in_play(tip, stiff.tip, stiff.half_twist)
            for stiff, tip in zip(self.stiff, self.near_tips, strict=False)
        )

    def twists(self, level_Nm: Number) -> tuple[tuple[Callable[[Number], Number], ...], ...]:
        """Twist of the left and of the right half with one contact in its play, as functions of the load.

        Each counts only when positive, beside the magnitudes of `free` and `stiff`.  ``level_Nm`` is the twist at which
        the cross-member is about full: near it these are exact, elsewhere on the safe side (`LeastOf.straight`).
        """
        if not self.near_tips:
            return (), ()
        free = self.free[0].half_twist
        left, right = (twist.straight(level_Nm, free) for twist in self.near_twists())
        both = free.times(2.0)
        return (left, lambda load_kg: right(load_kg) - both.at(load_kg)), (
            right,
            lambda load_kg: left(load_kg) - both.at(load_kg),
        )

    def _in_play(self, tip: LeastOf, stiff_tip: Linear, stiff: Linear) -> LeastOf:
        """A moment that is ``stiff`` while the tip has its stiff share, and grows with what the tip takes beyond."""
        length = self.base.tip_m - self.base.heel_m
        return tip.plus(stiff_tip, -1.0).times(length).plus(stiff)


def bounds(base: Base, pull: Pull, *, play: bool) -> Bounds:
    """What bounds every case; ``play`` says whether the sleeves have play up and down on the blades."""
    couple = pull.roll.times(1.0 / base.spread_m)
    tips, heels = at_tips_and_heels(base, pull)
    near = []
    for sign in (1.0, -1.0) if play else ():
        loaded = tips.times(0.5).plus(couple, sign)
        near.append(LeastOf((tips, loaded.plus(heels, -0.5), loaded.plus(heels, 0.5))))
    return Bounds(
        base,
        couple,
        seats(base, pull, couple.times(free_share(base))),
        seats(base, pull, NO_PULL),
        tuple(near),
    )


def blade_stiffness_N_m(width_m: Number, thickness_m: Number, tip_m: Number) -> Number:
    """A blade as a cantilever loaded at its tip: ``3 E I/x_t^3``; ``thickness_m`` is what wear has left."""
    return (
        3.0 * ELASTIC_MODULUS_PA * (width_m * thickness_m * thickness_m * thickness_m / 12.0) / (tip_m * tip_m * tip_m)
    )


def cross_stiffness_Nm_rad(twist_m4: Number, spread_m: Number, sleeve_width_m: Number) -> Number:
    """One half of the cross-member in twist, between the mast and a sleeve's side: ``2 G J/(s - W)``."""
    return 2.0 * SHEAR_MODULUS_PA * twist_m4 / (spread_m - sleeve_width_m)


def spring_share(base: Base, tip_N_m: Number, cross_Nm_rad: Number, heel_N_m: Number = HEEL_STIFFNESS_N_M) -> Number:
    """Share of the roll at the tips by springs, without play: shown, never used alone."""
    length = base.to_heel_m + base.to_tip_m
    above = tip_N_m * (heel_N_m * base.to_heel_m * length + cross_Nm_rad)
    return above / (tip_N_m * heel_N_m * length * length + cross_Nm_rad * (tip_N_m + heel_N_m))


# ---------------------------------------------------------------- cross-member


def cross_six(seat: Seat, slide: Linear, spread_m: Number, mast_width_m: Number) -> SectionForces:
    """What one half of the cross-member carries at the mast's face; ``slide`` is both sleeves' force fore and aft."""
    lever = (spread_m - mast_width_m) / 2.0
    half = slide.times(0.5)
    return SectionForces(NO_PULL, seat.weight, half, seat.half_twist, seat.weight.times(lever), half.times(lever))


def cross_end_six(seat: Seat, slide: Linear, blade_width_m: Number) -> SectionForces:
    """What the cross-member's end hands to its sleeve, as a standing part of depth fore and aft (see ``weld_lines``).

    Its own axis is the standing part's, up the way of its width.  The blade may bear at one edge, so the weight comes
    with ``W b/2`` (bound, statics).
    """
    half = slide.times(0.5)
    return SectionForces(NO_PULL, half, seat.weight, seat.half_twist, NO_PULL, seat.weight.times(blade_width_m * 0.5))


# ---------------------------------------------------------------- play


class Play(NamedTuple):
    """Clearance of a sleeve on its blade, upright and sideways (m)."""

    up_m: Number
    side_m: Number


def play_of(width_m: Number, depth_m: Number, wall_m: Number, blade_width_m: Number, blade_thickness_m: Number) -> Play:
    """Clearance of a sleeve's inside on its blade."""
    return Play(depth_m - 2.0 * wall_m - blade_thickness_m, width_m - 2.0 * wall_m - blade_width_m)


def roll_play_rad(gap_m: Number, spread_m: Number) -> Number:
    """Roll until the far sleeve's heel catches: ``gap_m`` is the heel's where its pin and the cross-member hold."""
    return gap_m / spread_m


def pitch_play_rad(heel_gap_m: Number, base: Base) -> Number:
    """Pitch until the heels catch."""
    return heel_gap_m / (base.tip_m - base.heel_m)


def yaw_play_rad(side_m: Number, sleeve_length_m: Number) -> Number:
    """Yaw of the sleeves on the blades, from end to end."""
    return side_m / sleeve_length_m


class Shift(NamedTuple):
    """How far play moves the hook (m): forward and down by pitch, aside by roll and yaw."""

    forward_m: Number
    down_m: Number
    aside_m: Number


def hook_shift(pitch_rad: Number, roll_rad: Number, yaw_rad: Number, up_m: Number, out_m: Number) -> Shift:
    """Where small angles of play carry a hook that is ``up_m`` over and ``out_m`` ahead of the sleeves."""
    return Shift(pitch_rad * up_m, pitch_rad * out_m, roll_rad * up_m + yaw_rad * out_m)
