"""The joints of a first rig, drawn round its tubes: every piece that the load passes, at sizes to start from.

Nothing here is strong enough by itself; whoever sizes the rig (`engine.planning.new_rig`) makes each piece larger until
it holds.  The ways of joining are those that take a moment well and that one person can cut and weld: a jib mast as
wide as the cross-member it stands on, a cap on its top, straps of three plates lapped on a tube as bed, lugs on a
tube's faces round a sleeve through the next tube.
"""

from __future__ import annotations

import math

import msgspec

from engine.base.errors import EditError
from engine.base.formatting import M_PER_IN, System
from engine.rig import pieces
from engine.schema.connections import (
    BedMount,
    Cap,
    FabricatedStrap,
    FaceLugs,
    Gear,
    HeelPin,
    Pin,
    Retention,
    Rigging,
    SlingLeg,
    SlingTag,
    StrapLapped,
    ThroughPin,
    ThroughSleeve,
    TubeBed,
    Weld,
    WeldQuality,
)
from engine.schema.model import Arm, Boom, Forks, Hinge, Hook, JibMast, Saddles, Sleeves
from engine.schema.part_sizes_for_sale import LENGTH_STEP_M, PIN_SIZES_M, PLATE_SIZES_M, SHACKLE_WLL_KG, WELD_LEGS_M
from engine.schema.quantities import Estimate
from engine.schema.sections import TUBE_OUTSIDE_RADIUS_PER_WALL, RectTube
from engine.schema.steel import design_wall_m
from engine.schema.stock_sizes import SAME_M
from engine.strength.cautions import INCH_LEG_M
from engine.strength.welds import least_leg_m

HOLE_CLEAR_M: dict[System, float] = {"metric": 0.0005, "us": M_PER_IN / 32.0}
"""Hole over pin (common practice, no source)."""

PITCH_M: dict[System, float] = {"metric": 0.15, "us": 6.0 * M_PER_IN}
"""From hole to hole of the boom."""

GAP_M: dict[System, float] = {"metric": 0.002, "us": M_PER_IN / 16.0}
"""Free space beside the boom in its straps, and between a sleeve and its lugs half of that."""

SHIM_TOP_M: dict[System, float] = {"metric": 0.001, "us": M_PER_IN / 16.0}
"""Shim under the boom, and over it."""

BESIDE_WELD_M = 0.003
"""Cap that stands out past a weld's toe (common practice, no source)."""

HOOK_DROP_M: dict[System, float] = {"metric": 0.1, "us": 4.0 * M_PER_IN}
HOOK_MASS_KG = 8.0
LEAST_BED_ROOM_M = 0.005
"""Bed beside the boom at each side at least: a shim of 3 mm and the play beside it."""

STRAP_LENGTHS_M: dict[System, tuple[float, ...]] = {
    "metric": (0.06, 0.08, 0.1, 0.12),
    "us": tuple(M_PER_IN * inches for inches in (2.5, 3.0, 3.5, 4.0, 4.5)),
}
"""Lengths of a strap: any longer, and a hole half a pitch away would lie under it."""

TORCH_ROOM_M = 0.02
"""Between the weld below a strap's leg and the cap: room for a torch (common practice, no source)."""

LAP_STEPS = 4
"""A strap's lap comes in parts of a length's step."""

TURNING_M = 0.005
"""Free space between a tube's end and what turns beside it."""

LEAST_LUG_M = 0.02
"""Width of a lug at least."""

HEEL_PLAY_M: dict[System, float] = {"metric": 0.002, "us": M_PER_IN / 16.0}
"""Play between a fork and the heel pin under it."""

EDGE_DIAMETERS = 1.5
"""From a pin's middle to the edge of what it goes through at least, in its diameters (common practice, no source)."""


class Make(msgspec.Struct, kw_only=True, frozen=True):
    """What a first rig is made of, besides lengths: tubes, the sizes of its pieces, steel, and who welds it.

    ``arms`` are from the boom outwards.  ``sizes`` has one for each name in `piece_sizes` (m, kg for the marked gear).
    """

    units: System
    sleeve: RectTube
    cross: RectTube
    mast: RectTube
    bed: RectTube
    boom: RectTube
    arms: tuple[RectTube, ...] = ()
    sizes: dict[str, float]
    steel: str = "unknown"
    quality: WeldQuality = "own_eye"


