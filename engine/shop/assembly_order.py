"""The order of assembly: what is drilled, tacked and welded before what, one line for each step.

A step stands in the list only where the rig has the pieces it speaks of.  What comes first is what a later piece would
cover, close or lock in: welds under the straps' legs, welds inside the straps, a tube's end, the boom in its saddles.
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from engine.rig import strap_pieces
from engine.rig.boom_stops import made_stops
from engine.rig.hinge_pieces import lugs_on_arm, sleeve_of
from engine.schema.connections import BasePlate, EndPlate, FabricatedStrap, FaceLugs, StayLink, ThroughSleeve, TubeBed
from engine.schema.model import Arm, Hinge, Job, Rig
from engine.schema.sections import outer_depth_m
from engine.shop.cut_list import hook_links

BOOM = "boom"


class Step(msgspec.Struct, kw_only=True, frozen=True):
    """One step: a template of words and its numbers (m, rad)."""

    words: str
    numbers: dict[str, float | str] = {}


def assembly_steps(job: Job) -> tuple[Step, ...]:
    """Every step in its order: base and jib mast, saddles, then boom and arms, and the boom into its saddles."""
    rig = job.rig
    return (
        Step(words="Drill every hole of both hole lists while the pieces are loose."),
        *_base_steps(job),
        *_bed_steps(rig),
        *_strap_steps(rig),
        *_boom_steps(rig),
        *_hinge_piece_steps(rig),
        *(step for index in range(len(rig.arms)) for step in _arm_steps(rig, index)),
        *_last_steps(rig),
    )


def _base_steps(job: Job) -> Iterator[Step]:
    rig, mast = job.rig, job.rig.jib_mast
    words = (
        "Set the forks {spread:length} apart, middle to middle; put the sleeves on them and tack the cross-member "
        "between; see that the sleeves still slide, then weld."
    )
    yield Step(words=words, numbers={"spread": rig.sleeves.spread_on(job.truck.forks)})
    if isinstance(mast.base, BasePlate):
        yield Step(words="Weld the base plate on the cross-member.")
    stands = "leaning {lean:angle} from plumb" if mast.lean_rad else "plumb both ways"
    on = "base plate" if isinstance(mast.base, BasePlate) else "cross-member"
    words = f"Tack the jib mast on the {on}, {{ahead:length}} ahead of the fork face, {stands}; then weld its foot."
    yield Step(words=words, numbers={"ahead": mast.foot_x_m, "lean": abs(mast.lean_rad)})
    if rig.jib_mast.gussets:
        yield Step(words="Weld the gussets once the jib mast's foot is welded all along.")


def _bed_steps(rig: Rig) -> Iterator[Step]:
    saddles = rig.saddles
    if saddles.cap is not None:
        yield Step(words="Weld the cap on the jib mast's top.")
    if saddles.bed_section is not None:
        on, straps = "jib mast" if saddles.cap is None else "cap", _straps_over_mast(rig)
        go = "strap goes" if len(straps) == 1 else "straps go"
        before = f" before the {' and '.join(straps)} {go} on: the legs stand over that weld" if straps else ""
        yield Step(words=f"Weld the saddle bed to the {on}{before}.")
    if isinstance(saddles.bed, TubeBed) and saddles.bed.ends_closed:
        yield Step(words="Close both ends of the saddle bed, after that weld: the plates would cover its ends.")


def _straps_over_mast(rig: Rig) -> list[str]:
    """The straps whose legs stand over the weld between bed and mast."""
    saddles, cap = rig.saddles, rig.saddles.cap
    half_m = (outer_depth_m(rig.jib_mast.section) if cap is None else cap.length_m) / 2.0
    reach_m = half_m + saddles.strap_length_m / 2.0
    return [name for name, x_m in (("front", saddles.front_x_m), ("rear", saddles.rear_x_m)) if abs(x_m) < reach_m]


def _strap_steps(rig: Rig) -> Iterator[Step]:
    saddles, inside = rig.saddles, strap_pieces.inside_welds(rig.saddles)
    if isinstance(saddles.strap_make, FabricatedStrap):
        order = " on the bench, inside first" if "corners" in inside else " on the bench"
        yield Step(words=f"Weld the straps' corners{order}.")
    shims = []
    if saddles.shims != "none":
        chamfered = ", those at the sides chamfered clear of the welds" if inside else ""
        fix = "Tack" if saddles.shims == "steel" else "Fix"
        shims = [Step(words=f"{fix} the shims in the straps and on the bed{chamfered}.")]
    if "feet" not in inside:
        yield from shims
    words = (
        "Lay the boom on the bed and set the straps over it with the play of the fit list, the boom pin through the "
        f"{saddles.pin_at} one."
    )
    yield Step(words=words)
    yield Step(
        words="Tack the straps to the bed, see that the boom slides, then weld their feet, one side and the other."
    )
    if "feet" in inside:
        yield Step(words="Draw the boom out and weld the straps' feet inside.")
        yield from shims


def _boom_steps(rig: Rig) -> Iterator[Step]:
    if "front" in made_stops(rig):
        yield Step(words="Weld the boom's front stop on.")
    if rig.hook.hoop is not None:
        on = " and ".join(_the(link.name if isinstance(link, Arm) else BOOM) for link in hook_links(rig))
        yield Step(words=f"Weld a hook hoop on {on}.")


def _hinge_piece_steps(rig: Rig) -> Iterator[Step]:
    """What is welded to a tube's end by itself: every sleeve before the first end plate, which closes its tube."""
    sleeves, plates, packing = list[str](), list[str](), list[str]()
    for index, arm in enumerate(rig.arms):
        for link, end in ((_before(rig, index), arm.hinge.inner_end), (arm.name, arm.hinge.outer_end)):
            match end:
                case ThroughSleeve():
                    sleeves.append(_the(link))
                case EndPlate():
                    plates.append(_the(link))
                case FaceLugs() if end.packing_m > 0.0:
                    packing.append(_the(link))
                case _:
                    pass
    if sleeves:
        closed = [link for link in sleeves if link in plates]
        before = f" before an end plate closes {_listed(closed)}" if closed else ""
        yield Step(words=f"Weld the hinge sleeve{'s' * (len(sleeves) > 1)} into {_listed(sleeves)}{before}.")
    if plates:
        yield Step(words=f"Weld the end plate{'s' * (len(plates) > 1)} on {_listed(plates)}, square to the tube.")
    if packing:
        yield Step(words=f"Weld the packing for the hinge lugs on {_listed(packing)}.")


