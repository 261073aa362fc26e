"""What must be settled before Qt is loaded: whether Qt can start here, and how it paints.

Where Qt finds no screen, or lacks a system library, it aborts the process without a word that helps.
"""

from __future__ import annotations

import ctypes
import importlib.util
import os
import re
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from engine.base.errors import readable
from engine.base.lazy import lazy

if TYPE_CHECKING:
    import socket
else:
    socket = lazy("socket")  # only an X11 screen is asked through one

APT_PACKAGES = (
    "libegl1 libgl1 libglib2.0-0 libfontconfig1 libdbus-1-3 libxkbcommon0 libxkbcommon-x11-0 libxcb-cursor0 "
    "libxcb-icccm4 libxcb-image0 libxcb-keysyms1 libxcb-randr0 libxcb-render-util0 libxcb-shape0 libxcb-shm0 "
    "libxcb-sync1 libxcb-xfixes0 libxcb-xinerama0 libxcb-xkb1"
)
"""Debian and Ubuntu packages with the libraries that Qt's window and its X11 plugin load."""

NO_SCREEN = (
    "tailweight: there is no screen to open a window on. Draw a picture with 'tailweight RIG --picture FILE.png', "
    "or print the verdict with 'python -m engine check RIG'."
)

X11_TIMEOUT_S = 2.0
X11_SOCKETS = Path("/") / "tmp" / ".X11-unix"
"""Where every X server on this machine listens (fixed by the X Window System)."""


NO_PLATFORM = (
    "tailweight: QT_QPA_PLATFORM is set to {name}, which Qt does not have here. Unset it, or choose one of: {names}."
)


PLUGINS_ELSEWHERE = ("QT_QPA_PLATFORM_PLUGIN_PATH", "QT_PLUGIN_PATH")

LONGEST_NAME = 40
"""Letters of a platform's name that the line repeats."""


def why_no_window(environment: Mapping[str, str], platform: str = sys.platform) -> str:
    """One line that says why no window can be opened here; empty when one can."""
    chosen = environment.get("QT_QPA_PLATFORM", "").partition(":")[0]  # what follows are the platform's own options
    if not platform.startswith("linux"):
        return ""
    if chosen not in ("xcb", "wayland", ""):
        return "" if any(name in environment for name in PLUGINS_ELSEWHERE) else _no_such_platform(chosen)
    wayland, x11 = _wayland_answers(environment), _x11_answers(environment.get("DISPLAY", ""))
    if not wayland and not x11:
        return NO_SCREEN
    return "" if wayland else _missing_for_x11()


def _no_such_platform(chosen: str) -> str:
    """One line where Qt has none of the platforms asked for, one after the other; empty where it has one."""
    known = sorted({path.stem.removeprefix("libq") for folder in _plugins() for path in folder.glob("libq*.so")})
    wanted = [re.split("[:-]", name.lower())[0] for name in chosen.split(";")]
    if not known or any(name in known for name in wanted):
        return ""
    return NO_PLATFORM.format(name=f"‘{readable(chosen[:LONGEST_NAME])}’", names=", ".join(known))


def _plugins() -> Iterator[Path]:
    """Where PySide6 keeps the platforms that Qt can start on."""
    package = importlib.util.find_spec("PySide6")
    for folder in (package.submodule_search_locations or ()) if package else ():
        yield Path(folder) / "Qt" / "plugins" / "platforms"


def missing_libraries(what: object) -> str:
    """One line naming the packages that bring Qt's system libraries."""
    return (
        f"tailweight: a system library that Qt needs is missing ({what}). "
        f"On Debian or Ubuntu: apt-get install {APT_PACKAGES}"
    )


def _missing_for_x11() -> str:
    """Name the first system library that Qt's X11 plugin lacks, by loading the plugin as Qt would; empty if none."""
    for folder in _plugins():
        plugin = folder / "libqxcb.so"
        if plugin.exists():
            try:
                ctypes.CDLL(str(plugin))
            except OSError as error:
                return missing_libraries(str(error).partition(":")[0])
    return ""


def _wayland_answers(environment: Mapping[str, str]) -> bool:
    name = environment.get("WAYLAND_DISPLAY", "")
    folder = environment.get("XDG_RUNTIME_DIR", "")
    try:
        return bool(name) and (Path(folder) / name).exists()
    except (OSError, ValueError):  # no name of a file
        return False


def _x11_answers(display: str) -> bool:
    """Whether an X server listens where DISPLAY points."""
    host, _, number = display.rpartition(":")
    number = number.partition(".")[0]
    if not re.fullmatch("[0-9]{1,4}", number):
        return False
    if host in ("", "unix"):
        path = str(X11_SOCKETS / f"X{number}")
        return _connects(socket.AF_UNIX, path) or _connects(socket.AF_UNIX, "\0" + path)
    return _connects(socket.AF_INET, (host, 6000 + int(number)))


def _connects(family: int, address: str | tuple[str, int]) -> bool:
    with socket.socket(family) as attempt:
        attempt.settimeout(X11_TIMEOUT_S)
        try:
            attempt.connect(address)
        except (OSError, ValueError):  # nobody listens, or it is no address
            return False
    return True


def for_this_process() -> str:
    """``why_no_window`` for the environment the program was started in."""
    return why_no_window(os.environ)


def paint_on_one_thread() -> None:
    """Have Qt fill shapes on the main thread; call this before anything is painted.

    Qt hands every translucent or patterned fill of 96 rows or more to threads of its own and waits for them. Waking
    them takes ten times as long as filling a drawing, and longer still while another process keeps a processor busy.
    """
    os.environ.setdefault("QT_NO_GUI_THREADPOOL", "1")
