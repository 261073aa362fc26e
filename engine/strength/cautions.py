"""Cautions: what the strength checks rest on that nobody has proved, such as assumed steel or unknown electrodes.

A caution does not stop a verdict; it stands beside the verdict everywhere and names what would settle it.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator

from engine.base.geometry import cos
from engine.base.identity import IdentityKey, Uncompared
from engine.rig import hinge_pieces, pieces, sling_legs, start_values, strap_pieces
from engine.rig.check import Problem
from engine.rig.feasibility import usable_holes
from engine.rig.fits import CLOSE_FIT_M, FIT_TOLERANCE_M, hole_under_strap
from engine.rig.pin_places import pin_places
from engine.rig.stay_places import stay_length_m, stay_lever_m
from engine.schema.connections import (
    GAUGED_SHORT_M,
    LEG_SHORT_M,
    BasePlate,
    BentStrap,
    DropInPin,
    EndPlate,
    FabricatedStrap,
    FaceLugs,
    Gear,
    HeelPin,
    Rigging,
    StayLink,
    ThroughSleeve,
    TubeBed,
    Weld,
)
from engine.schema.model import UNMEASURED_WEAR, Forks, Hinge, Job, Load, Plate, Policy, Pose, Rig, Truck
from engine.schema.sections import TUBE_OUTSIDE_RADIUS_PER_WALL, RectTube, RoundTube
from engine.schema.steel import (
    CALIPER_SHORT_M,
    FIRST_STEP_M,
    GUESS_SHORT_M,
    THINNEST_NOMINAL,
    UNKNOWN_STEP_PA,
    UNKNOWN_YIELD_PA,
    UNLOOKED_LOSS_M,
    design_wall_m,
    is_assumed,
)
from engine.strength import bought_gear, gussets
from engine.strength.allowable_stress import LOWEST_ELECTRODE, quality_share
from engine.strength.forks import MOST_RATED_PA, rated_stress_Pa
from engine.strength.hinge_ends import CAUTION_SLEEVE_WALL_M, LUG_EDGE
from engine.strength.mast_foot import MISSING
from engine.strength.stays import SHORT_LEVER
from engine.strength.strap_contact import bend_clearance_m, least_bend_radius_m
from engine.strength.welds import least_leg_m

ASSUMED = (
    "Steel of unknown grade: {parts}. Its yield is assumed, {yield:Pa} for tube and {bar:Pa} for plate, bar and pins, "
    "{step:Pa} less over {thick:part}. Mill papers, a hardness reading or a bend test of an offcut would show it; "
    "reject what cracks."
)
ABOVE_THE_LOWEST = (
    "Unknown steel is taken to yield at {yield:Pa}; some structural tube that is sold yields at {lowest:Pa}. Keep the "
    "evidence with the rig: mill papers, a hardness reading or a bend test. Without it enter {lowest:Pa}."
)
ELECTRODES = (
    "Electrode not known, reckoned as {lowest}, the lowest class: {parts}. The box or the welder's log shows it."
)
QUALITY = (
    "Nobody has said who made and who looked at these welds: {parts}. They count with {share:share} of their strength. "
    "Enter a qualified welder and who inspected them."
)
AT_START_VALUES = (
    "{part} is assumed: it has the sizes it was drawn in with. Check them on the rig, correct them, and say that they "
    "are measured."
)
THIN_LEGS = (
    "The worst case counts legs and throats of welds {short:length} smaller than entered: {parts}. Measure them with a "
    "weld gauge and enter that: then {gauged:length} comes off."
)
THIN_WALLS = (
    "The worst case counts walls that nobody says are measured thinner than entered: {parts}. Measure them at a cut "
    "end with a caliper and enter that: then {caliper:length} comes off. Now it is {guess:length} where the "
    "grade is not known, else {papers:share} of the wall."
)
NOT_LOOKED_AT = (
    "Nobody has said how much wall rust has taken of these tubes: {parts}. {lost:length} counts as lost. Look "
    "inside them and measure: enter what is lost, 0 for new tube."
)


def cautions(job: Job, pose: Pose) -> tuple[Problem, ...]:
    """Every caution on a job and on one of its poses."""
    before, after = _of_job(IdentityKey(job.truck, job.rig, job.load, job.policy), pose.loaded, Uncompared(job))
    of_rig = (*before, *_stays(job.rig, pose), *after)
    if pose.hole is not None:
        return of_rig
    words = "The boom is not pinned: nothing but friction keeps it from sliding, and friction does not count."
    return (Problem(kind="caution", where="pose.hole", words=words), *of_rig)


@functools.lru_cache(maxsize=16)
def _of_job(
    _same: IdentityKey[Truck, Rig, Load, Policy], loaded: bool, read: Uncompared[Job]
) -> tuple[tuple[Problem, ...], tuple[Problem, ...]]:
    """What stands before the cautions of the pose, and what after them."""
    job = read.value
    of_rig = _rig_cautions(job.rig, job.truck.forks, job.truck.plate, job.policy.unknown_yield_Pa)
    if loaded:
        of_rig = (*of_rig, *_legs_of_slings(job.rig.hook.gear, job.load.rigging))
    return (*of_rig, *_assumed(job), *_gussets(job)), _hole_under_strap(job)


def _assumed(job: Job) -> Iterator[Problem]:
    """Connections that stand at the program's start values and may."""
    for start in start_values.drawn_in(job):
        if start_values.may_be_assumed(start):
            yield _caution(start.where, AT_START_VALUES, part=start.name)


