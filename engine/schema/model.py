"""The job as data: truck, rig, load, floor, allowances and poses.  The model is the file format.

Every type is a frozen value.  Limits are written in the types, so that one definition checks files, forms and code.
Names end in their unit.  ``None`` always means "not known", never zero; a verdict that needs such an entry is refused.

Frames (see ``engine``): truck parts are placed in the truck's frame with the upright vertical; rig parts in
the fork frame, whose origin is the front face of the fork shanks at the top of the fork blades, x forward
along the blades, z square to them.
"""

from __future__ import annotations

import math
from typing import Annotated, Literal, assert_never

import msgspec
from msgspec import Meta

from engine.base.errors import ContradictionError, PoseNameError
from engine.base.typed import LONGEST_NAME
from engine.schema import typical_allowances
from engine.schema.connections import (
    BoomStops,
    Cap,
    Gear,
    Gusset,
    HeelHold,
    HeelPin,
    HingeEnd,
    HookBefore,
    HookEnd,
    Hoop,
    MastBase,
    OnCross,
    Pin,
    PlateBed,
    PlateFaces,
    Rigging,
    SaddleBed,
    Stay,
    StrapFoot,
    StrapMake,
    ThroughPin,
    TubeBed,
    Weld,
    WeldedHoop,
)
from engine.schema.joints import JOINTS, Axis, Joint, TurningJoint
from engine.schema.quantities import (
    Count,
    Distance,
    Estimate,
    Fall,
    Known,
    Lean,
    Length,
    Mass,
    MassOrNone,
    Name,
    Notes,
    Place,
    Share,
    Text,
    Turn,
    Value,
)
from engine.schema.sections import FlatBar, RectTube, RoundTube, SolidRound
from engine.schema.steel import UNKNOWN, UNKNOWN_YIELD_PA

FORMAT_VERSION = 2

UNMEASURED_WEAR = 0.10
"""Share of a fork's thickness that counts as lost while nobody has measured it: the most a fork in use may lose."""

Gap = Annotated[float, Meta(ge=0.0, le=0.05)]
"""Free space between two parts, or what fills it (m)."""

JOBS_AT_MOST = 3
"""Most jobs wanted of one rig: the heaviest, the furthest and the highest."""


# ---------------------------------------------------------------- truck


class PlateRow(Value, kw_only=True):
    """One line of the truck's plate: rated load at a load centre, up to a fork height."""

    rated_kg: Mass
    load_centre_m: Length
    lift_m: Length


class Plate(Value, kw_only=True):
    """The truck's capacity plate as read."""

    rows: Annotated[tuple[PlateRow, ...], Meta(min_length=1, max_length=20)]


class Upright(Value, kw_only=True):
    """The truck's lifting frame: its masses, heights, tilt pivot and limits."""

    outer_kg: Mass
    inner_kg: Mass
    lowered_height_m: Length
    tilt_pivot_x_m: Place
    tilt_pivot_z_m: Distance
    tilt_back_max_rad: Annotated[float, Meta(ge=0.0, le=0.35)]
    tilt_forward_max_rad: Annotated[float, Meta(ge=0.0, le=0.35)]
    lift_min_m: Distance
    lift_max_m: Length

    def __post_init__(self) -> None:
        if self.lift_max_m <= self.lift_min_m:
            raise ContradictionError(
                "the greatest fork height of {high:length} is not over the least, {low:length}.",
                high=self.lift_max_m,
                low=self.lift_min_m,
            )


class Forks(Value, kw_only=True):
    """The pair of fork arms; ``spread_m`` is blade centre to blade centre.

    ``worn_m`` is the thickness lost at the heel; while nobody has measured it, a tenth of the thickness counts as lost.
    """

    mass_kg: Mass
    length_m: Length
    width_m: Length
    thickness_m: Length
    spread_m: Length
    worn_m: Distance | None = None
    rating_each_kg: Mass | None = None
    rating_centre_m: Length | None = None

    @property
    def wear_m(self) -> float:
        """Thickness that counts as lost at the heel."""
        return UNMEASURED_WEAR * self.thickness_m if self.worn_m is None else self.worn_m


class Aboard(Value, kw_only=True):
    """A weight on the truck but not in its axle weights, such as driver or fuel bottle; counted only if ``counted``."""

    name: Name
    mass_kg: Estimate[Mass]
    x_m: Place
    y_m: Place = 0.0
    z_m: Distance
    counted: bool = False


GuardHeight = Annotated[float, Meta(ge=1.6, le=5.0)]
"""Top of an overhead guard (m): lower, nobody sits under it."""

TruckRole = Literal["body", "guard", "guard_leg", "driver", "channel", "crosshead", "carriage", "backrest"]
"""What a box of the truck is: ``guard`` is the overhead guard's roof, ``driver`` the space the driver needs,
``channel`` one of the upright's posts and ``crosshead`` the member across their top."""


