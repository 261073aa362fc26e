"""Limits of the saddle bed where it leaves the jib mast, and of what presses on what at the mast's top.

The bed is two cantilevers from the mast's faces (`bed`).  Each carries its saddle's reaction on a lever from the mast's
face, and the boom's whole twist, since nobody can say which saddle fits closer.  A saddle over the mast itself has no
lever; its bed still carries shear and twist.

The bed's side walls stand on the mast's front and back wall.  There they yield or cripple, sooner near the bed's end,
where most beds are cut off flush with the mast.  A bed much wider than the mast folds its lower wall instead; one that
is narrower leaves the mast's side walls without anything over them.  A cap between the two spreads the force at 1 to
1: twice its thickness more of the bed bears, and it lies over the mast's side walls too (``bed_mount``).

A flat bar as bed, or the cap itself where both straps stand on it, is bent as a plate of its own width.  Where the bed
is narrower than the flat of the boom's underside it presses on the middle of that wall (``wall_patch``).

A bed that is not entered has no checks; `engine.rig.completeness` says so.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import NamedTuple

import msgspec

from engine.base.geometry import Number, Vec, least, most, one
from engine.base.plain_call import plain_call
from engine.rig.check import Check
from engine.rig.strap_pieces import bed_ends_m
from engine.schema.connections import OnCap
from engine.schema.model import Job, Policy, Rig
from engine.schema.sections import (
    TUBE_OUTSIDE_RADIUS_PER_WALL,
    FlatBar,
    RectTube,
    outer_depth_m,
    outer_width_m,
    properties,
)
from engine.schema.steel import design_wall_m, entered_wall_m
from engine.strength import bed, bed_mount, members, wall_edge, wall_patch
from engine.strength.allowable_stress import AISC_OR_FACTOR, AllowableStress, allowable_stress
from engine.strength.bed import SaddleLoad
from engine.strength.cuts import Cuts, SectionForces
from engine.strength.linear_in_load import (
    CheckLabel,
    check_greatest_pull,
    check_sum,
    check_use,
    check_worst_resultant,
    signed_sums,
)
from engine.strength.members import MEMBER_SOURCE, Member
from engine.strength.saddles import Reactions, reactions
from engine.strength.unverified_values import BASE_PLATE_K, ROUND_BRANCH
from engine.strength.wall_patch import Patch, PatchLimits, Wall

PART = "saddle bed"
NARROW_MAST = 0.85
"""Mast over the bed's flat below which the bed's lower wall folds before its side walls yield (chapter K)."""

STEEL_WORDS = "yield {yield:Pa}, {grade}, factor {factor:ratio}"
FACE_WORDS = (
    "{up:N} on the saddle {lever:length} %s the jib mast bends the bed by {bend:Nm} up or down and {side:Nm} sideways, "
    "with {twist:Nm} of twist: combined stress uses {demand:share} (bending alone is allowed {allowed_bend:Nm}; "
    f"{STEEL_WORDS})"
)
OVER_MAST_WORDS = (
    "{up:N} on the saddle over the jib mast, with {twist:Nm} of twist: combined stress uses {demand:share} "
    f"({STEEL_WORDS})"
)
EDGE_WORDS = (
    "{demand:N} on one side wall of the bed at the jib mast's edge, {to_end:length} from the bed's end, with the twist "
    f"in the %s saddle; allowed {{allowed:N}} on {{wall:part}} of wall ({STEEL_WORDS})"
)
FOLD_WORDS = (
    "the jib mast, {mast:length} wide, folds the lower wall of a bed {bed:length} wide and {wall:part} thick: "
    f"force and moments together use {{demand:share}} ({STEEL_WORDS})"
)
PRESSED_WORDS = (
    "the jib mast, {mast:length} wide, folds the lower wall of a bed {bed:length} wide, which the bed's own bending "
    f"presses too: {{demand:ratio}} of {{allowed:ratio}} ({STEEL_WORDS})"
)
FLAT_WORDS = (
    "{up:N} on the saddle {lever:length} %s the jib mast, with {twist:Nm} of twist, makes {demand:Pa} in a plate "
    f"{{width:length}} wide and {{thick:part}} thick; allowed {{allowed:Pa}} ({STEEL_WORDS})"
)
BOOM_WORDS = (
    "a bed with a flat of {bed:length} presses on the middle of the boom's underside, {boom:length} wide and "
    "{wall:part} thick, under the %s saddle: force and twist together use {demand:share}"
)
BOOM_PRESSED_WORDS = (
    "a bed with a flat of {bed:length} presses on the middle of the boom's underside, which the boom's own bending "
    "presses too: {demand:ratio} of {allowed:ratio}"
)
PLATES_WORDS = (
    "{demand:Pa} in the jib mast's front and back wall under a bed {bed:length} wide: its side walls, {mast:length} "
    f"apart, carry nothing there; allowed {{allowed:Pa}} ({STEEL_WORDS})"
)


class BedLimits(msgspec.Struct, frozen=True):
    """Sizes and allowed values of a bed on its mast; they depend on rig and policy alone.

    ``edge_N`` is for one side wall at the mast's edge that is nearer to the bed's end, ``to_end_m`` from it; ``fold``
    is there only where the mast is so narrow that the bed's lower wall folds instead.  ``missed`` says that the mast's
    side walls miss the bed, with no cap between.
    """

    rear: Member
    front: Member
    wall_m: float
    to_end_m: float
    edge_N: float
    edge_apart_m: float
    fold: PatchLimits | None
    missed: bool
    plates_apart_m: float


def checks(job: Job, cuts: Cuts) -> list[Check]:
    """The bed behind the mast and ahead of it, and what presses on what at the mast's top."""
    saddles = job.rig.saddles
    section, cap = saddles.bed_section, saddles.cap
    if section is None and isinstance(saddles.bed, OnCap) and cap is not None:
        section = FlatBar(width_m=cap.width_m, depth_m=cap.thickness_m)
    if section is None:
        return []
    held = reactions(job, cuts)
    faces = _faces(job.rig, cuts, held, _above_m(job.rig, section))
    is_tube = isinstance(section, RectTube)
    made = _tube(job, section, cuts, held, faces) if is_tube else _flat(job, section, cuts, faces)
    return [*made, *_under_boom(job, section, cuts, held), *bed_mount.checks(job, cuts)]


