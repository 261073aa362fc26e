"""Five rigs drawn from a wish, checked as a fabricator who has to build them would: on paper, with a pocket calculator.

The files in ``tests/rigs/drawn`` came from ``python -m engine new`` (no arm, one, two; metric and US; light and heavy).
Nothing is sized here.  Each sum is written out from the sizes in the file: weights times levers, then a stress or a
line force, and stands beside the demand and the allowed value the engine gives for the same part.  The engine moves
every weight to where the bent and leaning rig carries it and counts every welded piece; the sums below stand on the rig
as drawn and on its long pieces, so each says within how much it may differ.

Rules: AISC 360-22 (F7, F11, J2.4, J4, D5.1) with the design factor on yield, elastic vector method for welds,
unilateral contact of a boom in its strap, statics for the rest.  Steel marked S235, S355, A36 and
A500 B by EN 10025-2 and ASTM.
"""

from __future__ import annotations

import functools
import json
import math
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from engine.rig.check import Check
from engine.rig.free_turn import free_turn_rad
from engine.schema.rig_file import read
from engine.shop.assembly_order import assembly_steps
from engine.shop.pin_list import pin_list
from engine.worst_case.verdict import Verdict, evaluate

DRAWN = Path(__file__).resolve().parents[1] / "rigs" / "drawn"
NAMES = tuple(sorted(path.name.removesuffix(".rig.json") for path in DRAWN.glob("*.rig.json")))

G = 9.80665
STEEL = 7850.0
KSI = 6_894_757.293
PLATE = {"S235": (235e6, 360e6), "S355": (355e6, 470e6), "A36": (36 * KSI, 58 * KSI), "A500 B": (46 * KSI, 58 * KSI)}
OVER_16 = {"S235": (225e6, 360e6), "S355": (345e6, 470e6)}
ELECTRODE = 70 * KSI
QUALITY = {"own_eye": 0.70, "qualified_visual": 0.85, "qualified_ndt": 1.00}


# ---------------------------------------------------------------- the pocket calculator


class Box(NamedTuple):
    """A tube on paper: width, depth, wall; outside corners of twice the wall, inside ones of once the wall."""

    b: float
    d: float
    t: float

    @property
    def area(self) -> float:
        """Four walls less what four round corners leave out."""
        return self.b * self.d - (self.b - 2 * self.t) * (self.d - 2 * self.t) - 4 * self.corner

    @property
    def corner(self) -> float:
        """Missing at one corner: (1 - pi/4) (R^2 - r^2) with R = 2t, r = t."""
        return (1 - math.pi / 4) * 3 * self.t**2

    @property
    def second(self) -> float:
        """Second moment about the lateral axis; the missing corners lie about 0.6 of a wall inside the skin."""
        square = (self.b * self.d**3 - (self.b - 2 * self.t) * (self.d - 2 * self.t) ** 3) / 12
        return square - 4 * self.corner * (self.d / 2 - 0.6 * self.t) ** 2

    @property
    def modulus(self) -> float:
        return self.second / (self.d / 2)

    @property
    def torsion(self) -> float:
        """Bredt: twice the area inside the walls' middle, times the wall."""
        return 2 * (self.b - self.t) * (self.d - self.t) * self.t


def whole(tube: dict[str, Any]) -> Box:
    """As weighed."""
    return Box(tube["width_m"], tube["depth_m"], tube["wall_m"])


def counted(tube: dict[str, Any]) -> Box:
    """As it counts for strength: 0.93 of the wall of tube bought by grade (B4.2), half a millimetre lost to rust."""
    return Box(tube["width_m"], tube["depth_m"], 0.93 * tube["wall_m"] - 0.0005)


def tube_weight(tube: dict[str, Any], length: float) -> float:
    return whole(tube).area * length * STEEL * G


def steel_of(mark: str, thickness: float) -> tuple[float, float]:
    """Yield and tensile strength; pins of unknown steel 185 MPa to 16 mm, 175 over it, and 290 MPa."""
    if mark == "unknown":
        return (185e6 if thickness <= 0.016 + 1e-9 else 175e6), 290e6
    return OVER_16.get(mark, PLATE[mark]) if thickness > 0.016 + 1e-9 else PLATE[mark]


def throat_allowed(weld: dict[str, Any], tensile: float, factor: float) -> float:
    """Stress on a throat (J2.4): 0.60 of the weaker of electrode and fusion face, over 2.00 or 1.20 Nd."""
    strength = min(ELECTRODE, math.sqrt(2) * tensile)
    return 0.60 * strength * QUALITY[weld["quality"]] / max(2.0, 1.2 * factor)


class Sheet(NamedTuple):
    """The rig on one sheet: what hangs, and the weights with their places ahead of the jib mast and over its foot."""

    file: dict[str, Any]
    factor: float
    steel: str
    hung: float
    sway: float
    out: float
    hook_x: float
    hook_z: float
    boom_z: float
    weights: tuple[tuple[str, float, float], ...]

    @property
    def rig(self) -> dict[str, Any]:
        return self.file["rig"]

    def about(self, x: float, *names: str) -> float:
        """Nose-down moment about a place ahead of the jib mast: what hangs, the hook and the pieces named."""
        own = sum(weight * (at - x) for name, weight, at in self.weights if name in names)
        return self.hung * (self.hook_x - x) + own

    def weight(self, *names: str) -> float:
        return sum(weight for name, weight, _ in self.weights if name in names)


def arm_pieces(before: dict[str, Any], arm: dict[str, Any]) -> tuple[float, float]:
    """Weight of a hinge's pieces (two lugs and their packing, the sleeve and the pin in it), and of the arm's tube."""
    lugs, sleeve = arm["hinge"]["inner_end"], arm["hinge"]["outer_end"]
    plates = 2 * lugs["width_m"] * lugs["thickness_m"] * (lugs["on_face_m"] + lugs["reach_m"])
    packing = 2 * lugs["width_m"] * lugs["packing_m"] * lugs["on_face_m"]
    round_m3 = math.pi / 4 * sleeve["outer_m"] ** 2 * sleeve["length_m"]
    return (plates + packing + round_m3) * STEEL * G, tube_weight(arm["section"], arm["length_m"])


