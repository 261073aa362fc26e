"""Play of the sleeves on the forks and of the boom in its saddles: how far the rig can settle, and what that tips.

A sleeve has room on its blade, and so the rig can pitch forward about the blades' tips until its heels catch, and roll
about one sleeve until the other catches.  The boom has room in its straps: its tail lifts to the rear strap's top, and
it rolls until it touches.  Bands of side play and yaw are no part of this.

    roll  g/s,    pitch  g/(x_t - x_h),    droop of the boom  top gap/spacing of the straps

with g the gap under the heel: between the pin and the blade where there is a pin, a chain's slack, else all the room in
the sleeve.  A pin whose gap is not entered stands inside the sleeve, so the most it can leave is the room less its
diameter.

Every limit of the truck's balance is looked at three times (`checks`): as the rig stands, settled forward, and settled
to the side it leans to.  The worse counts, at every load: play that engages only under some load would be a step, and
nothing lies between the two.  The whole rig turns as one body, exactly; what hangs on the hook stays plumb under it.

Sources: geometry; gap of a boom in its straps where none is entered, common practice, no source.
"""

from __future__ import annotations

import functools
from typing import NamedTuple

import msgspec

from engine.base.geometry import ZERO, Number, Truth, Vec, cos, least, most, one, sin, where
from engine.base.interval import whole_line_of
from engine.base.plain_call import plain_call
from engine.limits import balance, sideways
from engine.rig.check import Check, Problem
from engine.rig.kinematics import Body, Placed
from engine.schema.connections import HeelChain, HeelPin
from engine.schema.model import Forks, Job, Policy, Rig, Saddles
from engine.schema.sections import outer_depth_m, outer_width_m
from engine.schema.uncertainty_bands import MAST_LEAN_RAD, MAST_OFF_M
from engine.strength.base_on_forks import LOOSE_RAD, Base, pitch_play_rad, play_of, roll_play_rad
from engine.strength.linear_in_load import least_load, worse_of
from engine.strength.sleeves import bearing_ends_m
from engine.strength.strap_contact import UNKNOWN_GAP_M, left_side_gap_m

FIRMLY_JOINED = ("forks", "jib mast")
"""Links of the rig that the boom's play does not move."""


class Play(NamedTuple):
    """Angles (rad) by which a rig can settle: in its sleeves, and its boom in the saddles."""

    pitch_rad: float
    roll_rad: float
    boom_droop_rad: float
    boom_roll_rad: float

    @property
    def any(self) -> bool:
        """Whether anything can settle at all."""
        return max(self) > 0.0


class HookShift(NamedTuple):
    """How far play carries the hook (m): forward and down as the rig settles forward, aside as it settles sideways."""

    forward_m: float
    down_m: float
    aside_m: float


class _Turn(NamedTuple):
    """A turn about a unit vector through a point; ``square`` and ``along`` are the angle's sine and cosine.

    ``shift_m`` is how far everything is carried besides.
    """

    about: Vec
    through_m: Vec
    square: Number
    along: Number
    shift_m: Vec = ZERO

    def turned(self, arm: Vec) -> Vec:
        """A vector after the turn (Rodrigues)."""
        kept = self.about.times(self.about.dot(arm) * (1.0 - self.along))
        return arm.times(self.along) + self.about.cross(arm).times(self.square) + kept

    def moved(self, place_m: Vec) -> Vec:
        """A place after the turn."""
        return self.through_m + self.turned(place_m - self.through_m) + self.shift_m


STILL = _Turn(ZERO, ZERO, 0.0, 1.0)
"""No turn at all."""


@plain_call
@functools.lru_cache(maxsize=64)
def play_of_rig(rig: Rig, forks: Forks) -> Play:
    """Every angle by which a rig on these forks can settle."""
    room_m = heel_gap_m(rig, forks)
    base = Base(*bearing_ends_m(rig.sleeves, forks), rig.jib_mast.foot_x_m, forks.spread_m)
    saddles, boom = rig.saddles, rig.boom.section
    top_m, side_m = _strap_gaps_m(saddles)
    corners_m = 4.0 * boom.wall_m
    return Play(
        pitch_rad=one(pitch_play_rad(room_m, base)),
        roll_rad=one(roll_play_rad(room_m, forks.spread_m)),
        boom_droop_rad=top_m / (saddles.front_x_m - saddles.rear_x_m),
        boom_roll_rad=least(
            top_m / (outer_width_m(boom) - corners_m), 2.0 * side_m / (outer_depth_m(boom) - corners_m)
        ),
    )


