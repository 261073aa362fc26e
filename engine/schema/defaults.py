"""Start values for entries a person fills in: what a form shows until a better number is typed.

Only parts that can be drawn in have one.  The program never fills in a fact.
"""

from __future__ import annotations

from typing import Any

import msgspec

from engine.base.errors import EditError
from engine.schema.connections import (
    BedMount,
    BentStrap,
    Cap,
    ChainHoist,
    DropInPin,
    EndPlate,
    FabricatedStrap,
    FaceLugs,
    Gear,
    Gusset,
    HeelChain,
    HeelPin,
    Hoop,
    NoHeelHold,
    OnCap,
    Pin,
    PlateBed,
    RatedMoment,
    Rigging,
    RiggingPart,
    SlingLeg,
    SlingPoints,
    SlingTag,
    Spreader,
    StayLink,
    StayLug,
    StayPoint,
    StayStop,
    StrapLapped,
    StrapOnTop,
    ThroughPin,
    ThroughSleeve,
    TubeBed,
    Weld,
    WeldedHoop,
)
from engine.schema.model import Aboard, Floor, Surrounding, TruckSolid
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube, RoundTube

_BY_ENTRY: dict[str, Any] = {
    **dict.fromkeys(("weld", "weld_tube", "weld_barrel", "weld_below", "cross_weld", "corner_weld"), Weld(leg_m=0.005)),
    **dict.fromkeys(("weld", "weld_tube", "weld_barrel", "weld_mast", "weld_bed"), Weld(leg_m=0.005)),
    "end_lug": StayLug(thickness_m=0.015, on_face_m=0.12, edge_m=0.035, pin=Pin(diameter_m=0.02, hole_m=0.0205)),
    "section": RoundTube(diameter_m=0.0424, wall_m=0.004),
    "mount": BedMount(),
    "cap": Cap(thickness_m=0.015, length_m=0.15, width_m=0.15),
    "heel_pin": Pin(diameter_m=0.016, hole_m=0.0165),
    "rigging": Rigging(hitch="single", legs=(SlingLeg(length_m=1.0),)),
    "points": SlingPoints(a_m=0.3, b_m=0.3),
    "tag": SlingTag(),
    "spreader": Spreader(length_m=1.0),
    "hoist": ChainHoist(),
    **dict.fromkeys(("side_gap_m", "top_gap_m"), 0.001),
    "pin_hole_m": 0.0205,
}
"""Parts of the rig that can be drawn in.  Facts (plate, slopes, weights) have no start value and must be typed."""

_JOINTS: tuple[Any, ...] = (
    TubeBed(section=RectTube(width_m=0.14, depth_m=0.08, wall_m=0.01)),
    PlateBed(width_m=0.15, thickness_m=0.04),
    OnCap(),
    StayLink(
        at_inner=StayPoint(x_m=-0.4, z_m=0.15),
        at_arm=StayPoint(x_m=0.4, z_m=0.1),
        make="turnbuckle",
        length_min_m=0.6,
        length_max_m=1.0,
    ),
    StayStop(at=StayPoint(x_m=0.1, z_m=-0.05)),
    RatedMoment(moment_Nm=1000.0),
    ThroughSleeve(length_m=0.15, outer_m=0.05, bore_m=0.0255),
    EndPlate(thickness_m=0.025, height_m=0.2, width_m=0.12),
    FaceLugs(thickness_m=0.025, width_m=0.08, on_face_m=0.15, reach_m=0.06),
    HeelPin(pin=Pin(diameter_m=0.016, hole_m=0.0165)),
    HeelChain(),
    NoHeelHold(),
    BentStrap(inside_radius_m=0.02),
    FabricatedStrap(),
    StrapOnTop(),
    StrapLapped(lap_m=0.05),
    ThroughPin(pin=Pin(diameter_m=0.02, hole_m=0.0205), edge_m=0.05),
    WeldedHoop(hoop=Hoop(bar_m=0.02, bend_radius_m=0.04, leg_m=0.04, weld=Weld(leg_m=0.006)), edge_m=0.1),
    DropInPin(diameter_m=0.03, head_m=0.06, hole_m=0.0305, drop_m=0.05, edge_m=0.05),
)
"""Each kind of a joint that is one of several, as it is drawn in; what only the rig can tell is left open."""

_ROWS: dict[str, Any] = {
    "gear": Gear(kind="shackle", name="shackle"),
    "gussets": Gusset(face="front", out_m=0.05, up_m=0.1, thickness_m=0.01),
    "legs": SlingLeg(length_m=1.0),
    "parts": RiggingPart(name="shackle"),
    "aboard": Aboard(name="driver", mass_kg=Estimate(best=90.0, known="typical"), x_m=-0.7, z_m=1.2),
    "solids": TruckSolid(
        name="upright's top cross-member",
        role="crosshead",
        link="inner",
        x0_m=0.1,
        x1_m=0.35,
        y0_m=-0.4,
        y1_m=0.4,
        z0_m=1.85,
        z1_m=2.0,
    ),
    "floors": Floor(name="another place", fall_along=None, fall_across=None),
    "surroundings": Surrounding(name="ceiling", x0_m=-3.0, x1_m=6.0, y0_m=-3.0, y1_m=3.0, z0_m=4.0, z1_m=4.2),
}


NO_START = "This cannot be drawn in: it has no start values."


def empty_value(path: str, among: tuple[Any, ...] | None) -> Any:
    """The start value at a path: a new row for a list (``among``), or the value of an entry not known so far.

    Raises
    ------
    EditError
        When nothing can be entered there.
    """
    entry = path.rpartition(".")[2]
    if among is not None:
        if among:
            return start_value(_unlike(among[-1], among))
        if entry in _ROWS:
            return start_value(_ROWS[entry])
    elif entry in _BY_ENTRY:
        return start_value(_BY_ENTRY[entry])
    raise EditError(path, "an entry that can be filled in", "one with no start value", plain=NO_START)


def joint_of_kind(kind: type, before: Any) -> Any:
    """A joint of a kind with its start values; what the one ``before`` it has of the same name is kept.

    Raises
    ------
    EditError
        When nothing can be entered there.
    """
    for joint in _JOINTS:
        if type(joint) is kind:
            same = [name for name in joint.__struct_fields__ if name in getattr(before, "__struct_fields__", ())]
            return start_value(msgspec.structs.replace(joint, **{name: getattr(before, name) for name in same}))
    raise EditError(kind.__name__, "a joint that can be drawn in", "one with no start values", plain=NO_START)


def start_value(entry: Any) -> Any:
    """The same entry, marked as drawn in with start values where it can be; until somebody says they are measured."""
    marked = "origin" in getattr(entry, "__struct_fields__", ())
    return msgspec.structs.replace(entry, origin="typical") if marked else entry


def _unlike(row: Any, among: tuple[Any, ...]) -> Any:
    """A copy of a row under a name of its own, if rows have names; of gussets, at a face that has none."""
    if isinstance(row, Gusset):
        taken = {other.face for other in among}
        free = [face for face in ("front", "back", "left", "right") if face not in taken]
        return msgspec.structs.replace(row, face=free[0]) if free else row
    if "name" not in row.__struct_fields__:
        return row
    names, count = {other.name for other in among}, 2
    while f"{row.name} {count}" in names:
        count += 1
    return msgspec.structs.replace(row, name=f"{row.name} {count}")
