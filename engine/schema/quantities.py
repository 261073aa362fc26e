"""Numbers and texts of the job: bounds of lengths and masses, names, and numbers with how they are known.

Bounds here are what is physically sane for any rig; names end in their unit.
"""

from __future__ import annotations

import math
from typing import Annotated, Generic, Literal, TypeVar, dataclass_transform

import msgspec
from msgspec import Meta

from engine.base.errors import ContradictionError

_UNREADABLE = r"\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff"
"""Control characters (line breaks and tabs aside) and halves of characters, which no file or screen can hold."""

Text = Annotated[str, Meta(max_length=2000, pattern=rf"\A[^{_UNREADABLE}]*\Z")]
Notes = Annotated[str, Meta(max_length=4000, pattern=rf"\A[^{_UNREADABLE}]*\Z")]
Name = Annotated[
    str,
    Meta(min_length=1, max_length=120, pattern=rf"\A[^\t\n{_UNREADABLE}]*[^\s{_UNREADABLE}][^\t\n{_UNREADABLE}]*\Z"),
]
Length = Annotated[float, Meta(gt=0.0, le=50.0)]
Distance = Annotated[float, Meta(ge=0.0, le=50.0)]
Place = Annotated[float, Meta(ge=-50.0, le=50.0)]
Mass = Annotated[float, Meta(gt=0.0, le=200_000.0)]
MassOrNone = Annotated[float, Meta(ge=0.0, le=200_000.0)]
Fall = Annotated[float, Meta(ge=-0.35, le=0.35)]
Turn = Annotated[float, Meta(ge=-math.pi, le=math.pi)]
Lean = Annotated[float, Meta(ge=-0.35, le=0.35)]
Share = Annotated[float, Meta(ge=0.0, le=1.0)]
Count = Annotated[int, Meta(ge=1, le=60)]

Known = Literal["weighed", "weighbridge", "plate", "papers", "measured", "worked_out", "similar", "typical", "guess"]
"""How a number came to be known."""

Quantity = TypeVar("Quantity", bound=float)


@dataclass_transform(kw_only_default=True, frozen_default=True)  # msgspec hands both down; a type checker must be told
class Value(msgspec.Struct, kw_only=True, frozen=True, forbid_unknown_fields=True):
    """Base of all model types."""


class Estimate(
    msgspec.Struct, Generic[Quantity], kw_only=True, frozen=True, forbid_unknown_fields=True, omit_defaults=True
):
    """A number with how it is known and, if the person gives them, the least and the most it could be."""

    best: Quantity
    known: Known
    low: Quantity | None = None
    high: Quantity | None = None

    def __post_init__(self) -> None:
        if self.low is not None and self.low > self.best:
            raise ContradictionError(
                "{end:own} is more than the best value, {best:own}.", at="low", end=self.low, best=self.best
            )
        if self.high is not None and self.high < self.best:
            raise ContradictionError(
                "{end:own} is less than the best value, {best:own}.", at="high", end=self.high, best=self.best
            )
