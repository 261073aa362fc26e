"""Rig files and jobs spoiled in every way: bytes, structure, single entries found by walking the model's own types."""

from __future__ import annotations

import copy
import json
import math
import random
from collections.abc import Iterator
from typing import Any

import msgspec
from msgspec import inspect

Trail = tuple[str | int, ...]

ODD_VALUES: tuple[Any, ...] = (
    None, True, False, -1, 0, -0.0, 1e-308, 1e308, -1e308, math.nan, math.inf, -math.inf, 10**30, -(10**30), 2**53 + 1,
    "", "x", "0.5", "950 kg", "\u0000", "\ud800", "x" * 5000, [], {}, [1.0], [[]], {"best": 1.0}, [None] * 300,
    [0.5] * 5000, {"a": {"b": {"c": {}}}}, "null", "NaN",
)  # fmt: skip

SCRAPS = (
    b"null",
    b"-",
    b"1e999",
    b"{",
    b"}",
    b"[",
    b"]",
    b'"',
    b",",
    b":",
    b"NaN",
    b"\xff",
    b"\\",
    b"0",
    b"9" * 30,
    b"true",
    b"\x00",
    b"\\u0000",
    b" ",
    b"\n",
)


def by_bytes(data: bytes, rng: random.Random) -> bytes:
    """One to three accidents: bytes changed, dropped, doubled, cut, swapped with text that means something."""
    for _ in range(rng.randint(1, 3)):
        at = rng.randrange(max(len(data), 1))
        match rng.randrange(7):
            case 0:
                data = data[:at] + bytes([rng.randrange(256)]) + data[at + 1 :]
            case 1:
                data = data[:at] + data[at + rng.randint(1, 40) :]
            case 2:
                data = data[:at] + rng.choice(SCRAPS) + data[at:]
            case 3:
                data = data[:at] + rng.choice(SCRAPS) + data[at + rng.randint(1, 8) :]
            case 4:
                data = data[:at]
            case 5:
                digits = [spot for spot, byte in enumerate(data) if 48 <= byte <= 57]
                spot = rng.choice(digits) if digits else at
                data = data[:spot] + rng.choice(b"0123456789.-e").to_bytes(1, "big") + data[spot + 1 :]
            case _:
                piece = data[at : at + rng.randint(1, 60)]
                other = rng.randrange(max(len(data), 1))
                data = data[:other] + piece + data[other:]
        data = data or b" "
    return data


def by_structure(raw: Any, rng: random.Random) -> bytes:
    """One or two entries dropped, renamed, doubled, swapped, scaled as by a wrong unit, nested, or put elsewhere."""
    raw = copy.deepcopy(raw)
    for _ in range(rng.randint(1, 2)):
        trails = list(trails_of(raw))
        if not trails:
            break
        trail = rng.choice(trails)
        holder, key = look_up(raw, trail[:-1]), trail[-1]
        value = holder[key]
        match rng.randrange(8):
            case 0:
                del holder[key]
            case 1 if isinstance(holder, dict):
                holder[rng.choice((f"{key}s", str(key).upper(), "", "__class__"))] = holder.pop(key)
            case 2 if isinstance(holder, list):
                holder[key:key] = [value] * rng.choice((1, 7, 300))
            case 3 if isinstance(value, int | float) and not isinstance(value, bool):
                holder[key] = value * rng.choice((-1, 1000.0, 0.001, 25.4, 2.2046, 1e30, 0))
            case 4:
                other = rng.choice(list(trails_of(raw)))
                holder[key] = copy.deepcopy(look_up(raw, other))
            case 5:
                for _depth in range(rng.choice((1, 20, 60))):
                    value = [value] if rng.random() < 0.5 else {"best": value}
                holder[key] = value
            case 6 if isinstance(holder, dict):
                holder[rng.choice(("unknown", "best", "low", "name", "kind"))] = rng.choice(ODD_VALUES)
            case _:
                holder[key] = rng.choice(ODD_VALUES)
        raw = json.loads(json.dumps(raw))  # no value in two places
    return json.dumps(raw, indent=rng.choice((None, 2))).encode("utf-8", "surrogatepass")


def trails_of(raw: Any, trail: Trail = ()) -> Iterator[Trail]:
    """The way to every entry."""
    entries = raw.items() if isinstance(raw, dict) else enumerate(raw) if isinstance(raw, list) else ()
    for key, value in entries:
        yield (*trail, key)
        yield from trails_of(value, (*trail, key))


def look_up(raw: Any, trail: Trail) -> Any:
    """What lies at the end of a way."""
    for key in trail:
        raw = raw[key]
    return raw


def means_the_same(raw: Any, held: Any) -> bool:
    """Whether plain values of a job hold all that the file says: nothing dropped, nothing altered."""
    if isinstance(raw, dict):
        return isinstance(held, dict) and all(
            means_the_same(value, held[key]) if key in held else value is None for key, value in raw.items()
        )
    if isinstance(raw, list):
        return isinstance(held, list | tuple) and len(raw) == len(held) and all(map(means_the_same, raw, held))
    return (type(raw) is type(held) and raw == held) or (
        isinstance(raw, int | float) and isinstance(held, float) and not isinstance(raw, bool) and raw == held
    )


# ---------------------------------------------------------------- entries, by the model's types


def required_trails(value: Any, trail: Trail = ()) -> Iterator[Trail]:
    """The way to every entry of a job that its type demands."""
    for inner, entry, field in _entries(value, trail):
        if field is not None and field.required:
            yield inner
        yield from required_trails(entry, inner)


def number_trails(value: Any, trail: Trail = ()) -> Iterator[Trail]:
    """The way to every number of a job that is not a count."""
    for inner, entry, _field in _entries(value, trail):
        if isinstance(entry, float):
            yield inner
        yield from number_trails(entry, inner)


def _entries(value: Any, trail: Trail) -> Iterator[tuple[Trail, Any, Any]]:
    if isinstance(value, msgspec.Struct):
        for field in msgspec.structs.fields(type(value)):
            yield (*trail, field.encode_name), getattr(value, field.name), field
    elif isinstance(value, tuple):
        for index, entry in enumerate(value):
            yield (*trail, index), entry, None


def replaced(value: Any, trail: Trail, new: Any) -> Any:
    """The same job with one entry put in unchecked, as a fault in the program would."""
    if not trail:
        return new
    key, rest = trail[0], trail[1:]
    if isinstance(value, tuple):
        return (*value[:key], replaced(value[key], rest, new), *value[key + 1 :])
    spoiled = copy.copy(value)
    msgspec.structs.force_setattr(spoiled, key, replaced(getattr(value, key), rest, new))
    return spoiled


def kinds_in(value: Any) -> set[type]:
    """Every model type there is one of in a job."""
    found = {type(value)} if isinstance(value, msgspec.Struct) else set()
    for _trail, entry, _field in _entries(value, ()):
        found |= kinds_in(entry)
    return found


def kinds_of(kind: Any) -> set[type]:
    """Every model type a type can hold."""
    found: set[type] = set()

    def walk(inner: inspect.Type) -> None:
        for part in getattr(inner, "types", ()):
            walk(part)
        for part in (getattr(inner, "item_type", None), getattr(inner, "type", None)):
            if isinstance(part, inspect.Type):
                walk(part)
        if isinstance(inner, inspect.StructType):
            origin = getattr(inner.cls, "__origin__", inner.cls)
            if origin not in found or origin is not inner.cls:
                fresh = origin not in found
                found.add(origin)
                if fresh:
                    for field in inner.fields:
                        walk(field.type)

    walk(inspect.type_info(kind))
    return found
