"""Names of entered lengths: kept while they read as the entry, else by the value."""

from __future__ import annotations

import json
from pathlib import Path

import msgspec
import pytest

from engine.base.errors import RigFileError
from engine.base.typed import length_name, named_length_m, read
from engine.schema import nominals, rig_file
from engine.schema.model import Job
from engine.shop import edits
from engine.worst_case.structure import Structure
from tests.samples import sample

PIN = "rig.boom.pin.diameter_m"
WHEELBASE = "truck.wheelbase_m.best"
INCH = 0.0254


def typed_in(job: Job, path: str, value: object, name: str) -> Job:
    """The job after a person typed at a path."""
    return nominals.with_name(job, edits.set_value(job, path, value), path, name)


@pytest.fixture
def job() -> Job:
    return sample("skerry_point_boatyard")


# ---------------------------------------------------------------- what is kept of typed text


@pytest.mark.parametrize(
    ("text", "kind", "system", "name"),
    [
        ("20", "size", "metric", "20 mm"),
        ("20mm", "size", "us", "20 mm"),
        ("5/16", "size", "us", "5/16 in"),
        ('5/16"', "size", "metric", "5/16 in"),
        ("0.188", "size", "us", "0.188 in"),
        ("2½", "size", "us", "2-1/2 in"),
        ("2500 thou", "size", "metric", "2500 thou"),
        ("102", "length", "us", "102 in"),
        ("8-6", "length", "us", "8 ft 6 in"),
        ("8' 6½\"", "length", "metric", "8 ft 6-1/2 in"),
        ("2 400", "length", "metric", "2400 mm"),
        ("1.070,5", "length", "metric", "1070.5 mm"),
        ("2.4 m", "length", "us", "2.4 m"),
        ("-10", "length", "metric", "-10 mm"),
    ],
)
def test_what_was_typed_is_kept_with_its_unit_and_reads_the_same_anywhere(
    text: str, kind: str, system: str, name: str
) -> None:
    value_m = read(text, kind, system).value
    assert value_m is not None
    assert length_name(text, kind, system, value_m) == name
    assert named_length_m(name) == pytest.approx(value_m, abs=1e-7)


def test_of_two_readings_the_one_taken_is_kept() -> None:
    assert length_name("1,070", "length", "metric", 1.07) == "1070 mm"
    assert length_name("1,070", "length", "metric", 0.00107) == "1.07 mm"
    assert length_name("20", "size", "metric", 0.021) == "", "it was not what was taken"


def test_a_gauge_is_kept_as_the_inches_that_were_chosen() -> None:
    offer = read("11 ga", "size", "us").offers[0]
    assert length_name(offer.name, "size", "us", offer.value) == "0.12 in"


@pytest.mark.parametrize("name", ["20", "5/16", "8-6", "11 ga", "1,070 mm", "", "twenty mm", "20 kg"])
def test_without_a_unit_or_with_two_readings_it_names_nothing(name: str) -> None:
    assert named_length_m(name) is None


# ---------------------------------------------------------------- names by the value


@pytest.mark.parametrize(
    ("value_mm", "design", "name"),
    [
        (20.0, "metric", "20 mm"),
        (20.0, "us", "20 mm"),
        (20.5, "us", "20.5 mm"),
        (20.009, "us", "20.01 mm"),
        (7.9375, "us", "5/16 in"),
        (7.9375, "metric", "5/16 in"),
        (3.9725, "us", "5/32 in"),  # 0.15640 in, 0.00015 off
        (3.962, "us", "0.156 in"),  # 0.15598 in, 0.00027 off
        (6.4, "metric", "6.4 mm"),
        (6.4, "us", "0.252 in"),
        (4.7752, "us", "0.188 in"),
        (2400.3, "us", "7 ft 10-1/2 in"),
        (25.4, "metric", "1 in"),
    ],
)
def test_without_a_name_the_design_s_unit_goes_first_then_the_one_it_is_round_in(
    value_mm: float, design: str, name: str
) -> None:
    assert nominals.name_by_value(value_mm / 1000.0, design) == name


def test_most_of_the_rig_decides_the_unit_of_the_design_whatever_is_shown(job: Job) -> None:
    assert nominals.design_unit(job) == "metric"
    shown = msgspec.structs.replace(job, units="us")
    assert nominals.design_unit(shown) == "metric"
    lengths = nominals.lengths_of(job)
    assert [nominals.nominal_text(job, path) for path in lengths] == [
        nominals.nominal_text(shown, path) for path in lengths
    ]
    names = {path: f"{value_m / INCH:.7f} in" for path, value_m in lengths.items() if path.startswith("rig")}
    in_inches = msgspec.structs.replace(job, nominals=names)
    assert nominals.design_unit(in_inches) == "us"


# ---------------------------------------------------------------- while it is valid


def test_a_typed_name_is_what_the_size_is_called_until_another_edit(job: Job) -> None:
    assert nominals.nominal_text(job, PIN) == f"{job.rig.boom.pin.diameter_m * 1000:g} mm"
    named = typed_in(job, PIN, 0.75 * INCH, "0.750 in")
    assert nominals.nominal_text(named, PIN) == "0.750 in"
    stretched = edits.set_value(named, PIN, 0.019)
    assert nominals.nominal_text(stretched, PIN) == "19 mm"
    assert nominals.kept(stretched).nominals == {}
    assert nominals.kept(named) is named


