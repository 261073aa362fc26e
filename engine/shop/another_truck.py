"""A rig put on another truck: what has to fit, and what of the old truck does not go with it.

The rig keeps the spread that its sleeves are welded at.  The other truck's forks stay where they stand: until they are
set to that spread, the rig is refused there.  Nothing that was read, tried or approved on the old truck counts on the
other: its approval, trial lifts, log and answers about the truck are left behind.  What no entry says, such as the
radius of a fork's heel or how far a carriage lets the forks slide, is asked.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from engine.rig.sleeve_spread import must_be_set
from engine.schema.connections import HeelChain, HeelPin
from engine.schema.model import Job, Truck
from engine.schema.quantities import Known

REPLACE = msgspec.structs.replace

WOBBLE_M = {"side": 0.025, "up": 0.015}
"""Free space round a fork in its sleeve from which the rig stands noticeably askew (common practice, no source)."""

NOT_TAPED: tuple[Known, ...] = ("typical", "similar", "guess")
"""How a size is known that nobody has read off this truck."""

Fits = Literal["fits", "fails", "asks"]


class FitLine(msgspec.Struct, kw_only=True, frozen=True):
    """One thing that has to fit: ``words`` is a template of ``numbers``; ``where`` the entry that settles it."""

    what: str
    fits: Fits
    words: str
    numbers: dict[str, float | str] = {}
    where: str


def on_another_truck(job: Job, truck: Truck) -> Job:
    """The job with another truck under the same rig, its forks where they stand.

    The spread of the sleeves is entered from the old truck's forks where nobody has entered it.  Approval, trial lifts,
    log and answers about the old truck do not go with it.
    """
    sleeves = job.rig.sleeves
    sleeves = REPLACE(sleeves, welded_spread_m=sleeves.spread_on(job.truck.forks))
    return REPLACE(
        job,
        rig=REPLACE(job.rig, sleeves=sleeves),
        truck=truck,
        approval=None,
        trial_lifts=(),
        log=(),
        answers=tuple(answer for answer in job.answers if not answer.where.startswith("truck")),
        nominals={path: name for path, name in job.nominals.items() if not path.startswith("truck")},
    )


def with_forks_set(job: Job) -> Job:
    """The job with the truck's forks set to the spread of the sleeves; the same job where they need no setting."""
    truck, spread_m = job.truck, job.rig.sleeves.spread_on(job.truck.forks)
    if not must_be_set(job.rig.sleeves, truck.forks):
        return job
    return REPLACE(job, truck=REPLACE(truck, forks=REPLACE(truck.forks, spread_m=spread_m)))


def left_behind(job: Job) -> tuple[str, ...]:
    """What of the old truck does not count on another, in words."""
    left = ["The old truck's approval: this truck's maker has not approved it."] if job.approval is not None else []
    if job.trial_lifts:
        left.append("The trial lifts: they were made on the old truck.")
    if job.log:
        left.append("The log: its readings are the old truck's.")
    return (*left, "Every placard and pick sheet printed for the old truck: take them down.")


def fits_truck(job: Job, truck: Truck) -> tuple[FitLine, ...]:
    """Whether a job's rig fits a truck, line by line.

    Parameters
    ----------
    job : Job
        Gives the rig, the spread of its sleeves, and the poses that are wanted.
    truck : Truck
        As entered for itself, with the spread its forks have now.
    """
    return (
        *(_of_a_class(line, truck) for line in _sleeves(job, truck)),
        *_spread(job, truck),
        _heel(job, truck),
        _rating(truck),
        _plate(truck),
        _of_a_class(_overhang(job, truck), truck),
        _of_a_class(_tilt(job, truck), truck),
        _of_a_class(_lift(job, truck), truck),
        FitLine(
            what="approval",
            fits="asks",
            words="This truck's maker has not approved it: send the approval request anew.",
            where="approval",
        ),
    )


def _of_a_class(line: FitLine, truck: Truck) -> FitLine:
    """A line that fits sizes nobody has measured is asked: a class stands for no truck."""
    if not truck.typical or line.fits != "fits":
        return line
    return REPLACE(line, fits="asks", words=f"{line.words} These are usual sizes of its class: measure this truck's.")


# ---------------------------------------------------------------- forks and sleeves