Faces = tuple[tuple[SectionForces, ...], tuple[SectionForces, ...]]


class _Place(NamedTuple):
    """One face of the mast: in words, where it is marked, and the lever of the saddle beyond it (m)."""

    side: str
    place_m: Vec
    lever_m: float


def _places(job: Job, section: RectTube | FlatBar, cuts: Cuts) -> tuple[_Place, _Place]:
    saddles, half_m = job.rig.saddles, outer_depth_m(job.rig.jib_mast.section) / 2.0
    height_m = section.depth_m / 2.0 + (0.0 if isinstance(saddles.bed, OnCap) else saddles.cap_m)
    rear_m, front_m = most(-saddles.rear_x_m - half_m, 0.0), most(saddles.front_x_m - half_m, 0.0)
    axes, top_m = cuts.mast_top.axes, cuts.mast_top.place_m
    return (
        _Place("behind", top_m + axes.out(-half_m, 0.0, height_m), rear_m),
        _Place("ahead of", top_m + axes.out(half_m, 0.0, height_m), front_m),
    )


def _flat(job: Job, section: FlatBar, cuts: Cuts, faces: Faces) -> list[Check]:
    """A flat bar, or the cap itself, at both faces of the mast."""
    saddles, cap = job.rig.saddles, job.rig.saddles.cap
    steel_name = cap.steel if isinstance(saddles.bed, OnCap) and cap is not None else saddles.steel
    steel = allowable_stress(steel_name, job.policy, section.depth_m)
    made = []
    for place, forces in zip(_places(job, section, cuts), faces, strict=True):
        groups = tuple(group for six in forces for group in bed.flat_bar_groups(section.width_m, section.depth_m, six))
        words, source = FLAT_WORDS.replace("%s", place.side), f"{AISC_OR_FACTOR}: elastic plate, von Mises"
        label = CheckLabel(PART, f"combined stress {place.side} the jib mast", place.place_m, "Pa", words, source)
        made.append(
            check_worst_resultant(
                label,
                groups,
                steel.stress_Pa,
                cuts.load_kg,
                up=abs(forces[0].shear_up.at(cuts.load_kg)),
                lever=place.lever_m,
                twist=most(*(abs(six.twist.at(cuts.load_kg)) for six in forces)),
                width=section.width_m,
                thick=section.depth_m,
                **_steel_numbers(steel),
            )
        )
    missed = section.width_m < outer_width_m(job.rig.jib_mast.section) - 2.0 * _mast_wall_m(job.rig)
    if missed and cap is None:
        apart_m = bed.edge_lever_m(job.rig.jib_mast.section, _mast_wall_m(job.rig), section.width_m / 2.0)
        made.append(_plates(job, section, cuts, apart_m))
    return made


