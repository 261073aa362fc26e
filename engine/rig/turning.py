"""What a turn does to everything on the truck: pulls outward and forward, and those of a stop on the way round.

The truck turns about a point abreast of its front axle, a radius R to the left or to the right: (0, R) or (0, -R).  At
the speed v of the axle's middle every kilogram at (x, y) is pulled away from that point with

    (v/R)^2 (x, y - R),

outward at the axle and forward at a load that hangs ahead of it.  Slowing down by ``a`` on the way turns everything
about the same point with a/R, and pulls with

    +-(a/R) (y - R, -x),

to the side at the load as well as forward or back.  A turn to the right is its mirror image.

A stop begins at full speed and ends at none, and a start does the reverse.  So both pulls count together, either way of
the second, and the second alone; straight on the same stop pulls less than the worse of both turns.

What hangs swings out: a push that comes on at once pulls twice as hard at the furthest swing.

Source: dynamics of a rigid body turning about a fixed point; a pendulum under a push that comes on at once.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import msgspec

from engine.base.geometry import ZERO, Number, Vec
from engine.rig.kinematics import Body
from engine.schema.model import Policy

HUNG = 2.0
"""Pull at the hook over that of a load held firmly: it swings out."""


class Field(NamedTuple):
    """Pull on each kilogram (m/s2) as a function of where it is: that at the front axle's middle, and its growth.

    ``xx`` is what each metre forward adds forward, ``yx`` what it adds to the left; ``xy`` and ``yy`` each metre left.
    """

    x: Number
    y: Number
    xx: Number
    xy: Number
    yx: Number
    yy: Number

    def at(self, place_m: Vec) -> Vec:
        """The pull at a place."""
        grown = self.grown(place_m)
        return Vec(self.x + grown.x, self.y + grown.y, 0.0)

    def grown(self, by_m: Vec) -> Vec:
        """How much the pull changes from one place to another."""
        return Vec(self.xx * by_m.x + self.xy * by_m.y, self.yx * by_m.x + self.yy * by_m.y, 0.0)


class Turn(msgspec.Struct, kw_only=True, frozen=True):
    """A turn: its radius at the front axle's middle, the speed there, and how hard it may stop on the way."""

    radius_m: float
    speed_m_s: float
    slowing_m_s2: float

    @property
    def fields(self) -> tuple[Field, ...]:
        """Every pull that counts: both ways round, stopping and starting, at full speed and at none."""
        radius, slowing = self.radius_m, self.slowing_m_s2 / self.radius_m
        square = (self.speed_m_s / radius) ** 2
        found = []
        for left in (1.0, -1.0):
            for outward in (square, 0.0):
                for turned in (slowing, -slowing):
                    middle = left * radius
                    found.append(
                        Field(
                            x=-left * turned * middle,
                            y=-outward * middle,
                            xx=outward,
                            xy=left * turned,
                            yx=-left * turned,
                            yy=outward,
                        )
                    )
        return tuple(found)


class TurningPolicy(Policy, kw_only=True):
    """The allowances of a truck that creeps round a turn; never part of a file."""

    turn: Turn


def fields_of(policy: Policy) -> tuple[Field, ...]:
    """Every pull of the turn that the allowances are for; none standing or going straight."""
    return policy.turn.fields if isinstance(policy, TurningPolicy) else ()


class Pull(NamedTuple):
    """Force (N) of a field on some weights, and its moment (N m) about the truck's origin."""

    force_N: Vec
    moment_Nm: Vec

    def plus(self, other: Pull) -> Pull:
        """Both together."""
        return Pull(self.force_N + other.force_N, self.moment_Nm + other.moment_Nm)

    def about(self, point_m: Vec) -> Vec:
        """The moment about a point."""
        return self.moment_Nm - point_m.cross(self.force_N)


NO_PULL = Pull(ZERO, ZERO)


def pull_on(field: Field, mass_kg: Number, at_m: Vec) -> Pull:
    """The pull on one weight, taken as a point."""
    force_N = field.at(at_m).times(mass_kg)
    return Pull(force_N, at_m.cross(force_N))


def pull_on_rod(field: Field, mass_kg: Number, at_m: Vec, along: Vec, length_m: Number) -> Pull:
    """The pull on an even rod about its middle; ``along`` is its direction."""
    point = pull_on(field, mass_kg, at_m)
    own_Nm = along.cross(field.grown(along)).times(mass_kg * length_m**2 / 12.0)
    return Pull(point.force_N, point.moment_Nm + own_Nm)


def pull_on_all(field: Field, bodies: Iterable[Body]) -> Pull:
    """The pull on some bodies, each taken as a point."""
    total = NO_PULL
    for body in bodies:
        total = total.plus(pull_on(field, body.mass_kg, body.position_m))
    return total
