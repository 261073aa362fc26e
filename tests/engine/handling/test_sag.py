"""Sag against a frame solver (PyNiteFEA), and closed forms for its simple cases."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import pytest
from Pynite import FEModel3D

from engine.base.geometry import GRAVITY_M_S2
from engine.handling.sag import sag_of, softness
from engine.limits import balance
from engine.rig.deflection import TAPERED, blades_roll_rad
from engine.rig.kinematics import boom_z_m, figures, mast_base_z_m, place
from engine.schema.model import ArmPose, Job, Pose
from engine.schema.quantities import Estimate
from engine.schema.sections import FlatBar, properties
from engine.schema.steel import ELASTIC_MODULUS_PA, SHEAR_MODULUS_PA
from tests.samples import read_once

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
VINEYARD = read_once(SAMPLES / "cold_spring_vineyard.rig.json")
STONE_YARD = read_once(SAMPLES / "tarn_hollow_stone_yard.rig.json")


def level(job: Job) -> Job:
    flat = {name: Estimate(best=0.0, known="measured") for name in ("fall_along", "fall_across")}
    return msgspec.structs.replace(job, floors=(msgspec.structs.replace(job.floors[0], **flat),))


class Frame:
    """The same rig as a frame of a general solver, whose vertical axis is Y: our (x, y, z) is its (X, -Z, Y)."""

    def __init__(self, job: Job, pose: Pose) -> None:
        self.job, self.pose, self.model = job, pose, FEModel3D()
        self.model.add_material("steel", ELASTIC_MODULUS_PA, SHEAR_MODULUS_PA, 0.3, 7850.0)
        # Stiff enough to be counted as rigid, short ones less so: the solver loses digits to extremes.
        self.model.add_section("stiff", 0.1, 0.02, 0.02, 0.02)
        self.model.add_section("stub", 0.1, 2e-4, 2e-4, 2e-4)
        self.numbers = figures(job, pose)
        self._base()
        self._boom()
        self.last = self._arms()
        self._loads()

    def section(self, name: str, steel, count: float = 1.0) -> None:
        """In the solver Iz resists bending up and down of a member lying down, Iy sideways."""
        self.model.add_section(
            name,
            count * steel.area_m2,
            count * steel.second_moment_side_m4,
            count * steel.second_moment_up_m4,
            count * steel.twist_m4,
        )

    def node(self, name: str, x: float, z: float, y: float = 0.0) -> None:
        self.model.add_node(name, x, z, -y)

    def _base(self) -> None:
        rig, forks, model = self.job.rig, self.job.truck.forks, self.model
        self.section("forks", properties(FlatBar(width_m=forks.width_m, depth_m=forks.thickness_m)), 2.0)
        self.section("sleeves", properties(rig.sleeves.section), 2.0)
        self.section("mast", properties(rig.jib_mast.section))
        tip_x, self.foot_x, base_z = rig.sleeves.length_m, rig.jib_mast.foot_x_m, mast_base_z_m(rig)
        self.top_z = base_z + rig.jib_mast.length_m
        self.boom_z = base_z + boom_z_m(rig)
        axis_z = rig.sleeves.section.wall_m - rig.sleeves.section.depth_m / 2.0
        for name, x, z in (
            # A hair under the sleeves: the solver joins a member to every node on its line.
            ("shank", 0.0, axis_z - 1e-3),
            ("heel", 0.0, axis_z),
            ("fork tip", tip_x, axis_z - 1e-3),
            ("foot", self.foot_x, axis_z),
            ("mast foot", self.foot_x, base_z),
            ("mast top", self.foot_x, self.top_z),
        ):
            self.node(name, x, z)
        model.add_member("fork", "shank", "fork tip", "steel", "forks")
        model.add_member("sleeve a", "heel", "foot", "steel", "sleeves")
        model.add_member("sleeve b", "foot", "fork tip", "steel", "sleeves")
        model.add_member("stub", "foot", "mast foot", "steel", "stub")
        model.add_member("mast", "mast foot", "mast top", "steel", "mast")
        model.def_releases("sleeve b", Ryj=True, Rzj=True)
        model.def_support("shank", True, True, True, True, True, True)
        model.def_support("heel", False, True, True, True, True, False)
        model.def_support("foot", False, False, True, True, True, False)

    def _boom(self) -> None:
        """In straps: held across at both, free to turn up, down and sideways, twist held at the front one."""
        rig, model = self.job.rig, self.model
        saddles, out_m = rig.saddles, float(self.numbers.boom_out_m)
        self.section("boom", properties(rig.boom.section))
        self.end_x = self.foot_x + (out_m if self._fitted() else out_m - rig.hook.edge_m)
        places = {
            "tail": self.foot_x + out_m - rig.boom.length_m,
            "rear": self.foot_x + saddles.rear_x_m,
            "front": self.foot_x + saddles.front_x_m,
            "boom end": self.end_x,
        }
        for name, x in places.items():
            self.node(name, x, self.boom_z)
        for strap, releases in (("front", {}), ("rear", {"Dyj": True, "Ryj": True})):
            self.node(f"{strap} seat", places[strap], self.boom_z - 0.05)
            if strap == "rear" or abs(saddles.front_x_m) > 1e-9 or abs(self.top_z - self.boom_z + 0.05) > 1e-9:
                model.add_member(f"{strap} bed", "mast top", f"{strap} seat", "steel", "stiff")
            model.add_member(f"{strap} strap", f"{strap} seat", strap, "steel", "stub")
            model.def_releases(f"{strap} strap", Rxj=True, Rzj=True, **releases)
        for name, (a, b) in {
            "tail part": ("tail", "rear"),
            "between": ("rear", "front"),
            "overhang": ("front", "boom end"),
        }.items():
            model.add_member(name, a, b, "steel", "boom")

    def _fitted(self):
        pairs = zip(self.job.rig.arms, self.pose.arms, self.numbers.arms_kg, strict=True)
        return [(arm, stance, kg) for arm, stance, kg in pairs if stance.fitted]

    def _arms(self) -> str:
        last, x, y, angle = "boom end", self.end_x, 0.0, 0.0
        self.side_kgm = 0.0
        for arm, stance, kg in self._fitted():
            angle += stance.turn_rad
            self.side_kgm += kg * (y + arm.length_m * math.sin(angle) / 2.0)
            x, y = x + arm.length_m * math.cos(angle), y + arm.length_m * math.sin(angle)
            self.section(arm.name, properties(arm.section))
            self.node(f"end of {arm.name}", x, self.boom_z, y)
            self.model.add_member(arm.name, last, f"end of {arm.name}", "steel", arm.name)
            last = f"end of {arm.name}"
        numbers = self.numbers
        self.side_kgm += y * (numbers.hook_kg + numbers.rigging_kg + numbers.load_kg)
        self.end_y = y
        return last

    def _loads(self) -> None:
        rig, numbers, model = self.job.rig, self.numbers, self.model

        def even(member: str, kg_per_m: float) -> None:
            model.add_member_dist_load(member, "FY", -GRAVITY_M_S2 * kg_per_m, -GRAVITY_M_S2 * kg_per_m)

        even("mast", numbers.jib_mast_kg / rig.jib_mast.length_m)
        for part in ("tail part", "between", "overhang"):
            even(part, numbers.boom_kg / rig.boom.length_m)
        for arm, _, kg in self._fitted():
            even(arm.name, kg / arm.length_m)
        model.add_node_load(self.last, "FY", -GRAVITY_M_S2 * (numbers.hook_kg + numbers.rigging_kg + numbers.load_kg))
        saddle_x = (rig.saddles.front_x_m + rig.saddles.rear_x_m) / 2.0
        model.add_node_load("mast top", "FY", -GRAVITY_M_S2 * numbers.saddles_kg)
        model.add_node_load("mast top", "MZ", -GRAVITY_M_S2 * numbers.saddles_kg * saddle_x)
        model.add_node_load("fork tip", "FY", -GRAVITY_M_S2 * numbers.sleeves_kg / 2.0)
        if not self._fitted():
            stub_m = rig.hook.edge_m
            stub_N = GRAVITY_M_S2 * numbers.boom_kg / rig.boom.length_m * stub_m
            model.add_node_load("boom end", "FY", -stub_N)
            model.add_node_load("boom end", "MZ", -stub_N * stub_m / 2.0)

    def blades_roll_rad(self) -> float:
        """How far one blade up and the other down roll the rig: a cantilever of its own under half the couple."""
        rig, forks = self.job.rig, self.job.truck.forks
        heel_x, tip_x, share = 1e-6, rig.sleeves.length_m, self.foot_x / rig.sleeves.length_m
        blade = FEModel3D()
        blade.add_material("steel", ELASTIC_MODULUS_PA, SHEAR_MODULUS_PA, 0.3, 7850.0)
        steel = properties(FlatBar(width_m=forks.width_m, depth_m=forks.thickness_m))
        blade.add_section(
            "blade", steel.area_m2, steel.second_moment_side_m4, steel.second_moment_up_m4, steel.twist_m4
        )
        for name, x in (("shank", 0.0), ("tip", tip_x)):
            blade.add_node(name, x, 0.0, 0.0)
        blade.add_member("blade", "shank", "tip", "steel", "blade")
        blade.def_support("shank", True, True, True, True, True, True)
        force_N = self.side_kgm * GRAVITY_M_S2 / forks.spread_m
        blade.add_node_load("tip", "FY", force_N * share)
        blade.add_member_pt_load("blade", "FY", force_N * (1.0 - share), heel_x)
        blade.analyze_linear()
        foot_m = blade.nodes["tip"].DY["Combo 1"] * share  # the heel stands at the shank and does not move
        return TAPERED * 2.0 * foot_m / forks.spread_m

    def end_m(self) -> tuple[float, float, float]:
        """Displacement of the last link's end in our axes, rolled by the fork blades about the sleeves' axis."""
        node, roll = self.model.nodes[self.last], self.blades_roll_rad()
        rig = self.job.rig
        axis_z = rig.sleeves.section.wall_m - rig.sleeves.section.depth_m / 2.0
        aside_m, down_m = roll * (self.boom_z - axis_z), roll * self.end_y
        return node.DX["Combo 1"], aside_m - node.DZ["Combo 1"], node.DY["Combo 1"] - down_m


def feather(job: Job, share: float) -> Job:
    """The same rig with every weight a small share of itself: bending so small that it does not feed on itself."""

    def less(part):
        return msgspec.structs.replace(part, mass_kg=Estimate(best=share * part.mass_kg.best, known="guess"))

    rig = job.rig
    parts = {name: less(getattr(rig, name)) for name in ("sleeves", "jib_mast", "saddles", "boom", "hook")}
    rig = msgspec.structs.replace(rig, arms=tuple(less(arm) for arm in rig.arms), **parts)
    load = msgspec.structs.replace(
        less(job.load), rigging_kg=Estimate(best=share * job.load.rigging_kg.best, known="guess")
    )
    return msgspec.structs.replace(job, rig=rig, load=load)


POSES = {
    "straight ahead": (VINEYARD, 6, (ArmPose(turn_rad=0.0), ArmPose(turn_rad=0.0))),
    "arms out to the left": (VINEYARD, 4, (ArmPose(turn_rad=1.3), ArmPose(turn_rad=0.4))),
    "elbow bent": (VINEYARD, 8, (ArmPose(turn_rad=-0.6), ArmPose(turn_rad=1.9))),
    "one arm": (VINEYARD, 6, (ArmPose(turn_rad=0.5), ArmPose(fitted=False))),
    "hook in the boom": (STONE_YARD, 6, ()),
}


def stance(name: str, share: float) -> tuple[Job, Pose]:
    job, hole, arms = POSES[name]
    job = level(feather(job, share))
    return job, msgspec.structs.replace(job.poses[0], hole=hole, arms=arms)


@pytest.mark.parametrize("name", POSES)
def test_sag_is_what_a_frame_solver_finds(name):
    job, pose = stance(name, 1e-4)
    frame = Frame(job, pose)
    frame.model.analyze_linear()
    sag = sag_of(job, pose)
    forward_m, aside_m, up_m = frame.end_m()
    size = abs(up_m)
    assert -sag.hook_drop_m == pytest.approx(up_m, abs=2e-3 * size)
    assert sag.hook_forward_m == pytest.approx(forward_m, abs=2e-3 * size)
    assert sag.hook_aside_m == pytest.approx(aside_m, abs=2e-3 * size)


@pytest.mark.parametrize("name", ["straight ahead", "hook in the boom"])
def test_bending_that_carries_weight_forward_bends_more_as_a_second_order_solver_finds(name):
    job, pose = stance(name, 1.0)
    frame = Frame(job, pose)
    frame.model.analyze_PDelta()
    second = -frame.end_m()[2]
    frame = Frame(job, pose)
    frame.model.analyze_linear()
    first = -frame.end_m()[2]
    sag = sag_of(job, pose)
    assert sag.settled
    assert sag.hook_drop_m > first
    assert sag.hook_drop_m == pytest.approx(second, rel=5e-3)


def test_blades_roll_the_rig_by_hand():
    """pick.md section 2.3: 6,342 N·m on blades of 100 x 35 mm 0.6 m apart, sleeve 0 to 0.95 m, foot at 0.35 m.

    0.01866 rad at a modulus of 205 GPa; ours is 200.
    """
    bare = msgspec.structs.replace(
        VINEYARD.truck.forks, width_m=0.1, thickness_m=0.035, worn_m=0.0, spread_m=0.6, length_m=1.0
    )
    roll = blades_roll_rad(bare, (0.0, 0.35, 0.95), 6342.0)
    assert roll == pytest.approx(0.01866 * 205e9 / ELASTIC_MODULUS_PA, rel=1e-3)


def test_a_sag_part_by_part_adds_up_to_the_hooks():
    job, pose = stance("arms out to the left", 1.0)
    sag = sag_of(job, pose)
    assert sum(part.drop_m for part in sag.parts) == pytest.approx(sag.hook_drop_m, rel=0.02)
    assert sum(part.forward_m for part in sag.parts) == pytest.approx(sag.hook_forward_m, rel=0.05)


def test_the_lean_takes_weight_off_the_rear_wheels():
    job = level(VINEYARD)
    pose = job.poses[2]
    straight, bent = place(job, figures(job, pose)), sag_of(job, pose).placed
    assert balance.weigh(bent).rear_kg < balance.weigh(straight).rear_kg
    assert balance.weigh(bent).tipping_load_kg < balance.weigh(straight).tipping_load_kg


def test_a_measured_sag_names_the_softer_part():
    """A boom drawn twice as stiff as it is: the sag it then shows is explained by a ratio of 2 on the boom."""
    job, pose = stance("straight ahead", 1.0)
    parts = {
        full: {part.part: part.drop_m for part in sag_of(job, msgspec.structs.replace(pose, loaded=full)).parts}
        for full in (True, False)
    }
    drawn_m = sum(parts[True].values()) - sum(parts[False].values())
    measured_m = drawn_m + (parts[True]["boom"] - parts[False]["boom"])
    ratios = {one.part: one.ratio for one in softness(job, pose, measured_m)}
    assert ratios["boom"] == pytest.approx(2.0, rel=1e-9)
    assert 1.0 < ratios["forks"] < 2.0
    assert softness(job, pose, measured_m)[0].part == "forks"


def test_a_sag_as_expected_calls_nothing_soft():
    job, pose = stance("straight ahead", 1.0)
    loaded, empty = (sag_of(job, msgspec.structs.replace(pose, loaded=full)) for full in (True, False))
    sag_m = sum(part.drop_m for part in loaded.parts) - sum(part.drop_m for part in empty.parts)
    assert all(one.ratio == pytest.approx(1.0) for one in softness(job, pose, sag_m))
