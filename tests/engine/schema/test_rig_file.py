"""Rig files: what is written can be read; what cannot be a rig is refused with a place and a sentence."""

from __future__ import annotations

import json
import os
import random
import re
import stat
import time
from pathlib import Path

import msgspec
import pytest
from any_pose import jobs, policies
from hypothesis import given

from engine.base.errors import RigFileError
from engine.schema import rig_file
from engine.schema.model import Job
from engine.schema.validation import as_job, checked

REPLACE = msgspec.structs.replace


def refused(data: bytes) -> RigFileError:
    with pytest.raises(RigFileError) as caught:
        rig_file.decode(data, "f.rig.json")
    told = caught.value
    assert told.where and told.expected and told.got
    assert str(told).startswith(told.where)
    return told


def changed(path: Path, old: str, new: str) -> bytes:
    text = path.read_text(encoding="utf-8")
    assert old in text
    return text.replace(old, new, 1).encode()


@pytest.fixture
def boatyard_path() -> Path:
    return Path(__file__).parents[3] / "sample_rigs" / "skerry_point_boatyard.rig.json"


# ---------------------------------------------------------------- writing and reading back


def test_save_load_save_gives_the_same_bytes(sample: Job, tmp_path: Path) -> None:
    first, second = tmp_path / "a.rig.json", tmp_path / "b.rig.json"
    rig_file.write(sample, first)
    read = rig_file.read(first)
    rig_file.write(read, second)
    assert read == sample
    assert first.read_bytes() == second.read_bytes()


def test_the_sample_files_are_as_the_program_writes_them(sample_path: Path) -> None:
    """An entry added to the format later may be missing; reading and writing adds it and changes nothing else."""
    job = rig_file.read(sample_path)
    assert rig_file.decode(rig_file.encode(job)) == job


@given(jobs(), policies())
def test_any_job_survives_the_file(job: Job, policy: object) -> None:
    job = REPLACE(job, policy=policy)
    data = rig_file.encode(job)
    assert rig_file.decode(data) == job
    assert rig_file.encode(rig_file.decode(data)) == data


def test_writing_leaves_the_old_file_whole_when_the_job_cannot_be_written(boatyard: Job, tmp_path: Path) -> None:
    path = tmp_path / "rig.rig.json"
    rig_file.write(boatyard, path)
    before = path.read_bytes()
    unsound = REPLACE(boatyard, load=REPLACE(boatyard.load, sling_m=float("nan")))
    with pytest.raises(RigFileError):
        rig_file.write(unsound, path)
    assert path.read_bytes() == before
    assert [entry.name for entry in tmp_path.iterdir()] == [path.name]


