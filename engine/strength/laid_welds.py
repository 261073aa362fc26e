"""A weld as entered as the lines it can really be laid in, and what those lines are allowed (``weld_lines``)."""

from __future__ import annotations

from collections.abc import Iterable

import msgspec

from engine.base.geometry import Number, Vec, least
from engine.rig.check import Check
from engine.schema.connections import FACES, Weld
from engine.schema.model import Policy
from engine.schema.sections import RectTube, RoundTube
from engine.schema.steel import Piece
from engine.strength import weld_lines
from engine.strength.allowable_stress import (
    AISC_OR_FACTOR,
    AllowableStress,
    allowable_stress,
    electrode_Pa,
    quality_share,
    throat_m,
)
from engine.strength.cuts import SectionForces
from engine.strength.linear_in_load import CheckLabel, check_worst_resultant
from engine.strength.weld_lines import Deposit, Joined, Receiver, WeldGroup

SOURCE = f"{AISC_OR_FACTOR}: J2.4, J4.2, elastic vector method"
WORDS = "{demand:Pa} on the throat ({throat:part}) of a {leg:weld} weld %s; allowed {allowed:Pa}"
NOWHERE = "no face of the %s has room for its weld"


class LaidWeld(msgspec.Struct, frozen=True):
    """Lines that count, the throat (m) their stress is told on, the leg (m), and the faces they lie on in words."""

    group: WeldGroup
    throat_m: float
    leg_m: float
    faces: str

    @property
    def stress_Pa(self) -> float:
        """Allowed stress on the throat, of the weakest line."""
        return self.group.allowed_N_m / self.throat_m


def deposit_of(weld: Weld) -> Deposit:
    """The weld as laid."""
    return Deposit(
        weld.leg_m,
        electrode_Pa(weld),
        quality_share(weld),
        weld.kind,
        weld.counted_throat_m or 0.0,
        weld.process,
        weld.short_m,
    )


def joined_of(policy: Policy, *parts: tuple[str, Piece, float]) -> Joined:
    """The parts joined, each its steel, what piece it is and how thick (m): the thinner and the weaker count."""
    weakest_Pa = least(*(allowable_stress(steel, policy, piece).grade.tensile_Pa for steel, piece, _ in parts))
    return Joined(least(*(thick_m for _, _, thick_m in parts)), weakest_Pa, policy.design_factor)


def lay(section: RectTube | RoundTube, receiver: Receiver, weld: Weld, joined: Joined) -> LaidWeld:
    """The weld of a tube's end on what it stands on; round tube is always welded all round."""
    deposit = deposit_of(weld)
    if isinstance(section, RoundTube):
        group = weld_lines.laid_round(section.diameter_m, receiver, deposit, joined)
    else:
        group = weld_lines.laid(section.width_m, section.depth_m, receiver, deposit, joined, FACES[weld.faces])
    return laid_weld(group, weld, joined)


def lay_plate(length_m: float, width_m: float, receiver: Receiver, weld: Weld, joined: Joined) -> LaidWeld:
    """The weld of a plate, ``length_m`` front to back, on what it lies on."""
    group = weld_lines.laid(width_m, length_m, receiver, deposit_of(weld), joined, FACES[weld.faces])
    return laid_weld(group, weld, joined)


def where_laid(faces: Iterable[str]) -> str:
    """Faces that count, in words."""
    names = tuple(faces)
    return "all round" if len(names) == len(weld_lines.FACES) else f"at {' and '.join(names)}"


def laid_weld(group: WeldGroup, weld: Weld, joined: Joined) -> LaidWeld:
    """Lines with the throat that their stress is told on: a fillet's with this leg, never over the thinner part."""
    counted = dict.fromkeys(line.face for line in group.lines)
    return LaidWeld(group, throat_m(least(weld.counted_leg_m, joined.thinner_m)), weld.leg_m, where_laid(counted))


def check_beside(
    label: CheckLabel,
    laid: LaidWeld,
    forces: SectionForces,
    plate: tuple[float, AllowableStress],
    load_kg: Number,
) -> Check:
    """The plate beside a weld, its thickness (m) and steel: what pulls straight at it, and what shears it."""
    thick_m, steel = plate
    pulled_N_m, sheared_N_m = weld_lines.plate_beside_N_m(thick_m, steel.stress_Pa, steel.shear_Pa)
    straight, across = weld_lines.pulls_beside(laid.group, forces)
    groups = (
        *((pull.times(1.0 / pulled_N_m),) for (pull,) in straight),
        *((one.times(1.0 / sheared_N_m), other.times(1.0 / sheared_N_m)) for one, other in across),
    )
    return check_worst_resultant(label, groups, 1.0, load_kg, wall=thick_m)


def check(part: str, kind: str, place_m: Vec, laid: LaidWeld, forces: SectionForces, load_kg: Number) -> Check:
    """The worst point of a weld's lines, each held to what its own line is allowed."""
    words = WORDS.replace("%s", laid.faces) if laid.group.lines else NOWHERE.replace("%s", part)
    label = CheckLabel(part, kind, place_m, "Pa", words, SOURCE)
    pulls = weld_lines.pulls_on_weakest(laid.group, forces)
    on_throat = tuple(tuple(pull.times(1.0 / laid.throat_m) for pull in point) for point in pulls)
    return check_worst_resultant(label, on_throat, laid.stress_Pa, load_kg, leg=laid.leg_m, throat=laid.throat_m)
