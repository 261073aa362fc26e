"""A first rig from a few wishes, drawn whole: which truck, how high, how far, how heavy, how many arms, what steel.

Every number it fills in of the truck, the floor and the load is marked typical, guess or worked out; the plate is never
filled in.  The rig's own joints (`engine.shop.first_joints`) are what is to be built, at sizes to start from;
`engine.planning.new_rig` sizes them.
"""

from __future__ import annotations

import math

import msgspec

from engine.base.errors import EditError
from engine.base.formatting import M_PER_IN, System
from engine.base.typed import ANY, Range
from engine.limits import part_sizes
from engine.rig.feasibility import usable_holes
from engine.rig.free_turn import free_turn_rad
from engine.rig.kinematics import boom_z_m, hole_out_m, mast_base_z_m
from engine.schema.connections import WeldQuality
from engine.schema.model import Arm, ArmPose, Floor, Job, Load, Plate, PlateRow, Policy, Pose, Rig, Truck
from engine.schema.part_sizes_for_sale import LENGTH_STEP_M, WELD_LEGS_M
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube
from engine.schema.typical_allowances import TYPICAL
from engine.shop import first_joints
from engine.shop.edits import set_value, value_at
from engine.shop.first_joints import HOOK_DROP_M, PITCH_M, Make
from engine.strength import cautions
from engine.strength.welds import least_leg_m

ARM_SHARE = 0.3
"""Share of the reach beyond the jib mast that each arm takes where nobody says (ours)."""

LOW_FORKS_M = 0.3
"""Fork height at the wished hook height, if the jib mast can be that tall."""

MAST_LIMITS_M = (0.6, 1.8)
LEAST_REACH_M, MOST_REACH_M = 0.6, 6.0
"""The jib mast stands in the way of less; no boom is longer than the most (`engine.limits.part_sizes`)."""

MOST_SIDE_SHARE = math.sin(math.radians(60.0))
"""Share of the arms' length that the hook may stand to the side: further round, a first rig reaches nothing more."""

RIGGING_KG = 10.0
USUAL_BOX_M: dict[System, float] = {"metric": 0.5, "us": 20.0 * M_PER_IN}
"""Each side of the load's box where nobody says it."""

GUESSED_SLOPE = 0.01
"""Slope both ways of a floor that nobody has measured, if the person says so: a guess, never taken unasked."""


MOST_SLOPE = 0.35
"""As steep as a floor of the model may be (`engine.schema.quantities.Fall`)."""


class Layout(msgspec.Struct, kw_only=True, frozen=True):
    """Where things stand, besides the wish.

    ``foot_x_m`` is the jib mast's foot ahead of the fork face, ``forks_m`` the fork height at work that the jib mast is
    made for, ``spare_holes`` how many holes the boom can go further out than wished.  The saddles are
    ``span_pitches`` pitches of the boom's holes apart: half a pitch more than whole ones, so that no hole ever lies
    under the rear strap.
    """

    foot_x_m: float = 0.35
    forks_m: float = LOW_FORKS_M
    spare_holes: int = 2
    span_pitches: float = 3.5


class Wish(msgspec.Struct, kw_only=True, frozen=True):
    """What a person wants: hook height, reach from the fork face, load, arms; the truck's plate if it was read.

    The floor's slopes are None until somebody has measured or guessed them.  ``steel`` is the mark of the tube and
    plate it is made of, ``quality`` who welds it.  A ``boom`` tube or arm lengths that are given stay as they are.

    ``side_m`` is the hook's place left of the truck's middle: arm 1 turns so far, the arms beyond it stay straight.
    ``sling_rated_kg`` is what the sling's tag allows on one leg straight down, None until somebody has read it;
    ``sling_m`` and the load's box (along the truck, across it, upright) are the usual ones where nobody says them.
    """

    name: str
    truck: Truck
    hook_height_m: float
    reach_m: float
    load: Estimate[float]
    arms: int = 0
    plate: PlateRow | None = None
    fall_along: Estimate[float] | None = None
    fall_across: Estimate[float] | None = None
    units: System = "metric"
    steel: str = "unknown"
    quality: WeldQuality = "own_eye"
    boom: RectTube | None = None
    arm_lengths_m: tuple[float, ...] | None = None
    sling_rated_kg: float | None = None
    sling_m: float | None = None
    side_m: float = 0.0
    box_m: tuple[float | None, float | None, float | None] = (None, None, None)

    @property
    def lengths_m(self) -> tuple[float, ...]:
        """Length of each arm, from the boom outwards."""
        if self.arm_lengths_m is not None:
            return self.arm_lengths_m
        step_m = LENGTH_STEP_M[self.units]
        return (round(step_m * round(ARM_SHARE * (self.reach_m - Layout().foot_x_m) / step_m), 6),) * self.arms

    @property
    def turn_rad(self) -> float:
        """How far arm 1 turns left for the wished side; as far as it may, where the arms are too short for that."""
        longest_m = sum(self.lengths_m)
        if not longest_m:
            return 0.0
        return math.asin(min(max(self.side_m / longest_m, -MOST_SIDE_SHARE), MOST_SIDE_SHARE))

    @property
    def arms_ahead_m(self) -> float:
        """How far the arms, turned so, bring the hook ahead of the boom's end."""
        return sum(self.lengths_m) * math.cos(self.turn_rad)


