"""The truck as plain boxes: body, overhead guard, the driver's space, upright, carriage and load backrest.

What nobody has measured is taken as usual for a counterbalanced truck (ours, typical), from wheelbase, tracks, tyres,
front overhang and the upright's height.  A box measured replaces every usual box of its role.  The upright's top
cross-member and the load backrest differ most from truck to truck: a usual one that is in the way leaves a pose NOT
PROVEN until somebody has measured it or said that there is none.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator
from typing import NamedTuple

from engine.base.identity import IdentityKey
from engine.rig.hinge_boxes import Box, Span
from engine.schema.model import Truck, TruckRole
from engine.schema.quantities import Estimate
from engine.schema.uncertainty_bands import low_high

USUAL_OFF_M = 0.05
"""How far a side of a usual box may be from the truck's own (ours)."""

MEASURED_OFF_M = {"measured": 0.03, "guess": 0.10, "typical": USUAL_OFF_M}
"""How far a side of a box that somebody entered may be off (ours)."""

REAR_OVERHANG_M, GUARD_HEIGHT_M = 0.45, 2.15
BODY_Z_M, ROOF_M, LEG_M, GUARD_HALF_M = (0.08, 1.10), 0.10, 0.06, 0.50
COUNTERWEIGHT_AHEAD_M, COUNTERWEIGHT_Z_M = 0.15, (0.15, 1.10)
"""How far the counterweight reaches ahead of the rear axle, and from where to where it stands."""

BESIDE_TRACK_M = 0.12
"""Body beyond the middle of the front tyres, on either side."""

GUARD_AHEAD_M, GUARD_BACK_M = -0.10, 0.10
"""Front of the overhead guard from the front axle, and its rear ahead of the rear one."""

LEAST_TALL_M, LEAST_SEAT_M, DRIVER_TO_M = 0.5, 0.5, 1.80
"""However small a truck is entered: its upright, the length of the driver's space and its top."""

DRIVER_X_M, DRIVER_HALF_M, DRIVER_FROM_M, DRIVER_BACK_M = (-1.10, -0.30), 0.35, 0.50, 0.25

RAIL_X_M, RAIL_Y_M, RAIL_FROM_M = (-0.35, -0.10), (0.24, 0.40), 0.10
"""The upright's channels from fork face and middle, one each side, and their lower end, forks down."""

CROSSHEAD_DEEP_M, CARRIAGE_X_M, CARRIAGE_HALF_M = 0.12, (-0.10, 0.0), 0.50
CARRIAGE_Z_M, BACKREST_M = (-0.05, 0.50), 1.20
"""Carriage about the tops of the fork blades, and the load backrest's top over them."""

SAID: dict[TruckRole, str] = {
    "body": "the truck's body",
    "guard": "the overhead guard",
    "guard_leg": "a leg of the overhead guard",
    "driver": "the driver's space",
    "channel": "the truck's upright",
    "crosshead": "the upright's top cross-member",
    "carriage": "the fork carriage",
    "backrest": "the load backrest",
}
"""Each role in a sentence."""

_FRAMES = {"chassis": "chassis", "outer": "upright outer", "inner": "upright inner", "forks": "forks"}


class TruckBox(NamedTuple):
    """A box of the truck in the frame it rides on; ``off_m`` is how far its sides may be off.

    ``usual`` is whether nobody has measured it.
    """

    role: TruckRole
    frame: str
    box: Box
    off_m: float
    usual: bool

    @property
    def unsure(self) -> bool:
        """Whether it differs so much from truck to truck that it proves nothing until it is measured."""
        return self.usual and self.role in ("crosshead", "backrest")


def truck_boxes(truck: Truck) -> tuple[TruckBox, ...]:
    """Every box of a truck: those measured, and the usual ones of every other role."""
    return _truck_boxes(IdentityKey(truck))


@functools.lru_cache(maxsize=64)
def _truck_boxes(same: IdentityKey[Truck]) -> tuple[TruckBox, ...]:
    (truck,) = same.parts
    measured = tuple(_measured(truck))
    roles = {box.role for box in measured if not box.usual}
    left = {"guard": truck.has_guard, "guard_leg": truck.has_guard, "crosshead": truck.has_crosshead}
    left["backrest"] = truck.has_backrest
    usual = (box for box in _usual(truck) if box.role not in roles and left.get(box.role, True))
    return (*measured, *usual)


