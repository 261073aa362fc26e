"""What holds an arm up at its level hinge: a tie, strut or ram between the links, or a stop.

A is the stay's point on the inner link and B its point on the arm, both from the hinge axis in their link's own axes
(x along it, z up).  With the arm raised, the lever of a pull in the stay is ``p = (B x A)/|AB|``, positive where a pull
raises the arm, and the moment M that wants to drop it needs ``F = M/p``: a pull where positive, a push where negative.

The hinge then carries the outer force and the stay's together; between hinge and B the arm carries the stay's part
along it, and at B it is bent by what hangs outboard.

Source: statics; a strut buckles by AISC 360-22 E3 with its own length.
"""

from __future__ import annotations

from typing import NamedTuple

from engine.base.geometry import Number, cos, most, sin, sqrt
from engine.schema.sections import SectionProperties
from engine.strength.allowable_stress import OMEGA_MEMBER
from engine.strength.cuts import SectionForces
from engine.strength.linear_in_load import Linear
from engine.strength.members import nominal_push_N

SHORT_LEVER = 0.1
"""A lever under this share of the stay's length earns a caution (common practice, no source)."""


class Point(NamedTuple):
    """From the hinge axis: along the link and above it (m)."""

    x_m: Number
    z_m: Number


class StayLine(NamedTuple):
    """A stay as it stands: length and lever (m), and its direction from the arm's point to the inner link's.

    ``on_arm`` and ``on_inner`` are that direction in the arm's and the inner link's axes (x, z).
    """

    length_m: Number
    lever_m: Number
    on_arm: tuple[Number, Number]
    on_inner: tuple[Number, Number]


def stay_line(at_inner: Point, at_arm: Point, raised_rad: Number) -> StayLine:
    """Where a stay runs with the arm raised by this angle."""
    c, s = cos(raised_rad), sin(raised_rad)
    b_x, b_z = at_arm.x_m * c - at_arm.z_m * s, at_arm.x_m * s + at_arm.z_m * c
    x, z = at_inner.x_m - b_x, at_inner.z_m - b_z
    length = sqrt(x * x + z * z)
    x, z = x / length, z / length
    return StayLine(length, b_x * z - b_z * x, (x * c + z * s, z * c - x * s), (x, z))


def stay_pull(moment: Linear, line: StayLine) -> Linear:
    """Pull in the stay (N) against the moment that wants to drop the arm; a push where negative."""
    return moment.times(1.0 / line.lever_m)


def stop_push(moment: Linear, at_arm: Point) -> Linear:
    """Push of a stop square to the arm (N); negative where the arm wants to rise, which a stop does not hold."""
    return moment.times(1.0 / at_arm.x_m)


def barrels(
    pull: Linear, line: StayLine, force: tuple[Linear, Linear], couple: tuple[Linear, Linear]
) -> tuple[tuple[Linear, Linear], tuple[Linear, Linear]]:
    """Pull on each barrel of the level hinge, along the arm and up (N): half the forces, plus and minus the couple.

    Parameters
    ----------
    pull : Linear
        In the stay.
    line : StayLine
    force : tuple of Linear
        What hangs outboard pulls with, along the arm and up.
    couple : tuple of Linear
        The other moments over the barrels' spacing, as pulls along the arm and up.
    """
    middle = tuple(
        part.times(0.5).plus(pull.times(towards), 0.5) for part, towards in zip(force, line.on_arm, strict=True)
    )
    first, second = ((middle[0].plus(couple[0], sign), middle[1].plus(couple[1], sign)) for sign in (1.0, -1.0))
    return first, second


def barrel_bound(pull_N: float, force_N: float, side_Nm: float, spacing_m: float) -> float:
    """Pull a barrel never passes: ``F/2 + |f|/2 + M_side/h`` (N)."""
    return pull_N / 2.0 + force_N / 2.0 + side_Nm / spacing_m


def arm_sixes(
    six: SectionForces, pull: Linear, line: StayLine, at_arm: Point, own_N_m: Number = 0.0
) -> tuple[SectionForces, SectionForces]:
    """What the arm carries where the stay is fixed: just outboard, and just inboard.

    Parameters
    ----------
    six : SectionForces
        Of the cut at the hinge.
    pull, line, at_arm
        The stay.
    own_N_m : Number
        The arm's own weight across it (N/m): what of it stands inboard of the stay does not bend the arm there.
    """
    x, z = at_arm
    bent = six.bend_up.plus(six.shear_up.times(x)).plus(Linear(own_N_m * x * x / 2.0, 0.0))
    along, up = (pull.times(part) for part in line.on_arm)
    outboard = six._replace(bend_up=bent)
    return outboard, outboard._replace(
        axial=six.axial.plus(along), shear_up=six.shear_up.plus(up), bend_up=bent.plus(along.times(z))
    )


def inner_force(pull: Linear, line: StayLine) -> tuple[Linear, Linear]:
    """Force of the stay on the inner link at its own point, along the link and up (N)."""
    x, z = line.on_inner
    return pull.times(x * -1.0), pull.times(z * -1.0)


def strut_N(section: SectionProperties, yield_Pa: float, length_m: float, design_factor: float) -> float:
    """Push a strut is allowed: E3 over 1.67 or the design factor."""
    return nominal_push_N(section, yield_Pa, length_m) / most(OMEGA_MEMBER, design_factor)
