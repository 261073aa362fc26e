"""Cross-sections of the members: area, bending, twist and mass per metre.

A member lies along its own x axis with its depth upright.  ``_up`` stands for bending about the lateral axis (the
member sags), ``_side`` for bending about the standing axis (it sways).

Square and rectangular tube follows the convention that reproduces the AISC shapes table: outside corner
radius 2 t, inside radius t, twist by Bredt on the midline, torsion constant
``C = 2 (B-t)(H-t) t - 4.5 (4-pi) t^3`` (AISC 360-22 H3.1 and commentary).  Mass is always taken from the
nominal wall; strength from the design wall the caller passes in.
"""

from __future__ import annotations

import functools
import math
from typing import Annotated, ClassVar, Literal

import msgspec
from msgspec import Meta

from engine.base.errors import ContradictionError
from engine.base.geometry import least, most

STEEL_DENSITY_KG_M3 = 7850.0
"""490 lb/ft3 as used by the AISC shapes table is 7849.05 kg/m3; EN 1991-1-1 gives 7850."""

TUBE_OUTSIDE_RADIUS_PER_WALL = 2.0
"""Outside corner radius of square and rectangular tube over its wall; reproduces the AISC table within 0.8 %."""

Size = Annotated[float, Meta(gt=0.0, le=2.0)]

WallKnown = Literal["caliper", "nominal"]
"""Whether a tube's wall was measured at a cut end or is the nominal one of its papers."""


WallLost = Annotated[float, Meta(ge=0.0, le=0.05)]

NO_WALL_LEFT = "rust has taken the whole wall: {lost:size} is lost of {wall:size}. Enter less, or take the part off."


class RectTube(
    msgspec.Struct, kw_only=True, frozen=True, forbid_unknown_fields=True, tag_field="shape", tag="rect_tube"
):
    """Square or rectangular tube; ``depth_m`` stands up, ``width_m`` lies across.

    ``wall_known`` says how the wall came to be known; ``None`` leaves it to the steel (see ``engine.schema.steel``).
    ``wall_lost_m`` is what rust has taken of it, ``None`` where nobody has looked; a file that says nothing of it means
    that (`engine.schema.rig_file`).  Weight is of the whole wall.
    """

    width_m: Size
    depth_m: Size
    wall_m: Size
    wall_known: WallKnown | None = None
    wall_lost_m: WallLost | None = 0.0

    at_thin_end: ClassVar[bool] = False
    """Whether strength counts the thinnest wall it may have (`engine.schema.thin_end`)."""

    def __post_init__(self) -> None:
        _check_wall_left(self.wall_m, self.wall_lost_m)
        smaller = least(self.width_m, self.depth_m)
        if not self.wall_m < smaller / 4.0:
            raise ContradictionError(
                "a wall of {wall:size} is thicker than the tube allows: less than {most:size}, a quarter of its "
                "smaller side.",
                at="wall_m",
                wall=self.wall_m,
                most=smaller / 4.0,
            )


class RoundTube(
    msgspec.Struct, kw_only=True, frozen=True, forbid_unknown_fields=True, tag_field="shape", tag="round_tube"
):
    """Round tube or pipe; ``wall_known`` and ``wall_lost_m`` as for `RectTube`."""

    diameter_m: Size
    wall_m: Size
    wall_known: WallKnown | None = None
    wall_lost_m: WallLost | None = 0.0

    at_thin_end: ClassVar[bool] = False
    """Whether strength counts the thinnest wall it may have (`engine.schema.thin_end`)."""

    def __post_init__(self) -> None:
        _check_wall_left(self.wall_m, self.wall_lost_m)
        if not self.wall_m < self.diameter_m / 2.0:
            raise ContradictionError(
                "a wall of {wall:size} is thicker than the tube allows: less than {most:size}, half its diameter.",
                at="wall_m",
                wall=self.wall_m,
                most=self.diameter_m / 2.0,
            )


def _check_wall_left(wall_m: float, lost_m: float | None) -> None:
    if lost_m is not None and lost_m >= wall_m:
        raise ContradictionError(NO_WALL_LEFT, at="wall_lost_m", wall=wall_m, lost=lost_m, most=wall_m)


