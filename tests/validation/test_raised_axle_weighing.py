"""Raised-axle weighing against two independent weighings of the same truck.

* A rigid-body simulator (computed with MuJoCo): a body on four free-rolling wheels, one axle on blocks, stands still
  and the ground's push under the other axle is read.
* Statics in space, with nothing but sums of forces and moments: six equilibrium equations of the truck turned as a
  rigid body until its wheels touch the blocks, unknown pushes solved by least squares.
"""

from __future__ import annotations

import math

import mujoco
import numpy as np
import pytest
from scipy.optimize import brentq

from engine.base.geometry import GRAVITY_M_S2
from engine.shop.truck_measurement import RaisedAxle, Tyres, cg_height_from_raise

TRUCKS = {
    "2.5 t": (Tyres(wheelbase_m=1.6, front_radius_m=0.335, rear_radius_m=0.265), 3900.0, (-0.944, 0.65)),
    "1.5 t": (Tyres(wheelbase_m=1.38, front_radius_m=0.26, rear_radius_m=0.22), 2750.0, (-0.773, 0.60)),
    "5 t": (Tyres(wheelbase_m=2.1, front_radius_m=0.415, rear_radius_m=0.34), 7300.0, (-1.22, 0.85)),
}
TRACK_M = 0.95
WHEEL_KG = 50.0
"""A wheel of next to no mass would sink into the ground: the simulator's contact softens with it."""
SCALE = {"scale_kg": 0.5, "block_off_m": 0.001, "radius_off_m": 0.0}


def simulated_kg(
    tyres: Tyres, mass_kg: float, centre_m: tuple[float, float], raised: str, block_m: float, weighed: str
) -> float:
    """What the scale under an axle reads when the truck has come to rest."""
    step = 0.001
    spec = mujoco.MjSpec()
    spec.option.timestep = step
    spec.option.integrator = mujoco.mjtIntegrator.mjINT_IMPLICITFAST
    spec.option.cone = mujoco.mjtCone.mjCONE_ELLIPTIC
    spec.option.gravity = [0.0, 0.0, -GRAVITY_M_S2]
    contact = {
        "condim": 3,
        "friction": [1.0, 0.005, 0.0001],
        "solref": [2.0 * step, 1.0],
        "solimp": [0.999, 0.9999, 1e-5, 0.5, 2.0],
    }
    for axle, at in (("front", 0.0), ("rear", -tyres.wheelbase_m)):
        high = block_m if axle == raised else 0.0
        spec.worldbody.add_geom(
            name=axle,
            type=mujoco.mjtGeom.mjGEOM_BOX,
            size=[0.5, 1.0, 0.1],
            pos=[at, 0.0, high - 0.1],
            contype=1,
            conaffinity=2,
            **contact,
        )
    axles = (("front", 0.0, tyres.front_radius_m), ("rear", -tyres.wheelbase_m, tyres.rear_radius_m))
    body_kg = mass_kg - 4.0 * WHEEL_KG
    body_at = [
        (mass_kg * centre_m[0] - 2.0 * WHEEL_KG * sum(at for _, at, _ in axles)) / body_kg,
        0.0,
        (mass_kg * centre_m[1] - 2.0 * WHEEL_KG * sum(radius for _, _, radius in axles)) / body_kg,
    ]
    truck = spec.worldbody.add_body(
        name="truck", mass=body_kg, ipos=body_at, inertia=[600.0] * 3, explicitinertial=True
    )
    truck.add_freejoint()
    for axle, at, radius in axles:
        for side in (-0.5, 0.5):
            wheel = truck.add_body(
                pos=[at, side * TRACK_M, radius],
                mass=WHEEL_KG,
                ipos=[0, 0, 0],
                inertia=[1.0] * 3,
                explicitinertial=True,
            )
            # Free to roll, with a little drag so that it comes to rest; the weighed axle is chocked.
            if axle == raised:
                wheel.add_joint(type=mujoco.mjtJoint.mjJNT_HINGE, axis=[0, 1, 0], damping=1.0)
            wheel.add_geom(
                name=f"{axle} {side}",
                type=mujoco.mjtGeom.mjGEOM_SPHERE,
                size=[radius, 0, 0],
                mass=0.0,
                contype=2,
                conaffinity=1,
                **contact,
            )
    model = spec.compile()
    data = mujoco.MjData(model)
    along = -tyres.wheelbase_m if raised == "rear" else tyres.wheelbase_m
    turn = math.asin(block_m / abs(along)) * (-1.0 if raised == "front" else 1.0)
    data.qpos[3:7] = [math.cos(turn / 2.0), 0.0, math.sin(turn / 2.0), 0.0]
    data.qpos[2] = block_m * (1.0 if raised == "front" else 0.0) + 0.01
    for _ in range(4000):
        mujoco.mj_step(model, data)
    assert np.abs(data.qvel[:6]).max() < 2e-3, "the truck has not come to rest"
    push, total = np.zeros(6), 0.0
    for index in range(data.ncon):
        pair = {model.geom(int(geom)).name for geom in data.contact[index].geom}
        if weighed in pair:
            mujoco.mj_contactForce(model, data, index, push)
            frame = data.contact[index].frame.reshape(3, 3)
            total += abs(float(frame[:, 2] @ push[:3]))
    return total / GRAVITY_M_S2


