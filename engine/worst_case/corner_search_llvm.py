"""The search for the worst case in machine code, pose after pose.

As arrays over all poses (``engine.worst_case.corner_search``) the search takes some fifty NumPy calls and passes twenty
times over tables that no cache holds.  Here loops call the same rules (``engine.worst_case.corner_rules``) and the same
limits (``engine.worst_case.evaluator``), with all of a pose's tables small enough for the cache; what is left is mostly
the limits themselves.  The loops are the same for every rig; they are compiled once.
"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array, Number, least, most, where
from engine.jit.llvm_code import DECLARATIONS, FOUR_NUMBERS, FOUR_WHOLE, NUMBER, WHOLE, WIDTH, formula_text
from engine.jit.llvm_loops import LOOP_ARGUMENTS, LoopWriter, Operand
from engine.jit.machine_code import (
    NUMBERS_OF_A_CACHE_LINE,
    CompiledFunction,
    MachineFunction,
    Signature,
    address_of,
    compiled_function,
    thread_count,
)
from engine.rig.check import use_of
from engine.worst_case.corner_rules import (
    FAR_KG,
    NEAR,
    LimitAtTwoLoads,
    bend_of,
    entry_sides,
    guide_side,
    load_to_look_at,
    second_load,
    worse_effect,
    worst_limit,
)
from engine.worst_case.uncertainty_box import EntryPlaces

CornerNumbers = NDArray[np.int64]

# ---------------------------------------------------------------- the text

_COUNTS = ("inputs", "entries", "limits", "guides", "standings", "poses", "load", "hung")
_RIG_TABLES = (
    *("run", "constants", "strides", "entry_inputs", "place_values", "is_load", "is_entry"),
    "hung_place_values",
)
_POSE_TABLES = ("numbers", "least", "most", "nominal_use", "nominal_kg")
_RESULT_TABLES = ("use", "allowed_kg", "bend", "corner")
_FIRST_POSE_TABLES = ("low_effect", "high_effect", "allowed", "standing_least", "standing_most")
_WORK_TABLES = (
    *("in", "out", "use_corners_all", "load_corners_all", "use_corners", "load_corners"),
    *("worst_use", "empty", "near", "full", "own", "nominal_excess", "effects"),
)
_TABLES = (*_RIG_TABLES, *_POSE_TABLES, *_RESULT_TABLES, *_FIRST_POSE_TABLES, *_WORK_TABLES)
"""What the code is given: the rig, the poses, where results go, room to work in."""


def _entry_sides(*values: Number) -> tuple[Number, ...]:
    """`entry_sides` of numbers in a row."""
    nominal, low, high = (LimitAtTwoLoads(*values[at : at + 4]) for at in (0, 4, 8))
    use, apart_kg, on_kg, is_load = values[12:]
    return entry_sides(nominal, low, high, use, apart_kg, on_kg, is_load)


def _with_worse_effect(total: Number, low: Number, high: Number, is_entry: Number) -> Number:
    """A sum with one more entry's `worse_effect`; beyond the last entry stands what counts nothing."""
    return where(is_entry > 0.0, total + worse_effect(low, high), total)


def _guide_side(nominal: Number, low: Number, high: Number) -> list[Number]:
    return [guide_side(nominal, low, high)]


_FORMULAS: dict[str, tuple[Callable[..., Sequence[Number]], int]] = {
    "entry_sides": (_entry_sides, 16),
    "guide_side": (_guide_side, 3),
    "load_to_look_at": (lambda allowed_kg: [load_to_look_at(allowed_kg)], 1),
    "second_load": (lambda load_kg, at_kg: [second_load(load_kg, at_kg)], 2),
    "use_of": (lambda demand, allowed: [use_of(demand, allowed)], 2),
    "difference": (lambda a, b: [a - b], 2),
    "near": (lambda at_kg: [NEAR * at_kg], 1),
    "most": (lambda a, b: [most(a, b)], 2),
    "least": (lambda a, b: [least(a, b)], 2),
    "with_worse_effect": (lambda total, low, high, is_entry: [_with_worse_effect(total, low, high, is_entry)], 4),
    "sum": (lambda a, b: [a + b], 2),
    "bend_of": (lambda *values: [bend_of(*values)], 4),
    "worst_limit": (worst_limit, 7),
}
"""Name in the text, formula, and how many numbers it takes."""


