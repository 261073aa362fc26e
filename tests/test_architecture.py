"""The house stands as designed: who may import whom, checked on the source and in a fresh process."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.house import ENTRANCES, ORDER, with_map

ROOT = Path(__file__).resolve().parent.parent

LIBRARY_PACKAGES = {"engine.jit": ("engine.base",)}
"""Packages that could be lifted out of the project: all they may import of ours."""

TRIGONOMETRY = frozenset(
    [
        "sin",
        "cos",
        "tan",
        "asin",
        "acos",
        "atan",
        "atan2",
        "arcsin",
        "arccos",
        "arctan",
        "arctan2",
        "hypot",
        "radians",
        "degrees",
        "deg2rad",
        "rad2deg",
        "sinh",
        "cosh",
        "tanh",
        "cross",
        "dot",
        "matmul",
        "norm",
        "linalg",
        "qSin",
        "qCos",
        "qTan",
        "qAtan2",
        "qDegreesToRadians",
        "qRadiansToDegrees",
    ]
)
"""Names that mean geometry is being worked out; in the window only the one pixel-to-metre module may."""

MATHS = frozenset({"math", "cmath", "np", "numpy", "QtCore"})


FIGURES = frozenset(
    [
        "rear_kg",
        "light_front_kg",
        "rear_weight_left_kg",
        "light_front_wheel_kg",
        "nominal_allowed_load_kg",
        "allowed_if_clear_kg",
    ]
)
"""Figures that everybody shows: `engine.explain.shown` takes them from the verdict, everybody else from there."""

TAKE_FIGURES = {
    "engine.explain.shown": "the one source",
    "engine.explain.dials": "places of needles",
    "engine.explain.helper_steps": "one story of several verdict figures, as a template",
    "engine.explain.proof_load": "readings of another job: the test's",
    "engine.explain.truck_words": "two trucks side by side, each from its own worst case",
    "engine.explain.why": "numbers of a template",
    "engine.cli.verdict_report": "keys of the JSON, taken from the source's struct",
    "engine.cli.move_report": "rear weight along a move, not of one pose",
    "engine.cli.truck_report": "scale readings as entered",
    "app.canvas.plan": "wheel reactions, shown by the source's `wheel_text`",
    "app.panels.measure": "scale readings as entered",
    "app.panels.trial_lifts": "scale readings as entered",
    "app.papers.hand_check": "sums to be redone by hand, to four figures",
    "app.papers.log_list": "scale readings as entered",
    "app.papers.proof_sheet": "readings to expect of the test",
}

FORMAT_UNITS = {
    "engine.base.formatting": "the one place that turns a number into text",
    "engine.base.typed": "what typed text may have meant, as entry fields show it",
    "app.papers.rounding": "lengths to cut, bores and filler metal, which only papers have",
    "app.papers.hand_check": "sums to be redone by hand, to four figures (`rounding.fixed`)",
    "engine.jit.llvm_code": "LLVM's %, not a percentage",
    "engine.schema.stock_sizes": "names of sizes sold",
    "engine.schema.us_truck_classes": "names of classes of truck",
    "engine.shop.first_rig": "why a first sketch fails, in metres",
    "engine.shop.truck_classes": "names of classes of truck",
    "engine.shop.truck_measurement": "refused readings, as entered",
    "engine.cli.plan_commands": "how much of the work is done",
    "app.shell.menus": "sizes of text",
}
"""Modules that put a unit after a number, and why."""

TO_THE_NEAREST = {
    "engine.explain.shown": "weights of truck and of everything, neither allowed nor demanded",
    "engine.cli.truck_report": "the truck's entries",
    "engine.cli.move_report": "how far along a move",
    "app.panels.measure": "scale readings",
    "app.panels.move_words": "how far along a move",
    "app.panels.trial_lifts": "scale readings",
    "app.papers.hand_check": "the share under which limits are only named",
    "app.papers.pick_sheet": "how far along a move",
    "app.papers.proof_sheet": "the test's 125 %",
}
"""Modules that show a mass or a share without saying which way it is rounded, and of what."""

UNIT_AFTER = re.compile(r"\s?(?:kg|lb|mm|m)\b(?!-)|\s?%")


def sources(package: str) -> dict[str, ast.Module]:
    """Every module of a package by dotted name, parsed."""
    found = {}
    for path in sorted((ROOT / package).rglob("*.py")):
        name = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        found[name] = ast.parse(path.read_text(encoding="utf-8"), filename=str(path))
    return found


def imported(tree: ast.AST, modules: frozenset[str]) -> set[str]:
    """Modules of ours a tree imports, at any depth: ``from engine import plate`` means ``engine.limits.plate``.

    ``lazy("engine.limits.plate")`` is an import as well, only put off.
    """
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute, so that they can be followed"
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
            names.add(node.module or "")
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "lazy":
            names.add(ast.literal_eval(node.args[0]))
    return {name for name in names if name in modules}


ENGINE, APP = sources("engine"), sources("app")
OURS = frozenset(ENGINE) | frozenset(APP)


def package_of(module: str) -> str:
    """Package of a module: ``engine.limits.plate`` is in ``engine.limits``."""
    return ".".join(module.split(".")[:2])


def modules_of_ours(name: str) -> set[str]:
    """What a module imports of ours, packages themselves left out."""
    return imported((ENGINE | APP)[name], OURS) - {name} - ENTRANCES - frozenset(ORDER)


def test_engine_core_loads_no_window_and_no_charts() -> None:
    core = [name for name in ENGINE if package_of(name) not in ("engine.cli", "engine.__main__")]
    code = f"import sys, {', '.join(core)}\nprint(' '.join(sorted({{name.split('.')[0] for name in sys.modules}})))"
    loaded = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split()
    assert not {"PySide6", "shiboken6", "pyqtgraph", "app"} & set(loaded)


def test_a_rig_is_read_and_placed_without_numpy_and_without_the_limits() -> None:
    """That is what a window draws first; numpy alone would take a third of the time until then."""
    code = (
        "import sys; from pathlib import Path; from engine.rig import kinematics; from engine.schema import rig_file\n"
        "for path in sorted(Path('sample_rigs').glob('*.json')):\n"
        "    job = rig_file.read(path); [kinematics.drawn(job, pose) for pose in job.poses]\n"
        "print(' '.join(sys.modules))"
    )
    loaded = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split()
    assert not {"numpy", "engine.worst_case.verdict", "engine.shop.edits"} & set(loaded)


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
            assert not heads & {"app", "PySide6", "pyqtgraph"}, name


def test_every_module_stands_in_a_package_of_the_order() -> None:
    assert {package_of(name) for name in OURS - ENTRANCES} == set(ORDER)
    assert max(name.count(".") for name in OURS) == 2, "two levels of packages at most"


@pytest.mark.parametrize("package", ORDER)
def test_a_package_imports_only_from_those_before_it(package: str) -> None:
    before = frozenset(ORDER[: ORDER.index(package) + 1])
    for name in sorted(name for name in OURS - ENTRANCES if package_of(name) == package):
        above = {other for other in modules_of_ours(name) if package_of(other) not in before}
        assert not above, f"{name} imports {sorted(above)}, which stand after {package}"


def test_a_package_that_is_a_library_imports_hardly_anything_of_ours() -> None:
    for package, allowed in LIBRARY_PACKAGES.items():
        for name in (name for name in OURS if package_of(name) == package):
            others = {package_of(other) for other in modules_of_ours(name)} - {package}
            assert others <= set(allowed), f"{name} imports {sorted(others)}"


def test_the_window_does_not_read_the_command_line() -> None:
    """Both are ways out of the engine; what they share, such as phrases, belongs to ``engine.explain``."""
    for name in APP:
        assert not {other for other in modules_of_ours(name) if package_of(other) == "engine.cli"}, name


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


PAST_THE_ALLOWED_LOAD = frozenset(
    {"engine.handling.lift_curve", "engine.handling.tip_curve", "engine.explain.tip_words"}
)
"""Curves of loads and leans that nobody may go to: they explain, in the window alone."""


def test_no_paper_reaches_curves_past_the_allowed_load() -> None:
    reached: set[str] = set()
    ahead = {name for name in APP if package_of(name) == "app.papers"}
    while ahead:
        reached |= ahead
        ahead = set().union(*map(modules_of_ours, ahead)) - reached
    assert not reached & PAST_THE_ALLOWED_LOAD
    assert modules_of_ours("app.panels.tipping") >= PAST_THE_ALLOWED_LOAD


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


def test_the_map_in_the_guide_is_that_of_the_packages() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert guide == with_map(guide), "python -m tests.house writes the map anew"


def calls_to_the_nearest(tree: ast.Module) -> list[int]:
    """Lines where a mass or share is shown without a direction."""
    return [
        node.lineno
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name | ast.Attribute)
        and (node.func.id if isinstance(node.func, ast.Name) else node.func.attr) in ("show", "nearest")
        and any(isinstance(kind, ast.Constant) and kind.value in ("kg", "share") for kind in ast.walk(node))
    ]


def units_after_numbers(tree: ast.Module) -> list[int]:
    """Lines where a number in a text is followed by a unit."""
    return [
        node.lineno
        for node in ast.walk(tree)
        if isinstance(node, ast.JoinedStr)
        for number, after in zip(node.values, node.values[1:], strict=False)
        if isinstance(number, ast.FormattedValue)
        and isinstance(after, ast.Constant)
        and UNIT_AFTER.match(str(after.value))
    ]


def figures_taken(tree: ast.Module) -> list[int]:
    """Lines where a figure of the verdict is read."""
    return [node.lineno for node in ast.walk(tree) if isinstance(node, ast.Attribute) and node.attr in FIGURES]


def test_only_one_module_turns_a_mass_a_gap_or_a_use_into_text() -> None:
    found = {name for name, tree in (ENGINE | APP).items() if units_after_numbers(tree)}
    assert found == set(FORMAT_UNITS), "list a module only with a reason, and only while it needs to be"


def test_a_mass_or_a_use_is_rounded_up_or_down_wherever_it_matters() -> None:
    found = {name for name, tree in (ENGINE | APP).items() if calls_to_the_nearest(tree)}
    assert found == set(TO_THE_NEAREST)


def test_only_one_module_takes_the_figures_that_everybody_shows() -> None:
    shown = {
        name: tree
        for name, tree in (ENGINE | APP).items()
        if package_of(name) in ("engine.explain", "engine.cli") or name.startswith("app.")
    }
    assert {name for name, tree in shown.items() if figures_taken(tree)} == set(TAKE_FIGURES)


@pytest.mark.parametrize(
    ("code", "finds"),
    [
        ('f"{load:.0f} kg"', units_after_numbers),
        ('f"{share:.0f} %"', units_after_numbers),
        ('show(load_kg, "kg", units)', calls_to_the_nearest),
        ('subject.show(1.0, "share")', calls_to_the_nearest),
        ("text(verdict.balance.rear_kg)", figures_taken),
    ],
)
def test_a_second_source_would_be_noticed(code: str, finds: Callable[[ast.Module], list[int]]) -> None:
    assert finds(ast.parse(code)) == [1]
