"""What of the load path is not entered, so that no check covers it and nothing says that it holds.

A pose with such a part is at best NOT PROVEN, however well everything else does: silence is no pass.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator
from typing import assert_never

from engine.base.identity import IdentityKey, Uncompared
from engine.rig import hinge_pieces, hook_place, pieces, sleeve_spread, start_values, strap_pieces
from engine.rig.check import Problem
from engine.rig.hinge_pieces import TubeEnd
from engine.rig.pin_places import PinPlace, pins_in_use
from engine.rig.sling_legs import spreads
from engine.schema.connections import (
    BasePlate,
    DropInPin,
    FabricatedStrap,
    Gear,
    HeelChain,
    OnCap,
    PlateBed,
    RatedMoment,
    Rigging,
    StayLink,
    Weld,
    WeldedHoop,
)
from engine.schema.joints import LevelJoint, StandingJoint
from engine.schema.model import Arm, Boom, Job, Load, Pose, Rig, Saddles
from engine.schema.sections import RectTube, RoundTube, outer_width_m

NOT_CHECKED = (
    "the truck's carriage, its hooks and lock pins when the load hangs to one side or the heels lift",
    "the upright's channels, rollers and lift chains, the lift and tilt rams and their hoses",
    "fork heels beyond their rating; fork hooks; bent or cracked forks",
    "the truck's frame and axles; tyres beyond the load printed on them; the ground and the floor slab",
    "what pins an arm at its angle; the head of a hook's standing pin and its weld; the boom pin's bending over gaps "
    "and shims in the straps",
    "the stop that a level arm rests on; how hard an unpinned boom runs against the stops at its ends",
    "whether rig or load run into anything not entered; lights, mirrors, hoses and gas bottle on the truck; room of "
    "gussets, stays, cross-member, heel chain, spreader and sloping sling legs",
    "how near rig and load come to things with arms off their angle, the jib mast off its place or the truck leaning "
    "to one side",
    "tyres and steel giving further while the truck stops or turns",
    "weld defects anywhere; plates, bars and pins thinner than entered; hinges off their place; bending "
    "of a jib mast out of true",
    "what play in sleeves, saddles and hinges adds to stresses",
    "slings, shackles and other bought gear beyond the mark entered; both anchors of a heel chain",
    "fatigue and cracks from repeated lifts; wear of pins, barrels and holes; rust since it was looked for",
    "shock beyond the dynamic factor; wind on the rig; cold and brittle steel; cold-formed corners; heat",
    "residual stress and distortion from welding; tearing of plate across its thickness",
    "earthquake, collision, people riding",
)
"""What no check of this program looks at, whole: silence about these is no pass.  Every report and paper prints it."""

NOT_CHECKED_WORDS = "Not checked by any of this:"

TESTED_SLENDER = 35.0
TESTED_DEPTHS = (0.5, 2.0)
"""Tubes that the rules for tube on tube were tested on: size over wall at most, depth over width (AISC 360-10 chapter
K, from memory)."""

WORDS = "{part} is not entered, so nothing says that it holds: {measure}."
START_VALUES = (
    "{part} has the sizes it was drawn in with, which nobody has measured: measure it, correct them, and say that they "
    "are measured."
)


def not_entered(job: Job, pose: Pose) -> tuple[Problem, ...]:
    """Every part of the load path of a pose that no check covers.

    Parameters
    ----------
    job : Job
    pose : Pose
        What hangs on an empty hook, and what holds a pinned boom, is not asked.
    """
    fitted = tuple(index for index, stance in enumerate(pose.arms) if stance.fitted)
    same = IdentityKey(job.rig, job.load)
    of_pose = _of_pose(same, fitted, pose.loaded, pose.hole is not None, Uncompared((job, pose)))
    return (*of_pose, *sleeve_spread.not_counted(job))


@functools.lru_cache(maxsize=16)
def _of_pose(
    _same: IdentityKey[Rig, Load],
    fitted: tuple[int, ...],
    loaded: bool,
    pinned: bool,
    read: Uncompared[tuple[Job, Pose]],
) -> tuple[Problem, ...]:
    job, pose = read.value
    problems = [*_of_rig(job.rig), *_of_hinges(job.rig, fitted), *_of_pins(pins_in_use(job.rig, pose))]
    problems += _of_hook_place(job.rig, fitted[-1] if fitted else None)
    if loaded:
        problems += _of_gear(job.rig.hook.gear)
        problems += _of_rigging(job.load.rigging)
    problems += _at_start_values(job, pose)
    if not pinned and not loaded:
        problems += _of_stops(job.rig.boom)
    return tuple(problems)


def _at_start_values(job: Job, pose: Pose) -> Iterator[Problem]:
    """What was drawn in and never measured, of what this pose uses."""
    away = tuple(f"rig.arms[{index}]." for index, stance in enumerate(pose.arms) if not stance.fitted)
    unused = away if pose.loaded else (*away, "load.")
    for start in start_values.drawn_in(job):
        if not start.where.startswith(unused) and not start_values.may_be_assumed(start):
            yield Problem(
                kind="not_entered",
                where=start.where,
                words=START_VALUES,
                numbers={"part": start.name, "lacks": "measured"},
            )


@functools.lru_cache(maxsize=16)
def _of_rig(rig: Rig) -> tuple[Problem, ...]:
    """What is not entered of the rig itself, whatever the pose."""
    problems = [*_of_hook_end(rig)]
    if rig.saddles.bed is None:
        measure = "measure the tube or flat bar across the jib mast's top that the straps stand on"
        problems.append(_problem("rig.saddles.bed", "The saddle bed", measure))
    problems += _mount(rig.saddles)
    problems += _straps(rig)
    problems += _heel_hold(rig)
    if rig.sleeves.cross_weld is None:
        measure = "measure the legs of the weld at each end of the cross-member and see on which faces it runs"
        problems.append(_problem("rig.sleeves.cross_weld", "The weld of the cross-member to the sleeves", measure))
    problems += _foot(rig)
    problems += [
        _problem(path, name, "grind it bright and look at it, or weld it anew; a weld nobody can see counts nothing")
        for name, path, weld in welds(rig)
        if weld.quality == "not_seen"
    ]
    return tuple(problems)


def _of_hook_place(rig: Rig, last: int | None) -> Iterator[Problem]:
    """What holds the hook on a link whose end is a piece of the next arm's hinge, that arm left off."""
    if not hook_place.carries_an_arm(rig, last) or last in hook_place.places(rig):
        return
    on, off = ("the boom" if last is None else rig.arms[last].name), rig.arms[hook_place.next_arm(last)].name
    measure = "measure from the hinge pin back to the hole or hoop that holds it there, or make one"
    yield _problem("rig.hook.behind_hinge_m", f"What holds the hook on {on} while {off} is removed", measure)