class TruckSolid(Value, kw_only=True):
    """A box of the truck as measured; it replaces every usual box of its ``role`` (`engine.rig.truck_solids`).

    Measured with the upright vertical and the forks on the floor, from the front axle, the middle and the floor.
    ``link`` is what it moves with.  One that is ``typical`` is as sure as a usual box.
    """

    name: Name
    role: TruckRole
    link: Literal["chassis", "outer", "inner", "forks"] = "chassis"
    known: Literal["typical", "guess", "measured"] = "typical"
    x0_m: Place
    x1_m: Place
    y0_m: Place
    y1_m: Place
    z0_m: Place
    z1_m: Place

    def __post_init__(self) -> None:
        _check_box(self)


TyreKind = Literal["pneumatic", "pneumatic_soft", "solid", "press_on"]
"""Tyres of a truck: filled with air and pumped up, filled with air at a pressure that is low or not known, solid
(resilient) on a rim, or a band of rubber pressed on the wheel."""


class Truck(Value, kw_only=True):
    """A counterbalanced lift truck as weighed bare: upright vertical, forks at ``weighed_lift_m``, level floor.

    The axle weights include every part named here but nothing ``aboard``.  ``steer_axle_kg`` (axle with its
    wheels) hangs below the rear axle pivot.  Of its shape, ``width_m`` is over all, ``rear_overhang_m`` behind the rear
    axle and ``guard_height_m`` to the top of the overhead guard; what is left out is taken as usual for its kind.
    ``turning_radius_m`` is that of the circle its outermost corner describes at full lock.
    ``tyres`` that nobody has named may be of any kind (`uncertainty_bands.tyre_stiffness_N_m`).
    """

    name: Name
    serial: Text = ""
    typical: bool = False
    front_axle_kg: Estimate[Mass]
    rear_axle_kg: Estimate[Mass]
    cg_height_m: Estimate[Length]
    weighed_lift_m: Distance = 0.3
    wheelbase_m: Estimate[Length]
    front_overhang_m: Estimate[Length]
    front_track_m: Estimate[Length]
    rear_track_m: Length
    pivot_height_m: Estimate[Length]
    front_tyre_radius_m: Length
    rear_tyre_radius_m: Length
    steer_axle_kg: Estimate[MassOrNone]
    tyres: TyreKind | None = None
    carriage_kg: Mass
    upright: Upright
    forks: Forks
    aboard: Annotated[tuple[Aboard, ...], Meta(max_length=10)] = ()
    plate: Plate | None = None
    width_m: Estimate[Length] | None = None
    rear_overhang_m: Estimate[Length] | None = None
    guard_height_m: Estimate[GuardHeight] | None = None
    turning_radius_m: Estimate[Length] | None = None
    has_guard: bool = True
    has_crosshead: bool = True
    has_backrest: bool = True
    solids: Annotated[tuple[TruckSolid, ...], Meta(max_length=40)] = ()


# ---------------------------------------------------------------- rig


class Sleeves(Value, kw_only=True):
    """The two base tubes over the forks and the cross-member that joins them under the jib mast.

    ``heel_gap_m`` is from the fork face to the sleeves' rear ends.  ``welded_spread_m`` is from sleeve centre to sleeve
    centre as the cross-member holds them; where nobody has entered it, the sleeves stand as the truck's forks do.
    ``cross_weld`` joins each end of the cross-member to its sleeve's side: ``front_and_back`` are its two upright
    lines, ``both_sides`` those above and below.
    ``heel_hold`` keeps the heels from lifting off the forks.
    """

    section: RectTube
    length_m: Length
    heel_gap_m: Distance = 0.0
    welded_spread_m: Length | None = None
    cross_section: RectTube
    cross_weld: Weld | None = None
    mass_kg: Estimate[Mass] | None = None
    steel: Name = UNKNOWN
    heel_hold: HeelHold | None = None

    @property
    def heel_pin(self) -> Pin | None:
        """The pin under each fork's heel, where that is what holds it."""
        return self.heel_hold.pin if isinstance(self.heel_hold, HeelPin) else None

    def spread_on(self, forks: Forks) -> float:
        """From sleeve centre to sleeve centre: as welded, or as these forks stand where nobody has entered it."""
        return forks.spread_m if self.welded_spread_m is None else self.welded_spread_m


class JibMast(Value, kw_only=True):
    """The standing tube; ``foot_x_m`` is its axis ahead of the fork face, ``lean_rad`` its own lean back.

    ``foot_weld`` joins it to what it stands on: the cross-member itself, or a base plate welded on that.  ``gussets``
    stand in its foot's corners, one row to a face.
    """

    section: RectTube | RoundTube
    length_m: Length
    foot_x_m: Distance
    lean_rad: Lean = 0.0
    mass_kg: Estimate[Mass] | None = None
    steel: Name = UNKNOWN
    foot_weld: Weld
    base: MastBase = OnCross()
    gussets: Annotated[tuple[Gusset, ...], Meta(max_length=4)] = ()


