"""Demand and allowance of every part of one rig by hand.

The rig is the vineyard's with every size made different from its neighbour, on a level floor, so that each demand is
a sum of weights times distances.  What is allowed follows from yield (unknown steel: tube 195 MPa, bar and plate 185,
175 over 16 mm; 290 at breaking) by AISC 360-22 and by the design factor, of which the smaller counts; each is looked at
alone: `FACTOR` is so
strict that AISC never governs, `AISC` so mild (less than a job may ask for) that it always does.
"""

from __future__ import annotations

import math
from typing import Literal

import pytest
from rigs import REPLACE, VINEYARD, checks

from engine.rig.check import Check
from engine.rig.kinematics import figures
from engine.schema.connections import Gear, HeelChain, HeelPin, Pin, RatedMoment, ThroughPin, Weld
from engine.schema.model import ArmPose, Hook, JibMast, Job, Policy, Pose
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube, RoundTube, properties
from engine.strength import members
from engine.strength.sleeves import heel_pin_limits

G = 9.80665
FY, BAR, THICK_BAR, FU = 195e6, 185e6, 175e6, 290e6
E = 29_000 * 6_894_757.293168361
"""29,000 ksi, AISC 360."""

AISC = Policy(design_factor=1.0, dynamic_factor=1.2)
FACTOR = Policy(design_factor=6.0, dynamic_factor=1.2)
POLICIES = pytest.mark.parametrize("policy", [AISC, FACTOR], ids=["AISC", "factor"])


def tube(width_mm: float, depth_mm: float, wall_mm: float) -> RectTube:
    return RectTube(width_m=width_mm / 1e3, depth_m=depth_mm / 1e3, wall_m=wall_mm / 1e3)


def weighed(mass_kg: float) -> Estimate:
    return Estimate(best=mass_kg, known="weighed")


def by_policy(policy: Policy, aisc: float, factor: float) -> float:
    return aisc if policy is AISC else factor / policy.design_factor


def stress(policy: Policy, fy: float = FY) -> float:
    """Direct and elastic bending stress: Fy over 1.67."""
    return by_policy(policy, fy / 1.67, fy)


def shear(policy: Policy, fy: float = FY) -> float:
    """Plate in shear, J4.2: 0.60 Fy over 1.50; von Mises over the factor."""
    return by_policy(policy, 0.60 * fy / 1.50, fy / math.sqrt(3.0))


def pin_shear(policy: Policy, fy: float = THICK_BAR) -> float:
    """Solid pin, Table J3.2: 0.563 Fu over 2.00."""
    return by_policy(policy, 0.563 * FU / 2.00, fy / math.sqrt(3.0))


def bearing(policy: Policy, fy: float = THICK_BAR) -> float:
    """Pin in a drilled hole, J7: 1.8 Fy over 2.00; 1.25 Fy over the factor (ASME BTH-1, from memory)."""
    return by_policy(policy, 1.8 * fy / 2.00, 1.25 * fy)


def breaking(policy: Policy) -> float:
    """What a breaking strength is divided by: 2.00, or 1.20 times the factor."""
    return 2.00 if policy is AISC else 1.20 * policy.design_factor


def on_throat(policy: Policy, ksi: float = 70.0) -> float:
    """J2.4: 0.60 of the electrode, or of the base metal on a face root two as wide; 0.70 for a weld nobody saw."""
    return 0.60 * min(ksi * 6_894_757.293168361, math.sqrt(2.0) * FU) * 0.70 / breaking(policy)


E70 = {"electrode": "E70"}


def the_job(policy: Policy = FACTOR, **changes: object) -> Job:
    """The vineyard with sizes of its own; changes are of the rig's parts."""
    rig, flat = VINEYARD.rig, Estimate(best=0.0, known="measured")
    one, two = rig.arms
    hinge = REPLACE(
        one.hinge,
        pin=Pin(diameter_m=0.028, hole_m=0.0285),
        spacing_m=0.3,
        barrel_outer_m=0.056,
        barrel_length_m=0.062,
        lug_thickness_m=0.022,
        lug_edge_m=0.05,
        gap_m=0.003,
        weld=Weld(leg_m=0.007, **E70),
        steel="unknown",
        inner_end=None,
        outer_end=None,
    )
    parts = {
        "sleeves": REPLACE(
            rig.sleeves,
            section=tube(160, 80, 8),
            length_m=0.95,
            heel_gap_m=0.04,
            cross_section=tube(140, 90, 7),
            mass_kg=weighed(50.0),
            heel_hold=HeelPin(pin=Pin(diameter_m=0.016, hole_m=0.0165)),
            steel="unknown",
        ),
        "jib_mast": REPLACE(
            rig.jib_mast, section=tube(140, 150, 6.4), foot_x_m=0.35, mass_kg=weighed(29.0), length_m=1.337
        ),
        "saddles": REPLACE(
            rig.saddles,
            front_x_m=0.05,
            rear_x_m=-0.65,
            strap_length_m=0.08,
            strap_thickness_m=0.02,
            strap_weld=Weld(leg_m=0.009, **E70),
            bed=None,
            seat_m=0.08,
            strap_make=None,
            strap_foot=None,
            side_gap_m=None,
            top_gap_m=None,
            shims="none",
            mass_kg=weighed(11.0),
            steel="unknown",
        ),
        "boom": REPLACE(
            rig.boom,
            section=tube(120, 150, 6.4),
            pin=Pin(diameter_m=0.02, hole_m=0.021),
            hole_edge_m=0.06,
            mass_kg=weighed(67.0),
        ),
        "arms": (
            REPLACE(one, section=tube(100, 120, 5), hinge=hinge, steel="unknown"),
            REPLACE(two, section=tube(75, 80, 6), steel="unknown"),
        ),
        "hook": REPLACE(
            rig.hook,
            end=ThroughPin(pin=Pin(diameter_m=0.02, hole_m=0.0205), edge_m=0.038, gap_m=0.01),
            gear=(Gear(kind="hook", name="hook", wll_kg=750.0),),
        ),
    }
    forks = REPLACE(VINEYARD.truck.forks, thickness_m=0.035, mass_kg=60.0, rating_each_kg=None, rating_centre_m=None)
    job = REPLACE(VINEYARD, floors=(REPLACE(VINEYARD.floors[0], fall_along=flat, fall_across=flat),), policy=policy)
    job = REPLACE(job, truck=REPLACE(job.truck, forks=forks))
    return REPLACE(job, rig=REPLACE(rig, **(parts | changes)))


def pose(*turns_deg: float) -> Pose:
    """The boom 1.0 m out, arms turned so far to the left."""
    arms = tuple(ArmPose(turn_rad=math.radians(turn)) for turn in turns_deg)
    return REPLACE(VINEYARD.poses[0], hole=None, free_out_m=1.0, arms=arms)


STRAIGHT, ELBOW, SQUARE = pose(0.0, 0.0), pose(0.0, 90.0), pose(90.0, 0.0)

HUNG = 1.2 * (285.0 + 15.0) + 12.0
"""Load and rigging with the dynamic factor, and the hook (kg)."""

# About hinge 2, hinge 1 (arms in line or arm 2 square) and along the boom: kilograms times metres.
OUTER = HUNG * 0.65 + 12.0 * 0.325
INNER = HUNG * 1.4 + 15.0 * 0.375 + 12.0 * 1.075
INNER_ELBOW = HUNG * 0.75 + 15.0 * 0.375 + 12.0 * 0.75
BEYOND_KG = 67.0 * (1.0 - 0.05) / 2.4
"""Boom outboard of the front saddle."""
AT_FRONT = INNER_ELBOW + (HUNG + 27.0) * 0.95 + BEYOND_KG * 0.475
WHOLE = INNER_ELBOW + (HUNG + 27.0) * 0.95 - 67.0 * 0.25
"""About the front saddle, tail and all: the boom's middle stands 0.25 m behind it."""
MAST_TOP = WHOLE + (HUNG + 27.0 + 67.0) * 0.05 - 11.0 * 0.3
FORKS_KG = HUNG + 27.0 + 67.0 + 11.0 + 29.0 + 50.0
FORKS = MAST_TOP + (FORKS_KG - 50.0) * 0.35 + 50.0 * (0.04 + 0.475)


def told(policy: Policy, stance: Pose, **changes: object) -> dict[tuple[str, str], Check]:
    """Checks with the boom's pin in, wherever the boom stands."""
    job = the_job(policy, **changes)
    pinned = REPLACE(figures(job, stance), pinned=1.0)
    return {(check.part, check.kind): check for check in checks(job, pinned)}


def by_hand(value: float) -> object:
    return pytest.approx(value, rel=1e-9, abs=1e-6)


# ---------------------------------------------------------------- hook


def with_end(**changes: object) -> Hook:
    hook = the_job().rig.hook
    return REPLACE(hook, end=REPLACE(hook.end, **changes))


@POLICIES
def test_the_hook_pin(policy: Policy) -> None:
    hook = {kind: check for (part, kind), check in told(policy, STRAIGHT).items() if part == "hook pin"}
    assert [check.demand for check in hook.values()] == [by_hand(HUNG * G)] * 4
    assert hook["double shear"].allowed == by_hand(2.0 * math.pi * 0.02**2 / 4.0 * pin_shear(policy))
    assert hook["bearing on the walls"].allowed == by_hand(2.0 * 0.006 * 0.02 * bearing(policy))
    # Half the pull on each side: its lever is the gap and half the bearing length on either side of it.
    side = hook["bending over the gap"].allowed / 2.0
    moment = math.pi * 0.02**3 / 32.0 * by_policy(policy, 1.6 * THICK_BAR / 1.67, THICK_BAR)
    assert side * (0.01 + side / (bearing(policy) * 0.02)) == by_hand(moment)


@POLICIES
def test_a_hook_on_the_middle_of_its_pin_bends_it_over_the_width_between_the_walls(policy: Policy) -> None:
    """P w / 4, from middle to middle of the walls of the 75 mm wide arm."""
    hook = with_end(gap_m=None)
    check = told(policy, STRAIGHT, hook=hook)["hook pin", "bending over the gap"]
    moment = math.pi * 0.02**3 / 32.0 * by_policy(policy, 1.6 * THICK_BAR / 1.67, THICK_BAR)
    assert (check.allowed, check.numbers["span"]) == (by_hand(4.0 * moment / 0.069), by_hand(0.069))


