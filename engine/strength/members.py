"""Tubes as members: bending, shear, twist, push and pull, and all of them combined.

Chapter letters are AISC 360-22: E3 compression, F7 bending of rectangular tube (F8 round), G4 shear (G5 round), H3.1
torsion, H3.2 combined.  Slenderness uses flat widths ``B - 3 t``.  The functions named ``nominal_...`` give strengths
before any factor, so that published examples can be held against them.

Two choices, both on the low side: H3.2's permission to neglect a small torsion is not taken, and a wall so slender
that it buckles before it yields has its moment reduced by the square of the slenderness instead of by an effective
width.

For the design factor on yield the member is elastic: direct and bending stress add up at the worst corner and meet
the shear there by von Mises.  What buckles before it yields is held to the design factor too (`with_local_buckling`).
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable

import msgspec

from engine.base.geometry import Number, Vec, least, most, sqrt, where
from engine.base.plain_call import plain_call
from engine.rig.check import Check, Unit
from engine.schema.model import Policy
from engine.schema.sections import RectTube, RoundTube, SectionProperties, outer_depth_m, outer_width_m, properties
from engine.schema.steel import ELASTIC_MODULUS_PA, design_wall_m, entered_wall_m
from engine.strength.allowable_stress import AISC_OR_FACTOR, OMEGA_MEMBER, AllowableStress, allowable_stress
from engine.strength.cuts import SectionForces
from engine.strength.linear_in_load import CheckLabel, check_magnitude, check_use
from engine.strength.unverified_values import (
    ROUND_COMPACT,
    ROUND_MODULUS,
    ROUND_NONCOMPACT,
    ROUND_TORSION,
    SHEAR_MIDDLE,
    SHEAR_OVER_YIELD,
    SHEAR_SLENDER,
    TORSION_MIDDLE,
    TORSION_SLENDER,
)

E_PA = ELASTIC_MODULUS_PA
Tube = RectTube | RoundTube

# ---------------------------------------------------------------- nominal strengths


def nominal_bending_Nm(
    tube: Tube, wall_m: float, yield_Pa: float, *, sideways: bool = False, unbraced_m: float = 0.0
) -> float:
    """Bending strength Mn: F7 for rectangular tube, F8 for round.

    Parameters
    ----------
    tube : RectTube or RoundTube
    wall_m : float
        Design wall.
    yield_Pa : float
    sideways : bool
        About the standing axis instead of the lateral one.
    unbraced_m : float
        Length free to buckle sideways; counts only for a tube deeper than wide.
    """
    section = properties(tube, wall_m)
    if isinstance(tube, RoundTube):
        return _round_bending_Nm(tube.diameter_m / wall_m, section, yield_Pa)
    width, depth = (tube.depth_m, tube.width_m) if sideways else (tube.width_m, tube.depth_m)
    plastic = (section.plastic_side_m3 if sideways else section.plastic_up_m3) * yield_Pa
    elastic = (section.elastic_side_m3 if sideways else section.elastic_up_m3) * yield_Pa
    root = sqrt(E_PA / yield_Pa)
    flange = _local(plastic, elastic, (width - 3.0 * wall_m) / wall_m, 1.12 * root, 1.40 * root)
    web = _local(plastic, elastic, (depth - 3.0 * wall_m) / wall_m, 2.42 * root, 5.70 * root)
    sideways_buckling = _lateral_torsional_Nm(section, plastic, elastic, unbraced_m) if depth > width else plastic
    return least(flange, web, sideways_buckling)


def _local(plastic: float, elastic: float, slender: float, compact: float, noncompact: float) -> float:
    """Moment limited by local buckling: plastic, then down a straight line to elastic, then with the square."""
    if slender <= compact:
        return plastic
    if slender <= noncompact:
        return plastic - (plastic - elastic) * (slender - compact) / (noncompact - compact)
    return elastic * (noncompact / slender) ** 2


def lateral_lengths_m(section: SectionProperties, plastic_Nm: float, yielding_Nm: float) -> tuple[float, float]:
    """Lp and Lr (m) of F7.4; ``yielding_Nm`` is Fy S about the strong axis."""
    radius = sqrt(section.second_moment_side_m4 / section.area_m2)
    stiff = E_PA * radius * sqrt(section.twist_m4 * section.area_m2)
    return 0.13 * stiff / plastic_Nm, 2.0 * stiff / (0.7 * yielding_Nm)


def _lateral_torsional_Nm(section: SectionProperties, plastic: float, elastic: float, unbraced_m: float) -> float:
    short, long = lateral_lengths_m(section, plastic, elastic)
    if unbraced_m <= short:
        return plastic
    at_long = 0.7 * elastic
    if unbraced_m <= long:
        return plastic - (plastic - at_long) * (unbraced_m - short) / (long - short)
    return at_long * long / unbraced_m


def _round_bending_Nm(slender: float, section: SectionProperties, yield_Pa: float) -> float:
    limit = E_PA / yield_Pa
    if slender <= ROUND_COMPACT * limit:
        return section.plastic_up_m3 * yield_Pa
    if slender <= ROUND_NONCOMPACT * limit:
        return least(
            section.plastic_up_m3 * yield_Pa, (ROUND_MODULUS * E_PA / slender + yield_Pa) * section.elastic_up_m3
        )
    return (
        (ROUND_MODULUS / ROUND_NONCOMPACT + 1.0)
        * yield_Pa
        * section.elastic_up_m3
        * (ROUND_NONCOMPACT * limit / slender) ** 2
    )


def shear_area_m2(tube: Tube, wall_m: float, *, sideways: bool = False) -> float:
    """Area that carries shear: both webs' flats (G4), half the area of a round tube (G5)."""
    if isinstance(tube, RoundTube):
        return properties(tube, wall_m).area_m2 / 2.0
    return 2.0 * wall_m * ((tube.width_m if sideways else tube.depth_m) - 3.0 * wall_m)


