"""The jib mast's foot: its weld, the wall it stands on, a base plate between.

Straight on the cross-member the mast's tube presses on its top wall (``wall_patch``: across it nose down, along it
sideways), and its weld counts only where the wall's flat leaves room for a leg (``weld_lines``).  A base plate gives
the weld room all round and spreads the forces; it is bent between the mast's walls and the cross-member's side walls,
and has a weld of its own below.  Gussets that count (``gussets``) add their lines to the foot weld's;
plate, wall and mast gain nothing from them.

Sideways the mast's left and right wall press on the plate along its length.  A plate that reaches both side walls
carries that as a strip between them, as wide as the mast's wall and twice the plate's reach beyond the mast (common
practice, no source); one that does not carries it as a cantilever of its overhang.

The cross-member's bending presses its top wall, which takes from what the wall allows (``wall_patch.pressed_sums``).
"""

from __future__ import annotations

import functools
import math

import msgspec

from engine.base.geometry import least, most
from engine.base.plain_call import plain_call
from engine.rig.check import Check
from engine.schema.connections import BasePlate, Weld
from engine.schema.model import JibMast, Job, Policy, Sleeves
from engine.schema.sections import RectTube, outer_depth_m, outer_width_m, properties
from engine.schema.steel import design_wall_m, entered_wall_m
from engine.schema.uncertainty_bands import FORKS_OFF_M
from engine.strength import gussets, laid_welds, mast_foot, wall_patch, weld_lines
from engine.strength.allowable_stress import AISC_OR_FACTOR, AllowableStress, allowable_stress
from engine.strength.cuts import Cuts
from engine.strength.laid_welds import LaidWeld
from engine.strength.linear_in_load import CheckLabel, Linear, check_greatest_pull, check_sum
from engine.strength.sleeves import base_bounds
from engine.strength.unverified_values import ROUND_BRANCH
from engine.strength.wall_patch import Patch, PatchLimits, Wall
from engine.strength.weld_lines import WeldLine

PART = "jib mast"

WALL_WORDS = (
    "the jib mast's foot, {across:length} x {along:length}, folds the cross-member's top wall, {width:length} wide and "
    "{wall:part} thick: force and moments together use {demand:share}"
)
PRESSED_WORDS = (
    "the jib mast's foot folds the cross-member's top wall, which the cross-member's own bending presses too: "
    "{demand:ratio} of {allowed:ratio}"
)
PLATE_WORDS = (
    "{demand:Pa} in the base plate, {thick:part} thick, between the jib mast's walls and the cross-member's side "
    "walls, {reach:length} away; allowed {allowed:Pa}"
)
BESIDE_WORDS = "pull and shear in the jib mast's wall, {wall:part} thick, beside its foot weld use {demand:share}"
CHAPTER_K = f"{AISC_OR_FACTOR}: AISC 360-10 chapter K (from memory)"


class Plate(msgspec.Struct, frozen=True):
    """A base plate's sizes for its own bending, and its weld below; ``strip_m`` carries sideways over ``span_m``."""

    laid: LaidWeld | None
    thickness_m: float
    reach_m: float
    carrying_m: float
    both_walls: bool
    strip_per_N: float
    stress_Pa: float


class Foot(msgspec.Struct, frozen=True):
    """Weld, wall and plate of a jib mast's foot; they depend on rig and policy alone.

    ``laid`` is the foot weld with the gussets' lines, ``on_mast`` only the lines round the mast as they share with
    those.
    """

    laid: LaidWeld
    on_mast: LaidWeld
    mast_wall_m: float
    mast_steel: AllowableStress
    patch: Patch
    wall: Wall
    limits: PatchLimits
    cross_steel: AllowableStress
    per_bend: float
    plate: Plate | None


def checks(job: Job, cuts: Cuts) -> list[Check]:
    """Foot weld, mast's wall beside it, cross-member's top wall, base plate and its weld below."""
    mast, cut = job.rig.jib_mast, cuts.mast_foot
    foot = foot_of(mast, job.rig.sleeves, job.policy, job.rig.sleeves.spread_on(job.truck.forks))
    made = [
        laid_welds.check(PART, "foot weld", cut.place_m, foot.laid, cut.forces, cuts.load_kg),
        _beside(foot, cuts),
        *_wall(job, foot, cuts),
    ]
    plate = foot.plate
    if plate is None:
        return made
    made.append(_plate(mast, plate, cuts))
    if plate.laid is not None:
        made.append(laid_welds.check("base plate", "weld below", cut.place_m, plate.laid, cut.forces, cuts.load_kg))
    return made


