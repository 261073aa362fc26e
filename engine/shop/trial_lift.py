"""Trial lift on a scale: what a measured rear weight says about the truck.

A known load hangs in a known pose and the rear axle is weighed.  The engine predicts that weight from the truck as
entered (plain statics of the truck on its tyres, nominal values, no allowances).  The difference is attributed to the
place of the truck's centre: with the whole mass M kept, a rear axle heavier by d means a centre d L / M further back.
Several readings are fitted together (least squares of one shift: their mean); what each reading still differs by is its
residual.

The prediction is no better than what it rests on.  Let s_i be the own error of a reading, B_j how far off an input may
be that the readings share (test load, reach, floor, tilt, weights of the rig, overhang, the scale itself), and J_ij
what it does to the prediction of reading i, by central difference through the engine.  The mean of n readings is then
good to

    off = sum_i s_i/n  +  sum_j |sum_i J_ij/n| B_j,

never less than the largest residual.  More readings average their own errors away no further than that, and shared
errors not at all.  It is a bound: every error against the answer at once, which no root of a sum of squares exceeds.

A corrected truck is offered, never applied: the person decides.  It is offered only where it is known better than the
truck as entered, and never heavier at the rear than that could be.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import msgspec
import numpy as np

from engine.limits import balance
from engine.rig.deflection import place_bent
from engine.rig.kinematics import Figures, figures
from engine.schema.model import Job, TrialLift, Truck
from engine.schema.quantities import Estimate
from engine.schema.uncertainty_bands import MASS_BANDS, low_high
from engine.shop.truck_checks import Contradiction
from engine.shop.truck_measurement import CALIBRATION_SHARE, ReadingError
from engine.worst_case.uncertain_inputs import Entry, entries_of

WITHOUT = ("front_axle_kg", "rear_axle_kg", "load_kg", "aboard_kg", "turns_rad", "off_place")
"""Entries that blur no trial lift: what is sought, the test load's own error in its place, what was aboard, and
where arms, forks and jib mast stand, since the reach is taped."""

BLURS_NAMED = 3
"""How many of what blurs a trial lift most are named."""


class Blur(msgspec.Struct, kw_only=True, frozen=True):
    """What one shared error does to the answer: its name, and the most it moves the rear axle weight."""

    name: str
    kg: float


class Comparison(msgspec.Struct, kw_only=True, frozen=True):
    """A reading of the rear axle against its prediction."""

    lift: TrialLift
    predicted_kg: float

    @property
    def over_kg(self) -> float:
        """How much heavier the rear axle was than predicted."""
        return self.lift.rear_kg - self.predicted_kg


class TrialFit(msgspec.Struct, kw_only=True, frozen=True):
    """All readings fitted together.

    The truck's centre is ``forward_m`` further forward than assumed, with an error of ``off_m``.  ``agrees`` says that
    the assumed truck is within that error.  ``blurs`` are the shared errors, greatest first.  ``corrected`` is the
    truck on offer; None when the assumed one is known as well, or when there can be no such truck.
    """

    readings: tuple[Comparison, ...]
    rear_shift_kg: float
    off_kg: float
    forward_m: float
    off_m: float
    residuals_kg: tuple[float, ...]
    agrees: bool
    blurs: tuple[Blur, ...]
    corrected: Truck | None
    words: str
    numbers: dict[str, float | str]


def compare(job: Job, lift: TrialLift) -> Comparison:
    """One trial lift against the truck as entered."""
    return Comparison(lift=lift, predicted_kg=float(_predicted_kg(job, _figures(job, lift))))


def _predicted_kg(job: Job, numbers: Figures) -> Any:
    """Rear weight of one set of figures, or of arrays of them."""
    return balance.weigh(place_bent(job, numbers), leaning="up_to_own").rear_kg


def _figures(job: Job, lift: TrialLift) -> Figures:
    numbers = figures(job, lift.pose)
    if not (math.isfinite(numbers.fall_along) and math.isfinite(numbers.fall_across)):
        raise ReadingError(
            "trial_lifts",
            "a floor whose fall is known",
            f"{lift.pose.floor!r}",
            "Measure the floor before the trial lift.",
            plain="The slope of floor ‘{floor}’ is not known. Measure the floor before the trial lift.",
            numbers={"floor": lift.pose.floor},
        )
    return msgspec.structs.replace(numbers, load_kg=lift.load_kg, rigging_kg=lift.rigging_kg)


def _blurs(job: Job, lifts: tuple[TrialLift, ...]) -> tuple[Blur, ...]:
    """What each shared error does to the mean of the readings, greatest first."""
    by_name: dict[str, float] = {}
    for lift in lifts:
        numbers = _figures(job, lift)
        for name, kg in _blurs_of(job, lift, numbers):
            by_name[name] = by_name.get(name, 0.0) + kg / len(lifts)
    calibration_kg = CALIBRATION_SHARE * math.fsum(lift.scale_kg for lift in lifts) / len(lifts)
    blurs = [Blur(name=name, kg=abs(kg)) for name, kg in by_name.items()]
    blurs.append(Blur(name="the scale itself", kg=calibration_kg))
    return tuple(sorted((blur for blur in blurs if blur.kg > FAINT_KG), key=lambda blur: -blur.kg))


FAINT_KG = 1e-6
"""An error that moves the answer by less is none."""


def _blurs_of(job: Job, lift: TrialLift, numbers: Figures) -> Iterator[tuple[str, float]]:
    """Signed effect of each error on one prediction: of the entry at its greater side, by central difference."""
    share = MASS_BANDS[lift.load_known].over_share
    test = Entry(
        field="load_kg",
        name="weight of the test load",
        advice="",
        down=share * lift.load_kg,
        up=share * lift.load_kg,
        measured_down=0.0,
        measured_up=0.0,
    )
    entries = (test, *(entry for entry in entries_of(job, lift.pose, numbers) if entry.field not in WITHOUT))
    both = np.asarray(_predicted_kg(job, _at_both_sides(numbers, entries)), float)
    for entry, (low, high) in zip(entries, both.reshape(-1, 2), strict=True):
        yield entry.name, float(high - low) / 2.0


def _at_both_sides(numbers: Figures, entries: tuple[Entry, ...]) -> Figures:
    """The figures with each entry alone at its low side and at its high one, in a row (2 entries)."""
    changed: dict[str, Any] = {}
    for at, entry in enumerate(entries):
        held = changed.get(entry.field, getattr(numbers, entry.field))
        best = held if entry.index is None else held[entry.index]
        row = np.full(2 * len(entries), best, float)
        off = max(entry.down, entry.up)
        row[2 * at : 2 * at + 2] += (-off, off)
        changed[entry.field] = row if entry.index is None else (*held[: entry.index], row, *held[entry.index + 1 :])
    return msgspec.structs.replace(numbers, **changed)


def fit(job: Job, lifts: tuple[TrialLift, ...] | None = None) -> TrialFit:
    """What the trial lifts together say about the truck's centre.

    Parameters
    ----------
    job : Job
        With the truck as assumed.
    lifts : tuple of TrialLift, optional
        By default the job's own.

    Raises
    ------
    ReadingError
        With no readings, or on a floor whose fall is not known.
    """
    lifts = job.trial_lifts if lifts is None else lifts
    if not lifts:
        raise ReadingError("trial_lifts", "at least one reading", "none", plain="No trial lift is noted yet.")
    readings = tuple(compare(job, lift) for lift in lifts)
    shift = math.fsum(reading.over_kg for reading in readings) / len(readings)
    residuals = tuple(reading.over_kg - shift for reading in readings)
    blurs = _blurs(job, lifts)
    own_kg = math.fsum(lift.scale_kg for lift in lifts) / len(lifts)
    off = max(own_kg + math.fsum(blur.kg for blur in blurs), *map(abs, residuals))
    truck = job.truck
    per_kg_m = truck.wheelbase_m.best / (truck.front_axle_kg.best + truck.rear_axle_kg.best)
    agrees = abs(shift) <= off
    forward = -shift * per_kg_m
    better = corrected(truck, shift, off)
    words = AGREES if agrees else DIFFERS
    numbers: dict[str, float | str] = {
        "count": float(len(readings)),
        "moved": abs(forward),
        "way": "forward" if forward > 0.0 else "back",
        "off": off * per_kg_m,
        "shift": abs(shift),
        "side": "lighter" if shift < 0.0 else "heavier",
        "off_kg": off,
    }
    if better is None:
        named = blurs[:BLURS_NAMED]
        words = f"{words}. {NO_BETTER}{', '.join(f'{{blur{at}}} {{blur{at}_kg:kg}}' for at in range(len(named)))}"
        for at, blur in enumerate(named):
            numbers |= {f"blur{at}": blur.name, f"blur{at}_kg": blur.kg}
    return TrialFit(
        readings=readings,
        rear_shift_kg=shift,
        off_kg=off,
        forward_m=forward,
        off_m=off * per_kg_m,
        residuals_kg=residuals,
        agrees=agrees,
        blurs=blurs,
        corrected=better,
        words=words,
        numbers=numbers,
    )


NO_BETTER = "This trial cannot tell more than is known already. What blurs it most: "

AGREES = (
    "{count:count} trial lift(s): the rear axle is {shift:kg} {side} than predicted, within the {off_kg:kg} the "
    "readings are good to"
)
DIFFERS = (
    "{count:count} trial lift(s): the rear axle is {shift:kg} {side} than predicted; the truck's centre is {moved:mm} "
    "further {way} than assumed, give or take {off:mm}"
)


def corrected(truck: Truck, shift_kg: float, off_kg: float) -> Truck | None:
    """The truck with its mass kept and ``shift_kg`` moved from the front axle to the rear.

    The rear axle's range becomes that of the trial, as far as it lies under what the truck as entered could have; the
    front axle's moves the opposite way and widens by as much.  None if the trial tells no more than is known, or if
    there could be no such truck.
    """
    front, rear = truck.front_axle_kg, truck.rear_axle_kg
    rear_low, rear_high = low_high(rear, "mass")
    low, high = rear.best + shift_kg - off_kg, min(rear.best + shift_kg + off_kg, rear_high)
    best = min(rear.best + shift_kg, rear_high)
    front_low, front_high = low_high(front, "mass")
    if not (high - low < rear_high - rear_low and low > 0.0 and best >= low and front.best - shift_kg > 0.0):
        return None
    return msgspec.structs.replace(
        truck,
        front_axle_kg=Estimate(
            best=front.best - shift_kg,
            known="worked_out",
            low=max(front_low - shift_kg - off_kg, 0.0),
            high=front_high - shift_kg + off_kg,
        ),
        rear_axle_kg=Estimate(best=best, known="worked_out", low=low, high=high),
    )


def contradictions(job: Job, fitted: TrialFit) -> tuple[Contradiction, ...]:
    """Trial lifts that the truck as entered cannot explain, and readings that disagree with each other."""
    problems = []
    low, high = low_high(job.truck.rear_axle_kg, "mass")
    says = job.truck.rear_axle_kg.best + fitted.rear_shift_kg
    if not low - fitted.off_kg <= says <= high + fitted.off_kg:
        problems.append(
            Contradiction(
                where="truck.rear_axle_kg",
                words=(
                    "the trial lifts put {says:kg} on the bare truck's rear axle; it is entered as {entered:kg}, "
                    "{low:kg} to {high:kg}."
                ),
                numbers={"says": says, "entered": job.truck.rear_axle_kg.best, "low": low, "high": high},
            )
        )
    worst = max(range(len(fitted.residuals_kg)), key=lambda index: abs(fitted.residuals_kg[index]))
    if abs(fitted.residuals_kg[worst]) > 2.0 * fitted.readings[worst].lift.scale_kg:
        problems.append(
            Contradiction(
                where=f"trial_lifts[{worst}]",
                words=(
                    "reading {number:count} still differs by {left:kg} when the others are met; its scale is good to "
                    "{scale:kg}. Weigh again: load, reach or rear axle was read wrong."
                ),
                numbers={
                    "number": worst + 1.0,
                    "left": fitted.residuals_kg[worst],
                    "scale": fitted.readings[worst].lift.scale_kg,
                },
            )
        )
    return tuple(problems)
