"""Rigs, poses and sweeps at random for the strength tests."""

from __future__ import annotations

import random
from pathlib import Path

import msgspec
import numpy as np

from engine.rig.check import Check
from engine.rig.kinematics import Figures, figures, place
from engine.schema.model import Job
from engine.strength import all_parts
from tests.samples import read_once

REPLACE = msgspec.structs.replace
SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
JOBS = {path.name.removesuffix(".rig.json"): read_once(path) for path in sorted(SAMPLES.glob("*.rig.json"))}
BY_HAND = Path(__file__).resolve().parents[2] / "rigs"
BOATYARD = read_once(BY_HAND / "skerry_point_boatyard.rig.json")
VINEYARD = read_once(BY_HAND / "cold_spring_vineyard.rig.json")
STONE_YARD = JOBS["tarn_hollow_stone_yard"]


def unweighed(job: Job) -> Job:
    """The job with every part of the rig as heavy as its steel: for verdicts, which believe no other weights."""
    rig = job.rig
    parts = {name: REPLACE(getattr(rig, name), mass_kg=None) for name in ("sleeves", "jib_mast", "saddles", "boom")}
    arms = tuple(REPLACE(arm, mass_kg=None) for arm in rig.arms)
    return REPLACE(job, rig=REPLACE(rig, arms=arms, **parts))


def any_figures(dice: random.Random, job: Job) -> Figures:
    """One of the job's poses with everything that can move moved, on any floor, with any load or none."""
    first = figures(job, dice.choice(job.poses))
    return REPLACE(
        first,
        lift_m=dice.uniform(0.1, 3.0),
        tilt_rad=dice.uniform(-0.05, 0.1),
        boom_out_m=dice.uniform(0.2, 1.4),
        turns_rad=tuple(None if turn is None else dice.uniform(-2.5, 2.5) for turn in first.turns_rad),
        fall_along=dice.uniform(-0.1, 0.1),
        fall_across=dice.uniform(-0.1, 0.1),
        load_kg=dice.choice((0.0, dice.uniform(0.0, 2000.0))),
    )


def any_job(dice: random.Random, allowances: bool = True) -> Job:
    """A sample rig under any allowances."""
    job = dice.choice(list(JOBS.values()))
    if not allowances:
        return job
    policy = REPLACE(
        job.policy,
        dynamic_factor=dice.uniform(1.0, 1.5),
        swing_rad=dice.choice((0.0, 0.05)),
        braking=dice.choice((0.0, 0.1)),
        design_factor=dice.choice((1.5, 2.0, 3.0)),
    )
    return REPLACE(job, policy=policy)


def checks(job: Job, numbers: Figures) -> list[Check]:
    """Every strength limit."""
    return all_parts.checks(job, place(job, numbers))


def at_loads(job: Job, numbers: Figures, loads_kg: np.ndarray) -> np.ndarray:
    """Use of each limit at a load of its own: shape (limits,)."""
    limits = checks(job, REPLACE(numbers, load_kg=loads_kg))
    return np.array([np.broadcast_to(check.use, loads_kg.shape)[index] for index, check in enumerate(limits)])


def loads_met(job: Job, numbers: Figures, most_kg: float, halvings: int) -> np.ndarray:
    """The load at which each limit is just met, by halving on its use, for all limits at once."""
    limits = len(checks(job, numbers))
    low, high = np.zeros(limits), np.full(limits, most_kg)
    for _ in range(halvings):
        middle = (low + high) / 2.0
        holds = at_loads(job, numbers, middle) <= 1.0
        low, high = np.where(holds, middle, low), np.where(holds, high, middle)
    return low


def stacked(singles: list[Figures]) -> Figures:
    """Several poses as one sweep."""
    fields = {}
    for name in singles[0].__struct_fields__:
        values = [getattr(single, name) for single in singles]
        if isinstance(values[0], tuple):
            fields[name] = tuple(
                None if column[0] is None else np.array(column) for column in zip(*values, strict=True)
            )
        else:
            fields[name] = np.array(values)
    return Figures(**fields)


def without_weights(numbers: Figures) -> Figures:
    """The same pose with no weight at all on the rig."""
    return REPLACE(
        numbers,
        sleeves_kg=0.0,
        jib_mast_kg=0.0,
        saddles_kg=0.0,
        boom_kg=0.0,
        arms_kg=tuple(0.0 for _ in numbers.arms_kg),
        hook_kg=0.0,
        rigging_kg=0.0,
        load_kg=0.0,
    )
