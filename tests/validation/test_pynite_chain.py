"""The load path's internal forces and reactions against a frame solver (PyNiteFEA), for rigs and poses at random.

The same rig as a three-dimensional frame in the truck's own axes: jib mast fixed at its foot, boom in two saddles (the
front one holds it every way but lets it bend through; the rear one only up, down and sideways), arms joined stiffly as
they stand, weights as forces at their centres.  Poses are turned, raised, leaned, tilted, on falls both ways, under
swing and braking.  The frame is statically determinate, so stiffness cannot matter; what is left is the solver's
round-off, far below a millionth of the largest force or moment.
"""

from __future__ import annotations

import math
import random
from itertools import pairwise
from pathlib import Path

import msgspec
import pytest
from Pynite import FEModel3D

from engine.base.geometry import ZERO, Vec
from engine.rig.kinematics import Figures, arm_link, figures, fitted_arms, place
from engine.rig.load_path import load_path, rig_parts
from engine.schema.model import Arm, ArmPose, Job, Policy
from engine.strength.cuts import Cut, PullDirection, cuts_of, pull_directions
from engine.strength.saddles import reactions
from tests.samples import read_once

REPLACE = msgspec.structs.replace
SAMPLE = read_once(Path(__file__).resolve().parents[2] / "sample_rigs" / "cold_spring_vineyard.rig.json")
CLOSE = 1e-6


def any_rig(dice: random.Random) -> tuple[Job, Figures, PullDirection]:
    """A rig of up to three arms with every length, turn, lean, fall and allowance at random, and one way it pulls."""
    rig = SAMPLE.rig
    arms = tuple(_any_arm(dice, rig.arms[0], index) for index in range(dice.randint(0, 3)))
    rear = dice.uniform(-0.8, -0.3)
    saddles = REPLACE(rig.saddles, front_x_m=dice.uniform(0.0, 0.2), rear_x_m=rear, seat_m=dice.uniform(0.05, 0.15))
    mast = REPLACE(rig.jib_mast, length_m=dice.uniform(0.8, 1.8), lean_rad=dice.uniform(-0.1, 0.1))
    rig = REPLACE(rig, arms=arms, saddles=saddles, jib_mast=mast)
    policy = Policy(
        dynamic_factor=dice.uniform(1.0, 1.5), swing_rad=dice.choice((0.0, 0.05)), braking=dice.choice((0.0, 0.1))
    )
    pose = REPLACE(SAMPLE.poses[0], arms=tuple(ArmPose() for _ in arms))
    job = REPLACE(SAMPLE, rig=rig, policy=policy, poses=(pose,), moves=())
    numbers = REPLACE(
        figures(SAMPLE, SAMPLE.poses[0]),
        lift_m=dice.uniform(0.2, 3.0),
        tilt_rad=dice.uniform(-0.08, 0.13),
        boom_out_m=dice.uniform(0.5, 1.5),
        turns_rad=tuple(dice.uniform(-2.5, 2.5) if arm.axis == "standing" else dice.uniform(-0.7, 0.7) for arm in arms),
        arms_kg=tuple(dice.uniform(8.0, 20.0) for _ in arms),
        fall_along=dice.uniform(-0.06, 0.06),
        fall_across=dice.uniform(-0.06, 0.06),
        load_kg=dice.uniform(50.0, 500.0),
    )
    return job, numbers, dice.choice(pull_directions(place(job, numbers), policy))


def _any_arm(dice: random.Random, like: Arm, index: int) -> Arm:
    return REPLACE(
        like,
        name=f"arm {index + 1}",
        length_m=dice.uniform(0.4, 1.0),
        axis=dice.choice(("standing", "standing", "level")),
        stack_m=dice.choice((0.0, 0.12, -0.15)),
    )


