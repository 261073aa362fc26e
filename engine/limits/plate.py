"""What the truck's capacity plate permits: the axle rule, the fork-face rule, and never more than the plate's load.

The plate's rated load Q at load centre D says which moment the maker allows.  About the front axle, front
overhang c away, that is Q (c + D); about the fork face it is Q D.  Rig, rigging and load together may use no more.
The fork-face rule (29 CFR 1910.178 App. A, worked example) leaves c out and so is the stricter one for every reach
beyond D; it is also the moment at the fork heels.

A plate holds for a level floor, so moments are taken with the true direction of gravity or a level one, whichever is
larger: a floor that slopes down to the rear never counts as a gain.
"""

from __future__ import annotations

import math

from engine.base.geometry import GRAVITY_M_S2, LEVEL, ZERO, Number, Vec, least, most, where
from engine.rig.check import Check, Problem, load_at_limit, use_of
from engine.rig.kinematics import Placed
from engine.schema.model import Plate, Policy
from engine.schema.plate_rows import HEIGHT_TOLERANCE_M, rows_at

SOURCE = "rated load x distance, 29 CFR 1910.178 App. A worked example"
_STRAIGHT_DOWN = -LEVEL.z


def highest_lift_m(plate: Plate | None) -> float:
    """Greatest fork height with a rated load, round-off included; minus infinity without a plate."""
    return max(row.lift_m for row in plate.rows) + HEIGHT_TOLERANCE_M if plate is not None else -math.inf


def problems(plate: Plate | None, lift_m: float) -> list[Problem]:
    """Why the plate gives no rated load at this height, if it gives none."""
    if plate is None:
        words = (
            "There is no plate. Without a plate there is no allowed load: enter rated load, load centre and lift "
            "height; if the plate is gone, the truck's dealer can give them from model and serial number."
        )
        return [Problem(kind="missing", where="truck.plate", words=words)]
    if not rows_at(plate, lift_m):
        highest = max(row.lift_m for row in plate.rows)
        words = (
            "The plate gives no rated load above {highest:m}; the forks stand at {lift:m}. "
            "Lower the forks or enter the row for that height."
        )
        return [
            Problem(kind="missing", where="truck.plate.rows", words=words, numbers={"highest": highest, "lift": lift_m})
        ]
    return []


def derated_kg(rated_kg: Number, centre_m: Number, actual_centre_m: Number, overhang_m: Number = 0.0) -> Number:
    """Load allowed by the moment rule at another load centre, never more than the rated load.

    ``Q2 = Q (c + D) / (c + D2)``; c = 0 is the short form of 29 CFR 1910.178 App. A.  Shapes broadcast.
    """
    return least(rated_kg, rated_kg * (overhang_m + centre_m) / (overhang_m + actual_centre_m))


def checks(placed: Placed, plate: Plate, policy: Policy) -> list[Check]:
    """The plate's rules that the policy names, and the cap on the whole weight on the forks.

    Parameters
    ----------
    placed : Placed
        One pose or arrays of poses; fork heights may differ, each takes the rows that hold there.
    plate : Plate
    policy : Policy
        ``plate_rule`` names them.

    Returns
    -------
    list of Check
        A pose above the plate's greatest height is allowed nothing.
    """
    numbers = placed.figures
    axle_kgm, face_kgm, cap_kg = _permitted(plate, numbers.lift_m, numbers.front_overhang_m)
    heel = placed.frames["forks"].origin
    rules = []
    if policy.plate_rule in ("both", "axle"):
        rules.append(_moment_check(placed, "axle rule", ZERO, axle_kgm))
    if policy.plate_rule in ("both", "fork_face"):
        rules.append(_moment_check(placed, "fork-face rule", heel, face_kgm))
    carried_kg = sum((body.mass_kg for body in placed.bodies if body.group != "truck"), 0.0)
    cap = Check(
        of="truck",
        part="plate",
        kind="rated load",
        place_m=heel,
        demand=carried_kg,
        allowed=cap_kg,
        unit="kg",
        use=use_of(carried_kg, cap_kg),
        allowed_load_kg=cap_kg - (carried_kg - numbers.load_kg),
        words="{carried:kg} on the forks (rig, rigging and load); the plate allows {cap:kg} at all",
        numbers={"carried": carried_kg, "cap": cap_kg},
        source="29 CFR 1910.178 (o)(2): only loads within the rated capacity",
    )
    return [*rules, cap]


