"""A tube's wall under a patch: a lug, a hoop's foot, a mast on a wider wall, a strap's foot, a drop-in head.

A patch ``across`` by ``along`` stands on a wall of width B and thickness t.  With ``beta = across/B`` and
``eta = along/B`` the wall folds along yield lines up to beta 0.85; a wider patch hands its force to the side walls
instead.  Actions add up linearly: the sum of demand over allowed is at most 1.

Where the wall itself is pressed along the tube, the patch has less to draw on (the chord-stress factor Qf).  It is
written as two rows, both linear in the load: ``D/A <= 1`` and ``D/A + 0.4 U/beta <= 1.3``, with A the allowed value at
Qf = 1 and ``U = factor * stress / yield`` (`relieved`).

Nominal strengths are divided by the larger of 1.50 and the design factor.

Sources: yield-line and side-wall strengths of AISC 360-10 chapter K, tables K1.2, K2.2, K3.2 (K2-7 read in a secondary
copy, the others from memory); AISC 360-16 and later leave these limit states to the same yield lines (secondary copy);
J10.2 for yielding of a side wall and J4.2 for punching, AISC 360-22.  For a round tube no rule is given here.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.base.geometry import least, most, ratio, sqrt
from engine.rig.completeness import TESTED_DEPTHS, TESTED_SLENDER
from engine.schema.sections import RectTube, properties
from engine.schema.steel import ELASTIC_MODULUS_PA
from engine.strength.linear_in_load import Linear, signed_sums

OMEGA_PATCH = 1.50
WIDE = 0.85
"""Patch over wall width up to which the wall folds by yield lines; beyond it the side walls carry (chapter K)."""

TESTED_NARROW = 0.25
"""Patch over wall width from which the rules were tested (from memory); under it the yield lines still are statics."""

CHORD_STRESS_SHARE = 0.4
CHORD_STRESS_TOTAL = 1.3
"""``Qf = 1.3 - 0.4 U/beta`` (AISC 360-10 K2.3, from memory)."""


class Wall(NamedTuple):
    """The wall a patch stands on, of a rectangular tube.

    ``width_m`` is the tube's outside size across the wall, ``depth_m`` the one beside it, ``wall_m`` the design wall;
    ``entered_m`` is that as entered, where strength counts a thinner one.
    """

    width_m: float
    depth_m: float
    wall_m: float
    yield_Pa: float
    entered_m: float = 0.0


class Patch(NamedTuple):
    """What stands on the wall: its outside size across the wall and along the tube."""

    across_m: float
    along_m: float


class Branch(NamedTuple):
    """A tube that stands on the wall, for its own uneven load: outside sizes are the patch's."""

    wall_m: float
    yield_Pa: float
    plastic_along_m3: float
    plastic_across_m3: float


class PatchLimits(NamedTuple):
    """Allowed pull, push (N) and moments along the tube and across it (N·m), at Qf = 1; ``beta`` for `relieved`."""

    pull_N: float
    push_N: float
    along_Nm: float
    across_Nm: float
    beta: float


def factor_of(design_factor: float) -> float:
    """What a nominal strength is divided by: 1.50, or the design factor if that is more."""
    return most(OMEGA_PATCH, design_factor)


def folding_pull_N(wall: Wall, patch: Patch) -> float:
    """Nominal pull or push at which the wall folds, beta up to 0.85 (AISC 360-10 K2-7)."""
    beta, eta = patch.across_m / wall.width_m, patch.along_m / wall.width_m
    return wall.yield_Pa * wall.wall_m**2 * (2.0 * eta / (1.0 - beta) + 4.0 / sqrt(1.0 - beta))


def folding_along_Nm(wall: Wall, patch: Patch) -> float:
    """Nominal moment along the tube ("in plane") at which the wall folds (AISC 360-10 table K3.2, from memory)."""
    beta, eta = patch.across_m / wall.width_m, patch.along_m / wall.width_m
    lines = 1.0 / (2.0 * eta) + 2.0 / sqrt(1.0 - beta) + eta / (1.0 - beta)
    return wall.yield_Pa * wall.wall_m**2 * patch.along_m * lines