def nominal_shear_N(tube: Tube, wall_m: float, yield_Pa: float, *, sideways: bool = False) -> float:
    """Shear strength Vn by G4 (kv = 5) or G5."""
    area = shear_area_m2(tube, wall_m, sideways=sideways)
    if isinstance(tube, RoundTube):
        return 0.6 * yield_Pa * area
    slender = area / (2.0 * wall_m**2)
    root = sqrt(5.0 * E_PA / yield_Pa)
    if slender <= 1.10 * root:
        buckling = 1.0
    elif slender <= SHEAR_MIDDLE * root:
        buckling = 1.10 * root / slender
    else:
        buckling = SHEAR_SLENDER * root**2 / slender**2
    return 0.6 * yield_Pa * area * least(buckling, 1.0)


def nominal_twist_Nm(tube: Tube, wall_m: float, yield_Pa: float) -> float:
    """Torsional strength Tn = Fcr C by H3.1."""
    section = properties(tube, wall_m)
    if isinstance(tube, RoundTube):
        by_buckling: float = ROUND_TORSION * E_PA / (tube.diameter_m / wall_m) ** 1.5
        return least(by_buckling, 0.6 * yield_Pa) * section.torsion_m3
    slender = (most(tube.width_m, tube.depth_m) - 3.0 * wall_m) / wall_m
    root = sqrt(E_PA / yield_Pa)
    stress = 0.6 * yield_Pa
    if slender > TORSION_MIDDLE * root:
        stress = TORSION_SLENDER * math.pi**2 * E_PA / slender**2
    elif slender > 2.45 * root:
        stress = stress * 2.45 * root / slender
    return stress * section.torsion_m3


def nominal_push_N(section: SectionProperties, yield_Pa: float, column_m: float) -> float:
    """Compression strength Pn by E3, about the weaker axis, for an effective length KL."""
    radius = sqrt(least(section.second_moment_up_m4, section.second_moment_side_m4) / section.area_m2)
    slender = column_m / radius
    if slender <= 0.0:
        return yield_Pa * section.area_m2
    euler = math.pi**2 * E_PA / slender**2
    if slender <= 4.71 * sqrt(E_PA / yield_Pa):
        return 0.658 ** (yield_Pa / euler) * yield_Pa * section.area_m2
    return 0.877 * euler * section.area_m2


def use_with_torsion(push: Number, bend_up: Number, bend_side: Number, shear: Number, twist: Number) -> Number:
    """Combined use by H3-6: each argument is a demand over what is available; shear and torsion count squared."""
    return push + bend_up + bend_side + (shear + twist) ** 2


# ---------------------------------------------------------------- a member and what it is allowed


