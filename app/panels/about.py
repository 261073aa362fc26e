"""About the program: version, licence, limits, and the details that a report of a fault needs."""

from __future__ import annotations

import platform
from importlib import metadata

from PySide6.QtCore import qVersion
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QPushButton, QTextBrowser, QVBoxLayout, QWidget

from app.look import hints
from app.panels.guide_pages import PAGES
from app.panels.widgets import heading
from engine.base.caution import CAUTION

LIMITS = "Limits of this program"


def version() -> str:
    """Version of the program as it is installed."""
    try:
        return metadata.version("tailweight")
    except metadata.PackageNotFoundError:
        return "not installed"


def details() -> str:
    """Versions of the program and of what it runs on."""
    system = f"{platform.system()} {platform.release()}"
    return f"Tailweight {version()}, Python {platform.python_version()}, Qt {qVersion()}, {system}"


class AboutSheet(QDialog):
    """Version, licence, warnings and limits."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle("About Tailweight")
        column = QVBoxLayout(self)
        column.addWidget(heading(f"Tailweight {version()}"))
        self.said = QLabel(
            "Plans lifts with a shop-built jib on a counterbalanced fork-lift truck. MIT licence, no warranty."
            f"\n\n{CAUTION}"
        )
        self.said.setWordWrap(True)
        column.addWidget(self.said)
        limits = QTextBrowser()
        limits.setAccessibleName("limits of the program")
        limits.setMarkdown(next(page.text for page in PAGES if page.title == LIMITS).strip())
        column.addWidget(limits, 1)
        self.copy = QPushButton("Copy details")
        hints.name(self.copy, "copy details of the program and the system")
        self.copy.clicked.connect(lambda: QGuiApplication.clipboard().setText(details()))
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.addButton(self.copy, QDialogButtonBox.ButtonRole.ActionRole)
        buttons.rejected.connect(self.reject)
        column.addWidget(buttons)
        metrics = self.fontMetrics()
        self.resize(metrics.averageCharWidth() * 80, metrics.height() * 26)
