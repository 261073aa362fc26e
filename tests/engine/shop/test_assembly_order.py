"""The order of assembly: what stands in the list, and what comes before what, for rigs that differ in one piece."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.base.formatting import fill
from engine.schema.connections import (
    BasePlate,
    BentStrap,
    EndPlate,
    FabricatedStrap,
    FaceLugs,
    Gusset,
    OnCross,
    Pin,
    StayLink,
    StayLug,
    StayPoint,
    StrapLapped,
    StrapOnTop,
    ThroughSleeve,
    TubeBed,
    Weld,
)
from engine.schema.model import Job
from engine.schema.sections import RectTube
from engine.shop.assembly_order import assembly_steps
from tests.samples import read_once

REPLACE = msgspec.structs.replace
BOATYARD = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "skerry_point_boatyard.rig.json")
LUGS = FaceLugs(thickness_m=0.025, width_m=0.06, on_face_m=0.2, reach_m=0.05, packing_m=0.04)
PLATE = EndPlate(thickness_m=0.025, height_m=0.24, width_m=0.12)
SLEEVE = ThroughSleeve(length_m=0.178, outer_m=0.06, bore_m=0.0255)
INSIDE = FabricatedStrap(corner_weld=Weld(leg_m=0.006), corner_faces="both")


def with_rig(job: Job = BOATYARD, **parts: object) -> Job:
    return REPLACE(job, rig=REPLACE(job.rig, **parts))


def with_saddles(**changes: object) -> Job:
    return with_rig(saddles=REPLACE(BOATYARD.rig.saddles, **changes))


def with_hinges(*ends: tuple[object, object]) -> Job:
    """The boatyard's two arms with (inner, outer) ends of their hinges."""
    arms = tuple(
        REPLACE(arm, hinge=REPLACE(arm.hinge, inner_end=inner, outer_end=outer))
        for arm, (inner, outer) in zip(BOATYARD.rig.arms, ends, strict=True)
    )
    return with_rig(arms=arms)


def steps(job: Job) -> list[str]:
    return [fill(step.words, step.numbers, "metric") for step in assembly_steps(job)]


def at(job: Job, words: str) -> int:
    """Where the one step with these words stands."""
    (number,) = [number for number, step in enumerate(steps(job)) if words in step]
    return number


def has(job: Job, words: str) -> bool:
    return any(words in step for step in steps(job))


def test_every_step_is_one_sentence_on_one_line(sample: Job) -> None:
    listed = steps(sample)
    assert len(set(listed)) == len(listed)
    assert all(step.endswith(".") and "\n" not in step and len(step) <= 160 for step in listed)


def test_the_base_is_tacked_at_the_sleeves_spread_and_the_mast_where_it_is_drawn() -> None:
    rig = BOATYARD.rig
    mast = REPLACE(rig.jib_mast, foot_x_m=0.34, lean_rad=0.0, base=OnCross(), gussets=())
    job = with_rig(jib_mast=mast, sleeves=REPLACE(rig.sleeves, welded_spread_m=0.62))
    assert "Set the forks 620 mm apart" in steps(job)[1]
    truck = REPLACE(job.truck, forks=REPLACE(job.truck.forks, spread_m=0.64))
    nobody_knows = REPLACE(with_rig(sleeves=REPLACE(rig.sleeves, welded_spread_m=None)), truck=truck)
    assert "Set the forks 640 mm apart" in steps(nobody_knows)[1]
    assert "jib mast on the cross-member, 340 mm ahead of the fork face, plumb" in steps(job)[2]
    gusset = Gusset(face="front", out_m=0.04, up_m=0.1, thickness_m=0.01)
    plate = BasePlate(thickness_m=0.02, length_m=0.2, width_m=0.2)
    job = with_rig(jib_mast=REPLACE(mast, lean_rad=-0.0698, base=plate, gussets=(gusset,)))
    foot = at(job, "jib mast on the base plate, 340 mm ahead of the fork face, leaning 4° from plumb")
    assert at(job, "Weld the base plate on the cross-member") == foot - 1
    assert at(job, "Weld the gussets") == foot + 1


@pytest.mark.parametrize(
    ("front_x_m", "rear_x_m", "words"),
    [
        # A cap of 150 mm reaches 75 from the mast's axis, a strap of 120 mm 60 from its middle.
        (0.0, -0.525, "before the front strap goes on"),
        (0.134, -0.134, "before the front and rear straps go on"),
        (0.136, -0.136, None),
    ],
)
def test_the_bed_is_welded_before_a_strap_that_stands_over_its_weld(
    front_x_m: float, rear_x_m: float, words: str | None
) -> None:
    bed = BOATYARD.rig.saddles.bed
    cap = REPLACE(bed.mount.cap, length_m=0.15)
    job = with_saddles(
        front_x_m=front_x_m,
        rear_x_m=rear_x_m,
        strap_length_m=0.12,
        bed=REPLACE(bed, mount=REPLACE(bed.mount, cap=cap)),
    )
    step = steps(job)[at(job, "Weld the saddle bed to the cap")]
    assert step == f"Weld the saddle bed to the cap{f' {words}: the legs stand over that weld' if words else ''}."
    assert at(job, "Weld the cap") < at(job, "Weld the saddle bed") < at(job, "Tack the straps")


