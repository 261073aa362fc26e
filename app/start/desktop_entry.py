"""Tells a desktop of freedesktop.org about Tailweight: menu entry, file type, icon, thumbnails; and takes it all back.

Everything goes into the person's own data folder (``XDG_DATA_HOME``), nothing into the system's.  By the specifications
of freedesktop.org: Desktop Entry, Shared MIME-info Database, Icon Theme, XDG Base Directory.  For thumbnailers there is
none; their files follow what file managers read.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import sys
from collections.abc import Mapping, Sequence
from importlib import resources
from pathlib import Path
from xml.sax.saxutils import escape

from engine.base import whole_file
from engine.schema.rig_file import SUFFIX

EXIT_OK, EXIT_NOT_HERE = 0, 2

MIME_TYPE = "application/x-tailweight-rig+json"
NAME = "tailweight"

NO_DATABASE = (
    "tailweight: this desktop has no shared MIME database of freedesktop.org, so nothing was changed; "
    "drag a rig file onto the window, or open it with 'tailweight FILE.rig.json'."
)
ODD_COMMAND = (
    "tailweight: a menu entry cannot start a program from a folder with '=' or a line break in its name: {path}"
)

ENTRY = Path("applications") / f"{NAME}.desktop"
PACKAGE = Path("mime") / "packages" / f"{NAME}.xml"
THEME = Path("icons") / "hicolor"
ICONS = (
    THEME / "scalable" / "apps" / f"{NAME}.svg",
    THEME / "scalable" / "mimetypes" / f"{MIME_TYPE.replace('/', '-')}.svg",
)
THUMBNAILER = Path("thumbnailers") / f"{NAME}.thumbnailer"

MADE_OF_PACKAGES = (
    *("aliases", "generic-icons", "globs", "globs2", "icons", "magic", "mime.cache", "subclasses", "treemagic"),
    *("types", "version", "XMLnamespaces"),
)
"""What ``update-mime-database`` writes; without a package left, all of it says nothing."""

_QUOTED = str.maketrans({mark: f"\\{mark}" for mark in '"`$\\'})
_STRING = str.maketrans({"\\": "\\\\"})


def install(environment: Mapping[str, str], arguments: Sequence[str]) -> int:
    """Write every file and refresh the databases; returns the exit status.

    Parameters
    ----------
    environment : mapping
        As ``os.environ``.
    arguments : sequence of str
        The words this program was started with, its own name first.
    """
    if not has_database(environment):
        print(NO_DATABASE, file=sys.stderr)
        return EXIT_NOT_HERE
    command = started_by(arguments)
    if "=" in command[0] or any(mark in word for word in command for mark in "\n\r\t"):
        print(ODD_COMMAND.format(path=command[0]), file=sys.stderr)
        return EXIT_NOT_HERE
    home = data_home(environment)
    try:
        for place, data in files(command).items():
            _write(home / place, data)
    except OSError as error:
        print(f"tailweight: {error.filename or home} cannot be written: {error.strerror}.", file=sys.stderr)
        return EXIT_NOT_HERE
    _refresh(home, environment)
    print(f"Tailweight is in the menu, and opens *{SUFFIX} files. Take it back with 'tailweight --remove-desktop'.")
    return EXIT_OK


def remove(environment: Mapping[str, str]) -> int:
    """Delete every file that ``install`` wrote, and every folder this leaves empty; returns the exit status."""
    if not has_database(environment):
        print(NO_DATABASE, file=sys.stderr)
        return EXIT_NOT_HERE
    home = data_home(environment)
    places = (ENTRY, PACKAGE, *ICONS, THUMBNAILER)
    try:
        for place in places:
            (home / place).unlink(missing_ok=True)
    except OSError as error:
        print(f"tailweight: {error.filename} cannot be deleted: {error.strerror}.", file=sys.stderr)
        return EXIT_NOT_HERE
    _refresh(home, environment)
    _drop_databases(home, environment)
    for place in places:
        _drop_empty(home, place.parent)
    _drop_empty(home, Path("mime") / "application")
    print("Tailweight is no longer in the menu, and opens no file type.")
    return EXIT_OK


# ---------------------------------------------------------------- what this system has


def data_home(environment: Mapping[str, str]) -> Path:
    """The person's own data folder; a relative one does not count, by the specification."""
    own = Path(environment.get("XDG_DATA_HOME", ""))
    return own if own.is_absolute() else Path(environment.get("HOME") or Path.home()) / ".local" / "share"


def has_database(environment: Mapping[str, str], platform: str = sys.platform) -> bool:
    """Whether the desktop has a shared MIME database."""
    if platform in ("win32", "cygwin", "darwin"):
        return False
    shared = environment.get("XDG_DATA_DIRS") or os.pathsep.join(("/usr/local/share", "/usr/share"))
    folders = [data_home(environment), *(Path(folder) for folder in shared.split(os.pathsep) if folder)]
    packages = any((folder / "mime" / "packages").is_dir() for folder in folders)
    return packages or _tool("update-mime-database", environment) is not None