@functools.lru_cache(maxsize=16)
def _rig_cautions(rig: Rig, forks: Forks, plate: Plate | None, unknown_yield_Pa: float) -> tuple[Problem, ...]:
    return (
        *_steel(rig, unknown_yield_Pa),
        *_walls(rig),
        *thin_end(rig),
        *_electrodes(rig),
        *_qualities(rig),
        *_legs(rig),
        *_loose_pins(rig),
        *_kept_pins(rig),
        *_ratings(forks, plate is not None),
        *_fork_sections(forks, plate),
        *_heel_pin(rig, forks),
        *_bed(rig),
        *_straps(rig),
        *_hinge_ends(rig),
    )


def _gussets(job: Job) -> Iterator[Problem]:
    """Gussets that count nothing."""
    rig = job.rig
    if not rig.jib_mast.gussets:
        return
    spread_m = rig.sleeves.spread_on(job.truck.forks)
    for index, row in enumerate(gussets.rows_of(rig.jib_mast, rig.sleeves, spread_m, job.policy)):
        if row.missing is not None:
            words = "The gussets at the {face} of the jib mast's foot count nothing and are drawn dashed: {missing}."
            where = f"rig.jib_mast.gussets[{index}]"
            yield _caution(where, words, face=row.entered.face, missing=MISSING[row.missing])


def _hole_under_strap(job: Job) -> tuple[Problem, ...]:
    """A pin hole that comes to stand under a strap: the boom's wall bears there with a hole in it."""
    found = hole_under_strap(job.rig, usable_holes(job))
    if found is None:
        return ()
    hole, strap, pinned = found
    words = (
        "Pin hole {hole} stands under the {strap} strap when the boom is pinned in hole {pinned}: there the boom's "
        "side bears on less wall. Another pitch keeps the straps clear of holes."
    )
    where = "rig.boom.hole_steps_m" if job.rig.boom.hole_steps_m else "rig.boom.hole_pitch_m"
    return (_caution(where, words, hole=str(hole), strap=strap, pinned=str(pinned)),)


def _straps(rig: Rig) -> Iterator[Problem]:
    """Bends of the straps: too tight for the bar, or no room for the boom's corner."""
    saddles, boom = rig.saddles, rig.boom
    make = saddles.strap_make
    if not isinstance(make, BentStrap):
        return
    thick_m, path = saddles.strap_thickness_m, "rig.saddles.strap_make.inside_radius_m"
    least_m = least_bend_radius_m(thick_m)
    if make.inside_radius_m < least_m - FIT_TOLERANCE_M:
        words = (
            "The straps are bent on a radius of {radius:length} inside; mild steel of {thick:part} may crack under "
            "{least:length}. Bend it hot, or weld the straps of three plates."
        )
        yield _caution(path, words, radius=make.inside_radius_m, thick=thick_m, least=least_m)
    if strap_pieces.bend_rides_by_m(saddles, boom) > FIT_TOLERANCE_M:
        gap_m = bend_clearance_m(make.inside_radius_m, TUBE_OUTSIDE_RADIUS_PER_WALL * boom.section.wall_m)
        words = (
            "The straps' bends ride on the boom's corners: with a radius of {radius:length} inside they want "
            "{gap:length} of gap at the sides and the top."
        )
        yield _caution(path, words, radius=make.inside_radius_m, gap=gap_m)


