"""How steep a floor may be to lift on: 10 % at most, and a caution on more than a truck's own raised tests use.

Trucks of this kind are tested with their load raised on a slope of 4 % along (3.5 % where they are rated 5 t and more)
and 6 % across; past that nobody has tried whether they stand.  On more than 10 % either way they neither lift nor creep
loaded.  The forks count as raised over 0.30 m.

Sources: slopes of the raised tests, Fork-lift Structure Standard, art. 1 (Japan, government order); 2 %, 10 % and
0.30 m common practice, no source.
"""

from __future__ import annotations

from engine.base.geometry import Number, Vec
from engine.rig.check import Check, Problem, load_at_limit, use_of
from engine.rig.kinematics import Placed
from engine.schema.model import Job, Pose, find_floor

RAISED_M = 0.30
ALONG, ALONG_HEAVY, ACROSS = 0.04, 0.035, 0.06
HEAVY_KG = 5_000.0
STEEPEST = 0.10
TOLD = 0.02
"""A floor that falls more than this earns a caution."""

PART = "floor"
SOURCE = "common practice, no source"
WORDS = "the floor falls {fall:fall} {way}; trucks like this do not lift or creep loaded on more than {most:fall}"


def checks(placed: Placed) -> list[Check]:
    """The floor's slope along and across, which no load makes better or worse."""
    numbers = placed.figures
    return [_check("along", numbers.fall_along), _check("across", numbers.fall_across)]


def _check(way: str, fall: Number) -> Check:
    steep = abs(fall)
    return Check(
        of="truck",
        part=PART,
        kind=f"slope {way}",
        place_m=Vec(0.0, 0.0, 0.0),
        demand=steep,
        allowed=STEEPEST,
        unit="",
        use=use_of(steep, STEEPEST),
        allowed_load_kg=load_at_limit(STEEPEST - steep, 0.0),
        words=WORDS,
        numbers={"fall": steep, "way": way, "most": STEEPEST},
        source=SOURCE,
    )


def cautions(job: Job, pose: Pose) -> tuple[Problem, ...]:
    """A floor that falls so much that nobody has tried it with the load up, or enough to be walked first."""
    floor, plate = find_floor(job, pose), job.truck.plate
    heavy = plate is not None and max(row.rated_kg for row in plate.rows) >= HEAVY_KG
    tried = {"along": ALONG_HEAVY if heavy else ALONG, "across": ACROSS}
    found = []
    for way, fall in (("along", floor.fall_along), ("across", floor.fall_across)):
        if fall is None or abs(fall.best) <= TOLD:
            continue
        words = "The floor at '{floor}' falls {fall:fall} {way}: keep the load low, and turn nowhere with it up."
        if pose.lift_m > RAISED_M and abs(fall.best) >= tried[way]:
            words = (
                "The floor at '{floor}' falls {fall:fall} {way}, as much as the slope that trucks like this are tried "
                "on with their load up, or more: lower the forks or find a flatter place."
            )
        where = f"floors[{job.floors.index(floor)}].fall_{way}"
        numbers: dict[str, float | str] = {"floor": floor.name, "fall": abs(fall.best), "way": way}
        found.append(Problem(kind="caution", where=where, words=words, numbers=numbers))
    return tuple(found)