@POLICIES
@pytest.mark.parametrize(("edge_m", "counts_m"), [(0.038, 0.038), (0.06, 0.04)])
def test_the_hook_pin_tears_out_of_the_nearer_of_end_and_underside(
    policy: Policy, edge_m: float, counts_m: float
) -> None:
    """D5.1 and J4.2 for two walls of 6 mm; the underside is half of 80 mm away."""
    hook = with_end(edge_m=edge_m)
    check = told(policy, STRAIGHT, hook=hook)["hook pin", "tear-out of the walls"]
    beyond = counts_m - 0.0205 / 2.0
    tension = FU * 2.0 * 0.006 * min(2.0 * 0.006 + 0.63 * 0.0254, beyond) / breaking(policy)
    tear = 0.6 * FU * 2.0 * 0.006 * (beyond + 0.01) / breaking(policy)
    yielding = shear(policy) * 2.0 * 0.006 * (beyond + 0.01)
    assert check.allowed == by_hand(2.0 * min(tension, tear, yielding))


def test_the_mark_on_the_hook_is_held_against_all_below_it_as_felt() -> None:
    check = told(FACTOR, STRAIGHT)["hook", "mark"]
    assert (check.demand, check.allowed) == (by_hand(1.2 * 300.0 * G), by_hand(750.0 * G))
    assert check.allowed_load_kg == by_hand(750.0 / 1.2 - 15.0)


def test_load_swing_pulls_along_and_across_at_once_with_the_dynamic_factor_and_spares_the_hook() -> None:
    """0.1 rad: tan 0.1 of the felt weight of load and rigging each way, under that weight and the hook's own."""
    sway = 1.2 * 300.0 * math.tan(0.1)
    check = told(REPLACE(FACTOR, swing_rad=0.1), STRAIGHT)["hook pin", "double shear"]
    assert check.demand == by_hand(math.sqrt(2.0 * sway**2 + HUNG**2) * G)


def test_braking_pulls_along_at_every_mass_and_at_the_load_with_the_dynamic_factor() -> None:
    check = told(REPLACE(FACTOR, braking=0.2), STRAIGHT)["hook pin", "double shear"]
    assert check.demand == by_hand(math.hypot(1.0, 0.2) * HUNG * G)


# ---------------------------------------------------------------- arms


@POLICIES
@pytest.mark.parametrize(
    ("stance", "moment", "twist"), [(STRAIGHT, INNER, 0.0), (ELBOW, INNER_ELBOW, OUTER)], ids=["straight", "elbow"]
)
def test_an_arm_at_its_hinge(policy: Policy, stance: Pose, moment: float, twist: float) -> None:
    """Compact, short against sideways buckling: Z by AISC, S by the factor; twist as soon as the next arm is turned."""
    arm = {kind: check for (part, kind), check in told(policy, stance).items() if part == "arm 1"}
    section = properties(tube(100, 120, 5))
    area = 2.0 * 0.005 * (0.120 - 0.015)
    bending = by_policy(policy, section.plastic_up_m3 * FY / 1.67, section.elastic_up_m3 * FY)
    cutting = area * by_policy(policy, 0.6 * FY / 1.67, FY / math.sqrt(3.0))
    twisting = section.torsion_m3 * by_policy(policy, 0.6 * FY / 1.67, FY / math.sqrt(3.0))
    weight = HUNG + 27.0
    for kind, demand, allowed in (("bending", moment, bending), ("shear", weight, cutting), ("twist", twist, twisting)):
        check = arm[f"{kind} at its hinge"]
        assert (check.demand, check.allowed) == (by_hand(demand * G), by_hand(allowed)), kind
    # H3-6 over what is available; von Mises at the worst corner over yield / factor.
    available = section.plastic_up_m3 * FY / 1.67, area * 0.6 * FY / 1.67, section.torsion_m3 * 0.6 * FY / 1.67
    h3_6 = moment * G / available[0] + (weight * G / available[1] + twist * G / available[2]) ** 2
    sigma, tau = moment * G / section.elastic_up_m3, weight * G / area + twist * G / section.torsion_m3
    von_mises = math.hypot(sigma, math.sqrt(3.0) * tau) / (FY / policy.design_factor)
    together = arm["combined stress at its hinge"]
    assert together.use == by_hand(max(h3_6, von_mises))
    assert together.numbers["up"] == by_hand(moment * G)
    assert together.numbers["twist"] == by_hand(twist * G)


@POLICIES
def test_the_net_section_at_the_hook_pin_of_the_last_link(policy: Policy) -> None:
    """Shear alone, in two walls of 6 mm less a hole of 20.5 mm; without arms it is the boom's end."""
    check = told(policy, STRAIGHT)["arm 2", "net section at the hook pin"]
    area = 2.0 * 0.006 * (0.080 - 0.018 - 0.0205)
    cut = HUNG * G / area
    assert check.use == by_hand(max((cut / (0.6 * FY / 1.67)) ** 2, cut * math.sqrt(3.0) / (FY / policy.design_factor)))
    job = the_job(policy)
    job = REPLACE(job, rig=REPLACE(job.rig, arms=()), poses=(pose(),), moves=())
    bare = {(check.part, check.kind): check for check in checks(job, figures(job, pose()))}
    cut = HUNG * G / (2.0 * 0.0064 * (0.150 - 0.0192 - 0.0205))
    assert bare["boom", "net section at the hook pin"].use == by_hand(
        max((cut / (0.6 * FY / 1.67)) ** 2, cut * math.sqrt(3.0) / (FY / policy.design_factor))
    )
    assert bare["hook pin", "bearing on the walls"].allowed == by_hand(2.0 * 0.0064 * 0.02 * bearing(policy))


def critical(shape: RectTube, length_m: float) -> float:
    """E3 with K = 2.1 (a cantilever on a real foot, Table C-A-7.1), about the weaker axis."""
    section = properties(shape)
    weak = min(section.second_moment_up_m4, section.second_moment_side_m4)
    yielding, euler = FY * section.area_m2, math.pi**2 * E * weak / (2.1 * length_m) ** 2
    # KL/r against 4.71 sqrt(E/Fy) is pi sqrt(Py/Pe) against 4.71.
    return 0.658 ** (yielding / euler) * yielding if math.pi * math.sqrt(yielding / euler) <= 4.71 else 0.877 * euler


@POLICIES
def test_tilted_back_the_weights_push_along_boom_and_arms_as_columns(policy: Policy) -> None:
    """Nose up by 0.13: sine of the weight along, cosine across, both in the same sum."""
    sine, cosine = math.sin(0.13), math.cos(0.13)
    told_of = told(policy, REPLACE(STRAIGHT, tilt_rad=0.13))
    arm, shape = told_of["arm 1", "combined stress at its hinge"], tube(100, 120, 5)
    section, area = properties(shape), 2.0 * 0.005 * (0.120 - 0.015)
    push, cut, bend = (HUNG + 27.0) * G * sine, (HUNG + 27.0) * G * cosine, INNER * G * cosine
    column = critical(shape, 0.75)
    h3_6 = push * 1.67 / column + bend / (section.plastic_up_m3 * FY / 1.67) + (cut / area / (0.6 * FY / 1.67)) ** 2
    sigma = push * FY / column + bend / section.elastic_up_m3
    von_mises = math.hypot(sigma, math.sqrt(3.0) * cut / area) / (FY / policy.design_factor)
    assert arm.use == by_hand(max(h3_6, von_mises))
    assert arm.numbers["push"] == by_hand(push)


@POLICIES
@pytest.mark.parametrize("arms", [True, False], ids=["arm 2", "boom"])
def test_the_net_section_of_the_last_link_is_pushed_as_a_column_too(policy: Policy, arms: bool) -> None:
    """Length of the arm, or of the boom: 2.4 m of a tube so slender that it matters."""
    job = the_job(policy)
    shape, length_m = (tube(75, 80, 6), 0.65) if arms else (tube(60, 60, 4), 2.4)
    rig = job.rig if arms else REPLACE(job.rig, arms=(), boom=REPLACE(job.rig.boom, section=shape, hole_edge_m=None))
    stance = REPLACE(STRAIGHT if arms else pose(), tilt_rad=0.13)
    job = REPLACE(job, rig=rig, poses=(stance,), moves=())
    check = next(check for check in checks(job, figures(job, stance)) if check.kind == "net section at the hook pin")
    section, hole, wall = properties(shape), 0.0205, shape.wall_m
    keep = (section.area_m2 - 2.0 * wall * hole) / section.area_m2
    area = 2.0 * wall * (shape.depth_m - 3.0 * wall - hole)
    push, cut, column = HUNG * G * math.sin(0.13), HUNG * G * math.cos(0.13), critical(shape, length_m) * keep
    h3_6 = push * 1.67 / column + (cut / area / (0.6 * FY / 1.67)) ** 2
    von_mises = math.hypot(push * FY / column, math.sqrt(3.0) * cut / area) / (FY / policy.design_factor)
    assert check.use == by_hand(max(h3_6, von_mises))


@POLICIES
def test_the_boom_at_the_front_saddle_is_pushed_as_a_column(policy: Policy) -> None:
    """All 2.4 m of it, net of its pin hole."""
    boom = REPLACE(the_job().rig.boom, section=tube(60, 60, 4), hole_edge_m=None)
    check = told(policy, REPLACE(STRAIGHT, tilt_rad=0.13), boom=boom)["boom", "combined stress at the front saddle"]
    shape, wall, hole = tube(60, 60, 4), 0.004, 0.021
    gross = properties(shape)
    lost = 2.0 * wall * hole
    elastic = (gross.second_moment_up_m4 - 2.0 * wall * hole**3 / 12.0) / 0.03
    plastic = gross.plastic_up_m3 - 2.0 * wall * hole**2 / 4.0
    area = 2.0 * wall * (0.06 - 3.0 * wall) - lost
    weight = (HUNG + 27.0 + BEYOND_KG) * G
    push, cut = weight * math.sin(0.13), weight * math.cos(0.13)
    bend = (INNER + (HUNG + 27.0) * 0.95 + BEYOND_KG * 0.475) * G * math.cos(0.13)
    column = critical(shape, 2.4) * (gross.area_m2 - lost) / gross.area_m2
    h3_6 = push * 1.67 / column + bend / (plastic * FY / 1.67) + (cut / area / (0.6 * FY / 1.67)) ** 2
    von_mises = math.hypot(push * FY / column + bend / elastic, math.sqrt(3.0) * cut / area)
    assert check.use == by_hand(max(h3_6, von_mises / (FY / policy.design_factor)))


