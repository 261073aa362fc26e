"""Sag: how far hook, boom and jib mast move when the steel bends, part by part.

``engine.rig.deflection`` has the beam formulas; here its rounds are repeated until they settle, for one pose.  The
taper of a blade, play in straps, hinges and upright, and the tyres are not in these numbers: measure them
(``softness``, and the lean of the allowances).
"""

from __future__ import annotations

import math

import msgspec

from engine.limits.all_limits import leaned
from engine.rig.deflection import SADDLES, BentMember, bent_members, hook_shift, rider_shifts, shift_bodies
from engine.rig.kinematics import Placed, figures, place
from engine.rig.load_path import rig_parts
from engine.schema.model import Job, Pose

SETTLED_M = 1e-7
ROUNDS = 50
"""Each round's correction is smaller by the lean over the reach, under one in ten."""


class PartSag(msgspec.Struct, kw_only=True, frozen=True):
    """What one part's bending does to the hook: how far down (positive) and forward it carries it."""

    part: str
    drop_m: float
    forward_m: float


class Sag(msgspec.Struct, kw_only=True, frozen=True):
    """The bent rig: every body where it hangs, how the hook moves, how the jib mast's top moves and leans, by parts."""

    placed: Placed
    hook_drop_m: float
    hook_forward_m: float
    hook_aside_m: float
    mast_top_forward_m: float
    mast_top_lean_rad: float
    parts: tuple[PartSag, ...]
    settled: bool


class Softness(msgspec.Struct, kw_only=True, frozen=True):
    """How much softer than drawn one part alone would have to be to explain a measured sag (1: as drawn)."""

    part: str
    ratio: float


def sag_of(job: Job, pose: Pose) -> Sag:
    """Sag and lean of the rig in one pose.

    Parameters
    ----------
    job : Job
    pose : Pose
        Loaded or empty as it says.

    Returns
    -------
    Sag
        ``settled`` is false for a rig so soft that bending does not converge; then none of its numbers counts.
    """
    straight = place(job, leaned(figures(job, pose), job.policy))
    numbers = straight.figures
    parts, hung_kg = rig_parts(straight), numbers.rigging_kg + numbers.load_kg
    members: list[BentMember] = []
    hook_m, settled = straight.hook_m, False
    for _ in range(ROUNDS):
        members = bent_members(job, straight, parts, hung_kg, members)
        now_m = straight.hook_m + hook_shift(straight, members)
        step_m, hook_m = float((now_m - hook_m).length()), now_m
        if not step_m < 1.0:
            break
        if step_m <= SETTLED_M:
            settled = True
            break
    return _sag(straight, shift_bodies(straight, rider_shifts(straight, parts, members)), members, settled)


def softness(job: Job, pose: Pose, measured_sag_m: float) -> tuple[Softness, ...]:
    """Which part, if softer than drawn, would explain the sag measured between empty hook and a known load.

    Parameters
    ----------
    job : Job
        With the load as it hung in the test.
    pose : Pose
    measured_sag_m : float
        How far the end that carries the hook sank when the load was put on.

    Returns
    -------
    tuple of Softness
        First the part that needs the least softening to explain it; a ratio under 1 says stiffer than drawn.
    """
    loaded, empty = (sag_of(job, msgspec.structs.replace(pose, loaded=full)) for full in (True, False))
    bare_m = {part.part: part.drop_m for part in empty.parts}
    drop_m = {part.part: part.drop_m - bare_m[part.part] for part in loaded.parts}
    unexplained_m = measured_sag_m - sum(drop_m.values())
    ratios = [Softness(part=part, ratio=1.0 + unexplained_m / sag_m) for part, sag_m in drop_m.items() if sag_m > 0.0]
    return tuple(sorted(ratios, key=lambda softness: abs(softness.ratio - 1.0)))


def _sag(straight: Placed, bent: Placed, members: list[BentMember], settled: bool) -> Sag:
    down, gone = straight.gravity, bent.hook_m - straight.hook_m
    parts: dict[str, PartSag] = {}
    for member in members:
        shift = member.shift_of(straight.tip_m)
        was = parts.get(member.part, PartSag(part=member.part, drop_m=0.0, forward_m=0.0))
        parts[member.part] = PartSag(
            part=member.part,
            drop_m=was.drop_m + float(shift.dot(down)),
            forward_m=was.forward_m + float(shift.x),
        )
    top = straight.frames["boom"].origin
    lean, forward = 0.0, 0.0
    for member in members:
        if member.first <= SADDLES:
            lean += float(member.turn_rad.y)
            forward += float(member.shift_of(top).x)
    return Sag(
        placed=bent,
        hook_drop_m=float(gone.dot(down)),
        hook_forward_m=float(gone.x),
        hook_aside_m=float(gone.y),
        mast_top_forward_m=forward,
        mast_top_lean_rad=lean,
        parts=tuple(parts.values()),
        settled=settled and all(map(math.isfinite, gone)),
    )
