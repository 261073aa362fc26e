"""A third kind of joint, known to tests only: an arm that slides out of the link before it, and a rig that has one.

It answers all that a joint has to answer, but it has no pin.  `allow` makes it a word that a rig file could hold.
"""

from __future__ import annotations

import ast
import functools
import importlib
from collections.abc import Callable
from pathlib import Path
from typing import Any, ClassVar

import msgspec
import pytest

from engine.base.geometry import Frame, Number, Vec
from engine.schema import joints
from engine.schema.joints import HandleShape, View
from engine.schema.model import ArmPose, Job
from tests.samples import read_once

REPLACE = msgspec.structs.replace
ROOT = Path(__file__).resolve().parents[2]
BOATYARD = read_once(ROOT / "sample_rigs" / "skerry_point_boatyard.rig.json")

IN_M, OUT_M = 0.05, 0.45


class Slide(msgspec.Struct, frozen=True):
    """An arm that slides out of the link before it."""

    least_m: float
    most_m: float

    unit: ClassVar[str] = "m"
    entry_unit: ClassVar[str] = "length"
    verb: ClassVar[str] = "Slide"
    step_words: ClassVar[str] = "Slide {arm} from {from:m} to {to:m}"
    beyond_words: ClassVar[str] = "{arm} cannot slide to {turn:m}: it goes from {least:m} to {most:m}."
    plane: ClassVar[View] = "side"

    def carried(self, frame: Frame, out_m: Number) -> Frame:
        """The frame slid out along the arm."""
        return Frame(frame.axes, frame.at(out_m))

    def motion(self, frame: Frame, point_m: Vec) -> Vec:
        """Every point goes along the arm."""
        return frame.axes.x

    def most_travel_m(self, change_m: float, reach_m: float) -> float:
        """The change itself."""
        return abs(change_m)

    def farthest_m(self, length_m: float) -> float:
        """The arm's length beyond the outer stop."""
        return self.most_m + length_m

    @property
    def stops(self) -> tuple[float, float]:
        """Furthest in and furthest out."""
        return self.least_m, self.most_m

    def allows(self, out_m: float) -> bool:
        """Whether it is between its stops."""
        return self.least_m <= out_m <= self.most_m

    def stopped(self, out_m: float) -> float:
        """The coordinate, or the stop it is past."""
        return min(max(out_m, self.least_m), self.most_m)

    nearest = stopped

    def direction(self, out_m: float) -> str:
        """It only goes out."""
        return "out"

    def handle(self, view: View) -> HandleShape | None:
        """Seen in true shape in both views."""
        return "slide"


def with_slide(*outs_m: float) -> Job:
    """The boatyard's rig with its second arm sliding, and a pose for each place of it, the load on the hook."""
    bare = REPLACE(BOATYARD.rig.arms[1].hinge, inner_end=None, outer_end=None)
    outer = REPLACE(BOATYARD.rig.arms[1], axis="sliding", turn_min_rad=IN_M, turn_max_rad=OUT_M, hinge=bare)
    rig = REPLACE(BOATYARD.rig, arms=(BOATYARD.rig.arms[0], outer))
    poses = tuple(
        REPLACE(BOATYARD.poses[0], name=f"{out_m:g} out", arms=(ArmPose(turn_rad=0.3), ArmPose(turn_rad=out_m)))
        for out_m in outs_m
    )
    return REPLACE(BOATYARD, rig=rig, poses=poses, moves=(), trial_lifts=())


JOB = with_slide(0.1, 0.4)
POSE = JOB.poses[0]
ARM = JOB.rig.arms[1]


def allow(monkeypatch: pytest.MonkeyPatch) -> None:
    """Lets the rig file's word ``sliding`` stand for a `Slide`."""
    monkeypatch.setitem(joints.JOINTS, "sliding", Slide)


def called(name: str) -> Callable[..., Any]:
    """A function or method by its whole name: what the tests visit must be there."""
    parts = name.split(".")
    part: Any = importlib.import_module(".".join(parts[:3]))
    for attribute in parts[3:]:
        part = getattr(part, attribute)
    return part


KINDS = {"StandingJoint", "LevelJoint", "TurningJoint", "swings", "hinge_of"}


@functools.cache
def asking(package: str) -> dict[str, set[str]]:
    """Functions of a package that ask a joint or tell kinds apart, and those that look at the rig file's word."""
    functions: dict[str, set[str]] = {"joint": set(), "axis": set()}

    def walk(node: ast.AST, name: str) -> None:
        inside_function = isinstance(node, ast.FunctionDef)
        for child in ast.iter_child_nodes(node):
            inner = isinstance(child, ast.FunctionDef | ast.ClassDef) and not inside_function
            if isinstance(child, ast.Attribute) and child.attr in functions:
                functions[child.attr].add(name)
            if isinstance(child, ast.Name) and child.id in KINDS:
                functions["joint"].add(name)
            walk(child, f"{name}.{child.name}" if inner else name)

    for path in (ROOT / package).rglob("*.py"):
        if path.name != "joints.py":
            dotted = ".".join(path.relative_to(ROOT).with_suffix("").parts)
            walk(ast.parse(path.read_text(encoding="utf-8")), dotted)
    return functions
