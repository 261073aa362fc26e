"""The truck as it is understood: every entry with how it is known and how far off it may be, and what contradicts."""

from __future__ import annotations

import json
from typing import Any

from engine.base.errors import TailweightError
from engine.base.formatting import System, fill, show
from engine.schema.model import Estimate, Job, Known, Truck
from engine.schema.uncertainty_bands import Kind, low_high
from engine.shop import trial_lift, truck_measurement
from engine.shop.truck_measurement import Contradiction, DerivedValue

KNOWN_WORDS: dict[Known, str] = {
    "weighed": "weighed",
    "weighbridge": "weighbridge, by difference",
    "plate": "from the plate",
    "papers": "from papers",
    "measured": "measured",
    "worked_out": "worked out",
    "similar": "from a similar one",
    "typical": "typical of its class",
    "guess": "a guess",
}

NO_PLATE = (
    "There is no plate: planning only, no allowed load. The truck's dealer can give rated load, load centre and lift height "
    "from model and serial number."
)


def entries(truck: Truck) -> list[tuple[str, Estimate[float], Kind, str]]:
    """Name, number, kind of band and unit shown of everything uncertain in the truck."""
    return [
        ("front axle weight", truck.front_axle_kg, "mass", "kg"),
        ("rear axle weight", truck.rear_axle_kg, "mass", "kg"),
        ("height of the centre", truck.cg_height_m, "centre", "mm"),
        ("wheelbase", truck.wheelbase_m, "length", "mm"),
        ("front overhang", truck.front_overhang_m, "length", "mm"),
        ("front track", truck.front_track_m, "length", "mm"),
        ("height of the rear axle pivot", truck.pivot_height_m, "length", "mm"),
        ("steer axle", truck.steer_axle_kg, "mass", "kg"),
        *((f"aboard: {body.name}", body.mass_kg, "mass", "kg") for body in truck.aboard),
    ]


def bounds(truck: Truck) -> list[DerivedValue]:
    """What plate and stability tests say of the truck, for understanding only."""
    found = [truck_measurement.cg_height_cap(truck)]
    if truck.plate is not None:
        row = max(truck.plate.rows, key=lambda each: each.rated_kg)
        found.append(truck_measurement.stacking_bound(truck, row))
    return found


class _Trials:
    """The trial lifts of a job as far as they can be fitted: the fit, or the reason there is none."""

    def __init__(self, job: Job) -> None:
        self.fit: trial_lift.Fit | None = None
        self.reason: str | None = None
        if job.trial_lifts:
            try:
                self.fit = trial_lift.fit(job)
            except TailweightError as error:
                self.reason = str(error)


def all_contradictions(job: Job, fit: trial_lift.Fit | None) -> tuple[Contradiction, ...]:
    """Everything in the truck's data that does not agree, trial lifts included."""
    return truck_measurement.contradictions(job.truck) + (
        trial_lift.contradictions(job, fit) if fit is not None else ()
    )


# ---------------------------------------------------------------- JSON


def as_json(job: Job) -> str:
    """The truck as one JSON object in SI units."""
    return json.dumps(as_dict(job), indent=2, allow_nan=False)


def as_dict(job: Job) -> dict[str, Any]:
    """The truck as plain values, ready for JSON."""
    truck, trials = job.truck, _Trials(job)
    mass_kg = truck.front_axle_kg.best + truck.rear_axle_kg.best
    return {
        "name": truck.name,
        "serial": truck.serial,
        "typical": truck.typical,
        "mass_kg": mass_kg,
        "cg_x_m": -truck.wheelbase_m.best * truck.rear_axle_kg.best / mass_kg,
        "rear_share": truck.rear_axle_kg.best / mass_kg,
        "entries": [_entry_dict(name, estimate, kind, unit) for name, estimate, kind, unit in entries(truck)],
        "aboard": [{"name": body.name, "counted": body.counted} for body in truck.aboard],
        "plate": [
            {"rated_kg": row.rated_kg, "load_centre_m": row.load_centre_m, "lift_m": row.lift_m}
            for row in truck.plate.rows
        ]
        if truck.plate
        else None,
        "fork_strength_left": truck_measurement.fork_strength_left(truck.forks.thickness_m, truck.forks.worn_m),
        "bounds": [_said(found.words, found.numbers) for found in bounds(truck)],
        "contradictions": [
            {"where": each.where, "words": _said(each.words, each.numbers)}
            for each in all_contradictions(job, trials.fit)
        ],
        "trial": _trial_dict(trials),
    }


