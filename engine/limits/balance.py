"""Whether the truck stands: the moment over each tipping line, wheel reactions, tipping load.

A counterbalanced truck stands on three points: both front tyres and the pivot its steer axle rocks on.  Over each line
a-b between them (and over the rear wheels, backwards) the moment of every weight is taken,

    M = sum of u . ((r - a) x F),    u = (b - a) / |b - a|,

with u pointing so that holding the truck down is positive.  The bare truck's part is the restoring moment; the part of
rig, rigging and load, its sign turned, is the load moment.  Tipping use is load moment over restoring moment; the truck
starts to tip at 1.

The steer axle's own weight hangs below its pivot.  It holds the truck down over the front line but not over a side
line, where it stays on the floor while the truck rolls about it.

In a turn every weight is also pulled with the turn's field (`engine.rig.turning`), each body as a point and what hangs
at the hook; of the field's ends the worst counts, limit by limit.

Sources: moment and fulcrum as in 29 CFR 1910.178 App. A; three-point support and tip lines as in ISO 22915-2's
family of tests; everything else is statics.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import msgspec

from engine.base.geometry import GRAVITY_M_S2, ZERO, Number, Vec, least, most, ratio, sqrt, tan, where
from engine.base.lazy import lazy
from engine.limits.lean import Loads, growth
from engine.limits.mass_groups import Groups, MassGroup, groups_of, hung_under, rig_under, sum_of
from engine.rig.check import Check, load_at_limit, use_of
from engine.rig.kinematics import STEER_AXLE, Placed
from engine.rig.turning import HUNG, Field, Pull, fields_of, pull_on, pull_on_all
from engine.schema.model import Policy

if TYPE_CHECKING:
    from engine.strength import linear_in_load
else:
    linear_in_load = lazy("engine.strength.linear_in_load")  # brings numpy


class Allowances(msgspec.Struct, kw_only=True, frozen=True):
    """What is added to plain statics: factor on the hook load, load out of plumb, deceleration in g, a turn's pull."""

    dynamic_factor: float = 1.0
    swing_rad: float = 0.0
    braking: float = 0.0
    field: Field | None = None


STATIC = Allowances()


class TipLine(msgspec.Struct, kw_only=True, frozen=True):
    """One line the truck can tip over, with its moments (...).

    ``fixed_Nm`` is the load moment without the load's own part; ``per_kg_Nm`` is what each kilogram of load adds, and
    ``bending_Nm_kg2``, times the square of the load, what it adds by bending the rig (0 for a rig taken as stiff).
    Where the truck leans as the load grows, ``restoring_per_kg_Nm`` is what each kilogram adds to the restoring moment,
    which is ``restoring_empty_Nm`` without a load, and ``leans`` is set.
    ``ahead`` is the force along the truck, as a share of gravity: the floor's slope, and braking in the direction that
    is worse over this line.  ``pitch_Nm`` is what a left-out steer axle still transfers to the truck on a floor that
    slopes along: its pivot lets it rock but not pitch, and its centre is not quite at the pivot's height.  It is a
    newton metre or so and counts only where the wheel reactions must add up.
    """

    name: str
    a_m: Vec
    b_m: Vec
    restoring_Nm: Number
    fixed_Nm: Number
    per_kg_Nm: Number
    bending_Nm_kg2: Number
    load_Nm: Number
    use: Number
    ahead: Number
    pitch_Nm: Number
    left_out: tuple[str, ...]
    restoring_empty_Nm: Number
    restoring_per_kg_Nm: Number = 0.0
    leans: bool = False

    @property
    def left_empty_Nm(self) -> Number:
        """Moment still holding the truck down without the load."""
        return self.restoring_empty_Nm - self.fixed_Nm

    @property
    def margin_Nm(self) -> Number:
        """Moment still holding the truck down over this line; negative when it tips."""
        return self.restoring_Nm - self.load_Nm

    def load_at(self, share: float = 1.0) -> Number:
        """Load (kg) whose load moment is a share of the restoring moment; by default, at which the truck tips."""
        room_Nm = share * self.restoring_empty_Nm - self.fixed_Nm
        return load_at_limit(room_Nm, self.per_kg_Nm - share * self.restoring_per_kg_Nm, self.bending_Nm_kg2)


