"""The next sizes of a part, up and down, each with its own verdict.  Sizes are from the rig files and the lists."""

from __future__ import annotations

import msgspec
import pytest

from engine.explain.neighbour_words import neighbour_words
from engine.planning.neighbour_sizes import SIZES_AT_MOST, Neighbours, OtherSize, neighbour_sizes
from engine.planning.part_ladders import ladders, smaller_tubes, sold_sizes, with_size
from engine.planning.sweep import Stopped
from engine.rig.check import Problem
from engine.schema.part_sizes_for_sale import PIN_SIZES_M
from engine.schema.sections import RectTube
from engine.worst_case.verdict import evaluate
from tests.samples import sample

REPLACE = msgspec.structs.replace
JOB = sample("skerry_point_boatyard")
BOOM_PIN = "rig.boom.pin.diameter_m"


def test_the_sizes_beside_one_are_its_neighbours_in_the_list() -> None:
    """The boom's pin is of 20 mm: the list has 16 mm before and 25 mm after it.  US shops have other sizes."""
    at = PIN_SIZES_M["metric"].index(0.02)
    before, _, after = PIN_SIZES_M["metric"][at - 1 : at + 2]
    found = {size.path: size for size in sold_sizes(JOB, ("rig.boom",))}
    assert set(found) == {"rig.boom.section", BOOM_PIN} and JOB.rig.boom.pin is not None
    assert (found[BOOM_PIN].smaller, found[BOOM_PIN].was, found[BOOM_PIN].larger) == (before, 0.02, after)
    us = {size.path: size for size in sold_sizes(REPLACE(JOB, units="us"), ("rig.boom",))}
    assert us[BOOM_PIN].smaller == pytest.approx(0.75 * 0.0254) and us[BOOM_PIN].larger == pytest.approx(0.875 * 0.0254)


def test_only_parts_under_the_path_and_the_tubes_first() -> None:
    kinds = [size.kind for size in sold_sizes(JOB, ("rig.arms",))]
    assert kinds[:2] == ["tube", "tube"] and "pin" in kinds
    assert all(size.path.startswith("rig.arms[") for size in sold_sizes(JOB, ("rig.arms",)))
    assert sold_sizes(JOB, ("rig.arm",)) == sold_sizes(JOB, ("truck",)) == ()


def test_a_size_up_is_that_of_the_ladder() -> None:
    up = {ladder.path: ladder.sizes[0] for ladder in ladders(JOB)}
    for size in sold_sizes(JOB, ("rig",)):
        assert size.larger == up.get(size.path)


def test_a_smaller_tube_is_thinner_first_and_never_larger_outside() -> None:
    was = RectTube(width_m=0.1, depth_m=0.1, wall_m=0.008)
    sizes = [size for size in smaller_tubes(JOB, was) if isinstance(size, RectTube)]
    assert (sizes[0].width_m, sizes[0].depth_m) == (0.1, 0.1) and sizes[0].wall_m == 0.0063
    assert all(size.width_m <= 0.1 and size.depth_m <= 0.1 for size in sizes)
    assert all((size.width_m, size.depth_m, size.wall_m) != (0.1, 0.1, 0.008) for size in sizes)
    assert any(size.width_m < 0.1 for size in sizes)


def test_each_size_has_the_verdict_of_the_rig_with_it() -> None:
    parts: list[tuple[Neighbours, ...]] = []
    found = neighbour_sizes(JOB, JOB.poses[0], ("rig.boom",), so_far=parts.append)
    assert [one.path for one in found] == ["rig.boom.section", BOOM_PIN] and parts == [found[:1]]
    for one in found:
        for other in (one.smaller, one.larger):
            assert other is not None
            made = with_size(JOB, one.path, other.size)
            assert made is not None
            verdict = evaluate(made, JOB.poses[0])
            assert other.state == verdict.state and other.allowed_kg == verdict.allowed_load_kg
            assert verdict.governing is not None and other.limit == verdict.governing.name


def test_no_more_are_judged_than_asked_for_and_none_after_a_stop() -> None:
    assert len(sold_sizes(JOB, ("rig",))) > SIZES_AT_MOST
    with pytest.raises(Stopped):
        neighbour_sizes(JOB, JOB.poses[0], ("rig.boom",), stop=lambda: True)


def test_words_say_the_size_and_what_it_allows_and_never_a_load_without_a_verdict() -> None:
    allows = OtherSize(size=0.025, state="NOT PROVEN", allowed_kg=188.9, limit="boom: bending")
    nothing = OtherSize(size=0.016, state="OVER", allowed_kg=0.0, limit="boom pin: shear")
    words = neighbour_words(Neighbours(path=BOOM_PIN, was=0.02, smaller=nothing, larger=allows), JOB, "metric")
    assert words.splitlines() == [
        "Boom, pin, diameter: 20 mm now",
        "One size up, 25 mm: allows 188 kg, not proven; gives first: boom: bending",
        "One size down, 16 mm: allows nothing; gives first: boom pin: shear",
    ]
    refused = OtherSize(size=0.025, state="REFUSED", problem=Problem(kind="impossible", where="", words="It runs in."))
    cannot = OtherSize(size=0.025, state="REFUSED")
    for other, says in (
        (refused, "no verdict. It runs in."),
        (cannot, "does not go together"),
        (None, "none is listed"),
    ):
        up = neighbour_words(Neighbours(path=BOOM_PIN, was=0.02, smaller=None, larger=other), JOB, "metric")
        assert says in up.splitlines()[1] and "kg" not in up