class SolidRound(
    msgspec.Struct, kw_only=True, frozen=True, forbid_unknown_fields=True, tag_field="shape", tag="solid_round"
):
    """Round bar."""

    diameter_m: Size


class FlatBar(msgspec.Struct, kw_only=True, frozen=True, forbid_unknown_fields=True, tag_field="shape", tag="flat_bar"):
    """Flat bar or plate; ``depth_m`` stands up, ``width_m`` lies across."""

    width_m: Size
    depth_m: Size


Section = RectTube | RoundTube | SolidRound | FlatBar


class SectionProperties(msgspec.Struct, kw_only=True, frozen=True):
    """What a cross-section resists bending and twist with.

    ``second_moment`` is I, ``elastic`` S (section modulus), ``plastic`` Z, ``twist`` J, ``torsion`` C (torsional
    shear constant, shear stress = torque / C); ``_up`` resists sagging, ``_side`` swaying.
    """

    area_m2: float
    second_moment_up_m4: float
    second_moment_side_m4: float
    elastic_up_m3: float
    elastic_side_m3: float
    plastic_up_m3: float
    plastic_side_m3: float
    twist_m4: float
    torsion_m3: float


def outer_depth_m(section: Section) -> float:
    """Upright outside size."""
    match section:
        case RectTube() | FlatBar():
            return section.depth_m
        case _:
            return section.diameter_m


def outer_width_m(section: Section) -> float:
    """Outside size across."""
    match section:
        case RectTube() | FlatBar():
            return section.width_m
        case _:
            return section.diameter_m


def mass_per_length_kg_m(section: Section) -> float:
    """Mass of steel per metre, from the nominal wall."""
    return STEEL_DENSITY_KG_M3 * properties(section).area_m2


def properties(section: Section, wall_m: float | None = None) -> SectionProperties:
    """Area, bending and twist of a section.

    Parameters
    ----------
    section : Section
    wall_m : float, optional
        Wall to use instead of the nominal one (the design wall of AISC 360 B4.2, or a caliper reading).

    Returns
    -------
    SectionProperties

    Raises
    ------
    ValueError
        From the section's own check, when ``wall_m`` does not fit the tube.
    """
    if wall_m is not None and isinstance(section, RectTube | RoundTube):
        section = type(section)(**{**msgspec.structs.asdict(section), "wall_m": wall_m, "wall_lost_m": 0.0})
    return _properties(section)


@functools.lru_cache(maxsize=512)
def _properties(section: Section) -> SectionProperties:
    """Cached: every verdict asks for the same few again."""
    match section:
        case RectTube():
            return _rect_tube(section)
        case RoundTube():
            return _round_tube(section)
        case SolidRound():
            return _solid_round(section)
        case FlatBar():
            return _flat_bar(section)


def _rounded_rectangle(width_m: float, depth_m: float, radius_m: float) -> tuple[float, float, float]:
    """Area, I and half-section first moment (Z/2) of a rounded rectangle about its lateral middle axis."""
    middle_m, side_depth_m = width_m - 2.0 * radius_m, depth_m - 2.0 * radius_m
    quarter_m2 = math.pi * radius_m**2 / 4.0
    quarter_arm_m = side_depth_m / 2.0 + 4.0 * radius_m / (3.0 * math.pi)
    quarter_own_m4 = (math.pi / 16.0 - 4.0 / (9.0 * math.pi)) * radius_m**4
    area = middle_m * depth_m + 2.0 * radius_m * side_depth_m + 4.0 * quarter_m2
    second = (
        middle_m * depth_m**3 / 12.0
        + 2.0 * radius_m * side_depth_m**3 / 12.0
        + 4.0 * (quarter_own_m4 + quarter_m2 * quarter_arm_m**2)
    )
    half = middle_m * depth_m**2 / 8.0 + 2.0 * radius_m * side_depth_m**2 / 8.0 + 2.0 * quarter_m2 * quarter_arm_m
    return area, second, half


