"""The sleeves on the forks: uplift at the heel, lift at the far side, bearing, bending, and the cross-member.

The whole rig pulls on the forks with a weight W, a nose-down moment M about the fork face and a roll moment from
anything to one side.  Each sleeve rests at its tip and its heel.  Statics leaves open how the four contacts share the
roll (``base_on_forks``), so every check holds in all cases: the cross-member does not hold the sleeves together at all,
it holds them fully, or one contact hangs clear in the sleeves' play.  The worst counts, and the words name it.

* **Heel uplift.**  Where a heel's reaction is negative it would come off the fork.  Only a heel pin (one to each
  sleeve) or a chain (one over both, or one each) that is entered holds it, along with what slides the rig off the
  forks; the two add by vector.  The pin is bent by the blade on it, sheared twice, and bears in two walls, which must
  not tear towards their lower edge.  Where nobody has said how far below the blade it stands, the least wall it can
  have below it counts, that of a pin on the sleeve's bottom wall.  A chain counts with its own rating; where its angle
  is not entered, with the flattest it may have.
* **Far sleeve.**  Where a whole sleeve would lift (W_i < 0) the closed tube holds it against the underside of the fork.
* **Bearing** of the sleeve's wall on the blade at tip and heel, and **bending** of the sleeve under the cross-member.
* **Cross-member**: each half is bent and sheared by its sleeve's weight at the mast's face, and twisted.

Friction never counts.
"""

from __future__ import annotations

import functools
import math
from typing import NamedTuple, cast

from engine.base.geometry import GRAVITY_M_S2, Number, Vec, least, most, sqrt, where
from engine.base.plain_call import plain_call
from engine.rig.check import Check
from engine.rig.fits import FIT_TOLERANCE_M, FLATTEST_CHAIN_RAD
from engine.rig.kinematics import boom_z_m, mast_base_z_m
from engine.schema.connections import HeelChain, HeelPin
from engine.schema.model import Forks, Job, Policy, Rig, Sleeves
from engine.schema.sections import outer_width_m
from engine.schema.steel import design_wall_m, entered_wall_m
from engine.schema.thin_end import as_entered
from engine.schema.uncertainty_bands import FORKS_OFF_M, MAST_LEAN_RAD, MAST_OFF_M
from engine.strength import heel_hold, members, pins
from engine.strength.allowable_stress import AISC_OR_FACTOR, allowable_stress
from engine.strength.base_on_forks import Base, Bounds, bounds, cross_six, play_of, pull_of
from engine.strength.cuts import Cuts
from engine.strength.linear_in_load import (
    CheckLabel,
    LeastOf,
    Linear,
    check_greatest,
    check_met_at,
    check_pull,
    check_resultant,
    check_unheld,
    check_use,
    load_at_magnitude,
    magnitudes,
    worse_of,
)
from engine.strength.load_window import Shift, check_within
from engine.strength.members import Member
from engine.strength.unverified_values import BASE_PLATE_K

Demands = tuple[tuple[str, tuple[Linear | LeastOf, ...]], ...]
"""What each case demands, with the words for the case."""

STATICS = "statics of two sleeves on their forks, the worst of all ways to share the roll"

FREE = "if the cross-member does not hold the sleeves together"
STIFF = "if the cross-member holds the sleeves together fully"
IN_PLAY = "with the far sleeve lifted in its play"


TWIST_BESIDE_BENDING = 0.7
"""Share of its allowed twist at which the cross-member is about full, with bending beside it (``Bounds.twists``)."""


class WallLimits(NamedTuple):
    """Allowed force (N) of the blade on a sleeve's wall, at an end and along its length."""

    end_N: float
    along_N: float


def base_bounds(job: Job, cuts: Cuts) -> Bounds:
    """What each sleeve carries in the worst case; the left one first.

    With forks and jib mast off their place the forks stand nearer together, and everything further out and to its side.
    """
    sleeves, forks = job.rig.sleeves, job.truck.forks
    spread_m = forks.spread_m - FORKS_OFF_M * cuts.off_place
    base = Base(*bearing_ends_m(sleeves, forks), job.rig.jib_mast.foot_x_m, spread_m)
    pull = pull_of(cuts.forks.forces)
    to_left = where(pull.roll.at(cuts.load_kg) >= 0.0, 1.0, -1.0)
    off_m = cuts.off_place * aside_m(job.rig)
    roll, nose_down = pull.roll.plus(pull.weight.times(to_left * off_m)), pull.nose_down.plus(pull.weight.times(off_m))
    return bounds(base, pull._replace(roll=roll, nose_down=nose_down), play=has_play(sleeves, forks))


