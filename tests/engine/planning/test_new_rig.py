"""A new rig holds at its wish, every part of it, and lightly; a wish that cannot be had is told with the nearest."""

from __future__ import annotations

import itertools
import math
import random

import pytest
from msgspec import structs

from engine.base.errors import EditError
from engine.base.formatting import System
from engine.limits import truck_entries
from engine.limits.all_limits import find_rig_checks
from engine.planning import first_rig_sizing
from engine.planning import new_rig as planning_of_new_rigs
from engine.planning.first_rig_catalogue import Catalogue, Part
from engine.planning.first_rig_sizing import RESERVE, Sizing, Step, Told, is_sized
from engine.planning.new_rig import NewRig, new_rig, sketch, usual_plate
from engine.planning.sweep import Stopped, never
from engine.rig.check import Check
from engine.rig.kinematics import Figures, figures
from engine.schema import rig_file
from engine.schema.connections import SlingTag
from engine.schema.model import Job, Plate, PlateRow, Pose
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube
from engine.shop.first_rig import Layout, Wish, draft
from engine.shop.truck_classes import CLASSES, OFFERED, typical_truck
from engine.worst_case.verdict import Verdict, evaluate
from tests.thoroughness import every, times

LEVEL = Estimate(best=0.0, known="measured")
PLATE = PlateRow(rated_kg=2268.0, load_centre_m=0.61, lift_m=3.3)

WISHES = [
    (height, reach, load, arms, known)
    for (height, reach, load), arms, known in itertools.product(
        ((2.2, 1.5, 100.0), (2.2, 2.0, 100.0), (2.44, 2.13, 136.0), (2.4, 2.0, 150.0), (2.4, 2.5, 200.0)),
        (0, 1, 2),
        ("weighed", "guess"),
    )
]
"""Hook height and reach (m), load (kg), arms, how the weight is known: on a level floor, a 2.5 t truck."""


def wish(height: float, reach: float, load: float, arms: int, known: str = "weighed", units: System = "metric") -> Wish:
    return Wish(
        name="bench jib",
        truck=typical_truck("2.5 t" if units == "metric" else "5,000 lb pneumatic"),
        hook_height_m=height,
        reach_m=reach,
        load=Estimate(best=load, known=known),  # type: ignore[arg-type]
        arms=arms,
        plate=PLATE,
        fall_along=LEVEL,
        fall_across=LEVEL,
        units=units,
        sling_rated_kg=1000.0,
        quality="qualified_visual",
        steel="S355" if units == "metric" else "A500 C",
    )


def holds(one: Wish, found: NewRig) -> bool:
    """Whether the rig, read back from a file, holds at the wish with the reserve, and stands at home."""
    assert found.job is not None, (found.limit, found.nearest)
    job = rig_file.decode(rig_file.encode(found.job))
    at_work, home = job.poses
    verdict = evaluate(job, at_work)
    assert (verdict.state, verdict.not_entered) == ("WITHIN", ())
    assert max(use for check, use in verdict.worst_uses if is_sized(check)) <= RESERVE
    assert max(use for _, use in verdict.worst_uses) <= 1.0
    hook = verdict.placed.hook_m
    assert hook.y == pytest.approx(one.side_m, abs=0.02)
    assert hook.x - job.truck.front_overhang_m.best == pytest.approx(one.reach_m, abs=0.02)
    assert hook.z == pytest.approx(one.hook_height_m, abs=0.01)
    assert evaluate(job, home).state == "WITHIN" and not home.loaded
    return True


@pytest.mark.slow
@pytest.mark.parametrize("answers", every(30, WISHES, 8), ids=lambda answers: "-".join(map(str, answers)))
def test_every_wish_of_the_specification_gets_a_rig_that_holds(answers: tuple[float, float, float, int, str]) -> None:
    one = wish(*answers)
    assert holds(one, new_rig(one))


def random_wish(seed: int) -> Wish:
    """Any class of truck in either units, up to a twelfth of its rating a metre and a half to two and a half out."""
    rng = random.Random(seed)
    units: System = rng.choice(("metric", "us"))
    usual = CLASSES[rng.choice(OFFERED[units])]
    slope = Estimate(best=rng.choice((0.0, 0.01)), known="measured")
    return structs.replace(
        wish(
            round(rng.uniform(1.4, 3.0), 2),
            round(rng.uniform(1.4, 2.5), 2),
            round(rng.uniform(20.0, usual.rated_kg / 12.0)),
            rng.choice((0, 1, 2)),
            rng.choice(("weighed", "guess")),
            units,
        ),
        truck=typical_truck(next(name for name, one in CLASSES.items() if one is usual)),
        plate=PlateRow(rated_kg=usual.rated_kg, load_centre_m=usual.load_centre_m, lift_m=3.3),
        fall_along=slope,
        fall_across=slope,
        steel=rng.choice(("unknown", "S355" if units == "metric" else "A500 B")),
        quality=rng.choice(("own_eye", "qualified_visual")),
    )


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(times(1, 200)))
def test_whatever_is_wished_a_rig_that_is_given_holds_and_one_that_is_not_names_its_limit(seed: int) -> None:
    one = random_wish(seed)
    found, limit = planning_of_new_rigs._sized(one, never)
    if found is None and not limit:  # it can be placed nowhere
        judged = planning_of_new_rigs._judgeable(one)
        assert not list(planning_of_new_rigs._layouts(judged, Catalogue(judged)))
    elif found is not None:
        assert holds(one, found)


