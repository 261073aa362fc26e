"""The truck from what a shop can find out: tape and plate, axle weights, a raised axle, a known weight.

Every answer is a `DerivedValue`: the value, the least and the most it could be from the readings' own errors, and a
sentence that says how it was got.  Readings that cannot tell are refused (`ReadingError`) with the reason and what to
do instead; a number is never made up.

Frame and signs as everywhere: x forward from the front axle, so the truck's centre stands at ``-L Wr / W``.

Raised axle.  Let the hubs be D apart, the line through them slope by a0 on the level and by a1 with one axle on blocks
(up towards the raised axle positive).  Wheels roll freely, so each pushes plumb up under its hub, and the moment about
the raised axle's hub gives ``R D / W = s + c tan a`` with s along the hub line and c above it.  Two readings take s
out:

    c = D dR / (W (tan a1 - tan a0)).

Tyre radii come in through a0, a1 and D.  Statics; the method as used for road vehicles (height by raising one axle).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence

import msgspec
import numpy as np

from engine.base.errors import TailweightError
from engine.schema.model import Estimate, Forks, Known, Plate, PlateRow, Truck, Upright


class ReadingError(TailweightError):
    """Readings from which nothing can be told, with the reason."""


class DerivedValue(msgspec.Struct, kw_only=True, frozen=True):
    """One number with how sure it is and how it was got; ``words`` is a template of ``numbers``."""

    value: float
    low: float
    high: float
    known: Known
    words: str
    numbers: dict[str, float | str]

    def estimate(self) -> Estimate[float]:
        """The number as the model holds it."""
        return Estimate(best=self.value, known=self.known, low=self.low, high=self.high)


class Contradiction(msgspec.Struct, kw_only=True, frozen=True):
    """Two numbers that cannot both be right, or one no real truck has; ``words`` is a template with both in it."""

    where: str
    words: str
    numbers: dict[str, float | str]


def _spread(formula: Callable[..., float], readings: Sequence[float], errors: Sequence[float]) -> float:
    """Error of a formula from independent errors of its readings: root of the sum of squares of each alone."""
    best = formula(*readings)
    alone = []
    for index, error in enumerate(errors):
        moved = list(readings)
        moved[index] += error
        alone.append(formula(*moved) - best)
    return math.hypot(*alone)


# ---------------------------------------------------------------- tape and plate

PLATE_STEP_KG = 50.0
"""Plates are printed to about this step, so that each load may be half of it off (ours, no source)."""

TAPE_M = 0.005
"""How well a tape reads between two clear edges (ours, no source)."""


def overhang_from_plate(one: PlateRow, other: PlateRow) -> DerivedValue:
    """Front axle to fork face from two rows of the plate at the same height.

    Both rows allow the same moment about the front axle when balance limits both:
    ``x0 = (C2 LC2 - C1 LC1) / (C1 - C2)``.

    Raises
    ------
    ReadingError
        When the rows have the same load or load centre, or give no possible overhang: strength limits one of them.
    """
    if one.rated_kg == other.rated_kg or one.load_centre_m == other.load_centre_m:
        raise ReadingError("truck.plate", "two rows with different loads and load centres", "rows that are alike")

    def overhang(first_kg: float, second_kg: float) -> float:
        return (second_kg * other.load_centre_m - first_kg * one.load_centre_m) / (first_kg - second_kg)

    value = overhang(one.rated_kg, other.rated_kg)
    if value <= 0.0:
        raise ReadingError(
            "truck.plate",
            "rows limited by balance",
            f"rows that put the fork face {-value * 1000.0:.0f} mm behind the front axle",
            "One of them is limited by strength; use the tape.",
        )
    half = PLATE_STEP_KG / 2.0
    ends = [overhang(one.rated_kg + a, other.rated_kg + b) for a, b in itertools.product((-half, half), repeat=2)]
    return DerivedValue(
        value=value,
        low=max(min(ends), 0.0),
        high=max(ends),
        known="worked_out",
        words="front overhang {value:mm} from two plate rows, {one:kg} at {one_at:mm} and {other:kg} at {other_at:mm}; "
        "{low:mm} to {high:mm} if the plate is printed to {step:kg}",
        numbers={
            "value": value, "one": one.rated_kg, "one_at": one.load_centre_m, "other": other.rated_kg,
            "other_at": other.load_centre_m, "low": max(min(ends), 0.0), "high": max(ends), "step": PLATE_STEP_KG,
        },
    )  # fmt: skip


def plate_moment_kgm(row: PlateRow, overhang_m: float) -> float:
    """Moment (kg·m) about the front axle one row allows: a floor under the truck's restoring moment, not its size."""
    return row.rated_kg * (overhang_m + row.load_centre_m)


