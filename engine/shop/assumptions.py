"""What a paper relies on that nobody has weighed, measured or proved; it is listed there so that the reader can judge.

Three lists: missing facts, assumed numbers (with their ranges), and the rules and allowances chosen.  Each entry is a
template with its numbers, filled in by the printing side.
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from engine.limits.plausibility import answered
from engine.rig.truck_solids import SAID
from engine.schema.model import Job, Pose, Truck, TruckRole, TyreKind, find_floor
from engine.schema.quantities import Estimate, Known
from engine.schema.typical_allowances import taken_words
from engine.schema.uncertainty_bands import QuantityKind, low_high
from engine.strength.cautions import cautions

MEASURED: frozenset[Known] = frozenset(("weighed", "weighbridge", "plate", "papers", "measured"))
"""Ways of knowing that come from a reading."""

KNOWN_WORDS: dict[Known, str] = {
    "weighed": "weighed",
    "weighbridge": "weighbridge",
    "plate": "read off a plate",
    "papers": "from papers",
    "measured": "measured",
    "worked_out": "worked out",
    "similar": "from a similar one",
    "typical": "typical of its kind",
    "guess": "a guess",
}


class Assumption(msgspec.Struct, kw_only=True, frozen=True):
    """One sentence: a template and its numbers."""

    words: str
    numbers: dict[str, float | str] = {}


class KnownNumber(msgspec.Struct, kw_only=True, frozen=True):
    """One number with its range, how it is known, and its kind of quantity (as in `engine.base.formatting`)."""

    name: str
    kind: str
    low: float
    best: float
    high: float
    known: Known


def known_numbers(job: Job, pose: Pose) -> tuple[KnownNumber, ...]:
    """Every number with a range that this pose's sums use, weighed or not."""
    return tuple(_number(name, kind, estimate) for name, kind, estimate in _estimates(job, pose))


def _number(name: str, kind: QuantityKind, estimate: Estimate[float]) -> KnownNumber:
    low, high = low_high(estimate, kind)
    return KnownNumber(name=name, kind=_SHOWN[kind], low=low, best=estimate.best, high=high, known=estimate.known)


_SHOWN: dict[QuantityKind, str] = {"mass": "kg", "length": "m", "centre": "m", "fall": "fall"}


def _estimates(job: Job, pose: Pose) -> Iterator[tuple[str, QuantityKind, Estimate[float]]]:
    truck, rig, floor = job.truck, job.rig, find_floor(job, pose)
    yield "truck's front axle weight", "mass", truck.front_axle_kg
    yield "truck's rear axle weight", "mass", truck.rear_axle_kg
    yield "height of the truck's centre", "centre", truck.cg_height_m
    yield "wheelbase", "length", truck.wheelbase_m
    yield "front overhang", "length", truck.front_overhang_m
    yield "front track", "length", truck.front_track_m
    yield "height of the rear axle pivot", "length", truck.pivot_height_m
    yield "weight of the steer axle", "mass", truck.steer_axle_kg
    for name, part in (
        ("sleeves", rig.sleeves),
        ("jib mast", rig.jib_mast),
        ("saddles", rig.saddles),
        ("boom", rig.boom),
    ):
        if part.mass_kg is not None:
            yield f"weight of the {name}", "mass", part.mass_kg
    for arm in rig.arms:
        if arm.mass_kg is not None:
            yield f"weight of {arm.name}", "mass", arm.mass_kg
    yield "weight of the hook", "mass", rig.hook.mass_kg
    if pose.loaded:
        yield "weight of the rigging", "mass", job.load.rigging_kg
        yield "weight of the load", "mass", job.load.mass_kg
    for name, fall in (("slope", floor.fall_along), ("side slope", floor.fall_across)):
        if fall is not None:
            yield name, "fall", fall


def missing(job: Job, pose: Pose) -> tuple[Assumption, ...]:
    """Facts that are not entered at all."""
    truck, rig, floor = job.truck, job.rig, find_floor(job, pose)
    facts = (
        (truck.serial.strip(), "The truck's serial number is not entered."),
        (rig.serial.strip(), "The rig's serial number is not entered."),
        (truck.plate, "The truck's plate (rated load, load centre, lift height) is not entered: no allowed load."),
        (floor.fall_along, "The slope is not known: no allowed load."),
        (floor.fall_across, "The side slope is not known: no allowed load."),
        (job.approval, "No approval of the truck's maker is entered."),
        (job.surroundings, "Ceiling, walls, lights and lines were not entered: walk it and look up."),
    )
    return tuple(Assumption(words=words) for entered, words in facts if not entered)


def assumed(job: Job, pose: Pose) -> tuple[Assumption, ...]:
    """Numbers and strengths taken without a reading, with their ranges."""
    assumptions: list[Assumption] = []
    if job.truck.typical:
        assumptions.append(Assumption(words="The truck's figures are typical of its class, not this truck's."))
    if find_floor(job, pose).surface is None:
        assumptions.append(Assumption(words="What the floor's surface is has not been entered: taken as wet or dusty."))
    assumptions += _tyres(job.truck)
    assumptions += _shape(job.truck)
    unread: dict[Known, list[KnownNumber]] = {}
    for number in known_numbers(job, pose):
        if number.known not in MEASURED:
            unread.setdefault(number.known, []).append(number)
    assumptions += [_group(known, group) for known, group in unread.items()]
    unweighed = [name for name, mass_kg in _rig_masses(job) if mass_kg is None]
    if unweighed:
        assumptions.append(
            Assumption(
                words="Weights worked out from section and length, not weighed: {parts}.",
                numbers={"parts": ", ".join(unweighed)},
            )
        )
    return (
        *assumptions,
        *(
            Assumption(words=caution.words, numbers=dict(caution.numbers))
            for caution in (*answered(job), *cautions(job, pose))
        ),
    )


