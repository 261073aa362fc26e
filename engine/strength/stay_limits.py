"""Limits of what holds a level arm up, and what its force does to hinge, arm and the link before it (see `stays`).

A link between two points takes the moment about the hinge as a pull or push along itself.  That force also goes
through the hinge, presses the arm between hinge and point, bends the link before the arm, and works on the walls under
its lugs.
A tie, turnbuckle or chain only pulls; where the arm would push at it, nothing holds the arm.  Bought ones are held to
their mark, which has its own factor.  A stop pushes square to the arm and holds it against dropping alone; its own
strength is not checked.  Of a rated moment nobody knows where it works, so the hinge counts as not entered.
"""

from __future__ import annotations

import functools
from typing import NamedTuple

from engine.base.geometry import GRAVITY_M_S2, Number, Vec, least, most, where
from engine.base.plain_call import plain_call
from engine.rig.check import Check
from engine.rig.hinge_pieces import TubeEnd
from engine.schema.connections import RatedMoment, StayLink, StayLug, StayStop
from engine.schema.model import Arm, Policy
from engine.schema.sections import (
    TUBE_OUTSIDE_RADIUS_PER_WALL,
    RectTube,
    SolidRound,
    outer_depth_m,
    outer_width_m,
    properties,
)
from engine.schema.steel import design_wall_m, entered_wall_m
from engine.strength import hinge_end_limits, members, pins, stays, wall_patch, weld_lines
from engine.strength.allowable_stress import AISC_OR_FACTOR, allowable_stress
from engine.strength.cuts import Cut, SectionForces
from engine.strength.hinge_ends import HingePull
from engine.strength.linear_in_load import (
    CheckLabel,
    Linear,
    check_magnitude,
    check_pull,
    check_sum,
    check_unheld,
    check_use,
    check_whatever_load,
    check_worst_resultant,
)
from engine.strength.stays import Point
from engine.strength.unverified_values import BASE_PLATE_K
from engine.strength.wall_patch import Patch, Wall
from engine.strength.weld_lines import Face, Receiver, WeldGroup

PULL_ONLY = frozenset({"tie", "turnbuckle", "chain"})
LEAST_LEVER_M = 1e-4
"""A stay nearer to the hinge axis than this counts as so near: its force grows beyond any limit, not without end."""

NO_STAY = (
    "moment {demand:Nm} turns {arm} down about its level hinge, and nothing entered holds it up: "
    "enter the stay, ram or stop"
)
RATED = "moment {demand:Nm} about the level hinge of {arm}; its stay is good for {allowed:Nm}"
MARKED = "{demand:N} in the stay of {arm}; its mark of {mark:kg_down} allows {allowed:N}"
PULLED = "{demand:N} pulls the stay of {arm} ({section}, yield {yield:Pa}); allowed {allowed:N}"
PUSHED = "{demand:N} pushes the stay of {arm}, {length:length} long ({section}, yield {yield:Pa}); allowed {allowed:N}"
SLACK = "{demand:N} would push the stay of {arm}, which only pulls: nothing holds the arm"
RISES = "moment {demand:Nm} lifts {arm} off its stop, which holds it up only"
PIN_WORDS = "{demand:N} cuts the {pin:part} pin of the stay in one plane; allowed {allowed:N}"
LUG_WORDS = "{demand:N} pulls at the stay's lugs, {thick:part} thick, {edge:length} from the hole; allowed {allowed:N}"
BEARING_WORDS = "{demand:N} presses the stay's {pin:part} pin on its lug, {thick:part} thick; allowed {allowed:N}"
FOOT_WORDS = (
    "{demand:Pa} at the foot of the stay's lug on %s, {thick:part} thick and {high:length} high; allowed {allowed:Pa}"
)
WELD_WORDS = (
    "{demand:N} on each metre of the weld of the stay's lug on %s ({leg:weld} legs, {length:length} that count); "
    "allowed {allowed:N}"
)
WALL_WORDS = (
    "the stay's lug, {thick:part} thick, folds the {wall:part} wall of %s: pull and moment together use {demand:share}"
)
INNER_WORDS = (
    "the stay and the hinge bend the link before the arm between them, {lever:length} long, by {bend:Nm}: combined "
    "stress uses {demand:share}"
)