class Balance(msgspec.Struct, kw_only=True, frozen=True):
    """How the truck stands in a pose; masses are reactions divided by standard gravity.

    ``rear_kg`` is the reaction under the rear wheels, ``left_front_kg`` and ``right_front_kg`` under the front ones,
    ``normal_kg`` under all of them.  ``on_wheels`` is everything as it bears on the wheels: what hangs on the hook
    counts with the dynamic factor.
    """

    lines: tuple[TipLine, ...]
    rear_kg: Number
    left_front_kg: Number
    right_front_kg: Number
    normal_kg: Number
    tipping_load_kg: Number
    combined_kg: Number
    combined_m: Vec
    on_wheels: MassGroup

    @property
    def light_front_kg(self) -> Number:
        """Reaction under the front wheel that carries less."""
        return least(self.left_front_kg, self.right_front_kg)


def centre_of(placed: Placed, groups: tuple[str, ...]) -> tuple[Number, Vec]:
    """Mass (kg) and centre of gravity of the bodies in some groups; the origin where they weigh nothing."""
    total = sum_of(body for body in placed.bodies if body.group in groups)
    return total.mass_kg, total.first_kgm.times(where(total.mass_kg > 0.0, ratio(1.0, total.mass_kg), 0.0))


def corners_m(placed: Placed) -> dict[str, Vec]:
    """The points the truck stands on and tips over, in its frame: front tyres, rear axle pivot, rear line ends."""
    numbers = placed.figures
    half, back = numbers.front_track_m / 2.0, -numbers.wheelbase_m
    return {
        "left front": Vec(0.0, half, 0.0),
        "right front": Vec(0.0, -half, 0.0),
        "pivot": Vec(back, 0.0, numbers.pivot_height_m),
        "rear left": Vec(back, half, 0.0),
        "rear right": Vec(back, -half, 0.0),
    }


LINES = (
    ("front", "left front", "right front", ()),
    ("left side", "pivot", "left front", (STEER_AXLE,)),
    ("right side", "right front", "pivot", (STEER_AXLE,)),
    ("rear", "rear right", "rear left", ()),
)
"""Name, ends, and what does not count; from end to end in the direction that makes holding down positive."""


def weigh(placed: Placed, allowances: Allowances = STATIC, leaning: Loads | None = None) -> Balance:
    """Moments over every tipping line, wheel reactions and tipping load of a placed pose.

    Parameters
    ----------
    placed : Placed
        Bodies of one pose or arrays of poses (...).
    allowances : Allowances
        Added to plain statics; by default none.
    leaning : Loads, optional
        Whether the truck leans on its tyres, and for which loads (`engine.limits.lean`): pitch counts over the front
        and rear lines, roll over the side lines.  By default the tyres are rigid.

    Returns
    -------
    Balance
        Every field with the poses' shape (...).
    """
    groups = groups_of(placed)
    corners = corners_m(placed)
    lines = tuple(
        _tip_line(name, corners[a], corners[b], left_out, groups, placed, allowances) for name, a, b, left_out in LINES
    )
    if leaning is not None:
        lines = tuple(_leaned(line, groups, placed, leaning, allowances.dynamic_factor) for line in lines)
    everything = groups.truck.plus(groups.axle).plus(groups.rig).plus(groups.hung)
    on_wheels = everything.plus(groups.hung.times(allowances.dynamic_factor - 1.0))
    front, left, right, _ = lines
    return Balance(
        lines=lines,
        rear_kg=front.margin_Nm / (GRAVITY_M_S2 * placed.figures.wheelbase_m),
        left_front_kg=_wheel_kg(placed, right, right.margin_Nm, on_wheels),
        right_front_kg=_wheel_kg(placed, left, left.margin_Nm, on_wheels),
        normal_kg=-on_wheels.mass_kg * placed.gravity.z,
        tipping_load_kg=_tipping_load_kg(lines),
        combined_kg=everything.mass_kg,
        combined_m=everything.first_kgm.times(1.0 / everything.mass_kg),
        on_wheels=on_wheels,
    )


