"""Why each allowance exists, and where its start value comes from; shown beside the entry."""

from __future__ import annotations

import msgspec

UNSOURCED = "common practice, no source"


class PolicyReason(msgspec.Struct, kw_only=True, frozen=True):
    """What an allowance covers, in one plain sentence, and the source of its start value."""

    words: str
    source: str


POLICY_REASONS: dict[str, PolicyReason] = {
    "dynamic_factor": PolicyReason(
        words=(
            "A load that starts or stops pulls harder than it weighs; 1.1 to 1.25 with a gentle lever on a smooth "
            "floor, 1.5 with a sharp one. 1.0 is plain statics."
        ),
        source=UNSOURCED,
    ),
    "swing_rad": PolicyReason(
        words=(
            "A load that swings, or is pushed by wind or by hand, pulls off plumb by this angle, towards the line "
            "being checked. A tenth of its weight sideways is 5.7 degrees."
        ),
        source=UNSOURCED,
    ),
    "braking": PolicyReason(
        words=(
            "Starting and stopping the truck pushes everything along it by this share of its weight. 0 is a truck "
            "that stands still."
        ),
        source=UNSOURCED,
    ),
    "lean_rad": PolicyReason(
        words=(
            "Play and bending of the upright lean the load further forward than the truck stands empty, up to 1 degree "
            "with the load raised. What the tyres give is worked out besides. 0 leaves it out."
        ),
        source=UNSOURCED,
    ),
    "allowed_tipping_use": PolicyReason(
        words=(
            "Hung, hand-guided loads of uncertain weight use no more than this share of what holds the truck: half "
            "means it would take twice the load moment to tip. Cranes on tyres are usually held to 75 %, small "
            "loaders to 50 %."
        ),
        source=UNSOURCED,
    ),
    "least_rear_share": PolicyReason(
        words="So much of the whole weight stays on the rear wheels: less, and the truck no longer steers or warns.",
        source=UNSOURCED,
    ),
    "least_light_wheel_share": PolicyReason(
        words=(
            "So much of its unladen weight stays on the lighter front wheel: the truck can go over sideways while the "
            "back still looks heavy."
        ),
        source=UNSOURCED,
    ),
    "plate_rule": PolicyReason(
        words="The plate's load times its distance from the fork face is the simple rule and the stricter one for long "
        "reaches; from the front axle it is the balance of the truck. Both bind unless the maker says which.",
        source="29 CFR 1910.178 App. A, worked example; the axle rule is the same moment with the front overhang",
    ),
    "lateral_rule": PolicyReason(
        words=(
            "The plate covers a load centred side to side. Past that a pose is not proven until the maker's answer "
            "covers it; as a caution the sentence stays and the state does not change."
        ),
        source="ISO 22915-10, scope, for the offset a plate covers",
    ),
    "gaps": PolicyReason(
        words=(
            "Free space to what stands round the truck and to the floor: a load swings, a boom sags, a tape is not "
            "straight. Less, and the pose is over, whatever else holds."
        ),
        source=UNSOURCED,
    ),
    "design_factor": PolicyReason(
        words=(
            "Stresses stay this far under the yield: 2 where loads are well known, 3 where they are not. Never under 2."
        ),
        source="ASME BTH-1 design categories A and B (read in a secondary copy; 2.00 from memory)",
    ),
    "unknown_yield_Pa": PolicyReason(
        words=(
            "Steel without papers is taken for the weakest structural tube sold, 10 MPa less as plate, bar or pin and "
            "10 MPa less over 16 mm. More needs a mill paper, a hardness reading or a bend test."
        ),
        source="EN 10217-1 P195TR1 and EN 10255 S195T (secondary copies); EN 10025-2 S185 for bar (from memory)",
    ),
}
"""One reason for each field of ``engine.schema.model.Policy``."""
