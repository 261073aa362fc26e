"""The paper chosen as it will print, on the rail: drawn in a process of its own, its pages turned by wheel or keys."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QPixmap, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from app.documents.document import Document
from app.look import hints
from app.look.theme import LIGHT, Palette
from app.panels.fields import ChoiceField
from app.panels.rail_answers import judged_by
from app.panels.waiting import Waiting
from app.panels.widgets import caption, heading
from app.papers.titles import TITLES
from app.workers.background import Background
from engine.base.lazy import lazy

if TYPE_CHECKING:
    from app.papers import page_pictures
else:
    page_pictures = lazy("app.papers.page_pictures")

REST_MS = 300
"""A paper is drawn once nothing has changed for so long."""

DRAWING = "Drawing the paper …"
FAILED = "There is no such paper of this pose: {why}"
HOW = "Page {page} of {pages}. Wheel or Page Down and Page Up turn the pages."
ONE_PAGE = "Page 1 of 1."
OLD_SHARE = 0.35
"""How much is left of the ink of a paper from before the last change."""

TURNS = {
    Qt.Key.Key_PageDown: 1,
    Qt.Key.Key_Down: 1,
    Qt.Key.Key_Right: 1,
    Qt.Key.Key_PageUp: -1,
    Qt.Key.Key_Up: -1,
    Qt.Key.Key_Left: -1,
}
WHEEL_STEP = 120
"""A notch of a mouse wheel, in eighths of a degree (Qt)."""


class PageView(QWidget):
    """One page of a paper, as large as there is room."""

    turned = Signal(int)
    """Number of the page shown now, from 0."""

    def __init__(self) -> None:
        super().__init__()
        self._pages: tuple[QPixmap, ...] = ()
        self._scaled: tuple[int, QSize, QPixmap] | None = None
        self._colours = LIGHT
        self._notches = 0
        self.page = 0
        hints.name(self, "paper as it will print")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    @property
    def count(self) -> int:
        """How many pages there are."""
        return len(self._pages)

    def picture(self, page: int) -> QPixmap:
        """A page as it was drawn."""
        return self._pages[page]

    def set_theme(self, colours: Palette) -> None:
        """Colour of the line round a page."""
        self._colours = colours
        self.update()

    def show_pages(self, pages: tuple[bytes, ...]) -> None:
        """Show a paper; the page that is open stays open where there is one of that number."""
        pixmaps = []
        for picture in pages:
            pixmap = QPixmap()
            pixmap.loadFromData(picture)
            pixmaps.append(pixmap)
        self._pages, self._scaled = tuple(pixmaps), None
        self._turn_to(min(self.page, max(len(pages) - 1, 0)))

    def turn(self, pages: int) -> bool:
        """Turn so many pages on or back; returns whether there was one."""
        to = min(max(self.page + pages, 0), max(self.count - 1, 0))
        turns = to != self.page
        self._turn_to(to)
        return turns

    def _turn_to(self, page: int) -> None:
        self.page = page
        self.setAccessibleDescription(f"page {page + 1} of {self.count}" if self._pages else "")
        self.turned.emit(page)
        self.update()

    # -------------------------------------------------------- hands

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        if key in TURNS:
            self.turn(TURNS[key])
        elif key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self.turn(-self.count if key == Qt.Key.Key_Home else self.count)
        else:
            super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """A notch is a page; a touch pad's small steps add up to notches."""
        self._notches += event.angleDelta().y()
        steps = int(self._notches / WHEEL_STEP)
        self._notches -= steps * WHEEL_STEP
        if steps:
            self.turn(-steps)
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        event.accept()

    # -------------------------------------------------------- painting

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange:
            self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        if not self._pages:
            return
        painter = QPainter(self)
        picture = self._fitted()
        ratio = picture.devicePixelRatio()
        width, height = picture.width() / ratio, picture.height() / ratio
        left = round((self.width() - width) / 2.0)
        box = QRectF(left, 1.0, width, height)
        painter.fillRect(box, QColor("white"))
        painter.setOpacity(OLD_SHARE if self.property("stale") else 1.0)
        painter.drawPixmap(box.topLeft(), picture)
        painter.setOpacity(1.0)
        colours = self._colours
        painter.setPen(QPen(QColor(colours.focus if self.hasFocus() else colours.line), 2 if self.hasFocus() else 1))
        painter.drawRect(box)

    def _fitted(self) -> QPixmap:
        """The open page in the room there is, made smaller once for that room."""
        ratio = self.devicePixelRatioF()
        room = QSize(round((self.width() - 4) * ratio), round((self.height() - 4) * ratio))
        if self._scaled is None or self._scaled[:2] != (self.page, room):
            aspect, smooth = Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation
            picture = self._pages[self.page].scaled(room, aspect, smooth)
            picture.setDevicePixelRatio(ratio)
            self._scaled = (self.page, room, picture)
        return self._scaled[2]


