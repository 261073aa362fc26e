"""``python -m engine check``: status 0, 1 or 2, a sentence for what is wrong, never a verdict on bad input."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import IO

import msgspec
import pytest

from engine.cli import command_line as command
from engine.schema import rig_file
from engine.schema.model import Job, Policy

REPLACE = msgspec.structs.replace
ROOT = Path(__file__).resolve().parents[3]


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    status = command.main(["check", *arguments])
    told = capsys.readouterr()
    return status, told.out, told.err


def easy(job: Job) -> Job:
    """The job with a light load and every fact known exactly enough for a verdict within."""
    load = REPLACE(job.load, mass_kg=REPLACE(job.load.mass_kg, best=20.0))
    return REPLACE(job, load=load, policy=REPLACE(Policy(), dynamic_factor=1.0, design_factor=2.0))


@pytest.fixture
def written(tmp_path: Path) -> object:
    def write(job: Job) -> str:
        path = tmp_path / "job.rig.json"
        rig_file.write(job, path)
        return str(path)

    return write


def test_status_0_within_the_limits(stone_yard: Job, written: object, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, written(easy(stone_yard)))
    assert (status, err) == (0, "")
    assert "WITHIN: Within the limits entered" in out


def test_status_1_over(stone_yard: Job, written: object, capsys: pytest.CaptureFixture[str]) -> None:
    load = REPLACE(stone_yard.load, mass_kg=REPLACE(stone_yard.load.mass_kg, best=3000.0))
    status, out, err = run(capsys, written(REPLACE(stone_yard, load=load)))
    assert (status, err) == (1, "")
    assert "OVER" in out


@pytest.mark.parametrize("missing", ["plate", "fall"])
def test_status_1_refused_for_a_missing_fact(
    stone_yard: Job, written: object, capsys: pytest.CaptureFixture[str], missing: str
) -> None:
    job = REPLACE(stone_yard, truck=REPLACE(stone_yard.truck, plate=None))
    if missing == "fall":
        floors = tuple(REPLACE(floor, fall_along=None) for floor in stone_yard.floors)
        job = REPLACE(stone_yard, floors=floors)
    status, out, _ = run(capsys, written(job))
    assert status == 1
    assert "REFUSED: Refused: no verdict" in out
    assert "Allowed load" not in out
    assert ("truck.plate: There is no plate." in out) == (missing == "plate")
    assert ("floors[0].fall_along: Slope at" in out) == (missing == "fall")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (
            lambda job: REPLACE(job, poses=(REPLACE(job.poses[0], lift_m=20.0),), moves=()),
            "pose.lift_m: The forks cannot stand at 20\u202f000 mm",
        ),
        (
            lambda job: REPLACE(job, poses=(REPLACE(job.poses[0], hole=None, free_out_m=9.0),), moves=()),
            "leaves the rear saddle",
        ),
        (
            lambda job: REPLACE(job, poses=(REPLACE(job.poses[0], tilt_rad=0.3),), moves=()),
            "pose.tilt_rad: The upright cannot tilt",
        ),
        (
            lambda job: REPLACE(job, truck=REPLACE(job.truck, cg_height_m=REPLACE(job.truck.cg_height_m, best=40.0))),
            "does not stand by itself",
        ),
    ],
)
def test_status_2_for_what_cannot_be(
    stone_yard: Job, written: object, capsys: pytest.CaptureFixture[str], change: object, says: str
) -> None:
    job = change(stone_yard)
    floors = tuple(
        REPLACE(floor, fall_along=REPLACE(floor.fall_along, best=0.1), fall_across=REPLACE(floor.fall_across, best=0.1))
        for floor in job.floors
    )
    status, out, err = run(capsys, written(REPLACE(job, floors=floors)))
    assert status == 2
    assert says in out
    assert "Allowed load" not in out
    assert "Traceback" not in out + err


BAD_FILES = {
    "empty": b"",
    "not JSON": b"rig",
    "a list": b"[]",
    "no keys": b"{}",
    "binary": bytes(range(256)),
    "deep": b"[" * 5000,
}


@pytest.mark.parametrize("kind", BAD_FILES)
def test_status_2_for_a_file_that_is_no_rig(tmp_path: Path, capsys: pytest.CaptureFixture[str], kind: str) -> None:
    path = tmp_path / "bad.rig.json"
    path.write_bytes(BAD_FILES[kind])
    status, out, err = run(capsys, str(path))
    assert (status, out) == (2, "")
    assert err.startswith("tailweight: bad.rig.json")
    assert "expected" in err and "got" in err and "Traceback" not in err


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('"wheelbase_m": {', '"wheelbase_m": {"best": 0, "known": "measured"}, "was": {', "truck"),
        ('"format_version": 2', '"format_version": 99', "newer Tailweight"),
        ('"hole": 8', '"hole": 99', "poses[0].hole"),
        (
            '"length_m": 0.95',
            '"length_m": "75 kg"',
            "length: ‘75 kg’ is not a number. (rig.sleeves.length_m,",
        ),
        ('"length_m": 0.95', '"length_m": 1e308', "at most 50\u202f000 mm. (rig.sleeves.length_m, in m)"),
        ('"length_m": 0.95', '"length_m": NaN', "rig.sleeves.length_m"),
    ],
)
def test_status_2_for_an_entry_that_cannot_be(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, says: str
) -> None:
    text = (ROOT / "sample_rigs" / "tarn_hollow_stone_yard.rig.json").read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "bad.rig.json"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    status, out, err = run(capsys, str(path))
    assert (status, out) == (2, "")
    assert says in err


def test_status_2_for_a_missing_file_a_folder_and_an_unknown_pose(
    tmp_path: Path, sample_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for arguments, said in (
        ((str(tmp_path / "none.rig.json"),), f"File not found: {tmp_path / 'none.rig.json'}."),
        ((str(tmp_path),), f"There is a folder or a device of this name: {tmp_path.name}."),
        ((str(sample_path), "--pose", "no such pose"), "expected one of "),
    ):
        status, out, err = run(capsys, *arguments)
        assert (status, out) == (2, "")
        assert err.startswith("tailweight: ") and said in err


def test_status_2_for_wrong_arguments(capsys: pytest.CaptureFixture[str]) -> None:
    for arguments in ([], ["check"], ["weigh", "x"], ["check", "x", "--units", "stone"]):
        with pytest.raises(SystemExit) as stopped:
            command.main(arguments)
        assert stopped.value.code == 2
        assert "usage" in capsys.readouterr().err


def test_json_is_one_object_and_nothing_else_of_the_pose_named(
    sample: Job, sample_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    name = sample.poses[-1].name
    _, out, err = run(capsys, str(sample_path), "--pose", name, "--json")
    answer = json.loads(out)
    assert err == "" and answer["pose"] == name
    assert answer["state"] in {"WITHIN", "NOT PROVEN", "OVER"}


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_a_terminal_of_any_encoding_gets_its_text(encoding: str) -> None:
    path = ROOT / "sample_rigs" / "skerry_point_boatyard.rig.json"
    done = subprocess.run(
        [sys.executable, "-m", "engine", "check", str(path)],
        cwd=ROOT,
        capture_output=True,
        env={"PYTHONIOENCODING": encoding, "PATH": "/usr/bin:/bin"},
        check=False,
    )
    assert done.returncode in (0, 1)
    assert done.stderr == b""
    assert b"NOT APPROVED: planning only" in done.stdout


def test_a_file_of_version_1_is_read_and_what_changed_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    old = Path(__file__).parents[2] / "data" / "version1" / "skerry_point_boatyard.rig.json"
    command.main(["check", str(old), "--json"])
    told = capsys.readouterr()
    (change, *_) = json.loads(told.out)["migration"]
    assert "older version" in change and change in told.err


STONE_YARD = str(ROOT / "sample_rigs" / "tarn_hollow_stone_yard.rig.json")


def process(*arguments: str, stdout: int | IO[bytes], unbuffered: bool = False) -> subprocess.Popen[bytes]:
    """The command line as a process of its own, its output held back until there is a block of it, or not at all."""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONUNBUFFERED"}
    if unbuffered:
        environment["PYTHONUNBUFFERED"] = "1"
    command_line = [sys.executable, "-m", "engine", *arguments]
    return subprocess.Popen(command_line, cwd=ROOT, env=environment, stdout=stdout, stderr=subprocess.PIPE)


@pytest.mark.skipif(os.name != "posix", reason="pipes of POSIX")
@pytest.mark.parametrize("arguments", [("parts", STONE_YARD), ("check", STONE_YARD, "--json"), ("--help",)])
def test_status_3_without_a_word_where_a_pipe_is_closed(arguments: tuple[str, ...]) -> None:
    """As in ``… | head``, which has seen enough."""
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "wb") as pipe, process(*arguments, stdout=pipe) as run_there:
        _, said = run_there.communicate(timeout=120)
    assert (run_there.returncode, said) == (3, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a drive that is always full")
@pytest.mark.parametrize(
    ("arguments", "unbuffered"),
    [
        (("parts", STONE_YARD), False),
        (("truck", STONE_YARD), False),
        (("truck", STONE_YARD), True),
        (("--help",), True),
        (("mend", "--help"), True),
    ],
)
def test_status_3_without_a_word_where_the_drive_is_full(arguments: tuple[str, ...], unbuffered: bool) -> None:
    with Path("/dev/full").open("wb") as full, process(*arguments, stdout=full, unbuffered=unbuffered) as run_there:
        _, said = run_there.communicate(timeout=120)
    assert (run_there.returncode, said) == (3, b"")


@pytest.mark.skipif(os.name != "posix", reason="pipes and devices of POSIX")
@pytest.mark.parametrize("kind", ["pipe", "device"])
def test_a_pipe_or_a_device_is_refused_at_once(tmp_path: Path, kind: str) -> None:
    there = tmp_path / "pipe.rig.json" if kind == "pipe" else Path("/dev/zero")
    if kind == "pipe":
        os.mkfifo(there)
    with process("check", str(there), stdout=subprocess.PIPE) as run_there:
        out, said = run_there.communicate(timeout=20)
    words = f"tailweight: {there}: expected a rig file, got a pipe, a device or the like.\n"
    assert (run_there.returncode, out, said.decode()) == (2, b"", words)