def _tyres(truck: Truck) -> Iterator[Assumption]:
    """How far the tyres give, which nobody has measured."""
    if truck.tyres is None:
        yield Assumption(words="What tyres the truck has is not entered: taken as soft.")
    else:
        words = "Tyres, {kind}: typical stiffness, not measured; the softest that is usual counts."
        yield Assumption(words=words, numbers={"kind": TYRE_WORDS[truck.tyres]})


TYRE_WORDS: dict[TyreKind, str] = {
    "pneumatic": "filled with air",
    "pneumatic_soft": "filled with air, pressure low or not known",
    "solid": "solid",
    "press_on": "pressed-on bands",
}


def _shape(truck: Truck) -> Iterator[Assumption]:
    """What of the truck's shape nobody has measured, and what is said not to be there."""
    measured = {solid.role for solid in truck.solids if solid.known != "typical"}
    sizes = {
        "width": truck.width_m,
        "rear overhang": truck.rear_overhang_m,
        "height of the guard": truck.guard_height_m,
    }
    usual = [name for name, size in sizes.items() if size is None]
    left: dict[TruckRole, bool] = {"crosshead": truck.has_crosshead, "backrest": truck.has_backrest}
    usual += [SAID[role].removeprefix("the ") for role, there in left.items() if there and role not in measured]
    if usual:
        words = "Of the truck's shape taken as usual, not measured: {parts}."
        yield Assumption(words=words, numbers={"parts": ", ".join(usual)})
    here = {
        "overhead guard": truck.has_guard,
        "top cross-member": truck.has_crosshead,
        "load backrest": truck.has_backrest,
    }
    gone = [name for name, there in here.items() if not there]
    if gone:
        yield Assumption(words="Said not to be on the truck: {parts}.", numbers={"parts": ", ".join(gone)})


def _group(known: Known, group: list[KnownNumber]) -> Assumption:
    """One sentence for all numbers that are known in the same way."""
    parts: list[str] = []
    numbers: dict[str, float | str] = {"known": KNOWN_WORDS[known]}
    for index, number in enumerate(group):
        numbers |= {
            f"n{index}": number.name,
            f"b{index}": number.best,
            f"l{index}": number.low,
            f"h{index}": number.high,
        }
        kind = number.kind
        parts.append(f"{{n{index}}} {{b{index}:{kind}}} ({{l{index}:{kind}}} to {{h{index}:{kind}}})")
    return Assumption(words="Taken as {known}: " + ", ".join(parts) + ".", numbers=numbers)


def _rig_masses(job: Job) -> Iterator[tuple[str, Estimate[float] | None]]:
    rig = job.rig
    yield from (
        ("sleeves", rig.sleeves.mass_kg),
        ("jib mast", rig.jib_mast.mass_kg),
        ("saddles", rig.saddles.mass_kg),
        ("boom", rig.boom.mass_kg),
    )
    for arm in rig.arms:
        yield arm.name, arm.mass_kg


def allowances(job: Job) -> tuple[Assumption, ...]:
    """The rules and allowances the person has chosen."""
    policy = job.policy
    rules = [
        Assumption(
            words="Dynamic factor on what hangs on the hook {factor:ratio}.", numbers={"factor": policy.dynamic_factor}
        ),
        Assumption(
            words=(
                "Allowed tipping use {tip:share}; least rear weight {rear:share} of the whole weight; least light "
                "front wheel {light:share} of its bare weight."
            ),
            numbers={
                "tip": policy.allowed_tipping_use,
                "rear": policy.least_rear_share,
                "light": policy.least_light_wheel_share,
            },
        ),
        Assumption(
            words="Design factor on yield {factor:ratio}; unknown steel taken at {yield:Pa}.",
            numbers={"factor": policy.design_factor, "yield": policy.unknown_yield_Pa},
        ),
        Assumption(words=_RULE[policy.plate_rule]),
        Assumption(words=_LATERAL_RULE[policy.lateral_rule]),
    ]
    if policy.still_typical:
        numbers = {name: getattr(policy, name) for name in policy.still_typical}
        rules.append(Assumption(words=taken_words(policy.still_typical), numbers=numbers))
    for value, words in (
        (policy.swing_rad, "Load off plumb by {value:deg}."),
        (policy.braking, "Braking of {value:share} of gravity."),
        (policy.lean_rad, "Forward lean of the upright {value:deg}."),
    ):
        rules.append(
            Assumption(words=words, numbers={"value": value})
            if value
            else Assumption(words=words.split(" of ")[0].split(" by ")[0].split(" {")[0] + ": none allowed for.")
        )
    return tuple(rules)


_LATERAL_RULE = {
    "not_proven": "Sideways moment: over what the plate or the maker covers, a pose is not proven.",
    "caution": "Sideways moment: only a caution where neither the plate nor the maker covers it.",
}

_RULE = {
    "both": "Plate: axle rule and fork-face rule both bind.",
    "axle": "Plate: the axle rule alone binds.",
    "fork_face": "Plate: the fork-face rule alone binds.",
}
