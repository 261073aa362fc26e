"""A saddle strap over a boom that wants to roll in it: which faces touch, and what that does to strap, foot and boom.

The boom (flats ``w_b`` and ``h_b`` between its corner radii) stands in the strap with gaps at its sides and top.  Twist
T brings it to bear in one of two ways, and nobody can say which fits closer, so **each carries the whole T** in
whichever saddle is looked at:

* **top**: one top corner against the strap and the opposite bottom edge against the bed, ``C = T/w_b``;
* **sides**: one side low and the other side high against the legs, ``C = T/h_b`` at r and h - r.

A mode is left out while the other touches first and gives less than the difference: as long as T is under
`ContactModes.top_from_Nm` or `sides_from_Nm` (closed forms, since the give is in proportion to T).  A gap that is not
entered keeps both.  The strap's give is taken for a top on simple supports and for a leg as a cantilever, more than the
frame gives.

**Strap.**  The reaction R upwards on the boom is halved between the legs (in tension where it holds the boom down).  A
top force N at a from the leg's middle bends the top with ``N a b/W`` and its corner with ``N a b^2/W^2``, which goes on
into the leg and reaches the foot by half.  A force C against a leg bends the portal: foot ``C ((h - r) beta + r)``,
``beta = (3k + 1)/(2 (6k + 1))``, k = H/W, or what the frame gives if that is more (`exact_foot_m`: stocky straps, by
some per cent).  A side reaction Y pushes in the same way and is added, and so is what holds
the boom down at both top corners alike.

**Foot.**  Welded on both faces a moment is a couple of two lines, ``M/(t L)``; one outside line is bent open,
``6 M/(L a^2)`` on its throat, and the leg is then also looked at as a portal on hinges: half of C at each foot, and
the two legs spread, ``C y/2 (1 + c)`` at the corner with ``c = (H^2 - y^2)/(H (2H + 3W))`` and y = h - r, or
``C y/2 (2 - (1 + c) y/H)`` where the side presses the leg.

Demands are sets of `Linear` of which the greatest counts and negative ones do not; limits are plain numbers in
`LegWeights`.  Sources: statics of elastic frames; curved bar of Winkler, as in Shigley; corner rules and neutral line
of bends, common practice, no source.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from engine.base.geometry import Number, hypot, least, log, most, sqrt
from engine.schema.steel import ELASTIC_MODULUS_PA
from engine.strength.linear_in_load import Linear, signed_sums

UNKNOWN_GAP_M = 0.003
"""Gap taken for wobble where none is entered (common practice, no source)."""

WELD_SHRINK_M = 0.001
"""What a leg is drawn in by its foot weld, off the side gap (common practice, no source)."""


class Strap(NamedTuple):
    """A strap: plate thickness, length along the boom, gap at each side and at the top (m)."""

    thickness_m: float
    length_m: float
    side_gap_m: float
    top_gap_m: float


class Contact(NamedTuple):
    """Where boom and strap touch, and the portal the strap makes (m).

    ``flat_width_m`` and ``flat_depth_m`` are the boom's flats, ``height_m`` and ``span_m`` the portal's middle lines.
    A top corner presses ``near_m`` from one leg and ``far_m`` from the other, a side at ``low_m`` and ``high_m`` over
    the bed.
    """

    flat_width_m: float
    flat_depth_m: float
    height_m: float
    span_m: float
    near_m: float
    far_m: float
    low_m: float
    high_m: float


def contact(width_m: float, depth_m: float, corner_m: float, strap: Strap) -> Contact:
    """Contact of a boom of this outside size and corner radius in a strap."""
    flat_width = width_m - 2.0 * corner_m
    span = width_m + 2.0 * strap.side_gap_m + strap.thickness_m
    near = (span - flat_width) / 2.0
    return Contact(
        flat_width,
        depth_m - 2.0 * corner_m,
        depth_m + strap.top_gap_m + strap.thickness_m / 2.0,
        span,
        near,
        span - near,
        corner_m,
        depth_m - corner_m,
    )


def left_side_gap_m(side_gap_m: float, shrink_m: float = WELD_SHRINK_M) -> float:
    """Side gap after the foot welds have drawn the legs in; never under 0."""
    return most(side_gap_m - shrink_m, 0.0)


# ---------------------------------------------------------------- which faces touch


class ContactModes(NamedTuple):
    """Roll until each mode touches (rad), its give (rad for each N·m), and the twist from which it counts (N·m)."""

    top_touch_rad: float
    sides_touch_rad: float
    top_give_rad_Nm: float
    sides_give_rad_Nm: float
    top_from_Nm: float
    sides_from_Nm: float


def contact_modes(at: Contact, strap: Strap, *, gaps_known: bool = True) -> ContactModes:
    """Which way the boom bears against its strap, and from which twist on."""
    second = strap.length_m * strap.thickness_m**3 / 12.0
    bending = 3.0 * ELASTIC_MODULUS_PA * second
    top_touch, sides_touch = strap.top_gap_m / at.flat_width_m, 2.0 * strap.side_gap_m / at.flat_depth_m
    top_give = (at.near_m * at.far_m) ** 2 / (bending * at.span_m) / at.flat_width_m**2
    sides_give = at.high_m**3 / bending / at.flat_depth_m**2
    top_from = most(top_touch - sides_touch, 0.0) / sides_give if gaps_known else 0.0
    sides_from = most(sides_touch - top_touch, 0.0) / top_give if gaps_known else 0.0
    return ContactModes(top_touch, sides_touch, top_give, sides_give, top_from, sides_from)


# ---------------------------------------------------------------- demands


NO_PULL = Linear(0.0, 0.0)


def top_forces(up: Linear, twist: Linear, flat_width_m: Number) -> tuple[Linear, ...]:
    """Force of a top corner on the strap (N), the greater counts and never below 0.

    ``up`` is the saddle's reaction on the boom; where it is negative the boom is held down.  The leg beside the corner
    pulls with the same force.
    """
    return signed_sums(up.times(-0.5), twist.times(1.0 / flat_width_m))


def bed_forces(up: Linear, twist: Linear, flat_width_m: Number) -> tuple[Linear, ...]:
    """Force of a bottom edge on the bed (N), the greater counts and never below 0."""
    return signed_sums(up.times(0.5), twist.times(1.0 / flat_width_m))


def wall_forces(up: Linear, twist: Linear, flat_width_m: Number) -> tuple[Linear, ...]:
    """Force on one side wall of the boom at a saddle's edge (N), ``|R|/2 + |T|/w_b``: the greater magnitude counts."""
    return signed_sums(up.times(0.5), twist.times(1.0 / flat_width_m))


