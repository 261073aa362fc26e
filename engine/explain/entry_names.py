"""What an entry of the job is called and what kind of quantity it holds, both from its name in the model."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from engine.schema.model import Job

LABELS = {
    "outer_kg": "outer section, stays down",
    "inner_kg": "inner section, rises",
    "lowered_height_m": "height, lowered",
    "tilt_pivot_x_m": "tilt pivot, ahead of the front axle",
    "tilt_pivot_z_m": "tilt pivot, above the floor",
    "tilt_back_max_rad": "tilts back up to",
    "tilt_forward_max_rad": "tilts forward up to",
    "lift_min_m": "lowest fork height",
    "lift_max_m": "highest fork height",
    "front_x_m": "front strap, ahead of the mast",
    "rear_x_m": "rear strap, ahead of the mast (behind it: minus)",
    "foot_x_m": "foot, ahead of the fork face",
    "seat_m": "height of the seat",
    "turn_max_rad": "turns left or up to",
    "turn_min_rad": "turns right or down to (minus)",
    "hole_count": "holes",
    "first_hole_m": "first hole from the tail",
    "hole_pitch_m": "from hole to hole",
    "worn_m": "worn at the heel",
    "rating_each_kg": "stamp, each fork",
    "cg_height_m": "height of the centre of gravity",
    "front_axle_kg": "front axle weight, bare",
    "rear_axle_kg": "rear axle weight, bare",
    "front_overhang_m": "front axle to fork face",
    "front_track_m": "front tyre centre to centre",
    "rear_track_m": "rear tyre centre to centre",
    "pivot_height_m": "rear axle pivot height",
    "steer_axle_kg": "steer axle with wheels",
    "tyres": "front tyres",
    "weighed_lift_m": "fork height when weighed",
    "lift_m": "up to fork height",
    "load_centre_m": "load centre from fork face",
    "rated_kg": "rated load",
    "known": "how known",
    "x0_m": "from, ahead of front axle",
    "x1_m": "to, ahead of front axle",
    "y0_m": "from, left of centreline",
    "y1_m": "to, left of centreline",
    "z0_m": "from, over the floor",
    "z1_m": "to, over the floor",
    "floor": "only at the floor called",
    "line_kV": "power line's voltage, kV",
    "sets_load": "load may stand on it",
    "hang": "kept from turning by",
    "heading_rad": "its length lies, from ahead",
    "gaps": "free space wanted",
    "rig_to_object_m": "rig to what stands round",
    "load_to_object_m": "load to what stands round",
    "load_to_rig_m": "load to rig and truck",
    "rig_to_truck_m": "rig to truck",
    "rig_to_driver_m": "to the driver's space",
    "rig_to_rig_m": "parts of the rig to each other",
    "rear_overhang_m": "behind the rear axle",
    "turning_radius_m": "turning radius, rear corner",
    "guard_height_m": "top of the overhead guard",
    "has_guard": "has an overhead guard",
    "has_crosshead": "upright has a cross bar",
    "has_backrest": "has a load backrest",
    "solids": "measured part",
    "role": "what it is",
    "link": "moves with",
    "load_to_floor_m": "load to floor",
    "best": "best value",
    "fall_along": "slope, down to the front +",
    "fall_across": "side slope, down to the left +",
    "surface": "surface, wet if blank",
    "unknown_yield_Pa": "yield taken for unknown steel",
    "swing_rad": "load off plumb",
    "braking": "braking, share of g",
    "lean_rad": "lean",
    "least_rear_share": "least rear share of whole weight",
    "least_light_wheel_share": "least share left on lightest front wheel",
    "end": "what holds the hook",
    "spacing_m": "from barrel to barrel, or lug to lug",
    "stay": "what holds a level arm up",
    "angle_held": "what keeps a standing arm at its angle",
    "at_inner": "fixed on the link before the arm",
    "at_arm": "fixed on the arm",
    "at": "where the arm bears on it",
    "x_m": "along, from the hinge axis",
    "make": "kind of stay",
    "end_lug": "lugs at its ends",
    "moment_Nm": "moment it is good for",
    "coped": "tube cut half round, or drilled through",
    "on_face_m": "welded along the tube",
    "reach_m": "from the tube's end to the pin",
    "packing_m": "packing under each",
    "weld_tube": "weld to the tube",
    "weld_barrel": "weld of barrels or lugs, if not the hinge's",
    "edge_m": "from the tube's end",
    "behind_hinge_m": "behind hinge, arm off",
    "head_m": "width of the head",
    "plane": "plane of the hoop, to the link",
    "place": "where the hoop stands",
    "version1": "pin and hoop of the older file",
    "retention": "what keeps it in its hole",
    "inner_end": "barrels or lugs on the inner link",
    "outer_end": "barrels or lugs on the arm",
    "gear": "piece of bought gear",
    "wll_kg": "working load limit as marked",
    "angle_rad": "angle from plumb",
    "rigging": "how the load is slung",
    "points": "where the slings hold the load",
    "a_m": "behind the centre of gravity",
    "b_m": "ahead of the centre of gravity",
    "above_m": "over the centre of gravity",
    "tag": "the sling's tag",
    "vertical_kg": "one leg plumb",
    "choker_kg": "one leg choked",
    "basket_kg": "as a basket, both sides plumb",
    "legs_at_rad": "whole set, legs from level",
    "choke_angle_rad": "angle of choke",
    "hoist": "chain hoist",
    "design_factor": "design factor on yield",
    "base": "stands on",
    "out_m": "along the base",
    "up_m": "up the mast",
    "strap_make": "how the straps are made",
    "strap_foot": "how the legs stand on the bed",
    "foot_faces": "weld of a leg on top, on",
    "corner_faces": "weld at a corner, on",
    "corner_weld": "weld at the corners",
    "inside_radius_m": "radius inside the bend",
    "lap_m": "down the bed's side",
    "side_gap_m": "free at each side of the boom",
    "top_gap_m": "free over the boom",
    "weld_shrink_m": "leg drawn in by its weld",
    "shim_side_m": "shims at each side, thick",
    "shim_top_m": "shims over and under, thick",
    "pin_hole_m": "boom pin's hole in the strap",
    "bed": "saddle bed",
    "mount": "on the jib mast",
    "cap": "cap plate",
    "ends_closed": "both ends closed",
    "weld_mast": "weld to the jib mast",
    "weld_bed": "weld of cap to bed",
    "quality": "looked at",
    "leg_known": "leg measured with",
    "wall_known": "wall from",
    "wall_lost_m": "wall lost to rust",
    "stops": "stops at its ends",
    "heel_hold": "what holds the heels down",
    "welded_spread_m": "spread as welded",
    "below_m": "gap between fork and pin",
    "blade_contact": "the fork bears on it",
    "to": "hooked on the",
}
"""Plain words for names that do not read by themselves."""

CHOICES = {
    "guard_leg": "guard leg",
    "crosshead": "cross bar",
    "chassis": "truck",
    "outer": "outer part",
    "inner": "inner part",
    "flare_bevel": "filled groove",
    "gauge": "weld gauge",
    "nominal": "papers",
    "pjp": "part through",
    "qualified_ndt": "crack tested",
    "qualified_visual": "second eye",
    "not_seen": "cannot see it",
    "on_cross": "cross-member",
    "collar_bolt": "collar, bolt",
    "nut_split": "nut, split pin",
    "lynch": "lynch pin",
    "by_hand": "a hand or a line",
    "pinned": "a pin",
    "r_clip": "R-clip",
    "spread": "all along",
    "edges": "at its edges",
    "both": "both faces",
    "outside": "outside only",
    "on_cap": "on the cap",
    "free": "nothing",
    "one_line": "one tag line",
    "two_lines": "two tag lines",
    "fixed": "two points",
    "line": "power line",
    "dry": "dry concrete",
    "wet": "wet or dusty concrete",
    "between": "on the way",
    "pick_up": "picked up here",
    "set_down": "set down here",
    "pneumatic": "air",
    "pneumatic_soft": "air, soft",
    "press_on": "pressed on",
}
"""Plain words for choices that do not read by themselves."""

_KIND_OF_UNIT = {"m": "length", "kg": "mass", "rad": "angle", "Pa": "stress", "Nm": "moment", "kgm": "kgm"}
_SIZES = frozenset((
    "bar_m", "barrel_length_m", "barrel_outer_m", "below_m", "bend_radius_m", "bore_m", "depth_m", "diameter_m",
    "edge_m", "gap_m", "head_m", "hole_edge_m", "hole_m", "inside_radius_m", "kerf_m", "lap_m", "leg_m", "lug_edge_m",
    "lug_thickness_m", "lug_weld_length_m", "on_face_m", "outer_m", "packing_m", "pin_hole_m", "seat_m", "shim_side_m",
    "shim_top_m", "side_gap_m", "slack_m", "stack_m", "strap_thickness_m", "thickness_m", "throat_m", "top_gap_m",
    "wall_lost_m", "wall_m", "weld_shrink_m", "width_m", "worn_m",
))  # fmt: skip
"""Lengths of a section, plate, pin, weld or hole: shown in inches, not in feet."""

_SHARES = {"allowed_tipping_use", "least_rear_share", "least_light_wheel_share"}


def label_of(name: str) -> str:
    """Plain words for an entry's name."""
    if name in LABELS:
        return LABELS[name]
    base, _, unit = name.rpartition("_")
    return (base if unit in _KIND_OF_UNIT and base else name).replace("_", " ")


