"""What holds the hook on the last link, whichever is entered: a pin through it, a welded hoop, or a standing pin.

A hoop is pulled any way: by a link that is raised, by a floor that slopes, by load swing.  Each of its feet is a patch
on the wall it is welded to, and both together are one where they stand nearer to each other than the wall is wide.
The wall's own stress along the link counts as pressing it, whichever way the link bends.  A standing pin hangs in the
top wall by its head; a pull to the side bears on both walls and bends the pin.

A patch nearer to the link's open end than ``B root(1 - beta)`` has the rest of a fold on one side only: it is allowed
half (ours; the rules themselves are for walls that run on).

A pin and a hoop of a file of version 1 are checked as that version did.  What is not entered has no checks;
`engine.rig.completeness` says so.
"""

from __future__ import annotations

import functools
from typing import NamedTuple

import msgspec

from engine.base.geometry import Number, least, most, sqrt
from engine.base.plain_call import plain_call
from engine.rig import hook_place
from engine.rig.check import Check
from engine.schema.connections import DropInPin, HookBefore, HookEnd, Pin, ThroughPin, WeldedHoop
from engine.schema.model import Arm, Boom, Hook, Job, Policy
from engine.schema.sections import RectTube, RoundTube, properties
from engine.schema.steel import design_wall_m, entered_wall_m
from engine.strength import hook_ends, hook_pin, hoop, pins, wall_patch
from engine.strength.allowable_stress import (
    AISC_OR_FACTOR,
    AllowableStress,
    allowable_stress,
    weld_stress_Pa,
    weld_throat_m,
)
from engine.strength.cuts import Cuts
from engine.strength.hook_ends import DropIn, HoopPull, HoopSize
from engine.strength.linear_in_load import (
    CheckLabel,
    Linear,
    check_greatest_pull,
    check_pull,
    check_resultant,
    check_sum,
    check_worst_resultant,
    check_worst_resultants,
    magnitudes,
    signed_sums,
)
from engine.strength.wall_patch import Patch, PatchLimits, Wall

HOOP = "hook hoop"
STANDING_PIN = "hook's standing pin"

CHAPTER_K = f"{AISC_OR_FACTOR}: AISC 360-10 chapter K (from memory)"
STATICS = f"{AISC_OR_FACTOR}: statics, von Mises"


def checks(job: Job, cuts: Cuts) -> list[Check]:
    """What holds the hook, and the end of the last link around it."""
    hook, policy = job.rig.hook, job.policy
    last = cuts.arms[-1][0] if cuts.arms else None
    on = hook_place.link_of(job.rig, last)
    made: list[Check] = []
    match _on_link(hook, hook_place.edge_m(job.rig, last)):
        case ThroughPin() as held:
            made = hook_pin.checks(held, on, policy, cuts)
        case HookBefore() as held:
            wall_m = design_wall_m(on.section, on.steel)
            pull = hook_pin.pull_at(cuts)
            on_hoop = hoop.checks(held.hoop, wall_m, policy, cuts.hook.place_m, pull, cuts.load_kg)
            made = [*hook_pin.checks(held, on, policy, cuts), *on_hoop]
        case WeldedHoop() as held:
            made = _hoop_checks(held, on, policy, cuts)
        case DropInPin() as held:
            made = _standing_pin_checks(held, on, policy, cuts)
    return made


@functools.lru_cache(maxsize=64)
def _on_link(hook: Hook, edge_m: float) -> HookEnd | HookBefore | None:
    """What holds the hook, as far from the end of its tube as it is on that link."""
    return None if hook.holder is None else msgspec.structs.replace(hook.holder, edge_m=edge_m)


def on_open_end(limits: PatchLimits, wall: Wall, clear_m: float) -> PatchLimits:
    """What a wall allows under a patch that ends ``clear_m`` from the tube's open end: half, where that is near."""
    if clear_m >= wall.width_m * sqrt(1.0 - limits.beta):
        return limits
    pull_N, push_N, along_Nm, across_Nm, beta = limits
    return PatchLimits(pull_N / 2.0, push_N / 2.0, along_Nm / 2.0, across_Nm / 2.0, beta)


def _wall_of(section: RectTube, steel: str, allowable: AllowableStress) -> Wall:
    wall_m, entered_m = design_wall_m(section, steel), entered_wall_m(section, steel)
    return Wall(section.width_m, section.depth_m, wall_m, allowable.grade.yield_Pa, entered_m)


