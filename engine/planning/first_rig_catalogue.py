"""What a first rig may be made of: every part and the sizes it comes in, and which go together."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import msgspec

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

        A cross-member is as wide as the mast on it and no deeper than the sleeves; a bed is wider than the boom.
        """
        tube = self.parts[self.place[name]].sizes[at]
        boom, mast, sleeve = (
            self.parts[self.place[other]].sizes[choice[self.place[other]]] for other in ("boom", "mast", "sleeve")
        )
        if name == "cross":
            return abs(tube.width_m - mast.depth_m) < SAME_M and tube.depth_m <= sleeve.depth_m + SAME_M
        if name == "bed":
            room_m = (tube.width_m - boom.width_m) / 2.0
            return LEAST_BED_ROOM_M - SAME_M <= room_m <= MOST_BED_ROOM_M
        return any(
            abs(cross.width_m - mast.depth_m) < SAME_M and cross.depth_m <= tube.depth_m + SAME_M
            for cross in self.parts[self.place["cross"]].sizes
        )


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


MOST_BED_ROOM_M = 0.04
"""Packing beside the boom at most."""