def _sleeves(job: Job, truck: Truck) -> tuple[FitLine, ...]:
    sleeves, forks = job.rig.sleeves, truck.forks
    wall_m = sleeves.section.wall_m
    aside_m = sleeves.section.width_m - 2.0 * wall_m - forks.width_m
    above_m = sleeves.section.depth_m - 2.0 * wall_m - forks.thickness_m
    reach_m = sleeves.heel_gap_m + sleeves.length_m
    long_enough = forks.length_m >= reach_m
    return (
        _clearance("fork width in the sleeves", "side", aside_m, "truck.forks.width_m"),
        _clearance("fork thickness in the sleeves", "up", above_m, "truck.forks.thickness_m"),
        FitLine(
            what="fork length",
            fits="fits" if long_enough else "fails",
            words="The sleeves reach {reach:length} from the fork face; the forks are {forks:length} long.",
            numbers={"reach": reach_m, "forks": forks.length_m},
            where="truck.forks.length_m",
        ),
    )


def _clearance(what: str, way: str, free_m: float, where: str) -> FitLine:
    numbers: dict[str, float | str] = {"free": abs(free_m)}
    if free_m < 0.0:
        return FitLine(
            what=what, fits="fails", words="The forks are {free:size} too large.", numbers=numbers, where=where
        )
    if free_m > WOBBLE_M[way]:
        words = "{free:size} free: the rig will stand askew. Pack the sleeves, or enter the play and look again."
        return FitLine(what=what, fits="asks", words=words, numbers=numbers, where=where)
    return FitLine(what=what, fits="fits", words="{free:size} free.", numbers=numbers, where=where)


def _spread(job: Job, truck: Truck) -> tuple[FitLine, ...]:
    sleeves = on_another_truck(job, truck).rig.sleeves
    numbers: dict[str, float | str] = {"built": sleeves.spread_on(truck.forks), "now": truck.forks.spread_m}
    if truck.typical or must_be_set(sleeves, truck.forks):
        words = (
            "The sleeves are welded {built:length} apart, centre to centre; these forks stand {now:length} apart. Can "
            "this carriage hold them at {built:length}, each locked in its notch?"
        )
        if must_be_set(sleeves, truck.forks):
            words += " Until they stand there, no pose is within its limits."
        return (FitLine(what="fork spread", fits="asks", words=words, numbers=numbers, where="truck.forks.spread_m"),)
    words = "The forks stand {now:length} apart, the sleeves are welded {built:length} apart, centre to centre."
    return (FitLine(what="fork spread", fits="fits", words=words, numbers=numbers, where="truck.forks.spread_m"),)


def _heel(job: Job, truck: Truck) -> FitLine:
    hold, thick_m, was_m = job.rig.sleeves.heel_hold, truck.forks.thickness_m, job.truck.forks.thickness_m
    numbers: dict[str, float | str] = {"thick": thick_m, "was": was_m, "gap": job.rig.sleeves.heel_gap_m}
    where = "rig.sleeves.heel_hold"
    corner = " Does the fork's heel, rounded as it is, clear the sleeves' ends, {gap:length} from the fork face?"
    match hold:
        case HeelPin(below_m=float(below_m)):
            left_m = below_m - (thick_m - was_m)
            numbers |= {"left": abs(left_m)}
            if left_m < 0.0:
                words = "These forks, {thick:size} thick (the old ones: {was:size}), foul the heel pins by {left:size}."
                return FitLine(what="heel pins", fits="fails", words=words, numbers=numbers, where=where)
            words = "The heel pins are {left:size} under these forks, {thick:size} thick."
            return FitLine(what="heel pins", fits="asks", words=words + corner, numbers=numbers, where=where)
        case HeelPin():
            words = "How far are the heel pins under these forks, {thick:size} thick (the old ones: {was:size})?"
            return FitLine(what="heel pins", fits="asks", words=words + corner, numbers=numbers, where=where)
        case HeelChain():
            words = "Does the heel chain reach this truck's carriage or shanks, and what is its slack there?"
            return FitLine(what="heel chain", fits="asks", words=words + corner, numbers=numbers, where=where)
        case _:
            return FitLine(what="fork heels", fits="asks", words=corner.strip(), numbers=numbers, where=where)


def _rating(truck: Truck) -> FitLine:
    rated_kg, centre_m = truck.forks.rating_each_kg, truck.forks.rating_centre_m
    if rated_kg is None or centre_m is None:
        words = "The stamp on the forks is not entered: read it, with its load centre."
        return FitLine(what="fork stamp", fits="asks", words=words, where="truck.forks.rating_each_kg")
    words = "Stamped {rated:kg_down} each at {centre:length}; the verdict counts with it."
    numbers: dict[str, float | str] = {"rated": rated_kg, "centre": centre_m}
    return FitLine(what="fork stamp", fits="fits", words=words, numbers=numbers, where="truck.forks.rating_each_kg")


# ---------------------------------------------------------------- the truck itself


