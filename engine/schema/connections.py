"""How the parts of a rig hold each other: welds and pins, and the joints made of them.

A connection is *entered*, *assumed* (``origin="typical"``: somebody pressed "use a typical one") or *not entered*
(``None`` where it stands in the rig, or a size left ``None`` that has no default).  One that is not entered leaves the
verdict at NOT PROVEN (``engine.rig.completeness``); no steel is ever invented for it.
"""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

from engine.schema.quantities import Distance, Length, Name, Value
from engine.schema.steel import UNKNOWN

Origin = Literal["entered", "typical"]
"""Who put a connection there: a person who measured or decided it, or the program's offer of a typical one."""

Face = Literal["front", "back", "left", "right"]
"""A face of a standing part, seen from above, the front away from the truck."""

Retention = Literal["collar_bolt", "nut_split", "split_pin", "lynch", "r_clip", "head_only", "none"]
"""What keeps a pin in its hole."""


class Weld(Value, kw_only=True):
    """A fillet weld: leg and electrode class (``E70`` is 70 ksi, ``E49`` its metric name).

    ``outline`` is where it runs at a jib mast's foot: all round, or along two opposite faces only (front and back, or
    both sides).  Other welds have their lengths from the parts they join.
    """

    leg_m: Annotated[float, Meta(gt=0.0, le=0.05)]
    electrode: Literal["E60", "E70", "E80", "unknown"] = "unknown"
    outline: Literal["all_round", "front_and_back", "both_sides"] = "all_round"


class Pin(Value, kw_only=True):
    """A round pin in a drilled hole."""

    diameter_m: Annotated[float, Meta(gt=0.0, le=0.2)]
    hole_m: Annotated[float, Meta(gt=0.0, le=0.2)]
    steel: Name = UNKNOWN

    def __post_init__(self) -> None:
        if self.diameter_m > self.hole_m:
            raise ValueError(f"Expected a pin no larger than its hole of {self.hole_m:g} m, got {self.diameter_m:g} m")


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
            raise ValueError(f"Expected a pin no larger than its hole of {self.hole_m:g} m, got {self.diameter_m:g} m")


HookEnd = ThroughPin | WeldedHoop | DropInPin


class HookBefore(Value, kw_only=True):
    """Pin and hoop of a file of version 1 that had both; checked as that version did until ``end`` is entered."""

    pin: Pin
    edge_m: Length
    gap_m: Distance | None = None
    hoop: Hoop


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

    def __post_init__(self) -> None:
        if self.bore_m >= self.outer_m:
            raise ValueError(f"bore_m: Expected a bore under the outside of {self.outer_m:g} m, got {self.bore_m:g} m")


class EndPlate(Value, kw_only=True, tag_field="kind", tag="end_plate"):
    """A plate on the tube's end that carries two barrels, or the lugs; ``height_m`` is along the hinge pin.

    Without a ``weld_barrel`` of its own, barrels and lugs have the hinge's weld.
    """

    thickness_m: Thickness
    height_m: Length
    width_m: Length
    weld_tube: Weld | None = None
    weld_barrel: Weld | None = None


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


HingeEnd = ThroughSleeve | EndPlate | FaceLugs
"""What stands on the end of a tube and carries a hinge's barrels or lugs."""
