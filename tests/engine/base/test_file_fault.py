"""A file or a drive that refuses is told in plain words, and what was there before stays whole."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from engine.base import whole_file
from engine.base.file_fault import NOT_USABLE, WORDS, FileFault, of_kind

PLACE = Path("/mnt/share/jobs/mine.rig.json")


def test_every_error_of_the_system_is_a_plain_sentence_with_its_place() -> None:
    for number in sorted(errno.errorcode):
        for writing in (False, True):
            words = FileFault(PLACE, "a file", of_kind(number), writing=writing).words
            assert words[0].isupper() and words.endswith(".")
            assert PLACE.name in words or str(PLACE.parent) in words
            assert not any(part in words for part in (str(number), "[", "Errno", os.strerror(number)))


def test_an_error_without_a_number_is_a_plain_sentence_too() -> None:
    assert FileFault(PLACE, "a file", OSError("a", "b", "c")).words == NOT_USABLE.format(place=PLACE)
    assert FileFault(PLACE, "a file", OSError()).got == "no reason given"


@pytest.mark.parametrize(
    ("number", "says"),
    [
        (errno.ESTALE, "does not answer"),
        (errno.ENOTCONN, "does not answer"),
        (errno.ETIMEDOUT, "does not answer"),
        (errno.EIO, "reports a fault"),
        (errno.EACCES, "do not have permission"),
        (errno.EROFS, "write-protected"),
        (errno.ENOSPC, "full"),
        (errno.ENOENT, "is not there"),
    ],
)
def test_the_words_say_what_happened(number: int, says: str) -> None:
    fault = FileFault(PLACE, "a file", of_kind(number))
    assert says in fault.words and fault.gone == (number == errno.ENOENT)
    assert number in WORDS


def test_a_name_that_no_screen_can_show_is_shown_as_far_as_it_goes() -> None:
    assert FileFault(Path("/x\udce4\n"), "a file", of_kind(errno.EIO)).words.isprintable()


@pytest.mark.parametrize("call", ["fsync", "replace", "fdopen"])
def test_a_write_that_is_refused_leaves_the_old_file_and_nothing_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    path = tmp_path / "paper.pdf"
    whole_file.write(path, b"old")

    def refuse(*_arguments: object, **_named: object) -> None:
        raise of_kind(errno.EIO)

    monkeypatch.setattr(os, call, refuse)
    with pytest.raises(OSError, match="Input/output"):
        whole_file.write(path, b"new")
    assert [(entry, entry.read_bytes()) for entry in tmp_path.iterdir()] == [(path, b"old")]


def test_a_folder_or_a_device_is_never_written_over(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path in (tmp_path, pipe):
        with pytest.raises(OSError, match="directory"):
            whole_file.write(path, b"x")
    assert [entry.name for entry in tmp_path.iterdir()] == ["pipe"] and pipe.is_fifo()