def _text() -> str:
    formulas = [formula_text(name, formula, inputs) for name, (formula, inputs) in _FORMULAS.items()]
    return "\n".join([DECLARATIONS, *formulas, _SearchWriter().text()])


class _SearchWriter(LoopWriter):
    """Writes the search."""

    def __init__(self) -> None:
        super().__init__("search", _COUNTS, _TABLES)
        # From the last pose to the first, so that what is said of the first pose stays.
        with self.loop(self.count["poses"]) as turn:
            self.pose = self.subtract(self.subtract(self.count["poses"], 1), turn.index)
            self._write_pose()

    def _write_pose(self) -> None:
        count, table = self.count, self.table
        self.numbers = self.part(table["numbers"], self.multiply(self.pose, count["inputs"]))
        self.low = self.part(table["least"], self.multiply(self.pose, count["entries"]))
        self.high = self.part(table["most"], self.multiply(self.pose, count["entries"]))
        self.padded_limits = self.rounded_up(count["limits"])
        self.nominal = {
            name: self.part(table[name], self.multiply(self.pose, self.padded_limits))
            for name in ("nominal_use", "nominal_kg")
        }
        self.load_kg = self.four_times(self.load(NUMBER, self.numbers, count["load"]))
        self.at_kg = self._smallest_nominal_load()
        [self.second_kg] = self.call("second_load", 1, self.load_kg, self.at_kg)
        self.first_rows = {"demand": 0, "allowed": count["limits"]}
        self.guide_row = self.multiply(2, count["limits"])
        self.standing_row = self.add(self.guide_row, count["guides"])
        self._evaluate_single_entries()
        self._find_sides()
        uses, loads = self._find_different_corners()
        self._evaluate_corners(uses, loads)
        self._write_results()

    # ---- loads

    def _smallest_nominal_load(self) -> Operand:
        """The load to look at, four times."""
        with self.loop(self.padded_limits, WIDTH, [(FOUR_NUMBERS, self.constant(FAR_KG))]) as turn:
            [load_kg] = self.call("load_to_look_at", 1, self.load(FOUR_NUMBERS, self.nominal["nominal_kg"], turn.index))
            turn.values = self.call("least", 1, turn.values[0], load_kg)
        return self._over_four("least", turn.values[0])

    def _over_four(self, formula: str, four: Operand) -> Operand:
        """The greatest (or least) of four numbers, four times."""
        for order in ((2, 3, 0, 1), (1, 0, 3, 2)):
            mask = ", ".join(f"i32 {lane}" for lane in order)
            turned = self.new_value(
                f"shufflevector {FOUR_NUMBERS} {four}, {FOUR_NUMBERS} poison, <{WIDTH} x i32> <{mask}>"
            )
            [four] = self.call(formula, 1, four, turned)
        return four

    def _one_over_four(self, formula: str, four: Operand) -> str:
        return self.new_value(f"extractelement {FOUR_NUMBERS} {self._over_four(formula, four)}, i64 0")

    # ---- variants

    def _row_length(self, columns: Operand) -> Operand:
        """How far apart rows stand: an odd number of cache lines, so that they do not fall into the same few."""
        lines = self.divide(self.add(columns, NUMBERS_OF_A_CACHE_LINE - 1), NUMBERS_OF_A_CACHE_LINE)
        even = self.subtract(1, self.new_value(f"and i64 {lines}, 1"))
        return self.multiply(self.add(lines, even), NUMBERS_OF_A_CACHE_LINE)

    def _write_nominal_inputs(self, row: Operand) -> None:
        """Every figure as entered, for the code to read wherever it is the same in all variants."""
        with self.loop(self.count["inputs"]) as turn:
            value = self.four_times(self.load(NUMBER, self.numbers, turn.index))
            self.store(FOUR_NUMBERS, value, self.table["in"], self.multiply(turn.index, row))

    def _entry_row(self, entry: Operand, row: Operand) -> str:
        input_ = self.load(WHOLE, self.table["entry_inputs"], entry)
        return self.part(self.table["in"], self.multiply(input_, row))

    def _load_row(self, row: Operand) -> str:
        return self.part(self.table["in"], self.multiply(self.count["load"], row))

    def _out_row(self, index: Operand, row: Operand) -> str:
        return self.part(self.table["out"], self.multiply(index, row))

    def _fill(self, row: str, start: Operand, end: Operand, value: Operand) -> None:
        with self.loop(self.subtract(end, start), WIDTH) as turn:
            self.store(FOUR_NUMBERS, value, row, self.add(start, turn.index))

    def _run(self, row: Operand, columns: Operand) -> None:
        """Evaluate the limits in so many variants."""
        table = self.table
        tables = f"ptr {table['in']}, i64 {row}, ptr {table['out']}, i64 {row}"
        rest = f"ptr {table['constants']}, ptr {table['strides']}, i64 {columns}"
        self.lines.append(f"call void {table['run']}({tables}, {rest})")

    def _evaluate_single_entries(self) -> None:
        """Every entry alone at its least and its most, under the load itself and then under the second load."""
        count = self.count
        self.second_start = self.rounded_up(self.add(1, self.multiply(2, count["entries"])))
        columns = self.multiply(2, self.second_start)
        self.single_row = row = self._row_length(columns)
        self._write_nominal_inputs(row)
        self._fill(self._load_row(row), 0, self.second_start, self.load_kg)
        with self.loop(count["entries"]) as turn:
            entry_row = self._entry_row(turn.index, row)
            nominal = self.four_times(self.load(NUMBER, entry_row, 0))
            self._fill(entry_row, 0, columns, nominal)
            first = self.add(1, turn.index)
            for values, column in ((self.low, first), (self.high, self.add(first, count["entries"]))):
                value = self.load(NUMBER, values, turn.index)
                self.store(NUMBER, value, entry_row, column)
                self.store(NUMBER, value, entry_row, self.add(self.second_start, column))
        self._fill(self._load_row(row), self.second_start, columns, self.second_kg)
        self._run(row, columns)

    # ---- sides

    def _find_sides(self) -> None:
        """The corners that each limit and each guide leads to, repeated ones and all."""
        count, table = self.count, self.table
        entries, limits = count["entries"], count["limits"]
        [apart_kg] = self.call("difference", 1, self.load_kg, self.second_kg)
        [on_kg] = self.call("difference", 1, self.at_kg, self.second_kg)
        padded_entries = self.rounded_up(entries)
        first_low, first_high = 1, self.add(1, entries)
        zeros = [(FOUR_WHOLE, "zeroinitializer")]
        with self.loop(limits) as limit:
            rows = [self._out_row(self.add(limit.index, row), self.single_row) for row in self.first_rows.values()]
            starts = (0, self.second_start)
            nominal = [self.four_times(self.load(NUMBER, row, start)) for start in starts for row in rows]
            use = self.four_times(self.load(NUMBER, self.nominal["nominal_use"], limit.index))
            self.store(NUMBER, self.load(NUMBER, rows[1], 0), table["allowed"], limit.index)
            [nominal_excess] = self.call("difference", 1, *nominal[:2])
            effects = self.multiply(limit.index, padded_entries)
            with self.loop(entries, WIDTH, [*zeros * 3, (FOUR_NUMBERS, self.constant(0.0))]) as turn:
                low, high = (
                    [
                        self.load(FOUR_NUMBERS, row, self.add(self.add(start, first), turn.index))
                        for start in starts
                        for row in rows
                    ]
                    for first in (first_low, first_high)
                )
                is_load = self.load(FOUR_NUMBERS, table["is_load"], turn.index)
                low_effect, high_effect, *sides = self.call(
                    "entry_sides", 5, *nominal, *low, *high, use, apart_kg, on_kg, is_load
                )
                at = self.add(effects, turn.index)
                self.store(FOUR_NUMBERS, low_effect, table["low_effect"], at)
                self.store(FOUR_NUMBERS, high_effect, table["high_effect"], at)
                *corners, effects_of_four = turn.values
                is_entry = self.load(FOUR_NUMBERS, table["is_entry"], turn.index)
                turn.values = [
                    *(self._with_digits(corner, side, turn.index) for corner, side in zip(corners, sides, strict=True)),
                    *self.call("with_worse_effect", 1, effects_of_four, low_effect, high_effect, is_entry),
                ]
            *corners, effects_of_four = turn.values
            passed_first, greatest_use, at_load = (self._sum_of_four(corner) for corner in corners)
            self._store_excess(limit.index, nominal_excess, effects_of_four)
            self.store(WHOLE, passed_first, table["corner"], self._result(limit.index))
            self.store(WHOLE, passed_first, table["use_corners_all"], limit.index)
            self.store(WHOLE, greatest_use, table["use_corners_all"], self.add(limits, limit.index))
            self.store(WHOLE, passed_first, table["load_corners_all"], limit.index)
            self.store(WHOLE, at_load, table["load_corners_all"], self.add(limits, limit.index))
        with self.loop(count["guides"]) as guide:
            row = self._out_row(self.add(self.guide_row, guide.index), self.single_row)
            nominal_guide = self.four_times(self.load(NUMBER, row, 0))
            with self.loop(entries, WIDTH, zeros) as turn:
                low, high = (
                    self.load(FOUR_NUMBERS, row, self.add(first, turn.index)) for first in (first_low, first_high)
                )
                [side] = self.call("guide_side", 1, nominal_guide, low, high)
                turn.values = [self._with_digits(turn.values[0], side, turn.index)]
            corner = self._sum_of_four(turn.values[0])
            self.store(WHOLE, corner, table["use_corners_all"], self.add(self.guide_row, guide.index))

    def _store_excess(self, limit: Operand, nominal: Operand, effects_of_four: Operand) -> None:
        """A limit's excess as entered, and what its entries add to it."""
        self.store(FOUR_NUMBERS, nominal, self.table["nominal_excess"], limit)
        self.store(NUMBER, self._one_over_four("sum", effects_of_four), self.table["effects"], limit)

    def _result(self, limit: Operand) -> Operand:
        """Where a result of this pose stands."""
        return self.add(self.multiply(self.pose, self.padded_limits), limit)

    def _with_digits(self, corner: Operand, side: Operand, entry: Operand) -> str:
        """A corner's number with the sides of four more entries in it; beyond the last, place values are 0."""
        whole = self.new_value(f"fptosi {FOUR_NUMBERS} {side} to {FOUR_WHOLE}")
        digit = self.new_value(f"add {FOUR_WHOLE} {whole}, <{', '.join(['i64 1'] * WIDTH)}>")
        place_values = self.load(FOUR_WHOLE, self.table["place_values"], entry)
        part = self.new_value(f"mul {FOUR_WHOLE} {digit}, {place_values}")
        return self.new_value(f"add {FOUR_WHOLE} {corner}, {part}")

    def _sum_of_four(self, four: Operand) -> Operand:
        total: Operand = 0
        for lane in range(WIDTH):
            total = self.add(total, self.new_value(f"extractelement {FOUR_WHOLE} {four}, i64 {lane}"))
        return total

    # ---- corners

    def _find_different_corners(self) -> tuple[Operand, Operand]:
        """How many different corners there are for the uses and for the loads, each padded to a multiple of four."""
        count, table = self.count, self.table
        all_uses = self.add(self.guide_row, count["guides"])
        with self.loop(all_uses, carried=[(WHOLE, 0)]) as turn:
            corner = self.load(WHOLE, table["use_corners_all"], turn.index)
            known = self._insert("use_corners", turn.values[0], corner)
            turn.values = [self._insert("use_corners", known, self._with_hung_flipped(corner))]
        [uses] = turn.values
        with self.loop(self.multiply(2, count["limits"]), carried=[(WHOLE, 0)]) as turn:
            corner = self.load(WHOLE, table["load_corners_all"], turn.index)
            turn.values = [self._insert("load_corners", turn.values[0], corner)]
        [loads] = turn.values
        return self._padded("use_corners", uses), self._padded("load_corners", loads)

    def _insert(self, table: str, known: Operand, corner: Operand) -> Operand:
        """How many corners a table holds once one more has been put in, unless it was there."""
        with self.loop(known, carried=[("i1", "false")]) as turn:
            same = self.new_value(f"icmp eq i64 {self.load(WHOLE, self.table[table], turn.index)}, {corner}")
            turn.values = [self.new_value(f"or i1 {turn.values[0]}, {same}")]
        self.store(WHOLE, corner, self.table[table], known)
        return self.select(str(turn.values[0]), WHOLE, known, self.add(known, 1))

    def _with_hung_flipped(self, corner: Operand) -> Operand:
        """The same corner with what hangs on the hook at its other side."""
        with self.loop(self.count["hung"], carried=[(WHOLE, corner)]) as turn:
            place_value = self.load(WHOLE, self.table["hung_place_values"], turn.index)
            digit = self.new_value(f"urem i64 {self.divide(turn.values[0], place_value)}, 3")
            change = self.multiply(self.subtract(2, self.multiply(2, digit)), place_value)
            turn.values = [self.add(turn.values[0], change)]
        return turn.values[0]

    def _padded(self, table: str, corners: Operand) -> Operand:
        first = self.load(WHOLE, self.table[table], 0)
        with self.loop(WIDTH - 1) as turn:
            self.store(WHOLE, first, self.table[table], self.add(corners, turn.index))
        return self.rounded_up(corners)

    def _evaluate_corners(self, uses: Operand, loads: Operand) -> None:
        """Corners for the uses under the load itself; those for the loads empty, near the load looked at, and at it."""
        count, table = self.count, self.table
        starts = [uses, self.add(uses, loads), self.add(uses, self.multiply(2, loads))]
        columns = self.add(uses, self.multiply(3, loads))
        row = self._row_length(columns)
        self._write_nominal_inputs(row)
        load_row = self._load_row(row)
        self._fill(load_row, 0, uses, self.load_kg)
        for corners, firsts, name in ((uses, [0], "use_corners"), (loads, starts, "load_corners")):
            with (
                self.loop(corners) as corner,
                self.loop(count["entries"], carried=[(WHOLE, self.load(WHOLE, table[name], corner.index))]) as turn,
            ):
                rest = self.divide(turn.values[0], 3)
                digit = self.subtract(turn.values[0], self.multiply(rest, 3))
                entry_row = self._entry_row(turn.index, row)
                value = self._value_at_side(turn.index, digit)
                for first in firsts:
                    self.store(NUMBER, value, entry_row, self.add(first, corner.index))
                turn.values = [rest]
        [near_kg] = self.call("near", 1, self.at_kg)
        hung = (self.constant(0.0), near_kg, self.at_kg)
        for start, end, kg in zip(starts, [*starts[1:], columns], hung, strict=True):
            self._fill(load_row, start, end, kg)
        # Uses with single entries off are taken from the table of results before the corners overwrite it.
        self._write_greatest_uses(self.single_row, self.second_start, self.nominal["nominal_use"])
        self._run(row, columns)
        self._write_greatest_uses(row, uses, table["worst_use"])
        for start, name in zip(starts, ("empty", "near", "full"), strict=True):
            self._write_greatest_excess(row, start, loads, name)
        self._write_greatest_excess(row, 0, uses, "own")
        self._write_standing(row, uses)

    def _value_at_side(self, entry: Operand, digit: Operand) -> Operand:
        nominal = self.load(NUMBER, self.numbers, self.load(WHOLE, self.table["entry_inputs"], entry))
        low, high = self.load(NUMBER, self.low, entry), self.load(NUMBER, self.high, entry)
        is_low, is_nominal = (self.new_value(f"icmp eq i64 {digit}, {side}") for side in (0, 1))
        return self.select(is_low, NUMBER, low, self.select(is_nominal, NUMBER, nominal, high))

    # ---- results

    def _limit_rows(self, limit: Operand, row: Operand) -> list[str]:
        return [self._out_row(self.add(limit, first), row) for first in self.first_rows.values()]

    def _write_greatest_uses(self, row: Operand, columns: Operand, before: str) -> None:
        """The greatest use of each limit over some columns and what was written ``before``."""
        with self.loop(self.count["limits"]) as limit:
            rows = self._limit_rows(limit.index, row)
            start = self.four_times(self.load(NUMBER, before, limit.index))
            with self.loop(columns, WIDTH, [(FOUR_NUMBERS, start)]) as turn:
                [use] = self.call("use_of", 1, *(self.load(FOUR_NUMBERS, each, turn.index) for each in rows))
                turn.values = self.call("most", 1, turn.values[0], use)
            self.store(NUMBER, self._one_over_four("most", turn.values[0]), self.table["worst_use"], limit.index)

    def _write_greatest_excess(self, row: Operand, start: Operand, columns: Operand, name: str) -> None:
        with self.loop(self.count["limits"]) as limit:
            rows = [self.part(each, start) for each in self._limit_rows(limit.index, row)]
            [first] = self.call("difference", 1, *(self.load(FOUR_NUMBERS, each, 0) for each in rows))
            with self.loop(columns, WIDTH, [(FOUR_NUMBERS, first)]) as turn:
                excess = self.call("difference", 1, *(self.load(FOUR_NUMBERS, each, turn.index) for each in rows))
                turn.values = self.call("most", 1, turn.values[0], *excess)
            self.store(NUMBER, self._one_over_four("most", turn.values[0]), self.table[name], limit.index)

    def _write_standing(self, row: Operand, columns: Operand) -> None:
        with self.loop(self.count["standings"]) as value:
            values = self._out_row(self.add(self.standing_row, value.index), row)
            for formula, name in (("least", "standing_least"), ("most", "standing_most")):
                with self.loop(columns, WIDTH, [(FOUR_NUMBERS, self.load(FOUR_NUMBERS, values, 0))]) as turn:
                    turn.values = self.call(formula, 1, turn.values[0], self.load(FOUR_NUMBERS, values, turn.index))
                self.store(NUMBER, self._one_over_four(formula, turn.values[0]), self.table[name], value.index)

    def _write_results(self) -> None:
        tables = [self.table[name] for name in ("worst_use", "empty", "near", "full")]
        with self.loop(self.padded_limits, WIDTH) as turn:
            values = [self.load(FOUR_NUMBERS, each, turn.index) for each in tables]
            nominal = [self.load(FOUR_NUMBERS, each, turn.index) for each in self.nominal.values()]
            use, allowed_kg = self.call("worst_limit", 2, *values, self.at_kg, *nominal)
            excess = [self.table[name] for name in ("own", "nominal_excess", "effects", "allowed")]
            [bend] = self.call("bend_of", 1, *(self.load(FOUR_NUMBERS, each, turn.index) for each in excess))
            for result, name in ((use, "use"), (allowed_kg, "allowed_kg"), (bend, "bend")):
                self.store(FOUR_NUMBERS, result, self.table[name], self._result(turn.index))


