"""Centres of gravity of groups of bodies, several groups in one walk: what a drawing marks at every step of a drag."""

from __future__ import annotations

from collections.abc import Mapping

from engine.base.geometry import Vec
from engine.rig.kinematics import Placed


def centres_of(placed: Placed, wanted: Mapping[str, tuple[str, ...]]) -> dict[str, tuple[float, Vec]]:
    """Mass (kg) and centre of gravity (m) of the bodies in some groups, under the names they are wanted by.

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
    sums: dict[str, tuple[float, float, float, float]] = {}
    for body in placed.bodies:
        mass_kg, (x, y, z) = body.mass_kg, body.position_m
        so_far = sums.get(body.group, _NOTHING)
        sums[body.group] = (
            so_far[0] + mass_kg,
            so_far[1] + mass_kg * x,
            so_far[2] + mass_kg * y,
            so_far[3] + mass_kg * z,
        )
    found = {}
    for name, groups in wanted.items():
        mass_kg, *first_kgm = (
            sum(parts) for parts in zip(*(sums.get(group, _NOTHING) for group in groups), strict=True)
        )
        found[name] = mass_kg, Vec(*(part / mass_kg if mass_kg > 0.0 else 0.0 for part in first_kgm))
    return found


_NOTHING = 0.0, 0.0, 0.0, 0.0