@functools.cache
def sheet_of(name: str) -> Sheet:
    file = json.loads((DRAWN / f"{name}.rig.json").read_text(encoding="utf-8"))
    rig, load, policy, pose = file["rig"], file["load"], file["policy"], file["poses"][0]
    boom, mast, saddles = rig["boom"], rig["jib_mast"], rig["saddles"]
    hung = (load["mass_kg"]["best"] + load["rigging_kg"]["best"]) * G * policy["dynamic_factor"]
    hole_m = boom["first_hole_m"] + (pose["hole"] - 1) * boom["hole_pitch_m"]
    out = boom["length_m"] - hole_m
    weights = [
        ("boom ahead", tube_weight(boom["section"], out), out / 2),
        ("boom behind", tube_weight(boom["section"], hole_m), -hole_m / 2),
    ]
    at, before = out, boom["section"]
    for index, arm in enumerate(rig["arms"]):
        pieces, tube = arm_pieces(before, arm)
        weights += [(f"hinge {index}", pieces, at), (f"arm {index}", tube, at + arm["length_m"] / 2)]
        at, before = at + arm["length_m"], arm["section"]
    hook_x = at - (0.0 if rig["arms"] else rig["hook"]["end"]["edge_m"])
    weights.append(("hook", rig["hook"]["mass_kg"]["best"] * G, hook_x))
    bed = saddles["bed"]["section"]
    span = saddles["front_x_m"] - saddles["rear_x_m"]
    weights.append(("bed", tube_weight(bed, span + saddles["strap_length_m"]), -span / 2))
    straps = 2 * saddles["strap_length_m"] * saddles["strap_thickness_m"]
    girth = 2 * (boom["section"]["depth_m"] + saddles["strap_foot"]["lap_m"]) + bed["width_m"]
    weights.append(("straps", straps * girth * STEEL * G, -span / 2))
    weights.append(("mast", tube_weight(mast["section"], mast["length_m"]), 0.0))
    boom_z = mast["length_m"] + saddles["seat_m"] + boom["section"]["depth_m"] / 2
    return Sheet(
        file,
        policy["design_factor"],
        boom["steel"],
        hung,
        hung * math.tan(policy["swing_rad"]),
        out,
        hook_x,
        boom_z - rig["hook"]["drop_m"],
        boom_z,
        tuple(weights),
    )


def outboard(sheet: Sheet) -> tuple[str, ...]:
    """What the boom carries ahead of its front saddle."""
    names = [f"{kind} {index}" for index in range(len(sheet.rig["arms"])) for kind in ("hinge", "arm")]
    return ("boom ahead", "hook", *names)


def on_boom(sheet: Sheet) -> tuple[str, ...]:
    return (*outboard(sheet), "boom behind")


def on_mast(sheet: Sheet) -> tuple[str, ...]:
    return (*on_boom(sheet), "bed", "straps", "mast")


@functools.cache
def verdict_of(name: str) -> Verdict:
    job = read(DRAWN / f"{name}.rig.json")
    return evaluate(job, job.poses[0])


def check_of(name: str, part: str, kind: str) -> Check:
    (found,) = (check for check in verdict_of(name).checks if (check.part, check.kind) == (part, kind))
    return found


def agree(name: str, part: str, kind: str, demand: float, allowed: float, within: tuple[float, float]) -> None:
    """Hold the engine's demand and allowed value against the sum's, each within its share."""
    check = check_of(name, part, kind)
    assert demand == pytest.approx(float(check.demand), rel=within[0]), f"demand, {check.name}"
    assert allowed == pytest.approx(float(check.allowed), rel=within[1]), f"allowed, {check.name}"


every = pytest.mark.parametrize("name", NAMES)
with_arms = pytest.mark.parametrize(
    ("name", "index"), [(n, i) for n in NAMES for i in range(len(sheet_of(n).rig["arms"]))]
)
without_arms = pytest.mark.parametrize("name", [name for name in NAMES if not sheet_of(name).rig["arms"]])


def test_there_are_five_rigs_of_different_kinds_and_each_is_within_its_limits() -> None:
    sheets = [sheet_of(name) for name in NAMES]
    assert len(NAMES) == 5
    assert {len(sheet.rig["arms"]) for sheet in sheets} == {0, 1, 2}
    assert {sheet.file["units"] for sheet in sheets} == {"metric", "us"}
    assert [verdict_of(name).state for name in NAMES] == ["WITHIN"] * 5


# ---------------------------------------------------------------- 1: the boom at the front saddle


@every
def test_boom_bending_at_the_front_saddle(name: str) -> None:
    """M = weights x levers + sway x drop; M = S Fy / Nd (elastic, hole on the middle line takes next to nothing)."""
    sheet = sheet_of(name)
    boom = sheet.rig["boom"]
    moment = sheet.about(0.0, *outboard(sheet)) + sheet.sway * sheet.rig["hook"]["drop_m"]
    box = counted(boom["section"])
    hole = 2 * box.t * boom["pin"]["hole_m"] ** 3 / 12 / (box.d / 2)
    allowed = (box.modulus - hole) * PLATE[boom["steel"]][0] / sheet.factor
    agree(name, "boom", "bending at the front saddle", moment, allowed, (0.03, 0.02))


# ---------------------------------------------------------------- 2, 3, 4: the hinge


def hinge_couple(sheet: Sheet, index: int) -> tuple[float, float, float]:
    """Moment up and aside and thrust at a hinge of a straight arm."""
    start = sheet.out + sum(arm["length_m"] for arm in sheet.rig["arms"][:index])
    beyond = [f"arm {i}" for i in range(index, len(sheet.rig["arms"]))]
    beyond += [f"hinge {i}" for i in range(index + 1, len(sheet.rig["arms"]))]
    moment = sheet.about(start, "hook", *beyond) + sheet.sway * sheet.rig["hook"]["drop_m"]
    return moment, sheet.sway * sheet.rig["hook"]["drop_m"], sheet.hung + sheet.weight("hook", *beyond)


