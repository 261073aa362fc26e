"""Older rig files brought up to the present format, as plain JSON values and before the types see them.

`migrated` is pure and never fails: what does not look like a rig of the older version is left as it is, so that the
types refuse it at its own place.  No joint is invented: what the older version did not hold is *not entered*.  The
notes say, a sentence each, what a person should know of the change.
"""

from __future__ import annotations

import copy
from typing import Any, TypeGuard

from engine.schema.typical_allowances import with_typical

OLDEST_VERSION = 1

WRITTEN_ANEW = (
    "It was written by an older version of the program. The file is as it was until you save it; once saved, that "
    "older version cannot read it. What it does not hold counts as not entered."
)

BOTH_PIN_AND_HOOP = (
    "The hook has a pin and a hoop: is the hoop welded on the tube (then there is no pin), or does it hang on the pin? "
    "Until the hook's end is entered both are kept and checked as before, and nothing says that it holds."
)
CHAIN_TOO = (
    "The heels had a pin each and a chain of {kg:g} kg. The pins count now; enter the chain in their place if it is "
    "what holds the heels."
)
YIELD_LOWERED = (
    "Steel of unknown grade was taken to yield at {was:g} MPa; without papers nothing over 235 MPa counts now."
)
YIELD_NOT_SAID = (
    "What steel of unknown grade yields at was not in the file: it counted as 230 MPa then and counts as 195 MPa now."
)
TENSILE_FIXED = (
    "Unknown steel counts less as plate, bar or pin than as tube, and less over 16 mm; it breaks at 290 MPa."
)
FACTOR_RAISED = "The design factor on yield was {was:g}; it is 2 now, the least that lifting gear is planned with."

WEAR_UNMEASURED = (
    "The forks' wear stood at nothing, which was also what nobody had measured: a tenth of their thickness counts as "
    "lost until it is entered."
)

ALLOWANCES_TYPICAL = (
    "Its allowances for starting and stopping, swing and lean were start values that nobody had to look at: what is "
    "typical counts now where that is more. Set your own under Why, Rules used."
)

HIGHEST_UNKNOWN_YIELD_PA = 235e6
LEAST_DESIGN_FACTOR = 2.0
HIGHEST_YIELD_ONCE_PA, LEAST_FACTOR_ONCE = 355e6, 1.5
"""What version 1 allowed; anything beyond is left for the types to refuse."""

Json = Any
"""A value as JSON has it: nothing is known of its shape yet."""


def migrated(raw: dict[str, Json]) -> tuple[dict[str, Json], tuple[str, ...]]:
    """A file's values in the present format, and what changed in words.

    Parameters
    ----------
    raw : dict
        Plain JSON values; not changed.

    Returns
    -------
    tuple of (dict, tuple of str)
        The same dict and no notes where the file is not of an older version.
    """
    version = raw.get("format_version")
    if version != OLDEST_VERSION or isinstance(version, bool):
        return raw, ()
    job: dict[str, Json] = copy.deepcopy(raw)
    notes: list[str] = [WRITTEN_ANEW]
    job["format_version"] = 2
    for name in ("rig", "drawn"):
        if isinstance(job.get(name), dict):
            _migrate_rig(job[name], notes if name == "rig" else [])
    truck = job.get("truck")
    if isinstance(truck, dict) and isinstance(truck.get("forks"), dict):
        _migrate_forks(truck["forks"], notes)
    if isinstance(job.get("policy", {}), dict):
        _migrate_policy(job.setdefault("policy", {}), notes)
        job["policy"], taken = with_typical(job["policy"], once=True)
        if taken:
            notes.append(ALLOWANCES_TYPICAL)
    return job, tuple(notes)


