"""How far the truck leans on its tyres: nose down and to a side, under what it carries.

Each tyre gives by its own wheel load.  With reactions N_i (kg) of the pose and N_i0 of the bare truck as weighed, a
tyre's stiffness k, front track T and wheelbase L, and two tyres at the rear,

    pitch = g [(N_f - N_f0) - (N_r - N_r0)] / 2kL,    roll = g (N_left - N_right) / kT.

The truck is a rigid body on its contact points, so both add to the floor's slopes.  They shift weight to the tyres that
give already: reactions are linear in the slopes, so where they come to rest is a closed form,

    roll = c D / (1 - c B),    c = g/kT,    D = N_left - N_right on rigid tyres,    B = dD/droll,

and likewise the pitch.  A truck whose tyres give nearly as fast as they hold (``1 - c B`` under `STEADY`) leans without
end; it is held to ten times the lean of rigid tyres, which tips it.

Lean grows a little faster than the load, so a straight line between two loads is a little too much between them and a
little too little outside.  `growth` therefore lays two: from no load to the pose's own, and from there to one that is
too much.  Both give the lean under the pose's own load exactly, and of the loads they allow the smaller is right.

Source: statics; stiffness of tyres, `engine.schema.uncertainty_bands`.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from engine.base.geometry import GRAVITY_M_S2, Number, most, where
from engine.limits.mass_groups import Groups, MassGroup, groups_of, hung_under, rig_under
from engine.rig.check import Problem
from engine.rig.kinematics import Placed

STEADY = 0.1
"""Least share of the moment that turns a truck back: with less it does not come to rest."""

SEEN_RAD = math.radians(1.0)
"""From here on a lean to a side is worth saying."""


Angle = Literal["pitch", "roll"]

ANGLES: tuple[Angle, Angle] = ("pitch", "roll")

Loads = Literal["up_to_own", "beyond"]
"""Loads that a lean is laid over: from none to the pose's own, or from there on."""


class Growth(NamedTuple):
    """An angle (rad) of lean under the load m, ``empty + per_kg m``, laid over the loads ``from_kg`` to ``to_kg``.

    ``now`` is that under the pose's own load.  Nose down and left down are positive.
    """

    now: Number
    empty: Number
    per_kg: Number
    from_kg: Number
    to_kg: Number


def growth(
    placed: Placed, groups: Groups, dynamic_factor: float, angle: Angle, loads: Loads, too_much_kg: Number
) -> Growth:
    """How an angle of lean grows with the load.

    Parameters
    ----------
    placed : Placed
        One pose or arrays of poses (...), every weight where the bent rig carries it.
    groups : Groups
        Of this pose.
    dynamic_factor : float
        On what hangs on the hook.
    too_much_kg : Number
        A load that is over any limit that this lean is for.
    """
    own_kg = groups.load_kg
    from_kg, to_kg = (0.0, most(own_kg, 1.0)) if loads == "up_to_own" else (own_kg, most(too_much_kg, own_kg + 1.0))
    own, low, high = (_under(placed, groups, dynamic_factor, angle, kg) for kg in (own_kg, from_kg, to_kg))
    per_kg = (high - low) / (to_kg - from_kg)
    return Growth(own, low - per_kg * from_kg, per_kg, from_kg, to_kg)


def now(placed: Placed, dynamic_factor: float = 1.0) -> tuple[Number, Number]:
    """Pitch and roll (rad) of a placed pose under its own load, nose down and left down positive."""
    groups = groups_of(placed)
    pitch, roll = (_under(placed, groups, dynamic_factor, angle, groups.load_kg) for angle in ANGLES)
    return pitch, roll


def caution(placed: Placed) -> tuple[Problem, ...]:
    """A lean of one pose to a side that a person would see."""
    roll = float(now(placed)[1])
    if abs(roll) <= SEEN_RAD:
        return ()
    words = "With this load the truck leans {lean:deg} to the {side} on its tyres; the limits count it."
    numbers = {"lean": abs(roll), "side": "left" if roll > 0.0 else "right"}
    return (Problem(kind="caution", where="truck.tyres", words=words, numbers=numbers),)


def _under(placed: Placed, groups: Groups, dynamic_factor: float, angle: Angle, load_kg: Number) -> Number:
    """An angle under one load."""
    carried = rig_under(placed, groups.rig, load_kg).plus(hung_under(placed, load_kg, dynamic_factor))
    on_pivot = groups.truck.plus(carried)
    return _roll_rad(placed, on_pivot) if angle == "roll" else _pitch_rad(placed, on_pivot.plus(groups.axle))


def _pitch_rad(placed: Placed, whole: MassGroup) -> Number:
    """Nose down, of everything on the wheels."""
    numbers, gravity = placed.figures, placed.gravity
    base_m = numbers.wheelbase_m
    rear_kg = (whole.first_kgm.x * gravity.z - whole.first_kgm.z * gravity.x) / base_m
    front_kg = -whole.mass_kg * gravity.z - rear_kg
    more_kg = (front_kg - numbers.front_axle_kg) - (rear_kg - numbers.rear_axle_kg)
    rad_kg = GRAVITY_M_S2 * numbers.tyre_m_N / (2.0 * base_m)
    return _at_rest(more_kg * rad_kg, 2.0 * whole.first_kgm.z / base_m * rad_kg)


def _roll_rad(placed: Placed, on_pivot: MassGroup) -> Number:
    """Left down, of everything but the steer axle, which rocks on its pivot.

    Moments about the line from the pivot to the middle between the front tyres.
    """
    numbers, gravity, first = placed.figures, placed.gravity, on_pivot.first_kgm
    rise = numbers.pivot_height_m / numbers.wheelbase_m
    track_m = numbers.front_track_m
    turning = first.z * gravity.y - first.y * gravity.z + (first.x * gravity.y - first.y * gravity.x) * rise
    rad_kg = GRAVITY_M_S2 * numbers.tyre_m_N / track_m
    return _at_rest(turning * (2.0 / track_m) * rad_kg, (first.z + first.x * rise) * (2.0 / track_m) * rad_kg)


def _at_rest(rigid_rad: Number, more: Number) -> Number:
    """Where a lean comes to rest that starts at ``rigid_rad`` and adds ``more`` times itself."""
    left = 1.0 - more
    return rigid_rad / where(left > STEADY, left, STEADY)
