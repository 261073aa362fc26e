"""Rust: what it has taken comes off the wall that counts, and where nobody has looked half a millimetre is taken."""

from __future__ import annotations

import json
from pathlib import Path

import msgspec
import pytest

from engine.base.errors import RigFileError
from engine.schema import rig_file
from engine.schema.sections import RectTube, RoundTube, mass_per_length_kg_m, properties
from engine.schema.steel import design_wall_m
from engine.shop import edits
from engine.worst_case.verdict import evaluate

REPLACE = msgspec.structs.replace
SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
TEXT = (SAMPLES / "skerry_point_boatyard.rig.json").read_text(encoding="utf-8")
BOATYARD = rig_file.decode(TEXT.encode())


def rusted(lost_m: float | None) -> RectTube:
    return RectTube(width_m=0.1, depth_m=0.1, wall_m=0.003, wall_known="caliper", wall_lost_m=lost_m)


@pytest.mark.parametrize(("lost_m", "elastic_cm3"), [(0.0, 35.41), (0.0005, 30.13), (None, 30.13), (0.001, 24.60)])
def test_a_tube_of_100_by_3_loses_strength_and_no_weight(lost_m: float | None, elastic_cm3: float) -> None:
    """35.41 / 30.13 / 24.60 cm3 at 3 / 2.5 / 2 mm: sections by the AISC shapes convention."""
    tube = rusted(lost_m)
    assert properties(tube, design_wall_m(tube, "unknown")).elastic_up_m3 == pytest.approx(elastic_cm3 * 1e-6, rel=2e-4)
    assert mass_per_length_kg_m(tube) == mass_per_length_kg_m(rusted(0.0))


def test_bought_tube_loses_it_from_its_least_wall() -> None:
    tube = RoundTube(diameter_m=0.06, wall_m=0.005, wall_lost_m=0.001)
    assert design_wall_m(tube, "S235") == pytest.approx(0.93 * 0.005 - 0.001)


def test_a_wall_thinner_than_what_may_be_lost_still_has_a_strength_to_exceed() -> None:
    tube = RectTube(width_m=0.02, depth_m=0.02, wall_m=0.0004, wall_lost_m=None)
    assert design_wall_m(tube, "unknown") == pytest.approx(0.00004)


def test_more_lost_than_there_is_is_refused() -> None:
    with pytest.raises(ValueError, match="3 mm is lost of 3 mm"):
        rusted(0.003)
    with pytest.raises(RigFileError, match=r"boom\.section"):
        rig_file.decode(with_boom({"wall_lost_m": 0.2}))


def with_boom(entries: dict[str, float | None]) -> bytes:
    raw = json.loads(TEXT)
    section = raw["rig"]["boom"]["section"]
    section.pop("wall_lost_m", None)
    section.update(entries)
    return json.dumps(raw).encode()


def test_a_file_that_does_not_say_means_that_nobody_has_looked() -> None:
    silent, said = rig_file.decode(with_boom({})), rig_file.decode(with_boom({"wall_lost_m": 0.0}))
    assert silent.rig.boom.section.wall_lost_m is None and said.rig.boom.section.wall_lost_m == 0.0
    assert rig_file.decode(rig_file.encode(silent)) == silent


def test_a_boom_nobody_looked_into_is_held_to_less_and_flagged() -> None:
    """The boatyard's boom bends at 0.926 of what 6.3 mm are allowed; 5.8 mm bear about 0.94 of that."""
    looked = REPLACE(BOATYARD.rig.boom.section, wall_lost_m=0.0)
    boom = REPLACE(BOATYARD.rig.boom, section=looked)
    sound = REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, boom=boom))
    silent = edits.set_value(sound, "rig.boom.section.wall_lost_m", None)
    where = "rig.boom.section.wall_lost_m"
    before, after = evaluate(sound, sound.poses[0]), evaluate(silent, silent.poses[0])
    use = [
        next(c.use for c in verdict.checks if c.name == "boom: bending at the front saddle")
        for verdict in (before, after)
    ]
    assert use[1] > use[0] / 0.95
    assert before.state == "WITHIN" and after.state in ("NOT PROVEN", "OVER")
    assert not any(where in caution.where for caution in before.cautions)
    assert any(where in caution.where for caution in after.cautions)


def test_a_new_arms_tube_has_not_been_looked_into() -> None:
    assert edits.add_arm(BOATYARD).rig.arms[-1].section.wall_lost_m is None
