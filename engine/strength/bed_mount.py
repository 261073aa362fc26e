"""How the saddle bed is welded to the jib mast: the weld at the mast's top, a cap plate, the weld of the bed on it.

Both welds carry the whole cut at the jib mast's top, all six components, on the lines that can really be laid
(``weld_lines``).  A bed cut off flush with the mast leaves no room for a fillet there; a cap larger than the mast does
all round.  Where the bed is narrower than the mast, only front and back lines over the bed's flat are left without a
cap.

**Cap on the bed.**  What touches is as wide as the narrower of the two, and as long as reaches to both sides of the
mast.  A cap narrower than the bed's flat has a fillet at its sides; a wider one leaves the groove beside the tube's
corner, which counts only where it is entered as filled.

**Cap beyond the bed's flat.**  The mast's side weld bends the strip of cap that the bed does not hold, ``sigma = 6 q
c/t^2``, q the greatest force on a metre of the mast's weld.  The bed counts whole where its filled grooves count.

Sources: elastic vector method and base metal as in ``weld_lines``; the strip is statics, elastic plate.
"""

from __future__ import annotations

import functools

import msgspec

from engine.base.geometry import least, most
from engine.base.plain_call import plain_call
from engine.rig.check import Check
from engine.rig.strap_pieces import bed_ends_m
from engine.schema.connections import BedMount, Cap, Weld
from engine.schema.model import Job, Policy, Rig
from engine.schema.sections import TUBE_OUTSIDE_RADIUS_PER_WALL, FlatBar, RectTube, outer_width_m
from engine.schema.steel import Piece, design_wall_m, entered_wall_m
from engine.strength import bed, laid_welds, weld_lines
from engine.strength.allowable_stress import AISC_OR_FACTOR, AllowableStress, allowable_stress
from engine.strength.cuts import Cuts
from engine.strength.laid_welds import LaidWeld
from engine.strength.linear_in_load import CheckLabel, check_worst_resultant
from engine.strength.weld_lines import Receiver

PART = "saddle bed"
CAP = "jib mast's cap"

STRIP_WORDS = (
    "{demand:Pa} in the cap, {thick:part} thick, where it runs {strip:length} beyond the bed's flat at each side; "
    "allowed {allowed:Pa}"
)
BESIDE_WORDS = "pull and shear in the jib mast's wall, {wall:part} thick, beside the weld at its top use {demand:share}"


class Strip(msgspec.Struct, frozen=True):
    """The cap beyond the bed's flat (m), and the stress it is allowed."""

    strip_m: float
    thickness_m: float
    steel: AllowableStress


class Mount(msgspec.Struct, frozen=True):
    """Welds and cap of a saddle bed on its jib mast; they depend on rig and policy alone."""

    mast: LaidWeld | None
    mast_wall_m: float
    mast_steel: AllowableStress
    below_bed: LaidWeld | None
    strip: Strip | None


def checks(job: Job, cuts: Cuts) -> list[Check]:
    """Weld at the mast's top and the wall beside it, weld of the bed on its cap, the cap beyond the bed's flat."""
    if job.rig.saddles.bed is None:
        return []
    mount = mount_of(job.rig, job.policy)
    cut, made = cuts.mast_top, []
    if mount.mast is not None:
        made.append(
            laid_welds.check(PART, "weld at the jib mast's top", cut.place_m, mount.mast, cut.forces, cuts.load_kg)
        )
        label = CheckLabel(
            PART, "jib mast's wall beside its top weld", cut.place_m, "", BESIDE_WORDS, f"{AISC_OR_FACTOR}: J4"
        )
        made.append(
            laid_welds.check_beside(label, mount.mast, cut.forces, (mount.mast_wall_m, mount.mast_steel), cuts.load_kg)
        )
    if mount.below_bed is not None:
        made.append(laid_welds.check(CAP, "weld to the bed", cut.place_m, mount.below_bed, cut.forces, cuts.load_kg))
    if mount.strip is not None and mount.mast is not None:
        made.append(_strip(mount.strip, mount.mast, cuts))
    return made


def _strip(strip: Strip, laid: LaidWeld, cuts: Cuts) -> Check:
    per_force = 6.0 * strip.strip_m / strip.thickness_m**2
    groups = tuple(
        tuple(pull.times(per_force) for pull in point) for point in weld_lines.pulls(laid.group, cuts.mast_top.forces)
    )
    label = CheckLabel(
        CAP, "bending beyond the bed", cuts.mast_top.place_m, "Pa", STRIP_WORDS, f"{AISC_OR_FACTOR}: elastic plate"
    )
    sizes = {"strip": strip.strip_m, "thick": strip.thickness_m}
    return check_worst_resultant(label, groups, strip.steel.stress_Pa, cuts.load_kg, **sizes)