def solved_kg(tyres: Tyres, mass_kg: float, centre_m: tuple[float, float], raised: str, block_m: float) -> float:
    """The same reading from equilibrium in space: plumb pushes under four wheels of the turned truck."""
    hubs = {
        "front": np.array([0.0, 0.0, tyres.front_radius_m]),
        "rear": np.array([-tyres.wheelbase_m, 0.0, tyres.rear_radius_m]),
    }

    def turned(point: np.ndarray, angle: float) -> np.ndarray:
        c, s = math.cos(angle), math.sin(angle)
        return np.array([c * point[0] - s * point[2], point[1], s * point[0] + c * point[2]])

    def gap(angle: float) -> float:
        rise = turned(hubs["front"], angle)[2] - turned(hubs["rear"], angle)[2]
        level = tyres.front_radius_m - tyres.rear_radius_m
        return rise - level - (block_m if raised == "front" else -block_m)

    angle = brentq(gap, -1.0, 1.0, xtol=1e-14)
    wheels = [
        turned(hubs[axle] + np.array([0.0, side * TRACK_M / 2.0, 0.0]), angle)
        for axle in ("front", "rear")
        for side in (-1, 1)
    ]
    up, weight = np.array([0.0, 0.0, 1.0]), np.array([0.0, 0.0, -mass_kg])
    centre = turned(np.array([centre_m[0], 0.0, centre_m[1]]), angle)
    system = np.array([[*up, *np.cross(wheel, up)] for wheel in wheels]).T
    pushes = np.linalg.lstsq(system, -np.array([*weight, *np.cross(centre, weight)]), rcond=None)[0]
    return float(pushes[2:].sum() if raised == "front" else pushes[:2].sum())


@pytest.mark.parametrize("raised", ["front", "rear"])
@pytest.mark.parametrize("name", TRUCKS)
def test_readings_solved_in_space_give_back_the_height(name: str, raised: str) -> None:
    tyres, mass_kg, centre_m = TRUCKS[name]
    level, up = (solved_kg(tyres, mass_kg, centre_m, raised, block) for block in (0.0, 0.3))
    height = cg_height_from_raise(
        tyres, mass_kg, RaisedAxle(raised=raised, block_m=0.3, level_kg=level, raised_kg=up, **SCALE)
    )
    assert height.value == pytest.approx(centre_m[1], rel=1e-9)


@pytest.mark.parametrize("raised", ["front", "rear"])
@pytest.mark.parametrize("name", ["2.5 t", "5 t"])
def test_readings_of_a_simulated_truck_give_back_the_height(name: str, raised: str) -> None:
    tyres, mass_kg, centre_m = TRUCKS[name]
    weighed = "rear" if raised == "front" else "front"
    level, up = (simulated_kg(tyres, mass_kg, centre_m, raised, block, weighed) for block in (0.0, 0.3))
    assert level == pytest.approx(solved_kg(tyres, mass_kg, centre_m, raised, 0.0), rel=2e-4)
    assert up == pytest.approx(solved_kg(tyres, mass_kg, centre_m, raised, 0.3), rel=5e-4)
    height = cg_height_from_raise(
        tyres, mass_kg, RaisedAxle(raised=raised, block_m=0.3, level_kg=level, raised_kg=up, **SCALE)
    )
    assert height.value == pytest.approx(centre_m[1], abs=0.01)
