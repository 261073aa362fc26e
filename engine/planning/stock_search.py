"""From the rack to a rig: the lightest rigs that do up to three jobs with the tubes that lie there.

Method.  The rig of a given job is the pattern: its sleeves, saddles, hinges, hook, pin sizes and arm lengths stay.  What is
chosen is the tube for jib mast, boom and each arm, and how many of the arms are used.  The boom is cut as long as the
furthest job needs with its tail through the rear saddle, holes at the pattern's pitch.  Every combination that can be cut
from the rack (kerfs counted, tubes not used twice over their length) is weighed, and they are judged lightest first by
the same engine, each job in the worst case with its own load, until enough are found.

The rack is the job's own stock, as the cut list has it: bars other than tubes, bent ones and stretches not to be used are
left out, and a rusty tube counts for a thinner one (``engine.shop.cutting_plan.usable_section``).
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterator

import msgspec

from engine.planning.sweep import Judged, Stop, Stopped, Tell, best_over, judge, never, quiet
from engine.rig.feasibility import boom_limits_m, usable_holes
from engine.rig.kinematics import drawn, figures, hole_out_m, rig_masses, steel_masses
from engine.schema.model import JOBS_AT_MOST, Estimate, Job, Pose, Rig, Stock, WantedJob
from engine.schema.sections import RectTube, RoundTube
from engine.schema.steel import UNKNOWN
from engine.shop.cutting_plan import usable_section, usable_stretches
from engine.shop.pose_edits import straight_ahead
from engine.worst_case.verdict import find_problems

HOLE_SPARE_M = 0.05
"""From the boom's outermost use to its end stop, and lengths are cut to the next 10 mm above."""

CUT_STEP_M = 0.01


class Tube(msgspec.Struct, kw_only=True, frozen=True):
    """One stretch of tube on the rack: ``section`` is what it weighs, ``counted`` what it counts for.

    ``alike`` numbers those that differ in nothing but their place.
    """

    name: str
    section: RectTube | RoundTube
    counted: RectTube | RoundTube
    length_m: float
    steel: str = UNKNOWN
    alike: int = 0

    @property
    def kind(self) -> tuple[object, ...]:
        """What makes it the same as another for any rig."""
        return self.section, self.counted, self.length_m, self.steel


def tubes_of(stock: tuple[Stock, ...], most_alike: int | None = None) -> tuple[Tube, ...]:
    """Every usable stretch of tube on the rack under a name of its own; of those that are alike no more than ``most_alike``."""
    found: list[Tube] = []
    kinds, names = Counter(), set()
    for line, bar in enumerate(stock, start=1):
        section = usable_section(bar.section, bar.condition)
        if not isinstance(section, RectTube | RoundTube):
            continue
        stretches = usable_stretches(bar)
        for one, (part, stretch) in itertools.product(range(1, bar.count + 1), enumerate(stretches, start=1)):
            name = f"{bar.name}, {one} of {bar.count}" if bar.count > 1 else bar.name
            name += f", stretch {part}" if len(stretches) > 1 else ""
            name = f"{name} (line {line})" if name in names else name
            tube = Tube(name=name, section=bar.section, counted=section, length_m=stretch.length_m, steel=bar.steel)
            alike = kinds[tube.kind]
            if most_alike is None or alike < most_alike:
                found.append(msgspec.structs.replace(tube, alike=alike))
                kinds[tube.kind] += 1
                names.add(name)
    return tuple(found)


class Done(msgspec.Struct, kw_only=True, frozen=True):
    """How a rig does one of the jobs; ``pose`` is the one that does it (or comes nearest)."""

    want: str
    pose: Pose
    use: float
    allowed_kg: float
    governing: str
    works: bool


