"""The whole program in a process of its own, used for as many steps as asked: ``soak_driver.py SEED STEPS FOLDER``.

After every step the invariants are checked.  Now and then the program is brought to rest (one window on the plainest
rig, nothing switched on) and what it holds is counted; the counts go to standard output as JSON.  It ends with 1 at the
first thing that is wrong, saying seed and step; the same seed does the same again.
"""

from __future__ import annotations

import ctypes
import faulthandler
import gc
import json
import random
import sys
import threading
import time
import traceback
from pathlib import Path
from types import CellType, FunctionType, MethodType

import soak_holds
from PySide6.QtCore import QEvent, QObject, QSettings, QtMsgType, qInstallMessageHandler
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from soak_person import Person
from soak_secretary import Secretary, pressing

from app.documents.document import Document
from app.documents.files import SAMPLES, sample_rig
from app.shell import crash_reports
from app.shell.window import Window
from app.shell.windows import Windows
from app.start.collector import Collector
from engine.worst_case import evaluator

RESTS = 4
CLOSELY_EVERY = 20
LAST_TOLD = 12
LONGEST_STEP_S = 400.0

OFFSCREEN_SAYS = (
    "This plugin does not support propagateSizeHints",
    "This plugin does not support raise",
    "This plugin does not support grabbing the keyboard",
)
"""Said by Qt's offscreen platform alone, whatever a window does."""


