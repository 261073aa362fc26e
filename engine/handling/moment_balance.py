"""Moment balance: what each body's weight does over one tipping line, holding or tipping, as on a see-saw.

Method.  Over the line a-b with unit direction u (standing is positive) a body of weight F at r has the moment
u . ((r - a) x F).  Divided by its weight that is the distance at which it sits on a see-saw pivoted on the line.  On a
level floor that is the level distance from the line; on a sloping floor it is the distance square to plumb, so that
height counts.  Positive distances hold, negative ones tip.

This is plain statics with values as entered and no allowances: the picture explains, the limits decide.  It agrees with
``engine.limits.balance``: the truck's bodies together make its restoring moment, everything else its load moment,
negated.

Source: moment and fulcrum as in 29 CFR 1910.178 App. A; the rest is statics.
"""

from __future__ import annotations

import math

import msgspec

from engine.base.geometry import GRAVITY_M_S2, Number, Vec, most, ratio, where
from engine.limits import lean
from engine.limits.balance import Balance, TipLine
from engine.rig.kinematics import Body, Placed
from engine.schema.model import Job, Pose


class Weight(msgspec.Struct, kw_only=True, frozen=True):
    """One weight over the line; ``distance_m`` and ``moment_Nm`` are positive where it holds, negative where it tips.

    Each is one number or an array of poses (...).
    """

    name: str
    group: str
    mass_kg: Number
    distance_m: Number
    moment_Nm: Number


class MomentBalance(msgspec.Struct, kw_only=True, frozen=True):
    """Every weight over one tipping line.

    Attributes
    ----------
    line : str
        Name of the tipping line.
    weights : tuple of Weight
        One for each body that counts, from the rear of the truck outwards as the bodies come.
    left_out : tuple of str
        Bodies that do not count on this line.
    holds_Nm, tips_Nm, left_Nm : Number
        Sums of the holding and of the tipping moments (both positive), and their difference.
    lost_at_kg : Number
        Load at the hook at which nothing is left; infinite if more load does not tip the truck over this line.
    lost_at_m : Number
        Distance ahead of the line at which the load would leave nothing; infinite without a load.
    """

    line: str
    weights: tuple[Weight, ...]
    left_out: tuple[str, ...]
    holds_Nm: Number
    tips_Nm: Number
    left_Nm: Number
    lost_at_kg: Number
    lost_at_m: Number


def most_used_line(weighed: Balance) -> TipLine:
    """The line with the greatest tipping use in one pose; among equals, the one with the smallest margin."""
    return max(weighed.lines, key=lambda line: (_sortable(line.use), -float(line.margin_Nm)))


def first_line_to_tip(weighed: Balance) -> TipLine:
    """The line over which the truck tips at the smallest load in one pose."""
    return min(weighed.lines, key=lambda line: float(line.load_at()))


def tipping_ratio(job: Job, pose: Pose, weighed: Balance) -> float:
    """Hook load (load and rigging) at which the truck starts to tip over the hook load; infinite for an empty hook."""
    if not pose.loaded:
        return math.inf
    rigging_kg = job.load.rigging_kg.best
    hung_kg = rigging_kg + job.load.mass_kg.best
    return (float(weighed.tipping_load_kg) + rigging_kg) / hung_kg if hung_kg > 0.0 else math.inf


def _sortable(use: Number) -> float:
    return math.inf if math.isnan(float(use)) else float(use)


def moment_balance(placed: Placed, line: TipLine) -> MomentBalance:
    """Every weight of a placed pose over one of its tipping lines.

    Parameters
    ----------
    placed : Placed
        One pose or arrays of poses (...).
    line : TipLine
        One of ``engine.limits.balance.weigh(placed).lines``, plain statics on rigid tyres, or of ``on_its_tyres``: then
        every weight is that of the leaning truck.

    Returns
    -------
    MomentBalance
    """
    gravity = _gravity(placed, line)
    weights = tuple(_weight(body, gravity, line) for body in placed.bodies if body.name not in line.left_out)
    holds, tips, load_Nm = 0.0, 0.0, 0.0
    for weight in weights:
        holds = holds + most(weight.moment_Nm, 0.0)
        tips = tips + most(-weight.moment_Nm, 0.0)
        if weight.group == "load":
            load_Nm = load_Nm + weight.moment_Nm
    load_N = placed.figures.load_kg * GRAVITY_M_S2
    return MomentBalance(
        line=line.name,
        weights=weights,
        left_out=line.left_out,
        holds_Nm=holds,
        tips_Nm=tips,
        left_Nm=holds - tips,
        lost_at_kg=line.load_at(),
        lost_at_m=where(load_N > 0.0, ratio(holds - tips - load_Nm, load_N), math.inf),
    )


def _gravity(placed: Placed, line: TipLine) -> Vec:
    """Down, seen from the truck as it leans where the line's own moments count that, to first order like them."""
    if not line.leans:
        return placed.gravity
    pitch, roll = lean.now(placed)
    return placed.gravity + (Vec(0.0, 1.0, 0.0).times(roll) if line.left_out else Vec(1.0, 0.0, 0.0).times(pitch))


def _weight(body: Body, gravity: Vec, line: TipLine) -> Weight:
    direction = (line.b_m - line.a_m).unit()
    distance_m = direction.dot((body.position_m - line.a_m).cross(gravity))
    return Weight(
        name=body.name,
        group=body.group,
        mass_kg=body.mass_kg,
        distance_m=distance_m,
        moment_Nm=distance_m * (body.mass_kg * GRAVITY_M_S2),
    )


def grouped_weights(balance: MomentBalance) -> tuple[Weight, ...]:
    """The weights in three blocks at most: truck, rig, and what hangs on the hook; without those that weigh nothing."""
    blocks = []
    for name, groups in (("truck", ("truck",)), ("rig", ("rig",)), ("load", ("rigging", "load"))):
        mass_kg, moment_Nm = 0.0, 0.0
        for weight in balance.weights:
            if weight.group in groups:
                mass_kg = mass_kg + weight.mass_kg
                moment_Nm = moment_Nm + weight.moment_Nm
        if mass_kg > 0.0:
            distance_m = moment_Nm / (mass_kg * GRAVITY_M_S2)
            blocks.append(Weight(name=name, group=name, mass_kg=mass_kg, distance_m=distance_m, moment_Nm=moment_Nm))
    return tuple(blocks)