def test_a_hook_nearer_than_the_arms_let_the_boom_come_in_is_refused_and_never_drawn_elsewhere() -> None:
    """Two arms of a truck of 5 t reach past 1.56 m with the boom drawn home."""
    near = wish(1.46, 1.56, 253.0, 2)
    try:
        job = sketch(near)
    except EditError as refused:
        assert refused.where == "reach" and "Shorter arms, or fewer" in refused.plain
    else:
        hook = evaluate(job, job.poses[0]).placed.hook_m
        assert hook.x - job.truck.front_overhang_m.best == pytest.approx(1.56, abs=0.02)
    with pytest.raises(EditError) as caught:
        sketch(structs.replace(near, reach_m=1.2, arm_lengths_m=(0.5, 0.4)))
    assert caught.value.where == "reach"


@pytest.mark.slow
def test_a_wish_in_feet_and_pounds_gets_a_rig_of_inch_sizes() -> None:
    one = wish(8 * 0.3048, 6 * 0.3048, 200 * 0.45359237, 0, units="us")
    found = new_rig(one)
    assert holds(one, found) and found.job is not None
    rig = found.job.rig
    for size in (rig.boom.section.width_m, rig.saddles.strap_thickness_m, rig.boom.pin.diameter_m):
        assert 16.0 * size / 0.0254 == pytest.approx(round(16.0 * size / 0.0254), abs=1e-6)


@pytest.mark.slow
def test_a_heavier_load_never_gets_a_lighter_rig() -> None:
    weights_kg = [new_rig(wish(2.4, 2.0, load, 0)).weight_kg for load in every(2, [100.0, 150.0, 200.0])]
    assert weights_kg == sorted(weights_kg) and weights_kg[0] < weights_kg[-1]


def test_a_wish_that_cannot_be_had_names_the_limit_and_the_nearest_that_can(monkeypatch: pytest.MonkeyPatch) -> None:
    """As if 120 kg were the most at 2 m: the nearest changes one answer, welders first, then reach and load in turn."""
    asked = wish(2.4, 2.0, 150.0, 0)
    tried: list[Wish] = []

    drawn = sketch(asked)

    def as_if(one: Wish, _stop: object, told: Told) -> tuple[NewRig | None, str]:
        tried.append(one)
        told(Step(2, "cure", 111.4, "jib mast: foot weld", 1.3))
        held = one.load.best * one.reach_m <= 240.0 + 1e-9
        return (NewRig(job=drawn, weight_kg=100.0), "") if held else (None, "jib mast: foot weld")

    said: list[tuple[float, str]] = []
    monkeypatch.setattr(planning_of_new_rigs, "_sized", as_if)
    found = new_rig(asked, tell=lambda share, trying="": said.append((share, trying)))
    assert found.near == NewRig(job=drawn, weight_kg=100.0), "the rig for it comes along"
    step = "round 2, 112 kg so far, jib mast: foot weld at 130 %"
    assert said[0] == (0.0, step) and said[2][1] == f"not at this wish; hook 1\u202f800 mm out: {step}"
    assert [share for share, _ in said] == sorted(share for share, _ in said)
    assert found.job is None and found.limit == "jib mast: foot weld" and found.nearest is not None
    changed = [name for name in asked.__struct_fields__ if getattr(asked, name) != getattr(found.nearest, name)]
    assert changed == ["reach_m"] and found.nearest.reach_m == pytest.approx(0.8 * 2.0)
    assert tried[1].quality == "qualified_ndt" and len(tried) == 5


@pytest.mark.slow
def test_what_a_truck_cannot_carry_is_said_by_its_limit() -> None:
    """900 kg at 3 m asks more of a 2.5 t truck than it has: some 31 kNm about its front axle, and the rig besides."""
    found, limit = planning_of_new_rigs._sized(wish(2.4, 3.0, 900.0, 0), never)
    assert found is None and limit


