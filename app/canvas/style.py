"""Pens and brushes of one theme, made once: a few line weights as on a drawing, all cosmetic and one pixel wide.

A pen wider than one device pixel triples the cost of a drag, so weight is told by colour and line type, and thick
things are filled shapes.
"""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QBrush, QColor, QFont, QPen

from app.look.text_metrics import text_metrics
from app.look.theme import Palette


def pen(colour: str, line: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
    """A cosmetic pen one pixel wide."""
    cosmetic = QPen(QColor(colour))
    cosmetic.setWidthF(1.0)
    cosmetic.setCosmetic(True)
    cosmetic.setStyle(line)
    cosmetic.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    return cosmetic


def seen_through(colour: QColor, share: float) -> QColor:
    """The colour with a share of its opacity; an item's own opacity would take Qt several times as long to paint."""
    faded = QColor(colour)
    faded.setAlphaF(faded.alphaF() * share)
    return faded


def dashed(colour: str, *lengths: float) -> QPen:
    """A cosmetic pen with dashes and gaps in pixels."""
    line = pen(colour)
    line.setDashPattern(list(lengths))
    return line


class Ink:
    """Pens, brushes and fonts of one theme; another theme is another `Ink`."""

    def __init__(self, colours: Palette, font: QFont) -> None:
        self.colours = colours
        self.font = font
        self.plain, self.bold = text_metrics(font), text_metrics(font, bold=True)
        self.none = QPen(Qt.PenStyle.NoPen)
        self.clear = QBrush(Qt.BrushStyle.NoBrush)
        self.edge = pen(colours.ink)
        self.faint = pen(colours.line)
        self.truck_edge = pen(colours.faint_ink)
        self.steel_edge = pen(colours.steel_edge)
        self.centre = dashed(colours.faint_ink, 12, 3, 2, 3)
        self.tipping = dashed(colours.tipping, 14, 4, 2, 4)
        self.tipping_solid = pen(colours.tipping)
        self.gravity = dashed(colours.gravity, 6, 3)
        self.gravity_edge = pen(colours.gravity)
        self.handle = pen(colours.handle)
        self.hidden = dashed(colours.faint_ink, 4, 3)
        self.held = pen(colours.held)
        self.going_over = dashed(colours.tipping, 5, 4)
        self.clear_of = dashed(colours.tipping, 10, 6)
        self.truck = QBrush(QColor(colours.truck))
        self.truck_dark = QBrush(QColor(colours.truck_dark))
        self.steel = QBrush(QColor(colours.steel))
        self.arm = QBrush(QColor(colours.arm))
        self.load = QBrush(QColor(colours.load))
        self.sheet = QBrush(QColor(colours.sheet))
        self.ink = QBrush(QColor(colours.ink))
        self.gravity_fill = QBrush(QColor(colours.gravity))
        self.tipping_fill = QBrush(QColor(colours.tipping))
        self.handle_fill = QBrush(QColor(colours.handle_ground))
        self.governing = QBrush(QColor(colours.tipping), Qt.BrushStyle.Dense4Pattern)
        self.around = QBrush(QColor(colours.line), Qt.BrushStyle.DiagCrossPattern)
        self.cut = QBrush(QColor(colours.steel_edge), Qt.BrushStyle.BDiagPattern)