def _mast_wall_m(rig: Rig) -> float:
    return entered_wall_m(rig.jib_mast.section, rig.jib_mast.steel)


def _under_boom(job: Job, section: RectTube | FlatBar, cuts: Cuts, held: Reactions) -> list[Check]:
    """The boom's underside where the bed is narrower than its flat; a boom that is held down presses the strap."""
    boom = job.rig.boom
    wall_m = design_wall_m(boom.section, boom.steel)
    bed_flat_m = bed_mount.flat_m(job.rig, section)
    entered_m = entered_wall_m(boom.section, boom.steel)
    boom_flat_m = boom.section.width_m - 2.0 * TUBE_OUTSIDE_RADIUS_PER_WALL * entered_m
    if section.width_m >= boom_flat_m:
        return []
    steel = allowable_stress(boom.steel, job.policy, boom.section)
    wall = Wall(boom.section.width_m, boom.section.depth_m, wall_m, steel.grade.yield_Pa, entered_m)
    patch = Patch(bed_flat_m, job.rig.saddles.strap_length_m)
    limits = wall_patch.patch_limits(wall, patch, job.policy.design_factor)
    bent = cuts.boom_whole.forces.bend_up.times(1.0 / properties(boom.section, wall_m).elastic_up_m3)
    first = bent.times(wall_patch.relieved(limits.beta, 1.0, steel.grade.yield_Pa, steel.factor))
    twisted = held.twist.times(1.0 / limits.across_Nm)
    source, at = f"{AISC_OR_FACTOR}: AISC 360-10 chapter K (from memory)", cuts.boom_whole
    numbers = {"bed": bed_flat_m, "boom": boom.section.width_m, "wall": wall_m}
    made = []
    spacing_m = job.rig.saddles.front_x_m - job.rig.saddles.rear_x_m
    for name, up, x_m in (("front", held.front_up, 0.0), ("rear", held.rear_up, -spacing_m)):
        pressed = up.times(1.0 / limits.push_N)
        uses = (*signed_sums(pressed, twisted), twisted, twisted.times(-1.0))
        label = CheckLabel(
            "boom",
            f"underside on a narrower bed, {name} saddle",
            at.place_m + at.axes.out(x_m),
            "",
            BOOM_WORDS.replace("%s", name),
            source,
        )
        made.append(check_greatest_pull(label, uses, 1.0, cuts.load_kg, **numbers))
        label = CheckLabel("boom", f"underside pressed, {name} saddle", label.place_m, "", BOOM_PRESSED_WORDS, source)
        totals = tuple(use.plus(first) for use in uses)
        made.append(check_greatest_pull(label, totals, wall_patch.CHORD_STRESS_TOTAL, cuts.load_kg, **numbers))
    return made


def _tube(job: Job, section: RectTube, cuts: Cuts, held: Reactions, faces: Faces) -> list[Check]:
    """A tube as bed: at both faces of the mast, and its walls on the mast's top."""
    limits = bed_limits(job.rig, section, job.policy)
    made = [
        _at_face(place, member, forces, cuts.load_kg)
        for place, member, forces in zip(_places(job, section, cuts), (limits.rear, limits.front), faces, strict=True)
    ]
    if limits.fold is None:
        made += _edges(job, section, cuts, held, limits)
    else:
        made += _folds(job, section, cuts, faces, limits.fold)
    if limits.missed:
        made.append(_plates(job, section, cuts, limits.plates_apart_m))
    return made


def _faces(rig: Rig, cuts: Cuts, held: Reactions, above_m: float) -> Faces:
    """What the bed carries at the mast's rear and front face; a saddle beyond the other's face counts there as well."""
    saddles, mast_m = rig.saddles, outer_depth_m(rig.jib_mast.section)
    along = cuts.boom_whole.forces.axial
    pulls = {"front": bed.NO_PULL, "rear": bed.NO_PULL, saddles.pin_at: along}
    reacted = {"front": (held.front_up, held.front_side), "rear": (held.rear_up, held.rear_side)}
    places = {"front": saddles.front_x_m, "rear": saddles.rear_x_m}

    def beyond(
        own: str, other: str, lever_m: Callable[[Number, Number], Number], sign: float
    ) -> tuple[SaddleLoad, ...]:
        levers = {name: one(lever_m(places[name], mast_m)) for name in (own, other)}
        names = (own, other) if levers[other] > 0.0 else (own,)
        return tuple(SaddleLoad(*reacted[name], pulls[name].times(sign), levers[name]) for name in names)

    return (
        bed.at_face(beyond("rear", "front", bed.rear_lever_m, -1.0), held.twist, above_m),
        bed.at_face(beyond("front", "rear", bed.front_lever_m, 1.0), held.twist, above_m),
    )


