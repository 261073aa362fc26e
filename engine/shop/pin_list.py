"""The pin list: every pin with the bar to cut for it, and the play of what goes into what."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from engine.rig import hook_place, strap_pieces
from engine.rig.hinge_pieces import as_built, sleeve_of
from engine.schema.connections import DropInPin, Pin, Retention, StayLink
from engine.schema.model import Job, Rig, hinge_of
from engine.schema.sections import outer_depth_m, outer_width_m

HEAD_DIAMETERS = 1.0
"""Height of a standing pin's head and what is welded or upset for it, in diameters (common practice, no source)."""

PIN_ENDS = 2.0
"""How far a pin stands out, both ends together, in diameters: head and clip (common practice, no source)."""


class PinRow(msgspec.Struct, kw_only=True, frozen=True):
    """Pins of one kind: size, hole, play, the length of bar to cut, and what keeps them in."""

    name: str
    count: int
    diameter_m: float
    hole_m: float
    length_m: float
    steel: str
    retention: Retention | None = None

    @property
    def play_m(self) -> float:
        """How much the hole is wider than the pin."""
        return self.hole_m - self.diameter_m


class Fit(msgspec.Struct, kw_only=True, frozen=True):
    """One thing inside another: the inside size of the outer one, None if it is not known; the inner one's outside."""

    name: str
    inside_m: float | None
    outside_m: float

    @property
    def play_m(self) -> float | None:
        """Free space, both sides together."""
        return None if self.inside_m is None else self.inside_m - self.outside_m


def pin_list(rig: Rig) -> tuple[PinRow, ...]:
    """Every pin; its bar is as long as what the pin goes through, and ``PIN_ENDS``.

    One pin for the hook goes through every link that has a place for it.
    """
    boom, saddles = rig.boom, rig.saddles
    through_m = strap_pieces.over_legs_m(saddles, boom)
    hook_on = [hook_place.link_of(rig, link).section for link in hook_place.places(rig)]
    rows = [_pin_row("boom pin", 1, boom.pin, through_m)]
    if rig.hook.cross_pin is not None:
        rows.append(_pin_row("hook pin", 1, rig.hook.cross_pin.pin, max(map(outer_width_m, hook_on))))
    if isinstance(rig.hook.end, DropInPin):
        rows.append(_drop_in_row(rig.hook.end, max(map(outer_depth_m, hook_on))))
    for arm in rig.arms:
        hinge = as_built(hinge_of(arm))
        if sleeve_of(hinge) is None:
            hinge_m = hinge.spacing_m + hinge.barrel_length_m + 2.0 * hinge.lug_thickness_m
        else:
            hinge_m = hinge.spacing_m + hinge.lug_thickness_m
        rows.append(_pin_row(f"{arm.name} hinge pin", 1, hinge.pin, hinge_m))
        stay = arm.stay
        if isinstance(stay, StayLink) and stay.end_lug is not None:
            lug = stay.end_lug
            rows.append(_pin_row(f"{arm.name} stay pin", 2, lug.pin, 3.0 * lug.thickness_m))
    if rig.sleeves.heel_pin is not None:
        rows.append(_pin_row("heel pin", 2, rig.sleeves.heel_pin, rig.sleeves.section.width_m))
    return tuple(rows)


def _drop_in_row(end: DropInPin, depth_m: float) -> PinRow:
    """A standing pin: through the tube, down to its hook, and its head on top."""
    length_m = depth_m + end.drop_m + HEAD_DIAMETERS * end.diameter_m
    return PinRow(
        name="hook's standing pin",
        count=1,
        diameter_m=end.diameter_m,
        hole_m=end.hole_m,
        length_m=length_m,
        steel=end.steel,
        retention=end.retention,
    )


def _pin_row(name: str, count: int, pin: Pin, through_m: float) -> PinRow:
    length_m = through_m + PIN_ENDS * pin.diameter_m
    return PinRow(
        name=name,
        count=count,
        diameter_m=pin.diameter_m,
        hole_m=pin.hole_m,
        length_m=length_m,
        steel=pin.steel,
        retention=pin.retention,
    )


def fit_list(job: Job) -> tuple[Fit, ...]:
    """Forks in sleeves, pins in holes, sleeves between their lugs, the boom between its shims in the saddles."""
    section, forks = job.rig.sleeves.section, job.truck.forks
    fits = [
        Fit(name="fork in sleeve, across", inside_m=section.width_m - 2.0 * section.wall_m, outside_m=forks.width_m),
        Fit(
            name="fork in sleeve, upright", inside_m=section.depth_m - 2.0 * section.wall_m, outside_m=forks.thickness_m
        ),
    ]
    fits += [
        Fit(name=f"{row.name} in its hole", inside_m=row.hole_m, outside_m=row.diameter_m) for row in pin_list(job.rig)
    ]
    return (*fits, *_sleeves_between_lugs(job.rig), *_boom_in_saddles(job.rig))


def _sleeves_between_lugs(rig: Rig) -> Iterator[Fit]:
    for arm in rig.arms:
        hinge = as_built(arm.hinge)
        sleeve = sleeve_of(hinge)
        if sleeve is not None:
            between_m = hinge.spacing_m - hinge.lug_thickness_m
            yield Fit(name=f"{arm.name} hinge sleeve, lug to lug", inside_m=between_m, outside_m=sleeve.length_m)


def _boom_in_saddles(rig: Rig) -> tuple[Fit, Fit]:
    saddles, section = rig.saddles, rig.boom.section
    side_m, top_m = saddles.side_gap_m, saddles.top_gap_m
    wide_m = None if side_m is None else section.width_m + 2.0 * side_m
    deep_m = None if top_m is None else section.depth_m + top_m
    return (
        Fit(name="boom in saddles, across", inside_m=wide_m, outside_m=section.width_m),
        Fit(name="boom in saddles, up", inside_m=deep_m, outside_m=section.depth_m),
    )
