"""Where tags stand so that none lies on another, on a handle or off the sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TypeAlias

from PySide6.QtCore import QPointF, QRectF

from app.canvas.handles import GRIP_PX, Handle
from app.canvas.marks import Tag

Align: TypeAlias = tuple[float, float]
"""Where a tag's anchor sits on it: (0, 0) its top left, (1, 1) its bottom right; beyond that, off it."""

TagPlaces: TypeAlias = tuple[Tag, Sequence[Align]]
"""A tag and the alignments it may take, best first."""

_Box: TypeAlias = tuple[float, float, float, float]
"""Left, top, right and bottom, in pixels of the whole sheet."""


def declutter(
    tags: Iterable[TagPlaces], px_per_mm: float, seen: QRectF | None = None, handles: Iterable[Handle] = ()
) -> None:
    """Keep tags off each other and on the sheet: each takes the first of its places that is free, or is not shown.

    Parameters
    ----------
    tags : iterable of TagPlaces
        In order of importance.
    px_per_mm : float
        Scale of the view.
    seen : QRectF, optional
        What of the scene is in view (mm).  A tag that would leave it is pushed back by its edge as long as what it
        stands at is in view.
    handles : iterable of Handle
        They lie over tags: where a tag has a place without a handle under it, it takes that.
    """
    used: list[_Box] = []
    sheet = None
    if seen is not None:
        top_left, bottom_right = seen.topLeft() * px_per_mm, seen.bottomRight() * px_per_mm
        sheet = top_left.x(), top_left.y(), bottom_right.x(), bottom_right.y()
    grips = [_grip(handle.pos(), px_per_mm) for handle in handles if handle.isVisible()]
    for tag, places in tags:
        align, box = _best_place(tag, places, px_per_mm, sheet, used, grips)
        tag.setVisible(align is not None)
        if align is not None:
            tag.set_align(align)
            used.append(box)


def _grip(at: QPointF, px_per_mm: float) -> _Box:
    x, y = at.x() * px_per_mm, at.y() * px_per_mm
    return x - GRIP_PX, y - GRIP_PX, x + GRIP_PX, y + GRIP_PX


def _best_place(
    tag: Tag,
    places: Sequence[Align],
    px_per_mm: float,
    sheet: _Box | None,
    used: Sequence[_Box],
    grips: Sequence[_Box],
) -> tuple[Align | None, _Box]:
    """The first free place on the sheet and under no handle, else the first on the sheet, else any, else none."""
    at, (width, height) = tag.pos(), tag.size_px
    x, y = at.x() * px_per_mm, at.y() * px_per_mm
    best_align, best_box, best_score = None, (x, y, x, y), -1
    for align in _places_and_pushed(places, x, y, width, height, sheet):
        left, top = x - width * align[0], y - height * align[1]
        right, bottom = left + width, top + height
        box = left, top, right, bottom
        if _hits(box, used):
            continue
        inside = sheet is None or (left >= sheet[0] and top >= sheet[1] and right <= sheet[2] and bottom <= sheet[3])
        clear = not _hits(box, grips)
        if 2 * inside + clear > best_score:
            best_align, best_box, best_score = align, box, 2 * inside + clear
        if inside and clear:
            break
    return best_align, best_box


def _hits(box: _Box, others: Sequence[_Box]) -> bool:
    """Whether a box lies over any of the others."""
    left, top, right, bottom = box
    for other_left, other_top, other_right, other_bottom in others:
        if left < other_right and other_left < right and top < other_bottom and other_top < bottom:
            return True
    return False


def _places_and_pushed(
    places: Sequence[Align], x: float, y: float, width: float, height: float, sheet: _Box | None
) -> Iterator[Align]:
    """The places themselves, then those that would leave the sheet, pushed back onto it."""
    yield from places
    if sheet is None or not width or not (sheet[0] <= x <= sheet[2] and sheet[1] <= y <= sheet[3]):
        return
    for across, up in places:
        left, top = x - width * across, y - height * up
        right = max(sheet[0] + 1.0 - left, 0.0) - max(left + width - sheet[2] + 1.0, 0.0)
        down = max(sheet[1] + 1.0 - top, 0.0) - max(top + height - sheet[3] + 1.0, 0.0)
        if right or down:
            yield across - right / width, up - down / height
