"""How the parts of a rig hold each other: welds and pins, and the joints made of them.

A connection is *entered*, drawn in with the program's start values (``origin="typical"``) or *not entered* (``None``
where it stands in the rig, or a size left ``None`` that has no default).  Start values are nobody's reading: a few
connections may be *assumed* so (`engine.rig.start_values`), the others count as not entered until a person says that
their sizes are measured or decided.  What is not entered leaves the verdict at NOT PROVEN (`engine.rig.completeness`).
"""

from __future__ import annotations

import math
from typing import Annotated, ClassVar, Literal

from msgspec import Meta

from engine.base.errors import ContradictionError
from engine.base.geometry import most
from engine.schema.quantities import Distance, Length, Name, Place, Text, Value
from engine.schema.sections import RectTube, RoundTube, SolidRound
from engine.schema.steel import UNKNOWN

Origin = Literal["entered", "typical"]
"""Whose sizes a connection has: a person's, measured or decided, or the program's start values, put there
when it was drawn in."""

Face = Literal["front", "back", "left", "right"]
"""A face of a standing part, seen from above, the front away from the truck."""

Retention = Literal["collar_bolt", "nut_split", "split_pin", "lynch", "r_clip", "head_only", "none"]
"""What keeps a pin in its hole."""


WeldKind = Literal["fillet", "flare_bevel", "pjp"]
WeldQuality = Literal["qualified_ndt", "qualified_visual", "own_eye", "unknown", "not_seen"]
"""Who made a weld and who looked at it: a qualified welder to a procedure with magnetic or dye testing; a qualified
welder and a second person's eye; the welder's own eye; nobody has said; painted, rusted or reclaimed and not seen."""

Throat = Annotated[float, Meta(gt=0.0, le=0.05)]

LEG_SHORT_M = 0.001
"""Most by which a weld's leg or throat may be smaller than entered (our choice)."""

GAUGED_SHORT_M = 0.0005
"""The same of a weld whose leg was measured with a gauge (our choice)."""

LEAST_WELD_M = 1e-6
"""Leg and throat of a weld of which nothing is left: no strength, but a use that can be told."""


class Weld(Value, kw_only=True):
    """A weld: leg, electrode class (``E70`` is 70 ksi, ``E49`` its metric name), kind, faces, who looked at it.

    ``faces`` are those of the part that stands on the other, seen from above with the front away from the truck.  A
    face without a ledge for a fillet counts only where ``kind`` is ``flare_bevel``: the groove beside the other tube's
    corner is filled, by the ``process`` named.  ``pjp`` needs its ``throat_m``.  Where a weld has its lines from the
    parts it joins, ``faces`` is not asked.  ``leg_known`` is how the leg was measured, ``None`` without a gauge.
    """

    leg_m: Throat
    leg_known: Literal["gauge"] | None = None
    electrode: Literal["E60", "E70", "E80", "unknown"] = "unknown"
    kind: WeldKind = "fillet"
    process: Literal["gas_metal_arc", "stick", "unknown"] = "unknown"
    throat_m: Throat | None = None
    faces: Literal["all_round", "front_and_back", "both_sides"] = "all_round"
    quality: WeldQuality = "unknown"
    origin: Origin = "entered"

    at_thin_end: ClassVar[bool] = False
    """Whether strength counts the least leg and throat it may have (`engine.schema.thin_end`)."""

    def __post_init__(self) -> None:
        if self.kind == "pjp" and self.throat_m is None:
            raise ContradictionError(
                "a weld that goes part through needs its throat, and none is entered.", at="throat_m"
            )

    @property
    def short_m(self) -> float:
        """How much smaller than entered leg and throat count for strength; room for the weld takes the leg entered."""
        if not self.at_thin_end:
            return 0.0
        return GAUGED_SHORT_M if self.leg_known == "gauge" else LEG_SHORT_M

    @property
    def counted_leg_m(self) -> float:
        """Leg (m) that counts for strength."""
        return most(self.leg_m - self.short_m, LEAST_WELD_M)

    @property
    def counted_throat_m(self) -> float | None:
        """Throat (m) entered, as it counts for strength."""
        return None if self.throat_m is None else most(self.throat_m - self.short_m, LEAST_WELD_M)


