"""Killed at random instants of edits and saves: the file is the old or the new one, every finished edit is offered.

40 kills as a rule; ``TAILWEIGHT_KILLS=1000`` asks for more. Each kill's seed is in its message.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from kill_driver import SAMPLE, mark

from app.documents.files import sample_rig
from app.documents.recovery import left_behind
from engine.schema import rig_file

ROOT = Path(__file__).resolve().parents[2]
HERE = Path(__file__).resolve().parent
KILLS = int(os.environ.get("TAILWEIGHT_KILLS", "40"))
BATCH = 40
LONGEST_RUN_S = 0.12

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="kills are by signal and runs by fork")


@pytest.fixture(scope="module")
def driver() -> Iterator[subprocess.Popen[str]]:
    """The process that forks runs."""
    environment = {**os.environ, "PYTHONPATH": f"{ROOT}:{HERE}", "QT_QPA_PLATFORM": "offscreen"}
    process = subprocess.Popen(
        [sys.executable, str(HERE / "kill_driver.py")],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=environment,
        cwd=ROOT,
    )
    yield process
    process.stdin.close()
    process.wait(timeout=20)
    process.stdout.close()


def run_and_kill(driver: subprocess.Popen[str], seed: str, folder: Path) -> None:
    """Let a run start, give it a random time, kill it."""
    rig_file.write(sample_rig(SAMPLE), folder / "rig.rig.json")
    (folder / "recovery").mkdir()
    print(seed, folder, file=driver.stdin, flush=True)
    child = int(driver.stdout.readline())
    limit = time.monotonic() + 20.0
    while not (folder / "log").exists() or not (folder / "log").stat().st_size:
        assert time.monotonic() < limit, "the run never started"
        time.sleep(0.002)
    time.sleep(random.Random(f"{seed} wait").uniform(0.0, LONGEST_RUN_S))
    os.kill(child, signal.SIGKILL)
    assert driver.stdout.readline() == "gone\n"


def check(folder: Path) -> tuple[str, int]:
    """File and recovery against the log; what was under way and how many edits were finished."""
    steps = [line.split() for line in (folder / "log").read_text(encoding="utf-8").splitlines()]
    start = mark(sample_rig(SAMPLE))
    saved = [job for what, job in steps if what == "saved"]
    last_what, last_job = steps[-1]
    # The file: the last save that was finished, or the one under way.
    in_file = mark(rig_file.read(folder / "rig.rig.json"))
    may_be_in_file = {saved[-1] if saved else start} | ({last_job} if last_what == "saving" else set())
    assert in_file in may_be_in_file
    # Recovery: the last edit that was finished, or the one under way; nothing when the file has it.
    finished = [job for what, job in steps if what == "edited"][-1]
    may_be_offered = {finished} | ({last_job} if last_what == "editing" else set())
    for lock in (folder / "recovery").glob("*.lock"):
        os.utime(lock, (0.0, 0.0))  # as when the program is started again some time later
    records = left_behind(folder / "recovery")
    assert len(records) <= 1
    if records:
        assert not records[0].wrong
        assert mark(records[0].job) in may_be_offered
        assert records[0].file == folder / "rig.rig.json"
        records[0].discard()
    else:
        assert in_file in may_be_offered, "a finished edit is in neither file nor recovery"
    assert list((folder / "recovery").iterdir()) == []
    assert not [
        entry.name
        for entry in folder.iterdir()
        if entry.name.endswith(rig_file.SUFFIX) and entry.name != "rig.rig.json"
    ]
    return last_what, sum(what == "edited" for what, _ in steps)


@pytest.mark.parametrize(
    "batch",
    [pytest.param(batch, marks=pytest.mark.slow if batch else ()) for batch in range((KILLS + BATCH - 1) // BATCH)],
)
def test_a_kill_at_any_instant_loses_no_finished_edit_and_spoils_no_file(
    driver: subprocess.Popen[str], tmp_path: Path, batch: int
) -> None:
    under_way: dict[str, int] = {}
    most = 0
    for number in range(batch * BATCH, min((batch + 1) * BATCH, KILLS)):
        folder = tmp_path / str(number)
        folder.mkdir()
        run_and_kill(driver, f"kill{number}", folder)
        try:
            what, edits = check(folder)
        except AssertionError as wrong:
            raise AssertionError(f"seed kill{number} in {folder}: {wrong}") from wrong
        under_way[what] = under_way.get(what, 0) + 1
        most = max(most, edits)
    assert most > 5, "the runs were killed before they did anything"
    assert {"saving", "editing"} & set(under_way), f"no kill fell into the middle of anything: {under_way}"