class FoundRig(msgspec.Struct, kw_only=True, frozen=True):
    """A rig from the rack as a whole job (its load is the heaviest of those wanted), with a pose for each job wanted."""

    job: Job
    rig_kg: float
    tubes: tuple[tuple[str, str], ...]
    done: tuple[Done, ...]

    @property
    def works(self) -> bool:
        """Whether it does every job wanted."""
        return all(one.works for one in self.done)

    @property
    def use(self) -> float:
        """Greatest use over the jobs."""
        return max((one.use for one in self.done), default=math.inf)


class StockSearch(msgspec.Struct, kw_only=True, frozen=True):
    """Rigs that do every job, lightest first; ``nearest`` is the best of those that do not, when none does."""

    found: tuple[FoundRig, ...]
    nearest: FoundRig | None
    looked_at: int
    of: int


class _Choice(msgspec.Struct, kw_only=True, frozen=True):
    job: Job
    rig_kg: float
    tubes: tuple[tuple[str, str], ...]


def search(job: Job, enough: int = 3, stop: Stop = never, tell: Tell = quiet) -> StockSearch:
    """Lightest rigs from the rack that do every job wanted.

    Parameters
    ----------
    job : Job
        The pattern: truck, floor, allowances, and a rig whose parts other than tubes are kept; the rack (``stock``) and one
        to three jobs wanted (``wanted``).
    enough : int
        Stop looking after so many.
    stop, tell
        Asked and told between two rigs.

    Returns
    -------
    StockSearch

    Raises
    ------
    ValueError
        With no job wanted.
    Stopped
    """
    wants = job.wanted
    if not wants:
        raise ValueError(f"wanted: Expected 1 to {JOBS_AT_MOST} jobs, got none")
    # An approval and trial lifts are of the rig that was there, never of one made from the rack.
    job = msgspec.structs.replace(job, approval=None, trial_lifts=())
    choices = sorted(_heeding(stop, _choices(job, wants)), key=lambda choice: choice.rig_kg)
    found: list[FoundRig] = []
    nearest: FoundRig | None = None
    looked_at = 0
    for choice in choices:
        if stop():
            raise Stopped
        looked_at += 1
        result = _judged(choice, wants)
        if result.works:
            found.append(result)
        elif nearest is None or result.use < nearest.use:
            nearest = result
        tell(looked_at / len(choices))
        if len(found) == enough:
            break
    return StockSearch(found=tuple(found), nearest=None if found else nearest, looked_at=looked_at, of=len(choices))


def _heeding(stop: Stop, choices: Iterator[_Choice]) -> Iterator[_Choice]:
    """The choices until ``stop`` says so: a full rack has many."""
    for choice in choices:
        if stop():
            raise Stopped
        yield choice


# ---------------------------------------------------------------- what can be cut


def _choices(job: Job, wants: tuple[WantedJob, ...]) -> Iterator[_Choice]:
    tubes = tubes_of(job.stock, most_alike=2 + len(job.rig.arms))
    booms = [tube for tube in tubes if isinstance(tube.section, RectTube)]
    for used in range(len(job.rig.arms) + 1):
        boom_length_m, first_hole_m, holes = _boom_size(job, wants, used)
        if boom_length_m is None:
            continue
        for mast, boom, *arms in itertools.product(tubes, booms, *([tubes] * used)):
            parts = [("jib mast", mast, job.rig.jib_mast.length_m), ("boom", boom, boom_length_m)]
            parts += [(arm.name, tube, arm.length_m) for arm, tube in zip(job.rig.arms, arms, strict=False)]
            if _in_order(parts) and _cuttable(parts, job.kerf_m):
                built = _built(job, parts, first_hole_m, holes, used)
                if built is not None:
                    yield built


