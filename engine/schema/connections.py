"""How the parts of a rig hold each other: welds and pins, and the joints made of them.

A connection is *entered*, *assumed* (``origin="typical"``: somebody pressed "use a typical one") or *not entered*
(``None`` where it stands in the rig, or a size left ``None`` that has no default).  One that is not entered leaves the
verdict at NOT PROVEN (``engine.rig.completeness``); no steel is ever invented for it.
"""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

from engine.schema.quantities import Name, Value
from engine.schema.steel import UNKNOWN

Origin = Literal["entered", "typical"]
"""Who put a connection there: a person who measured or decided it, or the program's offer of a typical one."""

Face = Literal["front", "back", "left", "right"]
"""A face of a standing part, seen from above, the front away from the truck."""


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