def folding_across_Nm(wall: Wall, patch: Patch) -> float:
    """Nominal moment across the tube ("out of plane") at which the wall folds (AISC 360-10 table K3.2, from memory)."""
    beta = patch.across_m / wall.width_m
    ratio = (1.0 + beta) / (1.0 - beta)
    lines_m = 0.5 * patch.along_m * ratio + sqrt(2.0 * wall.width_m * patch.across_m * ratio)
    return wall.yield_Pa * wall.wall_m**2 * lines_m


def side_walls_N(wall: Wall, along_m: float) -> float:
    """Nominal pull or push on both side walls, beta over 0.85: ``2 Fy t (5k + Hb)`` with k = 1.5 t (J10.2)."""
    return 2.0 * wall.yield_Pa * wall.wall_m * (7.5 * wall.wall_m + along_m)


def side_walls_along_Nm(wall: Wall, along_m: float) -> float:
    """Nominal moment along the tube on both side walls: ``0.5 Fy t (Hb + 5t)^2`` (from memory)."""
    return 0.5 * wall.yield_Pa * wall.wall_m * (along_m + 5.0 * wall.wall_m) ** 2


def side_walls_across_Nm(wall: Wall, along_m: float) -> float:
    """Nominal moment across the tube on both side walls: ``Fy t (B - t)(Hb + 5t)`` (from memory)."""
    return wall.yield_Pa * wall.wall_m * (wall.width_m - wall.wall_m) * (along_m + 5.0 * wall.wall_m)


def distortion_across_Nm(wall: Wall, along_m: float) -> float:
    """Nominal moment across a tube whose ends are not held square, at which it shears into a rhombus (from memory)."""
    b, h, t = wall.width_m, wall.depth_m, wall.wall_m
    return 2.0 * wall.yield_Pa * t * (along_m * t + sqrt(b * h * t * (b + h)))


def effective_width_m(wall: Wall, patch: Patch, branch: Branch) -> float:
    """Width of a branch's transverse wall that carries: ``10/(B/t) Fy t/(Fyb tb) Bb``, never more than Bb."""
    stiff = wall.yield_Pa * wall.wall_m / (branch.yield_Pa * branch.wall_m)
    return least(10.0 * wall.wall_m / wall.width_m * stiff * patch.across_m, patch.across_m)


def uneven_across_Nm(wall: Wall, patch: Patch, branch: Branch) -> float:
    """Nominal moment across, with the branch's walls loaded unevenly, beta over 0.85 (from memory)."""
    lost = (1.0 - effective_width_m(wall, patch, branch) / patch.across_m) ** 2
    return branch.yield_Pa * (branch.plastic_across_m3 - 0.5 * lost * patch.across_m**2 * branch.wall_m)


def uneven_along_Nm(wall: Wall, patch: Patch, branch: Branch) -> float:
    """Nominal moment along, with the branch's walls loaded unevenly, beta over 0.85 (from memory)."""
    lost = 1.0 - effective_width_m(wall, patch, branch) / patch.across_m
    return branch.yield_Pa * (branch.plastic_along_m3 - lost * patch.across_m * patch.along_m * branch.wall_m)


def punching_N(wall: Wall, patch: Patch) -> float:
    """Nominal force that punches the patch through the wall: ``0.60 Fy t`` on its perimeter (AISC 360-22 J4.2).

    Sides nearer than t to a side wall are left out; a patch as wide as the flat between the side walls cannot punch.
    """
    clear_m = (wall.width_m - patch.across_m) / 2.0 - wall.wall_m
    if clear_m < 0.0:
        return math.inf
    near_m = most(wall.wall_m, wall.entered_m)
    along = 2.0 * patch.along_m if (wall.width_m - patch.across_m) / 2.0 - near_m >= near_m else 0.0
    return 0.60 * wall.yield_Pa * wall.wall_m * (2.0 * patch.across_m + along)