FACES: dict[str, tuple[Face, ...]] = {
    "all_round": ("front", "back", "left", "right"),
    "front_and_back": ("front", "back"),
    "both_sides": ("left", "right"),
}
"""The faces that a weld's ``faces`` names."""


class Pin(Value, kw_only=True):
    """A round pin in a drilled hole; ``retention`` is what keeps it there."""

    diameter_m: Annotated[float, Meta(gt=0.0, le=0.2)]
    hole_m: Annotated[float, Meta(gt=0.0, le=0.2)]
    steel: Name = UNKNOWN
    retention: Retention | None = None

    def __post_init__(self) -> None:
        if self.diameter_m > self.hole_m:
            raise _pin_too_large(self.diameter_m, self.hole_m)


def _pin_too_large(diameter_m: float, hole_m: float) -> ContradictionError:
    return ContradictionError(
        "a pin of {pin:size} is larger than its hole of {most:size}.", at="diameter_m", pin=diameter_m, most=hole_m
    )


BoomStops = Literal["both", "front", "rear", "none"]
"""The ends of the boom at which a stop keeps it from running out of its saddles."""

WorkingLoad = Annotated[float, Meta(gt=0.0, le=200_000.0)]
"""Working load limit as marked on bought gear (kg); its own design factor is in it."""

# ---------------------------------------------------------------- heels of the sleeves


class HeelPin(Value, kw_only=True, tag_field="kind", tag="pin"):
    """A pin through each sleeve's sides under its fork; ``below_m`` is the gap between the blade and the pin.

    Without it the pin stands as low as the sleeve lets it.  ``blade_contact`` is how the blade bears on the pin: spread
    over its whole width, or at its two edges, which asks for a flat underside with square edges.
    """

    pin: Pin
    below_m: Distance | None = None
    blade_contact: Literal["spread", "edges"] = "spread"
    origin: Origin = "entered"


class HeelChain(Value, kw_only=True, tag_field="kind", tag="chain"):
    """One bought chain over both heels, or one for each, ``angle_rad`` from plumb; ``to`` is where it is hooked on."""

    wll_kg: WorkingLoad | None = None
    count: Literal[1, 2] = 1
    angle_rad: Annotated[float, Meta(ge=0.0, le=1.5)] | None = None
    slack_m: Distance | None = None
    to: Literal["carriage", "fork_shank"] = "carriage"


class NoHeelHold(Value, kw_only=True, tag_field="kind", tag="none"):
    """Nothing holds the heels: they may not lift."""


HeelHold = HeelPin | HeelChain | NoHeelHold
"""What keeps the sleeves' heels down on the forks."""

# ---------------------------------------------------------------- hook end


class Hoop(Value, kw_only=True):
    """A hook hoop bent from round bar to a U, both feet welded; ``bend_radius_m`` is to the bar's centreline."""

    bar_m: Annotated[float, Meta(gt=0.0, le=0.1)]
    bend_radius_m: Length
    leg_m: Distance
    weld: Weld
    steel: Name = UNKNOWN


class ThroughPin(Value, kw_only=True, tag_field="kind", tag="through_pin"):
    """A pin across through the link's side walls, ``edge_m`` from the tube's end.

    ``gap_m`` is the free pin between a wall and what hangs on it; left out, it hangs on the middle of the pin.
    """

    pin: Pin
    edge_m: Length
    gap_m: Distance | None = None
    origin: Origin = "entered"


class WeldedHoop(Value, kw_only=True, tag_field="kind", tag="welded_hoop"):
    """A hoop welded under the link, its middle ``edge_m`` from the tube's end, or on a plate that closes that end.

    ``plane`` is the hoop's own: along the link (on its end: upright) or across it.  There is no pin.
    """

    hoop: Hoop
    edge_m: Length
    plane: Literal["along", "across"] | None = None
    place: Literal["under", "end"] = "under"
    origin: Origin = "entered"