def piece_sizes(units: System, arms: int) -> dict[str, tuple[float, ...]]:
    """Every size that a piece of a first rig may have, by the piece's name, the smallest first."""
    step_m = 2.0 * LENGTH_STEP_M[units]
    legs, plates, pins = WELD_LEGS_M[units][1:], PLATE_SIZES_M[units], PIN_SIZES_M[units]
    found: dict[str, tuple[float, ...]] = {
        "weld of the cross-member": legs,
        "weld of the mast's foot": legs,
        "weld of the mast's top": legs,
        "weld of the bed": legs,
        "cap": plates,
        "strap": plates,
        "strap's length": STRAP_LENGTHS_M[units],
        "weld at the straps' corners": legs,
        "weld at the straps' feet": legs,
        "boom pin": pins,
        "hook pin": pins,
        "hook's edge": tuple(round(count * step_m, 6) for count in (2, 3, 4)),
        "gear": SHACKLE_WLL_KG,
    }
    for index in range(arms):
        found |= {
            f"pin of arm {index + 1}": pins[HINGE_PINS_FROM:],
            f"sleeve's wall of arm {index + 1}": plates,
            f"lever of arm {index + 1}": tuple(round(count * step_m, 6) for count in range(1, 9)),
            f"lug of arm {index + 1}": plates,
            f"lug's length of arm {index + 1}": tuple(round(count * step_m, 6) for count in range(4, 13)),
            f"weld of the lugs of arm {index + 1}": legs,
            f"weld of the sleeve of arm {index + 1}": legs,
        }
    return found


def weld(make: Make, name: str, *, groove: bool = False) -> Weld:
    """A weld of a first rig; ``groove`` fills the groove beside a tube's round corner."""
    return Weld(
        leg_m=make.sizes[name],
        electrode="E70",
        kind="flare_bevel" if groove else "fillet",
        process="gas_metal_arc",
        quality=make.quality,
    )


def pin(make: Make, diameter_m: float, retention: Retention) -> Pin:
    """A pin of a diameter, in a hole drilled for it."""
    hole_m = round(diameter_m + HOLE_CLEAR_M[make.units], 6)
    return Pin(diameter_m=diameter_m, hole_m=hole_m, retention=retention)


def heel_pin_m(sleeve: RectTube, forks: Forks, units: System) -> float | None:
    """Diameter of the heel pin: the thickest that keeps its edge distance down to the sleeve's underside; None of none.

    Close under the fork the pin's middle is half its diameter below the play, and 1.5 diameters over the edge.
    """
    below_fork_m = sleeve.depth_m - sleeve.wall_m - forks.thickness_m - HEEL_PLAY_M[units]
    fits = [size for size in PIN_SIZES_M[units] if (EDGE_DIAMETERS + 0.5) * size <= below_fork_m + SAME_M]
    return fits[-1] if fits else None


def sleeves(make: Make, forks: Forks) -> Sleeves:
    """Sleeves over the forks, a pin close under each heel, a cross-member between them."""
    diameter_m = heel_pin_m(make.sleeve, forks, make.units)
    held = None if diameter_m is None else pin(make, diameter_m, "lynch")
    return Sleeves(
        section=make.sleeve,
        length_m=_down(0.9 * forks.length_m, make.units),
        welded_spread_m=forks.spread_m,
        cross_section=make.cross,
        cross_weld=weld(make, "weld of the cross-member", groove=True),
        steel=make.steel,
        heel_hold=None if held is None else HeelPin(pin=held, below_m=HEEL_PLAY_M[make.units]),
    )


def jib_mast(make: Make, length_m: float, foot_x_m: float) -> JibMast:
    """A jib mast flush with the cross-member it stands on, the grooves at its corners filled."""
    return JibMast(
        section=make.mast,
        length_m=length_m,
        foot_x_m=foot_x_m,
        steel=make.steel,
        foot_weld=weld(make, "weld of the mast's foot", groove=True),
    )


def cap(make: Make) -> Cap:
    """A plate on the jib mast's top with a ledge for the welds round mast and bed."""
    leg_m = max(make.sizes["weld of the mast's top"], make.sizes["weld of the bed"])
    more_m = 2.0 * (leg_m + BESIDE_WELD_M)
    return Cap(
        thickness_m=make.sizes["cap"],
        length_m=_up(make.mast.depth_m + more_m, make.units),
        width_m=_up(max(make.mast.width_m, make.bed.width_m) + more_m, make.units),
        steel=make.steel,
    )