class Frame:
    """The rig as a frame; nodes in the truck's axes.  Members in the x-z plane have local y across (truck's y)."""

    def __init__(self, job: Job, numbers: Figures, direction: PullDirection) -> None:
        self.job, self.numbers, self.direction = job, numbers, direction
        self.placed = place(job, numbers)
        self.model = FEModel3D()
        self.model.add_material("steel", 2e11, 8e10, 0.3, 7850.0)
        self.model.add_section("tube", 3e-3, 1e-5, 1e-5, 1e-5)
        self.count = 0
        top = self._mast()
        self._saddles(top)
        end = self._boom()
        self._arms(end)
        self.model.analyze_linear(check_stability=False)

    def node(self, at_m: Vec) -> str:
        self.count += 1
        self.model.add_node(f"n{self.count}", *at_m)
        return f"n{self.count}"

    def member(self, name: str, a: str, b: str) -> None:
        self.model.add_member(name, a, b, "steel", "tube")

    def force(self, node: str, force_N: Vec, moment_Nm: Vec = ZERO) -> None:
        for kind, value in zip(("FX", "FY", "FZ", "MX", "MY", "MZ"), (*force_N, *moment_Nm), strict=True):
            self.model.add_node_load(node, kind, value)

    def _mast(self) -> str:
        mast, length = self.placed.frames["jib mast"], self.job.rig.jib_mast.length_m
        foot, middle, top = (self.node(mast.at(z_m=share * length)) for share in (0.0, 0.5, 1.0))
        self.foot = foot
        self.member("mast lower", foot, middle)
        self.member("mast upper", middle, top)
        self.model.def_support(foot, *[True] * 6)
        self.force(middle, self.direction.own.times(self.numbers.jib_mast_kg))
        saddles, boom = self.job.rig.saddles, self.placed.frames["boom"]
        at_m = boom.at((saddles.front_x_m + saddles.rear_x_m) / 2.0, 0.0, -self.job.rig.boom.section.depth_m / 2.0)
        weight = self.direction.own.times(self.numbers.saddles_kg)
        self.force(top, weight, (at_m - mast.at(z_m=length)).cross(weight))
        return top

    def _saddles(self, top: str) -> None:
        """Struts square to the boom: their local x is the boom's z, local y the truck's, local z along the boom."""
        boom, saddles = self.placed.frames["boom"], self.job.rig.saddles
        self.on_boom = {}
        for name, x, releases in (
            ("front", saddles.front_x_m, {"Rxj": True, "Ryj": True}),
            ("rear", saddles.rear_x_m, {"Dzj": True, "Rxj": True, "Ryj": True, "Rzj": True}),
        ):
            seat, self.on_boom[name] = self.node(boom.at(x, 0.0, -0.03)), self.node(boom.at(x))
            self.member(f"{name} bed", top, seat)
            self.member(f"{name} strut", seat, self.on_boom[name])
            self.model.def_releases(f"{name} strut", **releases)

    def _boom(self) -> str:
        boom, saddles, rig = self.placed.frames["boom"], self.job.rig.saddles, self.job.rig
        out, front = self.numbers.boom_out_m, saddles.front_x_m
        tail = out - rig.boom.length_m
        beyond_kg = self.numbers.boom_kg * (out - front) / rig.boom.length_m
        end_x = out if rig.arms else out - rig.hook.edge_m
        places = {front: self.on_boom["front"], saddles.rear_x_m: self.on_boom["rear"]}
        weights = (((out + front) / 2.0, beyond_kg), ((tail + front) / 2.0, self.numbers.boom_kg - beyond_kg))
        for x in (tail, end_x, *(x for x, _ in weights)):
            places.setdefault(x, self.node(boom.at(x)))
        for x, mass_kg in weights:
            self.force(places[x], self.direction.own.times(mass_kg))
        order = sorted(places)
        for a, b in pairwise(order):
            self.member("overhang" if a == front else f"boom from {a:.4f}", places[a], places[b])
        return places[end_x]

    def _arms(self, last: str) -> None:
        for index in fitted_arms(self.numbers):
            arm, frame = self.job.rig.arms[index], self.placed.frames[arm_link(index)]
            if arm.stack_m:
                root = self.node(frame.origin)
                self.member(f"drop to {arm.name}", last, root)
                last = root
            middle, end = self.node(frame.at(arm.length_m / 2.0)), self.node(frame.at(arm.length_m))
            self.member(f"{arm.name} root", last, middle)
            self.member(f"{arm.name} end", middle, end)
            self.force(middle, self.direction.own.times(self.numbers.arms_kg[index]))
            last = end
        hung = self.direction.hung.times(self.numbers.load_kg + self.numbers.rigging_kg)
        pull = hung + self.direction.own.times(self.numbers.hook_kg)
        self.force(last, pull, (self.placed.hook_m - self.placed.tip_m).cross(pull))

    def at_root(self, name: str) -> tuple[float, float, float, float]:
        """Axial, shear, twist and bending at a member's inboard end, each as a size."""
        member = self.model.members[name]
        return (
            abs(float(member.axial(0.0))),
            math.hypot(float(member.shear("Fy", 0.0)), float(member.shear("Fz", 0.0))),
            abs(float(member.torque(0.0))),
            math.hypot(float(member.moment("My", 0.0)), float(member.moment("Mz", 0.0))),
        )

    def foot_wrench(self) -> list[float]:
        node = self.model.nodes[self.foot]
        return [-float(getattr(node, f"Rxn{part}")["Combo 1"]) for part in ("FX", "FY", "FZ", "MX", "MY", "MZ")]


