"""Modules imported at their first use: the one way the program delays an import.

A window should paint before everything behind it has loaded. What it draws first is made of plain floats by a handful
of modules; numpy, the limits, planning and the papers load when they are first asked for. A module that is needed only
after the first paint is imported like this::

    from typing import TYPE_CHECKING

    from engine.base.lazy import lazy

    if TYPE_CHECKING:
        from engine.shop import edits
    else:
        edits = lazy("engine.shop.edits")

A type checker and a reader see the real module. At run time ``edits`` stands for it, and the first attribute asked of
it imports it. Names imported *from* a module cannot be put off: write ``edits.set_value``, not ``set_value``.

numpy is put off in several modules, so it stands here once: ``from engine.base.lazy import np``.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from types import ModuleType

    import numpy as np


class LazyModule:
    """Stands for a module; the first attribute asked of it imports the module.

    Raises
    ------
    ImportError, AttributeError
        At that moment, as the import itself would.
    """

    def __init__(self, name: str, keeps: bool = False) -> None:
        self._name = name
        self._keeps = keeps
        """Whether what was asked for once is kept here: for a module that nobody changes, asked for all the time."""
        self._module: ModuleType | None = None

    def __getattr__(self, attribute: str) -> Any:
        if self._module is None:
            self._module = importlib.import_module(self._name)
        value = getattr(self._module, attribute)
        if self._keeps:
            setattr(self, attribute, value)
        return value


def lazy(name: str) -> LazyModule:
    """The module of that dotted name, imported at its first use."""
    return LazyModule(name)


if not TYPE_CHECKING:
    np = LazyModule("numpy", keeps=True)