class Saddles(Value, kw_only=True):
    """The two straps the boom slides in, on a bed across the top of the jib mast.

    ``front_x_m`` and ``rear_x_m`` are the strap centres ahead of the mast axis (the rear one negative);
    ``seat_m`` is from the mast's top to the boom's underside: bed, cap and the shim under the boom.

    ``side_gap_m`` (at each side) and ``top_gap_m`` are the free space round the boom, beside its shims; each foot weld
    draws its leg in by ``weld_shrink_m``.  Shims stand at both sides, ``shim_side_m`` thick, and over and under the
    boom, ``shim_top_m``.  ``foot_faces`` are those of a leg on top of the bed.  ``pin_hole_m`` is the boom pin's hole
    in the strap, as wide as the boom's where it is left out.
    """

    front_x_m: Place
    rear_x_m: Place
    strap_length_m: Length
    strap_thickness_m: Annotated[float, Meta(gt=0.0, le=0.1)] = 0.008
    strap_make: StrapMake | None = None
    strap_foot: StrapFoot | None = None
    strap_weld: Weld
    foot_faces: PlateFaces = "outside"
    side_gap_m: Gap | None = None
    top_gap_m: Gap | None = None
    weld_shrink_m: Gap = 0.001
    shims: Literal["none", "steel", "wood", "polymer"] = "none"
    shim_side_m: Annotated[float, Meta(ge=0.0, le=0.1)] = 0.0
    shim_top_m: Gap = 0.001
    pin_hole_m: Annotated[float, Meta(gt=0.0, le=0.2)] | None = None
    seat_m: Distance
    bed: SaddleBed | None = None
    pin_at: Literal["front", "rear"] = "front"
    mass_kg: Estimate[Mass] | None = None
    steel: Name = UNKNOWN

    def __post_init__(self) -> None:
        if self.front_x_m - self.rear_x_m <= self.strap_length_m:
            raise ContradictionError(
                "the front strap stands {apart:length} ahead of the rear one; more than one strap length, "
                "{strap:length}, is needed. Behind the mast is minus.",
                apart=self.front_x_m - self.rear_x_m,
                strap=self.strap_length_m,
            )

    @property
    def bed_section(self) -> RectTube | FlatBar | None:
        """The bed's section; none where the straps stand on the cap or on nothing that is entered."""
        match self.bed:
            case TubeBed():
                return self.bed.section
            case PlateBed():
                return FlatBar(width_m=self.bed.width_m, depth_m=self.bed.thickness_m)
            case _:
                return None

    @property
    def cap(self) -> Cap | None:
        """The cap on the jib mast, where one is entered."""
        mount = None if self.bed is None else self.bed.mount
        return None if mount is None else mount.cap

    @property
    def cap_m(self) -> float:
        """Thickness of the cap, 0 without one."""
        return 0.0 if self.cap is None else self.cap.thickness_m

    @property
    def under_straps_m(self) -> float | None:
        """Thickness of the wall or plate that the straps stand on, where it is entered."""
        match self.bed:
            case TubeBed():
                return self.bed.section.wall_m
            case PlateBed():
                return self.bed.thickness_m
            case _:
                return None if self.cap is None else self.cap.thickness_m


class Boom(Value, kw_only=True):
    """The sliding tube with its pin holes: hole 1 is nearest the tail, so pinning it puts the boom furthest out.

    ``stops`` are at its ends and too large for the saddles: the one at the rear end keeps it from running out forward,
    the one at the front end from running out backward.  They count only while the boom is unpinned and empty.

    Holes stand ``hole_pitch_m`` apart, or each as far from the one before it as ``hole_steps_m`` says; then the pitch
    does not count.
    """

    section: RectTube
    length_m: Length
    first_hole_m: Length
    hole_pitch_m: Length
    hole_steps_m: Annotated[tuple[Length, ...], Meta(max_length=59)] = ()
    hole_count: Count
    hole_edge_m: Length | None = None
    pin: Pin
    stops: BoomStops | None = None
    mass_kg: Estimate[Mass] | None = None
    steel: Name = UNKNOWN

    def __post_init__(self) -> None:
        if self.hole_steps_m and len(self.hole_steps_m) != self.hole_count - 1:
            raise ContradictionError(
                "{holes} holes have {needed} distances from hole to hole; {given} are entered.",
                holes=str(self.hole_count),
                needed=str(self.hole_count - 1),
                given=str(len(self.hole_steps_m)),
            )
        last = self.hole_m(self.hole_count)
        if last >= self.length_m:
            raise ContradictionError(
                "hole {hole} would be {last:length} from the tail, past the boom's {length:length}. Enter fewer holes, "
                "a shorter distance from hole to hole, or a longer boom.",
                hole=str(self.hole_count),
                last=last,
                length=self.length_m,
            )

    def hole_m(self, hole: int) -> float:
        """Place of a pin hole from the tail; a hole past the last stands at the pitch."""
        steps_m = self.hole_steps_m[: max(hole - 1, 0)]
        return self.first_hole_m + sum(steps_m) + (hole - 1 - len(steps_m)) * self.hole_pitch_m

    @property
    def least_step_m(self) -> float:
        """From a pin hole to the nearest other one; infinite where there is one hole."""
        return min(self.hole_steps_m or (self.hole_pitch_m,)) if self.hole_count > 1 else math.inf