def pin_strength(pin: dict[str, Any], factor: float) -> tuple[float, float, float, float]:
    """Shear stress, moment, bearing pressure of a pin: 0.563 Fu / 2.00, Fy/(sqrt 3 Nd); elastic; 1.25 Fy / Nd."""
    fy, fu = steel_of(pin["steel"], pin["diameter_m"])
    shear = min(0.563 * fu / 2.0, fy / factor / math.sqrt(3))
    return shear, math.pi * pin["diameter_m"] ** 3 / 32 * fy / factor, min(0.9 * fy, 1.25 * fy / factor), fy


def by_trial(moment: float, line: float, lever_of: Any) -> float:
    """Pull V whose moment V x lever(c) is the allowed one, c = V / line: tried from small to large, as on paper."""
    low, high = 0.0, 1e7
    for _ in range(60):
        pull = (low + high) / 2
        low, high = (pull, high) if pull * lever_of(pull / line) < moment else (low, pull)
    return low


@with_arms
def test_hinge_pin_shear_and_bending(name: str, index: int) -> None:
    """H = M/h and half the pull; the pin is cut once at each lug, bent by V (gap + c)/2 (K. W. Johansen 1949)."""
    sheet = sheet_of(name)
    hinge = sheet.rig["arms"][index]["hinge"]
    moment, aside, _ = hinge_couple(sheet, index)
    lever = hinge["outer_end"]["length_m"] + hinge["gap_m"]
    pull = math.hypot(moment / lever + sheet.sway / 2, aside / lever + sheet.sway / 2)
    stress, bend, pressure, _ = pin_strength(hinge["pin"], sheet.factor)
    d = hinge["pin"]["diameter_m"]
    part = f"arm {index + 1} hinge"
    agree(name, part, "pin shear", pull, math.pi / 4 * d**2 * stress, (0.04, 0.001))
    bending = by_trial(bend, pressure * d, lambda c: (hinge["gap_m"] + c) / 2)
    agree(name, part, "pin bending over the lug gap", pull, bending, (0.04, 0.001))


@with_arms
def test_lug_net_section_and_tear_out(name: str, index: int) -> None:
    """D5.1: Fu 2 t be, 0.6 Fu 2 t (a + d/2); J4.2 along the tear-out; over the bearing part of the lug (Johansen)."""
    sheet = sheet_of(name)
    hinge = sheet.rig["arms"][index]["hinge"]
    lugs, pin = hinge["inner_end"], hinge["pin"]
    moment, aside, _ = hinge_couple(sheet, index)
    lever = hinge["outer_end"]["length_m"] + hinge["gap_m"]
    pull = math.hypot(moment / lever + sheet.sway / 2, aside / lever + sheet.sway / 2)
    t, gap = lugs["thickness_m"], hinge["gap_m"]
    bears = math.sqrt(gap**2 + 2 * t**2 + 2 * gap * t) - gap - t
    fy, fu = steel_of(hinge["steel"], max(t, (hinge["outer_end"]["outer_m"] - hinge["outer_end"]["bore_m"]) / 2))
    edge = lugs["width_m"] / 2 - pin["hole_m"] / 2
    net = fu * 2 * bears * min(2 * bears + 0.016, edge)
    torn = 0.6 * fu * 2 * bears * (edge + pin["diameter_m"] / 2)
    sheared = fy / sheet.factor / math.sqrt(3) * 2 * bears * (edge + pin["diameter_m"] / 2)
    allowed = min(min(net, torn) / max(2.0, 1.2 * sheet.factor), sheared)
    agree(name, f"arm {index + 1} hinge", "lug tear-out", pull, allowed, (0.04, 0.01))


@with_arms
def test_lug_weld(name: str, index: int) -> None:
    """Two lines on the face: H/2L along; standing off and thrust as couples, 3 M/L^2 up; aside by 3 M/L^2 (elastic)."""
    sheet = sheet_of(name)
    before = (sheet.rig["boom"] if index == 0 else sheet.rig["arms"][index - 1])["section"]
    hinge = sheet.rig["arms"][index]["hinge"]
    lugs = hinge["inner_end"]
    moment, aside, thrust = hinge_couple(sheet, index)
    lever, length = hinge["outer_end"]["length_m"] + hinge["gap_m"], lugs["on_face_m"]
    along, across = moment / lever + sheet.sway / 2, aside / lever + sheet.sway / 2
    off, arm = lugs["packing_m"] + lugs["thickness_m"] / 2, lugs["reach_m"] + length / 2
    upright = thrust / (2 * length) + 3 * (along * off + thrust * arm) / length**2
    upright += across * off / (lugs["width_m"] * length)
    polar = 2 * length * (lugs["width_m"] / 2) ** 2 + length**3 / 6
    turned = across * arm / polar
    q = math.hypot(
        upright,
        along / (2 * length) + turned * lugs["width_m"] / 2,
        across / (2 * length) + turned * length / 2,
    )
    wall = counted(before).t
    throat = min(lugs["weld"]["leg_m"], wall, lugs["thickness_m"], lugs["packing_m"] or wall) / math.sqrt(2)
    tensile = min(PLATE[sheet.steel][1], PLATE[hinge["steel"]][1])
    allowed = throat * throat_allowed(lugs["weld"], tensile, sheet.factor)
    agree(name, f"arm {index + 1} hinge", "inner end, lug weld to the tube", q, allowed, (0.06, 0.01))


@without_arms
def test_hook_pin_where_there_is_no_hinge(name: str) -> None:
    """The pull in two walls: twice the pin's area; V (gap + c) at each side; D5.1 in a wall."""
    sheet = sheet_of(name)
    held = sheet.rig["hook"]["end"]
    pull = math.hypot(sheet.hung + sheet.weight("hook"), sheet.sway, sheet.sway)
    stress, bend, pressure, _ = pin_strength(held["pin"], sheet.factor)
    d, wall = held["pin"]["diameter_m"], counted(sheet.rig["boom"]["section"]).t
    agree(name, "hook pin", "double shear", pull, 2 * math.pi / 4 * d**2 * stress, (0.01, 0.001))
    each = by_trial(bend, pressure * d, lambda c: held["gap_m"] / 2 + c / 2)
    half = by_trial(bend, pressure * d, lambda c: held["gap_m"] + c)
    assert each > half
    agree(name, "hook pin", "bending over the gap", pull, 2 * half, (0.01, 0.001))
    agree(name, "hook pin", "bearing on the walls", pull, 2 * wall * d * pressure, (0.01, 0.001))