def test_what_nobody_said_of_floor_plate_and_sling_is_not_made_up() -> None:
    asked = structs.replace(wish(2.4, 1.5, 60.0, 0), plate=None, fall_along=None, fall_across=None, sling_rated_kg=None)
    job = new_rig(asked).job
    assert job is not None and job.truck.plate is None and job.load.rigging is not None
    assert job.load.rigging.tag is None
    assert (job.floors[0].fall_along, job.floors[0].fall_across) == (None, None)
    guess = Estimate(best=0.01, known="guess")
    answered = structs.replace(
        job,
        truck=structs.replace(job.truck, plate=Plate(rows=(PLATE,))),
        floors=(structs.replace(job.floors[0], fall_along=guess, fall_across=guess),),
    )
    unrated = evaluate(answered, answered.poses[0])
    assert unrated.state == "NOT PROVEN"
    assert [problem.where for problem in unrated.not_entered] == ["load.rigging.tag"]
    rigging = structs.replace(job.load.rigging, tag=SlingTag(vertical_kg=1000.0))
    rated = structs.replace(answered, load=structs.replace(job.load, rigging=rigging))
    assert evaluate(rated, rated.poses[0]).state == "WITHIN"


def test_a_sling_that_does_not_take_the_load_is_refused_with_the_pull_in_it() -> None:
    """150 kg and 10 kg of rigging pull 1.25 times as hard as they weigh: at least 200 kg, before any swing."""
    with pytest.raises(EditError) as refusal:
        new_rig(structs.replace(wish(2.4, 2.0, 150.0, 0), sling_rated_kg=180.0))
    assert refusal.value.where == "sling's rating"
    pull_kg = float(refusal.value.numbers["pull"])
    assert 1.25 * 160.0 < pull_kg < 1.1 * 1.25 * 160.0


def test_a_sling_well_within_its_rating_is_looked_at_without_a_verdict(monkeypatch: pytest.MonkeyPatch) -> None:
    """A guessed load adds most in the worst case: less than its use again."""
    asked: list[Job] = []

    def counted(job: Job, pose: Pose) -> Verdict:
        asked.append(job)
        return evaluate(job, pose)

    monkeypatch.setattr(planning_of_new_rigs, "evaluate", counted)
    one = wish(2.4, 2.0, 150.0, 0, "guess")
    job = sketch(one)
    planning_of_new_rigs._refuse_weak_sling(one, job)
    assert not asked
    weaker = structs.replace(one, sling_rated_kg=200.0)
    with pytest.raises(EditError):
        planning_of_new_rigs._refuse_weak_sling(weaker, sketch(weaker))
    assert len(asked) == 1
    walked = {check.name: float(check.use) for check in find_rig_checks(job, figures(job, job.poses[0]))}
    worst = {check.name: use for check, use in evaluate(job, job.poses[0]).worst_uses if check.part == "sling"}
    assert worst and all(use < 2.0 * walked[name] for name, use in worst.items())


def test_a_load_that_would_stand_on_the_floor_is_refused() -> None:
    low = structs.replace(wish(2.0, 2.0, 60.0, 0), sling_m=0.8, box_m=(None, None, 1.2))
    with pytest.raises(EditError) as refusal:
        new_rig(low)
    assert refusal.value.where == "hook height"


@pytest.mark.slow
def test_a_hook_to_the_side_gets_a_rig_that_holds_there() -> None:
    one = structs.replace(wish(2.4, 2.0, 80.0, 1), side_m=-0.3)
    assert holds(one, new_rig(one))


@pytest.mark.parametrize("name", CLASSES)
def test_a_plate_that_nobody_read_is_sized_for_as_one_that_fits_the_truck(name: str) -> None:
    truck = typical_truck(name)
    assert list(truck_entries.problems(structs.replace(truck, plate=Plate(rows=(usual_plate(truck),))))) == []


def test_a_sketch_looks_for_room_in_few_places_and_stands_where_the_rig_will(monkeypatch: pytest.MonkeyPatch) -> None:
    tried: list[Layout] = []
    monkeypatch.setattr(planning_of_new_rigs, "draft", lambda *wished: tried.append(wished[2]) or draft(*wished))
    rooms: list[float] = []
    room = planning_of_new_rigs._room_m
    monkeypatch.setattr(planning_of_new_rigs, "_room_m", lambda job, pose: rooms.append(room(job, pose)) or rooms[-1])
    for asked in (wish(2.4, 2.0, 150.0, 0), wish(2.2, 2.0, 100.0, 1), wish(2.4, 2.5, 200.0, 2)):
        tried.clear()
        sketch(asked)
        assert tried[-1] == next(planning_of_new_rigs._layouts(asked, Catalogue(asked)))
    rooms.clear()
    sketch(wish(0.8, 3.0, 100.0, 2))
    assert 0 < len(rooms) <= len(planning_of_new_rigs.SPANS) and max(rooms) < 0.0, "nowhere, but soon told"