OWN_RANGES = {
    "sling_rated_kg": Range(100.0, 10_000.0),
    **dict.fromkeys(("box_length_m", "box_width_m", "box_height_m"), Range(0.03, 6.0)),
    "side_m": Range(-3.0, 3.0),
}
"""Where the tag's rating, the box's sides and the place to the side usually lie (ours)."""


def usual_range(name: str, truck: Truck) -> Range:
    """From where to where an answer usually lies, in SI.

    Parameters
    ----------
    name : str
        Of a `Wish`'s hook height, reach, load (``load_kg``), slopes, arms (``arm_m``), sling or box
        (``box_length_m``, ``box_width_m``, ``box_height_m``), or of an entry of the plate's row.
    truck : Truck
    """
    if name.startswith("fall_"):
        return Range(-MOST_SLOPE, MOST_SLOPE)
    if name == "reach_m":
        return Range(LEAST_REACH_M, MOST_REACH_M)
    if name == "hook_height_m":
        return Range(MAST_LIMITS_M[0], _highest_m(truck))
    paths = {
        "load_kg": "load.mass_kg",
        "arm_m": "rig.arms[0].length_m",
        "front_axle_kg": "truck.front_axle_kg",
        "rear_axle_kg": "truck.rear_axle_kg",
        "sling_m": "load.rigging.legs[0].length_m",
    }
    if name in OWN_RANGES:
        return OWN_RANGES[name]
    bound = part_sizes.bound_of(paths.get(name, f"truck.plate.rows[0].{name}"))
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


def refuse_wish(wish: Wish) -> None:
    """Refuse a wish for which no rig can be drawn.

    Raises
    ------
    EditError
        Too near, too low, higher than truck and jib mast together reach, further to the side than the arms reach, more
        arms than a first rig has.
    """
    if not 0 <= wish.arms <= 2:
        raise EditError(
            "arms",
            "none, one or two to start with",
            str(wish.arms),
            plain="A first rig has no arm, one or two. More can be added once it is drawn.",
        )
    refuse_impossible("reach_m", wish.reach_m - wish.arms_ahead_m, wish.truck)
    _refuse_side(wish)
    refuse_impossible("hook_height_m", wish.hook_height_m, wish.truck)


def _refuse_side(wish: Wish) -> None:
    most_m = MOST_SIDE_SHARE * sum(wish.lengths_m)
    if abs(wish.side_m) <= most_m + SIDE_TOLERANCE_M:
        return
    numbers = {"side": abs(wish.side_m), "most": most_m}
    plain = "The arms together bring the hook {most:mm_down} to the side at most, not {side:length}. Make them longer."
    if not wish.arms:
        plain = "Without an arm the hook hangs on the truck's middle line. Choose an arm, or leave the side at 0."
    raise EditError("side", f"at most {most_m:.2f} m", f"{abs(wish.side_m):g} m", plain=plain, numbers=numbers)


SIDE_TOLERANCE_M = 1e-9


