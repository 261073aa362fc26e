"""Hook hoops against tables worked out by sympy and a frame solver (bar thin against R).

The U hoop with welded feet was worked out symbolically for this job, and L/R = 1 checked by a frame solver.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from engine.base.geometry import ZERO
from engine.schema.connections import Hoop, Weld
from engine.schema.model import Policy
from engine.strength import hoop
from engine.strength.linear_in_load import Linear

TABLE = {
    0.0: (0.4591, 0.1106, 0.1515),
    0.5: (0.2830, 0.1232, 0.1988),
    1.0: (0.1904, 0.1164, 0.2356),
    1.5: (0.1373, 0.1074, 0.2642),
    2.0: (0.1040, 0.0990, 0.2869),
    3.0: (0.0659, 0.0849, 0.3211),
}


@pytest.mark.parametrize("leg", list(TABLE))
def test_u_hoop_with_welded_feet(leg: float) -> None:
    """H/W, foot M/WR and crown M/WR."""
    frame = hoop.u_frame(leg)
    assert (frame.thrust, frame.foot, frame.crown) == pytest.approx(TABLE[leg], abs=6e-5)


def test_semicircle_with_welded_feet() -> None:
    """H = 0.459138 W, foot 0.110607, crown 0.151468 W R."""
    frame = hoop.u_frame(0.0)
    assert (frame.thrust, frame.foot, frame.crown) == pytest.approx((0.459138, 0.110607, 0.151468), abs=1e-6)


def test_u_frame_neither_turns_nor_shifts_at_the_crown() -> None:
    """The same energy conditions by summing the moment along the bar."""
    leg = 1.7
    frame = hoop.u_frame(leg)
    angle = (np.arange(20_000) + 0.5) / 20_000 * math.pi / 2.0
    down = (np.arange(20_000) + 0.5) / 20_000 * leg
    curved = frame.crown - np.sin(angle) / 2.0 + frame.thrust * (1.0 - np.cos(angle))
    straight = frame.crown - 0.5 + frame.thrust * (1.0 + down)
    turn = curved.mean() * math.pi / 2.0 + straight.mean() * leg
    shift = (curved * (1.0 - np.cos(angle))).mean() * math.pi / 2.0 + (straight * (1.0 + down)).mean() * leg
    assert turn == pytest.approx(0.0, abs=1e-8)
    assert shift == pytest.approx(0.0, abs=1e-8)


HOOP = Hoop(
    bar_m=0.02, bend_radius_m=0.04, leg_m=0.04, weld=Weld(leg_m=0.006, electrode="E70", quality="qualified_ndt")
)


def test_the_hoops_limits_are_met_at_their_stress() -> None:
    """Crown: thrust over area and the curved bar's inner fibre; feet: half the pull over area and M / S.

    Bar of unknown steel over 16 mm: 175 MPa.
    """
    crown, foot, weld = hoop.allowed_pulls_N(HOOP, 0.01, Policy())
    area, elastic = math.pi * 0.02**2 / 4.0, math.pi * 0.02**3 / 32.0
    inner, _ = hoop.curved_round_factors(0.02, 0.04)
    assert crown * (0.1904 / area + inner * 0.2356 * 0.04 / elastic) == pytest.approx(175e6 / 3.0, rel=5e-4)
    assert foot * (0.5 / area + 0.1164 * 0.04 / elastic) == pytest.approx(175e6 / 3.0, rel=5e-4)
    line = math.hypot(0.5 / (math.pi * 0.02) + 0.1164 * 0.04 / (math.pi * 0.02**2 / 4.0), 0.1904 / (math.pi * 0.02))
    base_metal_Pa = 0.60 * 290e6 * math.sqrt(2.0) / 3.6
    assert weld * line / (0.006 / math.sqrt(2.0)) == pytest.approx(min(80.4e6, base_metal_Pa), rel=1e-3)


def test_the_pull_counts_whichever_way_it_leans() -> None:
    upright = hoop.checks(
        HOOP, 0.01, Policy(), ZERO, (Linear(0.0, 0.0), Linear(-500.0, -9.81), Linear(0.0, 0.0)), 100.0
    )
    leaning = hoop.checks(
        HOOP, 0.01, Policy(), ZERO, (Linear(300.0, 5.886), Linear(-400.0, -7.848), Linear(0.0, 0.0)), 100.0
    )
    for one, other in zip(upright, leaning, strict=True):
        assert one.use == pytest.approx(other.use)
        assert one.allowed_load_kg == pytest.approx(other.allowed_load_kg)