def on_its_tyres(placed: Placed) -> Balance:
    """How the truck stands with no allowances, leaning on its tyres under the pose's own load.

    The tipping load is the smaller of those by the lean up to that load and by the lean beyond it.
    """
    standing, beyond = weigh(placed, leaning="up_to_own"), weigh(placed, leaning="beyond")
    tips_kg = least(standing.tipping_load_kg, beyond.tipping_load_kg)
    return msgspec.structs.replace(standing, tipping_load_kg=tips_kg)


def over_front(placed: Placed) -> TipLine:
    """The front line alone, by plain statics on rigid tyres."""
    corners = corners_m(placed)
    name, a, b, left_out = LINES[0]
    return _tip_line(name, corners[a], corners[b], left_out, groups_of(placed), placed, STATIC)


def _wheel_kg(placed: Placed, line: TipLine, margin_Nm: Number, on_wheels: MassGroup) -> Number:
    """Reaction (kg) of the front wheel opposite a side line, from the net moment over that line.

    The wheel's reaction N acts ``track`` from the line.  It also carries its share Fx N/S of the fore-aft force (S:
    both front wheels' reactions; the steer axle rolls freely), which has a lever because the line rises to the
    pivot:  N = M |b-a| / (T (L - h Fx/S)).
    """
    numbers = placed.figures
    base, track, pivot = numbers.wheelbase_m, numbers.front_track_m, numbers.pivot_height_m
    share = ratio(on_wheels.mass_kg * line.ahead, _front_wheels_kg(placed, line, on_wheels))
    return ratio((margin_Nm + line.pitch_Nm) * _line_m(placed), GRAVITY_M_S2 * track * (base - pivot * share))


def _front_wheels_kg(placed: Placed, line: TipLine, on_wheels: MassGroup) -> Number:
    """Reaction (kg) of both front wheels together under the fore-aft force that ``line`` has."""
    rear_kgm = on_wheels.first_kgm.x * placed.gravity.z - on_wheels.first_kgm.z * line.ahead
    return -on_wheels.mass_kg * placed.gravity.z - rear_kgm / placed.figures.wheelbase_m


def _line_m(placed: Placed) -> Number:
    """Length of a side line."""
    numbers = placed.figures
    return sqrt(numbers.wheelbase_m**2 + (numbers.front_track_m / 2.0) ** 2 + numbers.pivot_height_m**2)


def _tip_line(
    name: str, a_m: Vec, b_m: Vec, left_out: tuple[str, ...], groups: Groups, placed: Placed, allowances: Allowances
) -> TipLine:
    direction = (b_m - a_m).unit()
    truck = groups.truck if left_out else groups.truck.plus(groups.axle)
    pull = placed.gravity.times(GRAVITY_M_S2)
    if allowances.braking:
        whole = truck.plus(groups.rig).plus(groups.hung.times(allowances.dynamic_factor))
        eased = direction.cross(whole.first_kgm - a_m.times(whole.mass_kg)).x
        pull = pull + Vec(where(eased > 0.0, -1.0, 1.0) * (allowances.braking * GRAVITY_M_S2), 0.0, 0.0)
    # u . ((r - a) x F) = (r - a) . (F x u): one vector for the line serves every weight.
    turning = pull.cross(direction)
    at_a = turning.dot(a_m)

    def moment(group: MassGroup) -> Number:
        """Moment of a group's weights, positive where it holds the truck down."""
        return turning.dot(group.first_kgm) - group.mass_kg * at_a

    per_kg = at_a - turning.dot(placed.hook_m)
    stiff = placed.hook_per_kg_m is ZERO
    bending = 0.0 if stiff else -turning.dot(placed.hook_per_kg_m)
    if allowances.swing_rad:
        # The sideways force is square to plumb, whatever the slope, and in the worse direction.
        hook, shift = direction.cross(placed.hook_m - a_m), direction.cross(placed.hook_per_kg_m)
        along = hook.dot(placed.gravity)
        lever = sqrt(most(hook.dot(hook) - along * along, 0.0))
        sideways = GRAVITY_M_S2 * tan(allowances.swing_rad)
        per_kg = per_kg + sideways * lever
        longer = ratio(hook.dot(shift) - along * shift.dot(placed.gravity), lever)
        bending = bending + sideways * where(lever > 0.0, longer, 0.0)
    turned = None if allowances.field is None else _turned(direction, a_m, bool(left_out), placed, allowances.field)
    if turned is not None:
        per_kg = per_kg - HUNG * turned.per_kg_Nm
        bending = bending if stiff else bending - HUNG * turned.bending_Nm_kg
    per_kg, bending = allowances.dynamic_factor * per_kg, allowances.dynamic_factor * bending
    restoring = moment(truck)
    fixed = per_kg * groups.rigging_kg - moment(groups.rig)
    ahead = pull.x
    if turned is not None and allowances.field is not None:
        restoring, fixed = restoring + turned.truck_Nm, fixed - turned.rig_Nm
        ahead = ahead + _ahead_m_s2(groups, placed, allowances.field, allowances.dynamic_factor)
    load = fixed + per_kg * groups.load_kg
    if not stiff:
        # Taken back to no load: each kilogram bends the rig and so shifts itself, the rigging and the rig.
        carried = bending * groups.rigging_kg - turning.dot(placed.rig_per_kg_kgm)
        fixed = fixed - carried * groups.load_kg
        per_kg = per_kg + carried - bending * groups.load_kg
    return TipLine(
        name=name,
        a_m=a_m,
        b_m=b_m,
        restoring_Nm=restoring,
        fixed_Nm=fixed,
        per_kg_Nm=per_kg,
        bending_Nm_kg2=bending,
        load_Nm=load,
        use=use_of(load, restoring),
        ahead=ahead / GRAVITY_M_S2,
        pitch_Nm=_pitch_Nm(direction, groups.axle, placed, pull) if left_out else 0.0,
        left_out=left_out,
        restoring_empty_Nm=restoring,
    )


