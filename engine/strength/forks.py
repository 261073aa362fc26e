"""The fork arms: each one's share of the rig's moment against its stamped rating, and wear.

A stamped rating names a load at a load centre for one fork; their product is the moment the fork's heel was made for.
Each fork carries what its sleeve hands it (``base_on_forks``), in the worst of all ways to share the roll.  A fork that
has lost thickness at the heel keeps the square of the share that is left; from one tenth lost it is scrap.  Where
nobody has measured, a tenth counts as lost and a caution says so.

A stamp is believed only as far as steel can bear it: a fork must stand three times its rating without bending for good,
so a rating that stresses the unworn heel past a third of what the hardest fork steels yield at belongs to another fork.

The stress in the heel stands beside the moment, against the stress that an unworn heel has at its rating, since nobody
knows the fork's steel.  A fork far over that at its rating has its section or its stamp entered wrong: a caution.

Without a stamp each fork is **assumed** to be good for half of what the truck's plate allows at the pose's lift, and a
caution says so.  Without a plate either there is no fork check; there is no allowed load without a plate anyway.

These are limits of the truck, not of the rig: the forks came with it, and heavier tubes in the rig do not help them.

Sources: rating at a load centre, the test at three times the rating and the tenth for wear, ISO 2330 and ISO 5057 (read
in secondary copies); yield of the hardest fork steels, from memory; half the plate for each fork, common practice, no
source; strength of a rectangular section for the square.
"""

from __future__ import annotations

import msgspec

from engine.base.geometry import GRAVITY_M_S2, Number, least, most, one, where
from engine.rig.check import Check
from engine.schema.model import Forks, Job, Plate
from engine.schema.plate_rows import HEIGHT_TOLERANCE_M, rows_at
from engine.strength.cuts import Cuts
from engine.strength.linear_in_load import (
    CheckLabel,
    check_greatest,
    check_whatever_load,
    magnitudes,
)
from engine.strength.sleeves import FREE, IN_PLAY, STIFF, Demands, base_bounds

WEAR_LIMIT = 0.10
SOURCE = "stamped fork rating at its load centre (ISO 2330, read in a secondary copy)"
ASSUMED_SOURCE = "half the plate's load at its load centre for each fork (common practice, no source)"
WEAR_SOURCE = "forks worn by a tenth at the heel are replaced (ISO 5057, read in a secondary copy)"

WEAR_TOLERANCE = 1e-9

MOST_RATED_PA = 300e6
"""Stress at its rating beyond which a fork's section or stamp is in doubt (common practice, no source)."""

HARDEST_YIELD_PA = 1_100e6
"""Quenched and tempered boron steel, the hardest that forks are made of (from memory)."""

MOST_BELIEVED_PA = HARDEST_YIELD_PA / 3.0
"""Stress in an unworn heel up to which a stamp counts."""

STANDARD_CENTRES_M = ((1_000.0, 0.4), (5_000.0, 0.5), (10_000.0, 0.6))
"""Load centre by the truck's rated load up to (kg), ISO 5053; 0.6 m above."""


