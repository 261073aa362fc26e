"""Proof load: which load to hang in a pose, the readings to expect, and whether the truck may hold it.

The test load is a share (by custom 125 %) of everything that may hang on the hook here: allowed load and rigging.  No
limit of the truck is raised for a test: where the test would exceed one (balance, plate, forks, the maker's approval),
it belongs on a fixed frame, and the plan says so.  A passed test does not prove a weld.

Expected readings are plain statics with nominal values: the weight left on the rear wheels, and how much lower the hook
hangs with the test load than empty (``engine.handling.sag``: steel only, no play in straps and hinges, no tyres).
"""

from __future__ import annotations

import math

import msgspec

from engine.handling.sag import sag_of
from engine.limits.approval import permitted
from engine.schema.model import Job, Pose
from engine.schema.quantities import Estimate
from engine.worst_case.verdict import evaluate

PROOF_SHARE = 1.25
"""Test load over what may hang there (ASME B30.20's retest; read in a secondary copy)."""

REPLACE = msgspec.structs.replace


class ProofLoad(msgspec.Struct, kw_only=True, frozen=True):
    """One proof load.

    Attributes
    ----------
    placard_kg, rigging_kg : float
        What the placard allows here, and the rigging it hangs in (nominal).
    test_hung_kg, test_load_kg : float
        Hook load in the test, and the same without the rigging.
    rear_empty_kg, rear_kg, light_front_kg : float
        Weights to expect: on the rear wheels with an empty hook and in the test, on the lightest front wheel in it.
    sag_m : float or None
        How much lower the hook hangs in the test than empty; ``None`` where the sag does not converge.
    over : tuple of str
        Limits of the truck, its maker's approval among them, that the test would exceed in the worst case (part and
        kind).
    heaviest_use : float
        Greatest worst-case use of the rig's own parts in the test: what the test is for.
    """

    pose: Pose
    placard_kg: float
    rigging_kg: float
    test_hung_kg: float
    test_load_kg: float
    rear_empty_kg: float
    rear_kg: float
    light_front_kg: float
    sag_m: float | None
    over: tuple[str, ...]
    heaviest_use: float

    @property
    def on_a_frame(self) -> bool:
        """Whether the test belongs on a fixed frame rather than on the truck."""
        return bool(self.over)


def proof_load(job: Job, pose: Pose) -> ProofLoad | None:
    """The proof load of one pose, taken with the hook loaded; ``None`` where nothing is allowed at all."""
    pose = REPLACE(pose, loaded=True)
    allowed_kg = evaluate(job, pose).allowed_load_kg
    if allowed_kg is None:
        return None
    placard_kg = float(math.floor(permitted(job, pose.lift_m, allowed_kg).load_kg))
    if not 0.0 < placard_kg < math.inf:
        return None
    rigging_kg = job.load.rigging_kg.best
    hung_kg = PROOF_SHARE * (placard_kg + rigging_kg)
    test_kg = hung_kg - rigging_kg
    test_job, empty_pose = _with_load(job, test_kg), REPLACE(pose, loaded=False)
    test, empty = evaluate(test_job, pose), evaluate(job, empty_pose)
    if test.leaned is None or test.worst_case is None or empty.leaned is None:
        return None
    test_sag, empty_sag = sag_of(test_job, pose), sag_of(test_job, empty_pose)
    uses = tuple(zip(test.checks, test.worst_case.use, strict=True))
    return ProofLoad(
        pose=pose,
        placard_kg=placard_kg,
        rigging_kg=rigging_kg,
        test_hung_kg=hung_kg,
        test_load_kg=test_kg,
        rear_empty_kg=float(empty.leaned.rear_kg),
        rear_kg=float(test.leaned.rear_kg),
        light_front_kg=float(test.leaned.light_front_kg),
        sag_m=test_sag.hook_drop_m - empty_sag.hook_drop_m if test_sag.settled and empty_sag.settled else None,
        over=tuple(check.name for check, use in uses if check.of != "rig" and not use <= 1.0),
        heaviest_use=max(use for check, use in uses if check.of == "rig"),
    )


def _with_load(job: Job, load_kg: float) -> Job:
    """The job with a weighed test load on the hook."""
    return REPLACE(job, load=REPLACE(job.load, mass_kg=Estimate(best=load_kg, known="weighed")))
