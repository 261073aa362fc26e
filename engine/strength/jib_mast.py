"""The jib mast: a standing cantilever with the boom's moments, both ways, twist and weight at its top.

It is checked at top and foot for all components together, with the second-order growth of moments in a cantilever
column (effective length K = 2.1 times the height to the boom).  Gussets add nothing to it: the bare tube at its foot is
the cautious choice, since a tube cut off above them carries almost the same moment.
"""

from __future__ import annotations

import functools

from engine.base.plain_call import plain_call
from engine.rig.check import Check
from engine.rig.kinematics import boom_z_m
from engine.schema.model import Job, Policy, Rig
from engine.strength import members
from engine.strength.cuts import Cuts
from engine.strength.members import Member
from engine.strength.unverified_values import BASE_PLATE_K


def checks(job: Job, cuts: Cuts) -> list[Check]:
    """The jib mast at its top and at its foot."""
    member = mast_member(job.rig, job.policy)
    return [
        check
        for words, cut in (("at the top", cuts.mast_top), ("at the foot", cuts.mast_foot))
        for check in members.checks("jib mast", words, cut.place_m, member, cut.forces, cuts.load_kg, column=True)
    ]


@plain_call
@functools.lru_cache(maxsize=64)
def mast_member(rig: Rig, policy: Policy) -> Member:
    """The jib mast's tube as a cantilever column; its depth lies fore and aft."""
    mast = rig.jib_mast
    return members.member_of(
        mast.section, mast.steel, policy, unbraced_m=mast.length_m, column_m=BASE_PLATE_K * boom_z_m(rig)
    )