# ---------------------------------------------------------------- hinges

DRAWN = [
    (STRAIGHT, "arm 1", INNER, 0.0, HUNG + 27.0),
    (ELBOW, "arm 1", INNER_ELBOW, OUTER, HUNG + 27.0),
]


def hinge_of(policy: Policy, stance: Pose, arm: str = "arm 1", **changes: object) -> dict[str, Check]:
    """Checks of a hinge; the changes are of arm 1's hinge."""
    one, two = the_job().rig.arms
    arms = (REPLACE(one, hinge=REPLACE(one.hinge, **changes)), two)
    return {kind: check for (part, kind), check in told(policy, stance, arms=arms).items() if part == f"{arm} hinge"}


def johansen_m(thick: float, gap: float) -> float:
    """Johansen: unit pressure over x one way and t - x the other, no moment about the middle of the gap."""
    low, high = thick / 2.0, thick
    for _ in range(60):
        x = (low + high) / 2.0
        back = thick - x
        moment = x * (gap / 2.0 + x / 2.0) - back * (gap / 2.0 + x + back / 2.0)
        low, high = (x, high) if moment < 0.0 else (low, x)
    return 2.0 * low - thick


@POLICIES
@pytest.mark.parametrize(("stance", "arm", "moment", "twist", "weight"), DRAWN, ids=["straight", "elbow"])
def test_the_barrels_of_a_hinge_in_single_shear(
    policy: Policy, stance: Pose, arm: str, moment: float, twist: float, weight: float
) -> None:
    hinge = hinge_of(policy, stance)
    pressure = bearing(policy)
    limits = {
        "pin shear": math.pi * 0.028**2 / 4.0 * pin_shear(policy),
        "bearing on the lug": pressure * 0.028 * johansen_m(0.022, 0.003),
        "bearing in the barrel": pressure * 0.028 * johansen_m(0.062, 0.003),
    }
    lug, beyond = johansen_m(0.022, 0.003), 0.05 - 0.0285 / 2.0
    limits["lug tear-out"] = min(
        FU * 2.0 * lug * min(2.0 * lug + 0.63 * 0.0254, beyond) / breaking(policy),
        0.6 * FU * 2.0 * lug * (beyond + 0.014) / breaking(policy),
        shear(policy, THICK_BAR) * 2.0 * lug * (beyond + 0.014),
    )
    for kind, allowed in limits.items():
        assert hinge[kind].allowed == by_hand(allowed), kind
        assert hinge[kind].demand == by_hand(math.hypot(moment, twist) * G / 0.3), kind
    # One side: the lever is half the gap and half the bearing length.
    pull = hinge["pin bending over the lug gap"].allowed
    bent = math.pi * 0.028**3 / 32.0 * by_policy(policy, 1.6 * THICK_BAR / 1.67, THICK_BAR)
    assert pull * (0.003 + pull / (pressure * 0.028)) / 2.0 == by_hand(bent)
    face = math.pi / 4.0 * (0.056**2 - 0.0285**2)
    assert (hinge["thrust face"].demand, hinge["thrust face"].allowed) == (
        by_hand(weight * G),
        by_hand(pressure * face),
    )
    assert hinge["pin shear"].numbers["moment"] == by_hand(math.hypot(moment, twist) * G)


@POLICIES
def test_the_barrels_of_a_hinge_in_double_shear_bear_over_all_their_length(policy: Policy) -> None:
    hinge = hinge_of(policy, STRAIGHT, shear_planes=2)
    pressure, beyond = bearing(policy), 0.05 - 0.0285 / 2.0
    assert hinge["pin shear"].allowed == by_hand(2.0 * math.pi * 0.028**2 / 4.0 * pin_shear(policy))
    assert hinge["bearing on the lug"].allowed == by_hand(2.0 * 0.022 * 0.028 * pressure)
    assert hinge["bearing in the barrel"].allowed == by_hand(0.062 * 0.028 * pressure)
    side = hinge["pin bending over the lug gap"].allowed / 2.0
    bent = math.pi * 0.028**3 / 32.0 * by_policy(policy, 1.6 * THICK_BAR / 1.67, THICK_BAR)
    assert side * (0.003 + side / (pressure * 0.028)) == by_hand(bent)
    assert hinge["lug tear-out"].allowed == by_hand(
        2.0
        * min(
            FU * 2.0 * 0.022 * min(2.0 * 0.022 + 0.63 * 0.0254, beyond) / breaking(policy),
            0.6 * FU * 2.0 * 0.022 * (beyond + 0.014) / breaking(policy),
            shear(policy, THICK_BAR) * 2.0 * 0.022 * (beyond + 0.014),
        )
    )


@pytest.mark.parametrize(
    ("stance", "along", "across"),
    [(STRAIGHT, INNER, 0.0), (ELBOW, INNER_ELBOW, OUTER), (SQUARE, 0.0, INNER)],
    ids=["straight", "elbow", "square"],
)
@pytest.mark.parametrize("planes", [1, 2])
@pytest.mark.parametrize("line_m", [None, 0.09])
@POLICIES
def test_the_lug_at_its_root(
    policy: Policy, stance: Pose, along: float, across: float, planes: int, line_m: float | None
) -> None:
    """A cantilever plate: pull over its section, turned pull and thrust over their section moduli, tilt of one lug."""
    hinge = hinge_of(policy, stance, shear_planes=planes, lug_weld_length_m=line_m)
    check, width, thick, reach = hinge["lug at its root"], line_m or 0.1, 0.022, 0.05
    pull, turned, thrust = along * G / 0.3, across * G / 0.3, (HUNG + 27.0) * G
    sigma = pull / (planes * thick * width) + turned * reach / (planes * thick * width**2 / 6.0)
    sigma += thrust * reach / (width * thick**2 / 6.0)
    if planes == 1:
        # The pin tilts with half the gap and half the lug as its lever.
        sigma += (pull + turned) * (0.003 + thick) / 2.0 / (width * thick**2 / 6.0)
    assert (check.demand, check.allowed) == (by_hand(sigma), by_hand(stress(policy, THICK_BAR)))


@pytest.mark.parametrize(
    ("stance", "along", "across"),
    [(STRAIGHT, INNER, 0.0), (ELBOW, INNER_ELBOW, OUTER), (SQUARE, 0.0, INNER)],
    ids=["straight", "elbow", "square"],
)
@pytest.mark.parametrize("planes", [1, 2])
@POLICIES
def test_the_welds_of_a_lug(policy: Policy, stance: Pose, along: float, across: float, planes: int) -> None:
    """Two lines of 100 mm, the lug's 22 mm apart; throat 0.707 of the 7 mm leg."""
    hinge = hinge_of(policy, stance, shear_planes=planes)
    check, width, apart, reach = hinge["lug weld"], 0.1, 0.022, 0.05
    pull, turned, thrust = along * G / 0.3, across * G / 0.3, (HUNG + 27.0) * G
    # Lines of length L: section modulus L^2/6 each in their plane; a couple of forces on L across it.
    line = pull / (2.0 * planes * width) + turned * reach / (2.0 * planes * width**2 / 6.0)
    line += thrust * reach / apart / width
    if planes == 1:
        line += (pull + turned) * (0.003 + apart) / 2.0 / apart / width
    assert check.demand == by_hand(line / (0.007 / math.sqrt(2.0)))
    assert check.allowed == by_hand(on_throat(policy))


@pytest.mark.parametrize(
    ("stance", "along", "across"),
    [(STRAIGHT, INNER, 0.0), (ELBOW, INNER_ELBOW, OUTER), (SQUARE, INNER, 0.0)],
    ids=["straight", "elbow", "square"],
)
@POLICIES
def test_the_welds_of_a_barrel(policy: Policy, stance: Pose, along: float, across: float) -> None:
    """Two lines of 62 mm, the barrel's 56 mm apart, turned with the arm: the thrust bends them at half of that."""
    check = hinge_of(policy, stance)["barrel weld"]
    pull, turned, thrust = along * G / 0.3, across * G / 0.3, (HUNG + 27.0) * G
    line = pull / (2.0 * 0.062) + turned * 0.028 / (0.056 * 0.062)
    line += thrust * 0.028 / (2.0 * 0.062**2 / 6.0)
    assert check.demand == by_hand(line / (0.007 / math.sqrt(2.0)))
    assert check.allowed == by_hand(on_throat(policy))


@pytest.mark.parametrize(("tilt", "slope"), [(0.1, 0.0), (-0.1, 0.0), (0.0, 0.05), (0.0, -0.05)])
def test_half_the_force_across_the_pin_comes_to_the_couple_on_the_worse_barrel(tilt: float, slope: float) -> None:
    """Whichever way the rig leans: along the boom with the couple of the bending, across it with that of the twist."""
    job = the_job(FACTOR)
    job = REPLACE(job, floors=(REPLACE(job.floors[0], fall_across=Estimate(best=slope, known="measured")),))
    stance, twist = (REPLACE(STRAIGHT, tilt_rad=tilt), 0.0) if tilt else (ELBOW, OUTER)
    steep = math.hypot(1.0, slope) / math.cos(tilt)
    bend = INNER if tilt else INNER_ELBOW
    weight = (HUNG + 27.0) * G
    pull = bend * G / steep / 0.3 + weight * abs(math.sin(tilt)) / 2.0
    turned = twist * G / steep / 0.3 + weight * abs(slope) / steep / 2.0
    thrust = weight / steep
    hinge = {check.kind: check for check in checks(job, figures(job, stance)) if check.part == "arm 1 hinge"}
    assert hinge["pin shear"].demand == by_hand(math.hypot(pull, turned))
    line = pull / (2.0 * 0.1) + turned * 0.05 / (2.0 * 0.1**2 / 6.0) + thrust * 0.05 / 0.022 / 0.1
    line += (pull + turned) * (0.003 + 0.022) / 2.0 / 0.022 / 0.1
    assert hinge["lug weld"].demand == by_hand(line / (0.007 / math.sqrt(2.0)))
    line = (pull + turned) / (2.0 * 0.062) + thrust * 0.028 / (2.0 * 0.062**2 / 6.0)
    assert hinge["barrel weld"].demand == by_hand(line / (0.007 / math.sqrt(2.0)))