def _arm_steps(rig: Rig, index: int) -> Iterator[Step]:
    """Lugs and barrels of an arm's hinge, set by its pin; then the stay's lugs."""
    arm, before = rig.arms[index], _before(rig, index)
    yield _hinge_step(arm.hinge, arm.name, before)
    if isinstance(arm.stay, StayLink) and arm.stay.end_lug is not None:
        yield _stay_step(arm.stay, arm.name, before)


def _before(rig: Rig, index: int) -> str:
    """Name of the link before an arm."""
    return rig.arms[index - 1].name if index else BOOM


def _listed(names: list[str]) -> str:
    *first, last = dict.fromkeys(names)
    return f"{', '.join(first)} and {last}" if first else last


def _hinge_step(hinge: Hinge, arm: str, before: str) -> Step:
    carrier, other = (arm, before) if lugs_on_arm(hinge) else (before, arm)
    if sleeve_of(hinge) is not None:
        words = (
            f"With the hinge pin of {arm} through lugs and sleeve and the play of the fit list, tack the lugs "
            f"to {_the(carrier)}; turn the arm, take it off, weld with a spacer."
        )
    else:
        words = (
            f"With the hinge pin of {arm} through lugs and barrels and {{gap:length}} free beside each lug, tack the "
            f"lugs to {_the(carrier)} and the barrels to {_the(other)}; turn the arm, take it off, weld."
        )
    return Step(words=words, numbers={"gap": hinge.gap_m})


def _stay_step(stay: StayLink, arm: str, before: str) -> Step:
    inner_m, outer_m = stay.at_inner.x_m, stay.at_arm.x_m
    words = (
        f"Weld the stay's lugs: their pins {{inner:length}} {_way(inner_m)} the hinge pin on {_the(before)}, "
        f"{{outer:length}} {_way(outer_m)} it on {_the(arm)}."
    )
    return Step(words=words, numbers={"inner": abs(inner_m), "outer": abs(outer_m)})


def _way(x_m: float) -> str:
    return "behind" if x_m < 0.0 else "ahead of"


def _the(link: str) -> str:
    """A link in a sentence: an arm goes by its name alone."""
    return f"the {BOOM}" if link == BOOM else link


def _last_steps(rig: Rig) -> Iterator[Step]:
    yield Step(words="Slide the boom into its saddles, tail first, and put the boom pin in.")
    if "rear" in made_stops(rig):
        yield Step(words="Weld the boom's rear stop on last: with it on, the boom no longer comes out of its saddles.")
    hang = f"Hang the arm{'s' * (len(rig.arms) > 1)}; put" if rig.arms else "Put"
    yield Step(words=f"{hang} every pin in with what keeps it, and tick the pin list.")
