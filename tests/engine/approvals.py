"""A job with the maker's approval entered."""

from __future__ import annotations

import msgspec

from engine.schema.model import Approval, Job


def approved(job: Job, allowed_kg: float, lift_max_m: float) -> Job:
    approval = Approval(reference="R-1", date="2026-01-02", by="maker", allowed_kg=allowed_kg, lift_max_m=lift_max_m)
    return msgspec.structs.replace(job, approval=approval)
