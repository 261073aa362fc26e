"""Sizes and weights that no part of such a rig or truck has: slips of a unit offered back.

The types of the model keep out what is no size at all (50 m of boom).  The bounds here are those of real parts: a
number outside them was most likely typed in another unit.  If it would lie inside times or over a factor that is mixed
up, that is asked; where no slip explains it, the entry cannot be.

Source: bounds ours; factors between units, their definitions.
"""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Iterator
from typing import Any, NamedTuple

import msgspec

from engine.base.identity import IdentityKey
from engine.rig.check import Problem
from engine.schema.model import Load, Rig, Truck

LENGTH_SLIPS = (10.0, 100.0, 1000.0, 25.4, 3.28084, 39.3701)
MASS_SLIPS = (10.0, 100.0, 1000.0, 2.20462, 9.80665)
"""Factors between units and decimals that are mixed up."""


class Bound(NamedTuple):
    """What an entry is called, where it stands (a pattern of the whole path), and from where to where it is real."""

    name: str
    where: re.Pattern[str]
    low: float
    high: float

    @property
    def is_mass(self) -> bool:
        """Whether it is a weight (kg), else a length (m)."""
        return self.where.pattern.rstrip("$").endswith("kg")


def _bound(name: str, where: str, low: float, high: float) -> Bound:
    pattern = where.replace(".", r"\.").replace("[]", r"\[\d+\]").replace("*", ".*")
    return Bound(name, re.compile(f"{pattern}$"), low, high)


BOUNDS = (
    _bound("length", "rig.boom.length_m", 0.3, 6.0),
    _bound("length", "rig.jib_mast.length_m", 0.2, 4.0),
    _bound("length", "rig.arms[].length_m", 0.1, 3.0),
    _bound("length", "rig.sleeves.length_m", 0.3, 2.4),
    _bound("spread", "rig.sleeves.welded_spread_m", 0.2, 1.6),
    _bound("hole pitch", "rig.boom.hole_pitch_m", 0.03, 0.6),
    _bound("width of the tube", "rig.*section.width_m", 0.015, 0.35),
    _bound("depth of the tube", "rig.*section.depth_m", 0.003, 0.35),
    _bound("diameter of the tube", "rig.*section.diameter_m", 0.015, 0.35),
    _bound("wall", "rig.*section.wall_m", 0.001, 0.025),
    _bound("thickness of the straps", "rig.saddles.strap_thickness_m", 0.003, 0.08),
    _bound("thickness of the lugs", "rig.*lug_thickness_m", 0.003, 0.08),
    _bound("thickness", "rig.*.thickness_m", 0.003, 0.08),
    _bound("pin", "rig.*pin.diameter_m", 0.006, 0.08),
    _bound("weld leg", "rig.*weld*.leg_m", 0.002, 0.016),
    _bound("weight", "rig.*mass_kg", 0.2, 800.0),
    _bound("length", "truck.forks.length_m", 0.6, 2.4),
    _bound("width", "truck.forks.width_m", 0.06, 0.25),
    _bound("thickness", "truck.forks.thickness_m", 0.02, 0.09),
    _bound("spread", "truck.forks.spread_m", 0.2, 1.6),
    _bound("wheelbase", "truck.wheelbase_m", 0.8, 3.5),
    _bound("distance from front axle to fork face", "truck.front_overhang_m", 0.15, 0.9),
    _bound("front track", "truck.front_track_m", 0.5, 2.2),
    _bound("rear track", "truck.rear_track_m", 0.5, 2.2),
    _bound("front tyre radius", "truck.front_tyre_radius_m", 0.1, 0.65),
    _bound("rear tyre radius", "truck.rear_tyre_radius_m", 0.1, 0.65),
    _bound("height of the rear axle pivot", "truck.pivot_height_m", 0.08, 0.8),
    _bound("height of the centre of gravity", "truck.cg_height_m", 0.25, 1.6),
    _bound("greatest fork height", "truck.upright.lift_max_m", 0.5, 7.0),
    _bound("load centre", "truck.plate.rows[].load_centre_m", 0.3, 1.3),
    _bound("fork height", "truck.plate.rows[].lift_m", 0.5, 7.0),
    _bound("rated load", "truck.plate.rows[].rated_kg", 500.0, 10_000.0),
    _bound("front axle weight", "truck.front_axle_kg", 150.0, 15_000.0),
    _bound("rear axle weight", "truck.rear_axle_kg", 150.0, 15_000.0),
    _bound("length of a sling leg", "load.rigging.legs[].length_m", 0.05, 8.0),
    _bound("distance from hook to load", "load.sling_m", 0.0, 8.0),
    _bound("weight", "load.mass_kg", 0.0, 5000.0),
    _bound("weight", "load.rigging_kg", 0.0, 500.0),
)
"""The first that matches counts."""


