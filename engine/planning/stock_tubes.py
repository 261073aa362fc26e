"""Tubes on the rack: every usable stretch of tube in the job's stock, under a name of its own."""

from __future__ import annotations

import itertools
from collections import Counter

import msgspec

from engine.schema.model import Stock
from engine.schema.sections import RectTube, RoundTube
from engine.schema.steel import UNKNOWN
from engine.shop.cutting_plan import usable_section, usable_stretches


class Tube(msgspec.Struct, kw_only=True, frozen=True):
    """One stretch of tube on the rack; its section says what rust has taken of the wall.

    ``alike`` numbers those that differ in nothing but their place on the rack.
    """

    name: str
    section: RectTube | RoundTube
    length_m: float
    steel: str = UNKNOWN
    alike: int = 0

    @property
    def kind(self) -> tuple[object, ...]:
        """What two tubes must share to make the same rig."""
        return self.section, self.length_m, self.steel


def tubes_of(stock: tuple[Stock, ...], most_alike: int | None = None) -> tuple[Tube, ...]:
    """Every usable stretch of tube on the rack, with at most ``most_alike`` of those that are alike.

    Bars other than tubes, bent ones and stretches not to be used are left out, and of a rusty tube's wall some counts
    as lost, as in the cutting plan (``engine.shop.cutting_plan.usable_section``).
    """
    tubes: list[Tube] = []
    kinds: Counter[tuple[object, ...]] = Counter()
    names: set[str] = set()
    for line, bar in enumerate(stock, start=1):
        section = usable_section(bar.section, bar.condition)
        if not isinstance(section, RectTube | RoundTube):
            continue
        stretches = usable_stretches(bar)
        for number, (place, stretch) in itertools.product(range(1, bar.count + 1), enumerate(stretches, start=1)):
            name = f"{bar.name}, {number} of {bar.count}" if bar.count > 1 else bar.name
            name += f", stretch {place}" if len(stretches) > 1 else ""
            name = f"{name} (line {line})" if name in names else name
            tube = Tube(name=name, section=section, length_m=stretch.length_m, steel=bar.steel)
            alike = kinds[tube.kind]
            if most_alike is None or alike < most_alike:
                tubes.append(msgspec.structs.replace(tube, alike=alike))
                kinds[tube.kind] += 1
                names.add(name)
    return tuple(tubes)
