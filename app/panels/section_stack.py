"""The sections of the stage shown: one open under its head, in a large window two, the others closed to one line.

A panel is made when it is first asked for.  It scrolls under its head while all heads are to be seen; where the heads
leave it too little height, heads and the whole panel scroll as one page, and nothing scrolls inside the page.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import cast

from PySide6.QtCore import QEvent, QObject, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QScrollArea, QSizePolicy, QStackedWidget, QVBoxLayout, QWidget

from app.look.text_metrics import small_font, text_metrics
from app.look.theme import Palette
from app.panels.painted import PaintedButton

LINES_OF_A_PANEL = 9
"""Lines of text that the open section has at least."""

LINES_SEEN = 6
"""Lines of text of heads and section that are always to be seen."""

PADDING = 4


class SectionHead(PaintedButton):
    """A section's title; closed, with a line of what is in it."""

    def __init__(self, title: str, about: str, parent: QWidget) -> None:
        super().__init__(title, parent)
        self._line = ""
        self.setToolTip(about)
        self.setAccessibleName(f"{title} section")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    @property
    def line(self) -> str:
        """What is in it, in a line."""
        return self._line

    def set_line(self, line: str) -> None:
        """Say in a line what is in it."""
        if line != self._line:
            self._line = line
            self.setAccessibleDescription(line)
            self.update()

    def sizeHint(self) -> QSize:
        text = text_metrics(self.font(), True)
        return QSize(round(text.size(f"▸ {self.text()}")[0]) + 3 * PADDING, round(text.line_px) + 2 * PADDING)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, _event: QPaintEvent) -> None:
        colours, painter, box = self._colours, QPainter(self), self.rect().adjusted(0, 0, -1, -1)
        open_, text = self.isChecked(), text_metrics(self.font(), True)
        ground, ink = self.inks()
        painter.fillRect(box, QColor(ground))
        painter.setPen(self.outline())
        painter.drawRect(box)
        y = (self.height() - text.line_px) / 2.0
        x = text.paint(painter, f"{'▾' if open_ else '▸'} {self.text()}", PADDING + 1.0, y, ink)
        if open_ or not self._line:
            return
        small = text_metrics(small_font(self.font()))
        x += 2.0 * text.space_px
        line = small.elided(self._line, self.width() - x - PADDING)
        at = max(x, self.width() - PADDING - 2.0 - small.size(line)[0])
        small.paint(painter, line, at, (self.height() - small.line_px) / 2.0, colours.faint_ink)


