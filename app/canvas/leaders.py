"""Where tags stand on a drawing that is read from afar: each in the nearest free place, with a leader to its mark.

Places are tried on a grid over the sheet, the nearest to the mark first.  None lies on another tag.  A place on no
mark, leader or body of the drawing, whose own leader crosses no other tag, goes first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from PySide6.QtCore import QPointF, QRectF

from app.canvas.marks import Tag, nearest

CLEAR_PX = 24.0
"""A tag stays this far from its own mark, so that the mark is seen."""

PLAIN_TAG_LINES = 7.0
"""Width of the tags of a plain drawing, in text heights: they take more lines rather than half the sheet."""

GRID_SHARE = 0.5
"""Step of the grid as a share of a tag's line height."""

EDGE_PX = 3.0

_POINTS = 12
"""A leader is looked at in so many points."""


def lead(
    tags: Iterable[Tag], px_per_mm: float, seen: QRectF, bodies: Iterable[QRectF], taken: Iterable[QRectF]
) -> None:
    """Place tags and draw their leaders; a tag with no free place on the sheet is not shown.

    Parameters
    ----------
    tags : iterable of Tag
        In order of importance.
    px_per_mm : float
        Scale of the view.
    seen : QRectF
        What of the scene is in view (mm).
    bodies, taken : iterable of QRectF
        What a tag had better not cover, and what it must not (scene, mm).
    """
    tags = list(tags)
    sheet = _scaled(seen, px_per_mm).adjusted(EDGE_PX, EDGE_PX, -EDGE_PX, -EDGE_PX)
    covered = [_scaled(rect, px_per_mm) for rect in bodies]
    used = [_scaled(rect, px_per_mm) for rect in taken]
    marks = [tag.pos() * px_per_mm for tag in tags]
    leaders: list[QPointF] = []
    for tag, mark in zip(tags, marks, strict=True):
        others = [other for other in marks if other is not mark]
        rect = _free(tag, mark, sheet, covered, used, [*others, *leaders])
        tag.setVisible(rect is not None)
        if rect is not None:
            used.append(rect)
            leaders += _leader(rect, mark)
            tag.set_align(((mark.x() - rect.left()) / rect.width(), (mark.y() - rect.top()) / rect.height()))
            tag.set_led(True)


def _scaled(rect: QRectF, px_per_mm: float) -> QRectF:
    return QRectF(rect.topLeft() * px_per_mm, rect.bottomRight() * px_per_mm)


def _free(
    tag: Tag,
    mark: QPointF,
    sheet: QRectF,
    covered: Sequence[QRectF],
    used: Sequence[QRectF],
    points: Sequence[QPointF],
) -> QRectF | None:
    """The nearest place with nothing against it; else on a body; else with a mark or leader in the way; else none."""
    best, least = None, 4
    for rect in _places(tag, mark, sheet):
        if any(rect.intersects(other) for other in used):
            continue
        led = _leader(rect, mark)
        crossed = any(rect.contains(point) for point in points) or any(
            other.contains(point) for point in led for other in used
        )
        against = 2 * crossed + any(rect.intersects(other) for other in covered)
        if against < least:
            best, least = rect, against
        if not against:
            break
    return best


def _places(tag: Tag, mark: QPointF, sheet: QRectF) -> Iterator[QRectF]:
    """The tag's rectangles on the sheet, the nearest to the mark first, none on the mark."""
    width, height = tag.size_px
    step = GRID_SHARE * height / (tag.text.count("\n") + 1)
    across, down = (int(room // step) + 1 for room in (sheet.width() - width, sheet.height() - height))
    ranked: list[tuple[float, float, float, float]] = []
    for top in (sheet.top() + step * row for row in range(down)):
        up = max(top - mark.y(), 0.0, mark.y() - top - height)
        for left in (sheet.left() + step * column for column in range(across)):
            aside = max(left - mark.x(), 0.0, mark.x() - left - width)
            gap = aside * aside + up * up
            if gap >= CLEAR_PX * CLEAR_PX:
                middle = (left + width / 2.0 - mark.x()) ** 2 + (top + height / 2.0 - mark.y()) ** 2
                ranked.append((gap, middle, left, top))
    return (QRectF(left, top, width, height) for _, _, left, top in sorted(ranked))


def _leader(rect: QRectF, mark: QPointF) -> list[QPointF]:
    """Points along a leader, from the tag's edge to the mark."""
    end = nearest(rect, mark)
    return [end + (mark - end) * (at / _POINTS) for at in range(1, _POINTS + 1)]