def patch_limits(
    wall: Wall, patch: Patch, design_factor: float, *, branch: Branch | None = None, square_ends: bool = False
) -> PatchLimits:
    """What a wall allows under a patch.

    Parameters
    ----------
    wall : Wall
    patch : Patch
        Its sizes; a patch wider than the wall counts as wide as the wall.
    design_factor : float
        Of the policy; nominal strengths are divided by it, by 1.50 at least.
    branch : Branch, optional
        The tube that stands on the wall, where the patch is one.
    square_ends : bool
        Whether the tube's ends are held square (a plate or a cap on them), so that it cannot shear into a rhombus.

    Returns
    -------
    PatchLimits
    """
    beta = least(patch.across_m / wall.width_m, 1.0)
    over = factor_of(design_factor)
    punching = punching_N(wall, patch)
    if beta <= WIDE:
        pull = least(folding_pull_N(wall, patch), punching)
        along, across = folding_along_Nm(wall, patch), folding_across_Nm(wall, patch)
        push = pull
    else:
        pull = least(side_walls_N(wall, patch.along_m), punching)
        push = least(pull, crippling_N(wall, patch.along_m))
        along, across = side_walls_along_Nm(wall, patch.along_m), side_walls_across_Nm(wall, patch.along_m)
        if branch is not None:
            across = least(across, uneven_across_Nm(wall, patch, branch))
            along = least(along, uneven_along_Nm(wall, patch, branch))
    if not square_ends:
        across = least(across, distortion_across_Nm(wall, patch.along_m))
    return PatchLimits(pull / over, push / over, along / over, across / over, beta)


def branches(tube: RectTube, walls_m: tuple[float, float], yield_Pa: float) -> tuple[Branch, ...]:
    """A tube as a branch, with its design wall and with that as entered."""
    found = []
    for wall_m in dict.fromkeys(walls_m):
        section = properties(tube, wall_m)
        found.append(Branch(wall_m, yield_Pa, section.plastic_side_m3, section.plastic_up_m3))
    return tuple(found)


def under_tube(wall: Wall, patch: Patch, design_factor: float, tubes: tuple[Branch, ...]) -> PatchLimits:
    """The least that a wall allows under any of some branches: a thick one with a thinner wall may load it evener."""
    every = [patch_limits(wall, patch, design_factor, branch=branch) for branch in tubes]

    def least_of(values: tuple[float, ...]) -> float:
        return least(*values)

    return PatchLimits(*map(least_of, zip(*every, strict=True)))


def crippling_N(wall: Wall, along_m: float) -> float:
    """Nominal push at which both side walls cripple, away from the tube's end (AISC 360-22 J10-4, all walls alike)."""
    spread = 1.0 + 3.0 * along_m / wall.depth_m
    return 2.0 * 0.80 * wall.wall_m**2 * spread * sqrt(ELASTIC_MODULUS_PA * wall.yield_Pa)


def relieved(beta: float, pressed_Pa: float, yield_Pa: float, design_factor: float) -> float:
    """What the wall's own compression takes from the room of 1.3: ``0.4 U/beta``."""
    return ratio(CHORD_STRESS_SHARE * most(1.67, design_factor) * pressed_Pa / yield_Pa, beta)


def in_tested_range(wall: Wall, patch: Patch) -> bool:
    """Whether the sizes lie within what the rules were tested for."""
    slender = most(wall.width_m, wall.depth_m) / wall.wall_m
    low, high = TESTED_DEPTHS
    return (
        slender <= TESTED_SLENDER
        and low <= wall.depth_m / wall.width_m <= high
        and patch.across_m / wall.width_m >= TESTED_NARROW
    )


# ---------------------------------------------------------------- demand on a patch


def patch_terms(limits: PatchLimits, pull: Linear, along: Linear, across: Linear) -> tuple[tuple[float, Linear], ...]:
    """Use of a patch as a weighted sum of magnitudes, at most 1; a pull counts as a push, which is allowed less."""
    return (1.0 / limits.push_N, pull), (1.0 / limits.along_Nm, along), (1.0 / limits.across_Nm, across)


def pressed_sums(
    limits: PatchLimits,
    pull: Linear,
    along: Linear,
    across: Linear,
    pressed: Linear,
    steel: tuple[float, float],
) -> tuple[Linear, ...]:
    """Use of a patch on a wall that is pressed along the tube: the greatest of these, at most `CHORD_STRESS_TOTAL`.

    Parameters
    ----------
    limits : PatchLimits
    pull, along, across : Linear
        Demand on the patch.
    pressed : Linear
        The wall's own compressive stress (Pa); tension, negative, relieves the row and leaves the other one to govern.
    steel : tuple of float
        The wall's yield (Pa) and the design factor.
    """
    first = pressed.times(relieved(limits.beta, 1.0, *steel))
    return signed_sums(first, *(value.times(weight) for weight, value in patch_terms(limits, pull, along, across)))