@functools.lru_cache(maxsize=16)
def _legs_of_slings(gear: tuple[Gear, ...], rigging: Rigging | None) -> tuple[Problem, ...]:
    """Legs that spread so far that each pulls much more than its share of the load."""
    spread = [
        (f"rig.hook.gear[{i}].angle_rad", item.name, item.angle_rad) for i, item in enumerate(gear) if item.legs > 1
    ]
    hung = None if rigging is None else sling_legs.hang(rigging)
    if hung is not None and len(hung.legs) > 1:
        flattest = min(leg.from_level_rad for leg in hung.legs)
        spread.append(("load.rigging.legs", "sling", math.pi / 2.0 - flattest))
    cautions = []
    for where, name, from_plumb in spread:
        level = bought_gear.leg_angle(2, from_plumb)
        if level in ("spread", "flat"):
            words = "The legs of the {name} stand {angle:angle} from level: each pulls {share:ratio} of what two share."
            words += " Longer legs pull less." if level == "spread" else " That is a lot: take longer legs."
            numbers = {"name": name, "angle": math.pi / 2.0 - from_plumb, "share": 1.0 / cos(from_plumb)}
            cautions.append(_caution(where, words, **numbers))
    return tuple(cautions)


def steels(rig: Rig) -> Iterator[tuple[str, str, str]]:
    """Every steel entry of a rig: part, path, grade."""
    yield "sleeves", "rig.sleeves.steel", rig.sleeves.steel
    if rig.sleeves.heel_pin is not None:
        yield "heel pins", "rig.sleeves.heel_hold.pin.steel", rig.sleeves.heel_pin.steel
    yield "jib mast", "rig.jib_mast.steel", rig.jib_mast.steel
    if isinstance(rig.jib_mast.base, BasePlate):
        yield "base plate", "rig.jib_mast.base.steel", rig.jib_mast.base.steel
    for index, gusset in enumerate(rig.jib_mast.gussets):
        yield f"gussets at the {gusset.face}", f"rig.jib_mast.gussets[{index}].steel", gusset.steel
    straps = "straps" if rig.saddles.bed_section is None else "straps and saddle bed"
    yield straps, "rig.saddles.steel", rig.saddles.steel
    if rig.saddles.cap is not None:
        yield "cap of the jib mast", "rig.saddles.bed.mount.cap.steel", rig.saddles.cap.steel
    yield "boom", "rig.boom.steel", rig.boom.steel
    yield "boom pin", "rig.boom.pin.steel", rig.boom.pin.steel
    for index, arm in enumerate(rig.arms):
        yield arm.name, f"rig.arms[{index}].steel", arm.steel
        yield f"hinge of {arm.name}", f"rig.arms[{index}].hinge.steel", arm.hinge.steel
        yield f"hinge pin of {arm.name}", f"rig.arms[{index}].hinge.pin.steel", arm.hinge.pin.steel
    hook = rig.hook
    if hook.cross_pin is not None:
        yield "hook pin", f"{hook.holder_path}.pin.steel", hook.cross_pin.pin.steel
    if hook.hoop is not None:
        yield "hook hoop", f"{hook.holder_path}.hoop.steel", hook.hoop.steel
    if isinstance(hook.end, DropInPin):
        yield "hook's standing pin", "rig.hook.end.steel", hook.end.steel


