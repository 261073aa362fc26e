"""Pins and pin plates against AISC Design Example D.7 and values worked out from AISC 360-22.

D.7 (read in a secondary copy): A36 plate 1/2 x 4-1/4 in, 1 in pin, a = 2.25 in: be 1.61 (1.63 in the 13th edition), rupture
93.4, shear 95.7, bearing 32.4, gross 76.7 kips; 16.2 kips allowed, by bearing.  The rest was worked out apart from this
program from J3.7, J7 and F11.
"""

from __future__ import annotations

import math

import pytest

from engine.schema.model import Pin, Policy
from engine.schema.steel import GRADES
from engine.strength import pins
from engine.strength.allowable_stress import OMEGA_FRACTURE, OMEGA_MEMBER, allowable_stress

IN = 0.0254
KIP = 4448.2216152605
KIP_IN = KIP * IN
KSI = 6_894_757.293168361
A36 = GRADES["A36"]
INCH_PIN = Pin(diameter_m=IN, hole_m=IN * (1.0 + 1.0 / 32.0), steel="A36")
LIGHT = Policy(design_factor=1.5)
"""So light a design factor that only AISC's own Omegas are left to govern, save where noted."""


def test_example_d7() -> None:
    thick, edge = 0.5 * IN, 2.25 * IN
    width_each_side = (4.25 * IN - IN * 33.0 / 32.0) / 2.0
    effective = min(2.0 * thick + pins.EDGE_ALLOWANCE_M, width_each_side)
    assert effective / IN == pytest.approx(1.61, abs=0.005)
    tension = pins.nominal_tension_N(A36.tensile_Pa, thick, width_each_side)
    shear = pins.nominal_tear_out_N(A36.tensile_Pa, thick, edge, IN)
    # 93.38 with the book's rounded 1.61 in.
    assert tension / KIP == pytest.approx(93.4, abs=0.06)
    assert shear / KIP == pytest.approx(95.7, abs=0.05)
    bearing = allowable_stress("A36", LIGHT).bearing_Pa * IN * thick * OMEGA_FRACTURE / KIP
    # With a factor of 1.5, 1.25 Fy / 1.5 = 0.833 Fy is a little under J7's 1.8 Fy / 2.
    assert 1.8 * A36.yield_Pa * IN * thick / KIP == pytest.approx(32.4, abs=0.05)
    assert bearing <= 32.4
    gross = A36.yield_Pa * thick * 4.25 * IN
    assert gross / KIP == pytest.approx(76.7, rel=0.005)
    allowed = [
        tension / OMEGA_FRACTURE,
        shear / OMEGA_FRACTURE,
        1.8 * A36.yield_Pa * IN * thick / OMEGA_FRACTURE,
        gross / OMEGA_MEMBER,
    ]
    assert [value / KIP for value in allowed] == pytest.approx([46.69, 47.85, 16.20, 45.81], rel=0.001)
    assert min(allowed) / KIP == pytest.approx(16.2, abs=0.05)


def test_inch_pin_in_double_shear() -> None:
    """25.65 kips at 0.563 Fu / 2.00; with a factor of 1.5 yield / (1.5 sqrt 3) is lower and counts."""
    by_code = 2.0 * pins.area_m2(INCH_PIN) * 0.563 * A36.tensile_Pa / OMEGA_FRACTURE
    assert by_code / KIP == pytest.approx(25.65, abs=0.005)
    by_factor = 2.0 * pins.area_m2(INCH_PIN) * A36.yield_Pa / 1.5 / math.sqrt(3.0)
    assert pins.allowed_shear_N(INCH_PIN, 2, allowable_stress("A36", LIGHT)) == pytest.approx(min(by_code, by_factor))


def test_inch_pin_in_bending() -> None:
    """F11: 1.6 Fy S governs, 3.386 kip-in allowed (Fy Z alone 3.593); Z/S = 1.698."""
    nominal = pins.nominal_bending_Nm(IN, A36.yield_Pa)
    assert nominal / OMEGA_MEMBER / KIP_IN == pytest.approx(3.386, abs=0.001)
    assert A36.yield_Pa * IN**3 / 6.0 / OMEGA_MEMBER / KIP_IN == pytest.approx(3.593, abs=0.001)
    assert (IN**3 / 6.0) / (math.pi * IN**3 / 32.0) == pytest.approx(1.698, abs=0.001)


@pytest.mark.parametrize(("wall_in", "kips"), [(0.233, 19.29), (0.349, 28.90)])
def test_pin_through_both_walls_of_a_tube(wall_in: float, kips: float) -> None:
    """J7: 1 in pin through 3x3x1/4 and 8x3x3/8 of Grade B."""
    fy = 46 * KSI
    assert 2.0 * 1.8 * fy * IN * wall_in * IN / OMEGA_FRACTURE / KIP == pytest.approx(kips, abs=0.01)
    by_factor = 2.0 * 1.25 * fy / 3.0 * IN * wall_in * IN
    assert allowable_stress("A500 B", Policy()).bearing_Pa * 2.0 * IN * wall_in * IN == pytest.approx(by_factor)


def test_a_loose_pin_loses_a_twentieth_of_its_tear_out() -> None:
    """D5.1(b), new in 2022: Cr 1.0 up to 1/32 in of play, 0.95 up to 1/16 in."""
    close = Pin(diameter_m=0.020, hole_m=0.0205)
    loose = Pin(diameter_m=0.020, hole_m=0.0212)
    assert pins.clearance_factor(close) == 1.0
    assert pins.clearance_factor(loose) == 0.95


def test_single_shear_bears_over_johansens_share() -> None:
    """Two plates without a gap: sqrt(2) - 1 of the thickness (Johansen 1949, EN 1995-1-1 8.2.2 mode c for equal members)."""
    assert pins.single_shear_length_m(0.020, 0.0) == pytest.approx(0.020 * (math.sqrt(2.0) - 1.0))


@pytest.mark.parametrize("gap_m", [0.0, 0.001, 0.01])
@pytest.mark.parametrize("thick_m", [0.006, 0.025, 0.05])
def test_single_shear_blocks_balance_force_and_moment(thick_m: float, gap_m: float) -> None:
    """Unit pressure: x one way, t - x the other; their moment about mid-gap is nothing."""
    length = pins.single_shear_length_m(thick_m, gap_m)
    x = (length + thick_m) / 2.0
    back = thick_m - x
    moment = x * (gap_m / 2.0 + x / 2.0) - back * (gap_m / 2.0 + x + back / 2.0)
    assert x - back == pytest.approx(length)
    assert moment == pytest.approx(0.0, abs=1e-12)


def test_pull_by_bending_comes_back_as_the_moment() -> None:
    pin, pressure, moment, gap = Pin(diameter_m=0.02, hole_m=0.0205), 96e6, 60.0, 0.002
    single = pins.pull_by_bending_single_N(pin, gap, moment, pressure)
    assert single * (gap + single / (pressure * 0.02)) / 2.0 == pytest.approx(moment)
    double = pins.pull_by_bending_double_N(pin, gap, moment, pressure)
    each = double / 2.0
    assert each * (gap + each / (pressure * 0.02)) == pytest.approx(moment)


def test_a_wider_gap_never_helps() -> None:
    pin = Pin(diameter_m=0.02, hole_m=0.0205)
    pulls = [pins.pull_by_bending_single_N(pin, gap / 1000.0, 60.0, 96e6) for gap in range(20)]
    assert pulls == sorted(pulls, reverse=True)