def _at_face(place: _Place, member: Member, forces: tuple[SectionForces, ...], load_kg: Number) -> Check:
    uses = [members.combined_use(member, sixth) for sixth in forces]
    words = FACE_WORDS.replace("%s", place.side) if place.lever_m > 0.0 else OVER_MAST_WORDS
    kind = f"combined stress {place.side} the jib mast"
    label = CheckLabel(PART, kind, place.place_m, "", words, _COMBINED_SOURCE)
    first = forces[0]
    return check_use(
        label,
        lambda load: most(*(use(load) for use in uses)),
        load_kg,
        up=abs(first.shear_up.at(load_kg)),
        lever=place.lever_m,
        bend=abs(first.bend_up.at(load_kg)),
        side=abs(first.bend_side.at(load_kg)),
        twist=most(*(abs(sixth.twist.at(load_kg)) for sixth in forces)),
        allowed_bend=member.allowed_bend_up_Nm,
        **_steel_numbers(member.allowable),
    )


def _above_m(rig: Rig, section: RectTube | FlatBar) -> float:
    """From the bed's axis up to the boom's."""
    below_m = 0.0 if isinstance(rig.saddles.bed, OnCap) else rig.saddles.cap_m
    return rig.saddles.seat_m - below_m + (rig.boom.section.depth_m - section.depth_m) / 2.0


def _edges(job: Job, section: RectTube, cuts: Cuts, held: Reactions, limits: BedLimits) -> list[Check]:
    """One side wall of the bed at the mast's edge, with the twist in either saddle."""
    forces, steel = cuts.mast_top.forces, limits.rear.allowable
    across_m = section.width_m - entered_wall_m(section, job.rig.saddles.steel), _above_m(job.rig, section)
    return [
        check_sum(
            CheckLabel(
                PART,
                f"side wall at the jib mast's edge, twist in the {name} saddle",
                cuts.mast_top.place_m,
                "N",
                EDGE_WORDS.replace("%s", name),
                f"{AISC_OR_FACTOR}: J10-2, J10-4 (from memory)",
            ),
            bed.edge_terms(forces.bend_up, forces.axial, held.twist, side, limits.edge_apart_m, across_m),
            limits.edge_N,
            cuts.load_kg,
            wall=limits.wall_m,
            to_end=limits.to_end_m,
            **_steel_numbers(steel),
        )
        for name, side in (("rear", held.rear_side), ("front", held.front_side))
    ]


def _folds(
    job: Job, section: RectTube, cuts: Cuts, faces: tuple[tuple[SectionForces, ...], ...], fold: PatchLimits
) -> list[Check]:
    """The bed's lower wall under a narrower mast, by itself and where the bed's bending presses it too."""
    forces, mast = cuts.mast_top.forces, job.rig.jib_mast.section
    steel = allowable_stress(job.rig.saddles.steel, job.policy, section)
    wall_m = design_wall_m(section, job.rig.saddles.steel)
    on_wall = forces.axial, forces.bend_up, forces.bend_side
    per_bend = 1.0 / properties(section, wall_m).elastic_up_m3
    pressed = tuple(
        total
        for at_face in faces
        for total in wall_patch.pressed_sums(
            fold, *on_wall, at_face[0].bend_up.times(per_bend), (steel.grade.yield_Pa, steel.factor)
        )
    )
    named = {"mast": outer_width_m(mast), "bed": section.width_m, "wall": wall_m, **_steel_numbers(steel)}
    place_m = cuts.mast_top.place_m
    source = f"{AISC_OR_FACTOR}: AISC 360-10 chapter K (from memory)"
    label = CheckLabel(PART, "lower wall folding under the jib mast", place_m, "", FOLD_WORDS, source)
    pressed_label = CheckLabel(PART, "lower wall folding and pressed", place_m, "", PRESSED_WORDS, source)
    return [
        check_sum(label, wall_patch.patch_terms(fold, *on_wall), 1.0, cuts.load_kg, **named),
        check_greatest_pull(pressed_label, pressed, wall_patch.CHORD_STRESS_TOTAL, cuts.load_kg, **named),
    ]


