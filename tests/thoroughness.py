"""How much of the long sweeps a run does: what every push gets, or all of it with ``TAILWEIGHT_THOROUGH=1``."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TypeVar

THOROUGH = os.environ.get("TAILWEIGHT_THOROUGH", "") not in ("", "0")

One = TypeVar("One")


def times(usual: int, thorough: int) -> int:
    """How often something is tried."""
    return thorough if THOROUGH else usual


def every(nth: int, cases: Sequence[One], first: int = 0) -> list[One]:
    """Every nth of some cases, from one of them on; all of them in a thorough run."""
    return list(cases) if THOROUGH else list(cases[first % nth :: nth])
