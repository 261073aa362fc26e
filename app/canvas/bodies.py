"""Bodies of the drawing that can be taken hold of anywhere, not only at their round handle.

Each body is some drawn parts; a pull on it does what its handle does, and a click shows the fields of its entry.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from app.canvas.handles import HandleKind
from engine.rig.kinematics import arm_link
from engine.schema.joints import View
from engine.schema.model import Job

Way = Literal["any", "turn", "along", "up"]
"""How a pull moves a body, for the pointer's shape."""

GRASP_PX = 6.0
"""How near a body the pointer has to be."""


class Body(NamedTuple):
    """A body: the parts it is drawn with, the handle that moves it, and the entry its fields are of."""

    name: str
    parts: tuple[str, ...]
    handle: str | None
    way: Way
    entry: str

    @property
    def hint(self) -> str:
        """What a pull and a click do."""
        pulled = "" if self.handle is None else f"Pull: {_PULLED.get(self.handle, 'moves it')}. "
        return f"{self.name[:1].upper()}{self.name[1:]}. {pulled}Click: its entries."


_PULLED = {
    "hook": "moves the hook, and the rig follows",
    "boom": "slides it from hole to hole (Ctrl: free)",
    "lift": "raises and lowers the forks",
    "tilt": "tilts it",
}
"""What a pull of each handle does."""

_WAYS: dict[HandleKind, Way] = {"raise": "up", "slide": "along", "turn": "turn", "free": "any"}


def bodies(job: Job, view: View) -> tuple[Body, ...]:
    """The bodies seen in a view, the topmost first."""
    return (_side if view == "side" else _plan)(job)


def _hanging() -> tuple[Body, ...]:
    return (
        Body("hook", ("hook", "hook end"), "hook", "any", "rig.hook"),
        Body("load", ("load", "rigging"), "hook", "any", "load.mass_kg"),
    )


def _arms(job: Job, view: View) -> tuple[Body, ...]:
    """The arms, from the outermost inwards."""
    found = []
    for index in reversed(range(len(job.rig.arms))):
        arm = job.rig.arms[index]
        kind = arm.joint.handle(view)
        handle, way = (None, "any") if kind is None else (f"arm {index}", _WAYS[kind])
        found.append(Body(arm.name, (arm_link(index),), handle, way, f"rig.arms[{index}]"))
    return tuple(found)


def _around(job: Job) -> tuple[Body, ...]:
    return tuple(
        Body(box.name, (f"around {box.name}",), None, "any", f"surroundings[{index}]")
        for index, box in enumerate(job.surroundings)
    )


def _side(job: Job) -> tuple[Body, ...]:
    return (
        *_hanging(),
        *_arms(job, "side"),
        Body("boom", ("boom", "boom pin"), "boom", "along", "rig.boom"),
        Body("saddles", ("saddles", "saddle bed"), "lift", "up", "rig.saddles"),
        Body("jib mast", ("jib mast", "gussets", "gussets not counted"), "lift", "up", "rig.jib_mast"),
        Body("sleeves", ("sleeve", "cross-member", "heel hold"), "lift", "up", "rig.sleeves"),
        Body("forks", ("forks", "carriage"), "lift", "up", "truck.forks"),
        Body("upright", ("upright inner", "upright outer"), "tilt", "turn", "truck.upright"),
        *_around(job),
        Body(
            "truck", ("body", "counterweight", "front wheel", "rear wheel", "guard"), None, "any", "truck.wheelbase_m"
        ),
    )


def _plan(job: Job) -> tuple[Body, ...]:
    return (
        *_hanging(),
        *_arms(job, "plan"),
        Body("boom", ("boom",), "boom", "along", "rig.boom"),
        Body("saddles", ("straps",), None, "any", "rig.saddles"),
        Body("jib mast", ("jib mast", "gussets", "gussets not counted"), None, "any", "rig.jib_mast"),
        Body("sleeves", ("sleeves", "cross-member"), None, "any", "rig.sleeves"),
        Body("forks", ("forks",), None, "any", "truck.forks"),
        *_around(job),
        Body("truck", ("truck", "wheels"), None, "any", "truck.front_track_m"),
    )