class DropInPin(Value, kw_only=True, tag_field="kind", tag="drop_in_pin"):
    """A standing pin with a hook, dropped through top and bottom wall ``edge_m`` from the tube's end.

    It hangs in the top wall by its head, ``head_m`` wide; the hook bears ``drop_m`` under the tube.
    """

    diameter_m: Annotated[float, Meta(gt=0.0, le=0.2)]
    head_m: Length
    hole_m: Annotated[float, Meta(gt=0.0, le=0.2)]
    drop_m: Length
    edge_m: Length
    steel: Name = UNKNOWN
    retention: Retention | None = None
    origin: Origin = "entered"

    def __post_init__(self) -> None:
        if self.diameter_m > self.hole_m:
            raise _pin_too_large(self.diameter_m, self.hole_m)


HookEnd = ThroughPin | WeldedHoop | DropInPin


class HookBefore(Value, kw_only=True):
    """Pin and hoop of a file of version 1 that had both; checked as that version did until ``end`` is entered."""

    pin: Pin
    edge_m: Length
    gap_m: Distance | None = None
    hoop: Hoop


# ---------------------------------------------------------------- saddle straps

PlateFaces = Literal["both", "outside"]
"""Faces of a strap's plate that a weld across it runs along."""


class BentStrap(Value, kw_only=True, tag_field="kind", tag="bent"):
    """A strap bent to a U from one flat bar."""

    inside_radius_m: Annotated[float, Meta(gt=0.0, le=0.3)]
    origin: Origin = "entered"


class FabricatedStrap(Value, kw_only=True, tag_field="kind", tag="fabricated"):
    """A strap of three plates: a top and two legs, welded at the corners."""

    corner_weld: Weld | None = None
    corner_faces: PlateFaces = "outside"
    origin: Origin = "entered"


StrapMake = BentStrap | FabricatedStrap


class StrapOnTop(Value, kw_only=True, tag_field="kind", tag="on_top"):
    """The strap's legs stand on top of the bed."""


class StrapLapped(Value, kw_only=True, tag_field="kind", tag="lapped"):
    """The strap's legs lap the bed's sides, ``lap_m`` down from its top: welded along two edges and below."""

    lap_m: Length
    origin: Origin = "entered"


StrapFoot = StrapOnTop | StrapLapped


# ---------------------------------------------------------------- hinge ends

Thickness = Annotated[float, Meta(gt=0.0, le=0.1)]
Bar = Annotated[float, Meta(gt=0.0, le=0.3)]


class ThroughSleeve(Value, kw_only=True, tag_field="kind", tag="through_sleeve"):
    """One sleeve standing in the tube's end; the other link's two lugs go above and below it.

    ``coped`` says how it stands in the tube: in a ``half`` circle cut out of the tube's end, or ``through`` a hole in
    both walls.  A sleeve is never the program's offer: made to its own demand it would pass by construction.
    """

    length_m: Length
    outer_m: Bar
    bore_m: Bar
    coped: Literal["half", "through"] = "through"
    weld: Weld | None = None
    origin: Origin = "entered"

    def __post_init__(self) -> None:
        if self.bore_m >= self.outer_m:
            raise ContradictionError(
                "a bore of {bore:size} leaves nothing of the outside of {most:size}.",
                at="bore_m",
                bore=self.bore_m,
                most=self.outer_m,
            )


class EndPlate(Value, kw_only=True, tag_field="kind", tag="end_plate"):
    """A plate on the tube's end that carries two barrels, or the lugs; ``height_m`` is along the hinge pin.

    Without a ``weld_barrel`` of its own, barrels and lugs have the hinge's weld.
    """

    thickness_m: Thickness
    height_m: Length
    width_m: Length
    weld_tube: Weld | None = None
    weld_barrel: Weld | None = None
    origin: Origin = "entered"


class FaceLugs(Value, kw_only=True, tag_field="kind", tag="face_lugs"):
    """Two plates, one on each face of the tube that the pin crosses, with packing beneath if the spacing asks for it.

    ``on_face_m`` is the length welded to the face, ``reach_m`` from the tube's end to the pin.
    """

    thickness_m: Thickness
    width_m: Length
    on_face_m: Length
    reach_m: Length
    packing_m: Distance = 0.0
    weld: Weld | None = None
    origin: Origin = "entered"


HingeEnd = ThroughSleeve | EndPlate | FaceLugs
"""What stands on the end of a tube and carries a hinge's barrels or lugs."""


# ---------------------------------------------------------------- bought gear on the hook, rigging below it