class Member(msgspec.Struct, frozen=True):
    """A tube of a steel under a policy: strengths available by AISC, its elastic section, and what is allowed.

    The elastic moduli of `member_of` are cut where the tube buckles before it yields.
    ``push_area_m2`` is the area that would yield at the push it buckles under, so that buckling too is held to the
    design factor.  ``buckling_N`` is the Euler load at the effective length, for the second-order moment.
    """

    allowable: AllowableStress
    section: SectionProperties
    wall_m: float
    push_N: float
    push_area_m2: float
    bend_up_Nm: float
    bend_side_Nm: float
    shear_up_N: float
    shear_side_N: float
    twist_Nm: float
    area_up_m2: float
    area_side_m2: float
    buckling_N: float

    @property
    def allowed_bend_up_Nm(self) -> float:
        """The smaller of AISC and the elastic moment at yield over the design factor."""
        return least(self.bend_up_Nm, self.section.elastic_up_m3 * self.allowable.factored_Pa)

    @property
    def allowed_shear_up_N(self) -> float:
        """The smaller of AISC and shear yield over the design factor, in the plane of the depth."""
        return least(self.shear_up_N, self.area_up_m2 * self.allowable.factored_Pa * SHEAR_OVER_YIELD)

    @property
    def allowed_twist_Nm(self) -> float:
        """The smaller of AISC and shear yield over the design factor, for twist."""
        return least(self.twist_Nm, self.section.torsion_m3 * self.allowable.factored_Pa * SHEAR_OVER_YIELD)


class CrossHole(msgspec.Struct, frozen=True):
    """A hole across through both side walls, its centre ``off_m`` from the middle of the depth."""

    diameter_m: float
    off_m: float = 0.0


@plain_call
@functools.lru_cache(maxsize=512)
def member_of(
    tube: Tube, steel: str, policy: Policy, *, unbraced_m: float, column_m: float, hole: CrossHole | None = None
) -> Member:
    """A tube as a member, the design factor on its local buckling included.

    Parameters
    ----------
    tube : RectTube or RoundTube
    steel : str
        Name of its grade.
    policy : Policy
    unbraced_m, column_m : float
        Length free to buckle sideways under bending, and effective length KL under push.
    hole : CrossHole, optional
        A cross hole in the section that is checked (net section).
    """
    walls = dict.fromkeys((design_wall_m(tube, steel), entered_wall_m(tube, steel)))
    found = [
        _with_wall(tube, wall, allowable_stress(steel, policy, tube), unbraced_m, column_m, hole) for wall in walls
    ]
    return functools.reduce(_weaker, found)


def _weaker(one: Member, other: Member) -> Member:
    """The less of every strength: a tube with a very thick wall may gain by a thinner one, its corners being round."""
    section = {name: _less(getattr(one.section, name), getattr(other.section, name)) for name in PROPERTIES}
    numbers = {name: _less(getattr(one, name), getattr(other, name)) for name in STRENGTHS}
    return Member(allowable=one.allowable, section=SectionProperties(**section), **numbers)


def _less(one: float, other: float) -> float:
    return least(one, other)


PROPERTIES = SectionProperties.__struct_fields__
STRENGTHS = tuple(name for name in Member.__struct_fields__ if name not in ("allowable", "section"))


def _with_wall(
    tube: Tube, wall: float, stress: AllowableStress, unbraced_m: float, column_m: float, hole: CrossHole | None
) -> Member:
    """As `member_of`, with a wall."""
    fy = stress.grade.yield_Pa
    gross = properties(tube, wall)
    net, keep = gross, 1.0
    if hole is not None:
        net = net_of_cross_hole(gross, tube, wall, hole)
        keep = most(1.0 - 2.0 * wall * hole.diameter_m / shear_area_m2(tube, wall), 0.0)
        net = msgspec.structs.replace(net, torsion_m3=gross.torsion_m3 * keep)
    bend_up = nominal_bending_Nm(tube, wall, fy, unbraced_m=unbraced_m) * net.plastic_up_m3 / gross.plastic_up_m3
    bend_side = nominal_bending_Nm(tube, wall, fy, sideways=True, unbraced_m=unbraced_m)
    bend_side = bend_side * net.plastic_side_m3 / gross.plastic_side_m3
    push = nominal_push_N(gross, fy, column_m) * net.area_m2 / gross.area_m2
    second = least(gross.second_moment_up_m4, gross.second_moment_side_m4)
    yielding = Member(
        stress,
        net,
        wall,
        push / OMEGA_MEMBER,
        push / fy,
        bend_up / OMEGA_MEMBER,
        bend_side / OMEGA_MEMBER,
        nominal_shear_N(tube, wall, fy) * keep / OMEGA_MEMBER,
        nominal_shear_N(tube, wall, fy, sideways=True) / OMEGA_MEMBER,
        nominal_twist_Nm(tube, wall, fy) * keep / OMEGA_MEMBER,
        shear_area_m2(tube, wall) * keep,
        shear_area_m2(tube, wall, sideways=True),
        math.pi**2 * E_PA * second / column_m**2 if column_m > 0.0 else math.inf,
    )
    return with_local_buckling(yielding)