def saddles(make: Make, span_m: float) -> Saddles:
    """Two straps of three plates each, lapped on the sides of a tube that is the bed, packed to the boom's width.

    The bed lies on its cap on round corners: at both sides its weld fills the grooves beside them, across it in front
    and behind it is a fillet, where the flat of one reaches past the end of the other.  What a filled groove
    counts for stands in `engine.strength.weld_lines` (flare-bevel, gas metal arc: 5/8 of the corner's radius, AISC 360
    Table J2.2).
    """
    top, beside_m, shim_top_m = cap(make), GAP_M[make.units], SHIM_TOP_M[make.units]
    foot_leg_m = max(
        make.sizes["weld at the straps' feet"],
        least_leg_m(min(make.sizes["strap"], design_wall_m(make.bed, make.steel))),
    )
    below_foot_m = foot_leg_m + max(TUBE_OUTSIDE_RADIUS_PER_WALL * make.bed.wall_m, TORCH_ROOM_M)
    return Saddles(
        front_x_m=0.0,
        rear_x_m=-span_m,
        strap_length_m=make.sizes["strap's length"],
        strap_thickness_m=make.sizes["strap"],
        strap_make=FabricatedStrap(corner_weld=weld(make, "weld at the straps' corners"), corner_faces="both"),
        strap_foot=StrapLapped(lap_m=_down(make.bed.depth_m - below_foot_m, make.units, LAP_STEPS)),
        strap_weld=weld(make, "weld at the straps' feet"),
        side_gap_m=beside_m,
        top_gap_m=beside_m / 4.0,
        shims="steel",
        shim_side_m=round((make.bed.width_m - make.boom.width_m) / 2.0 - beside_m, 6),
        shim_top_m=shim_top_m,
        seat_m=round(pieces.seat_m(make.bed.depth_m, top.thickness_m) + shim_top_m, 6),
        bed=TubeBed(
            section=make.bed,
            ends_closed=True,
            mount=BedMount(
                cap=top,
                weld_mast=weld(make, "weld of the mast's top"),
                weld_bed=weld(make, "weld of the bed", groove=True),
            ),
        ),
        steel=make.steel,
    )


def boom(make: Make, length_m: float, first_hole_m: float, holes: int) -> Boom:
    """A boom with its holes, a stop at each end."""
    return Boom(
        section=make.boom,
        length_m=length_m,
        first_hole_m=first_hole_m,
        hole_pitch_m=PITCH_M[make.units],
        hole_count=holes,
        pin=pin(make, make.sizes["boom pin"], "lynch"),
        stops="both",
        steel=make.steel,
    )


def arm(make: Make, index: int, length_m: float) -> Arm:
    """An arm on a standing hinge: lugs on the faces of the tube before it, round a sleeve through its own."""
    own, before = make.arms[index], make.boom if index == 0 else make.arms[index - 1]
    sizes = {name.removesuffix(f" of arm {index + 1}"): size for name, size in make.sizes.items()}
    gap_m, wide_m = GAP_M[make.units] / 2.0, lug_width_m(before, make.units)
    if wide_m < LEAST_LUG_M:
        raise EditError("lugs", "a tube with a flat wide enough for them", "a narrower one")
    held = pin(make, hinge_pin_m(before, make.units, sizes["pin"]), "nut_split")
    outer_m = round(held.hole_m + 2.0 * sizes["sleeve's wall"], 6)
    most_leg_m = leg_over_m(design_wall_m(before, make.steel), make.units)
    packed_m = before.depth_m + max(sizes["lever"], 4.0 * most_leg_m - 2.0 * gap_m)  # a leg above, a leg below
    sleeve_m = _up(max(own.depth_m + 2.0 * gap_m + sizes["lever"], packed_m), make.units)
    packing_m = round(sleeve_m / 2.0 + gap_m - before.depth_m / 2.0, 6)
    lug_m = min(sizes["lug"], most_lug_m(packing_m, most_leg_m, make.units))
    lugs = FaceLugs(
        thickness_m=lug_m,
        width_m=wide_m,
        on_face_m=sizes["lug's length"],
        reach_m=_up(max(outer_m, own.width_m) / 2.0 + TURNING_M, make.units),
        packing_m=packing_m,
        weld=weld(make, f"weld of the lugs of arm {index + 1}"),
    )
    sleeve_weld = weld(make, f"weld of the sleeve of arm {index + 1}")
    sleeve = ThroughSleeve(length_m=sleeve_m, outer_m=outer_m, bore_m=held.hole_m, weld=sleeve_weld)
    hinge = Hinge(
        pin=held,
        spacing_m=round(pieces.sleeve_spacing_m(sleeve_m, lug_m, gap_m), 6),
        barrel_outer_m=outer_m,
        barrel_length_m=round(sleeve_m / 2.0, 6),
        lug_thickness_m=lug_m,
        lug_edge_m=wide_m / 2.0,
        gap_m=gap_m,
        weld=sleeve_weld,
        steel=make.steel,
        inner_end=lugs,
        outer_end=sleeve,
    )
    return Arm(
        name=f"arm {index + 1}",
        section=own,
        length_m=length_m,
        angle_held="pinned",
        hinge=hinge,
        steel=make.steel,
    )


