"""The truck from readings a shop can take: tape and plate, axle weights, a raised axle, a known weight.

Every answer is a `DerivedValue`: the value, the least and the most it could be given the errors of the readings, and a
sentence that says how it was worked out.  Readings that cannot give an answer are refused (`ReadingError`) with the
reason and what to do instead; a number is never made up.

Frame and signs as everywhere: x forward from the front axle, so the truck's centre is at ``-L Wr / W``.

Raised axle.  Let the hubs be D apart, and the line through them slope by a0 on the level and by a1 with one axle on
blocks (up towards the raised axle positive).  The wheels roll freely, so each pushes plumb up under its hub, and the
moment about the raised axle's hub gives ``R D / W = s + c tan a`` with s along the hub line and c above it.  Two
readings eliminate s:

    c = D dR / (W (tan a1 - tan a0)).

Tyre radii enter through a0, a1 and D.  Statics; the method as used for road vehicles (height by raising one axle).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence

import msgspec
import numpy as np

from engine.base.errors import TailweightError
from engine.limits.truck_entries import PLATE_STEP_KG, plate_overhangs_m
from engine.schema.model import PlateRow
from engine.schema.quantities import Estimate, Known


class ReadingError(TailweightError):
    """Readings that give no answer, with the reason."""


class DerivedValue(msgspec.Struct, kw_only=True, frozen=True):
    """One number, its range, and how it was worked out; ``words`` is a template of ``numbers``."""

    value: float
    low: float
    high: float
    known: Known
    words: str
    numbers: dict[str, float | str]

    def estimate(self) -> Estimate[float]:
        """The number as the model holds it."""
        return Estimate(best=self.value, known=self.known, low=self.low, high=self.high)


def _ends(formula: Callable[..., float], readings: Sequence[float], errors: Sequence[float]) -> tuple[float, float]:
    """Least and greatest of a formula with every reading at either end of its error: bounds, not scatter."""
    values = [
        formula(*(reading + side * error for reading, side, error in zip(readings, sides, errors, strict=True)))
        for sides in itertools.product((-1.0, 1.0), repeat=len(errors))
    ]
    return min(values), max(values)


# ---------------------------------------------------------------- tape and plate

TAPE_M = 0.005
"""Error of a tape between two clear edges (ours, no source)."""


def overhang_from_plate(one: PlateRow, other: PlateRow) -> DerivedValue:
    """Front axle to fork face from two rows of the plate at the same height.

    Both rows allow the same moment about the front axle when balance limits both:
    ``x0 = (C2 LC2 - C1 LC1) / (C1 - C2)``.

    Raises
    ------
    ReadingError
        When the rows have nearly the same load or the same load centre, or give no possible overhang: strength limits
        one of them.
    """
    if abs(one.rated_kg - other.rated_kg) <= PLATE_STEP_KG or one.load_centre_m == other.load_centre_m:
        raise ReadingError(
            "truck.plate", "two rows with different loads and load centres", "rows that are alike", plain=ROWS_ALIKE
        )

    value, least, most = plate_overhangs_m(one, other)
    if value <= 0.0:
        raise ReadingError(
            "truck.plate",
            "rows limited by balance",
            f"rows that put the fork face {-value * 1000.0:.0f} mm behind the front axle",
            "One of them is limited by strength; use the tape.",
            plain="These rows would put the fork face {behind:mm} behind the front axle: strength limits one of them. "
            "Use the tape.",
            numbers={"behind": -value},
        )
    return DerivedValue(
        value=value,
        low=max(least, 0.0),
        high=most,
        known="worked_out",
        words="front overhang {value:mm} from two plate rows, {one:kg} at {one_at:mm} and {other:kg} at {other_at:mm}; "
        "{low:mm} to {high:mm} if the plate is printed to {step:kg}",
        numbers={
            "value": value, "one": one.rated_kg, "one_at": one.load_centre_m, "other": other.rated_kg,
            "other_at": other.load_centre_m, "low": max(least, 0.0), "high": most, "step": PLATE_STEP_KG,
        },
    )  # fmt: skip


# ---------------------------------------------------------------- scale

ROWS_ALIKE = "These two rows are alike. Take two rows with different loads and load centres."
RAISE_HIGHER = "Raise higher, let the wheels roll freely (brake off, neutral), and weigh the axle that stays down."
HEAVIER = "Use a heavier weight, or set it further out, within the plate."

SCALE_KG = 10.0
"""Public truck scales read to 10 to 20 kg (common practice, no source)."""


class AxleWeights(msgspec.Struct, kw_only=True, frozen=True):
    """Bare truck weighed axle by axle: both axles, mass, place of the centre, share on the rear axle."""

    front_kg: Estimate[float]
    rear_kg: Estimate[float]
    mass_kg: DerivedValue
    cg_x_m: DerivedValue
    rear_share: float


class Driver(msgspec.Struct, kw_only=True, frozen=True):
    """Somebody in the seat while the truck was weighed, and how far off weight and place may be (ours)."""

    kg: float = 90.0
    off_kg: float = 15.0
    x_m: float = -0.75
    off_m: float = 0.15


NOBODY = Driver(kg=0.0, off_kg=0.0, x_m=0.0, off_m=0.0)


def from_axle_weights(
    front_kg: float, rear_kg: float, wheelbase_m: float, scale_kg: float = SCALE_KG, driver: Driver = NOBODY
) -> AxleWeights:
    """Mass and centre of the bare truck from its two axle weights on the level.

    A driver of weight d, x ahead of the front axle, took ``d (1 + x/L)`` of the front reading and ``-d x/L`` of the
    rear one.

    Parameters
    ----------
    front_kg, rear_kg : float
        Level floor, upright vertical, forks at the height entered as ``weighed_lift_m``.
    wheelbase_m : float
    scale_kg : float
        Possible error of each reading.
    driver : Driver
        Who sat on the truck; by default nobody.

    Raises
    ------
    ReadingError
        When a reading is not more than its own error.
    """
    for where, kg in (("front axle reading", front_kg), ("rear axle reading", rear_kg)):
        if not kg > scale_kg:
            raise ReadingError(
                where,
                f"more than the scale's own error of {scale_kg:g} kg",
                f"{kg:g} kg",
                plain="The {reading}, {kg:mass}, is not more than the scale's own error of {scale:mass}. Weigh again.",
                numbers={"reading": where, "kg": kg, "scale": scale_kg},
            )

    def bare_front(front: float, _rear: float, base: float, kg: float, x: float) -> float:
        return front - kg * (1.0 + x / base)

    def bare_rear(_front: float, rear: float, base: float, kg: float, x: float) -> float:
        return rear + kg * x / base

    def centre(*readings: float) -> float:
        front, rear = bare_front(*readings), bare_rear(*readings)
        return -readings[2] * rear / (front + rear)

    readings = (front_kg, rear_kg, wheelbase_m, driver.kg, driver.x_m)
    errors = (scale_kg, scale_kg, TAPE_M, driver.off_kg, driver.off_m)
    front, rear = (
        Estimate(best=axle(*readings), known="weighed", low=low, high=high)
        for axle in (bare_front, bare_rear)
        for low, high in (_ends(axle, readings, errors),)
    )
    mass, x_m = front.best + rear.best, centre(*readings)
    mass_off = 2.0 * scale_kg + driver.off_kg
    x_low, x_high = _ends(centre, readings, errors)
    return AxleWeights(
        front_kg=front,
        rear_kg=rear,
        mass_kg=DerivedValue(
            value=mass, low=mass - mass_off, high=mass + mass_off, known="weighed",
            words="truck {mass:kg}, front {front:kg} and rear {rear:kg}, within {off:kg}",
            numbers={"mass": mass, "front": front.best, "rear": rear.best, "off": mass_off},
        ),
        cg_x_m=DerivedValue(
            value=x_m, low=x_low, high=x_high, known="weighed",
            words="centre {back:mm} behind the front axle, {least:mm} to {most:mm}",
            numbers={"back": -x_m, "least": -x_high, "most": -x_low},
        ),
        rear_share=rear.best / mass,
    )  # fmt: skip


WHEELBASE_OFF_M = 0.003
"""Error of a taped wheelbase between two hubs (ours, no source)."""


class RaisedAxle(msgspec.Struct, kw_only=True, frozen=True):
    """A raised-axle weighing: one axle on level-topped blocks, the other on the scale, level and raised."""

    raised: str
    block_m: float
    level_kg: float
    raised_kg: float
    scale_kg: float = SCALE_KG
    block_off_m: float = 0.002
    radius_off_m: float = 0.003

    def __post_init__(self) -> None:
        if self.raised not in ("front", "rear"):
            raise ReadingError(
                "raised", "front or rear", repr(self.raised), plain="Raise the front axle or the rear one."
            )


class Tyres(msgspec.Struct, kw_only=True, frozen=True):
    """Wheelbase and loaded tyre radii (floor to hub centre)."""

    wheelbase_m: float
    front_radius_m: float
    rear_radius_m: float


MOST_HEIGHT_ERROR = 0.25
"""A height over the hubs known no better than to this share is not worth entering; the typical one is as good."""

WANTED_HEIGHT_ERROR = 0.12
"""Error, as a share of the height, that a higher raise is asked for to reach."""


def cg_height_from_raise(tyres: Tyres, mass_kg: float, reading: RaisedAxle) -> DerivedValue:
    """Height of the bare truck's centre over the floor, truck level, from a raised-axle weighing.

    Parameters
    ----------
    tyres : Tyres
    mass_kg : float
        Whole mass on the level.
    reading : RaisedAxle

    Returns
    -------
    DerivedValue
        Its range is the bound of every error at once: both scale readings, what the mass came from, the blocks, both
        tyre radii and the wheelbase.

    Raises
    ------
    ReadingError
        When the raise is too small for a useful height, or impossible, or the weighed axle did not gain.
    """
    if not 0.0 < reading.block_m < 0.5 * tyres.wheelbase_m:
        raise ReadingError(
            "block_m",
            f"a raise over 0 and under half the wheelbase ({tyres.wheelbase_m / 2.0:g} m)",
            f"{reading.block_m:g} m",
            plain="An axle cannot be raised by {raised:length}: less than half the wheelbase, {most:mm_down}.",
            numbers={"raised": reading.block_m, "most": tyres.wheelbase_m / 2.0},
        )
    change_kg = reading.raised_kg - reading.level_kg
    both_kg = 2.0 * reading.scale_kg
    if change_kg <= both_kg:
        raise ReadingError(
            "raised axle",
            f"the weighed axle to gain clearly more than the scale's {both_kg:.0f} kg on two readings",
            f"a change of {change_kg:.0f} kg",
            RAISE_HIGHER,
            plain="The weighed axle gained {change:kg}; the scale may be off by {both:kg} on two readings. "
            f"{RAISE_HIGHER}",
            numbers={"change": change_kg, "both": both_kg},
        )

    def height(
        other_kg: float, level_kg: float, raised_kg: float, block_m: float, front_m: float, rear_m: float, base_m: float
    ) -> float:
        return _height_m(base_m, front_m, rear_m, other_kg + level_kg, reading.raised, block_m, level_kg, raised_kg)

    readings = (
        mass_kg - reading.level_kg,
        reading.level_kg,
        reading.raised_kg,
        reading.block_m,
        tyres.front_radius_m,
        tyres.rear_radius_m,
        tyres.wheelbase_m,
    )
    errors = (
        reading.scale_kg,
        reading.scale_kg,
        reading.scale_kg,
        reading.block_off_m,
        reading.radius_off_m,
        reading.radius_off_m,
        WHEELBASE_OFF_M,
    )
    value = height(*readings)
    low, high = _ends(height, readings, errors)
    off = max(value - low, high - value)
    over_hubs = max(value - (tyres.front_radius_m + tyres.rear_radius_m) / 2.0, 1e-9)
    if off > MOST_HEIGHT_ERROR * over_hubs:
        needed_m = reading.block_m * off / (WANTED_HEIGHT_ERROR * over_hubs)
        raise ReadingError(
            "raised axle",
            "a raise that tells",
            f"a raise of {reading.block_m * 1000.0:.0f} mm, which leaves the height {off * 1000.0:.0f} mm either way",
            (
                f"Raise about {math.ceil(needed_m * 20.0) * 50} mm, or use a scale that reads finer than "
                f"{reading.scale_kg:g} kg."
            )
            if needed_m < 0.5 * tyres.wheelbase_m
            else f"Use a scale that reads finer than {reading.scale_kg:g} kg.",
            plain="A raise of {raised:mm} leaves the height {off:mm_up} either way. "
            + ("Raise about {needed:mm_up}, or use" if needed_m < 0.5 * tyres.wheelbase_m else "Use")
            + " a scale that reads finer than {scale:kg}.",
            numbers={
                "raised": reading.block_m,
                "off": off,
                "needed": needed_m,
                "scale": reading.scale_kg,
            },
        )
    return DerivedValue(
        value=value,
        low=low,
        high=high,
        known="weighed",
        words=(
            "centre {value:m} over the floor, within {off:mm}: {axle} axle raised {block:mm}, the other gained "
            "{change:kg} of {mass:kg} (scale within {scale:kg} each time)"
        ),
        numbers={
            "value": value, "off": off, "axle": reading.raised, "block": reading.block_m, "change": change_kg,
            "mass": mass_kg, "scale": reading.scale_kg,
        },
    )  # fmt: skip


def _height_m(
    wheelbase_m: float,
    front_m: float,
    rear_m: float,
    mass_kg: float,
    raised: str,
    block_m: float,
    level_kg: float,
    raised_kg: float,
) -> float:
    """Height of the centre over the level floor, by the formula at the top of this module."""
    up_m, down_m = (front_m, rear_m) if raised == "front" else (rear_m, front_m)
    hubs_m = math.hypot(wheelbase_m, up_m - down_m)
    slope_0 = math.asin((up_m - down_m) / hubs_m)
    slope_1 = math.asin((up_m + block_m - down_m) / hubs_m)
    above_m = hubs_m * (raised_kg - level_kg) / (mass_kg * (math.tan(slope_1) - math.tan(slope_0)))
    along_m = level_kg * hubs_m / mass_kg - above_m * math.tan(slope_0)
    return up_m - along_m * math.sin(slope_0) + above_m * math.cos(slope_0)


# ---------------------------------------------------------------- known weight


CALIBRATION_SHARE = 0.5
"""Share of a scale's error that is the same in all its readings; each may be off by the whole error besides (ours)."""

