"""The same pose shows the same figures in window, text, JSON and on paper, each with its stated rounding."""

from __future__ import annotations

import functools
import json
import math
import re
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
from hand import block_words

import app.papers.pick_sheet
from app.documents.files import SAMPLES
from app.papers.output import make
from app.shell.window import Window
from engine.cli import verdict_report
from engine.planning.move import plan
from engine.worst_case.verdict import Verdict, evaluate
from tests.app.paper_reader import DATE, words_of
from tests.samples import sample
from tests.thoroughness import every

pytestmark = pytest.mark.usefixtures("qapp")

REPLACE = msgspec.structs.replace
KG_PER_LB = 0.45359237
"""Exact, by definition (NIST SP 811)."""

PER_UNIT = {"metric": 1.0, "us": KG_PER_LB}
COARSE_FROM = {"metric": 100, "us": 200}
COARSE = {"metric": 5, "us": 10}
"""The rule of the papers: whole units when small, then fives of kilograms and tens of pounds."""

ROUND_OFF = 1e-9


def on_screen(value_kg: float, units: str, *, up: bool) -> int:
    """Whole units of a weight, by hand."""
    number = value_kg / PER_UNIT[units]
    return math.ceil(number - ROUND_OFF) if up else math.floor(number + ROUND_OFF)


def on_paper(value_kg: float, units: str, *, up: bool) -> int:
    """The same on a paper."""
    step = COARSE[units] if abs(value_kg) / PER_UNIT[units] >= COARSE_FROM[units] - ROUND_OFF else 1
    number = value_kg / PER_UNIT[units] / step
    return step * (math.ceil(number - ROUND_OFF) if up else math.floor(number + ROUND_OFF))


def number_after(words: str, text: str) -> int:
    """The first weight after some words."""
    found = re.search(rf"{words}\D{{0,12}}?(-?[\d ]+) (?:kg|lb)\b", text.replace("\u202f", ""))
    assert found, f"{words!r} in {text!r}"
    return int(found[1].replace(" ", ""))


def nearest(value_kg: float, units: str) -> int:
    """An entry in whole units."""
    return round(value_kg / PER_UNIT[units])


def added_up(answer: dict, rigging_kg: float, units: str) -> tuple[int, int]:
    """Load and rigging as they stand beside each other: together never more than may hang."""
    load, rigging = on_screen(answer["allowed_load_kg"], units, up=False), nearest(rigging_kg, units)
    both = on_screen(answer["allowed_hook_load_kg"], units, up=False)
    return load - max(load + rigging - both, 0), rigging


def sum_of(row: str, load: int, rigging: int) -> str:
    """A row of the load table as it is read aloud."""
    return f"{row}: load {load} + rigging {rigging} = hook load {load + rigging}"


@functools.cache
def judged(name: str, index: int) -> Verdict:
    """The verdict on a pose of a sample, with all that takes seconds; units are no part of it."""
    job = sample(name)
    return evaluate(job, job.poses[index])


def answer_of(name: str, index: int, units: str | None = None) -> dict:
    """What another program reads of a pose of a sample, shown in other units."""
    job = sample(name)
    shown = REPLACE(job, units=units or job.units)
    return json.loads(verdict_report.as_json(shown, shown.poses[index], judged(name, index)))


@pytest.mark.parametrize("units", PER_UNIT)
@pytest.mark.parametrize("name", every(2, tuple(SAMPLES)))
def test_window_text_and_json_show_the_same_figures(make_window: Callable[..., Window], name: str, units: str) -> None:
    window = make_window(name)
    window.document.set_job(REPLACE(window.document.job, units=units), "units")
    job = window.document.job
    for index, pose in enumerate(job.poses):
        window.document.show_pose(index)
        verdict = judged(name, index)
        answer, text = (
            answer_of(name, index, units),
            verdict_report.as_text(job, pose, verdict, units).replace("\u202f", ""),
        )
        if answer["tip_lines"]:
            for box, words, key, worst in (
                ("Rear wheels", "rear weight left", "rear_weight_left_settled_kg", "rear_weight_left_kg"),
                (
                    "Lightest front wheel",
                    "lightest front wheel, \\w+,",
                    "light_front_wheel_settled_kg",
                    "light_front_wheel_kg",
                ),
            ):
                shown = on_screen(answer[key], units, up=False)
                block = window.block.text(box)
                assert number_after("as entered", block) == shown
                assert number_after(f"no allowances:(?s:.*?){words}", text) == shown
                if answer["worst"] is not None:
                    at_worst = on_screen(answer["worst"][worst], units, up=False)
                    assert number_after("^", block) == at_worst
                    assert number_after(f"thin end:(?s:.*?){words.partition(',')[0]}", text) == at_worst
            tipping = answer["tipping_load_settled_kg"]
            if tipping is not None:
                assert number_after("no allowances:(?s:.*?)tipping load", text) == on_screen(tipping, units, up=False)
        if answer["hook_load_kg"]:
            load, rigging = on_screen(answer["load_kg"], units, up=True), nearest(answer["rigging_kg"], units)
            assert block_words(window, "now").replace("\u202f", "") == sum_of("now", load, rigging)
            for words, number in (("load", load), ("rigging", rigging), ("hook load", load + rigging)):
                assert number_after(f"On the hook:.*?{words}", text) == number
        most = block_words(window, "most").replace("\u202f", "")
        if answer["allowed_load_kg"] is None:
            assert most == "most: none given"
        elif not answer["allowed_load_kg"]:
            assert most == "most: nothing"
        else:
            load, rigging = added_up(answer, job.load.rigging_kg.best, units)
            assert most == sum_of("most", load, rigging)
            assert number_after("Allowed load here:", text) == load
            assert number_after("Allowed load here:.*hook load", text) == load + rigging


