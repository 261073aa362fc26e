"""``python -m engine new``: a wish on the command line, a rig in a file, what came of it in words."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from engine.cli import command_line, new_command
from engine.planning.new_rig import NewRig, sketch
from engine.schema import rig_file
from engine.schema.quantities import Estimate
from engine.shop.first_rig import Wish
from engine.shop.truck_classes import typical_truck

ANSWERS = ["--truck", "2.5 t", "--height", "2.4 m", "--reach", "1.8 m", "--load", "60"]
PLATE = ["--plate", "2268", "610", "3300"]


def wish(reach_m: float = 1.8) -> Wish:
    return Wish(
        name="bench jib",
        truck=typical_truck("2.5 t"),
        hook_height_m=2.4,
        reach_m=reach_m,
        load=Estimate(best=150.0, known="guess"),
    )


@pytest.mark.slow
def test_a_rig_is_written_that_the_check_command_finds_within(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "new.rig.json"
    assert command_line.main(["new", str(out), *ANSWERS, *PLATE, "--floor", "level", "--sling", "500"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("A rig that holds") and "90 % at most" in said and "Jib mast: " in said
    assert command_line.main(["check", str(out)]) == 0
    job = rig_file.read(out)
    assert job.load.mass_kg.best == 60.0 and job.poses[0].loaded


def test_what_is_still_missing_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(new_command, "new_rig", lambda one, tell: NewRig(job=sketch(one), weight_kg=200.0))
    said = new_command.as_text(wish(), new_command.new_rig(wish(), tell=lambda _: None))
    lacking = (
        "the floor's slope is not entered, the truck's plate is not entered and "
        "the rating on the sling's tag is not entered"
    )
    assert f"no verdict on it yet: {lacking}." in said
    assert "Taken as usual, not entered: length, width and height of the load, 500 mm each" in said


@pytest.mark.parametrize(
    ("nearest", "words"),
    [
        (None, "Nothing near it can be had either"),
        (wish(1.5), "With the hook 1 500 mm from the fork face it can be had"),
    ],
)
def test_a_wish_that_cannot_be_had_says_the_limit_and_the_nearest(nearest: Wish | None, words: str) -> None:
    found = NewRig(limit="jib mast: foot weld", nearest=nearest)
    said = new_command.as_text(wish(), found)
    assert "jib mast: foot weld stays over" in said and words in said.replace("\u202f", " ").replace("\u00a0", " ")
    exact = json.loads(new_command.as_json(found))
    assert exact["found"] is False and exact["limit"] == "jib mast: foot weld"


@pytest.mark.parametrize(
    ("wrong", "place"),
    [
        (["--height", "tall"], "--height"),
        (["--reach", "0"], "--reach"),
        (["--load", "-5"], "--load"),
        (["--truck", "9 t"], "class"),
    ],
)
def test_an_answer_that_cannot_be_read_is_refused_with_its_place(
    wrong: list[str], place: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "new.rig.json"
    assert command_line.main(["new", str(out), *ANSWERS, *wrong]) == 2
    assert place in capsys.readouterr().err and not out.exists()