def _of_stops(boom: Boom) -> Iterator[Problem]:
    """An empty boom without its pin runs out at whichever end has no stop: the next tilt decides which way."""
    if boom.stops == "both":
        return
    measure = "fit a stop at each end of the boom, too large for the saddles, and enter them, or put the pin in"
    if boom.stops in ("front", "rear"):
        other, way = ("rear", "forward") if boom.stops == "front" else ("front", "backward")
        measure = f"nothing at its {other} end keeps it from running out {way}; fit a stop there too, or put the pin in"
    yield _problem("rig.boom.stops", "What keeps an unpinned boom in its saddles", measure)


def _heel_hold(rig: Rig) -> list[Problem]:
    """What holds the heels: nobody has said, or of a chain not all."""
    hold, where = rig.sleeves.heel_hold, "rig.sleeves.heel_hold"
    if hold is None:
        measure = "enter the heel pins, or the chain with its mark and its angle from plumb"
        return [_problem(where, "What holds the sleeves' heels on the forks", measure)]
    problems = []
    if isinstance(hold, HeelChain) and hold.wll_kg is None:
        problems.append(_problem(f"{where}.wll_kg", "The working load limit of the heel chain", READ_MARK))
    if isinstance(hold, HeelChain) and hold.angle_rad is None:
        measure = "measure how far it goes aside and how far down, from the heel to its hook"
        problems.append(_problem(f"{where}.angle_rad", "The heel chain's angle from plumb", measure))
    return problems


def _straps(rig: Rig) -> Iterator[Problem]:
    """What of the saddle straps keeps them from being proven; their gaps may be left out."""
    saddles = rig.saddles
    make = saddles.strap_make
    if make is None:
        measure = "say whether they are bent from flat bar, and on what radius, or welded of three plates"
        yield _problem("rig.saddles.strap_make", "How the saddle straps are made", measure)
    elif isinstance(make, FabricatedStrap) and make.corner_weld is None:
        measure = "measure the legs of the weld between top and legs, and see on which faces it runs"
        yield _problem("rig.saddles.strap_make.corner_weld", "The weld at the straps' corners", measure)
    if saddles.strap_foot is None:
        measure = "say whether their legs stand on top of the bed or lap its sides, and how far"
        yield _problem("rig.saddles.strap_foot", "The feet of the saddle straps", measure)
    leg_m, mast_m = strap_pieces.leg_middle_m(saddles, rig.boom), outer_width_m(rig.jib_mast.section) / 2.0
    if isinstance(saddles.bed, PlateBed | OnCap) and leg_m > mast_m:
        measure = "no check here bends a flat plate across, from the jib mast's side out to the straps; use a tube"
        yield _problem("rig.saddles.bed", "What carries the straps' legs beside the jib mast", measure)
    free_m = strap_pieces.beside_the_bed_m(rig)
    if free_m is not None and free_m > LAP_GAP_M + 1e-9:
        measure = "the straps are wider inside than the bed: measure the packing, the bed and the straps again"
        yield _problem("rig.saddles.shim_side_m", "What fills the gap between a lapped leg and the bed", measure)


