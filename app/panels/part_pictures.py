"""Small pictures of parts to their own proportions, each dimension with a letter: which number is which.

A picture is some views side by side, each drawn to a scale of its own; all lengths are in metres, y upwards.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from engine.schema.model import Hinge, Job
from engine.schema.sections import RectTube, RoundTube, outer_depth_m, outer_width_m

Point = tuple[float, float]


class Dim(NamedTuple):
    """A dimension from ``a`` to ``b`` with its letter; where both are one point, the letter alone stands there."""

    letter: str
    path: str
    a: Point
    b: Point


class Line(NamedTuple):
    """A drawn line through points; ``closed`` ones are filled, ``thin`` ones are only there to measure from."""

    points: tuple[Point, ...]
    closed: bool = True
    thin: bool = False


class Ring(NamedTuple):
    """A circle."""

    centre: Point
    radius: float


class View(NamedTuple):
    """One view: its lines, rings and dimensions, and its share of the width."""

    lines: tuple[Line, ...]
    dims: tuple[Dim, ...]
    rings: tuple[Ring, ...] = ()
    share: float = 1.0


class Picture(NamedTuple):
    """Views of one part side by side, and the path of the section whose size a list offers."""

    views: tuple[View, ...]
    section: str = ""
    first: tuple[str, ...] = ()
    """Entries without a letter that stand before all others."""

    @property
    def letters(self) -> dict[str, str]:
        """Letter of each entry, by its path, in the order a tape is put on."""
        dims = sorted((dim for view in self.views for dim in view.dims), key=lambda dim: _order(dim.letter))
        return {dim.path: dim.letter for dim in dims}


def _order(letter: str) -> tuple[int, str]:
    """Sizes of the section first (W, H, t), then A, B, C."""
    return (_SECTION.index(letter), "") if letter in _SECTION else (len(_SECTION), letter)


_SECTION = ("W", "H", "d", "t")


def _box(x0: float, x1: float, y0: float, y1: float) -> Line:
    return Line(((x0, y0), (x1, y0), (x1, y1), (x0, y1)))


def _section(path: str, section: RectTube | RoundTube) -> View:
    """The section seen along the tube."""
    wide, deep, wall = outer_width_m(section) / 2.0, outer_depth_m(section) / 2.0, section.wall_m
    off = 0.5 * wide
    wall_dim = Dim("t", f"{path}.wall_m", (wide - wall, 0.0), (wide, 0.0))
    if isinstance(section, RoundTube):
        dims = (Dim("d", f"{path}.diameter_m", (-wide, -wide - off), (wide, -wide - off)), wall_dim)
        return View((), dims, (Ring((0.0, 0.0), wide), Ring((0.0, 0.0), wide - wall)), 0.34)
    dims = (
        Dim("W", f"{path}.width_m", (-wide, -deep - off), (wide, -deep - off)),
        Dim("H", f"{path}.depth_m", (-wide - off, -deep), (-wide - off, deep)),
        wall_dim,
    )
    return View(
        (_box(-wide, wide, -deep, deep), _box(wall - wide, wide - wall, wall - deep, deep - wall)), dims, (), 0.34
    )


def sleeves(job: Job) -> Picture:
    """Both sleeves from above, from the fork face."""
    part = job.rig.sleeves
    gap, length = part.heel_gap_m, part.length_m
    half, wide = part.spread_on(job.truck.forks) / 2.0, part.section.width_m / 2.0
    aside = half + 2.2 * wide
    dims = (
        Dim("A", "rig.sleeves.length_m", (gap, -aside), (gap + length, -aside)),
        Dim("B", "rig.sleeves.heel_gap_m", (0.0, aside), (gap, aside)),
        Dim("C", "rig.sleeves.welded_spread_m", (gap + 1.15 * length, -half), (gap + 1.15 * length, half)),
    )
    face = Line(((0.0, -half - wide), (0.0, half + wide)), closed=False)
    tubes = tuple(_box(gap, gap + length, y - wide, y + wide) for y in (half, -half))
    return Picture((View((face, *tubes), dims), _section("rig.sleeves.section", part.section)), "rig.sleeves.section")


def jib_mast(job: Job) -> Picture:
    """The jib mast on its cross-member, from the fork face."""
    mast, deep = job.rig.jib_mast, job.rig.sleeves.section.depth_m
    half, foot, top = outer_depth_m(mast.section) / 2.0, mast.foot_x_m, mast.length_m
    back = mast.lean_rad * top  # of so small a lean
    tube = Line(((foot - half, 0.0), (foot + half, 0.0), (foot + half - back, top), (foot - half - back, top)))
    face = Line(((0.0, -deep), (0.0, 0.4 * top)), closed=False)
    base = _box(0.0, foot + 3.0 * half, -deep, 0.0)
    dims = (
        Dim("A", "rig.jib_mast.length_m", (foot + 4.0 * half, 0.0), (foot + 4.0 * half, top)),
        Dim("B", "rig.jib_mast.foot_x_m", (0.0, -2.2 * deep), (foot, -2.2 * deep)),
        Dim("C", "rig.jib_mast.lean_rad", (foot - 3.0 * half - back, 0.9 * top), (foot - 3.0 * half - back, 0.9 * top)),
    )
    return Picture(
        (View((face, base, tube), dims), _section("rig.jib_mast.section", mast.section)), "rig.jib_mast.section"
    )


def saddles(job: Job) -> Picture:
    """Both straps over the boom, from the jib mast's axis."""
    part, boom = job.rig.saddles, job.rig.boom.section
    front, rear, half = part.front_x_m, part.rear_x_m, part.strap_length_m / 2.0
    deep, thick, seat = boom.depth_m, part.strap_thickness_m, part.seat_m
    mast = outer_depth_m(job.rig.jib_mast.section) / 2.0
    reach = max(front, -rear) + 4.0 * half
    lines = [_box(-mast, mast, -seat - 1.2 * deep, -seat), _box(-reach, reach, 0.0, deep)]
    lines += [_box(x - half, x + half, 0.0, deep + thick) for x in (front, rear)]
    lines.append(Line(((0.0, -seat - 1.6 * deep), (0.0, 2.2 * deep)), closed=False, thin=True))
    over, under = deep + thick + 0.7 * deep, -0.5 * deep
    dims = (
        Dim("A", "rig.saddles.front_x_m", (0.0, over), (front, over)),
        Dim("B", "rig.saddles.rear_x_m", (rear, over), (0.0, over)),
        Dim("C", "rig.saddles.strap_length_m", (front - half, under), (front + half, under)),
        Dim("D", "rig.saddles.strap_thickness_m", (rear - 3.0 * half, deep + thick / 2.0), (rear - 3.0 * half, deep)),
        Dim("E", "rig.saddles.seat_m", (-3.0 * mast, -seat), (-3.0 * mast, 0.0)),
    )
    return Picture((View(tuple(lines), dims),))


