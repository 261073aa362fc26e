"""What each part of the rig weighs: as weighed, or worked out from its steel.

The steel is that of the cut list: tubes over their whole lengths, plates, pins, lugs, packing, shims and stops; welds,
holes and what is cut off round are not counted.
"""

from __future__ import annotations

import functools
import math
from typing import TypedDict

from engine.base.identity import IdentityKey
from engine.rig import pieces, strap_pieces
from engine.rig.boom_stops import stops_m3
from engine.rig.hinge_pieces import lug_length_m, off_plate_m, packing_width_m
from engine.schema.connections import BasePlate, EndPlate, FaceLugs, Gusset, HingeEnd, StayLink, ThroughSleeve, TubeBed
from engine.schema.model import Arm, Boom, Hinge, Rig, Truck
from engine.schema.quantities import Estimate
from engine.schema.sections import STEEL_DENSITY_KG_M3, mass_per_length_kg_m


class SteelMasses(TypedDict):
    """Mass of each part that is made of sections."""

    sleeves_kg: float
    jib_mast_kg: float
    saddles_kg: float
    boom_kg: float
    arms_kg: tuple[float, ...]


class RigMasses(SteelMasses):
    """Mass of each part of the rig, named as in `Figures`."""

    hook_kg: float


def rig_masses(truck: Truck, rig: Rig) -> RigMasses:
    """Mass of each part of the rig: the weighed value, or the steel's own if there is none."""

    def chosen(weighed_kg: Estimate[float] | None, steel_kg: float) -> float:
        return steel_kg if weighed_kg is None else weighed_kg.best

    steel = steel_masses(truck, rig)
    return {
        "sleeves_kg": chosen(rig.sleeves.mass_kg, steel["sleeves_kg"]),
        "jib_mast_kg": chosen(rig.jib_mast.mass_kg, steel["jib_mast_kg"]),
        "saddles_kg": chosen(rig.saddles.mass_kg, steel["saddles_kg"]),
        "boom_kg": chosen(rig.boom.mass_kg, steel["boom_kg"]),
        "arms_kg": tuple(chosen(arm.mass_kg, kg) for arm, kg in zip(rig.arms, steel["arms_kg"], strict=True)),
        "hook_kg": rig.hook.mass_kg.best,
    }


def steel_masses(truck: Truck, rig: Rig) -> SteelMasses:
    """Mass of each part of the rig worked out from its section and length (nominal wall, 7,850 kg/m3)."""
    return _steel_masses(IdentityKey(truck, rig))


@functools.lru_cache(maxsize=8)
def _steel_masses(same: IdentityKey[Truck, Rig]) -> SteelMasses:
    truck, rig = same.parts
    sleeves, saddles, boom = rig.sleeves, rig.saddles, rig.boom
    cross_length_m = sleeves.spread_on(truck.forks) - sleeves.section.width_m
    bed_kg, cap = 0.0, saddles.cap
    if saddles.bed_section is not None:
        rear_m, front_m = strap_pieces.bed_ends_m(rig)
        bed_kg = mass_per_length_kg_m(saddles.bed_section) * (front_m - rear_m)
    if isinstance(saddles.bed, TubeBed) and saddles.bed.ends_closed:
        bed_kg += (
            STEEL_DENSITY_KG_M3 * 2.0 * pieces.BED_END_M * saddles.bed.section.width_m * saddles.bed.section.depth_m
        )
    if cap is not None:
        bed_kg += STEEL_DENSITY_KG_M3 * cap.thickness_m * cap.length_m * cap.width_m
    at_their_ends_kg = [
        *(
            _hinge_end_kg(arm.hinge, arm.hinge.inner_end) + _stay_kg(arm, rig.arms[index - 1] if index else boom)
            for index, arm in enumerate(rig.arms)
        ),
        0.0,
    ]
    strap_m3 = strap_pieces.flat_bar_m(saddles, boom) * saddles.strap_length_m * saddles.strap_thickness_m
    base, base_kg = rig.jib_mast.base, 0.0
    if isinstance(base, BasePlate):
        base_kg = STEEL_DENSITY_KG_M3 * base.thickness_m * base.length_m * base.width_m
    return {
        "sleeves_kg": base_kg
        + 2.0 * mass_per_length_kg_m(sleeves.section) * sleeves.length_m
        + mass_per_length_kg_m(sleeves.cross_section) * cross_length_m,
        "jib_mast_kg": mass_per_length_kg_m(rig.jib_mast.section) * rig.jib_mast.length_m
        + STEEL_DENSITY_KG_M3 * sum(_gussets_m3(gusset) for gusset in rig.jib_mast.gussets),
        "saddles_kg": bed_kg + STEEL_DENSITY_KG_M3 * (2.0 * strap_m3 + strap_pieces.shims_m3(saddles, boom)),
        "boom_kg": mass_per_length_kg_m(boom.section) * boom.length_m
        + STEEL_DENSITY_KG_M3 * stops_m3(rig)
        + at_their_ends_kg[0],
        "arms_kg": tuple(
            mass_per_length_kg_m(arm.section) * arm.length_m + _hinge_kg(arm) + _stay_kg(arm, arm) + at_end_kg
            for arm, at_end_kg in zip(rig.arms, at_their_ends_kg[1:], strict=True)
        ),
    }