class Hinge(Value, kw_only=True):
    """The hinge an arm turns on: one pin, barrels ``spacing_m`` apart (centre to centre), lugs on the inner link.

    ``shear_planes`` is 1 when each barrel sits against one lug, 2 when it sits between two.  ``lug_edge_m`` is from the
    hole's centre to the lug's nearest edge, ``gap_m`` the free space between lug and barrel, ``lug_weld_length_m`` the
    length of one weld line of a lug (two lines each; twice the edge distance if not given).

    ``inner_end`` is what stands on the end of the link before the arm, ``outer_end`` on the arm's own.  The lugs are on
    the inner one, the barrels on the outer, unless the pieces say otherwise (``rig.hinge_pieces``).  Between a sleeve
    and its lugs ``spacing_m`` is from lug to lug, centre to centre.
    """

    pin: Pin
    spacing_m: Length
    barrel_outer_m: Annotated[float, Meta(gt=0.0, le=0.3)]
    barrel_length_m: Length
    lug_thickness_m: Annotated[float, Meta(gt=0.0, le=0.1)]
    lug_edge_m: Length
    gap_m: Distance = 0.002
    shear_planes: Literal[1, 2] = 1
    lug_weld_length_m: Length | None = None
    weld: Weld
    steel: Name = UNKNOWN
    inner_end: HingeEnd | None = None
    outer_end: HingeEnd | None = None


AngleHeld = Literal["by_hand", "pinned"]
"""What keeps an arm at its angle: a hand or a line, or a pin through a hole of its own."""


class Arm(Value, kw_only=True):
    """An end arm: ``length_m`` from its hinge axis to the next hinge or the hook.

    ``axis`` standing: the arm turns sideways (left positive).  ``axis`` level: it raises (up positive). ``stack_m`` is
    how far its centreline is above the link before it (below: negative).  ``stay`` is what holds a level arm up;
    without one nothing does.  ``angle_held`` is what keeps a standing arm at the angle it is set to; where nobody has
    said, a hand or a line.
    """

    name: Name
    section: RectTube | RoundTube
    length_m: Length
    axis: Axis = "standing"
    stack_m: Place = 0.0
    turn_min_rad: Turn = -math.pi
    turn_max_rad: Turn = math.pi
    stay: Stay | None = None
    angle_held: AngleHeld | None = None
    hinge: Hinge
    mass_kg: Estimate[Mass] | None = None
    steel: Name = UNKNOWN

    def __post_init__(self) -> None:
        if self.turn_max_rad <= self.turn_min_rad:
            raise ContradictionError(
                "it turns left or up to {most:angle}, which is not past the other stop at {least:angle}. Right or down "
                "is minus.",
                most=self.turn_max_rad,
                least=self.turn_min_rad,
            )

    @property
    def joint(self) -> Joint:
        """The joint the arm turns on, with the arm's stops."""
        return JOINTS[self.axis](self.turn_min_rad, self.turn_max_rad)

    @property
    def reach_m(self) -> float:
        """How far from its place on the link before it the arm ends, at most."""
        return self.joint.farthest_m(self.length_m)


def hinge_of(arm: Arm) -> Hinge:
    """The hinge an arm turns on, for sums and pieces that hold for a hinge alone."""
    match arm.joint:
        case TurningJoint():
            return arm.hinge
        case _ as joint:
            assert_never(joint)


class Hook(Value, kw_only=True):
    """The hook at the end of the last link; it bears ``drop_m`` under that link's centreline.

    ``end`` is what holds it there.  A link that carries an arm has one like it ``behind_hinge_m`` back from the hinge
    pin, for when that arm is left off; None: it has none.  ``version1`` is kept of a file of
    version 1 that had both a pin and a hoop, and counts only while there is no ``end``.  ``gear`` is the bought
    hook, shackle or swivel that hangs there, as marked.
    """

    mass_kg: Estimate[MassOrNone]
    drop_m: Distance
    end: HookEnd | None = None
    behind_hinge_m: Length | None = None
    version1: HookBefore | None = None
    gear: Annotated[tuple[Gear, ...], Meta(max_length=12)] = ()

    @property
    def holder(self) -> HookEnd | HookBefore | None:
        """What holds the hook: its end as entered, or what a file of version 1 said of it."""
        return self.version1 if self.end is None else self.end

    @property
    def holder_path(self) -> str:
        """Where in the file that is."""
        return "rig.hook.version1" if self.end is None and self.version1 is not None else "rig.hook.end"

    @property
    def edge_m(self) -> float:
        """From the tube's end to where the hook hangs; at the very end where nothing is entered."""
        return 0.0 if self.holder is None else self.holder.edge_m

    @property
    def cross_pin(self) -> ThroughPin | HookBefore | None:
        """The hook pin through the link's side walls, where there is one."""
        return self.holder if isinstance(self.holder, ThroughPin | HookBefore) else None

    @property
    def hoop(self) -> Hoop | None:
        """The hoop, where there is one."""
        return self.holder.hoop if isinstance(self.holder, WeldedHoop | HookBefore) else None


