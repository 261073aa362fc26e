"""What stands at a hinge, in the axes of the link each piece stands on and about the pin's middle: boxes and rounds.

A sleeve, a barrel, the free end of a lug and the end of a tube that a sleeve goes through are round about the pin.
Drawing shows them; `free_turn` asks how far the arm turns before one runs into another.
"""

from __future__ import annotations

from typing import NamedTuple, TypeAlias

from engine.rig.hinge_pieces import (
    TubeEnd,
    as_built,
    ends_short_m,
    lugs_on_arm,
    off_plate_m,
    packing_width_m,
    sleeve_of,
)
from engine.schema.connections import EndPlate, FaceLugs, ThroughSleeve
from engine.schema.model import Hinge, Rig

Span: TypeAlias = tuple[float, float]
Box: TypeAlias = tuple[Span, Span, Span]
"""From where to where a box reaches along a link's own x, y and z (m)."""


class Round(NamedTuple):
    """A piece round about a pin: its radius and its stretch of the pin (m), and whether the pin is the z axis.

    ``at_m`` is where along the link the pin is; 0 is the hinge's own.
    """

    radius_m: float
    along_pin: Span
    deep: bool
    at_m: float = 0.0


Solid: TypeAlias = Box | Round


def tube_span_m(rig: Rig, index: int) -> Span:
    """From where to where an arm's tube runs square, from its hinge; whole where a hinge's end is not entered.

    What runs on past a pin, rounded about it, is a `Round` of that end.
    """
    arm = rig.arms[index]
    start_m = 0.0 if arm.hinge.outer_end is None else max(ends_short_m(rig, index)[1], 0.0)
    return start_m, arm.length_m - _short_of_next_m(rig, index + 1)


def boom_short_m(rig: Rig) -> float:
    """How far short of the first hinge the boom's tube ends square."""
    return _short_of_next_m(rig, 0)


def _short_of_next_m(rig: Rig, index: int) -> float:
    """How far short of its length a link's tube ends; past it, for the hole that holds the hook, on the last arm."""
    if index < len(rig.arms):
        return max(ends_short_m(rig, index)[0], 0.0)
    return -rig.hook.edge_m if index else 0.0


def end_solids(hinge: Hinge, tube: TubeEnd, *, outer: bool) -> tuple[Solid, ...]:
    """What stands on the arm's own end of a hinge (``outer``) or on the link before it; empty if not entered."""
    built = as_built(hinge)
    lugs = lugs_on_arm(hinge) == outer
    solids: list[Solid] = []
    match built.outer_end if outer else built.inner_end:
        case ThroughSleeve() as sleeve:
            solids.append(Round(sleeve.outer_m / 2.0, _about(0.0, sleeve.length_m), tube.deep))
            if sleeve.coped == "through":
                solids.append(Round(tube.across_pin_m / 2.0, _about(0.0, tube.along_pin_m), tube.deep))
        case EndPlate() as plate:
            off_m = off_plate_m(hinge, carries_lugs=lugs)
            solids.append(((off_m, off_m + plate.thickness_m), _about(0.0, plate.width_m), _about(0.0, plate.height_m)))
            sides = _lugs_on_plate_m(built) if lugs else _barrels_m(built)
            wide = _about(0.0, 2.0 * built.lug_edge_m)
            radius_m = built.lug_edge_m if lugs else built.barrel_outer_m / 2.0
            for side in sides:
                solids.append(Round(radius_m, side, tube.deep))
                if lugs:
                    solids.append(((0.0, off_m), wide, side))
        case FaceLugs() as face:
            on_m, across = (face.reach_m, face.reach_m + face.on_face_m), _about(0.0, face.width_m)
            foot_m = tube.along_pin_m / 2.0
            under_m = foot_m + face.packing_m
            for side in _both(under_m, under_m + face.thickness_m):
                solids += [((0.0, on_m[1]), across, side), Round(built.lug_edge_m, side, tube.deep)]
            if face.packing_m > 0.0:
                packed = _about(0.0, packing_width_m(face))
                solids += [(on_m, packed, side) for side in _both(foot_m, under_m)]
        case None:
            pass
    return tuple(solid if isinstance(solid, Round) else _in_link(solid, tube, outer) for solid in solids)


def _about(middle_m: float, length_m: float) -> Span:
    return middle_m - length_m / 2.0, middle_m + length_m / 2.0


def _both(from_m: float, to_m: float) -> tuple[Span, Span]:
    """The same stretch above and below the middle."""
    return (from_m, to_m), (-to_m, -from_m)


def _barrels_m(hinge: Hinge) -> tuple[Span, ...]:
    """Where the barrels stand along the pin."""
    middle_m, half_m = hinge.spacing_m / 2.0, hinge.barrel_length_m / 2.0
    return _both(middle_m - half_m, middle_m + half_m)


def _lugs_on_plate_m(hinge: Hinge) -> tuple[Span, ...]:
    """Lugs beyond a sleeve's ends or the barrels, and where each barrel stands between two the inner ones too."""
    beside_m = (hinge.barrel_length_m + hinge.lug_thickness_m) / 2.0 + hinge.gap_m
    middles_m = [hinge.spacing_m / 2.0 + (0.0 if sleeve_of(hinge) else beside_m)]
    if hinge.shear_planes == 2:
        middles_m.append(hinge.spacing_m / 2.0 - beside_m)
    half_m = hinge.lug_thickness_m / 2.0
    return tuple(side for middle in middles_m for side in _both(middle - half_m, middle + half_m))


def _in_link(box: Box, tube: TubeEnd, outer: bool) -> Box:
    """A box given along the tube, across the pin and along it, in the link's own axes."""
    (from_m, to_m), across, along_pin = box
    x = (from_m, to_m) if outer else (-to_m, -from_m)
    return (x, across, along_pin) if tube.deep else (x, along_pin, across)