def started_by(arguments: Sequence[str]) -> list[str]:
    """The command that starts this program from anywhere, in the way it was started now."""
    program = Path(arguments[0]).absolute()
    if program.name != "__main__.py":
        return [str(program)]
    return ["env", f"PYTHONPATH={program.parent.parent}", sys.executable, "-m", program.parent.name]


# ---------------------------------------------------------------- what is written


def files(command: Sequence[str]) -> dict[Path, bytes]:
    """Every file with its place in the data folder."""
    icon = (resources.files("app.start") / f"{NAME}.svg").read_bytes()
    return {
        ENTRY: _entry(command).encode(),
        PACKAGE: _package().encode(),
        **dict.fromkeys(ICONS, icon),
        THUMBNAILER: _thumbnailer(command).encode(),
    }


def exec_line(command: Sequence[str], *codes: str) -> str:
    """The value of an ``Exec`` key: words quoted by the Desktop Entry specification, then its field codes.

    A word is put in quotes, in which four marks are escaped; the key as a string then escapes backslashes once more.
    """
    words = [f'"{word.replace("%", "%%").translate(_QUOTED)}"'.translate(_STRING) for word in command]
    return " ".join((*words, *codes))


def _entry(command: Sequence[str]) -> str:
    return (
        "[Desktop Entry]\n"
        "Type=Application\n"
        "Version=1.5\n"
        "Name=Tailweight\n"
        "GenericName=Lifting jib sketcher\n"
        "Comment=Side-view sketcher for a lifting jib on a fork-lift truck. Planning help only.\n"
        f"Exec={exec_line(command, '%f')}\n"
        f"TryExec={command[0].translate(_STRING)}\n"
        f"Icon={NAME}\n"
        "Terminal=false\n"
        "Categories=Graphics;Engineering;\n"
        f"MimeType={MIME_TYPE};\n"
        f"StartupWMClass={NAME}\n"
    )


def _package() -> str:
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<mime-info xmlns="http://www.freedesktop.org/standards/shared-mime-info">\n'
        f'  <mime-type type="{MIME_TYPE}">\n'
        "    <comment>Tailweight rig</comment>\n"
        '    <sub-class-of type="application/json"/>\n'
        f'    <icon name="{MIME_TYPE.replace("/", "-")}"/>\n'
        f'    <glob weight="60" pattern="*{escape(SUFFIX)}"/>\n'
        "  </mime-type>\n"
        "</mime-info>\n"
    )


def _thumbnailer(command: Sequence[str]) -> str:
    drawn = [*command, "--size", "800x500", "--look", "light"]
    return (
        "[Thumbnailer Entry]\n"
        f"TryExec={command[0].translate(_STRING)}\n"
        f"Exec={exec_line(drawn, '--picture', '%o', '%i')}\n"
        f"MimeType={MIME_TYPE};\n"
    )


def _write(path: Path, data: bytes) -> None:
    """Write a file whole or not at all, in a folder made for it."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o755)
    whole_file.write(path, data)


# ---------------------------------------------------------------- databases


def _tool(name: str, environment: Mapping[str, str]) -> str | None:
    return shutil.which(name, path=environment.get("PATH"))


def _refresh(home: Path, environment: Mapping[str, str]) -> None:
    """Have the desktop's databases made again, where it has what makes them; others look by themselves."""
    for name, folder in (("update-mime-database", "mime"), ("update-desktop-database", "applications")):
        tool = _tool(name, environment)
        if tool is not None and (home / folder).is_dir():
            done = subprocess.run([tool, str(home / folder)], env=dict(environment), capture_output=True, check=False)
            if done.returncode:
                print(f"tailweight: {name} failed; the desktop may not see the change.", file=sys.stderr)
    with contextlib.suppress(OSError):
        os.utime(home / THEME)  # programs look for new icons when the theme's folder is newer


def _drop_databases(home: Path, environment: Mapping[str, str]) -> None:
    """Delete databases made of nothing any more, where the tools that made them have just made them again."""
    packages = home / PACKAGE.parent
    if _tool("update-mime-database", environment) and packages.is_dir() and not any(packages.iterdir()):
        for name in MADE_OF_PACKAGES:
            (packages.parent / name).unlink(missing_ok=True)
    entries = home / ENTRY.parent
    cache = entries / "mimeinfo.cache"
    if _tool("update-desktop-database", environment) and cache.exists() and list(entries.iterdir()) == [cache]:
        cache.unlink()


def _drop_empty(home: Path, place: Path) -> None:
    """Delete a folder under the data folder, and those above it, as long as they are empty."""
    with contextlib.suppress(OSError):
        for folder in (place, *place.parents):
            if folder != Path():
                (home / folder).rmdir()
