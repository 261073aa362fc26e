"""The sample rigs that ship with the program."""

from __future__ import annotations

from importlib import resources

from engine import rigfile
from engine.model import Job

SAMPLES = {
    "tarn_hollow_stone_yard": "Stone yard: straight boom, lintel",
    "skerry_point_boatyard": "Boatyard: two arms, outboard motor",
    "cold_spring_vineyard": "Vineyard: press lid from stand to press",
}
"""File name and menu text, the plainest first."""


def sample_rig(name: str) -> Job:
    """One of the sample rigs."""
    file = resources.files("sample_rigs") / f"{name}{rigfile.SUFFIX}"
    return rigfile.decode(file.read_bytes(), file.name)
