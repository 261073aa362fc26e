"""The truck as it is understood: every entry with how it is known and how far off it may be, and what contradicts."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import NamedTuple

import msgspec

from engine.base.errors import TailweightError
from engine.base.formatting import System, fill, show
from engine.schema.model import Job, Truck
from engine.schema.quantities import Estimate, Known
from engine.schema.uncertainty_bands import QuantityKind, low_high
from engine.shop import trial_lift, truck_checks
from engine.shop.truck_checks import Contradiction
from engine.shop.truck_measurement import DerivedValue

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
    "There is no plate: planning only, no allowed load. The truck's dealer can give rated load, load centre and lift "
    "height from model and serial number."
)


class TruckEntry(NamedTuple):
    """One uncertain number of the truck: its name, its kind of band and the unit it is shown in."""

    name: str
    estimate: Estimate[float]
    kind: QuantityKind
    unit: str


class TruckSummary(msgspec.Struct, kw_only=True, frozen=True):
    """What follows from the truck's entries taken together.

    ``fit`` is that of the trial lifts, ``no_fit`` the reason why there is none although lifts were entered.
    """

    mass_kg: float
    rear_share: float
    centre_behind_m: float
    bounds: tuple[DerivedValue, ...]
    fit: trial_lift.TrialFit | None
    no_fit: str | None
    contradictions: tuple[Contradiction, ...]


def entries(truck: Truck) -> list[TruckEntry]:
    """Everything uncertain in the truck."""
    return [
        TruckEntry("front axle weight", truck.front_axle_kg, "mass", "kg"),
        TruckEntry("rear axle weight", truck.rear_axle_kg, "mass", "kg"),
        TruckEntry("height of the centre", truck.cg_height_m, "centre", "mm"),
        TruckEntry("wheelbase", truck.wheelbase_m, "length", "mm"),
        TruckEntry("front overhang", truck.front_overhang_m, "length", "mm"),
        TruckEntry("front track", truck.front_track_m, "length", "mm"),
        TruckEntry("height of the rear axle pivot", truck.pivot_height_m, "length", "mm"),
        TruckEntry("steer axle", truck.steer_axle_kg, "mass", "kg"),
        *(TruckEntry(f"aboard: {body.name}", body.mass_kg, "mass", "kg") for body in truck.aboard),
    ]


def summary_of(job: Job) -> TruckSummary:
    """The truck's mass and centre, what plate and stability tests say of it, its trial lifts, and what contradicts."""
    truck = job.truck
    mass_kg = truck.front_axle_kg.best + truck.rear_axle_kg.best
    fit, no_fit = _fit(job)
    return TruckSummary(
        mass_kg=mass_kg,
        rear_share=truck.rear_axle_kg.best / mass_kg,
        centre_behind_m=truck.wheelbase_m.best * truck.rear_axle_kg.best / mass_kg,
        bounds=_bounds(truck),
        fit=fit,
        no_fit=no_fit,
        contradictions=(
            *truck_checks.contradictions(truck),
            *(trial_lift.contradictions(job, fit) if fit else ()),
        ),
    )


def _fit(job: Job) -> tuple[trial_lift.TrialFit | None, str | None]:
    """The fit of the trial lifts, or the reason there is none; neither without a trial lift."""
    if not job.trial_lifts:
        return None, None
    try:
        return trial_lift.fit(job), None
    except TailweightError as error:
        return None, str(error)


def _bounds(truck: Truck) -> tuple[DerivedValue, ...]:
    cap = truck_checks.cg_height_cap(truck)
    if truck.plate is None:
        return (cap,)
    heaviest = max(truck.plate.rows, key=lambda row: row.rated_kg)
    return cap, truck_checks.stacking_bound(truck, heaviest)


# ---------------------------------------------------------------- JSON


def as_json(job: Job, summary: TruckSummary) -> str:
    """The truck as one JSON object in SI units."""
    return json.dumps(as_dict(job, summary), indent=2, allow_nan=False)


def as_dict(job: Job, summary: TruckSummary) -> dict[str, object]:
    """The truck as plain values, ready for JSON."""
    truck = job.truck
    return {
        "name": truck.name,
        "serial": truck.serial,
        "typical": truck.typical,
        "mass_kg": summary.mass_kg,
        "cg_x_m": -summary.centre_behind_m,
        "rear_share": summary.rear_share,
        "entries": [_entry_dict(entry) for entry in entries(truck)],
        "aboard": [{"name": body.name, "counted": body.counted} for body in truck.aboard],
        "plate": [
            {"rated_kg": row.rated_kg, "load_centre_m": row.load_centre_m, "lift_m": row.lift_m}
            for row in truck.plate.rows
        ]
        if truck.plate
        else None,
        "fork_strength_left": truck_checks.fork_strength_left(truck.forks.thickness_m, truck.forks.wear_m),
        "bounds": [_metric(bound.words, bound.numbers) for bound in summary.bounds],
        "contradictions": [
            {"where": contradiction.where, "words": _metric(contradiction.words, contradiction.numbers)}
            for contradiction in summary.contradictions
        ],
        "trial": _trial_dict(summary),
    }


