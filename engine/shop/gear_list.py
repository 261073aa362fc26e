"""The bought gear, each piece with its mark: from the end of the rig down to the load, then what the rig itself has."""

from __future__ import annotations

import math

import msgspec

from engine.rig import sling_legs
from engine.schema.connections import HeelChain, Rigging, StayLink
from engine.schema.model import Job, Rig


class GearRow(msgspec.Struct, kw_only=True, frozen=True):
    """One piece: ``rated_kg`` is its mark or what its tag comes to for one leg, None where it is not entered.

    ``angle_rad`` is a leg's angle from level, None where the piece hangs plumb; ``pins_m`` a stay's least and greatest
    length from pin to pin.
    """

    name: str
    rated_kg: float | None
    angle_rad: float | None = None
    pins_m: tuple[float, float] | None = None
    note: str = ""


def gear_list(job: Job) -> tuple[GearRow, ...]:
    """Gear on the hook end, then what the load is slung with, then the gear of the rig itself."""
    rows = [
        GearRow(
            name=item.name if item.legs == 1 else f"{item.name}, {item.legs} legs",
            rated_kg=item.wll_kg,
            note=", ".join(words for words in (item.mark, item.inspected) if words),
        )
        for item in job.rig.hook.gear
    ]
    if job.load.rigging is not None:
        rows += _rigging_rows(job.load.rigging)
    return (*rows, *rig_gear(job.rig))


def rig_gear(rig: Rig) -> tuple[GearRow, ...]:
    """Bought gear that is a part of the rig: stays that are not cut from a section, then a chain on the heels."""
    return (*_stay_rows(rig), *_heel_chain_rows(rig))


def _stay_rows(rig: Rig) -> list[GearRow]:
    return [
        GearRow(
            name=f"{arm.name} stay, {arm.stay.make}",
            rated_kg=arm.stay.wll_kg,
            pins_m=(arm.stay.length_min_m, arm.stay.length_max_m),
        )
        for arm in rig.arms
        if isinstance(arm.stay, StayLink) and arm.stay.section is None
    ]


def _heel_chain_rows(rig: Rig) -> list[GearRow]:
    hold = rig.sleeves.heel_hold
    if not isinstance(hold, HeelChain):
        return []
    name = "heel chain over both heels" if hold.count == 1 else "heel chains, one each"
    from_level = None if hold.angle_rad is None else math.pi / 2.0 - hold.angle_rad
    return [GearRow(name=f"{name}, to the {hold.to.replace('_', ' ')}", rated_kg=hold.wll_kg, angle_rad=from_level)]


def _rigging_rows(rigging: Rigging) -> list[GearRow]:
    rows = [GearRow(name=part.name, rated_kg=part.wll_kg) for part in rigging.parts]
    if rigging.hoist is not None:
        rows.append(GearRow(name="chain hoist", rated_kg=rigging.hoist.wll_kg))
    if rigging.spreader is not None:
        rows.append(GearRow(name="spreader", rated_kg=rigging.spreader.wll_kg))
    hung, rated_kg, hitch = sling_legs.hang(rigging), sling_legs.leg_rating_kg(rigging), rigging.hitch.replace("_", " ")
    if hung is None or len(hung.legs) == 1:
        return [*rows, GearRow(name=f"sling, {hitch}", rated_kg=rated_kg)]
    for number, leg in enumerate(hung.legs, start=1):
        name = f"sling leg {number}, {hitch}"
        rows.append(GearRow(name=name, rated_kg=rated_kg, angle_rad=leg.from_level_rad))
    return rows
