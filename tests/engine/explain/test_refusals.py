"""What a window says of a damaged file: the entry's own name, the value, the limit in the units shown, a way out.

Every bound of the model and every sentence of its own is walked: no key, no path and no bare SI stands in any.
"""

from __future__ import annotations

import ast
import copy
import json
import re
import typing
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest

from engine.base.errors import ContradictionError, RigFileError
from engine.base.formatting import System
from engine.explain import refusals
from engine.schema import connections, model, quantities, rig_file, sections
from engine.schema.entry_fault import Contradiction, EntryError
from engine.schema.model import Job
from engine.schema.validation import refused

ROOT = Path(__file__).resolve().parents[3]
BOATYARD = (ROOT / "sample_rigs" / "skerry_point_boatyard.rig.json").read_bytes()
CODE_SPEAK = re.compile(
    r"[\[\]{}_$`<>]|\.best|\brig:|\b(?:rig|truck)\.\w|Expected|expected|JSON|float|null|None|True|False"
)
SI_SPEAK = re.compile(r"\d(?: m| rad| Pa|e[-+]?\d+)(?![\w/°])|\bnan\b|\binf\b")
METRIC_SPEAK = re.compile(r"\d (?:mm|kg|MPa|km/h|kg·m|N·m)\b")
NUMBERS = (1e12, -1e12, 1e308, 0, 2.5, -0.001, float("nan"))
BAD: tuple[Any, ...] = (*NUMBERS, "abc", "", "x" * 5000, "\x01", None, True, [], {})


def wrong_with(words: str, units: System) -> str:
    """What is wrong with a sentence of a window; empty where nothing is."""
    wrong = CODE_SPEAK.search(words) or SI_SPEAK.search(words)
    if units == "us":
        wrong = wrong or METRIC_SPEAK.search(words)
    if wrong:
        return wrong[0]
    is_sentence = words.endswith((".", "?")) and not words[0].islower() and "  " not in words and ".." not in words
    return "" if is_sentence else "form"


def told(data: bytes, units: System = "metric") -> str:
    with pytest.raises(RigFileError) as error:
        rig_file.decode(data, "yard.rig.json")
    assert not wrong_with(refusals.sentence(error.value, units), units)
    return refusals.sentence(error.value, units)


def with_entry(place: tuple[str | int, ...], value: Any) -> bytes:
    raw = json.loads(BOATYARD)
    node = raw
    for step in place[:-1]:
        node = node[step]
    node[place[-1]] = value
    return json.dumps(raw).encode()


FALL = ("floors", 0, "fall_along", "best")
LENGTH = ("rig", "boom", "length_m")


@pytest.mark.parametrize(
    ("place", "value", "units", "words"),
    [
        (FALL, 0.36, "metric", "Slope at ‘slipway head’: 36 % cannot be: at most 35 %. Did you mean 3.6 % or 0.36 %?"),
        (FALL, 3, "metric", "Slope at ‘slipway head’: 300 % cannot be: at most 35 %. Did you mean 30 % or 3 %?"),
        (
            LENGTH,
            2400,
            "metric",
            "Boom, length: 2\u202f400\u202f000 mm cannot be: at most 50\u202f000 mm. Did you mean 2\u202f400 mm?",
        ),
        (LENGTH, "8 ft", "us", "Boom, length: ‘8 ft’ is not a number. Did you mean 8 ft?"),
        (
            ("rig", "boom", "section", "wall_m"),
            0.06,
            "metric",
            "Boom, wall: a wall of 60 mm is thicker than the tube allows: less than 25 mm, a quarter of its smaller "
            "side. Did you mean 6 mm?",
        ),
        (
            ("rig", "boom", "hole_count"),
            40,
            "metric",
            "Boom: hole 40 would be 6\u202f450 mm from the tail, past the boom's 2\u202f400 mm. Enter fewer holes, a "
            "shorter distance from hole to hole, or a longer boom.",
        ),
        (("load", "mass_kg", "low"), 500, "metric", "Load, mass, least: 500 kg is more than the best value, 185 kg."),
        (
            ("load", "mass_kg", "known"),
            "wieghed",
            "us",
            "Load, mass, how known: ‘wieghed’ is not one of the choices. Did you mean ‘weighed’?",
        ),
        (
            ("rig", "boom", "lenght_m"),
            2.4,
            "us",
            "Boom: Tailweight knows no entry ‘lenght m’ here. Did you mean ‘length’?",
        ),
        (
            ("poses", 0, "floor"),
            "nowhere",
            "us",
            "Pose ‘over the transom’, floor: there is none called ‘nowhere’. The names are ‘slipway head’.",
        ),
        (
            ("format_version",),
            99,
            "us",
            "The file was written by a newer Tailweight; nothing in it was changed. Open it with that one.",
        ),
    ],
)  # fmt: skip
def test_an_entry_of_a_file_is_told_by_its_own_name_in_the_units_shown(
    place: tuple[str | int, ...], value: Any, units: System, words: str
) -> None:
    assert told(with_entry(place, value), units) == words


