"""Parts of the rig that do not fit together, one sentence for each; rules of the workshop, not of strength.

* A pin hole's centre stands at least 1.5 diameters from an edge and 3 from the next hole (common practice, no source).
* A strap's leg that stands on the bed has its middle over it, and a lapped one has the bed between it and its fellow.
* A hole counts as under a strap (`hole_under_strap`, a caution) when its rim reaches in: centre within half the strap
  plus half the hole.
* The saddles hold at least two depths of boom, from front edge of the front strap to rear edge of the rear one (common
  practice, no source).
* A pin in a hole more than 1/16 in larger is no close pin (AISC 360 D5.1(b) ends there); hook and hinge pins, which
  carry the load, are refused beyond that.
"""

from __future__ import annotations

import functools
import math

from engine.rig import hinge_pieces, hook_place, joint_fits, pieces, strap_pieces
from engine.rig.check import Problem
from engine.rig.hinge_pieces import TubeEnd
from engine.rig.joint_fits import loose
from engine.schema.connections import DropInPin, FaceLugs, HeelChain, OnCap, Pin, StrapOnTop, ThroughSleeve, WeldedHoop
from engine.schema.model import Arm, Boom, Hinge, Rig
from engine.schema.sections import RectTube, outer_depth_m, outer_width_m

EDGE_DIAMETERS = 1.5
PITCH_DIAMETERS = 3.0
INSIDE_DEPTHS = 2.0

CLOSE_FIT_M = 0.0254 / 32.0
FLATTEST_CHAIN_RAD = math.radians(60.0)
"""A heel chain further than this from plumb is refused (common practice, no source)."""

CHAIN_TOLERANCE_RAD = 1e-9

FIT_TOLERANCE_M = 1e-6
"""Lengths within a micrometre of each other are equal; round-off of typed inches is far less."""


@functools.lru_cache(maxsize=16)
def misfits(rig: Rig) -> tuple[Problem, ...]:
    """Everything of the rig that does not fit together."""
    hinges = [
        problem
        for index, arm in enumerate(rig.arms)
        for problem in (
            *_hinge(hinge_pieces.as_built(arm.hinge), f"rig.arms[{index}].hinge", arm.name),
            *_hinge_ends(rig, index),
        )
    ]
    boom = (*_seat(rig), *_boom_holes(rig), *_strap_feet(rig), *_held(rig))
    return (*boom, *_gussets(rig), *_hook(rig), *_heel_chain(rig), *hinges, *joint_fits.problems(rig))


def _impossible(where: str, words: str, **numbers: float | str) -> Problem:
    return Problem(kind="impossible", where=where, words=words, numbers=numbers)


def _boom_holes(rig: Rig) -> list[Problem]:
    boom = rig.boom
    problems: list[Problem] = []
    diameter = boom.pin.hole_m
    least = EDGE_DIAMETERS * diameter - FIT_TOLERANCE_M
    last = boom.hole_m(boom.hole_count)
    edge = (
        boom.section.depth_m / 2.0
        if boom.hole_edge_m is None
        else min(boom.hole_edge_m, boom.section.depth_m - boom.hole_edge_m)
    )
    for where, hole, distance in (
        ("rig.boom.first_hole_m", "1", boom.first_hole_m),
        ("rig.boom.hole_count", str(boom.hole_count), boom.length_m - last),
        ("rig.boom.hole_edge_m", "1", edge),
    ):
        if distance < least:
            words = (
                "Pin hole {hole} is only {distance:length} from an edge of the boom; a {diameter:length} hole wants "
                "{least:length} (1.5 diameters)."
            )
            problems.append(
                _impossible(
                    where, words, hole=hole, distance=distance, diameter=diameter, least=EDGE_DIAMETERS * diameter
                )
            )
    if boom.least_step_m < PITCH_DIAMETERS * diameter - FIT_TOLERANCE_M:
        words = "The pin holes are {pitch:length} apart; holes of {diameter:length} want {least:length} (3 diameters)."
        numbers = {"pitch": boom.least_step_m, "diameter": diameter, "least": PITCH_DIAMETERS * diameter}
        where = "rig.boom.hole_steps_m" if boom.hole_steps_m else "rig.boom.hole_pitch_m"
        problems.append(_impossible(where, words, **numbers))
    return problems