class Rig(Value, kw_only=True):
    """The lifting jib: sleeves, jib mast, saddles, boom, arms and hook."""

    name: Name
    serial: Text = ""
    revision: Text = "A"
    sleeves: Sleeves
    jib_mast: JibMast
    saddles: Saddles
    boom: Boom
    arms: Annotated[tuple[Arm, ...], Meta(max_length=6)] = ()
    hook: Hook


# ---------------------------------------------------------------- load, floor, allowances, poses


Hang = Literal["free", "one_line", "two_lines", "fixed"]
"""What keeps the load from turning under its hook: nothing, one tag line, two, or two rigid points."""


class Load(Value, kw_only=True):
    """What is lifted, and the rigging it hangs in; ``rigging`` says how, None if nobody has said.

    Its box is ``length_m`` by ``width_m`` by ``height_m``.  ``hang`` is what keeps it from turning; held, its length
    lies ``heading_rad`` from the truck's forward, left positive.
    """

    name: Name
    mass_kg: Estimate[MassOrNone]
    rigging_kg: Estimate[MassOrNone]
    rigging: Rigging | None = None
    sling_m: Distance = 0.5
    height_m: Length = 0.5
    length_m: Length = 0.5
    width_m: Length = 0.5
    hang: Hang = "free"
    heading_rad: Turn = 0.0


Surface = Literal["dry", "wet", "mud", "ice", "oil", "snow"]
"""What tyres stand on: dry concrete, wet or dusty concrete, mud, and three that hold no truck."""


class Floor(Value, kw_only=True):
    """The floor at one named place: fall forward and fall to the left, rise over run; ``None`` is not known.

    A ``surface`` that nobody has named counts as wet (`engine.schema.friction`).
    """

    name: Name
    fall_along: Estimate[Fall] | None
    fall_across: Estimate[Fall] | None
    surface: Surface | None = None


class Gaps(Value, kw_only=True):
    """Free space wanted (m): of rig and load from what stands round the truck, from the truck and from each other.

    ``rig_to_driver_m`` is round the space the driver needs, against rig and load.
    """

    rig_to_object_m: Distance = 0.10
    rig_to_truck_m: Distance = 0.05
    rig_to_driver_m: Distance = 0.12
    rig_to_rig_m: Distance = 0.05
    load_to_object_m: Distance = 0.15
    load_to_rig_m: Distance = 0.10
    load_to_floor_m: Distance = 0.05


class Policy(Value, kw_only=True):
    """The allowances and limits the person sets; `engine.schema.policy_reasons` has the reason for each.

    ``taken_as_typical`` names those that nobody has set (`engine.schema.typical_allowances`).
    """

    dynamic_factor: Annotated[float, Meta(ge=1.0, le=3.0)] = 1.15
    swing_rad: Annotated[float, Meta(ge=0.0, le=0.35)] = 0.0
    braking: Annotated[float, Meta(ge=0.0, le=0.6)] = 0.0
    lean_rad: Annotated[float, Meta(ge=0.0, le=0.1)] = 0.0
    allowed_tipping_use: Annotated[float, Meta(gt=0.0, le=1.0)] = 0.5
    least_rear_share: Share = 0.20
    least_light_wheel_share: Share = 0.30
    plate_rule: Literal["both", "axle", "fork_face"] = "both"
    lateral_rule: Literal["not_proven", "caution"] = "not_proven"
    gaps: Gaps = Gaps()
    design_factor: Annotated[float, Meta(ge=2.0, le=6.0)] = 3.0
    unknown_yield_Pa: Annotated[float, Meta(ge=100e6, le=235e6)] = UNKNOWN_YIELD_PA
    taken_as_typical: Annotated[tuple[typical_allowances.Name, ...], Meta(max_length=3)] = ()

    @property
    def still_typical(self) -> tuple[typical_allowances.Name, ...]:
        """Allowances that stand at what is typical because nobody has set them."""
        return tuple(name for name in self.taken_as_typical if getattr(self, name) == typical_allowances.TYPICAL[name])


class ArmPose(Value, kw_only=True):
    """The coordinate of one arm's joint; an arm that is not fitted is left off the rig."""

    turn_rad: Turn = 0.0
    fitted: bool = True


PoseAt = Literal["between", "pick_up", "set_down"]
"""Whether a pose is on the way, or where the load stands on something as it is picked up or set down."""


class Pose(Value, kw_only=True):
    """One stance of truck and rig.  The boom is either pinned in ``hole`` or unpinned at ``free_out_m``.

    ``free_out_m`` is the boom's end ahead of the jib mast axis.  ``lift_m`` is the top of the fork blades over
    the floor with the upright vertical.
    """

    name: Name
    lift_m: Distance
    tilt_rad: Lean = 0.0
    hole: Count | None = 1
    free_out_m: Place | None = None
    arms: Annotated[tuple[ArmPose, ...], Meta(max_length=6)] = ()
    loaded: bool = True
    floor: Name = "here"
    at: PoseAt = "between"

    def __post_init__(self) -> None:
        if (self.hole is None) == (self.free_out_m is None):
            both = "both are" if self.hole is not None else "neither is"
            raise ContradictionError("a pose has either a pin hole or a free boom position; {both} entered.", both=both)


