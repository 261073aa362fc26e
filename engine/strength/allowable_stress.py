"""What a steel or a weld is allowed to carry.

Two rules stand side by side and the smaller always counts:

* **AISC 360, allowable strength**: nominal strength over its Omega (1.67 for members, 2.00 for what breaks).
* **The design factor on yield** that the person sets for lifting gear (2 where loads are well known, 3 where not):
  yield over the factor on elastic stress, shear at 1/sqrt(3) of that, and for what breaks (welds, tear-out) the
  strength over 1.20 times the factor, as in ASME BTH-1.

Steel of unknown grade takes the yield assumed in the allowances and the least tensile strength of what is sold.
An electrode that is not known counts as E60, the lowest class.
"""

from __future__ import annotations

import functools
import math

import msgspec

from engine.base.geometry import least, most, sqrt
from engine.base.plain_call import plain_call
from engine.schema.connections import Weld
from engine.schema.model import Policy
from engine.schema.steel import Grade, Piece, grade
from engine.strength.unverified_values import BEARING_OVER_YIELD, FRACTURE_FACTOR, QUALITY_SHARE, SHEAR_OVER_YIELD

OMEGA_MEMBER = 1.67
OMEGA_FRACTURE = 2.00
OMEGA_SHEAR_YIELD = 1.50

AISC = "AISC 360-22"
DESIGN_FACTOR_RULE = "design factor on yield (ASME BTH-1 kind, from memory)"
AISC_OR_FACTOR = f"the smaller of {AISC} over Omega and the {DESIGN_FACTOR_RULE}"

ELECTRODE_PA = {"E60": 60 * 6_894_757.293168361, "E70": 70 * 6_894_757.293168361, "E80": 80 * 6_894_757.293168361}
LOWEST_ELECTRODE = "E60"


class AllowableStress(msgspec.Struct, frozen=True):
    """Allowed stresses (Pa) of one steel under one policy.

    ``stress_Pa`` is for direct and elastic bending stress, ``shear_Pa`` for yielding in shear (J4.2), ``pin_shear_Pa``
    for a solid pin (0.563 Fu, Table J3.2 with no thread in the plane), ``bearing_Pa`` for a pin in a drilled hole on
    its projected area (J7).  A breaking strength is divided by ``fracture_divisor``.
    """

    grade: Grade
    factor: float
    stress_Pa: float
    shear_Pa: float
    pin_shear_Pa: float
    bearing_Pa: float
    fracture_divisor: float

    @property
    def factored_Pa(self) -> float:
        """Yield over the design factor: the limit for elastic stress of whole members."""
        return self.grade.yield_Pa / self.factor


@plain_call
@functools.lru_cache(maxsize=256)
def allowable_stress(steel: str, policy: Policy, piece: Piece) -> AllowableStress:
    """Allowed stresses of a steel by name, for a tube or for a thickness (m) of plate, bar or pin."""
    steel_grade = grade(steel, policy.unknown_yield_Pa, piece)
    by_factor = steel_grade.yield_Pa / policy.design_factor
    shear_by_factor = by_factor * SHEAR_OVER_YIELD
    return AllowableStress(
        steel_grade,
        policy.design_factor,
        least(steel_grade.yield_Pa / OMEGA_MEMBER, by_factor),
        least(0.60 * steel_grade.yield_Pa / OMEGA_SHEAR_YIELD, shear_by_factor),
        least(0.563 * steel_grade.tensile_Pa / OMEGA_FRACTURE, shear_by_factor),
        least(1.8 * steel_grade.yield_Pa / OMEGA_FRACTURE, BEARING_OVER_YIELD * by_factor),
        fracture_divisor(policy),
    )


def fracture_divisor(policy: Policy) -> float:
    """Divisor of a breaking strength: 2.00, or 1.20 times the design factor if that is more."""
    return most(OMEGA_FRACTURE, FRACTURE_FACTOR * policy.design_factor)


def electrode_Pa(weld: Weld) -> float:
    """Tensile strength of the weld metal; the lowest class where it is not known."""
    return ELECTRODE_PA[weld.electrode if weld.electrode in ELECTRODE_PA else LOWEST_ELECTRODE]


ANY_PIECE_M = 0.01
"""A thickness where none is asked about: a grade's tensile strength has no steps."""


def weld_stress_Pa(weld: Weld, policy: Policy, *steels: str) -> float:
    """Allowed stress on a fillet's throat between parts of these steels, by the weaker of weld and base metal.

    The throat takes 0.60 of the electrode's strength (J2.4); the fusion face, as wide as the leg, 0.60 of the weaker
    part's (J4.2).  Both are over 2.00 or the breaking factor, times the share of the weld's quality.
    """
    grades = (grade(steel, policy.unknown_yield_Pa, ANY_PIECE_M) for steel in steels)
    weakest_Pa = min((each.tensile_Pa for each in grades), default=math.inf)
    strength_Pa = least(electrode_Pa(weld), weakest_Pa * sqrt(2.0))
    return 0.60 * strength_Pa * quality_share(weld) / fracture_divisor(policy)


def quality_share(weld: Weld) -> float:
    """Share of a weld's strength that counts; one that nobody has seen counts as the worst, and is not entered."""
    return QUALITY_SHARE.get(weld.quality, min(QUALITY_SHARE.values()))


def weld_throat_m(weld: Weld, wall_m: float = math.inf) -> float:
    """Throat (m) that counts where a fillet is laid: a leg larger than the wall it stands on counts as the wall.

    A weld part through counts with the throat entered where that is less.
    """
    fillet_m, entered_m = throat_m(least(weld.counted_leg_m, wall_m)), weld.counted_throat_m
    return fillet_m if weld.kind != "pjp" or entered_m is None else least(fillet_m, entered_m)


def throat_m(leg_m: float) -> float:
    """Throat (m) of an equal-legged fillet."""
    return leg_m / sqrt(2.0)