@functools.lru_cache(maxsize=16)
def hole_under_strap(rig: Rig, usable_holes: tuple[int, ...]) -> tuple[int, str, int] | None:
    """The first hole, other than the pinned one, that comes to stand under a strap: hole, strap, pinned hole.

    ``usable_holes`` keep the boom in both saddles when pinned.
    """
    boom, saddles = rig.boom, rig.saddles
    pin_x = saddles.front_x_m if saddles.pin_at == "front" else saddles.rear_x_m
    near = (saddles.strap_length_m + boom.pin.hole_m) / 2.0 - FIT_TOLERANCE_M
    for pinned in usable_holes:
        for hole in range(1, boom.hole_count + 1):
            ahead_m = pin_x + boom.hole_m(hole) - boom.hole_m(pinned)
            for strap, strap_x in (("front", saddles.front_x_m), ("rear", saddles.rear_x_m)):
                if hole != pinned and abs(ahead_m - strap_x) < near:
                    return hole, strap, pinned
    return None


def _strap_feet(rig: Rig) -> list[Problem]:
    """Legs that stand beside their bed, or in it."""
    saddles, bed = rig.saddles, strap_pieces.stand_of(rig.saddles)
    if bed is None:
        return []
    off_m = strap_pieces.leg_middle_m(saddles, rig.boom) - bed.width_m / 2.0
    if isinstance(saddles.strap_foot, StrapOnTop) and off_m > FIT_TOLERANCE_M:
        words = "The middle of a strap's leg stands {off:length} beside its bed: lap it on the bed's side, or widen it."
        return [_impossible("rig.saddles.strap_foot", words, off=off_m)]
    free_m = strap_pieces.beside_the_bed_m(rig)
    if saddles.side_gap_m is not None and free_m is not None and free_m < -LAP_TIGHT_M - FIT_TOLERANCE_M:
        words = (
            "The bed is {over:length} wider than the straps are inside: their lapped legs would stand in it. Pack the "
            "boom out with shims, or narrow the bed."
        )
        return [_impossible("rig.saddles.strap_foot", words, over=-2.0 * free_m)]
    return []


LAP_TIGHT_M = 0.001
"""How much a lapped leg may be pressed apart by its bed (a tape's reading)."""


def _seat(rig: Rig) -> list[Problem]:
    """A boom that would stand in its own bed, and straps that stand beside the cap."""
    saddles, problems = rig.saddles, []
    of_pieces_m = pieces.seat_of(saddles)
    if of_pieces_m is not None and of_pieces_m - saddles.seat_m > pieces.CAUTION_M + FIT_TOLERANCE_M:
        words = (
            "Saddle bed and cap add up to {pieces:length}, but the boom's underside is only {seat:length} over the jib "
            "mast: the boom would stand in its bed."
        )
        problems.append(_impossible("rig.saddles.seat_m", words, pieces=of_pieces_m, seat=saddles.seat_m))
    if isinstance(saddles.bed, OnCap) and saddles.cap is not None:
        half_m = saddles.cap.length_m / 2.0 - saddles.strap_length_m / 2.0 + FIT_TOLERANCE_M
        for name, x_m in (("front", saddles.front_x_m), ("rear", saddles.rear_x_m)):
            if abs(x_m) > half_m:
                words = (
                    "The {name} saddle stands on nothing: it is {off:length} from the jib mast's axis and the cap "
                    "reaches {reach:length}. Enter the bed it stands on, or a longer cap."
                )
                numbers = {"off": abs(x_m), "reach": saddles.cap.length_m / 2.0}
                problems.append(_impossible(f"rig.saddles.{name}_x_m", words, name=name, **numbers))
    return problems


