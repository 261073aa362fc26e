"""``tailweight [RIG]`` opens the window; ``--picture FILE.png`` draws one rig without a screen."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path

EXIT_OK, EXIT_BAD_INPUT, EXIT_NO_SCREEN = 0, 2, 3

NO_SCREEN = (
    "tailweight: there is no screen to open a window on. Draw a picture with 'tailweight RIG --picture FILE.png', "
    "or print the verdict with 'python -m engine check RIG'."
)
NO_QT = (
    "tailweight: Qt's system libraries are missing ({error}). On Debian or Ubuntu: "
    "apt-get install libegl1 libgl1 libxkbcommon0 libxkbcommon-x11-0 libdbus-1-3 libfontconfig1 libxcb-cursor0 "
    "libxcb-icccm4 libxcb-keysyms1 libxcb-shape0"
)


def main(arguments: Sequence[str] | None = None) -> int:
    """Open the window or draw a picture; returns the exit status."""
    options = _parser().parse_args(arguments)
    if options.picture:
        os.environ["QT_QPA_PLATFORM"] = "offscreen"
    elif not _has_screen():
        print(NO_SCREEN, file=sys.stderr)
        return EXIT_NO_SCREEN
    try:
        from PySide6.QtWidgets import QApplication
    except ImportError as error:
        print(NO_QT.format(error=error), file=sys.stderr)
        return EXIT_NO_SCREEN
    from app import run

    application = QApplication.instance() or QApplication([sys.argv[0]])
    return run.picture(application, options) if options.picture else run.window(application, options)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="tailweight", description="Side-view sketcher for a lifting jib on a fork-lift truck. Planning help only."
    )
    parser.add_argument("rig", nargs="?", help="rig file (*.rig.json) or the name of a sample rig")
    parser.add_argument("--pose", help="name of the pose to show; the first one if left out")
    parser.add_argument("--picture", metavar="FILE.png", type=Path, help="draw the rig into a picture, without a screen")
    parser.add_argument("--size", default="1280x800", metavar="WxH", help="size of the picture in pixels")
    parser.add_argument("--look", choices=("light", "dark"), help="light or dark; as the system has it if left out")
    parser.add_argument("--text", type=int, choices=(100, 125, 150, 200), default=None, help="text size in per cent")
    parser.add_argument("--units", choices=("metric", "us"), help="units to show; those of the file if left out")
    return parser


def _has_screen() -> bool:
    """Whether Qt can be expected to open a window here; it would abort if it could not."""
    if os.environ.get("QT_QPA_PLATFORM"):
        return True
    if not sys.platform.startswith("linux"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


if __name__ == "__main__":
    sys.exit(main())