def test_a_barrel_wider_than_the_lugs_edge_sets_the_lugs_reach() -> None:
    check = hinge_of(FACTOR, STRAIGHT, shear_planes=2, barrel_outer_m=0.11)["lug at its root"]
    sigma = INNER * G / 0.3 / (2.0 * 0.022 * 0.1) + (HUNG + 27.0) * G * 0.055 / (0.1 * 0.022**2 / 6.0)
    assert check.demand == by_hand(sigma)


@pytest.mark.parametrize(
    ("changes", "counts_m"),
    [({"lug_thickness_m": 0.005}, 0.005), ({"barrel_outer_m": 0.0385}, 0.005), ({}, 0.007)],
    ids=["thin lug", "thin barrel", "leg"],
)
def test_a_hinge_weld_counts_no_more_than_the_thinner_of_lug_and_barrel(
    changes: dict[str, float], counts_m: float
) -> None:
    """A leg of 7 mm on 5 mm of steel: the barrel's line stress, which thin lugs leave alone, over 5 mm's throat."""
    check = hinge_of(FACTOR, STRAIGHT, **changes)["barrel weld"]
    outer = changes.get("barrel_outer_m", 0.056)
    line = INNER * G / 0.3 / (2.0 * 0.062) + (HUNG + 27.0) * G * outer / 2.0 / (2.0 * 0.062**2 / 6.0)
    assert check.demand == by_hand(line / (counts_m / math.sqrt(2.0)))


# ---------------------------------------------------------------- boom


@POLICIES
def test_the_boom_at_the_front_saddle(policy: Policy) -> None:
    """Net of a 21 mm hole 15 mm below the middle; ``K`` 2.1 for the push, of which there is none here."""
    boom = {kind: check for (part, kind), check in told(policy, ELBOW).items() if part == "boom"}
    gross, wall, hole, off = properties(tube(120, 150, 6.4)), 0.0064, 0.021, 0.015
    lost = 2.0 * wall * hole
    area = gross.area_m2 - lost
    shift = lost * off / area
    second = gross.second_moment_up_m4 - 2.0 * wall * hole**3 / 12.0 - lost * off**2 - area * shift**2
    elastic = second / (0.075 + shift)
    plastic = gross.plastic_up_m3 - 2.0 * wall * (hole**2 / 4.0 + hole * off)
    webs = 2.0 * wall * (0.150 - 3.0 * wall)
    left = webs - lost
    torsion = gross.torsion_m3 * left / webs
    root = math.sqrt(3.0)
    for kind, demand, allowed in (
        ("bending", AT_FRONT, by_policy(policy, plastic * FY / 1.67, elastic * FY)),
        ("shear", HUNG + 27.0 + BEYOND_KG, left * by_policy(policy, 0.6 * FY / 1.67, FY / root)),
        ("twist", OUTER, torsion * by_policy(policy, 0.6 * FY / 1.67, FY / root)),
    ):
        check = boom[f"{kind} at the front saddle"]
        assert (check.demand, check.allowed) == (by_hand(demand * G), by_hand(allowed)), kind
    cut, twist, bent = (HUNG + 27.0 + BEYOND_KG) * G, OUTER * G, AT_FRONT * G
    h3_6 = bent / (plastic * FY / 1.67) + (cut / left + twist / torsion) ** 2 / (0.6 * FY / 1.67) ** 2
    von_mises = math.hypot(bent / elastic, root * (cut / left + twist / torsion)) / (FY / policy.design_factor)
    assert boom["combined stress at the front saddle"].use == by_hand(max(h3_6, von_mises))


@POLICIES
def test_on_a_side_slope_the_boom_bends_sideways_too_with_its_walls_drilled(policy: Policy) -> None:
    """Both side walls lose their hole at the lever of the walls; shear across is taken by top and underside."""
    job = the_job(policy)
    job = REPLACE(job, floors=(REPLACE(job.floors[0], fall_across=Estimate(best=0.08, known="measured")),))
    kind = "combined stress at the front saddle"
    check = next(check for check in checks(job, figures(job, STRAIGHT)) if (check.part, check.kind) == ("boom", kind))
    gross, wall, hole, off, width = properties(tube(120, 150, 6.4)), 0.0064, 0.021, 0.015, 0.120
    lost, lever = 2.0 * wall * hole, (width - wall) / 2.0
    shift = lost * off / (gross.area_m2 - lost)
    up = gross.second_moment_up_m4 - 2.0 * wall * hole**3 / 12.0 - lost * off**2 - (gross.area_m2 - lost) * shift**2
    side = gross.second_moment_side_m4 - lost * lever**2 - 2.0 * hole * wall**3 / 12.0
    elastic_up, elastic_side = up / (0.075 + shift), side / (width / 2.0)
    plastic_up = gross.plastic_up_m3 - 2.0 * wall * (hole**2 / 4.0 + hole * off)
    plastic_side = gross.plastic_side_m3 - lost * lever
    area_up, area_side = 2.0 * wall * (0.150 - 3.0 * wall) - lost, 2.0 * wall * (width - 3.0 * wall)
    down, aside = G / math.hypot(1.0, 0.08), 0.08 * G / math.hypot(1.0, 0.08)
    bend, weight = INNER + (HUNG + 27.0) * 0.95 + BEYOND_KG * 0.475, HUNG + 27.0 + BEYOND_KG
    h3_6 = (bend * down / plastic_up + bend * aside / plastic_side) / (FY / 1.67)
    h3_6 += ((weight * down / area_up + weight * aside / area_side) / (0.6 * FY / 1.67)) ** 2
    sigma = bend * down / elastic_up + bend * aside / elastic_side
    tau = weight * down / area_up + weight * aside / area_side
    assert check.use == by_hand(max(h3_6, math.hypot(sigma, math.sqrt(3.0) * tau) / (FY / policy.design_factor)))
    assert check.numbers["side"] == by_hand(bend * aside)


@POLICIES
def test_the_saddles_edges_press_on_one_wall_of_the_boom(policy: Policy) -> None:
    """J10-2, J10-4, from memory: ``Fy t 5 k`` over 1.50, k = 1.5 t; ``0.8 t^2 sqrt(E Fy)`` over 2.00."""
    boom = {kind: check for (part, kind), check in told(policy, ELBOW).items() if part == "boom"}
    rear = WHOLE * G / 0.7
    front = rear + (HUNG + 27.0 + 67.0) * G
    yielding = FY * 5.0 * 1.5 * 0.0064**2 / max(1.50, policy.design_factor)
    crippling = 0.80 * 0.0064**2 * math.sqrt(E * FY) / max(2.00, policy.design_factor)
    at_front, at_rear = boom["wall crushing at the front saddle"], boom["wall crushing at the rear saddle"]
    assert (at_front.demand, at_front.allowed) == (by_hand(front / 2.0 + COUPLE), by_hand(min(yielding, crippling)))
    assert (at_rear.demand, at_rear.allowed) == (by_hand(rear / 2.0 + COUPLE), by_hand(min(yielding, crippling)))
    assert at_front.place_m.x - at_rear.place_m.x == by_hand(0.7)


def test_shims_spread_the_saddles_edge_over_half_the_strap() -> None:
    saddles = REPLACE(the_job().rig.saddles, shims="wood", shim_top_m=0.002)
    soft = told(FACTOR, ELBOW, saddles=saddles)["boom", "wall crushing at the rear saddle"].allowed
    bare = told(FACTOR, ELBOW, saddles=REPLACE(saddles, shims="none"))[
        "boom", "wall crushing at the rear saddle"
    ].allowed
    assert soft == bare
    saddles = REPLACE(saddles, shims="steel")
    allowed = told(FACTOR, ELBOW, saddles=saddles)["boom", "wall crushing at the rear saddle"].allowed
    assert allowed == by_hand(FY * 0.0064 * (7.5 * 0.0064 + 0.04) / FACTOR.design_factor)


@pytest.mark.parametrize(("tail_m", "share"), [(0.151, 1.0), (0.149, 0.5), (0.074, 0.5)])
def test_the_booms_wall_takes_half_near_its_tail(tail_m: float, share: float) -> None:
    """Yielding governs, and takes half within a depth of 150 mm from the end."""
    job = the_job()
    pose = REPLACE(ELBOW, hole=None, free_out_m=job.rig.boom.length_m - 0.65 - 0.04 - tail_m)
    allowed = told(FACTOR, pose)["boom", "wall crushing at the rear saddle"].allowed
    assert allowed == by_hand(share * FY * 7.5 * 0.0064**2 / FACTOR.design_factor)


@pytest.mark.parametrize("policy", [AISC, FACTOR], ids=["AISC", "factor"])
def test_a_wall_of_steel_stronger_than_any_job_may_assume_cripples_before_it_yields(policy: Policy) -> None:
    """At 3,000 MPa sqrt(E/Fy) is 8.2: 0.80 t^2 sqrt(E Fy) over 2.00 comes to less than 7.5 Fy t^2 over 1.50."""
    strong = REPLACE(policy, unknown_yield_Pa=3e9)
    at = {kind: check for (part, kind), check in told(strong, STRAIGHT).items() if part == "boom"}
    crippling = 0.80 * 0.0064**2 * math.sqrt(E * 3e9) / max(2.00, policy.design_factor)
    assert crippling < 7.5 * 3e9 * 0.0064**2 / max(1.50, policy.design_factor)
    assert at["wall crushing at the front saddle"].allowed == by_hand(crippling)


