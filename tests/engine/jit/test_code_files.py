"""Machine code kept in files: found again as it was written, for the same processor and quality alone."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest

from engine.jit import code_files, machine_code
from engine.jit.machine_code import MachineFunction, machine_function
from engine.jit.trace import Recorder


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = tmp_path / "cache" / "code"
    monkeypatch.setenv(code_files.FOLDER, str(place))
    return place


@pytest.fixture
def compiled(monkeypatch: pytest.MonkeyPatch) -> list[bool]:
    """Whether each code that LLVM made, out of its text, was made quickly."""
    made: list[bool] = []
    compile_text = machine_code._compile

    def counted(text: str, quick: bool) -> bytes:
        made.append(quick)
        return compile_text(text, quick)

    monkeypatch.setattr(machine_code, "_compile", counted)
    return made


def a_function(power: int, quick: bool = False) -> MachineFunction:
    """Code of ``a b^power``, made as by a program that has just been started."""
    machine_code._cache.latest.clear()
    machine_code._cache.held.clear()
    recorder = Recorder()
    a, b = recorder.new_input(), recorder.new_input()
    for _ in range(power):
        a = a * b
    function = machine_function(recorder, [a, np.sin(b)], quick)
    assert function is not None
    return function


def test_code_is_made_once_for_all_runs_and_says_the_same(compiled: list[bool], folder: Path) -> None:
    first = a_function(3)([2.0, 5.0], ())
    again = a_function(3)([2.0, 5.0], ())
    assert compiled == [False] and len(list(folder.iterdir())) == 1
    assert first[0] == 250.0 and np.array_equal(first, again)


def test_better_code_serves_where_quick_code_would_do_and_not_the_other_way(compiled: list[bool]) -> None:
    for quick in (True, False, True):
        assert a_function(4, quick)([1.0, 2.0], ())[0] == 16.0
    assert compiled == [True, False]


@pytest.mark.parametrize("spoil", [lambda code: code[:-1], lambda code: b"", lambda code: code[:-1] + b"?"])
def test_a_file_that_is_not_as_it_was_written_is_made_anew(spoil: object, compiled: list[bool], folder: Path) -> None:
    a_function(5)
    (file,) = folder.iterdir()
    file.write_bytes(spoil(file.read_bytes()))
    assert a_function(5)([1.0, 2.0], ())[0] == 32.0
    a_function(5)
    assert compiled == [False, False]


def test_code_for_another_processor_or_another_llvm_is_not_used(
    compiled: list[bool], monkeypatch: pytest.MonkeyPatch
) -> None:
    a_function(6)
    with monkeypatch.context() as other:
        other.setattr(machine_code, "_features", lambda: "")
        a_function(6)
    monkeypatch.setattr(machine_code.llvm, "llvm_version_info", (1, 2, 3))
    a_function(6)
    assert len(compiled) == 3


def test_without_a_folder_or_with_one_that_cannot_be_written_code_is_made_every_time(
    compiled: list[bool], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("")
    for place in ("", str(tmp_path / "file" / "code")):
        monkeypatch.setenv(code_files.FOLDER, place)
        for _ in range(2):
            assert a_function(7)([1.0, 2.0], ())[0] == 128.0
    assert len(compiled) == 4


def test_files_unused_for_longest_go_first(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(code_files, "FILES_AT_MOST", 3)
    for index, key in enumerate(("a", "b", "c")):
        code_files.keep(key, b"code")
        os.utime(folder / f"{key}{code_files.SUFFIX}", (index, index))
    (folder / "left.1.part").write_bytes(b"half of one")
    os.utime(folder / "left.1.part", (0.5, 0.5))
    assert code_files.find("a") == b"code"  # used now
    code_files.keep("d", b"code")
    assert sorted(path.name for path in folder.iterdir()) == ["a.code", "c.code", "d.code"]
