"""Why steel is left lying: each reason checked against the rig file, hand sums and a whole verdict of its own."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.planning.stock_rigs import Picks, Shape, built
from engine.planning.stock_search import RackRig, search
from engine.planning.stock_tubes import Standing
from engine.planning.stock_unused import NotFor, why_unused
from engine.planning.sweep import Stopped
from engine.rig.fits import misfits
from engine.rig.kinematics import figures, place
from engine.rig.rig_masses import rig_masses
from engine.schema.model import Condition, Job, NoGo, Stock, WantedJob
from engine.schema.quantities import Estimate
from engine.schema.sections import FlatBar, RectTube, RoundTube
from engine.shop.cut_list import pieces
from engine.worst_case.verdict import Verdict, evaluate
from tests.samples import read_once

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
REPLACE = msgspec.structs.replace
PATTERN = read_once(SAMPLES / "tarn_hollow_stone_yard.rig.json")


def square(
    name: str,
    side_mm: float,
    wall_mm: float,
    length_m: float = 6.0,
    *,
    count: int = 1,
    condition: Condition = "good",
    no_go: tuple[NoGo, ...] = (),
) -> Stock:
    section = RectTube(width_m=side_mm / 1000, depth_m=side_mm / 1000, wall_m=wall_mm / 1000)
    return Stock(name=name, section=section, length_m=length_m, count=count, condition=condition, no_go=no_go)


def want(kg: float, height_m: float, ahead_m: float) -> WantedJob:
    load = Estimate(best=kg, known="weighed")
    return WantedJob(name="lintel", load_kg=load, rigging_kg=15.0, hook_height_m=height_m, ahead_of_face_m=ahead_m)


CUT = square("cut", 100, 6)
LEFT = (
    square("heavy", 100, 8, condition="rusty"),
    square("weak", 75, 5),
    square("narrow", 60, 3),
    square("halves", 100, 8, 1.2, count=2),
    square("rusted", 100, 5, condition="rusty"),
    square("holed", 100, 6, 2.4, no_go=(NoGo(from_m=1.2, to_m=1.3),)),
    square("twin", 100, 6),
    square("bent", 120, 8, condition="bent"),
    square("foil", 60, 1, condition="rusty"),
    Stock(name="pipe", section=RoundTube(diameter_m=0.1143, wall_m=0.008), length_m=6.0),
    Stock(name="flat", section=FlatBar(width_m=0.1, depth_m=0.02), length_m=6.0),
)
JOB = REPLACE(PATTERN, stock=(CUT, *LEFT), wanted=(want(300.0, 2.5, 1.1),), approval=None, trial_lifts=())


@pytest.fixture(scope="module")
def rig() -> RackRig:
    # What is cut is fixed by a rack without the rest.
    return search(REPLACE(JOB, stock=(CUT,)), enough=1).rigs[0]


@pytest.fixture(scope="module")
def told(rig: RackRig) -> dict[str, dict[str, NotFor]]:
    return {one.steel.name: {why.part: why for why in one.reasons} for one in why_unused(JOB, rig)}


def put_in(rig: RackRig, part: str, steel: Stock, lost_m: float) -> tuple[Job | None, Verdict | None]:
    """The rig found with one part made of other steel, and the whole verdict on it."""
    boom = rig.job.rig.boom
    shape = Shape((), boom.length_m, boom.first_hole_m, boom.hole_steps_m, (1,))
    assert isinstance(steel.section, RectTube | RoundTube)
    other = Standing(-1, REPLACE(steel.section, wall_lost_m=lost_m), steel.steel)
    own = Standing(-1, boom.section, boom.steel)
    made = built(JOB, shape, Picks(other if part == "jib mast" else own, other if part == "boom" else own, ()))
    if made is None:
        return None, None
    made = REPLACE(made, load=rig.job.load)
    pose = REPLACE(made.poses[0], hole=1, lift_m=0.5)
    hook = place(made, figures(made, pose)).hook_m
    return made, evaluate(made, REPLACE(pose, lift_m=0.5 + 2.5 - float(hook.z)))


def worst(verdict: Verdict) -> float:
    """Greatest use as entered."""
    return max(float(check.use) for check in verdict.checks)


def kg(job: Job) -> float:
    masses = rig_masses(job.truck, job.rig)
    return masses["sleeves_kg"] + masses["jib_mast_kg"] + masses["saddles_kg"] + masses["boom_kg"] + masses["hook_kg"]


def test_every_line_that_nothing_is_cut_from_is_told_and_no_other(told: dict[str, dict[str, NotFor]]):
    assert list(told) == [steel.name for steel in LEFT]
    assert {name for name, parts in told.items() if not parts} == {"bent", "foil", "flat"}
    assert all(list(parts) == ["jib mast", "boom"] for parts in told.values() if parts)


def test_what_is_over_a_limit_is_over_by_the_whole_verdict(rig: RackRig, told: dict[str, dict[str, NotFor]]):
    asked = 0
    for steel in LEFT:
        for part, reason in told[steel.name].items():
            if reason.why in ("over", "rust", "worst case"):
                _, verdict = put_in(rig, part, steel, 0.001 if steel.condition == "rusty" else 0.0)
                assert verdict is not None and verdict.state != "WITHIN", (steel.name, part)
                asked += 1
    assert asked >= 3
    assert told["weak"]["boom"].why == "over" and told["weak"]["boom"].use > 1.0


def test_too_rusty_is_said_where_good_steel_holds_as_entered(rig: RackRig, told: dict[str, dict[str, NotFor]]):
    rusted = next(steel for steel in LEFT if steel.name == "rusted")
    for part, reason in told["rusted"].items():
        _, thin = put_in(rig, part, rusted, 0.001)
        _, sound = put_in(rig, part, rusted, 0.0)
        assert thin is not None and sound is not None
        if reason.why == "rust":
            assert worst(thin) > 1.0 >= worst(sound), part
        else:
            assert not worst(thin) > 1.0 >= worst(sound), part
    assert "rust" in {reason.why for reason in told["rusted"].values()}


def test_what_holds_makes_the_rig_heavier_by_what_is_said(rig: RackRig, told: dict[str, dict[str, NotFor]]):
    heavy = LEFT[0]
    for part in ("jib mast", "boom"):
        made, _ = put_in(rig, part, heavy, 0.001)
        assert made is not None and told["heavy"][part].why == "heavier"
        assert told["heavy"][part].more_kg == pytest.approx(kg(made) - rig.rig_kg, abs=1e-9)


def test_too_short_is_told_with_the_cut_and_the_longest_stretch(rig: RackRig, told: dict[str, dict[str, NotFor]]):
    cuts = {piece.part: piece.length_m for piece in pieces(rig.job)}
    for name, longest_m in (("halves", 1.2), ("holed", 1.2)):
        for part in ("jib mast", "boom"):
            reason = told[name][part]
            assert reason.cut_m == pytest.approx(cuts[part]) and reason.longest_m == pytest.approx(longest_m)
            assert reason.cut_m > longest_m
        assert told[name]["jib mast"].why == "too short"
    assert cuts["boom"] <= 2.4 and told["halves"]["boom"].why == "splice", "two of them would add up"


def test_what_does_not_fit_names_the_misfit(rig: RackRig, told: dict[str, dict[str, NotFor]]):
    made, _ = put_in(rig, "boom", LEFT[2], 0.0)
    assert made is not None and told["narrow"]["boom"].why == "misfit"
    assert told["narrow"]["boom"].problem in misfits(made.rig)
    assert told["pipe"]["boom"].why == "round"


def test_the_same_tube_again_is_not_needed(told: dict[str, dict[str, NotFor]]):
    assert {reason.why for reason in told["twin"].values()} == {"not needed"}


def test_without_a_rig_each_line_is_held_against_the_shortest_cuts():
    alone, *none = why_unused(REPLACE(JOB, stock=(square("a", 100, 6, 1.5),)), None)
    assert not none and [(one.part, one.why) for one in alone.reasons] == [("jib mast", "none"), ("boom", "none")]
    job = REPLACE(JOB, stock=(square("a", 100, 6, 1.42, count=2), square("b", 100, 6, 0.3)))
    assert search(job).nearest is None
    for line, longest_m in zip(why_unused(job, None), (1.42, 0.3), strict=True):
        assert [(one.part, one.why) for one in line.reasons] == [("jib mast", "too short"), ("boom", "splice")]
        assert [one.longest_m for one in line.reasons] == pytest.approx([longest_m] * 2)


def test_it_can_be_stopped(rig: RackRig):
    with pytest.raises(Stopped):
        why_unused(JOB, rig, stop=lambda: True)
