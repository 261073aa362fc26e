"""A new rig from a wish: where its parts stand, every part sized, and what is said where that cannot be.

The wish is drawn whole (`engine.shop.first_rig`), placed so that nothing is in the way, and sized
(`engine.planning.first_rig_sizing`).  What the truck allows is not the rig's to cure.  Where a wish cannot be had, the
limit is named and the nearest wish that can.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from functools import partial

import msgspec

from engine.base.errors import EditError, TailweightError
from engine.base.formatting import System, fill
from engine.limits.all_limits import find_rig_checks
from engine.limits.room import room_of
from engine.limits.truck_entries import HOLD
from engine.planning.first_rig_catalogue import Catalogue
from engine.planning.first_rig_sizing import SLING, Doing, Sizing, Step, Told
from engine.planning.sweep import Stop, Tell, never, quiet, unheard
from engine.rig.check import Check
from engine.rig.deflection import apply_bending, with_bending
from engine.rig.feasibility import impossibilities, usable_holes
from engine.rig.kinematics import figures, place
from engine.schema.connections import WeldQuality
from engine.schema.model import Floor, Job, Plate, PlateRow, Pose, Truck
from engine.schema.quantities import Estimate
from engine.shop.first_joints import Make, usual_rating_kg
from engine.shop.first_rig import (
    GUESSED_SLOPE,
    Layout,
    Wish,
    draft,
    off_reach,
    refuse_low_hook,
    refuse_wish,
    weak_sling,
)
from engine.worst_case.verdict import evaluate

REPLACE = msgspec.structs.replace


class NewRig(msgspec.Struct, kw_only=True, frozen=True):
    """A rig for a wish, or why there is none and the nearest wish that can be had.

    Attributes
    ----------
    job : Job or None
        Its first pose is at work, its second at home with the hook empty.
    weight_kg : float
    limit : str
        The limit in the way, where there is no rig; empty where nothing can be placed.
    nearest : Wish or None
        The same wish but for one answer.
    near_job, near_kg : Job or None, float
        The rig for that, and its weight.
    """

    job: Job | None = None
    weight_kg: float = math.nan
    limit: str = ""
    nearest: Wish | None = None
    near_job: Job | None = None
    near_kg: float = math.nan

    @property
    def near(self) -> NewRig | None:
        """What came of the nearest wish."""
        return None if self.near_job is None else NewRig(job=self.near_job, weight_kg=self.near_kg)


def new_rig(wish: Wish, stop: Stop = never, tell: Tell = quiet) -> NewRig:
    """A rig in which every part holds at the wish, with the reserve.

    Parameters
    ----------
    wish : Wish
        A floor that nobody has measured, and a plate or a sling's tag that nobody has read, are not invented: the rig
        is sized as on a floor with a guessed slope, for a plate such as trucks of its kind have and in a sling such as
        one takes for the load, and nothing is proven of it until they are entered.
    stop, tell
        Called between two tries.  How many there will be is not known: a share is told only between nearer wishes, and
        the words say which round it is, what the rig weighs so far and which limit is being cured.

    Raises
    ------
    EditError
        For a wish that cannot be drawn, a load that would stand on the floor, or a sling that does not take the load.
    Stopped
        When ``stop`` answers true.
    """
    refuse_wish(wish)
    refuse_low_hook(wish)
    judged = _judgeable(wish)
    _refuse_weak_sling(wish, as_wished(_sketched(judged), judged))
    found, limit = _sized(wish, stop, partial(_tell_step, tell, 0.0, "", wish.units))
    if found is not None:
        return found
    rivals = list(_easier(wish))
    for number, easier in enumerate(rivals):
        share = (number + 1) / (len(rivals) + 1)
        told = partial(_tell_step, tell, share, f"{_what_is_easier(wish, easier)}: ", wish.units)
        try:
            found, _ = _sized(easier, stop, told)
        except TailweightError:
            continue
        if found is not None:
            return NewRig(limit=limit, nearest=easier, near_job=found.job, near_kg=found.weight_kg)
    return NewRig(limit=limit)


STEP = "round {round}, {weight:kg_up} so far, {doing}"
CURING = "{limit} at {use:share}"
DOING: dict[Doing, str] = {
    "cure": CURING,
    "lighten": "all limits hold, making parts lighter",
    "prove": "proving the worst case",
}
"""What a step of the sizing does, in words."""


def _tell_step(tell: Tell, share: float, before: str, units: System, step: Step) -> None:
    numbers = {"round": str(step.round), "weight": step.weight_kg, "limit": step.limit, "use": step.use}
    tell(share, before + fill(STEP.replace("{doing}", DOING[step.doing]), numbers, units))


def _what_is_easier(wish: Wish, easier: Wish) -> str:
    """The one answer that differs, in a few words."""
    if easier.quality != wish.quality:
        return "not at this wish; with a better weld"
    if easier.reach_m != wish.reach_m:
        return fill("not at this wish; hook {reach:length} out", {"reach": easier.reach_m}, wish.units)
    return fill("not at this wish; load {load:kg_down}", {"load": easier.load.best}, wish.units)


def sketch(wish: Wish) -> Job:
    """A wish drawn at sizes well up in every list, none of them chosen yet: to look at while the sizing goes on.

    Raises
    ------
    EditError
        For a wish that cannot be drawn.
    """
    refuse_wish(wish)
    return as_wished(_sketched(_judgeable(wish)), wish)


def _sketched(judged: Wish) -> Job:
    """The same for a wish with everything to size by."""
    make = _start(Catalogue(judged))
    if make is None:
        raise EditError("truck", "forks that a tube goes over", "none", plain=NO_SLEEVE)
    job = draft(judged, make, _layout_to_look_at(judged, make))
    off_m = _off_reach_m(job, judged)
    if abs(off_m) > REACH_MISS_M:
        raise off_reach(judged, off_m)
    return job


def _refuse_weak_sling(wish: Wish, job: Job) -> None:
    """Refuse a sling whose tag does not take the load as it pulls in the worst case: no size of the rig cures that.

    This only spares the sizing: the verdict on what comes of that has the sling in it.
    """
    if wish.sling_rated_kg is None or _sling_use(find_rig_checks(job, figures(job, job.poses[0]))) <= WELL_WITHIN:
        return
    verdict = evaluate(job, job.poses[0])
    if _most_of_sling(verdict.worst_uses_at_once) <= 1.0:
        return
    raise weak_sling(wish.sling_rated_kg, _most_of_sling(verdict.worst_uses) * wish.sling_rated_kg)


WELL_WITHIN = 0.5
"""Use of a sling as entered that no worst case doubles: up to here no verdict is asked."""


def _sling_use(checks: Sequence[Check]) -> float:
    return _most_of_sling([(check, float(check.use)) for check in checks])


def _most_of_sling(uses: Sequence[tuple[Check, float]]) -> float:
    """The most used limit of the sling; what is not a number is over."""
    of_sling = [use if use == use else math.inf for check, use in uses if check.part.startswith(SLING)]
    return max(of_sling, default=0.0)


NO_SLEEVE = "No common tube goes over this truck's forks with room for a pin under the heel. Check the forks' section."


def as_wished(job: Job, wish: Wish) -> Job:
    """A rig with the floor, the plate and the sling's tag of the wish, none where nobody has said them."""
    rigging = job.load.rigging
    if wish.sling_rated_kg is None and rigging is not None:
        job = REPLACE(job, load=REPLACE(job.load, rigging=REPLACE(rigging, tag=None)))
    floor = Floor(name="here", fall_along=wish.fall_along, fall_across=wish.fall_across)
    plate = wish.truck.plate if wish.plate is None else Plate(rows=(wish.plate,))
    return REPLACE(job, floors=(floor,), truck=REPLACE(job.truck, plate=plate))