def tubes(rig: Rig) -> Iterator[tuple[str, str, RectTube | RoundTube]]:
    """Every tube that carries load: its name, path, section."""
    yield "sleeves", "rig.sleeves.section", rig.sleeves.section
    yield "cross-member", "rig.sleeves.cross_section", rig.sleeves.cross_section
    yield "jib mast", "rig.jib_mast.section", rig.jib_mast.section
    if isinstance(rig.saddles.bed, TubeBed):
        yield "saddle bed", "rig.saddles.bed.section", rig.saddles.bed.section
    yield "boom", "rig.boom.section", rig.boom.section
    for index, arm in enumerate(rig.arms):
        yield arm.name, f"rig.arms[{index}].section", arm.section
        if isinstance(arm.stay, StayLink) and isinstance(arm.stay.section, RectTube | RoundTube):
            yield f"stay of {arm.name}", f"rig.arms[{index}].stay.section", arm.stay.section


def welds(rig: Rig) -> Iterator[tuple[str, str, Weld, float]]:
    """Every weld of a rig: name, path, weld, thinner part it joins (m)."""
    mast, sleeves = rig.jib_mast, rig.sleeves
    base = mast.base
    below = base.thickness_m if isinstance(base, BasePlate) else design_wall_m(sleeves.cross_section, sleeves.steel)
    thinner = min(design_wall_m(mast.section, mast.steel), below)
    yield "foot weld of the jib mast", "rig.jib_mast.foot_weld", mast.foot_weld, thinner
    for index, gusset in enumerate(mast.gussets):
        if gusset.weld is not None:
            path, joined_m = f"rig.jib_mast.gussets[{index}].weld", min(thinner, gusset.thickness_m)
            yield f"welds of the gussets at the {gusset.face}", path, gusset.weld, joined_m
    if sleeves.cross_weld is not None:
        walls = (sleeves.cross_section, sleeves.section)
        thinner = min(design_wall_m(section, sleeves.steel) for section in walls)
        yield "welds of the cross-member", "rig.sleeves.cross_weld", sleeves.cross_weld, thinner
    if isinstance(base, BasePlate) and base.weld_below is not None:
        thinner = min(base.thickness_m, design_wall_m(sleeves.cross_section, sleeves.steel))
        yield "weld below the base plate", "rig.jib_mast.base.weld_below", base.weld_below, thinner
    saddles = rig.saddles
    thinner = min(saddles.strap_thickness_m, saddles.under_straps_m or saddles.strap_thickness_m)
    yield "strap welds", "rig.saddles.strap_weld", saddles.strap_weld, thinner
    make = saddles.strap_make
    if isinstance(make, FabricatedStrap) and make.corner_weld is not None:
        path = "rig.saddles.strap_make.corner_weld"
        yield "welds at the straps' corners", path, make.corner_weld, saddles.strap_thickness_m
    yield from _mount_welds(rig)
    for index, arm in enumerate(rig.arms):
        thinnest = [_beside_m(arm.hinge, lugs=lugs) for lugs in (True, False) if _welded(arm.hinge, lugs=lugs)]
        if thinnest:
            yield f"hinge welds of {arm.name}", f"rig.arms[{index}].hinge.weld", arm.hinge.weld, min(thinnest)
        yield from _end_welds(rig, index)
    if rig.hook.hoop is not None:
        last = rig.arms[-1] if rig.arms else rig.boom
        wall = design_wall_m(last.section, last.steel)
        yield (
            "hook hoop's welds",
            f"{rig.hook.holder_path}.hoop.weld",
            rig.hook.hoop.weld,
            min(rig.hook.hoop.bar_m, wall),
        )


def _welded(hinge: Hinge, *, lugs: bool) -> bool:
    """Whether the lugs, or the barrels, are welded on by the hinge's own weld: not where a face or a sleeve has one."""
    return (hinge_pieces.face_lugs_of(hinge) if lugs else hinge_pieces.sleeve_of(hinge)) is None


def _beside_m(hinge: Hinge, *, lugs: bool) -> float:
    """The thinner of lug or barrel and the end plate it stands on, where it stands on one."""
    own = hinge.lug_thickness_m if lugs else (hinge.barrel_outer_m - hinge.pin.hole_m) / 2.0
    end = hinge.outer_end if lugs == hinge_pieces.lugs_on_arm(hinge) else hinge.inner_end
    return min(own, end.thickness_m) if isinstance(end, EndPlate) else own