# ---------------------------------------------------------------- 5: the rear strap


@every
def test_rear_strap_bending_and_its_corner_weld(name: str) -> None:
    """N = T/w + R/2 on a top corner; N a b/W in the top, N a b^2/W^2 at the corner; the corner weld N/2L + M/tL.

    Held down at both top corners alike, R/2 each, the top is a beam with R a/2 between them, its ends clamped by
    R a b/2W: more than one corner's moment as long as the boom hardly twists.  The side push of the swing adds a
    little to a stocky frame; here as half of a portal's moment at its corner.
    """
    sheet = sheet_of(name)
    rig, saddles = sheet.rig, sheet.rig["saddles"]
    boom, bed = rig["boom"]["section"], saddles["bed"]["section"]
    span = saddles["front_x_m"] - saddles["rear_x_m"]
    drop = rig["hook"]["drop_m"]
    held_down = (sheet.about(0.0, *on_boom(sheet)) + sheet.sway * drop) / span
    aside = sheet.sway * sheet.hook_x / span
    t, length = saddles["strap_thickness_m"], saddles["strap_length_m"]
    flat = boom["width_m"] - 4 * boom["wall_m"]
    wide, high = bed["width_m"] + t, boom["depth_m"] + saddles["top_gap_m"] + saddles["shim_top_m"] + t / 2
    a = (wide - flat) / 2
    b = wide - a
    corner_pull, each = sheet.sway * drop / flat + held_down / 2, held_down / 2
    k = high / wide
    from_push = aside * (boom["depth_m"] - 2 * boom["wall_m"]) * 3 * k / (2 * (6 * k + 1))
    top = max(corner_pull * a * b / wide, each * a) + from_push
    at_corner = max(corner_pull * a * b**2 / wide**2, each * a * b / wide) + from_push
    fy, fu = steel_of(saddles["steel"], t)
    agree(name, "rear strap", "bending of the top", 6 * top / (length * t**2), fy / sheet.factor, (0.10, 0.001))
    weld = saddles["strap_make"]["corner_weld"]
    throat = min(weld["leg_m"], t) / math.sqrt(2)
    q = corner_pull / (2 * length) + at_corner / (t * length)
    allowed = throat_allowed(weld, fu, sheet.factor)
    agree(name, "rear strap", "corner weld", q / throat, allowed, (0.12, 0.001))


# ---------------------------------------------------------------- 6, 7: the jib mast and its foot


def standing(sheet: Sheet, above: float) -> float:
    """Weights times heights over a level ``above`` below the jib mast's foot: what a slope or a lean turns over."""
    mast = sheet.rig["jib_mast"]["length_m"]
    heights = {"mast": mast / 2, "bed": mast + 0.05, "straps": mast + 0.1}
    own = sum(weight * (heights.get(name, sheet.boom_z) + above) for name, weight, _ in sheet.weights)
    return sheet.hung * (sheet.hook_z + above) + own


def foot_actions(sheet: Sheet) -> tuple[float, float, float, float]:
    """Nose-down and sideways moment, weight and twist at the jib mast's foot."""
    along, across = (sheet.file["floors"][0][f"fall_{way}"]["best"] for way in ("along", "across"))
    high = standing(sheet, 0.0)
    down = sheet.about(0.0, *on_mast(sheet)) + sheet.sway * sheet.hook_z + along * high
    return (
        down,
        sheet.sway * sheet.hook_z + across * high,
        sheet.hung + sheet.weight(*on_mast(sheet)),
        sheet.sway * sheet.hook_x,
    )


@every
def test_jib_mast_bending_at_its_foot(name: str) -> None:
    sheet = sheet_of(name)
    mast = sheet.rig["jib_mast"]
    allowed = counted(mast["section"]).modulus * PLATE[mast["steel"]][0] / sheet.factor
    agree(name, "jib mast", "bending at the foot", foot_actions(sheet)[0], allowed, (0.04, 0.02))


@every
def test_jib_mast_foot_weld(name: str) -> None:
    """A square of lines, side a: S = 4 a^2/3, q = M/S both ways + N/4a, twist T/2a^2 across (elastic line method)."""
    sheet = sheet_of(name)
    mast = sheet.rig["jib_mast"]
    down, side, weight, twist = foot_actions(sheet)
    size = mast["section"]["depth_m"]
    assert mast["section"]["width_m"] == size
    section = 4 * size**2 / 3
    q = math.hypot((down + side) / section + weight / (4 * size), twist / (2 * size**2))
    wall = min(counted(mast["section"]).t, counted(sheet.rig["sleeves"]["cross_section"]).t)
    weld = mast["foot_weld"]
    throat = min(weld["leg_m"], wall) / math.sqrt(2)
    allowed = throat_allowed(weld, PLATE[mast["steel"]][1], sheet.factor)
    agree(name, "jib mast", "foot weld", q / throat, allowed, (0.06, 0.01))


