"""Pins and pin plates against AISC Design Example D.7 and values worked out from AISC 360-22.

D.7 (read in a secondary copy): A36 plate 1/2 x 4-1/4 in, 1 in pin, a = 2.25 in: be 1.61 (1.63 in the 13th edition),
rupture 93.4, shear 95.7, bearing 32.4, gross 76.7 kips; 16.2 kips allowed, by bearing.  The rest was worked out apart
from this program from J3.7, J4.2, J7 and F11.
"""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import pytest

from engine.limits.all_limits import find_checks
from engine.rig.check import Check
from engine.rig.kinematics import figures
from engine.schema.connections import Pin, ThroughPin, Weld
from engine.schema.model import Hinge, Hook, Job, Policy
from engine.schema.sections import RectTube
from engine.schema.steel import GRADES
from engine.strength import hinges, pins
from engine.strength.allowable_stress import allowable_stress
from tests.samples import read_once

REPLACE = msgspec.structs.replace
IN = 0.0254
KIP = 4448.2216152605
KIP_IN = KIP * IN
A36 = GRADES["A36"]
INCH_PIN = Pin(diameter_m=IN, hole_m=IN * (1.0 + 1.0 / 32.0), steel="A36")
AISC_ALONE = Policy(design_factor=1.0)
"""So light a design factor, less than a job may ask for, that only AISC's own Omegas are left to govern."""
STONE_YARD = read_once(Path(__file__).resolve().parents[2] / "sample_rigs" / "tarn_hollow_stone_yard.rig.json")


def hinge_d7(**changes: object) -> Hinge:
    """Two plates of example D.7 on each side of a barrel: 1/2 in thick, 2.25 in from the hole's rim to the end."""
    sizes = {
        "pin": INCH_PIN,
        "spacing_m": 12.0 * IN,
        "barrel_outer_m": 2.0 * IN,
        "barrel_length_m": 2.0 * IN,
        "lug_thickness_m": 0.5 * IN,
        "lug_edge_m": 2.25 * IN + INCH_PIN.hole_m / 2.0,
        "shear_planes": 2,
        "weld": Weld(leg_m=0.25 * IN, electrode="E70"),
        "steel": "A36",
    }
    return Hinge(**(sizes | changes))


def test_example_d7_is_allowed_16_2_kips_by_bearing() -> None:
    limits = hinges.allowed_pulls(hinge_d7(), AISC_ALONE)
    kips = {name: pull / 2.0 / KIP for name, pull in zip(limits._fields, limits, strict=True)}
    assert kips["lug_bearing_N"] == pytest.approx(16.2, abs=0.01)
    # J4.2, which the example leaves out: 0.60 Fy / 1.50 on two lines of 2.75 in.
    assert kips["lug_plate_N"] == pytest.approx(39.6, abs=0.05)
    plate = allowable_stress("A36", AISC_ALONE, 0.5 * IN).stress_Pa * 0.5 * 4.25 * IN**2
    assert plate / KIP == pytest.approx(76.7 / 1.67, rel=0.005)


def test_example_d7_rupture_and_tear_out() -> None:
    """1.609 in beside the hole (93.38 kips with the rounded 1.61); further out be is 1.63, as in the 13th edition."""
    beside_m = (4.25 * IN - INCH_PIN.hole_m) / 2.0
    tension = pins.nominal_tension_N(A36.tensile_Pa, 0.5 * IN, beside_m)
    assert tension / KIP == pytest.approx(93.4, abs=0.06)
    wide = pins.nominal_tension_N(A36.tensile_Pa, 0.5 * IN, 2.25 * IN)
    assert wide / KIP == pytest.approx(58.0 * 2.0 * 0.5 * 1.63, rel=1e-6)
    assert pins.nominal_tear_out_N(A36.tensile_Pa, 0.5 * IN, 2.25 * IN, IN) / KIP == pytest.approx(95.7, abs=0.05)


