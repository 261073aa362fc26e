"""Grades of steel, what to assume when the grade is not known, and which wall counts for strength.

Sources: ASTM A500 and A36 minimum values as printed in the AISC shapes and materials tables; EN 10025-2 and
EN 10219 minimum values for walls up to 16 mm are from memory and say so.

**The wall.**  Tube sold by grade may be thinner than its name says: AISC 360 B4.2 takes 0.93 of the nominal wall (A500
allows 10 % under).  The wall of reclaimed tube of unknown grade is what the person measured at the cut end.  So the
wall of unknown steel counts as entered, that of any named grade counts 0.93, and `wall_known` on the section overrules
either.
"""

from __future__ import annotations

import msgspec

from engine.schema.sections import RectTube, RoundTube

UNKNOWN = "unknown"
"""Grade name of reclaimed steel without papers."""

ELASTIC_MODULUS_PA = 29_000.0 * 6_894_757.293168361
"""29,000 ksi, AISC 360."""

SHEAR_MODULUS_PA = 11_200.0 * 6_894_757.293168361
"""11,200 ksi, AISC 360."""

_KSI_PA = 6_894_757.293168361


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

DESIGN_WALL = 0.93
"""Design wall over nominal wall of tube bought by grade, AISC 360 B4.2."""

UNKNOWN_TENSILE_OVER_YIELD = 1.10
"""Least tensile strength over yield that structural steel may have, EN 1993-1-1 3.2.2 (from memory)."""


def grade(name: str, unknown_yield_Pa: float) -> Grade:
    """The grade called ``name``; one with the assumed yield when it is unknown or not in the table.

    Parameters
    ----------
    name : str
        As entered, e.g. ``A500 B``.
    unknown_yield_Pa : float
        Yield assumed for unknown steel.
    """
    known = GRADES.get(name)
    if known is not None:
        return known
    return Grade(
        name=UNKNOWN,
        yield_Pa=unknown_yield_Pa,
        tensile_Pa=UNKNOWN_TENSILE_OVER_YIELD * unknown_yield_Pa,
        source="assumed: grade not known",
    )


def is_assumed(name: str) -> bool:
    """Whether a steel of this name has only an assumed yield."""
    return name not in GRADES


def design_wall_m(section: RectTube | RoundTube, steel: str) -> float:
    """Wall (m) that counts for the strength of a tube."""
    known = section.wall_known or ("caliper" if is_assumed(steel) else "nominal")
    return section.wall_m if known == "caliper" else DESIGN_WALL * section.wall_m
