"""How the pieces of a hinge go together: which link has the lugs, how far apart the pin is pulled, what does not meet.

A hinge has a piece on the end of each link: a through sleeve, an end plate, or lugs on the tube's faces.  One of them
carries the lugs, the other the barrels or the sleeve that the pin goes through.

**Lever.**  Lug and barrel hand their pull to each other at the gap between them.  With a sleeve the lugs stand beyond
its ends, so the pulls are ``length + gap`` apart.  With barrels held on one side the lugs of an end plate stand beyond
the barrels and the gaps are ``spacing + barrel + gap`` apart; lugs on a tube's faces may stand between them instead,
``spacing - barrel - gap``.  A barrel between two lugs is pulled at its middle.

**Said twice.**  Some sizes follow from the pieces and are entered besides (`pieces`): a little apart is a caution and
the pieces count; further apart nobody knows which is there, and the hinge is not entered.
"""

from __future__ import annotations

from typing import NamedTuple, assert_never

import msgspec

from engine.base.geometry import least, most
from engine.rig import pieces
from engine.schema.connections import EndPlate, FaceLugs, HingeEnd, Pin, ThroughSleeve, Weld
from engine.schema.joints import Joint, LevelJoint, StandingJoint
from engine.schema.model import Hinge, Rig
from engine.schema.sections import RectTube, RoundTube, outer_depth_m, outer_width_m

REPLACE = msgspec.structs.replace


class TubeEnd(NamedTuple):
    """The end of a tube that a hinge's piece stands on: its size along the pin and across it (m), section and steel.

    ``deep`` says whether the pin goes along the section's depth.
    """

    along_pin_m: float
    across_pin_m: float
    section: RectTube | RoundTube
    steel: str
    deep: bool


class Disagreement(NamedTuple):
    """A size said twice: its path inside the hinge, what it is, as entered and as it follows from the pieces."""

    where: str
    what: str
    entered_m: float
    follows_m: float

    @property
    def is_open(self) -> bool:
        """Whether the two are so far apart that nobody knows which piece is there."""
        return pieces.agreement(self.entered_m, self.follows_m) == "not_entered"


def tube_end(section: RectTube | RoundTube, steel: str, joint: Joint) -> TubeEnd:
    """A link's end as a joint's pin meets it: a standing pin goes along the depth, a level one along the width."""
    width_m, depth_m = outer_width_m(section), outer_depth_m(section)
    match joint:
        case StandingJoint():
            return TubeEnd(depth_m, width_m, section, steel, deep=True)
        case LevelJoint():
            return TubeEnd(width_m, depth_m, section, steel, deep=False)
        case _:
            assert_never(joint)


def link_ends(rig: Rig, index: int, before: int | None) -> tuple[TubeEnd, TubeEnd]:
    """Ends of the two links of an arm's hinge: that of the arm ``before`` it (None: the boom's), and its own."""
    arm = rig.arms[index]
    inner = rig.boom if before is None else rig.arms[before]
    return tube_end(inner.section, inner.steel, arm.joint), tube_end(arm.section, arm.steel, arm.joint)


def lugs_on_arm(hinge: Hinge) -> bool:
    """Whether the arm carries the lugs and the link before it the barrels or the sleeve."""
    return isinstance(hinge.outer_end, FaceLugs) or isinstance(hinge.inner_end, ThroughSleeve)


def sleeve_of(hinge: Hinge) -> ThroughSleeve | None:
    """The hinge's sleeve, if it has one."""
    return next((end for end in (hinge.outer_end, hinge.inner_end) if isinstance(end, ThroughSleeve)), None)


def face_lugs_of(hinge: Hinge) -> FaceLugs | None:
    """The hinge's lugs, if they stand on a tube's faces."""
    return next((end for end in (hinge.inner_end, hinge.outer_end) if isinstance(end, FaceLugs)), None)


def weld_of(hinge: Hinge, *, lugs: bool) -> Weld:
    """The weld of the lugs, or of the barrels: that of the end plate they stand on, or the hinge's own."""
    end = hinge.outer_end if lugs == lugs_on_arm(hinge) else hinge.inner_end
    own = end.weld_barrel if isinstance(end, EndPlate) else None
    return hinge.weld if own is None else own