def _boom_size(job: Job, wants: tuple[WantedJob, ...], used: int) -> tuple[float | None, float, int]:
    """Boom's length, its first hole from the tail, and number of holes, for the furthest and the nearest job.

    Arms are counted straight ahead; the hook must be able to come to every job's distance or the next hole beyond it.
    """
    rig = job.rig
    arms_m = sum(arm.length_m for arm in rig.arms[:used])
    beyond_m = arms_m if used else -rig.hook.edge_m
    outs = [want.ahead_of_face_m - rig.jib_mast.foot_x_m - beyond_m for want in wants]
    saddles, pitch_m = rig.saddles, rig.boom.hole_pitch_m
    pin_m = saddles.front_x_m if saddles.pin_at == "front" else saddles.rear_x_m
    least_m = saddles.front_x_m + saddles.strap_length_m / 2.0
    out_m = max(*outs, least_m) if outs else least_m
    tail_m = -saddles.rear_x_m + saddles.strap_length_m / 2.0 + HOLE_SPARE_M
    length_m = CUT_STEP_M * math.ceil((out_m + tail_m) / CUT_STEP_M - 1e-9)
    first_hole_m = pin_m + length_m - out_m
    holes = 1 + max(0, math.floor((out_m - max(min(outs), least_m)) / pitch_m + 1e-9))
    if first_hole_m <= 0.0 or first_hole_m + (holes - 1) * pitch_m >= length_m:
        return None, 0.0, 0
    return length_m, first_hole_m, holes


def _in_order(parts: list[tuple[str, Tube, float]]) -> bool:
    """Whether of tubes that are all alike the first ones are taken: any others make the same rig."""
    taken: dict[object, int] = {}
    for _, tube, _ in parts:
        if tube.alike > taken.get(tube.kind, 0):
            return False
        taken[tube.kind] = max(taken.get(tube.kind, 0), tube.alike + 1)
    return True


def _cuttable(parts: list[tuple[str, Tube, float]], kerf_m: float) -> bool:
    """Whether the rack's lengths reach, a kerf lost to each cut."""
    taken: dict[str, float] = {}
    for _, tube, length_m in parts:
        taken[tube.name] = taken.get(tube.name, 0.0) + length_m + kerf_m
    return all(taken[tube.name] - kerf_m <= tube.length_m + 1e-9 for _, tube, _ in parts)


def _built(
    job: Job, parts: list[tuple[str, Tube, float]], first_hole_m: float, holes: int, used: int
) -> _Choice | None:
    """The pattern with its tubes changed; None where they do not go together (a wall rusted away, a hole past the end)."""
    rig = job.rig
    (_, mast, _), (_, boom, boom_length_m), *arms = parts
    try:
        changed = msgspec.structs.replace(
            rig,
            jib_mast=msgspec.structs.replace(rig.jib_mast, section=mast.counted, steel=mast.steel, mass_kg=None),
            boom=msgspec.structs.replace(
                rig.boom,
                section=boom.counted,
                steel=boom.steel,
                mass_kg=None,
                length_m=boom_length_m,
                first_hole_m=first_hole_m,
                hole_count=holes,
            ),
            arms=tuple(
                msgspec.structs.replace(arm, section=tube.counted, steel=tube.steel, mass_kg=None)
                for arm, (_, tube, _) in zip(rig.arms[:used], arms, strict=True)
            ),
        )
        pose = _start(job, used)
        built = msgspec.structs.replace(job, rig=_weighed(job, changed, parts), poses=(pose,), moves=())
    except ValueError:
        return None
    masses = rig_masses(built.truck, built.rig)
    rig_kg = sum(sum(kg) if isinstance(kg, tuple) else kg for kg in masses.values())
    return _Choice(job=built, rig_kg=float(rig_kg), tubes=tuple((part, tube.name) for part, tube, _ in parts))


