"""The sample rigs of the scenarios, as their sums have them."""

from __future__ import annotations

import pytest

from engine.schema.model import Job
from tests.validation.light_saddles import as_summed


@pytest.fixture
def boatyard(boatyard: Job) -> Job:
    """The boatyard's rig with the saddles of the sums."""
    return as_summed("skerry_point_boatyard", boatyard)


@pytest.fixture
def stone_yard(stone_yard: Job) -> Job:
    """The stone yard's rig with the saddles of the sums."""
    return as_summed("tarn_hollow_stone_yard", stone_yard)


@pytest.fixture
def vineyard(vineyard: Job) -> Job:
    """The vineyard's rig with the saddles of the sums."""
    return as_summed("cold_spring_vineyard", vineyard)
