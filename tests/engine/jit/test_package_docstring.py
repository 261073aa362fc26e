"""The package's docstring shows one formula as it really comes out, and the package knows formulas only."""

from __future__ import annotations

import re
import textwrap
from pathlib import Path

import pytest

import engine.jit
from engine.base.geometry import cos, sin, where
from engine.jit.llvm_code import table_function_text
from engine.jit.python_code import FloatCode
from engine.jit.trace import Recorder

SHOWN = [textwrap.dedent(block).strip() for block in re.findall(r"::\n\n((?:    .*\n|\n)+)", engine.jit.__doc__ or "")]
"""The indented blocks: formula, trace, Python, machine code."""


def recorded() -> tuple[Recorder, list[object]]:
    names = {"cos": cos, "sin": sin, "where": where}
    exec(SHOWN[0], names)
    recorder = Recorder()
    return recorder, names["formula"](recorder.new_input(), recorder.new_input())


def test_the_trace_shown_is_that_of_the_formula() -> None:
    recorder, _ = recorded()
    assert str(recorder) == SHOWN[1]


def test_the_python_shown_is_that_of_the_formula() -> None:
    assert FloatCode(*recorded()).text() == SHOWN[2]


def test_every_line_of_machine_code_shown_is_of_the_formula_and_no_step_is_missing() -> None:
    lines = table_function_text(*recorded(), "run").text.splitlines()
    shown = SHOWN[3].splitlines()
    assert [line for line in lines if line in shown] == shown
    steps = [line for line in lines if re.match(r"%v[2-9] = |store ", line)]
    assert [line for line in shown if line in steps] == steps


@pytest.mark.parametrize("module", sorted(Path(engine.jit.__path__[0]).glob("*.py")), ids=lambda path: path.stem)
def test_no_word_of_what_the_formulas_describe_stands_in_the_package(module: Path) -> None:
    words = r"\b(trucks?|rigs?|poses?|limits?|verdicts?|drags?|hooks?|booms?|forks?|steel|shop)\b"
    assert not re.findall(words, module.read_text(encoding="utf-8"), re.IGNORECASE)