def choice_words(choice: str | int) -> str:
    """Plain words for a choice."""
    return CHOICES.get(str(choice), str(choice).replace("_", " "))


def kind_of(name: str) -> str:
    """Kind of quantity an entry holds (see `engine.base.formatting.show`), from the ending of its name."""
    unit = name.rpartition("_")[2]
    if name in _SIZES:
        return "size"
    if name.endswith("_m_s"):
        return "speed"
    if unit in _KIND_OF_UNIT:
        return _KIND_OF_UNIT[unit]
    if name in _SHARES:
        return "share"
    return "fall" if name.startswith("fall_") else "ratio"


def entry_words(path: str, job: Job) -> str:
    """What an entry of a job is called, with the names that somebody gave: "slope at ‘slipway head’"."""
    steps: list[str] = path.split(".")
    node: Any = job
    names: list[str] = []
    for step in steps:
        name, _, index = step.partition("[")
        node = getattr(node, name, None)
        if index:
            at = int(index.removesuffix("]"))
            node = node[at] if isinstance(node, tuple) and at < len(node) else None
            given = getattr(node, "name", None)
            names.append(f"‘{given}’" if given else f"{label_of(name).rstrip('s')} {at + 1}")
        elif name not in _NOT_SAID:
            names.append(label_of(name))
    if path.startswith("floors[") and len(names) > 1:
        return f"{names[1].partition(',')[0]} at {names[0]}"
    return ", ".join(reversed(names)) if len(names) > 1 else "".join(names)