LimitIs = Literal["load", "hook_load"]
"""What an approval's limit counts: the thing lifted alone, or the rigging too."""


class Approval(Value, kw_only=True):
    """The truck maker's written approval as entered, with its own limits.

    ``limit_is`` says what ``allowed_kg`` counts: the load alone, or the hook load, rigging included.  A file written
    before anybody was asked has none: the hook load is taken, the stricter.
    ``lateral_kgm`` is the sideways moment of rig, rigging and load that the maker covers (kg·m, to either side), once
    for the rig; ``None`` while the maker has not said: then only what the plate covers counts.
    """

    reference: Name
    date: Name
    by: Text = ""
    allowed_kg: Mass
    limit_is: LimitIs = "hook_load"
    lift_max_m: Length
    lateral_kgm: MassOrNone | None = None


class TrialLift(Value, kw_only=True):
    """A known load hung in a pose, and the rear axle weighed with it; the pose is kept as it was then.

    ``scale_kg`` is the possible error of the rear axle's reading, ``load_known`` how the test load is known.
    """

    pose: Pose
    load_kg: MassOrNone
    load_known: Known = "weighed"
    rigging_kg: MassOrNone = 0.0
    rear_kg: Mass
    scale_kg: Mass = 10.0


class NoGo(Value, kw_only=True):
    """A stretch of a stock length that must not end up in a part: old holes, a bend, a gouge."""

    from_m: Distance
    to_m: Length
    why: Name = "old holes"

    def __post_init__(self) -> None:
        if self.to_m <= self.from_m:
            raise ContradictionError(
                "the stretch ends at {end:length}, which is not past its beginning at {start:length}.",
                end=self.to_m,
                start=self.from_m,
            )


Condition = Literal["good", "rusty", "bent"]


class Stock(Value, kw_only=True):
    """Steel on the rack: ``count`` lengths of one section, with stretches that must not be used.

    `engine.shop.cutting_plan.usable_section` says what a ``condition`` means for its use.
    """

    name: Name
    section: RectTube | RoundTube | SolidRound | FlatBar
    length_m: Length
    count: Count = 1
    steel: Name = UNKNOWN
    condition: Condition = "good"
    no_go: Annotated[tuple[NoGo, ...], Meta(max_length=20)] = ()

    def __post_init__(self) -> None:
        for index, zone in enumerate(self.no_go):
            if zone.to_m > self.length_m:
                raise ContradictionError(
                    "the stretch ends at {end:length}, past the steel's {length:length}.",
                    at=f"no_go[{index}].to_m",
                    end=zone.to_m,
                    length=self.length_m,
                )


class WantedJob(Value, kw_only=True):
    """One job the rig is to do: hook load and rigging, hook height, and the hook's distance ahead of the fork face."""

    name: Name
    load_kg: Estimate[Mass]
    rigging_kg: MassOrNone
    hook_height_m: Length
    ahead_of_face_m: Length


LogKind = Literal["trial lift", "pick", "reading", "inspection", "repair"]


class LogEntry(Value, kw_only=True):
    """One line of the rig's log: what happened, when, by whom, and any readings taken."""

    date: Name
    kind: LogKind
    by: Text = ""
    words: Text = ""
    pose: Text = ""
    load_kg: MassOrNone | None = None
    rear_kg: MassOrNone | None = None
    sag_m: Annotated[float, Meta(ge=-1.0, le=1.0)] | None = None
    next_due: Text = ""


class Surrounding(Value, kw_only=True):
    """A box the rig and load must not touch, in the frame of the truck standing on the floor called ``floor``.

    Without a ``floor`` the box is there on every floor.  The load may be set on one that ``sets_load``.  A ``line`` is
    a power line; ``line_kV`` is its voltage.
    """

    name: Name
    floor: Name | None = None
    kind: Literal["object", "line"] = "object"
    line_kV: Annotated[float, Meta(gt=0.0, le=1000.0)] | None = None
    sets_load: bool = False
    known: Literal["measured", "guess"] = "guess"
    x0_m: Place
    x1_m: Place
    y0_m: Place
    y1_m: Place
    z0_m: Place
    z1_m: Place

    def __post_init__(self) -> None:
        _check_box(self)


def _check_box(box: TruckSolid | Surrounding) -> None:
    for axis in ("x", "y", "z"):
        low, high = getattr(box, f"{axis}0_m"), getattr(box, f"{axis}1_m")
        if high <= low:
            raise ContradictionError(
                "{axis} it goes from {low:length} to {high:length}; the second must be more than the first.",
                axis=_ALONG[axis],
                low=low,
                high=high,
            )


_ALONG = {"x": "lengthways", "y": "crossways", "z": "upwards"}