# ---------------------------------------------------------------- welded hoop


class HoopLimits(NamedTuple):
    """Sizes and allowed values of a welded hoop on its link; they depend on rig and policy alone.

    ``foot`` is the wall under one foot, ``both`` under the two together where they stand that near.
    """

    size: HoopSize
    bar: AllowableStress
    crown_N: float
    weld_throat_m: float
    weld_Pa: float
    foot: PatchLimits | None
    both: PatchLimits | None
    yield_Pa: float
    wall_m: float


@plain_call
@functools.lru_cache(maxsize=64)
def hoop_limits(held: WeldedHoop, section: RectTube | RoundTube, steel: str, policy: Policy) -> HoopLimits:
    """Sizes of a hoop under its link and what they allow."""
    bent, wall_m = held.hoop, design_wall_m(section, steel)
    link = allowable_stress(steel, policy, section)
    crown_N, _, _ = hoop.allowed_pulls_N(bent, wall_m, policy)
    size = HoopSize(bent.bar_m, bent.bend_radius_m, bent.leg_m)
    foot = both = None
    if isinstance(section, RectTube) and held.place == "under" and held.plane is not None:
        wall, over_m = _wall_of(section, steel, link), 2.0 * size.radius_m + size.bar_m
        half_m = over_m / 2.0 if held.plane == "along" else size.bar_m / 2.0

        def allowed(patch: Patch) -> PatchLimits:
            limits = wall_patch.patch_limits(wall, patch, policy.design_factor)
            return on_open_end(limits, wall, held.edge_m - half_m)

        foot = allowed(Patch(size.bar_m, size.bar_m))
        if 2.0 * size.radius_m - size.bar_m < section.width_m:
            enclosing = (size.bar_m, over_m) if held.plane == "along" else (over_m, size.bar_m)
            both = allowed(Patch(*enclosing))
    return HoopLimits(
        size,
        allowable_stress(bent.steel, policy, bent.bar_m),
        crown_N,
        weld_throat_m(bent.weld, least(wall_m, bent.bar_m)),
        weld_stress_Pa(bent.weld, policy, bent.steel, steel),
        foot,
        both,
        link.grade.yield_Pa,
        wall_m,
    )


def _hoop_checks(held: WeldedHoop, on: Boom | Arm, policy: Policy, cuts: Cuts) -> list[Check]:
    """Crown, feet, foot welds and the wall under them; without a plane only what any plane asks."""
    limits = hoop_limits(held, on.section, on.steel, policy)
    place_m, load_kg = cuts.hook.place_m, cuts.load_kg
    numbers: dict[str, Number | str] = {
        "bar": limits.size.bar_m,
        "radius": limits.size.radius_m,
        "lever": limits.size.lever_m,
        "leg": held.hoop.weld.leg_m,
        "wall": limits.wall_m,
    }
    crown = CheckLabel(HOOP, "bending at the crown", place_m, "N", CROWN_WORDS, hoop.CURVED)
    made = [check_resultant(crown, hook_pin.pull_at(cuts), limits.crown_N, load_kg, **numbers)]
    if held.plane is None:
        return made
    along, up, left = hook_pin.pull_at(cuts)
    pull = hook_ends.in_hoop_axes((along, left, up), held.plane, held.place)
    numbers |= {
        "legs": abs(pull.along_legs.at(load_kg)),
        "inplane": abs(pull.in_plane.at(load_kg)),
        "out": abs(pull.out_of_plane.at(load_kg)),
    }
    feet = CheckLabel(HOOP, "combined stress at the feet", place_m, "Pa", FEET_WORDS, STATICS)
    weld = CheckLabel(HOOP, "foot weld", place_m, "Pa", WELD_WORDS, f"{AISC_OR_FACTOR}: J2.4")
    per_throat = 1.0 / limits.weld_throat_m
    on_throat = tuple(
        tuple(part.times(per_throat) for part in at_point) for at_point in hook_ends.foot_weld_groups(pull, limits.size)
    )
    made += [
        check_worst_resultant(feet, hook_ends.foot_groups(pull, limits.size), limits.bar.stress_Pa, load_kg, **numbers),
        check_worst_resultant(weld, on_throat, limits.weld_Pa, load_kg, **numbers),
    ]
    if limits.foot is not None:
        made += _on_wall(held, on, policy, cuts, limits, pull, numbers)
    return made


