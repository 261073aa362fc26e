"""The gate: every number of the model has limits, every fault a place."""

from __future__ import annotations

import math

import msgspec
import pytest
from msgspec import inspect

from engine.base.errors import RigFileError
from engine.schema.model import Job
from engine.schema.validation import checked, shown

REPLACE = msgspec.structs.replace


def numbers_of(kind: inspect.Type, place: str, seen: set[type], numbers: list[tuple[str, inspect.Type]]) -> None:
    for inner in (*getattr(kind, "types", ()), *getattr(kind, "item_types", ())):
        numbers_of(inner, place, seen, numbers)
    for name in ("item_type", "type"):
        inner = getattr(kind, name, None)
        if isinstance(inner, inspect.Type):
            numbers_of(inner, place, seen, numbers)
    if isinstance(kind, inspect.FloatType | inspect.IntType):
        numbers.append((place, kind))
    if isinstance(kind, inspect.StructType):
        # An estimate's own limits come with the entry it stands for, so its type is walked anew each time.
        if kind.cls in seen and kind.fields[0].name != "best":
            return
        seen.add(kind.cls)
        for field in kind.fields:
            numbers_of(field.type, f"{place}.{field.name}", seen, numbers)


def test_every_number_of_the_model_has_limits_both_ways() -> None:
    """So neither infinity nor NaN, which meets no limit, can pass; a format version may be any whole number."""
    numbers: list[tuple[str, inspect.Type]] = []
    numbers_of(inspect.type_info(Job), "job", set(), numbers)
    assert len(numbers) > 100
    for place, kind in numbers:
        if place == "job.format_version":
            continue
        assert kind.ge is not None or kind.gt is not None, f"{place} has no least"
        assert kind.le is not None or kind.lt is not None, f"{place} has no most"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 1e308, -1.0])
def test_values_built_in_code_are_checked_too(boatyard: Job, value: float) -> None:
    """Types check what is read, not what is built: ``checked`` closes the gap before anything is written."""
    truck = REPLACE(boatyard.truck, wheelbase_m=REPLACE(boatyard.truck.wheelbase_m, best=value))
    with pytest.raises(RigFileError, match=r"truck\.wheelbase_m\.best"):
        checked(REPLACE(boatyard, truck=truck))


def test_a_sound_job_passes_unchanged(sample: Job) -> None:
    assert checked(sample) == sample


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ({}, "an object"),
        ([1, 2], "a list of 2"),
        (None, "nothing"),
        (math.nan, "not a finite number"),
        ("x" * 500, repr("x" * 80)),
        (3, "3"),
    ],
)
def test_values_are_shown_in_a_few_words(value: object, text: str) -> None:
    assert shown(value) == text