@POLICIES
@pytest.mark.parametrize("thick_m", [0.02, 0.004])
def test_each_end_of_the_boom_pin_is_held_in_a_wall_and_a_straps_leg(policy: Policy, thick_m: float) -> None:
    job = the_job(policy)
    saddles = REPLACE(job.rig.saddles, strap_thickness_m=thick_m)
    tilted = REPLACE(STRAIGHT, tilt_rad=-0.1)
    check = told(policy, tilted, saddles=saddles)["boom pin", "double shear and bearing"]
    limits = (
        math.pi * 0.02**2 / 4.0 * pin_shear(policy),
        0.0064 * 0.02 * bearing(policy),
        thick_m * 0.02 * bearing(policy),
    )
    assert check.allowed == by_hand(min(limits))
    assert check.demand == by_hand((HUNG + 27.0 + 67.0) * G * math.sin(0.1) / 2.0)


@pytest.mark.parametrize(("top_mm", "taken"), [(None, True), (1.5, False), (1.65, True)])
def test_a_pin_closer_than_the_straps_takes_the_booms_twist(top_mm: float | None, taken: bool) -> None:
    """Pin 20 in 21 mm holes, 2 mm over a width of 120: the straps touch first up to 2/120 of 94.4, 1.573 mm on top."""
    gap = None if top_mm is None else top_mm / 1e3
    saddles = REPLACE(the_job().rig.saddles, side_gap_m=0.01, top_gap_m=gap, pin_hole_m=0.021)
    check = told(FACTOR, ELBOW, saddles=saddles)["boom pin", "double shear and bearing"]
    assert check.demand == pytest.approx(OUTER * G / 0.120 if taken else 0.0, abs=1e-6)


# ---------------------------------------------------------------- saddles

COUPLE = OUTER * G / (0.120 - 4.0 * 0.0064)
"""The boom's twist as two forces on its flats, a corner radius of 2 t in from each side (N)."""


@POLICIES
def test_the_straps_hold_the_tail_down_and_the_twist(policy: Policy) -> None:
    """Gaps not entered: 3 mm at each side and over the boom; a top corner presses, or a side, each with all of it."""
    told_of = told(policy, ELBOW)
    rear = {kind: check for (part, kind), check in told_of.items() if part == "rear strap"}
    front = {kind: check for (part, kind), check in told_of.items() if part == "front strap"}
    length, thick = 0.08, 0.02
    section, modulus = length * thick, length * thick**2 / 6.0
    span, near = 0.120 + 0.006 + thick, 2.0 * 0.0064 + 0.003 + thick / 2.0
    far = span - near
    pulls, push = WHOLE * G / 0.7 / 2.0, WHOLE * G / 0.7 + (HUNG + 27.0 + 67.0) * G
    top = pulls + COUPLE
    tension = rear["tension in a leg"]
    assert (tension.demand, tension.allowed) == (by_hand(top), by_hand(section * stress(policy, THICK_BAR)))
    assert front["tension in a leg"].demand == by_hand(max(COUPLE - push / 2.0, 0.0))
    # The side presses the leg at 137.2 mm of a portal 163 high and 146 wide.
    aside = OUTER * G / (0.150 - 4.0 * 0.0064)
    height, high = 0.150 + 0.003 + thick / 2.0, 0.150 - 2.0 * 0.0064
    k = height / span
    foot = aside * (high * (3.0 * k + 1.0) / (2.0 * (6.0 * k + 1.0)) + 2.0 * 0.0064)
    held = pulls / section + pulls * near * far / span / 2.0 / modulus
    bent = rear["leg at the foot"]
    assert bent.allowed == by_hand(stress(policy, THICK_BAR))
    # The frame gives some per cent more than the portal of even sections.
    assert foot / modulus + held <= bent.demand <= 1.06 * foot / modulus + held
    spread = (height**2 - high**2) / (height * (2.0 * height + 3.0 * span))
    corner = aside * high * 3.0 * k / (2.0 * (6.0 * k + 1.0)) * (1.0 + spread)
    by_top = top / section + top * near * far**2 / span**2 / modulus
    by_side = pulls / section + (corner + pulls * near * far / span) / modulus
    assert rear["leg at the corner"].demand == by_hand(max(by_top, by_side))
    assert rear["bending of the top"].demand == by_hand(max(top * near * far / span, pulls * near + corner) / modulus)
    assert rear["tension in a leg"].place_m.x == by_hand(0.4 + 0.35 - 0.65)
    assert front["tension in a leg"].place_m.x == by_hand(0.4 + 0.35 + 0.05)


def test_a_slope_to_the_side_pushes_the_straps_legs() -> None:
    """The front strap takes the rear one's share and the whole side pull; it is not pulled at all."""
    job = the_job(FACTOR)
    slope = REPLACE(job.floors[0], fall_across=Estimate(best=0.05, known="measured"))
    sloping = REPLACE(job, floors=(slope,))
    told_of = {(check.part, check.kind): check for check in checks(sloping, figures(sloping, STRAIGHT))}
    side = 0.05 / math.hypot(1.0, 0.05)
    # Load and rigging pull 1.2 times, to the side as well as down.
    moment = INNER + (HUNG + 27.0) * 0.95 - 67.0 * 0.25
    front = (moment / 0.7 + HUNG + 27.0 + 67.0) * side * G
    k = 0.163 / 0.146
    foot = front * ((0.150 - 0.0128) * (3.0 * k + 1.0) / (2.0 * (6.0 * k + 1.0)) + 0.0128)
    found = told_of["front strap", "leg at the foot"].demand
    assert foot / (0.08 * 0.02**2 / 6.0) <= found <= 1.12 * foot / (0.08 * 0.02**2 / 6.0)


# ---------------------------------------------------------------- jib mast and foot weld


@POLICIES
@pytest.mark.parametrize(
    ("at", "weight"), [("at the top", FORKS_KG - 79.0), ("at the foot", FORKS_KG - 50.0)], ids=["top", "foot"]
)
def test_the_jib_mast(policy: Policy, at: str, weight: float) -> None:
    """Bending fore and aft by the boom, sideways by the twist of the boom, push with second-order growth.

    E3 with K = 2.1 (a cantilever on a real foot, Table C-A-7.1) to the boom's centreline, about the weaker axis.
    """
    mast = {kind: check for (part, kind), check in told(policy, ELBOW).items() if part == "jib mast"}
    section = properties(tube(140, 150, 6.4))
    bend, side, push = MAST_TOP * G, OUTER * G, weight * G
    bending = mast[f"bending {at}"]
    assert bending.demand == by_hand(bend)
    assert bending.allowed == by_hand(by_policy(policy, section.plastic_up_m3 * FY / 1.67, section.elastic_up_m3 * FY))
    assert (mast[f"shear {at}"].demand, mast[f"twist {at}"].demand) == (by_hand(0.0), by_hand(0.0))
    column = 2.1 * (1.337 + 0.08 + 0.075)
    euler = math.pi**2 * E * section.second_moment_side_m4 / column**2
    critical = 0.658 ** (FY * section.area_m2 / euler) * FY * section.area_m2
    grown = 1.0 / (1.0 - 1.6 * push / euler)
    h3_6 = push / (critical / 1.67)
    h3_6 += grown * (bend / (section.plastic_up_m3 * FY / 1.67) + side / (section.plastic_side_m3 * FY / 1.67))
    sigma = push / (critical / FY) + grown * (bend / section.elastic_up_m3 + side / section.elastic_side_m3)
    together = mast[f"combined stress {at}"]
    assert together.use == by_hand(max(h3_6, sigma / (FY / policy.design_factor)))
    assert (together.numbers["push"], together.numbers["side"]) == (by_hand(push), by_hand(side))


def filled(leg_m: float, electrode: str) -> JibMast:
    """A mast of 140 x 120 x 6.4 on the cross-member 140 wide: no ledge in front and behind, the grooves filled."""
    weld = Weld(leg_m=leg_m, electrode=electrode, kind="flare_bevel", process="gas_metal_arc")
    return REPLACE(the_job().rig.jib_mast, section=tube(140, 120, 6.4), foot_weld=weld)


@POLICIES
def test_the_foot_weld_all_round(policy: Policy) -> None:
    """Lines of unit throat: S = b d + d^2/3 fore and aft, with b and d changed round sideways; L = 2 (b + d)."""
    check = told(policy, ELBOW, jib_mast=filled(0.006, "E70"))["jib mast", "foot weld"]
    b, d = 0.140, 0.120
    line = (FORKS_KG - 50.0) * G / (2.0 * (b + d))
    line += MAST_TOP * G / (b * d + d**2 / 3.0) + OUTER * G / (b * d + b**2 / 3.0)
    assert check.demand == by_hand(line / (0.006 / math.sqrt(2.0)))
    assert check.allowed == by_hand(on_throat(policy))


@pytest.mark.parametrize(("leg_m", "counts_m"), [(0.004, 0.004), (0.009, 0.0064)])
def test_the_foot_weld_counts_no_more_than_the_masts_wall(leg_m: float, counts_m: float) -> None:
    check = told(FACTOR, STRAIGHT, jib_mast=filled(leg_m, "unknown"))["jib mast", "foot weld"]
    b, d, weight = 0.140, 0.120, (FORKS_KG - 50.0) * G
    moment = MAST_TOP - INNER_ELBOW + INNER
    line = weight / (2.0 * (b + d)) + moment * G / (b * d + d**2 / 3.0)
    assert check.demand == by_hand(line / (counts_m / math.sqrt(2.0)))
    assert check.allowed == by_hand(on_throat(FACTOR, 60.0))


# ---------------------------------------------------------------- sleeves and forks

