"""What every part of the engine hands to the verdict: one `Check` for each limit, one `Problem` for each refusal.

Texts are templates such as ``"load moment {load:moment} of {allowed:moment}"`` with their numbers beside them in SI.
``engine.base.formatting.fill`` puts the numbers in when somebody reads them, in that person's units, so that texts cost
nothing during a drag.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Literal

import msgspec

from engine.base.formatting import Compared
from engine.base.geometry import Array, Number, Text, Vec, most, ratio, sqrt, where
from engine.base.lazy import lazy, np

if TYPE_CHECKING:
    from engine.base import interval
else:
    interval = lazy("engine.base.interval")  # brings numpy

Unit = Literal["N", "Nm", "Pa", "kg", "m", ""]

LimitOwner = Literal["truck", "rig", "approval", "room"]

Side = Literal["rig", "truck", "room"]


class Check(msgspec.Struct, kw_only=True, frozen=True):
    """One limit and the demand on it, for one pose or arrays of poses (...).

    Attributes
    ----------
    of : LimitOwner
        Whose limit it is: ``truck`` for what came with the truck (its balance, its plate, its fork arms: heavier tubes
        in the rig change none of them), ``rig`` for what the shop built, ``approval`` for the truck maker's written
        approval, ``room`` for free space round the pose, whose gap is ``allowed`` and what is wanted ``demand``.
    part, kind : str
        What fails, and how ("boom", "bending at the front saddle").
    place_m : Vec
        Where it fails, in the truck's frame.
    demand, allowed : Number
        In ``unit``; ``use`` is their ratio, infinite where nothing is allowed.
    allowed_load_kg : Number
        Load at the hook (rigging already counted) at which this limit is just met; infinite if it never is.
    words, numbers
        The formula as a template and the numbers to put in.
    source : str
        Where the rule comes from.
    read_as : tuple of str, optional
        The numbers in the words that a reader compares, where they are not demand and allowed: first the one that must
        not be the greater.
    leaves_unproven : bool
        Whether a use over 1 leaves the pose not proven rather than over: somebody may still say that it holds.
    """

    of: LimitOwner
    part: str
    kind: str
    place_m: Vec
    demand: Number
    allowed: Number
    unit: Unit
    use: Number
    allowed_load_kg: Number
    words: str
    numbers: Mapping[str, Number | Text]
    source: str
    leaves_unproven: bool = False
    read_as: tuple[str, str] | None = None

    @property
    def name(self) -> str:
        """Part and kind together, as reports and papers name a limit."""
        return f"{self.part}: {self.kind}"

    @property
    def side(self) -> Side:
        """Whether rig or truck gives; the maker's approval stands on the truck's side, and room on neither."""
        return "truck" if self.of == "approval" else self.of

    @property
    def limits_load(self) -> bool:
        """Whether some load meets this limit; a load that is not a number is not allowed."""
        return float(self.allowed_load_kg) != math.inf

    @property
    def shown_numbers(self) -> Mapping[str, Number | Text]:
        """The numbers with demand and allowed rounded together, so that a sentence never reads against the verdict."""
        demand, allowed = float(self.demand), float(self.allowed)
        if self.read_as is not None:
            demand, allowed = (float(self.numbers[name]) for name in self.read_as)
        over = not float(self.use) <= 1.0
        return {
            name: Compared(value, demand=demand, allowed=allowed, over=over)
            if isinstance(value, float) and value in (demand, allowed)
            else value
            for name, value in self.numbers.items()
        }


class Problem(msgspec.Struct, kw_only=True, frozen=True):
    """Why there is no verdict, or what to bear in mind with one.

    ``missing`` is a fact that nobody has entered yet; ``impossible`` is a rig or pose that cannot exist;
    ``not_entered`` is a part of the load path that no check covers, and ``asked`` an entry that is hardly right: the
    pose is not proven; ``caution`` does not stop the verdict but says what it rests on.  ``where`` names the entry,
    ``words`` is a template of ``numbers``.
    """

    kind: Literal["missing", "impossible", "not_entered", "asked", "caution"]
    where: str
    words: str
    numbers: Mapping[str, float | str] = {}


def different(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """The problems in their order, each once."""
    kept: list[Problem] = []
    for problem in problems:
        if problem not in kept:
            kept.append(problem)
    return tuple(kept)


def use_of(demand: Number, allowed: Number) -> Number:
    """Demand over what is allowed, never negative.

    Where nothing is allowed it is infinite, unless nothing is demanded either: then 0.  NaN where either is NaN.
    """
    of_nothing = where((allowed == 0.0) & (demand <= 0.0), 0.0, math.inf)
    of_nothing = where((allowed != allowed) | (demand != demand), math.nan, of_nothing)
    return most(where(allowed > 0.0, ratio(demand, allowed), of_nothing), 0.0)


def load_at_limit(room: Number, per_kg: Number, bending: Number = 0.0) -> Number:
    """Load (kg) at which a limit is met: ``per_kg`` times the load equals ``room``.

    Infinite where more load does not come nearer the limit, negative where there is no room even without a load, NaN
    where either is NaN.  Where each kilogram also bends the rig, the demand is ``per_kg m + bending m^2`` and the
    result is its root; where that curve turns back before it reaches the limit (bending helps), the load at which it
    turns.  Of intervals the whole line: nobody asks them for a load, and it would be half of their work.
    """
    if not (isinstance(room, float) and isinstance(per_kg, float)):
        whole = interval.whole_line_of(room, per_kg)
        if whole is not None:
            return whole
    never = where(room >= 0.0, math.inf, where(room < 0.0, -math.inf, math.nan))
    if isinstance(bending, float) and bending == 0.0:
        return where(per_kg > 0.0, ratio(room, per_kg), where(per_kg <= 0.0, never, math.nan))
    # This form of the root stays exact as the bending goes to zero.
    under = per_kg + sqrt(most(per_kg * per_kg + 4.0 * bending * most(room, 0.0), 0.0))
    return where(under > 0.0, ratio(2.0 * room, under), where(under <= 0.0, never, math.nan))


def stacked(values: list[Number]) -> Array:
    """Values of several checks, broadcast to one shape and stacked along a new first axis: shape (n, ...)."""
    return np.stack(np.broadcast_arrays(*(np.asarray(value, float) for value in values)))
