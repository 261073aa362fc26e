"""The strip under the side view: the plan, or in its place a part of the section that is open, over the whole width.

A bar over the strip folds it away. Where a part stands in the plan's place, a button of the bar brings the plan back;
where the part may grow, another gives it the side view's place as well. A part asks for a height of its own: where that
would leave the side view too low to read, the part stays in its panel, and the plan here. A note stands under the
strip, or on the bar where height is short.
"""

from __future__ import annotations

from typing import cast

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from app.panels.strip_part import StripPart
from app.shell.notice import Notice

BAR_ROW, STRIP_ROW, NOTE_ROW = 2, 3, 4
SIDE_STRETCH, STRIP_STRETCH = 5, 3

LEAST_LINES = 20.0
"""Height of both views, in lines of text, under which a part leaves too little of it to the side view."""

ON_BAR_STRETCH = 4
"""Width of what else stands on the bar, against that of the bar's own words."""

PLAN_ABOUT = "truck, rig and load from above"

GROW_KEYS = "Ctrl+Enter"


class Strip(QObject):
    """Decides what stands under the side view, and how much room it takes."""

    changed = Signal()
    """Something else is shown, folded or unfolded."""

    def __init__(self, grid: QGridLayout, *, over: tuple[QWidget, ...], plan: tuple[QWidget, QWidget]) -> None:
        """The strip in the last rows of a grid of two columns.

        Parameters
        ----------
        grid : QGridLayout
        over
            What stands over it: the side view with its rulers.
        plan
            The plan's upright ruler, and the plan.
        """
        super().__init__(grid)
        self._grid, self._over, self._plan = grid, over, plan
        self._folded, self._folded_by_hand = False, None
        self._is_low = False
        self._part: StripPart | None = None
        self._note: Notice | None = None
        self._plan_wanted = self._grown = False
        self.bar = QToolButton()
        self.bar.setObjectName("fold")
        self.bar.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.bar.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.bar.clicked.connect(lambda: self.fold_by_hand(folded=self.grown or not self._folded))
        self.swap_button, self.grow_button = QToolButton(), QToolButton()
        _name(self.swap_button, "Show the plan here", f"Show the plan here: {PLAN_ABOUT}")
        _name(self.grow_button, "Larger", f"Over the whole drawing ({GROW_KEYS})")
        self.swap_button.clicked.connect(self.swap)
        self.grow_button.clicked.connect(self.grow)
        row = self._bar_row = QHBoxLayout()
        row.setSpacing(0)
        row.addWidget(self.bar, 1)
        row.addWidget(self.swap_button)
        row.addWidget(self.grow_button)
        grid.addLayout(row, BAR_ROW, 0, 1, 2)
        self.place = QWidget()
        self._column = QVBoxLayout(self.place)
        self._column.setContentsMargins(4, 0, 4, 0)
        for column, part in enumerate(plan):
            grid.addWidget(part, STRIP_ROW, column)
        grid.addWidget(self.place, STRIP_ROW, 0, 1, 2)
        self._whole = cast(QWidget, grid.parentWidget())
        self._whole.installEventFilter(self)
        self._arrange()

    def put_on_bar(self, widget: QWidget) -> None:
        """Put something on the bar that the drawing is not to be covered with; it takes most of the bar's width."""
        self._bar_row.insertWidget(1, widget, ON_BAR_STRETCH)

    def put_under(self, note: Notice) -> None:
        """Put a note under the strip, over the whole width; where there is little height it stands on the bar."""
        self._note = note
        self._place_note()

    def _place_note(self) -> None:
        note = self._note
        if note is None:
            return
        self._grid.removeWidget(note)
        self._bar_row.removeWidget(note)
        if self._is_low:
            self._bar_row.insertWidget(1, note, ON_BAR_STRETCH)
        else:
            self._grid.addWidget(note, NOTE_ROW, 0, 1, 2)
        note.set_sharing(self._is_low)

    # -------------------------------------------------------- folding

    @property
    def folded(self) -> bool:
        """Whether it is folded to its bar."""
        return self._folded

    @property
    def folded_by_hand(self) -> bool | None:
        """As somebody wanted it, whatever room there is; None until then."""
        return self._folded_by_hand

    def fold(self, *, folded: bool) -> None:
        """Fold it where there is little room, or unfold it, unless somebody chose otherwise."""
        if self._folded_by_hand is None:
            self._folded = folded
            self._arrange()

    def fold_by_hand(self, *, folded: bool) -> None:
        """Fold it, or unfold it, whatever room there is."""
        self._grown = False
        self._folded_by_hand = self._folded = folded
        self._arrange()

    # -------------------------------------------------------- the part in the plan's place

    @property
    def shows_plan(self) -> bool:
        """Whether the plan is to be seen."""
        return not self._folded and not self._lends

    @property
    def grown(self) -> bool:
        """Whether a part has the side view's place as well; without anything to show it does not."""
        return self._grown and self._offered is not None

    @property
    def _offered(self) -> StripPart | None:
        """The part that has something to show."""
        return self._part if self._part is not None and self._part.is_filled else None

    @property
    def _lends(self) -> bool:
        """Whether a part stands here."""
        return self.grown or (self._offers and not self._folded)

    @property
    def _offers(self) -> bool:
        """Whether a part would stand here beside the side view; where that would be too low, it stays in its panel."""
        return self._offered is not None and not self._plan_wanted and not self._is_low

    @property
    def part_height_px(self) -> int:
        """Least height of a part that stands beside the side view; it goes home rather than ask a window for that."""
        return self.place.minimumSizeHint().height() if self._lends and not self.grown else 0

    def offer(self, part: StripPart | None) -> None:
        """Let a part stand in the plan's place, or none any more; the one before goes home."""
        if part is self._part:
            return
        before, self._part = self._part, part
        self._plan_wanted = self._grown = False
        if before is not None:
            before.filled.disconnect(self._arrange)
            before.go_home()
        if part is not None:
            part.filled.connect(self._arrange)
        self._arrange()

    def swap(self) -> None:
        """Show the plan instead of the part, or the part again."""
        self._grown = False
        self._plan_wanted = not self._plan_wanted
        self._arrange()

    def grow(self) -> None:
        """Give the part the side view's place as well, or take it back; a folded strip is folded again then."""
        part = self._offered
        if part is None or not part.grows:
            return
        self._grown, self._plan_wanted = not self._grown, False
        self._arrange()
        if self._grown:
            part.setFocus(Qt.FocusReason.ShortcutFocusReason)

    # -------------------------------------------------------- arranging

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follow the height and the size of text of side view and strip together."""
        if event.type() in (QEvent.Type.Resize, QEvent.Type.FontChange):
            is_low = self._whole.height() < LEAST_LINES * self._whole.fontMetrics().height()
            if is_low != self._is_low:
                self._is_low = is_low
                self._place_note()
                self._arrange()
        return super().eventFilter(watched, event)

    def _arrange(self) -> None:
        part, lent = self._part, self._lends
        if part is not None and lent and part.parentWidget() is not self.place:
            part.go_out()
            self._column.addWidget(part)
            part.show()
        elif part is not None and not lent and part.parentWidget() is self.place:
            part.go_home()
        self.place.setVisible(lent)
        for widget in self._plan:
            widget.setVisible(self.shows_plan)
        for widget in self._over:
            widget.setVisible(not self.grown)
        self._grid.setRowStretch(0, 0 if self.grown else SIDE_STRETCH)
        self._grid.setRowStretch(STRIP_ROW, 0 if self._folded and not lent else STRIP_STRETCH)
        self._name_buttons()
        self.changed.emit()

    def _name_buttons(self) -> None:
        part = self._offered
        shows_part = part is not None and (self.grown or self._offers)
        title, about = (part.title, part.about) if part is not None and shows_part else ("Plan", PLAN_ABOUT)
        self.bar.setText(title)
        folded = self._folded and not self.grown
        self.bar.setArrowType(Qt.ArrowType.RightArrow if folded else Qt.ArrowType.DownArrow)
        words = f"Show the {title.lower()}" if folded else f"Fold the {title.lower()} away"
        _name(self.bar, words, f"{words}: {about}")
        self.swap_button.setVisible(part is not None and not self._folded and (self.grown or not self._is_low))
        self.grow_button.setVisible(part is not None and part.grows)
        if part is None:
            return
        other, what = (part.title, part.about) if self._plan_wanted else ("Plan", PLAN_ABOUT)
        words = f"Show the {other.lower()}"
        self.swap_button.setText(words)
        _name(self.swap_button, f"{words} here", f"{words} here: {what}")
        words = f"{'Smaller' if self.grown else 'Larger'} {part.title.lower()}"
        hint = "Give the drawing its place back" if self.grown else "Over the whole drawing"
        self.grow_button.setText(words)
        _name(self.grow_button, words, f"{hint} ({GROW_KEYS})")


def _name(button: QToolButton, name: str, hint: str) -> None:
    button.setAccessibleName(name)
    button.setToolTip(hint)