HEEL, TIP, FOOT, SPREAD = 0.04, 0.99, 0.35, 0.6
SIDE = OUTER / SPREAD
LEFT, RIGHT = FORKS_KG / 2.0 + SIDE, FORKS_KG / 2.0 - SIDE
"""Weight on each sleeve with arm 2 out to the left (kg)."""
TIPS = (FORKS - FORKS_KG * HEEL) / (TIP - HEEL)
HEELS = FORKS_KG - TIPS
"""Both tips, and both heels, which lift (kg)."""
FREE_SHARE = (FOOT - HEEL) / (TIP - HEEL)
FREE_TIPS = (TIPS / 2.0 + FREE_SHARE * SIDE, TIPS / 2.0 - FREE_SHARE * SIDE)
STIFF_HEELS = (HEELS / 2.0 + SIDE, HEELS / 2.0 - SIDE)
"""Half of each sum, and the roll: at the tips by their share if the sleeves pitch apart, else all at the heels."""
PLAY_TIP = min(TIPS, TIPS / 2.0 + SIDE - abs(HEELS) / 2.0)
"""The near tip in the sleeves' play: all of both tips, or until the near heel comes off (kg)."""


def wall_limit(policy: Policy, blade_m: float = 0.1) -> float:
    """The wall between blade and sides: fixed ends, a free strip on each side of the blade; 144 mm clear."""
    strip = (0.144 - blade_m) / 2.0
    moment = 0.144 * 0.008**2 / 6.0 * stress(policy)
    return moment / (strip * (0.144 - strip) / 0.144) * 2.0


def heel_pin_N(policy: Policy) -> float:
    """16 mm under a blade of 100 between walls 152 mm apart: spread over the blade, (2 x 152 - 100)/8 = 25.5 mm."""
    moment = by_policy(policy, 1.6 * math.pi * 0.016**3 / 32.0 * BAR / 1.67, math.pi * 0.016**3 / 32.0 * BAR)
    return moment / 0.0255


@POLICIES
def test_the_sleeves_on_the_forks(policy: Policy) -> None:
    sleeves = {kind: check for (part, kind), check in told(policy, ELBOW).items() if part == "sleeves"}
    heel, lift = sleeves["heel uplift"], -min(STIFF_HEELS)
    assert (heel.demand, heel.numbers["kg"]) == (by_hand(lift * G), by_hand(lift))
    assert heel.allowed == by_hand(heel_pin_N(policy))
    assert heel.allowed < 2.0 * math.pi * 0.016**2 / 4.0 * pin_shear(policy, BAR)
    assert heel.numbers["held"] == "pin, bent by the fork above it,"
    lifts = sleeves["far sleeve lifts"]
    assert (lifts.demand, lifts.allowed) == (by_hand(max(-RIGHT, 0.0) * G), by_hand(wall_limit(policy)))
    assert lifts.numbers["kg"] == by_hand(max(-RIGHT, 0.0))
    at_tip, at_heel = sleeves["bearing at the fork tip"], sleeves["bearing at the heel"]
    near = max(*FREE_TIPS, PLAY_TIP)
    # Never less, and no more than the straight line from no load to the limit.
    assert near * G * (1.0 - 1e-9) <= at_tip.demand < 1.3 * near * G
    assert (at_tip.use > 1.0) == (near * G > at_tip.allowed)
    assert at_heel.demand == by_hand(max(abs(kg) for kg in STIFF_HEELS) * G)
    assert at_heel.numbers["case"] == "if the cross-member holds the sleeves together fully"
    assert at_tip.allowed == at_heel.allowed == by_hand(wall_limit(policy) / 2.0)
    bending, section = sleeves["bending"], properties(tube(160, 80, 8))
    under_mast = max(near * (TIP - FOOT), max(abs(kg) for kg in STIFF_HEELS) * (FOOT - HEEL)) * G
    assert under_mast * (1.0 - 1e-9) <= bending.demand < 1.1 * under_mast
    assert bending.allowed == by_hand(by_policy(policy, section.plastic_up_m3 * FY / 1.67, section.elastic_up_m3 * FY))
    truck_x = 0.4
    assert at_tip.place_m.x == by_hand(truck_x + TIP)
    assert at_heel.place_m.x == by_hand(truck_x + HEEL)
    assert lifts.place_m.x == bending.place_m.x == by_hand(truck_x + FOOT)


@POLICIES
def test_the_cross_member_is_bent_at_the_masts_face_and_twisted_as_the_worst_case_has_it(policy: Policy) -> None:
    """Each half from its sleeve's middle to the mast's face, 0.3 - 0.07 m; the far one twisted most when held fully."""
    check = told(policy, ELBOW)["sleeves", "cross-member under the jib mast"]
    section = properties(tube(140, 90, 7))
    area = 2.0 * 0.007 * (0.090 - 0.021)
    uses, twists = [], []
    near_play = PLAY_TIP * (TIP - FOOT) - (LEFT - PLAY_TIP) * (FOOT - HEEL)
    for side, weight, play in ((0, LEFT, near_play), (1, RIGHT, 0.0)):
        free = FREE_TIPS[side] * (TIP - FOOT) - (weight - FREE_TIPS[side]) * (FOOT - HEEL)
        stiff = TIPS / 2.0 * (TIP - FOOT) - STIFF_HEELS[side] * (FOOT - HEEL)
        twist = max(abs(free), abs(stiff), play) * G
        bend, cut = abs(weight) * (SPREAD - 0.140) / 2.0 * G, abs(weight) * G
        plastic = section.plastic_up_m3 * FY / 1.67
        h3_6 = bend / plastic + ((cut / area + twist / section.torsion_m3) / (0.6 * FY / 1.67)) ** 2
        von_mises = math.hypot(bend / section.elastic_up_m3, math.sqrt(3.0) * (cut / area + twist / section.torsion_m3))
        uses.append(max(h3_6, von_mises / (FY / policy.design_factor)))
        twists.append(twist)
    if policy is not AISC:  # over: the straight line from no load to the limit is drawn on
        assert max(uses) > 1.0 and check.use >= max(uses) and check.allowed_load_kg < 285.0
        return
    assert check.use == by_hand(max(uses))
    governing = uses.index(max(uses))
    assert check.numbers["up"] == by_hand(abs((LEFT, RIGHT)[governing]) * 0.23 * G)
    assert check.numbers["twist"] == by_hand(twists[governing])


# Height over the blades' top of what stands where, in the forks' own axes: sleeves, mast, saddles, boom and beyond.
BOOM_Z = 0.008 + 1.337 + 0.08 + 0.075
OVER_BLADES = 50.0 * (0.008 - 0.04) + 29.0 * (0.008 + 1.337 / 2.0) + 11.0 * (BOOM_Z - 0.075)
OVER_BLADES += (HUNG + 27.0 + 67.0) * BOOM_Z
TOP_STRAIGHT = MAST_TOP - INNER_ELBOW + INNER
FORKS_STRAIGHT = FORKS - INNER_ELBOW + INNER


@POLICIES
@pytest.mark.parametrize("tilt", [-0.1, 0.1])
def test_tilted_the_cross_member_is_bent_fore_and_aft_as_well(policy: Policy, tilt: float) -> None:
    """Half of what slides the rig on each half of the cross-member, bending it from the sleeve to the mast's face."""
    check = told(policy, REPLACE(STRAIGHT, tilt_rad=tilt))["sleeves", "cross-member under the jib mast"]
    section = properties(tube(140, 90, 7))
    area_up, area_side = 2.0 * 0.007 * (0.090 - 0.021), 2.0 * 0.007 * (0.140 - 0.021)
    weight, along = FORKS_KG / 2.0 * math.cos(tilt) * G, FORKS_KG * abs(math.sin(tilt)) * G
    nose = (FORKS_STRAIGHT * math.cos(tilt) - OVER_BLADES * math.sin(tilt)) / 2.0 * G
    to_face = (SPREAD - 0.140) / 2.0
    up, side, twist = weight * to_face, along / 2.0 * to_face, abs(nose - weight * FOOT)
    tau = weight / area_up + along / 2.0 / area_side + twist / section.torsion_m3
    h3_6 = (up / section.plastic_up_m3 + side / section.plastic_side_m3) / (FY / 1.67) + (tau / (0.6 * FY / 1.67)) ** 2
    sigma = up / section.elastic_up_m3 + side / section.elastic_side_m3
    assert check.use == by_hand(max(h3_6, math.hypot(sigma, math.sqrt(3.0) * tau) / (FY / policy.design_factor)))


@pytest.mark.parametrize("tilt", [-0.1, 0.1])
def test_tilted_the_jib_mast_is_sheared_and_bent_by_all_that_stands_over_it(tilt: float) -> None:
    """Nose down the heights over the cut add to the levers ahead of it, nose up they take off."""
    mast = {
        kind: check
        for (part, kind), check in told(FACTOR, REPLACE(STRAIGHT, tilt_rad=tilt)).items()
        if part == "jib mast"
    }
    over_top = (HUNG + 27.0 + 67.0) * (BOOM_Z - 1.345) + 11.0 * (BOOM_Z - 0.075 - 1.345)
    over_foot = OVER_BLADES - 50.0 * (0.008 - 0.04) - (FORKS_KG - 50.0) * 0.008
    sine, cosine = math.sin(tilt), math.cos(tilt)
    assert mast["shear at the top"].demand == by_hand((FORKS_KG - 79.0) * G * abs(sine))
    assert mast["shear at the foot"].demand == by_hand((FORKS_KG - 50.0) * G * abs(sine))
    assert mast["bending at the top"].demand == by_hand((TOP_STRAIGHT * cosine - over_top * sine) * G)
    assert mast["bending at the foot"].demand == by_hand((TOP_STRAIGHT * cosine - over_foot * sine) * G)


def test_the_blade_as_wide_as_the_sleeve_leaves_only_its_sides_to_crush() -> None:
    """Two walls of 8 mm over a clear width of 144 mm."""
    job = the_job(FACTOR)
    forks = REPLACE(job.truck.forks, width_m=0.144)
    job = REPLACE(job, truck=REPLACE(job.truck, forks=forks))
    check = next(check for check in checks(job, figures(job, ELBOW)) if check.kind == "far sleeve lifts")
    assert check.allowed == by_hand(2.0 * 0.008 * 0.144 * stress(FACTOR))


