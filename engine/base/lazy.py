"""Modules that are loaded when something of them is first asked for, so that a window can be painted before.

A drawing of one pose is made of plain floats by a handful of modules.  numpy, which only arrays of poses need, would take
a third of the time until then, and what works out limits, plans and papers most of the rest.  Whoever names such a module
here writes ``edits = lazy("engine.shop.edits")`` where ``from engine import edits`` would stand, and uses it alike.
"""

from __future__ import annotations

import importlib
from types import ModuleType
from typing import Any


class LazyModule:
    """Stands for a module until it is needed, and then hands on everything of it."""

    __slots__ = ("_module", "_name")

    def __init__(self, name: str) -> None:
        self._name = name
        self._module: ModuleType | None = None

    def __getattr__(self, attribute: str) -> Any:
        if self._module is None:
            self._module = importlib.import_module(self._name)
        return getattr(self._module, attribute)


def lazy(name: str) -> Any:
    """The module of that name, loaded at its first use; for types, import it under ``TYPE_CHECKING`` as well."""
    return LazyModule(name)


np = lazy("numpy")
"""numpy, for those modules that a drawing of one pose is made by."""