def as_built(hinge: Hinge) -> Hinge:
    """The hinge with the sizes of its pieces, where a piece says one too."""
    sleeve, lugs = sleeve_of(hinge), face_lugs_of(hinge)
    if sleeve is not None:
        hinge = REPLACE(
            hinge, barrel_outer_m=sleeve.outer_m, barrel_length_m=sleeve.length_m / 2.0, pin=_in_bore(hinge, sleeve)
        )
    if lugs is not None:
        edge_m = least(hinge.lug_edge_m, lugs.width_m / 2.0)
        hinge = REPLACE(hinge, lug_thickness_m=lugs.thickness_m, lug_edge_m=edge_m)
    return hinge


def _in_bore(hinge: Hinge, sleeve: ThroughSleeve) -> Pin:
    return REPLACE(hinge.pin, hole_m=most(hinge.pin.hole_m, sleeve.bore_m))


def thickest_m(hinge: Hinge) -> float:
    """Thickness of the hinge's thickest steel, lug, barrel or end plate: one grade is entered for all of them."""
    plates = (end.thickness_m for end in (hinge.inner_end, hinge.outer_end) if isinstance(end, EndPlate))
    return most(hinge.lug_thickness_m, (hinge.barrel_outer_m - hinge.pin.hole_m) / 2.0, *plates)


def _lug_spacing_m(lugs: FaceLugs, along_pin_m: float) -> float:
    return pieces.face_lug_spacing_m(along_pin_m, lugs.thickness_m, lugs.packing_m)


def _beside_m(hinge: Hinge) -> float:
    """From a barrel's middle to the middle of the lug beside it."""
    return (hinge.barrel_length_m + hinge.lug_thickness_m) / 2.0 + hinge.gap_m


def _lugs_between(hinge: Hinge, lugs_tube: TubeEnd) -> bool:
    """Whether lugs on a tube's faces stand between the barrels, not beyond them."""
    lugs = face_lugs_of(hinge)
    return lugs is not None and _lug_spacing_m(lugs, lugs_tube.along_pin_m) < hinge.spacing_m


def pin_lever_m(hinge: Hinge, ends: tuple[TubeEnd, TubeEnd]) -> float:
    """How far apart the pin's two pulls are, for pin, lugs and barrels; never more than they can be."""
    return least(plate_lever_m(hinge, ends), hinge.spacing_m)


def plate_lever_m(hinge: Hinge, ends: tuple[TubeEnd, TubeEnd]) -> float:
    """How far apart the gaps are at which lugs and barrels hand their pulls to each other."""
    sleeve = sleeve_of(hinge)
    if sleeve is not None:
        return sleeve.length_m + hinge.gap_m
    known = hinge.inner_end is not None or hinge.outer_end is not None
    if hinge.shear_planes == 2 or not known:
        return hinge.spacing_m
    beyond = hinge.barrel_length_m + hinge.gap_m
    between = _lugs_between(hinge, ends[1 if lugs_on_arm(hinge) else 0])
    return hinge.spacing_m - beyond if between else hinge.spacing_m + beyond


def disagreements(hinge: Hinge, ends: tuple[TubeEnd, TubeEnd]) -> tuple[Disagreement, ...]:
    """Every size that hinge and pieces say differently, beyond a tape's reading."""
    sleeve, lugs = sleeve_of(hinge), face_lugs_of(hinge)
    said = []
    if sleeve is not None:
        lug_m = hinge.lug_thickness_m if lugs is None else lugs.thickness_m
        said.append(
            ("spacing_m", "distance from lug to lug", pieces.sleeve_spacing_m(sleeve.length_m, lug_m, hinge.gap_m))
        )
        said.append(("barrel_outer_m", "sleeve's outside", sleeve.outer_m))
    if lugs is not None:
        said.append(("lug_thickness_m", "lugs' thickness", lugs.thickness_m))
        lug_spacing_m = _lug_spacing_m(lugs, ends[1 if lugs_on_arm(hinge) else 0].along_pin_m)
        if sleeve is None:
            beside_m = 2.0 * _beside_m(hinge)
            shift_m = min((beside_m, -beside_m), key=lambda shift: abs(lug_spacing_m - shift - hinge.spacing_m))
            lug_spacing_m -= shift_m
        said.append(("spacing_m", "distance from lug to lug over the tube and its packing", lug_spacing_m))
    rows = (Disagreement(where, what, getattr(hinge, where), follows_m) for where, what, follows_m in said)
    return tuple(row for row in rows if pieces.agreement(row.entered_m, row.follows_m) != "agrees")