def hook_in(tube_in: tuple[float, float], pin_steel: str, policy: Policy) -> dict[str, Check]:
    """Limits of a 1 in hook pin through a square boom of Grade B (side and wall in inches)."""
    side, wall = tube_in
    pin = Pin(diameter_m=IN, hole_m=33.0 / 32.0 * IN, steel=pin_steel)
    hook: Hook = REPLACE(STONE_YARD.rig.hook, end=ThroughPin(pin=pin, edge_m=2.0 * IN, gap_m=0.01))
    section = RectTube(width_m=side * IN, depth_m=side * IN, wall_m=wall * IN, wall_known="caliper")
    rig = REPLACE(STONE_YARD.rig, hook=hook, boom=REPLACE(STONE_YARD.rig.boom, section=section, steel="A500 B"))
    job: Job = REPLACE(STONE_YARD, rig=rig, policy=policy)
    return {check.kind: check for check in find_checks(job, figures(job, job.poses[0])) if check.part == "hook pin"}


def test_inch_pin_in_double_shear() -> None:
    """25.65 kips at 0.563 Fu / 2.00; with a factor of 3, yield / (3 sqrt 3) on two inch circles: 10.88 kips."""
    by_code = hook_in((3.0, 0.233), "A36", AISC_ALONE)["double shear"].allowed
    assert by_code / KIP == pytest.approx(25.65, abs=0.005)
    by_factor = hook_in((3.0, 0.233), "A36", Policy())["double shear"].allowed
    assert by_factor / KIP == pytest.approx(10.88, abs=0.005)


def test_inch_pin_in_bending() -> None:
    """F11: 1.6 Fy S governs, 3.386 kip-in allowed (Fy Z alone would give 3.593)."""
    steel = allowable_stress("A36", AISC_ALONE, INCH_PIN.diameter_m)
    assert pins.allowed_bending_Nm(INCH_PIN, steel) / KIP_IN == pytest.approx(3.386, abs=0.001)


@pytest.mark.parametrize(("side_in", "wall_in", "kips"), [(3.0, 0.233, 19.29), (8.0, 0.349, 28.90)])
def test_pin_through_both_walls_of_a_tube(side_in: float, wall_in: float, kips: float) -> None:
    """J7: 1 in pin through 3x3x1/4 and a wall of 3/8 in, all of Grade B; with a factor of 3, 1.25/3 for 1.8/2."""
    by_code = hook_in((side_in, wall_in), "A500 B", AISC_ALONE)["bearing on the walls"].allowed
    assert by_code / KIP == pytest.approx(kips, abs=0.01)
    by_factor = hook_in((side_in, wall_in), "A500 B", Policy())["bearing on the walls"].allowed
    assert by_factor / KIP == pytest.approx(kips * (1.25 / 3.0) / (1.8 / 2.0), abs=0.01)


def test_a_loose_pin_loses_a_twentieth_of_its_tear_out() -> None:
    """D5.1(b), new in 2022: Cr 1.0 up to 1/32 in of play, 0.95 up to 1/16 in."""
    close = Pin(diameter_m=0.020, hole_m=0.0205)
    loose = Pin(diameter_m=0.020, hole_m=0.0212)
    assert pins.clearance_factor(close) == 1.0
    assert pins.clearance_factor(loose) == 0.95


def test_single_shear_bears_over_johansens_share() -> None:
    """Two plates, no gap: sqrt(2) - 1 of the thickness (Johansen 1949, EN 1995-1-1 8.2.2 mode c, equal members)."""
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
    side = double / 2.0
    assert side * (gap + side / (pressure * 0.02)) == pytest.approx(moment)


def test_a_wider_gap_never_helps() -> None:
    pin = Pin(diameter_m=0.02, hole_m=0.0205)
    pulls = [pins.pull_by_bending_single_N(pin, gap / 1000.0, 60.0, 96e6) for gap in range(20)]
    assert pulls == sorted(pulls, reverse=True)
