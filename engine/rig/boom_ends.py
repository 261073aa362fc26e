"""What stands out of the boom near its ends and does not go into the saddle straps: hinge, stay lug, stop, hook.

The straps leave a few millimetres round the boom, so nothing that stands out of it goes through them; the boom slides
in only until the innermost of these comes to the front strap, and out only until the stop at its tail comes to the rear
one.  A hook pin waits in no hole while it is not in use, and a sling or shackle is moved aside.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator
from typing import NamedTuple

from engine.rig import hook_place
from engine.rig.boom_stops import STOP_M, made_stops
from engine.rig.hinge_boxes import Round, boom_short_m, end_solids
from engine.rig.hinge_pieces import link_ends
from engine.rig.stay_places import stay_lug_boxes
from engine.schema.connections import DropInPin, WeldedHoop
from engine.schema.model import Rig
from engine.schema.sections import outer_depth_m, outer_width_m

PROUD_M = 1e-4
"""What stands out of the boom no further than this goes through the straps with it."""


class Proud(NamedTuple):
    """Something that stands out of the boom: what it is, and how far behind the boom's end it reaches (m)."""

    name: str
    reach_m: float


@functools.lru_cache(maxsize=16)
def at_front(rig: Rig) -> Proud | None:
    """What of the boom's front end reaches furthest back, if anything does."""
    return max(_at_front(rig), key=lambda found: found.reach_m, default=None)


def at_tail_m(rig: Rig) -> float:
    """How much of the boom's tail the weld of the stop on its end takes up: as much as the stop is thick."""
    return STOP_M if "rear" in made_stops(rig) else 0.0


def _at_front(rig: Rig) -> Iterator[Proud]:
    if "front" in made_stops(rig):
        yield Proud("stop", boom_short_m(rig) + STOP_M)
    if rig.arms:
        yield from _hinge(rig)
        for (from_m, _), _, _ in stay_lug_boxes(rig.arms[0], outer_depth_m(rig.boom.section) / 2.0, outer=False):
            yield Proud("stay's lug", -from_m)
    yield from _hook(rig)


def _hinge(rig: Rig) -> Iterator[Proud]:
    inner = link_ends(rig, 0, None)[0]
    half_width, half_depth = outer_width_m(rig.boom.section) / 2.0, outer_depth_m(rig.boom.section) / 2.0
    for solid in end_solids(rig.arms[0].hinge, inner, outer=False):
        if isinstance(solid, Round):
            proud_m = solid.along_pin[1] - (half_depth if solid.deep else half_width)
            reach_m = solid.radius_m
        else:
            (from_m, _), aside, up = solid
            proud_m, reach_m = max(aside[1] - half_width, up[1] - half_depth), -from_m
        if proud_m > PROUD_M:
            yield Proud("hinge", reach_m)


def _hook(rig: Rig) -> Iterator[Proud]:
    """The hook's end on the boom: a hoop stays there, a pin only where no arm is ever fitted."""
    if rig.arms and rig.hook.behind_hinge_m is None:
        return
    at_m = hook_place.back_m(rig, None)
    match rig.hook.holder:
        case WeldedHoop(plane=plane, hoop=hoop):
            half_m = hoop.bar_m / 2.0 + (0.0 if plane == "across" else hoop.bend_radius_m)
            yield Proud("hook hoop", at_m + half_m)
        case DropInPin(head_m=head_m) if not rig.arms:
            yield Proud("hook's standing pin", at_m + head_m / 2.0)
        case _ if not rig.arms and rig.hook.cross_pin is not None:
            yield Proud("hook pin", at_m + rig.hook.cross_pin.pin.diameter_m / 2.0)
