"""Where the hook hangs on a link: at the end of the last one, or behind the next hinge where that arm is left off.

A link that carries an arm ends in a piece of its hinge, so no hook hangs at its end.  It has a place for the hook, a
hole or a hoop like the outermost link's, only ``Hook.behind_hinge_m`` back from the hinge pin; while that is not
entered the hook counts at the hinge pin (on the boom at its own distance from the end), and nothing says that it holds.

A link is named by the index of its arm; None is the boom.
"""

from __future__ import annotations

from engine.rig.hinge_pieces import ends_short_m
from engine.schema.model import Arm, Boom, Rig


def outermost(rig: Rig) -> int | None:
    """The last link with every arm fitted."""
    return len(rig.arms) - 1 if rig.arms else None


def next_arm(link: int | None) -> int:
    """Index of the arm whose hinge a link would carry."""
    return 0 if link is None else link + 1


def carries_an_arm(rig: Rig, link: int | None) -> bool:
    """Whether the end of a link is a piece of the next arm's hinge."""
    return link != outermost(rig)


def link_of(rig: Rig, link: int | None) -> Boom | Arm:
    """The link itself."""
    return rig.boom if link is None else rig.arms[link]


def places(rig: Rig) -> tuple[int | None, ...]:
    """Every link with a place for the hook, from the boom outwards."""
    last = outermost(rig)
    if rig.hook.behind_hinge_m is None:
        return (last,)
    return (None, *range(len(rig.arms)))


def back_m(rig: Rig, link: int | None) -> float:
    """From a link's end (an arm's length, the boom's end) back to where the hook hangs while it is the last."""
    behind_m = rig.hook.behind_hinge_m
    if carries_an_arm(rig, link) and behind_m is not None:
        return behind_m
    return rig.hook.edge_m if link is None else 0.0


def edge_m(rig: Rig, link: int | None) -> float:
    """From where the hook hangs to the cut end of the link's tube."""
    behind_m = rig.hook.behind_hinge_m
    if not carries_an_arm(rig, link) or behind_m is None:
        return rig.hook.edge_m
    return behind_m - ends_short_m(rig, next_arm(link))[0]
