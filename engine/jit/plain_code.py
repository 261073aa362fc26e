"""Python code made of a text of steps, with the objects it finds by their names; it goes into a file as compiled."""

from __future__ import annotations

import marshal
from collections.abc import Callable, Mapping
from types import CodeType
from typing import Any


class PlainCode:
    """One function of a text that defines it; ``call`` is the function.

    Pickled it is compiled code, so that it serves the Python that made it and no other.
    """

    def __init__(self, compiled: CodeType, name: str, objects: Mapping[str, Any]) -> None:
        self._made_of = compiled, name, objects
        names = dict(objects)
        exec(compiled, names)  # steps only: operations, numbered values and constants
        self.call: Callable[..., Any] = names.pop(name)  # out of its own names, so that it goes when nobody holds it

    @staticmethod
    def of_text(text: str, name: str, objects: Mapping[str, Any]) -> PlainCode:
        """The function of that name, which the text defines."""
        return PlainCode(compile(text, f"<{name}>", "exec"), name, objects)

    def __reduce__(self) -> tuple[Any, ...]:
        compiled, name, objects = self._made_of
        return _again, (marshal.dumps(compiled), name, objects)


def _again(compiled: bytes, name: str, objects: Mapping[str, Any]) -> PlainCode:
    return PlainCode(marshal.loads(compiled), name, objects)


class NamedObjects:
    """Names under which the code finds objects; the same object, or an equal number, has one name."""

    def __init__(self) -> None:
        self.by_name: dict[str, Any] = {}
        self._names: dict[Any, str] = {}

    def name_of(self, value: Any, key: Any = None) -> str:
        """Name of an object; ``key`` says what makes two of them the same, by default that they are one."""
        key = id(value) if key is None else key
        if key not in self._names:
            self._names[key] = f"k{len(self._names)}"
            self.by_name[self._names[key]] = value  # kept alive, so that its identity stays its own
        return self._names[key]