GearKind = Literal["hook", "shackle", "sling", "chain", "eye", "hoist", "swivel"]


class Gear(Value, kw_only=True):
    """One piece of bought gear on the rig's own hook end; without its working load limit it is not proven.

    ``legs`` that spread from one point hang ``angle_rad`` from plumb.
    """

    kind: GearKind
    name: Name
    wll_kg: WorkingLoad | None = None
    legs: Annotated[int, Meta(ge=1, le=4)] = 1
    angle_rad: Annotated[float, Meta(ge=0.0, le=1.5)] = 0.0
    mark: Text = ""
    inspected: Text = ""


class SlingLeg(Value, kw_only=True):
    """One leg of a sling, from the hook to where it holds the load (of a basket: each side of it)."""

    length_m: Length


class SlingPoints(Value, kw_only=True):
    """Where two legs hold the load: ``a_m`` behind and ``b_m`` ahead of its centre of gravity, ``above_m`` over it."""

    a_m: Distance
    b_m: Distance
    above_m: Place = 0.0
    origin: Origin = "entered"


FLATTEST_TAG_RAD = math.radians(30.0) - 1e-6
"""No tag rates legs flatter than 30 degrees from level (ASME B30.9, from memory)."""


class SlingTag(Value, kw_only=True):
    """What the sling's tag says (kg): one leg used plumb, choked, as a basket with both sides plumb.

    A tag that rates the whole set at an angle has that angle from level in ``legs_at_rad``.
    """

    vertical_kg: WorkingLoad | None = None
    choker_kg: WorkingLoad | None = None
    basket_kg: WorkingLoad | None = None
    legs_at_rad: Annotated[float, Meta(ge=FLATTEST_TAG_RAD, le=math.pi / 2.0)] | None = None
    legible: bool = True


class RiggingPart(Value, kw_only=True):
    """A shackle, ring or the like between the rig's hook and the load that carries all of it."""

    name: Name
    wll_kg: WorkingLoad | None = None


class Spreader(Value, kw_only=True):
    """A spreader beam: its two top legs go to its ends, plumb ones down from there."""

    length_m: Length
    wll_kg: WorkingLoad | None = None


class ChainHoist(Value, kw_only=True):
    """A chain hoist between the rig's hook and the slings."""

    wll_kg: WorkingLoad | None = None


class Rigging(Value, kw_only=True):
    """How the load is slung.  Its weight is the load's ``rigging_kg``.

    ``points`` and ``legs`` give the legs' angle; of more than two legs the first two carry all (a rigid load; common
    practice, no source).  ``choke_angle_rad`` is between the two parts of a choked sling where it bites.
    """

    hitch: Literal["single", "two_leg", "basket", "choker", "spreader"]
    legs: Annotated[tuple[SlingLeg, ...], Meta(min_length=1, max_length=4)]
    points: SlingPoints | None = None
    tag: SlingTag | None = None
    choke_angle_rad: Annotated[float, Meta(ge=0.0, le=math.pi)] = math.radians(135.0)
    parts: Annotated[tuple[RiggingPart, ...], Meta(max_length=12)] = ()
    spreader: Spreader | None = None
    hoist: ChainHoist | None = None
    origin: Origin = "entered"


# ---------------------------------------------------------------- mast foot


class OnCross(Value, kw_only=True, tag_field="kind", tag="on_cross"):
    """The jib mast stands straight on the cross-member."""


class BasePlate(Value, kw_only=True, tag_field="kind", tag="base_plate"):
    """A plate between jib mast and cross-member: ``length_m`` along the truck, ``width_m`` across it."""

    thickness_m: Annotated[float, Meta(gt=0.0, le=0.1)]
    length_m: Length
    width_m: Length
    weld_below: Weld | None = None
    steel: Name = UNKNOWN
    origin: Origin = "entered"


MastBase = OnCross | BasePlate


class Gusset(Value, kw_only=True):
    """Gussets alike at one face of the jib mast's foot, evenly spread over it; ``weld`` is their weld everywhere.

    Each is a triangle: ``out_m`` along the base, ``up_m`` up the mast.
    """

    face: Face
    out_m: Length
    up_m: Length
    thickness_m: Thickness
    count: Annotated[int, Meta(ge=1, le=4)] = 1
    weld: Weld | None = None
    steel: Name = UNKNOWN
    origin: Origin = "entered"