def _mount_welds(rig: Rig) -> Iterator[tuple[str, str, Weld, float]]:
    """Welds of the saddle bed on the jib mast."""
    saddles, mast = rig.saddles, rig.jib_mast
    mount = None if saddles.bed is None else saddles.bed.mount
    if mount is None:
        return
    under_m = saddles.under_straps_m
    wall_m = design_wall_m(mast.section, mast.steel)
    on_mast_m = under_m if mount.cap is None else mount.cap.thickness_m
    if mount.weld_mast is not None and on_mast_m is not None:
        path = "rig.saddles.bed.mount.weld_mast"
        yield "weld at the jib mast's top", path, mount.weld_mast, min(wall_m, on_mast_m)
    if mount.weld_bed is not None and mount.cap is not None and under_m is not None:
        path = "rig.saddles.bed.mount.weld_bed"
        yield "weld of the saddle bed on its cap", path, mount.weld_bed, min(mount.cap.thickness_m, under_m)


def _end_welds(rig: Rig, index: int) -> Iterator[tuple[str, str, Weld, float]]:
    """Welds of what stands on the two ends of an arm's hinge."""
    arm, before = rig.arms[index], index - 1 if index else None
    if arm.hinge.inner_end is None and arm.hinge.outer_end is None:
        return
    tubes = hinge_pieces.link_ends(rig, index, before)
    for side, end, tube in zip(("inner", "outer"), (arm.hinge.inner_end, arm.hinge.outer_end), tubes, strict=True):
        name, path = f"{side} end of the hinge of {arm.name}", f"rig.arms[{index}].hinge.{side}_end"
        wall = design_wall_m(tube.section, tube.steel)
        match end:
            case ThroughSleeve():
                welds_there = (("weld", end.weld, min(wall, (end.outer_m - end.bore_m) / 2.0)),)
            case EndPlate():
                lugs = hinge_pieces.lugs_on_arm(arm.hinge) == (side == "outer")
                beside = _beside_m(arm.hinge, lugs=lugs)
                welds_there = (
                    ("weld_tube", end.weld_tube, min(wall, end.thickness_m)),
                    ("weld_barrel", end.weld_barrel, beside),
                )
            case FaceLugs():
                packed = min(end.thickness_m, end.packing_m or end.thickness_m)
                welds_there = (("weld", end.weld, min(wall, packed)), ("weld", end.weld, packed))
                welds_there = welds_there if end.packing_m > 0.0 else welds_there[:1]
            case None:
                welds_there = ()
        for entry, weld, thinner in welds_there:
            if weld is not None:
                yield name, f"{path}.{entry}", weld, thinner


def _caution(where: str, words: str, **numbers: float | str) -> Problem:
    return Problem(kind="caution", where=where, words=words, numbers=numbers)


def _steel(rig: Rig, unknown_yield_Pa: float) -> list[Problem]:
    assumed = [(part, path) for part, path, grade in steels(rig) if is_assumed(grade)]
    if not assumed:
        return []
    numbers = {
        "parts": ", ".join(part for part, _ in assumed),
        "yield": unknown_yield_Pa,
        "bar": unknown_yield_Pa - UNKNOWN_STEP_PA,
        "step": UNKNOWN_STEP_PA,
        "thick": FIRST_STEP_M,
    }
    taken = [_caution(", ".join(path for _, path in assumed), ASSUMED, **numbers)]
    if unknown_yield_Pa <= UNKNOWN_YIELD_PA:
        return taken
    high = {"yield": unknown_yield_Pa, "lowest": UNKNOWN_YIELD_PA}
    return [*taken, _caution("policy.unknown_yield_Pa", ABOVE_THE_LOWEST, **high)]


def _walls(rig: Rig) -> list[Problem]:
    """Tubes that nobody has looked into for rust."""
    unlooked = [(name, where) for name, where, tube in tubes(rig) if tube.wall_lost_m is None]
    if not unlooked:
        return []
    parts, places = ", ".join(name for name, _ in unlooked), ", ".join(f"{where}.wall_lost_m" for _, where in unlooked)
    return [_caution(places, NOT_LOOKED_AT, parts=parts, lost=UNLOOKED_LOSS_M)]


