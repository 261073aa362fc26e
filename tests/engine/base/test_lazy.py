"""Modules put off until they are needed."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from engine.base.lazy import lazy
from engine.rig import kinematics
from engine.worst_case.verdict import evaluate
from tests.samples import read_once
from tests.thoroughness import every

ROOT = Path(__file__).resolve().parents[3]


def test_a_module_is_loaded_at_its_first_use_and_not_before() -> None:
    code = (
        "import sys; from engine.base.lazy import lazy; text = lazy('engine.base.formatting')\n"
        "assert 'engine.base.formatting' not in sys.modules\n"
        "assert text.M_PER_IN == 0.0254 and 'engine.base.formatting' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True)


def test_what_a_module_lacks_is_an_attribute_error_and_a_missing_module_an_import_error() -> None:
    with pytest.raises(AttributeError):
        _ = lazy("engine.base.formatting").nothing_of_this_name
    with pytest.raises(ImportError):
        _ = lazy("engine.no_such_module").anything


@pytest.mark.parametrize("path", every(2, sorted((ROOT / "sample_rigs").glob("*.json"))), ids=lambda path: path.name)
def test_what_is_drawn_first_stands_where_the_verdict_has_it(path: Path) -> None:
    job = read_once(path)
    for pose in job.poses:
        first, judged = kinematics.drawn(job, pose), evaluate(job, pose).placed
        assert (first.frames, first.hook_m, first.gravity) == (judged.frames, judged.hook_m, judged.gravity)
