"""Formulas are compiled in a quiet moment, and the verdict stays what it was."""

from __future__ import annotations

import gc
import threading
from collections.abc import Callable

import msgspec
import pytest
from pytestqt.qtbot import QtBot

from app.shell.window import Window
from app.workers import warm_up
from engine.rig.kinematics import figures
from engine.worst_case import evaluator


@pytest.fixture(autouse=True)
def without_delay(monkeypatch: pytest.MonkeyPatch, no_evaluators: None) -> None:
    monkeypatch.setattr(warm_up, "QUIET_MS", 1)


def kept(window: Window) -> evaluator.Evaluator:
    job, pose = window.document.job, window.document.pose
    return evaluator.evaluator_of(job, figures(job, pose))


def test_a_rig_left_alone_is_made_ready_for_the_next_drag(make_window: Callable[..., Window], qtbot: QtBot) -> None:
    window = make_window("cold_spring_vineyard")
    before = window.document.verdict
    assert kept(window)._recorded is None
    qtbot.waitUntil(lambda: kept(window)._recorded is not None, timeout=20_000)
    window.document.preview_pose(
        msgspec.structs.replace(window.document.pose, lift_m=window.document.pose.lift_m + 0.1)
    )
    window.document.restore()
    assert window.document.verdict == before


def test_an_edited_rig_is_ready_at_once_and_one_of_another_structure_anew(
    make_window: Callable[..., Window], qtbot: QtBot
) -> None:
    window = make_window("tarn_hollow_stone_yard")
    qtbot.waitUntil(lambda: kept(window)._recorded is not None, timeout=20_000)
    window.document.set_value("load.mass_kg.best", 300.0, "Lighter")
    assert kept(window)._recorded is not None
    window.document.set_value("load.mass_kg.known", "guess", "Guessed")
    assert kept(window)._recorded is None
    qtbot.waitUntil(lambda: kept(window)._recorded is not None, timeout=20_000)


def test_a_drag_does_not_put_it_off_and_never_waits_for_it(
    make_window: Callable[..., Window], qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(evaluator._Recording, "while_asked", True)
    monkeypatch.setattr(warm_up, "QUIET_MS", 200)
    evaluator.record_ahead_only()
    window = make_window("cold_spring_vineyard")
    pose = window.document.pose
    asked: list[object] = []
    monkeypatch.setattr(evaluator, "record_ahead", lambda *given: asked.append(given))
    moved = 0
    while not asked:  # a drag that never rests
        moved += 1
        assert moved < 2000
        window.document.preview_pose(msgspec.structs.replace(pose, lift_m=pose.lift_m + 0.001 * (moved % 50)))
        qtbot.wait(1)
    walks, moved = kept(window)._walks, 0
    assert walks is not None
    while walks.count < 2.0 * evaluator.RECORD_AFTER_WALKS:
        moved += 1
        assert moved < 200
        window.document.preview_pose(msgspec.structs.replace(pose, lift_m=pose.lift_m + 0.001 * moved))
    assert kept(window)._recorded is None
    window.document.restore()


def test_another_pose_of_a_refused_one_is_made_ready(make_window: Callable[..., Window], qtbot: QtBot) -> None:
    window = make_window("tarn_hollow_stone_yard")
    qtbot.waitUntil(lambda: kept(window)._recorded is not None, timeout=20_000)
    window.document.set_value("load.mass_kg.known", "guess", "Guessed")
    pose = window.document.pose
    window.document.preview_pose(msgspec.structs.replace(pose, lift_m=99.0))
    qtbot.wait(50)
    assert window.document.verdict.state == "REFUSED" and kept(window)._recorded is None
    window.document.restore()
    qtbot.waitUntil(lambda: kept(window)._recorded is not None, timeout=20_000)


def test_a_rig_without_a_verdict_is_left_alone(make_window: Callable[..., Window], qtbot: QtBot) -> None:
    window = make_window("fernbank_tree_nursery")
    qtbot.wait(50)
    assert window.document.verdict.state == "REFUSED"
    assert kept(window)._recorded is None


def test_the_collector_rests_until_the_last_thread_has_finished(
    make_window: Callable[..., Window], qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Formulas of two windows opened at once are compiled one after the other.

    Else the first thread to finish would switch the garbage collection on while the other one works, and what is
    collected there crashes Qt.
    """
    gc.enable()
    held, running, seen = threading.Event(), [], []

    def slow(*_: object) -> None:
        running.append(threading.current_thread())
        held.wait(10.0)
        seen.append((gc.isenabled(), sum(thread.is_alive() for thread in running)))

    monkeypatch.setattr(evaluator, "record_ahead", slow)
    for name in ("cold_spring_vineyard", "tarn_hollow_stone_yard"):
        make_window(name)
    qtbot.waitUntil(lambda: bool(running))
    qtbot.wait(150)
    assert len(running) == 1 and not gc.isenabled()
    held.set()
    qtbot.waitUntil(lambda: len(seen) == 2)
    assert seen == [(False, 1), (False, 1)]
    qtbot.waitUntil(gc.isenabled)
