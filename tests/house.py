"""The house: every package in import order, and the map made from them.

``python -m tests.house`` writes the map into DEVELOPERS.md between its two marks; a test holds that it is up to date.
"""

from __future__ import annotations

import ast
from pathlib import Path

ORDER: tuple[str, ...] = (
    "engine.base",
    "engine.schema",
    "engine.jit",
    "engine.rig",
    "engine.strength",
    "engine.limits",
    "engine.worst_case",
    "engine.handling",
    "engine.shop",
    "engine.planning",
    "engine.explain",
    "engine.exports",
    "engine.cli",
    "app.look",
    "app.documents",
    "app.workers",
    "app.canvas",
    "app.panels",
    "app.papers",
    "app.shell",
    "app.start",
)
"""Every package, in import order: a module imports from its own package and those before it, never from a later one."""

ENTRANCES = frozenset({"engine", "engine.__main__", "app", "app.__main__"})
"""Modules outside any package: the two docstrings, and what ``python -m`` runs."""

GUIDE = Path(__file__).resolve().parent.parent / "DEVELOPERS.md"
BEGIN, END = "<!-- map: begin -->", "<!-- map: end -->"


def house_map() -> str:
    """One paragraph a package, in import order, with what each of its modules is for."""
    paragraphs = []
    for package in ORDER:
        folder = GUIDE.parent.joinpath(*package.split("."))
        modules = sorted(path for path in folder.glob("*.py") if path.name != "__init__.py")
        rows = [f"- `{path.stem}`: {_first_line(path)}" for path in modules]
        paragraphs.append("\n".join([f"**{package}**: {_first_line(folder / '__init__.py')}", "", *rows]))
    return "\n\n".join(paragraphs)


def with_map(guide: str) -> str:
    """The guide with the map as the packages have it now."""
    before, _, rest = guide.partition(BEGIN)
    _, _, after = rest.partition(END)
    return f"{before}{BEGIN}\n{house_map()}\n{END}{after}"


def _first_line(path: Path) -> str:
    words = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    return words.split("\n", 1)[0]


if __name__ == "__main__":
    GUIDE.write_text(with_map(GUIDE.read_text(encoding="utf-8")), encoding="utf-8")
