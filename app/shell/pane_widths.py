"""Widths of the panes of the helper view: in the ratio of what they show, so that no pane is half empty."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

MOST_SPARE = 0.2
"""Share that the dials' column may grow by where the drawings do not need the width."""

LEAST_FILL = 0.85
"""Share of its pane's width that the first drawing fills at least, as long as the others need no width."""


class Content(NamedTuple):
    """What a pane shows: a drawing of any scale, and tags and dimensions of a fixed size around it."""

    ratio: float
    """Width of the drawing over its height."""

    across_px: float
    """Width of what stands beside the drawing."""

    up_px: float
    """Height of what stands over and under it."""

    least_px: float = 0.0
    """Width that its words need whatever the drawing's scale."""

    def width_px(self, height_px: float) -> float:
        """Width that it takes in a pane of that height."""
        return max(height_px - self.up_px, 1.0) * self.ratio + self.across_px


def pane_widths(width_px: float, height_px: float, contents: Sequence[Content], dials_px: float) -> list[float]:
    """Widths of the drawings' panes and, last, of the dials' column; together they are ``width_px``.

    All drawings are as tall as the width allows, and no taller than the panes.  Width that is left over goes first to
    the dials, then to the first drawing as long as it fills enough of its pane, then to all drawings alike.

    Parameters
    ----------
    width_px, height_px : float
        Of all panes together.
    contents : sequence of Content
        One for each drawing.
    dials_px : float
        Least width of the dials' column; zero where there are no dials.
    """
    room_px = width_px - dials_px
    fixed_px = sum(content.up_px * content.ratio - content.across_px for content in contents)
    tall_px = min((room_px + fixed_px) / sum(content.ratio for content in contents), height_px)
    widths = [content.width_px(tall_px) for content in contents]
    spare_px = max(room_px - sum(widths), 0.0)
    to_dials_px = min(spare_px, MOST_SPARE * dials_px)
    dials_px += to_dials_px
    widths[0] += min(spare_px - to_dials_px, widths[0] * (1.0 / LEAST_FILL - 1.0))
    return [*_shared(width_px - dials_px, widths, [content.least_px for content in contents]), dials_px]


def _shared(width_px: float, widths: Sequence[float], least: Sequence[float]) -> list[float]:
    """A width in the ratio of others, none under its least: what one lacks the others give."""
    scaled = [width * width_px / sum(widths) for width in widths]
    held = [max(width, least_px) for width, least_px in zip(scaled, least, strict=True)]
    over_px = sum(held) - width_px
    free_px = sum(width for width, own in zip(held, scaled, strict=True) if width == own)
    if over_px <= 0.0 or free_px <= over_px:
        return scaled
    return [
        width * (1.0 - over_px / free_px) if width == own else width for width, own in zip(held, scaled, strict=True)
    ]
