"""Where tags stand so that none lies on another, on a handle, on an arrow head or off the sheet.

A tag that does not stand beside its own mark, or stands nearer to another's, is led to its mark by a thin line.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TypeAlias

from PySide6.QtCore import QPointF, QRectF

from app.canvas.handles import GRIP_PX, Handle
from app.canvas.marks import Box, Tag

Align: TypeAlias = tuple[float, float]
"""Where a tag's anchor sits on it: (0, 0) its top left, (1, 1) its bottom right; beyond that, off it."""

TagPlaces: TypeAlias = tuple[Tag, Sequence[Align]]
"""A tag and the alignments it may take, best first."""

BESIDE_LINES = 1.0
"""A tag within so many text lines of its mark needs no leader."""

BEST = 7
"""What a place scores that has nothing against it."""

_SHARES = (0.1, 0.3, 0.5, 0.7, 0.9)
"""A leader is looked at in points at these shares of its length."""


def declutter(
    tags: Iterable[TagPlaces],
    px_per_mm: float,
    seen: QRectF | None = None,
    handles: Iterable[Handle] = (),
    arrow_heads: Iterable[Box] = (),
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
    arrow_heads : iterable of Box
        Of dimensions.  A tag covers them only where it has no other place.
    """
    used: list[Box] = []
    sheet = None
    if seen is not None:
        top_left, bottom_right = seen.topLeft() * px_per_mm, seen.bottomRight() * px_per_mm
        sheet = top_left.x(), top_left.y(), bottom_right.x(), bottom_right.y()
    grips = [_box_about(handle.pos(), GRIP_PX, px_per_mm) for handle in handles if handle.isVisible()]
    grips += arrow_heads
    tags = list(tags)
    spared = [_box_about(tag.pos(), tag.mark_px, px_per_mm) for tag, _ in tags if tag.mark_px]
    placed: list[tuple[Tag, Box]] = []
    for tag, places in tags:
        align, box = _best_place(tag, places, px_per_mm, sheet, used, grips, spared)
        tag.setVisible(align is not None)
        if align is not None:
            tag.set_align(align)
            used.append(box)
            placed.append((tag, box))
            spared += _leader(tag, box, tag.pos().x() * px_per_mm, tag.pos().y() * px_per_mm)
    _lead(placed, px_per_mm)


def _lead(placed: Sequence[tuple[Tag, Box]], px_per_mm: float) -> None:
    """Lead each tag to its mark that stands away from it or nearer to another's."""
    marked = [
        (tag, box, tag.pos().x() * px_per_mm, tag.pos().y() * px_per_mm, tag.mark_px)
        for tag, box in placed
        if tag.mark_px is not None
    ]
    for tag, box, x, y, mark_px in marked:
        own = _off(box, x, y) - mark_px
        led = own > _beside_px(tag) or any(
            _off(box, other_x, other_y) - other_px < own for _, _, other_x, other_y, other_px in marked
        )
        tag.set_led(led, thin=True)


def _off(box: Box, x: float, y: float) -> float:
    """How far a point lies from a box, along the sheet's edges."""
    left, top, right, bottom = box
    return max(left - x, x - right, 0.0) + max(top - y, y - bottom, 0.0)


def _beside_px(tag: Tag) -> float:
    """So far from its mark a tag is still seen to be its own."""
    return BESIDE_LINES * tag.size_px[1] / (tag.text.count("\n") + 1)


def _leader(tag: Tag, box: Box, x: float, y: float) -> list[Box]:
    """Points of the leader that a tag needs in a box, as boxes of no size; none where it stands beside its mark."""
    if tag.mark_px is None or _off(box, x, y) - tag.mark_px <= _beside_px(tag):
        return []
    left, top, right, bottom = box
    dx, dy = min(max(x, left), right) - x, min(max(y, top), bottom) - y
    return [(x + dx * at, y + dy * at, x + dx * at, y + dy * at) for at in _SHARES]


def _box_about(at: QPointF, half_px: float, px_per_mm: float) -> Box:
    x, y = at.x() * px_per_mm, at.y() * px_per_mm
    return x - half_px, y - half_px, x + half_px, y + half_px


def _best_place(
    tag: Tag,
    places: Sequence[Align],
    px_per_mm: float,
    sheet: Box | None,
    used: Sequence[Box],
    grips: Sequence[Box],
    spared: Sequence[Box],
) -> tuple[Align | None, Box]:
    """The first free place on the sheet, off handles and marks and led across no tag; else the least bad; or none.

    To be on the sheet counts most, and to be under no handle more than what is ``spared``.
    """
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
        clear = not _hits(box, spared) and not any(_hits(point, used) for point in _leader(tag, box, x, y))
        score = 4 * inside + 2 * (not _hits(box, grips)) + clear
        if score > best_score:
            best_align, best_box, best_score = align, box, score
        if score == BEST:
            break
    if tag.may_go and best_score < BEST:
        return None, best_box
    return best_align, best_box


def _hits(box: Box, others: Sequence[Box]) -> bool:
    """Whether a box lies over any of the others."""
    left, top, right, bottom = box
    for other_left, other_top, other_right, other_bottom in others:
        if left < other_right and other_left < right and top < other_bottom and other_top < bottom:
            return True
    return False


def _places_and_pushed(
    places: Sequence[Align], x: float, y: float, width: float, height: float, sheet: Box | None
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
