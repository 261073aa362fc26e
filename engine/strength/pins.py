"""Round pins in drilled holes: shear, bending over the gap, bearing, and tearing out of the plate.

**Where the pull enters a pin.**  A close pin bears near the faces, not over the whole thickness.  With bearing
pressure p allowed on its projected area, a pull V needs the length ``c = V / (p d)``, and that sets the bending:

* in **double shear** the plates hold the pin square; the lever between the middles of the two bearing lengths is
  ``gap + c/2 + c/2``, with V on each side;
* in **single shear** the pin tilts until plate and barrel clamp it; with no moment at mid-gap the greatest moment is
  ``V (gap/2 + c/2)`` at the end of the bearing length, and only ``2 x - t`` of the plate's thickness bears, while the
  rest pushes back (x below).  That is the dowel theory of K. W. Johansen (1949), which gives the well-known 0.414 t for
  two plates without a gap.

Plate rules are AISC 360 D5.1 and J7; what breaks is also held against the design factor
(`AllowableStress.fracture_divisor`).
"""

from __future__ import annotations

import math

from engine.base.geometry import least, most, sqrt
from engine.rig.fits import CLOSE_FIT_M, FIT_TOLERANCE_M
from engine.schema.connections import Pin
from engine.strength.allowable_stress import OMEGA_MEMBER, AllowableStress

EDGE_ALLOWANCE_M = 0.63 * 0.0254
"""``be = 2 t + 0.63 in`` of D5.1(a)."""


def area_m2(pin: Pin) -> float:
    """Area of the pin's cross-section."""
    return math.pi * pin.diameter_m**2 / 4.0


def allowed_shear_N(pin: Pin, planes: int, pin_stress: AllowableStress) -> float:
    """Allowed pull on a pin in shear in ``planes`` planes."""
    return planes * area_m2(pin) * pin_stress.pin_shear_Pa


def nominal_bending_Nm(diameter_m: float, yield_Pa: float) -> float:
    """Bending strength Mn of a solid round bar, F11: Fy Z, at most 1.6 Fy S."""
    elastic = math.pi * diameter_m**3 / 32.0
    return yield_Pa * least(diameter_m**3 / 6.0, 1.6 * elastic)


def allowed_bending_Nm(pin: Pin, pin_stress: AllowableStress) -> float:
    """Allowed moment: the smaller of F11 over 1.67 and the elastic moment at yield over the design factor."""
    elastic = math.pi * pin.diameter_m**3 / 32.0
    return least(
        nominal_bending_Nm(pin.diameter_m, pin_stress.grade.yield_Pa) / OMEGA_MEMBER, elastic * pin_stress.factored_Pa
    )


def pull_by_bending_single_N(pin: Pin, gap_m: float, moment_Nm: float, bearing_Pa: float) -> float:
    """Pull V with ``V (gap + c) / 2`` equal to the allowed moment, ``c = V / (p d)``."""
    line = bearing_Pa * pin.diameter_m
    return line * (sqrt(gap_m**2 / 4.0 + 2.0 * moment_Nm / line) - gap_m / 2.0)


def pull_by_bending_double_N(pin: Pin, gap_m: float, moment_Nm: float, bearing_Pa: float) -> float:
    """Whole pull, half each side, with ``V (gap + c)`` equal to the allowed moment, V each side, ``c = V / (p d)``."""
    line = bearing_Pa * pin.diameter_m
    return line * (sqrt(gap_m**2 + 4.0 * moment_Nm / line) - gap_m)


def single_shear_length_m(thickness_m: float, gap_m: float) -> float:
    """Length of a plate that bears the net pull of a pin in single shear (Johansen).

    The plate bears over x from its near face and pushes back over the rest; force and moment about mid-gap balance
    when ``x^2 + gap x - (t^2 + gap t)/2 = 0``, and ``2 x - t`` is left for the pull.
    """
    x = (sqrt(gap_m**2 + 2.0 * thickness_m**2 + 2.0 * gap_m * thickness_m) - gap_m) / 2.0
    return 2.0 * x - thickness_m


def clearance_factor(pin: Pin) -> float:
    """Cr of D5.1(b): 1 for a hole up to 1/32 in over the pin, 0.95 up to 1/16 in.

    ``engine.rig.fits`` refuses larger holes.
    """
    return 1.0 if pin.hole_m - pin.diameter_m <= CLOSE_FIT_M + FIT_TOLERANCE_M else 0.95


def nominal_tension_N(tensile_Pa: float, thickness_m: float, edge_m: float) -> float:
    """Net tension beside the hole, D5.1(a): ``Fu 2 t be``; ``edge_m`` is from hole edge to plate edge."""
    return tensile_Pa * 2.0 * thickness_m * least(2.0 * thickness_m + EDGE_ALLOWANCE_M, edge_m)


def nominal_tear_out_N(
    tensile_Pa: float, thickness_m: float, edge_m: float, diameter_m: float, close: float = 1.0
) -> float:
    """Tear-out, D5.1(b): ``0.6 Cr Fu 2 t (a + d/2)``; ``edge_m`` (a) is from hole edge to plate edge."""
    return 0.6 * close * tensile_Pa * 2.0 * thickness_m * (edge_m + diameter_m / 2.0)


def allowed_plate_N(pin: Pin, thickness_m: float, centre_to_edge_m: float, plate: AllowableStress) -> float:
    """Allowed pull on one plate by a pin: the least of net tension, tear-out, and shear yield along the tear-out."""
    edge = centre_to_edge_m - pin.hole_m / 2.0
    breaking = least(
        nominal_tension_N(plate.grade.tensile_Pa, thickness_m, edge),
        nominal_tear_out_N(plate.grade.tensile_Pa, thickness_m, edge, pin.diameter_m, clearance_factor(pin)),
    )
    return most(
        least(breaking / plate.fracture_divisor, plate.shear_Pa * 2.0 * thickness_m * (edge + pin.diameter_m / 2.0)),
        0.0,
    )


def allowed_tear_out_N(pin: Pin, thickness_m: float, centre_to_edge_m: float, plate: AllowableStress) -> float:
    """Allowed pull of a pin towards a plate's edge: the lesser of tear-out and shear yield along it."""
    edge = centre_to_edge_m - pin.hole_m / 2.0
    torn = nominal_tear_out_N(plate.grade.tensile_Pa, thickness_m, edge, pin.diameter_m, clearance_factor(pin))
    yields = plate.shear_Pa * 2.0 * thickness_m * (edge + pin.diameter_m / 2.0)
    return most(least(torn / plate.fracture_divisor, yields), 0.0)


def allowed_bearing_Pa(pin_stress: AllowableStress, plate: AllowableStress) -> float:
    """Allowed bearing pressure of the softer of pin and plate (J7)."""
    return least(pin_stress.bearing_Pa, plate.bearing_Pa)
