"""The box of all bands about some poses: for every uncertain entry how far down and up it may be.

No band passes a stop: an uncertain fork height never lifts the forks above the upright.
"""

from __future__ import annotations

import functools
import math
from typing import Any, NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array, Indices
from engine.base.identity import IdentityKey, Uncompared
from engine.rig.feasibility import boom_limits_m
from engine.rig.figure_vector import filled, inputs_of, map_numbers, places_of, shape_among
from engine.rig.free_turn import joint_as_free
from engine.rig.kinematics import Figures, fitted_arms
from engine.schema.model import Job, Rig, Truck
from engine.worst_case.corner_rules import HUNG
from engine.worst_case.uncertain_inputs import MOST_ENTRIES, Entry


class EntryPlaces(NamedTuple):
    """Where the uncertain entries stand among the inputs.

    ``inputs``: the input of each entry; ``hung``: entries that hang on the hook; ``load``: the input that is the load,
    and ``load_entry`` its entry, if it is uncertain.
    """

    inputs: tuple[int, ...]
    hung: tuple[int, ...]
    load: int
    load_entry: int | None


class UncertaintyBox(msgspec.Struct, kw_only=True, frozen=True):
    """Entries of some poses in a row, and their bands; arrays (entries, poses).

    ``nominal`` is what was entered; ``down`` and ``up`` are how far it may be off.  ``inputs`` are the figures as a
    table (inputs, poses), or (inputs, 1) where every pose has the same; ``places`` says where the entries stand in it.
    """

    job: Job
    numbers: Figures
    entries: tuple[Entry, ...]
    inputs: Array
    places: EntryPlaces
    nominal: Array
    down: Array
    up: Array

    @property
    def poses(self) -> int:
        """How many poses."""
        return self.nominal.shape[1]

    def figures_at(self, sides: NDArray[Any], load_kg: Array) -> Figures:
        """Figures with each entry at a side of its band: ``sides`` (entries, variants, poses or 1) of -1, 0, 1.

        ``load_kg`` (variants, poses) hangs loads of its own, whatever the load's side; NaN leaves it as it is.
        """
        values = (
            self.nominal[:, None] + np.maximum(sides, 0) * self.up[:, None] + np.minimum(sides, 0) * self.down[:, None]
        )
        numbers = _with_entries(self.numbers, self.entries, values)
        return msgspec.structs.replace(numbers, load_kg=np.where(np.isnan(load_kg), numbers.load_kg, load_kg))

    def block(self, poses: slice | Indices) -> UncertaintyBox:
        """The same box for some of the poses, which may be asked for more than once."""
        return msgspec.structs.replace(
            self,
            numbers=map_numbers(self.numbers, lambda number: _of_poses(number, poses)),
            inputs=self.inputs if self.inputs.shape[1] < self.poses else self.inputs[:, poses],
            nominal=self.nominal[:, poses],
            down=self.down[:, poses],
            up=self.up[:, poses],
        )


def box_around(job: Job, numbers: Figures, entries: tuple[Entry, ...]) -> UncertaintyBox:
    """The box about some poses, given as figures in a row or as plain floats."""
    given = inputs_of(numbers)
    poses = math.prod(shape_among(given))
    inputs = filled(given, (poses,))
    same = IdentityKey(entries, job.truck, job.rig)
    bands = _bands(same, fitted_arms(numbers), len(given), Uncompared((job, numbers)))
    nominal = inputs[bands.inputs]
    down, up = np.repeat(bands.down, poses, axis=1), np.repeat(bands.up, poses, axis=1)
    at, stopped = bands.stopped, nominal[bands.stopped]
    down[at] = np.minimum(np.maximum(stopped - bands.least, 0.0), down[at])
    up[at] = np.minimum(np.maximum(bands.most - stopped, 0.0), up[at])
    return UncertaintyBox(
        job=job,
        numbers=numbers,
        entries=entries,
        inputs=inputs,
        places=bands.places,
        nominal=nominal,
        down=down,
        up=up,
    )


class _Bands(NamedTuple):
    """What is the same in all poses: how far entries may be off, arrays (entries, 1), and their places.

    ``stopped`` are the entries that have stops, ``least`` and ``most`` (stopped, 1) the stops.
    """

    down: Array
    up: Array
    inputs: Indices
    places: EntryPlaces
    stopped: Indices
    least: Array
    most: Array


@functools.lru_cache(maxsize=32)
def _bands(
    same: IdentityKey[tuple[Entry, ...], Truck, Rig],
    _fitted: tuple[int, ...],
    _inputs: int,
    given: Uncompared[tuple[Job, Figures]],
) -> _Bands:
    """Bands of all poses of a rig with these arms fitted."""
    entries, _, _ = same.parts
    job, numbers = given.value
    if len(entries) > MOST_ENTRIES:
        raise ValueError(f"Expected at most {MOST_ENTRIES} uncertain entries, got {len(entries)}")
    place_of = places_of(numbers)
    inputs = tuple(place_of[entry.field, entry.index] for entry in entries)
    fields = [entry.field for entry in entries]
    places = EntryPlaces(
        inputs=inputs,
        hung=tuple(index for index, field in enumerate(fields) if field in HUNG),
        load=place_of["load_kg", None],
        load_entry=fields.index("load_kg") if "load_kg" in fields else None,
    )
    stopped = [index for index, field in enumerate(fields) if field in STOPPED]
    stops = np.array([stops_of(job, fields[at], entries[at].index) for at in stopped], float).reshape(-1, 2)
    return _Bands(
        down=np.array([entry.down for entry in entries], float)[:, None],
        up=np.array([entry.up for entry in entries], float)[:, None],
        inputs=np.array(inputs, np.intp),
        places=places,
        stopped=np.array(stopped, np.intp),
        least=stops[:, :1],
        most=stops[:, 1:],
    )


STOPPED = ("lift_m", "tilt_rad", "boom_out_m", "turns_rad")
"""Entries with stops."""


def stops_of(job: Job, field: str, index: int | None = None) -> tuple[float, float]:
    """Least and most that an entry can be: stops of upright and arms, the boom in both saddles; else infinite."""
    upright = job.truck.upright
    match field:
        case "lift_m":
            return upright.lift_min_m, upright.lift_max_m
        case "tilt_rad":
            # The lean allowed for is taken off what stands here: fully tilted back it may not be there at all.
            return -upright.tilt_forward_max_rad, upright.tilt_back_max_rad + job.policy.lean_rad
        case "boom_out_m":
            return boom_limits_m(job)
        case "turns_rad":
            assert index is not None
            joint = joint_as_free(job.rig, index)
            return joint.least_rad, joint.most_rad
        case _:
            return -math.inf, math.inf


def _of_poses(number: Any, poses: slice | Indices) -> Any:
    return number[poses] if isinstance(number, np.ndarray) and number.ndim else number


def _with_entries(numbers: Figures, entries: tuple[Entry, ...], values: Array) -> Figures:
    """Figures with the entries at values (entries, ...)."""
    changed: dict[str, Any] = {}
    for entry, value in zip(entries, values, strict=True):
        if entry.index is None:
            changed[entry.field] = value
        else:
            parts = list(changed.get(entry.field, getattr(numbers, entry.field)))
            parts[entry.index] = value
            changed[entry.field] = tuple(parts)
    return msgspec.structs.replace(numbers, **changed)
