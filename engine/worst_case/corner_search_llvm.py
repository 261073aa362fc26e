"""The search for the worst case in machine code, pose after pose, all of a pose's tables small enough for the cache.

As arrays over all poses (``engine.worst_case.corner_search.walked``) the search takes some fifty NumPy calls, and passes twenty times over
tables that no cache holds.  Here the same formulas (``engine.worst_case.corner_rules``) and the same limits (``engine.worst_case.evaluator``) are called from
loops, so that what is left is mostly the limits themselves.  The loops are the same for every rig; they are made once.
"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import NamedTuple

import numpy as np

from engine.base.geometry import Array, least, most
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
from engine.worst_case.corner_rules import FAR_KG, NEAR, Looked, guide_side, load_to_try, met, other_load, sides_of

# ---------------------------------------------------------------- the text

_COUNTS = ("inputs", "entries", "limits", "guides", "standings", "poses", "load", "hung")
_TABLES = (
    *("run", "constants", "strides", "entry_inputs", "weights", "is_load", "hung_weights"),
    *("numbers", "least", "most", "best_use", "best_kg", "best_allowed"),
    *("use", "allowed_kg", "low", "high", "first_allowed", "standing_least", "standing_most"),
    *("in", "out", "raw_use", "raw_load", "uses", "loads", "worst_use", "none", "near", "full"),
)
"""Names of what the code is handed: what the rig is, the poses, the answer, room to work in."""


def _sides(*values: float) -> Sequence[float]:
    looked = (Looked(*values[at : at + 4]) for at in (0, 4, 8))
    return sides_of(*looked, *values[12:])


_FORMULAS: dict[str, tuple[Callable[..., Sequence[float]], int]] = {
    "sides": (_sides, 16),
    "guide": (lambda *values: [guide_side(*values)], 3),
    "try": (lambda allowed_kg: [load_to_try(allowed_kg)], 1),
    "other": (lambda load_kg, at_kg: [other_load(load_kg, at_kg)], 2),
    "share": (lambda demand, allowed: [use_of(demand, allowed)], 2),
    "excess": (lambda demand, allowed: [demand - allowed], 2),
    "close": (lambda at_kg: [NEAR * at_kg], 1),
    "most": (lambda a, b: [most(a, b)], 2),
    "least": (lambda a, b: [least(a, b)], 2),
    "met": (met, 8),
}


def _text() -> str:
    formulas = [formula_text(name, formula, count) for name, (formula, count) in _FORMULAS.items()]
    return "\n".join([DECLARATIONS, *formulas, _Search().text()])


class _Search(LoopWriter):
    """Writes the search."""

    def __init__(self) -> None:
        super().__init__("search", _COUNTS, _TABLES)
        with self.loop(self.count["poses"]) as turn:  # the first pose comes last: what is told of it stays
            self.pose = self.subtract(self.subtract(self.count["poses"], 1), turn.index)
            self._one_pose()

    def _one_pose(self) -> None:
        count, table = self.count, self.table
        self.numbers = self.part(table["numbers"], self.multiply(self.pose, count["inputs"]))
        self.low, self.high = (
            self.part(table[name], self.multiply(self.pose, count["entries"])) for name in ("least", "most")
        )
        self.wide = self.rounded_up(count["limits"])
        self.nominal = {
            name: self.part(table[name], self.multiply(self.pose, self.wide))
            for name in ("best_use", "best_kg", "best_allowed")
        }
        self.load_kg = self.four_times(self.load(NUMBER, self.numbers, count["load"]))
        self.at_kg = self._at_kg()
        [self.other_kg] = self.call("other", 1, self.load_kg, self.at_kg)
        self.lines_of_limits = {"demand": 0, "allowed": count["limits"]}
        self.guide_line = self.multiply(2, count["limits"])
        self.standing_line = self.add(self.guide_line, count["guides"])
        self._alone()
        self._find_sides()
        uses, loads = self._different()
        self._together(uses, loads)
        self._put_together()

    # ---- loads

    def _at_kg(self) -> str:
        """The smallest load that best values allow, four times."""
        with self.loop(self.wide, WIDTH, [(FOUR_NUMBERS, self.constant(FAR_KG))]) as turn:
            [each] = self.call("try", 1, self.load(FOUR_NUMBERS, self.nominal["best_kg"], turn.index))
            turn.values = self.call("least", 1, turn.values[0], each)
        return self._of_all("least", turn.values[0])

    def _of_all(self, formula: str, four: str) -> str:
        """The greatest (or least) of four numbers, four times."""
        for order in ((2, 3, 0, 1), (1, 0, 3, 2)):
            mask = ", ".join(f"i32 {lane}" for lane in order)
            turned = self.new_value(
                f"shufflevector {FOUR_NUMBERS} {four}, {FOUR_NUMBERS} poison, <{WIDTH} x i32> <{mask}>"
            )
            [four] = self.call(formula, 1, four, turned)
        return four

    def _one(self, four: str) -> str:
        return self.new_value(f"extractelement {FOUR_NUMBERS} {four}, i64 0")

    # ---- variants

    def _rows_of(self, columns: Operand) -> Operand:
        """How far apart rows stand: an odd number of cache lines, so that they do not fall into the same few."""
        lines = self.divide(self.add(columns, NUMBERS_OF_A_CACHE_LINE - 1), NUMBERS_OF_A_CACHE_LINE)
        even = self.subtract(1, self.new_value(f"and i64 {lines}, 1"))
        return self.multiply(self.add(lines, even), NUMBERS_OF_A_CACHE_LINE)

    def _same(self, row: Operand) -> None:
        """Every figure at best, for the code to read wherever it is the same in all variants."""
        with self.loop(self.count["inputs"]) as turn:
            value = self.four_times(self.load(NUMBER, self.numbers, turn.index))
            self.store(FOUR_NUMBERS, value, self.table["in"], self.multiply(turn.index, row))

    def _entry_row(self, entry: Operand, row: Operand) -> str:
        return self.part(self.table["in"], self.multiply(self.load(WHOLE, self.table["entry_inputs"], entry), row))

    def _fill(self, row: str, start: Operand, end: Operand, value: str) -> None:
        with self.loop(self.subtract(end, start), WIDTH) as turn:
            self.store(FOUR_NUMBERS, value, row, self.add(start, turn.index))

    def _run(self, row: Operand, columns: Operand) -> None:
        table = self.table
        tables = f"ptr {table['in']}, i64 {row}, ptr {table['out']}, i64 {row}"
        self.lines.append(
            f"call void {table['run']}({tables}, ptr {table['constants']}, ptr {table['strides']}, i64 {columns})"
        )

    def _alone(self) -> None:
        """Every entry alone at its least and its most, under the load itself and then under another."""
        count = self.count
        self.then = self.rounded_up(self.add(1, self.multiply(2, count["entries"])))
        columns = self.multiply(2, self.then)
        self.alone_row = row = self._rows_of(columns)
        self._same(row)
        self._fill(self.part(self.table["in"], self.multiply(count["load"], row)), 0, self.then, self.load_kg)
        with self.loop(count["entries"]) as turn:
            at = self._entry_row(turn.index, row)
            best = self.four_times(self.load(NUMBER, at, 0))
            self._fill(at, 0, columns, best)
            first = self.add(1, turn.index)
            for values, place in ((self.low, first), (self.high, self.add(first, count["entries"]))):
                value = self.load(NUMBER, values, turn.index)
                self.store(NUMBER, value, at, place)
                self.store(NUMBER, value, at, self.add(self.then, place))
        self._fill(self.part(self.table["in"], self.multiply(count["load"], row)), self.then, columns, self.other_kg)
        self._run(row, columns)

    def _out(self, line: Operand, row: Operand) -> str:
        return self.part(self.table["out"], self.multiply(line, row))

    # ---- sides

    def _find_sides(self) -> None:
        count, table = self.count, self.table
        entries, limits = count["entries"], count["limits"]
        [apart] = self.call("excess", 1, self.load_kg, self.other_kg)
        [on] = self.call("excess", 1, self.at_kg, self.other_kg)
        wide = self.rounded_up(entries)
        first_low, first_high = 1, self.add(1, entries)
        with self.loop(limits) as limit:
            rows = [self._out(self.add(limit.index, line), self.alone_row) for line in self.lines_of_limits.values()]
            starts = (0, self.then)
            best = [self.four_times(self.load(NUMBER, row, start)) for start in starts for row in rows]
            use = self.four_times(self.load(NUMBER, self.nominal["best_use"], limit.index))
            self.store(NUMBER, self.load(NUMBER, rows[1], 0), table["first_allowed"], limit.index)
            line = self.multiply(limit.index, wide)
            with self.loop(entries, WIDTH, [(FOUR_WHOLE, "zeroinitializer")] * 3) as turn:
                low, high = (
                    [
                        self.load(FOUR_NUMBERS, row, self.add(self.add(start, first), turn.index))
                        for start in starts
                        for row in rows
                    ]
                    for first in (first_low, first_high)
                )
                is_load = self.load(FOUR_NUMBERS, table["is_load"], turn.index)
                low_effect, high_effect, *sides = self.call("sides", 5, *best, *low, *high, use, apart, on, is_load)
                at = self.add(line, turn.index)
                self.store(FOUR_NUMBERS, low_effect, table["low"], at)
                self.store(FOUR_NUMBERS, high_effect, table["high"], at)
                turn.values = [
                    self._counted(value, side, turn.index) for value, side in zip(turn.values, sides, strict=True)
                ]
            own, near, at_load = (self._sum(value) for value in turn.values)
            self.store(WHOLE, own, table["raw_use"], limit.index)
            self.store(WHOLE, near, table["raw_use"], self.add(limits, limit.index))
            self.store(WHOLE, own, table["raw_load"], limit.index)
            self.store(WHOLE, at_load, table["raw_load"], self.add(limits, limit.index))
        with self.loop(count["guides"]) as guide:
            row = self._out(self.add(self.guide_line, guide.index), self.alone_row)
            best = self.four_times(self.load(NUMBER, row, 0))
            with self.loop(entries, WIDTH, [(FOUR_WHOLE, "zeroinitializer")]) as turn:
                low, high = (
                    self.load(FOUR_NUMBERS, row, self.add(first, turn.index)) for first in (first_low, first_high)
                )
                [side] = self.call("guide", 1, best, low, high)
                turn.values = [self._counted(turn.values[0], side, turn.index)]
            self.store(WHOLE, self._sum(turn.values[0]), table["raw_use"], self.add(self.guide_line, guide.index))

    def _counted(self, value: str, side: str, entry: Operand) -> str:
        """A corner's number with the sides of four more entries in it; entries that are none weigh nothing."""
        whole = self.new_value(f"fptosi {FOUR_NUMBERS} {side} to {FOUR_WHOLE}")
        digit = self.new_value(f"add {FOUR_WHOLE} {whole}, <{', '.join(['i64 1'] * WIDTH)}>")
        part = self.new_value(f"mul {FOUR_WHOLE} {digit}, {self.load(FOUR_WHOLE, self.table['weights'], entry)}")
        return self.new_value(f"add {FOUR_WHOLE} {value}, {part}")

    def _sum(self, four: str) -> Operand:
        total: Operand = 0
        for lane in range(WIDTH):
            total = self.add(total, self.new_value(f"extractelement {FOUR_WHOLE} {four}, i64 {lane}"))
        return total

    # ---- corners

    def _different(self) -> tuple[Operand, Operand]:
        """How many different corners there are for the uses and for the loads, each made a whole number of fours."""
        count, table = self.count, self.table
        raw_uses = self.add(self.guide_line, count["guides"])
        with self.loop(raw_uses, carried=[(WHOLE, 0)]) as turn:
            number = self.load(WHOLE, table["raw_use"], turn.index)
            known = self._insert("uses", turn.values[0], number)
            turn.values = [self._insert("uses", known, self._flipped(number))]
        [uses] = turn.values
        with self.loop(self.multiply(2, count["limits"]), carried=[(WHOLE, 0)]) as turn:
            turn.values = [self._insert("loads", turn.values[0], self.load(WHOLE, table["raw_load"], turn.index))]
        [loads] = turn.values
        return self._filled_up("uses", uses), self._filled_up("loads", loads)

    def _insert(self, name: str, known: Operand, number: Operand) -> str:
        with self.loop(known, carried=[("i1", "false")]) as turn:
            same = self.new_value(f"icmp eq i64 {self.load(WHOLE, self.table[name], turn.index)}, {number}")
            turn.values = [self.new_value(f"or i1 {turn.values[0]}, {same}")]
        self.store(WHOLE, number, self.table[name], known)
        return self.select(turn.values[0], WHOLE, known, self.add(known, 1))

    def _flipped(self, number: Operand) -> Operand:
        """The same corner with what hangs on the hook at its other side."""
        with self.loop(self.count["hung"], carried=[(WHOLE, number)]) as turn:
            weight = self.load(WHOLE, self.table["hung_weights"], turn.index)
            digit = self.new_value(f"urem i64 {self.divide(turn.values[0], weight)}, 3")
            turn.values = [self.add(turn.values[0], self.multiply(self.subtract(2, self.multiply(2, digit)), weight))]
        return turn.values[0]

    def _filled_up(self, name: str, known: Operand) -> Operand:
        first = self.load(WHOLE, self.table[name], 0)
        with self.loop(WIDTH - 1) as turn:
            self.store(WHOLE, first, self.table[name], self.add(known, turn.index))
        return self.rounded_up(known)

    def _together(self, uses: Operand, loads: Operand) -> None:
        """Every corner: those for the uses under the load itself, those for the loads under none, near ``at_kg`` and at it."""
        count, table = self.count, self.table
        starts = [uses, self.add(uses, loads), self.add(uses, self.multiply(2, loads))]
        columns = self.add(uses, self.multiply(3, loads))
        row = self._rows_of(columns)
        self._same(row)
        load_row = self.part(table["in"], self.multiply(count["load"], row))
        self._fill(load_row, 0, uses, self.load_kg)
        for corners, firsts, name in ((uses, [0], "uses"), (loads, starts, "loads")):
            with (
                self.loop(corners) as corner,
                self.loop(count["entries"], carried=[(WHOLE, self.load(WHOLE, table[name], corner.index))]) as turn,
            ):
                rest = self.divide(turn.values[0], 3)
                digit = self.subtract(turn.values[0], self.multiply(rest, 3))
                at = self._entry_row(turn.index, row)
                value = self._at_side(turn.index, digit)
                for first in firsts:
                    self.store(NUMBER, value, at, self.add(first, corner.index))
                turn.values = [rest]
        [near_kg] = self.call("close", 1, self.at_kg)
        hung = (self.constant(0.0), near_kg, self.at_kg)
        for start, end, kg in zip(starts, [*starts[1:], columns], hung, strict=True):
            self._fill(load_row, start, end, kg)
        # What the entries' variants alone say of each use, before the table is used again.
        self._greatest_uses(self.alone_row, self.then, self.nominal["best_use"])
        self._run(row, columns)
        self._greatest_uses(row, uses, table["worst_use"])
        for start, name in zip(starts, ("none", "near", "full"), strict=True):
            self._greatest_excess(row, start, loads, name)
        self._standing(row, uses)

    def _at_side(self, entry: Operand, digit: Operand) -> str:
        best = self.load(NUMBER, self.numbers, self.load(WHOLE, self.table["entry_inputs"], entry))
        low, high = self.load(NUMBER, self.low, entry), self.load(NUMBER, self.high, entry)
        least_side, best_side = (self.new_value(f"icmp eq i64 {digit}, {side}") for side in (0, 1))
        return self.select(least_side, NUMBER, low, self.select(best_side, NUMBER, best, high))

    # ---- what they come to

    def _rows(self, limit: Operand, row: Operand) -> list[str]:
        return [self._out(self.add(limit, line), row) for line in self.lines_of_limits.values()]

    def _greatest_uses(self, row: Operand, columns: Operand, before: str) -> None:
        """The greatest use of each limit over some columns and what was found ``before``."""
        with self.loop(self.count["limits"]) as limit:
            rows = self._rows(limit.index, row)
            start = self.four_times(self.load(NUMBER, before, limit.index))
            with self.loop(columns, WIDTH, [(FOUR_NUMBERS, start)]) as turn:
                [use] = self.call("share", 1, *(self.load(FOUR_NUMBERS, each, turn.index) for each in rows))
                turn.values = self.call("most", 1, turn.values[0], use)
            self.store(NUMBER, self._one(self._of_all("most", turn.values[0])), self.table["worst_use"], limit.index)

    def _greatest_excess(self, row: Operand, start: Operand, columns: Operand, name: str) -> None:
        with self.loop(self.count["limits"]) as limit:
            rows = [self.part(each, start) for each in self._rows(limit.index, row)]
            with self.loop(
                columns,
                WIDTH,
                [(FOUR_NUMBERS, self.call("excess", 1, *(self.load(FOUR_NUMBERS, each, 0) for each in rows))[0])],
            ) as turn:
                excess = self.call("excess", 1, *(self.load(FOUR_NUMBERS, each, turn.index) for each in rows))
                turn.values = self.call("most", 1, turn.values[0], *excess)
            self.store(NUMBER, self._one(self._of_all("most", turn.values[0])), self.table[name], limit.index)

    def _standing(self, row: Operand, columns: Operand) -> None:
        with self.loop(self.count["standings"]) as value:
            at = self._out(self.add(self.standing_line, value.index), row)
            for formula, name in (("least", "standing_least"), ("most", "standing_most")):
                with self.loop(columns, WIDTH, [(FOUR_NUMBERS, self.load(FOUR_NUMBERS, at, 0))]) as turn:
                    turn.values = self.call(formula, 1, turn.values[0], self.load(FOUR_NUMBERS, at, turn.index))
                self.store(NUMBER, self._one(self._of_all(formula, turn.values[0])), self.table[name], value.index)

    def _put_together(self) -> None:
        found = [self.table[name] for name in ("worst_use", "none", "near", "full")]
        with self.loop(self.wide, WIDTH) as turn:
            values = [self.load(FOUR_NUMBERS, each, turn.index) for each in found]
            bests = [self.load(FOUR_NUMBERS, each, turn.index) for each in self.nominal.values()]
            use, allowed_kg = self.call("met", 2, *values, self.at_kg, *bests)
            at = self.add(self.multiply(self.pose, self.wide), turn.index)
            self.store(FOUR_NUMBERS, use, self.table["use"], at)
            self.store(FOUR_NUMBERS, allowed_kg, self.table["allowed_kg"], at)