@every
def test_bed_on_its_cap(name: str) -> None:
    """Lines round what touches, a along and b across: S = a b + a^2/3 and a b + b^2/3, J of all four (elastic lines).

    Front and back are fillets on the flat.  Left and right the cap reaches past the bed's round corners, of radius 2 t:
    a flare-bevel groove, filled by gas metal arc, has a throat of 5/8 R from R = 10 mm on (AISC 360 Table J2.2) and is
    no weaker than the fillets, so that their throat is the one the corners are held to.
    """
    sheet = sheet_of(name)
    rig, mount, bed = sheet.rig, sheet.rig["saddles"]["bed"]["mount"], sheet.rig["saddles"]["bed"]["section"]
    mast, cap, weld = rig["jib_mast"], mount["cap"], mount["weld_bed"]
    top = mast["length_m"]
    along, across = (sheet.file["floors"][0][f"fall_{way}"]["best"] for way in ("along", "across"))
    above = [part for part in on_mast(sheet) if part != "mast"]
    high = sheet.weight(*on_boom(sheet)) * (sheet.boom_z - top) + sheet.hung * (sheet.hook_z - top)
    down = sheet.about(0.0, *above) + sheet.sway * (sheet.hook_z - top) + along * high
    side = sheet.sway * (sheet.hook_z - top) + across * high
    strap = rig["saddles"]["strap_length_m"] / 2 + rig["saddles"]["strap_weld"]["leg_m"]
    a = 2 * min(cap["length_m"] / 2, max(mast["section"]["depth_m"] / 2, strap))
    b = min(bed["width_m"], cap["width_m"])
    polar = a**2 * b / 2 + a**3 / 6 + b**2 * a / 2 + b**3 / 6
    twist, length = sheet.sway * sheet.hook_x, 2 * (a + b)
    weight = sheet.hung + sheet.weight(*above)
    q = math.hypot(
        down / (a * b + a**2 / 3) + side / (a * b + b**2 / 3) + weight / length,
        (sheet.sway + along * weight) / length + twist * b / 2 / polar,
        (sheet.sway + across * weight) / length + twist * a / 2 / polar,
    )
    wall = min(counted(bed).t, cap["thickness_m"])
    throat = min(weld["leg_m"], wall) / math.sqrt(2)
    assert (weld["kind"], weld["process"]) == ("flare_bevel", "gas_metal_arc")
    assert cap["width_m"] >= bed["width_m"] - 4 * bed["wall_m"], "the cap's edge is not on the bed's flat"
    assert 2 * bed["wall_m"] >= 0.010 - 1e-9 and min(5 / 8 * 2 * bed["wall_m"], wall) >= throat
    allowed = throat_allowed(weld, PLATE[rig["saddles"]["steel"]][1], sheet.factor)
    agree(name, "jib mast's cap", "weld to the bed", q / throat, allowed, (0.05, 0.01))


# ---------------------------------------------------------------- 8, 9: cross-member, sleeves, heel pins on the forks


class Forks(NamedTuple):
    """One fork's share, worst of the ways to share the roll: twist of half the cross-member, weight of a sleeve.

    ``uplift`` is at one heel, where the cross-member holds both sleeves together and the heels take the whole roll.
    """

    twist: float
    weight: float
    sleeve: float
    uplift: float


def on_forks(sheet: Sheet) -> Forks:
    """R_t = M/x_t, R_h = W - R_t, P = K/s; each side R/2 +- alpha P: stiff (0), free, or one contact clear."""
    rig, forks = sheet.rig, sheet.file["truck"]["forks"]
    sleeves, foot = rig["sleeves"], rig["jib_mast"]["foot_x_m"]
    tip = sleeves["heel_gap_m"] + sleeves["length_m"]
    heel = sleeves["heel_gap_m"]
    spread = forks["spread_m"]
    down, side, weight, _ = foot_actions(sheet)
    sleeve = 2 * tube_weight(sleeves["section"], sleeves["length_m"])
    between = tube_weight(sleeves["cross_section"], spread - sleeves["section"]["width_m"])
    base = sleeves["section"]["wall_m"]
    total = weight + sleeve + between
    nose = down + sheet.sway * base + weight * foot + between * foot + sleeve * (heel + tip) / 2
    roll = (side + sheet.sway * base) / spread
    tips = (nose - total * heel) / (tip - heel)
    heels = total - tips
    shares = [0.0, (foot - heel) / (tip - heel) * roll]
    clear = min(tips / 2, roll - abs(heels) / 2)
    if clear >= 0.0:
        shares.append(clear)
    twists, bends = [], []
    for at_tips in shares:
        for sign in (1, -1):
            r_tip, r_heel = tips / 2 + sign * at_tips, heels / 2 + sign * (roll - at_tips)
            twists.append(abs(r_tip * (tip - foot) - r_heel * (foot - heel)))
            bends.append(max(abs(r_tip) * (tip - foot), abs(r_heel) * (foot - heel)))
    return Forks(max(twists), total / 2 + roll, max(bends), roll - heels / 2)


@every
def test_cross_member_under_the_jib_mast(name: str) -> None:
    """Bending at the mast's face, half the weight and the roll x (s/2 - b/2); twist of a half; von Mises over Fy/Nd."""
    sheet = sheet_of(name)
    sleeves, mast = sheet.rig["sleeves"], sheet.rig["jib_mast"]["section"]
    found, cross = on_forks(sheet), counted(sleeves["cross_section"])
    lever = (sheet.file["truck"]["forks"]["spread_m"] - mast["width_m"]) / 2
    stress = found.weight * lever / cross.modulus
    shear = found.twist / cross.torsion + found.weight / (2 * cross.t * (cross.d - 3 * cross.t))
    use = math.sqrt(stress**2 + 3 * shear**2) / (PLATE[sleeves["steel"]][0] / sheet.factor)
    agree(name, "sleeves", "cross-member under the jib mast", use, 1.0, (0.10, 1e-9))


@every
def test_sleeve_bending_on_the_forks(name: str) -> None:
    sheet = sheet_of(name)
    sleeves = sheet.rig["sleeves"]
    allowed = counted(sleeves["section"]).modulus * PLATE[sleeves["steel"]][0] / sheet.factor
    agree(name, "sleeves", "bending", on_forks(sheet).sleeve, allowed, (0.08, 0.02))


