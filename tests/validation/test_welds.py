"""Fillet welds and weld groups.

Line properties and the bracket of two vertical lines are from published tables of weld groups treated as lines (the
elastic vector method); fillet allowables from AISC 360-22 J2.4 (0.928 kip/in for each 1/16 in of E70 leg, as in
the AISC Manual); the rest was worked out by numeric line integration apart from this program.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from engine.schema.connections import Weld
from engine.schema.model import Policy
from engine.schema.sections import RectTube, RoundTube
from engine.strength import welds
from engine.strength.allowable_stress import electrode_Pa, weld_stress_Pa, weld_throat_m
from engine.strength.cuts import SectionForces
from engine.strength.linear_in_load import Linear

IN = 0.0254
KIP_PER_IN = 4448.2216152605 / IN
LBF = 4.4482216152605
NONE = Linear(0.0, 0.0)
AISC_ONLY = Policy(design_factor=1.5)
"""1.20 x 1.5 is under 2.00, so AISC's Omega governs what breaks."""


@pytest.mark.parametrize(("leg_16ths", "kips"), [(1, 0.928), (3, 2.784), (4, 3.712), (5, 4.640)])
def test_e70_fillet(leg_16ths: int, kips: float) -> None:
    weld = Weld(leg_m=leg_16ths / 16.0 * IN, electrode="E70", quality="qualified_ndt")
    allowed_N_m = weld_throat_m(weld) * weld_stress_Pa(weld, AISC_ONLY)
    assert allowed_N_m / KIP_PER_IN == pytest.approx(kips, abs=0.001)


def test_the_design_factor_takes_over_when_it_is_stricter() -> None:
    """0.60 x 482.6 / 3.6 = 80.4 MPa on the throat with factor 3."""
    sound = Weld(leg_m=0.003, electrode="E70", quality="qualified_ndt")
    assert weld_stress_Pa(sound, Policy()) == pytest.approx(80.4e6, abs=0.1e6)


@pytest.mark.parametrize(
    ("quality", "share"), [("qualified_ndt", 1.0), ("qualified_visual", 0.85), ("own_eye", 0.7), ("unknown", 0.7)]
)
def test_a_weld_counts_by_who_made_it_and_who_looked_at_it(quality: str, share: float) -> None:
    weld = Weld(leg_m=0.003, electrode="E70", quality=quality)
    assert weld_stress_Pa(weld, Policy()) == pytest.approx(share * 80.4e6, rel=1e-3)


def test_the_fusion_face_of_a_weak_steel_governs_over_a_strong_electrode() -> None:
    """0.60 x 360 MPa x root two / 3.6 = 84.9 MPa on the throat for S235: E70's 80.4 governs, E80's 91.9 does not."""
    for electrode, stress in (("E70", 80.4e6), ("E80", 84.85e6)):
        weld = Weld(leg_m=0.003, electrode=electrode, quality="qualified_ndt")
        assert weld_stress_Pa(weld, Policy(), "S235", "S355") == pytest.approx(stress, rel=1e-3)


def test_an_unknown_electrode_counts_as_the_lowest() -> None:
    assert electrode_Pa(Weld(leg_m=0.003)) == electrode_Pa(Weld(leg_m=0.003, electrode="E60"))


def test_box_of_12_by_24() -> None:
    group = welds.box(12.0, 24.0)
    assert group.length_m == pytest.approx(72.0)
    assert group.up_m3 / 12.0 == pytest.approx(480.0)
    assert group.twist_m3 == pytest.approx(7776.0)


def test_tube_root_of_3_by_8() -> None:
    group = welds.box(3.0, 8.0)
    assert group.length_m == pytest.approx(22.0)
    assert group.up_m3 / 4.0 == pytest.approx(45.33, abs=0.005)
    assert group.side_m3 / 1.5 == pytest.approx(27.0)
    assert group.twist_m3 == pytest.approx(221.83, abs=0.005)


def integrated(lines: list[tuple[tuple[float, float], tuple[float, float]]], steps: int = 4000) -> tuple[float, ...]:
    """Length, second moments and polar one of straight lines about the origin, by summing short pieces."""
    length = up = side = 0.0
    for (x0, y0), (x1, y1) in lines:
        piece = math.hypot(x1 - x0, y1 - y0) / steps
        for step in range(steps):
            share = (step + 0.5) / steps
            x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
            length, up, side = length + piece, up + piece * x * x, side + piece * y * y
    return length, up, side, up + side


@pytest.mark.parametrize("shape", ["all_round", "front_and_back", "both_sides"])
def test_outlines_against_line_integration(shape: str) -> None:
    width, depth = 0.1, 0.15
    x, y = depth / 2.0, width / 2.0
    fronts = [((x, -y), (x, y)), ((-x, -y), (-x, y))]
    sides = [((-x, y), (x, y)), ((-x, -y), (x, -y))]
    lines = {"all_round": fronts + sides, "front_and_back": fronts, "both_sides": sides}[shape]
    group = welds.around(RectTube(width_m=width, depth_m=depth, wall_m=0.006), shape)
    properties = (group.length_m, group.up_m3, group.side_m3, group.twist_m3)
    assert properties == pytest.approx(integrated(lines), rel=1e-6)


