"""``tailweight [RIG]`` opens the window.

``--picture FILE.png`` draws one rig without a screen, ``--paper KIND --out FILE.pdf`` writes one of its papers,
``--dxf FOLDER`` its cutting drawings, ``--csv FOLDER`` its lists, ``--install-desktop`` puts the program into the
desktop's menu.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from app.papers.titles import CARD, TITLES
from app.start import screen
from engine.base import outcome
from engine.base.lazy import lazy

if TYPE_CHECKING:
    from app.start import desktop_entry
else:
    desktop_entry = lazy("app.start.desktop_entry")  # not on the way to a window

EXIT_NO_SCREEN = outcome.EXIT_NO_OUTPUT


def main(arguments: Sequence[str] | None = None) -> int:
    """Open the window, draw a picture or write a paper; returns the exit status."""
    return outcome.of_printing(lambda: _run(arguments))


def _run(arguments: Sequence[str] | None) -> int:
    parser = _parser()
    options = parser.parse_args(arguments)
    if why := _contradiction(options):
        parser.error(why)
    options.show, options.size = options.show or "drawing", options.size or "1280x800"
    options.page = options.page or "a4"
    if options.install_desktop:
        return desktop_entry.install(os.environ, sys.argv)
    if options.remove_desktop:
        return desktop_entry.remove(os.environ)
    if options.picture or options.paper or options.dxf or options.csv:
        os.environ["QT_QPA_PLATFORM"] = "offscreen"
    elif why := screen.for_this_process():
        print(why, file=sys.stderr)
        return EXIT_NO_SCREEN
    else:
        gc.disable()  # start-up makes hardly any garbage; once the window is complete, the Collector collects
    screen.paint_on_one_thread()
    try:
        from PySide6.QtWidgets import QApplication
    except ImportError as error:
        print(screen.missing_libraries(error), file=sys.stderr)
        return EXIT_NO_SCREEN
    # Imported here because it loads Qt, which aborts where the checks above fail.
    from app.start import run

    running = QApplication.instance()
    application = running if isinstance(running, QApplication) else QApplication([sys.argv[0]])
    if options.paper:
        return run.paper(options)
    if options.dxf or options.csv:
        return run.shop_files(options)
    return run.picture(application, options) if options.picture else run.window(application, options)


def _contradiction(options: argparse.Namespace) -> str:
    """What was asked for that does not go together, in one sentence; empty where all does."""
    desktop = next((flag for flag in ("install-desktop", "remove-desktop") if _is_given(options, flag)), None)
    others = [flag for flag in ("picture", "paper", "out", "dxf", "csv", "pose", "units") if _is_given(options, flag)]
    if desktop and (others or options.rig):
        return f"--{desktop} goes alone"
    if options.picture and options.paper:
        return "--picture and --paper do not go together: make one after the other"
    if (options.dxf or options.csv) and (options.picture or options.paper):
        return "--dxf and --csv do not go with --picture or --paper: make one after the other"
    if bool(options.paper) != bool(options.out):
        return "--paper KIND and --out FILE.pdf go together"
    for flag in ("show", "size", "look", "text"):
        if _is_given(options, flag) and not options.picture:
            return f"--{flag} goes with --picture FILE.png"
    return "--page goes with --paper KIND" if _is_given(options, "page") and not options.paper else ""


def _is_given(options: argparse.Namespace, flag: str) -> bool:
    return bool(getattr(options, flag.replace("-", "_")))


def _parser() -> argparse.ArgumentParser:
    parser = outcome.Parser(
        prog="tailweight", description="Side-view sketcher for a lifting jib on a fork-lift truck. Planning help only."
    )
    parser.add_argument("rig", nargs="?", help="rig file (*.rig.json) or the name of a sample rig")
    parser.add_argument("--pose", help="name of the pose to show; the first one if left out")
    parser.add_argument(
        "--picture", metavar="FILE.png", type=Path, help="draw the rig into a picture, without a screen"
    )
    parser.add_argument(
        "--paper", choices=(*TITLES, CARD), help="write a paper into a PDF file (card: HTML), without a screen"
    )
    parser.add_argument("--out", metavar="FILE.pdf", type=Path, help="where the paper goes; FILE.html for the card")
    parser.add_argument("--page", choices=("a4", "letter"), help="page size of the paper; a4 if left out")
    parser.add_argument(
        "--dxf", metavar="FOLDER", type=Path, help="write a drawing to cut by of every part of plate into a folder"
    )
    parser.add_argument(
        "--csv",
        metavar="FOLDER",
        type=Path,
        help="write lists of parts, cuts, bars, holes, welds and the load chart into a folder",
    )
    parser.add_argument(
        "--show",
        metavar="WHAT",
        help="what the picture shows: drawing, helper, or the name of a panel",
    )
    parser.add_argument("--size", metavar="WxH", help="size of the picture in pixels; 1280x800 if left out")
    parser.add_argument("--look", choices=("light", "dark"), help="light or dark; as the system has it if left out")
    parser.add_argument("--text", type=int, choices=(100, 125, 150, 200), default=None, help="text size in per cent")
    parser.add_argument("--units", choices=("metric", "us"), help="units to show; those of the file if left out")
    desktop = parser.add_mutually_exclusive_group()
    desktop.add_argument(
        "--install-desktop",
        action="store_true",
        help="put the program into your desktop's menu, with file type, icon and thumbnails (freedesktop.org desktops)",
    )
    desktop.add_argument("--remove-desktop", action="store_true", help="take all of that back")
    return parser


if __name__ == "__main__":
    sys.exit(main())