def _beside(foot: Foot, cuts: Cuts) -> Check:
    label = CheckLabel(
        PART, "wall beside the foot weld", cuts.mast_foot.place_m, "", BESIDE_WORDS, f"{AISC_OR_FACTOR}: J4"
    )
    wall = foot.mast_wall_m, foot.mast_steel
    return laid_welds.check_beside(label, foot.on_mast, cuts.mast_foot.forces, wall, cuts.load_kg)


def _wall(job: Job, foot: Foot, cuts: Cuts) -> list[Check]:
    """The cross-member's top wall under mast or plate, by itself and where the cross-member's bending presses it."""
    forces, place_m = cuts.mast_foot.forces, cuts.mast_foot.place_m
    on_wall = forces.axial, forces.bend_side, forces.bend_up
    wide_m = job.rig.sleeves.spread_on(job.truck.forks) + FORKS_OFF_M * cuts.off_place
    lever_m = (wide_m - outer_width_m(job.rig.jib_mast.section)) / 2.0
    steel = foot.cross_steel.grade.yield_Pa, foot.cross_steel.factor
    pressed = tuple(
        total
        for seat in base_bounds(job, cuts).stiff
        for total in wall_patch.pressed_sums(foot.limits, *on_wall, seat.weight.times(lever_m * foot.per_bend), steel)
    )
    sizes = {
        "across": foot.patch.across_m,
        "along": foot.patch.along_m,
        "width": foot.wall.width_m,
        "wall": foot.wall.wall_m,
    }
    label = CheckLabel("cross-member", "top wall under the jib mast", place_m, "", WALL_WORDS, CHAPTER_K)
    pressed_label = CheckLabel("cross-member", "top wall folding and pressed", place_m, "", PRESSED_WORDS, CHAPTER_K)
    return [
        check_sum(label, wall_patch.patch_terms(foot.limits, *on_wall), 1.0, cuts.load_kg, **sizes),
        check_greatest_pull(pressed_label, pressed, wall_patch.CHORD_STRESS_TOTAL, cuts.load_kg, **sizes),
    ]


def _plate(mast: JibMast, plate: Plate, cuts: Cuts) -> Check:
    forces = cuts.mast_foot.forces
    per_metre = mast_foot.base_plate_terms(
        forces.bend_up,
        forces.axial,
        outer_depth_m(mast.section),
        plate.reach_m,
        plate.carrying_m,
        both_walls=plate.both_walls,
    )
    per_modulus = 6.0 / plate.thickness_m**2
    terms: tuple[tuple[float, Linear], ...] = (
        *((weight * per_modulus, value) for weight, value in per_metre),
        (plate.strip_per_N * per_modulus, forces.bend_side),
    )
    label = CheckLabel(
        "base plate", "bending", cuts.mast_foot.place_m, "Pa", PLATE_WORDS, f"{AISC_OR_FACTOR}: elastic plate"
    )
    sizes = {"thick": plate.thickness_m, "reach": plate.reach_m}
    return check_sum(label, terms, plate.stress_Pa, cuts.load_kg, **sizes)


@plain_call
@functools.lru_cache(maxsize=64)
def foot_of(mast: JibMast, sleeves: Sleeves, policy: Policy, spread_m: float = math.inf) -> Foot:
    """Weld, wall and plate of a jib mast's foot on its cross-member; without a fork spread no gusset is on a sleeve."""
    cross, base = sleeves.cross_section, mast.base
    wall_m, cross_wall_m = design_wall_m(mast.section, mast.steel), design_wall_m(cross, sleeves.steel)
    cross_steel = allowable_stress(sleeves.steel, policy, cross)
    entered_m = entered_wall_m(cross, sleeves.steel)
    wall = Wall(cross.width_m, cross.depth_m, cross_wall_m, cross_steel.grade.yield_Pa, entered_m)
    depth_m, width_m = outer_depth_m(mast.section), outer_width_m(mast.section)
    if isinstance(base, BasePlate):
        patch = Patch(base.length_m, base.width_m)
        receiver = weld_lines.plate(base.length_m, base.width_m)
        joined = laid_welds.joined_of(
            policy, (mast.steel, mast.section, wall_m), (base.steel, base.thickness_m, base.thickness_m)
        )
        limits = wall_patch.patch_limits(wall, patch, policy.design_factor)
        plate = _plate_of(mast, base, sleeves, policy)
    else:
        patch, plate = Patch(depth_m, width_m), None
        receiver = weld_lines.tube_across(cross.width_m, cross.wall_m)
        joined = laid_welds.joined_of(policy, (mast.steel, mast.section, wall_m), (sleeves.steel, cross, cross_wall_m))
        limits = _under_tube(mast, wall, patch, wall_m, policy)
    laid = laid_welds.lay(mast.section, receiver, mast.foot_weld, joined)
    rows = gussets.counted(gussets.rows_of(mast, sleeves, spread_m, policy))
    laid, on_mast = _with_gussets(laid, tuple(line for row in rows for line in row.lines))
    return Foot(
        laid=laid,
        on_mast=on_mast,
        mast_wall_m=wall_m,
        mast_steel=allowable_stress(mast.steel, policy, mast.section),
        patch=patch,
        wall=wall,
        limits=limits,
        cross_steel=cross_steel,
        per_bend=1.0 / properties(cross, cross_wall_m).elastic_up_m3,
        plate=plate,
    )