def refuse_low_hook(wish: Wish) -> None:
    """Refuse a hook so low that the load would stand on the floor.

    Raises
    ------
    EditError
    """
    load = _load(wish)
    hung_m = load.sling_m + load.height_m
    if wish.hook_height_m <= hung_m:
        raise EditError(
            "hook height",
            f"more than {hung_m:g} m",
            f"{wish.hook_height_m:g} m",
            plain="Under a hook {height:length} high the load stands on the floor: sling {sling:length} and box "
            "{box:length} hang below it. Lift the hook, or shorten the sling.",
            numbers={"height": wish.hook_height_m, "sling": load.sling_m, "box": load.height_m},
        )


def weak_sling(rated_kg: float, pull_kg: float) -> EditError:
    """Why a sling is not enough: what its tag allows, and how hard the load pulls in it in the worst case (kg)."""
    return EditError(
        "sling's rating",
        f"at least {pull_kg:.0f} kg",
        f"{rated_kg:g} kg",
        plain="The sling's tag allows {rated:kg_down} in one leg; this load pulls as much as {pull:kg_up} in it as it "
        "starts, stops and swings. Take a stronger sling.",
        numbers={"rated": rated_kg, "pull": pull_kg},
    )


def draft(wish: Wish, make: Make, layout: Layout) -> Job:
    """A job for a wish with these tubes, every joint drawn, whether they hold or not.

    Raises
    ------
    EditError
        For a wish that cannot be drawn.
    """
    refuse_wish(wish)
    truck = wish.truck if wish.plate is None else msgspec.structs.replace(wish.truck, plate=Plate(rows=(wish.plate,)))
    rig = _rig(wish, truck, make, layout)
    here = Floor(name="here", fall_along=wish.fall_along, fall_across=wish.fall_across)
    blank = Pose(name="at work", lift_m=truck.upright.lift_min_m, hole=1, arms=tuple(ArmPose() for _ in rig.arms))
    turned = tuple(ArmPose(turn_rad=wish.turn_rad if index == 0 else 0.0) for index in range(len(rig.arms)))
    load = _load(wish)
    job = Job(
        name=wish.name,
        notes="A first rig: every number marked typical or guess is a start value, not yours. Put in your own.",
        units=wish.units,
        truck=truck,
        rig=rig,
        load=load,
        floors=(here,),
        policy=Policy(**TYPICAL, taken_as_typical=tuple(TYPICAL)),
        poses=(blank,),
    )
    holes = usable_holes(job)
    out_m = _boom_out_m(wish, make, layout)
    hole = min(holes, key=lambda number: abs(float(hole_out_m(rig, number)) - out_m))
    lift_m = wish.hook_height_m - mast_base_z_m(rig) - boom_z_m(rig) + rig.hook.drop_m
    upright = truck.upright
    lift_m = min(max(lift_m, upright.lift_min_m), upright.lift_max_m)
    at_work = msgspec.structs.replace(blank, hole=hole, lift_m=lift_m, arms=turned)
    home = msgspec.structs.replace(blank, name="home, hook empty", hole=holes[-1], loaded=False)
    return _without_idle_legs(_with_least_legs(msgspec.structs.replace(job, poses=(at_work, home))))


def off_reach(wish: Wish, off_m: float) -> EditError:
    """Why the hook cannot be at the wished reach, but so far off: the boom goes no further in, or no further out."""
    reach_m = wish.reach_m + off_m
    plain = "The boom comes no further in than that brings the hook {reach:length} from the fork face"
    plain += " with these arms. Shorter arms, or fewer, bring it nearer." if wish.arms else "."
    if off_m < 0.0:
        plain = "The boom goes no further out than that brings the hook {reach:length} from the fork face."
    numbers = {"reach": reach_m}
    return EditError("reach", f"about {reach_m:.2f} m", f"{wish.reach_m:g} m", plain=plain, numbers=numbers)


def _load(wish: Wish) -> Load:
    sling_m = first_joints.SLING_M[wish.units] if wish.sling_m is None else wish.sling_m
    length_m, width_m, height_m = (USUAL_BOX_M[wish.units] if size_m is None else size_m for size_m in wish.box_m)
    return Load(
        name="load",
        mass_kg=wish.load,
        rigging_kg=Estimate(best=RIGGING_KG, known="typical"),
        rigging=first_joints.rigging(sling_m, wish.sling_rated_kg),
        sling_m=sling_m,
        length_m=length_m,
        width_m=width_m,
        height_m=height_m,
    )


