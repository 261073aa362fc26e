"""Centres of gravity of several groups of bodies in one walk, for the marks that a drawing moves during a drag."""

from __future__ import annotations

from collections.abc import Mapping

from engine.base.geometry import Number, Vec
from engine.rig.kinematics import Placed


def centres_of(placed: Placed, wanted: Mapping[str, tuple[str, ...]]) -> dict[str, tuple[float, Vec]]:
    """Mass (kg) and centre of gravity (m) of the bodies in some groups, under the caller's names for them.

    Parameters
    ----------
    placed : Placed
        One pose, not arrays of poses.
    wanted : mapping of str to tuple of str
        Groups of bodies (truck, rig, rigging, load) that count together.

    Returns
    -------
    dict of str to (float, Vec)
        The truck's origin where a group weighs nothing.
    """
    sums: dict[str, tuple[Number, Number, Number, Number]] = {}
    for body in placed.bodies:
        mass_kg, (x, y, z) = body.mass_kg, body.position_m
        kg, x_kgm, y_kgm, z_kgm = sums.get(body.group, _NOTHING)
        sums[body.group] = kg + mass_kg, x_kgm + mass_kg * x, y_kgm + mass_kg * y, z_kgm + mass_kg * z
    centres = {}
    for name, groups in wanted.items():
        together = zip(*(sums.get(group, _NOTHING) for group in groups), strict=True)
        kg, *first_kgm = (float(sum(parts)) for parts in together)
        centres[name] = kg, Vec(*(part / kg if kg > 0.0 else 0.0 for part in first_kgm))
    return centres


_NOTHING = 0.0, 0.0, 0.0, 0.0
