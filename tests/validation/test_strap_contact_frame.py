"""The bounds of strap contact against an elastic frame with one-sided contacts and gaps.

The strap is a portal frame of straight bars (bending and stretch); the boom a rigid block between it and a rigid bed,
free to move up, sideways and to roll.  Eight contacts (both corners above and below, both sides low and high) push or
stand open; the set that agrees with its own gaps is found by trying all.  Nothing of the model is taken from the
program.  The three numbers of the first test were worked out once by another such model.
"""

from __future__ import annotations

import itertools
import random
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from engine.strength.linear_in_load import Linear
from engine.strength.strap_contact import LegWeights, Strap, contact, contact_modes, moments, side_demands, top_demands

E_PA = 199.95e9
IN = 0.0254


class Saddle(NamedTuple):
    """Boom (width, depth, corner), strap (thickness, length, gaps) and what acts: twist, and the boom held down."""

    width: float
    depth: float
    corner: float
    thick: float
    length: float
    side_gap: float
    top_gap: float
    twist: float
    held_down: float


def bar(
    start: NDArray[np.float64], end: NDArray[np.float64], saddle: Saddle
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Stiffness of a straight bar in the frame's axes, and its end forces for each motion."""
    along = end - start
    long = float(np.hypot(*along))
    c, s = along / long
    area, second = saddle.length * saddle.thick, saddle.length * saddle.thick**3 / 12.0
    axial, bend = E_PA * area / long, E_PA * second / long**3
    own = np.zeros((6, 6))
    own[np.ix_([0, 3], [0, 3])] = axial * np.array([[1.0, -1.0], [-1.0, 1.0]])
    own[np.ix_([1, 2, 4, 5], [1, 2, 4, 5])] = bend * np.array(
        [
            [12.0, 6.0 * long, -12.0, 6.0 * long],
            [6.0 * long, 4.0 * long**2, -6.0 * long, 2.0 * long**2],
            [-12.0, -6.0 * long, 12.0, -6.0 * long],
            [6.0 * long, 2.0 * long**2, -6.0 * long, 4.0 * long**2],
        ]
    )
    turn = np.zeros((6, 6))
    turn[:3, :3] = turn[3:, 3:] = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
    return turn.T @ own @ turn, own @ turn


def moments_by_frame(saddle: Saddle, hinged: bool = False) -> dict[str, float]:
    """Greatest bending moment (N·m) at the feet, where the sides press the legs, at the corners and along the top."""
    half = (saddle.width + 2.0 * saddle.side_gap + saddle.thick) / 2.0
    top, flat = saddle.depth + saddle.top_gap + saddle.thick / 2.0, saddle.width / 2.0 - saddle.corner
    low, high = saddle.corner, saddle.depth - saddle.corner
    path = [(-half, 0.0), (-half, low), (-half, high), (-half, top), (-flat, top)]
    nodes = np.array(path + [(-x, y) for x, y in reversed(path)])
    count = len(nodes)
    stiff, ends = np.zeros((3 * count, 3 * count)), []
    for index in range(count - 1):
        in_frame, at_ends = bar(nodes[index], nodes[index + 1], saddle)
        motions = slice(3 * index, 3 * index + 6)
        stiff[motions, motions] += in_frame
        ends.append((motions, at_ends))
    held = {0, 1, 3 * count - 3, 3 * count - 2} | (set() if hinged else {2, 3 * count - 1})
    free = [motion for motion in range(3 * count) if motion not in held]
    give = np.linalg.inv(stiff[np.ix_(free, free)])
    # Contact: node of the strap (none for the bed), direction out of the boom, place on the boom from its middle, gap.
    middle = saddle.depth / 2.0
    contacts = [
        (4, (0.0, 1.0), (-flat, middle), saddle.top_gap),
        (5, (0.0, 1.0), (flat, middle), saddle.top_gap),
        (None, (0.0, -1.0), (-flat, -middle), 0.0),
        (None, (0.0, -1.0), (flat, -middle), 0.0),
        (1, (-1.0, 0.0), (-saddle.width / 2.0, low - middle), saddle.side_gap),
        (2, (-1.0, 0.0), (-saddle.width / 2.0, high - middle), saddle.side_gap),
        (count - 2, (1.0, 0.0), (saddle.width / 2.0, low - middle), saddle.side_gap),
        (count - 3, (1.0, 0.0), (saddle.width / 2.0, high - middle), saddle.side_gap),
    ]
    boom, strap = np.zeros((8, 3)), np.zeros((8, 3 * count))
    for row, (node, (nx, ny), (x, y), _) in enumerate(contacts):
        boom[row] = nx, ny, ny * x - nx * y
        if node is not None:
            strap[row, 3 * node : 3 * node + 2] = nx, ny
    strap = strap[:, free]
    yields = strap @ give @ strap.T + 1e-12 * np.eye(8)
    gaps = np.array([gap for *_, gap in contacts])
    pull = np.array([0.0, saddle.held_down, saddle.twist])
    for touching in itertools.product((False, True), repeat=8):
        rows = np.flatnonzero(touching)
        if len(rows) < 3:
            continue
        system = np.zeros((len(rows) + 3, len(rows) + 3))
        system[: len(rows), : len(rows)] = -yields[np.ix_(rows, rows)]
        system[: len(rows), len(rows) :], system[len(rows) :, : len(rows)] = boom[rows], boom[rows].T
        if np.linalg.matrix_rank(boom[rows]) < 3:
            continue
        answer = np.linalg.solve(system, np.concatenate([gaps[rows], pull]))
        force = np.zeros(8)
        force[rows] = answer[: len(rows)]
        open_m = gaps - boom @ answer[len(rows) :] + yields @ force
        if force.min() < -1e-6 * saddle.twist / saddle.width or open_m.min() < -1e-9:
            continue
        motion = np.zeros(3 * count)
        motion[free] = give @ (strap.T @ force)
        at = [abs(float((at_ends @ motion[motions])[2])) for motions, at_ends in ends]
        at.append(abs(float((ends[-1][1] @ motion[ends[-1][0]])[5])))
        places = {"foot": (0, 9), "leg": (1, 2, 7, 8), "corner": (3, 6), "top": (4, 5)}
        return {place: max(at[node] for node in nodes_there) for place, nodes_there in places.items()}
    raise AssertionError("no set of contacts agrees with itself")


def greatest_moment(saddle: Saddle) -> float:
    return max(moments_by_frame(saddle).values())


def bounds(saddle: Saddle, hinged: bool = False) -> dict[str, float]:
    """Greatest moments by the program's bounds, of the modes that count; a leg by the greater of foot and corner."""
    strap = Strap(saddle.thick, saddle.length, saddle.side_gap, saddle.top_gap)
    at = contact(saddle.width, saddle.depth, saddle.corner, strap)
    m, modes = moments(at, saddle.thick, foot="outside" if hinged else "both"), contact_modes(at, strap)
    up, side, twist = Linear(-saddle.held_down, 0.0), Linear(0.0, 0.0), Linear(saddle.twist, 0.0)
    weights = {
        "foot": ((m.top_foot, 0.0), (m.held_foot, m.push_foot)),
        "corner": ((m.top_corner, 0.0), (m.held_corner, m.push_corner)),
        "top": ((m.top, 0.0), (m.held_top, m.push_corner)),
    }
    found = {}
    for place, (by_top, by_sides) in weights.items():
        demands: list[Linear] = []
        if saddle.twist >= modes.top_from_Nm:
            demands += top_demands(up, side, twist, at, LegWeights(*by_top))
        if saddle.twist >= modes.sides_from_Nm:
            demands += side_demands(up, side, twist, at, LegWeights(*by_sides))
        found[place] = max(0.0, *(float(demand.fixed) for demand in demands))
    return {**found, "leg": max(found["foot"], found["corner"])}


@pytest.mark.parametrize(
    ("side_gap", "top_gap", "moment"), [(1 / 64, 1 / 64, 873.8), (1 / 64, 1 / 16, 953.4), (1 / 16, 1 / 64, 1072.0)]
)
def test_the_frame_agrees_with_another_and_stays_under_the_bounds(
    side_gap: float, top_gap: float, moment: float
) -> None:
    saddle = Saddle(3 * IN, 8 * IN, 0.75 * IN, 0.5 * IN, 8 * IN, side_gap * IN, top_gap * IN, 2777.0, 1779.0)
    found = greatest_moment(saddle)
    assert found == pytest.approx(moment, rel=5e-4)
    assert found <= max(bounds(saddle).values())


def any_saddle(dice: random.Random) -> Saddle:
    wall = dice.uniform(0.004, 0.008)
    gaps = (0.0002, 0.001, 0.002, 0.004)
    return Saddle(
        dice.choice((0.075, 0.1, 0.12, 0.15)),
        dice.choice((0.1, 0.15, 0.2)),
        2.0 * wall,
        dice.choice((0.01, 0.015, 0.02, 0.025)),
        dice.uniform(0.05, 0.2),
        dice.choice(gaps),
        dice.choice(gaps),
        dice.uniform(200.0, 4000.0),
        dice.choice((0.0, dice.uniform(-9000.0, 6000.0))),
    )


@pytest.mark.parametrize("hinged", [False, True], ids=["both faces welded", "outside only"])
@pytest.mark.parametrize("seed", range(6))
def test_no_strap_is_bent_more_than_the_bounds_say(seed: int, hinged: bool) -> None:
    dice = random.Random(seed)
    for _ in range(30):
        saddle = any_saddle(dice)
        most = bounds(saddle, hinged)
        for place, moment in moments_by_frame(saddle, hinged).items():
            assert moment <= most[place] + 1e-6 * saddle.twist, f"{place} of {saddle}"


def test_the_bounds_are_near_where_one_mode_carries_all() -> None:
    """Within 10 % of the frame for some straps: they are bounds, not guesses far off."""
    dice = random.Random(11)
    saddles = [any_saddle(dice)._replace(held_down=100.0) for _ in range(60)]
    shares = [greatest_moment(saddle) / max(bounds(saddle).values()) for saddle in saddles]
    assert 0.9 < max(shares) <= 1.0