def _with_least_legs(job: Job) -> Job:
    """The job with no weld so small that it may be cold on the thickness it joins."""
    for path, least_m in cautions.legs_for_thickness_m(job.rig):
        legs = WELD_LEGS_M[job.units]
        leg_m = next((leg for leg in legs if leg >= least_m - cautions.INCH_LEG_M), legs[-1])
        job = set_value(job, f"{path}.leg_m", leg_m)
    return job


def _without_idle_legs(job: Job) -> Job:
    """The job with no weld larger than the next leg over the thinnest part it stands on: more counts for nothing.

    A weld of lugs on their packing is laid on the tube's wall too: it keeps the leg that lug and packing ask for, which
    is one that the wall takes (`engine.shop.first_joints.most_lug_m`).
    """
    joined: dict[str, list[float]] = {}
    for _, path, _, thinner_m in cautions.welds(job.rig):
        joined.setdefault(path, []).append(thinner_m)
    for path, thinner_m in joined.items():
        warm_m = max(least_leg_m(each_m) for each_m in thinner_m) - cautions.INCH_LEG_M
        enough_m = first_joints.leg_over_m(max(min(thinner_m), warm_m), job.units)
        if value_at(job, f"{path}.leg_m") > enough_m:
            job = set_value(job, f"{path}.leg_m", enough_m)
    return job


def _boom_out_m(wish: Wish, make: Make, layout: Layout) -> float:
    """Boom end ahead of the jib mast that brings the hook to the wished reach."""
    beyond_m = wish.reach_m - layout.foot_x_m - wish.arms_ahead_m
    return beyond_m + (make.sizes["hook's edge"] if wish.arms == 0 else 0.0)


def _rig(wish: Wish, truck: Truck, make: Make, layout: Layout) -> Rig:
    pitch_m, step_m = PITCH_M[wish.units], LENGTH_STEP_M[wish.units]
    span_m = layout.span_pitches * pitch_m
    saddles = first_joints.saddles(make, span_m)
    strap_m = saddles.strap_length_m
    over_forks_m = make.sleeve.wall_m + saddles.seat_m + make.boom.depth_m / 2.0
    wished_mast_m = wish.hook_height_m + HOOK_DROP_M[wish.units] - layout.forks_m - over_forks_m
    mast_m = min(max(wished_mast_m, MAST_LIMITS_M[0]), MAST_LIMITS_M[1])
    out_m = _boom_out_m(wish, make, layout)
    length_m = out_m + layout.spare_holes * pitch_m + span_m + 2.0 * strap_m
    first_m = length_m - out_m - pitch_m * round(max(length_m - span_m - strap_m - out_m, 0.0) / pitch_m)
    while first_m < span_m + strap_m:
        first_m += pitch_m
    rig = Rig(
        name="First rig",
        sleeves=first_joints.sleeves(make, truck.forks),
        jib_mast=first_joints.jib_mast(make, round(step_m * round(mast_m / step_m), 6), layout.foot_x_m),
        saddles=saddles,
        boom=first_joints.boom(
            make,
            round(length_m, 3),
            round(first_m, 3),
            max(1, int((length_m - first_m - strap_m) / pitch_m) + 1),
        ),
        arms=tuple(first_joints.arm(make, index, arm_m) for index, arm_m in enumerate(wish.lengths_m)),
        hook=first_joints.hook(make),
    )
    return msgspec.structs.replace(rig, arms=tuple(_turning_freely(rig, index) for index in range(len(rig.arms))))


TURN_STEP_DEG = 5
MOST_TURN_DEG = 120
"""An arm's stops are drawn at whole steps; no further round even where its pieces would let it."""


def _turning_freely(rig: Rig, index: int) -> Arm:
    """An arm with its stops at the last whole step before its pieces meet those of the link before it, each way."""
    least_deg, most_deg = (math.degrees(turn_rad) for turn_rad in free_turn_rad(rig, index))
    free_deg = min(-least_deg, most_deg, MOST_TURN_DEG)
    turn_rad = math.radians(TURN_STEP_DEG * math.floor(free_deg / TURN_STEP_DEG))
    return msgspec.structs.replace(rig.arms[index], turn_min_rad=-turn_rad, turn_max_rad=turn_rad)