def test_short_forks_end_the_bearing_before_the_sleeve_does() -> None:
    job = the_job(FACTOR)
    forks = REPLACE(job.truck.forks, length_m=0.8)
    job = REPLACE(job, truck=REPLACE(job.truck, forks=forks))
    check = next(check for check in checks(job, figures(job, STRAIGHT)) if check.kind == "heel uplift")
    nose = (FORKS - INNER_ELBOW + INNER) / 2.0
    assert check.demand == by_hand((nose - FORKS_KG / 2.0 * 0.8) / (0.8 - HEEL) * G)


def test_a_heel_pin_in_thin_sleeves_is_held_by_their_walls() -> None:
    """Two walls of 4 mm; the pin's steel yields before the wall's."""
    job = the_job(FACTOR)
    sleeves = REPLACE(job.rig.sleeves, section=tube(160, 80, 4))
    assert isinstance(sleeves.heel_hold, HeelPin)
    limits = heel_pin_limits(sleeves, sleeves.heel_hold, job.truck.forks, FACTOR)
    assert limits.bearing_N == by_hand(2.0 * 0.004 * 0.016 * bearing(FACTOR, BAR))


@POLICIES
def test_a_heel_pin_on_the_bottom_wall_has_one_wall_below_it_to_tear(policy: Policy) -> None:
    """From the hole to the lower edge 8 mm; each of two walls by D5.1(b), 0.6 Fu 2 t (a + d/2), or yielding."""
    job = the_job(policy)
    sleeves = job.rig.sleeves
    assert isinstance(sleeves.heel_hold, HeelPin)
    limits = heel_pin_limits(sleeves, sleeves.heel_hold, job.truck.forks, policy)
    one_wall = 0.6 * FU * 2.0 * 0.008 * (0.008 + 0.016 / 2.0) / breaking(policy)
    yielding = shear(policy) * 2.0 * 0.008 * (0.008 + 0.016 / 2.0)
    assert limits.tear_out_N == by_hand(2.0 * min(one_wall, yielding))


def test_a_mast_near_the_tips_bends_the_sleeves_most_behind_it() -> None:
    """Foot 0.8 m out: the heel's uplift over 0.76 m; the cross-member's weight stands under the foot as well."""
    job = the_job()
    pair, cross = (properties(shape).area_m2 for shape in (tube(160, 80, 8), tube(140, 90, 7)))
    pair, cross = 2.0 * pair * 0.95, cross * (0.6 - 0.16)
    sleeves_x = 0.515 + (0.8 - 0.515) * cross / (pair + cross)
    check = told(FACTOR, STRAIGHT, jib_mast=REPLACE(job.rig.jib_mast, foot_x_m=0.8))["sleeves", "bending"]
    nose = TOP_STRAIGHT + (FORKS_KG - 50.0) * 0.8 + 50.0 * sleeves_x
    uplift, tip_up = ((nose - FORKS_KG * end) / 2.0 / (TIP - HEEL) for end in (TIP, HEEL))
    assert uplift * (0.8 - HEEL) > tip_up * (TIP - 0.8)
    assert check.demand == by_hand(uplift * (0.8 - HEEL) * G)


def test_tilted_forward_the_rig_slides_on_the_forks_and_pulls_at_the_heel_pins_too() -> None:
    """Nose down by 0.1: half of the weight's part along the blades on each pin, by vector with the uplift."""
    check = told(FACTOR, REPLACE(STRAIGHT, tilt_rad=-0.1))["sleeves", "heel uplift"]
    slides = FORKS_KG * G * math.sin(0.1) / 2.0
    assert check.numbers["slide"] == by_hand(slides)
    assert check.demand == by_hand(math.hypot(check.numbers["kg"] * G, slides))


@pytest.mark.parametrize(
    ("count", "angle_rad", "held_N"),
    [
        (1, 0.0, 4500.0 * G),
        (2, 0.0, 9000.0 * G),
        (2, math.radians(30.0), 9000.0 * G * math.sqrt(0.75)),
        (1, math.radians(60.0), 2250.0 * G),
        (2, None, 4500.0 * G),
    ],
)
def test_a_chain_holds_the_heels_with_its_rating(count: Literal[1, 2], angle_rad: float | None, held_N: float) -> None:
    """One chain is shared by both heels; at an angle less of it pulls down; 60 degrees where no angle is entered."""
    chain = HeelChain(wll_kg=9000.0, count=count, angle_rad=angle_rad)
    sleeves = REPLACE(the_job().rig.sleeves, heel_hold=chain)
    check = told(FACTOR, STRAIGHT, sleeves=sleeves)["sleeves", "heel uplift"]
    assert check.allowed == by_hand(held_N)


def test_a_square_edged_fork_bends_its_heel_pin_less() -> None:
    """Spread over the blade (2 L - b)/8, at its edges (L - b)/4, with L between the middles of the sleeve's walls."""
    job = the_job()
    sleeves, forks = job.rig.sleeves, job.truck.forks
    held, span = sleeves.heel_hold, sleeves.section.width_m - sleeves.section.wall_m
    assert isinstance(held, HeelPin)
    spread = heel_pin_limits(sleeves, held, forks, FACTOR).bending_N
    edges = heel_pin_limits(sleeves, REPLACE(held, blade_contact="edges"), forks, FACTOR).bending_N
    assert edges / spread == by_hand((2.0 * span - forks.width_m) / 8.0 / ((span - forks.width_m) / 4.0))


def test_a_heel_pin_close_under_the_fork_has_more_wall_below_it() -> None:
    """Inside 64 mm, fork 35, gap 1, pin 16: 12 mm are left under the pin, and the wall of 8; hole 16.5."""
    job = the_job(FACTOR)
    held = job.rig.sleeves.heel_hold
    assert isinstance(held, HeelPin)
    limits = heel_pin_limits(job.rig.sleeves, REPLACE(held, below_m=0.001), job.truck.forks, FACTOR)
    to_edge = 0.016 / 2.0 + 0.012 + 0.008 - 0.0165 / 2.0
    one_wall = 0.6 * FU * 2.0 * 0.008 * (to_edge + 0.016 / 2.0) / breaking(FACTOR)
    yielding = shear(FACTOR) * 2.0 * 0.008 * (to_edge + 0.016 / 2.0)
    assert limits.tear_out_N == by_hand(2.0 * min(one_wall, yielding))


def test_stamped_forks_carry_their_share() -> None:
    """1,500 kg at 0.5 m each, a tenth less a hair worn of 35 mm: 0.91 squared of the strength is left."""
    job = the_job(FACTOR)
    forks = REPLACE(job.truck.forks, rating_each_kg=1500.0, rating_centre_m=0.5, worn_m=0.00315)
    job = REPLACE(job, truck=REPLACE(job.truck, forks=forks))
    of = {check.kind: check for check in checks(job, figures(job, ELBOW)) if check.part == "forks"}
    left = (1.0 - 0.00315 / 0.035) ** 2
    assert left == pytest.approx(0.8281)
    moment, weight, wear = of["moment at the heel"], of["weight"], of["wear at the heel"]
    free = FREE_TIPS[0] * TIP + (LEFT - FREE_TIPS[0]) * HEEL
    in_play = PLAY_TIP * TIP + (LEFT - PLAY_TIP) * HEEL
    worst = max(free, in_play) * G
    assert worst * (1.0 - 1e-9) <= moment.demand < 1.02 * worst  # up to the straight line from no load to the limit
    assert moment.allowed == by_hand(1500.0 * 0.5 * G * left)
    assert (weight.demand, weight.allowed) == (by_hand(LEFT * G), by_hand(1500.0 * G * left))
    assert (wear.demand, wear.allowed, wear.allowed_load_kg) == (by_hand(0.09), 0.10, math.inf)


# ---------------------------------------------------------------- arms on a level axis


def raised(stay_Nm: float | None, turn_deg: float = 0.0) -> dict[str, Check]:
    """Arm 1 on a level axis, arm 2 square to the left: moment about the pin for the stay, twist for the barrels."""
    one, two = the_job().rig.arms
    stay = None if stay_Nm is None else RatedMoment(moment_Nm=stay_Nm)
    arms = (REPLACE(one, axis="level", stay=stay), two)
    return {
        kind: check
        for (part, kind), check in told(FACTOR, pose(turn_deg, 90.0), arms=arms).items()
        if part == "arm 1 hinge"
    }


def test_a_level_hinge_carries_twist_on_its_barrels_and_the_weight_across_its_pin() -> None:
    """Barrels 0.3 m apart across: half the weight each and the twist as a couple; nothing along the pin."""
    hinge = raised(4000.0)
    weight, couple = (HUNG + 27.0) * G / 2.0, OUTER * G / 0.3
    assert hinge["pin shear"].demand == by_hand(weight + couple)
    assert hinge["thrust face"].demand == by_hand(0.0)
    assert hinge["pin shear"].numbers["moment"] == by_hand(OUTER * G)
    stay = hinge["stay"]
    assert (stay.demand, stay.allowed) == (by_hand(INNER_ELBOW * G), 4000.0)


def test_without_a_stay_a_level_arm_falls_whatever_the_load() -> None:
    check = raised(None)["nothing holds the arm up"]
    assert (check.demand, check.allowed, check.use) == (by_hand(INNER_ELBOW * G), 0.0, math.inf)
    assert check.allowed_load_kg == -math.inf


def test_a_raised_arm_pulls_upright_at_the_lugs_and_slanting_at_its_barrels() -> None:
    """Raised by 30 degrees: weight and couple stand upright, square to the boom that the lugs are on."""
    hinge = raised(4000.0, 30.0)
    upright = (HUNG + 27.0) * G / 2.0 + OUTER * G / 0.3
    line = upright * 0.05 / (2.0 * 0.1**2 / 6.0) + upright * (0.003 + 0.022) / 2.0 / 0.022 / 0.1
    assert hinge["lug weld"].demand == by_hand(line / (0.007 / math.sqrt(2.0)))
    along, across = upright * math.sin(math.radians(30.0)), upright * math.cos(math.radians(30.0))
    assert hinge["barrel weld"].demand == by_hand((along + across) / (2.0 * 0.062) / (0.007 / math.sqrt(2.0)))
    assert hinge["pin shear"].demand == by_hand(upright)


