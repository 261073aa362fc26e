"""Limits of what carries a hinge's barrels or lugs on the ends of its two links (mechanics in `hinge_ends`).

Each piece is looked at in the axes of the link it stands on.  The checks of an end follow from its kind alone:

* a through sleeve: bending and shear of the sleeve at the tube's face, its weld, the tube's wall beside that weld;
* an end plate: the plate, its weld to the tube, the tube's wall at that weld;
* lugs on the tube's faces: tension with shear lag, their weld, the wall under them, by itself and where the tube's own
  bending presses it too.  Their bending at the tube's end is `hinges`' check of the lug at its root.

An end that is not entered has no checks; `engine.rig.completeness` says so.  Welds run all round what they join, but a
face without a ledge counts nothing (`weld_lines`); nobody has said who made them, so they count with the share of an
unknown quality.
"""

from __future__ import annotations

import functools
from typing import NamedTuple

import msgspec

from engine.base.geometry import Number, Vec, least, most
from engine.base.plain_call import plain_call
from engine.rig.check import Check, Unit
from engine.rig.hinge_pieces import TubeEnd, foot_width_m, off_plate_m, thickest_m
from engine.schema.connections import EndPlate, FaceLugs, HingeEnd, ThroughSleeve, Weld
from engine.schema.model import Hinge, Policy
from engine.schema.sections import TUBE_OUTSIDE_RADIUS_PER_WALL, RectTube, RoundTube, properties
from engine.schema.steel import design_wall_m, entered_wall_m
from engine.strength import hinge_ends, pins, wall_patch, weld_lines
from engine.strength.allowable_stress import AISC_OR_FACTOR, AllowableStress, allowable_stress
from engine.strength.cuts import SectionForces
from engine.strength.hinge_ends import FaceLug, HingePull, Sleeve
from engine.strength.laid_welds import deposit_of
from engine.strength.linear_in_load import (
    CheckLabel,
    Linear,
    check_sum,
    check_worst_resultant,
)
from engine.strength.wall_patch import Patch, PatchLimits, Wall
from engine.strength.weld_lines import Face, Joined, Receiver, WeldGroup

VON_MISES = 3.0**0.5

STEEL_WORDS = "yield {yield:Pa}, {grade}, factor {factor:ratio}"
SLEEVE_WORDS = (
    "{demand:N} at an end of the sleeve, {overhang:length} beyond the tube's face, %s it there; allowed {allowed:N} "
    f"({STEEL_WORDS})"
)
SLEEVE_WELD_WORDS = (
    "{demand:N} on each metre of the sleeve's weld ({coped} coped, {leg:weld} legs, {arc:length} at top and bottom); "
    "allowed {allowed:N}"
)
SLEEVE_WALL_WORDS = (
    f"{{demand:Pa}} in the tube's {{wall:part}} wall beside the sleeve's weld; allowed {{allowed:Pa}} ({STEEL_WORDS})"
)
PLATE_WORDS = (
    "pull, turned pull and thrust stress the {thick:part} end plate, {width:length} of its width, with {demand:Pa} "
    f"at the tube's face, {{overhang:length}} from where it is pulled; allowed {{allowed:Pa}} ({STEEL_WORDS})"
)
PLATE_WELD_WORDS = (
    "{demand:N} on each metre of the end plate's weld to the tube ({leg:weld} legs, {length:length} that count); "
    "allowed {allowed:N}"
)
PLATE_WALL_WORDS = (
    f"{{demand:Pa}} in the tube's {{wall:part}} wall at the end plate's weld; allowed {{allowed:Pa}} ({STEEL_WORDS})"
)
LUG_WORDS = (
    "{demand:N} along a lug, {width:length} x {thick:part}, welded over {on_face:length}: {lag:share} of it carries; "
    "allowed {allowed:N}"
)
LUG_WELD_WORDS = (
    "{demand:N} on each metre of a lug's weld to the tube's face ({leg:weld} legs, {length:length} that count); "
    "allowed {allowed:N}"
)
LUG_WALL_WORDS = (
    "the lugs, {width:length} wide, fold the tube's {wall:part} wall under them: pull and moments together use "
    f"{{demand:share}} ({STEEL_WORDS})"
)
LUG_PRESSED_WORDS = (
    "the lugs, {width:length} wide, fold the tube's {wall:part} wall, which the tube's own bending presses too: "
    f"{{demand:ratio}} of {{allowed:ratio}} ({STEEL_WORDS})"
)