Controls = Literal["driver", "helper", "nobody"]
"""Who sits at the controls while an arm or the boom is moved by hand: the driver (somebody else pushes), a helper
(the driver has got down and pushes), or nobody (the driver is alone and has got down)."""


CreepSpeed = Annotated[float, Meta(ge=0.05, le=4.0)]
StopLength = Annotated[float, Meta(ge=0.05, le=20.0)]
FloorStep = Annotated[float, Meta(ge=0.0, le=0.2)]
TurnRadius = Annotated[float, Meta(ge=0.3, le=50.0)]


class MoveLeg(Value, kw_only=True):
    """How the truck creeps on one leg of a move, where it is otherwise than on the others; None is as the move says."""

    speed_m_s: CreepSpeed | None = None
    stop_m: StopLength | None = None
    step_m: FloorStep | None = None
    distance_m: Length | None = None
    turns: bool | None = None
    turn_radius_m: TurnRadius | None = None

    def __post_init__(self) -> None:
        if self.turns is False and self.turn_radius_m is not None:
            raise ContradictionError("a stretch that goes straight has no radius.", at="turn_radius_m")


class Move(Value, kw_only=True):
    """Named poses in order, joined one motion at a time; ``controls`` has one entry for each leg between two poses.

    With no ``controls`` nobody is at the controls while an arm or the boom is moved by hand.  Where the truck creeps it
    does so at ``speed_m_s``, stops within ``stop_m``, over steps of the floor of ``step_m``, for ``distance_m``; what
    is not entered is taken at its worse (`engine.planning.creep`).  It goes straight unless it ``turns``, or a radius
    is entered: ``turn_radius_m`` is from the point it turns about to the middle of the front axle.  ``legs`` has one
    entry for each leg, or none where all creep alike.
    """

    name: Name
    poses: Annotated[tuple[Name, ...], Meta(min_length=2, max_length=50)]
    controls: Annotated[tuple[Controls, ...], Meta(max_length=49)] = ()
    speed_m_s: CreepSpeed | None = None
    stop_m: StopLength | None = None
    step_m: FloorStep | None = None
    distance_m: Length | None = None
    turns: bool = False
    turn_radius_m: TurnRadius | None = None
    legs: Annotated[tuple[MoveLeg, ...], Meta(max_length=49)] = ()

    @property
    def turning(self) -> bool:
        """Whether its creeps turn."""
        return self.turns or self.turn_radius_m is not None

    def with_leg(self, index: int, **changes: float | bool | None) -> Move:
        """The move with one of its legs creeping otherwise; legs that all creep alike are left out."""
        legs = list(self.legs or (MoveLeg(),) * (len(self.poses) - 1))
        legs[index] = msgspec.structs.replace(legs[index], **changes)
        return msgspec.structs.replace(self, legs=tuple(legs) if any(leg != MoveLeg() for leg in legs) else ())

    def through(self, poses: tuple[Name, ...]) -> Move:
        """The move through other poses, of which the first stay or one is left off the end; legs stay as they are."""
        count = max(len(poses) - 1, 0)
        seats = (*self.controls, *(self.controls[-1:] or ("nobody",)) * count)[:count]
        legs = (*self.legs, *(MoveLeg(),) * count)[:count] if self.legs else ()
        return msgspec.structs.replace(self, poses=poses, controls=seats, legs=legs)

    def on_leg(self, index: int) -> Move:
        """The move as it creeps on one of its legs, on all of them alike."""
        if not self.legs:
            return self
        leg = self.legs[index]
        said = {name: value for name in leg.__struct_fields__ if (value := getattr(leg, name)) is not None}
        if leg.turns is False:
            said["turn_radius_m"] = None
        return msgspec.structs.replace(self, legs=(), **said)

    def __post_init__(self) -> None:
        between = len(self.poses) - 1
        if self.controls and len(self.controls) != between:
            raise ContradictionError(
                "a move over {legs} stretches needs somebody at the controls for each; {given} are entered.",
                at="controls",
                legs=str(between),
                given=str(len(self.controls)),
            )
        if self.legs and len(self.legs) != between:
            raise ContradictionError(
                "a move over {legs} stretches needs to say of each how it creeps, or of none; {given} are entered.",
                at="legs",
                legs=str(between),
                given=str(len(self.legs)),
            )


class Answer(Value, kw_only=True):
    """Somebody's word that a questioned entry is right; it holds for this number alone (`limits.plausibility`)."""

    where: Text
    value: Annotated[float, Meta(ge=-1e6, le=1e6)]


NominalPath = Annotated[str, Meta(min_length=1, max_length=120)]
NominalName = Annotated[str, Meta(min_length=1, max_length=LONGEST_NAME)]
NOMINALS_AT_MOST = 1000
"""Names of lengths that a file may hold; a rig with every list full has fewer lengths."""


