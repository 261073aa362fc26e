"""The rig taken as stiff, as hand models take it: the engine's own figures with the bending set to nothing."""

from __future__ import annotations

import msgspec

from engine import balance
from engine.balance import Balance
from engine.bending import place_bent, with_bending
from engine.checks import Check
from engine.limits import find_checks
from engine.model import Job, Pose
from engine.placing import Figures, figures


def stiff_figures(job: Job, pose: Pose) -> Figures:
    return msgspec.structs.replace(with_bending(job, figures(job, pose)), give=0.0)


def stiff_balance(job: Job, pose: Pose) -> Balance:
    return balance.weigh(place_bent(job, stiff_figures(job, pose)))


def stiff_check(job: Job, pose: Pose, kind: str) -> Check:
    (found,) = (check for check in find_checks(job, stiff_figures(job, pose)) if check.kind == kind)
    return found
