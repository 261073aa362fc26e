"""All limits of one pose put together: state, governing part, allowed load.

``evaluate`` is pure and total over well-formed jobs: an impossible pose, or a missing fact, comes back as REFUSED with
its problems, because a drag passes through such states.  Nothing is WITHIN by default: the state is WITHIN only when
every check has a use of at most 1, as entered and in the worst case of all entries together
(``engine.worst_case.worst_case``), and no part of the load path is left out (`engine.rig.completeness`).  State,
allowed load and governing limit follow the worst case, never the values as entered.  A limit that only leaves a pose
unproven (`Check.leaves_unproven`) bounds the allowed load like any other.

The governing limit is the one with the smallest allowed load in this pose; when the load is over several limits, that
is the first to act on.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import msgspec

from engine.limits import balance, brakes, lean, plate, plausibility, play, room, sideways, slope
from engine.limits.balance import Balance
from engine.limits.room import Room
from engine.rig.check import Check, Problem
from engine.rig.completeness import not_entered
from engine.rig.deflection import apply_bending, with_bending
from engine.rig.feasibility import impossibilities, not_numbers
from engine.rig.kinematics import Placed, drawable, figures, place
from engine.schema.model import Job, Pose, find_floor
from engine.schema.uncertainty_bands import low_high
from engine.strength.cautions import cautions
from engine.worst_case.evaluator import evaluator_of
from engine.worst_case.uncertain_inputs import not_combined
from engine.worst_case.worst_case import WorstCase, worst_case_of

State = Literal["WITHIN", "NOT PROVEN", "OVER", "REFUSED"]

STATE_WORDS: dict[State, str] = {
    "WITHIN": "Within the limits entered",
    "NOT PROVEN": "Not proven: the worst case does not pass, or something is not entered or not covered",
    "OVER": "Over a limit",
    "REFUSED": "Refused: no verdict",
}

IN_THE_WAY, MAY_BE_IN_THE_WAY = "Something is in the way", "Something may be in the way"


class Verdict(msgspec.Struct, kw_only=True, frozen=True):
    """What can be said of one pose.

    ``balance`` is plain statics on rigid tyres, ``leaned`` the same with the truck leaning on its own, ``checks``
    include the allowances, all with values as entered; ``worst_case`` is the worst case of each check.  ``placed`` is
    the rig as drawn, ``hanging`` the same with every weight where the bent rig carries it (as drawn where the pose is
    impossible); both balances are those of the latter.  ``balance`` and ``leaned`` are there whenever the pose is
    possible; ``worst_case``, ``allowed_load_kg`` and ``governing`` only when there is a verdict,
    the last two from the worst case.  Allowed loads are without the rigging: where the hook is empty in the pose,
    ``uncounted_rigging_kg`` (its heaviest) has been taken off what may hang there.  ``not_entered`` names entries that
    are hardly right, and the parts of the load path that no check covers; the allowed load is then that of the parts
    entered.  ``cautions`` name what the checks rest on that nobody has proved (assumed steel, unknown electrodes).
    """

    state: State
    problems: tuple[Problem, ...]
    placed: Placed
    hanging: Placed
    balance: Balance | None
    leaned: Balance | None
    checks: tuple[Check, ...]
    worst_case: WorstCase | None
    governing: Check | None
    allowed_load_kg: float | None
    not_entered: tuple[Problem, ...] = ()
    cautions: tuple[Problem, ...] = ()
    room: Room = Room()
    uncounted_rigging_kg: float = 0.0

    @property
    def state_words(self) -> str:
        """The state in a few words, and whether it is for want of room."""
        if self.room.short and self.state == "OVER":
            return IN_THE_WAY
        if self.state == "NOT PROVEN" and self.room.short_at_worst:
            return MAY_BE_IN_THE_WAY
        return STATE_WORDS[self.state]

    @property
    def worst_uses(self) -> tuple[tuple[Check, float], ...]:
        """Every limit and every gap with its use in the worst case; what is not a number is used up."""
        return self._with_room(None if self.worst_case is None else self.worst_case.use)

    @property
    def worst_uses_at_once(self) -> tuple[tuple[Check, float], ...]:
        """The same at every move of a drag: the governing limit and the most used of rig, truck and tipping lines."""
        return self._with_room(None if self.worst_case is None else self.worst_case.use_at_once)

    @property
    def worst_uses_of_each(self) -> tuple[tuple[Check, float], ...]:
        """The same for a list of limits, each looked at by itself (`WorstCase.use_of_each`)."""
        return self._with_room(None if self.worst_case is None else self.worst_case.use_of_each)

    def _with_room(self, uses: Sequence[float] | None) -> tuple[tuple[Check, float], ...]:
        limits = (math.inf,) * len(self.checks) if uses is None else uses
        limits = tuple(math.inf if math.isnan(use) else float(use) for use in limits)
        return tuple(zip((*self.checks, *self.room.checks), (*limits, *self.room.worst_uses), strict=True))

    @property
    def allowed_if_clear_kg(self) -> float | None:
        """Allowed load if nothing were in the way; None unless a gap is short."""
        if self.worst_case is None or not self.room.short_at_worst:
            return None
        return max(self.worst_case.allowed_kg - self.uncounted_rigging_kg, 0.0)

    @property
    def doubt_alone(self) -> bool:
        """Whether nothing but entries that may be off keeps this pose from being WITHIN."""
        unproven = self.state == "NOT PROVEN" and nominal_state(self.checks) == "WITHIN"
        return unproven and self.proven and not self.room.short_at_worst

    @property
    def proven(self) -> bool:
        """Whether every part of the load path is covered by a check."""
        return not self.not_entered

    @property
    def nominal_allowed_load_kg(self) -> float | None:
        """Allowed load if every entry were exactly as entered."""
        return max(_governing(self.checks)[0] - self.uncounted_rigging_kg, 0.0) if self.checks else None

    @property
    def nominal_governing(self) -> Check | None:
        """The limit that governs if every entry were exactly as entered."""
        return self.checks[_governing(self.checks)[1]] if self.checks else None

    @property
    def worst(self) -> Check | None:
        """The check with the greatest use as entered."""
        return max(self.checks, key=lambda check: float(check.use), default=None)


def evaluate(job: Job, pose: Pose) -> Verdict:
    """The verdict on one pose of a job.

    Parameters
    ----------
    job : Job
        Well-formed (as read by ``engine.schema.rig_file`` or made by ``engine.shop.edits``).
    pose : Pose
        One of the job's poses, or one being dragged.

    Returns
    -------
    Verdict
    """
    problems = _facts(job, pose)
    numbers = figures(job, pose)
    drawn = drawable(numbers)
    if problems or drawn is not numbers:
        placed = place(job, drawn)
        if any(problem.kind == "impossible" for problem in problems):
            return _refused(problems, placed, None)
        hanging = apply_bending(msgspec.structs.replace(placed, figures=with_bending(job, drawn)))
        weighed = balance.weigh(hanging)
        problems += _falls_unladen(weighed)
        around = room.room_of(job, pose, placed, hanging)
        return _refused(problems, placed, weighed if drawn is numbers else None, hanging, around)
    numbers, placed, hanging, weighed, on_tyres, checks = evaluator_of(job, numbers).evaluate_pose(job, numbers)
    problems += _falls_unladen(weighed) or plausibility.problems(job)
    if problems:
        return _refused(problems, placed, weighed, hanging)
    worst = worst_case_of(job, pose, numbers, checks)
    left_out = find_unsettled(job, pose)
    around = room.room_of(job, pose, placed, hanging)
    in_the_way = around.short or around.short_at_worst
    uncounted_kg = 0.0 if pose.loaded else low_high(job.load.rigging_kg, "mass")[1]
    return Verdict(
        state=state_of(checks, worst, left_out, around),
        problems=(),
        placed=placed,
        hanging=hanging,
        balance=weighed,
        leaned=on_tyres,
        checks=checks,
        worst_case=worst,
        governing=in_the_way[0] if in_the_way else checks[worst.governing_index],
        allowed_load_kg=0.0 if in_the_way else max(worst.allowed_kg - uncounted_kg, 0.0),
        not_entered=left_out,
        room=around,
        uncounted_rigging_kg=uncounted_kg,
        cautions=(
            *cautions(job, pose),
            *play.cautions(job),
            *sideways.cautions(hanging, job.truck.plate, job.policy, job.approval),
            *lean.caution(hanging),
            *slope.cautions(job, pose),
            *plausibility.cautions(job),
            *plausibility.taken_as_typical(job.policy),
        ),
    )


def find_problems(job: Job, pose: Pose) -> list[Problem]:
    """Everything that stands in the way of a verdict: impossible poses and rigs, then missing facts."""
    return [*_facts(job, pose), *plausibility.problems(job)]


def find_unsettled(job: Job, pose: Pose) -> tuple[Problem, ...]:
    """Everything that leaves a pose not proven however well it does: questioned entries, and parts not entered."""
    return (
        *plausibility.questions(job, loaded=pose.loaded),
        *not_entered(job, pose),
        *not_combined(job, pose),
    )


def _facts(job: Job, pose: Pose) -> list[Problem]:
    """What cannot be and what is missing, apart from entries that contradict each other."""
    problems = not_numbers(job, pose) or [*impossibilities(job, pose), *brakes.problems(job, pose)]
    floor = find_floor(job, pose)
    for name, value in (("fall_along", floor.fall_along), ("fall_across", floor.fall_across)):
        if value is None:
            slope = "Slope" if name == "fall_along" else "Side slope"
            words = "{slope} at ‘{floor}’ is not known. Measure it with a long level or a phone level at several spots."
            where = f"floors[{job.floors.index(floor)}].{name}"
            problems.append(
                Problem(kind="missing", where=where, words=words, numbers={"slope": slope, "floor": floor.name})
            )
    return problems + plate.problems(job.truck.plate, pose.lift_m) + room.problems(job, pose)


def state_of(checks: tuple[Check, ...], worst: WorstCase, left_out: tuple[Problem, ...], around: Room) -> State:
    """WITHIN only when every limit and every gap passes, in the worst case too, and nothing is left out."""
    if around.short:
        return "OVER"
    nominal = nominal_state(checks)
    if nominal != "WITHIN":
        return nominal
    proven = worst.passes and not left_out and not around.short_at_worst
    return "WITHIN" if proven else "NOT PROVEN"


def nominal_state(checks: Sequence[Check]) -> State:
    """The state with values as entered; a limit that leaves a pose unproven never makes it OVER."""
    over = [check for check in checks if not float(check.use) <= 1.0]
    if not checks or not all(check.leaves_unproven for check in over):
        return "OVER"
    return "NOT PROVEN" if over else "WITHIN"


def _governing(checks: Sequence[Check]) -> tuple[float, int]:
    """Smallest allowed load, never negative, and the index of its check; what is not a number allows nothing."""
    loads_kg = [float(check.allowed_load_kg) for check in checks]
    loads_kg = [-math.inf if math.isnan(load_kg) else load_kg for load_kg in loads_kg]
    index = min(range(len(loads_kg)), key=loads_kg.__getitem__)
    return max(loads_kg[index], 0.0), index


def _falls_unladen(weighed: Balance) -> list[Problem]:
    """Why there is no verdict on a truck that does not even stand unladen: the lines it tips over, or NaN."""
    problems = []
    for line in weighed.lines:
        if not float(line.restoring_Nm) > 0.0:
            words = (
                "The bare truck does not stand by itself: its own weight turns it over the {line} line by {moment:Nm}. "
                "Check axle weights, wheelbase, height of the centre of gravity and the slope."
            )
            numbers = {"line": line.name, "moment": -float(line.restoring_Nm)}
            problems.append(Problem(kind="impossible", where="truck", words=words, numbers=numbers))
    return problems


def _refused(
    problems: list[Problem],
    placed: Placed,
    weighed: Balance | None,
    hanging: Placed | None = None,
    around: Room | None = None,
) -> Verdict:
    return Verdict(
        state="REFUSED",
        problems=tuple(problems),
        placed=placed,
        hanging=placed if hanging is None else hanging,
        balance=weighed,
        leaned=None if weighed is None else balance.on_its_tyres(placed if hanging is None else hanging),
        checks=(),
        worst_case=None,
        governing=None,
        allowed_load_kg=None,
        room=Room() if around is None else around,
    )
