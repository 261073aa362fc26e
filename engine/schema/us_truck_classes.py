"""Classes of truck in US sizes: rated loads in pounds at 24 inches, on cushion and on pneumatic tyres."""

from __future__ import annotations

from typing import NamedTuple

from engine.base.formatting import KG_PER_LB, M_PER_IN
from engine.schema.truck_class_ranges import TruckClass

LOAD_CENTRE_IN = 24.0

Ends = tuple[float, float]


class _Row(NamedTuple):
    """A class in pounds and inches; the fork's mass is the pair's."""

    rated_lb: float
    mass_lb: Ends
    wheelbase_in: Ends
    overhang_in: Ends
    rear_share: Ends
    cg_height_in: Ends
    front_radius_in: Ends
    rear_radius_in: Ends
    front_track_in: Ends
    pivot_height_in: Ends
    steer_axle_lb: float
    carriage_lb: float
    upright_lb: Ends
    lowered_in: float
    fork: tuple[float, float, float, float]


_CUSHION = (
    _Row(2000, (4150, 4650), (38, 42), (12.5, 14), (0.56, 0.61), (18.5, 23), (8.0, 9.0), (6.0, 7.0), (29, 32),
         (7.0, 9.5), 180, 110, (320, 230), 76, (110, 36, 4, 1.25)),
    _Row(3000, (5700, 6400), (44, 48), (13.5, 15), (0.56, 0.61), (20, 25), (9.0, 9.5), (6.5, 7.5), (31, 34),
         (7.5, 10), 230, 130, (370, 265), 78, (130, 42, 4, 1.5)),
    _Row(4000, (6900, 7700), (49, 53), (14.5, 16), (0.56, 0.61), (21, 26), (9.5, 10.5), (7.5, 8.0), (33, 36),
         (8.0, 10.5), 280, 170, (460, 330), 81, (160, 42, 4, 1.5)),
    _Row(5000, (8100, 9000), (54, 57), (15.5, 17), (0.56, 0.61), (22, 27), (10.0, 10.75), (7.75, 8.25), (35, 38),
         (8.5, 11), 330, 200, (540, 390), 82, (190, 42, 4, 1.75)),
    _Row(6000, (9300, 10300), (57, 60), (16, 18), (0.57, 0.62), (23, 28), (10.5, 11.0), (8.0, 8.75), (37, 40),
         (9.0, 11.5), 380, 240, (620, 450), 84, (220, 42, 5, 1.75)),
    _Row(8000, (11800, 13400), (65, 69), (17.5, 19.5), (0.57, 0.62), (25, 31), (11.0, 12.0), (8.5, 9.5), (40, 44),
         (9.5, 12.5), 480, 310, (780, 570), 88, (290, 48, 5, 2)),
)  # fmt: skip
_PNEUMATIC = (
    _Row(2000, (4250, 4700), (43, 47), (13.5, 15), (0.53, 0.58), (20, 25), (9.0, 10.5), (7.5, 8.5), (32, 35),
         (8.5, 11), 210, 110, (330, 240), 77, (110, 36, 4, 1.25)),
    _Row(3000, (5700, 6700), (50, 56), (14.5, 16.5), (0.52, 0.58), (20.5, 25.5), (9.5, 11.0), (8.0, 9.0), (34, 37),
         (9.0, 11.5), 245, 135, (375, 270), 78, (135, 42, 4, 1.5)),
    _Row(4000, (6800, 7900), (55, 60), (16, 18), (0.54, 0.60), (22, 27.5), (11.0, 12.5), (9.0, 10.0), (36, 39),
         (9.5, 12.5), 320, 170, (470, 340), 79, (165, 42, 4, 1.5)),
    _Row(5000, (7900, 9500), (61, 66), (17.5, 19.5), (0.55, 0.62), (23, 29), (12.5, 13.75), (10.0, 10.75), (37, 40),
         (10, 13.5), 390, 205, (565, 410), 80, (195, 42, 4, 1.75)),
    _Row(6000, (9000, 10500), (63, 68), (18, 20), (0.56, 0.62), (24, 30), (13.0, 14.25), (10.5, 11.25), (38, 41),
         (10.5, 14), 440, 245, (650, 470), 81, (230, 42, 5, 1.75)),
    _Row(8000, (10900, 12700), (70, 77), (19, 21.5), (0.57, 0.63), (26, 32.5), (14.0, 15.0), (11.25, 12.25), (40, 44),
         (11, 15), 520, 300, (770, 560), 84, (290, 48, 5, 2)),
)  # fmt: skip


def _class(row: _Row) -> TruckClass:
    def metres(ends: Ends) -> Ends:
        return round(ends[0] * M_PER_IN, 4), round(ends[1] * M_PER_IN, 4)

    def kilograms(ends: Ends) -> Ends:
        return round(ends[0] * KG_PER_LB, 1), round(ends[1] * KG_PER_LB, 1)

    fork_lb, *fork_in = row.fork
    length, width, thick = (round(size * M_PER_IN, 5) for size in fork_in)
    return TruckClass(
        rated_kg=row.rated_lb * KG_PER_LB,
        load_centre_m=LOAD_CENTRE_IN * M_PER_IN,
        mass_kg=kilograms(row.mass_lb),
        wheelbase_m=metres(row.wheelbase_in),
        overhang_m=metres(row.overhang_in),
        rear_share=row.rear_share,
        cg_height_m=metres(row.cg_height_in),
        front_radius_m=metres(row.front_radius_in),
        rear_radius_m=metres(row.rear_radius_in),
        front_track_m=metres(row.front_track_in),
        pivot_height_m=metres(row.pivot_height_in),
        steer_axle_kg=round(row.steer_axle_lb * KG_PER_LB, 1),
        carriage_kg=round(row.carriage_lb * KG_PER_LB, 1),
        upright_kg=kilograms(row.upright_lb),
        lowered_m=round(row.lowered_in * M_PER_IN, 4),
        fork=(round(fork_lb * KG_PER_LB, 1), length, width, thick),
    )


US_TRUCK_CLASSES: dict[str, TruckClass] = {
    f"{row.rated_lb:,.0f} lb {tyres}": _class(row)
    for tyres, rows in (("cushion", _CUSHION), ("pneumatic", _PNEUMATIC))
    for row in rows
}
"""Common practice, no source: start values to be replaced by tape, plate and scale."""
