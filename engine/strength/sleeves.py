"""The sleeves on the forks: uplift at the heel, lift at the far side, bearing, bending, and the cross-member.

The whole rig pulls on the forks with a weight W, a nose-down moment M about the fork face and a roll moment from
anything to one side.  The cross-member under the jib mast joins the two sleeves: it halves the nose-down moment
between them (as twist) and turns the roll into a couple on two sleeves a fork spread apart, acting where it stands:

    W_i = W/2 +- roll/spread,    M_i = M/2 +- (roll/spread) foot_x.

Each sleeve rests at its tip and its heel.  The **heel uplift** is

    U_i = (M_i - W_i x_tip) / (x_tip - x_heel).

Where it is positive the heel would come off the fork.  Only a heel pin (one to each sleeve) or chain (one rating for
both) that is entered holds it, along with what slides the rig off the forks.  Where a whole sleeve would lift
(W_i < 0) the closed tube holds it against the underside of the fork; its wall is checked for that and for bearing on
the blade at tip and heel.  Friction never counts.
"""

from __future__ import annotations

import functools
import math
from typing import NamedTuple

from engine.base.geometry import GRAVITY_M_S2, Vec, most, where
from engine.rig.check import Check
from engine.schema.model import Forks, Job, Policy, Sleeves
from engine.schema.steel import design_wall_m
from engine.strength import members, pins
from engine.strength.allowable_stress import AISC_OR_FACTOR, allowable_stress
from engine.strength.cuts import Cuts, SectionForces
from engine.strength.linear_in_load import (
    CheckLabel,
    Linear,
    check_pull,
    check_pull_with_couple,
    check_unheld,
    check_use,
    check_worst_resultant,
    worse_of,
)
from engine.strength.members import Member
from engine.strength.unverified_values import BASE_PLATE_K

STATICS = "statics of a sleeve on its fork"
NO_FORCE = Linear(0.0, 0.0)


class SleeveShare(NamedTuple):
    """What one sleeve carries: weight (N), nose-down moment about the fork face (N·m), and its reactions (N)."""

    weight: Linear
    moment: Linear
    tip_up: Linear
    heel_uplift: Linear


class WallLimits(NamedTuple):
    """Allowed force (N) of the blade on a sleeve's wall, at an end and along its length."""

    end_N: float
    along_N: float


def sleeve_shares(job: Job, cuts: Cuts) -> tuple[SleeveShare, SleeveShare]:
    """Shares of the left and the right sleeve."""
    forces, spread = cuts.forks.forces, job.truck.forks.spread_m
    foot = job.rig.jib_mast.foot_x_m
    heel, tip = bearing_ends_m(job.rig.sleeves, job.truck.forks)
    roll = forces.twist.times(1.0 / spread)
    per = 1.0 / (tip - heel)

    def share(side: float) -> SleeveShare:
        weight = forces.shear_up.times(-0.5).plus(roll, side)
        moment = forces.bend_up.times(0.5).plus(roll, side * foot)
        tip_up = moment.times(per).plus(weight, -heel * per)
        heel_uplift = moment.times(per).plus(weight, -tip * per)
        return SleeveShare(weight, moment, tip_up, heel_uplift)

    return share(-1.0), share(1.0)


def bearing_ends_m(sleeves: Sleeves, forks: Forks) -> tuple[float, float]:
    """Where a sleeve bears on its fork, heel and tip (m ahead of the fork face)."""
    return sleeves.heel_gap_m, min(sleeves.heel_gap_m + sleeves.length_m, forks.length_m)


def checks(job: Job, cuts: Cuts) -> list[Check]:
    """Heel uplift, far-sleeve lift, bearing, sleeve bending and the cross-member."""
    left, right = sleeve_shares(job, cuts)
    place = cuts.forks.place_m
    axes, (heel, tip) = cuts.forks.axes, bearing_ends_m(job.rig.sleeves, job.truck.forks)
    at_heel, at_tip = place + axes.out(heel), place + axes.out(tip)
    foot = place + axes.out(job.rig.jib_mast.foot_x_m)
    return [
        worse_of(_heel_check(job, cuts, left, at_heel), _heel_check(job, cuts, right, at_heel)),
        worse_of(_lift_check(job, cuts, left, foot), _lift_check(job, cuts, right, foot)),
        _bearing_check(job, cuts, "fork tip", (left.tip_up, right.tip_up), at_tip),
        _bearing_check(job, cuts, "heel", (left.heel_uplift, right.heel_uplift), at_heel),
        _bending_check(job, cuts, (left, right), foot),
        _cross_member_check(job, cuts, (left, right), foot),
    ]


