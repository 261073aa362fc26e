"""The mutants: each a fault that would cost somebody, written as a fragment of the code and what stands in its place.

A fragment stands exactly once in its module, or `mutated_source` fails: a refactoring has to carry its mutants along.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple


class Mutant(NamedTuple):
    """One fault: the area whose tests have to notice it, module, fragment, replacement, and why it matters."""

    area: str
    module: str
    original: str
    replacement: str
    why: str


def mutated_source(root: Path, mutant: Mutant) -> str:
    """The module's source with the fault in it.

    Raises
    ------
    LookupError
        When the fragment does not stand exactly once in the module.
    """
    source = (root / mutant.module).read_text(encoding="utf-8")
    count = source.count(mutant.original)
    if count != 1:
        raise LookupError(f"{mutant.module}: {mutant.original!r} stands there {count} times, expected once")
    return source.replace(mutant.original, mutant.replacement)


def _mutants(area: str, module: str, *faults: tuple[str, str, str]) -> tuple[Mutant, ...]:
    return tuple(Mutant(area, module, *fault) for fault in faults)


def _strength(module: str, *faults: tuple[str, str, str]) -> tuple[Mutant, ...]:
    return _mutants("strength", f"engine/strength/{module}.py", *faults)


STRENGTH = (
    *_mutants(
        "strength",
        "engine/rig/completeness.py",
        ("if hold is None:", "if hold is not None:", "nothing holds the heels, and nobody is told"),
        ('boom.stops == "both"', 'boom.stops in ("both", "rear")', "one stop taken to hold a boom both ways"),
        ('kept in (None, "none")', "kept is None", "a pin said to be kept in by nothing passes"),
        ('kept == "head_only" and not place.stands', "False", "a lying pin with a head on one side passes"),
    ),
    *_mutants(
        "strength",
        "engine/rig/pin_places.py",
        ("pose.arms[place.arm].fitted", "not pose.arms[place.arm].fitted", "pins asked of the arms that are left off"),
        (
            "hinge_of(arm).pin, _stands(arm), index",
            "hinge_of(arm).pin, True, index",
            "a level hinge's pin taken to stand",
        ),
        ('yield PinPlace("heel pins"', 'PinPlace("heel pins"', "nobody asks what keeps the heel pins in"),
    ),
    *_strength(
        "all_parts",
        ("*forks.checks(job, placed.figures.lift_m, cuts),", "", "fork arms are checked by nobody"),
        ("base = [worse_of(*pair)", "base = [pair[0]", "a base that is worst without swing and braking"),
        ("worst = [worse_of(*pair)", "worst = [pair[0]", "only the first pull direction counts"),
    ),
    *_strength(
        "turned_path",
        ("sums.append(sums[-1].plus(pull))", "sums.append(pull)", "a part carries what is beyond it"),
        ("if part.link in rods_m:", "if not part.link:", "the boom is a rod"),
    ),
    *_strength(
        "allowable_stress",
        ("0.60 * steel_grade.yield_Pa", "0.58 * steel_grade.yield_Pa", "yielding in shear, J4.2"),
        ("0.563 * steel_grade.tensile_Pa", "0.625 * steel_grade.tensile_Pa", "shear of a solid pin, Table J3.2"),
        ("most(OMEGA_FRACTURE, ", "least(OMEGA_FRACTURE, ", "welds and tear-out at the milder of both rules"),
        ('LOWEST_ELECTRODE = "E60"', 'LOWEST_ELECTRODE = "E70"', "an unknown electrode taken for a good one"),
        (
            "throat_m(least(weld.counted_leg_m, wall_m))",
            "throat_m(weld.counted_leg_m)",
            "a leg thicker than its wall counts in full",
        ),
    ),
    *_strength(
        "arms",
        ("CrossHole(hook.cross_pin.pin.hole_m)", "CrossHole(1e-9)", "the hook pin's hole costs section"),
        ("last = cuts.arms[-1][0] if", "last = cuts.arms[0][0] if", "hook hole looked for in the first arm"),
    ),
    *_strength(
        "base_on_forks",
        (
            "per = 1.0 / (base.tip_m - base.heel_m)",
            "per = 1.0 / base.tip_m",
            "tips carry on the length between heel and tip",
        ),
        (
            "base.to_heel_m / (base.to_heel_m",
            "base.to_tip_m / (base.to_heel_m",
            "the tips' share of the roll when free",
        ),
        (
            "LeastOf((tips, loaded",
            "LeastOf((tips.times(0.5), loaded",
            "with the far tip clear the near one carries all",
        ),
        (
            "tip.times(base.to_tip_m).plus(heel.times(base.to_heel_m), -1.0)",
            "tip.times(base.to_tip_m).plus(heel.times(base.to_heel_m))",
            "tip and heel twist the cross-member against each other",
        ),
        (
            "lever = (spread_m - mast_width_m) / 2.0",
            "lever = mast_width_m / 2.0",
            "lever of a sleeve at the mast's face",
        ),
        (
            "seat.weight.times(blade_width_m * 0.5)",
            "seat.weight.times(0.0)",
            "a blade that bears at one edge bends the cross-member's weld",
        ),
    ),
    *_strength(
        "bed",
        ("saddle.up.times(saddle.lever_m)", "saddle.up.times(0.5 * saddle.lever_m)", "bending at the mast's face"),
        (".plus(saddle.away.times(above_m))", "", "the boom's pull along bends the bed of the pinned saddle"),
        ("(per_twist, twist), (", "(", "twist on the bed's side walls"),
        ("(0.25, axial)", "(0.0, axial)", "the mast's push on the bed's side walls"),
        ("most(radius**2 - off_m**2, 0.0)", "radius**2", "a round mast's wall crosses the bed's on a chord"),
        (
            "forces.bend_side.times(3.0 /",
            "forces.bend_side.times(0.0 /",
            "a narrower bed bends the mast's walls across",
        ),
    ),
    *_strength(
        "boom",
        ("hole=CrossHole(boom.pin.hole_m, off)", "hole=CrossHole(boom.pin.hole_m)", "a hole off the middle"),
        ("to_end_m <= depth_m, near_N", "to_end_m <= 0.0, near_N", "walls near the tail's end take half"),
        ("pins.allowed_shear_N(boom.pin, 1, pin_stress)", "math.inf", "the boom pin is never cut"),
        ("saddles.strap_thickness_m * boom", "2.0 * saddles.strap_thickness_m * boom", "the boom pin in its straps"),
        ("return pin_rad < least(", "return pin_rad > least(", "a pin with less play than the straps takes the twist"),
        ("(slide, couple) if taken", "(slide,) if taken", "the twist that the boom pin takes"),
    ),
    *_strength(
        "bought_gear",
        ("least(legs, 2)", "legs", "of four legs two carry all"),
        ("* cos(angle_rad))", ")", "legs that spread pull harder"),
        ("wll_kg * GRAVITY_M_S2 / one(", "wll_kg * GRAVITY_M_S2 * one(", "a rating is for each leg"),
        ("math.radians(60.0)", "math.radians(75.0)", "the flattest leg that may lift"),
    ),
    *_strength(
        "cautions",
        ("thinner = min(design_wall_m(mast", "thinner = max(design_wall_m(mast", "the foot weld's thinner part"),
        ("weld.leg_m < least - FIT", "weld.leg_m < least / 2.0 - FIT", "a cold weld is not told"),
        ("if pin.diameter_m <= room", "if pin.diameter_m <= 2.0 * room", "a heel pin that has no room below the fork"),
    ),
    *_strength(
        "cross_weld",
        (
            "cuts.load_kg, job.truck.forks.width_m / 2.0",
            "cuts.load_kg, 0.0",
            "a blade that bears at one edge bends the weld",
        ),
        ("forces.axial.times(0.5)", "forces.axial.times(0.0)", "braking slides the rig, and this weld holds it"),
        ("abs(weights[2]) * twist", "0.0 * twist", "the mast's moment twists the cross-member's weld"),
        ("NO_ROOM + 0.0 * load_kg", "0.0 * load_kg", "a weld that no face has room for holds nothing"),
        (
            "tube_along(sleeve.depth_m, sleeve.wall_m)",
            "tube_along(sleeve.width_m, sleeve.wall_m)",
            "on a side wall no deeper than the cross-member there is no room for a fillet",
        ),
        ("wall_Nm=limits.across_Nm", "wall_Nm=10.0 * limits.across_Nm", "a thin sleeve's side wall folds"),
    ),
    *_strength(
        "cuts",
        ("for braking in (brake, -brake)", "for braking in (brake,)", "braking backwards"),
        ("hung = own.times(policy.dynamic_factor)", "hung = own", "the dynamic factor"),
        ("(1, 1), (1, -1), (-1, 1), (-1, -1)", "(1, 1), (-1, -1)", "two of four corners of the load swing"),
        ("beyond_boom.plus(overhang_kg, ", "beyond_boom.plus(0.0 * overhang_kg, ", "the boom's own overhang"),
        ("Linear(mx + nx * rigging_kg, nx)", "Linear(mx - nx * rigging_kg, nx)", "the rigging's part of the twist"),
    ),
    *_strength(
        "foot_weld",
        (
            "(mast.steel, mast.section, wall_m), (sleeves",
            "(mast.steel, mast.section, cross_wall_m), (sleeves",
            "a weld thicker than the mast's wall",
        ),
        (
            "job.rig.jib_mast, cuts.mast_foot",
            "job.rig.jib_mast, cuts.mast_top",
            "the mast's own weight and height are left out",
        ),
        (
            "forces.axial, forces.bend_side, forces.bend_up",
            "forces.axial, forces.bend_up, forces.bend_side",
            "nose down the mast folds its wall across, sideways along",
        ),
        ("share = ROUND_BRANCH", "share = 1.0", "a round mast presses on less of its wall than a square one"),
        ("lever_m * foot.per_bend", "0.0 * foot.per_bend", "the cross-member's own bending presses the same wall"),
        (
            "(plate.strip_per_N * per_modulus, forces.bend_side),",
            "",
            "a load that swings sideways bends the base plate too",
        ),
        ("(*own.lines, *lines)", "own.lines", "gussets that count carry with the foot weld"),
    ),
    *_strength(
        "forks",
        ("at_heel.demand / (heel_modulus_m3(forks) * left)", "at_heel.demand / heel_modulus_m3(forks)", "worn heels"),
        ("forks.thickness_m**2 / 6.0", "forks.thickness_m**2 / 4.0", "the elastic section modulus"),
        ("max(one(half_of_plate(", "min(one(half_of_plate(", "the height at which the plate allows most"),
        ("0.0) ** 2", "0.0)", "wear costs the square of the thickness"),
        ("WEAR_LIMIT = 0.10", "WEAR_LIMIT = 0.11", "forks are scrap from a tenth on"),
        (
            "rated_kg = 2.0 * rating_each_kg",
            "rated_kg = rating_each_kg",
            "the standard load centre goes by the truck's rating",
        ),
        (
            "min(row.rated_kg * row.load_centre_m for row in rows) / 2.0",
            "min(row.rated_kg * row.load_centre_m for row in rows)",
            "without a stamp a fork is good for half the plate's moment",
        ),
        ("base.near_fork_moments()", "()", "the near fork's moment with a contact in its play"),
    ),
    *_strength(
        "gussets",
        ('gusset.origin == "typical" or', "False or", "a gusset of start values would be one of the program's own"),
        ('or weld.quality == "not_seen"', "", "a weld that nobody can see"),
        ("if not isinstance(mast.section, RectTube):\n        return", "if False:\n        return", "a round mast"),
        ("if toe_m > reach_m + LENGTH_TOLERANCE_M", "if False", "a toe past the edge of its base plate"),
        ("near_m = BEARS_ON_WALL", "near_m = 10.0 * BEARS_ON_WALL", "a toe between the side walls folds the top wall"),
        ("_weld_N_m(weld, on_mast) / mast_foot.up_the_mast(stands)", "math.inf", "the weld up the mast"),
        ("thick_m * of_plate.shear_Pa / 2.0", "thick_m * of_plate.shear_Pa", "the plate carries both its lines"),
        ("GUSSET_WALL_SHARE * fold_Nm", "10.0 * fold_Nm", "the mast's wall folds under a gusset"),
        ("limits.along_Nm / share", "limits.along_Nm", "gussets side by side share what their wall holds"),
    ),
    *_strength(
        "heel_hold",
        ("(2.0 * span - blade_m) / 8.0", "(span - blade_m) / 8.0", "a blade spread over the pin bends its middle most"),
        ("(span - blade_m) / 4.0", "(span - blade_m) / 8.0", "a blade that bears on the pin at its two edges"),
        (
            "slide.times(0.5)), window(uplift)",
            "slide.times(0.0)), window(uplift)",
            "what slides the rig off the forks pulls at the heel pins",
        ),
        ("cos(angle_rad) * count / 2.0", "cos(angle_rad) * count", "one chain holds both heels"),
        ("/ count / cos(angle_rad)", "/ count", "a chain off plumb pulls harder than the heel lifts"),
    ),
    *_strength(
        "hinge_end_limits",
        (
            "allowed = 0.0 if end.weld is None",
            "allowed = 1e9 if end.weld is None",
            "a sleeve that nobody has welded holds",
        ),
        ("+ 1.0 / patch.push_N, thrust)", ", thrust)", "the weight on a lug pulls at the wall"),
        (
            "hinge_ends.end_plate_weld_sixes(side.pull, plate.reach_m)",
            "hinge_ends.end_plate_weld_sixes(side.pull, 0.0)",
            "the pin stands off the plate's weld",
        ),
        ("parts.wall_steel.shear_Pa, load_kg", "parts.wall_steel.stress_Pa, load_kg", "a wall shears before it tears"),
        ("2.0 * from_plate_m", "0.0", "the weight on a barrel bends the plate it stands out from"),
        (
            "+ ((end.thickness_m + hinge.gap_m) / 2.0 if between else 0.0)",
            "",
            "a lug between barrels is pulled further off the tube",
        ),
        ("lug.standoff_m / patch.along_Nm / 2.0", "0.0", "a lug's pull turns it on the tube's wall"),
        (
            "(weight * parts.per_bend, side.pull.moment_along)",
            "(0.0, side.pull.moment_along)",
            "the tube's own bending presses the wall under a lug",
        ),
        ("x.times(VON_MISES * per_wall)", "x.times(per_wall)", "shear in the wall at an end plate, von Mises"),
        (
            "joined_by(least(wall_m, (end.outer_m - end.bore_m) / 2.0)",
            "joined_by((end.outer_m - end.bore_m) / 2.0",
            "a thick weld on a thin tube counts as its wall",
        ),
    ),
    *_mutants(
        "strength",
        "engine/rig/hinge_pieces.py",
        (
            "return sleeve.length_m + hinge.gap_m",
            "return hinge.spacing_m",
            "lugs pull a sleeve at the gaps at its ends",
        ),
        ("hinge.spacing_m - beyond if between else", "hinge.spacing_m if between else", "lugs between the barrels"),
        (
            "least(plate_lever_m(hinge, ends), hinge.spacing_m)",
            "plate_lever_m(hinge, ends)",
            "a pin's two pulls are never further apart than its lugs",
        ),
        (
            "barrel_length_m=sleeve.length_m / 2.0",
            "barrel_length_m=sleeve.length_m",
            "each end of a sleeve bears on half of it",
        ),
        ("        if row.is_open:", "        if False:", "sizes that contradict each other, and nobody is told"),
        ("edge_m = least(hinge.lug_edge_m, lugs.width_m / 2.0)", "edge_m = hinge.lug_edge_m", "a narrow lug's edge"),
        ("if hinge.shear_planes == 2 and (", "if False and (", "a sleeve held on one side counted as on two"),
    ),
    *_strength(
        "hinge_ends",
        (
            "pull.moment_along.times(per), sign",
            "pull.moment_along.times(per / 2.0), sign",
            "the couple between the ends",
        ),
        ("pull.across.times(0.5)", "pull.across", "the force across the pin is shared by two barrels"),
        (
            "return most((self.length_m - self.depth_m) / 2.0, 0.0)",
            "return 0.0",
            "a sleeve is bent over its overhang",
        ),
        ("(radius + leg_m)", "radius", "a sleeve is welded only where the flat reaches a leg beyond it"),
        ("sides * depth**2 / 6.0", "sides * depth**2 / 2.0", "side welds of a cope reach from the middle out"),
        (
            "along.times(6.0 * o / (b * t**2))",
            "along.times(3.0 * o / (b * t**2))",
            "an end plate bends over its overhang",
        ),
        ("return self.reach_m + self.on_face_m / 2.0", "return self.reach_m", "a lug's lever, from its weld's middle"),
    ),
    *_strength(
        "stay_limits",
        ("across=pull.across.plus(up))", "across=pull.across)", "the stay's force goes through the hinge"),
        ("if stay.make in PULL_ONLY:", "if False:", "a chain under an arm pushes nothing"),
        ("along.times(high_m), nothing)", "along.times(0.0), nothing)", "a high lug bends its weld"),
    ),
    *_strength(
        "hinges",
        ("6.0 * reach / (width * t**2)", "3.0 * reach / (width * t**2)", "thrust bends the lug out of its plane"),
        ("1.0 / (2.0 * barrel) / barrel_throat,\n        1.0", "0.0,\n        1.0", "the pull on the barrels' welds"),
        ("3.0 * outer / (2.0 * barrel**2) / barrel_throat", "0.0", "thrust on the barrels' welds"),
        ("(1.0 / (2.0 * n * width) + weld_tilt) / throat", "weld_tilt / throat", "the pull on the lugs' welds"),
        ("most(hinge.lug_edge_m, hinge.barrel_outer_m / 2.0)", "hinge.lug_edge_m", "a barrel wider than a lug's edge"),
        ("forces.twist.times(-1.0))", "forces.twist.times(0.0))", "twist on the barrels of a standing hinge"),
    ),
    *_strength(
        "hook_ends",
        ("HoopPull(z.times(-1.0), y, x)", "HoopPull(z.times(-1.0), x, y)", "a pull along the link on a hoop across it"),
        ("(frame.foot * radius, e / 2.0)", "(frame.foot * radius, e / 4.0)", "a side pull is held by two feet"),
        ("(0.5, e / (2.0 * radius))", "(0.5, 0.0)", "a side pull tears at one foot and presses the other"),
        ("patch_N * (1.0 - hole_m / head_m)", "patch_N", "the hole takes wall from under a drop-in pin's head"),
        ("(pin.drop_m + pin.depth_m) / pin.depth_m", "1.0", "the lower wall holds more than the side pull"),
    ),
    *_strength(
        "hook_joint",
        ("(in_plane, aside) if held.plane", "(aside, in_plane) if held.plane", "a hoop in line bends its wall along"),
        ("held.edge_m - half_m", "held.edge_m + half_m", "a foot near the open end is allowed half"),
        ("_m - size.bar_m < section.width_m", "_m + size.bar_m < section.width_m", "both feet are one patch too"),
        ("along.times(near), left", "along, left", "the lower wall holds more than a standing pin's side pull"),
    ),
    *_strength(
        "hook_pin",
        ("bending = 4.0 * moment / span", "bending = 8.0 * moment / span", "a hook on the middle of its pin"),
        ("least(held.edge_m, outer_depth_m(section) / 2.0)", "held.edge_m", "tear-out through the tube's underside"),
    ),
    *_strength(
        "hoop",
        ("0.5 + leg / 2.0", "0.5 + leg / 3.0", "the U frame's first condition"),
        ("inner * frame.crown", "frame.crown", "stress of a curved bar is higher inside"),
        ("+ frame.foot * radius / modulus", "", "bending of the feet's welds"),
    ),
    *_strength(
        "jib_mast",
        ("column_m=BASE_PLATE_K * boom_z_m(rig)", "column_m=boom_z_m(rig)", "the mast is a cantilever column"),
        ("column=True", "column=False", "second-order growth of the mast's moments"),
    ),
    *_strength(
        "laid_welds",
        ("        quality_share(weld),\n", "        1.0,\n", "a weld that nobody vouches for counts less"),
        (
            "least(*(thick_m for _, _, thick_m in parts))",
            "most(*(thick_m for _, _, thick_m in parts))",
            "the thinner part",
        ),
        (
            "least(*(allowable_stress(steel, policy, piece)",
            "most(*(allowable_stress(steel, policy, piece)",
            "the metal beside a weld breaks at the weaker of the two steels",
        ),
        ("laid(width_m, length_m, receiver", "laid(length_m, width_m, receiver", "a base plate longer than it is wide"),
        (
            "laid(section.width_m, section.depth_m, receiver",
            "laid(section.depth_m, section.width_m, receiver",
            "a mast wider than it is deep is weaker nose down",
        ),
    ),
    *_strength(
        "linear_in_load",
        ("return here * (1.0 - ROOT_TOLERANCE)", "return here * 1.01", "the allowed load of a combined use"),
        ("demand = demand + weight * abs(", "demand = demand + weight * (", "parts of a sum are added by magnitude"),
        ("0.0, load_at_pull(value, 0.0)", "0.0, math.inf", "what nothing holds is over from its first newton on"),
        (
            "return least(*(value.at(load_kg)",
            "return most(*(value.at(load_kg)",
            "the first contact to hang clear bounds what a tip takes",
        ),
    ),
    *_strength(
        "load_window",
        ("where(per_kg > 0.0, crossing", "where(per_kg > 0.0, math.inf", "a contact that engages as the load grows"),
        ("where(per_kg < 0.0, crossing", "where(per_kg < 0.0, -math.inf", "a contact that holds up to some load"),
        ("Linear(value.at(zero), value.per_kg)", "value", "the demand with which a window opens"),
        ("where(at_limit > end, math.inf", "where(at_limit > start, math.inf", "a limit that is met inside its window"),
        ("at_limit = zero + shifted", "at_limit = shifted", "loads are counted from none, not from the window's start"),
    ),
    *_strength(
        "mast_foot",
        ("EFFECTIVE_UP = 0.6", "EFFECTIVE_UP = 1.0", "how much of a long gusset counts"),
        ("if both_walls else reach_m / depth_m", "", "a plate too short to bear on both side walls"),
        ("return least(mast_m + 2.0 * reach_m", "return most(mast_m + 2.0 * reach_m", "a plate carries on its width"),
        ("ratio * hypot(1.0, 3.0 * ratio)", "ratio", "a gusset's weld up the mast bends with its lever"),
        ("((index + 0.5) / count - 0.5)", "(index / count - 0.5)", "gussets stand evenly about the middle of a face"),
    ),
    *_strength(
        "members",
        ("at_long = 0.7 * elastic", "at_long = 0.9 * elastic", "the 0.7 of lateral buckling"),
        ("lost = 2.0 * wall_m * d", "lost = wall_m * d", "a cross hole goes through both walls"),
        ("1.0 - 1.6 * push_N / buckling_N", "1.0 - push_N / buckling_N", "1.6 of Appendix 8, allowable strength"),
        ("+ (shear + twist) ** 2", "+ shear**2 + twist**2", "shear and twist add before they are squared"),
        ("3.0 * shear * shear", "shear * shear", "von Mises"),
        ("0.658 ** (yield_Pa / euler)", "0.877 ** (yield_Pa / euler)", "E3-2"),
        ("0.6 * yield_Pa * area * least(buckling", "0.58 * yield_Pa * area * least(buckling", "the shear yield factor"),
        ("up / elastic_up + side / elastic_side", "up / elastic_up", "sideways bending at the worst corner"),
        ("return with_local_buckling(yielding)", "return yielding", "the design factor on local buckling"),
        (
            "OMEGA_MEMBER * allowed / most(at_yield, NOTHING), 1.0)",
            "allowed / most(at_yield, NOTHING), 1.0)",
            "the nominal strength, not the allowed one",
        ),
        (
            "area_side_m2=found.area_side_m2 * share(",
            "area_side_m2=found.area_side_m2 * min(1.0, ",
            "thin walls in shear",
        ),
    ),
    *_mutants(
        "strength",
        "engine/rig/pieces.py",
        ("abs(measured_m - of_pieces_m)", "(measured_m - of_pieces_m)", "a piece entered that is not there"),
        ("CAUTION_M = 0.003", "CAUTION_M = 0.03", "a packing plate that was not entered"),
        ("return bed_depth_m + cap_m", "return bed_depth_m", "the boom lies on the cap"),
        ("lug_m + 2.0 * gap_m", "lug_m + gap_m", "a gap above a through sleeve, and one below"),
        ("lug_m + 2.0 * packing_m", "lug_m + packing_m", "packing above the tube, and below"),
    ),
    *_strength(
        "pins",
        ("1.6 * elastic", "1.7 * elastic", "F11's cap on the plastic moment of a solid bar"),
        ("return 2.0 * x - thickness_m", "return x", "the plate's far side pushes back on a tilted pin"),
        ("else 0.95", "else 1.0", "a loose pin loses a twentieth of its tear-out"),
        ("4.0 * moment_Nm / line) - gap_m", "4.0 * moment_Nm / line)", "the gap bends a pin in double shear"),
        (
            "edge = centre_to_edge_m - pin.hole_m / 2.0\n    breaking",
            "edge = centre_to_edge_m\n    breaking",
            "net section and tear-out from the hole's rim, not its centre",
        ),
        (
            "edge = centre_to_edge_m - pin.hole_m / 2.0\n    torn",
            "edge = centre_to_edge_m\n    torn",
            "a heel pin tears out from the hole's rim, not its centre",
        ),
    ),
    *_strength(
        "rigging",
        ("part.per_kg * cuts.rigging_kg, part", "0.0, part", "the rigging hangs in the gear as well"),
        ("part.times(leg.share)", "part.times(0.5)", "legs that spread pull harder than half"),
        ("return Linear(cuts.rigging_kg, 1.0)", "return Linear(0.0, 0.0)", "legs too flat lift nothing"),
    ),
    *_mutants(
        "strength",
        "engine/rig/sling_legs.py",
        ("b**2 - a**2) / (2.0 * (a + b))\n    squared", "b**2) / (2.0 * (a + b))\n    squared", "where two legs meet"),
        ("len(rigging.legs) * sin", "sin", "a tag for the whole set is shared by its legs"),
        ("tag.basket_kg / 2.0", "tag.basket_kg", "a basket's rating is for both its sides"),
        ("degrees >= least - 1e-9", "degrees >= least + 40.0", "a sharp choke takes from the rating"),
    ),
    *_strength(
        "bed_mount",
        (
            "6.0 * strip.strip_m / strip.thickness_m**2",
            "3.0 * strip.strip_m / strip.thickness_m**2",
            "the cap as a plate",
        ),
        (
            "weld_lines.plate(cap.length_m, cap.width_m)",
            "weld_lines.plate(cap.length_m, cap.width_m + 1.0)",
            "a weld on a cap needs a ledge",
        ),
        ("Receiver(front_m, -rear_m, half_m", "Receiver(1.0, -rear_m, half_m", "a bed cut flush with the mast"),
        ('{"left", "right"} <= filled else', "True else", "only filled grooves hold the cap by the bed's whole width"),
        ("least(half_m, front_m, -rear_m)", "half_m", "bed and cap touch only where both are"),
        ("return 2.0 * rig.saddles.cap_m", "return rig.saddles.cap_m", "1 to 1 to both sides"),
    ),
    *_strength(
        "saddle_bed",
        ("bed.rear_lever_m, -1.0)", "bed.rear_lever_m, 1.0)", "the boom's pull along, seen from behind the mast"),
        ("if levers[other] > 0.0 else (own,)", "if False else (own,)", "both saddles ahead of the mast"),
        ("to_end_m = least(front_end_m, -rear_end_m)", "to_end_m = most(front_end_m, -rear_end_m)", "the nearer end"),
        ("NARROW_MAST = 0.85", "NARROW_MAST = 0.0", "a narrow mast folds the bed's lower wall"),
        ("missed = saddles.cap is None and", "missed = False and", "a bed narrower than the mast"),
        ("bearing_m=bed_mount.spread_m(rig)", "bearing_m=0.0", "a cap spreads the force into the bed's walls"),
        (
            "cap.steel if isinstance(saddles.bed, OnCap)",
            "cap.steel if False",
            "straps on the cap bend the cap's own steel",
        ),
        (
            "pressed = up.times(1.0 / limits.push_N)",
            "pressed = up.times(0.0)",
            "a narrow bed presses the boom's underside",
        ),
        ("at_face[0].bend_up.times(per_bend)", "at_face[0].bend_up.times(0.0)", "the bed's bending presses that wall"),
    ),
    *_strength(
        "saddles",
        (
            "rear_up, rear_side = forces.bend_up.times(-per)",
            "rear_up, rear_side = forces.bend_up.times(per)",
            "the tail",
        ),
        ("if straps.top_counts else ()", "if False else ()", "a top corner that presses on its strap"),
        ("signed_sums(NO_PULL, aside)", "()", "a push aside on a strap that is not pulled"),
        (
            "forces.shear_up.times(-1.0).plus(rear_up, -1.0)",
            "forces.shear_up.times(-1.0)",
            "the front saddle's see-saw",
        ),
    ),
    *_strength(
        "sleeves",
        (
            "for seat in base.stiff]\n    if hold",
            "for seat in base.free]\n    if hold",
            "heels lift most where the cross-member holds the sleeves together",
        ),
        ("sliding = cuts.forks.forces.axial.times(0.5)", "sliding = cuts.forks.forces.axial.times(0.0)", "sliding off"),
        ("chain_N(wll_kg, count, at_rad)", "chain_N(wll_kg, 2, at_rad)", "one chain, two heels"),
        ("FLATTEST_CHAIN_RAD if angle_rad is None", "0.0 if angle_rad is None", "a chain taken for plumb unseen"),
        (
            "forks.width_m, held.blade_contact)",
            'forks.width_m, "edges")',
            "a blade spread over its heel pin bends it most",
        ),
        ("wall + held.pin.hole_m / 2.0", "wall + held.pin.hole_m", "wall below a heel pin on the sleeve's bottom"),
        (
            "held.below_m - held.pin.diameter_m / 2.0",
            "held.pin.diameter_m / 2.0",
            "wall below a pin far under the fork",
        ),
        ("magnitudes(left.heel, right.heel)", "magnitudes(left.heel)", "the right heel bears as well"),
        ("tuple(tip.times(to_tip) for", "tuple(tip.times(0.0) for", "a near tip that carries all bends its sleeve"),
        ("others += [(IN_PLAY, twist_at)", "others += [(IN_PLAY, lambda _: 0.0)", "a near tip twists the cross-member"),
    ),
    *_strength(
        "stays",
        ("moment.times(1.0 / line.lever_m)", "moment.times(1.0 / line.length_m)", "a stay pulls on its lever"),
        ("b_x * z - b_z * x", "b_x * z + b_z * x", "lever of a stay fixed above or below the arm's axis"),
        ("plus(pull.times(towards), 0.5)", "plus(pull.times(towards), 0.0)", "a stay's pull comes back at the hinge"),
        ("axial=six.axial.plus(along)", "axial=six.axial", "a stay presses the arm against its hinge"),
        (
            "yield_Pa, length_m) / most",
            "yield_Pa, length_m / 2.0) / most",
            "a strut between pins buckles at its whole length",
        ),
    ),
    *_strength(
        "strap_contact",
        ("signed_sums(up.times(-0.5), twist", "signed_sums(up.times(0.5), twist", "a strap holds the boom down"),
        ("(3.0 * k + 1.0) / (2.0 * (", "(3.0 * k + 1.0) / (4.0 * (", "a portal's foot under a push at its side"),
        ("near * far**2 / span**2", "near**2 * far / span**2", "the strap's corner beside a force on its top"),
        ("throat_m**2 / 6.0", "throat_m**2 / 3.0", "one outside line of weld is bent open"),
        ("/ sides_give if gaps_known else 0.0", "/ sides_give", "a gap nobody measured keeps both contacts"),
    ),
    *_strength(
        "strap_limits",
        ("return not top_over, not sides_over", "return not top_over, False", "sides that touch as soon as the top"),
        ("return True, True", "return True, False", "gaps nobody entered leave nothing out"),
        ("saddles.strap_length_m / 2.0", "saddles.strap_length_m", "shims bear over half the strap"),
        ("allowed=0.0, words=words", "words=words", "a foot without a ledge carries nothing"),
        ("m.held_foot), allowed, numbers)", "m.held_foot), 2.0 * allowed, numbers)", "a lapped leg's weld"),
        ("curved = 1.0 if inside is None else", "curved = 1.0 if True else", "a bend is stressed at its inside"),
    ),
    *_strength(
        "unverified_values",
        ("1.0 / sqrt(3.0)", "0.60", "shear under the design factor, von Mises"),
        ("FRACTURE_FACTOR = 1.20", "FRACTURE_FACTOR = 1.00", "welds under the design factor"),
        ("BASE_PLATE_K = 2.1", "BASE_PLATE_K = 2.0", "a foot that is not perfectly rigid"),
        ("SHEAR_SLENDER = 1.51", "SHEAR_SLENDER = 1.67", "buckling of a very thin web"),
    ),
    *_strength(
        "wall_edge",
        ("(spread / 2.0 if near_end", "(spread if near_end", "near a tube's end the wall yields at half"),
        ("CRIPPLING * root * (1.0 + 3.0", "CRIPPLING * root * (1.0 + 6.0", "a thin wall cripples under a long edge"),
        ("most(YIELDING_OMEGA, design_factor)", "YIELDING_OMEGA", "yielding by the design factor where that is more"),
        ("most(CRIPPLING_OMEGA, design_factor)", "CRIPPLING_OMEGA", "crippling by the design factor if more"),
        ("to_end_m <= depth_m", "to_end_m <= 0.0", "how far an end is felt"),
    ),
    *_strength(
        "wall_patch",
        ("(2.0 * eta / (1.0 - beta) + 4.0", "(4.0 * eta / (1.0 - beta) + 4.0", "yield lines beside a patch"),
        ("most(OMEGA_PATCH, design_factor)", "OMEGA_PATCH", "a wall folds by the design factor where that is more"),
        ("least(pull, crippling_N(wall, patch.along_m))", "pull", "thin side walls cripple when they are pushed"),
        (
            " if (wall.width_m - patch.across_m) / 2.0 - near_m >= near_m else 0.0",
            "",
            "a patch beside a side wall punches at its ends alone",
        ),
        ("if not square_ends:", "if square_ends:", "a tube with open ends shears into a rhombus"),
        ("CHORD_STRESS_SHARE = 0.4", "CHORD_STRESS_SHARE = 0.2", "a wall pressed along the tube holds a patch less"),
    ),
    *_strength(
        "weld_lines",
        (
            "leg = least(deposit.counted_m(deposit.leg_m), joined.thinner_m)",
            "leg = deposit.counted_m(deposit.leg_m)",
            "a leg thicker than the thinner part",
        ),
        ("if ledge >= deposit.leg_m - LENGTH", "if ledge >= -LENGTH", "a fillet where its leg has no room"),
        ("TUBE_CORNER = 2.0", "TUBE_CORNER = 0.0", "a tube's flat ends at its corner"),
        ("else least(half, receiver.flat_m(towards))", "else half", "a line is cut where the flat under it ends"),
        ("(x * x + dx * dx / 12.0)", "(x * x + dx * dx / 4.0)", "a line's own stiffness fore and aft"),
        (
            "least(line.allowed_N_m, allowed_at.get(end, math.inf))",
            "line.allowed_N_m",
            "where two lines meet, the weaker one governs",
        ),
    ),
    *_strength(
        "welds",
        ("(b * d + d**2 / 3.0) * d / 2.0", "(b * d + d**2 / 6.0) * d / 2.0", "a foot weld all round, fore and aft"),
        ("plus(about_x, y / group.side_m3)", "plus(about_x, 0.0)", "sideways bending on a weld group"),
        ("plus(twist, -y / group.twist_m3)", "plus(twist, 0.0)", "twist on a weld group"),
    ),
)

HAND_FORCE = _mutants(
    "hand force",
    "engine/handling/hand_force.py",
    ("HIGH_HAND_N = 110.0", "HIGH_HAND_N = 150.0", "most that a person should start at shoulder height"),
    ("uphill_dry_N=dry + drives_N", "uphill_dry_N=dry - drives_N", "the dry up-hill force raises the warning"),
    ("not self.uphill_dry_N <= ", "not self.uphill_greased_N <= ", "the warning goes by the dry force"),
    ("greased - drives_N", "greased + drives_N", "downhill the drift helps"),
    ("abs(pull.torque_Nm) / arm.length_m", "0.0", "the arm's own drift"),
    ("/ arm.length_m for mu in", "for mu in", "a hand pushes at the arm's end, not at one metre"),
    ("for loaded in (True, False)", "for loaded in (True, True)", "an empty hook is told too"),
    ("max(abs(rear_up), (", "max(rear_up, (", "a tail that bears up rubs as well"),
    ("abs(rear_side) + ", "", "friction at the straps' sides on a sloping floor"),
    ("2.0 * abs(moment.x) /", "1.0 * abs(moment.x) /", "turned arms jam the boom as a couple"),
    ("rig.boom.section.width_m", "rig.boom.section.depth_m", "the couple stands as wide as the boom"),
    ("abs(along_N)", "0.0", "weight along a leaning boom"),
)

CUT_LIST = (
    *_mutants(
        "cut list",
        "engine/shop/cut_list.py",
        (
            "arm.length_m - ends_short_m(rig, index)[1]",
            "arm.length_m",
            "an arm tube runs past its sleeve, and starts at its end plate",
        ),
        ("outermost = index == len(rig.arms) - 1", "outermost = index == 0", "the last tube goes past the hook pin"),
        (
            "sleeves.spread_on(job.truck.forks) - sleeves.section.width_m",
            "sleeves.spread_on(job.truck.forks)",
            "a cross-member fits between",
        ),
        ("length_m=leg_m, count=2", "length_m=leg_m, count=1", "a strap has two legs"),
        ("mast.length_m + outer_depth_m", "mast.length_m - outer_depth_m", "a leaning mast is cut to its long point"),
        ("math.pi * hook.hoop.bend_radius_m", "2.0 * hook.hoop.bend_radius_m", "length of a bent hoop"),
    ),
    *_mutants(
        "cut list",
        "engine/shop/joint_pieces.py",
        ("return 2 * hinge.shear_planes", "return 2", "two lugs to each barrel in double shear"),
    ),
    *_mutants(
        "cut list",
        "engine/shop/cutting_plan.py",
        ("max(section.wall_lost_m or 0.0, WALL_BY_GUESS_M)", "section.wall_lost_m or 0.0", "rusty tube counts thinner"),
        ("at_m = max(at_m, zone.to_m)", "at_m = zone.to_m", "no-go zones that overlap"),
        ("at_m += cut.length_m + kerf_m", "at_m += cut.length_m", "the saw's kerf"),
        ("BOUGHT_BAR_M = 6.0", "BOUGHT_BAR_M = 6.5", "length of a bought bar"),
    ),
    *_mutants(
        "cut list",
        "engine/shop/pin_list.py",
        ("PIN_ENDS = 2.0", "PIN_ENDS = 1.0", "a pin stands out for head and clip"),
        ("hinge.spacing_m + hinge.barrel_length_m", "hinge.spacing_m", "a hinge pin goes through both barrels"),
    ),
    *_mutants(
        "cut list",
        "engine/shop/setting_out.py",
        ("stack_m=number * MARKING_M", "stack_m=MARKING_M", "errors of stepping off add up"),
        ("boom.hole_m(number)", "boom.hole_m(number + 1)", "the first hole is where it is drawn"),
    ),
    *_mutants(
        "cut list",
        "engine/shop/weld_list.py",
        ("2 * lug_count(hinge)", "lug_count(hinge)", "two weld lines to each lug"),
        ("FILLER_OVER_TRIANGLE = 1.5", "FILLER_OVER_TRIANGLE = 1.0", "filler beyond the plain triangle"),
    ),
)

LIMITS = (
    *_mutants(
        "limits",
        "engine/limits/sideways.py",
        ("(5_000.0, 0.100)", "(5_000.0, 0.150)", "a small truck's plate covers 100 mm"),
        ("rated_kg < under_kg", "rated_kg <= under_kg", "the offset steps at the rated load itself"),
        ("max(row.rated_kg for row in rows_at", "1.1 * max(row.rated_kg for row in rows_at", "the row of the height"),
        (
            "(body.mass_kg * across.dot(body.position_m",
            "(0.0 * across.dot(body.position_m",
            "the rig's own weight stands aside too",
        ),
        ("per_kg = dynamic_factor * at_hook", "per_kg = at_hook", "what hangs is felt heavier"),
        ("where(empty_kgm > covered_kgm, most(empty_kgm, moment_kgm), moment_kgm)", "moment_kgm", "a load as balance"),
        (
            "load_at_limit(covered_kgm + growth.fixed, -growth",
            "load_at_limit(covered_kgm + growth.fixed, growth",
            "right",
        ),
        ("-growth.per_kg, -growth.bending", "-growth.per_kg, growth.bending", "bending to the right"),
        ("leaves_unproven=True", "leaves_unproven=False", "the maker may still say that it holds"),
        (
            "approved = lift_m <= approval",
            "approved = lift_m >= approval",
            "an answer up to the approval's fork height",
        ),
        ("fixed - moved * numbers.load_kg", "fixed", "the moment without a load, bending taken back"),
        ('policy.lateral_rule == "caution" else [', 'policy.lateral_rule != "caution" else [', "the rule as chosen"),
    ),
    *_mutants(
        "limits",
        "engine/limits/play.py",
        ("room_m - hold.pin.diameter_m", "room_m + hold.pin.diameter_m", "a heel pin takes up room"),
        ("2.0 * side_m", "side_m", "sides touch one on the left and one on the right"),
        ("forks.at(tip_m)", "forks.at(0.0)", "the rig pitches about the tips"),
        ("left * (job.truck.forks.spread_m / 2.0)", "0.0", "the rig rolls about its near sleeve"),
        ("-play.roll_rad, left)", "play.roll_rad, left)", "towards the side it leans to"),
        ("(1.0 - self.along)", "0.0", "a turn is exact"),
        ("if body.link in firm else", "if body.link not in firm else", "what the boom carries"),
        ("position_m=body.position_m + shift_m", "position_m=body.position_m", "what hangs follows the hook"),
        ("hook_m=placed.hook_m + shift_m", "hook_m=placed.hook_m", "the hook follows its link"),
        ("whole.moved(boom.moved(placed.tip_m))", "whole.moved(placed.tip_m)", "the boom's play moves the hook"),
        ("(settled_forward(job, standing), settled_aside(job, standing))", "(settled_aside(job, standing),)", "pitch"),
        ("(settled_forward(job, standing), settled_aside(job, standing))", "(settled_forward(job, standing),)", "roll"),
        ("greatest_rad <= LOOSE_RAD", "greatest_rad <= 2.0 * LOOSE_RAD", "loose sleeves are told"),
    ),
    *_mutants(
        "limits",
        "engine/limits/room.py",
        ("math.inf if gap_m >= row.wanted_m else 0.0", "math.inf", "a short gap allows nothing"),
        (
            "not float(check.use) <= 1.0 and not check.leaves_unproven",
            "not float(check.use) <= 1.0",
            "what nobody has measured leaves a pose unproven",
        ),
        ("leaves_unproven=bool(row.unmeasured)", "leaves_unproven=False", "what nobody has measured is not over"),
        (
            "told = room if not least >= 0.0 else at_worst",
            "told = at_worst",
            "what is short as entered is told first",
        ),
        ("(UNDER_WORDS if row.met == FLOOR else INSIDE_WORDS)", "INSIDE_WORDS", "a load under the floor is told so"),
        ("gaps.worst.min(axis=1)", "gaps.gap.min(axis=1)", "what may be off counts against a gap"),
    ),
    *_mutants(
        "limits",
        "engine/limits/room_rows.py",
        ("max((box.line_kV or 0.0) - LINE_kV, 0.0)", "0.0", "a power line wants more with its voltage"),
        (
            "if loaded and not (standing and box.sets_load)",
            "if loaded and not box.sets_load",
            "stands only when set down",
        ),
        ('gaps.rig_to_driver_m if box.role == "driver"', 'gaps.rig_to_truck_m if box.role == "driver"', "120 mm"),
        ("UNMEASURED if box.unsure else TO_TRUCK", "TO_TRUCK", "what nobody has measured is by itself"),
        ("- rows.off_m[:, None]", "", "a box may be off"),
        ("worst = gap - np.concatenate([off, off], axis=1)[rows.off]", "worst = gap", "a pose may be off"),
        ("[drawn, drawn + moved]", "[drawn, drawn]", "the load hangs lower as the rig bends"),
        ("gaps.load_to_rig_m\n    if box is None", "0.0\n    if box is None", "a load wants room to the rig"),
        ("hung_load(job.load, placed, count, wander_m)", "hung_load(job.load, placed, count, 0.0)", "swing counts"),
    ),
    *_mutants(
        "limits",
        "engine/rig/boxes.py",
        ("found = np.maximum(found, (np.abs(on_b)", "found = np.minimum(found, (np.abs(on_b)", "best direction"),
        ("(np.abs(between) - reach) / sine", "np.abs(between) - reach", "a product of edges has its length"),
        (
            "half_a[_LAST, None] * size[_NEXT]",
            "half_a[_NEXT, None] * size[_NEXT]",
            "reach across edges",
        ),
    ),
    *_mutants(
        "limits",
        "engine/rig/truck_solids.py",
        ('self.usual and self.role in ("crosshead", "backrest")', "False", "both differ from truck to truck"),
        ("if box.role not in roles and", "if", "a measured box replaces the usual one"),
        ('0.0 if solid.link == "chassis" else ahead_m', "0.0", "measured from the front axle"),
        ("(DRIVER_FROM_M, max(under, DRIVER_TO_M))", "(DRIVER_FROM_M, 1.0)", "the driver's head"),
    ),
    *_mutants(
        "limits",
        "engine/rig/solids.py",
        ("np.where(layout.is_tail[:, None], behind,", "np.where(layout.is_tail[:, None], -behind,", "the tail goes up"),
        ("behind[that] < place - 1", "behind[that] < place - 2", "all but the next link"),
        ('part == FORKS or (part == "boom" and frame != TAIL)', 'part in (FORKS, "boom")', "the boom's tail"),
    ),
    *_mutants(
        "limits",
        "engine/limits/slope.py",
        ("STEEPEST = 0.10", "STEEPEST = 0.30", "no lift on more than 10 %"),
        ("steep = abs(fall)", "steep = fall", "whichever way it falls"),
        ("ALONG_HEAVY if heavy else ALONG", "ALONG", "a truck of 5 t is tried on less"),
        ("pose.lift_m > RAISED_M and ", "", "with the forks raised only"),
    ),
    *_mutants(
        "limits",
        "engine/limits/believed.py",
        ("if not least < value <= most", "if not least < value", "rear wheels that hold too much"),
        ("factor in (slip, 1.0 / slip)", "factor in (slip,)", "pounds for kilograms"),
    ),
    *_mutants(
        "limits",
        "engine/limits/truck_entries.py",
        ("off_m = max(least_m - tape_m, tape_m - most_m)", "off_m = tape_m - most_m", "a tape that is too short"),
        ("min(max(whole_kg, least_kg), most_kg)", "max(whole_kg, least_kg)", "a truck too heavy for its rating"),
        ("half_m / SIDE_SLOPE", "half_m", "a centre as high as the side test lets it be"),
    ),
    *_mutants(
        "limits",
        "engine/limits/plausibility.py",
        ("high_kg < BAND_OF_STEEL * steel_kg", "high_kg < 0.0", "a part lighter than its steel is told"),
        ("LEAST_OF_STEEL * tube_kg <=", "0.0 * tube_kg <=", "a part of no weight is refused"),
    ),
)

MUTANTS = (*STRENGTH, *HAND_FORCE, *CUT_LIST, *LIMITS)
