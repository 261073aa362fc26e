"""What the truck's plate covers of a load beside the truck's middle: the sideways moment of all that the forks carry.

The plate speaks for a load centred side to side within an offset y that grows with the truck (`offset_m`).  What
strains carriage, hooks and upright is the roll moment, so the limit is one of moment, not of place: a light load far
out may be nothing, a heavy one half as far may be too much.  In the fork frame

    K = |sum of m y| over rig, rigging and load,    covered: Q(lift) times the offset,

with the dynamic factor on what hangs, and every weight where the bent rig carries it.

Nobody but the truck's maker can say that more holds.  So a pose over this is not proven rather than over, until the
maker's answer (`Approval.lateral_kgm`) covers it; it counts once for the rig, up to the fork height of the approval.
The load at which the plate is just used up bounds the allowed load like any other limit, so that no chart, map or paper
gives a figure that nothing covers.

Sources: offset, ISO 22915-10 scope; one limit of moment, ours.
"""

from __future__ import annotations

from typing import NamedTuple

import msgspec

from engine.base.geometry import GRAVITY_M_S2, Number, Text, least, most, ratio, where
from engine.limits.approval import LIFT_TOLERANCE_M
from engine.rig.check import Check, Problem, load_at_limit, use_of
from engine.rig.kinematics import Placed
from engine.schema.model import Approval, Job, Plate, Policy
from engine.schema.plate_rows import HEIGHT_TOLERANCE_M, rows_at

OFFSETS_M = ((5_000.0, 0.100), (10_000.0, 0.150), (20_000.0, 0.250))
"""Offset (m) that a plate covers with a rated load (kg) under the first number; ISO 22915-10, scope."""

LARGEST_OFFSET_M = 0.350
"""The same for every heavier truck."""

PART, KIND = "plate", "sideways moment"

NAME = f"{PART}: {KIND}"

WHERE = "approval.lateral_kgm"
"""The entry that settles it."""

ASK = ": ask the maker"

WORDS = "{by} covers {covered:kgm} sideways; this pose has {moment:kgm} to the {side}{ask}"

SOURCE = "offset a plate covers: ISO 22915-10, scope; held as a moment: ours"


class Sideways(NamedTuple):
    """What the forks carry beside the middle of the truck; to the left positive."""

    moment_kgm: Number
    offset_m: Number


class _Growth(NamedTuple):
    """Sideways moment (kg·m) under the load m: ``fixed + per_kg m + bending m^2``; ``now`` under the load there is."""

    now: Number
    fixed: Number
    per_kg: Number
    bending: Number


def offset_m(plate: Plate) -> float:
    """How far beside the middle the plate still covers its rated load."""
    rated_kg = max(row.rated_kg for row in plate.rows)
    return next((offset for under_kg, offset in OFFSETS_M if rated_kg < under_kg), LARGEST_OFFSET_M)


def plate_kgm(plate: Plate, lift_m: Number) -> Number:
    """Sideways moment (kg·m) that the plate covers at a fork height; nothing above its highest row."""
    covered = lift_m * 0.0
    for height in sorted({row.lift_m for row in plate.rows}, reverse=True):
        most_kg = max(row.rated_kg for row in rows_at(plate, height))
        covered = where(lift_m <= height + HEIGHT_TOLERANCE_M, most_kg * offset_m(plate), covered)
    return covered


def carried(placed: Placed, dynamic_factor: float = 1.0) -> Sideways:
    """Sideways moment of rig, rigging and load, and how far beside the middle their centre stands.

    Parameters
    ----------
    placed : Placed
        One pose or arrays of poses (...).
    dynamic_factor : float
        On what hangs on the hook; by default none.
    """
    moment_kgm = _growth(placed, dynamic_factor).now
    numbers = placed.figures
    rig_kg = sum((body.mass_kg for body in placed.bodies if body.group == "rig"), 0.0)
    all_kg = rig_kg + dynamic_factor * (numbers.rigging_kg + numbers.load_kg)
    return Sideways(moment_kgm, ratio(moment_kgm, all_kg))


def left_out(job: Job) -> Job:
    """The job without this limit: whatever is over then is over for another reason."""
    return msgspec.structs.replace(job, policy=msgspec.structs.replace(job.policy, lateral_rule="caution"))