def boom(job: Job) -> Picture:
    """The boom from the side, its tail to the left."""
    part = job.rig.boom
    length, deep = part.length_m, part.section.depth_m
    holes = [part.hole_m(number) for number in range(1, part.hole_count + 1)]
    rings = tuple(Ring((x, deep / 2.0), part.pin.hole_m / 2.0) for x in holes)
    over, under = 2.0 * deep, -1.0 * deep
    dims = [
        Dim("A", "rig.boom.length_m", (0.0, under), (length, under)),
        Dim("B", "rig.boom.first_hole_m", (0.0, over), (holes[0], over)),
    ]
    if len(holes) > 1 and not part.hole_steps_m:
        dims.append(Dim("C", "rig.boom.hole_pitch_m", (holes[0], over), (holes[1], over)))
    dims.append(Dim("D", "rig.boom.hole_count", (holes[-1], over), (holes[-1], over)))
    return Picture(
        (View((_box(0.0, length, 0.0, deep),), tuple(dims), rings), _section("rig.boom.section", part.section)),
        "rig.boom.section",
    )


def arm(index: int) -> Callable[[Job], Picture]:
    """An arm from its hinge pin to the next one or the hook, and its hinge."""

    def picture(job: Job) -> Picture:
        part, root = job.rig.arms[index], f"rig.arms[{index}]"
        length, half = part.length_m, outer_width_m(part.section) / 2.0
        radius = part.hinge.barrel_outer_m / 2.0
        dims = (
            Dim("A", f"{root}.length_m", (0.0, -3.0 * half), (length, -3.0 * half)),
            Dim("B", f"{root}.turn_max_rad", (0.6 * length, 3.0 * half), (0.6 * length, 3.0 * half)),
            Dim("C", f"{root}.turn_min_rad", (0.85 * length, 3.0 * half), (0.85 * length, 3.0 * half)),
        )
        tube = _box(1.2 * radius, length - 1.2 * radius, -half, half)
        return Picture(
            (
                View((tube,), dims, (Ring((0.0, 0.0), radius), Ring((length, 0.0), radius)), 0.9),
                _hinge(f"{root}.hinge", part.hinge),
                _section(f"{root}.section", part.section),
            ),
            f"{root}.section",
        )

    return picture


