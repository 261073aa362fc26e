"""The house stands as designed: who may import whom, checked on the source and in a fresh process."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent

FLOORS: tuple[frozenset[str], ...] = (
    frozenset({"later", "errors", "caution", "geometry", "sections", "steel", "stock_sizes", "shown", "tape"}),
    frozenset({"model", "checks", "interval"}),
    frozenset({"valid", "rigfile", "placing", "possible", "edits", "truckdata", "starts", "bands", "turnlimits", "fits"}),
    frozenset({"balance", "plate", "strength", "give", "drift", "handforce", "limits", "weighup", "stayclear"}),
    frozenset({"doubt", "verdict", "clearance"}),
    frozenset({"sweep", "guided", "scrub", "aim", "loadchart", "reach", "move", "moves", "remedy", "why"}),
    frozenset({"report", "chart_text", "__main__"}),
)
"""Floors of the engine from the ground up; a module imports from its own floor or from below.  A module not named here
stands on the highest floor it imports from; so a module below can never come to import it."""

BESIDE = "units"
"""The one module that knows pint stands beside the floors: report, the command line and the window read it."""

MAY_IMPORT_UNITS = frozenset({"report", "__main__"})

TRIGONOMETRY = frozenset(
    "sin cos tan asin acos atan atan2 arcsin arccos arctan arctan2 hypot radians degrees deg2rad rad2deg "
    "sinh cosh tanh cross dot matmul norm linalg qSin qCos qTan qAtan2 qDegreesToRadians qRadiansToDegrees".split()
)
"""Names that mean geometry is being worked out; in the window only the one pixel-to-metre module may."""

MATHS = frozenset({"math", "cmath", "np", "numpy", "QtCore"})


def sources(package: str) -> dict[str, ast.Module]:
    """Every module of a package by dotted name, parsed."""
    found = {}
    for path in sorted((ROOT / package).rglob("*.py")):
        name = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        found[name] = ast.parse(path.read_text(encoding="utf-8"), filename=str(path))
    return found


def imported(tree: ast.AST, modules: frozenset[str]) -> set[str]:
    """Modules of ours a tree imports, at any depth: ``from engine import plate`` means ``engine.plate``.

    ``later("engine.plate")`` is an import as well, only put off.
    """
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute, so that they can be followed"
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
            names.add(node.module or "")
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "later":
            names.add(ast.literal_eval(node.args[0]))
    return {name for name in names if name in modules}


ENGINE, APP = sources("engine"), sources("app")
OURS = frozenset(ENGINE) | frozenset(APP)


def floor_of(module: str) -> int:
    """Floor of an engine module; parts of ``engine.strength`` stand on strength's."""
    name = module.split(".")[1]
    for floor, names in enumerate(FLOORS):
        if name in names:
            return floor
    below = imported(ENGINE[module], frozenset(ENGINE)) - {"engine", module, f"engine.{BESIDE}"}
    return max((floor_of(other) for other in below), default=0)


def test_engine_core_loads_no_window_no_charts_and_no_units_library() -> None:
    core = [name for name in ENGINE if name.split(".")[-1] not in {BESIDE, "report", "__main__"}]
    code = f"import sys, {', '.join(core)}\nprint(' '.join(sorted({{name.split('.')[0] for name in sys.modules}})))"
    loaded = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True).stdout.split()
    assert not {"PySide6", "shiboken6", "pyqtgraph", "pint", "app"} & set(loaded)


def test_a_rig_is_read_and_placed_without_numpy_and_without_the_limits() -> None:
    """That is what a window draws first; numpy alone would take a third of the time until then."""
    code = (
        "import sys; from pathlib import Path; from engine import placing, rigfile\n"
        "for path in sorted(Path('sample_rigs').glob('*.json')):\n"
        "    job = rigfile.read(path); [placing.drawn(job, pose) for pose in job.poses]\n"
        "print(' '.join(sys.modules))"
    )
    loaded = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True).stdout.split()
    assert not {"numpy", "engine.verdict", "engine.edits"} & set(loaded)


