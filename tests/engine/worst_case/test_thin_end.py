"""Welds and walls at their thin end: what counts of each, that no use gets smaller by it, and that none is left out.

Expected sizes and ratios are sums by hand.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from typing import Any

import msgspec
import numpy as np
import pytest
from any_pose import JOBS, REPLACE

from engine.limits.all_limits import find_checks, find_checks_at_thin_end
from engine.rig.kinematics import Figures, figures
from engine.schema.connections import Weld
from engine.schema.model import Job, Rig
from engine.schema.sections import RectTube, RoundTube
from engine.schema.steel import design_wall_m, entered_wall_m
from engine.schema.thin_end import ThinRectTube, ThinRoundTube, ThinWeld, as_entered, thin_end
from engine.strength import laid_welds, weld_lines
from engine.worst_case.corner_search import CORNER_TOLERANCE
from engine.worst_case.uncertain_inputs import Entry, entries_of
from engine.worst_case.verdict import evaluate
from engine.worst_case.worst_case import worst_values
from tests.climbed import MISSED, climbed
from tests.samples import sample
from tests.thoroughness import every, times

TUBES = (RectTube, RoundTube)
THIN = {Weld: ThinWeld, RectTube: ThinRectTube, RoundTube: ThinRoundTube}
PLATED = [job for job in JOBS if job.truck.plate is not None]


def by_name(job: Job) -> str:
    return job.name.split(":")[0]


def changed(part: Any, change: Callable[[Any], Any]) -> Any:
    """A part of a rig with every struct in it changed, from inside out."""
    if isinstance(part, tuple):
        return tuple(changed(one, change) for one in part)
    if not isinstance(part, msgspec.Struct):
        return part
    return change(REPLACE(part, **{name: changed(getattr(part, name), change) for name in part.__struct_fields__}))


def of_kind(part: Any, kinds: tuple[type, ...]) -> Iterator[Any]:
    """Every part of these kinds."""
    if isinstance(part, kinds):
        yield part
    inside = part if isinstance(part, tuple) else ()
    if isinstance(part, msgspec.Struct):
        inside = tuple(getattr(part, name) for name in part.__struct_fields__)
    for one in inside:
        yield from of_kind(one, kinds)


def thinned(part: Any) -> Any:
    kind = THIN.get(type(part))
    return part if kind is None else kind(**{name: getattr(part, name) for name in part.__struct_fields__})


def with_rig(job: Job, change: Callable[[Any], Any]) -> Job:
    return REPLACE(job, rig=changed(job.rig, change))


def uses(job: Job, numbers: Figures) -> np.ndarray:
    return np.array([float(check.use) for check in find_checks(job, numbers)])


# ---------------------------------------------------------------- what counts, by hand


@pytest.mark.parametrize(
    ("known", "steel", "lost_m", "entered_mm", "thin_mm"),
    [
        ("caliper", "unknown", 0.0, 6.0, 5.9),
        ("caliper", "S235", 0.0, 6.0, 5.9),
        ("nominal", "S235", 0.0, 0.93 * 6.0, 5.4),
        (None, "S235", 0.0, 0.93 * 6.0, 5.4),
        ("nominal", "unknown", 0.0, 0.93 * 6.0, 5.4),
        (None, "unknown", 0.0, 6.0, 5.0),
        (None, "unknown", None, 5.5, 4.5),
        ("caliper", "S235", 0.0003, 5.7, 5.6),
    ],
)
def test_a_wall_of_six_millimetres_counts_by_how_it_is_known(
    known: Any, steel: str, lost_m: float | None, entered_mm: float, thin_mm: float
) -> None:
    for tube in (
        RectTube(width_m=0.1, depth_m=0.1, wall_m=0.006, wall_known=known, wall_lost_m=lost_m),
        RoundTube(diameter_m=0.1, wall_m=0.006, wall_known=known, wall_lost_m=lost_m),
    ):
        assert design_wall_m(tube, steel) * 1000.0 == pytest.approx(entered_mm, rel=1e-12)
        assert design_wall_m(thinned(tube), steel) * 1000.0 == pytest.approx(thin_mm, rel=1e-12)
        assert entered_wall_m(thinned(tube), steel) == design_wall_m(tube, steel)


def test_a_wall_thinner_than_it_may_be_off_keeps_a_tenth() -> None:
    tube = ThinRectTube(width_m=0.04, depth_m=0.04, wall_m=0.001)
    assert design_wall_m(tube, "unknown") == pytest.approx(0.0001)


@pytest.mark.parametrize(("known", "share"), [(None, 5.0 / 4.0), ("gauge", 5.0 / 4.5)])
def test_a_five_millimetre_fillet_is_used_a_quarter_more(known: Any, share: float) -> None:
    """Throat 5 mm/1.414 and 4 mm/1.414: 0.800 of it, or 0.900 measured with a gauge."""
    job = sample("greywether_memorials")
    weld = REPLACE(job.rig.jib_mast.foot_weld, leg_m=0.005, leg_known=known)
    job = REPLACE(job, rig=REPLACE(job.rig, jib_mast=REPLACE(job.rig.jib_mast, foot_weld=weld)))
    numbers = figures(job, job.poses[0])
    (entered,), (thin,) = (
        [float(check.use) for check in checks(job, numbers) if check.name == "jib mast: foot weld"]
        for checks in (find_checks, find_checks_at_thin_end)
    )
    assert thin == pytest.approx(entered * share, rel=1e-9)


@pytest.mark.parametrize(
    ("process", "known", "throat_mm"),
    [("gas_metal_arc", None, 6.5), ("gas_metal_arc", "gauge", 7.0), ("stick", None, 2.75), ("stick", "gauge", 3.25)],
)
def test_a_filled_groove_beside_a_corner_of_twelve_millimetres(process: Any, known: Any, throat_mm: float) -> None:
    """5/8 of 12 mm is 7.5 mm, 5/16 of it 3.75 mm."""
    weld = ThinWeld(leg_m=0.006, leg_known=known, kind="flare_bevel", process=process)
    assert weld_lines.flare_bevel_throat_m(laid_welds.deposit_of(weld), 0.012) * 1000.0 == pytest.approx(throat_mm)


def test_the_throat_of_a_weld_part_through_counts_a_millimetre_less() -> None:
    for known, throat_m in ((None, 0.002), ("gauge", 0.0025)):
        weld = ThinWeld(leg_m=0.006, leg_known=known, kind="pjp", throat_m=0.003)
        assert laid_welds.deposit_of(weld).throat_m == pytest.approx(throat_m)


@pytest.mark.parametrize("leg_m", [0.0004, 0.001])
def test_a_weld_of_which_nothing_is_left_is_not_within(leg_m: float) -> None:
    job = sample("greywether_memorials")
    weld = REPLACE(job.rig.jib_mast.foot_weld, leg_m=leg_m)
    job = REPLACE(job, rig=REPLACE(job.rig, jib_mast=REPLACE(job.rig.jib_mast, foot_weld=weld)))
    verdict = evaluate(job, job.poses[1])
    assert verdict.state != "WITHIN" and verdict.allowed_load_kg == 0.0
    assert verdict.worst_case is not None and max(verdict.worst_case.use) > 100.0


# ---------------------------------------------------------------- nothing gets easier


@pytest.mark.parametrize("job", every(4, PLATED), ids=by_name)
def test_no_gauge_and_no_caliper_never_lower_a_worst_use_nor_raise_an_allowed_load(job: Job) -> None:
    """Of unknown steel, where the wall as entered is the same either way."""

    def measured(part: Any) -> Any:
        if isinstance(part, Weld):
            return REPLACE(part, leg_known="gauge")
        return REPLACE(part, wall_known="caliper") if isinstance(part, TUBES) else part

    def guessed(part: Any) -> Any:
        if isinstance(part, Weld):
            return REPLACE(part, leg_known=None)
        return REPLACE(part, wall_known=None) if isinstance(part, TUBES) else part

    close, wide = with_rig(job, measured), with_rig(job, guessed)
    for pose in every(len(job.poses), job.poses, len(job.rig.arms)):
        numbers = figures(job, pose)
        least, most = (climbed(one, pose, numbers) for one in (close, wide))
        assert (most >= least - MISSED * np.maximum(least, 1.0)).all()
        least, most = (worst_values(one, pose, numbers).allowed_kg for one in (wide, close))
        assert least <= most * (1.0 + MISSED) + 1e-6


@pytest.mark.parametrize("job", PLATED, ids=by_name)
def test_no_limit_is_easier_at_the_thin_end_whatever_the_sizes(job: Job) -> None:
    """Walls up to an eighth of the side: thicker tube is not sold."""
    rng = np.random.default_rng(7)

    def varied(part: Any) -> Any:
        if isinstance(part, Weld):
            sizes = {"leg_m": rng.uniform(0.0005, 0.012), "throat_m": rng.uniform(0.0005, 0.008)}
            kinds = {"kind": rng.choice(["fillet", "flare_bevel", "pjp"]), "leg_known": rng.choice([None, "gauge"])}
            return REPLACE(part, **sizes, **kinds)
        if isinstance(part, TUBES):
            least = part.diameter_m if isinstance(part, RoundTube) else min(part.width_m, part.depth_m)
            wall_m = rng.uniform(0.0011, least / 8.0)
            known = {"wall_known": rng.choice([None, "caliper", "nominal"]), "wall_lost_m": rng.choice([None, 0.0])}
            return REPLACE(part, wall_m=wall_m, **known)
        return part

    for _ in range(times(6, thorough=60)):
        one = with_rig(job, varied)
        numbers = figures(one, one.poses[rng.integers(len(one.poses))])
        entered, thin = find_checks(one, numbers), find_checks_at_thin_end(one, numbers)
        assert [check.name for check in thin] == [check.name for check in entered]
        for before, after in zip(entered, thin, strict=True):
            if math.isnan(float(before.use)):
                continue
            assert float(after.use) >= float(before.use) * (1.0 - 1e-9), before.name
            assert not float(after.allowed_load_kg) > float(before.allowed_load_kg) * (1.0 + 1e-6) + 1e-6, before.name


def at_sides(numbers: Figures, entries: tuple[Entry, ...], sides: np.ndarray) -> Figures:
    """Figures with each entry moved by a share (-1 to 1) of its band."""
    fields: dict[str, Any] = {}
    for entry, side in zip(entries, sides, strict=True):
        off = side * (entry.up if side > 0.0 else entry.down)
        if entry.index is None:
            fields[entry.field] = getattr(numbers, entry.field) + off
        else:
            parts = list(fields.get(entry.field, getattr(numbers, entry.field)))
            parts[entry.index] += off
            fields[entry.field] = tuple(parts)
    return REPLACE(numbers, **fields)


@pytest.mark.parametrize("job", PLATED, ids=by_name)
def test_no_mix_of_thin_and_whole_parts_in_any_corner_passes_the_worst_case(job: Job) -> None:
    rng = np.random.default_rng(11)
    pose = job.poses[0]
    numbers = figures(job, pose)
    entries = tuple(
        entry for entry in entries_of(job, pose, numbers) if entry.field not in ("lift_m", "tilt_rad", "boom_out_m")
    )
    worst = worst_values(job, pose, numbers, entries).use
    for _ in range(times(8, thorough=200)):
        mixed = with_rig(job, lambda part: thinned(part) if rng.random() < 0.7 else part)
        sides = rng.choice([-1.0, 1.0], len(entries)) if rng.random() < 0.5 else rng.uniform(-1.0, 1.0, len(entries))
        found = uses(mixed, at_sides(numbers, entries, sides))
        assert (found <= worst + CORNER_TOLERANCE * np.maximum(worst, 1.0)).all()


# ---------------------------------------------------------------- none is left out


def containers(node: Any, seen: set[type]) -> bool:
    """Whether a type may hold a weld or a tube; what holds one may be a struct, a union or a tuple only."""
    if isinstance(node, msgspec.inspect.StructType):
        if node.cls in (Weld, *TUBES):
            return True
        if node.cls in seen:
            return False
        seen.add(node.cls)
        return sum(containers(field.type, seen) for field in node.fields) > 0
    if isinstance(node, msgspec.inspect.UnionType):
        return sum(containers(one, seen) for one in node.types) > 0
    if isinstance(node, msgspec.inspect.VarTupleType):
        return containers(node.item_type, seen)
    if isinstance(node, msgspec.inspect.TupleType):
        return sum(containers(one, seen) for one in node.item_types) > 0
    inside = [getattr(node, name) for name in ("item_type", "key_type", "value_type", "type") if hasattr(node, name)]
    assert not any(containers(one, seen) for one in inside), f"a weld or tube inside {node}: walk into it"
    return False


def test_every_type_that_may_hold_a_weld_or_a_tube_is_walked_into() -> None:
    assert containers(msgspec.inspect.type_info(Rig), set())


@pytest.mark.parametrize("job", JOBS, ids=by_name)
def test_every_weld_and_tube_of_a_rig_is_at_its_thin_end(job: Job) -> None:
    thin = thin_end(job).rig
    parts, whole = list(of_kind(thin, (Weld, *TUBES))), list(of_kind(job.rig, (Weld, *TUBES)))
    assert parts and all(type(part) in THIN.values() for part in parts)
    assert [part.__struct_fields__ for part in parts] == [part.__struct_fields__ for part in whole]
    assert as_entered(thin) == job.rig
    assert thin_end(REPLACE(job, name="another")).rig is thin


def with_one(job: Job, kinds: tuple[type, ...], place: int, change: Callable[[Any], Any]) -> Job:
    """The job with one of its parts of these kinds changed."""
    count = itertools.count()
    return with_rig(job, lambda part: change(part) if isinstance(part, kinds) and next(count) == place else part)


@pytest.mark.parametrize("job", PLATED, ids=by_name)
def test_every_weld_counts_at_its_thin_end_in_some_limit(job: Job) -> None:
    """One weld at a time with a leg of 1 mm, of which nothing is left."""
    pose = max(job.poses, key=lambda one: one.loaded)
    for place, weld in enumerate(of_kind(job.rig, (Weld,))):
        whole = with_one(job, (Weld,), place, lambda part: REPLACE(part, leg_m=0.001, leg_known=None, kind="fillet"))
        thin = with_one(whole, (Weld,), place, thinned)
        before, after = (uses(one, figures(one, pose)) for one in (whole, thin))
        if np.array_equal(before, uses(job, figures(job, pose))):
            continue  # no limit asks about it: the ends of that hinge have welds of their own
        assert (after > 100.0 * np.maximum(before, 1e-6)).any(), weld


@pytest.mark.parametrize("job", PLATED, ids=by_name)
def test_every_tube_counts_at_its_thin_end_in_some_limit(job: Job) -> None:
    pose = max(job.poses, key=lambda one: one.loaded)
    before = uses(job, figures(job, pose))
    for place, tube in enumerate(of_kind(job.rig, TUBES)):
        thin = with_one(job, TUBES, place, thinned)
        assert (uses(thin, figures(thin, pose)) > before * (1.0 + 1e-6)).any(), tube