class _Turned(NamedTuple):
    """What a turn's pull adds to the moments over a line, positive where it holds the truck down.

    ``per_kg_Nm`` is of each kilogram held firmly at the hook, ``bending_Nm_kg`` what bending under each adds to that.
    """

    truck_Nm: Number
    rig_Nm: Number
    per_kg_Nm: Number
    bending_Nm_kg: Number


def _turned(direction: Vec, a_m: Vec, without_axle: bool, placed: Placed, field: Field) -> _Turned:
    def moment(pull: Pull) -> Number:
        return direction.dot(pull.about(a_m))

    counted = [body for body in placed.bodies if not (without_axle and body.link == STEER_AXLE)]
    hook_m, shift_m = placed.hook_m, placed.hook_per_kg_m
    bending_Nm = shift_m.cross(field.at(hook_m)) + (hook_m - a_m).cross(field.grown(shift_m))
    return _Turned(
        truck_Nm=moment(pull_on_all(field, (body for body in counted if body.group == "truck"))),
        rig_Nm=moment(pull_on_all(field, (body for body in counted if body.group == "rig"))),
        per_kg_Nm=moment(pull_on(field, 1.0, hook_m)),
        bending_Nm_kg=direction.dot(bending_Nm),
    )


def _ahead_m_s2(groups: Groups, placed: Placed, field: Field, dynamic_factor: float) -> Number:
    """Mean pull forward of a turn on everything that bears on the wheels."""
    firm = pull_on_all(field, (body for body in placed.bodies if body.group in ("truck", "rig"))).force_N
    hung_kg = dynamic_factor * groups.hung.mass_kg
    forward_N = firm.x + HUNG * hung_kg * field.at(placed.hook_m).x
    return forward_N / (groups.truck.mass_kg + groups.axle.mass_kg + groups.rig.mass_kg + hung_kg)