# ---------------------------------------------------------------- saddle bed


class Cap(Value, kw_only=True):
    """A plate on the jib mast's top, its middle over the mast's axis: ``length_m`` along the boom."""

    thickness_m: Thickness
    length_m: Length
    width_m: Length
    steel: Name = UNKNOWN


class BedMount(Value, kw_only=True):
    """How a saddle bed is welded to the jib mast, with a cap between or without.

    ``weld_mast`` joins the mast to the cap, or to the bed itself; ``weld_bed`` joins a cap to the bed on it.
    """

    cap: Cap | None = None
    weld_mast: Weld | None = None
    weld_bed: Weld | None = None


class TubeBed(Value, kw_only=True, tag_field="kind", tag="tube"):
    """A tube across the jib mast's top, along the boom, that the straps stand on."""

    section: RectTube
    ends_closed: bool = False
    mount: BedMount | None = None
    origin: Origin = "entered"


class PlateBed(Value, kw_only=True, tag_field="kind", tag="plate"):
    """A flat bar across the jib mast's top, along the boom, that the straps stand on; its steel is the saddles'."""

    width_m: Length
    thickness_m: Thickness
    mount: BedMount | None = None
    origin: Origin = "entered"


class OnCap(Value, kw_only=True, tag_field="kind", tag="on_cap"):
    """No bed: both straps stand on the jib mast's cap."""

    mount: BedMount | None = None
    origin: Origin = "entered"


SaddleBed = TubeBed | PlateBed | OnCap


# ---------------------------------------------------------------- stays of level hinges


class StayPoint(Value, kw_only=True):
    """Where a stay is fixed: along its link from the hinge axis and above it, in that link's own axes."""

    x_m: Place
    z_m: Place


class StayLug(Value, kw_only=True):
    """The lug at each end of a stay: a plate standing on the link's wall along it, with a pin through.

    ``on_face_m`` is the length welded to the wall, ``edge_m`` from the pin's middle to the lug's nearest edge; it is as
    high as the stay's point is off the wall.
    """

    thickness_m: Thickness
    on_face_m: Length
    edge_m: Length
    pin: Pin
    weld: Weld | None = None
    steel: Name = UNKNOWN
    origin: Origin = "entered"


class StayLink(Value, kw_only=True, tag_field="kind", tag="link"):
    """A tie, strut or ram between the two links of a level hinge; ``make`` says which.

    What it can take is the mark on it (``wll_kg``), or follows from its ``section``; a tie, turnbuckle or chain only
    pulls.
    """

    at_inner: StayPoint
    at_arm: StayPoint
    make: Literal["tie", "turnbuckle", "chain", "strut", "ram"]
    length_min_m: Length
    length_max_m: Length
    wll_kg: WorkingLoad | None = None
    section: RectTube | RoundTube | SolidRound | None = None
    steel: Name = UNKNOWN
    end_lug: StayLug | None = None
    origin: Origin = "entered"

    def __post_init__(self) -> None:
        if self.length_max_m < self.length_min_m:
            raise ContradictionError(
                "the greatest length of {most:length} is less than the least, {least:length}.",
                at="length_max_m",
                most=self.length_max_m,
                least=self.length_min_m,
            )


class StayStop(Value, kw_only=True, tag_field="kind", tag="stop"):
    """A stop the arm rests on; it holds the arm up and nothing else.  ``at`` is where the arm bears on it."""

    at: StayPoint
    origin: Origin = "entered"

    def __post_init__(self) -> None:
        if abs(self.at.x_m) < 0.01:
            raise ContradictionError(
                "the stop is {off:size} from the hinge axis: at least {least:size}.",
                at="at.x_m",
                off=abs(self.at.x_m),
                least=0.01,
            )


class RatedMoment(Value, kw_only=True, tag_field="kind", tag="rated_moment"):
    """A stay known only by the moment it is good for; where it is fixed is not entered."""

    moment_Nm: Annotated[float, Meta(gt=0.0, le=1e7)]
    origin: Origin = "entered"


Stay = StayLink | StayStop | RatedMoment
"""What holds an arm up at its level hinge."""
