"""Choices of one tube for each part, lightest first, by branch and bound.

Parts are chosen one after the other.  A node holds the first few choices; no rig below it is lighter than the node's
*bound*, which is what is chosen so far and the lightest tube for every part that is left.  The node with the least
bound is taken first, so whole rigs come out in the order of their weights, and nothing that is left ever weighs less
than the bound of the next node.  A node that cannot do ends with all rigs below it, which count as looked at.
"""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Callable, Iterator, Sequence
from typing import Generic, NamedTuple, TypeVar

Tree = TypeVar("Tree")
Choice = TypeVar("Choice")


class Node(NamedTuple, Generic[Tree, Choice]):
    """The first few choices of a tree, and the least that a rig with them weighs."""

    bound_kg: float
    tree: Tree
    chosen: tuple[Choice, ...]


class LightestFirst(Generic[Tree, Choice]):
    """Whole rigs of several trees, lightest first.

    Parameters
    ----------
    trees : sequence of (tree, weight, levels)
        For each tree what its rigs weigh without the parts to choose, and for each part its choices with their weights,
        lightest first.
    can_be : callable
        Whether a node may still become a rig that is wanted; asked once for each node, whole rigs too.
    """

    def __init__(
        self,
        trees: Sequence[tuple[Tree, float, Sequence[Sequence[tuple[float, Choice]]]]],
        can_be: Callable[[Node[Tree, Choice]], bool],
    ) -> None:
        self._can_be = can_be
        self._levels = [levels for _, _, levels in trees]
        self._numbers = itertools.count()
        self.of = sum(_product(levels) for levels in self._levels)
        """How many rigs there are."""
        self.looked_at = 0
        """How many of them have come out, or were below nodes that could not do."""
        self._heap: list[tuple[float, int, int, Node[Tree, Choice]]] = []
        for number, (tree, kg, levels) in enumerate(trees):
            if _product(levels):
                self._push(number, Node(kg + sum(level[0][0] for level in levels), tree, ()))

    @property
    def bound_kg(self) -> float | None:
        """No rig that is left weighs less; None once nothing is left."""
        return self._heap[0][0] if self._heap else None

    def __iter__(self) -> Iterator[Node[Tree, Choice]]:
        """Whole rigs, each taken off what is left before it comes."""
        while self._heap:
            _, _, number, node = self._heap[0]
            levels = self._levels[number]
            can_be = not node.chosen or self._can_be(node)  # where that raises, the node is still left
            heapq.heappop(self._heap)
            if not can_be:
                self.looked_at += _product(levels[len(node.chosen) :])
            elif len(node.chosen) == len(levels):
                self.looked_at += 1
                yield node
            else:
                level = levels[len(node.chosen)]
                for kg, choice in level:
                    bound_kg = node.bound_kg + kg - level[0][0]
                    self._push(number, Node(bound_kg, node.tree, (*node.chosen, choice)))

    def _push(self, tree: int, node: Node[Tree, Choice]) -> None:
        heapq.heappush(self._heap, (node.bound_kg, next(self._numbers), tree, node))


def _product(levels: Sequence[Sequence[object]]) -> int:
    count = 1
    for level in levels:
        count *= len(level)
    return count
