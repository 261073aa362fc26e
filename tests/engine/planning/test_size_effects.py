"""What a change of sizes did at some sizes of the other parts is foreseen at others."""

from __future__ import annotations

import pytest

from engine.planning.size_effects import Looked, SizeEffects

SIZES = ((0.01, 0.02, 0.04), ("thin", "thick", "thicker"))
"""Diameters (m) of a pin, and names of a tube."""


def looked(pin: int, tube: int) -> Looked:
    """A pin whose use goes with the inverse square of its diameter; a tube that loads it more the thicker it is."""
    use = 1e-4 / SIZES[0][pin] ** 2 * (1.0 + 0.5 * tube)  # type: ignore[operator]
    return Looked((pin, tube), 10.0 + pin + 5.0 * tube, {"pin": use, "tube": 1.0 / (1.0 + tube)})


def test_a_change_looked_at_beside_one_tube_is_foreseen_beside_another() -> None:
    effects = SizeEffects(SIZES)
    effects.remember(looked(0, 0), looked(1, 0))
    foreseen = effects.foreseen(looked(0, 2), (1, 2))
    assert foreseen is not None and foreseen.same_change
    assert foreseen.looked.uses == pytest.approx(looked(1, 2).uses)
    assert foreseen.looked.weight_kg == pytest.approx(looked(1, 2).weight_kg)
    back = effects.foreseen(looked(1, 2), (0, 2))
    assert back is not None and back.looked.uses == pytest.approx(looked(0, 2).uses)


def test_a_size_nobody_looked_at_is_foreseen_by_a_power_of_it_and_said_to_be() -> None:
    effects = SizeEffects(SIZES)
    effects.remember(looked(0, 0), looked(1, 0))
    foreseen = effects.foreseen(looked(1, 1), (2, 1))
    assert foreseen is not None and not foreseen.same_change
    assert foreseen.looked.uses == pytest.approx(looked(2, 1).uses)


def test_nothing_is_foreseen_of_a_part_without_a_length_or_of_two_parts_at_once() -> None:
    effects = SizeEffects(SIZES)
    effects.remember(looked(0, 0), looked(1, 0))
    effects.remember(looked(0, 0), looked(0, 1))
    assert effects.foreseen(looked(0, 1), (0, 2)) is None
    assert effects.foreseen(looked(0, 0), (1, 1)) is None