def _sized(wish: Wish, stop: Stop, told: Told = unheard) -> tuple[NewRig | None, str]:
    """The rig, or the limit in the way; empty where nothing can be placed."""
    judged = _judgeable(wish)
    catalogue = Catalogue(judged)
    limit = ""
    for layout in itertools.islice(_layouts(judged, catalogue), LAYOUTS):
        sizing = Sizing(catalogue, layout, stop, told)
        found = sizing.run()
        if found is None:
            return None, sizing.stuck
        tried, verdict = found
        if abs(_off_reach_m(tried.job, judged)) > REACH_MISS_M:  # the tubes chosen stop the boom
            continue
        if verdict.state == "WITHIN":
            job = _with_home(tried.job)
            return NewRig(job=as_wished(job, wish), weight_kg=tried.weight_kg), ""
        worst = max(verdict.worst_uses, key=lambda pair: pair[1])[0]
        limit = worst.name
        if worst.of != "room":
            break
    return None, limit


LAYOUTS = 3
"""Places of the jib mast that are sized for, where the tubes chosen turn out to be in the way."""


USUAL_HOLD, USUAL_CENTRE_M = sum(HOLD.usual) / 2.0, 0.5
"""Hold ratio (`engine.limits.truck_entries`) and load centre of the plate that stands for one that nobody has read."""