def test_a_file_cut_short_says_where_it_ends_and_what_to_do() -> None:
    lines = BOATYARD.split(b"\n")
    words = told(b"\n".join(lines[:12]))
    assert words == "The file is cut short: it ends in line 12, in the middle of an entry. Open an older copy."
    assert told(BOATYARD.replace(b'"name":', b'"name"=', 1)) == "The file is damaged in line 3. Open an older copy."
    middle = BOATYARD.index(b"upright") + 3
    lines_before = BOATYARD[:middle].count(b"\n") + 1
    assert f"it ends in line {lines_before}, in the middle" in told(BOATYARD[:middle])
    assert told(b" \n") == "The file is empty. Open an older copy."
    assert "is no rig" in told(b"[]") and "no text" in told(b"\xff\xfe{")
    for data in (b"[" * 5000, b"{" + b"[]," * 200_000, BOATYARD.replace(b'"notes"', b'"name": "", "notes"', 1)):
        told(data)
        told(data, "us")


def test_the_terminal_adds_the_place_in_the_file() -> None:
    with pytest.raises(RigFileError) as error:
        rig_file.decode(with_entry(LENGTH, 2400), "yard.rig.json")
    said = refusals.with_place(error.value)
    assert said.startswith("yard.rig.json: Boom, length: ")
    assert said.endswith("Did you mean 2\u202f400 mm? (rig.boom.length_m, in m)")


def test_a_file_in_us_units_is_told_of_in_them() -> None:
    raw = json.loads(BOATYARD) | {"units": "us", "kerf_m": 3}
    with pytest.raises(RigFileError) as error:
        rig_file.decode(json.dumps(raw).encode(), "yard.rig.json")
    units = refusals.units_of(error.value, "metric")
    words = refusals.sentence(error.value, units)
    assert "0.787 in" in words and not wrong_with(words, "us")  # 20 mm


# ---------------------------------------------------------------- every bound of the model


def structs() -> set[type[msgspec.Struct]]:
    found: set[type[msgspec.Struct]] = set()

    def walk(kind: Any) -> None:
        kind = typing.get_origin(kind) if typing.get_origin(kind) is quantities.Estimate else kind
        if isinstance(kind, type) and issubclass(kind, msgspec.Struct):
            if kind in found:
                return
            found.add(kind)
            if kind is not quantities.Estimate:
                for hint in typing.get_type_hints(kind, include_extras=True).values():
                    walk(hint)
        for inner in typing.get_args(kind):
            walk(inner)

    walk(Job)
    return found


def faults_of(name: str, hint: Any) -> Iterator[EntryError]:
    """What the model says of every bad value in an entry of this name and type."""
    holder = msgspec.defstruct("Holder", [(name, hint)], forbid_unknown_fields=True)
    estimates = [{"best": bad, "known": "guess"} for bad in BAD] if "Estimate" in str(hint) else []
    lists = [[bad] for bad in BAD] if "tuple" in str(hint) else []
    for bad in (*BAD, *estimates, *lists):
        raw = {name: bad}
        try:
            msgspec.convert(raw, holder)
        except msgspec.ValidationError as error:
            yield refused(error, "yard.rig.json", raw)


def test_no_bound_of_the_model_is_told_in_the_words_of_the_code() -> None:
    walked = 0
    for struct in sorted(structs() - {quantities.Estimate}, key=lambda one: one.__name__):
        for name, hint in typing.get_type_hints(struct, include_extras=True).items():
            if typing.get_origin(hint) is typing.ClassVar:
                continue
            for error in faults_of(name, hint):
                walked += 1
                for units in ("metric", "us"):
                    for words in (refusals.sentence(error, units), refusals.words_of(error, name, units)):
                        assert not wrong_with(words, units), (struct.__name__, name, error.value, words)
    assert walked > 2000


# ---------------------------------------------------------------- every sentence of the model's own

SCHEMA = (model, sections, connections, quantities)