def checks(placed: Placed, plate: Plate, policy: Policy, approval: Approval | None) -> list[Check]:
    """The sideways moment against what the plate, or the maker's answer, covers.

    Parameters
    ----------
    placed : Placed
        One pose or arrays of poses (...).
    plate : Plate
    policy : Policy
        With ``lateral_rule`` "caution" there is no check (see `cautions`).
    approval : Approval or None
    """
    return [] if policy.lateral_rule == "caution" else [_check(placed, plate, policy, approval)]


def cautions(placed: Placed, plate: Plate | None, policy: Policy, approval: Approval | None) -> tuple[Problem, ...]:
    """The same sentence without a check, where the policy asks for no more than that and the moment is not covered."""
    if plate is None or policy.lateral_rule != "caution":
        return ()
    check = _check(placed, plate, policy, approval)
    if check.use <= 1.0:
        return ()
    numbers = {name: value if isinstance(value, str) else float(value) for name, value in check.numbers.items()}
    return (Problem(kind="caution", where=WHERE, words=f"{check.words}.", numbers=numbers),)


def _check(placed: Placed, plate: Plate, policy: Policy, approval: Approval | None) -> Check:
    growth = _growth(placed, policy.dynamic_factor)
    by, covered_kgm = _covered(placed.figures.lift_m, plate, approval)
    # A rig that is over by itself stays over, even where a load would balance it: that load is lifted from 0.
    empty_kgm, moment_kgm = abs(growth.fixed), abs(growth.now)
    moment_kgm = where(empty_kgm > covered_kgm, most(empty_kgm, moment_kgm), moment_kgm)
    demand, allowed = moment_kgm * GRAVITY_M_S2, covered_kgm * GRAVITY_M_S2
    use = use_of(demand, allowed)
    return Check(
        of="truck",
        part=PART,
        kind=KIND,
        place_m=placed.frames["forks"].origin,
        demand=demand,
        allowed=allowed,
        unit="Nm",
        use=use,
        allowed_load_kg=least(
            load_at_limit(covered_kgm - growth.fixed, growth.per_kg, growth.bending),
            load_at_limit(covered_kgm + growth.fixed, -growth.per_kg, -growth.bending),
        ),
        words=WORDS,
        numbers={
            "by": by,
            "covered": covered_kgm,
            "moment": moment_kgm,
            "side": where(growth.now >= 0.0, "left", "right"),
            "ask": where(use <= 1.0, "", ASK),
        },
        source=SOURCE,
        leaves_unproven=True,
    )


def _covered(lift_m: Number, plate: Plate, approval: Approval | None) -> tuple[Number | Text, Number]:
    """Whose word counts at this fork height, and the sideways moment (kg·m) that it covers."""
    by_plate = plate_kgm(plate, lift_m)
    if approval is None or approval.lateral_kgm is None:
        return "the plate", by_plate
    approved = lift_m <= approval.lift_max_m + LIFT_TOLERANCE_M
    return where(approved, "the maker's answer", "the plate"), where(approved, approval.lateral_kgm, by_plate)


def _growth(placed: Placed, dynamic_factor: float) -> _Growth:
    """The sideways moment, taken back to no load as ``engine.limits.plate`` does."""
    numbers, forks = placed.figures, placed.frames["forks"]
    across = forks.axes.y
    at_hook = across.dot(placed.hook_m - forks.origin)
    fixed = sum(
        (body.mass_kg * across.dot(body.position_m - forks.origin) for body in placed.bodies if body.group == "rig"),
        dynamic_factor * numbers.rigging_kg * at_hook,
    )
    per_kg = dynamic_factor * at_hook
    now = fixed + numbers.load_kg * per_kg
    # Each kilogram bends the rig and so shifts itself, the rigging and the rig.
    bending = dynamic_factor * across.dot(placed.hook_per_kg_m)
    moved = across.dot(placed.rig_per_kg_kgm) + bending * numbers.rigging_kg
    return _Growth(now, fixed - moved * numbers.load_kg, per_kg + moved - bending * numbers.load_kg, bending)
