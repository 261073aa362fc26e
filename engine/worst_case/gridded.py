"""Balance over a grid of poses: how the truck stands at every fork height, tilt, place of the boom and turn of the arms.

Plain statics with best values, the rig as drawn: for a look at how a rig behaves as a whole, never for a verdict.  The
formulas of ``engine.limits.balance`` are recorded once and run as machine code, where each step is worked out as seldom as what
it depends on changes: some fifty million poses a second.
"""

from __future__ import annotations

import msgspec
import numpy as np

from engine.base.geometry import Array
from engine.jit.llvm_code import Machine, machine_function
from engine.jit.trace import Recorder
from engine.limits import balance
from engine.rig.figure_vector import filled, inputs_of, map_numbers, shape_of
from engine.rig.kinematics import Figures, place
from engine.schema.model import Job
from engine.worst_case.evaluator import evaluator_of


class Standings(msgspec.Struct, kw_only=True, frozen=True):
    """Arrays of the grid's shape, kg: load that tips the truck, and what the wheels carry."""

    tipping_load_kg: Array
    rear_kg: Array
    left_front_kg: Array
    right_front_kg: Array


def balance_over(job: Job, numbers: Figures) -> Standings:
    """How the truck stands over a grid of poses.

    Parameters
    ----------
    job : Job
    numbers : Figures
        Floats, or arrays that broadcast to the grid's shape (...): best each joint along an axis of its own, the longest
        axis last.

    Returns
    -------
    Standings
    """
    shape, inputs = shape_of(numbers), inputs_of(numbers)
    along = frozenset(index for index, value in enumerate(inputs) if np.shape(value)[-1:] not in ((), (1,)))
    if not along or any(np.size(inputs[index]) != shape[-1] for index in along):
        along = None  # some value changes along the last axis and another: every pose is worked out by itself
    known = evaluator_of(job, numbers).grids
    if along not in known:
        known[along] = _machine(job, numbers, along)
    machine = known[along]
    found = filled(_values(job, numbers), shape) if machine is None else machine(inputs, shape)
    return Standings(**dict(zip(Standings.__struct_fields__, found, strict=True)))


def _machine(job: Job, numbers: Figures, along: frozenset[int] | None) -> Machine | None:
    recorder = Recorder()
    made = machine_function(recorder, _values(job, map_numbers(numbers, lambda _: recorder.new_input())), along)
    recorder.clear()
    return made


def _values(job: Job, numbers: Figures) -> list[object]:
    weighed = balance.weigh(place(job, numbers))
    return [getattr(weighed, name) for name in Standings.__struct_fields__]