class HingeSide(NamedTuple):
    """One end of a hinge: ``inner`` or ``outer``, its piece, the tube, the pull in that link's axes.

    What bends the tube itself at the hinge is the pull's moment along it; about the pin there is none.
    """

    side: str
    end: HingeEnd | None
    tube: TubeEnd
    pull: HingePull
    carries_lugs: bool


class HingeWork(NamedTuple):
    """What every check of a hinge is made with: the hinge with its pieces' sizes, ``lever_m`` between the pulls."""

    hinge: Hinge
    lever_m: float
    part: str
    place_m: Vec
    policy: Policy
    load_kg: Number


def checks(side: HingeSide, work: HingeWork) -> list[Check]:
    """Every limit of the piece on one end of a hinge."""
    match side.end:
        case ThroughSleeve() as sleeve:
            return _sleeve_checks(sleeve, side, work)
        case EndPlate() as plate:
            return _plate_checks(plate, side, work)
        case FaceLugs() as lugs:
            return _lug_checks(lugs, side, work)
        case None:
            return []


def _label(side: HingeSide, work: HingeWork, kind: str, unit: Unit, words: str, source: str) -> CheckLabel:
    return CheckLabel(work.part, f"{side.side} end, {kind}", work.place_m, unit, words, source)


def _steel_numbers(steel: AllowableStress) -> dict[str, float | str]:
    return {"yield": steel.grade.yield_Pa, "grade": steel.grade.name, "factor": steel.factor}


WELD_SOURCE = f"{AISC_OR_FACTOR}: J2.4, J4.2(b), elastic vector method; quality share from memory"


# ---------------------------------------------------------------- welds


def joined_by(thinner_m: float, steels: tuple[AllowableStress, ...]) -> Joined:
    """The parts a weld joins: the thinner one, and the least tensile strength of their steels."""
    return Joined(thinner_m, min(steel.grade.tensile_Pa for steel in steels), steels[0].factor)


def lines_of(
    weld: Weld,
    size_m: tuple[float, float],
    receiver: Receiver,
    joined: Joined,
    faces: tuple[Face, ...] = weld_lines.FACES,
) -> WeldGroup:
    """The lines of a weld round a rectangle (across, along) that stands on a receiver, where they can be laid."""
    return weld_lines.laid(*size_m, receiver, deposit_of(weld), joined, faces)


# ---------------------------------------------------------------- through sleeve


class SleeveParts(msgspec.Struct, frozen=True):
    """A sleeve in its tube: sizes, allowed force at an end by bending and shear, its weld and the wall beside that."""

    sleeve: Sleeve
    bending_N: float
    shear_N: float
    lever_m: float
    cope: hinge_ends.Cope
    weld_N_m: float
    wall_m: float
    steel: AllowableStress
    wall_steel: AllowableStress


@plain_call
@functools.lru_cache(maxsize=64)
def sleeve_parts(end: ThroughSleeve, hinge: Hinge, tube: TubeEnd, policy: Policy) -> SleeveParts:
    """Sizes and allowed values of a sleeve; a weld that is not entered allows nothing."""
    sleeve = Sleeve(end.length_m, end.outer_m, end.bore_m, tube.along_pin_m)
    steel, wall_steel = (
        allowable_stress(hinge.steel, policy, thickest_m(hinge)),
        allowable_stress(tube.steel, policy, tube.section),
    )
    bearing_Pa = pins.allowed_bearing_Pa(allowable_stress(hinge.pin.steel, policy, hinge.pin.diameter_m), steel)
    limits = hinge_ends.sleeve_limits(sleeve, steel.stress_Pa, steel.shear_Pa, bearing_Pa)
    wall_m = design_wall_m(tube.section, tube.steel)
    joined = joined_by(least(wall_m, (end.outer_m - end.bore_m) / 2.0), (steel, wall_steel))
    coped = hinge_ends.CopedTube(tube.across_pin_m, _corner_m(tube.section), tube.section.wall_m)
    cope = hinge_ends.cope(sleeve, end.coped, coped, 0.0 if end.weld is None else end.weld.leg_m)
    allowed = 0.0 if end.weld is None or cope.length_m == 0.0 else weld_lines.fillet_N_m(deposit_of(end.weld), joined)
    return SleeveParts(
        sleeve, limits.bending_N, limits.shear_N, limits.lever_m, cope, allowed, wall_m, steel, wall_steel
    )


