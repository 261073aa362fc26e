"""Inside the working process: answers questions, says how far it has come, and hands over what has come so far.

Nothing here loads Qt: the working process has no window.
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import sys
import threading
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from app.workers.known_parts import KnownParts
from engine.base.lazy import lazy

if TYPE_CHECKING:
    import multiprocessing
    from multiprocessing.connection import Connection

    from engine.jit import machine_code
else:
    # Not before the first question: both take their time to load.
    multiprocessing, machine_code = lazy("multiprocessing"), lazy("engine.jit.machine_code")

Question = Callable[..., Any]
"""A module's function (it is sent by name); takes its arguments and, last, ``stop``, which says whether to give up."""

NICER = 3
"""By how much the priority is lowered (0 to 19): the drag goes first, but a busy computer does not starve it."""

BELOW_NORMAL_PRIORITY_CLASS = 0x4000
"""As Windows numbers it (processthreadsapi.h)."""


class _Parts:
    """What the running question has to say before its answer, sent at once: parts are few and come far apart."""

    def __init__(self, pipe: Connection) -> None:
        self._pipe = pipe
        self.begin(0)

    def begin(self, number: int) -> None:
        """From now on everything belongs to the question of this number."""
        self._number, self._trying = number, ""

    def try_now(self, trying: str) -> None:
        """What is being tried, in a few words; without words it is still the same."""
        if trying and trying != self._trying:
            self._trying = trying
            self.hand_over(None)

    def hand_over(self, part: Any) -> None:
        """All that has come so far of the answer; None where that is nothing new."""
        with contextlib.suppress(OSError):  # the window is gone: this process ends too
            self._pipe.send((self._number, self._trying, part))


class _Inside:
    """What this process was given when it began; a pool hands it over in no other way than by its initializer."""

    allowed: Any = None
    """The number of the question that may go on."""
    share: Any = None
    """How far the running question has come, from 0 to 1."""
    parts: _Parts
    known = KnownParts()
    """What the last question was about, so that what it taught is used again."""


def begin(allowed: Any, share: Any, pipe: Connection) -> None:
    """Start this process: stand back behind the window, and end when the window ends."""
    _Inside.allowed, _Inside.share, _Inside.parts = allowed, share, _Parts(pipe)
    _yield_to_the_window()
    threading.Thread(target=_end_with_the_window, daemon=True).start()


def _yield_to_the_window() -> None:
    """Leave the drag a processor: use one thread fewer than there are, and let the window's process go first."""
    machine_code.set_thread_count(max(1, (os.cpu_count() or 1) - 1))
    with contextlib.suppress(OSError, AttributeError):  # some systems have no priorities
        if sys.platform == "win32":
            kernel = ctypes.windll.kernel32
            kernel.GetCurrentProcess.restype = ctypes.c_void_p
            kernel.SetPriorityClass.argtypes = (ctypes.c_void_p, ctypes.c_uint32)
            kernel.SetPriorityClass(kernel.GetCurrentProcess(), BELOW_NORMAL_PRIORITY_CLASS)
        else:
            os.nice(NICER)


def _end_with_the_window() -> None:
    """End this process when the window's process has ended, however it did; it would wait for questions for ever."""
    window = multiprocessing.parent_process()
    if window is not None:
        window.join()
    os._exit(1)


def tell(share: float, trying: str = "", /) -> None:
    """Say how far a question has come, from 0 to 1, and what is tried now; for the question's own function."""
    _Inside.share.value = share
    _Inside.parts.try_now(trying)


def hand_over(part: Any) -> None:
    """Hand over all that has come so far of the answer; for the question's own function."""
    _Inside.parts.hand_over(part)


def answer(number: int, question: Question, arguments: tuple[Any, ...]) -> Any:
    """Answer a question, unless it has been given up meanwhile."""

    def stop() -> bool:
        return _Inside.allowed.value != number

    if stop():
        return None
    _Inside.parts.begin(number)
    _Inside.share.value = 0.0
    return question(*_Inside.known.swapped(arguments), stop)