def _measured(truck: Truck) -> Iterator[TruckBox]:
    ahead_m = truck.front_overhang_m.best
    for solid in truck.solids:
        back_m = 0.0 if solid.link == "chassis" else ahead_m
        x, y, z = (solid.x0_m - back_m, solid.x1_m - back_m), (solid.y0_m, solid.y1_m), (solid.z0_m, solid.z1_m)
        usual = solid.known == "typical"
        yield TruckBox(solid.role, _FRAMES[solid.link], (x, y, z), MEASURED_OFF_M[solid.known], usual)


def _off_m(estimate: Estimate[float] | None, share: float = 1.0) -> float:
    """How far a side may be off that a size entered places; of a usual size, as far as that of any usual box."""
    if estimate is None:
        return USUAL_OFF_M
    low, high = low_high(estimate, "length")
    return max(USUAL_OFF_M, share * (estimate.best - low), share * (high - estimate.best))


def _usual(truck: Truck) -> Iterator[TruckBox]:
    offs: dict[TruckRole, float] = {
        "body": max(_off_m(truck.width_m, 0.5), _off_m(truck.rear_overhang_m)),
        "guard": _off_m(truck.guard_height_m),
    }

    def box(role: TruckRole, frame: str, x: Span, y: Span, z: Span) -> TruckBox:
        return TruckBox(role, frame, (x, y, z), offs.get(role, USUAL_OFF_M), True)

    base, tall = truck.wheelbase_m.best, max(truck.upright.lowered_height_m, LEAST_TALL_M)
    half, behind = half_width_m(truck), rear_overhang_m(truck)
    top = truck.guard_height_m.best if truck.guard_height_m else GUARD_HEIGHT_M
    under, guard = top - ROOF_M, _about(GUARD_HALF_M)
    rear, front = -(base - GUARD_BACK_M), GUARD_AHEAD_M
    yield box("body", "chassis", (-base - behind, truck.front_tyre_radius_m), _about(half), BODY_Z_M)
    yield box("guard", "chassis", (rear, front), guard, (under, top))
    for x in ((rear, rear + LEG_M), (front - LEG_M, front)):
        for y in ((guard[0], guard[0] + LEG_M), (guard[1] - LEG_M, guard[1])):
            yield box("guard_leg", "chassis", x, y, (BODY_Z_M[1], under))
    seat = min(max(DRIVER_X_M[0], DRIVER_BACK_M - base), DRIVER_X_M[1] - LEAST_SEAT_M), DRIVER_X_M[1]
    yield box("driver", "chassis", seat, _about(DRIVER_HALF_M), (DRIVER_FROM_M, max(under, DRIVER_TO_M)))
    for rail in ("upright outer", "upright inner"):
        for y in (RAIL_Y_M, (-RAIL_Y_M[1], -RAIL_Y_M[0])):
            yield box("channel", rail, RAIL_X_M, y, (RAIL_FROM_M, tall))
    yield box("crosshead", "upright inner", RAIL_X_M, _about(RAIL_Y_M[1]), (tall - CROSSHEAD_DEEP_M, tall))
    yield box("carriage", "forks", CARRIAGE_X_M, _about(CARRIAGE_HALF_M), CARRIAGE_Z_M)
    yield box("backrest", "forks", CARRIAGE_X_M, _about(CARRIAGE_HALF_M), (CARRIAGE_Z_M[1], BACKREST_M))


def half_width_m(truck: Truck) -> float:
    """Half of the truck's width over all, as entered or as usual."""
    return truck.width_m.best / 2.0 if truck.width_m else truck.front_track_m.best / 2.0 + BESIDE_TRACK_M


def rear_overhang_m(truck: Truck) -> float:
    """How far the truck reaches behind its rear axle, as entered or as usual."""
    return truck.rear_overhang_m.best if truck.rear_overhang_m else REAR_OVERHANG_M


def _about(half_m: float) -> Span:
    return -half_m, half_m