def _corner_m(section: RectTube | RoundTube) -> float:
    """Outside radius of a tube's corners; a round tube has no flat at all."""
    round_m = section.diameter_m / 2.0 if isinstance(section, RoundTube) else 0.0
    return round_m or TUBE_OUTSIDE_RADIUS_PER_WALL * section.wall_m


def _sleeve_checks(end: ThroughSleeve, side: HingeSide, work: HingeWork) -> list[Check]:
    parts = sleeve_parts(end, work.hinge, side.tube, work.policy)
    pulls, load_kg = hinge_ends.ends(side.pull, parts.lever_m), work.load_kg
    named = {"overhang": most(parts.sleeve.overhang_m, 0.0), **_steel_numbers(parts.steel)}
    made = [
        check_worst_resultant(
            _label(side, work, f"sleeve {kind}", "N", SLEEVE_WORDS.replace("%s", verb), f"{AISC_OR_FACTOR}: {source}"),
            pulls,
            allowed,
            load_kg,
            **named,
        )
        for kind, verb, source, allowed in (
            ("bending", "bends", "elastic section; bearing length by Johansen 1949", parts.bending_N),
            ("shear", "shears", "J4.2 on half the area (G5)", parts.shear_N),
        )
    ]
    on_weld = hinge_ends.cope_pulls(side.pull, parts.cope, parts.sleeve.depth_m)
    weld = _label(side, work, "sleeve weld", "N", SLEEVE_WELD_WORDS, WELD_SOURCE)
    leg_m = end.weld.leg_m if end.weld is not None else 0.0
    sizes = {"coped": end.coped, "leg": leg_m, "arc": parts.cope.arc_m}
    made.append(check_worst_resultant(weld, on_weld, parts.weld_N_m, load_kg, **sizes))
    in_wall = tuple(tuple(pull.times(1.0 / parts.wall_m) for pull in point) for point in on_weld)
    wall = _label(side, work, "tube wall beside the sleeve", "Pa", SLEEVE_WALL_WORDS, f"{AISC_OR_FACTOR}: J4.2")
    numbers = {"wall": parts.wall_m, **_steel_numbers(parts.wall_steel)}
    return [*made, check_worst_resultant(wall, in_wall, parts.wall_steel.shear_Pa, load_kg, **numbers)]


# ---------------------------------------------------------------- end plate


class PlateParts(msgspec.Struct, frozen=True):
    """An end plate on its tube: its sizes, weld and the tube's wall."""

    plate: hinge_ends.EndPlate
    lines: WeldGroup
    wall_m: float
    steel: AllowableStress
    wall_steel: AllowableStress


@plain_call
@functools.lru_cache(maxsize=64)
def plate_parts(
    end: EndPlate, hinge: Hinge, tube: TubeEnd, lever_m: float, *, carries_lugs: bool, policy: Policy
) -> PlateParts:
    """Sizes and allowed values of an end plate; a weld that is not entered has no lines."""
    from_plate_m = off_plate_m(hinge, carries_lugs=carries_lugs)
    plate = hinge_ends.EndPlate(
        end.thickness_m, end.width_m, tube.across_pin_m, tube.along_pin_m, lever_m, 2.0 * from_plate_m
    )
    wall_m = design_wall_m(tube.section, tube.steel)
    steel = allowable_stress(hinge.steel, policy, thickest_m(hinge))
    wall_steel = allowable_stress(tube.steel, policy, tube.section)
    joined = joined_by(least(wall_m, end.thickness_m), (steel, wall_steel))
    receiver = weld_lines.plate(end.height_m, end.width_m)
    if end.weld_tube is None:
        lines = weld_lines.group(())
    elif isinstance(tube.section, RoundTube):
        lines = weld_lines.laid_round(tube.section.diameter_m, receiver, deposit_of(end.weld_tube), joined)
    else:
        lines = lines_of(end.weld_tube, (tube.across_pin_m, tube.along_pin_m), receiver, joined)
    return PlateParts(plate, lines, wall_m, steel, wall_steel)


