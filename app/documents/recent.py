"""The rig files opened last, kept in the settings, the newest first."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QSettings

MOST = 10


def recent(settings: QSettings) -> list[Path]:
    """The files opened or saved last."""
    kept = settings.value("recent", [])
    names = [kept] if isinstance(kept, str) else [name for name in kept or [] if isinstance(name, str)]
    return [Path(name) for name in names if name][:MOST]


def remember(settings: QSettings, path: Path) -> None:
    """Put a file at the top."""
    path = path.absolute()
    others = [other for other in recent(settings) if other != path]
    _keep(settings, [path, *others])


def forget(settings: QSettings, path: Path) -> None:
    """Take a file off the list."""
    _keep(settings, [other for other in recent(settings) if other != path])


def _keep(settings: QSettings, paths: list[Path]) -> None:
    settings.setValue("recent", [str(path) for path in paths[:MOST]])
