"""What to mark out before drilling and tacking up: holes from one datum end, and heights over the fork blades.

Every hole is given from one datum end of its part, so that errors do not add up, together with the error that stepping
from hole to hole would add up to.
"""

from __future__ import annotations

import msgspec

from engine.rig.kinematics import mast_base_z_m
from engine.schema.connections import DropInPin
from engine.schema.model import Hook, Rig
from engine.schema.sections import outer_depth_m, outer_width_m
from engine.shop.cut_list import arm_tube_m

MARKING_M = 0.0005
"""How far a hole is off its mark: scribed, centre-punched, drilled in a bench drill (common practice, no source)."""


class Hole(msgspec.Struct, kw_only=True, frozen=True):
    """One hole: its centre from the datum end, and from the hole before it.

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


def hole_schedules(rig: Rig) -> tuple[HoleSchedule, ...]:
    """Every part with drilled holes: boom from its tail, arms from their outer ends."""
    schedules = [_boom_holes(rig)]
    for index, arm in enumerate(rig.arms):
        length_m = arm_tube_m(rig, index) + (0.0 if index == len(rig.arms) - 1 else rig.hook.edge_m)
        half_m = outer_depth_m(arm.section) / 2.0
        half_width_m = outer_width_m(arm.section) / 2.0
        marks = _hook_marks(rig.hook, rig.hook.edge_m, half_m, half_width_m)
        if marks:
            schedules.append(_schedule(arm.name, "outer end", length_m, marks))
    return tuple(schedules)


def _boom_holes(rig: Rig) -> HoleSchedule:
    boom, hook = rig.boom, rig.hook
    edge_m = boom.section.depth_m / 2.0 if boom.hole_edge_m is None else boom.hole_edge_m
    marks = [
        (f"hole {number}", boom.first_hole_m + (number - 1) * boom.hole_pitch_m, edge_m, boom.pin.hole_m)
        for number in range(1, boom.hole_count + 1)
    ]
    at_m = boom.length_m - hook.edge_m
    marks += _hook_marks(hook, at_m, boom.section.depth_m / 2.0, boom.section.width_m / 2.0)
    return _schedule("boom", "tail end", boom.length_m, tuple(marks))


def _hook_marks(
    hook: Hook, at_m: float, half_depth_m: float, half_width_m: float
) -> tuple[tuple[str, float, float, float], ...]:
    """The hole that holds the hook: across through the side walls, down through top and bottom, or none."""
    if hook.cross_pin is not None:
        return (("hook pin", at_m, half_depth_m, hook.cross_pin.pin.hole_m),)
    if isinstance(hook.end, DropInPin):
        return (("hook's standing pin, through top and bottom", at_m, half_width_m, hook.end.hole_m),)
    return ()


def _schedule(
    part: str, datum: str, length_m: float, marks: tuple[tuple[str, float, float, float], ...]
) -> HoleSchedule:
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
    """Heights over the top of the fork blades, to set out when tacking up."""
    foot = mast_base_z_m(rig)
    top = foot + rig.jib_mast.length_m
    underside = top + rig.saddles.seat_m
    return (("top of sleeves (jib mast foot)", foot), ("top of jib mast", top), ("underside of boom", underside))