class LegWeights(NamedTuple):
    """Demand of one limit for each newton that pulls a leg and for each newton that pushes at its side."""

    pull: float
    push: float


def top_demands(up: Linear, side: Linear, twist: Linear, at: Contact, weights: LegWeights) -> tuple[Linear, ...]:
    """Demands of the leg beside the top corner that presses; ``weights.pull`` is for each newton of `top_forces`."""
    pulls = (force.times(weights.pull) for force in top_forces(up, twist, at.flat_width_m))
    return tuple(demand for pull in pulls for demand in signed_sums(pull, side.times(weights.push)))


def side_demands(up: Linear, side: Linear, twist: Linear, at: Contact, weights: LegWeights) -> tuple[Linear, ...]:
    """Demands of a leg that the boom's side presses, with half of what holds the boom down (`LegWeights.pull`)."""
    pushes = twist.times(weights.push / at.flat_depth_m), side.times(weights.push)
    held = up.times(-0.5 * weights.pull)
    return signed_sums(NO_PULL, *pushes) + signed_sums(held, *pushes)


# ---------------------------------------------------------------- weights of the limits


class Moments(NamedTuple):
    """Moments in the strap for each newton (m), at its top, its corner and its foot.

    Of one top force (``top``), of two alike, one in each leg (``held``), of a push against a leg (``push``).
    """

    top: float
    top_corner: float
    top_foot: float
    held_top: float
    held_corner: float
    held_foot: float
    push_corner: float
    push_foot: float