WEIGHT_SHARE = 0.02
"""How far off known weights may be, all of them alike."""


class KnownWeight(msgspec.Struct, kw_only=True, frozen=True):
    """A known weight on the bare forks, its distance ahead of the front axle, and the rear axle's weight with it."""

    weight_kg: float
    ahead_of_axle_m: float
    rear_kg: float

    @property
    def moment_kgm(self) -> float:
        """Moment about the front axle."""
        return self.weight_kg * self.ahead_of_axle_m


class RearWeightLine(msgspec.Struct, kw_only=True, frozen=True):
    """Rear weight fitted against moment: slope -1/L, intercept the empty rear weight; one residual for each reading."""

    wheelbase_m: DerivedValue
    empty_rear_kg: DerivedValue
    residuals_kg: tuple[float, ...]


def from_known_weights(readings: Sequence[KnownWeight], scale_kg: float = SCALE_KG) -> RearWeightLine:
    """Wheelbase and empty rear weight from known weights on the bare forks: ``R = R0 - M / L``.

    Empty forks are a reading too (weight 0).  Fitted by least squares.  The range is a bound: every reading off by the
    scale's error against the answer, half of that error in all of them alike, and all weights off by the same share.

    Raises
    ------
    ReadingError
        With fewer than two different moments, or when the rear does not get lighter.
    """
    moments = np.array([reading.moment_kgm for reading in readings])
    rear = np.array([reading.rear_kg for reading in readings])
    if len(readings) < 2 or np.ptp(moments) <= 0.0:
        raise ReadingError(
            "known weights",
            "at least two readings with different moments",
            f"{len(readings)} of one moment",
            plain="At least two readings are needed, with the weight at two distances or two weights.",
        )
    middle = moments.mean()
    around = float(((moments - middle) ** 2).sum())
    slope = float(((moments - middle) * rear).sum()) / around
    on_slope = (moments - middle) / around
    slope_off = scale_kg * float(np.abs(on_slope).sum()) + WEIGHT_SHARE * abs(slope)
    if slope + slope_off >= 0.0:
        raise ReadingError(
            "known weights",
            "the rear axle to get clearly lighter as the moment grows",
            (
                f"{-slope * np.ptp(moments):.0f} kg over the readings, of which the scale may be off "
                f"{slope_off * np.ptp(moments):.0f} kg"
            ),
            HEAVIER,
            plain="The rear axle got {lighter:kg} lighter over the readings; the scale may be off by {off:kg_up}. "
            f"{HEAVIER}",
            numbers={"lighter": -slope * float(np.ptp(moments)), "off": slope_off * float(np.ptp(moments))},
        )
    empty = float(rear.mean() - slope * middle)
    on_empty = 1.0 / len(readings) - middle * on_slope
    empty_off = scale_kg * (float(np.abs(on_empty).sum()) + CALIBRATION_SHARE)
    base = -1.0 / slope
    return RearWeightLine(
        wheelbase_m=DerivedValue(
            value=base, low=-1.0 / (slope - slope_off), high=-1.0 / (slope + slope_off), known="weighed",
            words="wheelbase {value:m} from {count:count} readings with known weights",
            numbers={"value": base, "count": float(len(readings))},
        ),
        empty_rear_kg=DerivedValue(
            value=empty, low=empty - empty_off, high=empty + empty_off, known="weighed",
            words="empty rear weight {value:kg}, within {off:kg}, from {count:count} readings with known weights",
            numbers={"value": empty, "off": empty_off, "count": float(len(readings))},
        ),
        residuals_kg=tuple((rear - (empty + slope * moments)).tolist()),
    )  # fmt: skip
