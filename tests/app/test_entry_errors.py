"""Why an entry cannot be, as the person at the field reads it: no paths, no brackets, no bare SI."""

from __future__ import annotations

import re

import pytest

from app.panels.forms import get
from engine.base.errors import TailweightError
from engine.explain.refusals import words_of
from engine.limits import part_sizes
from engine.shop import edits, pose_edits
from tests.samples import sample

PATH_SPEAK = re.compile(r"[\[\]{}_$`]|\.best|\brig:|\brig\.|\btruck\.")


def refused(path: str, value: float, units: str = "metric") -> str:
    job = sample("skerry_point_boatyard")
    with pytest.raises(TailweightError) as error:
        edits.set_value(job, path, value)
    name = path.removesuffix(".best").removesuffix(".low").removesuffix(".high").rpartition(".")[2]
    return words_of(error.value, name, units)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        ("floors[0].fall_along.best", 0.36, "36 % cannot be: at most 35 %. Did you mean 3.6 % or 0.36 %?"),
        ("policy.design_factor", 1.0, "1 cannot be: at least 2."),
        (
            "rig.boom.length_m",
            90.0,
            "90\u202f000 mm cannot be: at most 50\u202f000 mm. Did you mean 900 mm or 2\u202f286 mm?",
        ),
        ("rig.boom.hole_pitch_m", 0.0, "0 mm cannot be: more than 0 mm."),
        ("load.mass_kg.low", 500.0, "500 kg is more than the best value, 185 kg."),
    ],
)
def test_a_bound_is_told_in_the_units_shown(path: str, value: float, words: str) -> None:
    assert refused(path, value) == words


def test_the_same_in_pounds_and_inches() -> None:
    assert refused("load.mass_kg.low", 500.0, "us") == "1\u202f102.311 lb is more than the best value, 407.855 lb."
    words = refused("rig.boom.section.wall_m", 0.06, "us")  # 25 mm is 63/64 in to a thousandth, 60 mm 2.362 in
    assert "63/64 in" in words and "2.362 in" in words


def test_a_sentence_of_the_model_has_no_names_of_its_code() -> None:
    words = refused("rig.boom.section.wall_m", 0.06)
    assert "25 mm" in words and "60 mm" in words and not PATH_SPEAK.search(words)


def test_no_number_of_the_job_is_refused_in_the_words_of_the_code() -> None:
    """Every number of a sample, far too large, negative and nothing at all."""
    job = sample("skerry_point_boatyard")
    for root in ("truck", "rig", "load", "policy"):
        for entry in part_sizes.entries(getattr(job, root), root):
            whole = isinstance(get(job, entry.where), int)
            for value in (1e9, -1e9, 0.0):
                try:
                    edits.set_value(job, entry.where, int(value) if whole else value)
                except TailweightError as error:
                    name = re.sub(r"\[\d+\]", "", entry.where.rpartition(".")[2])
                    words = words_of(error, name, "metric")
                    assert not PATH_SPEAK.search(words), (entry.where, words)
                    assert words.endswith((".", "?"))


def test_a_pose_that_cannot_be_is_told_in_the_units_shown() -> None:
    job = sample("skerry_point_boatyard")
    for changes in ({"lift_m": 9.0}, {"lift_m": -1.0}, {"tilt_rad": 1.0}, {"hole": None, "free_out_m": 5.0}):
        with pytest.raises(TailweightError) as error:
            pose_edits.typed_pose(job, job.poses[0], **changes)
        name = next(name for name, value in changes.items() if value is not None)
        for units in ("metric", "us"):
            words = words_of(error.value, name, units)
            assert not PATH_SPEAK.search(words), words
            assert any(unit in words for unit in (" mm", " m", "°", " ft", " in", '"')), words