class Hold(NamedTuple):
    """What holds an arm in a pose: the force in a link (a pull where positive) or of a stop, and as the arm feels it.

    ``on_arm`` is the force along the arm and up; ``on_inner`` that on the link before it, in that link's axes, None for
    a stop.
    """

    force: Linear
    on_arm: tuple[Linear, Linear]
    on_inner: tuple[Linear, Linear] | None


def hold_of(arm: Arm, cut: Cut, raised_rad: Number) -> Hold | None:
    """The force that holds a level arm against the moment about its hinge; None where nobody knows where it works."""
    moment = cut.forces.bend_up
    match arm.stay:
        case StayLink() as stay:
            points = Point(stay.at_inner.x_m, stay.at_inner.z_m), Point(stay.at_arm.x_m, stay.at_arm.z_m)
            line = stays.stay_line(*points, raised_rad)
            near = where(line.lever_m < 0.0, -LEAST_LEVER_M, LEAST_LEVER_M)
            lever = where(abs(line.lever_m) < LEAST_LEVER_M, near, line.lever_m)
            line = line._replace(lever_m=lever)
            pull = stays.stay_pull(moment, line)
            along, up = line.on_arm
            return Hold(pull, (pull.times(along), pull.times(up)), stays.inner_force(pull, line))
        case StayStop(at=at):
            push = stays.stop_push(moment, Point(at.x_m, at.z_m))
            return Hold(push, (Linear(0.0, 0.0), push), None)
        case _:
            return None


def with_hold(pull: HingePull, hold: Hold | None) -> HingePull:
    """What a level hinge carries: the outer forces and what holds the arm, together."""
    if hold is None:
        return pull
    along, up = hold.on_arm
    return pull._replace(along=pull.along.plus(along), across=pull.across.plus(up))


def checks(
    arm: Arm,
    cut: Cut,
    hold: Hold | None,
    ends: tuple[TubeEnd, TubeEnd],
    inner_pull: HingePull,
    policy: Policy,
    load_kg: Number,
) -> list[Check]:
    """Every limit of what holds an arm up.

    Parameters
    ----------
    arm, cut
        The arm and what it carries at its hinge.
    hold : Hold or None
        Of `hold_of`.
    ends : tuple of TubeEnd
        The link before the arm, and the arm.
    inner_pull : HingePull
        What the hinge carries, the hold included, in the axes of the link before the arm.
    policy, load_kg
    """
    part, place, moment = f"{arm.name} hinge", cut.place_m, cut.forces.bend_up
    match arm.stay:
        case None:
            label = CheckLabel(part, "nothing holds the arm up", place, "Nm", NO_STAY, "statics")
            return [check_whatever_load(label, abs(moment.at(load_kg)), 0.0, True, arm=arm.name)]
        case RatedMoment(moment_Nm=rated_Nm):
            label = CheckLabel(part, "stay", place, "Nm", RATED, "moment entered for the stay")
            return [check_magnitude(label, moment, rated_Nm, load_kg, arm=arm.name)]
        case StayStop():
            label = CheckLabel(part, "arm on its stop", place, "Nm", RISES, "statics")
            return [check_unheld(label, moment.times(-1.0), load_kg, arm=arm.name)]
        case StayLink() as stay:
            assert hold is not None  # a link is always placed
            made = _itself(arm, stay, hold.force, place, policy, load_kg)
            if stay.end_lug is not None:
                made += _lugs(arm, stay, hold, ends, (place, policy, load_kg))
            return [*made, _inner_link(arm, stay, ends[0], inner_pull, (place, policy, load_kg))]


