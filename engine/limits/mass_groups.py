"""Mass and first moment of truck, steer axle, rig, and what hangs: all that balance and lean need of them."""

from __future__ import annotations

from collections.abc import Iterable

import msgspec

from engine.base.geometry import ZERO, Number, Vec
from engine.rig.kinematics import STEER_AXLE, Body, Placed


class MassGroup(msgspec.Struct, kw_only=True, frozen=True):
    """Mass and first moment of a group of bodies."""

    mass_kg: Number
    first_kgm: Vec

    def plus(self, other: MassGroup) -> MassGroup:
        """Both groups together."""
        return MassGroup(mass_kg=self.mass_kg + other.mass_kg, first_kgm=self.first_kgm + other.first_kgm)

    def times(self, factor: Number) -> MassGroup:
        """The group with every mass multiplied."""
        return MassGroup(mass_kg=self.mass_kg * factor, first_kgm=self.first_kgm.times(factor))


class Groups(msgspec.Struct, kw_only=True, frozen=True):
    """Everything of a placed pose in four groups; ``hung`` is rigging and load."""

    truck: MassGroup
    axle: MassGroup
    rig: MassGroup
    hung: MassGroup
    rigging_kg: Number
    load_kg: Number


def groups_of(placed: Placed) -> Groups:
    """The groups of one placed pose or of arrays of poses (...)."""
    by_name: dict[str, list[Body]] = {"truck": [], "axle": [], "rig": [], "hung": []}
    for body in placed.bodies:
        group = "axle" if body.link == STEER_AXLE else "hung" if body.group in ("rigging", "load") else body.group
        by_name[group].append(body)
    return Groups(
        **{name: sum_of(bodies) for name, bodies in by_name.items()},
        rigging_kg=placed.figures.rigging_kg,
        load_kg=placed.figures.load_kg,
    )


def sum_of(bodies: Iterable[Body]) -> MassGroup:
    """Some bodies together."""
    mass_kg, first_kgm = 0.0, ZERO
    for body in bodies:
        mass_kg = mass_kg + body.mass_kg
        first_kgm = first_kgm + body.position_m.times(body.mass_kg)
    return MassGroup(mass_kg=mass_kg, first_kgm=first_kgm)


def rig_under(placed: Placed, rig: MassGroup, load_kg: Number) -> MassGroup:
    """The rig as it bends under another load than its own."""
    more_kg = load_kg - placed.figures.load_kg
    return MassGroup(mass_kg=rig.mass_kg, first_kgm=rig.first_kgm + placed.rig_per_kg_kgm.times(more_kg))


def hung_under(placed: Placed, load_kg: Number, dynamic_factor: float) -> MassGroup:
    """What hangs, with another load than its own where that bends the hook to, times a dynamic factor."""
    numbers = placed.figures
    hook_m = placed.hook_m + placed.hook_per_kg_m.times(load_kg - numbers.load_kg)
    mass_kg = dynamic_factor * (numbers.rigging_kg + load_kg)
    return MassGroup(mass_kg=mass_kg, first_kgm=hook_m.times(mass_kg))