CROWN_WORDS = "pull {demand:N} on a {bar:part} bar bent to {radius:length}; the crown allows {allowed:N}"
FEET_WORDS = (
    "{legs:N} along the hoop's legs, {inplane:N} across in its plane and {out:N} square to it, {lever:length} from its "
    "feet: {demand:Pa} in a {bar:part} bar; allowed {allowed:Pa}"
)
WELD_WORDS = (
    "{legs:N} along the hoop's legs, {inplane:N} across in its plane and {out:N} square to it: {demand:Pa} on the "
    "throat of feet welded with {leg:weld} legs all round; allowed {allowed:Pa}"
)
FOOT_WALL_WORDS = (
    "%s on a wall of {wall:part} with {legs:N} along the hoop's legs, {inplane:N} across in its plane and {out:N} "
    "square to it: force and moments together use {demand:share}"
)
PRESSED_WALL_WORDS = (
    "%s on a wall of {wall:part} that the link's own bending presses too: {demand:ratio} of {allowed:ratio}"
)


def _on_wall(
    held: WeldedHoop,
    on: Boom | Arm,
    policy: Policy,
    cuts: Cuts,
    limits: HoopLimits,
    pull: HoopPull,
    numbers: dict[str, Number | str],
) -> list[Check]:
    """The link's wall under one foot, and under both as one patch where they stand near each other."""
    assert limits.foot is not None
    pulls, moments, out = hook_ends.foot_on_wall(pull, limits.size)
    whole = pull.in_plane.times(limits.size.lever_m), pull.out_of_plane.times(limits.size.lever_m)
    patches = [("one foot", limits.foot, [(force, moment, out) for force in pulls for moment in moments])]
    if limits.both is not None:
        patches.append(("both feet as one patch", limits.both, [(pull.along_legs, *whole)]))
    pressed = _pressed(on, cuts, limits)
    steel = limits.yield_Pa, policy.design_factor
    made = []
    for name, allowed, demands in patches:
        sums, pressed_sums = [], []
        for force, in_plane, aside in demands:
            turned = (in_plane, aside) if held.plane == "along" else (aside, in_plane)
            (weight, first), *others = wall_patch.patch_terms(allowed, force, *turned)
            terms = [value.times(weight) for weight, value in others]
            sums += [total for sign in magnitudes(first.times(weight)) for total in signed_sums(sign, *terms)]
            for stress in pressed:
                pressed_sums += wall_patch.pressed_sums(allowed, force, *turned, stress, steel)
        words = FOOT_WALL_WORDS.replace("%s", name)
        label = CheckLabel(HOOP, f"wall under {name}", cuts.hook.place_m, "", words, CHAPTER_K)
        made.append(check_greatest_pull(label, tuple(sums), 1.0, cuts.load_kg, **numbers))
        words = PRESSED_WALL_WORDS.replace("%s", name)
        label = CheckLabel(HOOP, f"wall under {name}, pressed", cuts.hook.place_m, "", words, CHAPTER_K)
        total = wall_patch.CHORD_STRESS_TOTAL
        made.append(check_greatest_pull(label, tuple(pressed_sums), total, cuts.load_kg, **numbers))
    return made


def _pressed(on: Boom | Arm, cuts: Cuts, limits: HoopLimits) -> tuple[Linear, ...]:
    """The wall's own stress at the hoop's inner foot, either way: bending there, and the pull along the link."""
    section, forces = properties(on.section, limits.wall_m), cuts.hook.forces
    bend = forces.bend_up.times(1.0 / section.elastic_up_m3)
    lever = forces.shear_up.times(limits.size.radius_m / section.elastic_up_m3)
    side = forces.bend_side.times(1.0 / section.elastic_side_m3)
    push = forces.axial.times(1.0 / section.area_m2)
    return tuple(total for sign in magnitudes(bend) for total in signed_sums(sign, lever, side, push))


# ---------------------------------------------------------------- standing pin


class StandingPinLimits(NamedTuple):
    """Allowed values of a standing pin in its link; ``head_N`` and ``wall_N`` only in a rectangular tube."""

    pin: Pin
    steel: AllowableStress
    head_N: float
    bearing_N: float
    tear_out_N: float
    wall_m: float
    depth_m: float


