"""Boxes of what stands at a hinge, in the axes of the link each stands on and about the pin's middle; for drawing.

A sleeve or a barrel is round about the pin; its box is as wide as it.
"""

from __future__ import annotations

from typing import TypeAlias

from engine.rig.hinge_pieces import TubeEnd, as_built, lugs_on_arm, off_plate_m, sleeve_of, tube_short_m
from engine.schema.connections import EndPlate, FaceLugs, ThroughSleeve
from engine.schema.model import Hinge, Rig

Span: TypeAlias = tuple[float, float]
Box: TypeAlias = tuple[Span, Span, Span]
"""From where to where a box reaches along a link's own x, y and z (m)."""


def tube_span_m(rig: Rig, index: int) -> Span:
    """From where to where an arm's tube runs, from its hinge; whole where a hinge's end is not entered."""
    arm = rig.arms[index]
    start_m = 0.0 if arm.hinge.outer_end is None else tube_short_m(arm.hinge, outer=True)
    return start_m, arm.length_m - _short_of_next_m(rig, index + 1)


def boom_short_m(rig: Rig) -> float:
    """How far short of the first hinge the boom's tube ends."""
    return _short_of_next_m(rig, 0)


def _short_of_next_m(rig: Rig, index: int) -> float:
    return tube_short_m(rig.arms[index].hinge, outer=False) if index < len(rig.arms) else 0.0


def end_boxes(hinge: Hinge, tube: TubeEnd, *, outer: bool) -> tuple[Box, ...]:
    """What stands on the arm's own end of a hinge (``outer``) or on the link before it; empty if not entered."""
    built = as_built(hinge)
    lugs = lugs_on_arm(hinge) == outer
    match built.outer_end if outer else built.inner_end:
        case ThroughSleeve() as sleeve:
            half_m = sleeve.outer_m / 2.0
            boxes = [((-half_m, half_m), (-half_m, half_m), _about(0.0, sleeve.length_m))]
        case EndPlate() as plate:
            off_m = off_plate_m(hinge, carries_lugs=lugs)
            boxes = [((off_m, off_m + plate.thickness_m), _about(0.0, plate.width_m), _about(0.0, plate.height_m))]
            boxes += _lugs_on_plate(built, off_m) if lugs else _barrels(built)
        case FaceLugs() as face:
            on_m, across = (face.reach_m, face.reach_m + face.on_face_m), _about(0.0, face.width_m)
            foot_m = tube.along_pin_m / 2.0
            under_m = foot_m + face.packing_m
            boxes = [
                ((-built.lug_edge_m, on_m[1]), across, side) for side in _both(under_m, under_m + face.thickness_m)
            ]
            if face.packing_m > 0.0:
                boxes += [(on_m, across, side) for side in _both(foot_m, under_m)]
        case None:
            boxes = []
    return tuple(_in_link(box, tube, outer) for box in boxes)


def _about(middle_m: float, length_m: float) -> Span:
    return middle_m - length_m / 2.0, middle_m + length_m / 2.0


def _both(from_m: float, to_m: float) -> tuple[Span, Span]:
    """The same stretch above and below the middle."""
    return (from_m, to_m), (-to_m, -from_m)


def _barrels(hinge: Hinge) -> list[Box]:
    round_m = _about(0.0, hinge.barrel_outer_m)
    middle_m, half_m = hinge.spacing_m / 2.0, hinge.barrel_length_m / 2.0
    return [(round_m, round_m, side) for side in _both(middle_m - half_m, middle_m + half_m)]


def _lugs_on_plate(hinge: Hinge, off_m: float) -> list[Box]:
    """Lugs beyond a sleeve's ends or the barrels, and where each barrel stands between two the inner ones too."""
    beside_m = (hinge.barrel_length_m + hinge.lug_thickness_m) / 2.0 + hinge.gap_m
    middles_m = [hinge.spacing_m / 2.0 + (0.0 if sleeve_of(hinge) else beside_m)]
    if hinge.shear_planes == 2:
        middles_m.append(hinge.spacing_m / 2.0 - beside_m)
    half_m, along = hinge.lug_thickness_m / 2.0, (-hinge.lug_edge_m, off_m)
    across = _about(0.0, 2.0 * hinge.lug_edge_m)
    return [(along, across, side) for middle in middles_m for side in _both(middle - half_m, middle + half_m)]


def _in_link(box: Box, tube: TubeEnd, outer: bool) -> Box:
    """A box given along the tube, across the pin and along it, in the link's own axes."""
    (from_m, to_m), across, along_pin = box
    x = (from_m, to_m) if outer else (-to_m, -from_m)
    return (x, across, along_pin) if tube.deep else (x, along_pin, across)