def plate_height_m(hinge: Hinge, *, carries_lugs: bool) -> float:
    """Least height of an end plate: from end to end of the barrels, or of the lugs, it carries."""
    if not carries_lugs:
        return pieces.end_plate_height_m(hinge.spacing_m, hinge.barrel_length_m)
    if sleeve_of(hinge) is not None:
        return hinge.spacing_m + hinge.lug_thickness_m
    return hinge.spacing_m + 2.0 * _beside_m(hinge) + hinge.lug_thickness_m


def off_plate_m(hinge: Hinge, *, carries_lugs: bool) -> float:
    """From an end plate's face to the pin: the barrel's radius, or as far as the lugs reach."""
    radius_m = as_built(hinge).barrel_outer_m / 2.0
    return most(hinge.lug_edge_m, radius_m) if carries_lugs else radius_m


def tube_short_m(hinge: Hinge, across_pin_m: float, *, outer: bool) -> float:
    """How far short of the pin the tube of the arm (``outer``), or of the link before it, ends; 0 if nobody knows.

    Negative where it reaches past the pin: about a sleeve through it, top and bottom wall run on and are rounded about
    the pin, as wide as the tube (``across_pin_m``).  A half-coped tube is cut at the pin.
    """
    end = hinge.outer_end if outer else hinge.inner_end
    match end:
        case ThroughSleeve(coped="through"):
            return -across_pin_m / 2.0
        case ThroughSleeve():
            return 0.0
        case EndPlate():
            return end.thickness_m + off_plate_m(hinge, carries_lugs=lugs_on_arm(hinge) == outer)
        case FaceLugs():
            return end.reach_m
        case None:
            return hinge.barrel_outer_m / 2.0 if outer else 0.0


def ends_short_m(rig: Rig, index: int) -> tuple[float, float]:
    """How far short of an arm's hinge pin the tube of the link before it ends, and the arm's own (`tube_short_m`)."""
    inner, own = link_ends(rig, index, index - 1 if index else None)
    hinge = rig.arms[index].hinge
    return tube_short_m(hinge, inner.across_pin_m, outer=False), tube_short_m(hinge, own.across_pin_m, outer=True)


def lug_length_m(hinge: Hinge, lugs: FaceLugs) -> float:
    """Length of a lug on a tube's face, from end to end."""
    return lugs.on_face_m + lugs.reach_m + as_built(hinge).lug_edge_m


def packing_width_m(lugs: FaceLugs) -> float:
    """Width of the packing under a lug: a weld's leg narrower at each side, so that the lug has a ledge over it."""
    ledge_m = lugs.weld.leg_m if lugs.weld is not None and lugs.weld.kind == "fillet" else 0.0
    return most(lugs.width_m - 2.0 * ledge_m, 0.0)


def foot_width_m(lugs: FaceLugs) -> float:
    """Width of what is welded on the tube's face: the lug itself, or its packing."""
    return packing_width_m(lugs) if lugs.packing_m > 0.0 else lugs.width_m


PLATE_BEYOND_M = 0.012
"""How far a drawn end plate stands out beyond what it carries and the tube: room for a weld (common practice)."""