def _plates(job: Job, section: RectTube | FlatBar, cuts: Cuts, apart_m: float) -> Check:
    """The mast's front and back wall under a bed that the mast's side walls miss."""
    mast = job.rig.jib_mast
    steel = allowable_stress(mast.steel, job.policy, mast.section)
    label = CheckLabel(
        PART,
        "jib mast's walls under a narrower bed",
        cuts.mast_top.place_m,
        "Pa",
        PLATES_WORDS,
        f"{AISC_OR_FACTOR}: elastic plate, von Mises",
    )
    wall_m = design_wall_m(mast.section, mast.steel)
    groups = bed.two_plate_groups(cuts.mast_top.forces, section.width_m, wall_m, apart_m)
    sizes = {"mast": outer_width_m(mast.section), "bed": section.width_m}
    return check_worst_resultant(label, groups, steel.stress_Pa, cuts.load_kg, **sizes, **_steel_numbers(steel))


_COMBINED_SOURCE = f"{MEMBER_SOURCE}; H3-6, von Mises"


def _steel_numbers(steel: AllowableStress) -> dict[str, float | str]:
    return {"yield": steel.grade.yield_Pa, "grade": steel.grade.name, "factor": steel.factor}


@plain_call
@functools.lru_cache(maxsize=64)
def bed_limits(rig: Rig, section: RectTube, policy: Policy) -> BedLimits:
    """Sizes of the bed on its mast and what they allow."""
    saddles, mast = rig.saddles, rig.jib_mast
    wall_m, entered_m = design_wall_m(section, saddles.steel), entered_wall_m(section, saddles.steel)
    mast_wall_m = _mast_wall_m(rig)
    steel = allowable_stress(saddles.steel, policy, section)
    depth_m, width_m = outer_depth_m(mast.section), outer_width_m(mast.section)
    rear_end_m, front_end_m = bed_ends_m(rig)
    to_end_m = least(front_end_m, -rear_end_m) - depth_m / 2.0
    apart_m = bed.edge_lever_m(mast.section, mast_wall_m, (section.width_m - entered_m) / 2.0)
    flat_m = section.width_m - 2.0 * TUBE_OUTSIDE_RADIUS_PER_WALL * entered_m
    # A chord shorter than half the ring only grazes it: such a ring stands on the lower wall.
    narrow = width_m < NARROW_MAST * flat_m or apart_m < depth_m / 2.0
    missed = saddles.cap is None and section.width_m < width_m - 2.0 * mast_wall_m
    return BedLimits(
        rear=bed_member(section, saddles.steel, policy, one(bed.rear_lever_m(saddles.rear_x_m, depth_m))),
        front=bed_member(section, saddles.steel, policy, one(bed.front_lever_m(saddles.front_x_m, depth_m))),
        wall_m=wall_m,
        to_end_m=to_end_m,
        edge_N=wall_edge.allowed_N(
            wall_m,
            section.depth_m,
            steel.grade.yield_Pa,
            policy.design_factor,
            bearing_m=bed_mount.spread_m(rig),
            to_end_m=to_end_m,
        ),
        edge_apart_m=apart_m,
        fold=_fold_limits(rig, section, wall_m, steel) if narrow else None,
        missed=missed,
        plates_apart_m=bed.edge_lever_m(mast.section, mast_wall_m, section.width_m / 2.0),
    )


def _fold_limits(rig: Rig, section: RectTube, wall_m: float, steel: AllowableStress) -> PatchLimits:
    """The bed's lower wall under the mast, or under as much of a cap as the force has spread to."""
    mast, cap = rig.jib_mast.section, rig.saddles.cap
    entered_m = entered_wall_m(section, rig.saddles.steel)
    wall = Wall(section.width_m, section.depth_m, wall_m, steel.grade.yield_Pa, entered_m)
    across_m, along_m = outer_width_m(mast), outer_depth_m(mast)
    if cap is not None:
        across_m = most(least(across_m + bed_mount.spread_m(rig), cap.width_m, section.width_m), across_m)
        along_m = most(least(along_m + bed_mount.spread_m(rig), cap.length_m), along_m)
    limits = wall_patch.patch_limits(wall, Patch(across_m, along_m), steel.factor)
    if isinstance(mast, RectTube):
        return limits
    pull_N, push_N, along_Nm, across_Nm, beta = limits
    return PatchLimits(
        pull_N * ROUND_BRANCH, push_N * ROUND_BRANCH, along_Nm * ROUND_BRANCH, across_Nm * ROUND_BRANCH, beta
    )


@plain_call
@functools.lru_cache(maxsize=64)
def bed_member(section: RectTube, steel: str, policy: Policy, lever_m: float) -> Member:
    """The bed as a cantilever of a length from the mast's face."""
    return members.member_of(section, steel, policy, unbraced_m=lever_m, column_m=BASE_PLATE_K * lever_m)