def _permitted(plate: Plate, lift_m: Number, overhang_m: Number) -> tuple[Number, Number, Number]:
    """Moment (kg·m) about the axle and the fork face, and load (kg), that the plate permits at each height.

    Several load centres at one height each give a moment; the smallest counts, since a row may be limited by strength.
    Computed from the highest row down, so that arrays of heights need no loop over poses.
    """
    axle = face = cap = lift_m * 0.0
    for height in sorted({row.lift_m for row in plate.rows}, reverse=True):
        rows = rows_at(plate, height)
        holds = lift_m <= height + HEIGHT_TOLERANCE_M
        axle = where(holds, least(*(row.rated_kg * (overhang_m + row.load_centre_m) for row in rows)), axle)
        face = where(holds, min(row.rated_kg * row.load_centre_m for row in rows), face)
        cap = where(holds, max(row.rated_kg for row in rows), cap)
    return axle, face, cap


def _moment_check(placed: Placed, kind: str, about_m: Vec, permitted_kgm: Number) -> Check:
    """Moment of rig, rigging and load about a level line across the truck through ``about_m``.

    A force f at r turns forwards about that line by  y . ((r - a) x f) = (r - a) . (f x y).
    """
    load_kg = placed.figures.load_kg
    demands, limits = [], []
    # On a level floor the hook hangs straight under its pin; on a sloping one, plumb.
    for pull, bearing_m in ((placed.gravity, placed.hook_m), (_STRAIGHT_DOWN, placed.tip_m)):
        ahead = pull.cross(LEVEL.y)
        at_hook_kg = placed.figures.hook_kg + placed.figures.rigging_kg
        fixed_kgm = sum(
            (
                body.mass_kg * ahead.dot(body.position_m - about_m)
                for body in placed.bodies
                if body.group in ("rig", "rigging")
            ),
            at_hook_kg * ahead.dot(bearing_m - placed.hook_m),
        )
        per_kg = ahead.dot(bearing_m - about_m)
        loaded_kgm = fixed_kgm + load_kg * per_kg
        # Taken back to no load: each kilogram bends the rig and so shifts itself, the rigging and the rig forward.
        bending = ahead.dot(placed.hook_per_kg_m)
        carried = ahead.dot(placed.rig_per_kg_kgm) + placed.figures.rigging_kg * bending
        fixed_kgm = fixed_kgm - carried * load_kg
        per_kg = per_kg + carried - bending * load_kg
        # A rig that is over by itself stays over, even where a load would balance it: that load is lifted from 0.
        demands.append(where(fixed_kgm > permitted_kgm, most(fixed_kgm, loaded_kgm), loaded_kgm))
        limits.append(load_at_limit(permitted_kgm - fixed_kgm, per_kg, bending))
    demand, allowed = most(*demands) * GRAVITY_M_S2, permitted_kgm * GRAVITY_M_S2
    return Check(
        of="truck",
        part="plate",
        kind=kind,
        place_m=about_m,
        demand=demand,
        allowed=allowed,
        unit="Nm",
        use=use_of(demand, allowed),
        allowed_load_kg=least(*limits),
        words="rig, rigging and load {demand:Nm}, hook {reach:m} out; the plate permits {allowed:Nm}",
        numbers={"demand": demand, "allowed": allowed, "reach": placed.hook_m.x - about_m.x},
        source=SOURCE,
    )