def _migrate_rig(rig: dict[str, Json], notes: list[str]) -> None:
    """One rig, in place."""
    _migrate_weld(_at(rig, "jib_mast", "foot_weld"))
    _migrate_weld(_at(rig, "saddles", "strap_weld"))
    _migrate_weld(_at(rig, "hook", "hoop", "weld"))
    arms = rig.get("arms")
    for arm in arms if isinstance(arms, list) else ():
        _migrate_weld(_at(arm, "hinge", "weld"))
    _migrate_bed(rig.get("saddles"))
    hook = rig.get("hook")
    if isinstance(hook, dict):
        _migrate_hook(hook, notes)
    if isinstance(rig.get("sleeves"), dict):
        _migrate_heels(rig["sleeves"], notes)
    arms = rig.get("arms")
    for arm in arms if isinstance(arms, list) else []:
        if isinstance(arm, dict):
            rated_Nm = arm.pop("stay_Nm", None)
            arm["stay"] = None if rated_Nm is None else {"kind": "rated_moment", "moment_Nm": rated_Nm}


def _migrate_bed(saddles: Json) -> None:
    """A bed was a tube; how it is welded to the jib mast nobody had entered."""
    if isinstance(saddles, dict) and "bed_section" in saddles:
        section = saddles.pop("bed_section")
        saddles["bed"] = None if section is None else {"kind": "tube", "section": section}


def _migrate_hook(hook: dict[str, Json], notes: list[str]) -> None:
    """A pin alone is a pin through the walls; of a pin and a hoop nobody can say which one holds the hook."""
    rated_kg = hook.pop("rated_kg", None)
    hook["gear"] = [] if rated_kg is None else [{"kind": "hook", "name": "hook", "wll_kg": rated_kg}]
    held = {key: hook.pop(key) for key in ("pin", "edge_m", "gap_m", "hoop") if key in hook}
    if held.get("hoop") is None:
        held.pop("hoop", None)
        hook["end"] = {"kind": "through_pin", **held}
    else:
        hook["end"], hook["version1"] = None, held
        notes.append(BOTH_PIN_AND_HOOP)


def _migrate_heels(sleeves: dict[str, Json], notes: list[str]) -> None:
    """Pin or chain; how far the chain stands from plumb was never asked."""
    pin, chain_kg = sleeves.pop("heel_pin", None), sleeves.pop("heel_chain_kg", None)
    if pin is not None:
        sleeves["heel_hold"] = {"kind": "pin", "pin": pin, "below_m": None, "blade_contact": "spread"}
        if _is_number(chain_kg):
            notes.append(CHAIN_TOO.format(kg=chain_kg))
    elif chain_kg is not None:
        sleeves["heel_hold"] = {"kind": "chain", "wll_kg": chain_kg, "count": 1, "angle_rad": None}
    else:
        sleeves["heel_hold"] = None


def _migrate_forks(forks: dict[str, Json], notes: list[str]) -> None:
    """No wear was what a new file began with, so nobody can say that it was measured."""
    if forks.get("worn_m", 0.0) == 0.0:
        forks["worn_m"] = None
        notes.append(WEAR_UNMEASURED)


def _migrate_policy(policy: dict[str, Json], notes: list[str]) -> None:
    """The allowances, in place: what version 1 let through and lifting gear may not have."""
    factor = policy.get("design_factor")
    if _is_number(factor) and LEAST_FACTOR_ONCE <= factor < LEAST_DESIGN_FACTOR:
        notes.append(FACTOR_RAISED.format(was=factor))
        policy["design_factor"] = LEAST_DESIGN_FACTOR
    taken = policy.get("unknown_yield_Pa")
    if _is_number(taken) and HIGHEST_UNKNOWN_YIELD_PA < taken <= HIGHEST_YIELD_ONCE_PA:
        notes.append(YIELD_LOWERED.format(was=taken / 1e6))
        policy["unknown_yield_Pa"] = HIGHEST_UNKNOWN_YIELD_PA
    elif "unknown_yield_Pa" not in policy:
        notes.append(YIELD_NOT_SAID)
    notes.append(TENSILE_FIXED)


def _is_number(value: Json) -> TypeGuard[float]:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _migrate_weld(weld: Json) -> None:
    """``outline`` became ``faces``."""
    if isinstance(weld, dict) and "outline" in weld:
        weld["faces"] = weld.pop("outline")


def _at(value: Json, *path: str) -> Json:
    """What stands at a path of names; none where something on the way is no object."""
    for name in path:
        value = value.get(name) if isinstance(value, dict) else None
    return value
