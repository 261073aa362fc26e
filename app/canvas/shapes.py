"""Plain shapes given in metres, as painter paths in scene millimetres (y down), and the box an arm takes up."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath, QPolygonF

from app.canvas.transform import MM_PER_M, Spans
from engine.rig import hook_place
from engine.rig.hinge_boxes import Round, tube_span_m
from engine.schema.connections import DropInPin, WeldedHoop
from engine.schema.model import Hook, Rig
from engine.schema.sections import RectTube, RoundTube, outer_depth_m, outer_width_m


def polygon(points: Sequence[tuple[float, float]]) -> QPainterPath:
    """Closed outline through points given in metres, forward and up."""
    path = QPainterPath()
    path.addPolygon(QPolygonF([QPointF(x * MM_PER_M, -z * MM_PER_M) for x, z in points]))
    path.closeSubpath()
    return path


def rectangle(x_from: float, x_to: float, z_from: float, z_to: float) -> QPainterPath:
    """Rectangle in metres, forward and up."""
    path = QPainterPath()
    path.addRect(QRectF(QPointF(x_from * MM_PER_M, -z_to * MM_PER_M), QPointF(x_to * MM_PER_M, -z_from * MM_PER_M)))
    return path


def circle(x: float, z: float, radius: float) -> QPainterPath:
    """Circle in metres."""
    path = QPainterPath()
    path.addEllipse(QPointF(x * MM_PER_M, -z * MM_PER_M), radius * MM_PER_M, radius * MM_PER_M)
    return path


def line(*points: tuple[float, float]) -> QPainterPath:
    """Open line through points in metres."""
    path = QPainterPath(QPointF(points[0][0] * MM_PER_M, -points[0][1] * MM_PER_M))
    for x, z in points[1:]:
        path.lineTo(x * MM_PER_M, -z * MM_PER_M)
    return path


HOLLOW_FLAG_M = 0.07
"""Size of the flag that stands where a joint is not entered; it means no size."""


def hook_end_spans(hook: Hook, section: RectTube | RoundTube) -> tuple[Spans, ...]:
    """Boxes of what holds the hook, along the last link's own axes from where the hook hangs; none if not entered."""
    half_width, half_depth = outer_width_m(section) / 2.0, outer_depth_m(section) / 2.0
    boxes: list[Spans] = []
    if hook.cross_pin is not None:
        diameter = hook.cross_pin.pin.diameter_m
        radius, out = diameter / 2.0, half_width + diameter
        boxes.append(((-radius, radius), (-out, out), (-radius, radius)))
    match hook.end:
        case WeldedHoop():
            boxes += _hoop_spans(hook.end, half_depth)
        case DropInPin(head_m=head, diameter_m=diameter, drop_m=drop):
            half_head, radius = head / 2.0, diameter / 2.0
            boxes.append(((-half_head, half_head), (-half_head, half_head), (half_depth, half_depth + diameter)))
            boxes.append(((-radius, radius), (-radius, radius), (-half_depth - drop, half_depth)))
    return tuple(boxes)


def empty_hook_place(rig: Rig, link: int | None) -> tuple[Spans | Round, ...]:
    """What waits for the hook on a link that carries an arm, from its hinge pin: a hole or a hoop, or nothing."""
    hook, section = rig.hook, hook_place.link_of(rig, link).section
    if hook.behind_hinge_m is None or not hook_place.carries_an_arm(rig, link):
        return ()
    if hook.cross_pin is not None:
        half_width, radius = outer_width_m(section) / 2.0, hook.cross_pin.pin.hole_m / 2.0
        return (Round(radius, (-half_width, half_width), False, -hook.behind_hinge_m),)
    if isinstance(hook.end, DropInPin):
        half_depth = outer_depth_m(section) / 2.0
        return (Round(hook.end.hole_m / 2.0, (-half_depth, half_depth), True, -hook.behind_hinge_m),)
    behind = hook.behind_hinge_m
    return tuple(((x[0] - behind, x[1] - behind), y, z) for x, y, z in hook_end_spans(hook, section))


def _hoop_spans(end: WeldedHoop, half_depth: float) -> tuple[Spans, ...]:
    """Two legs and the bow between them, under the tube or standing out of its end."""
    radius, half_bar = end.hoop.bend_radius_m, end.hoop.bar_m / 2.0
    reach = end.hoop.leg_m + radius + half_bar
    bow, thin = (-radius - half_bar, radius + half_bar), (-half_bar, half_bar)
    legs = (-radius - half_bar, -radius + half_bar), (radius - half_bar, radius + half_bar)
    if end.place == "under":
        tall, low = (-half_depth - reach, -half_depth), (-half_depth - reach, -half_depth - reach + 2.0 * half_bar)
        if end.plane == "across":
            return (thin, bow, low), *((thin, leg, tall) for leg in legs)
        return (bow, thin, low), *((leg, thin, tall) for leg in legs)
    long, tip = (end.edge_m, end.edge_m + reach), (end.edge_m + reach - 2.0 * half_bar, end.edge_m + reach)
    if end.plane == "across":
        return (tip, bow, thin), *((long, leg, thin) for leg in legs)
    return (tip, thin, bow), *((long, thin, leg) for leg in legs)


def hollow_flag() -> QPainterPath:
    """A flag on a pole, hollow: a joint stands here that is not entered."""
    size = HOLLOW_FLAG_M
    path = line((0.0, 0.0), (0.0, 2.0 * size))
    path.addPath(polygon(((0.0, 2.0 * size), (1.2 * size, 1.6 * size), (0.0, 1.2 * size))))
    return path


def arm_spans(rig: Rig, index: int) -> Spans:
    """The box of an arm's tube along its own axes, from its piece of the hinge to the next one's."""
    arm = rig.arms[index]
    half_width, half_depth = outer_width_m(arm.section) / 2.0, outer_depth_m(arm.section) / 2.0
    return tube_span_m(rig, index), (-half_width, half_width), (-half_depth, half_depth)