def test_writing_over_a_file_keeps_its_permissions_and_leaves_nothing_beside_it(boatyard: Job, tmp_path: Path) -> None:
    path = tmp_path / "rig.rig.json"
    rig_file.write(boatyard, path)
    path.chmod(0o640)
    rig_file.write(boatyard, path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert [entry.name for entry in tmp_path.iterdir()] == [path.name]


def test_writing_through_a_link_changes_the_file_it_points_to(boatyard: Job, tmp_path: Path) -> None:
    real, link = tmp_path / "real.rig.json", tmp_path / "link.rig.json"
    rig_file.write(boatyard, real)
    link.symlink_to(real)
    rig_file.write(REPLACE(boatyard, name="changed"), link)
    assert link.is_symlink()
    assert rig_file.read(real).name == "changed"


def test_a_place_that_cannot_be_written_is_told(boatyard: Job, tmp_path: Path) -> None:
    with pytest.raises(RigFileError, match="place that can be written"):
        rig_file.write(boatyard, tmp_path / "no such folder" / "rig.rig.json")


def test_files_that_cannot_be_read_are_told(tmp_path: Path) -> None:
    for path in (tmp_path / "missing.rig.json", tmp_path):
        with pytest.raises(RigFileError, match="rig file that can be read"):
            rig_file.read(path)
    big = tmp_path / "big.rig.json"
    big.write_bytes(b" " * (rig_file.MAX_BYTES + 1))
    with pytest.raises(RigFileError, match="at most"):
        rig_file.read(big)
    if os.geteuid() != 0:
        big.chmod(0)
        with pytest.raises(RigFileError):
            rig_file.read(big)
    if Path("/dev/zero").exists():
        with pytest.raises(RigFileError, match="a pipe, a device"):
            rig_file.read("/dev/zero")


# ---------------------------------------------------------------- bad numbers and texts, each with its place

LENGTH = '"length_m": 0.95'
SLEEVES = "f.rig.json: rig.sleeves.length_m"


@pytest.mark.parametrize(
    ("new", "expected", "got"),
    [
        ("0", "a number over 0 m", "0"),
        ("-0.95", "a number over 0 m", "-0.95"),
        ("NaN", "a number over 0 m", "not a finite number"),
        ("Infinity", "a number of at most 50 m", "not a finite number"),
        ("-Infinity", "a number over 0 m", "not a finite number"),
        ("1e308", "a number of at most 50 m", "1e+308"),
        ("1e999", "a number of at most 50 m", "not a finite number"),
        ("9" * 400, "a number of at most 50 m", "not a finite number"),
        ("9" * 5000, "a number of at most 50 m", "not a finite number"),
        ("950", "a number of at most 50 m", "950"),
        ('"950 kg"', "a number in m", "'950 kg'"),
        ('"0.95"', "a number in m", "'0.95'"),
        ("null", "a number in m", "nothing"),
        ("true", "a number in m", "True"),
        ("[0.95]", "a number in m", "a list of 1"),
        ("{}", "a number in m", "an object"),
    ],
)
def test_a_length_that_cannot_be_is_refused_by_name(boatyard_path: Path, new: str, expected: str, got: str) -> None:
    told = refused(changed(boatyard_path, LENGTH, f'"length_m": {new}'))
    assert (told.where, told.expected, told.got) == (SLEEVES, expected, got)


@pytest.mark.parametrize(
    ("old", "new", "where", "expected", "got"),
    [
        (LENGTH, '"mass_kg": 0.95', "", "every key once", "twice"),
        (LENGTH, '"lenght_m": 0.95', "rig.sleeves", "only known keys", "'lenght_m'"),
        (f"{LENGTH},", "", "rig.sleeves", "the key 'length_m'", "no such key"),
        ('"units": "metric"', '"units": "imperial"', "units", "one of metric, us", "'imperial'"),
        ('"known": "typical"', '"known": "felt"', "truck.front_axle_kg.known", "weighed", "'felt'"),
        ('"shape": "rect_tube"', '"shape": "i_beam"', "rig.sleeves.section.shape", "rect_tube", "'i_beam'"),
        ('"best": 0.65', '"best": 0.65, "low": 0.9', "truck.cg_height_m.low", "agree", "0.9 is more than"),
        ('"best": 0.65', '"best": 0.65, "high": 0.2', "truck.cg_height_m.high", "agree", "0.2 is less than"),
        ('"wall_m": 0.008', '"wall_m": 0.05', "rig.sleeves.section", "", "thicker than the tube allows"),
        ('"diameter_m": 0.022', '"diameter_m": 0.06', "rig.sleeves.heel_hold.pin", "agree", "60 mm is larger than"),
        ('"turn_min_rad": -2.617994', '"turn_min_rad": 2.9', "rig.arms[0]", "agree", "turns left or up to 150°"),
        ('"lift_max_m": 3.3', '"lift_max_m": 0.01', "truck.upright", "agree", "10 mm is not over the least"),
        ('"first_hole_m": 0.6', '"first_hole_m": 1.6', "rig.boom", "agree", "hole 11"),
        ('"rear_x_m": -0.525', '"rear_x_m": 0.0', "rig.saddles", "agree", "more than one strap length"),
        ('"hole": 7', '"hole": 0', "poses[0].hole", "at least 1", "0"),
        ('"hole": 7', '"hole": 12', "poses[0].hole", "agree", "no hole 12"),
        ('"hole": 7', '"hole": 7.5', "poses[0].hole", "a whole number", "7.5"),
        ('"hole": 7', '"hole": null', "poses[0]", "agree", "neither is entered"),
        ('"name": "one hole further out"', '"name": "over the transom"', "poses", "agree", "two are called"),
        ('"floor": "slipway head"', '"floor": "nowhere"', "poses[0].floor", "agree", "none called ‘nowhere’"),
        ('"rated_kg": 2500.0', '"rated_kg": 0', "truck.plate.rows[0].rated_kg", "over 0 kg", "0"),
        ('"rows": [', '"rows": [], "was": [', "truck.plate", "", ""),
        ('"serial": ""', '"serial": 5', "truck.serial", "text", "5"),
        ('"name": "Two-arm jib"', '"name": " "', "rig.name", "something to read", "' '"),
        ('"name": "Two-arm jib"', '"name": ""', "rig.name", "at least 1 characters", "''"),
        ('"name": "Two-arm jib"', '"name": "\\ud800"', "rig.name", "no control characters", ""),
        ('"name": "Two-arm jib"', '"name": "\\u001b[2J"', "rig.name", "no control characters", ""),
        ('"fall_along": {', '"fall_along": 0.01, "was": {', "floors[0]", "", ""),
    ],
)  # fmt: skip
def test_an_entry_that_cannot_be_is_refused_by_name(
    boatyard_path: Path, old: str, new: str, where: str, expected: str, got: str
) -> None:
    told = refused(changed(boatyard_path, old, new))
    assert where in told.where
    assert expected in told.expected
    assert got in told.got


@pytest.mark.parametrize(
    ("new", "says"),
    [
        ("3", "at most 2, got 3. The file was written by a newer Tailweight"),
        ("9999999999999999999999", "newer"),
        ("2.5", "newer"),
        ("1e400", "newer"),
        ('"1"', "a whole number, got '1'"),
        ("0", "at least 1"),
        ("-1", "at least 1"),
        ("null", "a whole number"),
        ("true", "a whole number"),
        ("[]", "a whole number"),
    ],
)
def test_a_format_version_that_is_not_ours_is_refused(boatyard_path: Path, new: str, says: str) -> None:
    told = refused(changed(boatyard_path, '"format_version": 2', f'"format_version": {new}'))
    assert "format_version" in told.where
    assert says in str(told)


def test_a_key_twice_in_one_object_is_refused(boatyard_path: Path) -> None:
    told = refused(changed(boatyard_path, LENGTH, f"{LENGTH}, {LENGTH}"))
    assert "length_m" in told.where and "once" in told.expected


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (b"", "JSON"),
        (b"  \n", "JSON"),
        (b"null", "one object"),
        (b"[]", "one object"),
        (b"3", "one object"),
        (b'"rig"', "one object"),
        (b"{}", "the key 'name'"),
        (b"{]", "JSON"),
        (b"\xff\xfe{\x00}\x00", "UTF-8"),
        (b"\x00" * 50, "JSON"),
        (b"[" * 100_000, "nesting"),
        (b'{"name":' * 100_000, "nesting"),
        (b'{"a": "' + b"[" * 1000 + b'"}', ""),
    ],
    ids=lambda value: repr(value)[:20],
)
def test_what_is_no_rig_file_at_all_is_refused(data: bytes, expected: str) -> None:
    assert expected in refused(data).expected