class SectionStack(QWidget):
    """Sections in groups (stages); of the group shown, every head, and under one of them its panel."""

    currentChanged = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._makers: dict[int, Callable[[], QWidget]] = {}
        """What makes the panels nobody has asked for yet, by index."""
        self._places: list[QWidget] = []
        """The panel at each index, or an empty widget in its place."""
        self._heads: list[SectionHead] = []
        self._groups: list[int] = []
        self._open: dict[int, int] = {}
        """The section that is open in each group."""
        self._stack = QStackedWidget()
        # The tallest panel must not make the window taller than the screen: panels scroll or shrink.
        self._stack.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self._page = page = QWidget()
        self._column = QVBoxLayout(page)
        self._column.setContentsMargins(2, 2, 2, 0)
        self._column.setSpacing(2)
        self._column.addWidget(self._stack, 1)
        self._second = QWidget(page)
        """Holds the panel of a second open section, where there is room for two."""
        self._second_box = QVBoxLayout(self._second)
        self._second_box.setContentsMargins(0, 0, 0, 0)
        self._second.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self._second.hide()
        self._two_wanted, self._second_index = False, None
        self._unasked: set[int] = set()
        """Sections that may open beside another without anybody's asking."""
        # Where the heads and a few lines of a panel are taller than the room there is, all of it scrolls.
        self._area = QScrollArea()
        self._area.setWidgetResizable(True)
        self._area.setFrameShape(QFrame.Shape.NoFrame)
        self._area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._area.setWidget(page)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self._area)
        self._refit = QTimer(self, singleShot=True, interval=0)
        self._refit.timeout.connect(self._keep_lines)
        self._area.viewport().installEventFilter(self)
        self._keep_lines()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._refit.start()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follow the room there is, and what a panel needs of it."""
        if event.type() == (QEvent.Type.Resize if watched is self._area.viewport() else QEvent.Type.LayoutRequest):
            self._refit.start()
        return super().eventFilter(watched, event)

    def _keep_lines(self) -> None:
        """Give the open panel a few lines at the least, or all that it needs where everything scrolls as one page."""
        least_px = LINES_OF_A_PANEL * self.fontMetrics().height()
        room_px = self._area.viewport().height() - self._heads_px()
        area, whole = self._stack.currentWidget(), room_px < least_px
        if isinstance(area, QScrollArea):
            off, as_needed = Qt.ScrollBarPolicy.ScrollBarAlwaysOff, Qt.ScrollBarPolicy.ScrollBarAsNeeded
            area.setVerticalScrollBarPolicy(off if whole else as_needed)
            content_px = self._content_px(area) if whole else 0
            least_px = max(least_px, content_px)
        self._stack.setMinimumHeight(least_px)
        self._second.setMinimumHeight(least_px if self._second_index is not None else 0)

    def _heads_px(self) -> int:
        """Height of the heads of the group shown, with the gaps between them and the panel."""
        heads = [head.sizeHint().height() for head in self._heads if not head.isHidden()]
        return sum(heads) + len(heads) * self._column.spacing() + self._column.contentsMargins().top()

    def _content_px(self, area: QScrollArea) -> int:
        """Height of all that is in a scroll area."""
        content = cast(QWidget, area.widget())
        layout, width = content.layout(), max(area.viewport().width(), content.minimumSizeHint().width())
        if layout is not None and layout.hasHeightForWidth():
            return layout.totalHeightForWidth(width)
        return content.minimumSizeHint().height()

    def minimumSizeHint(self) -> QSize:
        """As wide as the widest head, and as high as a few lines of a panel."""
        width = max((part.minimumSizeHint().width() for part in self._heads), default=0)
        return QSize(width + 8, LINES_SEEN * self.fontMetrics().height())

    _second_index: int | None

    def add(self, title: str, about: str, group: int, make: Callable[[], QWidget], *, unasked: bool = False) -> int:
        """Add a section to a group and what makes its panel; returns its index.

        ``unasked``: it may open as the second of two without anybody's having opened it.
        """
        empty, index = QWidget(), len(self._heads)
        self._stack.addWidget(empty)
        self._places.append(empty)
        self._makers[index] = make
        head = SectionHead(title, about, self._page)  # not on the screen by itself: it would outlive the window
        head.clicked.connect(lambda: self.setCurrentIndex(index))
        head.setVisible(False)
        self._heads.append(head)
        self._groups.append(group)
        if unasked:
            self._unasked.add(index)
        self._open.setdefault(group, index)
        return index

    def start_with(self, index: int) -> None:
        """Show a section whose panel is made once somebody asks for it."""
        self._stack.setCurrentWidget(self._places[index])
        self._open[self._groups[index]] = index
        self._arrange(index)

    def count(self) -> int:
        """How many sections there are."""
        return len(self._heads)

    def tabText(self, index: int) -> str:
        """Title of a section."""
        return self._heads[index].text()

    def index_of(self, title: str) -> int | None:
        """The section of a title; None where there is none."""
        return next((at for at, head in enumerate(self._heads) if head.text() == title), None)

    def group_of(self, index: int) -> int:
        """The group a section is in."""
        return self._groups[index]

    @property
    def group(self) -> int:
        """The group shown."""
        return self._groups[self.currentIndex()]

    @property
    def heads(self) -> list[tuple[int, SectionHead]]:
        """Index and head of every section of the group shown."""
        return [(at, head) for at, head in enumerate(self._heads) if self._groups[at] == self.group]

    @property
    def open_head(self) -> SectionHead:
        """Head of the section that is open."""
        return self._heads[self.currentIndex()]

    def show_group(self, group: int) -> None:
        """Show a group with the section that was open in it last."""
        self.setCurrentIndex(self._open[group])

    def widget(self, index: int) -> QWidget:
        """Panel at an index."""
        if index in self._makers:
            panel, empty = self._makers.pop(index)(), self._places[index]
            self._places[index] = panel
            at = self._stack.indexOf(empty)
            self._stack.insertWidget(at, panel)
            if self._stack.currentWidget() is empty:
                self._stack.setCurrentWidget(panel)
            self._stack.removeWidget(empty)
            empty.deleteLater()
            if isinstance(panel, QScrollArea):
                cast(QWidget, panel.widget()).installEventFilter(self)
            self._refit.start()
        return self._places[index]

    def currentIndex(self) -> int:
        """Index of the section that is open."""
        current = self._stack.currentWidget()
        return next(at for at, panel in enumerate(self._places) if panel is current)

    def currentWidget(self) -> QWidget:
        """The panel of the section that is open."""
        return self.widget(self.currentIndex())

    def setCurrentIndex(self, index: int) -> None:
        """Open another section, in whatever group."""
        before, panel = self.currentIndex(), self.widget(index)
        changed, second = index != before, self._second_after(before, index)
        self._take_back_second()
        self._stack.setCurrentWidget(panel)
        self._second_index = second
        self._open[self._groups[index]] = index
        self._arrange(index)
        if changed:
            self.currentChanged.emit(index)

    # -------------------------------------------------------- a second section

    @property
    def second_index(self) -> int | None:
        """Index of the section that is open beside the current one; None where one alone is."""
        return self._second_index

    def set_two_open(self, wanted: bool) -> None:
        """Let two sections of a group be open, as a large window has room for, or one."""
        if wanted == self._two_wanted:
            return
        self._two_wanted = wanted
        index = self.currentIndex()
        self._take_back_second()
        self._second_index = self._second_after(index, index)
        self._arrange(index)

    def _second_after(self, before: int, index: int) -> int | None:
        """The section to stay open beside one: the one before it, the second one till now, or the first that may."""
        if not self._two_wanted:
            return None
        group = self._groups[index]
        likely = [at for at in (before, self._second_index) if at is not None and self._groups[at] == group]
        likely += [at for at in sorted(self._unasked) if self._groups[at] == group]
        return next((at for at in likely if at != index), None)

    def _take_back_second(self) -> None:
        """Put the second panel back among the others."""
        if self._second_index is not None:
            panel = self._places[self._second_index]
            self._second_box.removeWidget(panel)
            self._stack.addWidget(panel)
            self._second_index = None
        self._second.hide()

    def _put_second(self) -> None:
        """Put the second panel under its head."""
        index = self._second_index
        self._column.removeWidget(self._second)
        if index is None:
            return
        panel = self.widget(index)
        self._stack.removeWidget(panel)
        self._second_box.addWidget(panel)
        panel.show()
        self._second.show()
        self._column.insertWidget(self._column.indexOf(self._heads[index]) + 1, self._second, 1)

    # -------------------------------------------------------- heads and panels in their order

    def _arrange(self, index: int) -> None:
        """The heads of the group, with the panel under each that is open."""
        group = self._groups[index]
        for at, head in enumerate(self._heads):
            shown = self._groups[at] == group
            head.setChecked(at in (index, self._second_index))
            if shown and self._column.indexOf(head) < 0:
                self._column.addWidget(head)
            head.setVisible(shown)
        self._column.removeWidget(self._stack)
        self._column.insertWidget(self._column.indexOf(self._heads[index]) + 1, self._stack, 1)
        self._put_second()
        self._keep_lines()
        QTimer.singleShot(0, self._stack, partial(self._show_head, index))

    def _show_head(self, index: int) -> None:
        """The head at the top with its panel under it, where not all of the group is to be seen."""
        self._area.ensureWidgetVisible(self._stack, 0, 0)
        self._area.ensureWidgetVisible(self._heads[index], 0, 0)

    def scroll_to(self, widget: QWidget) -> None:
        """Bring what stands in the open panel into view."""
        panel, under_px = self.currentWidget(), 3 * widget.height()
        if isinstance(panel, QScrollArea):
            panel.ensureWidgetVisible(widget, 0, under_px)
        self._area.ensureWidgetVisible(widget, 0, under_px)

    def set_head_theme(self, colours: Palette) -> None:
        """Colours of all heads."""
        for head in self._heads:
            head.set_theme(colours)