STACKING_SLOPE, STACKING_SLOPE_HEAVY = 0.04, 0.035
HEAVY_KG = 5000.0
"""Japan, Fork-lift Structure Standard, Art. 1: stacking test on 4 %, 3.5 % from 5 t."""

SIDE_SLOPE = 0.40
"""Steepest empty side test of a truck under 5 t (ISO 22915-2, from memory: 50 % from 5 t, and less for slow trucks).
The lesser one is used for all, so that no sound truck is called out."""


def stacking_slope(rated_kg: float) -> float:
    """Slope of the forward stacking test for a truck of this rating."""
    return STACKING_SLOPE if rated_kg < HEAVY_KG else STACKING_SLOPE_HEAVY


def stacking_bound(truck: Truck, row: PlateRow) -> DerivedValue:
    """Least restoring moment (kg·m) about the front axle of a truck that met the forward stacking test.

    Rated load at full height on a slope i: ``W d >= C (x0 + LC) + i (C (zmax + LC) + W h)`` with the load's centre LC
    over the blades.  For understanding only: never used to raise an allowance.
    """
    slope, mass_kg = stacking_slope(row.rated_kg), truck.front_axle_kg.best + truck.rear_axle_kg.best
    allowed = plate_moment_kgm(row, truck.front_overhang_m.best)
    extra = slope * (row.rated_kg * (row.lift_m + row.load_centre_m) + mass_kg * truck.cg_height_m.best)
    has = truck.wheelbase_m.best * truck.rear_axle_kg.best
    return DerivedValue(
        value=allowed + extra,
        low=allowed,
        high=allowed + extra,
        known="worked_out",
        words=(
            "an unaltered truck that passed the {slope:fall} stacking test holds at least {value:kgm}, of which the "
            "plate allows {allowed:kgm}; by its axle weights this one holds {has:kgm}. For understanding only."
        ),
        numbers={"slope": slope, "value": allowed + extra, "allowed": allowed, "has": has},
    )


def cg_height_cap(truck: Truck) -> DerivedValue:
    """Greatest height of the bare truck's centre that passes the empty side test.

    On a side slope i the centre stays inside the line from front tyre to rear axle pivot:
    ``h <= z_line + half width / i``, both at the centre's own place along the truck.
    """
    rear_share = truck.rear_axle_kg.best / (truck.front_axle_kg.best + truck.rear_axle_kg.best)
    line_m = truck.pivot_height_m.best * rear_share
    half_m = truck.front_track_m.best / 2.0 * (1.0 - rear_share)
    cap = line_m + half_m / SIDE_SLOPE
    return DerivedValue(
        value=cap,
        low=0.0,
        high=cap,
        known="worked_out",
        words="the empty side test on {slope:fall} caps the height of the centre at {cap:m}",
        numbers={"slope": SIDE_SLOPE, "cap": cap},
    )


# ---------------------------------------------------------------- scale

SCALE_KG = 10.0
"""Public truck scales read to 10 to 20 kg (common practice, no source)."""


class AxleWeights(msgspec.Struct, kw_only=True, frozen=True):
    """Bare truck axle by axle: mass, place of the centre, share on the rear axle."""

    mass_kg: DerivedValue
    cg_x_m: DerivedValue
    rear_share: float