def test_a_byte_order_mark_is_read_over(boatyard_path: Path) -> None:
    assert rig_file.decode(b"\xef\xbb\xbf" + boatyard_path.read_bytes()) == rig_file.read(boatyard_path)


def test_a_file_cut_short_anywhere_says_so(sample_path: Path) -> None:
    data = sample_path.read_bytes().rstrip()
    for end in range(0, len(data) - 1, 97):
        told = refused(data[:end])
        assert "JSON" in told.expected
        assert re.search(r"line \d+, column \d+", told.where), told.where
        assert "damaged or cut short" in str(told)


def test_deep_nesting_inside_text_is_only_text(boatyard_path: Path) -> None:
    data = changed(boatyard_path, '"serial": "', '"serial": "' + "[{" * 200)
    assert rig_file.decode(data).truck.serial.startswith("[{")


# ---------------------------------------------------------------- mutations


def mutated(data: bytes, rng: random.Random) -> bytes:
    """A file after one to three accidents: bytes changed, dropped, doubled, swapped with text that means something."""
    scraps = (
        b"null",
        b"-",
        b"1e999",
        b"{",
        b"}",
        b"[",
        b"]",
        b'"',
        b",",
        b":",
        b"NaN",
        b"\xff",
        b"\\",
        b"0",
        b"9" * 30,
        b"true",
        b"\x00",
    )
    for _ in range(rng.randint(1, 3)):
        at = rng.randrange(len(data))
        match rng.randrange(5):
            case 0:
                data = data[:at] + bytes([rng.randrange(256)]) + data[at + 1 :]
            case 1:
                data = data[:at] + data[at + rng.randint(1, 40) :]
            case 2:
                data = data[:at] + rng.choice(scraps) + data[at:]
            case 3:
                data = data[:at] + rng.choice(scraps) + data[at + rng.randint(1, 8) :]
            case _:
                piece = data[at : at + rng.randint(1, 60)]
                other = rng.randrange(len(data))
                data = data[:other] + piece + data[other:]
        data = data or b" "
    return data