# ---------------------------------------------------------------- handed over


@functools.cache
def _code() -> CompiledFunction | None:
    return compiled_function(_text(), Signature("search", LOOP_ARGUMENTS))


class Entries(NamedTuple):
    """Which figures may be off: the input of each, those that hang on the hook, the input that is the load and its entry, if any."""

    inputs: tuple[int, ...]
    hung: tuple[int, ...]
    load: int
    load_entry: int | None


class Asked(NamedTuple):
    """Poses in a row and what may be off in them.

    ``numbers`` (poses, inputs) are best values; ``least`` and ``most`` (poses, entries) those of each entry.  Best values of
    every limit are (limits, poses).
    """

    entries: Entries
    numbers: Array
    least: Array
    most: Array
    best_use: Array
    best_kg: Array
    best_allowed: Array

    def some(self, poses: slice) -> Asked:
        """The same for some of the poses."""
        rows = {name: getattr(self, name)[poses] for name in ("numbers", "least", "most")}
        columns = {name: getattr(self, name)[:, poses] for name in ("best_use", "best_kg", "best_allowed")}
        return self._replace(**rows, **columns)


class Answer(NamedTuple):
    """Every limit's worst use and allowed load (limits, poses), and what one pose was found from: see `corners.First`."""

    use: Array
    allowed_kg: Array
    low: Array
    high: Array
    allowed: Array
    standing_least: Array
    standing_most: Array