def _with_gussets(laid: LaidWeld, lines: tuple[WeldLine, ...]) -> tuple[LaidWeld, LaidWeld]:
    """The foot weld with the gussets' lines, and what its own lines pull then."""
    if not lines:
        return laid, laid
    own = laid.group
    together = weld_lines.group((*own.lines, *lines), own.left_out)
    ends = {end for line in own.lines for end in (line.start_m, line.end_m)}
    of_own = together._replace(lines=own.lines, length_m=own.length_m, points=together.points[: max(len(ends), 1)])
    faces = f"{laid.faces} and at the gussets" if own.lines else "at the gussets"
    replace = msgspec.structs.replace
    return replace(laid, group=together, faces=faces), replace(laid, group=of_own)


def _under_tube(mast: JibMast, wall: Wall, patch: Patch, wall_m: float, policy: Policy) -> PatchLimits:
    """The wall under the mast's own tube; a round tube has pi/4 of what a square one as wide has."""
    if isinstance(mast.section, RectTube):
        mast_Pa = allowable_stress(mast.steel, policy, mast.section).grade.yield_Pa
        branches = wall_patch.branches(mast.section, (wall_m, entered_wall_m(mast.section, mast.steel)), mast_Pa)
        return wall_patch.under_tube(wall, patch, policy.design_factor, branches)
    pull_N, push_N, along_Nm, across_Nm, beta = wall_patch.patch_limits(wall, patch, policy.design_factor)
    share = ROUND_BRANCH
    return PatchLimits(pull_N * share, push_N * share, along_Nm * share, across_Nm * share, beta)


def _plate_of(mast: JibMast, base: BasePlate, sleeves: Sleeves, policy: Policy) -> Plate:
    cross = sleeves.cross_section
    cross_wall_m, stands_m = design_wall_m(cross, sleeves.steel), entered_wall_m(cross, sleeves.steel)
    depth_m, width_m = outer_depth_m(mast.section), outer_width_m(mast.section)
    reach_m = most((cross.width_m - stands_m - depth_m) / 2.0, 0.0)
    both_walls = mast_foot.reaches_side_walls(base.length_m, cross.width_m, stands_m)
    overhang_m = most((base.width_m - width_m) / 2.0, 0.0)
    if both_walls:
        span_m, strip_m = cross.width_m - stands_m, least(2.0 * overhang_m, 2.0 * reach_m) + mast.section.wall_m
        strip_per_N = most(2.0 * span_m - depth_m, 0.0) / 8.0 / (width_m * strip_m)
    else:
        strip_per_N = overhang_m / (width_m * least(depth_m + 2.0 * overhang_m, base.length_m))
    weld: Weld | None = base.weld_below
    laid = None
    if weld is not None:
        joined = laid_welds.joined_of(
            policy, (base.steel, base.thickness_m, base.thickness_m), (sleeves.steel, cross, cross_wall_m)
        )
        receiver = weld_lines.tube_across(cross.width_m, cross.wall_m)
        laid = laid_welds.lay_plate(base.length_m, base.width_m, receiver, weld, joined)
    return Plate(
        laid=laid,
        thickness_m=base.thickness_m,
        reach_m=reach_m,
        carrying_m=mast_foot.carrying_width_m(width_m, reach_m, base.width_m),
        both_walls=both_walls,
        strip_per_N=strip_per_N,
        stress_Pa=allowable_stress(base.steel, policy, base.thickness_m).stress_Pa,
    )
