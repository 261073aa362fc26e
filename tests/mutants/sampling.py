"""Mutants at random: operators, constants and names swapped in the syntax tree."""

from __future__ import annotations

import ast
import copy
import random
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

FILES: dict[str, tuple[str, ...]] = {
    "strength": ("engine/strength/*.py",),
    "hand force": ("engine/handling/hand_force.py",),
    "limits": tuple(f"engine/limits/{name}.py" for name in ("plausibility", "play", "room", "sideways", "slope")),
    "cut list": tuple(
        f"engine/shop/{name}.py"
        for name in (
            "cut_list",
            "cut_pieces",
            "cutting_plan",
            "joint_pieces",
            "piece_holes",
            "pin_list",
            "setting_out",
            "weld_list",
        )
    ),
}
"""Each area's modules."""

OPERATORS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.Pow: ast.Mult,
    ast.Lt: ast.GtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.LtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.And: ast.Or,
    ast.Or: ast.And,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
}

NAMES = {
    "min": "max",
    "max": "min",
    "smaller": "larger",
    "larger": "smaller",
    "abs": "float",
    "up": "side",
    "side": "up",
    "front": "rear",
    "rear": "front",
    "upper": "lower",
    "lower": "upper",
    "width": "depth",
    "depth": "width",
    "elastic": "plastic",
    "plastic": "elastic",
}
"""Words that are swapped in a name, one at a time: ``elastic_up_m3`` to ``plastic_up_m3`` and ``elastic_side_m3``."""


class SampledMutant(NamedTuple):
    """One change: where it stands, the line before and after, and the whole module's mutated source."""

    module: str
    line: int
    before: str
    after: str
    source: str


def sampled(root: Path, area: str, count: int, seed: int) -> list[SampledMutant]:
    """So many different mutants of an area, at random; all of them where there are fewer."""
    paths = sorted(path for files in FILES[area] for path in root.glob(files) if path.name != "__init__.py")
    changes = [(path, index) for path in paths for index in range(len(list(_changes(_parsed(path)))))]
    chosen = random.Random(seed).sample(changes, min(count, len(changes)))
    return [_mutant(root, path, index) for path, index in sorted(chosen)]


def _parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def _mutant(root: Path, path: Path, index: int) -> SampledMutant:
    tree = _parsed(path)
    statement, node, changed = list(_changes(tree))[index]
    before = ast.unparse(statement).splitlines()
    line = getattr(node, "lineno", statement.lineno)
    _replace(tree, node, changed)
    after = ast.unparse(statement).splitlines()
    ((was, now),) = [pair for pair in zip(before, after, strict=True) if pair[0] != pair[1]]
    return SampledMutant(str(path.relative_to(root)), line, was.strip(), now.strip(), ast.unparse(tree))


def _replace(tree: ast.AST, old: ast.AST, new: ast.AST) -> None:
    for parent in ast.walk(tree):
        for field, value in ast.iter_fields(parent):
            if value is old:
                setattr(parent, field, new)
            elif isinstance(value, list):
                value[:] = [new if entry is old else entry for entry in value]


def _changes(tree: ast.Module) -> Iterator[tuple[ast.stmt, ast.AST, ast.AST]]:
    """Statement, node and what stands in its place, in the order of the source; text and annotations are left alone."""
    for statement in _statements(tree.body):
        for node in _expressions(statement):
            for changed in _mutations(node):
                yield statement, node, changed


def _statements(body: list[ast.stmt]) -> Iterator[ast.stmt]:
    for statement in body:
        if isinstance(statement, ast.Import | ast.ImportFrom):
            continue
        yield statement
        for name in ("body", "orelse", "handlers", "finalbody", "cases"):
            for inner in getattr(statement, name, []):
                yield from _statements(inner.body if isinstance(inner, ast.match_case) else [inner])


def _expressions(statement: ast.stmt) -> Iterator[ast.AST]:
    """Nodes of a statement's own expressions: neither inner statements nor annotations and decorators."""
    left_out = {"body", "orelse", "handlers", "finalbody", "cases", "decorator_list", "annotation", "returns", "args"}
    if isinstance(statement, ast.FunctionDef):
        waiting: list[ast.AST] = [
            default for default in (*statement.args.defaults, *statement.args.kw_defaults) if default is not None
        ]
    elif isinstance(statement, ast.ClassDef):
        waiting = []
    else:
        waiting = [
            child
            for field, value in ast.iter_fields(statement)
            if field not in left_out
            for child in (value if isinstance(value, list) else [value])
            if isinstance(child, ast.AST)
        ]
    while waiting:
        node = waiting.pop(0)
        # Pairing of sequences that are equally long anyway.
        if isinstance(node, ast.keyword) and node.arg == "strict":
            continue
        yield node
        waiting = [*ast.iter_child_nodes(node), *waiting]


def _mutations(node: ast.AST) -> Iterator[ast.AST]:
    if isinstance(node, ast.BinOp | ast.BoolOp | ast.AugAssign):
        if type(node.op) in OPERATORS and not _is_text(node):
            changed = copy.copy(node)
            changed.op = OPERATORS[type(node.op)]()  # type: ignore[assignment]
            yield changed
    elif isinstance(node, ast.Compare):
        if type(node.ops[0]) in OPERATORS:
            changed = copy.copy(node)
            changed.ops = [OPERATORS[type(node.ops[0])](), *node.ops[1:]]  # type: ignore[list-item]
            yield changed
    elif isinstance(node, ast.UnaryOp):
        yield node.operand
    elif isinstance(node, ast.Constant):
        if isinstance(node.value, bool):
            yield ast.Constant(not node.value)
        elif isinstance(node.value, int):
            yield ast.Constant(node.value + 1)
        elif isinstance(node.value, float):
            yield ast.Constant(node.value * 1.1 if node.value else 1.0)
    elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
        for word in _swapped(node.id):
            yield ast.Name(word, node.ctx)
    elif isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Load):
        for word in _swapped(node.attr):
            yield ast.Attribute(node.value, word, node.ctx)


def _is_text(node: ast.AST) -> bool:
    return any(isinstance(inner, ast.Constant) and isinstance(inner.value, str) for inner in ast.iter_child_nodes(node))


def _swapped(name: str) -> Iterator[str]:
    parts = name.split("_")
    for index, part in enumerate(parts):
        if part in NAMES:
            yield "_".join([*parts[:index], NAMES[part], *parts[index + 1 :]])