def from_axle_weights(front_kg: float, rear_kg: float, wheelbase_m: float, scale_kg: float = SCALE_KG) -> AxleWeights:
    """Mass and centre of the bare truck from its two axle weights on the level.

    Parameters
    ----------
    front_kg, rear_kg : float
        Level floor, upright vertical, forks at the height entered as ``weighed_lift_m``, driver off.
    wheelbase_m : float
    scale_kg : float
        How far off each reading may be.

    Raises
    ------
    ReadingError
        When a reading is not over its own error.
    """
    for where, kg in (("front axle reading", front_kg), ("rear axle reading", rear_kg)):
        if not kg > scale_kg:
            raise ReadingError(where, f"more than the scale's own error of {scale_kg:g} kg", f"{kg:g} kg")

    def centre(front: float, rear: float, base: float) -> float:
        return -base * rear / (front + rear)

    mass, x_m = front_kg + rear_kg, centre(front_kg, rear_kg, wheelbase_m)
    mass_off = math.hypot(scale_kg, scale_kg)
    x_off = _spread(centre, (front_kg, rear_kg, wheelbase_m), (scale_kg, scale_kg, TAPE_M))
    return AxleWeights(
        mass_kg=DerivedValue(
            value=mass, low=mass - mass_off, high=mass + mass_off, known="weighed",
            words="truck {mass:kg}, front {front:kg} and rear {rear:kg}, within {off:kg}",
            numbers={"mass": mass, "front": front_kg, "rear": rear_kg, "off": mass_off},
        ),
        cg_x_m=DerivedValue(
            value=x_m, low=x_m - x_off, high=x_m + x_off, known="weighed",
            words="centre {back:mm} behind the front axle, within {off:mm}",
            numbers={"back": -x_m, "off": x_off},
        ),
        rear_share=rear_kg / mass,
    )  # fmt: skip


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
            raise ReadingError("raised", "front or rear", repr(self.raised))


class Tyres(msgspec.Struct, kw_only=True, frozen=True):
    """Wheelbase and loaded tyre radii (floor to hub centre)."""

    wheelbase_m: float
    front_radius_m: float
    rear_radius_m: float


TELLING = 0.25
"""A height known no better than to a quarter of itself is not worth entering; the typical one is as good."""

WANTED = 0.12
"""What the height's error should come down to when a higher raise is asked for."""


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
        Its band comes from both scale readings, the blocks, and both tyre radii, taken as independent.

    Raises
    ------
    ReadingError
        When the raise is too small to tell, cannot be, or the weight went the wrong way.
    """
    if not 0.0 < reading.block_m < 0.5 * tyres.wheelbase_m:
        raise ReadingError(
            "block_m",
            f"a raise over 0 and under half the wheelbase ({tyres.wheelbase_m / 2.0:g} m)",
            f"{reading.block_m:g} m",
        )
    change_kg = reading.raised_kg - reading.level_kg
    both_kg = math.hypot(reading.scale_kg, reading.scale_kg)
    if change_kg <= both_kg:
        raise ReadingError(
            "raised axle",
            f"the weighed axle to gain clearly more than the scale's {both_kg:.0f} kg on two readings",
            f"a change of {change_kg:.0f} kg",
            "Raise higher, let the wheels roll freely (brake off, neutral), and weigh the axle that stays down.",
        )

    def height(level_kg: float, raised_kg: float, block_m: float, front_m: float, rear_m: float) -> float:
        return _height_m(tyres.wheelbase_m, front_m, rear_m, mass_kg, reading.raised, block_m, level_kg, raised_kg)

    readings = (reading.level_kg, reading.raised_kg, reading.block_m, tyres.front_radius_m, tyres.rear_radius_m)
    value = height(*readings)
    off = _spread(
        height,
        readings,
        (reading.scale_kg, reading.scale_kg, reading.block_off_m, reading.radius_off_m, reading.radius_off_m),
    )
    over_hubs = max(value - (tyres.front_radius_m + tyres.rear_radius_m) / 2.0, 1e-9)
    if off > TELLING * over_hubs:
        needed_m = reading.block_m * off / (WANTED * over_hubs)
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
        )
    return DerivedValue(
        value=value,
        low=value - off,
        high=value + off,
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
    """Height of the centre over the level floor; see the module's head for the formula."""
    up_m, down_m = (front_m, rear_m) if raised == "front" else (rear_m, front_m)
    hubs_m = math.hypot(wheelbase_m, up_m - down_m)
    slope_0 = math.asin((up_m - down_m) / hubs_m)
    slope_1 = math.asin((up_m + block_m - down_m) / hubs_m)
    above_m = hubs_m * (raised_kg - level_kg) / (mass_kg * (math.tan(slope_1) - math.tan(slope_0)))
    along_m = level_kg * hubs_m / mass_kg - above_m * math.tan(slope_0)
    return up_m - along_m * math.sin(slope_0) + above_m * math.cos(slope_0)


