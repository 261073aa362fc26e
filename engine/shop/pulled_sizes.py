"""Sizes pulled by hand: lengths of members, places of saddles and stays, sizes of plates and gussets at the joints.

A size has a key, such as ``boom length`` or ``gusset 0 up``.  It is pulled one way or, where it is a point, two.
"""

from __future__ import annotations

from typing import Any, cast

import msgspec

from engine.base.formatting import M_PER_IN, System
from engine.rig.rig_masses import steel_masses
from engine.schema.connections import EndPlate, StayLink, StayPoint, StayStop
from engine.schema.model import Arm, Job, Rig
from engine.schema.quantities import Estimate

REPLACE = msgspec.structs.replace

LEAST_LENGTH_M = 0.1
"""No member pulled by hand gets shorter than this."""

LEAST_GAIN_KG = 1e-6
"""Less is round-off."""

LEAST_PIECE_M = 0.02
"""No plate or gusset pulled by hand gets smaller than this."""


def pulled(job: Job, size: str, along_m: float, up_m: float = 0.0) -> Job:
    """The job with one size pulled, by whole millimetres or sixteenths of an inch.

    Parameters
    ----------
    size : str
        One of `sizes_of`.
    along_m : float
        How far it is pulled the way it grows: a boom at its tail (its pin holes stay where they are from the front
        end), a saddle forward.  A plate grows by this at both ends.
    up_m : float
        Square to that, for the point of a stay alone.

    Returns
    -------
    Job
        Unchanged where the size would not fit.  A mass entered changes with a member's length, and by the steel that a
        plate or a saddle bed gains; it is then known as worked out.
    """
    try:
        rig = _pulled_rig(job.rig, size, _whole(along_m, job.units), _whole(up_m, job.units))
    except ValueError:
        return job
    return job if rig is None else REPLACE(job, rig=_weighed_anew(job, rig))


def _whole(by_m: float, units: System) -> float:
    """How far a size is pulled, in whole steps of the units shown."""
    return round(by_m, 3) if units == "metric" else round(16.0 * by_m / M_PER_IN) * M_PER_IN / 16.0


def _weighed_anew(job: Job, rig: Rig) -> Rig:
    """The pulled rig with the steel it gained added to every mass entered that was not changed with a length."""
    before, after = (cast("dict[str, Any]", steel_masses(job.truck, one)) for one in (job.rig, rig))

    def anew(was: Any, now: Any, gained_kg: float) -> Any:
        if now.mass_kg is None or now.mass_kg is not was.mass_kg or abs(gained_kg) < LEAST_GAIN_KG:
            return now
        return REPLACE(now, mass_kg=Estimate(best=max(now.mass_kg.best + gained_kg, 0.0), known="worked_out"))

    parts = {
        part: anew(getattr(job.rig, part), getattr(rig, part), after[f"{part}_kg"] - before[f"{part}_kg"])
        for part in ("sleeves", "jib_mast", "saddles", "boom")
    }
    gained = [now_kg - was_kg for now_kg, was_kg in zip(after["arms_kg"], before["arms_kg"], strict=True)]
    return REPLACE(rig, arms=tuple(map(anew, job.rig.arms, rig.arms, gained)), **parts)


def sizes_of(rig: Rig) -> list[str]:
    """Key of every size of a rig that can be pulled, from the forks outwards."""
    sizes = ["sleeves length", "mast place", "mast length"]
    for index, gusset in enumerate(rig.jib_mast.gussets):
        if gusset.face in ("front", "back"):
            sizes += [f"gusset {index} out", f"gusset {index} up"]
    sizes += ["front saddle", "rear saddle", "boom length"]
    for index, arm in enumerate(rig.arms):
        sizes += [f"plate {index} {side}" for side in ("inner", "outer") if isinstance(_end(arm, side), EndPlate)]
        if isinstance(arm.stay, StayLink):
            sizes += [f"stay {index} inner", f"stay {index} arm"]
        if isinstance(arm.stay, StayStop):
            sizes.append(f"stay {index} stop")
        sizes.append(f"arm {index} length")
    return sizes


