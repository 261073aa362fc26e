"""What to mark out before drilling and tacking up: holes from one datum end, and heights over the fork blades.

Every hole in a tube is given from one datum end, so that errors do not add up, together with the error that stepping
from hole to hole would add up to.  Holes in plates and sleeves stand in ``engine.shop.piece_holes``.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from engine.rig import hook_place, pieces, strap_pieces
from engine.rig.hinge_pieces import TubeEnd, ends_short_m, link_ends
from engine.rig.kinematics import mast_base_z_m
from engine.schema.connections import DropInPin, HingeEnd, ThroughSleeve
from engine.schema.model import Boom, Hook, Rig, Saddles
from engine.schema.sections import RectTube, RoundTube, outer_depth_m, outer_width_m
from engine.shop.cut_list import arm_tube_m, boom_tube_m

MARKING_M = 0.0005
"""How far a hole is off its mark: scribed, centre-punched, drilled in a bench drill (common practice, no source)."""


class Hole(msgspec.Struct, kw_only=True, frozen=True):
    """One hole: its centre from the datum end, and from the hole before it.

    ``from_edge_m`` is up from the part's underside, or in from its side for a hole through top and bottom.
    ``stack_m`` is its possible error when each hole is stepped off from the one before; marked from the datum it is
    ``MARKING_M``.
    """

    part: str
    name: str
    from_datum_m: float
    step_m: float
    from_edge_m: float
    diameter_m: float
    stack_m: float


class HoleSchedule(msgspec.Struct, kw_only=True, frozen=True):
    """Holes of one part from one datum end; ``steps`` and ``end_m`` add up to ``length_m``."""

    part: str
    datum: str
    length_m: float
    holes: tuple[Hole, ...]
    end_m: float


Mark = tuple[str, float, float, float]
"""A hole to mark out: its name, from the datum end, from the edge, diameter (m)."""


def hole_schedules(rig: Rig) -> tuple[HoleSchedule, ...]:
    """Every tube with holes: boom from its tail, arms from their outer ends."""
    schedules = [_schedule("boom", "tail end", boom_tube_m(rig), _boom_marks(rig))]
    for index, arm in enumerate(rig.arms):
        marks = _arm_marks(rig, index)
        if marks:
            schedules.append(_schedule(arm.name, "outer end", arm_tube_m(rig, index), marks))
    return tuple(schedules)


def _boom_marks(rig: Rig) -> list[Mark]:
    boom = rig.boom
    marks: list[Mark] = [
        (f"hole {number}", boom.hole_m(number), pin_edge_m(boom), boom.pin.hole_m)
        for number in range(1, boom.hole_count + 1)
    ]
    if None in hook_place.places(rig):
        marks += _hook_marks(rig.hook, boom.section, boom_tube_m(rig) - hook_place.edge_m(rig, None))
    if rig.arms:
        marks += _sleeve_marks(rig.arms[0].hinge.inner_end, link_ends(rig, 0, None)[0], boom.length_m)
    return marks


def _arm_marks(rig: Rig, index: int) -> list[Mark]:
    arm, marks = rig.arms[index], list[Mark]()
    # How far the hinge pin at the arm's own end, and that of the next arm, are from the outer end.
    own_m = arm_tube_m(rig, index) + ends_short_m(rig, index)[1]
    if index in hook_place.places(rig):
        marks += _hook_marks(rig.hook, arm.section, hook_place.edge_m(rig, index))
    if index + 1 < len(rig.arms):
        tube, _ = link_ends(rig, index + 1, index)
        marks += _sleeve_marks(rig.arms[index + 1].hinge.inner_end, tube, own_m - arm.length_m)
    tube = link_ends(rig, index, index - 1 if index else None)[1]
    return marks + _sleeve_marks(arm.hinge.outer_end, tube, own_m)


def _sleeve_marks(end: HingeEnd | None, tube: TubeEnd, at_m: float) -> list[Mark]:
    """The hole or the half-round cope that a hinge's sleeve wants in two walls of its tube."""
    if not isinstance(end, ThroughSleeve):
        return []
    name = "sleeve hole" if end.coped == "through" else "half-round cope at the sleeve"
    walls = "top and bottom" if tube.deep else "both sides"
    return [(f"{name}, through {walls}", at_m, tube.across_pin_m / 2.0, end.outer_m)]


def pin_edge_m(boom: Boom) -> float:
    """The boom's pin holes over its underside: in the middle where that is not entered."""
    return boom.section.depth_m / 2.0 if boom.hole_edge_m is None else boom.hole_edge_m


def _hook_marks(hook: Hook, section: RectTube | RoundTube, at_m: float) -> tuple[Mark, ...]:
    """The hole that holds the hook: across through the side walls, down through top and bottom, or none."""
    if hook.cross_pin is not None:
        return (("hook pin", at_m, outer_depth_m(section) / 2.0, hook.cross_pin.pin.hole_m),)
    if isinstance(hook.end, DropInPin):
        half_m = outer_width_m(section) / 2.0
        return (("hook's standing pin, through top and bottom", at_m, half_m, hook.end.hole_m),)
    return ()


def _schedule(part: str, datum: str, length_m: float, marks: Sequence[Mark]) -> HoleSchedule:
    holes, before_m = [], 0.0
    for number, (name, at_m, edge_m, diameter_m) in enumerate(sorted(marks, key=lambda mark: mark[1]), start=1):
        holes.append(
            Hole(
                part=part,
                name=name,
                from_datum_m=at_m,
                step_m=at_m - before_m,
                from_edge_m=edge_m,
                diameter_m=diameter_m,
                stack_m=number * MARKING_M,
            )
        )
        before_m = at_m
    return HoleSchedule(part=part, datum=datum, length_m=length_m, holes=tuple(holes), end_m=length_m - before_m)


def assembly_heights_m(rig: Rig) -> tuple[tuple[str, float], ...]:
    """Heights over the top of the fork blades (m), along the jib mast, to set out when tacking up."""
    foot_m, saddles = mast_base_z_m(rig), rig.saddles
    top_m, of_pieces_m = foot_m + rig.jib_mast.length_m, pieces.seat_of(rig.saddles)
    underside_m = top_m + seat_as_built_m(saddles)
    heights = [("top of sleeves (jib mast foot)", foot_m), ("top of jib mast", top_m)]
    if saddles.bed_section is not None and of_pieces_m is not None:
        heights.append(("top of saddle bed", top_m + of_pieces_m - strap_pieces.shim_m(saddles)[1]))
    return (
        *heights,
        ("underside of boom", underside_m),
        ("boom pin, through straps and shims", underside_m + pin_edge_m(rig.boom)),
    )


def seat_as_built_m(saddles: Saddles) -> float:
    """From the mast's top to the boom's underside: bed, cap and the shim under the boom, where they are entered (m).

    The seat as entered counts where they are not, or where something else fills it.
    """
    of_pieces_m = pieces.seat_of(saddles)
    if of_pieces_m is None:
        return saddles.seat_m
    return saddles.seat_m if pieces.agreement(saddles.seat_m, of_pieces_m) == "not_entered" else of_pieces_m
