"""The program without its window, driven by a seed: edits, undoes, redoes and saves, each logged before and after.

Run as a process of its own, it forks one such run for every line "seed folder" it reads, so that a kill costs the time
of the run alone and not of starting Python. It prints the process id and, when that process has ended, "gone".
"""

from __future__ import annotations

import hashlib
import os
import random
import sys
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QCoreApplication

from app.documents import files
from app.documents.document import Document
from app.documents.files import sample_rig
from app.documents.recovery import Recovery
from engine.schema import rig_file
from engine.schema.model import Job
from engine.shop import edits
from engine.worst_case import verdict as judging

SAMPLE = "skerry_point_boatyard"


def mark(job: Job) -> str:
    """A short mark of a job, the same for the same job."""
    return hashlib.blake2b(rig_file.encode(job), digest_size=8).hexdigest()


class Log:
    """Lines that are in the system's hands when ``say`` returns, whatever happens to this process."""

    def __init__(self, path: Path) -> None:
        self._handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND)

    def say(self, *words: str) -> None:
        os.write(self._handle, (" ".join(words) + "\n").encode())


def drive(seed: str, folder: Path) -> None:
    """Edit and save until killed."""
    # What is under test is the writing: with one verdict for all, far more of the kills fall into it.
    verdict = judging.evaluate(sample_rig(SAMPLE), sample_rig(SAMPLE).poses[0])
    judging.evaluate = lambda _job, _pose: verdict
    rng = random.Random(seed)
    application = QCoreApplication.instance() or QCoreApplication([])
    path, log = folder / "rig.rig.json", Log(folder / "log")
    job, stamp = files.read(path)
    document = Document(job, path, stamp)
    recovery = Recovery(document, folder / "recovery")
    log.say("edited", mark(document.job))
    for number in range(1, 100_000):
        _step(document, rng, number, log)
        if number % 7 == 0:
            recovery._start_forcing()  # the timer's part, more often than its second
        application.processEvents()


def _step(document: Document, rng: random.Random, number: int, log: Log) -> None:
    what = rng.choice(("type", "type", "pose", "undo", "redo", "save"))
    stack = document.undo_stack
    if what == "save":
        log.say("saving", mark(document.job))
        document.save(document.path)
        log.say("saved", mark(document.job))
    elif what == "type":
        after = edits.set_value(document.job, "notes", f"edit {number} " + "x" * rng.randrange(1500))
        _edit(log, mark(after), lambda: document.set_job(after, "Type"))
    elif what == "pose":
        pose = edits.REPLACE(document.pose, lift_m=round(0.1 + rng.random(), 4))
        after = edits.with_pose(document.job, document.index, pose)
        _edit(log, mark(after), lambda: document.set_pose(pose, "Raise"))
    elif what == "undo" and stack.canUndo():
        before = stack.command(stack.index() - 1)._before.job
        _edit(log, mark(before), stack.undo)
    elif what == "redo" and stack.canRedo():
        _edit(log, mark(stack.command(stack.index())._after.job), stack.redo)


def _edit(log: Log, after: str, act: Callable[[], object]) -> None:
    log.say("editing", after)
    act()
    log.say("edited", after)


def serve() -> None:
    """Fork one run per line read."""
    for line in sys.stdin:
        seed, folder = line.split(maxsplit=1)
        child = os.fork()
        if child == 0:
            drive(seed, Path(folder.strip()))
            os._exit(0)
        print(child, flush=True)
        os.waitpid(child, 0)
        print("gone", flush=True)


if __name__ == "__main__":
    serve()
