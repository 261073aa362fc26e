"""Starting as a person starts it: without a screen, with a picture, from a wheel."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from PySide6.QtGui import QImage

from app.__main__ import main
from app.start import screen

ROOT = Path(__file__).resolve().parents[2]


def run(*arguments: str, cwd: Path = ROOT, **environment: str) -> subprocess.CompletedProcess[str]:
    """Start the program as a process of its own, without the display this test may have."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if name not in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    }
    return subprocess.run(
        [sys.executable, "-m", *arguments],
        cwd=cwd,
        env={**kept, **environment},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the abort happens on X11")
@pytest.mark.parametrize("environment", [{}, {"DISPLAY": ":987"}, {"WAYLAND_DISPLAY": "wayland-none"}])
def test_without_a_screen_it_says_so_in_one_line_and_names_the_ways_out(environment: dict[str, str]) -> None:
    done = run("app", "tarn_hollow_stone_yard", **environment)
    assert done.returncode == 3
    assert done.stderr.strip() == screen.NO_SCREEN
    assert "--picture" in done.stderr and "python -m engine check" in done.stderr


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="screens of Linux")
@pytest.mark.parametrize(
    "environment",
    [
        {"DISPLAY": ":²"},
        {"DISPLAY": "h" * 300 + ":0"},
        {"DISPLAY": "localhost:99999999"},
        {"WAYLAND_DISPLAY": "w" * 300, "XDG_RUNTIME_DIR": "/tmp"},
    ],
)
def test_a_screen_that_cannot_be_is_no_screen(environment: dict[str, str]) -> None:
    done = run("app", "tarn_hollow_stone_yard", **environment)
    assert (done.returncode, done.stderr.strip()) == (3, screen.NO_SCREEN)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="platforms of Linux")
def test_a_platform_that_qt_has_not_is_named_in_one_line_with_those_it_has() -> None:
    done = run("app", "tarn_hollow_stone_yard", QT_QPA_PLATFORM="nonsense")
    assert done.returncode == 3 and len(done.stderr.splitlines()) == 1
    assert done.stderr.startswith("tailweight: QT_QPA_PLATFORM is set to ‘nonsense’") and "offscreen" in done.stderr
    assert not screen.why_no_window({"QT_QPA_PLATFORM": "offscreen:size=800x600"}, "linux")
    assert not screen.why_no_window({"QT_QPA_PLATFORM": "none;offscreen"}, "linux")


@pytest.mark.parametrize("look", ["light", "dark"])
def test_a_picture_is_drawn_without_a_screen(tmp_path: Path, look: str) -> None:
    out = tmp_path / "out.png"
    done = run("app", "skerry_point_boatyard", "--picture", str(out), "--look", look)
    assert (done.returncode, done.stdout) == (0, "")
    image = QImage(str(out))
    assert (image.width(), image.height()) == (1280, 800)
    colours = {image.pixelColor(x, y).name() for x in range(0, 1280, 8) for y in range(0, 800, 8)}
    assert len(colours) > 8
    assert image.pixelColor(400, 8).name() == "#d05d29"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("no_such.rig.json", "--picture", "x.png"), "tailweight: File not found: "),
        (("skerry_point_boatyard", "--pose", "nowhere", "--picture", "x.png"), "one of"),
        (("skerry_point_boatyard", "--picture", "no/such/folder/x.png"), "This place is not there: no/such/folder"),
        (("skerry_point_boatyard", "--picture", "x.png", "--size", "3x3"), "320x240"),
        (("skerry_point_boatyard", "--picture", "x.png", "--show", "Nothing"), "a section (Plate as stamped"),
        (("skerry_point_boatyard", "--picture", "x.png", "--size", "١٢٨٠x٨٠٠"), "320x240"),
        (("skerry_point_boatyard", "--picture", "x.png", "--size", "1280x²00"), "320x240"),
        (("a" * 300, "--picture", "x.png"), "The name is too long"),
        (("skerry_point_boatyard", "--picture", "x.png", "--paper", "pick", "--out", "x.pdf"), "do not go together"),
        (("skerry_point_boatyard", "--install-desktop"), "--install-desktop goes alone"),
        (("skerry_point_boatyard", "--size", "640x480"), "--size goes with --picture FILE.png"),
        (("skerry_point_boatyard", "--paper", "pick", "--out", "x.pdf", "--show", "helper"), "--show goes with"),
        (("skerry_point_boatyard", "--picture", "x.png", "--page", "a4"), "--page goes with --paper KIND"),
    ],
)
def test_bad_input_is_one_clear_line_and_status_2(tmp_path: Path, arguments: tuple[str, ...], says: str) -> None:
    done = run("app", *arguments)
    assert done.returncode == 2
    assert says in done.stderr
    assert "Traceback" not in done.stderr
    assert not (ROOT / "x.png").exists()


