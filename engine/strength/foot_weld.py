"""The weld at the jib mast's foot: a line figure of unit throat by the elastic vector method (``welds``)."""

from __future__ import annotations

import functools

from engine.rig.check import Check
from engine.schema.model import JibMast, Job, Policy
from engine.schema.steel import design_wall_m
from engine.strength import welds
from engine.strength.allowable_stress import AISC_OR_FACTOR, weld_stress_Pa, weld_throat_m
from engine.strength.cuts import Cuts
from engine.strength.linear_in_load import CheckLabel
from engine.strength.welds import LineGroup

WORDS = "{demand:Pa} on the throat ({throat:length}) of a {leg:length} fillet; allowed {allowed:Pa}"


def checks(job: Job, cuts: Cuts) -> list[Check]:
    """The worst point of the foot weld."""
    mast, cut = job.rig.jib_mast, cuts.mast_foot
    group, throat, stress = foot_weld(mast, job.policy)
    label = CheckLabel(
        "jib mast", "foot weld", cut.place_m, "Pa", WORDS, f"{AISC_OR_FACTOR}: J2.4, elastic vector method"
    )
    return [welds.group_check(label, group, cut.forces, mast.foot_weld, (throat, stress), cuts.load_kg)]


@functools.lru_cache(maxsize=64)
def foot_weld(mast: JibMast, policy: Policy) -> tuple[LineGroup, float, float]:
    """Line group of the weld, throat that counts (m) and allowed stress on it (Pa)."""
    wall = design_wall_m(mast.section, mast.steel)
    group = welds.around(mast.section, mast.foot_weld.outline)
    return group, weld_throat_m(mast.foot_weld, wall), weld_stress_Pa(mast.foot_weld, policy)