def checks(job: Job, lift_m: Number, cuts: Cuts) -> list[Check]:
    """Wear if measured, then moment and weight on the more loaded fork against its stamp, or against half the plate."""
    forks, place = job.truck.forks, cuts.forks.place_m
    wear = [] if forks.worn_m is None else [_wear_check(forks, forks.worn_m, cuts)]
    left = strength_left(forks)
    if forks.rating_each_kg is not None:
        centre = rating_centre_m(forks, forks.rating_each_kg)
        weight_N: Number = forks.rating_each_kg * GRAVITY_M_S2 * left
        most_Nm = MOST_BELIEVED_PA * heel_modulus_m3(forks) * left
        moment_Nm: Number = least(weight_N * centre, most_Nm)
        numbers: dict[str, Number | str] = {"rating": forks.rating_each_kg, "centre": centre, "left": left}
        source, holds = SOURCE, "its stamp of {rating:kg_down} at {centre:length}"
        if most_Nm < weight_N * centre:
            numbers["most"] = MOST_BELIEVED_PA
            holds += ", believed only up to {most:Pa} in an unworn heel of this size,"
    elif job.truck.plate is not None:
        moment_kgm, load_kg = half_of_plate(job.truck.plate, lift_m)
        moment_Nm, weight_N = moment_kgm * GRAVITY_M_S2 * left, load_kg * GRAVITY_M_S2 * left
        numbers = {"left": left}
        source, holds = ASSUMED_SOURCE, "no stamp is entered, so half the plate is assumed for each fork, which"
    else:
        return wear
    holds += ", with {left:share} of its strength left, allows "
    base = base_bounds(job, cuts)
    moments: Demands = ((FREE, magnitudes(*(seat.fork_moment for seat in base.free))),)
    if base.near_tips:
        moments = (*moments, (IN_PLAY, base.near_fork_moments()))
    words = (
        "{demand:Nm} on the more loaded fork {case}, {stress:Pa} in its heel; "
        + holds
        + "{allowed:Nm} (at its rating an unworn heel has {rated:Pa})"
    )
    heel = CheckLabel("forks", "moment at the heel", place, "Nm", words, source, of="truck")
    words = "{demand:N} on the more loaded fork; " + holds + "{allowed:N}"
    weight = CheckLabel("forks", "weight", place, "N", words, source, of="truck")
    weights = ((STIFF, magnitudes(*(seat.weight for seat in base.stiff))),)
    at_heel = check_greatest(heel, moments, moment_Nm, cuts.load_kg, **numbers)
    stresses = {
        "stress": at_heel.demand / (heel_modulus_m3(forks) * left),
        "rated": moment_Nm / (heel_modulus_m3(forks) * left),
    }
    return [
        *wear,
        msgspec.structs.replace(at_heel, numbers={**at_heel.numbers, **stresses}),
        check_greatest(weight, weights, weight_N, cuts.load_kg, **numbers),
    ]


def heel_modulus_m3(forks: Forks) -> float:
    """Section modulus of an unworn fork at its heel."""
    return forks.width_m * forks.thickness_m**2 / 6.0


def rated_stress_Pa(forks: Forks, plate: Plate | None) -> float | None:
    """Stress in an unworn heel at the fork's rating: its stamp, or half of the most that the plate allows."""
    if forks.rating_each_kg is not None:
        moment_kgm = forks.rating_each_kg * rating_centre_m(forks, forks.rating_each_kg)
    elif plate is not None:
        moment_kgm = max(one(half_of_plate(plate, row.lift_m)[0]) for row in plate.rows)
    else:
        return None
    return moment_kgm * GRAVITY_M_S2 / heel_modulus_m3(forks)


def half_of_plate(plate: Plate, lift_m: Number) -> tuple[Number, Number]:
    """Moment (kg·m) and load (kg) assumed for one fork at each height: half of what the plate's rows there allow.

    Of several load centres at one height the least moment counts, and the greatest load.  0 above the highest row.
    """
    moment = load = lift_m * 0.0
    for height in sorted({row.lift_m for row in plate.rows}, reverse=True):
        rows, holds = rows_at(plate, height), lift_m <= height + HEIGHT_TOLERANCE_M
        moment = where(holds, min(row.rated_kg * row.load_centre_m for row in rows) / 2.0, moment)
        load = where(holds, max(row.rated_kg for row in rows) / 2.0, load)
    return moment, load


def strength_left(forks: Forks) -> float:
    """Share of bending strength left: the square of the share of thickness left."""
    return most(1.0 - forks.wear_m / forks.thickness_m, 0.0) ** 2


def rating_centre_m(forks: Forks, rating_each_kg: float) -> float:
    """Load centre (m) of the stamp; the standard one for two such forks where it was not entered."""
    if forks.rating_centre_m is not None:
        return forks.rating_centre_m
    rated_kg = 2.0 * rating_each_kg
    return next((centre for up_to, centre in STANDARD_CENTRES_M if rated_kg < up_to), STANDARD_CENTRES_M[-1][1])


def _wear_check(forks: Forks, worn_m: float, cuts: Cuts) -> Check:
    worn = worn_m / forks.thickness_m
    over = worn >= WEAR_LIMIT - WEAR_TOLERANCE
    words = "the heel has lost {worn:share} of its thickness; forks are scrap from {limit:share} on"
    label = CheckLabel("forks", "wear at the heel", cuts.forks.place_m, "", words, WEAR_SOURCE, of="truck")
    return check_whatever_load(label, worn, WEAR_LIMIT, over, worn=worn, limit=WEAR_LIMIT)
