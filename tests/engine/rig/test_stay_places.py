"""Where a stay lets its arm go: between its two lengths, no further and no less."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.rig.stay_places import stay_length_m, stay_turns_rad
from engine.schema.connections import StayLink, StayPoint

PLACE = st.floats(-1.2, 1.2).filter(lambda value: abs(value) > 0.02)
POINT = st.tuples(PLACE, PLACE)


def stay(inner: tuple[float, float], arm: tuple[float, float], least_m: float, most_m: float) -> StayLink:
    return StayLink(
        at_inner=StayPoint(x_m=inner[0], z_m=inner[1]),
        at_arm=StayPoint(x_m=arm[0], z_m=arm[1]),
        make="ram",
        length_min_m=least_m,
        length_max_m=most_m,
    )


def test_a_ram_square_to_its_arm_by_hand():
    """0.4 m over the hinge and 0.3 m out on the arm: 0.5 m long with the arm level, 0.1 upright, 0.7 hanging down."""
    (turns,) = [
        turns for turns in stay_turns_rad(stay((0.0, 0.4), (0.3, 0.0), 0.1, 0.5)) if turns[0] <= 0.0 <= turns[1] + 1e-9
    ]
    assert turns == pytest.approx((0.0, math.pi / 2.0), abs=1e-6)
    assert stay_turns_rad(stay((0.0, 0.4), (0.3, 0.0), 0.71, 0.9)) == ()
    assert stay_turns_rad(stay((0.0, 0.4), (0.3, 0.0), 0.02, 0.09)) == ()


@given(
    inner=st.tuples(PLACE, PLACE),
    arm=st.tuples(PLACE, PLACE),
    lengths=st.tuples(st.floats(0.05, 3), st.floats(0.05, 3)),
)
def test_a_turn_is_in_a_range_exactly_where_the_stay_has_such_a_length(inner, arm, lengths):
    link = stay(inner, arm, min(lengths), max(lengths))
    ranges = stay_turns_rad(link)
    for step in range(-90, 91):
        turn_rad = math.radians(2.0 * step)
        length_m = stay_length_m(link, turn_rad)
        if min(abs(length_m - link.length_min_m), abs(length_m - link.length_max_m)) > 1e-6:
            inside = any(low <= turn_rad <= high for low, high in ranges)
            assert inside == (link.length_min_m <= length_m <= link.length_max_m)