def size_m(rig: Rig, size: str) -> float:
    """A size as it is: a length, a place along the part before it, a plate's height, a stay's place along its link."""
    kind, _, which = size.partition(" ")
    match kind:
        case "sleeves":
            return rig.sleeves.length_m
        case "mast":
            return rig.jib_mast.foot_x_m if which == "place" else rig.jib_mast.length_m
        case "boom":
            return rig.boom.length_m
        case "front" | "rear":
            return float(getattr(rig.saddles, f"{kind}_x_m"))
        case "gusset":
            number, _, way = which.partition(" ")
            return float(getattr(rig.jib_mast.gussets[int(number)], f"{way}_m"))
    number, _, what = which.partition(" ")
    arm = rig.arms[int(number)]
    match kind:
        case "plate":
            return float(_end(arm, what).height_m)
        case "stay":
            stay: Any = arm.stay
            return float(getattr(stay, "at" if what == "stop" else f"at_{what}").x_m)
    return arm.length_m


def _pulled_rig(rig: Rig, size: str, along_m: float, up_m: float) -> Rig | None:
    kind, _, which = size.partition(" ")
    match kind:
        case "sleeves":
            length_m = _moved(rig.sleeves.length_m, along_m)
            return REPLACE(rig, sleeves=REPLACE(rig.sleeves, length_m=length_m)) if length_m >= LEAST_LENGTH_M else None
        case "mast" if which == "place":
            return REPLACE(rig, jib_mast=REPLACE(rig.jib_mast, foot_x_m=_moved(rig.jib_mast.foot_x_m, along_m)))
        case "mast":
            mast = _longer(rig.jib_mast, along_m)
            return mast and REPLACE(rig, jib_mast=mast)
        case "boom":
            first_m = _moved(rig.boom.first_hole_m, along_m)
            boom = _longer(rig.boom, along_m) if first_m > 0.0 else None
            return boom and REPLACE(rig, boom=REPLACE(boom, first_hole_m=first_m))
        case "front" | "rear":
            field = f"{kind}_x_m"
            moved_m = _moved(getattr(rig.saddles, field), along_m)
            return REPLACE(rig, saddles=REPLACE(rig.saddles, **{field: moved_m}))
        case "gusset":
            return _gusset(rig, which, along_m)
    number, _, what = which.partition(" ")
    index = int(number)
    arm = _arm(rig.arms[index], kind, what, along_m, up_m)
    return arm and REPLACE(rig, arms=(*rig.arms[:index], arm, *rig.arms[index + 1 :]))


def _gusset(rig: Rig, which: str, by_m: float) -> Rig | None:
    number, _, way = which.partition(" ")
    gussets, field = list(rig.jib_mast.gussets), f"{way}_m"
    size_m = _moved(getattr(gussets[int(number)], field), by_m)
    if size_m < LEAST_PIECE_M:
        return None
    gussets[int(number)] = REPLACE(gussets[int(number)], **{field: size_m})
    return REPLACE(rig, jib_mast=REPLACE(rig.jib_mast, gussets=tuple(gussets)))


def _arm(arm: Arm, kind: str, what: str, along_m: float, up_m: float) -> Arm | None:
    match kind:
        case "plate":
            plate = _end(arm, what)
            height_m = _moved(plate.height_m, 2.0 * along_m)
            if height_m < LEAST_PIECE_M:
                return None
            return REPLACE(arm, hinge=REPLACE(arm.hinge, **{f"{what}_end": REPLACE(plate, height_m=height_m)}))
        case "stay":
            field = "at" if what == "stop" else f"at_{what}"
            stay: Any = arm.stay
            was: StayPoint = getattr(stay, field)
            point = StayPoint(x_m=_moved(was.x_m, along_m), z_m=_moved(was.z_m, up_m))
            return REPLACE(arm, stay=REPLACE(stay, **{field: point}))
    return _longer(arm, along_m)


def _end(arm: Arm, side: str) -> Any:
    return arm.hinge.inner_end if side == "inner" else arm.hinge.outer_end


def _moved(place_m: float, by_m: float) -> float:
    return round(place_m + by_m, 6)


def _longer(part: Any, by_m: float) -> Any:
    """The member by so much longer, None where it would be too short."""
    length_m = _moved(part.length_m, by_m)
    if length_m < LEAST_LENGTH_M:
        return None
    mass = part.mass_kg
    if mass is not None:
        mass = Estimate(best=mass.best * length_m / part.length_m, known="worked_out")
    return REPLACE(part, length_m=length_m, mass_kg=mass)