LAP_GAP_M = 0.002
"""Widest gap that a fillet closes beside a lapped leg (common practice, no source)."""


def _of_hook_end(rig: Rig) -> Iterator[Problem]:
    """What of the hook's end keeps it from being proven."""
    hook, end = rig.hook, rig.hook.end
    rounds = [link.name for link in rig.arms if isinstance(link.section, RoundTube)]
    if end is None and hook.version1 is not None:
        measure = "is the hoop welded on the tube (then there is no pin), or does it hang on the pin?"
        yield _problem("rig.hook.end", "What holds the hook", measure)
    elif end is None:
        measure = "say whether a pin through the walls, a welded hoop or a standing pin holds the hook"
        yield _problem("rig.hook.end", "What holds the hook", measure)
    elif isinstance(end, WeldedHoop | DropInPin) and rounds:
        measure = f"nothing here covers the wall of a round tube ({', '.join(rounds)}) under it; enter a pin through it"
        yield _problem("rig.hook.end", "What holds the hook", measure)
    elif isinstance(end, WeldedHoop) and end.plane is None:
        measure = "say whether its plane stands along the link or across it"
        yield _problem("rig.hook.end.plane", "The hoop's plane", measure)
    elif isinstance(end, WeldedHoop) and end.place == "end":
        measure = "nothing here covers the plate that closes the tube's end; weld the hoop under the tube"
        yield _problem("rig.hook.end.place", "What the hoop on the tube's end stands on", measure)


def _of_pins(places: tuple[PinPlace, ...]) -> Iterator[Problem]:
    """Pins that nothing keeps in their holes, as far as anybody has said."""
    for place in places:
        kept = place.pin.retention
        part = f"What keeps the {place.name} in {'its hole' if place.count == 1 else 'their holes'}"
        measure = "say what it is: collar and bolt, nut and split pin, split pin, lynch pin or R-clip"
        if place.stands:
            measure += ", or the head it hangs by"
        elif kept == "head_only":
            measure = "a head holds a pin that lies from one side only; say what holds it from the other"
        if kept in (None, "none") or (kept == "head_only" and not place.stands):
            yield _problem(f"{place.path}.retention", part, measure)


@functools.lru_cache(maxsize=64)
def _of_hinges(rig: Rig, fitted: tuple[int, ...]) -> tuple[Problem, ...]:
    """What is not entered of the hinges of the fitted arms, each on the link it is fitted to."""
    problems = []
    for before, index in zip((None, *fitted), fitted, strict=False):
        arm, inner = rig.arms[index], "boom" if before is None else rig.arms[before].name
        ends = hinge_pieces.link_ends(rig, index, before)
        for question in hinge_pieces.open_questions(arm.hinge, ends, (inner, arm.name)):
            where = f"rig.arms[{index}].hinge.{question.where}"
            problems.append(_problem(where, question.what, question.measure))
        problems += _of_stay(rig.arms[index], f"rig.arms[{index}].stay", ends)
    return tuple(problems)


@functools.lru_cache(maxsize=16)
def _of_gear(gear: tuple[Gear, ...]) -> tuple[Problem, ...]:
    """Bought gear on the hook end that nobody has listed, or whose mark nobody has read."""
    if not gear:
        measure = "list hook, shackle or swivel, and read the working load limit marked on each"
        return (_problem("rig.hook.gear", "The bought gear on the hook", measure),)
    return tuple(
        _problem(f"rig.hook.gear[{index}].wll_kg", f"The working load limit of {item.name}", READ_MARK)
        for index, item in enumerate(gear)
        if item.wll_kg is None
    )


READ_MARK = "read the mark; gear without one is not proven"


