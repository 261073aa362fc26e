"""Long work in a process of its own ends with the window, however the window ends."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import gated
import pytest
from pytestqt.qtbot import QtBot

from app.workers.answering import NICER
from app.workers.background import Background, Step
from app.workers.working_process import WorkingProcess
from engine.jit import machine_code

ROOT = Path(__file__).resolve().parents[2]
LONGEST_S = 20.0

KILLED = """
import os, sys
from PySide6.QtCore import QCoreApplication
from app.workers import worker_tasks
from app.workers.background import Background
from app.documents.files import sample_rig
if __name__ == "__main__":
    application = QCoreApplication([])
    background, job = Background(), sample_rig("tarn_hollow_stone_yard")
    background.answered.connect(lambda _advice: application.quit())
    background.ask(worker_tasks.remedy, job, job.poses[0])
    application.exec()
    print(*background.process.identifiers, flush=True)
    sys.stdin.read()
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="a kill by signal")
def test_a_program_that_is_killed_leaves_no_working_process(tmp_path: Path) -> None:
    script = tmp_path / "killed.py"
    script.write_text(KILLED, encoding="utf-8")
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(
        [sys.executable, str(script)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        env=environment,
    ) as program:
        (worker,) = (int(word) for word in program.stdout.readline().split())
        os.kill(worker, 0)
        program.kill()
    limit = time.monotonic() + LONGEST_S
    while _is_there(worker):
        assert time.monotonic() < limit, "the working process is still there"
        time.sleep(0.02)


def manners(stop: Callable[[], bool]) -> tuple[int, int]:
    """A question: how far this process stands back (0 to 19), and how many threads it may take."""
    assert not stop()
    return os.getpriority(os.PRIO_PROCESS, 0), machine_code.thread_count()


def asker(process: WorkingProcess) -> tuple[Background, list[Any]]:
    background, heard = Background(), []
    background.share_process(process)
    for signal in (background.partly, background.answered, background.failed):
        signal.connect(heard.append)
    return background, heard


def test_parts_belong_to_their_question_and_no_asker_is_forgotten(
    process: WorkingProcess, gates: gated.Gates, qtbot: QtBot
) -> None:
    (one, heard), (other, others) = asker(process), asker(process)
    one.ask(gated.count, "old", 2)
    gates.open()
    qtbot.waitUntil(lambda: heard == [("old 1",)], timeout=int(LONGEST_S * 1000))
    other.ask(gated.at_once, "not this")
    other.ask(gated.at_once, "this")
    assert other.busy and not other.has_begun, "it waits: the running question gives way to its own asker alone"
    one.ask(gated.count, "new", 2)
    qtbot.waitUntil(lambda: ("new 1",) in heard, timeout=int(LONGEST_S * 1000))
    assert others == ["this"] and one.trying == "new, 1 of 2" and one.share == pytest.approx(0.5)
    gates.open()
    qtbot.waitUntil(lambda: not one.asks, timeout=int(LONGEST_S * 1000))
    assert heard[0] == ("old 1",) and all(part[0] == "new 1" for part in heard[1:]) and heard[-1] == ("new 1", "new 2")
    assert one.share == 0.0 and not one.busy and len(process.identifiers) == 1


def test_what_is_asked_step_by_step_lets_others_in_between_and_can_be_stopped(
    process: WorkingProcess, gates: gated.Gates, qtbot: QtBot
) -> None:
    one, other, heard = Background(None, process), Background(None, process), []
    for background, name in ((one, "one"), (other, "other")):
        background.partly.connect(lambda part, name=name: heard.append((name, "partly", part)))
        background.answered.connect(lambda answer, name=name: heard.append((name, "answered", answer)))
    steps = (
        Step(gated.at_once, ("first",), 1.0),
        Step(gated.count, ("second", 2), 3.0),
        Step(gated.at_once, ("third",), 4.0),
    )
    one.ask_in_steps(steps)
    other.ask(gated.at_once, "between")
    qtbot.waitUntil(lambda: len(heard) == 2, timeout=int(LONGEST_S * 1000))
    assert sorted(heard) == [("one", "partly", "first"), ("other", "answered", "between")]
    gates.open()
    qtbot.waitUntil(lambda: one.trying == "second, 1 of 2", timeout=int(LONGEST_S * 1000))
    assert one.asks and one.share == pytest.approx((1.0 + 3.0 / 2.0) / 8.0)
    gates.open()
    qtbot.waitUntil(lambda: not one.asks, timeout=int(LONGEST_S * 1000))
    assert heard[-2:] == [("one", "partly", ("second 1", "second 2")), ("one", "answered", "third")]
    gates.close()
    one.ask_in_steps(steps)
    qtbot.waitUntil(lambda: heard[-1] == ("one", "partly", "first"), timeout=int(LONGEST_S * 1000))
    one.stop()
    gates.open()
    other.ask(gated.at_once, "after")
    qtbot.waitUntil(lambda: heard[-1] == ("other", "answered", "after"), timeout=int(LONGEST_S * 1000))
    assert not one.asks and not one.busy and heard[-2] == ("one", "partly", "first"), "no further step is asked"


@pytest.mark.skipif(not hasattr(os, "getpriority"), reason="priorities as POSIX has them")
def test_the_working_process_leaves_the_drag_a_processor(qtbot: QtBot) -> None:
    background = Background()
    try:
        with qtbot.waitSignal(background.answered, timeout=int(LONGEST_S * 1000)) as answer:
            background.ask(manners)
    finally:
        background.close()
    here = os.getpriority(os.PRIO_PROCESS, 0)
    assert answer.args == [(min(here + NICER, 19), max(1, (os.cpu_count() or 1) - 1))]


def _is_there(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True