def _held(rig: Rig) -> list[Problem]:
    saddles = rig.saddles
    held = saddles.front_x_m - saddles.rear_x_m + saddles.strap_length_m
    least = INSIDE_DEPTHS * outer_depth_m(rig.boom.section)
    if held >= least - FIT_TOLERANCE_M:
        return []
    words = "The saddles hold only {held:length} of the boom; at least {least:length} (two tube depths) must be inside."
    return [_impossible("rig.saddles.rear_x_m", words, held=held, least=least)]


def _gussets(rig: Rig) -> list[Problem]:
    """Gussets that stand in each other or past the jib mast's top."""
    mast, problems, taken = rig.jib_mast, [], set[str]()
    for index, gusset in enumerate(mast.gussets):
        where, face = f"rig.jib_mast.gussets[{index}]", gusset.face
        size = outer_width_m if face in ("front", "back") else outer_depth_m
        face_m, plates_m = size(mast.section), gusset.count * gusset.thickness_m
        if face in taken:
            words = "Two rows of gussets stand at the {face} of the jib mast: enter them as one, with their number."
            problems.append(_impossible(f"{where}.face", words, face=face))
        if plates_m > face_m + FIT_TOLERANCE_M:
            words = "{count} gussets of {thick:part} do not stand side by side at a face {width:length} wide."
            numbers = {"thick": gusset.thickness_m, "width": face_m}
            problems.append(_impossible(f"{where}.count", words, count=str(gusset.count), **numbers))
        if gusset.up_m > mast.length_m + FIT_TOLERANCE_M:
            words = "A gusset {up:length} up the jib mast reaches past its top: the mast is {mast:length} long."
            problems.append(_impossible(f"{where}.up_m", words, up=gusset.up_m, mast=mast.length_m))
        taken.add(face)
    return problems


def _hook(rig: Rig) -> list[Problem]:
    hook, path = rig.hook, rig.hook.holder_path
    problems: list[Problem] = []
    if hook.cross_pin is not None:
        pin, edge_m = hook.cross_pin.pin, hook.cross_pin.edge_m
        problems += loose(pin, f"{path}.pin", "hook pin")
        problems += _near_the_end(f"{path}.edge_m", "hook pin", edge_m, pin.hole_m)
    if hook.hoop is not None and hook.hoop.bend_radius_m <= hook.hoop.bar_m:
        words = "A {bar:part} bar cannot be bent to a hoop of {radius:length} at its centreline."
        numbers = {"bar": hook.hoop.bar_m, "radius": hook.hoop.bend_radius_m}
        problems.append(_impossible(f"{path}.hoop.bend_radius_m", words, **numbers))
    problems += _behind_hinges(rig)
    match hook.end:
        case WeldedHoop():
            problems += _hoop_on_face(rig, hook.end)
        case DropInPin():
            problems += _drop_in(rig, hook.end)
    return problems


def _behind_hinges(rig: Rig) -> list[Problem]:
    """Places for the hook that lie past the end of their tube, or past its other end."""
    hook, behind_m = rig.hook, rig.hook.behind_hinge_m
    if behind_m is None or hook.holder is None:
        return []
    match hook.holder:
        case WeldedHoop(place="end"):
            words = "A hoop on the tube's end has no place on a link that ends in a hinge: weld it under the tube."
            return [_impossible("rig.hook.behind_hinge_m", words)]
        case WeldedHoop(hoop=hoop):
            least_m = hoop.bend_radius_m + hoop.bar_m / 2.0
        case DropInPin(hole_m=hole_m):
            least_m = EDGE_DIAMETERS * hole_m
        case holder:
            least_m = EDGE_DIAMETERS * holder.pin.hole_m
    for link in hook_place.places(rig)[:-1]:
        on, edge_m = hook_place.link_of(rig, link), hook_place.edge_m(rig, link)
        name = on.name if isinstance(on, Arm) else "boom"
        if edge_m < least_m - FIT_TOLERANCE_M:
            words = (
                "On the {link} the hook would hang {behind:length} behind the hinge pin, {edge:length} from the cut "
                "end of its tube; it wants {least:length} there."
            )
            numbers = {"behind": behind_m, "edge": edge_m, "least": least_m}
            return [_impossible("rig.hook.behind_hinge_m", words, link=name, **numbers)]
        if behind_m + least_m > on.length_m + FIT_TOLERANCE_M:
            words = "On the {link}, {long:length} long, no hook hangs {behind:length} behind the hinge pin."
            return [_impossible("rig.hook.behind_hinge_m", words, link=name, long=on.length_m, behind=behind_m)]
    return []