def _plate_checks(end: EndPlate, side: HingeSide, work: HingeWork) -> list[Check]:
    parts = plate_parts(end, work.hinge, side.tube, work.lever_m, carries_lugs=side.carries_lugs, policy=work.policy)
    plate, lines, load_kg = parts.plate, parts.lines, work.load_kg
    bending = check_worst_resultant(
        _label(
            side, work, "plate at the tube's face", "Pa", PLATE_WORDS, f"{AISC_OR_FACTOR}: elastic plate, von Mises"
        ),
        hinge_ends.end_plate_groups(side.pull, plate),
        parts.steel.stress_Pa,
        load_kg,
        thick=plate.thickness_m,
        width=plate.carrying_m,
        overhang=plate.overhang_m,
        **_steel_numbers(parts.steel),
    )
    sixes = hinge_ends.end_plate_weld_sixes(side.pull, plate.reach_m)
    on_weld = tuple(point for six in sixes for point in weld_lines.pulls_on_weakest(lines, six))
    leg_m = end.weld_tube.leg_m if end.weld_tube is not None else 0.0
    weld = _label(side, work, "plate weld", "N", PLATE_WELD_WORDS, WELD_SOURCE)
    at_weld = check_worst_resultant(weld, on_weld, lines.allowed_N_m, load_kg, leg=leg_m, length=lines.length_m)
    per_wall = 1.0 / parts.wall_m
    in_wall = tuple(
        (normal.times(per_wall), x.times(VON_MISES * per_wall), y.times(VON_MISES * per_wall))
        for six in sixes
        for normal, x, y in weld_lines.pulls(lines, six)
    )
    wall = _label(side, work, "tube wall at the plate", "Pa", PLATE_WALL_WORDS, f"{AISC_OR_FACTOR}: J4, von Mises")
    numbers = {"wall": parts.wall_m, **_steel_numbers(parts.wall_steel)}
    return [bending, at_weld, check_worst_resultant(wall, in_wall, parts.wall_steel.stress_Pa, load_kg, **numbers)]


# ---------------------------------------------------------------- lugs on the tube's faces


class LugParts(msgspec.Struct, frozen=True):
    """A lug on a tube's face: its sizes, weld, allowed pull, and the wall under it."""

    lug: FaceLug
    lines: WeldGroup
    tension_N: float
    patch: PatchLimits
    wall_m: float
    per_axial: float
    per_bend: float
    wall_steel: AllowableStress


@plain_call
@functools.lru_cache(maxsize=64)
def lug_parts(end: FaceLugs, hinge: Hinge, tube: TubeEnd, policy: Policy, *, between: bool) -> LugParts:
    """Sizes and allowed values of a face lug.

    A lug that stands ``between`` the barrels is pulled at its far face, so its force stands further off the tube.

    A lug on packing is held by two welds, its own to the packing and the packing's to the tube, entered as one: lines
    of the same length, along the packing's edges.  The packing's stands further off the pull, so it is the one that is
    looked at, with a leg that counts as the thinnest of wall, packing and lug.
    """
    packing_m = end.packing_m + ((end.thickness_m + hinge.gap_m) / 2.0 if between else 0.0)
    lug = FaceLug(end.thickness_m, end.width_m, end.on_face_m, end.reach_m, packing_m)
    foot_m = foot_width_m(end)
    steel, wall_steel = (
        allowable_stress(hinge.steel, policy, thickest_m(hinge)),
        allowable_stress(tube.steel, policy, tube.section),
    )
    wall_m = design_wall_m(tube.section, tube.steel)
    flat_edge_m = tube.across_pin_m / 2.0
    entered_m = entered_wall_m(tube.section, tube.steel)
    corner_m = TUBE_OUTSIDE_RADIUS_PER_WALL * entered_m
    receiver = Receiver(float("inf"), float("inf"), flat_edge_m, flat_edge_m, corner_y_m=corner_m)
    thinner_m = (
        least(wall_m, end.thickness_m) if end.packing_m <= 0.0 else least(wall_m, end.thickness_m, end.packing_m)
    )
    joined = joined_by(thinner_m, (steel, wall_steel))
    sides: tuple[Face, ...] = ("left", "right")
    if end.weld is None:
        lines = weld_lines.group(())
    else:
        lines = lines_of(end.weld, (foot_m, end.on_face_m), receiver, joined, sides)
    wall = Wall(tube.across_pin_m, tube.along_pin_m, wall_m, wall_steel.grade.yield_Pa, entered_m)
    section = properties(tube.section, wall_m)
    return LugParts(
        lug,
        lines,
        hinge_ends.lug_rupture_N(lug, steel.grade.tensile_Pa, steel.fracture_divisor),
        wall_patch.patch_limits(wall, Patch(foot_m, end.on_face_m), policy.design_factor),
        wall_m,
        1.0 / section.area_m2,
        1.0 / (section.elastic_up_m3 if tube.deep else section.elastic_side_m3),
        wall_steel,
    )


