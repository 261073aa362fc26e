"""What a first rig may be made of: every part and the sizes it comes in, and which go together."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import msgspec

from engine.base.formatting import M_PER_IN
from engine.schema.sections import RectTube
from engine.schema.stock_sizes import RECT_TUBES, SAME_M
from engine.shop import first_joints
from engine.shop.first_joints import LEAST_BED_ROOM_M, Make
from engine.shop.first_rig import Wish

REPLACE = msgspec.structs.replace


class Part(NamedTuple):
    """A part that comes in sizes: its name and these, the lightest first."""

    name: str
    sizes: tuple[Any, ...]


Choice = tuple[int, ...]
"""For each part, which of its sizes."""


class Catalogue:
    """Every part of a first rig and the sizes it comes in, in the person's units."""

    def __init__(self, wish: Wish) -> None:
        self.wish = wish
        tubes = [REPLACE(tube, wall_lost_m=None) for tube in _in_units(wish)]
        squares = tuple(tube for tube in tubes if abs(tube.width_m - tube.depth_m) < SAME_M)
        with_lugs = tuple(tube for tube in squares if first_joints.takes_lugs(tube, wish.units))
        links = (with_lugs,) * wish.arms + (squares,)  # all but the last carry a hinge
        self.parts = (
            Part("boom", links[0] if wish.boom is None else (wish.boom,)),
            Part("mast", squares),
            Part("cross", tuple(tubes)),
            Part("bed", tuple(tubes)),
            Part("sleeve", tuple(tube for tube in tubes if _goes_over(tube, wish))),
            *(Part(f"arm {index + 1}", links[index + 1]) for index in range(wish.arms)),
            *(Part(name, sizes) for name, sizes in first_joints.piece_sizes(wish.units, wish.arms).items()),
        )
        self.place = {part.name: at for at, part in enumerate(self.parts)}
        self._bed_rooms_m: dict[float, float] = {}

    def make(self, choice: Choice) -> Make | None:
        """What a choice makes; None where its tubes do not go together."""
        if not all(self.fits(name, choice[self.place[name]], choice) for name in ("cross", "bed", "sleeve")):
            return None
        chosen = {part.name: part.sizes[at] for part, at in zip(self.parts, choice, strict=True)}
        tubes = {name: chosen.pop(name) for name in ("boom", "mast", "cross", "bed", "sleeve")}
        arms = tuple(chosen.pop(f"arm {index + 1}") for index in range(self.wish.arms))
        return Make(
            units=self.wish.units, arms=arms, sizes=chosen, steel=self.wish.steel, quality=self.wish.quality, **tubes
        )

    def is_tube(self, place: int) -> bool:
        """Whether a part is a tube."""
        return isinstance(self.parts[place].sizes[0], RectTube)

    def fits(self, name: str, at: int, choice: Sequence[int]) -> bool:
        """Whether a size of a tube goes with the others of a choice.

        A cross-member is as wide as the mast on it and no deeper than the sleeves; a bed is wider than the boom by a
        shim and some play at each side, and by no more than it has to be.
        """
        tube = self.parts[self.place[name]].sizes[at]
        boom, mast, sleeve = (
            self.parts[self.place[other]].sizes[choice[self.place[other]]] for other in ("boom", "mast", "sleeve")
        )
        if name == "cross":
            return abs(tube.width_m - mast.depth_m) < SAME_M and tube.depth_m <= sleeve.depth_m + SAME_M
        if name == "bed":
            room_m = (tube.width_m - boom.width_m) / 2.0
            return LEAST_BED_ROOM_M - SAME_M <= room_m <= self._most_bed_room_m(boom) + SAME_M
        return any(
            abs(cross.width_m - mast.depth_m) < SAME_M and cross.depth_m <= tube.depth_m + SAME_M
            for cross in self.parts[self.place["cross"]].sizes
        )

    def _most_bed_room_m(self, boom: RectTube) -> float:
        """Bed beside a boom at most, at each side: what is wanted, or what the next tube for sale has."""
        if boom.width_m not in self._bed_rooms_m:
            rooms_m = ((bed.width_m - boom.width_m) / 2.0 for bed in self.parts[self.place["bed"]].sizes)
            nearest_m = min((room_m for room_m in rooms_m if room_m >= LEAST_BED_ROOM_M - SAME_M), default=0.0)
            self._bed_rooms_m[boom.width_m] = max(MOST_BED_ROOM_M, nearest_m)
        return self._bed_rooms_m[boom.width_m]


def _in_units(wish: Wish) -> list[RectTube]:
    """The tubes sold in the person's units, the least steel first."""
    listed = (tube for name, tube in RECT_TUBES.items() if name.endswith(" in") == (wish.units == "us"))
    return sorted(listed, key=lambda tube: (tube.width_m + tube.depth_m - 2.0 * tube.wall_m) * tube.wall_m)


def _goes_over(tube: RectTube, wish: Wish) -> bool:
    """Whether a tube goes over a fork, with room for a pin of some size and its edge distance under the heel."""
    forks = wish.truck.forks
    wide_enough = tube.width_m - 2.0 * tube.wall_m >= forks.width_m + FORK_PLAY_M
    return wide_enough and first_joints.heel_pin_m(tube, forks, wish.units) is not None


FORK_PLAY_M = 0.006
"""Play beside a fork in its sleeve at least (common practice, no source)."""


MOST_BED_ROOM_M = M_PER_IN / 2.0
"""Bed beside the boom at each side at most, where any tube for sale is so near to the boom's width: a side shim of some
10 mm.  The lists step by less but for two: a boom of 120 mm lies on a bed of 150, one of 6 in on a bed of 8."""