class Job(Value, kw_only=True):
    """All that one rig file holds.

    ``drawn`` is the rig as drawn, kept from when building began; from then on ``rig`` is the rig as built.  ``stock``
    is the steel on the rack, ``kerf_m`` the width of each cut, ``wanted`` the jobs a rig made from the stock should do
    (`engine.planning.stock_search`).  ``nominals`` are lengths as they were typed, with their unit, by the path of the
    entry (`engine.schema.nominals`); never changed in place.
    """

    format_version: Annotated[int, Meta(ge=1)] = FORMAT_VERSION
    name: Name
    notes: Notes = ""
    units: Literal["metric", "us"] = "metric"
    truck: Truck
    rig: Rig
    load: Load
    floors: Annotated[tuple[Floor, ...], Meta(min_length=1, max_length=20)]
    policy: Policy = Policy()
    poses: Annotated[tuple[Pose, ...], Meta(min_length=1, max_length=200)]
    drawn: Rig | None = None
    approval: Approval | None = None
    surroundings: Annotated[tuple[Surrounding, ...], Meta(max_length=50)] = ()
    moves: Annotated[tuple[Move, ...], Meta(max_length=50)] = ()
    stock: Annotated[tuple[Stock, ...], Meta(max_length=100)] = ()
    kerf_m: Annotated[float, Meta(ge=0.0, le=0.02)] = 0.003
    wanted: Annotated[tuple[WantedJob, ...], Meta(max_length=JOBS_AT_MOST)] = ()
    log: Annotated[tuple[LogEntry, ...], Meta(max_length=1000)] = ()
    trial_lifts: Annotated[tuple[TrialLift, ...], Meta(max_length=50)] = ()
    answers: Annotated[tuple[Answer, ...], Meta(max_length=100)] = ()
    nominals: Annotated[dict[NominalPath, NominalName], Meta(max_length=NOMINALS_AT_MOST)] = msgspec.field(
        default_factory=dict
    )

    def __hash__(self) -> int:
        """Of all but the names, a dict; equal jobs have equal ones too."""
        return hash(tuple(getattr(self, name) for name in self.__struct_fields__ if name != "nominals"))

    def __post_init__(self) -> None:
        _no_twins("poses", [pose.name for pose in self.poses])
        _no_twins("floors", [floor.name for floor in self.floors])
        _no_twins("moves", [move.name for move in self.moves])
        _no_twins("wanted", [want.name for want in self.wanted])
        floors = {floor.name for floor in self.floors}
        for index, pose in enumerate(self.poses):
            _fits(f"poses[{index}]", pose, self.rig, floors)
        for index, lift in enumerate(self.trial_lifts):
            _fits(f"trial_lifts[{index}].pose", lift.pose, self.rig, floors)
        _only_known("surroundings", [box.floor for box in self.surroundings if box.floor is not None], floors)
        for index, move in enumerate(self.moves):
            _only_known(f"moves[{index}].poses", list(move.poses), {pose.name for pose in self.poses})


def _fits(place: str, pose: Pose, rig: Rig, floors: set[str]) -> None:
    """Raises unless the pose names a floor of the file, has an entry for every arm, and a hole the boom has."""
    if pose.floor not in floors:
        raise _unknown_name(f"{place}.floor", pose.floor, floors)
    if len(pose.arms) != len(rig.arms):
        raise ContradictionError(
            "the pose sets {given} arms; the rig has {arms}.",
            at=f"{place}.arms",
            given=str(len(pose.arms)),
            arms=str(len(rig.arms)),
        )
    if pose.hole is not None and pose.hole > rig.boom.hole_count:
        raise ContradictionError(
            "there is no hole {hole}; the boom's holes are 1 to {last}.",
            at=f"{place}.hole",
            hole=str(pose.hole),
            last=str(rig.boom.hole_count),
        )


def _no_twins(place: str, names: list[str]) -> None:
    for name in names:
        if names.count(name) > 1:
            raise ContradictionError("two are called ‘{name}’. Give one of them another name.", at=place, name=name)


def _only_known(place: str, names: list[str], known: set[str]) -> None:
    for name in names:
        if name not in known:
            raise _unknown_name(place, name, known)


def _unknown_name(place: str, name: str, known: set[str]) -> ContradictionError:
    return ContradictionError(
        "there is none called ‘{name}’. The names are {known}.",
        at=place,
        name=name,
        known=", ".join(f"‘{one}’" for one in sorted(known)),
    )


def find_pose(job: Job, name: str | None) -> Pose:
    """The pose called ``name``, or the first one when no name is given.

    Raises
    ------
    PoseNameError
        When the file has no pose of that name.
    """
    if name is None:
        return job.poses[0]
    for pose in job.poses:
        if pose.name == name:
            return pose
    raise PoseNameError(
        "pose",
        f"one of {[pose.name for pose in job.poses]}",
        repr(name),
        plain="There is no pose called ‘{name}’.",
        numbers={"name": str(name)},
    )


def find_floor(job: Job, pose: Pose) -> Floor:
    """The floor the pose stands on."""
    return next(floor for floor in job.floors if floor.name == pose.floor)


def fall_is_known(job: Job, pose: Pose) -> bool:
    """Whether both falls of the floor the pose stands on are entered."""
    floor = find_floor(job, pose)
    return floor.fall_along is not None and floor.fall_across is not None