def _itself(arm: Arm, stay: StayLink, pull: Linear, place: Vec, policy: Policy, load_kg: Number) -> list[Check]:
    """The link by its mark, by its section, and against a push that it cannot take."""
    made, push = [], pull.times(-1.0)

    def label(kind: str, words: str, source: str) -> CheckLabel:
        return CheckLabel(f"{arm.name} hinge", kind, place, "N", words, source)

    if stay.wll_kg is not None:
        allowed_N = stay.wll_kg * GRAVITY_M_S2
        named = {"arm": arm.name, "mark": stay.wll_kg}
        made.append(check_magnitude(label("stay by its mark", MARKED, "the mark"), pull, allowed_N, load_kg, **named))
    if stay.section is not None:
        section = properties(stay.section, _wall_m(stay))
        piece = outer_depth_m(stay.section) if isinstance(stay.section, SolidRound) else stay.section
        steel = allowable_stress(stay.steel, policy, piece)
        named = {"arm": arm.name, "section": f"{stay.make}, {steel.grade.name}", "yield": steel.grade.yield_Pa}
        tension = label("stay in tension", PULLED, f"{AISC_OR_FACTOR}: D2")
        made.append(check_pull(tension, pull, section.area_m2 * steel.stress_Pa, load_kg, **named))
        if stay.make not in PULL_ONLY:
            allowed_N = stays.strut_N(section, steel.grade.yield_Pa, stay.length_max_m, policy.design_factor)
            words = label("stay pushed", PUSHED, f"{AISC_OR_FACTOR}: E3")
            made.append(check_pull(words, push, allowed_N, load_kg, length=stay.length_max_m, **named))
    if stay.make in PULL_ONLY:
        made.append(check_unheld(label("stay would be pushed", SLACK, "statics"), push, load_kg, arm=arm.name))
    return made


def _wall_m(stay: StayLink) -> float | None:
    """Wall that counts of a stay made of tube."""
    return (
        None
        if stay.section is None or isinstance(stay.section, SolidRound)
        else design_wall_m(stay.section, stay.steel)
    )


@plain_call
@functools.lru_cache(maxsize=64)
def _lug_on(lug: StayLug, tube: TubeEnd, policy: Policy) -> tuple[WeldGroup, wall_patch.PatchLimits | None, float]:
    """Weld lines of a stay's lug on a link's wall, what that wall allows (None: no rule for it), and the wall."""
    wall_m = design_wall_m(tube.section, tube.steel)
    width_m, depth_m = outer_width_m(tube.section), outer_depth_m(tube.section)
    steel, wall_steel = (
        allowable_stress(lug.steel, policy, lug.thickness_m),
        allowable_stress(tube.steel, policy, tube.section),
    )
    sides: tuple[Face, ...] = ("left", "right")
    entered_m = entered_wall_m(tube.section, tube.steel)
    corner_m = TUBE_OUTSIDE_RADIUS_PER_WALL * entered_m
    receiver = Receiver(float("inf"), float("inf"), width_m / 2.0, width_m / 2.0, corner_y_m=corner_m)
    joined = hinge_end_limits.joined_by(least(wall_m, lug.thickness_m), (steel, wall_steel))
    size_m = lug.thickness_m, lug.on_face_m
    lines = (
        weld_lines.group(())
        if lug.weld is None
        else hinge_end_limits.lines_of(lug.weld, size_m, receiver, joined, sides)
    )
    if not isinstance(tube.section, RectTube):
        return lines, None, wall_m
    wall = Wall(width_m, depth_m, wall_m, wall_steel.grade.yield_Pa, entered_m)
    return lines, wall_patch.patch_limits(wall, Patch(*size_m), policy.design_factor), wall_m