def aside_m(rig: Rig) -> float:
    """How far a jib mast off its place and out of true carries what it holds out or to one side, at boom height."""
    return MAST_OFF_M + MAST_LEAN_RAD * (mast_base_z_m(rig) + boom_z_m(rig))


def has_play(sleeves: Sleeves, forks: Forks) -> bool:
    """Whether a sleeve can lift off its blade before it meets the blade's underside."""
    section = sleeves.section
    play = play_of(section.width_m, section.depth_m, section.wall_m, forks.width_m, forks.thickness_m - forks.wear_m)
    return bool(play.up_m > FIT_TOLERANCE_M)


def bearing_ends_m(sleeves: Sleeves, forks: Forks) -> tuple[float, float]:
    """Where a sleeve bears on its fork, heel and tip (m ahead of the fork face)."""
    return sleeves.heel_gap_m, least(sleeves.heel_gap_m + sleeves.length_m, forks.length_m)


def checks(job: Job, cuts: Cuts) -> list[Check]:
    """Heel uplift, far-sleeve lift, bearing, sleeve bending and the cross-member."""
    base = base_bounds(job, cuts)
    place, axes = cuts.forks.place_m, cuts.forks.axes
    at_heel, at_tip = place + axes.out(base.base.heel_m), place + axes.out(base.base.tip_m)
    foot = place + axes.out(base.base.foot_m)
    left, right = base.stiff
    return [
        _heel_check(job, cuts, base, at_heel),
        worse_of(_lift_check(job, cuts, left.weight, foot), _lift_check(job, cuts, right.weight, foot)),
        _tip_check(job, cuts, base, at_tip),
        _bearing_check(job, cuts, "heel", ((STIFF, magnitudes(left.heel, right.heel)),), at_heel),
        _bending_check(job, cuts, base, foot),
        _cross_member_check(job, cuts, base, foot),
    ]


# ---------------------------------------------------------------- heel and far side


def _heel_check(job: Job, cuts: Cuts, base: Bounds, place_m: Vec) -> Check:
    """Heel uplift and what slides the rig forwards against pin or chain; with neither, nothing holds."""
    load_kg, hold = cuts.load_kg, retention(job.rig.sleeves, job.truck.forks, job.policy)
    uplifts = [seat.heel.times(-1.0) for seat in base.stiff]
    if hold is None:
        words = (
            "the sleeve's heel is pried up with {kg:kg_up} {case} and nothing entered holds it: enter the heel pin or "
            "chain"
        )
        label = CheckLabel("sleeves", "heel uplift, nothing holds it", place_m, "N", words, STATICS)
        unheld = [
            check_unheld(label, uplift, load_kg, kg=_lifted_kg(uplift, load_kg), case=STIFF) for uplift in uplifts
        ]
        return worse_of(*unheld)
    sliding = cuts.forks.forces.axial.times(0.5)
    words = (
        "the sleeve's heel is pried up with {kg:kg_up} {case} and pushed along the fork with {slide:N}; "
        "its {held} allows {allowed:N}"
    )
    label = CheckLabel("sleeves", "heel uplift", place_m, "N", words, f"{STATICS}; {AISC_OR_FACTOR}")
    at_limit = load_at_magnitude(sliding, hold.allowed_N)
    for uplift in uplifts:
        (up, along), lifted = heel_hold.pulls(uplift, cuts.forks.forces.axial)

        def held(shift: Shift, at_kg: Number, up: Linear = up, along: Linear = along) -> Check:
            return check_resultant(label, (shift(up), shift(along)), hold.allowed_N, at_kg)

        at_limit = least(at_limit, check_within(lifted, load_kg, held).allowed_load_kg)
    kg, slide_N = most(*(_lifted_kg(uplift, load_kg) for uplift in uplifts)), abs(sliding.at(load_kg))
    lift_N = kg * GRAVITY_M_S2
    demand = sqrt(lift_N * lift_N + slide_N * slide_N)
    return check_met_at(label, demand, hold.allowed_N, at_limit, kg=kg, slide=slide_N, held=hold.words, case=STIFF)


def _lifted_kg(uplift: Linear, load_kg: Number) -> Number:
    """What lifts, in kilograms; 0 where it presses."""
    return most(uplift.at(load_kg), 0.0) / GRAVITY_M_S2


class Retention(NamedTuple):
    """What one heel is allowed (N), and by what: the words of a sentence."""

    allowed_N: float
    words: str