def with_local_buckling(found: Member) -> Member:
    """The member with the design factor on local buckling too: elastic moduli and areas cut to what buckles first.

    Each is multiplied by the nominal strength over that at yield, at most 1: bending ``Mn/(Fy S)``, shear
    ``Vn/(0.6 Fy A)``, twist ``Tn/(0.6 Fy C)``.  So what is allowed becomes ``min(Mn/1.67, min(Mn, Fy S)/Nd)``, and
    likewise in `together`.
    """
    section, fy = found.section, found.allowable.grade.yield_Pa

    def share(allowed: float, at_yield: float) -> float:
        return least(OMEGA_MEMBER * allowed / most(at_yield, NOTHING), 1.0)

    elastic_up, elastic_side, torsion = section.elastic_up_m3, section.elastic_side_m3, section.torsion_m3
    cut = msgspec.structs.replace(
        section,
        elastic_up_m3=elastic_up * share(found.bend_up_Nm, fy * elastic_up),
        elastic_side_m3=elastic_side * share(found.bend_side_Nm, fy * elastic_side),
        torsion_m3=torsion * share(found.twist_Nm, 0.6 * fy * torsion),
    )
    return msgspec.structs.replace(
        found,
        section=cut,
        area_up_m2=found.area_up_m2 * share(found.shear_up_N, 0.6 * fy * found.area_up_m2),
        area_side_m2=found.area_side_m2 * share(found.shear_side_N, 0.6 * fy * found.area_side_m2),
    )


def net_of_cross_hole(gross: SectionProperties, tube: Tube, wall_m: float, hole: CrossHole) -> SectionProperties:
    """Section less a cross hole in both side walls, about its own shifted middle.

    A round tube's walls count as straight where the hole goes through them.
    """
    width, depth = outer_width_m(tube), outer_depth_m(tube)
    d, off = hole.diameter_m, hole.off_m
    lost = 2.0 * wall_m * d
    area = gross.area_m2 - lost
    shift = lost * abs(off) / area
    up = gross.second_moment_up_m4 - 2.0 * wall_m * d**3 / 12.0 - lost * off**2 - area * shift**2
    lever = (width - wall_m) / 2.0
    side = gross.second_moment_side_m4 - lost * lever**2 - 2.0 * d * wall_m**3 / 12.0
    return msgspec.structs.replace(
        gross,
        area_m2=area,
        second_moment_up_m4=up,
        second_moment_side_m4=side,
        elastic_up_m3=up / (depth / 2.0 + shift),
        elastic_side_m3=2.0 * side / width,
        plastic_up_m3=gross.plastic_up_m3 - 2.0 * wall_m * (d**2 / 4.0 + d * abs(off)),
        plastic_side_m3=gross.plastic_side_m3 - lost * lever,
    )


# ---------------------------------------------------------------- checks


NOTHING = 1e-12
"""Area (m2), modulus (m3), force (N) or moment (N·m) that stands for none, so that nothing is divided by zero."""


def combined_use(
    member: Member,
    forces: SectionForces,
    *,
    column: bool = False,
    twists: tuple[Callable[[Number], Number], ...] = (),
) -> Callable[[Number], Number]:
    """Use of a member under all six components, as a function of the load.

    ``twists`` are others that may act in place of the twist among ``forces``, as functions of the load; each counts
    only when positive.

    The greater of H3-6 and the elastic stress at the worst corner over yield / design factor.  With ``column`` the
    moments grow by ``1 / (1 - 1.6 P / Pe)`` (AISC 360 Appendix 8, allowable strength), P being the push.
    """
    p0, p1, u0, u1 = forces.axial.fixed, forces.axial.per_kg, forces.shear_up.fixed, forces.shear_up.per_kg
    s0, s1, t0, t1 = forces.shear_side.fixed, forces.shear_side.per_kg, forces.twist.fixed, forces.twist.per_kg
    bu0, bu1, bs0, bs1 = forces.bend_up.fixed, forces.bend_up.per_kg, forces.bend_side.fixed, forces.bend_side.per_kg
    section, limit = member.section, member.allowable.factored_Pa
    # A hole may leave no wall at all: then next to nothing is left, and any force is over.
    elastic_up, elastic_side, torsion = (
        most(value, NOTHING) for value in (section.elastic_up_m3, section.elastic_side_m3, section.torsion_m3)
    )
    area, area_up, area_side = (
        most(value, NOTHING) for value in (member.push_area_m2, member.area_up_m2, member.area_side_m2)
    )
    can_push, can_up, can_side, can_shear_up, can_shear_side, can_twist = (
        most(value, NOTHING)
        for value in (
            member.push_N,
            member.bend_up_Nm,
            member.bend_side_Nm,
            member.shear_up_N,
            member.shear_side_N,
            member.twist_Nm,
        )
    )

    def use(load_kg: Number) -> Number:
        push, shear_up, shear_side = abs(p0 + p1 * load_kg), abs(u0 + u1 * load_kg), abs(s0 + s1 * load_kg)
        twist, up, side = abs(t0 + t1 * load_kg), abs(bu0 + bu1 * load_kg), abs(bs0 + bs1 * load_kg)
        for other in twists:
            twist = most(twist, other(load_kg))
        if column:
            grown = moment_growth(push, member.buckling_N)
            up, side = up * grown, side * grown
        cut = shear_up / can_shear_up + shear_side / can_shear_side
        by_code = use_with_torsion(push / can_push, up / can_up, side / can_side, cut, twist / can_twist)
        stress = push / area + up / elastic_up + side / elastic_side
        shear = shear_up / area_up + shear_side / area_side + twist / torsion
        return most(by_code, sqrt(stress * stress + 3.0 * shear * shear) / limit)

    return use


