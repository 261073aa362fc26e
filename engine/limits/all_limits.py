"""Every limit on a placed pose, gathered from the modules that each know one kind.

Verdict, worst case and planning all ask here, so that none of them can leave a limit out.  A new limit takes two
edits: a function that returns its `Check`s from a placed pose, and one line in `find_checks`.  Worst case, allowed
load, parts list, papers, JSON and explanations follow.
"""

from __future__ import annotations

import msgspec

from engine.limits import approval, brakes, plate, play, sideways, slope
from engine.rig.check import Check
from engine.rig.deflection import apply_bending, with_bending
from engine.rig.kinematics import Figures, place
from engine.schema.model import Job, Policy
from engine.schema.thin_end import thin_end
from engine.strength import all_parts


def find_checks(job: Job, numbers: Figures) -> list[Check]:
    """Every limit on these figures, one pose or arrays of poses (...), with the policy's lean.

    The truck's balance and the plate's rules take every weight where the bent rig carries it
    (``engine.rig.deflection``), the balance also with the rig settled in its play (``engine.limits.play``).  The
    strength of the rig's parts is that of the straight rig, whose rules include the second-order moment.

    Raises
    ------
    ValueError
        When the job has no plate: there is no allowed load without one.
    """
    if job.truck.plate is None:
        raise ValueError("truck.plate: expected a plate, got none")
    straight = place(job, with_bending(job, leaned(numbers, job.policy)))
    standing = apply_bending(straight)
    return [
        *play.checks(job, standing),
        *plate.checks(standing, job.truck.plate, job.policy),
        *sideways.checks(standing, job.truck.plate, job.policy, job.approval),
        *slope.checks(straight),
        *brakes.checks(standing),
        *all_parts.checks(job, straight),
        *approval.checks(straight, job.approval),
    ]


def find_rig_checks(job: Job, numbers: Figures) -> list[Check]:
    """Limits of the rig's own parts and of the forks under one pull off plumb, welds and walls at their thin end.

    For a search that learns what other pulls and uncertain entries add.
    """
    thin = thin_end(job)
    return all_parts.checks_off_plumb(thin, place(thin, with_bending(thin, leaned(numbers, job.policy))))


def find_checks_at_thin_end(job: Job, numbers: Figures) -> list[Check]:
    """The same limits in the same order, of the rig with welds and walls at their thin end: for every worst case."""
    return find_checks(thin_end(job), numbers)


def leaned(numbers: Figures, policy: Policy) -> Figures:
    """The figures with the policy's forward lean of the upright subtracted from the tilt."""
    if not policy.lean_rad:
        return numbers
    return msgspec.structs.replace(numbers, tilt_rad=numbers.tilt_rad - policy.lean_rad)