def _leaned(line: TipLine, groups: Groups, placed: Placed, loads: Loads, dynamic_factor: float) -> TipLine:
    """The line with the truck leaning on its tyres, to first order of the lean.

    Exact under the pose's own load.  Under others lean and moment are each taken on their chord between two loads, the
    greater at most as heavy as the truck itself.
    """
    too_much_kg = least(line.load_at(), groups.truck.mass_kg + groups.axle.mass_kg)
    if line.left_out:
        truck, down = groups.truck, Vec(0.0, GRAVITY_M_S2, 0.0)
        lean = growth(placed, groups, dynamic_factor, "roll", loads, too_much_kg)
    else:
        truck, down = groups.truck.plus(groups.axle), Vec(GRAVITY_M_S2, 0.0, 0.0)
        lean = growth(placed, groups, dynamic_factor, "pitch", loads, too_much_kg)
    turning = down.cross((line.b_m - line.a_m).unit())
    at_a = turning.dot(line.a_m)

    def moment(group: MassGroup) -> Number:
        """Moment that each radian of lean adds to a group's, positive where it holds the truck down."""
        return turning.dot(group.first_kgm) - group.mass_kg * at_a

    def carried(load_kg: Number) -> Number:
        return moment(rig_under(placed, groups.rig, load_kg).plus(hung_under(placed, load_kg, dynamic_factor)))

    bare, start = moment(truck), carried(lean.from_kg)
    per_kg = (carried(lean.to_kg) - start) / (lean.to_kg - lean.from_kg)
    empty = start - per_kg * lean.from_kg
    load = line.load_Nm - lean.now * carried(groups.load_kg)
    restoring = line.restoring_Nm + lean.now * bare
    return msgspec.structs.replace(
        line,
        restoring_Nm=restoring,
        restoring_empty_Nm=line.restoring_Nm + lean.empty * bare,
        restoring_per_kg_Nm=lean.per_kg * bare,
        fixed_Nm=line.fixed_Nm - lean.empty * empty,
        per_kg_Nm=line.per_kg_Nm - lean.empty * per_kg - lean.per_kg * empty,
        bending_Nm_kg2=line.bending_Nm_kg2 - lean.per_kg * per_kg,
        load_Nm=load,
        use=use_of(load, restoring),
        leans=True,
    )


def _pitch_Nm(direction: Vec, axle: MassGroup, placed: Placed, pull: Vec) -> Number:
    return direction.y * (axle.first_kgm.z - placed.figures.pivot_height_m * axle.mass_kg) * pull.x


def _tipping_load_kg(lines: tuple[TipLine, ...]) -> Number:
    """Load at which the first line reaches M = 0, never negative; M is linear in the load, quadratic with bending."""
    return most(least(*(line.load_at() for line in lines)), 0.0)


# ---------------------------------------------------------------- limits

BALANCE_SOURCE = "statics about the tipping line (29 CFR 1910.178 App. A for fulcrum and moment)"
LIMIT_SOURCE = "limit set in the allowances (common practice, no source)"


def checks(placed: Placed, policy: Policy, leaning: Loads | None = None) -> list[Check]:
    """The truck's own limits: tipping use over every line, weight left on the rear and on the lightest front wheel.

    Parameters
    ----------
    placed : Placed
        The pose, with the policy's lean already in it.
    policy : Policy
        Allowances and limits.
    leaning : Loads, optional
        Whether the truck leans on its tyres, and for which loads.

    Returns
    -------
    list of Check
    """
    fields = fields_of(policy)
    if not fields:
        return _checks_under(placed, policy, allowances_of(policy), leaning)
    still = allowances_of(policy)
    found, *others = (
        _checks_under(placed, policy, msgspec.structs.replace(still, field=field), leaning) for field in fields
    )
    for rivals in others:
        found = [_nearer_its_limit(*pair) for pair in zip(found, rivals, strict=True)]
    return found


def _nearer_its_limit(a: Check, b: Check) -> Check:
    """The worse of two; where neither is used at all the one with less to spare.

    The search for the worst case follows what is left, and a turn to the other side leaves more as an entry gets worse.
    """

    def used(check: Check) -> Number:
        return where(check.use > 0.0, check.use, check.demand - check.allowed)

    first = used(a) >= used(b)
    worse = linear_in_load.worse_of(a, b)
    return msgspec.structs.replace(
        worse, demand=where(first, a.demand, b.demand), allowed=where(first, a.allowed, b.allowed)
    )


def _checks_under(placed: Placed, policy: Policy, allowances: Allowances, leaning: Loads | None) -> list[Check]:
    balance = weigh(placed, allowances, leaning)
    return [
        *(_tipping_check(line, policy) for line in balance.lines),
        _rear_check(balance, placed, policy),
        _light_wheel_check(balance, placed, policy),
    ]


