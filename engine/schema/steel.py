"""Grades of steel, what to assume when the grade is not known, and which wall counts for strength.

Sources: ASTM A500 and A36 minimum values as printed in the AISC shapes and materials tables; EN 10025-2 minimum
values are from memory and say so.  Its grades yield earlier the thicker they are.

**Unknown steel** is taken for the lowest of what a shop is sold as structural tube, pipe, plate or bar.  Tube and pipe:
P195TR1 (EN 10217-1) and S195T (EN 10255) yield at 195 MPa, 185 over 16 mm (read in secondary copies); A53 A, A500 A and
S235 lie above.  Plate and bar: S185 (EN 10025-2, from memory) yields at 185 MPa, 175 over 16 mm, and breaks at 290 MPa,
which counts for tube too.  Fence and furniture tube can lie below all of these.

**The wall.**  Tube sold by grade may be thinner than its name says: AISC 360 B4.2 takes 0.93 of the nominal wall (A500
allows 10 % under).  The wall of reclaimed tube of unknown grade is what the person measured at the cut end.  So the
wall of unknown steel counts as entered, that of any named grade counts 0.93, and `wall_known` on the section overrules
either.  What rust has taken comes off that; where nobody has looked, half a millimetre counts as lost.

**The thin end**, which the worst case counts (`engine.schema.thin_end`): 0.1 mm under a caliper's reading, 10 % under
the wall of the papers (A500), and 1 mm under the wall of unknown steel that nobody says is measured: a guess.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from engine.base.geometry import least, most
from engine.schema.sections import RectTube, RoundTube

UNKNOWN = "unknown"
"""Grade name of reclaimed steel without papers."""

ELASTIC_MODULUS_PA = 29_000.0 * 6_894_757.293168361
"""29,000 ksi, AISC 360."""

SHEAR_MODULUS_PA = 11_200.0 * 6_894_757.293168361
"""11,200 ksi, AISC 360."""

_KSI_PA = 6_894_757.293168361


UNKNOWN_YIELD_PA = 195e6
"""Yield taken for tube of unknown steel up to 16 mm, unless the allowances say otherwise."""

UNKNOWN_TENSILE_PA = 290e6
"""Tensile strength of unknown steel, whatever it is taken to yield at."""

UNKNOWN_STEP_PA = 10e6
"""What unknown steel yields earlier as plate, bar or pin than as tube, and again over 16 mm."""

FIRST_STEP_M = 0.016
"""Thickness up to which steel has the yield its grade is named for (EN 10025-2)."""

Piece = RectTube | RoundTube | float
"""What steel is asked about: a tube, or the thickness (m) of a plate, bar or pin."""


class Grade(msgspec.Struct, kw_only=True, frozen=True):
    """Minimum yield and tensile strength of a grade, with where the values come from."""

    name: str
    yield_Pa: float
    tensile_Pa: float
    source: str


GRADES: dict[str, Grade] = {
    grade.name: grade
    for grade in (
        Grade(name="A500 B", yield_Pa=46 * _KSI_PA, tensile_Pa=58 * _KSI_PA, source="ASTM A500, shaped"),
        Grade(name="A500 C", yield_Pa=50 * _KSI_PA, tensile_Pa=62 * _KSI_PA, source="ASTM A500, shaped"),
        Grade(name="A36", yield_Pa=36 * _KSI_PA, tensile_Pa=58 * _KSI_PA, source="ASTM A36, plate and bar"),
        Grade(name="S235", yield_Pa=235e6, tensile_Pa=360e6, source="EN 10025-2, from memory"),
        Grade(name="S275", yield_Pa=275e6, tensile_Pa=410e6, source="EN 10025-2, from memory"),
        Grade(name="S355", yield_Pa=355e6, tensile_Pa=470e6, source="EN 10025-2, from memory"),
    )
}

_THICKER_MPA: dict[str, tuple[tuple[float, float, float], ...]] = {
    "S235": ((0.016, 225, 360), (0.040, 215, 360), (0.100, 195, 350), (0.150, 185, 340)),
    "S275": (
        (0.016, 265, 410),
        (0.040, 255, 410),
        (0.063, 245, 410),
        (0.080, 235, 410),
        (0.100, 225, 400),
        (0.150, 215, 380),
    ),
    "S355": (
        (0.016, 345, 470),
        (0.040, 335, 470),
        (0.063, 325, 470),
        (0.080, 315, 470),
        (0.100, 295, 450),
        (0.150, 285, 450),
    ),
}
"""Yield and tensile strength over each thickness (m), EN 10025-2 up to 200 mm, from memory."""

STEP_TOLERANCE_M = 1e-9
"""16 mm entered in inches may miss 16 mm by round-off."""

DESIGN_WALL = 0.93
"""Design wall over nominal wall of tube bought by grade, AISC 360 B4.2."""


CALIPER_SHORT_M = 0.0001
"""Most by which a wall measured with a caliper may be thinner elsewhere (our choice)."""

THINNEST_NOMINAL = 0.90
"""Least wall over nominal wall of tube bought by grade (ASTM A500)."""

GUESS_SHORT_M = 0.001
"""Most by which a wall that nobody says is measured may be thinner, of unknown steel (our choice)."""

UNLOOKED_LOSS_M = 0.0005
"""Wall that counts as lost to rust where nobody has looked (our choice)."""

LEAST_LEFT = 0.1
"""Share of a wall that counts at least, so that a wall thinner than what may be lost still has a strength to exceed."""


def grade(name: str, unknown_yield_Pa: float, piece: Piece) -> Grade:
    """The grade called ``name`` at the thickness of a piece; assumed values when it is unknown or not in the table.

    Parameters
    ----------
    name : str
        As entered, e.g. ``A500 B``.
    unknown_yield_Pa : float
        Yield assumed for tube of unknown steel up to 16 mm; plate, bar and pins, and all over 16 mm, are taken lower.
    piece : RectTube, RoundTube or float
        A tube, or the thickness (m) of a plate, bar or pin.
    """
    is_tube = isinstance(piece, RectTube | RoundTube)
    thickness_m = piece.wall_m if is_tube else piece
    known = GRADES.get(name)
    if known is None:
        steps = (thickness_m > FIRST_STEP_M + STEP_TOLERANCE_M) + (not is_tube)
        return Grade(
            name=UNKNOWN,
            yield_Pa=unknown_yield_Pa - steps * UNKNOWN_STEP_PA,
            tensile_Pa=UNKNOWN_TENSILE_PA,
            source="assumed: grade not known",
        )
    for over_m, yield_MPa, tensile_MPa in reversed(_THICKER_MPA.get(name, ())):
        if thickness_m > over_m + STEP_TOLERANCE_M:
            return msgspec.structs.replace(known, yield_Pa=yield_MPa * 1e6, tensile_Pa=tensile_MPa * 1e6)
    return known


def is_assumed(name: str) -> bool:
    """Whether a steel of this name has only an assumed yield."""
    return name not in GRADES


def design_wall_m(section: RectTube | RoundTube, steel: str) -> float:
    """Wall (m) that counts for the strength of a tube; of one at its thin end, the thinnest that it may have."""
    if not section.at_thin_end:
        return entered_wall_m(section, steel)
    match wall_source(section, steel):
        case "caliper":
            return _left_of_wall_m(section, section.wall_m - CALIPER_SHORT_M)
        case "nominal":
            return _left_of_wall_m(section, least(DESIGN_WALL, THINNEST_NOMINAL) * section.wall_m)
        case "guess":
            return _left_of_wall_m(section, section.wall_m - GUESS_SHORT_M)


def entered_wall_m(section: RectTube | RoundTube, steel: str) -> float:
    """Wall (m) that counts as entered, at the thin end too: for what stands where, and over what."""
    nominal = wall_source(section, steel) == "nominal"
    return _left_of_wall_m(section, DESIGN_WALL * section.wall_m if nominal else section.wall_m)


def wall_source(section: RectTube | RoundTube, steel: str) -> Literal["caliper", "nominal", "guess"]:
    """How a tube's wall is known: as entered, else by the papers of a named grade; of unknown steel it is a guess."""
    return section.wall_known or ("guess" if is_assumed(steel) else "nominal")


def _left_of_wall_m(section: RectTube | RoundTube, sound_m: float) -> float:
    """What rust leaves of a wall."""
    return most(sound_m - wall_lost_m(section), LEAST_LEFT * section.wall_m)


def wall_lost_m(section: RectTube | RoundTube) -> float:
    """Wall (m) of a tube that counts as lost to rust."""
    return UNLOOKED_LOSS_M if section.wall_lost_m is None else section.wall_lost_m