def test_engine_never_names_the_window_or_its_libraries() -> None:
    for name, tree in ENGINE.items():
        for node in ast.walk(tree):
            heads = (
                {alias.name.split(".")[0] for alias in node.names}
                if isinstance(node, ast.Import)
                else {(node.module or "").split(".")[0]}
                if isinstance(node, ast.ImportFrom)
                else set()
            )
            allowed_pint = {"pint"} if name == f"engine.{BESIDE}" else set()
            assert not heads & ({"app", "PySide6", "pyqtgraph", "pint"} - allowed_pint), name


def test_engine_modules_import_only_from_their_own_floor_or_below() -> None:
    assert_no_cycle(ENGINE)
    for name, tree in ENGINE.items():
        if name in ("engine", f"engine.{BESIDE}"):
            continue
        for other in imported(tree, frozenset(ENGINE)) - {"engine", name}:
            if other == f"engine.{BESIDE}":
                assert name.split(".")[1] in MAY_IMPORT_UNITS, f"{name} imports {other}"
                continue
            assert floor_of(other) <= floor_of(name), f"{name} (floor {floor_of(name)}) imports {other} (floor {floor_of(other)})"


def test_units_stand_on_the_ground_floor_only() -> None:
    for other in imported(ENGINE[f"engine.{BESIDE}"], frozenset(ENGINE)) - {"engine"}:
        assert floor_of(other) == 0


def assert_no_cycle(trees: dict[str, ast.Module]) -> None:
    """No way of imports leads from a module back to itself."""
    edges = {
        name: {other for other in imported(tree, OURS & frozenset(trees)) if other != name and "." in other}
        for name, tree in trees.items()
    }
    done: set[str] = set()

    def walk(name: str, trail: tuple[str, ...]) -> None:
        assert name not in trail, " -> ".join((*trail[trail.index(name) :], name))
        if name in done:
            return
        for other in edges[name]:
            walk(other, (*trail, name))
        done.add(name)

    for name in edges:
        walk(name, ())


def test_no_import_cycle_anywhere() -> None:
    """Function-level imports count: they hide a cycle, they do not remove it."""
    assert_no_cycle(ENGINE | APP)


def test_engine_has_no_import_inside_a_function() -> None:
    for name, tree in ENGINE.items():
        for function in ast.walk(tree):
            if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
                inside = [node.lineno for node in ast.walk(function) if isinstance(node, ast.Import | ast.ImportFrom)]
                assert not inside, f"{name}: import inside a function, lines {inside}"


def test_window_works_out_no_geometry_outside_its_one_transform_module() -> None:
    for name, tree in APP.items():
        if name == "app.canvas.transform":
            continue
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] in MATHS:
                taken = {alias.name for alias in node.names} & TRIGONOMETRY
                assert not taken, f"{name}, line {node.lineno}: {sorted(taken)}"
            if isinstance(node, ast.Attribute) and node.attr in TRIGONOMETRY:
                owner = node.value
                root = owner.value if isinstance(owner, ast.Attribute) else owner
                by_name = isinstance(root, ast.Name) and root.id in MATHS
                assert not by_name, f"{name}, line {node.lineno}: {ast.unparse(node)}"


def test_packages_hold_a_docstring_and_no_re_exports() -> None:
    for path in [*(ROOT / "engine").rglob("__init__.py"), *(ROOT / "app").rglob("__init__.py")]:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        assert ast.get_docstring(tree), path
        assert len(tree.body) == 1, f"{path}: only a docstring"


@pytest.mark.parametrize("package", [ENGINE, APP], ids=["engine", "app"])
def test_every_module_says_what_it_is_for(package: dict[str, ast.Module]) -> None:
    assert [name for name, tree in package.items() if not ast.get_docstring(tree)] == []