@plain_call
@functools.lru_cache(maxsize=64)
def retention(sleeves: Sleeves, forks: Forks, policy: Policy) -> Retention | None:
    """Allowed pull on one heel: of its pin, or what its chain's rating comes to at the heel."""
    match sleeves.heel_hold:
        case HeelPin() as held:
            limits = heel_pin_limits(sleeves, held, forks, policy)
            return min(
                Retention(limits.bending_N, "pin, bent by the fork above it,"),
                Retention(limits.shear_N, "pin, in double shear,"),
                Retention(limits.bearing_N, "pin, bearing in the sleeve's walls,"),
                Retention(limits.tear_out_N, "pin, tearing out of the sleeve's walls,"),
                key=lambda hold: hold.allowed_N,
            )
        case HeelChain(wll_kg=wll_kg, count=count, angle_rad=angle_rad) if wll_kg is not None:
            at_rad = FLATTEST_CHAIN_RAD if angle_rad is None else angle_rad
            share = "half of the one chain over both heels" if count == 1 else "chain"
            return Retention(heel_hold.chain_N(wll_kg, count, at_rad), share)
        case _:
            return None


def heel_pin_limits(sleeves: Sleeves, held: HeelPin, forks: Forks, policy: Policy) -> heel_hold.PinLimits:
    """What one heel pin is allowed."""
    pin = held.pin
    pin_stress = allowable_stress(pin.steel, policy, pin.diameter_m)
    tube = allowable_stress(sleeves.steel, policy, sleeves.section)
    wall = design_wall_m(sleeves.section, sleeves.steel)
    span = heel_hold.span_m(sleeves.section.width_m, sleeves.section.wall_m)
    return heel_hold.pin_limits(
        pins.allowed_bending_Nm(pin, pin_stress),
        heel_hold.bending_m(span, forks.width_m, held.blade_contact),
        pins.allowed_shear_N(pin, 2, pin_stress),
        2.0 * wall * pin.diameter_m * pins.allowed_bearing_Pa(pin_stress, tube),
        2.0 * pins.allowed_tear_out_N(pin, wall, _below_pin_m(sleeves, held, forks), tube),
    )


def _below_pin_m(sleeves: Sleeves, held: HeelPin, forks: Forks) -> float:
    """From a heel pin's middle down to the sleeve's lower edge; never less than that of one on the bottom wall."""
    wall = design_wall_m(sleeves.section, sleeves.steel)
    least_m = wall + held.pin.hole_m / 2.0
    if held.below_m is None:
        return least_m
    inside_m = sleeves.section.depth_m - 2.0 * sleeves.section.wall_m
    return most(least_m, wall + inside_m - forks.thickness_m - held.below_m - held.pin.diameter_m / 2.0)


def _lift_check(job: Job, cuts: Cuts, weight: Linear, place_m: Vec) -> Check:
    """A sleeve that would lift as a whole, held by its underside against the fork; the same in every case."""
    limits, lifted = wall_limits(job.rig.sleeves, job.truck.forks, job.policy), weight.times(-1.0)
    words = (
        "the far sleeve is lifted with {kg:kg_up}; "
        "its closed tube, against the underside of the fork, allows {allowed:N}"
    )
    label = CheckLabel(
        "sleeves", "far sleeve lifts", place_m, "N", words, f"{STATICS}; {AISC_OR_FACTOR}: elastic plate"
    )
    kg = lifted.at(cuts.load_kg) / GRAVITY_M_S2
    return check_pull(label, lifted, limits.along_N, cuts.load_kg, kg=where(kg < 0.0, 0.0, kg))


# ---------------------------------------------------------------- walls, bending, cross-member


@plain_call
@functools.lru_cache(maxsize=64)
def wall_limits(sleeves: Sleeves, forks: Forks, policy: Policy) -> WallLimits:
    """Bending of the wall over the blade, between the blade's edges and the sleeve's sides, ends fixed.

    With a free strip a on each side of the blade and a clear width b the moment at the fixed end is
    ``F/2 a (b - a)/b``; the force spreads to both sides over a length b (half of it at an end): common practice, no
    source.  Never more than both side walls carry in compression over that length.
    """
    steel = allowable_stress(sleeves.steel, policy, sleeves.section)
    wall = design_wall_m(sleeves.section, sleeves.steel)
    clear = sleeves.section.width_m - 2.0 * entered_wall_m(sleeves.section, sleeves.steel)
    strip = most((clear - forks.width_m) / 2.0, 0.0)
    sides = 2.0 * wall * clear * steel.stress_Pa
    moment = clear * wall**2 / 6.0 * steel.stress_Pa
    plate = math.inf if strip == 0.0 else 2.0 * moment * clear / (strip * (clear - strip))
    along = least(sides, plate)
    return WallLimits(along / 2.0, along)


def _tip_check(job: Job, cuts: Cuts, base: Bounds, place_m: Vec) -> Check:
    demands: Demands = ((FREE, magnitudes(*(seat.tip for seat in base.free))),)
    if base.near_tips:
        demands = (*demands, (IN_PLAY, base.near_tips))
    return _bearing_check(job, cuts, "fork tip", demands, place_m)


