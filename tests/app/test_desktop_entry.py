"""Menu entry, file type and thumbnails for desktops of freedesktop.org: written whole, quoted right, taken back."""

from __future__ import annotations

import configparser
import shutil
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PySide6.QtGui import QImage

from app.start import desktop_entry
from app.start.desktop_entry import ENTRY, ICONS, MIME_TYPE, PACKAGE, THUMBNAILER

ROOT = Path(__file__).resolve().parents[2]
HERE = [str(ROOT / "app" / "__main__.py")]

pytestmark = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="other systems have no such database")


@pytest.fixture
def environment(tmp_path: Path) -> dict[str, str]:
    """A data folder with a blank in its name, and a system that has the database."""
    shared = tmp_path / "shared"
    (shared / "mime" / "packages").mkdir(parents=True)
    return {
        "PATH": "/usr/bin:/bin",
        "XDG_DATA_DIRS": str(shared),
        "XDG_DATA_HOME": str(tmp_path / "my data"),
        "HOME": str(tmp_path),
    }


def words_of(line: str) -> list[str]:
    """An Exec key's value as a desktop reads it: the string's escapes first, then quotes, then the percent signs."""
    text, words, word, quoted = line.replace("\\\\", "\\"), [], "", False
    at = 0
    while at < len(text):
        mark = text[at]
        if quoted and mark == "\\":
            at += 1
            word += text[at]
        elif mark == '"':
            quoted = not quoted
        elif mark == " " and not quoted:
            words.append(word)
            word = ""
        else:
            word += mark
        at += 1
    return [one.replace("%%", "%") for one in (*words, word)]


def value(home: Path, place: Path, group: str, key: str) -> str:
    parser = configparser.RawConfigParser(strict=True)
    parser.optionxform = str
    parser.read(home / place)
    return parser[group][key]


def test_every_word_of_the_command_comes_out_of_the_exec_line_as_it_went_in() -> None:
    command = ["/opt/a b/tail weight", 'quo"te', "dollar$HOME`id`", "back\\slash", "50%f", "it's & (so) #1; *?"]
    assert words_of(desktop_entry.exec_line(command, "%f")) == [*command, "%f"]


def test_what_is_installed_names_the_type_and_is_gone_without_a_trace_after_removal(
    environment: dict[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = Path(environment["XDG_DATA_HOME"])
    assert desktop_entry.install(environment, HERE) == 0
    assert desktop_entry.install(environment, HERE) == 0  # again, over the first
    package = ElementTree.parse(home / PACKAGE).getroot()
    spaces = {"": "http://www.freedesktop.org/standards/shared-mime-info"}
    assert package.find("mime-type", spaces).get("type") == MIME_TYPE
    assert package.find("mime-type/glob", spaces).get("pattern") == "*.rig.json"
    assert f"{MIME_TYPE};" == value(home, ENTRY, "Desktop Entry", "MimeType")
    assert f"{MIME_TYPE};" == value(home, THUMBNAILER, "Thumbnailer Entry", "MimeType")
    assert all(ElementTree.parse(home / icon).getroot().tag.endswith("svg") for icon in ICONS)
    assert not list(home.rglob(".*"))
    if shutil.which("update-mime-database"):
        assert f"60:{MIME_TYPE}:*.rig.json" in (home / "mime" / "globs2").read_text()
    if validate := shutil.which("desktop-file-validate"):
        subprocess.run([validate, str(home / ENTRY)], check=True, timeout=20)
    if ask := shutil.which("xdg-mime"):
        rig = shutil.copy(ROOT / "sample_rigs" / "skerry_point_boatyard.rig.json", tmp_path)
        told = subprocess.run(
            [ask, "query", "filetype", rig], env=environment, capture_output=True, text=True, check=True, timeout=20
        )
        assert told.stdout.strip() == MIME_TYPE
    assert desktop_entry.remove(environment) == 0
    assert list(home.rglob("*")) == []
    assert desktop_entry.remove(environment) == 0  # nothing there to take back
    assert capsys.readouterr().err == ""


def test_removal_leaves_what_others_have_put_there(environment: dict[str, str]) -> None:
    home = Path(environment["XDG_DATA_HOME"])
    other = home / "mime" / "packages" / "other.xml"
    other.parent.mkdir(parents=True)
    other.write_text(desktop_entry._package().replace("tailweight", "other").replace("*.rig.json", "*.other"))
    menu = home / "applications" / "other.desktop"
    menu.parent.mkdir()
    menu.write_text("[Desktop Entry]\nType=Application\nName=Other\nExec=true\n")
    desktop_entry.install(environment, HERE)
    desktop_entry.remove(environment)
    assert other.exists() and menu.exists()
    assert not list(home.rglob("*tailweight*"))
    if shutil.which("update-mime-database"):
        assert "*.other" in (home / "mime" / "globs2").read_text()


def test_the_thumbnailer_draws_a_rig_from_any_folder(environment: dict[str, str], tmp_path: Path) -> None:
    desktop_entry.install(environment, HERE)
    rig, out = tmp_path / "a rig.rig.json", tmp_path / "thumbnail"
    shutil.copy(ROOT / "sample_rigs" / "tarn_hollow_stone_yard.rig.json", rig)
    line = value(Path(environment["XDG_DATA_HOME"]), THUMBNAILER, "Thumbnailer Entry", "Exec")
    command = [{"%o": str(out), "%i": str(rig)}.get(word, word) for word in words_of(line)]
    subprocess.run(command, cwd=tmp_path, env=environment, check=True, capture_output=True, timeout=60)
    image = QImage(str(out))
    assert (image.width(), image.height()) == (800, 500)


def test_a_system_without_the_database_is_told_so_in_one_sentence(
    environment: dict[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    environment |= {"XDG_DATA_DIRS": str(tmp_path / "none"), "PATH": str(tmp_path)}
    assert desktop_entry.install(environment, HERE) == 2
    assert desktop_entry.remove(environment) == 2
    assert capsys.readouterr().err.count(desktop_entry.NO_DATABASE) == 2
    assert not Path(environment["XDG_DATA_HOME"]).exists()
    assert not any(desktop_entry.has_database(environment, platform) for platform in ("win32", "darwin"))


def test_a_folder_that_an_entry_cannot_name_is_refused(
    environment: dict[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert desktop_entry.install(environment, ["/opt/a=b/tailweight"]) == 2
    assert "'='" in capsys.readouterr().err
    assert not Path(environment["XDG_DATA_HOME"]).exists()