def _hinge(path: str, hinge: Hinge) -> View:
    """Barrels and lugs on their pin, seen from the side."""
    half, pin = hinge.spacing_m / 2.0, hinge.pin.diameter_m / 2.0
    tall, wide, lug = hinge.barrel_length_m / 2.0, hinge.barrel_outer_m / 2.0, hinge.lug_thickness_m
    lines = [_box(-pin, pin, -half - 2.0 * tall, half + 2.0 * tall)]
    edge = hinge.lug_edge_m
    for y in (half, -half):
        lines.append(_box(-wide, wide, y - tall, y + tall))
        lines.append(_box(-edge, edge, y - tall - lug, y - tall))
    out = wide + edge
    dims = (
        Dim("D", f"{path}.spacing_m", (out, -half), (out, half)),
        Dim("E", f"{path}.lug_thickness_m", (-out, half - tall - lug), (-out, half - tall)),
        Dim("F", f"{path}.lug_edge_m", (0.0, -half - 2.5 * tall), (edge, -half - 2.5 * tall)),
    )
    return View(tuple(lines), dims, (), 0.45)


def forks(job: Job) -> Picture:
    """A fork from the side, and both from above."""
    part, root = job.truck.forks, "truck.forks"
    length, thick, half = part.length_m, part.thickness_m, part.spread_m / 2.0
    blade = Line(
        ((0.0, 0.0), (length, 0.0), (length, thick / 2.0), (thick, thick), (thick, 8.0 * thick), (0.0, 8.0 * thick))
    )
    side = View(
        (blade,),
        (
            Dim("A", f"{root}.length_m", (0.0, -2.0 * thick), (length, -2.0 * thick)),
            Dim("B", f"{root}.thickness_m", (0.7 * length, 2.0 * thick), (0.7 * length, thick)),
        ),
    )
    wide = part.width_m / 2.0
    above = View(
        tuple(_box(0.0, length, y - wide, y + wide) for y in (half, -half)),
        (
            Dim("C", f"{root}.width_m", (1.12 * length, half - wide), (1.12 * length, half + wide)),
            Dim("D", f"{root}.spread_m", (1.3 * length, -half), (1.3 * length, half)),
        ),
    )
    return Picture((side, above), first=(f"{root}.rating_each_kg", f"{root}.worn_m"))


def truck(job: Job) -> Picture:
    """The truck from the side, and its wheels from above."""
    part = job.truck
    base, front, track = part.wheelbase_m.best, part.front_overhang_m.best, part.front_track_m.best / 2.0
    ahead, behind, pivot = part.front_tyre_radius_m, part.rear_tyre_radius_m, part.pivot_height_m.best
    face = Line(((front, 0.1), (front, 2.6 * ahead)), closed=False)
    floor = Line(((-1.4 * base, 0.0), (1.6 * front, 0.0)), closed=False, thin=True)
    body = _box(-1.25 * base, 0.6 * front, 0.6 * ahead, 2.6 * ahead)
    dims = (
        Dim("A", "truck.wheelbase_m", (-base, -1.2 * ahead), (0.0, -1.2 * ahead)),
        Dim("B", "truck.front_overhang_m", (0.0, -1.2 * ahead), (front, -1.2 * ahead)),
        Dim("D", "truck.pivot_height_m", (-1.4 * base, 0.0), (-1.4 * base, pivot)),
        Dim("r", "truck.front_tyre_radius_m", (0.0, ahead), (ahead, ahead)),
    )
    side = View((body, face, floor), dims, (Ring((0.0, ahead), ahead), Ring((-base, behind), behind)))
    rear = part.rear_track_m / 2.0
    wheels = [_box(-ahead, ahead, y - 0.09, y + 0.09) for y in (track, -track)]
    wheels += [_box(-base - behind, -base + behind, y - 0.09, y + 0.09) for y in (rear, -rear)]
    above = View(
        tuple(wheels), (Dim("C", "truck.front_track_m", (2.0 * ahead, -track), (2.0 * ahead, track)),), (), 0.8
    )
    weights = ("truck.front_axle_kg", "truck.rear_axle_kg", "truck.cg_height_m")
    return Picture((side, above), first=weights)


def load(job: Job) -> Picture:
    """The load on its rigging from the side, and from above."""
    part = job.load
    long, wide, high, sling = part.length_m / 2.0, part.width_m / 2.0, part.height_m, part.sling_m
    ropes = Line(((-long, high), (0.0, high + sling), (long, high)), closed=False)
    side = View(
        (_box(-long, long, 0.0, high), ropes),
        (
            Dim("A", "load.length_m", (-long, -0.25 * high), (long, -0.25 * high)),
            Dim("C", "load.height_m", (-1.4 * long, 0.0), (-1.4 * long, high)),
            Dim("D", "load.sling_m", (1.4 * long, high), (1.4 * long, high + sling)),
        ),
    )
    above = View(
        (_box(-long, long, -wide, wide),), (Dim("B", "load.width_m", (1.4 * long, -wide), (1.4 * long, wide)),)
    )
    return Picture((side, above), first=("load.mass_kg", "load.rigging_kg"))