# ---------------------------------------------------------------- heel and far side


def _heel_check(job: Job, cuts: Cuts, share: SleeveShare, place_m: Vec) -> Check:
    """Heel uplift and what slides the rig forwards against pin or chain; with neither, nothing holds."""
    load_kg, allowed = cuts.load_kg, retention_N(job.rig.sleeves, job.policy)
    uplift = share.heel_uplift.at(load_kg)
    uplift_kg = uplift / GRAVITY_M_S2
    if allowed is None:
        words = "the sleeve's heel is pried up with {kg:kg} and nothing entered holds it: enter the heel pin or chain"
        label = CheckLabel("sleeves", "heel uplift, nothing holds it", place_m, "N", words, STATICS)
        return check_unheld(label, share.heel_uplift, load_kg, kg=uplift_kg)
    sliding = cuts.forks.forces.axial.times(0.5)
    words = "the sleeve's heel is pried up with {kg:kg} and slid with {slide:N}; its {held} allows {allowed:N}"
    label = CheckLabel("sleeves", "heel uplift", place_m, "N", words, f"{STATICS}; {AISC_OR_FACTOR}")
    held = "pin" if job.rig.sleeves.heel_pin is not None else "chain"
    return check_pull_with_couple(
        label, share.heel_uplift, sliding, allowed, load_kg, kg=uplift_kg, slide=abs(sliding.at(load_kg)), held=held
    )


@functools.lru_cache(maxsize=64)
def retention_N(sleeves: Sleeves, policy: Policy) -> float | None:
    """Allowed uplift of one heel: its pin (double shear, bearing in two walls) or half the chain's rating."""
    holds_N = []
    if sleeves.heel_pin is not None:
        pin_stress, tube = allowable_stress(sleeves.heel_pin.steel, policy), allowable_stress(sleeves.steel, policy)
        wall = design_wall_m(sleeves.section, sleeves.steel)
        bearing = 2.0 * wall * sleeves.heel_pin.diameter_m * pins.allowed_bearing_Pa(pin_stress, tube)
        holds_N.append(min(pins.allowed_shear_N(sleeves.heel_pin, 2, pin_stress), bearing))
    if sleeves.heel_chain_kg is not None:
        holds_N.append(sleeves.heel_chain_kg * GRAVITY_M_S2 / 2.0)
    return max(holds_N, default=None)


def _lift_check(job: Job, cuts: Cuts, share: SleeveShare, place_m: Vec) -> Check:
    """A sleeve that would lift as a whole, held by its underside against the fork."""
    limits, lifted = wall_limits(job.rig.sleeves, job.truck.forks, job.policy), share.weight.times(-1.0)
    words = (
        "the far sleeve is lifted with {kg:kg}; its closed tube, against the underside of the fork, allows {allowed:N}"
    )
    label = CheckLabel(
        "sleeves", "far sleeve lifts", place_m, "N", words, f"{STATICS}; {AISC_OR_FACTOR}: elastic plate"
    )
    kg = lifted.at(cuts.load_kg) / GRAVITY_M_S2
    return check_pull(label, lifted, limits.along_N, cuts.load_kg, kg=where(kg < 0.0, 0.0, kg))


# ---------------------------------------------------------------- walls, bending, cross-member


