"""Trial lift on a scale: what a measured rear weight says about the truck.

A known load hangs in a known pose and the rear axle is weighed.  The engine predicts that weight from the truck as
entered (plain statics, nominal values, no allowances).  The difference is attributed to the place of the truck's
centre: with the whole mass M kept, a rear axle heavier by d means a centre d L / M further back.  Several readings are
fitted together (least squares of one shift: their mean); what each reading still differs by is its residual.

A corrected truck is offered, never applied: the person decides.
"""

from __future__ import annotations

import math

import msgspec

from engine.limits import balance
from engine.rig.deflection import place_bent
from engine.rig.kinematics import Figures, figures
from engine.schema.model import Job, TrialLift, Truck
from engine.schema.quantities import Estimate
from engine.schema.uncertainty_bands import low_high
from engine.shop.truck_checks import Contradiction
from engine.shop.truck_measurement import ReadingError


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
    the assumed truck is within the scale's error.  ``corrected`` is the truck on offer; None when the assumed one
    agrees, or when there can be no such truck.
    """

    readings: tuple[Comparison, ...]
    rear_shift_kg: float
    off_kg: float
    forward_m: float
    off_m: float
    residuals_kg: tuple[float, ...]
    agrees: bool
    corrected: Truck | None
    words: str
    numbers: dict[str, float | str]


def compare(job: Job, lift: TrialLift) -> Comparison:
    """One trial lift against the truck as entered."""
    numbers = msgspec.structs.replace(_figures(job, lift), load_kg=lift.load_kg, rigging_kg=lift.rigging_kg)
    weighed = balance.weigh(place_bent(job, numbers))
    return Comparison(lift=lift, predicted_kg=float(weighed.rear_kg))


def _figures(job: Job, lift: TrialLift) -> Figures:
    numbers = figures(job, lift.pose)
    if not (math.isfinite(numbers.fall_along) and math.isfinite(numbers.fall_across)):
        raise ReadingError(
            "trial_lifts",
            "a floor whose fall is known",
            f"{lift.pose.floor!r}",
            "Measure the floor before the trial lift.",
        )
    return numbers


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
        raise ReadingError("trial_lifts", "at least one reading", "none")
    readings = tuple(compare(job, lift) for lift in lifts)
    shift = math.fsum(reading.over_kg for reading in readings) / len(readings)
    residuals = tuple(reading.over_kg - shift for reading in readings)
    scale = math.sqrt(math.fsum(lift.scale_kg**2 for lift in lifts)) / len(lifts)
    off = max(scale, *map(abs, residuals))
    truck = job.truck
    per_kg_m = truck.wheelbase_m.best / (truck.front_axle_kg.best + truck.rear_axle_kg.best)
    agrees = abs(shift) <= off
    forward = -shift * per_kg_m
    return TrialFit(
        readings=readings,
        rear_shift_kg=shift,
        off_kg=off,
        forward_m=forward,
        off_m=off * per_kg_m,
        residuals_kg=residuals,
        agrees=agrees,
        corrected=None if agrees else corrected(truck, shift, off),
        words=AGREES if agrees else DIFFERS,
        numbers={
            "count": float(len(readings)),
            "moved": abs(forward),
            "way": "forward" if forward > 0.0 else "back",
            "off": off * per_kg_m,
            "shift": abs(shift),
            "side": "lighter" if shift < 0.0 else "heavier",
            "off_kg": off,
        },
    )


AGREES = (
    "{count:count} trial lift(s): the rear axle is {shift:kg} {side} than predicted, within the {off_kg:kg} the "
    "readings are good to"
)
DIFFERS = (
    "{count:count} trial lift(s): the rear axle is {shift:kg} {side} than predicted; the truck's centre is {moved:mm} "
    "further {way} than assumed, give or take {off:mm}"
)


def corrected(truck: Truck, shift_kg: float, off_kg: float) -> Truck | None:
    """The truck with its mass kept and ``shift_kg`` moved from the front axle to the rear; None if it could not be.

    The rear axle's range becomes that of the trial; the front axle keeps its own range about its new value.
    """
    front, rear = truck.front_axle_kg, truck.rear_axle_kg
    if not (front.best - shift_kg > 0.0 and rear.best + shift_kg - off_kg > 0.0):
        return None
    low, high = low_high(front, "mass")
    return msgspec.structs.replace(
        truck,
        front_axle_kg=Estimate(
            best=front.best - shift_kg, known="worked_out", low=max(low - shift_kg, 0.0), high=high - shift_kg
        ),
        rear_axle_kg=Estimate(
            best=rear.best + shift_kg,
            known="weighed",
            low=rear.best + shift_kg - off_kg,
            high=rear.best + shift_kg + off_kg,
        ),
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