# ---------------------------------------------------------------- members in ranges the rig does not reach


def test_lateral_buckling_between_its_two_lengths_and_beyond() -> None:
    """HSS8x3x3/8 Grade B from the shapes table: Z 16.1, S 12.1, J 28.5, A 6.88, Iy 10.0; Lp 85.5 in, Lr 2,501 in.

    F7-10 at 1,000 in: 740.6 - (740.6 - 0.7 x 556.6) x 914.5/2,415.5 = 607.7 kip-in; F7-11 at 4,000 in:
    2 E sqrt(J A) / (L/ry) = 244.8.
    """
    inch, kip_in, ksi = 0.0254, 4448.2216152605 * 0.0254, 6_894_757.293168361
    hss = RectTube(width_m=3 * inch, depth_m=8 * inch, wall_m=0.375 * inch)

    def bending(length_in: float, *, sideways: bool = False) -> float:
        return members.nominal_bending_Nm(hss, 0.349 * inch, 46 * ksi, unbraced_m=length_in * inch, sideways=sideways)

    assert bending(1000.0) / kip_in == pytest.approx(607.7, rel=0.008)
    assert bending(4000.0) / kip_in == pytest.approx(244.8, rel=0.008)
    assert bending(80.0) == bending(0.0)
    # Lying on its side it does not buckle sideways: Fy Zy = 46 x 7.88.
    assert bending(4000.0, sideways=True) / kip_in == pytest.approx(46 * 7.88, rel=0.008)


def thin(width_m: float, depth_m: float, wall_m: float) -> RectTube:
    return RectTube(width_m=width_m, depth_m=depth_m, wall_m=wall_m)


YIELD = 230e6
"""Of the formulas alone: no piece of the rig has it."""

ROOT = math.sqrt(E / YIELD)
"""29.49: the limits of local buckling are multiples of sqrt(E/Fy)."""


def test_a_slender_flange_loses_the_square_of_its_slenderness_beyond_1_40() -> None:
    """Table B4.1b: flange 1.12 and 1.40 sqrt(E/Fy); the square beyond is this program's own choice, on the low side."""
    section = properties(thin(0.2, 0.1, 0.004))
    slender = (0.2 - 0.012) / 0.004
    assert slender > 1.40 * ROOT
    expected = section.elastic_up_m3 * YIELD * (1.40 * ROOT / slender) ** 2
    assert members.nominal_bending_Nm(thin(0.2, 0.1, 0.004), 0.004, YIELD) == by_hand(expected)
    between = properties(thin(0.165, 0.1, 0.004))
    slender = (0.165 - 0.012) / 0.004
    plastic, elastic = between.plastic_up_m3 * YIELD, between.elastic_up_m3 * YIELD
    expected = plastic - (plastic - elastic) * (slender - 1.12 * ROOT) / (0.28 * ROOT)
    assert members.nominal_bending_Nm(thin(0.165, 0.1, 0.004), 0.004, YIELD) == by_hand(expected)


def test_a_slender_web_costs_from_2_42_and_falls_with_the_square_beyond_5_70() -> None:
    """Table B4.1b: web 2.42 and 5.70 sqrt(E/Fy)."""
    for depth, wall in ((0.35, 0.004), (0.40, 0.002)):
        shape = thin(0.05, depth, wall)
        section, slender = properties(shape), (depth - 3.0 * wall) / wall
        plastic, elastic = section.plastic_up_m3 * YIELD, section.elastic_up_m3 * YIELD
        expected = (
            plastic - (plastic - elastic) * (slender - 2.42 * ROOT) / (3.28 * ROOT)
            if slender < 5.70 * ROOT
            else elastic * (5.70 * ROOT / slender) ** 2
        )
        assert members.nominal_bending_Nm(shape, wall, YIELD) == by_hand(expected)


@pytest.mark.parametrize(
    ("slender", "kind"), [(50.0, "compact"), (200.0, "noncompact"), (70.0, "capped"), (400.0, "slender")]
)
def test_round_tube_in_bending(slender: float, kind: str) -> None:
    """F8 and Table B4.1b, from memory: Z to 0.07 E/Fy (60.9), ``(0.021 E/(D/t) + Fy) S`` to 0.31 E/Fy (269.5).

    Beyond that the square of the slenderness, from the value there: 1 + 0.021/0.31 of Fy S.
    """
    shape = RoundTube(diameter_m=0.2, wall_m=0.2 / slender)
    section = properties(shape)
    formula = (0.021 * E / slender + YIELD) * section.elastic_up_m3
    plastic = section.plastic_up_m3 * YIELD
    at_limit = 0.31 * E / YIELD
    expected = {
        "compact": plastic,
        "capped": min(plastic, formula),
        "noncompact": formula,
        "slender": (1.0 + 0.021 / 0.31) * YIELD * section.elastic_up_m3 * (at_limit / slender) ** 2,
    }[kind]
    assert members.nominal_bending_Nm(shape, 0.2 / slender, YIELD) == by_hand(expected)


@pytest.mark.parametrize(
    ("depth_mm", "wall_mm", "share"),
    # sqrt(5 E / Fy) = 65.93: limits 72.5 and 90.3.
    [(300, 5.0, None), (300, 3.7, 1.10), (300, 3.06, 1.51)],
)
def test_a_thin_web_buckles_in_shear(depth_mm: float, wall_mm: float, share: float | None) -> None:
    """G2-9 to G2-11 with kv = 5 (the last two from memory): 1, 1.10 root/slender, 1.51 root^2/slender^2."""
    shape, wall = tube(100, depth_mm, wall_mm), wall_mm / 1e3
    slender, root = (depth_mm - 3.0 * wall_mm) / wall_mm, math.sqrt(5.0) * ROOT
    buckling = {None: 1.0, 1.10: 1.10 * root / slender, 1.51: 1.51 * root**2 / slender**2}[share]
    area = 2.0 * wall * (depth_mm / 1e3 - 3.0 * wall)
    assert members.nominal_shear_N(shape, wall, YIELD) == by_hand(0.6 * YIELD * area * buckling)
    lying = tube(depth_mm, 100, wall_mm)
    assert members.nominal_shear_N(lying, wall, YIELD, sideways=True) == by_hand(0.6 * YIELD * area * buckling)


def test_a_round_tube_takes_shear_on_half_its_area() -> None:
    """G5, where it does not buckle."""
    shape = RoundTube(diameter_m=0.1, wall_m=0.005)
    area = math.pi * (0.1**2 - 0.09**2) / 4.0
    assert members.nominal_shear_N(shape, 0.005, YIELD) == by_hand(0.6 * YIELD * area / 2.0)


@pytest.mark.parametrize(("wall_mm", "kind"), [(5.0, "yields"), (3.8, "middle"), (3.06, "slender")])
def test_a_thin_wall_buckles_in_torsion(wall_mm: float, kind: str) -> None:
    """H3-3 to H3-5 (the last limit and factor from memory): 0.6 Fy to 2.45 sqrt(E/Fy) (72.2), then to 3.07 (90.5)."""
    for shape in (tube(100, 300, wall_mm), tube(300, 100, wall_mm)):
        slender = (300.0 - 3.0 * wall_mm) / wall_mm
        critical = {
            "yields": 0.6 * YIELD,
            "middle": 0.6 * YIELD * 2.45 * ROOT / slender,
            "slender": 0.458 * math.pi**2 * E / slender**2,
        }[kind]
        torsion = properties(shape).torsion_m3
        assert members.nominal_twist_Nm(shape, wall_mm / 1e3, YIELD) == by_hand(critical * torsion)


@pytest.mark.parametrize(("slender", "buckles"), [(40.0, False), (150.0, False), (180.0, True)])
def test_round_tube_in_torsion(slender: float, buckles: bool) -> None:
    """H3-2b, from memory: 0.60 E/(D/t)^1.5, never over 0.6 Fy."""
    shape = RoundTube(diameter_m=0.2, wall_m=0.2 / slender)
    critical = 0.60 * E / slender**1.5
    assert (critical < 0.6 * YIELD) == buckles or slender == 150.0
    expected = min(critical, 0.6 * YIELD) * properties(shape).torsion_m3
    assert members.nominal_twist_Nm(shape, 0.2 / slender, YIELD) == by_hand(expected)


@pytest.mark.parametrize(("length_m", "elastic"), [(2.0, False), (2.9, True), (9.0, True)])
def test_a_column_buckles_about_its_weaker_axis(length_m: float, elastic: bool) -> None:
    """E3-2 and E3-3: 0.658^(Fy/Fe) Fy to KL/r of 4.71 sqrt(E/Fy), 0.877 Fe beyond."""
    for shape in (tube(50, 100, 5), tube(100, 50, 5)):
        section = properties(shape)
        weak = min(section.second_moment_up_m4, section.second_moment_side_m4)
        slender = length_m / math.sqrt(weak / section.area_m2)
        assert (slender > 4.71 * ROOT) == elastic
        euler = math.pi**2 * E / slender**2
        stress_Pa = 0.877 * euler if elastic else 0.658 ** (YIELD / euler) * YIELD
        assert members.nominal_push_N(section, YIELD, length_m) == by_hand(stress_Pa * section.area_m2)
        assert members.nominal_push_N(section, YIELD, 0.0) == by_hand(YIELD * section.area_m2)


def test_a_hole_that_leaves_no_wall_is_over_and_divides_by_nothing() -> None:
    """The hook pin's hole as deep as the outer arm."""
    hook = the_job().rig.hook
    assert isinstance(hook.end, ThroughPin)
    arm = the_job().rig.arms[-1]
    pin = Pin(diameter_m=0.02, hole_m=arm.section.depth_m)
    told_of = told(FACTOR, STRAIGHT, hook=REPLACE(hook, end=REPLACE(hook.end, pin=pin)))
    at_hole = next(check for (part, kind), check in told_of.items() if part == "arm 2" and "hook pin" in kind)
    assert at_hole.use > 1.0 and at_hole.allowed_load_kg < 1.0