@every
def test_heel_pin_under_the_fork(name: str) -> None:
    """U spread over the blade: M = U (2 L - b)/8 between the walls' middles; S Fy/Nd; half of the slide besides."""
    sheet = sheet_of(name)
    sleeves, fork = sheet.rig["sleeves"], sheet.file["truck"]["forks"]
    pin, tube = sleeves["heel_hold"]["pin"], sleeves["section"]
    stress, bend, pressure, _ = pin_strength(pin, sheet.factor)
    allowed = bend / ((2 * (tube["width_m"] - tube["wall_m"]) - fork["width_m"]) / 8)
    wall, edge = counted(tube).t, heel_edge(sheet)
    fy, fu = PLATE[sleeves["steel"]]
    assert allowed < 2 * math.pi / 4 * pin["diameter_m"] ** 2 * stress, "double shear"
    assert allowed < 2 * wall * pin["diameter_m"] * min(pressure, 1.25 * fy / sheet.factor), "bearing in two walls"
    along = 2 * wall * (edge - pin["hole_m"] / 2 + pin["diameter_m"] / 2)
    torn = min(0.6 * fu / max(2.0, 1.2 * sheet.factor), fy / sheet.factor / math.sqrt(3)) * along
    assert allowed < 2 * torn, "torn out of two walls"
    slope = sheet.file["floors"][0]["fall_along"]["best"] * foot_actions(sheet)[2]
    agree(name, "sleeves", "heel uplift", math.hypot(on_forks(sheet).uplift, (sheet.sway + slope) / 2), allowed, HEEL)


HEEL = (0.07, 0.001)
"""What lifts a heel is the difference of two large numbers, so a little less sure than they are."""


@with_arms
def test_through_sleeve_bending(name: str, index: int) -> None:
    """F (length - c) = M, c = F/(p D); the sleeve is a cantilever of its overhang less c/2; S Fy/Nd of a thick ring."""
    sheet = sheet_of(name)
    arm = sheet.rig["arms"][index]
    hinge, sleeve = arm["hinge"], arm["hinge"]["outer_end"]
    moment, aside, _ = hinge_couple(sheet, index)
    fy = steel_of(hinge["steel"], max(hinge["inner_end"]["thickness_m"], (sleeve["outer_m"] - sleeve["bore_m"]) / 2))[0]
    ring = math.pi * (sleeve["outer_m"] ** 4 - sleeve["bore_m"] ** 4) / (32 * sleeve["outer_m"])
    pressure = min(pin_strength(hinge["pin"], sheet.factor)[2], 1.25 * fy / sheet.factor)
    over, line = (sleeve["length_m"] - arm["section"]["depth_m"]) / 2, pressure * sleeve["bore_m"]
    allowed = by_trial(ring * fy / sheet.factor, line, lambda c: over - min(c, over / 2) / 2)
    lever = sleeve["length_m"] - allowed / line
    pull = math.hypot(moment / lever + sheet.sway / 2, aside / lever + sheet.sway / 2)
    agree(name, f"arm {index + 1} hinge", "outer end, sleeve bending", pull, allowed, (0.06, 0.02))


# ---------------------------------------------------------------- 10: the truck forward


@every
def test_truck_balance_forward(name: str) -> None:
    """Rig and load about the front axle, sway, slope and lean times height; half of rear axle x wheelbase.

    The engine's lean is a little more (play of the sleeves, sag of the boom, tyres).

    The truck's own weights move with lift, tilt and lean: the wheel weights alone are good within a few per cent.
    """
    sheet = sheet_of(name)
    truck, rig, pose = sheet.file["truck"], sheet.rig, sheet.file["poses"][0]
    sleeves, forks = rig["sleeves"], truck["forks"]
    mast_x = truck["front_overhang_m"]["best"] + rig["jib_mast"]["foot_x_m"]
    sleeve_x = truck["front_overhang_m"]["best"] + sleeves["heel_gap_m"] + sleeves["length_m"] / 2
    load = sheet.about(-mast_x, *on_mast(sheet))
    load += 2 * tube_weight(sleeves["section"], sleeves["length_m"]) * sleeve_x
    load += tube_weight(sleeves["cross_section"], forks["spread_m"] - sleeves["section"]["width_m"]) * mast_x
    height = pose["lift_m"] + sleeves["section"]["wall_m"] + sheet.hook_z
    load += sheet.sway * height
    slope = sheet.file["floors"][0]["fall_along"]["best"]
    load += (slope + sheet.file["policy"]["lean_rad"]) * standing(sheet, height - sheet.hook_z)
    holds = truck["rear_axle_kg"]["best"] * truck["wheelbase_m"]["best"] * G
    allowed = holds * sheet.file["policy"]["allowed_tipping_use"]
    agree(name, "truck balance", "tipping, front", load, allowed, (0.05, 0.03))


# ---------------------------------------------------------------- can it be built at all?


def holes_m(sheet: Sheet) -> list[float]:
    boom = sheet.rig["boom"]
    return [boom["first_hole_m"] + index * boom["hole_pitch_m"] for index in range(boom["hole_count"])]


def hinge_rows(sheet: Sheet) -> list[tuple[dict[str, Any], dict[str, Any], dict[str, Any]]]:
    """Tube before, arm, hinge."""
    before, rows = sheet.rig["boom"]["section"], []
    for arm in sheet.rig["arms"]:
        rows.append((before, arm["section"], arm["hinge"]))
        before = arm["section"]
    return rows


def heel_edge(sheet: Sheet) -> float:
    """From a heel pin's middle, close under the fork, down to the sleeve's underside."""
    sleeves, fork = sheet.rig["sleeves"], sheet.file["truck"]["forks"]
    hold, tube = sleeves["heel_hold"], sleeves["section"]
    under_fork = tube["depth_m"] - tube["wall_m"] - fork["thickness_m"]
    return under_fork - hold["below_m"] - hold["pin"]["diameter_m"] / 2


