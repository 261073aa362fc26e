"""Bands of the numbers: which kind of number an entry is, and what a shop could bring it to."""

from __future__ import annotations

import pytest

from engine.rig.kinematics import figures
from engine.schema.uncertainty_bands import QuantityKind, low_high, quantity_kind, shop_low_high
from engine.worst_case.uncertain_inputs import entries_of
from tests.samples import sample


def test_an_entry_is_banded_by_its_name_as_the_worst_case_bands_it() -> None:
    job = sample("skerry_point_boatyard")
    pose = job.poses[0]
    entries = {entry.field: entry for entry in entries_of(job, pose, figures(job, pose))}
    names = [name for name in ("front_axle_kg", "cg_height_m", "wheelbase_m", "front_track_m") if name in entries]
    assert "cg_height_m" in names and "wheelbase_m" in names
    for name in names:
        estimate = getattr(job.truck, name)
        low, high = low_high(estimate, quantity_kind(name))
        assert entries[name].down == pytest.approx(estimate.best - low), name
        assert entries[name].up == pytest.approx(high - estimate.best), name


@pytest.mark.parametrize(
    ("kind", "best", "low", "high"),
    [
        ("mass", 100.0, 98.0, 102.0),
        ("length", 1.6, 1.585, 1.615),
        ("centre", 1.0, 0.92, 1.08),
        ("fall", 0.0, -0.002, 0.002),
    ],
)
def test_what_a_shop_can_bring_a_number_to(kind: QuantityKind, best: float, low: float, high: float) -> None:
    assert shop_low_high(best, kind) == pytest.approx((low, high))


def test_a_weight_is_never_under_zero_however_it_is_known() -> None:
    assert shop_low_high(0.0, "length")[0] == 0.0