@pytest.mark.parametrize("units", PER_UNIT)
@pytest.mark.parametrize("name", every(2, tuple(SAMPLES), 1))
def test_text_and_window_show_the_same_use_of_the_governing_limit(
    make_window: Callable[..., Window], name: str, units: str
) -> None:
    window = make_window(name)
    window.document.set_job(REPLACE(window.document.job, units=units), "units")
    job = window.document.job
    for index, pose in enumerate(job.poses):
        window.document.show_pose(index)
        verdict = judged(name, index)
        if verdict.governing is None or verdict.governing.of == "room":
            continue
        answer, text = answer_of(name, index, units), verdict_report.as_text(job, pose, verdict, units)
        shown = f"{math.ceil(100.0 * answer['governing_use'] - ROUND_OFF)} %"
        assert shown in block_words(window, "gives first")
        assert f"Governing part: {answer['governing']}, {shown} used in the worst case" in text
        assert (int(shown[:-2]) > 100) == (answer["governing_use"] > 1.0)


@pytest.mark.parametrize(("name", "units"), tuple(zip(tuple(SAMPLES)[:4], ("metric", "us") * 2, strict=True)))
def test_the_pick_sheet_prints_the_same_figures_in_its_own_steps(
    name: str, units: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(app.papers.pick_sheet, "plan", functools.cache(plan))  # the sheets of all poses ask for it
    job = REPLACE(sample(name), units=units)
    for index, pose in enumerate(job.poses):
        answer, text = answer_of(name, index, units), words_of(make("pick", job, pose, "a4", DATE), tmp_path)
        if answer["allowed_load_kg"] is None:
            continue
        load = on_paper(answer["allowed_load_kg"], units, up=False)
        rigging = nearest(job.load.rigging_kg.best, units) if load else 0
        assert number_after("load at most", text) == load
        assert number_after(r"not included \(hook load", text) == load + rigging
        worst = answer["worst"]
        for words, value_kg in (
            ("rear weight left, worst case", worst["rear_weight_left_kg"]),
            ("lightest front wheel, worst case", worst["light_front_wheel_kg"]),
            ("rigging not included, worst case", worst["tipping_load_kg"]),
        ):
            if value_kg is not None:
                assert number_after(words, text) == on_paper(value_kg, units, up=False), words


@pytest.mark.parametrize("name", tuple(SAMPLES)[:4])
def test_the_hand_check_works_on_rigid_tyres_and_says_what_the_window_shows(name: str, tmp_path: Path) -> None:
    """Its own sums to a tenth of a kilogram, as a sum that is redone by hand needs, and never less than is shown."""
    job = sample(name)
    unit_kg = PER_UNIT[job.units]
    for index, pose in enumerate(job.poses):
        answer, text = answer_of(name, index), words_of(make("check", job, pose, "a4", DATE), tmp_path)
        if not answer["tip_lines"]:
            continue
        rigid = judged(name, index).balance
        assert rigid is not None
        rear = re.search(r"margin over the front line / \(g x wheelbase\) = .*? = (-?[\d.]+) kg", text)
        assert rear and float(rear[1]) == pytest.approx(float(rigid.rear_kg), abs=0.051)
        tips = re.search(r"first of all lines (-?[\d.]+) kg, rigging not included", text)
        others = text[text.index("So the other papers print:") :]
        leaned_kg = answer["rear_weight_left_settled_kg"]
        assert (
            number_after("rear wheels", others) == on_paper(leaned_kg, job.units, up=False) <= float(rear[1]) / unit_kg
        )
        if answer["tipping_load_settled_kg"] is not None:
            assert tips and float(tips[1]) == pytest.approx(float(rigid.tipping_load_kg), abs=0.051)
            tips_kg = answer["tipping_load_settled_kg"]
            assert (
                number_after("tipping load", others)
                == on_paper(tips_kg, job.units, up=False)
                <= float(tips[1]) / unit_kg
            )


@pytest.mark.parametrize("name", SAMPLES)
def test_json_says_nothing_allowed_as_nought_and_no_limit_as_such(name: str) -> None:
    for index in range(len(sample(name).poses)):
        answer = answer_of(name, index)
        assert (answer["allowed_load_kg"] is None) == (answer["state"] == "REFUSED")
        assert answer["hook_load_kg"] == pytest.approx(answer["load_kg"] + answer["rigging_kg"])
        for check in (*answer["checks"], *answer["gaps"], *(answer["worst"] or {"checks": ()})["checks"]):
            assert (check["allowed_load_kg"] is None) == (not check["limits_load"])
            assert check["allowed_load_kg"] is None or check["allowed_load_kg"] >= 0.0


def test_what_may_hang_on_an_empty_hook_leaves_room_for_the_rigging() -> None:
    """The sawmill's last pose has an empty hook: its 15 kg of rigging, weighed to 2 %, are not counted there yet."""
    job = sample("alder_fork_sawmill")
    assert not job.poses[-1].loaded
    answer = answer_of("alder_fork_sawmill", len(job.poses) - 1)
    least_kg = min(check["allowed_load_kg"] for check in answer["worst"]["checks"] if check["limits_load"])
    rigging_kg = job.load.rigging_kg.best
    assert answer["state"] != "REFUSED"
    assert least_kg - 1.1 * rigging_kg <= answer["allowed_load_kg"] <= least_kg - rigging_kg
    assert answer["allowed_hook_load_kg"] == pytest.approx(answer["allowed_load_kg"] + rigging_kg)