@functools.lru_cache(maxsize=64)
def wall_limits(sleeves: Sleeves, forks: Forks, policy: Policy) -> WallLimits:
    """Bending of the wall over the blade, between the blade's edges and the sleeve's sides, ends fixed.

    With a free strip a on each side of the blade and a clear width b the moment at the fixed end is
    ``F/2 a (b - a)/b``; the force spreads to both sides over a length b (half of it at an end): common practice, no
    source.  Never more than both side walls carry in compression over that length.
    """
    steel, wall = allowable_stress(sleeves.steel, policy), design_wall_m(sleeves.section, sleeves.steel)
    clear = sleeves.section.width_m - 2.0 * wall
    strip = max((clear - forks.width_m) / 2.0, 0.0)
    sides = 2.0 * wall * clear * steel.stress_Pa
    moment = clear * wall**2 / 6.0 * steel.stress_Pa
    plate = math.inf if strip == 0.0 else 2.0 * moment * clear / (strip * (clear - strip))
    along = min(sides, plate)
    return WallLimits(along / 2.0, along)


def _bearing_check(job: Job, cuts: Cuts, at: str, forces: tuple[Linear, Linear], place_m: Vec) -> Check:
    limits = wall_limits(job.rig.sleeves, job.truck.forks, job.policy)
    words = "{demand:N} between the fork and the sleeve's wall; allowed {allowed:N}"
    label = CheckLabel(
        "sleeves", f"bearing at the {at}", place_m, "N", words, f"{STATICS}; {AISC_OR_FACTOR}: elastic plate"
    )
    return check_worst_resultant(label, tuple((force,) for force in forces), limits.end_N, cuts.load_kg)


@functools.lru_cache(maxsize=64)
def sleeve_member(sleeves: Sleeves, policy: Policy) -> Member:
    """One sleeve as a beam."""
    return members.member_of(
        sleeves.section, sleeves.steel, policy, unbraced_m=sleeves.length_m, column_m=BASE_PLATE_K * sleeves.length_m
    )


def _bending_check(job: Job, cuts: Cuts, shares: tuple[SleeveShare, SleeveShare], place_m: Vec) -> Check:
    """Each sleeve as a beam on tip and heel, with the moment under the cross-member taken from either side."""
    heel, tip = bearing_ends_m(job.rig.sleeves, job.truck.forks)
    foot = job.rig.jib_mast.foot_x_m
    moments = []
    for share in shares:
        moments += [(share.tip_up.times(tip - foot),), (share.heel_uplift.times(foot - heel),)]
    words = "bending {demand:Nm} under the jib mast; allowed {allowed:Nm}"
    label = CheckLabel("sleeves", "bending", place_m, "Nm", words, members.MEMBER_SOURCE)
    allowed = sleeve_member(job.rig.sleeves, job.policy).allowed_bend_up_Nm
    return check_worst_resultant(label, tuple(moments), allowed, cuts.load_kg)


@functools.lru_cache(maxsize=64)
def cross_member(sleeves: Sleeves, spread_m: float, policy: Policy) -> Member:
    """The tube that joins the sleeves under the jib mast."""
    return members.member_of(
        sleeves.cross_section, sleeves.steel, policy, unbraced_m=spread_m, column_m=BASE_PLATE_K * spread_m
    )


def _cross_member_check(job: Job, cuts: Cuts, shares: tuple[SleeveShare, SleeveShare], place_m: Vec) -> Check:
    """Half the jib mast's moment twists each half of the cross-member; each sleeve's share bends it."""
    spread, foot, load_kg = job.truck.forks.spread_m, job.rig.jib_mast.foot_x_m, cuts.load_kg
    member = cross_member(job.rig.sleeves, spread, job.policy)
    along = cuts.forks.forces.axial
    words = "twist {twist:Nm} and bending {up:Nm} in the cross-member use {demand:share}"
    label = CheckLabel(
        "sleeves", "cross-member under the jib mast", place_m, "", words, f"{AISC_OR_FACTOR}: H3-6, von Mises"
    )
    uses, bends = [], []
    for share in shares:
        twist, bend = share.moment.plus(share.weight, -foot), share.weight.times(spread / 2.0)
        forces = SectionForces(NO_FORCE, share.weight, along.times(0.5), twist, bend, along.times(spread / 4.0))
        uses.append(members.combined_use(member, forces))
        bends.append(abs(bend.at(load_kg)))
    first, second = uses
    most_bent, half_twist = most(*bends), abs(twist.at(load_kg))
    return check_use(label, lambda load: most(first(load), second(load)), load_kg, twist=half_twist, up=most_bent)