def test_ring_against_line_integration_and_never_low() -> None:
    r = 0.06
    corners = [(r * math.cos(a), r * math.sin(a)) for a in [2 * math.pi * k / 720 for k in range(721)]]
    lines = list(pairwise(corners))
    group = welds.around(RoundTube(diameter_m=2 * r, wall_m=0.005), "both_sides")
    assert (group.length_m, group.up_m3, group.side_m3, group.twist_m3) == pytest.approx(
        integrated(lines, 20), rel=1e-4
    )
    exact = r / group.up_m3
    for angle in [0.01 * k for k in range(629)]:
        about_y, about_x = math.cos(angle), math.sin(angle)
        forces = SectionForces(NONE, NONE, NONE, NONE, Linear(about_y, 0.0), Linear(about_x, 0.0))
        worst = max(abs(pull[0].fixed) for pull in welds.pulls(group, forces))
        assert exact <= worst * (1 + 1e-12) <= 1.021 * exact


def resultants(group: welds.LineGroup, forces: SectionForces) -> list[float]:
    return [math.sqrt(sum(part.fixed**2 for part in pull)) for pull in welds.pulls(group, forces)]


def test_bracket_of_two_verticals() -> None:
    """Two lines of 200 mm, 100 mm apart, 50 kN at 150 mm in their plane: J 2.3333e6 mm3, 430.06 N/mm."""
    group = welds.both_sides(100.0, 200.0)
    assert group.twist_m3 == pytest.approx(2.3333e6, rel=1e-4)
    forces = SectionForces(NONE, Linear(50_000.0, 0.0), NONE, Linear(50_000.0 * 150.0, 0.0), NONE, NONE)
    assert max(resultants(group, forces)) == pytest.approx(430.06, abs=0.01)
    twisted = [
        welds.pulls(group, SectionForces(NONE, NONE, NONE, Linear(7.5e6, 0.0), NONE, NONE))[0][at].fixed
        for at in (1, 2)
    ]
    assert sorted(abs(part) for part in twisted) == pytest.approx([160.71, 321.43], abs=0.01)


def test_box_under_a_pull_off_its_middle() -> None:
    """Box 100 x 120 mm, 10 kN in its plane, 100 mm off: 22.73 N/mm direct, 61.11 together; 14.41 MPa on 6 mm legs."""
    group, pull = welds.box(0.1, 0.12), Linear(10_000.0, 0.0)
    direct = SectionForces(NONE, pull, NONE, NONE, NONE, NONE)
    assert max(resultants(group, direct)) / 1000.0 == pytest.approx(22.73, abs=0.005)
    off = SectionForces(NONE, pull, NONE, pull.times(0.1), NONE, NONE)
    assert max(resultants(group, off)) / 1000.0 == pytest.approx(61.11, abs=0.01)
    throat = weld_throat_m(Weld(leg_m=0.006, electrode="E70"))
    assert max(resultants(group, off)) / throat / 1e6 == pytest.approx(14.41, abs=0.01)


def test_tube_root_under_everything() -> None:
    """3 x 8 in root, V 1,500 lb, M 120,000, T 12,000 in-lb: 2647.1, 68.2, 216.4 and 81.1; 2660 lb/in together."""
    group = welds.box(3.0, 8.0)
    cut, twist, bend = (Linear(size, 0.0) for size in (1500.0, 12_000.0, 120_000.0))
    bent = SectionForces(NONE, NONE, NONE, NONE, bend, NONE)
    assert max(resultants(group, bent)) == pytest.approx(2647.1, abs=0.1)
    sheared = SectionForces(NONE, cut, NONE, NONE, NONE, NONE)
    assert max(resultants(group, sheared)) == pytest.approx(68.2, abs=0.05)
    twisted = SectionForces(NONE, NONE, NONE, twist, NONE, NONE)
    assert max(resultants(group, twisted)) == pytest.approx(math.hypot(216.4, 81.1), abs=0.1)
    assert max(resultants(group, SectionForces(NONE, cut, NONE, twist, bend, NONE))) == pytest.approx(2660, abs=1.0)


@pytest.mark.parametrize(("thick_mm", "leg_mm"), [(5, 3), (6, 3), (10, 5), (13, 5), (19, 6), (25, 8)])
def test_least_legs(thick_mm: float, leg_mm: float) -> None:
    """AISC 360 Table J2.4 in metric, from memory."""
    assert welds.least_leg_m(thick_mm / 1000.0) == pytest.approx(leg_mm / 1000.0)


def test_a_leg_larger_than_the_wall_counts_as_the_wall() -> None:
    assert weld_throat_m(Weld(leg_m=0.012), 0.005) == weld_throat_m(Weld(leg_m=0.005))
