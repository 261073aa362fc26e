"""Loops written in LLVM's language count, carry, nest and call formulas."""

from __future__ import annotations

import math

import numpy as np
import pytest

from engine.base.geometry import where
from engine.jit.llvm_code import DECLARATIONS, FOUR_NUMBERS, NUMBER, WHOLE, formula_text
from engine.jit.llvm_loops import LOOP_ARGUMENTS, LoopWriter
from engine.jit.machine_code import Signature, address_of, compiled_function

pytest.importorskip("llvmlite", reason="there is no llvmlite for this Python")


@pytest.mark.parametrize("count", [0, 1, 3, 9])
def test_loops_count_carry_and_nest(count: int) -> None:
    """Sum of products over a triangle, worked out inside and outside."""
    text = LoopWriter("triangle", ("count",), ("from", "to"))
    with text.loop(text.count["count"], carried=[(NUMBER, "0.0"), (WHOLE, 0)]) as outer:
        with text.loop(
            text.add(outer.index, 1), carried=[(NUMBER, outer.values[0]), (WHOLE, outer.values[1])]
        ) as inner:
            a, b = (text.load(NUMBER, text.table["from"], at) for at in (outer.index, inner.index))
            inner.values = [
                text.new_value(f"fadd double {inner.values[0]}, {text.new_value(f'fmul double {a}, {b}')}"),
                text.add(inner.values[1], 1),
            ]
        outer.values = inner.values
    text.store(NUMBER, outer.values[0], text.table["to"], 0)
    text.store(WHOLE, outer.values[1], text.table["to"], 1)
    code = compiled_function(text.text(), Signature("triangle", LOOP_ARGUMENTS))
    values, results = np.arange(1.0, 10.0), np.zeros(2)
    counts, tables = np.array([count], np.int64), np.array([address_of(values), address_of(results)], np.int64)
    code.call(address_of(counts), address_of(tables))
    assert results[0] == sum(values[i] * values[j] for i in range(count) for j in range(i + 1))
    assert results.view(np.int64)[1] == count * (count + 1) // 2


def test_a_formula_is_called_four_wide_with_its_numbers() -> None:
    text = LoopWriter("third", (), ("from", "to"))
    value = text.load(FOUR_NUMBERS, text.table["from"], 0)
    for at, each in enumerate(text.call("sums", 2, value, text.constant(0.1))):
        text.store(FOUR_NUMBERS, each, text.table["to"], 4 * at)
    sums = formula_text("sums", lambda a, b: [a * b + 1.0 / 3.0, where(a > 2.0, abs(-a), math.inf)], 2)
    code = compiled_function("\n".join([DECLARATIONS, sums, text.text()]), Signature("third", LOOP_ARGUMENTS))
    values, results = np.array([1.0, 2.0, 3.0, math.nan]), np.zeros(8)
    code.call(0, address_of(np.array([address_of(values), address_of(results)], np.int64)))
    assert np.array_equal(results[:4], values * 0.1 + 1.0 / 3.0, equal_nan=True)
    assert np.array_equal(results[4:], [math.inf, math.inf, 3.0, math.inf])