def test_a_bed_without_cap_stands_on_the_mast_and_only_a_closed_one_is_closed() -> None:
    tube = RectTube(width_m=0.14, depth_m=0.1, wall_m=0.01)
    for closed in (True, False):
        job = with_saddles(bed=TubeBed(section=tube, ends_closed=closed))
        assert has(job, "Weld the saddle bed to the jib mast") and not has(job, "Weld the cap")
        assert has(job, "Close both ends of the saddle bed") == closed
    assert not has(with_saddles(bed=None), "saddle bed")


def test_welds_inside_the_straps_come_before_the_shims() -> None:
    job = with_saddles(strap_make=INSIDE, strap_foot=StrapLapped(lap_m=0.05), shims="steel")
    shims = at(job, "those at the sides chamfered clear of the welds")
    assert at(job, "Weld the straps' corners on the bench, inside first") < shims < at(job, "Lay the boom on the bed")
    assert not has(job, "feet inside")
    outside = REPLACE(INSIDE, corner_faces="outside")
    job = with_saddles(strap_make=outside, strap_foot=StrapLapped(lap_m=0.05), shims="steel")
    assert has(job, "Weld the straps' corners on the bench.")
    assert has(job, "Tack the shims in the straps and on the bed.")
    wooden = with_saddles(strap_make=outside, strap_foot=StrapLapped(lap_m=0.05), shims="wood")
    assert has(wooden, "Fix the shims in the straps and on the bed.")
    job = with_saddles(strap_make=BentStrap(inside_radius_m=0.02), shims="none")
    assert not has(job, "corners") and not has(job, "shims")


def test_shims_wait_for_feet_that_are_welded_inside() -> None:
    job = with_saddles(strap_make=INSIDE, strap_foot=StrapOnTop(), foot_faces="both", shims="steel")
    assert at(job, "Lay the boom") < at(job, "weld the straps' feet inside") < at(job, "Tack the shims")


@pytest.mark.parametrize("pin_at", ["front", "rear"])
def test_the_boom_pin_sets_the_strap_it_goes_through(pin_at: str) -> None:
    assert has(with_saddles(pin_at=pin_at), f"the boom pin through the {pin_at} one")


def test_a_sleeve_goes_into_its_tube_before_the_plate_that_closes_it() -> None:
    job = with_hinges((LUGS, SLEEVE), (PLATE, SLEEVE))
    sleeves = at(job, "Weld the hinge sleeves into arm 1 and arm 2 before an end plate closes arm 1.")
    plates, packing = at(job, "Weld the end plate on arm 1"), at(job, "Weld the packing for the hinge lugs on the boom")
    assert sleeves < plates < at(job, "tack the lugs to arm 1")
    assert packing < at(job, "tack the lugs to the boom")
    # No tube has both: the boom has the plate, arm 1 its sleeve.
    job = with_hinges((PLATE, SLEEVE), (None, None))
    assert has(job, "Weld the hinge sleeve into arm 1.") and has(job, "Weld the end plate on the boom,")


def test_lugs_are_tacked_to_the_link_that_carries_them_with_the_pin_in() -> None:
    job = with_hinges((SLEEVE, LUGS), (None, None))
    assert has(job, "With the hinge pin of arm 1 through lugs and sleeve") and has(job, "tack the lugs to arm 1;")
    assert has(job, "Weld the hinge sleeve into the boom.")
    arm = job.rig.arms[1]
    gap = REPLACE(
        job, rig=REPLACE(job.rig, arms=(job.rig.arms[0], REPLACE(arm, hinge=REPLACE(arm.hinge, gap_m=0.003))))
    )
    assert has(gap, "of arm 2 through lugs and barrels and 3 mm free beside each lug")
    assert has(gap, "tack the lugs to arm 1 and the barrels to arm 2;")


def test_a_stay_s_lugs_stand_where_the_stay_is_fixed() -> None:
    lug = StayLug(thickness_m=0.02, on_face_m=0.16, edge_m=0.04, pin=Pin(diameter_m=0.022, hole_m=0.0225))
    stay = StayLink(
        at_inner=StayPoint(x_m=-0.45, z_m=0.25),
        at_arm=StayPoint(x_m=0.55, z_m=0.15),
        make="tie",
        length_min_m=0.6,
        length_max_m=1.1,
        end_lug=lug,
    )
    rig = BOATYARD.rig
    job = with_rig(arms=(REPLACE(rig.arms[0], axis="level", stay=stay), rig.arms[1]))
    assert has(job, "their pins 450 mm behind the hinge pin on the boom, 550 mm ahead of it on arm 1.")
    assert not has(BOATYARD, "stay")


def test_the_rear_stop_goes_on_last_with_the_boom_in_its_saddles() -> None:
    job = with_rig(with_hinges((None, None), (None, None)), boom=REPLACE(BOATYARD.rig.boom, stops="both"))
    assert at(job, "front stop") < at(job, "Slide the boom into its saddles") < at(job, "rear stop on last")
    none = with_rig(boom=REPLACE(BOATYARD.rig.boom, stops="none"))
    assert not has(none, "stop")
    # What stands at the hinge is the front stop.
    assert not has(with_rig(with_hinges((LUGS, SLEEVE), (None, None)), boom=job.rig.boom), "front stop")