def _lugs(
    arm: Arm, stay: StayLink, hold: Hold, ends: tuple[TubeEnd, TubeEnd], common: tuple[Vec, Policy, Number]
) -> list[Check]:
    """Pin, lugs, their welds and the walls under them, on both links."""
    place, policy, load_kg = common
    lug = stay.end_lug
    assert lug is not None  # asked before
    part = f"{arm.name} hinge"
    pin_steel = allowable_stress(lug.pin.steel, policy, lug.pin.diameter_m)
    plate = allowable_stress(lug.steel, policy, lug.thickness_m)
    pin = CheckLabel(part, "stay pin", place, "N", PIN_WORDS, f"{AISC_OR_FACTOR}: J3 Table J3.2")
    torn = CheckLabel(part, "stay lug", place, "N", LUG_WORDS, f"{AISC_OR_FACTOR}: D5.1, J4.2")
    made = [
        check_magnitude(pin, hold.force, pins.allowed_shear_N(lug.pin, 1, pin_steel), load_kg, pin=lug.pin.diameter_m),
        check_magnitude(
            torn,
            hold.force,
            pins.allowed_plate_N(lug.pin, lug.thickness_m, lug.edge_m, plate),
            load_kg,
            thick=lug.thickness_m,
            edge=lug.edge_m,
        ),
    ]
    bearing = CheckLabel(part, "bearing on the stay's lug", place, "N", BEARING_WORDS, f"{AISC_OR_FACTOR}: J7")
    allowed_N = pins.allowed_bearing_Pa(pin_steel, plate) * lug.pin.diameter_m * lug.thickness_m
    made.append(check_magnitude(bearing, hold.force, allowed_N, load_kg, pin=lug.pin.diameter_m, thick=lug.thickness_m))
    nothing = Linear(0.0, 0.0)
    sides = (
        ("the link before the arm", ends[0], hold.on_inner, stay.at_inner),
        ("the arm", ends[1], hold.on_arm, stay.at_arm),
    )
    for name, tube, force, point in sides:
        assert force is not None  # a link pulls at both
        along, up = force
        lines, patch, wall_m = _lug_on(lug, tube, policy)
        high_m = most(abs(point.z_m) - outer_depth_m(tube.section) / 2.0, 0.0)
        six = SectionForces(up, along, nothing, nothing, along.times(high_m), nothing)
        foot = lug.thickness_m * lug.on_face_m
        stress = (1.0 / foot, up), (6.0 * high_m / (foot * lug.on_face_m), along)
        words = FOOT_WORDS.replace("%s", name)
        label = CheckLabel(part, f"stay's lug on {name}", place, "Pa", words, f"{AISC_OR_FACTOR}: elastic plate")
        made.append(check_sum(label, stress, plate.stress_Pa, load_kg, thick=lug.thickness_m, high=high_m))
        on_weld = weld_lines.pulls_on_weakest(lines, six)
        kind = f"stay's lug weld on {name}"
        label = CheckLabel(part, kind, place, "N", WELD_WORDS.replace("%s", name), hinge_end_limits.WELD_SOURCE)
        leg_m = 0.0 if lug.weld is None else lug.weld.leg_m
        made.append(check_worst_resultant(label, on_weld, lines.allowed_N_m, load_kg, leg=leg_m, length=lines.length_m))
        if patch is not None:
            source = f"{AISC_OR_FACTOR}: AISC 360-10 chapter K (from memory)"
            label = CheckLabel(
                part, f"wall under the stay on {name}", place, "", WALL_WORDS.replace("%s", name), source
            )
            terms = (1.0 / patch.push_N, up), (high_m / patch.along_Nm, along)
            made.append(check_sum(label, terms, 1.0, load_kg, thick=lug.thickness_m, wall=wall_m))
    return made


def _inner_link(arm: Arm, stay: StayLink, tube: TubeEnd, pull: HingePull, common: tuple[Vec, Policy, Number]) -> Check:
    """The link before the arm where the stay is fixed on it: what the hinge carries bends it over that length."""
    place, policy, load_kg = common
    x = stay.at_inner.x_m
    lever_m = abs(x)
    member = members.member_of(tube.section, tube.steel, policy, unbraced_m=lever_m, column_m=BASE_PLATE_K * lever_m)
    # Just outboard of the stay's point; inboard of it the whole moment is looked at where that link is checked.
    six = SectionForces(
        pull.along,
        pull.across,
        pull.thrust,
        pull.moment_across,
        pull.across.times(x),
        pull.moment_along.times(-1.0).plus(pull.thrust, x),
    )
    kind = "link before the arm at its stay"
    label = CheckLabel(f"{arm.name} hinge", kind, place, "", INNER_WORDS, members.MEMBER_SOURCE)
    use = members.combined_use(member, six)
    return check_use(label, use, load_kg, lever=lever_m, bend=abs(six.bend_up.at(load_kg)))