def _rect_tube(tube: RectTube) -> SectionProperties:
    wall = tube.wall_m
    outside = TUBE_OUTSIDE_RADIUS_PER_WALL * wall
    inside = outside - wall

    def about(width_m: float, depth_m: float) -> tuple[float, float, float]:
        outer = _rounded_rectangle(width_m, depth_m, outside)
        inner = _rounded_rectangle(width_m - 2.0 * wall, depth_m - 2.0 * wall, inside)
        return outer[0] - inner[0], outer[1] - inner[1], 2.0 * (outer[2] - inner[2])

    area, second_up, plastic_up = about(tube.width_m, tube.depth_m)
    _, second_side, plastic_side = about(tube.depth_m, tube.width_m)
    middle = outside - wall / 2.0
    mid_width, mid_depth = tube.width_m - wall, tube.depth_m - wall
    enclosed_m2 = mid_width * mid_depth - (4.0 - math.pi) * middle**2
    around_m = 2.0 * (mid_width + mid_depth) - (8.0 - 2.0 * math.pi) * middle
    return SectionProperties(
        area_m2=area,
        second_moment_up_m4=second_up,
        second_moment_side_m4=second_side,
        elastic_up_m3=2.0 * second_up / tube.depth_m,
        elastic_side_m3=2.0 * second_side / tube.width_m,
        plastic_up_m3=plastic_up,
        plastic_side_m3=plastic_side,
        twist_m4=4.0 * enclosed_m2**2 * wall / around_m,
        torsion_m3=2.0 * mid_width * mid_depth * wall - 4.5 * (4.0 - math.pi) * wall**3,
    )


def _round_tube(tube: RoundTube) -> SectionProperties:
    outer, inner = tube.diameter_m, tube.diameter_m - 2.0 * tube.wall_m
    second = math.pi * (outer**4 - inner**4) / 64.0
    elastic = 2.0 * second / outer
    plastic = (outer**3 - inner**3) / 6.0
    return SectionProperties(
        area_m2=math.pi * (outer**2 - inner**2) / 4.0,
        second_moment_up_m4=second,
        second_moment_side_m4=second,
        elastic_up_m3=elastic,
        elastic_side_m3=elastic,
        plastic_up_m3=plastic,
        plastic_side_m3=plastic,
        twist_m4=2.0 * second,
        torsion_m3=2.0 * elastic,
    )


def _solid_round(bar: SolidRound) -> SectionProperties:
    diameter = bar.diameter_m
    second = math.pi * diameter**4 / 64.0
    elastic = 2.0 * second / diameter
    return SectionProperties(
        area_m2=math.pi * diameter**2 / 4.0,
        second_moment_up_m4=second,
        second_moment_side_m4=second,
        elastic_up_m3=elastic,
        elastic_side_m3=elastic,
        plastic_up_m3=diameter**3 / 6.0,
        plastic_side_m3=diameter**3 / 6.0,
        twist_m4=2.0 * second,
        torsion_m3=2.0 * elastic,
    )


def _flat_bar(bar: FlatBar) -> SectionProperties:
    """Rectangle; twist by the usual series fit for a solid rectangle (Roark, from memory of the formula)."""
    width, depth = bar.width_m, bar.depth_m
    long_m, short_m = most(width, depth), least(width, depth)
    ratio = short_m / long_m
    twist = long_m * short_m**3 * (1.0 / 3.0 - 0.21 * ratio * (1.0 - ratio**4 / 12.0))
    torsion = long_m * short_m**2 / (3.0 + 1.8 * ratio)
    return SectionProperties(
        area_m2=width * depth,
        second_moment_up_m4=width * depth**3 / 12.0,
        second_moment_side_m4=depth * width**3 / 12.0,
        elastic_up_m3=width * depth**2 / 6.0,
        elastic_side_m3=depth * width**2 / 6.0,
        plastic_up_m3=width * depth**2 / 4.0,
        plastic_side_m3=depth * width**2 / 4.0,
        twist_m4=twist,
        torsion_m3=torsion,
    )