def _bearing_check(job: Job, cuts: Cuts, at: str, demands: Demands, place_m: Vec) -> Check:
    limits = wall_limits(job.rig.sleeves, job.truck.forks, job.policy)
    words = "{demand:N} between the fork and the sleeve's wall {case}; allowed {allowed:N}"
    label = CheckLabel(
        "sleeves", f"bearing at the {at}", place_m, "N", words, f"{STATICS}; {AISC_OR_FACTOR}: elastic plate"
    )
    return check_greatest(label, demands, limits.end_N, cuts.load_kg)


@plain_call
@functools.lru_cache(maxsize=64)
def sleeve_member(sleeves: Sleeves, policy: Policy) -> Member:
    """One sleeve as a beam."""
    return members.member_of(
        sleeves.section, sleeves.steel, policy, unbraced_m=sleeves.length_m, column_m=BASE_PLATE_K * sleeves.length_m
    )


def _bending_check(job: Job, cuts: Cuts, base: Bounds, place_m: Vec) -> Check:
    """Each sleeve as a beam on tip and heel, with the moment under the cross-member taken from either side."""
    allowed = sleeve_member(job.rig.sleeves, job.policy).allowed_bend_up_Nm
    to_tip, to_heel = base.base.to_tip_m, base.base.to_heel_m
    demands: Demands = (
        (FREE, magnitudes(*(seat.tip.times(to_tip) for seat in base.free))),
        (STIFF, magnitudes(*(seat.heel.times(to_heel) for seat in base.stiff))),
    )
    if base.near_tips:
        demands = (*demands, (IN_PLAY, tuple(tip.times(to_tip) for tip in base.near_tips)))
    words = "bending {demand:Nm} under the jib mast {case}; allowed {allowed:Nm}"
    label = CheckLabel("sleeves", "bending", place_m, "Nm", words, f"{STATICS}; {members.MEMBER_SOURCE}")
    return check_greatest(label, demands, allowed, cuts.load_kg)


@plain_call
@functools.lru_cache(maxsize=64)
def cross_member(sleeves: Sleeves, spread_m: float, policy: Policy) -> Member:
    """The tube that joins the sleeves under the jib mast."""
    return members.member_of(
        sleeves.cross_section, sleeves.steel, policy, unbraced_m=spread_m, column_m=BASE_PLATE_K * spread_m
    )


def _cross_member_check(job: Job, cuts: Cuts, base: Bounds, place_m: Vec) -> Check:
    """Each half of the cross-member at the mast's face: bent and sheared by its sleeve, twisted as the case has it."""
    spread, load_kg = job.rig.sleeves.spread_on(job.truck.forks), cuts.load_kg
    wide_m = spread + FORKS_OFF_M * cuts.off_place
    member = cross_member(job.rig.sleeves, spread, job.policy)
    mast_width_m = outer_width_m(job.rig.jib_mast.section)
    full_Nm = cross_member(as_entered(job.rig.sleeves), spread, job.policy).allowed_twist_Nm
    level_Nm = TWIST_BESIDE_BENDING * full_Nm  # as entered, so that a thinner tube has the same bounds
    uses, governing = [], []
    for stiff, free, in_play in zip(base.stiff, base.free, base.twists(level_Nm), strict=True):
        forces = cross_six(stiff, cuts.forks.forces.axial, wide_m, mast_width_m)
        others = [(FREE, value.at) for value in magnitudes(free.half_twist)]
        others += [(IN_PLAY, twist_at) for twist_at in in_play]
        uses.append(members.combined_use(member, forces, twists=tuple(other for _, other in others)))
        twist, case = abs(stiff.half_twist.at(load_kg)), STIFF
        for name, other in others:
            value = other(load_kg)
            case = cast("str", where(value > twist, name, case))  # for arrays of poses an array of texts
            twist = most(twist, value)
        governing.append((twist, abs(forces.bend_up.at(load_kg)), case))
    first, second = uses
    first_governs = first(load_kg) >= second(load_kg)
    (twist, bend, case), (other_twist, other_bend, other_case) = governing
    numbers: dict[str, Number | str] = {
        "twist": where(first_governs, twist, other_twist),
        "up": where(first_governs, bend, other_bend),
        "case": case if case is other_case else cast("str", where(first_governs, case, other_case)),
    }
    words = "twist {twist:Nm} {case} and bending {up:Nm} in the cross-member use {demand:share}"
    label = CheckLabel(
        "sleeves",
        "cross-member under the jib mast",
        place_m,
        "",
        words,
        f"{STATICS}; {AISC_OR_FACTOR}: H3-6, von Mises",
    )
    return check_use(label, lambda load: most(first(load), second(load)), load_kg, **numbers)
