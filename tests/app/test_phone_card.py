"""The phone card: well-formed, self-contained, readable, and of one mind with the placard."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import msgspec
import pytest
from PySide6.QtWidgets import QFileDialog

from app.papers.phone_card import phone_card
from app.shell.window import Window
from engine.base.formatting import show
from engine.explain.placard import placard
from engine.schema.model import Job
from tests.samples import PLATED_PATHS, SAMPLE_PATHS, read_once
from tests.thoroughness import every

pytestmark = pytest.mark.usefixtures("qapp")
REPLACE = msgspec.structs.replace
DAY = "2026-12-01"
BOATYARD = next(read_once(path) for path in PLATED_PATHS if path.name.startswith("skerry"))


def page(card: bytes) -> ElementTree.Element:
    text = card.decode("utf-8")
    assert text.startswith("<!DOCTYPE html>\n")
    return ElementTree.fromstring(text.removeprefix("<!DOCTYPE html>\n"))


def words(of: ElementTree.Element) -> str:
    return " ".join("".join(of.itertext()).split())


@pytest.mark.parametrize("path", every(5, SAMPLE_PATHS), ids=lambda path: path.name.split(".")[0])
def test_one_file_that_fetches_nothing_and_runs_nothing(path: Path) -> None:
    job = read_once(path)
    card = phone_card(job, job.poses[0], DAY)
    assert len(card) <= 200_000
    root = page(card)
    kinds = {element.tag for element in root.iter()}
    assert not kinds & {"script", "form", "input", "a", "link", "iframe", "object", "image", "img"}
    assert not re.search(rb"https?:|//|url\((?!#)|@import|javascript", card)
    assert not any(name.startswith("on") or name in ("src", "href") for part in root.iter() for name in part.attrib)
    policy = next(meta for meta in root.iter("meta") if meta.get("http-equiv") == "Content-Security-Policy")
    assert policy.get("content") == "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
    assert root.get("lang") == "en" and any(meta.get("name") == "viewport" for meta in root.iter("meta"))


@pytest.mark.parametrize("path", every(6, PLATED_PATHS), ids=lambda path: path.name.split(".")[0])
def test_loads_are_the_placard_s(path: Path) -> None:
    """Cell by cell: load and hook load of every proven arm pose, a dash where nothing may hang."""
    job = read_once(path)
    loads, root = placard(job, job.poses[0]), page(phone_card(job, job.poses[0], DAY))
    bodies = [table for table in root.iter("table") if table.find("thead") is not None]
    proven = [at for at, is_proven in enumerate(loads.proven) if is_proven]
    assert len(bodies) == len(proven)
    for table, at in zip(bodies, proven, strict=True):
        rows = next(table.iter("tbody"))
        assert len(rows) == len(loads.holes)
        for row, hole, cells in zip(rows, loads.holes, loads.cells, strict=True):
            head, load, _ = row
            assert head.get("scope") == "row" and words(head).startswith(f"Hole {hole},")
            allowed_kg = cells[at].allowed_kg
            wanted = "\N{EM DASH}" if allowed_kg is None else show(allowed_kg, "paper_kg_down", job.units)
            assert words(load) == " ".join(wanted.split())


def test_every_pose_has_its_state_its_load_and_what_gives_first() -> None:
    root = page(phone_card(BOATYARD, BOATYARD.poses[0], DAY))
    poses = [part for part in root.iter("div") if part.get("class") == "pose"]
    assert [words(pose.find("h3")) for pose in poses] == [pose.name for pose in BOATYARD.poses]
    assert all("Gives first" in words(pose) for pose in poses)
    assert "NOT APPROVED" in words(root) and "Never lift people" in words(root)
    assert words(root).index("Poses") < words(root).index("Loads by pin hole") < words(root).index("Stop, set down")


def test_a_pose_that_is_not_proven_has_no_load() -> None:
    rig = REPLACE(BOATYARD.rig, sleeves=REPLACE(BOATYARD.rig.sleeves, cross_weld=None))
    root = page(phone_card(REPLACE(BOATYARD, rig=rig), BOATYARD.poses[0], DAY))
    poses = [part for part in root.iter("div") if part.get("class") == "pose"]
    loaded = [pose for pose, of in zip(poses, BOATYARD.poses, strict=True) if of.loaded]
    assert loaded
    for pose in loaded:
        if "NOT PROVEN" in words(pose).upper():
            assert "No load until that is put right" in words(pose)
            assert not [part for part in pose.iter() if part.get("class") == "figure"]
    assert not [part for part in root.iter("td") if part.get("class") == "load"]


def test_names_change_nothing_else_on_the_page() -> None:
    """Marks of direction, mark-up, line breaks and a very long name: all other words are as they were."""
    plain = words(page(phone_card(BOATYARD, BOATYARD.poses[0], DAY))).replace(BOATYARD.name, "NAME")
    name = f"Q\u202eb <script>alert(1)</script>\ntwo &amp; lines {'x' * 70}"
    card = phone_card(REPLACE(BOATYARD, name=name), BOATYARD.poses[0], DAY)
    shown = " ".join(name.replace("\u202e", "").split())
    assert words(page(card)).replace(shown, "NAME") == plain
    assert b"<script" not in card and "\u202e".encode() not in card


def test_the_picture_has_a_name_and_colours_that_can_be_told_apart() -> None:
    """And the same card comes of the same job."""
    card = phone_card(BOATYARD, BOATYARD.poses[0], DAY)
    assert phone_card(BOATYARD, BOATYARD.poses[0], DAY) == card
    (picture,) = page(card).iter("svg")
    assert picture.get("role") == "img" and BOATYARD.poses[0].name in words(picture.find("title"))
    assert b"prefers-color-scheme: dark" in card and b"@media print" in card
    pairs = re.findall(rb"--ground: #(\w{6}); --ink: #(\w{6})", card)
    assert len(pairs) == 3
    for ground, ink in pairs:  # WCAG 2 relative luminance (read): 7 : 1 for small text at its highest level
        light, dark = sorted((luminance(ground.decode()), luminance(ink.decode())), reverse=True)
        assert (light + 0.05) / (dark + 0.05) >= 7.0


def luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255.0 for at in (0, 2, 4)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_the_menu_writes_the_card(window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "to go"), ""))
    window.commands.papers.ask_card()
    written = (tmp_path / "to go.html").read_bytes()
    assert page(written) is not None and "Phone card written" in window.notice.text()
    job: Job = window.document.job
    assert job.name in words(page(written))
