"""The same truck and rig in a rigid-body simulator (MuJoCo): what its forward call per pose costs.

The engine is asked once, with every joint at nought, for the weights and where they stand in their links; from then on
the simulator's own joints (upright, inner frame, carriage, boom, arms, plumb hook) carry them.  The truck stands on its
feet as a free body with a rocking rear axle, as in ``tests/validation``.
"""

from __future__ import annotations

import math

import msgspec
import mujoco
import numpy as np

from engine.base.geometry import GRAVITY_M_S2, Array, Vec
from engine.rig.kinematics import INNER_UPRIGHT_SHARE, STEER_AXLE, Figures, arm_link, fitted_arms, place
from engine.schema.model import Job

FOOT_M = 0.01
STEP_S = 0.001
PRESSED_M = 1e-6
"""The truck stands this much into the floor, so that all its feet touch."""


class Simulated:
    """A model with its data, and which of its coordinates are the joints of a pose."""

    def __init__(self, job: Job, numbers: Figures) -> None:
        self._job, self._numbers = job, numbers
        self._arms = fitted_arms(numbers)
        self.model = _model(job, numbers)
        self.data = mujoco.MjData(self.model)
        names = ["tilt", "inner", "lift", "boom", *map(arm_link, self._arms)]
        self._at = [self.model.joint(name).qposadr[0] for name in names]
        plumb = self.model.joint("plumb").qposadr[0]
        self._plumb = slice(plumb, plumb + 4)

    def coordinates(self, lift_m: Array, tilt_rad: Array, out_m: Array, turns_rad: tuple[Array, ...]) -> Array:
        """Joint coordinates (poses, all of them) of some poses in a row."""
        rows = np.tile(self.data.qpos, (len(lift_m), 1))
        rows[:, 2] = -PRESSED_M
        rows[:, self._at] = np.stack([tilt_rad, INNER_UPRIGHT_SHARE * lift_m, lift_m, out_m, *turns_rad], axis=-1)
        # The hook hangs plumb: turned back about the standing axis, then about the lateral one.
        swung, tilted = -sum(turns_rad) / 2.0, tilt_rad / 2.0
        rows[:, self._plumb] = np.stack(
            [
                np.cos(swung) * np.cos(tilted),
                -np.sin(swung) * np.sin(tilted),
                np.cos(swung) * np.sin(tilted),
                np.sin(swung) * np.cos(tilted),
            ],
            axis=-1,
        )
        return rows

    def set(self, row: Array) -> None:
        """Take the pose these coordinates say."""
        self.data.qpos[:] = row

    def forward(self) -> None:
        """One forward call in the pose set."""
        mujoco.mj_forward(self.model, self.data)

    def centre_m(self) -> Array:
        """Centre of gravity of everything, by the simulator (3,)."""
        return self.data.subtree_com[self.model.body("truck").id].copy()

    def without_contacts(self) -> None:
        """From here on joints and weights only, nothing of the feet on the floor."""
        self.model.opt.disableflags |= mujoco.mjtDisableBit.mjDSBL_CONTACT