class Entry(NamedTuple):
    """A number of the job: its path, and whose it is for a person."""

    where: str
    value: float
    owner: str


def problems(truck: Truck, rig: Rig, load: Load) -> tuple[Problem, ...]:
    """Entries outside the sizes of real parts: ``asked`` where a slip explains them, else ``impossible``."""
    roots = (("truck", truck), ("rig", rig), ("load", load))
    return tuple(problem for root, node in roots for problem in _problems_under(node, root))


def _problems_under(node: Any, root: str) -> Iterator[Problem]:
    owner = _owner_of(root, node, root)
    for field in node.__struct_fields__:
        yield from _problems_of(IdentityKey(getattr(node, field)), f"{root}.{field}", owner)


@functools.lru_cache(maxsize=256)
def _problems_of(same: IdentityKey[Any], path: str, owner: str) -> tuple[Problem, ...]:
    """Problems of one part: an edit of another leaves them as they are."""
    (part,) = same.parts
    found = map(_outside, _entries(part, path, _owner_of(path, part, owner)))
    return tuple(problem for problem in found if problem is not None)


def entries(node: Any, where: str) -> Iterator[Entry]:
    """Every number under a node of the job, which stands at a path; estimates by their best."""
    return _entries(node, where, _owner_of(where, node, where))


@functools.lru_cache(maxsize=2048)
def bound_of(where: str) -> Bound | None:
    """The bound of the entry at a path, if it has one."""
    return next((one for one in BOUNDS if one.where.match(where)), None)


def _entries(node: Any, where: str, owner: str) -> Iterator[Entry]:
    if isinstance(node, bool) or node is None or isinstance(node, str):
        return
    if isinstance(node, float | int):
        yield Entry(where, float(node), owner)
    elif isinstance(node, tuple):
        for index, part in enumerate(node):
            yield from _entries(part, f"{where}[{index}]", _owner_of(f"{where}[]", part, owner))
    elif hasattr(node, "known") and hasattr(node, "best"):
        yield Entry(where, float(node.best), owner)
    elif isinstance(node, msgspec.Struct):
        for field in node.__struct_fields__:
            path = f"{where}.{field}"
            yield from _entries(getattr(node, field), path, _owner_of(path, getattr(node, field), owner))


OWNERS = {
    "truck": "the truck",
    "truck.forks": "the forks",
    "truck.plate": "the plate",
    "rig.sleeves": "the sleeves",
    "rig.sleeves.cross_section": "the cross-member",
    "rig.jib_mast": "the jib mast",
    "rig.saddles": "the saddles",
    "rig.boom": "the boom",
    "rig.hook": "the hook",
    "load": "the load",
    "load.rigging": "the rigging",
    "load.rigging_kg": "the rigging",
}


def _owner_of(where: str, node: Any, owner: str) -> str:
    return node.name if where == "rig.arms[]" else OWNERS.get(where, owner)


def _outside(entry: Entry) -> Problem | None:
    bound = bound_of(entry.where)
    if bound is None or bound.low <= entry.value <= bound.high:
        return None
    unit = "mass" if bound.is_mass else "length"
    numbers: dict[str, float | str] = {
        "name": bound.name,
        "owner": entry.owner,
        "value": entry.value,
        "low": bound.low,
        "high": bound.high,
        "part": f"the {bound.name} of {entry.owner}",
        "measure": f"measure or read the {bound.name} of {entry.owner} again",
        "lacks": "confirmed",
    }
    words = f"The {{name}} of {{owner}} is entered as {{value:{unit}}}; {{low:{unit}}} to {{high:{unit}}} is real."
    meant = slip(entry.value, bound)
    if meant is None:
        words += " Measure it again."
        return Problem(kind="impossible", where=entry.where, words=words, numbers=numbers)
    words += f" Did you mean {{meant:{unit}}}?"
    return Problem(kind="asked", where=entry.where, words=words, numbers={**numbers, "meant": meant})


def slip(value: float, bound: Bound) -> float | None:
    """The value times or over a factor that is mixed up, inside the bound and nearest its middle."""
    slips = MASS_SLIPS if bound.is_mass else LENGTH_SLIPS
    tried = [value * factor for slip in slips for factor in (slip, 1.0 / slip)]
    inside = [one for one in tried if bound.low <= one <= bound.high and one > 0.0]
    middle = math.log(max(bound.low, bound.high / 100.0) * bound.high) / 2.0
    return min(inside, key=lambda one: abs(math.log(one) - middle), default=None)
