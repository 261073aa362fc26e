"""The whole program used for a long time: nothing breaks, nothing is said on stderr, and it holds no more at the end.

A short form runs as a rule; ``TAILWEIGHT_SOAK=900`` does as many steps, about what a busy person does in an hour.
``TAILWEIGHT_SOAK_SEED`` chooses another seed; a failure names its own, and the step.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
HERE = Path(__file__).resolve().parent
STEPS = int(os.environ.get("TAILWEIGHT_SOAK", "12"))
SEED = os.environ.get("TAILWEIGHT_SOAK_SEED", "hour")
LONGEST_S = 600.0 + 3.0 * STEPS

SAME = ("items", "windows", "documents")
"""At rest, just as many as after warm-up."""

MOST_MORE = {
    "malloc_mb": 40.0,
    "blocks": 60_000,
    "pages_mb": 150.0,
    "ours": 60,
    "functions": 1500,
    "widgets": 300,
    "objects": 600,
    "open_files": 24,
}
"""What may be there more at the end than when everything had been done once.

Memory given out (``malloc_mb``) and Python's blocks say what is held: the engine keeps the recordings of the rigs
evaluated last and machine code of a few more; glyphs of text sizes met late come on top. The process's own pages
(``pages_mb``) say more: compiling takes up to 50 MB for a moment, on a thread, and the allocator keeps the holes. Lists
of the forms with fewer or more rows, and background processes of panels asked for the first time (eight pipes each),
make up the others. A window not freed is some 20 MB, 700 widgets and 1500 functions; anything kept at every step shows
in the long form.
"""


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="memory is read from /proc")
def test_an_hour_at_the_window_breaks_nothing_and_leaves_nothing_behind(tmp_path: Path) -> None:
    places = {name: tmp_path / name for name in ("files", "temporary", "state", "home")}
    for place in places.values():
        place.mkdir()
    environment = {
        **os.environ,
        "PYTHONPATH": f"{ROOT}{os.pathsep}{HERE}",
        "QT_QPA_PLATFORM": "offscreen",
        "HOME": str(places["home"]),
        "TMPDIR": str(places["temporary"]),
        "TAILWEIGHT_STATE_DIR": str(places["state"]),
    }
    command = [sys.executable, "-W", "default", str(HERE / "soak_driver.py"), SEED, str(STEPS), str(places["files"])]
    run = subprocess.run(
        command,
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        timeout=LONGEST_S,
        start_new_session=True,
        check=False,
    )
    again = f"seed {SEED}, {STEPS} steps, in {places['files']}"
    said = [line for line in run.stderr.splitlines() if line.strip()]
    assert run.returncode == 0 and not said, f"{again}:\n" + "\n".join(said)
    counted = json.loads(run.stdout)["counted"]
    assert _grown(counted) == {}, f"{again}: {counted}"
    assert list(places["temporary"].iterdir()) == [], again
    assert list((places["state"] / "recovery").iterdir()) == [], again


def _grown(counted: list[dict[str, float]]) -> dict[str, tuple[float, float]]:
    """What there is more of at the end than after warm-up."""
    warm, end = counted[0], counted[-1]
    most = {**dict.fromkeys(SAME, 0), **MOST_MORE}
    return {name: (warm[name], end[name]) for name, more in most.items() if end[name] - warm[name] > more}