def thin_end(rig: Rig) -> list[Problem]:
    """Welds and walls of which the worst case counts less for want of a gauge or caliper."""
    legs = [(name, f"{path}.leg_known") for name, path, weld, _ in welds(rig) if weld.leg_known is None]
    walls = [(name, f"{path}.wall_known") for name, path, tube in tubes(rig) if tube.wall_known != "caliper"]
    taken = {"short": LEG_SHORT_M, "gauged": GAUGED_SHORT_M}
    of_walls = {"caliper": CALIPER_SHORT_M, "guess": GUESS_SHORT_M, "papers": 1.0 - THINNEST_NOMINAL}
    return [
        _caution(", ".join(path for _, path in found), words, parts=", ".join(name for name, _ in found), **numbers)
        for words, found, numbers in ((THIN_LEGS, legs, taken), (THIN_WALLS, walls, of_walls))
        if found
    ]


def thin_end_advice(rig: Rig) -> str:
    """What would help besides measuring uncertain entries, at the end of a sentence; nothing where all is measured."""
    return " Welds measured with a gauge and walls measured with a caliper count for more." if thin_end(rig) else ""


def _electrodes(rig: Rig) -> list[Problem]:
    unknown = [(name, path) for name, path, weld, _ in welds(rig) if weld.electrode == "unknown"]
    if not unknown:
        return []
    numbers = {"lowest": LOWEST_ELECTRODE, "parts": ", ".join(name for name, _ in unknown)}
    return [_caution(", ".join(f"{path}.electrode" for _, path in unknown), ELECTRODES, **numbers)]


def _qualities(rig: Rig) -> list[Problem]:
    unknown = [(name, path, weld) for name, path, weld, _ in welds(rig) if weld.quality == "unknown"]
    if not unknown:
        return []
    numbers = {"share": quality_share(unknown[0][2]), "parts": ", ".join(name for name, _, _ in unknown)}
    return [_caution(", ".join(f"{path}.quality" for _, path, _ in unknown), QUALITY, **numbers)]


INCH_LEG_M = 0.00025
"""The table's legs in inches are up to so much smaller than those in millimetres: 3/16 in beside 5 mm."""

_INCH_LEGS_M = tuple(0.0254 * sixteenths / 16.0 for sixteenths in (2, 3, 4, 5))
"""The table's legs in inches."""


def _is_cold(weld: Weld, least: float) -> bool:
    """Whether a leg is under the least, in millimetres or as the table has it in inches."""
    in_inches = any(abs(weld.leg_m - leg_m) < FIT_TOLERANCE_M for leg_m in _INCH_LEGS_M if least - leg_m < INCH_LEG_M)
    return weld.leg_m < least - FIT_TOLERANCE_M and not in_inches


def legs_for_thickness_m(rig: Rig) -> Iterator[tuple[str, float]]:
    """Path and least leg of every weld whose leg is too small for the thickness it joins."""
    for _, path, weld, thinner in welds(rig):
        if _is_cold(weld, least_leg_m(thinner)):
            yield path, least_leg_m(thinner)


def _legs(rig: Rig) -> list[Problem]:
    """Legs under the least for the thickness (too little heat), or over the wall (they count only as the wall)."""
    cautions = []
    for name, path, weld, thinner in welds(rig):
        least = least_leg_m(thinner)
        numbers = {"name": name, "leg": weld.leg_m, "least": least, "thick": thinner}
        if _is_cold(weld, least):
            words = (
                "The {name}: legs of {leg:weld}; on {thick:part} of steel the least is {least:weld}, or the "
                "weld may be cold (AISC 360 J2.4, from memory)."
            )
            cautions.append(_caution(f"{path}.leg_m", words, **numbers))
        if weld.leg_m > thinner + FIT_TOLERANCE_M:
            words = (
                "The {name}: legs of {leg:weld} on {thick:part} of steel count only as {thick:part}; more is "
                "burnt wall, not strength."
            )
            cautions.append(_caution(f"{path}.leg_m", words, **numbers))
    return cautions


def _loose_pins(rig: Rig) -> list[Problem]:
    words = "The {name}: {play:length} of play; a close pin has at most {most:length} (AISC 360 D5.2)."
    return [
        _caution(
            f"{place.path}.hole_m",
            words,
            name=place.name,
            play=place.pin.hole_m - place.pin.diameter_m,
            most=CLOSE_FIT_M,
        )
        for place in pin_places(rig)
        if place.pin.hole_m - place.pin.diameter_m > CLOSE_FIT_M + FIT_TOLERANCE_M
    ]