@pytest.mark.parametrize(
    ("place", "says"),
    [("x" * 300 + ".pdf", "The name is too long"), ("no/such/folder/x.pdf", "folder")],
)
def test_a_paper_that_cannot_be_written_is_refused_before_it_is_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], place: str, says: str
) -> None:
    made: list[object] = []
    monkeypatch.setattr("app.papers.output.make", lambda *what: made.append(what))
    there = str(tmp_path / place)
    assert main(["skerry_point_boatyard", "--paper", "pick", "--out", there]) == 2
    assert not made and says in capsys.readouterr().err


@pytest.mark.parametrize(
    ("place", "says"),
    [
        ("x" * 300 + ".png", "The name is too long"),
        ("no/such/folder/x.png", "This place is not there"),
        ("x.rig", "picture file"),
        (".", "picture file"),
    ],
)
def test_a_picture_that_cannot_be_written_is_refused_before_it_is_drawn(
    qapp: object,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    place: str,
    says: str,
) -> None:
    drawn: list[object] = []
    monkeypatch.setattr("app.start.run.grabbed", lambda *what: drawn.append(what))
    there = str(tmp_path / place)
    assert main(["skerry_point_boatyard", "--picture", there]) == 2
    assert not drawn and says in capsys.readouterr().err
    assert not list(tmp_path.glob("x*"))


@pytest.mark.slow
def test_a_wheel_built_from_the_tree_runs_and_finds_its_sample_rigs(tmp_path: Path) -> None:
    tree = tmp_path / "tree"
    tree.mkdir()
    for name in ("app", "engine", "sample_rigs"):
        shutil.copytree(ROOT / name, tree / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, tree / name)
    build = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "--no-deps",
        "--no-build-isolation",
        "-q",
        "-w",
        str(tmp_path),
        str(tree),
    ]
    subprocess.run(build, check=True, capture_output=True, timeout=120)
    unpacked = tmp_path / "unpacked"
    with zipfile.ZipFile(next(tmp_path.glob("*.whl"))) as wheel:
        wheel.extractall(unpacked)
    assert (unpacked / "app" / "start" / "tailweight.svg").exists()
    out = tmp_path / "out.png"
    done = run("app", "tarn_hollow_stone_yard", "--picture", str(out), cwd=tmp_path, PYTHONPATH=str(unpacked))
    assert (done.returncode, out.exists()) == (0, True), done.stderr
    sample = unpacked / "sample_rigs" / "cold_spring_vineyard.rig.json"
    assert run("engine", "check", str(sample), cwd=tmp_path, PYTHONPATH=str(unpacked)).returncode in (0, 1)


def test_missing_system_libraries_are_named_with_their_packages() -> None:
    words = screen.missing_libraries("libEGL.so.1")
    assert "libegl1" in words and "apt-get install" in words


THREADS_OF_A_PAINTED_SHAPE = """
import os, sys
from app.__main__ import main
from PySide6.QtGui import QColor, QImage, QPainter
if sys.argv[1]:
    main(["tarn_hollow_stone_yard", "--picture", sys.argv[1]])
image = QImage(400, 400, QImage.Format.Format_ARGB32_Premultiplied)
painter = QPainter(image)
painter.setRenderHint(QPainter.RenderHint.Antialiasing)
painter.setBrush(QColor(10, 20, 30, 99))
painter.drawEllipse(0, 0, 400, 400)
painter.end()
names = [open(f"/proc/self/task/{thread}/comm").read().strip() for thread in os.listdir("/proc/self/task")]
print(names.count("Thread (pooled)"))
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="threads are counted where Linux lists them")
def test_the_program_has_qt_paint_on_one_thread(tmp_path: Path) -> None:
    kept = {name: value for name, value in os.environ.items() if name != "QT_NO_GUI_THREADPOOL"} | {
        "QT_QPA_PLATFORM": "offscreen"
    }

    def threads(picture: str) -> int:
        command = [sys.executable, "-c", THREADS_OF_A_PAINTED_SHAPE, picture]
        return int(
            subprocess.run(command, cwd=ROOT, env=kept, capture_output=True, text=True, check=True, timeout=60).stdout
        )

    assert threads("") > 0, "Qt paints on one thread by itself: screen.paint_on_one_thread is not needed any more"
    assert threads(str(tmp_path / "out.png")) == 0