def allowances_of(policy: Policy) -> Allowances:
    """The policy's dynamic factor, swing and braking; the pulls of a turn are added one by one (`checks`)."""
    return Allowances(dynamic_factor=policy.dynamic_factor, swing_rad=policy.swing_rad, braking=policy.braking)


TIPPING = "tipping, "
"""How the kind of a tipping line's limit begins."""


def is_tipping(check: Check) -> bool:
    """Whether a limit is that of a tipping line."""
    return check.kind.startswith(TIPPING)


def _tipping_check(line: TipLine, policy: Policy) -> Check:
    share = policy.allowed_tipping_use
    allowed_Nm = share * line.restoring_Nm
    demand_Nm = where(line.fixed_Nm > allowed_Nm, most(line.load_Nm, line.fixed_Nm), line.load_Nm)
    return Check(
        of="truck",
        part="truck balance",
        kind=f"{TIPPING}{line.name}",
        place_m=(line.a_m + line.b_m).times(0.5),
        demand=demand_Nm,
        allowed=allowed_Nm,
        unit="Nm",
        use=use_of(demand_Nm, allowed_Nm),
        allowed_load_kg=line.load_at(share),
        words="load moment {load:Nm} over the {line} line; allowed {share:share} of the truck's "
        "restoring moment {hold:Nm}",
        numbers={"load": demand_Nm, "line": line.name, "share": share, "hold": line.restoring_Nm},
        source=f"{BALANCE_SOURCE}; share: {LIMIT_SOURCE}",
    )


def _rear_check(balance: Balance, placed: Placed, policy: Policy) -> Check:
    """Rear weight: what this pose takes off the rear wheels, and what it may take off.

    The limit is a share of the whole weight on the wheels, so it rises with the load.  Written as
    ``rear(m) - share * normal(m) >= 0`` it stays linear.
    """
    front = balance.lines[0]
    base_N = GRAVITY_M_S2 * placed.figures.wheelbase_m
    share, load_kg = policy.least_rear_share, placed.figures.load_kg
    bare_kg = front.restoring_Nm / base_N
    load_normal = -policy.dynamic_factor * placed.gravity.z
    empty_kg = balance.normal_kg - load_normal * load_kg
    room = front.left_empty_Nm / base_N - share * empty_kg
    empty_is_over = room < 0.0
    taken_kg = where(empty_is_over, most(front.fixed_Nm, front.load_Nm), front.load_Nm) / base_N
    least_kg = share * where(empty_is_over, most(empty_kg, balance.normal_kg), balance.normal_kg)
    return Check(
        of="truck",
        part="truck balance",
        kind="rear weight left",
        place_m=Vec(-placed.figures.wheelbase_m, 0.0, 0.0),
        demand=taken_kg,
        allowed=bare_kg - least_kg,
        unit="kg",
        use=use_of(taken_kg, bare_kg - least_kg),
        allowed_load_kg=load_at_limit(
            room,
            (front.per_kg_Nm - front.restoring_per_kg_Nm) / base_N + share * load_normal,
            front.bending_Nm_kg2 / base_N,
        ),
        words="{taken:kg_up} taken off the rear wheels of {bare:kg_down}; at least {least:kg_up} "
        "({share:share} of the whole weight) must stay",
        numbers={"taken": taken_kg, "bare": bare_kg, "least": least_kg, "share": share},
        source=LIMIT_SOURCE,
    )


