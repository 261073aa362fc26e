"""A whole first rig from a few wishes: which truck, how high, how far, how heavy, how many arms.

Every number it fills in is marked typical or worked out; the plate is never filled in.  Tubes are tried from the
lightest common size up until no part of the load path is over its limit with the wished load in the wished pose.  A
wish that the truck cannot carry still gets a rig; the verdict then says which limit it exceeds.
"""

from __future__ import annotations

import math

import msgspec

from engine.base.errors import EditError
from engine.base.typed import ANY, Range
from engine.limits import part_sizes
from engine.limits.all_limits import find_checks
from engine.rig.feasibility import usable_holes
from engine.rig.kinematics import boom_z_m, figures, hole_out_m, mast_base_z_m
from engine.schema.connections import HeelPin, Pin, ThroughPin, TubeBed, Weld
from engine.schema.model import (
    ArmPose,
    Boom,
    Floor,
    Hook,
    JibMast,
    Job,
    Load,
    Plate,
    PlateRow,
    Policy,
    Pose,
    Rig,
    Saddles,
    Sleeves,
    Truck,
)
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube
from engine.schema.stock_sizes import RECT_TUBES
from engine.schema.typical_allowances import TYPICAL
from engine.shop.edits import new_arm

LADDER = tuple(
    (RECT_TUBES[boom], RECT_TUBES[arm])
    for boom, arm in (
        ("80 x 80 x 5 mm", "60 x 60 x 4 mm"),
        ("100 x 100 x 5 mm", "75 x 75 x 4.8 mm"),
        ("100 x 100 x 6 mm", "75 x 75 x 6.4 mm"),
        ("120 x 120 x 6 mm", "80 x 80 x 6 mm"),
        ("120 x 120 x 8 mm", "100 x 100 x 6 mm"),
        ("150 x 150 x 6.4 mm", "100 x 100 x 8 mm"),
        ("150 x 150 x 8 mm", "120 x 120 x 8 mm"),
    )
)
"""Tubes of boom (and jib mast) and of the arms, lightest first."""

PITCH_M = 0.15
SADDLE_SPAN_M = 3.5 * PITCH_M
"""Half way between two holes, so that no hole ever lies under the rear strap."""

STRAP_M = 0.08
STRAP_THICKNESS_M = 0.008
SEAT_M = 0.08
BED_STEP_M, BED_WALL_M = 0.02, 0.01
ARM_SHARE = 0.3
"""Share of the reach beyond the jib mast that each arm takes (ours)."""

HOOK_DROP_M = 0.1
HOOK_EDGE_M = 0.05
MAST_FOOT_M = 0.35
LOW_FORKS_M = 0.3
"""Fork height at the wished hook height, if the jib mast can be that tall."""

MAST_LIMITS_M = (0.6, 1.8)
CLEAR_M = 0.012
"""Play between fork and sleeve, both sides together: room for a shim (common practice, no source)."""

SLEEVE_WALL_M = 0.008


class Wish(msgspec.Struct, kw_only=True, frozen=True):
    """What a person wants: hook height, reach from the fork face, load, arms; the truck's plate if it was read."""

    name: str
    truck: Truck
    hook_height_m: float
    reach_m: float
    load: Estimate[float]
    arms: int = 0
    plate: PlateRow | None = None


def sketch(wish: Wish) -> Job:
    """A job for a wish, with one rig and two poses: at work, and home with the hook empty.

    Raises
    ------
    EditError
        When no rig can be drawn for it: too near, too low, or higher than truck and jib mast together reach.
    """
    _refuse_impossible(wish)
    tried = [draft(wish, boom, arm) for boom, arm in LADDER]
    return next((job for job in tried if _steel_holds(job)), tried[-1])


LEAST_REACH_M, MOST_REACH_M = MAST_FOOT_M + STRAP_M, 6.0
"""The jib mast stands in the way of less; no boom is longer than the most (`engine.limits.part_sizes`)."""


def usual_range(name: str, truck: Truck) -> Range:
    """From where to where an answer usually lies, in SI.

    Parameters
    ----------
    name : str
        Of a `Wish`'s hook height, reach or load (``load_kg``), or of an entry of the plate's row.
    truck : Truck
    """
    if name == "reach_m":
        return Range(LEAST_REACH_M, MOST_REACH_M)
    if name == "hook_height_m":
        return Range(MAST_LIMITS_M[0], _highest_m(truck))
    bound = part_sizes.bound_of("load.mass_kg" if name == "load_kg" else f"truck.plate.rows[0].{name}")
    return ANY if bound is None else Range(bound.low, bound.high)


