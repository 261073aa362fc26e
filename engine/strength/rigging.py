"""Bought gear on the hook end and the rigging below it, each against its own mark.

All of it carries the hook load as felt: rigging and load with dynamic factor and swing.  The whole rigging counts above
every piece.  A working load limit has its own design factor, so none is added.  Legs share the pull as
`engine.rig.sling_legs` says; a leg flatter than 30 degrees, or a load that hangs out of level by more than 5, is over
whatever it weighs.
"""

from __future__ import annotations

import functools
import math

from engine.base.geometry import GRAVITY_M_S2
from engine.rig import sling_legs
from engine.rig.check import Check
from engine.schema.connections import Gear, Rigging
from engine.schema.model import Job
from engine.strength import bought_gear
from engine.strength.cuts import Cuts
from engine.strength.linear_in_load import CheckLabel, Linear, check_resultant, check_unheld

MARK = "mark on the gear; its own design factor is in it"
TAG = "the sling's tag; its own design factor is in it"
ANGLE = "no leg flatter than 30 degrees: common practice, no source"
LEVEL = "no load out of level by more than 5 degrees: common practice, no source"

GEAR_WORDS = "hook load as felt {demand:N} on {name}; marked {rated:kg_down}, which allows {allowed:N}"
LEG_WORDS = (
    "leg {angle:angle} from level pulls {demand:N} of the hook load as felt; its tag allows {allowed:N} on one leg"
)
FLAT_WORDS = "{demand:kg} hang in a leg only {angle:angle} from level: flatter than 30 degrees, never"
TIPPED_WORDS = (
    "{demand:kg} hang {angle:angle} out of level: sling the load anew; legs of {first:length} and {second:length} hang "
    "it level from the same points"
)


def checks(job: Job, cuts: Cuts) -> list[Check]:
    """Gear on the hook end, from the rig outwards, then everything between it and the load."""
    rigging = job.load.rigging
    pull = _felt(cuts)
    made = [_of_gear(cuts, pull, item) for item in job.rig.hook.gear if item.wll_kg is not None]
    made += [_flat(cuts, item.name, angle) for item, angle in _flat_gear(job.rig.hook.gear)]
    return made if rigging is None else [*made, *_of_rigging(cuts, pull, rigging)]


def _felt(cuts: Cuts) -> tuple[Linear, ...]:
    """The hook load as felt: rigging, load, dynamic factor, swing."""
    forces = cuts.hook.forces
    return tuple(
        Linear(part.per_kg * cuts.rigging_kg, part.per_kg)
        for part in (forces.axial, forces.shear_up, forces.shear_side)
    )


LEGGED = ("sling", "chain")
"""Kinds of gear that may have more legs than one."""


def _of_gear(cuts: Cuts, pull: tuple[Linear, ...], item: Gear) -> Check:
    assert item.wll_kg is not None
    label = CheckLabel(item.name, "mark", cuts.hook.place_m, "N", GEAR_WORDS, MARK)
    legs = item.legs if item.kind in LEGGED else 1
    allowed_N = bought_gear.allowed_pull_N(item.wll_kg, legs, item.angle_rad)
    return check_resultant(label, pull, allowed_N, cuts.load_kg, name=item.name, rated=item.wll_kg)


@functools.lru_cache(maxsize=16)
def _flat_gear(gear: tuple[Gear, ...]) -> tuple[tuple[Gear, float], ...]:
    """Gear with legs too flat for any load, with their angle from level."""
    return tuple(
        (item, math.pi / 2.0 - item.angle_rad)
        for item in gear
        if bought_gear.leg_angle(item.legs, item.angle_rad) == "over"
    )


def _hung(cuts: Cuts) -> Linear:
    return Linear(cuts.rigging_kg, 1.0)


def _flat(cuts: Cuts, name: str, angle_rad: float) -> Check:
    label = CheckLabel(name, "angle of the legs", cuts.hook.place_m, "kg", FLAT_WORDS, ANGLE)
    return check_unheld(label, _hung(cuts), cuts.load_kg, angle=angle_rad)


def _of_rigging(cuts: Cuts, pull: tuple[Linear, ...], rigging: Rigging) -> list[Check]:
    """Whole pieces, then each leg; only what is entered."""
    place_m, load_kg = cuts.hook.place_m, cuts.load_kg
    whole = [(part.name, part.wll_kg) for part in rigging.parts]
    if rigging.hoist is not None:
        whole.append(("chain hoist", rigging.hoist.wll_kg))
    if rigging.spreader is not None:
        whole.append(("spreader", rigging.spreader.wll_kg))
    made = [
        check_resultant(
            CheckLabel(name, "mark", place_m, "N", GEAR_WORDS, MARK),
            pull,
            wll_kg * GRAVITY_M_S2,
            load_kg,
            name=name,
            rated=wll_kg,
        )
        for name, wll_kg in whole
        if wll_kg is not None
    ]
    hung, rated_kg = sling_legs.hang(rigging), sling_legs.leg_rating_kg(rigging)
    if hung is None:
        return made
    for number, leg in enumerate(hung.legs, start=1):
        name = f"sling leg {number}" if len(hung.legs) > 1 else "sling"
        if rated_kg is not None:
            label = CheckLabel(name, "tag", place_m, "N", LEG_WORDS, TAG)
            shared = tuple(part.times(leg.share) for part in pull)
            made.append(check_resultant(label, shared, rated_kg * GRAVITY_M_S2, load_kg, angle=leg.from_level_rad))
        if leg.from_level_rad < sling_legs.FLATTEST_RAD - sling_legs.ANGLE_TOLERANCE_RAD:
            made.append(_flat(cuts, name, leg.from_level_rad))
    if abs(hung.tipped_rad) > sling_legs.TIPPED_RAD + sling_legs.ANGLE_TOLERANCE_RAD:
        first_m, second_m = sling_legs.level_lengths_m(rigging)
        label = CheckLabel("rigging", "load out of level", place_m, "kg", TIPPED_WORDS, LEVEL)
        tipped = abs(hung.tipped_rad)
        made.append(check_unheld(label, _hung(cuts), load_kg, angle=tipped, first=first_m, second=second_m))
    return made
