"""Connections that stand in the rig with the program's start values: nobody has measured or decided their sizes.

A form draws a connection in with start values so that a person has something to change.  Until the person says that
the sizes are measured or decided, the connection is marked (``origin="typical"``).  `ASSUMED` may stand so: they are
small beside what they join and are sized as a shop sizes them, and a caution names them.  Any other counts as not
entered: a hinge end or hook end sized by the program would pass or fail by the program's own choice.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator
from typing import NamedTuple

import msgspec

from engine.schema.model import Job, Rig

ASSUMED = ("rig.sleeves.cross_weld",)
"""Paths of what may be assumed at its start values."""


class StartValue(NamedTuple):
    """A connection at its start values: its path in the job, and what a person calls it at the start of a sentence."""

    where: str
    name: str


def drawn_in(job: Job) -> tuple[StartValue, ...]:
    """Everything on the load path that still has its start values."""
    rigging = job.load.rigging
    return (*_of_rig(job.rig), *(() if rigging is None else _in(rigging, "load.rigging", "the rigging")))


def may_be_assumed(start: StartValue) -> bool:
    """Whether it may stand at its start values, with a caution."""
    return start.where.startswith(ASSUMED)


@functools.lru_cache(maxsize=16)
def _of_rig(rig: Rig) -> tuple[StartValue, ...]:
    places = (
        (rig.sleeves, "rig.sleeves", "sleeves"),
        (rig.jib_mast, "rig.jib_mast", "jib mast"),
        (rig.saddles, "rig.saddles", "saddles"),
        (rig.boom, "rig.boom", "boom"),
        *((arm, f"rig.arms[{index}]", arm.name) for index, arm in enumerate(rig.arms)),
        (rig.hook, "rig.hook", "hook"),
    )
    return tuple(start for part, where, name in places for start in _in(part, where, name))


def _in(node: object, where: str, part: str) -> Iterator[StartValue]:
    """The connection itself, or those inside it where its own sizes are a person's."""
    if not isinstance(node, msgspec.Struct):
        return
    if getattr(node, "origin", "entered") == "typical":
        words = NAMES.get(where.rpartition(".")[2], "A connection of {part}")
        yield StartValue(where, words.format(part=part))
        return
    for entry in node.__struct_fields__:
        yield from _in(getattr(node, entry), f"{where}.{entry}", part)


NAMES = {
    "end": "What holds the hook",
    "inner_end": "What stands on the link before {part}, at the hinge,",
    "outer_end": "What stands on {part}, at the hinge,",
    "stay": "The stay of {part}",
    "end_lug": "What the stay of {part} is fixed with",
    "foot_weld": "The foot weld of the jib mast",
    "strap_weld": "The weld of the straps",
    "weld": "A weld of {part}",
    "weld_tube": "The weld to the tube at the hinge of {part}",
    "weld_barrel": "The weld of barrels or lugs of {part}",
    "weld_below": "The base plate's weld below",
    "cross_weld": "The weld of the cross-member to the sleeves",
    "base": "The base plate",
    "heel_hold": "What holds the sleeves' heels on the forks",
    "strap_make": "How the saddle straps are made",
    "strap_foot": "How the saddle straps stand on the bed",
    "corner_weld": "The weld at the straps' corners",
    "rigging": "The rigging",
    "points": "Where the slings hold the load",
}
"""What a person calls an entry, at the start of a sentence."""