def test_a_damaged_file_opens_or_is_refused_with_place_expected_and_got(sample_path: Path) -> None:
    rng = random.Random(sample_path.name)
    data = sample_path.read_bytes()
    opened = 0
    for _ in range(300):
        damaged = mutated(data, rng)
        try:
            job = rig_file.decode(damaged, "f.rig.json")
        except RigFileError as told:
            assert told.where and told.expected and told.got, str(told)
            assert "Traceback" not in str(told)
        else:
            opened += 1
            assert checked(job) == job
            assert rig_file.decode(rig_file.encode(job)) == job
    assert opened < 300


def test_a_damaged_value_anywhere_opens_or_is_refused(boatyard_path: Path) -> None:
    """Every leaf of the file in turn replaced by every wrong kind of value."""
    raw = json.loads(boatyard_path.read_text(encoding="utf-8"))
    wrong = (None, True, -1, 0, 1e308, float("nan"), float("inf"), "", "x", [], {}, [1.0], 10**30)

    def leaves(node: object, trail: tuple[object, ...]) -> list[tuple[object, ...]]:
        entries = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
        below = [inner for key, value in entries for inner in leaves(value, (*trail, key))]
        return [trail, *below] if trail else below

    for trail in leaves(raw, ()):
        holder = raw
        for key in trail[:-1]:
            holder = holder[key]
        kept = holder[trail[-1]]
        for value in wrong:
            holder[trail[-1]] = value
            try:
                as_job(raw, "f.rig.json")
            except RigFileError as told:
                assert told.where and told.expected and told.got
        holder[trail[-1]] = kept
    assert as_job(raw) == rig_file.read(boatyard_path)


@pytest.mark.parametrize(
    "data",
    [
        b'{"name": "' + b'\\"' * 950_000,
        b'{"name": ' + b'"a","' * 350_000,
        b'{"name": [' + b"[]," * 640_000 + b"[]]}",
        b'{"name": [' + b"{}," * 640_000 + b"{}]}",
        b'{"name": [' + b"1," * 950_000 + b"1]}",
        b"\\" * 1_950_000,
        b'"' * 1_950_000,
    ],
    ids=["open text of quotes", "text unbalanced", "lists", "objects", "numbers", "backslashes", "quotes"],
)
def test_a_file_made_to_hang_the_reader_is_refused_at_once(data: bytes) -> None:
    started = time.process_time()
    refused(data)
    assert time.process_time() - started < 1.0


def test_a_save_does_not_fail_because_permissions_or_the_folder_cannot_be_forced(
    boatyard: Job, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A stick or a network folder may refuse both; the file itself is whole and forced."""

    def no(*_arguments: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    really_open = os.open
    monkeypatch.setattr(Path, "chmod", no)
    monkeypatch.setattr(
        os, "open", lambda path, flags, *more: no() if flags & os.O_DIRECTORY else really_open(path, flags, *more)
    )
    rig_file.write(boatyard, tmp_path / "rig.rig.json")
    monkeypatch.undo()
    assert rig_file.read(tmp_path / "rig.rig.json") == boatyard