@plain_call
@functools.lru_cache(maxsize=64)
def mount_of(rig: Rig, policy: Policy) -> Mount:
    """Welds and cap of the saddle bed, as far as they are entered."""
    saddles, mast = rig.saddles, rig.jib_mast
    mount = BedMount() if saddles.bed is None or saddles.bed.mount is None else saddles.bed.mount
    section, cap = saddles.bed_section, mount.cap
    mast_wall_m = design_wall_m(mast.section, mast.steel)
    on = _cap_part(cap) if cap is not None else _bed_part(rig, section)
    at_mast = below = strip = None
    if mount.weld_mast is not None and on is not None:
        receiver = _bed_under_mast(rig, section) if cap is None else weld_lines.plate(cap.length_m, cap.width_m)
        joined = laid_welds.joined_of(policy, (mast.steel, mast.section, mast_wall_m), on)
        at_mast = laid_welds.lay(mast.section, receiver, mount.weld_mast, joined)
    if cap is not None and section is not None and mount.weld_bed is not None:
        below = bed_on_cap(rig, section, cap, mount.weld_bed, policy)
    if cap is not None and section is not None:
        strip_m = bed.cap_strip_m(outer_width_m(mast.section), held_width_m(rig, section, below))
        if strip_m > 0.0:
            strip = Strip(strip_m, cap.thickness_m, allowable_stress(cap.steel, policy, cap.thickness_m))
    return Mount(
        mast=at_mast,
        mast_wall_m=mast_wall_m,
        mast_steel=allowable_stress(mast.steel, policy, mast.section),
        below_bed=below,
        strip=strip,
    )


def _cap_part(cap: Cap) -> tuple[str, Piece, float]:
    return cap.steel, cap.thickness_m, cap.thickness_m


def _bed_part(rig: Rig, section: RectTube | FlatBar | None) -> tuple[str, Piece, float] | None:
    """The bed as a part that a weld joins: steel, piece, thickness."""
    steel = rig.saddles.steel
    match section:
        case RectTube():
            return steel, section, design_wall_m(section, steel)
        case FlatBar():
            return steel, section.depth_m, section.depth_m
        case None:
            return None


def _bed_under_mast(rig: Rig, section: RectTube | FlatBar | None) -> Receiver:
    """The bed itself as what the mast is welded to; it ends with its rear and front strap, or flush with the mast."""
    assert section is not None  # a part to weld to is there
    rear_m, front_m = bed_ends_m(rig)
    half_m = section.width_m / 2.0
    return Receiver(front_m, -rear_m, half_m, half_m, corner_y_m=_corner_m(section))


def _corner_m(section: RectTube | FlatBar) -> float:
    return TUBE_OUTSIDE_RADIUS_PER_WALL * section.wall_m if isinstance(section, RectTube) else 0.0


def flat_m(rig: Rig, section: RectTube | FlatBar) -> float:
    """Width of the flat of a bed's underside."""
    if isinstance(section, FlatBar):
        return section.width_m
    return section.width_m - 2.0 * TUBE_OUTSIDE_RADIUS_PER_WALL * entered_wall_m(section, rig.saddles.steel)


def held_width_m(rig: Rig, section: RectTube | FlatBar, below: LaidWeld | None) -> float:
    """Width of cap that the bed holds: its flat, or all of it where the grooves at both sides are filled."""
    filled = set() if below is None else {line.face for line in below.group.lines if line.kind == "flare_bevel"}
    return section.width_m if {"left", "right"} <= filled else flat_m(rig, section)


def bed_on_cap(rig: Rig, section: RectTube | FlatBar, cap: Cap, weld: Weld, policy: Policy) -> LaidWeld:
    """The weld between a cap and the bed that lies on it, on the part of both that touches."""
    rear_m, front_m = bed_ends_m(rig)
    half_m = cap.length_m / 2.0
    reach_m = least(half_m, front_m, -rear_m)
    widest_m = section.width_m if isinstance(section, RectTube) else most(section.width_m, cap.width_m)
    receiver = Receiver(
        reach_m + abs(front_m - half_m),
        reach_m + abs(-rear_m - half_m),
        widest_m / 2.0,
        widest_m / 2.0,
        corner_y_m=_corner_m(section),
    )
    part = _bed_part(rig, section)
    assert part is not None
    joined = laid_welds.joined_of(policy, _cap_part(cap), part)
    return laid_welds.lay_plate(2.0 * reach_m, least(cap.width_m, section.width_m), receiver, weld, joined)


def spread_m(rig: Rig) -> float:
    """How much longer a force from the mast's wall bears on the bed through a cap, at 1 to 1 to both sides."""
    return 2.0 * rig.saddles.cap_m