def _kept_pins(rig: Rig) -> list[Problem]:
    """Pins that are kept in their holes by too little to rely on."""
    cautions = []
    for place in pin_places(rig):
        words, where = "", f"{place.path}.retention"
        if place.stands and place.pin.retention == "head_only":
            words = (
                "The {name} hangs by its head alone: only its weight keeps it in, and a knock or a snag from below "
                "lifts it out. Put a nut and split pin, or a collar and bolt, below."
            )
        elif place.path.startswith("rig.sleeves.") and place.pin.retention == "r_clip":
            words = (
                "The {name} are kept in by R-clips alone, down by the floor where they catch on things and spring off. "
                "Put lynch pins or split pins in."
            )
        if words:
            cautions.append(_caution(where, words, name=place.name))
    return cautions


def _ratings(forks: Forks, has_plate: bool) -> list[Problem]:
    """Ratings that are not entered."""
    cautions = []
    if forks.rating_each_kg is None:
        assumed = (
            "each fork is assumed to carry half of what the truck's plate allows"
            if has_plate
            else "and there is no plate to assume one from, so the forks are not checked"
        )
        words = (
            f"No fork stamp is entered: {assumed}. Read the stamp on the side of each fork near its heel: 1250 x 500 "
            "means {kg:kg} at {centre:mm} from the fork face. Enter both."
        )
        numbers = {"kg": 1250.0, "centre": 0.5}
        cautions.append(Problem(kind="caution", where="truck.forks.rating_each_kg", words=words, numbers=numbers))
    return cautions


def _fork_sections(forks: Forks, plate: Plate | None) -> list[Problem]:
    """Wear that nobody has measured, and a section that its rating would stress more than forks are made for."""
    cautions = []
    if forks.worn_m is None:
        words = (
            "The forks' wear is not measured: {share:share} of their thickness counts as lost. Measure heel and shank "
            "with callipers and enter the difference; {share:share} or more is scrap."
        )
        cautions.append(_caution("truck.forks.worn_m", words, share=UNMEASURED_WEAR))
    rated_Pa = rated_stress_Pa(forks, plate)
    if rated_Pa is not None and rated_Pa > MOST_RATED_PA:
        words = (
            "At its rating each fork would have {rated:Pa} in a heel of {width:mm} by {thick:mm}; forks are made for "
            "less than {most:Pa}. Check the section and the rating."
        )
        numbers = {"rated": rated_Pa, "most": MOST_RATED_PA, "width": forks.width_m, "thick": forks.thickness_m}
        cautions.append(_caution("truck.forks.thickness_m", words, **numbers))
    return cautions


def _heel_pin(rig: Rig, forks: Forks) -> list[Problem]:
    """A heel pin thicker than the space between the fork and the sleeve's bottom cannot pass there."""
    hold, section = rig.sleeves.heel_hold, rig.sleeves.section
    if not isinstance(hold, HeelPin):
        return []
    pin, room = hold.pin, section.depth_m - 2.0 * section.wall_m - forks.thickness_m
    if pin.diameter_m <= room + FIT_TOLERANCE_M:
        if hold.below_m is None or hold.below_m + pin.diameter_m <= room + FIT_TOLERANCE_M:
            return []
        words = (
            "The heel pin of {pin:part} is entered {below:length} below the fork; there are only {room:length} "
            "between the fork and the sleeve's bottom. Measure again."
        )
        numbers = {"pin": pin.diameter_m, "below": hold.below_m, "room": room}
        return [_caution("rig.sleeves.heel_hold.below_m", words, **numbers)]
    words = (
        "The heel pin is {pin:part} thick; there are only {room:length} between the fork and the sleeve's bottom: "
        "make the sleeves deeper or the pin thinner. A pin in lugs below the sleeve is not checked."
    )
    return [_caution("rig.sleeves.heel_hold.pin.diameter_m", words, pin=pin.diameter_m, room=room)]


