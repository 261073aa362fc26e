"""The least gap in few words: both figures, not how the load hangs, and whether something is not measured."""

from __future__ import annotations

import math

import pytest

from engine.base.geometry import Vec
from engine.explain.shown import LeastRoom, brief_room_text
from engine.limits.room import INSIDE_WORDS, SHORT_WORDS, UNDER_WORDS, USUAL_SHORT_WORDS
from engine.rig.check import Check


def least(words: str, gap_m: float, worst_m: float, part: str, met: str, **more: str) -> LeastRoom:
    check = Check(
        of="room",
        part="part",
        kind="room to the truck",
        place_m=Vec(0.0, 0.0, 0.0),
        demand=0.1,
        allowed=gap_m,
        unit="m",
        use=1.2 if gap_m < 0.1 else 0.9,
        allowed_load_kg=math.inf,
        words=words,
        numbers={"the_part": part, "object": met, **more, "gap": gap_m, "wanted": 0.1, "over": -gap_m},
        source="tape",
    )
    return LeastRoom(check=check, gap_m=gap_m, worst_m=worst_m)


@pytest.mark.parametrize(
    ("room", "says"),
    [
        (None, ""),
        (
            least("", 0.16, 0.107, "the ledger stone, held by two tag lines,", "the jib mast"),
            "ledger stone to the jib mast: 107 mm, must be 100 mm",
        ),
        (
            least(SHORT_WORDS, 0.067, 0.05, "the stone, free to turn,", "the jib mast"),
            "stone to the jib mast: 67 mm, must be 100 mm",
        ),
        (
            least(USUAL_SHORT_WORDS, 0.067, 0.05, "the saddles", "the guard", unmeasured="it"),
            "saddles to the guard: 67 mm, must be 100 mm; not measured",
        ),
        (least(INSIDE_WORDS, -0.0125, -0.02, "the saddles", "the guard"), "saddles into the guard: 12.5 mm"),
        (least(UNDER_WORDS, -0.03, -0.04, "the load", "the floor"), "load: 30 mm below the floor"),
    ],
)
def test_a_gap_is_said_in_few_words(room: LeastRoom | None, says: str) -> None:
    assert brief_room_text(room, "metric") == says