def usual_plate(truck: Truck) -> PlateRow:
    """What the plate of such a truck usually says, to size by while nobody has read its own."""
    arm_m = truck.front_overhang_m.best + USUAL_CENTRE_M
    rated_kg = truck.wheelbase_m.best * truck.rear_axle_kg.best / (USUAL_HOLD * arm_m)
    return PlateRow(rated_kg=rated_kg, load_centre_m=USUAL_CENTRE_M, lift_m=truck.upright.lift_max_m)


def _judgeable(wish: Wish) -> Wish:
    """The wish with a slope, a plate and a sling to size by, where nobody has said them."""
    guess = Estimate(best=GUESSED_SLOPE, known="guess")
    return REPLACE(
        wish,
        plate=usual_plate(wish.truck) if wish.plate is None and wish.truck.plate is None else wish.plate,
        fall_along=guess if wish.fall_along is None else wish.fall_along,
        fall_across=guess if wish.fall_across is None else wish.fall_across,
        sling_rated_kg=usual_rating_kg(wish.load.best) if wish.sling_rated_kg is None else wish.sling_rated_kg,
    )


# ---------------------------------------------------------------- what is easier


BETTER: dict[WeldQuality, WeldQuality] = {"own_eye": "qualified_visual", "qualified_visual": "qualified_ndt"}
SHARES = (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3)


def _easier(wish: Wish) -> Iterator[Wish]:
    """Wishes with one answer less asked for, the nearest first."""
    if wish.quality in BETTER:
        yield REPLACE(wish, quality=BETTER[wish.quality])
    for share in SHARES:
        yield REPLACE(wish, reach_m=round(share * wish.reach_m, 2))
        yield REPLACE(wish, load=_times(wish.load, share))


def _times(load: Estimate[float], share: float) -> Estimate[float]:
    ends = {name: None if end is None else share * end for name, end in (("low", load.low), ("high", load.high))}
    return REPLACE(load, best=share * load.best, **ends)


# ---------------------------------------------------------------- where things stand

FEET_M, FORKS_M = (0.35, 0.5, 0.65, 0.8), (0.3, 0.6, 0.9)
"""Foot of the jib mast ahead of the fork face and fork height at work, the most wanted first."""

SPANS = ((3.5, 2), (3.5, 1), (2.5, 2), (2.5, 1), (2.5, 0), (1.5, 0))
"""Pitches between the saddles, and holes further out."""

SPARE_ROOM_M = (0.06, 0.02)
"""Room to spare before the tubes are chosen: better more."""