def _strap_gaps_m(saddles: Saddles) -> tuple[float, float]:
    """Free space over the boom in its straps, and at each side once the foot welds have drawn the legs in."""
    top_m = UNKNOWN_GAP_M if saddles.top_gap_m is None else saddles.top_gap_m
    if saddles.side_gap_m is None:
        return top_m, UNKNOWN_GAP_M
    return top_m, left_side_gap_m(saddles.side_gap_m, saddles.weld_shrink_m)


def heel_gap_m(rig: Rig, forks: Forks) -> float:
    """How far a heel can lift before something catches it: never less than 0."""
    section, hold = rig.sleeves.section, rig.sleeves.heel_hold
    room = play_of(section.width_m, section.depth_m, section.wall_m, forks.width_m, forks.thickness_m - forks.wear_m)
    room_m = most(one(room.up_m), 0.0)
    if isinstance(hold, HeelPin):
        lowest_m = most(room_m - hold.pin.diameter_m, 0.0)
        return lowest_m if hold.below_m is None else least(hold.below_m, room_m)
    if isinstance(hold, HeelChain) and hold.slack_m is not None:
        return least(hold.slack_m, room_m)
    return room_m


# ---------------------------------------------------------------- the settled rig


def settled_forward(job: Job, placed: Placed) -> Placed:
    """The rig pitched about the tips of the forks, its boom drooping over the front strap.

    The jib mast leans further forward than entered, its foot further out.
    """
    play, forks, boom = play_of_rig(job.rig, job.truck.forks), placed.frames["forks"], placed.frames["boom"]
    _, tip_m = bearing_ends_m(job.rig.sleeves, job.truck.forks)
    droop = _turn(boom.axes.y, boom.at(job.rig.saddles.front_x_m), play.boom_droop_rad)
    pitch = _turn(forks.axes.y, forks.at(tip_m), play.pitch_rad)
    return _settled(_settled(placed, _mast_off(placed, forks.axes.y, forks.axes.x), STILL, ("forks",)), droop, pitch)


def settled_aside(job: Job, placed: Placed) -> Placed:
    """The rig rolled to the side it leans to: about the sleeve there, its boom in the saddles, and by the side play.

    The jib mast stands out of true to that side, its foot off the middle.
    """
    play, forks, boom = play_of_rig(job.rig, job.truck.forks), placed.frames["forks"], placed.frames["boom"]
    left = where(_leans_left(placed), 1.0, -1.0)
    near = forks.at(0.0, left * (job.truck.forks.spread_m / 2.0))
    over = _turn(boom.axes.x, boom.origin, -play.boom_roll_rad, left)
    roll = _turn(forks.axes.x, near, -play.roll_rad, left)
    side_rad = placed.figures.side_play_rad
    upright = _Turn(forks.axes.x, forks.origin, -left * sin(side_rad), cos(side_rad))
    mast = _mast_off(placed, forks.axes.x.times(-1.0), forks.axes.y, left)
    placed = _settled(placed, mast, STILL, ("forks",))
    return _settled(_settled(placed, over, roll), STILL, upright)


def _mast_off(placed: Placed, about: Vec, towards: Vec, sign: Number = 1.0) -> _Turn:
    """The jib mast out of true, and its foot off its place, by as much of both as counts."""
    off = placed.figures.off_place
    lean_rad = MAST_LEAN_RAD * off
    foot_m = placed.frames["jib mast"].origin
    return _Turn(about, foot_m, sign * sin(lean_rad), cos(lean_rad), towards.times(sign * MAST_OFF_M * off))


