"""The rig files opened last, kept in the settings, the newest first."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QSettings

MOST = 10


def recent(settings: QSettings) -> list[Path]:
    """The files opened or saved last, the newest first; at most ``MOST``."""
    kept = settings.value("recent", [])
    names = kept if isinstance(kept, list) else [kept]  # a list of one comes back as its one text
    return [Path(name) for name in names if isinstance(name, str) and name][:MOST]


def remember(settings: QSettings, path: Path) -> None:
    """Put a file at the top of the list."""
    path = path.absolute()
    others = [other for other in recent(settings) if other != path]
    _keep(settings, [path, *others])


def forget(settings: QSettings, path: Path) -> None:
    """Take a file off the list."""
    _keep(settings, [other for other in recent(settings) if other != path])


def _keep(settings: QSettings, paths: list[Path]) -> None:
    settings.setValue("recent", [str(path) for path in paths[:MOST]])