def _plate(truck: Truck) -> FitLine:
    if truck.plate is None:
        words = "No plate is entered: read it off this truck. Until then every pose is REFUSED."
        return FitLine(what="truck's plate", fits="asks", words=words, where="truck.plate")
    return FitLine(what="truck's plate", fits="fits", words="Entered; the verdict counts with it.", where="truck.plate")


def _overhang(job: Job, truck: Truck) -> FitLine:
    here, was = truck.front_overhang_m, job.truck.front_overhang_m
    words = "The fork face is {here:length} ahead of the front axle (on the old truck {was:length})"
    numbers: dict[str, float | str] = {"here": here.best, "was": was.best}
    where = "truck.front_overhang_m"
    if here.known in NOT_TAPED:
        return FitLine(
            what="front overhang", fits="asks", words=f"{words}; nobody has measured it.", numbers=numbers, where=where
        )
    words += "; the verdict counts with it."
    return FitLine(what="front overhang", fits="fits", words=words, numbers=numbers, where=where)


def tail_line(truck: Truck, over_m: float | None, pose: str, *, is_short: bool) -> FitLine:
    """Whether the boom, its tail with it, has room by a truck's upright, guard and driver.

    Parameters
    ----------
    truck : Truck
    over_m : float or None
        The least gap left over what is wanted (m), with all that may be off against it; None where it is not known.
    pose : str
        Where that is.
    is_short : bool
        Whether some gap is short with every value as entered, to what is measured or counts as if it were.
    """
    what, where = "room of the boom's tail", "truck.solids"
    if over_m is None:
        words = "Has the boom's tail room by this truck's upright, overhead guard and driver? No pose says."
        return FitLine(what=what, fits="asks", words=words, where=where)
    numbers: dict[str, float | str] = {"over": abs(over_m), "pose": pose}
    if over_m < 0.0:
        words = "In ‘{pose}’ the boom comes {over:length_up} nearer to this truck than is wanted, in the worst case."
        return FitLine(what=what, fits="fails" if is_short else "asks", words=words, numbers=numbers, where=where)
    words = "In ‘{pose}’, the tightest pose, the boom keeps {over:length} more room to this truck than is wanted."
    missing = not_measured(truck)
    if missing:
        numbers["missing"] = " and ".join(missing)
        words += " Nobody has measured {missing}: measure this truck's."
        return FitLine(what=what, fits="asks", words=words, numbers=numbers, where=where)
    return FitLine(what=what, fits="fits", words=words, numbers=numbers, where=where)


def not_measured(truck: Truck) -> list[str]:
    """What of a truck the boom's tail may meet and nobody has measured."""
    roles = {solid.role for solid in truck.solids if solid.known not in NOT_TAPED}
    guard = truck.guard_height_m
    has_guard_height = guard is not None and guard.known not in NOT_TAPED
    missing = ["the overhead guard"] if truck.has_guard and "guard" not in roles and not has_guard_height else []
    return [*missing, *(["the upright's top cross-member"] if truck.has_crosshead and "crosshead" not in roles else [])]


def _tilt(job: Job, truck: Truck) -> FitLine:
    upright = truck.upright
    beyond = [
        pose.name
        for pose in job.poses
        if not -upright.tilt_forward_max_rad - 1e-9 <= pose.tilt_rad <= upright.tilt_back_max_rad + 1e-9
    ]
    numbers: dict[str, float | str] = {
        "forward": upright.tilt_forward_max_rad,
        "back": upright.tilt_back_max_rad,
        "poses": _named(beyond),
    }
    words = "This upright tilts {forward:angle} forward and {back:angle} back"
    if beyond:
        words += "; it cannot stand as in {poses}."
        return FitLine(what="tilt", fits="fails", words=words, numbers=numbers, where="truck.upright")
    return FitLine(what="tilt", fits="fits", words=f"{words}.", numbers=numbers, where="truck.upright")


def _lift(job: Job, truck: Truck) -> FitLine:
    upright = truck.upright
    beyond = [pose.name for pose in job.poses if not upright.lift_min_m <= pose.lift_m <= upright.lift_max_m]
    numbers: dict[str, float | str] = {
        "least": upright.lift_min_m,
        "most": upright.lift_max_m,
        "poses": _named(beyond),
    }
    words = "The forks go from {least:length} to {most:length}"
    if beyond:
        words += "; the fork heights of {poses} are beyond that."
        return FitLine(what="lift", fits="fails", words=words, numbers=numbers, where="truck.upright")
    return FitLine(what="lift", fits="fits", words=f"{words}.", numbers=numbers, where="truck.upright")


def _named(names: list[str]) -> str:
    return ", ".join(f"‘{name}’" for name in names)