def _heel_chain(rig: Rig) -> list[Problem]:
    hold = rig.sleeves.heel_hold
    if not isinstance(hold, HeelChain) or hold.angle_rad is None:
        return []
    if hold.angle_rad <= FLATTEST_CHAIN_RAD + CHAIN_TOLERANCE_RAD:
        return []
    words = (
        "The heel chain stands {angle:angle} from plumb: past {most:angle} it pulls along the fork, hardly down. Hook "
        "it on lower down."
    )
    numbers = {"angle": hold.angle_rad, "most": FLATTEST_CHAIN_RAD}
    return [_impossible("rig.sleeves.heel_hold.angle_rad", words, **numbers)]


def _near_the_end(where: str, name: str, edge_m: float, hole_m: float) -> list[Problem]:
    least = EDGE_DIAMETERS * hole_m
    if edge_m >= least - FIT_TOLERANCE_M:
        return []
    words = (
        "The {name} is only {edge:length} from the tube's end; a {hole:part} hole wants {least:length} (1.5 diameters)."
    )
    return [_impossible(where, words, name=name, edge=edge_m, hole=hole_m, least=least)]


def hook_links(rig: Rig) -> tuple[Boom | Arm, ...]:
    """Every link the hook may hang on."""
    return tuple(hook_place.link_of(rig, link) for link in hook_place.places(rig))


def _hoop_on_face(rig: Rig, end: WeldedHoop) -> list[Problem]:
    """Feet that stand beside the face they are welded to."""
    hoop = end.hoop
    over_m = 2.0 * hoop.bend_radius_m + hoop.bar_m
    widths = [link.section.width_m for link in hook_links(rig) if isinstance(link.section, RectTube)]
    if end.place == "under" and end.plane == "along":
        if end.edge_m >= over_m / 2.0 - FIT_TOLERANCE_M:
            return []
        words = (
            "The hoop's middle is {edge:length} from the tube's end, but its feet reach {half:length} to either side: "
            "one of them stands on nothing."
        )
        return [_impossible("rig.hook.end.edge_m", words, edge=end.edge_m, half=over_m / 2.0)]
    if end.plane is None or not widths or over_m <= min(widths) + FIT_TOLERANCE_M:
        return []
    words = "The hoop's feet are {over:length} over all, wider than the {face:length} of tube they stand on."
    return [_impossible("rig.hook.end.hoop.bend_radius_m", words, over=over_m, face=min(widths))]


def _drop_in(rig: Rig, end: DropInPin) -> list[Problem]:
    """A head that falls through, a hole that leaves no wall, or one too near the tube's end."""
    problems = _near_the_end("rig.hook.end.edge_m", "hook's standing pin", end.edge_m, end.hole_m)
    problems += loose(Pin(diameter_m=end.diameter_m, hole_m=end.hole_m), "rig.hook.end", "hook's standing pin")
    if end.head_m <= end.hole_m + FIT_TOLERANCE_M:
        words = "The head of {head:length} falls through its hole of {hole:part}."
        problems.append(_impossible("rig.hook.end.head_m", words, head=end.head_m, hole=end.hole_m))
    for link in hook_links(rig):
        section = link.section
        if isinstance(section, RectTube) and end.hole_m >= section.width_m - 2.0 * section.wall_m - FIT_TOLERANCE_M:
            words = "A hole of {hole:part} leaves nothing of a wall of {inside:length} between the side walls."
            inside = section.width_m - 2.0 * section.wall_m
            problems.append(_impossible("rig.hook.end.hole_m", words, hole=end.hole_m, inside=inside))
            break
    return problems