# ---------------------------------------------------------------- called


@functools.cache
def _search_function() -> CompiledFunction | None:
    return compiled_function(_text(), Signature("search", LOOP_ARGUMENTS))


class SearchInput(NamedTuple):
    """Poses in a row and what may be off in them.

    ``numbers`` (poses, inputs) as entered; ``least`` and ``most`` (poses, entries) of each entry; every limit as
    entered (limits, poses).
    """

    entries: EntryPlaces
    numbers: Array
    least: Array
    most: Array
    nominal_use: Array
    nominal_kg: Array

    def some(self, poses: slice) -> SearchInput:
        """The same for some of the poses."""
        return self._replace(
            numbers=self.numbers[poses],
            least=self.least[poses],
            most=self.most[poses],
            nominal_use=self.nominal_use[:, poses],
            nominal_kg=self.nominal_kg[:, poses],
        )


class SearchResult(NamedTuple):
    """Every limit (limits, poses) as in `corner_search.WorstOfPoses`, and `corner_search.FirstPose`'s arrays."""

    use: Array
    allowed_kg: Array
    bend: Array
    corner: CornerNumbers
    low_effect: Array
    high_effect: Array
    allowed: Array
    standing_least: Array
    standing_most: Array


class CompiledCornerSearch:
    """The search over the limits of one job; call it with a `SearchInput`."""

    def __init__(self, search: CompiledFunction, limits: MachineFunction, guides: int, standings: int) -> None:
        self._search, self._limits, self._guides, self._standings = search, limits, guides, standings
        self._layouts: dict[EntryPlaces, _MemoryLayout] = {}

    @property
    def verified(self) -> bool:
        """Whether it has been compared with the arrays, for this job or another of the same code."""
        return self._limits.compiled.code.verified

    def now_verified(self) -> None:
        """It has been compared."""
        self._limits.compiled.code.verified = True

    def __call__(self, given: SearchInput) -> SearchResult:
        """Worst case of every limit at every pose; many poses are shared out among threads."""
        poses, inputs = given.numbers.shape
        if inputs != self._limits.inputs:
            raise ValueError(f"Expected {self._limits.inputs} inputs, got {inputs}")
        threads = min(thread_count(), poses // POSES_WORTH_A_THREAD)
        if threads <= 1:
            return self._search_poses(given)
        ends = np.linspace(0, poses, threads + 1).astype(int).tolist()
        parts = [given.some(slice(start, end)) for start, end in itertools.pairwise(ends)]
        with ThreadPoolExecutor(threads) as pool:
            results = list(pool.map(self._search_poses, parts))
        return results[0]._replace(
            **{name: np.concatenate([getattr(result, name) for result in results], axis=1) for name in _RESULT_TABLES}
        )

    def _search_poses(self, given: SearchInput) -> SearchResult:
        poses, limits, entries = len(given.numbers), len(given.nominal_use), len(given.entries.inputs)
        layout = self._layout(given.entries, limits)
        memory = np.empty(layout.length + poses * layout.pose_length)
        tables = {
            name: memory[start : start + poses * width].reshape(poses, width)
            for name, start, width in layout.pose_tables(poses)
        }
        for name in ("numbers", "least", "most"):
            tables[name][...] = getattr(given, name)
        for name, padding in (("nominal_use", 0.0), ("nominal_kg", np.inf)):
            tables[name][:, :limits] = getattr(given, name).T
            tables[name][:, limits:] = padding
        counts = np.array([{**layout.counts, "poses": poses}[name] for name in _COUNTS], np.int64)
        addresses = np.array(layout.addresses(address_of(memory), poses), np.int64)
        self._search.call(address_of(counts), address_of(addresses))
        use, allowed_kg, bend, corner = (tables[name][:, :limits].T for name in _RESULT_TABLES)
        first = {name: layout.table(memory, name) for name in _FIRST_POSE_TABLES}
        for name in ("low_effect", "high_effect"):
            first[name] = first[name].reshape(limits, -1)[:, :entries]
        first["allowed"] = first["allowed"][:limits]
        return SearchResult(use=use, allowed_kg=allowed_kg, bend=bend, corner=corner.view(np.int64), **first)

    def _layout(self, entries: EntryPlaces, limits: int) -> _MemoryLayout:
        if entries not in self._layouts:
            self._layouts[entries] = _MemoryLayout(self._limits, entries, limits, self._guides, self._standings)
        return self._layouts[entries]


class _MemoryLayout:
    """Where every table stands in the memory of a search; the same for all poses with the same entries."""

    def __init__(
        self, limits_code: MachineFunction, entries: EntryPlaces, limits: int, guides: int, standings: int
    ) -> None:
        count, inputs = len(entries.inputs), limits_code.inputs
        self.counts = {"inputs": inputs, "entries": count, "limits": limits, "guides": guides, "standings": standings}
        self.counts |= {"load": entries.load, "hung": len(entries.hung)}
        padded_limits, padded_entries = _rounded_up(limits), _rounded_up(count)
        self._fixed = _rig_tables(limits_code, entries)
        use_corners, load_corners = 2 * (2 * limits + guides), 2 * limits
        columns = max(2 * _rounded_up(2 * count + 1), _rounded_up(use_corners) + 3 * _rounded_up(load_corners))
        columns += 2 * NUMBERS_OF_A_CACHE_LINE
        self._lengths = {
            "low_effect": limits * padded_entries,
            "high_effect": limits * padded_entries,
            "allowed": padded_limits,
            "standing_least": standings,
            "standing_most": standings,
            "in": inputs * columns,
            "out": limits_code.results * columns + WIDTH,
            "use_corners_all": use_corners,
            "load_corners_all": load_corners,
            "use_corners": use_corners + WIDTH,
            "load_corners": load_corners + WIDTH,
            **dict.fromkeys(("worst_use", "empty", "near", "full"), padded_limits),
            **dict.fromkeys(("own", "nominal_excess", "effects"), padded_limits + WIDTH),
        }
        self._starts = dict(zip(self._lengths, itertools.accumulate(self._lengths.values(), initial=0), strict=False))
        self.length = sum(self._lengths.values())
        self._widths = {"numbers": inputs, "least": count, "most": count}
        self._widths |= dict.fromkeys((*_POSE_TABLES[3:], *_RESULT_TABLES), padded_limits)
        self.pose_length = sum(self._widths.values())
        fixed = {name: address_of(table) for name, table in self._fixed.items()}
        fixed["run"] = limits_code.compiled.address
        self._fixed_addresses = [fixed.get(name) for name in _TABLES]

    def pose_tables(self, poses: int) -> Iterator[tuple[str, int, int]]:
        """Name, start and width of the tables that have a row for each pose."""
        start = self.length
        for name, width in self._widths.items():
            yield name, start, width
            start += poses * width

    def addresses(self, memory: int, poses: int) -> list[int]:
        """Where the tables are, in the order of `_TABLES`."""
        starts = self._starts | {name: start for name, start, _ in self.pose_tables(poses)}
        return [
            memory + 8 * starts[name] if fixed is None else fixed
            for name, fixed in zip(_TABLES, self._fixed_addresses, strict=True)
        ]

    def table(self, memory: Array, name: str) -> Array:
        """One of the tables that do not grow with the poses."""
        start = self._starts[name]
        return memory[start : start + self._lengths[name]]


def _rig_tables(limits_code: MachineFunction, entries: EntryPlaces) -> dict[str, np.ndarray]:
    """Tables that are the same for all poses, by name."""
    count = len(entries.inputs)
    place_values = np.zeros(_rounded_up(count), np.int64)
    place_values[:count] = 3 ** np.arange(count, dtype=np.int64)
    is_load = np.zeros(_rounded_up(count))
    if entries.load_entry is not None:
        is_load[entries.load_entry] = 1.0
    is_entry = np.zeros(_rounded_up(count))
    is_entry[:count] = 1.0
    strides = np.zeros(limits_code.inputs, np.int64)
    strides[[*entries.inputs, entries.load]] = 1
    return {
        "constants": limits_code.constants,
        "strides": strides,
        "entry_inputs": np.array(entries.inputs, np.int64),
        "place_values": place_values,
        "is_load": is_load,
        "is_entry": is_entry,
        "hung_place_values": place_values[list(entries.hung)],
    }


POSES_WORTH_A_THREAD = 32
"""Fewer poses are not worth a thread."""


def compiled_search(limits: object, guides: int, standings: int) -> CompiledCornerSearch | None:
    """The search over limits (`evaluator.values_of`) that are machine code themselves; None where there is none."""
    search = _search_function() if isinstance(limits, MachineFunction) else None
    if search is None or not isinstance(limits, MachineFunction):
        return None
    return CompiledCornerSearch(search, limits, guides, standings)


def _rounded_up(count: int) -> int:
    return -(-count // WIDTH) * WIDTH