class Soak:
    """One run."""

    def __init__(self, seed: str, steps: int, folder: Path) -> None:
        self._seed, self._steps = seed, steps
        self._log = (folder / "log").open("w", encoding="utf-8")
        self._began = time.perf_counter()
        self._faults: list[str] = []
        self.application = QApplication([sys.argv[0]])
        Collector(self.application)
        evaluator.record_ahead_only()
        qInstallMessageHandler(self._qt_said)
        settings = QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat)
        settings.setValue("look", "light")
        settings.setValue("folder", str(folder))
        self.windows = Windows(settings)
        self.windows.open(Document(sample_rig(next(iter(SAMPLES)))))
        self._watched = crash_reports.watch(self.windows.all)
        self.secretary = Secretary()
        self.person = Person(self.windows, self.secretary, folder)
        self._home: Window = self.windows.all[0]
        sys.excepthook = lambda kind, error, trace: self._faults.append(
            "".join(traceback.format_exception(kind, error, trace))
        )
        self._done: list[str] = []
        self.counted: list[dict[str, float]] = []
        self.times: dict[str, list[float]] = {}

    def _qt_said(self, kind: QtMsgType, _context: object, words: str) -> None:
        if kind == QtMsgType.QtFatalMsg:
            print(f"Qt says ({kind.name}): {words}", file=sys.stderr, flush=True)  # the program ends here
        if not words.startswith(OFFSCREEN_SAYS):
            self._faults.append(f"Qt says ({kind.name}): {words}")

    def run(self) -> None:
        """Everything once, which makes what is made only once; then all steps, with rests in between."""
        for index in range(self._home.panels.count()):
            self._home.panels.setCurrentIndex(index)
            QApplication.processEvents()
        acts = list(self.person.acts)
        for number, name in enumerate(acts, start=-len(acts)):
            self.step(number, name)
        self.rest(0)
        rest_every = max(self._steps // RESTS, 1)
        for number in range(1, self._steps + 1):
            self.step(number)
            if number % rest_every == 0:
                self.rest(number)

    def step(self, number: int, name: str = "") -> None:
        """One act, chosen by the seed unless it is named, and what must hold after it."""
        rng = self.person.rng = random.Random(f"{self._seed} {number}")
        names = list(self.person.acts)
        name = name or rng.choices(names, [self.person.acts[act][0] for act in names])[0]
        self._done.append(f"{number} {name}")
        print(f"{time.perf_counter() - self._began:.1f} s: {self._done[-1]}", file=self._log, flush=True)
        self.secretary.prepare()
        # A dialog that nobody answers would stand for ever: say where, and stop.
        faulthandler.dump_traceback_later(LONGEST_STEP_S, exit=True)
        began = time.perf_counter()
        self.person.to(self.person.window)
        self.person.acts[name][1]()
        QApplication.processEvents()
        self.times.setdefault(name, []).append(time.perf_counter() - began)
        self._look()
        soak_holds.check(self.windows, self.person.window, closely=number % CLOSELY_EVERY == 0)
        self._look()

    def _look(self) -> None:
        assert not self._faults, "\n".join(self._faults)
        assert not self.secretary.wrong, "\n".join(self.secretary.wrong)

    def rest(self, number: int) -> None:
        """Bring the program back to one window on the plainest rig, and count what it holds."""
        home, person = self._home, self.person
        person.close_all_but(home)
        if home.commands.reach_maps.wanted:
            home.commands.reach_maps.set_wanted(False)
        home.commands.explanations.let_go()
        home.commands.explanations.set_stay_clear(False)
        home.appearance.set_look("light")
        home.appearance.set_text_size(100)
        # As one without other windows: what is open is replaced.
        home.commands.files.elsewhere = None
        self.secretary.prepare(pressing("Don't save"))
        home.commands.files.open_sample(next(iter(SAMPLES)))
        home.commands.files.elsewhere = self.windows
        home.panels.setCurrentIndex(0)
        QTest.qWait(60)  # until the timers of the panels are through
        self._look()
        soak_holds.check(self.windows, home, closely=True)
        self.counted.append({"step": number, **held(home)})
        print(self.counted[-1], file=self._log, flush=True)

    def end(self) -> None:
        """Close the program as a person does."""
        self.secretary.prepare(pressing("Don't save"))
        self.windows.quit()
        faulthandler.cancel_dump_traceback_later()
        self._log.close()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
        QApplication.processEvents()
        assert not self.windows.all
        self._look()

    def tell(self) -> str:
        """Where it went wrong, and what was done before."""
        last, before = self._done[-1] if self._done else 0, "; ".join(self._done[-LAST_TOLD:-1])
        return f"seed {self._seed}, after step {last}; before it: {before}"


def held(home: Window) -> dict[str, float]:
    """What the process and the window hold now, once no thread compiles."""
    for thread in threading.enumerate():
        if thread.name == "warm-up":
            thread.join()  # a tuple that it still fills cannot grow once it stands in a list of all objects
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
    gc.collect()
    getattr(ctypes.CDLL(None), "malloc_trim", lambda _: None)(0)  # else mostly the allocator's holes (glibc)
    status = dict(line.split(":", 1) for line in Path("/proc/self/status").read_text(encoding="utf-8").splitlines())
    kinds = [type(thing) for thing in gc.get_objects()]
    return {
        "pages_mb": int(status["RssAnon"].split()[0]) * 1024 / 1e6,
        "libraries_mb": int(status["RssFile"].split()[0]) * 1024 / 1e6,
        "malloc_mb": malloc_in_use_mb(),
        "blocks": sys.getallocatedblocks(),
        "ours": sum(str(kind.__module__).startswith("app.") for kind in kinds),
        "functions": sum(kind in (FunctionType, MethodType, CellType) for kind in kinds),
        "widgets": len(QApplication.allWidgets()),
        "objects": len(home.findChildren(QObject)),
        "items": len(home.views.side_view.scene().items()) + len(home.views.plan_view.scene().items()),
        "open_files": len(list(Path("/proc/self/fd").iterdir())),
        "windows": kinds.count(Window),
        "documents": kinds.count(Document),
    }


class MallInfo(ctypes.Structure):
    """What glibc says of its heap (mallinfo2, 2.33 and later)."""

    _fields_ = [
        (name, ctypes.c_size_t)
        for name in [
            "arena",
            "ordblks",
            "smblks",
            "hblks",
            "hblkhd",
            "usmblks",
            "fsmblks",
            "uordblks",
            "fordblks",
            "keepcost",
        ]
    ]


def malloc_in_use_mb() -> float:
    """What the C library has given out, without the holes in between; 0 where it does not say."""
    ask = getattr(ctypes.CDLL(None), "mallinfo2", None)
    if ask is None:
        return 0.0
    ask.restype = MallInfo
    info = ask()
    return (info.uordblks + info.hblkhd) / 1e6


def main(seed: str, steps: int, folder: Path) -> int:
    """Do it; print what was counted."""
    soak = Soak(seed, steps, folder)
    began = time.perf_counter()
    status = 0
    try:
        soak.run()
        soak.end()
    except Exception:  # whatever it was, say where
        print(f"{soak.tell()}\n{traceback.format_exc()}", file=sys.stderr, flush=True)
        status = 1
    slow = {name: (len(times), round(sum(times), 2)) for name, times in sorted(soak.times.items())}
    print(json.dumps({"seconds": time.perf_counter() - began, "counted": soak.counted, "acts": slow}))
    sys.stdout.flush()
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], int(sys.argv[2]), Path(sys.argv[3])))
