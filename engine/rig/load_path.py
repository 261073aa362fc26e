"""The load path: for every part of the rig, the mass and first moment of that part and of everything it carries.

Method.  All weights pull along one acceleration ``a`` (gravity, with braking where that counts).  At a point ``p`` the
weights outboard of it therefore act with

    force = M a,    moment about p = (S - M p) x a,    M = sum of masses,  S = sum of mass times position,

so two sums per part say everything about what it carries, whatever the joints between.  They are folded once, from the
hook inwards, over the bodies that ``engine.rig.kinematics`` places.  Strength, deflection, arm drift and hand force
all read them here; none sums weights for itself.

Rigging and load hang at one point, the hook.  Who lets them pull along the same acceleration as the rig counts them
in (``hung_kg``); strength leaves them out and adds their pull at ``hook_m``, because the dynamic factor and load swing
act on them alone.

Floats, arrays of poses, intervals and the stand-ins of a recording go through the same formulas.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from engine.base.geometry import Number, Vec, Wrench
from engine.rig.kinematics import Body, Placed


class Outboard(NamedTuple):
    """Mass and first moment (about the truck's origin) of one part and everything outboard of it."""

    mass_kg: Number
    first_kgm: Vec

    def plus(self, mass_kg: Number, at_m: Vec) -> Outboard:
        """The sums with one more weight."""
        return Outboard(self.mass_kg + mass_kg, self.first_kgm + at_m.times(mass_kg))

    def first_about(self, point_m: Vec) -> Vec:
        """First moment (kg m) about a point."""
        return self.first_kgm - point_m.times(self.mass_kg)

    def wrench(self, point_m: Vec, acceleration_m_s2: Vec) -> Wrench:
        """Force of all these weights and their moment about a point."""
        return Wrench(acceleration_m_s2.times(self.mass_kg), self.first_about(point_m).cross(acceleration_m_s2))


class LoadPath(NamedTuple):
    """Sums outboard of each part, that part counted: from the sleeves (the whole rig) out to the hook.

    ``arms`` holds the fitted arms, from the boom outwards.  ``hook_m`` is the point that rigging and load hang at.
    """

    sleeves: Outboard
    jib_mast: Outboard
    saddles: Outboard
    boom: Outboard
    arms: tuple[Outboard, ...]
    hook: Outboard
    hook_m: Vec

    @property
    def beyond_boom(self) -> Outboard:
        """What hangs at the end of the boom."""
        return self.arms[0] if self.arms else self.hook

    @property
    def beyond_arms(self) -> tuple[Outboard, ...]:
        """What hangs at the end of each fitted arm."""
        return (*self.arms[1:], self.hook) if self.arms else ()


def load_path(parts: Sequence[Body], hung_kg: Number = 0.0) -> LoadPath:
    """Fold the rig's own parts, from the hook inwards.

    Parameters
    ----------
    parts : sequence of Body
        Sleeves, jib mast, saddles, boom, fitted arms, hook: as `rig_parts` and ``kinematics.rig_bodies`` give them.
    hung_kg : Number
        Rigging and load that count with the hook's own weight.
    """
    *inner, hook = parts
    at_hook_kg = hook.mass_kg + hung_kg
    sums = [Outboard(at_hook_kg, hook.position_m.times(at_hook_kg))]
    for part in reversed(inner):
        sums.append(sums[-1].plus(part.mass_kg, part.position_m))
    sleeves, jib_mast, saddles, boom, *arms, outermost = reversed(sums)
    return LoadPath(sleeves, jib_mast, saddles, boom, tuple(arms), outermost, hook.position_m)


def rig_parts(placed: Placed) -> tuple[Body, ...]:
    """The bodies of the rig's own parts, in the order `load_path` takes them."""
    return tuple(body for body in placed.bodies if body.group == "rig")


def loaded_path(placed: Placed) -> LoadPath:
    """The load path of a placed pose with rigging and load counted in."""
    return load_path(rig_parts(placed), placed.figures.rigging_kg + placed.figures.load_kg)