@functools.lru_cache(maxsize=16)
def _of_rigging(rigging: Rigging | None) -> tuple[Problem, ...]:
    """How the load is slung, as far as nobody has said."""
    if rigging is None:
        measure = "say how the load is slung, how long the legs are, and what the sling's tag says"
        return (_problem("load.rigging", "The rigging", measure),)
    problems: list[Problem] = []
    if rigging.points is None and spreads(rigging) and rigging.hitch != "spreader":
        measure = "measure from the load's centre of gravity to where the legs hold it"
        problems.append(_problem("load.rigging.points", "Where the slings hold the load", measure))
    if rigging.hitch == "spreader" and rigging.spreader is None:
        measure = "measure the beam between its end points, and read its mark"
        problems.append(_problem("load.rigging.spreader", "The spreader", measure))
    tag = rigging.tag
    if tag is None:
        measure = "read the sling's tag; a sling without a legible one lifts nothing"
        problems.append(_problem("load.rigging.tag", "The sling's tag", measure))
    elif rigging.hitch == "choker" and tag.choker_kg is None:
        measure = "read the tag's rating for a choker hitch"
        problems.append(_problem("load.rigging.tag.choker_kg", "The sling's rating as a choker", measure))
    elif rigging.hitch != "choker" and tag.vertical_kg is None:
        measure = "read the tag's rating for one leg used plumb, or for the set and its angle"
        problems.append(_problem("load.rigging.tag.vertical_kg", "The sling's rating", measure))
    marked = [(f"parts[{index}]", part.name, part.wll_kg) for index, part in enumerate(rigging.parts)]
    if rigging.spreader is not None:
        marked.append(("spreader", "the spreader", rigging.spreader.wll_kg))
    if rigging.hoist is not None:
        marked.append(("hoist", "the chain hoist", rigging.hoist.wll_kg))
    problems += [
        _problem(f"load.rigging.{place}.wll_kg", f"The working load limit of {name}", READ_MARK)
        for place, name, wll_kg in marked
        if wll_kg is None
    ]
    return tuple(problems)


def bed_is_open(saddles: Saddles) -> bool:
    """Whether the saddle bed, or how it is mounted, is not entered."""
    return saddles.bed is None or bool(_mount(saddles))


def _mount(saddles: Saddles) -> list[Problem]:
    """How the saddle bed is welded to the jib mast, as far as nobody has said; what fills a seat deeper than it."""
    if saddles.bed is None:
        return []
    mount, path = saddles.bed.mount, "rig.saddles.bed.mount"
    if mount is None:
        measure = "see whether a cap plate lies between, and measure the legs of the welds"
        return [_problem(path, "How the saddle bed is mounted on the jib mast", measure)]
    problems, on_cap = [], isinstance(saddles.bed, OnCap)
    if mount.cap is None and on_cap:
        problems.append(_problem(f"{path}.cap", "The cap that the straps stand on", "measure the plate"))
    if mount.weld_mast is None:
        measure = "measure the legs of the weld round the mast's top and see on which faces it runs"
        problems.append(_problem(f"{path}.weld_mast", "The weld at the jib mast's top", measure))
    if mount.cap is not None and not on_cap and mount.weld_bed is None:
        measure = "measure the legs of the weld between cap and bed and see on which faces it runs"
        problems.append(_problem(f"{path}.weld_bed", "The weld of the saddle bed on its cap", measure))
    return [*problems, *_gap_over_bed(saddles)]


def _gap_over_bed(saddles: Saddles) -> list[Problem]:
    of_pieces_m = pieces.seat_of(saddles)
    if of_pieces_m is None or saddles.seat_m < of_pieces_m:
        return []
    if pieces.agreement(saddles.seat_m, of_pieces_m) != "not_entered":
        return []
    words = (
        "What fills the {gap:mm} between saddle bed and boom is not entered, so nothing says that it holds: the seat "
        "is {seat:mm} high, bed and cap add up to {pieces:mm}."
    )
    numbers = {"gap": saddles.seat_m - of_pieces_m, "seat": saddles.seat_m, "pieces": of_pieces_m}
    return [Problem(kind="not_entered", where="rig.saddles.seat_m", words=words, numbers=numbers)]


def _foot(rig: Rig) -> list[Problem]:
    """A base plate's weld, and a wall under the jib mast that the rules for tube on tube were not tested for."""
    base, cross = rig.jib_mast.base, rig.sleeves.cross_section
    if isinstance(base, BasePlate):
        if base.weld_below is not None:
            return []
        measure = "measure the legs of the weld between the base plate and the cross-member"
        return [_problem("rig.jib_mast.base.weld_below", "The base plate's weld below", measure)]
    if in_tested_range(cross):
        return []
    measure = (
        "fit one and enter it; without one, the rules for a tube standing on a tube cover only cross-members no larger "
        "than 35 times their wall and half to twice as deep as they are wide"
    )
    return [_problem("rig.jib_mast.base", "A base plate under the jib mast", measure)]


