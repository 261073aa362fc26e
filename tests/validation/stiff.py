"""The rig taken as stiff, as hand models take it: the engine's own figures with the bending set to nothing."""

from __future__ import annotations

import msgspec

from engine.limits import balance
from engine.limits.all_limits import find_checks
from engine.limits.balance import Balance
from engine.rig.check import Check
from engine.rig.deflection import place_bent, with_bending
from engine.rig.kinematics import Figures, figures
from engine.schema.model import Job, Pose


def stiff_figures(job: Job, pose: Pose) -> Figures:
    return msgspec.structs.replace(with_bending(job, figures(job, pose)), give=0.0)


def stiff_balance(job: Job, pose: Pose) -> Balance:
    return balance.weigh(place_bent(job, stiff_figures(job, pose)))


def stiff_check(job: Job, pose: Pose, kind: str) -> Check:
    (limit,) = (check for check in find_checks(job, stiff_figures(job, pose)) if check.kind == kind)
    return limit