def refuse_impossible(name: str, value: float, truck: Truck) -> None:
    """Refuse a hook height or a reach that no rig on this truck comes to.

    Raises
    ------
    EditError
        Too near, too low, or higher than truck and jib mast together reach.
    """
    if name == "reach_m" and value < LEAST_REACH_M:
        raise EditError(
            "reach",
            f"at least {LEAST_REACH_M:g} m from the fork face",
            f"{value:g} m",
            plain="The hook cannot be {reach:length} from the fork face: the jib mast stands there. Enter at least "
            "{least:mm_up}.",
            numbers={"reach": value, "least": LEAST_REACH_M},
        )
    highest_m = _highest_m(truck)
    if name == "hook_height_m" and not MAST_LIMITS_M[0] <= value <= highest_m:
        raise EditError(
            "hook height",
            f"from {MAST_LIMITS_M[0]:g} m to {highest_m:.2f} m",
            f"{value:g} m",
            plain="The hook cannot be {height:length} high with this truck. Enter {least:mm_up} to {most:mm_down}.",
            numbers={"height": value, "least": MAST_LIMITS_M[0], "most": highest_m},
        )


def _highest_m(truck: Truck) -> float:
    return truck.upright.lift_max_m + MAST_LIMITS_M[1]


def _refuse_impossible(wish: Wish) -> None:
    refuse_impossible("reach_m", wish.reach_m, wish.truck)
    if not 0 <= wish.arms <= 2:
        raise EditError(
            "arms",
            "none, one or two to start with",
            str(wish.arms),
            plain="A first rig has no arm, one or two. More can be added once it is drawn.",
        )
    refuse_impossible("hook_height_m", wish.hook_height_m, wish.truck)


def _steel_holds(job: Job) -> bool:
    """Whether no limit of the rig itself is exceeded, with nominal values, in the first pose."""
    whole = job if job.truck.plate else _with_any_plate(job)
    checks = find_checks(whole, figures(whole, whole.poses[0]))
    return all(float(check.use) <= 1.0 for check in checks if check.of == "rig")


def _with_any_plate(job: Job) -> Job:
    """The job with a plate that limits nothing, so that the steel can be checked before the plate is read."""
    rows = (PlateRow(rated_kg=50_000.0, load_centre_m=1.0, lift_m=20.0),)
    return msgspec.structs.replace(job, truck=msgspec.structs.replace(job.truck, plate=Plate(rows=rows)))


def draft(wish: Wish, boom: RectTube, arm: RectTube) -> Job:
    """A job for a wish with these tubes, whether they hold or not."""
    truck = wish.truck if wish.plate is None else msgspec.structs.replace(wish.truck, plate=Plate(rows=(wish.plate,)))
    rig = _rig(wish, truck, boom, arm)
    here = Floor(name="here", fall_along=None, fall_across=None)
    blank = Pose(name="at work", lift_m=truck.upright.lift_min_m, hole=1, arms=tuple(ArmPose() for _ in rig.arms))
    load = Load(name="load", mass_kg=wish.load, rigging_kg=Estimate(best=10.0, known="typical"))
    job = Job(
        name=wish.name,
        notes="First sketch: every number marked typical is a start value, not yours.",
        truck=truck,
        rig=rig,
        load=load,
        floors=(here,),
        policy=Policy(**TYPICAL, taken_as_typical=tuple(TYPICAL)),
        poses=(blank,),
    )
    holes = usable_holes(job)
    out_m = _boom_out_m(wish)
    hole = min(holes, key=lambda number: abs(float(hole_out_m(rig, number)) - out_m))
    lift_m = wish.hook_height_m - mast_base_z_m(rig) - boom_z_m(rig) + rig.hook.drop_m
    upright = truck.upright
    at_work = msgspec.structs.replace(blank, hole=hole, lift_m=min(max(lift_m, upright.lift_min_m), upright.lift_max_m))
    home = msgspec.structs.replace(blank, name="home, hook empty", hole=holes[-1], loaded=False)
    return msgspec.structs.replace(job, poses=(at_work, home))