def welds(rig: Rig) -> Iterator[tuple[str, str, Weld]]:
    """Every weld of a rig: its name at the start of a sentence, path, weld."""
    yield "The foot weld of the jib mast", "rig.jib_mast.foot_weld", rig.jib_mast.foot_weld
    if rig.sleeves.cross_weld is not None:
        yield "The weld of the cross-member to the sleeves", "rig.sleeves.cross_weld", rig.sleeves.cross_weld
    base = rig.jib_mast.base
    if isinstance(base, BasePlate) and base.weld_below is not None:
        yield "The base plate's weld below", "rig.jib_mast.base.weld_below", base.weld_below
    yield "The weld of the straps", "rig.saddles.strap_weld", rig.saddles.strap_weld
    make = rig.saddles.strap_make
    if isinstance(make, FabricatedStrap) and make.corner_weld is not None:
        yield "The weld at the straps' corners", "rig.saddles.strap_make.corner_weld", make.corner_weld
    mount = None if rig.saddles.bed is None else rig.saddles.bed.mount
    if mount is not None and mount.weld_mast is not None:
        yield "The weld at the jib mast's top", "rig.saddles.bed.mount.weld_mast", mount.weld_mast
    if mount is not None and mount.weld_bed is not None:
        yield "The weld of the saddle bed on its cap", "rig.saddles.bed.mount.weld_bed", mount.weld_bed
    for index, arm in enumerate(rig.arms):
        yield f"The weld at the hinge of {arm.name}", f"rig.arms[{index}].hinge.weld", arm.hinge.weld
        yield from _arm_welds(arm, f"rig.arms[{index}]")
    if rig.hook.hoop is not None:
        yield "The weld of the hook hoop", f"{rig.hook.holder_path}.hoop.weld", rig.hook.hoop.weld


def _arm_welds(arm: Arm, where: str) -> Iterator[tuple[str, str, Weld]]:
    """Welds of what stands at an arm's hinge, and of its stay's lugs, as far as they are entered."""
    for side, end in (("inner", arm.hinge.inner_end), ("outer", arm.hinge.outer_end)):
        for entry in ("weld", "weld_tube", "weld_barrel"):
            weld = getattr(end, entry, None)
            if weld is not None:
                yield (
                    f"The weld at the {side} end of the hinge of {arm.name}",
                    f"{where}.hinge.{side}_end.{entry}",
                    weld,
                )
    lug = arm.stay.end_lug if isinstance(arm.stay, StayLink) else None
    if lug is not None and lug.weld is not None:
        yield f"The weld of the lugs of {arm.name}'s stay", f"{where}.stay.end_lug.weld", lug.weld


def in_tested_range(tube: RectTube) -> bool:
    """Whether the rules for a tube standing on this one's wall were tested on such a tube."""
    low, high = TESTED_DEPTHS
    slender = max(tube.width_m, tube.depth_m) / tube.wall_m
    return slender <= TESTED_SLENDER and low <= tube.depth_m / tube.width_m <= high


def _of_stay(arm: Arm, where: str, ends: tuple[TubeEnd, TubeEnd]) -> Iterator[Problem]:
    """What of a level arm's stay is not entered; a standing arm needs none."""
    match arm.joint:
        case LevelJoint():
            stay = arm.stay
        case StandingJoint():
            return
        case _ as joint:
            assert_never(joint)
    name = f"The stay of {arm.name}"
    if isinstance(stay, RatedMoment):
        yield _problem(where, f"Where the stay of {arm.name} is fixed", "measure its two ends from the hinge axis")
    if not isinstance(stay, StayLink):
        return
    if stay.wll_kg is None and stay.section is None:
        yield _problem(f"{where}.wll_kg", name, "read the load it is marked with, or measure its section")
    if stay.end_lug is None:
        yield _problem(f"{where}.end_lug", f"What the stay of {arm.name} is fixed with", "measure its lugs and pins")
    elif stay.end_lug.weld is None:
        yield _problem(f"{where}.end_lug.weld", f"The weld of the lugs of {arm.name}'s stay", "measure the leg")
    elif any(isinstance(tube.section, RoundTube) for tube in ends):
        measure = "no rule is known for the wall of a round tube under a lug: fix it on a rectangular one"
        yield _problem(f"{where}.end_lug", f"The wall under the lugs of {arm.name}'s stay", measure)


def _problem(where: str, part: str, measure: str) -> Problem:
    return Problem(
        kind="not_entered", where=where, words=WORDS, numbers={"part": part, "measure": measure, "lacks": "entered"}
    )