def _entry_dict(entry: TruckEntry) -> dict[str, object]:
    low, high = low_high(entry.estimate, entry.kind)
    return {
        "entry": entry.name,
        "best": entry.estimate.best,
        "low": low,
        "high": high,
        "unit": "kg" if entry.unit == "kg" else "m",
        "known": entry.estimate.known,
        "own_band": entry.estimate.low is not None or entry.estimate.high is not None,
    }


def _trial_dict(summary: TruckSummary) -> dict[str, object] | None:
    fit = summary.fit
    if fit is None:
        return {"reason": summary.no_fit} if summary.no_fit else None
    return {
        "words": _metric(fit.words, fit.numbers),
        "centre_forward_m": fit.forward_m,
        "off_m": fit.off_m,
        "readings": [
            {
                "load_kg": reading.lift.load_kg,
                "predicted_kg": reading.predicted_kg,
                "measured_kg": reading.lift.rear_kg,
                "residual_kg": residual_kg,
            }
            for reading, residual_kg in zip(fit.readings, fit.residuals_kg, strict=True)
        ],
        "corrected": {
            "front_axle_kg": fit.corrected.front_axle_kg.best,
            "rear_axle_kg": fit.corrected.rear_axle_kg.best,
        }
        if fit.corrected
        else None,
    }


def _metric(words: str, numbers: Mapping[str, float | str]) -> str:
    return fill(words, numbers, "metric")


# ---------------------------------------------------------------- text


def as_text(job: Job, summary: TruckSummary, system: System) -> str:
    """The truck in words, in metric or US units."""
    truck = job.truck
    lines = [truck.name + (f", serial {truck.serial}" if truck.serial else "")]
    if truck.typical:
        lines.append("Typical of its class, not any one truck: good for learning, not for lifting.")
    lines += [
        "",
        f"Mass {show(summary.mass_kg, 'kg', system)} as weighed bare; "
        f"centre {show(summary.centre_behind_m, 'mm', system)} behind the front axle; "
        f"{show(summary.rear_share, 'share', system)} on the rear axle",
        "",
    ]
    lines += [_entry_line(entry, system) for entry in entries(truck)]
    lines += [f"  {body.name} is {'counted, and may be gone' if body.counted else 'left out'}" for body in truck.aboard]
    lines += ["", *_plate_lines(truck, system)]
    bounds = (fill(bound.words, bound.numbers, system) for bound in summary.bounds)
    lines += ["For understanding only:", *(f"  {sentence}" for sentence in bounds)]
    lines += _trial_lines(summary, system)
    agrees = not summary.contradictions
    lines += ["", "Nothing in these entries contradicts the others." if agrees else "What does not agree:"]
    lines += [
        f"  {contradiction.where}: {fill(contradiction.words, contradiction.numbers, system)}"
        for contradiction in summary.contradictions
    ]
    return "\n".join(lines)


def _entry_line(entry: TruckEntry, system: System) -> str:
    low, high = low_high(entry.estimate, entry.kind)
    best, least, most = (show(value, entry.unit, system) for value in (entry.estimate.best, low, high))
    return f"  {entry.name}: {best} ({least} to {most}), {KNOWN_WORDS[entry.estimate.known]}"


def _plate_lines(truck: Truck, system: System) -> list[str]:
    if truck.plate is None:
        return [NO_PLATE]
    return [
        f"Plate: {show(row.rated_kg, 'kg', system)} at {show(row.load_centre_m, 'mm', system)} from the fork face, "
        f"up to {show(row.lift_m, 'm', system)}"
        for row in truck.plate.rows
    ]


def _trial_lines(summary: TruckSummary, system: System) -> list[str]:
    if summary.no_fit:
        return ["", f"Trial lifts: {summary.no_fit}"]
    fit = summary.fit
    if fit is None:
        return []

    def kilograms(value: float) -> str:
        return show(value, "kg", system)

    lines = ["", f"Trial lifts: {fill(fit.words, fit.numbers, system)}."]
    lines += [
        f"  {kilograms(reading.lift.load_kg)} hung: rear predicted {kilograms(reading.predicted_kg)}, "
        f"measured {kilograms(reading.lift.rear_kg)}, left over {kilograms(residual_kg)}"
        for reading, residual_kg in zip(fit.readings, fit.residuals_kg, strict=True)
    ]
    if fit.corrected is not None:
        front, rear = (kilograms(axle.best) for axle in (fit.corrected.front_axle_kg, fit.corrected.rear_axle_kg))
        lines.append(f"  On offer, not applied: front axle {front}, rear axle {rear}, mass kept.")
    return lines