def sizes(cut: Cut, load_kg: float) -> tuple[float, float, float, float]:
    axial, up, side, twist, bend_up, bend_side = (part.at(load_kg) for part in cut.forces)
    return abs(axial), math.hypot(up, side), abs(twist), math.hypot(bend_up, bend_side)


def standing_wrench(cut: Cut, load_kg: float) -> tuple[Vec, Vec]:
    """Force and moment of a cut through the jib mast, in the truck's axes: its depth lies along its own x."""
    axial, up, side, twist, bend_up, bend_side = (part.at(load_kg) for part in cut.forces)
    return cut.axes.out(up, side, axial), cut.axes.out(bend_side, bend_up, twist)


def assert_like(
    computed: tuple[float, ...], want: tuple[float, ...], force_N: float, moment_Nm: float, what: str
) -> None:
    scales = (force_N, force_N, moment_Nm, moment_Nm)
    for name, got, expected, scale in zip(("axial", "shear", "twist", "bending"), computed, want, scales, strict=True):
        assert got == pytest.approx(expected, abs=CLOSE * scale), f"{name} of {what}"


@pytest.mark.parametrize("seed", range(24))
def test_internal_forces_and_reactions_of_any_rig(seed: int) -> None:
    job, numbers, direction = any_rig(random.Random(seed))
    frame, load = Frame(job, numbers, direction), numbers.load_kg
    cuts = cuts_of(job, frame.placed, load_path(rig_parts(frame.placed)), direction)
    foot_N, foot_Nm = standing_wrench(cuts.mast_foot, load)
    force, moment = foot_N.length(), foot_Nm.length()
    for got, want in zip(frame.foot_wrench()[:3], foot_N, strict=True):
        assert got == pytest.approx(want, abs=CLOSE * force)
    for got, want in zip(frame.foot_wrench()[3:], foot_Nm, strict=True):
        assert got == pytest.approx(want, abs=CLOSE * moment)
    for index, cut in cuts.arms:
        name = job.rig.arms[index].name
        assert_like(sizes(cut, load), frame.at_root(f"{name} root"), force, moment, name)
    assert_like(sizes(cuts.boom, load), frame.at_root("overhang"), force, moment, "boom")
    assert_like(sizes(cuts.mast_foot, load), frame.at_root("mast lower"), force, moment, "jib mast")
    held = reactions(job, cuts)
    largest = max(force, abs(held.rear_up.at(load)))
    for name, up, side in (("front", held.front_up, held.front_side), ("rear", held.rear_up, held.rear_side)):
        strut = frame.model.members[f"{name} strut"]
        # The solver counts compression positive: a strut under compression pushes the boom up.
        assert float(strut.axial(0.0)) == pytest.approx(up.at(load), abs=CLOSE * largest), f"{name} saddle"
        assert abs(float(strut.shear("Fy", 0.0))) == pytest.approx(abs(side.at(load)), abs=CLOSE * largest)
