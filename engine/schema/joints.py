"""The joints an arm can have, each kind a type of its own.

A rig file names the kind of an arm's joint by the word under ``axis``; `JOINTS` has the type for each word, and
`Arm.joint` makes one with the arm's own stops.  A joint has one coordinate (`ArmPose.turn_rad`).  It knows how it
carries what is outboard, which way a point moves with it, its stops, and the words a person reads about it.

What holds for some kinds only is decided by ``match`` over `Joint`, with ``assert_never`` at the end: pyright then
names every place that lacks a new kind, and at run time such a place raises instead of taking the new kind for an old
one.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar, Literal, TypeAlias, assert_never

import msgspec

from engine.base.geometry import Axes, Frame, Number, Vec

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Axis = Literal["standing", "level"]
"""The words of the rig file, as they are written there."""

View = Literal["side", "plan"]
"""The two views a rig is drawn and dragged in."""

HandleShape = Literal["turn", "slide"]
"""How a handle moves in a view: round with the part, or forward and back."""

FULL_TURNS_RAD = 1e6
"""A turn further round than this has no direction left; the limit also keeps infinity out."""

STOP_TOLERANCE_RAD = 1e-9
"""A turn past its stop by no more than this is at its stop; round-off of typed degrees is far below it."""


class TurningJoint(msgspec.Struct, frozen=True):
    """A pin to turn on, between two stops.  The kinds below say how the pin lies in the link before the arm."""

    least_rad: float
    most_rad: float

    unit: ClassVar[str] = "deg"
    """How `engine.base.formatting.show` writes the coordinate in a sentence."""
    entry_unit: ClassVar[str] = "angle"
    """How it writes the coordinate in an entry field."""
    verb: ClassVar[str] = "Turn"
    """What a person does with the arm."""
    step_words: ClassVar[str] = "Turn {arm} from {from:deg} to {to:deg}"
    beyond_words: ClassVar[str] = "{arm} cannot turn to {turn:deg}: it goes from {least:deg} to {most:deg}."
    directions: ClassVar[tuple[str, str]]
    """What a person calls a positive and a negative coordinate."""
    plane: ClassVar[View]
    """The view that shows the motion in true shape; the joint follows a hook dragged there."""

    def pin(self, axes: Axes) -> Vec:
        """Unit vector along the pin, from the arm's axes; the coordinate grows with a right-hand turn about it."""
        raise NotImplementedError

    def carried(self, frame: Frame, turn_rad: Number) -> Frame:
        """The arm's frame turned by a coordinate; ``frame`` is the arm's at 0, or at the coordinate to turn on from."""
        raise NotImplementedError

    def motion(self, frame: Frame, point_m: Vec) -> Vec:
        """How far an outboard point moves for each radian (m/rad); ``frame`` is the arm's."""
        return self.pin(frame.axes).cross(point_m - frame.origin)

    def most_travel_m(self, change_rad: float, reach_m: float) -> float:
        """At least as far as any outboard point within ``reach_m`` of the pin moves for this change."""
        return abs(change_rad) * reach_m

    def farthest_m(self, length_m: float) -> float:
        """How far from its place on the link before it an arm of this length ends, at most."""
        return length_m

    @property
    def stops(self) -> tuple[float, float]:
        """Least and greatest coordinate."""
        return self.least_rad, self.most_rad

    def allows(self, turn_rad: Number) -> bool | NDArray[np.bool_]:
        """Whether a coordinate is between the stops."""
        return (turn_rad >= self.least_rad - STOP_TOLERANCE_RAD) & (turn_rad <= self.most_rad + STOP_TOLERANCE_RAD)

    def stopped(self, turn_rad: float) -> float:
        """The coordinate, or the stop it is past."""
        return min(max(turn_rad, self.least_rad), self.most_rad)

    def nearest(self, turn_rad: float) -> float:
        """The coordinate with whole turns taken off, or the stop it is past."""
        within = min(max(turn_rad, -FULL_TURNS_RAD), FULL_TURNS_RAD)
        return self.stopped(math.remainder(within, 2.0 * math.pi))

    def direction(self, turn_rad: float) -> str:
        """What a person calls the side a coordinate is on."""
        return self.directions[0 if turn_rad >= 0.0 else 1]


class StandingJoint(TurningJoint, frozen=True):
    """A standing pin: the arm swings sideways, left positive.  Nothing holds it but friction."""

    directions: ClassVar[tuple[str, str]] = ("left", "right")
    plane: ClassVar[View] = "plan"

    def pin(self, axes: Axes) -> Vec:
        """The arm's own standing axis."""
        return axes.z

    def aside(self, axes: Axes) -> Vec:
        """Direction the arm's end moves in as the coordinate grows."""
        return axes.y

    def carried(self, frame: Frame, turn_rad: Number) -> Frame:
        """The frame turned to the left."""
        return Frame(frame.axes.turned(turn_rad), frame.origin)

    def handle(self, view: View) -> HandleShape | None:
        """Seen edge on from the side, in true shape from above."""
        return "turn" if view == "plan" else "slide"


class LevelJoint(TurningJoint, frozen=True):
    """A level pin: the arm raises, up positive.  A stay, ram or stop has to hold it."""

    directions: ClassVar[tuple[str, str]] = ("up", "down")
    plane: ClassVar[View] = "side"

    def pin(self, axes: Axes) -> Vec:
        """The arm's own lateral axis, to the right."""
        return -axes.y

    def aside(self, axes: Axes) -> Vec:
        """Direction the arm's end moves in as the coordinate grows."""
        return axes.z

    def carried(self, frame: Frame, turn_rad: Number) -> Frame:
        """The frame raised."""
        return Frame(frame.axes.raised(turn_rad), frame.origin)

    def handle(self, view: View) -> HandleShape | None:
        """Seen in true shape from the side; from above there is nothing to take hold of."""
        return "turn" if view == "side" else None


Joint: TypeAlias = StandingJoint | LevelJoint

JOINTS: dict[str, Callable[[float, float], Joint]] = {"standing": StandingJoint, "level": LevelJoint}
"""The kind of joint for each word of the rig file."""


def swings(joint: Joint) -> bool:
    """Whether the arm swings sideways, held by friction alone: it drifts when let go, and a hand turns it."""
    match joint:
        case StandingJoint():
            return True
        case LevelJoint():
            return False
        case _:
            assert_never(joint)