@every
def test_sleeves_go_over_the_forks(name: str) -> None:
    """A square-edged blade lies on the flat between inside corners of one wall; a heel pin passes below it."""
    sheet = sheet_of(name)
    sleeve, fork = sheet.rig["sleeves"]["section"], sheet.file["truck"]["forks"]
    wall = sleeve["wall_m"]
    assert fork["width_m"] <= sleeve["width_m"] - 4 * wall + 1e-6
    assert fork["width_m"] + 0.002 <= sleeve["width_m"] - 2 * wall
    pin = sheet.rig["sleeves"]["heel_hold"]["pin"]["diameter_m"]
    play = sheet.rig["sleeves"]["heel_hold"]["below_m"]
    assert 0.001 <= play <= 0.003
    assert fork["thickness_m"] + play + pin <= sleeve["depth_m"] - 2 * wall + 1e-9
    assert heel_edge(sheet) >= 1.5 * pin - 1e-6, "steel below the pin"
    assert sheet.rig["sleeves"]["length_m"] <= fork["length_m"]
    assert fork["spread_m"] - sleeve["width_m"] > sheet.rig["jib_mast"]["section"]["width_m"]


@every
def test_boom_slides_in_its_saddles(name: str) -> None:
    """Legs lapped on the bed's sides stand a bed's width apart; shims take up all but a gap, welding included."""
    sheet = sheet_of(name)
    saddles, boom = sheet.rig["saddles"], sheet.rig["boom"]["section"]
    bed = saddles["bed"]["section"]
    left = bed["width_m"] - boom["width_m"] - 2 * saddles["shim_side_m"]
    assert left == pytest.approx(2 * saddles["side_gap_m"], abs=2e-6)
    assert left - 2 * saddles["weld_shrink_m"] >= 0.001
    assert 0.003 - 1e-6 <= saddles["shim_side_m"] <= 0.0112, "a shim, not a packer"
    cap = saddles["bed"]["mount"]["cap"]
    assert saddles["seat_m"] == pytest.approx(bed["depth_m"] + cap["thickness_m"] + saddles["shim_top_m"], abs=1e-6)
    flat_end = bed["depth_m"] - 2 * bed["wall_m"]
    foot = saddles["strap_foot"]["lap_m"]
    assert foot + saddles["strap_weld"]["leg_m"] <= flat_end + 1e-9, "the line below the leg lies on the bed's flat"


@every
def test_no_hole_lies_under_the_rear_strap(name: str) -> None:
    sheet = sheet_of(name)
    boom, saddles = sheet.rig["boom"], sheet.rig["saddles"]
    for pinned in holes_m(sheet):
        rear = pinned + saddles["rear_x_m"]
        near = min(abs(hole - rear) for hole in holes_m(sheet))
        assert near >= saddles["strap_length_m"] / 2 + boom["pin"]["hole_m"] / 2
        assert rear >= saddles["strap_length_m"] / 2, "the tail reaches through the rear strap"


@every
def test_holes_keep_their_edge_distance(name: str) -> None:
    """2 d where a pin pulls at a tube's end, 1.5 d beside a hole and beside a hinge pin in its lugs."""
    sheet = sheet_of(name)
    end, last = sheet.rig["hook"]["end"], (sheet.rig["arms"] or [sheet.rig["boom"]])[-1]["section"]
    assert end["edge_m"] >= 2.0 * end["pin"]["diameter_m"]
    assert last["depth_m"] / 2 >= 1.5 * end["pin"]["diameter_m"]
    boom = sheet.rig["boom"]
    assert min(boom["section"]["depth_m"], sheet.rig["saddles"]["strap_length_m"]) / 2 >= 2 * boom["pin"]["diameter_m"]
    assert boom["length_m"] - holes_m(sheet)[-1] >= 2 * boom["pin"]["diameter_m"]
    for _, _, hinge in hinge_rows(sheet):
        assert min(hinge["inner_end"]["width_m"] / 2, hinge["lug_edge_m"]) >= 1.5 * hinge["pin"]["diameter_m"] - 1e-6
    assert not [caution for caution in verdict_of(name).cautions if caution.where.endswith("lug_edge_m")]


@with_arms
def test_hinge_goes_together(name: str, index: int) -> None:
    """Lugs on packing clear the sleeve by a gap; the sleeve is longer than its tube is deep; flats carry the welds."""
    sheet = sheet_of(name)
    before, own, hinge = hinge_rows(sheet)[index]
    lugs, sleeve = hinge["inner_end"], hinge["outer_end"]
    between = before["depth_m"] + 2 * lugs["packing_m"]
    assert between - sleeve["length_m"] == pytest.approx(2 * hinge["gap_m"], abs=3e-6)
    assert sleeve["length_m"] > max(own["depth_m"], 0.0) + 2 * hinge["gap_m"]
    assert sleeve["bore_m"] >= hinge["pin"]["diameter_m"]
    assert (sleeve["outer_m"] - sleeve["bore_m"]) / 2 >= 0.004
    assert lugs["width_m"] <= before["width_m"] - 4 * before["wall_m"] + 1e-6, "on the flat of the tube's face"
    assert lugs["reach_m"] >= max(sleeve["outer_m"], own["width_m"]) / 2 + 0.005 - 1e-6, "turned square, it clears"
    assert lugs["packing_m"] >= 2 * lugs["weld"]["leg_m"] or lugs["packing_m"] == 0.0, "torch between lug and tube"
    assert sleeve["outer_m"] <= own["width_m"] - 2 * own["wall_m"], "the sleeve passes between the side walls"


@with_arms
def test_hinge_pin_reaches_through(name: str, index: int) -> None:
    """Two lugs, two gaps, the sleeve, and the room for what holds it at both ends."""
    sheet = sheet_of(name)
    _, _, hinge = hinge_rows(sheet)[index]
    through = 2 * hinge["inner_end"]["thickness_m"] + 2 * hinge["gap_m"] + hinge["outer_end"]["length_m"]
    job = read(DRAWN / f"{name}.rig.json")
    (row,) = (row for row in pin_list(job.rig) if row.name == f"arm {index + 1} hinge pin")
    assert row.length_m >= through + hinge["pin"]["diameter_m"]


LEAST_LEG = ((0.0064, 0.003), (0.0128, 0.0047), (0.0192, 0.006), (1.0, 0.0079))
"""AISC 360 Table J2.4: over which thickness of the thinner part the least leg grows (3, 5, 6, 8 mm or sixteenths)."""


