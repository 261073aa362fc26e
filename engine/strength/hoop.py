"""The hook hoop: a round bar bent to a U, both feet welded, pulled at the crown.

Half the hoop is a statically indeterminate frame: straight leg L, quarter circle R.  Bending energy alone (bar thin
against R) gives the sideways thrust H and the crown moment M.  With lengths over R, forces over the pull W and
k = L/R, the two conditions (crown neither turns nor shifts) are

    M (pi/2 + k)                  + H (pi/2 - 1 + k + k^2/2)             = 1/2 + k/2
    M (pi/2 - 1 + k + k^2/2)      + H (3 pi/4 - 2 + ((1+k)^3 - 1)/3)     = 1/4 + (k + k^2/2)/2

At the crown the bar is curved, so stress is that of a curved bar (Winkler): ``F/A + M c / (A e r)`` with the neutral
radius ``rn = c^2 / (2 (R - sqrt(R^2 - c^2)))``.  At the feet it is straight, with leg pull W/2 and the foot moment.
The hoop counts as pulled in its own plane: the whole pull is crown pull, whichever way it leans.

Source: curved bars and rings as in Shigley, Mechanical Engineering Design; the U frame is worked out here.
"""

from __future__ import annotations

import functools
import math

import msgspec

from engine.base.geometry import Number, Vec, hypot, sqrt
from engine.base.plain_call import plain_call
from engine.rig.check import Check
from engine.schema.connections import Hoop
from engine.schema.model import Policy
from engine.strength.allowable_stress import AISC_OR_FACTOR, allowable_stress, weld_stress_Pa, weld_throat_m
from engine.strength.linear_in_load import CheckLabel, Linear, check_resultant

CURVED = "curved bar, Shigley ch. 3; U frame by bending energy; yield / design factor"


class UFrame(msgspec.Struct, frozen=True):
    """Shares of a U hoop: thrust ``H/W`` and the moments at crown and foot over ``W R``."""

    thrust: float
    crown: float
    foot: float


def u_frame(leg_over_radius: float) -> UFrame:
    """Thrust and moments of a U hoop with welded feet, for straight legs ``L/R``."""
    leg, quarter = leg_over_radius, math.pi / 2.0
    swept = leg + leg**2 / 2.0
    a, b, c = quarter + leg, quarter - 1.0 + swept, 3.0 * math.pi / 4.0 - 2.0 + ((1.0 + leg) ** 3 - 1.0) / 3.0
    right_1, right_2 = 0.5 + leg / 2.0, 0.25 + swept / 2.0
    determinant = a * c - b * b
    crown = (right_1 * c - right_2 * b) / determinant
    thrust = (a * right_2 - b * right_1) / determinant
    return UFrame(thrust, crown, abs(crown - 0.5 + thrust * (1.0 + leg)))


def curved_round_factors(bar_m: float, radius_m: float) -> tuple[float, float]:
    """Stress at the inner and outer fibre of a bent round bar, over ``M / S`` (both positive).

    ``radius_m`` is that of its centreline.
    """
    c = bar_m / 2.0
    # R - rn, written so that nothing is lost for a bar bent wide.
    off = c**2 / (2.0 * (radius_m + sqrt(radius_m**2 - c**2)))
    area, elastic = math.pi * c**2, math.pi * c**3 / 4.0
    inner = (c - off) / (area * off * (radius_m - c))
    outer = (c + off) / (area * off * (radius_m + c))
    return inner * elastic, outer * elastic


@plain_call
@functools.lru_cache(maxsize=64)
def allowed_pulls_N(hoop: Hoop, wall_m: float, policy: Policy) -> tuple[float, float, float]:
    """Pulls at which crown, foot and foot weld (on a wall this thick) reach their limits."""
    steel = allowable_stress(hoop.steel, policy, hoop.bar_m)
    d, radius = hoop.bar_m, hoop.bend_radius_m
    area, elastic = math.pi * d**2 / 4.0, math.pi * d**3 / 32.0
    frame = u_frame(hoop.leg_m / radius)
    inner, _ = curved_round_factors(d, radius)
    crown_per_N = frame.thrust / area + inner * frame.crown * radius / elastic
    foot_per_N = 0.5 / area + frame.foot * radius / elastic
    around, modulus = math.pi * d, math.pi * d**2 / 4.0
    weld_per_N = hypot(0.5 / around + frame.foot * radius / modulus, frame.thrust / around)
    return (
        steel.stress_Pa / crown_per_N,
        steel.stress_Pa / foot_per_N,
        weld_throat_m(hoop.weld, wall_m) * weld_stress_Pa(hoop.weld, policy, hoop.steel) / weld_per_N,
    )


def checks(
    hoop: Hoop, wall_m: float, policy: Policy, place_m: Vec, pull: tuple[Linear, ...], load_kg: Number
) -> list[Check]:
    """Crown, feet and foot welds of the hoop under the pull at the hook."""
    crown, foot, weld = allowed_pulls_N(hoop, wall_m, policy)
    sizes = {"bar": hoop.bar_m, "radius": hoop.bend_radius_m, "leg": hoop.weld.leg_m}

    def check(kind: str, words: str, source: str, allowed_N: float) -> Check:
        return check_resultant(
            CheckLabel("hook hoop", kind, place_m, "N", words, source), pull, allowed_N, load_kg, **sizes
        )

    return [
        check(
            "bending at the crown",
            "pull {demand:N} on a {bar:part} bar bent to {radius:length}; the crown allows {allowed:N}",
            CURVED,
            crown,
        ),
        check("bending at the feet", "pull {demand:N} on a {bar:part} bar; its feet allow {allowed:N}", CURVED, foot),
        check(
            "foot weld",
            "pull {demand:N} on feet welded with {leg:weld} legs all round; they allow {allowed:N}",
            f"{AISC_OR_FACTOR}: J2.4",
            weld,
        ),
    ]