def sentences_of_the_model() -> set[str]:
    found: set[str] = set()
    for module in SCHEMA:
        for node in ast.walk(ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "ContradictionError":
                words = node.args[0]
                found.add(words.value if isinstance(words, ast.Constant) else getattr(module, words.id))  # type: ignore[attr-defined]
    return found


def spoiled(change: Callable[[Any], object]) -> dict[str, Any]:
    raw = copy.deepcopy(json.loads(BOATYARD))
    change(raw)
    return raw


STRAIGHT_ROUND = {"turns": False, "turn_radius_m": 2.0}
STRETCH = {"from_m": 1.0, "to_m": 0.5}
STEEL = {"name": "A", "section": {"shape": "flat_bar", "width_m": 0.1, "depth_m": 0.01}, "length_m": 2.0}
BOX = {"name": "wall", "x0_m": 2.0, "x1_m": 1.0, "y0_m": -1.0, "y1_m": 1.0, "z0_m": 0.0, "z1_m": 3.0}

CONTRADICTIONS: tuple[Callable[[Any], object], ...] = (
    lambda raw: raw["truck"]["upright"].update(lift_max_m=0.01),
    lambda raw: raw["rig"]["saddles"].update(rear_x_m=0.0),
    lambda raw: raw["rig"]["boom"].update(hole_steps_m=[0.15]),
    lambda raw: raw["rig"]["boom"].update(hole_count=40),
    lambda raw: raw["rig"]["arms"][0].update(turn_min_rad=2.9),
    lambda raw: raw["poses"][0].update(hole=None),
    lambda raw: raw.update(stock=[{**STEEL, "no_go": [STRETCH]}]),
    lambda raw: raw.update(stock=[{**STEEL, "no_go": [{"from_m": 1.0, "to_m": 3.0}]}]),
    lambda raw: raw.update(surroundings=[BOX]),
    lambda raw: raw.update(moves=[{"name": "m", "poses": [raw["poses"][0]["name"]] * 2, "controls": ["driver"] * 3}]),
    lambda raw: raw.update(moves=[{"name": "m", "poses": [raw["poses"][0]["name"]] * 2, "legs": [{}] * 3}]),
    lambda raw: raw.update(moves=[{"name": "m", "poses": [raw["poses"][0]["name"]] * 2, "legs": [STRAIGHT_ROUND]}]),
    lambda raw: raw["poses"][0]["arms"].pop(),
    lambda raw: raw["poses"][0].update(hole=30),
    lambda raw: raw["poses"].append(raw["poses"][0]),
    lambda raw: raw["poses"][0].update(floor="nowhere"),
    lambda raw: raw["rig"]["boom"]["section"].update(wall_m=0.06),
    lambda raw: raw["rig"]["boom"]["section"].update(wall_lost_m=0.02),
    lambda raw: raw["rig"]["boom"]["pin"].update(diameter_m=0.1),
    lambda raw: raw["rig"]["jib_mast"]["foot_weld"].update(kind="pjp"),
    lambda raw: raw["load"]["mass_kg"].update(low=500.0),
    lambda raw: raw["load"]["mass_kg"].update(high=5.0),
)


def built_in_code() -> Iterator[ContradictionError]:
    """Those of joints that the sample has not got."""
    point = connections.StayPoint(x_m=0.3, z_m=0.2)
    for build in (
        lambda: sections.RoundTube(diameter_m=0.06, wall_m=0.04, wall_lost_m=None),
        lambda: connections.StayStop(at=connections.StayPoint(x_m=0.001, z_m=0.2)),
        lambda: connections.ThroughSleeve(outer_m=0.04, bore_m=0.05, length_m=0.1),
        lambda: connections.StayLink(
            make="ram", at_inner=point, at_arm=point, length_min_m=0.5, length_max_m=0.4, section=None
        ),
    ):
        with pytest.raises(ContradictionError) as error:
            build()
        yield error.value


def test_no_sentence_of_the_model_is_in_the_words_of_the_code() -> None:
    said: set[str] = set()
    of_files = [told_error(spoiled(change)) for change in CONTRADICTIONS]
    for error in (*of_files, *(refused(one, "yard.rig.json", {}) for one in built_in_code())):
        assert isinstance(error.fault, Contradiction), str(error)
        said.add(error.fault.words)
        for units in ("metric", "us"):
            words = refusals.sentence(error, units)
            assert not wrong_with(words, units), words
    assert said == sentences_of_the_model()


def told_error(raw: dict[str, Any]) -> EntryError:
    with pytest.raises(EntryError) as error:
        rig_file.decode(json.dumps(raw).encode(), "yard.rig.json")
    return error.value