LEAST_ROOM = 1e-9
"""From buckling on, growth would be infinite; it stays finite so that it leaves a moment of zero at zero."""


def moment_growth(push_N: Number, buckling_N: float) -> Number:
    """Second-order growth of a cantilever's moments: huge from 1 / 1.6 of the buckling load on.

    There the push alone is already over its own limit (0.877 / 1.67 of the buckling load).
    """
    room = 1.0 - 1.6 * push_N / buckling_N
    return 1.0 / where(room <= LEAST_ROOM, LEAST_ROOM, room)


MEMBER_SOURCE = f"{AISC_OR_FACTOR}: F7/F8, elastic section for the factor"


def checks(
    part: str,
    where_words: str,
    place_m: Vec,
    member: Member,
    forces: SectionForces,
    load_kg: Number,
    *,
    column: bool = False,
) -> list[Check]:
    """Bending, shear, twist and all components combined at one section of a member."""
    grade, factor = member.allowable.grade, member.allowable.factor
    common = {"yield": grade.yield_Pa, "grade": grade.name, "factor": factor, "at": where_words}

    def label(kind: str, unit: Unit, words: str, source: str) -> CheckLabel:
        return CheckLabel(part, f"{kind} {where_words}", place_m, unit, words, source)

    bending = label("bending", "Nm", _BENDING, MEMBER_SOURCE)
    shear = label("shear", "N", _SHEAR, f"{AISC_OR_FACTOR}: G4/G5")
    twist = label("twist", "Nm", _TWIST, f"{AISC_OR_FACTOR}: H3.1")
    combined = label("combined stress", "", _COMBINED, f"{AISC_OR_FACTOR}: H3-6, von Mises")
    return [
        check_magnitude(bending, forces.bend_up, member.allowed_bend_up_Nm, load_kg, **common),
        check_magnitude(shear, forces.shear_up, member.allowed_shear_up_N, load_kg, **common),
        check_magnitude(twist, forces.twist, member.allowed_twist_Nm, load_kg, **common),
        check_use(
            combined,
            combined_use(member, forces, column=column),
            load_kg,
            up=abs(forces.bend_up.at(load_kg)),
            side=abs(forces.bend_side.at(load_kg)),
            push=abs(forces.axial.at(load_kg)),
            twist=abs(forces.twist.at(load_kg)),
            up_allowed=member.allowed_bend_up_Nm,
            **common,
        ),
    ]


_BENDING = "bending {demand:Nm} {at}; allowed {allowed:Nm} (yield {yield:Pa}, {grade}, factor {factor:ratio})"
_SHEAR = "shear {demand:N} {at}; allowed {allowed:N} (yield {yield:Pa}, {grade}, factor {factor:ratio})"
_TWIST = "twist {demand:Nm} {at}; allowed {allowed:Nm} (yield {yield:Pa}, {grade}, factor {factor:ratio})"
_COMBINED = (
    "bending {up:Nm} up and {side:Nm} sideways, push or pull {push:N} and twist {twist:Nm} {at} together use "
    "{demand:share} (bending alone is allowed {up_allowed:Nm}; yield {yield:Pa}, {grade}, factor {factor:ratio})"
)