def _boom_out_m(wish: Wish) -> float:
    """Boom end ahead of the jib mast that brings the hook on straight arms to the wished reach."""
    beyond = wish.reach_m - MAST_FOOT_M
    return beyond * (1.0 - ARM_SHARE * wish.arms) + (HOOK_EDGE_M if wish.arms == 0 else 0.0)


def _rig(wish: Wish, truck: Truck, boom: RectTube, arm: RectTube) -> Rig:
    weld = Weld(leg_m=0.006, origin="typical")
    boom, arm = (msgspec.structs.replace(tube, wall_lost_m=None) for tube in (boom, arm))  # nobody has looked yet
    forks, depth = truck.forks, boom.depth_m
    sleeve = RectTube(
        width_m=round(forks.width_m + CLEAR_M + 2.0 * SLEEVE_WALL_M, 3),
        depth_m=round(forks.thickness_m + CLEAR_M + 2.0 * SLEEVE_WALL_M, 3),
        wall_m=SLEEVE_WALL_M,
        wall_lost_m=None,
    )
    over_forks_m = sleeve.wall_m + SEAT_M + depth / 2.0
    wished_mast_m = wish.hook_height_m + HOOK_DROP_M - LOW_FORKS_M - over_forks_m
    mast_m = min(max(wished_mast_m, MAST_LIMITS_M[0]), MAST_LIMITS_M[1])
    out_m = _boom_out_m(wish)
    length_m = _boom_length_m(out_m)
    first_m = length_m - out_m - PITCH_M * round(max(length_m - SADDLE_SPAN_M - STRAP_M - out_m, 0.0) / PITCH_M)
    while first_m < SADDLE_SPAN_M + STRAP_M:
        first_m += PITCH_M
    arms = tuple(
        msgspec.structs.replace(
            new_arm(index), section=arm, length_m=round(ARM_SHARE * (wish.reach_m - MAST_FOOT_M), 3)
        )
        for index in range(wish.arms)
    )
    return Rig(
        name="First sketch",
        sleeves=Sleeves(
            section=sleeve,
            length_m=round(0.9 * forks.length_m, 3),
            cross_section=RectTube(width_m=max(boom.width_m, 0.1), depth_m=0.08, wall_m=0.006, wall_lost_m=None),
            heel_hold=HeelPin(pin=Pin(diameter_m=0.02, hole_m=0.0205)),
        ),
        jib_mast=JibMast(section=boom, length_m=round(mast_m, 3), foot_x_m=MAST_FOOT_M, foot_weld=weld),
        saddles=Saddles(
            front_x_m=0.0,
            rear_x_m=-SADDLE_SPAN_M,
            strap_length_m=STRAP_M,
            strap_thickness_m=STRAP_THICKNESS_M,
            strap_weld=weld,
            seat_m=SEAT_M,
            bed=TubeBed(section=_bed(boom), origin="typical"),
        ),
        boom=Boom(
            section=boom,
            length_m=round(length_m, 3),
            first_hole_m=round(first_m, 3),
            hole_pitch_m=PITCH_M,
            hole_count=max(1, int((length_m - first_m - STRAP_M) / PITCH_M) + 1),
            pin=Pin(diameter_m=0.02, hole_m=0.0205),
        ),
        arms=arms,
        hook=Hook(
            mass_kg=Estimate(best=8.0, known="typical"),
            drop_m=HOOK_DROP_M,
            end=ThroughPin(pin=Pin(diameter_m=0.02, hole_m=0.0205), edge_m=HOOK_EDGE_M, origin="typical"),
        ),
    )


def _bed(boom: RectTube) -> RectTube:
    """As wide as the boom and both legs of a strap, in steps of 20 mm; its walls stand on the edges of the jib mast."""
    wide_m = boom.width_m + 2.0 * STRAP_THICKNESS_M
    steps = math.ceil(round(wide_m / BED_STEP_M, 6))
    return RectTube(width_m=round(steps * BED_STEP_M, 3), depth_m=SEAT_M, wall_m=BED_WALL_M, wall_lost_m=None)


def _boom_length_m(out_m: float) -> float:
    """Long enough to stay through both saddles two holes further out than wished."""
    return out_m + 2.0 * PITCH_M + SADDLE_SPAN_M + 2.0 * STRAP_M