def test_a_name_is_valid_to_a_tenth_of_a_micrometre(job: Job) -> None:
    def with_pin(diameter_m: float) -> Job:
        return msgspec.structs.replace(edits.set_value(job, PIN, diameter_m), nominals={PIN: "0.75 in"})

    assert nominals.entered_name(with_pin(0.01905 + 0.9e-7), PIN) == "0.75 in"
    assert nominals.entered_name(with_pin(0.01905 + 1.1e-7), PIN) == ""


def test_a_step_or_a_drag_to_the_same_value_takes_the_name_out(job: Job) -> None:
    named = typed_in(job, PIN, 0.75 * INCH, "3/4 in")
    assert nominals.with_name(named, edits.set_value(named, PIN, 0.019), PIN, "").nominals == {}


def test_typing_what_it_is_called_already_changes_nothing(job: Job) -> None:
    before = job.rig.boom.pin.diameter_m
    assert typed_in(job, PIN, before, nominals.nominal_text(job, PIN)).nominals == {}


def test_only_lengths_of_rig_truck_and_load_have_names(job: Job) -> None:
    assert typed_in(
        job, "truck.wheelbase_m", msgspec.structs.replace(job.truck.wheelbase_m, best=1.6), "1.6 m"
    ).nominals == {WHEELBASE: "1.6 m"}
    for path, value in (("kerf_m", 0.002), ("poses[0].lift_m", 1.0), ("truck.mass_kg.best", 0.02), ("rig.name", "jib")):
        changed = msgspec.structs.replace(job, nominals={path: "20 mm"})
        assert nominals.entered_name(changed, path) == "", path
        assert nominals.with_name(job, job, path, "20 mm").nominals == {}, (path, value)


def test_the_names_of_arms_go_with_them(job: Job) -> None:
    assert len(job.rig.arms) == 2
    first, second = "rig.arms[0].length_m", "rig.arms[1].length_m"
    job = typed_in(typed_in(job, first, 30 * INCH, "30 in"), second, 24 * INCH, "2 ft")
    removed = edits.remove_arm(job, 0)
    assert removed.nominals == {first: "2 ft"}
    added = edits.add_arm(removed)
    assert added.nominals == {first: "2 ft", second: "2 ft"}
    assert edits.remove_arm(job, 1).nominals == {first: "30 in"}


def test_another_s_rig_put_in_its_place_has_none_of_its_names(job: Job) -> None:
    named = typed_in(job, PIN, 0.75 * INCH, "3/4 in")
    other = msgspec.structs.replace(named, rig=job.rig)
    assert nominals.kept(other).nominals == {}


def test_names_are_nothing_that_a_recording_depends_on(job: Job) -> None:
    shape = Structure(job, ())._key
    assert Structure(msgspec.structs.replace(job, nominals={PIN: "20 mm"}), ())._key == shape


def test_jobs_are_keys_of_what_is_kept_with_names_too(job: Job) -> None:
    named, other = (msgspec.structs.replace(job, nominals={PIN: name}) for name in ("20 mm", "2 cm"))
    kept = {named: 1, other: 2, job: 3}
    assert kept[msgspec.structs.replace(job, nominals={PIN: "20 mm"})] == 1 and len(kept) == 3


# ---------------------------------------------------------------- in a file


def test_a_file_without_names_is_saved_without_the_key() -> None:
    for path in sorted(Path("sample_rigs").glob("*.rig.json")):
        assert b"nominals" not in rig_file.encode(rig_file.read(path)), path.name


def test_names_are_kept_in_the_file(job: Job) -> None:
    named = typed_in(job, PIN, 0.75 * INCH, "3/4 in")
    data = rig_file.encode(named)
    assert json.loads(data)["nominals"] == {PIN: "3/4 in"}
    opened = rig_file.decode_with_changes(data)
    assert opened.job == named and opened.changes == ()
    assert rig_file.encode(opened.job) == data


def test_names_that_no_longer_fit_are_left_out_and_it_is_said(job: Job) -> None:
    raw = json.loads(rig_file.encode(job))
    raw["nominals"] = {PIN: "22 mm", "rig.no_such_m": "5 mm", "rig.boom.length_m": "long", "poses[0].lift_m": "1 m"}
    opened = rig_file.decode_with_changes(json.dumps(raw).encode())
    assert opened.job == job
    (words,) = opened.changes
    assert "4 of these no longer fit" in words and "“22 mm”, “5 mm”, “long”, 1 more" in words


@pytest.mark.parametrize("wrong", [["20 mm"], {PIN: 20}, {PIN: ""}, {PIN: "2" * 41}, None])
def test_what_can_be_no_names_is_refused(job: Job, wrong: object) -> None:
    raw = json.loads(rig_file.encode(job))
    raw["nominals"] = wrong
    with pytest.raises(RigFileError, match="nominals"):
        rig_file.decode(json.dumps(raw).encode())