def _weighed(job: Job, rig: Rig, parts: list[tuple[str, Tube, float]]) -> Rig:
    """The rig with its chosen parts' weights worked out from whole walls: rust takes strength and is not counted off."""
    (_, mast, _), (_, boom, _), *arms = parts
    whole = msgspec.structs.replace(
        rig,
        jib_mast=msgspec.structs.replace(rig.jib_mast, section=mast.section),
        boom=msgspec.structs.replace(rig.boom, section=boom.section),
        arms=tuple(
            msgspec.structs.replace(arm, section=tube.section) for arm, (_, tube, _) in zip(rig.arms, arms, strict=True)
        ),
    )
    steel = steel_masses(job.truck, whole)

    def kg(value: float) -> Estimate[float]:
        return Estimate(best=value, known="worked_out")

    return msgspec.structs.replace(
        rig,
        jib_mast=msgspec.structs.replace(rig.jib_mast, mass_kg=kg(steel["jib_mast_kg"])),
        boom=msgspec.structs.replace(rig.boom, mass_kg=kg(steel["boom_kg"])),
        arms=tuple(
            msgspec.structs.replace(arm, mass_kg=kg(each)) for arm, each in zip(rig.arms, steel["arms_kg"], strict=True)
        ),
    )


def _start(job: Job, used: int) -> Pose:
    return msgspec.structs.replace(
        job.poses[0], name="start", hole=1, free_out_m=None, tilt_rad=0.0, loaded=True, arms=straight_ahead(job)[:used]
    )


# ---------------------------------------------------------------- judging


def _judged(choice: _Choice, wants: tuple[WantedJob, ...]) -> FoundRig:
    done = tuple(_done(choice.job, want) for want in wants)
    heaviest = max(wants, key=lambda want: want.load_kg.best)
    whole = msgspec.structs.replace(_with_load(choice.job, heaviest), poses=tuple(one.pose for one in done))
    return FoundRig(job=whole, rig_kg=choice.rig_kg, tubes=choice.tubes, done=done)


def _with_load(job: Job, want: WantedJob) -> Job:
    rigging = Estimate(best=want.rigging_kg, known="weighed")
    load = msgspec.structs.replace(job.load, name=want.name, mass_kg=want.load_kg, rigging_kg=rigging)
    return msgspec.structs.replace(job, load=load)


def _done(job: Job, want: WantedJob) -> Done:
    """The nearest hole that reaches the job, arms straight, forks as high as its hook height asks."""
    wanted = _with_load(job, want)
    start = wanted.poses[0]
    least_m, most_m = boom_limits_m(wanted)
    face_m = wanted.truck.front_overhang_m.best
    stance = msgspec.structs.replace(start, name=want.name)
    for hole in reversed(usable_holes(wanted)):
        stance = _at_height(wanted, msgspec.structs.replace(stance, hole=hole), want.hook_height_m)
        hook = drawn(wanted, stance).hook_m
        if (
            float(hole_out_m(wanted.rig, hole)) <= most_m
            and float(hook.x) - face_m >= want.ahead_of_face_m - HOLE_SPARE_M
        ):
            break
    judged = _judge_if_hopeful(wanted, stance)
    hook = drawn(wanted, stance).hook_m
    reaches = float(hook.x) - face_m >= want.ahead_of_face_m - HOLE_SPARE_M
    return Done(
        want=want.name,
        pose=stance,
        use=judged.use if reaches else math.inf,
        allowed_kg=judged.allowed_kg if reaches else 0.0,
        governing=judged.worst if reaches else "reach",
        works=judged.within and reaches,
    )


def _judge_if_hopeful(job: Job, pose: Pose) -> Judged:
    """The verdict; best values alone where they fail already, since the worst case is never kinder."""
    if not find_problems(job, pose):
        best = best_over(job, figures(job, pose))
        if float(best.use) > 1.0:
            names = best.names[int(best.worst)], best.names[int(best.governing)]
            return Judged(
                state="OVER",
                problems=(),
                use=float(best.use),
                allowed_kg=float(best.allowed_kg),
                worst=names[0],
                governing=names[1],
            )
    return judge(job, pose)


def _at_height(job: Job, pose: Pose, height_m: float) -> Pose:
    placed = drawn(job, pose)
    return msgspec.structs.replace(pose, lift_m=max(0.0, pose.lift_m + height_m - float(placed.hook_m.z)))
