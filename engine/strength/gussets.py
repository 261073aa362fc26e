"""Gussets at the jib mast's foot: which of them count, and what their welds are allowed.

A gusset counts when a person has entered its sizes and its weld, it is stout enough not to buckle first, the mast is a
rectangular tube, and its toe stands on steel: a base plate that reaches past the toe, and right below it (within 1.5
walls) a side wall of the cross-member, or to left and right one of a sleeve.  Straight on the cross-member's top wall a
gusset would only fold that wall.  What does not count carries nothing; a caution says what is missing.

Counted, its two lines along the base join the foot weld's line group.  A metre of them is allowed the least of:

* the weld itself, throat and fusion faces, on the base plate;
* the same weld up the mast, which carries the same force and bends with it (``mast_foot.up_the_mast``);
* the gusset's plate between its two lines, in shear;
* the mast's wall beside the lines up the mast, in shear;
* the mast's wall folding under the gusset's own moment ``q L^2``, taken as a patch as thick and as high as the gusset,
  or as one that encloses all gussets of the face.  Only half of that counts, because the mast's bending presses the
  same wall (a guess, no source).

The base plate, its weld below and the mast are checked as if there were no gussets.

Sources: ``weld_lines``, ``wall_patch``; the rest statics.
"""

from __future__ import annotations

import functools
import math
from typing import NamedTuple

from engine.base.geometry import least
from engine.base.plain_call import plain_call
from engine.schema.connections import BasePlate, Gusset, Weld
from engine.schema.model import JibMast, Policy, Sleeves
from engine.schema.sections import RectTube, outer_depth_m, outer_width_m
from engine.schema.steel import design_wall_m, entered_wall_m
from engine.strength import laid_welds, mast_foot, weld_lines
from engine.strength.allowable_stress import allowable_stress
from engine.strength.mast_foot import BEARS_ON_WALL, Missing
from engine.strength.unverified_values import GUSSET_WALL_SHARE
from engine.strength.wall_patch import Patch, Wall, patch_limits
from engine.strength.weld_lines import LENGTH_TOLERANCE_M, Joined, WeldLine


class Row(NamedTuple):
    """The gussets of one face: as entered, as they stand, why they count nothing, their lines where they count."""

    entered: Gusset
    stands: mast_foot.Gusset
    missing: Missing | None
    lines: tuple[WeldLine, ...]


@plain_call
@functools.lru_cache(maxsize=64)
def rows_of(mast: JibMast, sleeves: Sleeves, spread_m: float, policy: Policy) -> tuple[Row, ...]:
    """Every row of gussets; ``spread_m`` is between the forks' middles."""
    return tuple(_row(gusset, mast, sleeves, spread_m, policy) for gusset in mast.gussets)


def counted(rows: tuple[Row, ...]) -> tuple[Row, ...]:
    """The rows that count."""
    return tuple(row for row in rows if row.missing is None)


def standing(gusset: Gusset, mast: JibMast) -> mast_foot.Gusset:
    """Where a row of gussets stands."""
    offsets_m = mast_foot.spread_over(_across_m(gusset, mast), gusset.count)
    return mast_foot.Gusset(gusset.face, gusset.out_m, gusset.up_m, gusset.thickness_m, offsets_m)


def _row(gusset: Gusset, mast: JibMast, sleeves: Sleeves, spread_m: float, policy: Policy) -> Row:
    stands = standing(gusset, mast)
    missing = _missing(gusset, stands, mast, sleeves, spread_m, policy)
    weld, base, lines = gusset.weld, mast.base, ()
    if missing is None and weld is not None and isinstance(base, BasePlate) and isinstance(mast.section, RectTube):
        allowed_N_m = _allowed_N_m(gusset, stands, weld, mast, mast.section, base, policy)
        lines = tuple(mast_foot.gusset_lines(_half_m(gusset, mast), stands, allowed_N_m))
    return Row(gusset, stands, missing, lines)


def _half_m(gusset: Gusset, mast: JibMast) -> float:
    """Half the mast's size towards a gusset's face."""
    size = outer_depth_m if gusset.face in ("front", "back") else outer_width_m
    return size(mast.section) / 2.0


def _across_m(gusset: Gusset, mast: JibMast) -> float:
    """Width of the face that a gusset stands at."""
    size = outer_width_m if gusset.face in ("front", "back") else outer_depth_m
    return size(mast.section)


# ---------------------------------------------------------------- whether it counts


