"""A tube's side wall under an edge that presses across the tube: yielding and crippling.

Boom on a saddle's edge, bed under the mast's wall: a force comes in over a short length and spreads at 2.5 to 1 through
the corner.  Nominal strengths of one wall; two walls have twice that.

Sources: AISC 360-22 J10.2 (``Fy t (5 k + l)``, half the spread within the depth d of an end) and J10.3 (``0.80 t^2
(1 + 3 l/d) sqrt(E Fy)``, 0.40 within d/2 of an end), all from memory; k is the outside corner radius at its least,
1.5 t.
"""

from __future__ import annotations

import math

from engine.base.geometry import least, most, sqrt
from engine.schema.steel import ELASTIC_MODULUS_PA
from engine.strength.unverified_values import (
    CRIPPLING,
    CRIPPLING_END,
    CRIPPLING_FAR_LENGTH,
    CRIPPLING_OMEGA,
    YIELDING_OMEGA,
    YIELDING_SPREAD,
)

LEAST_CORNER = 1.5
"""Least outside corner radius of a tube over its wall."""


def yielding_N(wall_m: float, yield_Pa: float, bearing_m: float = 0.0, *, near_end: bool = False) -> float:
    """Nominal force at which one wall yields under an edge that bears over ``bearing_m`` along the tube."""
    spread = YIELDING_SPREAD * LEAST_CORNER * wall_m
    return yield_Pa * wall_m * ((spread / 2.0 if near_end else spread) + bearing_m)


def crippling_N(
    wall_m: float, depth_m: float, yield_Pa: float, bearing_m: float = 0.0, *, near_end: bool = False
) -> float:
    """Nominal force at which one wall cripples; flange and web are the same wall."""
    share = bearing_m / depth_m
    root = wall_m**2 * sqrt(ELASTIC_MODULUS_PA * yield_Pa)
    if not near_end:
        return CRIPPLING * root * (1.0 + 3.0 * share)
    return CRIPPLING_END * root * (1.0 + (3.0 * share if share <= CRIPPLING_FAR_LENGTH else 4.0 * share - 0.2))


def allowed_N(
    wall_m: float,
    depth_m: float,
    yield_Pa: float,
    design_factor: float,
    *,
    bearing_m: float = 0.0,
    to_end_m: float = math.inf,
) -> float:
    """Force one side wall may take from an edge.

    Parameters
    ----------
    wall_m, depth_m : float
        Design wall, and the tube's outside size along the force.
    yield_Pa, design_factor : float
    bearing_m : float
        Length along the tube over which the edge bears.
    to_end_m : float
        From the edge to the tube's end.
    """
    yields = yielding_N(wall_m, yield_Pa, bearing_m, near_end=to_end_m <= depth_m)
    cripples = crippling_N(wall_m, depth_m, yield_Pa, bearing_m, near_end=to_end_m < depth_m / 2.0)
    return least(yields / most(YIELDING_OMEGA, design_factor), cripples / most(CRIPPLING_OMEGA, design_factor))