class CornerCode:
    """The search over the limits of one job."""

    def __init__(self, limits: MachineFunction, guides: int, standings: int) -> None:
        self._limits, self._guides, self._standings = limits, guides, standings
        self._frames: dict[Entries, _Frame] = {}
        self.held = False
        """Whether it has been held against the formulas: it runs on machines that nobody has tried it on."""

    def search(self, asked: Asked) -> Answer:
        """Worst case of every limit at every pose; many poses are shared out among threads."""
        poses, inputs = asked.numbers.shape
        if inputs != self._limits.inputs:
            raise ValueError(f"Expected {self._limits.inputs} inputs, got {inputs}")
        parts = min(thread_count(), poses // POSES_OF_A_THREAD)
        if parts <= 1:
            return self._search(asked)
        ends = np.linspace(0, poses, parts + 1).astype(int).tolist()
        cut = [asked.some(slice(start, end)) for start, end in itertools.pairwise(ends)]
        with ThreadPoolExecutor(parts) as threads:
            found = list(threads.map(self._search, cut))
        use, allowed_kg = (
            np.concatenate([getattr(part, name) for part in found], axis=1) for name in ("use", "allowed_kg")
        )
        return found[0]._replace(use=use, allowed_kg=allowed_kg)

    def _search(self, asked: Asked) -> Answer:
        poses, limits, entries = len(asked.numbers), len(asked.best_use), len(asked.entries.inputs)
        frame = self._frame(asked.entries, limits)
        room = np.empty(frame.length + poses * frame.pose_length)
        parts = {name: room[start : start + poses * width] for name, start, width in frame.by_pose(poses)}
        for name in ("numbers", "least", "most"):
            parts[name].reshape(poses, -1)[...] = getattr(asked, name)
        for name, beyond in (("best_use", 0.0), ("best_kg", np.inf), ("best_allowed", 0.0)):
            table = parts[name].reshape(poses, -1)
            table[:, :limits] = getattr(asked, name).T
            table[:, limits:] = beyond
        counts = np.array([{**frame.counts, "poses": poses}[name] for name in _COUNTS], np.int64)
        tables = np.array(frame.addresses(address_of(room), poses), np.int64)
        _code().call(address_of(counts), address_of(tables))
        use, allowed_kg = (parts[name].reshape(poses, -1)[:, :limits].T for name in ("use", "allowed_kg"))
        low, high = (frame.part(room, name).reshape(limits, -1)[:, :entries] for name in ("low", "high"))
        return Answer(use, allowed_kg, low, high, *(frame.part(room, name) for name in _OF_THE_FIRST))

    def _frame(self, entries: Entries, limits: int) -> _Frame:
        if entries not in self._frames:
            self._frames[entries] = _Frame(self._limits, entries, limits, self._guides, self._standings)
        return self._frames[entries]


_OF_THE_FIRST = ("first_allowed", "standing_least", "standing_most")


class _Frame:
    """Where everything stands in the room that a search works in; the same for all poses with the same entries."""

    def __init__(
        self, limits_code: MachineFunction, entries: Entries, limits: int, guides: int, standings: int
    ) -> None:
        count, inputs = len(entries.inputs), limits_code.inputs
        self.counts = {"inputs": inputs, "entries": count, "limits": limits, "guides": guides, "standings": standings}
        self.counts |= {"load": entries.load, "hung": len(entries.hung)}
        wide, wide_entries = _fours(limits), _fours(count)
        weights = np.zeros(wide_entries, np.int64)
        weights[:count] = 3 ** np.arange(count, dtype=np.int64)
        is_load = np.zeros(wide_entries)
        if entries.load_entry is not None:
            is_load[entries.load_entry] = 1.0
        strides = np.zeros(inputs, np.int64)
        strides[[*entries.inputs, entries.load]] = 1
        self._fixed = {
            "constants": limits_code.constants,
            "strides": strides,
            "entry_inputs": np.array(entries.inputs, np.int64),
            "weights": weights,
            "is_load": is_load,
            "hung_weights": weights[list(entries.hung)],
        }
        uses, loads = 2 * (2 * limits + guides), 2 * limits
        columns = max(2 * _fours(2 * count + 1), _fours(uses) + 3 * _fours(loads)) + 2 * NUMBERS_OF_A_CACHE_LINE
        self._lengths = {
            "low": limits * wide_entries,
            "high": limits * wide_entries,
            "first_allowed": limits,
            "standing_least": standings,
            "standing_most": standings,
            "in": inputs * columns,
            "out": limits_code.results * columns + WIDTH,
            "raw_use": uses,
            "raw_load": loads,
            "uses": uses + WIDTH,
            "loads": loads + WIDTH,
            **dict.fromkeys(("worst_use", "none", "near", "full"), wide),
        }
        self._starts = dict(zip(self._lengths, itertools.accumulate(self._lengths.values(), initial=0), strict=False))
        self.length = sum(self._lengths.values())
        best = dict.fromkeys(("best_use", "best_kg", "best_allowed", "use", "allowed_kg"), wide)
        self._widths = {"numbers": inputs, "least": count, "most": count, **best}
        self.pose_length = sum(self._widths.values())
        known = {
            "run": limits_code.compiled.address,
            **{name: address_of(table) for name, table in self._fixed.items()},
        }
        self._known = [known.get(name) for name in _TABLES]

    def by_pose(self, poses: int) -> Iterator[tuple[str, int, int]]:
        """Operand, start and width of the tables that have a row for each pose."""
        start = self.length
        for name, width in self._widths.items():
            yield name, start, width
            start += poses * width

    def addresses(self, room: int, poses: int) -> list[int]:
        """Where the tables are, in the order of `_TABLES`."""
        starts = self._starts | {name: start for name, start, _ in self.by_pose(poses)}
        return [
            room + 8 * starts[name] if fixed is None else fixed
            for name, fixed in zip(_TABLES, self._known, strict=True)
        ]

    def part(self, room: Array, name: str) -> Array:
        """One of the tables that do not grow with the poses."""
        start = self._starts[name]
        return room[start : start + self._lengths[name]]


POSES_OF_A_THREAD = 32
"""Fewer poses are not worth a thread."""


def corner_code(limits: object, guides: int, standings: int) -> CornerCode | None:
    """The search over limits (``bench.values_of``) that are machine code themselves; None where there is none."""
    return (
        CornerCode(limits, guides, standings) if isinstance(limits, MachineFunction) and _code() is not None else None
    )


def _fours(count: int) -> int:
    return -(-count // WIDTH) * WIDTH
