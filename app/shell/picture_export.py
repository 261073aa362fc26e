"""A picture of the drawing as the window shows it, never without caution, state, loads, date and file name."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QSize
from PySide6.QtGui import QColor, QGuiApplication, QImage, QPainter
from PySide6.QtWidgets import QWidget

from app.look.text_metrics import text_metrics
from app.look.theme import Palette

EDGE_PX = 8


class DrawingPicture:
    """Caution, verdict and drawing under each other, with a foot line."""

    def __init__(self, parts: tuple[QWidget, ...], foot: str, colours: Palette) -> None:
        self._parts, self._foot, self._colours = parts, foot, colours
        self._text = text_metrics(parts[0].font())

    @property
    def size(self) -> QSize:
        """Pixels of the picture at its own size."""
        width = max(part.width() for part in self._parts)
        height = sum(part.height() for part in self._parts) + self._text.line_px + EDGE_PX
        return QSize(width, round(height))

    def paint(self, painter: QPainter) -> None:
        """Paint it at its own size."""
        size = self.size
        painter.fillRect(0, 0, size.width(), size.height(), QColor(self._colours.sheet))
        down = 0
        for part in self._parts:
            part.render(painter, QPoint(0, down))
            down += part.height()
        self._text.paint(painter, self._foot, EDGE_PX, down + EDGE_PX / 2.0, self._colours.ink)

    def image(self, fineness: int = 1) -> QImage:
        """As an image, so many times as fine as on the screen."""
        image = QImage(self.size * fineness, QImage.Format.Format_RGB32)
        image.setDevicePixelRatio(fineness)
        painter = QPainter(image)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.paint(painter)
        painter.end()
        return image

    def copy(self) -> None:
        """Put it on the clipboard."""
        QGuiApplication.clipboard().setImage(self.image(2))