def _missing(
    gusset: Gusset, stands: mast_foot.Gusset, mast: JibMast, sleeves: Sleeves, spread_m: float, policy: Policy
) -> Missing | None:
    weld = gusset.weld
    if gusset.origin == "typical" or (weld is not None and weld.origin == "typical"):
        return "start"
    if weld is None or weld.quality == "not_seen":
        return "weld"
    if not isinstance(mast.section, RectTube):
        return "round"
    beneath = _on_steel(gusset, mast, sleeves, spread_m)
    if beneath and not _has_room(gusset, stands, weld, mast):
        return "room"
    yield_Pa = allowable_stress(gusset.steel, policy, gusset.thickness_m).grade.yield_Pa
    return mast_foot.not_counted(stands, yield_Pa, welded=True, beneath=beneath)


def _on_steel(gusset: Gusset, mast: JibMast, sleeves: Sleeves, spread_m: float) -> bool:
    """Whether a base plate reaches past the toe, with a side wall right below it."""
    base, toe_m = mast.base, _half_m(gusset, mast) + gusset.out_m
    if not isinstance(base, BasePlate):
        return False
    if gusset.face in ("front", "back"):
        reach_m, tube, middle_m = base.length_m / 2.0, sleeves.cross_section, 0.0
    else:
        reach_m, tube, middle_m = base.width_m / 2.0, sleeves.section, spread_m / 2.0
    if toe_m > reach_m + LENGTH_TOLERANCE_M:
        return False
    wall_m = entered_wall_m(tube, sleeves.steel)
    aside_m = (tube.width_m - wall_m) / 2.0
    near_m = BEARS_ON_WALL * wall_m + LENGTH_TOLERANCE_M
    return any(abs(toe_m - wall_x_m) <= near_m for wall_x_m in (middle_m + aside_m, middle_m - aside_m))


def _has_room(gusset: Gusset, stands: mast_foot.Gusset, weld: Weld, mast: JibMast) -> bool:
    """Whether the outermost gusset has a ledge of one leg beside it, on the base plate."""
    base = mast.base
    if not isinstance(base, BasePlate):
        return False
    beside_m = base.width_m if gusset.face in ("front", "back") else base.length_m
    outermost_m = stands.offsets_m[-1] + gusset.thickness_m / 2.0
    return outermost_m + weld.leg_m <= beside_m / 2.0 + LENGTH_TOLERANCE_M


# ---------------------------------------------------------------- what its lines are allowed


def _allowed_N_m(
    gusset: Gusset,
    stands: mast_foot.Gusset,
    weld: Weld,
    mast: JibMast,
    section: RectTube,
    base: BasePlate,
    policy: Policy,
) -> float:
    """Force on a metre of the lines along the base."""
    wall_m, thick_m = design_wall_m(section, mast.steel), gusset.thickness_m
    plate = gusset.steel, thick_m, thick_m
    on_base = laid_welds.joined_of(policy, plate, (base.steel, base.thickness_m, base.thickness_m))
    on_mast = laid_welds.joined_of(policy, plate, (mast.steel, section, wall_m))
    of_plate = allowable_stress(gusset.steel, policy, thick_m)
    of_wall = allowable_stress(mast.steel, policy, section)
    ratio = stands.effective_m / gusset.up_m
    fold_Nm = _fold_Nm(stands, section, (wall_m, entered_wall_m(section, mast.steel)), of_wall.grade.yield_Pa, policy)
    return least(
        _weld_N_m(weld, on_base),
        _weld_N_m(weld, on_mast) / mast_foot.up_the_mast(stands),
        thick_m * of_plate.shear_Pa / 2.0,
        wall_m * of_wall.shear_Pa / ratio,
        GUSSET_WALL_SHARE * fold_Nm / stands.effective_m**2,
    )


def _weld_N_m(weld: Weld, joined: Joined) -> float:
    deposit = laid_welds.deposit_of(weld)
    if weld.kind == "pjp":
        return weld_lines.groove_N_m(deposit.throat_m, deposit, joined)
    return weld_lines.fillet_N_m(deposit, joined)


def _fold_Nm(
    stands: mast_foot.Gusset, section: RectTube, walls_m: tuple[float, float], yield_Pa: float, policy: Policy
) -> float:
    """Allowed moment of one gusset on the mast's wall: by itself, and its share of a patch round all of the face."""
    sizes_m = section.width_m, section.depth_m
    across_m, beside_m = sizes_m if stands.face in ("front", "back") else reversed(sizes_m)
    wall, count = Wall(across_m, beside_m, walls_m[0], yield_Pa, walls_m[1]), len(stands.offsets_m)
    over_all_m = stands.offsets_m[-1] - stands.offsets_m[0] + stands.thickness_m
    least_Nm = math.inf
    for patch_m, share in ((stands.thickness_m, 1), (over_all_m, count)):
        limits = patch_limits(wall, Patch(patch_m, stands.up_m), policy.design_factor, square_ends=True)
        least_Nm = least(least_Nm, limits.along_Nm / share)
    return least_Nm