def portal_share(height_over_span: float) -> float:
    """Moment at the foot of a fixed portal over push times height (uniform section)."""
    k = height_over_span
    return (3.0 * k + 1.0) / (2.0 * (6.0 * k + 1.0))


Welded = Literal["both", "outside"]


def sway_and_spread_m(at: Contact, thickness_m: float, y: float) -> tuple[float, float]:
    """Moments at a fixed portal's foot, twice those for each newton pushed outwards at y; bars that bend and stretch.

    Half of a push sways both legs, half spreads them; a leg that spreads is held at its top by the top's turning and
    stretching.  On the leg that is pushed the two add up, on the other they do not.
    """
    height, span = at.height_m, at.span_m
    above = height - y
    # Legs that stretch let the top turn as if it were longer.
    top = span + 2.0 * height * thickness_m**2 / span**2
    sway = y - 3.0 * y**2 / (top + 6.0 * height)
    # Top of a leg that spreads: shift and turn under the push, over EI; the top's half length stretches.
    shift, both, turn = 12.0 / height**3 + 24.0 / (span * thickness_m**2), -6.0 / height**2, 4.0 / height + 2.0 / span
    force, moment = y**2 * (3.0 * height - 2.0 * y) / height**3, -(y**2) * above / height**2
    determinant = shift * turn - both**2
    shifted, turned = (turn * force - both * moment) / determinant, (shift * moment - both * force) / determinant
    return sway, y * above**2 / height**2 + 6.0 * shifted / height**2 - 2.0 * turned / height


def exact_foot_m(at: Contact, thickness_m: float) -> float:
    """Moment at the foot of the leg pushed at its high place, with or without the push at the other leg's low place."""
    sway, spread = sway_and_spread_m(at, thickness_m, at.high_m)
    against, along = sway_and_spread_m(at, thickness_m, at.low_m)
    return (sway + spread + most(along - against, 0.0)) / 2.0


def moments(
    at: Contact, thickness_m: float, *, foot: Welded = "both", corner: Literal["bent", "both", "outside"] = "bent"
) -> Moments:
    """Moments of a strap.

    Parameters
    ----------
    at : Contact
    thickness_m : float
        Of the strap.
    foot : "both" or "outside"
        Faces of the foot weld.  With one outside line the leg counts at its corner as a portal on hinges.
    corner : "bent", "both" or "outside"
        Bent, or made of three plates welded on both faces or outside only: then the legs are free cantilevers.
    """
    near, far, span = at.near_m, at.far_m, at.span_m
    k = at.height_m / span
    fixed = most(at.high_m * portal_share(k) + at.low_m, exact_foot_m(at, thickness_m))
    spread = (at.height_m**2 - at.high_m**2) / (at.height_m * (2.0 * at.height_m + 3.0 * span))
    at_corner = at.high_m * 3.0 * k / (2.0 * (6.0 * k + 1.0)) * (1.0 + spread)
    if foot == "outside":
        in_leg = 1.0 - at.high_m / at.height_m * (1.0 + spread)
        at_corner = at.high_m / 2.0 * (1.0 + most(spread, in_leg))
    if corner == "outside":
        fixed = at.high_m
    top_corner = near * far**2 / span**2
    held = near * far / span
    return Moments(held, top_corner, top_corner / 2.0, near, held, held / 2.0, at_corner, fixed)


def plate_Pa(strap: Strap, pull: float, moment_m: float, push_moment_m: float, curved: float = 1.0) -> LegWeights:
    """Stress in the plate (Pa) under a pull with its moment, and under a push's moment; ``curved`` by Winkler."""
    section, modulus = strap.length_m * strap.thickness_m, strap.length_m * strap.thickness_m**2 / 6.0
    return LegWeights(pull / section + curved * moment_m / modulus, curved * push_moment_m / modulus)


def both_faces_N_m(strap: Strap, moment_m: float, push_moment_m: float) -> LegWeights:
    """Pull on a metre of weld, one line on each face of a plate: ``N/(2L) + M/(t L)``."""
    lever = strap.thickness_m * strap.length_m
    return LegWeights(1.0 / (2.0 * strap.length_m) + moment_m / lever, push_moment_m / lever)