# ---------------------------------------------------------------- known weight


class KnownWeight(msgspec.Struct, kw_only=True, frozen=True):
    """A known weight on the bare forks at a known distance ahead of the front axle, and the rear axle then."""

    weight_kg: float
    ahead_of_axle_m: float
    rear_kg: float

    @property
    def moment_kgm(self) -> float:
        """Moment about the front axle."""
        return self.weight_kg * self.ahead_of_axle_m


class Line(msgspec.Struct, kw_only=True, frozen=True):
    """Rear weight against moment, fitted: slope -1/L, intercept the empty rear weight; residuals reading by reading."""

    wheelbase_m: DerivedValue
    empty_rear_kg: DerivedValue
    residuals_kg: tuple[float, ...]


def from_known_weights(readings: Sequence[KnownWeight], scale_kg: float = SCALE_KG) -> Line:
    """Wheelbase and empty rear weight from known weights on the bare forks: ``R = R0 - M / L``.

    An empty fork is a reading too (weight 0).  Fitted by least squares; the band comes from the scale's error and the
    spread of the moments.

    Raises
    ------
    ReadingError
        With fewer than two different moments, or when the rear does not get lighter.
    """
    moments = np.array([reading.moment_kgm for reading in readings])
    rear = np.array([reading.rear_kg for reading in readings])
    if len(readings) < 2 or np.ptp(moments) <= 0.0:
        raise ReadingError(
            "known weights", "at least two readings with different moments", f"{len(readings)} of one moment"
        )
    middle = moments.mean()
    around = float(((moments - middle) ** 2).sum())
    slope = float(((moments - middle) * rear).sum()) / around
    slope_off = scale_kg / math.sqrt(around)
    if slope + slope_off >= 0.0:
        raise ReadingError(
            "known weights",
            "the rear axle to get clearly lighter as the moment grows",
            (
                f"{-slope * np.ptp(moments):.0f} kg over the readings, of which the scale may be off "
                f"{slope_off * np.ptp(moments):.0f} kg"
            ),
            "Use a heavier weight, or set it further out, within the plate.",
        )
    empty = float(rear.mean() - slope * middle)
    empty_off = scale_kg * math.sqrt(1.0 / len(readings) + middle**2 / around)
    base = -1.0 / slope
    return Line(
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


# ---------------------------------------------------------------- forks

WORN_OUT = 0.10
"""Forks are replaced at 10 % of thickness lost at the heel (as read in trade and safety texts; ISO 5057)."""


def fork_strength_left(thickness_m: float, worn_m: float) -> float:
    """Share of a fork's bending strength left after losing ``worn_m`` at the heel: it goes with thickness squared."""
    return (1.0 - worn_m / thickness_m) ** 2


# ---------------------------------------------------------------- classes


class TruckClass(msgspec.Struct, kw_only=True, frozen=True):
    """Usual ranges of a class of truck, and values in their middle; common practice, no source."""

    rated_kg: float
    load_centre_m: float
    mass_kg: tuple[float, float]
    wheelbase_m: tuple[float, float]
    overhang_m: tuple[float, float]
    rear_share: tuple[float, float]
    cg_height_m: tuple[float, float]
    front_radius_m: tuple[float, float]
    rear_radius_m: tuple[float, float]
    front_track_m: tuple[float, float]
    pivot_height_m: tuple[float, float]
    steer_axle_kg: float
    carriage_kg: float
    upright_kg: tuple[float, float]
    lowered_m: float
    fork: tuple[float, float, float, float]


TRUCK_CLASSES: dict[str, TruckClass] = {
    "1.5 t": TruckClass(
        rated_kg=1500.0, load_centre_m=0.5, mass_kg=(2550.0, 3100.0), wheelbase_m=(1.25, 1.45), overhang_m=(0.36, 0.42),
        rear_share=(0.52, 0.58), cg_height_m=(0.52, 0.65), front_radius_m=(0.23, 0.29), rear_radius_m=(0.20, 0.24),
        front_track_m=(0.86, 0.95), pivot_height_m=(0.22, 0.30), steer_axle_kg=110.0, carriage_kg=60.0,
        upright_kg=(170.0, 120.0), lowered_m=1.95, fork=(60.0, 1.07, 0.10, 0.035),
    ),
    "2.5 t": TruckClass(
        rated_kg=2500.0, load_centre_m=0.5, mass_kg=(3600.0, 4500.0), wheelbase_m=(1.55, 1.70), overhang_m=(0.44, 0.50),
        rear_share=(0.55, 0.62), cg_height_m=(0.58, 0.75), front_radius_m=(0.32, 0.35), rear_radius_m=(0.26, 0.27),
        front_track_m=(0.94, 1.02), pivot_height_m=(0.25, 0.35), steer_axle_kg=180.0, carriage_kg=95.0,
        upright_kg=(260.0, 190.0), lowered_m=2.0, fork=(90.0, 1.07, 0.122, 0.04),
    ),
    "3.5 t": TruckClass(
        rated_kg=3500.0, load_centre_m=0.5, mass_kg=(4600.0, 5300.0), wheelbase_m=(1.70, 1.85), overhang_m=(0.47, 0.54),
        rear_share=(0.57, 0.63), cg_height_m=(0.65, 0.80), front_radius_m=(0.35, 0.37), rear_radius_m=(0.29, 0.31),
        front_track_m=(1.00, 1.08), pivot_height_m=(0.28, 0.38), steer_axle_kg=230.0, carriage_kg=130.0,
        upright_kg=(330.0, 240.0), lowered_m=2.1, fork=(125.0, 1.07, 0.125, 0.05),
    ),
    "5.0 t": TruckClass(
        rated_kg=5000.0, load_centre_m=0.6, mass_kg=(6500.0, 8200.0), wheelbase_m=(2.00, 2.25), overhang_m=(0.55, 0.63),
        rear_share=(0.54, 0.62), cg_height_m=(0.75, 0.95), front_radius_m=(0.41, 0.42), rear_radius_m=(0.33, 0.35),
        front_track_m=(1.10, 1.22), pivot_height_m=(0.32, 0.45), steer_axle_kg=330.0, carriage_kg=190.0,
        upright_kg=(450.0, 330.0), lowered_m=2.3, fork=(185.0, 1.20, 0.15, 0.06),
    ),
}  # fmt: skip
"""Common practice, no source: start values to be replaced by tape, plate and scale."""

CLASS_ROOM = 0.10
"""A number is called out only when it is this share outside its usual range (ours, no source)."""

REAL_REAR_SHARE = (0.45, 0.70)
"""No counterbalanced truck stands bare with less or more of its weight on the rear axle (common practice, no source)."""


def class_of(rated_kg: float) -> str:
    """Name of the class nearest in rating."""
    return min(TRUCK_CLASSES, key=lambda name: abs(math.log(TRUCK_CLASSES[name].rated_kg / rated_kg)))


def typical_truck(name: str) -> Truck:
    """A truck of a class with usual values in everything, marked typical, and no plate: a plate must be read.

    Raises
    ------
    ReadingError
        For a class that is not in `TRUCK_CLASSES`.
    """
    if name not in TRUCK_CLASSES:
        raise ReadingError("class", f"one of {sorted(TRUCK_CLASSES)}", repr(name))
    usual = TRUCK_CLASSES[name]

    def middle(ends: tuple[float, float]) -> float:
        return round(sum(ends) / 2.0, 4)

    def about(ends: tuple[float, float]) -> Estimate[float]:
        return Estimate(best=middle(ends), known="typical")

    mass_kg, share = middle(usual.mass_kg), middle(usual.rear_share)
    fork_kg, fork_m, fork_width_m, fork_thick_m = usual.fork
    return Truck(
        name=f"Typical {name} truck",
        typical=True,
        front_axle_kg=Estimate(best=round(mass_kg * (1.0 - share), 1), known="typical"),
        rear_axle_kg=Estimate(best=round(mass_kg * share, 1), known="typical"),
        cg_height_m=about(usual.cg_height_m),
        wheelbase_m=about(usual.wheelbase_m),
        front_overhang_m=about(usual.overhang_m),
        front_track_m=about(usual.front_track_m),
        rear_track_m=round(middle(usual.front_track_m) - 0.04, 4),
        pivot_height_m=about(usual.pivot_height_m),
        front_tyre_radius_m=middle(usual.front_radius_m),
        rear_tyre_radius_m=middle(usual.rear_radius_m),
        steer_axle_kg=Estimate(best=usual.steer_axle_kg, known="typical"),
        carriage_kg=usual.carriage_kg,
        upright=Upright(
            outer_kg=usual.upright_kg[0],
            inner_kg=usual.upright_kg[1],
            lowered_height_m=usual.lowered_m,
            tilt_pivot_x_m=0.0,
            tilt_pivot_z_m=0.4,
            tilt_back_max_rad=math.radians(8.0),
            tilt_forward_max_rad=math.radians(5.0),
            lift_min_m=0.06,
            lift_max_m=3.3,
        ),
        forks=Forks(mass_kg=fork_kg, length_m=fork_m, width_m=fork_width_m, thickness_m=fork_thick_m, spread_m=0.6),
    )


# ---------------------------------------------------------------- contradictions

OVERHANG_ROOM_M = 0.04
"""Plate and tape may differ by this much before it is worth a word (ours, no source)."""


def contradictions(truck: Truck) -> tuple[Contradiction, ...]:
    """Everything in the truck's data that does not agree with itself or with any real truck, each with both numbers."""
    found = [
        _rear_share(truck),
        _mass_in_class(truck),
        _overhang(truck),
        _holds_plate(truck),
        _height(truck),
        _worn(truck),
    ]
    return tuple(each for each in found if each is not None)


def _rear_share(truck: Truck) -> Contradiction | None:
    share = truck.rear_axle_kg.best / (truck.front_axle_kg.best + truck.rear_axle_kg.best)
    least, most = REAL_REAR_SHARE
    if least <= share <= most:
        return None
    return Contradiction(
        where="truck.rear_axle_kg",
        words=(
            "{share:share} of the bare truck would stand on the rear axle; real trucks have {least:share} to "
            "{most:share}. Are front and rear swapped, or was something on the forks?"
        ),
        numbers={"share": share, "least": least, "most": most},
    )


def _rated(truck: Truck) -> PlateRow | None:
    """The plate's own row: the greatest load."""
    return max(truck.plate.rows, key=lambda row: row.rated_kg) if truck.plate else None


def _mass_in_class(truck: Truck) -> Contradiction | None:
    row = _rated(truck)
    if row is None:
        return None
    name = class_of(row.rated_kg)
    least, most = TRUCK_CLASSES[name].mass_kg
    mass_kg = truck.front_axle_kg.best + truck.rear_axle_kg.best
    if least * (1.0 - CLASS_ROOM) <= mass_kg <= most * (1.0 + CLASS_ROOM):
        return None
    return Contradiction(
        where="truck.front_axle_kg",
        words=(
            "the truck weighs {mass:kg}; trucks rated {rated:kg} usually weigh {least:kg} to {most:kg}. Check the "
            "scale and the plate."
        ),
        numbers={"mass": mass_kg, "rated": row.rated_kg, "least": least, "most": most},
    )


def _overhang(truck: Truck) -> Contradiction | None:
    """Plate against tape, from the two rows furthest apart in load centre at one height."""
    pair = _balance_rows(truck.plate) if truck.plate else None
    if pair is None:
        return None
    tape_m = truck.front_overhang_m.best
    try:
        plate = overhang_from_plate(*pair)
    except ReadingError:
        return Contradiction(
            where="truck.plate",
            words=(
                "two plate rows, {one:kg} at {one_at:mm} and {other:kg} at {other_at:mm}, give no front overhang at "
                "all; the tape says {tape:mm}. One row is limited by strength, or misread."
            ),
            numbers={**_pair_numbers(*pair), "tape": tape_m},
        )
    if plate.low - OVERHANG_ROOM_M <= tape_m <= plate.high + OVERHANG_ROOM_M:
        return None
    return Contradiction(
        where="truck.front_overhang_m",
        words=(
            "the plate's rows give a front overhang of {plate:mm}, the tape says {tape:mm}. One row may be limited by "
            "strength, or the tape went to the wrong edge."
        ),
        numbers={"plate": plate.value, "tape": tape_m},
    )


def _pair_numbers(one: PlateRow, other: PlateRow) -> dict[str, float | str]:
    return {"one": one.rated_kg, "one_at": one.load_centre_m, "other": other.rated_kg, "other_at": other.load_centre_m}


def _balance_rows(plate: Plate) -> tuple[PlateRow, PlateRow] | None:
    """Two rows at one height with different loads and load centres, the furthest apart; None if there are none."""
    pairs = [
        (one, other)
        for one, other in itertools.combinations(sorted(plate.rows, key=lambda row: row.load_centre_m), 2)
        if one.lift_m == other.lift_m and one.rated_kg != other.rated_kg and one.load_centre_m != other.load_centre_m
    ]
    return max(pairs, key=lambda pair: pair[1].load_centre_m - pair[0].load_centre_m, default=None)


def _holds_plate(truck: Truck) -> Contradiction | None:
    """A truck cannot be rated for more moment than it holds."""
    row = _rated(truck)
    if row is None:
        return None
    holds = truck.wheelbase_m.best * truck.rear_axle_kg.best
    allows = plate_moment_kgm(row, truck.front_overhang_m.best)
    if holds > allows:
        return None
    return Contradiction(
        where="truck.rear_axle_kg",
        words=(
            "the plate allows {allows:kgm} about the front axle, but by its axle weights the truck holds only "
            "{holds:kgm}. Plate, scale or wheelbase is wrong."
        ),
        numbers={"allows": allows, "holds": holds},
    )


def _height(truck: Truck) -> Contradiction | None:
    cap = cg_height_cap(truck)
    if truck.cg_height_m.best <= cap.value * (1.0 + CLASS_ROOM):
        return None
    return Contradiction(
        where="truck.cg_height_m",
        words=(
            "the truck's centre is entered at {height:m}; a truck that passes the empty side test has it no higher "
            "than {cap:m}."
        ),
        numbers={"height": truck.cg_height_m.best, "cap": cap.value},
    )


def _worn(truck: Truck) -> Contradiction | None:
    lost = truck.forks.worn_m / truck.forks.thickness_m
    if lost < WORN_OUT:
        return None
    return Contradiction(
        where="truck.forks.worn_m",
        words=(
            "the forks have lost {lost:share} of their thickness at the heel; they are replaced at {limit:share}, "
            "where {left:share} of their strength is left. Stop using them."
        ),
        numbers={"lost": lost, "limit": WORN_OUT, "left": fork_strength_left(1.0, WORN_OUT)},
    )
