"""The fork arms: each one's share of the rig's moment against its stamped rating, and wear.

A stamped rating names a load at a load centre for one fork; their product is the moment the fork's heel was made for.
Each fork carries the share of its sleeve (``sleeves``): half the moment, and the couple from anything to one side.
A fork that has lost thickness at the heel keeps the square of the share that is left; from one tenth lost it is scrap.

These are limits of the truck, not of the rig: the forks came with it, and heavier tubes in the rig do not help them.

Without a stamp there is no fork check, and a caution says so; the plate's fork-face rule still stands.

Sources: rating at a load centre and the tenth for wear, ISO 2330 and ISO 5057 (read in secondary copies); strength of a
rectangular section for the square.
"""

from __future__ import annotations

from engine.base.geometry import GRAVITY_M_S2
from engine.rig.check import Check
from engine.schema.model import Forks, Job
from engine.strength.cuts import Cuts
from engine.strength.linear_in_load import CheckLabel, check_whatever_load, check_worst_resultant
from engine.strength.sleeves import sleeve_shares

WEAR_LIMIT = 0.10
SOURCE = "stamped fork rating at its load centre (ISO 2330, read in a secondary copy)"
WEAR_SOURCE = "forks worn by a tenth at the heel are replaced (ISO 5057, read in a secondary copy)"

WEAR_TOLERANCE = 1e-9

STANDARD_CENTRES_M = ((1_000.0, 0.4), (5_000.0, 0.5), (10_000.0, 0.6))
"""Load centre by the truck's rated load up to (kg), ISO 5053; 0.6 m above."""


def checks(job: Job, cuts: Cuts) -> list[Check]:
    """Wear, then moment and weight on the more loaded fork against its stamp."""
    forks, place = job.truck.forks, cuts.forks.place_m
    wear = _wear_check(forks, cuts)
    if forks.rating_each_kg is None:
        return [wear]
    centre = rating_centre_m(forks, forks.rating_each_kg)
    left = strength_left(forks)
    weight_N = forks.rating_each_kg * GRAVITY_M_S2 * left
    shares = sleeve_shares(job, cuts)
    numbers = {"rating": forks.rating_each_kg, "centre": centre, "left": left}
    words = (
        "{demand:Nm} on the more loaded fork; its stamp of {rating:kg} at {centre:length}, "
        "with {left:share} of its strength left, allows {allowed:Nm}"
    )
    heel = CheckLabel("forks", "moment at the heel", place, "Nm", words, SOURCE, of="truck")
    words = (
        "{demand:N} on the more loaded fork; its stamp of {rating:kg}, "
        "with {left:share} of its strength left, allows {allowed:N}"
    )
    weight = CheckLabel("forks", "weight", place, "N", words, SOURCE, of="truck")
    moments, weights = tuple((share.moment,) for share in shares), tuple((share.weight,) for share in shares)
    return [
        wear,
        check_worst_resultant(heel, moments, weight_N * centre, cuts.load_kg, **numbers),
        check_worst_resultant(weight, weights, weight_N, cuts.load_kg, **numbers),
    ]


def strength_left(forks: Forks) -> float:
    """Share of bending strength left: the square of the share of thickness left."""
    return max(1.0 - forks.worn_m / forks.thickness_m, 0.0) ** 2


def rating_centre_m(forks: Forks, rating_each_kg: float) -> float:
    """Load centre (m) of the stamp; the standard one for two such forks where it was not entered."""
    if forks.rating_centre_m is not None:
        return forks.rating_centre_m
    rated_kg = 2.0 * rating_each_kg
    return next((centre for up_to, centre in STANDARD_CENTRES_M if rated_kg < up_to), STANDARD_CENTRES_M[-1][1])


def _wear_check(forks: Forks, cuts: Cuts) -> Check:
    worn = forks.worn_m / forks.thickness_m
    over = worn >= WEAR_LIMIT - WEAR_TOLERANCE
    words = "the heel has lost {worn:share} of its thickness; forks are scrap from {limit:share} on"
    label = CheckLabel("forks", "wear at the heel", cuts.forks.place_m, "", words, WEAR_SOURCE, of="truck")
    return check_whatever_load(label, worn, WEAR_LIMIT, over, worn=worn, limit=WEAR_LIMIT)