def _layouts(wish: Wish, catalogue: Catalogue) -> Iterator[Layout]:
    """Places of the jib mast where nothing is in the way at work, the best first."""
    make = _start(catalogue)
    if make is None:
        return
    rooms_m: list[tuple[Layout, float]] = []
    for (span, spare), forks_m, foot_m in itertools.product(SPANS, FORKS_M, FEET_M):
        layout = Layout(foot_x_m=foot_m, forks_m=forks_m, spare_holes=spare, span_pitches=span)
        job = _drawn(wish, make, layout)
        if job is not None:
            rooms_m.append((layout, _room_m(job, job.poses[0])))
            if rooms_m[-1][1] >= SPARE_ROOM_M[0]:
                yield layout
    yield from (layout for layout, room_m in rooms_m if SPARE_ROOM_M[0] > room_m >= SPARE_ROOM_M[1])


def _layout_to_look_at(wish: Wish, make: Make) -> Layout:
    """The best of them with low forks, sooner: no foot is tried where the boom's tail hits the one furthest out."""
    tight: Layout | None = None
    for span, spare in SPANS:
        layouts = [Layout(foot_x_m=foot_m, spare_holes=spare, span_pitches=span) for foot_m in FEET_M]
        drawn = {layout: job for layout in layouts if (job := _drawn(wish, make, layout)) is not None}
        if not drawn:
            continue
        furthest = list(drawn)[-1]
        room_m = _room_m(drawn[furthest], drawn[furthest].poses[0])
        if room_m >= SPARE_ROOM_M[0]:
            return next(one for one, job in drawn.items() if _room_m(job, job.poses[0]) >= SPARE_ROOM_M[0])
        if tight is None and room_m >= SPARE_ROOM_M[1]:
            tight = furthest
    return tight or Layout()


def _start(catalogue: Catalogue) -> Make | None:
    """The parts at the sizes that the sizing starts from."""
    start = Sizing(catalogue, Layout()).start()
    return None if start is None else catalogue.make(start)


def _drawn(wish: Wish, make: Make, layout: Layout) -> Job | None:
    """The rig drawn so, if it can stand so at work."""
    try:
        job = draft(wish, make, layout)
    except (TailweightError, ValueError):
        return None
    there = abs(_off_reach_m(job, wish)) <= REACH_MISS_M
    return None if impossibilities(job, job.poses[0]) or not there else job


REACH_MISS_M = 0.02
"""How far from the wished reach the hook may be drawn: a hole is set out for it, unless a part is in its way."""


def _off_reach_m(job: Job, wish: Wish) -> float:
    """How much further out than wished the hook is at work."""
    hook_m = place(job, figures(job, job.poses[0])).hook_m
    return float(hook_m.x) - job.truck.front_overhang_m.best - wish.reach_m


def _room_m(job: Job, pose: Pose) -> float:
    """The shortest gap at worst, beyond what is wanted."""
    numbers = figures(job, pose)
    placed = place(job, numbers)
    hanging = apply_bending(msgspec.structs.replace(placed, figures=with_bending(job, numbers)))
    around = room_of(job, pose, placed, hanging)
    wanted_m = (float(check.numbers["wanted"]) for check in around.checks)
    return min((worst_m - least_m for worst_m, least_m in zip(around.worst_m, wanted_m, strict=True)), default=math.inf)


LIFT_STEP_M = 0.15


def _with_home(job: Job) -> Job:
    """The job with its second pose as low and as far in as nothing is in the way, the hook empty."""
    at_work, home = job.poses[0], job.poses[1]
    lift_m = job.truck.upright.lift_min_m
    while lift_m < at_work.lift_m:
        for hole in reversed(usable_holes(job)):
            pose = REPLACE(home, lift_m=round(lift_m, 3), hole=hole)
            if _is_clear(job, pose):
                return REPLACE(job, poses=(at_work, pose))
        lift_m += LIFT_STEP_M
    return REPLACE(job, poses=(at_work, REPLACE(at_work, name=home.name, loaded=False)))


def _is_clear(job: Job, pose: Pose) -> bool:
    """Whether nothing is in the way, and nothing else keeps a pose from being within its limits."""
    return not impossibilities(job, pose) and _room_m(job, pose) >= 0.0 and evaluate(job, pose).state == "WITHIN"
