"""Time to first paint: whole processes, program and bare window turn by turn, from start to the end of the first paint.

Every module is run from its bytecode, as in an installed program, whether or not this machine writes any beside the
source; the first start, which makes it, is not counted.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator

from tests.benchmarks.effort import Effort
from tests.benchmarks.rigs import ROOT
from tests.benchmarks.table import Goal, Ratio, Row, row_of
from tests.benchmarks.timing import turn_by_turn

GROUP = "Start"
TIMES_A_BARE_WINDOW = 1.25


def measure(effort: Effort) -> Iterator[Row]:
    """Rows of this group."""
    with tempfile.TemporaryDirectory() as home:
        own = {
            "PYTHONPYCACHEPREFIX": f"{home}/bytecode",
            "PYTHONDONTWRITEBYTECODE": "",
            "QT_QPA_PLATFORM": "offscreen",
            "TAILWEIGHT_STATE_DIR": f"{home}/state",
            "HOME": home,
            "XDG_CONFIG_HOME": home,
        }
        times = turn_by_turn(
            {kind: lambda kind=kind: _start(kind, own) for kind in ("program", "verdict", "bare", "python")},
            effort.starts,
            warm=1,
        )
    program, verdict, bare, python = (times[kind] for kind in ("program", "verdict", "bare", "python"))
    ratio = program.over(bare)
    goal = Goal(
        f"<= {TIMES_A_BARE_WINDOW:g} x a bare window",
        ratio / TIMES_A_BARE_WINDOW,
        min(program.seconds) / min(bare.seconds) / TIMES_A_BARE_WINDOW,
        of_the_machine=False,
    )
    yield row_of(
        GROUP, "first paint of the program", program, [Ratio(ratio, "a bare window with numpy and msgspec")], [goal]
    )
    yield row_of(
        GROUP,
        "first paint with a verdict",
        verdict,
        [Ratio(verdict.over(bare), "a bare window with numpy and msgspec")],
    )
    yield row_of(
        GROUP, "first paint of a bare window with numpy and msgspec", bare, [Ratio(bare.over(python), "Python alone")]
    )


def _start(kind: str, own: dict[str, str]) -> None:
    others = {
        name: value for name, value in os.environ.items() if name != "QT_NO_GUI_THREADPOOL"
    }  # the program sets it itself
    module = ["-c", "pass"] if kind == "python" else ["-m", "tests.benchmarks.first_paint", kind]
    subprocess.run(
        [sys.executable, *module], cwd=ROOT, env={**others, **own}, check=True, capture_output=True, timeout=60
    )