_NOT_SAID = frozenset({"rig", "truck", "best", "policy", "floors", "poses", "pose"})
"""Steps of a path that add nothing to what an entry is called."""


def entry_title(path: str, data: Any) -> str:
    """What an entry is called at the start of a sentence, the whole before the part: "Boom, pin, diameter".

    Parameters
    ----------
    path : str
        Such as ``rig.arms[1].section.wall_m``.
    data : Job or dict
        The job, or its plain values, whole or damaged: the names that somebody gave are taken from it.
    """
    node: Any = data
    names: list[str] = []
    for name, index in _STEPS.findall(path):
        if not index:
            node = node.get(name) if isinstance(node, dict) else getattr(node, name, None)
            if name not in _NOT_IN_A_TITLE:
                in_pose = name == "floor" and not path.startswith("surroundings")
                names.append("floor" if in_pose else _ENDS.get(name) or label_of(name))
            continue
        at = int(index)
        node = node[at] if isinstance(node, tuple | list) and at < len(node) else None
        given = node.get("name") if isinstance(node, dict) else getattr(node, "name", None)
        called = f"‘{given}’" if isinstance(given, str) and 0 < len(given) <= LONGEST_NAME else f"{at + 1}"
        if names:
            names[-1] = f"{names[-1].removesuffix('s')} {called}"
    if path.startswith("floors[") and len(names) > 1:
        names = [f"{names[1].partition(',')[0]} at {names[0].removeprefix('floor ')}", *names[2:]]
    words = ", ".join(names)
    return words[:1].upper() + words[1:]


LONGEST_NAME = 120
_STEPS = re.compile(r"([^.\[\]]+)|\[(\d+)\]")
_NOT_IN_A_TITLE = frozenset({"rig", "truck", "best", "policy", "section"})
_ENDS = {"low": "least", "high": "most"}


def place_words(path: str) -> str:
    """Plain words for a path such as ``arms[1].section.wall_m``: "Arms 2, section, wall"."""
    steps = []
    for step in path.split("."):
        name, _, index = step.partition("[")
        steps.append(f"{label_of(name)} {int(index.removesuffix(']')) + 1}" if index else label_of(name))
    words = ", ".join(steps)
    return words[:1].upper() + words[1:]