@pytest.mark.slow
def test_every_step_of_a_sizing_names_its_round_its_weight_and_the_limit_in_hand() -> None:
    steps: list[Step] = []
    found = Sizing(Catalogue(wish(2.4, 1.5, 60.0, 0)), Layout(foot_x_m=0.65), told=steps.append).run()
    assert found is not None and {step.doing for step in steps} == {"cure", "lighten", "prove"}
    assert steps[0].round == 1 and [step.round for step in steps] == sorted(step.round for step in steps)
    assert all(step.use > RESERVE and ": " in step.limit for step in steps if step.doing == "cure")
    assert all(step.use <= RESERVE + 1e-9 for step in steps if step.doing == "lighten")
    assert steps[-1].weight_kg >= found[0].weight_kg > 0.0


def test_a_change_that_was_looked_at_is_foreseen_and_few_verdicts_are_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fewer looks than there are sizes of all parts together."""
    looks: list[Job] = []
    verdicts: list[Job] = []

    def look(job: Job, numbers: Figures) -> list[Check]:
        looks.append(job)
        return find_rig_checks(job, numbers)

    def judge(job: Job, pose: Pose) -> Verdict:
        verdicts.append(job)
        return evaluate(job, pose)

    monkeypatch.setattr(first_rig_sizing, "find_rig_checks", look)
    monkeypatch.setattr(first_rig_sizing, "evaluate", judge)
    catalogue = Catalogue(wish(2.4, 2.0, 100.0, 0))
    found = Sizing(catalogue, Layout(foot_x_m=0.8)).run()
    assert found is not None
    sizes = sum(len(part.sizes) for part in catalogue.parts)
    assert len(looks) < sizes and len({id(job) for job in looks}) == len(looks), "no choice is looked at twice"
    assert len(verdicts) <= 4


def test_it_stops_when_it_is_told_to() -> None:
    asked = iter([False, False, True])
    with pytest.raises(Stopped):
        new_rig(wish(2.4, 2.0, 150.0, 0), stop=lambda: next(asked, True))


class Thinned(Catalogue):
    """A catalogue of three sizes for a few parts and one for the rest: small enough to try every rig there is."""

    def __init__(self, one: Wish, around: tuple[int, ...], free: tuple[str, ...]) -> None:
        super().__init__(one)
        parts = []
        for part, at in zip(self.parts, around, strict=True):
            low = max(min(at - 1, len(part.sizes) - 3), 0)
            sizes = part.sizes[low : low + 3] if part.name in free else (part.sizes[at],)
            parts.append(Part(part.name, sizes))
        self.parts = tuple(parts)


@pytest.mark.slow
@pytest.mark.parametrize("load", every(4, [160.0, 80.0, 120.0, 200.0]))
def test_no_rig_of_a_thinned_catalogue_is_lighter_by_more_than_three_per_cent(load: float) -> None:
    """Against every combination of three sizes of the parts that weigh most and of one joint."""
    one = wish(2.4, 1.8, load, 0)
    layout = Layout(foot_x_m=0.65)
    whole = Sizing(Catalogue(one), layout)
    found = whole.run()
    assert found is not None
    free = ("boom", "mast", "cross", "strap")
    thinned = Thinned(one, found[0].choice, free)
    sizing = Sizing(thinned, layout)
    mine = sizing.run()
    assert mine is not None
    lightest = math.inf
    for choice in itertools.product(*(range(len(part.sizes)) for part in thinned.parts)):
        tried = sizing.tried(choice)
        if tried is None or tried.weight_kg >= min(lightest, mine[0].weight_kg):
            continue
        verdict = evaluate(tried.job, tried.job.poses[0])
        if max(use for check, use in verdict.worst_uses if is_sized(check)) <= RESERVE:
            lightest = tried.weight_kg
    assert mine[0].weight_kg <= 1.03 * min(lightest, mine[0].weight_kg)


def test_sizes_that_go_down_stay_within_their_lists() -> None:
    one = wish(2.4, 1.8, 80.0, 1)
    catalogue = Catalogue(one)
    sizing = Sizing(catalogue, Layout(foot_x_m=0.65))
    start = sizing.start()
    assert start is not None
    for place, part in enumerate(catalogue.parts):
        for step in (-40, 40):
            assert sizing._step(start, place, step) is None
        if isinstance(part.sizes[0], RectTube):
            assert catalogue.is_tube(place)
    assert first_rig_sizing.START < 1.0
