"""Formulas are written out in a quiet moment, and the verdict stays what it was."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import pytest
from pytestqt.qtbot import QtBot

from app import readying
from app.window import Window
from engine import bench
from engine.placing import figures


@pytest.fixture(autouse=True)
def soon(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(readying, "QUIET_MS", 1)
    bench._kept.cache_clear()


def kept(window: Window) -> bench.Bench:
    job, pose = window.document.job, window.document.pose
    return bench.bench_of(job, figures(job, pose))


def test_a_rig_left_alone_is_made_ready_for_the_next_drag(make_window: Callable[..., Window], qtbot: QtBot) -> None:
    window = make_window("cold_spring_vineyard")
    before = window.document.verdict
    assert kept(window)._written is None
    qtbot.waitUntil(lambda: kept(window)._written is not None, timeout=20_000)
    window.document.preview_pose(msgspec.structs.replace(window.document.pose, lift_m=window.document.pose.lift_m + 0.1))
    window.document.restore()
    assert window.document.verdict == before


def test_an_edited_rig_is_made_ready_anew(make_window: Callable[..., Window], qtbot: QtBot) -> None:
    window = make_window("tarn_hollow_stone_yard")
    qtbot.waitUntil(lambda: kept(window)._written is not None, timeout=20_000)
    window.document.set_value("load.mass_kg.best", 300.0, "Lighter")
    assert kept(window)._written is None
    qtbot.waitUntil(lambda: kept(window)._written is not None, timeout=20_000)


def test_a_rig_without_a_verdict_is_left_alone(make_window: Callable[..., Window], qtbot: QtBot) -> None:
    window = make_window("fernbank_tree_nursery")
    qtbot.wait(50)
    assert window.document.verdict.state == "REFUSED"
    assert kept(window)._written is None
