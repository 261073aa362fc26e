"""Eight figures that say which design a paper, drawing or file is of, so that they can be matched."""

from __future__ import annotations

import hashlib

import msgspec

from engine.schema.model import Job

FIGURES = 8


def design_digest(job: Job) -> str:
    """First figures of the SHA-256 of truck, rig and allowances as the rig file has them.

    Load, poses, approval, log and names of sizes are not of the design: entering an approval does not change it.
    """
    design = msgspec.json.encode([job.truck, job.rig, job.policy], order="deterministic")
    return hashlib.sha256(design).hexdigest()[:FIGURES]
