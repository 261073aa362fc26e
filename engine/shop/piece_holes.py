"""Holes in plates, shims, lugs and sleeves: each from an end of its piece, from an edge, with its diameter.

Holes in boom and arms stand in ``engine.shop.setting_out``.
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from engine.rig import strap_pieces
from engine.rig.hinge_pieces import as_built, face_lugs_of, sleeve_of
from engine.schema.connections import DropInPin, FabricatedStrap, FaceLugs, HeelPin, HingeEnd, StayLink, ThroughSleeve
from engine.schema.model import Arm, Hinge, Job, Rig, hinge_of
from engine.shop.joint_pieces import lug_count
from engine.shop.setting_out import pin_edge_m

HEEL_DIAMETERS = 2.0
"""A heel pin's middle from the sleeve's heel end, in diameters of its hole (common practice, no source)."""

EACH_END = "each end"

ROUND_END = "round end"
"""The end of a lug about its hole."""


class PieceHole(msgspec.Struct, kw_only=True, frozen=True):
    """A hole alike in ``count`` pieces: its centre from the datum end and from an edge, and its diameter (m).

    ``piece`` is the cut list's name.  A bore along a piece's axis has neither: ``from_datum_m`` and ``from_edge_m`` are
    None.  Datum ``EACH_END`` means two holes.
    """

    piece: str
    through: str = ""
    count: int = 1
    datum: str = "on its axis"
    from_datum_m: float | None = None
    edge: str = ""
    from_edge_m: float | None = None
    diameter_m: float
    note: str = ""


def piece_holes(job: Job) -> tuple[PieceHole, ...]:
    """Every hole that is not in boom or arm, from the sleeves outwards."""
    rig = job.rig
    holes = [*_heel_pin_holes(job), *_strap_holes(rig)]
    for arm in rig.arms:
        holes += [*_hinge_holes(arm), *_stay_holes(arm)]
    if isinstance(rig.hook.end, DropInPin):
        holes.append(PieceHole(piece="head of the hook's standing pin", diameter_m=rig.hook.end.diameter_m))
    return tuple(holes)


def _heel_pin_holes(job: Job) -> Iterator[PieceHole]:
    hold, section = job.rig.sleeves.heel_hold, job.rig.sleeves.section
    if not isinstance(hold, HeelPin):
        return
    hole_m = hold.pin.hole_m
    lowest_m = section.wall_m + hole_m / 2.0
    up_m, note = lowest_m, "on the bottom wall; place along the sleeve: common practice, no source"
    if hold.below_m is not None:
        under_fork_m = section.depth_m - section.wall_m - job.truck.forks.thickness_m
        up_m = max(lowest_m, under_fork_m - hold.below_m - hold.pin.diameter_m / 2.0)
        note = "under the fork; place along the sleeve: common practice, no source"
    yield PieceHole(
        piece="sleeve",
        through="through both sides",
        count=2,
        datum="heel end",
        from_datum_m=HEEL_DIAMETERS * hole_m,
        edge="underside",
        from_edge_m=up_m,
        diameter_m=hole_m,
        note=note,
    )


def _strap_holes(rig: Rig) -> Iterator[PieceHole]:
    """The boom pin's holes in the straps at the saddle it goes through, and in the shims beside the boom there."""
    saddles, edge_m = rig.saddles, pin_edge_m(rig.boom)
    fabricated = isinstance(saddles.strap_make, FabricatedStrap)
    hole = PieceHole(
        piece=f"saddle strap leg, {saddles.pin_at} saddle" if fabricated else f"saddle strap, {saddles.pin_at}",
        count=2 if fabricated else 1,
        datum="lower end" if fabricated else EACH_END,
        from_datum_m=strap_pieces.below_m(saddles) + edge_m,
        edge="either edge",
        from_edge_m=saddles.strap_length_m / 2.0,
        diameter_m=rig.boom.pin.hole_m if saddles.pin_hole_m is None else saddles.pin_hole_m,
        note="" if fabricated else "mark before bending, drill after",
    )
    yield hole
    if strap_pieces.shim_m(saddles)[0] > 0.0:
        yield msgspec.structs.replace(
            hole,
            piece=f"saddle side shim, {saddles.pin_at} saddle",
            count=2,
            datum="lower edge",
            from_datum_m=edge_m,
            edge="either end",
            note="lower edge level with the boom's underside; drill with the strap",
        )


def _hinge_holes(arm: Arm) -> Iterator[PieceHole]:
    """Bores of sleeve or barrels, and the holes in the lugs."""
    entered, name = hinge_of(arm), arm.name
    hinge = as_built(entered)
    if sleeve_of(hinge) is None:
        yield PieceHole(piece=f"{name} barrel", count=2, diameter_m=entered.pin.hole_m, note="right through")
    for side, end in (("inner", hinge.inner_end), ("outer", hinge.outer_end)):
        yield from _end_holes(f"{name} hinge, {side} end", end, hinge, entered.pin.hole_m)
    if face_lugs_of(hinge) is None:
        yield PieceHole(
            piece=f"{name} lug",
            count=lug_count(hinge),
            datum=ROUND_END,
            from_datum_m=hinge.lug_edge_m,
            edge="either side",
            from_edge_m=hinge.lug_edge_m,
            diameter_m=entered.pin.hole_m,
        )


def _end_holes(piece: str, end: HingeEnd | None, hinge: Hinge, hole_m: float) -> Iterator[PieceHole]:
    match end:
        case ThroughSleeve():
            yield PieceHole(piece=f"{piece}: sleeve", diameter_m=end.bore_m, note="right through")
        case FaceLugs():
            yield PieceHole(
                piece=f"{piece}: lug",
                count=2,
                datum=ROUND_END,
                from_datum_m=hinge.lug_edge_m,
                edge="either side",
                from_edge_m=end.width_m / 2.0,
                diameter_m=hole_m,
            )
        case _:
            return


def _stay_holes(arm: Arm) -> Iterator[PieceHole]:
    stay = arm.stay
    lug = stay.end_lug if isinstance(stay, StayLink) else None
    if lug is None:
        return
    for end in ("inner", "outer"):
        yield PieceHole(
            piece=f"{arm.name} stay, {end} lug",
            datum=ROUND_END,
            from_datum_m=lug.edge_m,
            edge="either side",
            from_edge_m=lug.on_face_m / 2.0,
            diameter_m=lug.pin.hole_m,
        )