def _lug_checks(end: FaceLugs, side: HingeSide, work: HingeWork) -> list[Check]:
    between = work.lever_m < work.hinge.spacing_m and work.hinge.shear_planes == 1 and not _has_sleeve(work.hinge)
    parts = lug_parts(end, work.hinge, side.tube, work.policy, between=between)
    lug, load_kg, lines = parts.lug, work.load_kg, parts.lines
    upper, lower = hinge_ends.ends(side.pull, work.lever_m)
    thrust = side.pull.thrust
    tension = check_worst_resultant(
        _label(side, work, "lug in tension", "N", LUG_WORDS, f"{AISC_OR_FACTOR}: D2, D3, shear lag from memory"),
        ((upper[0],), (lower[0],)),
        parts.tension_N,
        load_kg,
        width=lug.width_m,
        thick=lug.thickness_m,
        on_face=lug.on_face_m,
        lag=hinge_ends.shear_lag(lug),
    )
    sixes: tuple[SectionForces, ...] = (
        *hinge_ends.lug_six(*upper, thrust, lug),
        *hinge_ends.lug_six(*lower, thrust, lug),
    )
    on_weld = tuple(point for six in sixes for point in weld_lines.pulls_on_weakest(lines, six))
    leg_m = end.weld.leg_m if end.weld is not None else 0.0
    weld = _label(side, work, "lug weld to the tube", "N", LUG_WELD_WORDS, WELD_SOURCE)
    at_weld = check_worst_resultant(weld, on_weld, lines.allowed_N_m, load_kg, leg=leg_m, length=lines.length_m)
    return [tension, at_weld, *_under_lugs(parts, (upper, lower), side, work)]


def _has_sleeve(hinge: Hinge) -> bool:
    return any(isinstance(end, ThroughSleeve) for end in (hinge.inner_end, hinge.outer_end))


def _under_lugs(
    parts: LugParts, pulls: tuple[tuple[Linear, Linear], ...], side: HingeSide, work: HingeWork
) -> list[Check]:
    """The wall under the worse lug: pulled by the thrust, bent along and across; with the tube's own stress besides."""
    (up_along, up_across), (low_along, low_across) = pulls
    lug, patch, thrust = parts.lug, parts.patch, side.pull.thrust
    along, across = lug.standoff_m / patch.along_Nm / 2.0, lug.standoff_m / patch.across_Nm / 2.0
    terms = (
        (along, up_along.plus(low_along)),
        (along, up_along.plus(low_along, -1.0)),
        (across, up_across.plus(low_across)),
        (across, up_across.plus(low_across, -1.0)),
        (lug.lever_m / patch.along_Nm + 1.0 / patch.push_N, thrust),
    )
    steel = parts.wall_steel
    weight = wall_patch.relieved(patch.beta, 1.0, steel.grade.yield_Pa, steel.factor)
    own = (
        (weight * parts.per_axial, side.pull.along),
        (weight * parts.per_bend, side.pull.moment_along),
    )
    numbers = {"width": lug.width_m, "wall": parts.wall_m, **_steel_numbers(steel)}
    source = f"{AISC_OR_FACTOR}: AISC 360-10 chapter K (from memory)"
    wall = _label(side, work, "tube wall under the lugs", "", LUG_WALL_WORDS, source)
    pressed = _label(side, work, "tube wall under the lugs, pressed", "", LUG_PRESSED_WORDS, source)
    return [
        check_sum(wall, terms, 1.0, work.load_kg, **numbers),
        check_sum(pressed, (*terms, *own), wall_patch.CHORD_STRESS_TOTAL, work.load_kg, **numbers),
    ]
