"""What a turn pulls the rig with: for every part, the pull on that part and on everything it carries.

It stands beside `engine.rig.load_path`, whose two sums say nothing of a pull that differs from place to place.  Boom
and arms are even rods, everything else points; what hangs on the hook is left out there as well as here.
"""

from __future__ import annotations

from typing import NamedTuple

from engine.rig.kinematics import Placed, arm_link
from engine.rig.load_path import rig_parts
from engine.rig.turning import NO_PULL, Field, Pull, pull_on, pull_on_rod
from engine.schema.model import Job


class TurnedPath(NamedTuple):
    """Pulls outboard of each part, that part counted; ``arms`` holds the fitted arms, from the boom outwards."""

    sleeves: Pull
    jib_mast: Pull
    saddles: Pull
    boom: Pull
    arms: tuple[Pull, ...]
    hook: Pull

    @property
    def beyond_boom(self) -> Pull:
        """Pull on what hangs at the end of the boom."""
        return self.arms[0] if self.arms else self.hook


def turned_path(job: Job, placed: Placed, field: Field | None) -> TurnedPath:
    """Fold the rig's own parts, from the hook inwards; no pull anywhere without a field."""
    parts = rig_parts(placed)
    if field is None:
        sums = [NO_PULL] * len(parts)
    else:
        rods_m = {"boom": job.rig.boom.length_m}
        rods_m |= {arm_link(index): arm.length_m for index, arm in enumerate(job.rig.arms)}
        *inner, hook = parts
        sums = [pull_on(field, hook.mass_kg, hook.position_m)]
        for part in reversed(inner):
            if part.link in rods_m:
                along = placed.frames[part.link].axes.x
                pull = pull_on_rod(field, part.mass_kg, part.position_m, along, rods_m[part.link])
            else:
                pull = pull_on(field, part.mass_kg, part.position_m)
            sums.append(sums[-1].plus(pull))
        sums.reverse()
    sleeves, jib_mast, saddles, boom, *arms, outermost = sums
    return TurnedPath(sleeves, jib_mast, saddles, boom, tuple(arms), outermost)
