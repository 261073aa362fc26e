"""Lines of a PDF page in millimetres of paper, read from its own vector operators."""

from __future__ import annotations

from typing import NamedTuple

import pypdf

MM_PER_PT = 25.4 / 72.0

PAINTED = (b"S", b"s", b"f", b"F", b"f*", b"B", b"B*", b"b", b"b*", b"n")


class PathBox(NamedTuple):
    """What one painted path takes of the page (mm), and whether it has curves."""

    left: float
    right: float
    lower: float
    upper: float
    curved: bool

    @property
    def size(self) -> tuple[float, float]:
        """Width and height."""
        return self.right - self.left, self.upper - self.lower


def path_boxes(page: pypdf.PageObject) -> list[PathBox]:
    """Every path painted on a page, from its content stream."""
    matrix, kept, points, boxes, curved = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0), [], [], [], False
    for operands, operator in pypdf.generic.ContentStream(page.get_contents(), page.pdf).operations:
        numbers = [float(value) for value in operands] if operator in (b"cm", b"m", b"l", b"c", b"re") else []
        if operator == b"q":
            kept.append(matrix)
        elif operator == b"Q":
            matrix = kept.pop()
        elif operator == b"cm":
            a, b, c, d, e, f = numbers
            p, q, r, s, t, u = matrix
            matrix = (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)
        elif operator == b"re":
            x, y, w, h = numbers
            points += [_moved(matrix, x, y), _moved(matrix, x + w, y + h)]
        elif numbers:
            curved = curved or operator == b"c"
            points += [_moved(matrix, *numbers[index : index + 2]) for index in range(0, len(numbers), 2)]
        elif operator in PAINTED:
            if points:
                across, up = zip(*points, strict=True)
                left, right, lower, upper = (edge * MM_PER_PT for edge in (min(across), max(across), min(up), max(up)))
                boxes.append(PathBox(left, right, lower, upper, curved))
            points, curved = [], False
    return boxes


def _moved(matrix: tuple[float, ...], x: float, y: float) -> tuple[float, float]:
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f