def _hinge(hinge: Hinge, where: str, name: str) -> list[Problem]:
    problems = [*loose(hinge.pin, f"{where}.pin", f"hinge pin of {name}")]
    hole = hinge.pin.hole_m
    if hinge.barrel_outer_m <= hole + FIT_TOLERANCE_M:
        words = "The barrel of {name} is {outer:length} outside and its hole {hole:part}: no wall is left."
        problems.append(_impossible(f"{where}.barrel_outer_m", words, name=name, outer=hinge.barrel_outer_m, hole=hole))
    if hinge.lug_edge_m <= hole / 2.0 + FIT_TOLERANCE_M:
        words = "The lug of {name} ends {edge:length} from the hole's centre, inside the {hole:part} hole."
        problems.append(_impossible(f"{where}.lug_edge_m", words, name=name, edge=hinge.lug_edge_m, hole=hole))
    if hinge.spacing_m <= hinge.barrel_length_m and hinge_pieces.sleeve_of(hinge) is None:
        words = (
            "The barrels of {name} are {length:length} long but only {spacing:length} apart: they would run into "
            "each other."
        )
        problems.append(
            _impossible(f"{where}.spacing_m", words, name=name, length=hinge.barrel_length_m, spacing=hinge.spacing_m)
        )
    return problems


def _hinge_ends(rig: Rig, index: int) -> list[Problem]:
    """Pieces of a hinge that cannot be there."""
    arm, before = rig.arms[index], index - 1 if index else None
    if arm.hinge.inner_end is None and arm.hinge.outer_end is None:
        return []
    ends = hinge_pieces.link_ends(rig, index, before)
    links = ("boom" if before is None else rig.arms[before].name, arm.name)
    hinge, problems = arm.hinge, []
    for side, end, tube, link in zip(
        ("inner_end", "outer_end"), (hinge.inner_end, hinge.outer_end), ends, links, strict=True
    ):
        where = f"rig.arms[{index}].hinge.{side}"
        if isinstance(end, ThroughSleeve):
            problems += _sleeve(end, hinge, tube, where, link)
        elif isinstance(end, FaceLugs):
            problems += _face_lugs(end, hinge, where, link)
    return problems


def _sleeve(end: ThroughSleeve, hinge: Hinge, tube: TubeEnd, where: str, link: str) -> list[Problem]:
    problems = []
    if end.bore_m < hinge.pin.diameter_m:
        words = "The hinge pin is {pin:part} and does not go into the {link}'s sleeve, bored to {bore:part}."
        numbers = {"pin": hinge.pin.diameter_m, "bore": end.bore_m}
        problems.append(_impossible(f"{where}.bore_m", words, link=link, **numbers))
    section = tube.section
    inside_m = tube.across_pin_m - 2.0 * section.wall_m
    if end.coped == "through" and isinstance(section, RectTube) and end.outer_m > inside_m + FIT_TOLERANCE_M:
        words = (
            "The sleeve is {outer:length} outside; between its side walls the {link} is only {inside:length} wide, so "
            "its hole leaves no wall."
        )
        problems.append(_impossible(f"{where}.outer_m", words, link=link, outer=end.outer_m, inside=inside_m))
    return problems


def _face_lugs(end: FaceLugs, hinge: Hinge, where: str, link: str) -> list[Problem]:
    problems, hole_m = [], hinge.pin.hole_m
    if end.width_m <= hole_m + FIT_TOLERANCE_M:
        words = "The lugs of the {link} are {width:length} wide and their hole {hole:part}: no wall is left."
        problems.append(_impossible(f"{where}.width_m", words, link=link, width=end.width_m, hole=hole_m))
    return problems
