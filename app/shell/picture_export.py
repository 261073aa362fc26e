"""A picture of the drawing for a letter or a report, never without caution, state, loads, date and file name."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMarginsF, QPoint, QRect, QSize, QSizeF
from PySide6.QtGui import QColor, QGuiApplication, QImage, QImageWriter, QPageSize, QPainter, QPdfWriter
from PySide6.QtSvg import QSvgGenerator
from PySide6.QtWidgets import QWidget

from app.documents import files
from app.look.text_metrics import text_metrics
from app.look.theme import Palette
from engine.base.errors import RigFileError

FILTERS = ("PNG picture (*.png)", "PNG picture, twice as fine (*.png)", "PNG picture, three times (*.png)")
FILTERS += ("SVG drawing (*.svg)", "PDF file (*.pdf)")
FINENESS = {FILTERS[1]: 2, FILTERS[2]: 3}
EDGE_PX = 8
PX_PER_MM = 96.0 / 25.4


OTHER_ENDING = "A picture's name ends in .png, .svg or .pdf. Give it one of these endings."


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

    def write(self, path: Path, fineness: int = 1) -> None:
        """Write it into a PNG, SVG or PDF file, by the name's ending.

        Raises
        ------
        FileFault
            When the file cannot be written; what was there before stays.
        RigFileError
            When the name's ending is none of these.
        """
        kind = path.suffix.lower()
        makers = {".svg": self._svg, ".pdf": self._pdf, ".png": lambda: self._png(fineness)}
        if kind not in makers:
            raise RigFileError(
                str(path), "a name that ends in .png, .svg or .pdf", kind or "no ending", plain=OTHER_ENDING
            )
        files.write_out(path, makers[kind]())

    def _png(self, fineness: int) -> bytes:
        buffer = QBuffer()
        buffer.open(QIODevice.OpenModeFlag.WriteOnly)
        QImageWriter(buffer, QByteArray(b"png")).write(self.image(fineness))
        return bytes(buffer.data().data())

    def _svg(self) -> bytes:
        buffer, generator = QBuffer(), QSvgGenerator()
        buffer.open(QIODevice.OpenModeFlag.WriteOnly)
        generator.setOutputDevice(buffer)
        generator.setSize(self.size)
        generator.setViewBox(QRect(QPoint(), self.size))
        generator.setTitle(self._foot)
        painter = QPainter(generator)
        self.paint(painter)
        painter.end()
        return bytes(buffer.data().data())

    def _pdf(self) -> bytes:
        buffer = QBuffer()
        buffer.open(QIODevice.OpenModeFlag.WriteOnly)
        writer = QPdfWriter(buffer)
        size = self.size
        page = QSizeF(size.width() / PX_PER_MM, size.height() / PX_PER_MM)
        writer.setPageSize(QPageSize(page, QPageSize.Unit.Millimeter))
        writer.setPageMargins(QMarginsF())
        writer.setTitle(self._foot)
        painter = QPainter(writer)
        scale = writer.width() / size.width()
        painter.scale(scale, scale)
        self.paint(painter)
        painter.end()
        return bytes(buffer.data().data())
