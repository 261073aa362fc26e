"""Limits of the saddle bed where it leaves the jib mast: bending, shear and twist together, and its side walls.

The bed is two cantilevers from the mast's faces (`bed`).  Each carries its saddle's reaction on a lever from the mast's
face, and the boom's whole twist, since nobody can say which saddle fits closer.  A strap over the mast itself has no
lever; its bed still carries shear and twist.  A bed that is not entered has no checks; `engine.rig.completeness` says
so.
"""

from __future__ import annotations

import functools

from engine.base.geometry import Number, most
from engine.rig.check import Check
from engine.schema.model import Job, Policy
from engine.schema.sections import RectTube, outer_depth_m
from engine.schema.steel import design_wall_m
from engine.strength import bed, members, wall_edge
from engine.strength.allowable_stress import AISC_OR_FACTOR, allowable_stress
from engine.strength.cuts import Cuts
from engine.strength.linear_in_load import CheckLabel, Linear, check_sum, check_use
from engine.strength.members import Member
from engine.strength.saddles import reactions
from engine.strength.unverified_values import BASE_PLATE_K

WORDS = (
    "{up:N} from the saddle on {lever:length} of bed beyond the jib mast, with {twist:Nm} of twist, uses {demand:share}"
)
WALL_WORDS = "{demand:N} presses on one side wall of the bed at the jib mast's edge; allowed {allowed:N}"


def checks(job: Job, cuts: Cuts) -> list[Check]:
    """The bed behind the mast and ahead of it, and its walls at the mast's edge."""
    rig, policy, load_kg = job.rig, job.policy, cuts.load_kg
    section, steel = rig.saddles.bed_section, rig.saddles.steel
    if section is None:
        return []
    mast_m = outer_depth_m(rig.jib_mast.section)
    above_m = rig.saddles.seat_m + (rig.boom.section.depth_m - section.depth_m) / 2.0
    held, axes, mast_top = reactions(job, cuts), cuts.mast_top.axes, cuts.mast_top
    rear_m = float(bed.rear_lever_m(rig.saddles.rear_x_m, mast_m))
    front_m = float(bed.front_lever_m(rig.saddles.front_x_m, mast_m))
    sides = (
        ("behind the jib mast", -mast_m / 2.0, rear_m, held.rear_up, held.rear_side),
        ("ahead of the jib mast", mast_m / 2.0, front_m, held.front_up, held.front_side),
    )
    at_face = []
    for kind, along_m, lever_m, up, side in sides:
        member = bed_member(section, steel, policy, lever_m)
        uses = [members.combined_use(member, forces) for forces in bed.sixes(up, side, held.twist, lever_m, above_m)]
        label = CheckLabel(
            "saddle bed", kind, mast_top.place_m + axes.out(along_m), "", WORDS, f"{AISC_OR_FACTOR}: H3-6, von Mises"
        )
        numbers: dict[str, Number | str] = {
            "up": abs(up.at(load_kg)),
            "lever": lever_m,
            "twist": abs(held.twist.at(load_kg)),
        }
        at_face.append(check_use(label, lambda load, uses=uses: most(*(use(load) for use in uses)), load_kg, **numbers))
    return [*at_face, *_walls(job, cuts, section, above_m, (held.rear_side, held.front_side), held.twist)]


def _walls(
    job: Job, cuts: Cuts, section: RectTube, above_m: float, sides: tuple[Linear, Linear], twist: Linear
) -> list[Check]:
    """One side wall of the bed at the mast's edge, under either saddle's share of the twist."""
    mast, saddles, policy = job.rig.jib_mast, job.rig.saddles, job.policy
    wall_m, forces = design_wall_m(section, saddles.steel), cuts.mast_top.forces
    allowed = wall_edge.allowed_N(
        wall_m, section.depth_m, allowable_stress(saddles.steel, policy).grade.yield_Pa, policy.design_factor
    )
    sizes_m = outer_depth_m(mast.section), design_wall_m(mast.section, mast.steel)
    source = f"{AISC_OR_FACTOR}: J10.2, J10.3"
    return [
        check_sum(
            CheckLabel("saddle bed", kind, cuts.mast_top.place_m, "N", WALL_WORDS, source),
            bed.edge_terms(forces.bend_up, forces.axial, twist, side, sizes_m, (section.width_m - wall_m, above_m)),
            allowed,
            cuts.load_kg,
        )
        for kind, side in (("wall at the mast, rear saddle", sides[0]), ("wall at the mast, front saddle", sides[1]))
    ]


@functools.lru_cache(maxsize=64)
def bed_member(section: RectTube, steel: str, policy: Policy, lever_m: float) -> Member:
    """The bed as a cantilever of a length from the mast's face."""
    return members.member_of(section, steel, policy, unbraced_m=lever_m, column_m=BASE_PLATE_K * lever_m)
