"""Whether a parked truck stays where it is: its brakes act on the front wheels, which the floor must hold.

On a slope of angle b the weight W pulls down the slope with W sin b.  The rear wheels roll, so friction under the front
wheels alone holds against it: at most mu N_f, N_f what the floor carries under them in this pose, with its load, as it
stands on its slope.  Nose up the front wheels are lighter, nose down heavier.  The whole slope counts, along and across
together, since turned rear wheels do not hold sideways either.  Of what friction could hold, 1/1.25 is allowed.

The truck must hold before the load hangs as well: its front wheels are then lighter.

Sources: statics; friction and 1.25, common practice, no source.
"""

from __future__ import annotations

from engine.base.geometry import GRAVITY_M_S2, Vec, sqrt, where
from engine.limits import balance
from engine.rig.check import Check, Problem, load_at_limit, use_of
from engine.rig.kinematics import Placed
from engine.schema.friction import SLIPPERY
from engine.schema.model import Job, Pose, find_floor

SAFETY = 1.25
"""What friction could hold over what is counted on."""

PART, KIND = "truck", "held by its braked wheels"
SOURCE = "statics; friction: common practice, no source"
WORDS = (
    "the slope pulls the truck with {pull:N}; its braked front wheels, {front:kg_down} on them at a friction of "
    "{friction:ratio}, may be counted on for {hold:N}"
)
SLIPPERY_WORDS = (
    "The floor at '{floor}' has {surface} on it: no brake holds a truck there. Clear it to bare floor, or find another "
    "place."
)


def checks(standing: Placed) -> list[Check]:
    """Whether friction under the braked front wheels holds the truck on its slope; ``standing`` is the bent rig."""
    numbers, gravity = standing.figures, standing.gravity
    front = balance.over_front(standing)
    base_N = GRAVITY_M_S2 * numbers.wheelbase_m
    held = numbers.friction / SAFETY
    pulled = sqrt(gravity.x**2 + gravity.y**2)
    whole_kg = sum((body.mass_kg for body in standing.bodies), 0.0)
    empty_kg = whole_kg - numbers.load_kg
    # What the floor carries under the front wheels: all of it less what is left on the rear ones.
    front_kg = -whole_kg * gravity.z - front.margin_Nm / base_N
    front_empty_kg = -empty_kg * gravity.z - front.left_empty_Nm / base_N
    front_per_kg = front.per_kg_Nm / base_N - gravity.z
    room_empty_kg = held * front_empty_kg - pulled * empty_kg
    room_kg = held * front_kg - pulled * whole_kg
    counts_empty = where(room_empty_kg < 0.0, where(room_empty_kg < room_kg, 1.0, 0.0), 0.0)
    on_front_kg = where(counts_empty > 0.0, front_empty_kg, front_kg)
    demand_N = GRAVITY_M_S2 * pulled * where(counts_empty > 0.0, empty_kg, whole_kg)
    allowed_N = GRAVITY_M_S2 * held * on_front_kg
    return [
        Check(
            of="truck",
            part=PART,
            kind=KIND,
            place_m=Vec(0.0, 0.0, 0.0),
            demand=demand_N,
            allowed=allowed_N,
            unit="N",
            use=use_of(demand_N, allowed_N),
            allowed_load_kg=load_at_limit(
                room_empty_kg, pulled - held * front_per_kg, -held * front.bending_Nm_kg2 / base_N
            ),
            words=WORDS,
            numbers={"pull": demand_N, "front": on_front_kg, "friction": numbers.friction, "hold": allowed_N},
            source=SOURCE,
        )
    ]


def problems(job: Job, pose: Pose) -> list[Problem]:
    """A floor that holds no truck."""
    floor = find_floor(job, pose)
    if floor.surface is None or floor.surface not in SLIPPERY:
        return []
    return [
        Problem(
            kind="impossible",
            where=f"floors[{job.floors.index(floor)}].surface",
            words=SLIPPERY_WORDS,
            numbers={"floor": floor.name, "surface": floor.surface},
        )
    ]
