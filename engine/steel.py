"""Grades of steel and what to assume when the grade is not known.

Sources: ASTM A500 and A36 minimum values as printed in the AISC shapes and materials tables; EN 10025-2 and
EN 10219 minimum values for walls up to 16 mm are from memory and say so.
"""

from __future__ import annotations

import msgspec

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
