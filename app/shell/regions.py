"""F6 walks the regions of the window: stages, verdict, drawing, plan, sections, rail."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

Region = tuple[QWidget, Callable[[], QWidget]]
"""A region, and the widget in it that takes the keyboard."""


class Regions:
    """The regions of one window in their order."""

    def __init__(self, regions: Callable[[], Sequence[Region]]) -> None:
        """``regions`` gives those there are now: a wide window has one more."""
        self._regions = regions

    def go(self, steps: int) -> None:
        """Give the keyboard to the region so many further on, of those that are to be seen."""
        seen = [(region, first) for region, first in self._regions() if region.isVisible()]
        if not seen:
            return
        focus = seen[0][0].window().focusWidget()
        here = [at for at, (region, _) in enumerate(seen) if focus is not None and _holds(region, focus)]
        at = here[-1] + steps if here else (0 if steps > 0 else -1)
        _, first = seen[at % len(seen)]
        first().setFocus(Qt.FocusReason.ShortcutFocusReason)


def _holds(region: QWidget, widget: QWidget) -> bool:
    return region is widget or region.isAncestorOf(widget)