def _leans_left(placed: Placed) -> Truth:
    """Whether what the forks carry turns the rig to the left about the middle of the forks, slope included."""
    forks, gravity = placed.frames["forks"], placed.gravity
    moment = sideways.carried(placed).moment_kgm * -gravity.z
    for body in placed.bodies:
        if body.group != "truck":
            moment = moment + body.mass_kg * gravity.y * (body.position_m.z - forks.origin.z)
    return moment >= 0.0


def _turn(about: Vec, through_m: Vec, angle_rad: float, sign: Number = 1.0) -> _Turn:
    return _Turn(about, through_m, sign * sin(angle_rad), cos(angle_rad))


def _settled(placed: Placed, boom: _Turn, whole: _Turn, firm: tuple[str, ...] = FIRMLY_JOINED) -> Placed:
    """The rig's bodies turned, first those that the boom carries; what hangs follows the hook, plumb under it.

    ``firm`` are the links that the first turn does not move.

    What each kilogram bends is taken as turned with the boom, which carries nearly all of it.
    """
    tip_m = whole.moved(boom.moved(placed.tip_m))
    shift_m = tip_m - placed.tip_m
    return msgspec.structs.replace(
        placed,
        bodies=tuple(_moved(body, boom, whole, shift_m, firm) for body in placed.bodies),
        tip_m=tip_m,
        hook_m=placed.hook_m + shift_m,
        load_centre_m=placed.load_centre_m + shift_m,
        hook_per_kg_m=whole.turned(boom.turned(placed.hook_per_kg_m)),
        rig_per_kg_kgm=whole.turned(boom.turned(placed.rig_per_kg_kgm)),
    )


def _moved(body: Body, boom: _Turn, whole: _Turn, shift_m: Vec, firm: tuple[str, ...]) -> Body:
    if body.group == "truck":
        return body
    if body.group != "rig":
        return msgspec.structs.replace(body, position_m=body.position_m + shift_m)
    place_m = body.position_m if body.link in firm else boom.moved(body.position_m)
    return msgspec.structs.replace(body, position_m=whole.moved(place_m))


def hook_shift(job: Job, placed: Placed) -> HookShift:
    """Where play carries the hook of one pose."""
    forward = settled_forward(job, placed).tip_m - placed.tip_m
    aside = settled_aside(job, placed).tip_m - placed.tip_m
    return HookShift(one(forward.x), -one(forward.z), abs(one(aside.y)))


# ---------------------------------------------------------------- limits and words


def checks(job: Job, standing: Placed) -> list[Check]:
    """The truck's balance, each limit in the worst of the three ways the rig can stand.

    Parameters
    ----------
    job : Job
    standing : Placed
        One pose or arrays of poses (...), every weight where the bent rig carries it and the policy's lean in it.
    """
    policy = job.policy
    found = balance.checks(standing, policy)
    for settled in (settled_forward(job, standing), settled_aside(job, standing)):
        leaning = _leaning(settled, policy)
        found = [worse_of(*pair) for pair in zip(found, leaning, strict=True)]
    return found


def _leaning(settled: Placed, policy: Policy) -> list[Check]:
    """The balance with the truck leaning on its tyres: demands under the pose's own lean, whatever the load."""
    up_to_own = balance.checks(settled, policy, "up_to_own")
    if whole_line_of(up_to_own[0].demand) is not None:
        return up_to_own  # nobody asks intervals for an allowed load
    beyond = balance.checks(settled, policy, "beyond")
    return [
        msgspec.structs.replace(check, allowed_load_kg=least_load(check.allowed_load_kg, more.allowed_load_kg))
        for check, more in zip(up_to_own, beyond, strict=True)
    ]


def cautions(job: Job) -> tuple[Problem, ...]:
    """Play of the sleeves that is worth taking up."""
    play = play_of_rig(job.rig, job.truck.forks)
    greatest_rad = most(play.pitch_rad, play.roll_rad)
    if greatest_rad <= LOOSE_RAD:
        return ()
    words = (
        "The sleeves have {gap:mm} of play on the forks: the rig can lean by {angle:deg}, which the balance counts. "
        "Shim the sleeves."
    )
    numbers = {"gap": heel_gap_m(job.rig, job.truck.forks), "angle": greatest_rad}
    return (Problem(kind="caution", where="rig.sleeves.section", words=words, numbers=numbers),)