def _entry_dict(name: str, estimate: Estimate[float], kind: Kind, unit: str) -> dict[str, Any]:
    low, high = low_high(estimate, kind)
    return {
        "entry": name,
        "best": estimate.best,
        "low": low,
        "high": high,
        "unit": "kg" if unit == "kg" else "m",
        "known": estimate.known,
        "own_band": estimate.low is not None or estimate.high is not None,
    }


def _trial_dict(trials: _Trials) -> dict[str, Any] | None:
    fit = trials.fit
    if fit is None:
        return {"reason": trials.reason} if trials.reason else None
    return {
        "words": _said(fit.words, fit.numbers),
        "centre_forward_m": fit.forward_m,
        "off_m": fit.off_m,
        "readings": [
            {
                "load_kg": r.lift.load_kg,
                "predicted_kg": r.predicted_kg,
                "measured_kg": r.lift.rear_kg,
                "residual_kg": left,
            }
            for r, left in zip(fit.readings, fit.residuals_kg, strict=True)
        ],
        "corrected": {
            "front_axle_kg": fit.corrected.front_axle_kg.best,
            "rear_axle_kg": fit.corrected.rear_axle_kg.best,
        }
        if fit.corrected
        else None,
    }


def _said(words: str, numbers: dict[str, float | str]) -> str:
    return fill(words, numbers, "metric")


# ---------------------------------------------------------------- text


def as_text(job: Job, system: System) -> str:
    """The truck in words, in metric or US units."""
    truck, trials = job.truck, _Trials(job)
    mass_kg = truck.front_axle_kg.best + truck.rear_axle_kg.best
    centre_m = truck.wheelbase_m.best * truck.rear_axle_kg.best / mass_kg
    lines = [truck.name + (f", serial {truck.serial}" if truck.serial else "")]
    if truck.typical:
        lines.append("Typical of its class, not any one truck: good for learning, not for lifting.")
    lines += [
        "",
        f"Mass {show(mass_kg, 'kg', system)} as weighed bare; centre {show(centre_m, 'mm', system)} behind the front axle; "
        f"{show(truck.rear_axle_kg.best / mass_kg, 'share', system)} on the rear axle",
        "",
    ]
    lines += [_entry_text(name, estimate, kind, unit, system) for name, estimate, kind, unit in entries(truck)]
    lines += [f"  {body.name} is {'counted, and may be gone' if body.counted else 'left out'}" for body in truck.aboard]
    lines += ["", *_plate_text(truck, system)]
    lines += ["For understanding only:", *(f"  {fill(found.words, found.numbers, system)}" for found in bounds(truck))]
    lines += _trial_text(trials, system)
    found = all_contradictions(job, trials.fit)
    lines += ["", "What does not agree:" if found else "Nothing in these entries contradicts the others."]
    lines += [f"  {each.where}: {fill(each.words, each.numbers, system)}" for each in found]
    return "\n".join(lines)


def _entry_text(name: str, estimate: Estimate[float], kind: Kind, unit: str, system: System) -> str:
    low, high = low_high(estimate, kind)
    best, least, most = (show(value, unit, system) for value in (estimate.best, low, high))
    return f"  {name}: {best} ({least} to {most}), {KNOWN_WORDS[estimate.known]}"


def _plate_text(truck: Truck, system: System) -> list[str]:
    if truck.plate is None:
        return [NO_PLATE]
    return [
        f"Plate: {show(row.rated_kg, 'kg', system)} at {show(row.load_centre_m, 'mm', system)} from the fork face, up to "
        f"{show(row.lift_m, 'm', system)}"
        for row in truck.plate.rows
    ]


def _trial_text(trials: _Trials, system: System) -> list[str]:
    if trials.reason:
        return ["", f"Trial lifts: {trials.reason}"]
    fit = trials.fit
    if fit is None:
        return []
    lines = ["", f"Trial lifts: {fill(fit.words, fit.numbers, system)}."]
    for reading, left in zip(fit.readings, fit.residuals_kg, strict=True):
        lines.append(
            f"  {show(reading.lift.load_kg, 'kg', system)} hung: rear predicted {show(reading.predicted_kg, 'kg', system)}, "
            f"measured {show(reading.lift.rear_kg, 'kg', system)}, left over {show(left, 'kg', system)}"
        )
    if fit.corrected is not None:
        front, rear = fit.corrected.front_axle_kg.best, fit.corrected.rear_axle_kg.best
        lines.append(
            f"  On offer, not applied: front axle {show(front, 'kg', system)}, rear axle {show(rear, 'kg', system)}, mass kept."
        )
    return lines