def seams(sheet: Sheet) -> list[tuple[str, float, float]]:
    """Name, leg, thinner part of every weld that is laid on one pair of parts (walls as bought)."""
    rig, saddles = sheet.rig, sheet.rig["saddles"]
    wall = {name: rig["sleeves"][name]["wall_m"] for name in ("section", "cross_section")}
    mast, bed, mount = rig["jib_mast"], saddles["bed"]["section"]["wall_m"], saddles["bed"]["mount"]
    thick, cap = saddles["strap_thickness_m"], mount["cap"]["thickness_m"]
    rows = [
        ("cross-member", rig["sleeves"]["cross_weld"]["leg_m"], min(wall.values())),
        ("mast foot", mast["foot_weld"]["leg_m"], min(mast["section"]["wall_m"], wall["cross_section"])),
        ("mast top", mount["weld_mast"]["leg_m"], min(mast["section"]["wall_m"], cap)),
        ("bed on cap", mount["weld_bed"]["leg_m"], min(bed, cap)),
        ("strap foot", saddles["strap_weld"]["leg_m"], min(thick, bed)),
        ("strap corner", saddles["strap_make"]["corner_weld"]["leg_m"], thick),
    ]
    for index, (_, own, hinge) in enumerate(hinge_rows(sheet)):
        sleeve = hinge["outer_end"]
        ring = (sleeve["outer_m"] - sleeve["bore_m"]) / 2
        rows.append((f"sleeve {index + 1}", sleeve["weld"]["leg_m"], min(ring, own["wall_m"])))
    return rows


@every
def test_no_leg_is_cold_or_thicker_than_the_thinner_part(name: str) -> None:
    for seam, leg, thinner in seams(sheet_of(name)):
        least = next(leg for up_to, leg in LEAST_LEG if thinner <= up_to)
        assert least <= leg <= thinner + 0.0003, seam


@with_arms
def test_one_leg_is_right_for_a_lug_on_its_packing_and_for_the_packing_on_the_tube(name: str, index: int) -> None:
    """As small as the table allows on the thinner of lug and packing, no thicker than the tube's wall."""
    before, _, hinge = hinge_rows(sheet_of(name))[index]
    lugs = hinge["inner_end"]
    least = next(leg for up_to, leg in LEAST_LEG if min(lugs["thickness_m"], lugs["packing_m"]) <= up_to)
    assert least <= lugs["weld"]["leg_m"] <= before["wall_m"] + 0.0003


@every
def test_cap_leaves_a_ledge_for_both_welds(name: str) -> None:
    """A leg and a little beyond the mast all round, and beyond the bed at its sides."""
    sheet = sheet_of(name)
    mast, bed = sheet.rig["jib_mast"]["section"], sheet.rig["saddles"]["bed"]["section"]
    mount = sheet.rig["saddles"]["bed"]["mount"]
    cap = mount["cap"]
    assert (cap["length_m"] - mast["depth_m"]) / 2 > mount["weld_mast"]["leg_m"]
    assert (cap["width_m"] - mast["width_m"]) / 2 > mount["weld_mast"]["leg_m"]
    assert (cap["width_m"] - bed["width_m"]) / 2 > mount["weld_bed"]["leg_m"]


@every
def test_torch_gets_between_strap_foot_and_cap(name: str) -> None:
    """Below the strap's leg there is the leg of its own weld, then 20 mm; the bed is on its cap before the straps."""
    saddles = sheet_of(name).rig["saddles"]
    room = saddles["bed"]["section"]["depth_m"] - saddles["strap_foot"]["lap_m"]
    assert room >= saddles["strap_weld"]["leg_m"] + 0.020 - 1e-6
    steps = [step.words for step in assembly_steps(read(DRAWN / f"{name}.rig.json"))]
    (bed,) = (at for at, words in enumerate(steps) if words.startswith("Weld the saddle bed to the cap before"))
    (straps,) = (at for at, words in enumerate(steps) if words.startswith("Tack the straps to the bed"))
    assert bed < straps


USUAL_GUARD_M = 2.25
"""Top of an overhead guard of these classes, tape over the trucks in a yard (common practice, no source)."""


@every
def test_the_booms_tail_passes_over_upright_guard_and_driver_or_stays_ahead_of_them(name: str) -> None:
    """Behind the fork face the boom's underside is over the raised inner upright and over the guard, at each pose."""
    sheet = sheet_of(name)
    rig, upright = sheet.rig, sheet.file["truck"]["upright"]
    for pose in sheet.file["poses"]:
        tail = rig["jib_mast"]["foot_x_m"] - holes_m(sheet)[pose["hole"] - 1]
        if tail >= 0.03:
            continue
        under = (
            pose["lift_m"] + rig["sleeves"]["section"]["wall_m"] + sheet.boom_z - rig["boom"]["section"]["depth_m"] / 2
        )
        assert under >= upright["lowered_height_m"] + pose["lift_m"] / 2 + 0.05, pose["name"]
        assert under >= USUAL_GUARD_M, pose["name"]


@with_arms
def test_an_arm_turns_until_its_side_meets_the_corner_of_the_tube_before_it(name: str, index: int) -> None:
    """Corner at (reach, half the width before), the arm's half width beside its line: r sin a + B/2 cos a = w/2."""
    before, own, hinge = hinge_rows(sheet_of(name))[index]
    reach, half = hinge["inner_end"]["reach_m"], before["width_m"] / 2
    turn = math.pi / 2
    while reach * math.sin(turn) + half * math.cos(turn) > own["width_m"] / 2:
        turn += math.radians(0.05)
    job = read(DRAWN / f"{name}.rig.json")
    assert free_turn_rad(job.rig, index)[1] == pytest.approx(turn, abs=math.radians(0.3))
    arm = sheet_of(name).rig["arms"][index]
    for stop in (math.degrees(arm["turn_max_rad"]), -math.degrees(arm["turn_min_rad"])):
        assert stop == pytest.approx(5 * round(stop / 5), abs=1e-9)
        assert math.degrees(turn) - 5.4 < stop <= math.degrees(turn) + 0.1