class RailPaper(QWidget):
    """Chooses a paper and shows it."""

    def __init__(self, page_size: Callable[[], str]) -> None:
        """``page_size`` is the name of the page size chosen now."""
        super().__init__()
        self._page_size = page_size
        self._document: Document | None = None
        self._asked: tuple[object, ...] = ()
        self.background = Background(self)  # in a process of its own: it loads Qt, and a paper may take seconds
        self.background.answered.connect(self._take)
        self.background.failed.connect(self._fail)
        self.choice = ChoiceField("paper to look at", tuple(TITLES), words=lambda kind: TITLES[str(kind)])
        self.choice.set_value("pick")
        self.choice.entered.connect(lambda kind: self.choose(str(kind)))
        self.view = PageView()
        self.view.turned.connect(lambda _page: self._say_page())
        self.said = caption("")
        self.waiting = Waiting(
            self.background, "Paper", answers=(self.view,), has_answer=lambda: bool(self.view.count), again=self._ask
        )
        self._at_rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._at_rest.timeout.connect(self._ask)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(heading("As it will print"))
        for widget in (self.choice, self.said, self.waiting):
            column.addWidget(widget)
        column.addWidget(self.view, 1)

    @property
    def kind(self) -> str:
        """Name of the paper chosen."""
        return str(self.choice.currentData())

    @property
    def first_for_keyboard(self) -> QWidget:
        """What takes the keyboard when it comes here."""
        return self.choice

    def set_theme(self, colours: Palette) -> None:
        """Colour of the line round the page."""
        self.view.set_theme(colours)

    def choose(self, kind: str) -> None:
        """Show another paper, from its first page."""
        self.choice.set_value(kind)
        if self._document is not None and self.isVisible():
            self.show_document(self._document)

    def show_document(self, document: Document) -> None:
        """Draw the paper chosen of the pose shown, once nothing changes for a moment."""
        self._document = document
        asked = (self.kind, self._page_size(), *judged_by(document.job, document.pose), document.job)
        if asked == self._asked:
            return
        if self._asked[:1] != asked[:1]:
            self.view.page = 0
            self.view.show_pages(())
        self._asked = asked
        self.background.forget()
        self.said.setText(DRAWING)
        self._at_rest.start()

    def forget(self) -> None:
        """It is not on the rail any more: nobody waits for it."""
        if self._at_rest.isActive() or self.background.asks:
            self._asked = ()
            self._at_rest.stop()
            self.background.forget()

    def close_process(self) -> None:
        """The window closes, and with it the process that draws."""
        self._at_rest.stop()
        self.background.close()

    def _ask(self) -> None:
        document = self._document
        if document is not None:
            self.background.ask(page_pictures.page_pictures, self.kind, document.job, document.pose, self._page_size())

    def _take(self, pages: tuple[bytes, ...]) -> None:
        self.view.show_pages(pages)

    def _fail(self, why: str) -> None:
        self.view.show_pages(())
        self.said.setText(FAILED.format(why=why))

    def _say_page(self) -> None:
        if self.view.count and not self.background.asks and not self._at_rest.isActive():
            words = HOW.format(page=self.view.page + 1, pages=self.view.count)
            self.said.setText(words if self.view.count > 1 else ONE_PAGE)