def _model(job: Job, numbers: Figures) -> mujoco.MjModel:
    nought = msgspec.structs.replace(
        numbers,
        lift_m=0.0,
        tilt_rad=0.0,
        boom_out_m=0.0,
        turns_rad=tuple(None if turn is None else 0.0 for turn in numbers.turns_rad),
    )
    placed = place(job, nought)
    spec = mujoco.MjSpec()
    spec.option.timestep = STEP_S
    spec.option.integrator = mujoco.mjtIntegrator.mjINT_IMPLICITFAST
    spec.option.solver = mujoco.mjtSolver.mjSOL_NEWTON
    spec.option.cone = mujoco.mjtCone.mjCONE_ELLIPTIC
    spec.option.gravity = [GRAVITY_M_S2 * float(part) for part in placed.gravity]
    spec.worldbody.add_geom(name="floor", type=mujoco.mjtGeom.mjGEOM_PLANE, size=[0, 0, 1], contype=1, conaffinity=2)
    origins = {"truck": Vec(0.0, 0.0, 0.0)}
    bodies: dict[str, mujoco.MjsBody] = {}

    def link(
        name: str,
        parent: str | None,
        origin: Vec,
        joint: str,
        kind: mujoco.mjtJoint,
        axis: tuple[int, int, int] = (0, 0, 1),
    ) -> None:
        """A link with its joint; where it stands is said in the truck's frame, which all links share at nought."""
        over = spec.worldbody if parent is None else bodies[parent]
        under = Vec(0.0, 0.0, 0.0) if parent is None else origins[parent]
        place_m = list(origin - under)
        bodies[name] = over.add_body(
            name=name, pos=place_m, mass=1e-6, ipos=[0, 0, 0], inertia=[1e-6] * 3, explicitinertial=True
        )
        bodies[name].add_joint(name=joint, type=kind, axis=axis)
        origins[name] = origin

    hinge, slide = mujoco.mjtJoint.mjJNT_HINGE, mujoco.mjtJoint.mjJNT_SLIDE
    upright = job.truck.upright
    pivot = Vec(upright.tilt_pivot_x_m, 0.0, upright.tilt_pivot_z_m)
    link("truck", None, Vec(0.0, 0.0, 0.0), "free", mujoco.mjtJoint.mjJNT_FREE)
    rear = Vec(-float(numbers.wheelbase_m), 0.0, float(numbers.pivot_height_m))
    link(STEER_AXLE, "truck", rear, "rocking", hinge, (1, 0, 0))
    link("upright outer", "truck", pivot, "tilt", hinge, (0, -1, 0))
    link("upright inner", "upright outer", pivot, "inner", slide)
    link("forks", "upright outer", pivot, "lift", slide)
    boom = placed.frames["boom"].origin
    link("boom", "forks", boom, "boom", slide, (1, 0, 0))
    last = "boom"
    for index in fitted_arms(numbers):
        name = arm_link(index)
        link(name, last, placed.frames[name].origin, name, hinge)
        last = name
    link("hook", last, placed.tip_m, "plumb", mujoco.mjtJoint.mjJNT_BALL)
    carried = {"chassis": "truck", "jib mast": "forks"}
    for index, body in enumerate(placed.bodies):
        if body.mass_kg == 0.0:
            continue
        name = "hook" if body.position_m == placed.hook_m else carried.get(body.link, body.link)
        roundness = 0.4 * float(body.mass_kg) * 0.1**2
        bodies[name].add_body(
            name=f"weight {index}",
            pos=list(body.position_m - origins[name]),
            mass=float(body.mass_kg),
            ipos=[0, 0, 0],
            inertia=[roundness] * 3,
            explicitinertial=True,
        )
    half = float(numbers.front_track_m) / 2.0
    for name, spot in (("truck", Vec(0.0, half, FOOT_M)), ("truck", Vec(0.0, -half, FOOT_M))):
        _foot(bodies[name], spot - origins[name])
    for side_m in (half, -half):
        _foot(bodies[STEER_AXLE], Vec(rear.x, side_m, FOOT_M) - rear)
    return spec.compile()


def _foot(body: mujoco.MjsBody, spot: Vec) -> None:
    body.add_geom(
        type=mujoco.mjtGeom.mjGEOM_SPHERE,
        size=[FOOT_M, 0, 0],
        pos=list(spot),
        mass=0.0,
        contype=2,
        conaffinity=1,
        condim=3,
    )


def any_poses(job: Job, count: int) -> tuple[Array, Array, Array, tuple[Array, ...]]:
    """Lift, tilt, boom and turns of poses anywhere between the stops, the same every time."""
    rng, upright = np.random.default_rng(7), job.truck.upright
    turns = tuple(rng.uniform(-math.pi / 2, math.pi / 2, count) for _ in job.rig.arms)
    lift_m = rng.uniform(upright.lift_min_m, upright.lift_max_m, count)
    tilt_rad = rng.uniform(-upright.tilt_forward_max_rad, upright.tilt_back_max_rad, count)
    return lift_m, tilt_rad, rng.uniform(0.2, 1.4, count), turns