def _light_wheel_check(balance: Balance, placed: Placed, policy: Policy) -> Check:
    """Lightest front wheel: its reaction, and a share of what it carries on the bare, level truck."""
    numbers = placed.figures
    bare_kg = numbers.front_axle_kg / 2.0
    least_kg = policy.least_light_wheel_share * bare_kg
    per_kg = MassGroup(mass_kg=policy.dynamic_factor, first_kgm=placed.hook_m.times(policy.dynamic_factor))
    empty = balance.on_wheels.plus(per_kg.times(-numbers.load_kg))
    right_line, left_line = balance.lines[2], balance.lines[1]
    left_kg, right_kg = (
        where(unladen_kg < least_kg, least(unladen_kg, now_kg), now_kg)
        for unladen_kg, now_kg in (
            (
                _wheel_kg(placed, right_line, right_line.left_empty_Nm, empty),
                balance.left_front_kg,
            ),
            (_wheel_kg(placed, left_line, left_line.left_empty_Nm, empty), balance.right_front_kg),
        )
    )
    on_left, light_kg = left_kg <= right_kg, least(left_kg, right_kg)
    half = numbers.front_track_m / 2.0
    room = [_load_at_least_wheel(line, placed, empty, per_kg, least_kg) for line in (left_line, right_line)]
    return Check(
        of="truck",
        part="truck balance",
        kind="lightest front wheel",
        place_m=Vec(0.0, where(on_left, half, -half), 0.0),
        demand=bare_kg - light_kg,
        allowed=bare_kg - least_kg,
        unit="kg",
        use=use_of(bare_kg - light_kg, bare_kg - least_kg),
        allowed_load_kg=least(*room),
        words="{light:kg} left on the lightest front wheel ({side}) of {bare:kg}; at least {least:kg} ({share:share}) "
        "must stay",
        numbers={
            "light": light_kg,
            "side": where(on_left, "left", "right"),
            "bare": bare_kg,
            "least": least_kg,
            "share": policy.least_light_wheel_share,
        },
        source=LIMIT_SOURCE,
        read_as=("least", "light"),
    )


def _load_at_least_wheel(
    line: TipLine, placed: Placed, empty: MassGroup, per_kg: MassGroup, least_kg: Number
) -> Number:
    """Load at which the front wheel opposite ``line`` comes down to ``least_kg``: root of a quadratic.

    N >= N_least  is  M(m) |b-a| S(m) >= g N_least T (L S(m) - h Fx(m)), all of M, S, Fx linear in the load m.  Where
    the load bends the rig, M is not quite straight: it is replaced by its chord from no load to the root, found step by
    step.
    """
    numbers = placed.figures
    base, pivot = numbers.wheelbase_m, numbers.pivot_height_m
    front_0, front_per = _front_wheels_kg(placed, line, empty), _front_wheels_kg(placed, line, per_kg)
    limit = GRAVITY_M_S2 * least_kg * numbers.front_track_m / _line_m(placed)

    moment_0 = line.left_empty_Nm + line.pitch_Nm

    def root(bent_at_kg: Number) -> Number:
        """With M on its chord from no load to this one."""
        moment_per = line.restoring_per_kg_Nm - line.per_kg_Nm - line.bending_Nm_kg2 * bent_at_kg
        square = moment_per * front_per
        linear = (
            moment_0 * front_per
            + moment_per * front_0
            - limit * (base * front_per - pivot * per_kg.mass_kg * line.ahead)
        )
        constant = moment_0 * front_0 - limit * (base * front_0 - pivot * empty.mass_kg * line.ahead)
        return _falling_root(square, linear, constant, moment_per)

    straight = root(0.0)
    if isinstance(line.bending_Nm_kg2, float) and line.bending_Nm_kg2 == 0.0:
        return straight
    bent = straight
    for _ in range(BENDING_STEPS):
        bent = root(least(most(bent, 0.0), BENDING_UP_TO_KG))
    found = where(straight < BENDING_UP_TO_KG, bent, straight)
    return least(found, line.load_at()) if line.leans else found  # a wheel off the floor carries nothing


BENDING_STEPS = 9
"""Bending has a twentieth of the moment or less, lean on the tyres up to a third: each step divides the error by that.
Steps fall on either side of the answer in turn; an odd number ends under it."""

BENDING_UP_TO_KG = 2e4
"""No lift truck this tool is for carries more."""


def _falling_root(square: Number, linear: Number, constant: Number, falls: Number) -> Number:
    """Largest root of a concave quadratic where ``falls`` is negative; infinite where nothing falls.

    Minus infinity where the quadratic starts below zero: the limit is passed without a load.  In the form that stays
    exact as ``square`` goes to zero.
    """
    under = most(linear * linear - 4.0 * square * constant, 0.0)
    root = ratio(-2.0 * constant, linear - sqrt(under))
    return where(constant < 0.0, -math.inf, where(falls < 0.0, root, load_at_limit(constant, -falls)))