def _gussets_m3(gusset: Gusset) -> float:
    """Steel of the triangles at one face of the jib mast's foot."""
    return gusset.count * gusset.thickness_m * gusset.out_m * gusset.up_m / 2.0


def _hinge_kg(arm: Arm) -> float:
    """Steel of one hinge: pin, two barrels, one or two lugs to each barrel, and what stands on the arm's own end."""
    hinge = arm.hinge
    ends = hinge.inner_end, hinge.outer_end
    pin_m3 = math.pi / 4.0 * hinge.pin.diameter_m**2 * (hinge.spacing_m + 2.0 * hinge.barrel_length_m)
    barrel_m3 = math.pi / 4.0 * (hinge.barrel_outer_m**2 - hinge.pin.hole_m**2) * hinge.barrel_length_m
    lug_m = off_plate_m(hinge, carries_lugs=True) + hinge.lug_edge_m
    lug_m3 = hinge.lug_thickness_m * (2.0 * hinge.lug_edge_m) * lug_m
    if any(isinstance(end, ThroughSleeve) for end in ends):
        barrel_m3 = 0.0
    if any(isinstance(end, FaceLugs) for end in ends):
        lug_m3 = 0.0
    own_kg = _hinge_end_kg(hinge, hinge.outer_end)
    return STEEL_DENSITY_KG_M3 * (pin_m3 + 2.0 * barrel_m3 + 2.0 * hinge.shear_planes * lug_m3) + own_kg


def _hinge_end_kg(hinge: Hinge, end: HingeEnd | None) -> float:
    """Steel of the sleeve, plate, or lugs and packing on a tube's end."""
    match end:
        case ThroughSleeve():
            volume_m3 = math.pi / 4.0 * (end.outer_m**2 - end.bore_m**2) * end.length_m
        case EndPlate():
            volume_m3 = end.thickness_m * end.height_m * end.width_m
        case FaceLugs():
            lug_m2 = end.thickness_m * lug_length_m(hinge, end)
            volume_m3 = 2.0 * (end.width_m * lug_m2 + packing_width_m(end) * end.packing_m * end.on_face_m)
        case None:
            volume_m3 = 0.0
    return STEEL_DENSITY_KG_M3 * volume_m3


def _stay_kg(arm: Arm, on: Boom | Arm) -> float:
    """Steel of the stay's lug on the link before the arm, or of the one on the arm itself and of a stay that is made.

    What a bought stay weighs is not entered; an arm weighed with it has it.
    """
    stay = arm.stay
    if not isinstance(stay, StayLink):
        return 0.0
    lug, outer = stay.end_lug, on is arm
    pin_m = stay.at_arm.z_m if outer else stay.at_inner.z_m + arm.stack_m
    steel_m3 = 0.0 if lug is None else lug.on_face_m * lug.thickness_m * pieces.stay_lug_m(on.section, pin_m, lug)
    own_kg = 0.0 if stay.section is None or not outer else mass_per_length_kg_m(stay.section) * stay.length_max_m
    return STEEL_DENSITY_KG_M3 * steel_m3 + own_kg