def drawn_at_hinge(rig: Rig, index: int, end: HingeEnd, *, outer: bool) -> HingeEnd:
    """A piece with the sizes that follow from the hinge it is drawn in at; thickness and weld are for the person."""
    hinge = rig.arms[index].hinge
    tube = link_ends(rig, index, index - 1 if index else None)[1 if outer else 0]
    match end:
        case ThroughSleeve():
            between_m = hinge.spacing_m - hinge.lug_thickness_m - 2.0 * hinge.gap_m
            length_m = between_m if between_m > 0.0 else tube.along_pin_m
            return REPLACE(end, length_m=length_m, outer_m=hinge.barrel_outer_m, bore_m=hinge.pin.hole_m)
        case EndPlate():
            lugs = lugs_on_arm(hinge) == outer
            height_m = plate_height_m(as_built(hinge), carries_lugs=lugs) + 2.0 * PLATE_BEYOND_M
            return REPLACE(end, height_m=height_m, width_m=tube.across_pin_m + 2.0 * PLATE_BEYOND_M)
        case FaceLugs():
            packing_m = (hinge.spacing_m - hinge.lug_thickness_m - tube.along_pin_m) / 2.0
            return REPLACE(
                end,
                thickness_m=hinge.lug_thickness_m,
                width_m=2.0 * hinge.lug_edge_m,
                on_face_m=2.0 * tube.along_pin_m,
                reach_m=off_plate_m(hinge, carries_lugs=True),
                packing_m=most(packing_m, 0.0),
            )


class OpenQuestion(NamedTuple):
    """Why a hinge counts as not entered: the entry's path inside the hinge, what it is, and what to measure."""

    where: str
    what: str
    measure: str


def open_questions(hinge: Hinge, ends: tuple[TubeEnd, TubeEnd], links: tuple[str, str]) -> tuple[OpenQuestion, ...]:
    """Every reason why nothing says that the ends of a hinge hold.

    Parameters
    ----------
    hinge : Hinge
    ends : tuple of TubeEnd
        Of the link before the arm, and of the arm.
    links : tuple of str
        What those two are called.
    """
    return (
        *_question("inner_end", hinge.inner_end, ends[0], links[0], "lugs" if not lugs_on_arm(hinge) else "barrels"),
        *_question("outer_end", hinge.outer_end, ends[1], links[1], "lugs" if lugs_on_arm(hinge) else "barrels"),
        *_together(hinge, ends, links),
    )


def _question(where: str, end: HingeEnd | None, tube: TubeEnd, link: str, carried: str) -> list[OpenQuestion]:
    what = f"What carries the hinge's {carried} on the end of the {link}"
    if end is None:
        return [OpenQuestion(where, what, "measure the sleeve, end plate or lugs there, and the weld")]
    round_tube = isinstance(tube.section, RoundTube) and not isinstance(end, EndPlate)
    if round_tube:
        return [OpenQuestion(where, what, "no rule is known for its wall on a round tube: fit an end plate")]
    weld, entry = (end.weld_tube, "weld_tube") if isinstance(end, EndPlate) else (end.weld, "weld")
    if weld is None:
        measure = "measure the leg of its weld to the tube"
        return [OpenQuestion(f"{where}.{entry}", f"The weld of the hinge's {carried} to the {link}", measure)]
    return []


def _together(hinge: Hinge, ends: tuple[TubeEnd, TubeEnd], links: tuple[str, str]) -> list[OpenQuestion]:
    inner, outer = hinge.inner_end, hinge.outer_end
    if inner is None or outer is None:
        return []
    what = f"The hinge between the {links[0]} and the {links[1]}"
    questions = []
    for kind, words in ((ThroughSleeve, "sleeves"), (FaceLugs, "lugs")):
        if isinstance(inner, kind) and isinstance(outer, kind):
            questions.append(
                OpenQuestion("outer_end", what, f"both links have {words}; enter which has the other piece")
            )
    if hinge.shear_planes == 2 and (sleeve_of(hinge) or face_lugs_of(hinge)):
        measure = "a sleeve, or a lug on a tube's face, is held on one side only: enter one shear plane"
        questions.append(OpenQuestion("shear_planes", what, measure))
    for row in disagreements(hinge, ends):
        if row.is_open:
            measure = f"measure the {row.what} again: it does not fit the other sizes of the hinge"
            questions.append(OpenQuestion(row.where, what, measure))
    for entry, end, carries_lugs in (
        ("inner_end", inner, not lugs_on_arm(hinge)),
        ("outer_end", outer, lugs_on_arm(hinge)),
    ):
        least_m = plate_height_m(as_built(hinge), carries_lugs=carries_lugs)
        if isinstance(end, EndPlate) and end.height_m < least_m - pieces.AGREES_M:
            carried = "lugs" if carries_lugs else "barrels"
            measure = f"measure the end plate's height again: the {carried} reach past it"
            questions.append(OpenQuestion(f"{entry}.height_m", what, measure))
    return questions