LUG_STEP_M: dict[System, float] = {"metric": 0.001, "us": M_PER_IN / 16.0}
"""Step of a lug's width."""


def lug_width_m(tube: RectTube, units: System) -> float:
    """The widest lug on the flat of a tube's face, in whole millimetres or sixteenths of an inch."""
    flat_m, step_m = tube.width_m - 2.0 * TUBE_OUTSIDE_RADIUS_PER_WALL * tube.wall_m, LUG_STEP_M[units]
    return round(math.floor(flat_m / step_m + 1e-6) * step_m, 6)


def leg_over_m(thickness_m: float, units: System) -> float:
    """The next leg over a thickness: a larger one counts for nothing there."""
    return next((leg for leg in WELD_LEGS_M[units] if leg >= thickness_m), math.inf)


def most_lug_m(packing_m: float, most_leg_m: float, units: System) -> float:
    """The thickest lug that is not cold on its packing with a leg that the tube's wall under the packing takes.

    One weld is entered for both: lug on packing, packing on tube.
    """
    plates = PLATE_SIZES_M[units]
    warm = [size for size in plates if least_leg_m(min(size, packing_m)) - INCH_LEG_M <= most_leg_m]
    return warm[-1] if warm else plates[0]


HINGE_PINS_FROM = 1
"""Which of the pins for sale is the thinnest that a hinge is drawn with."""


def takes_lugs(tube: RectTube, units: System) -> bool:
    """Whether lugs on a tube's face keep their edge distance beside the thinnest hinge pin."""
    least_m = PIN_SIZES_M[units][HINGE_PINS_FROM]
    return lug_width_m(tube, units) / 2.0 >= EDGE_DIAMETERS * least_m - SAME_M


def hinge_pin_m(tube: RectTube, units: System, most_m: float) -> float:
    """The thickest hinge pin up to a diameter beside which lugs on a tube's face keep their edge distance.

    On a tube too narrow for any, one that the person has chosen, the thinnest.
    """
    beside_m, pins = lug_width_m(tube, units) / 2.0, PIN_SIZES_M[units][HINGE_PINS_FROM:]
    fits = [size for size in pins if size <= most_m + SAME_M and EDGE_DIAMETERS * size <= beside_m + SAME_M]
    return fits[-1] if fits else pins[0]


def hook(make: Make) -> Hook:
    """A pin across the last tube, a marked shackle and hook on it."""
    held, marked_kg = pin(make, make.sizes["hook pin"], "nut_split"), make.sizes["gear"]
    return Hook(
        mass_kg=Estimate(best=HOOK_MASS_KG, known="typical"),
        drop_m=HOOK_DROP_M[make.units],
        end=ThroughPin(pin=held, edge_m=make.sizes["hook's edge"], gap_m=GAP_M[make.units]),
        gear=(
            Gear(kind="shackle", name="shackle", wll_kg=marked_kg),
            Gear(kind="hook", name="hook", wll_kg=marked_kg),
        ),
    )


SLING_M: dict[System, float] = {"metric": 0.5, "us": 20.0 * M_PER_IN}
"""Length of the sling where nobody says it."""


def rigging(length_m: float, rated_kg: float | None) -> Rigging:
    """One sling leg straight down; without a rating no tag, so that nothing hung in it is proven."""
    tag = None if rated_kg is None else SlingTag(vertical_kg=rated_kg)
    return Rigging(hitch="single", legs=(SlingLeg(length_m=length_m),), tag=tag)


def usual_rating_kg(load_kg: float) -> float:
    """Rating of a sling such as one takes for a load: twice its weight, to the next half tonne (ours)."""
    return 500.0 * math.ceil(2.0 * load_kg / 500.0)


def _up(length_m: float, units: System) -> float:
    step_m = LENGTH_STEP_M[units]
    return round(math.ceil(length_m / step_m - 1e-6) * step_m, 6)


def _down(length_m: float, units: System, parts: int = 1) -> float:
    step_m = LENGTH_STEP_M[units] / parts
    return round(math.floor(length_m / step_m + 1e-6) * step_m, 6)