def one_line_Pa(strap: Strap, throat_m: float, moment_m: float, push_moment_m: float) -> LegWeights:
    """Stress on the throat of one outside line, bent open: ``N/(L a) + 6 M/(L a^2)``."""
    modulus = strap.length_m * throat_m**2 / 6.0
    return LegWeights(1.0 / (strap.length_m * throat_m) + moment_m / modulus, push_moment_m / modulus)


class LapGroup(NamedTuple):
    """Weld of a leg lapped on the bed's side, two edges and the bottom: length and modulus of its lines."""

    length_m: float
    modulus_m2: float


def lap(length_m: float, edge_m: float) -> LapGroup:
    """Two edges l long (after the ledge rule) and the line below them, L: ``S = l^2 (l + 2L)/(3 (l + L))``."""
    modulus = edge_m**2 * (edge_m + 2.0 * length_m) / (3.0 * (edge_m + length_m))
    return LapGroup(2.0 * edge_m + length_m, modulus)


def lap_N_m(strap: Strap, edge_m: float, moment_m: float, push_moment_m: float) -> LegWeights:
    """Pull on a metre of a lapped leg's weld: in its plane ``N/l_group``, across ``(M + N t/2)/S``, added as vectors.

    A push's moment is added by magnitude, which is never less.
    """
    group = lap(strap.length_m, edge_m)
    across = (moment_m + strap.thickness_m / 2.0) / group.modulus_m2
    return LegWeights(hypot(1.0 / group.length_m, across), push_moment_m / group.modulus_m2)


# ---------------------------------------------------------------- bends


def winkler(thickness_m: float, inside_radius_m: float) -> float:
    """Stress at the inside of a bent flat bar over that of a straight one: ``(r_n - r_i) t/(6 e r_i)``."""
    t, inside = thickness_m, inside_radius_m
    neutral = t / log((inside + t) / inside)
    return (neutral - inside) * t / (6.0 * (inside + t / 2.0 - neutral) * inside)


def least_bend_radius_m(thickness_m: float) -> float:
    """Inside radius below which mild flat bar may crack in bending: 1.5 t to 13 mm, 2 t above (trade table, copy)."""
    return (1.5 if thickness_m <= 0.013 + 1e-9 else 2.0) * thickness_m


def bend_clearance_m(inside_radius_m: float, corner_m: float) -> float:
    """Gap below which a bend rides on the boom's corner: ``(r_i - r)(sqrt 2 - 1)/sqrt 2``, at least 0."""
    return most((inside_radius_m - corner_m) * (sqrt(2.0) - 1.0) / sqrt(2.0), 0.0)


# ---------------------------------------------------------------- boom pin, wobble


def pin_touch_rad(width_m: float, boom_hole_m: float, strap_hole_m: float, pin_m: float) -> float:
    """Roll until the boom pin takes the twist: its clearance in boom and strap over the boom's width."""
    return (boom_hole_m - pin_m + strap_hole_m - pin_m) / width_m


def pin_pulls(slide: Linear, twist: Linear, width_m: Number) -> tuple[Linear, Linear]:
    """Shear of the boom pin at each end (N), to be added by vector: half of the slide, and the twist's couple."""
    return slide.times(0.5), twist.times(1.0 / width_m)


class Wobble(NamedTuple):
    """How far the boom can settle in its straps: roll either way, droop and yaw (rad)."""

    roll_rad: Number
    droop_rad: Number
    yaw_rad: Number


def wobble(at: Contact, strap: Strap, spacing_m: Number, pin_rad: float = math.inf) -> Wobble:
    """Play of the boom in two straps ``spacing_m`` apart; gaps not entered come in as `UNKNOWN_GAP_M`."""
    roll = least(strap.top_gap_m / at.flat_width_m, 2.0 * strap.side_gap_m / at.flat_depth_m, pin_rad)
    return Wobble(roll, strap.top_gap_m / spacing_m, 2.0 * strap.side_gap_m / spacing_m)