@plain_call
@functools.lru_cache(maxsize=64)
def standing_pin_limits(held: DropInPin, section: RectTube, steel: str, policy: Policy) -> StandingPinLimits:
    """What a standing pin's head and the walls around it allow."""
    link = allowable_stress(steel, policy, section)
    own = allowable_stress(held.steel, policy, held.diameter_m)
    wall = _wall_of(section, steel, link)
    patch = wall_patch.patch_limits(wall, Patch(held.head_m, held.head_m), policy.design_factor)
    patch = on_open_end(patch, wall, held.edge_m - held.head_m / 2.0)
    pin = Pin(diameter_m=held.diameter_m, hole_m=held.hole_m, steel=held.steel)
    edge_m = least(held.edge_m, section.width_m / 2.0)
    return StandingPinLimits(
        pin,
        own,
        hook_ends.head_N(patch.push_N, held.hole_m, held.head_m),
        pins.allowed_bearing_Pa(own, link) * held.diameter_m * wall.wall_m,
        pins.allowed_plate_N(pin, wall.wall_m, edge_m, link),
        wall.wall_m,
        section.depth_m,
    )


def _standing_pin_checks(held: DropInPin, on: Boom | Arm, policy: Policy, cuts: Cuts) -> list[Check]:
    """Head on the top wall, the pin itself, and both walls against its side pull; none in a round tube."""
    if not isinstance(on.section, RectTube):
        return []
    limits = standing_pin_limits(held, on.section, on.steel, policy)
    place_m, load_kg = cuts.hook.place_m, cuts.load_kg
    along, up, left = hook_pin.pull_at(cuts)
    down = up.times(-1.0)
    pin = DropIn(held.diameter_m, held.drop_m, limits.depth_m)
    near, far = hook_ends.wall_shares(pin)
    numbers: dict[str, Number | str] = {
        "pin": held.diameter_m,
        "head": held.head_m,
        "wall": limits.wall_m,
        "edge": held.edge_m,
        "lever": held.drop_m,
        "down": abs(down.at(load_kg)),
    }
    head = CheckLabel(STANDING_PIN, "head on the top wall", place_m, "N", HEAD_WORDS, CHAPTER_K)
    shank = CheckLabel(STANDING_PIN, "pull and bending at the lower wall", place_m, "Pa", SHANK_WORDS, STATICS)
    shear = CheckLabel(STANDING_PIN, "shear between the walls", place_m, "N", SHEAR_WORDS, f"{AISC_OR_FACTOR}: shear")
    bearing = CheckLabel(
        STANDING_PIN, "bearing on the lower wall", place_m, "N", BEARING_WORDS, f"{AISC_OR_FACTOR}: J7"
    )
    tear_out = CheckLabel(
        STANDING_PIN, "tear-out of the lower wall", place_m, "N", TEAR_OUT_WORDS, f"{AISC_OR_FACTOR}: D5.1, J4.2"
    )
    on_near = along.times(near), left.times(near)
    return [
        check_pull(head, down, limits.head_N, load_kg, **numbers),
        check_sum(shank, hook_ends.drop_in_terms(down, (along, left), pin), limits.steel.stress_Pa, load_kg, **numbers),
        check_resultant(
            shear,
            (along.times(most(far, 1.0)), left.times(most(far, 1.0))),
            pins.allowed_shear_N(limits.pin, 1, limits.steel),
            load_kg,
            **numbers,
        ),
        *check_worst_resultants(
            ((bearing, limits.bearing_N), (tear_out, limits.tear_out_N)), (on_near,), load_kg, numbers
        ),
    ]


HEAD_WORDS = (
    "{demand:N} on a head {head:length} wide that bears on {wall:part} of wall round its hole; allowed {allowed:N}"
)
SHANK_WORDS = (
    "{down:N} down, and the side pull {lever:length} under the tube: {demand:Pa} in the {pin:part} pin; allowed "
    "{allowed:Pa}"
)
SHEAR_WORDS = "side pull of {demand:N} across the {pin:part} pin; allowed {allowed:N}"
BEARING_WORDS = "side pull of {demand:N} on one wall of {wall:part}, pin {pin:part}; allowed {allowed:N}"
TEAR_OUT_WORDS = (
    "side pull of {demand:N} on one wall of {wall:part}, pin centre {edge:length} from the end; allowed {allowed:N}"
)