def _bed(rig: Rig) -> list[Problem]:
    """A bed narrower than the flat of the boom's underside, an open tube, a seat that nearly fits its pieces."""
    saddles, bed, boom = rig.saddles, rig.saddles.bed_section, rig.boom.section
    cautions = []
    flat = boom.width_m - 2.0 * TUBE_OUTSIDE_RADIUS_PER_WALL * boom.wall_m
    if bed is not None and bed.width_m < flat:
        words = (
            "The saddles' bed is {bed:length} wide under a boom {boom:length} wide: it presses on the middle of the "
            "boom's underside. Put a plate between as wide as the boom."
        )
        cautions.append(_caution("rig.saddles.bed", words, bed=bed.width_m, boom=boom.width_m))
    if isinstance(saddles.bed, TubeBed) and not saddles.bed.ends_closed:
        words = "The saddle bed is open at its ends: rain stands in it. Close both ends, or drill its underside."
        cautions.append(_caution("rig.saddles.bed.ends_closed", words))
    of_pieces_m = pieces.seat_of(saddles)
    if of_pieces_m is not None and pieces.agreement(saddles.seat_m, of_pieces_m) == "caution":
        words = "Saddle bed and cap add up to {pieces:mm}; the seat is entered as {seat:mm}. Measure both again."
        cautions.append(_caution("rig.saddles.seat_m", words, pieces=of_pieces_m, seat=saddles.seat_m))
    return cautions


def _hinge_ends(rig: Rig) -> list[Problem]:
    """Sizes of a hinge's pieces that nearly agree, thin sleeves, and lugs with little steel beside the hole."""
    cautions = []
    for index, arm in enumerate(rig.arms):
        hinge, path = arm.hinge, f"rig.arms[{index}].hinge"
        if hinge.inner_end is None and hinge.outer_end is None:
            continue
        ends = hinge_pieces.link_ends(rig, index, index - 1 if index else None)
        for row in hinge_pieces.disagreements(hinge, ends):
            if not row.is_open:
                words = (
                    "The hinge of {name}: {what} entered as {entered:length}; its pieces make {follows:length}. "
                    "Measure both again."
                )
                numbers = {"entered": row.entered_m, "follows": row.follows_m}
                cautions.append(_caution(f"{path}.{row.where}", words, name=arm.name, what=row.what, **numbers))
        sleeve = hinge_pieces.sleeve_of(hinge)
        if sleeve is not None and (sleeve.outer_m - sleeve.bore_m) / 2.0 < CAUTION_SLEEVE_WALL_M - FIT_TOLERANCE_M:
            words = "The sleeve in the hinge of {name} has a wall of {wall:part}; under {least:length} is thin."
            numbers = {"wall": (sleeve.outer_m - sleeve.bore_m) / 2.0, "least": CAUTION_SLEEVE_WALL_M}
            side = "outer_end" if sleeve is hinge.outer_end else "inner_end"
            cautions.append(_caution(f"{path}.{side}.bore_m", words, name=arm.name, **numbers))
        edge_m, least_m = hinge_pieces.as_built(hinge).lug_edge_m, LUG_EDGE * hinge.pin.diameter_m
        if edge_m < least_m - FIT_TOLERANCE_M:
            words = (
                "The lugs in the hinge of {name} end {edge:length} from the hole's centre; {least:length} (1.5 pin "
                "diameters) is the rule of the workshop."
            )
            cautions.append(_caution(f"{path}.lug_edge_m", words, name=arm.name, edge=edge_m, least=least_m))
    return cautions


def _stays(rig: Rig, pose: Pose) -> list[Problem]:
    """Stays that pass so near to their hinge that a small moment makes a great force."""
    cautions = []
    for index, (arm, stance) in enumerate(zip(rig.arms, pose.arms, strict=True)):
        stay = arm.stay
        if not stance.fitted or not isinstance(stay, StayLink):
            continue
        length_m, lever_m = stay_length_m(stay, stance.turn_rad), abs(stay_lever_m(stay, stance.turn_rad))
        if lever_m < SHORT_LEVER * length_m:
            words = (
                "The stay of {name} passes only {lever:length} from the hinge axis: a small moment makes a great force "
                "in it and in the hinge. Fix it further off."
            )
            cautions.append(_caution(f"rig.arms[{index}].stay", words, name=arm.name, lever=lever_m))
    return cautions
