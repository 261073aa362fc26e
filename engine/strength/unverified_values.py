"""Values remembered from standards that could not be read while this was written: verify before use.

Everything that the strength modules know only from memory stands here and nowhere else, so that somebody who has the
standards can check it in one sitting.  None of it counts where a value that was read gives a lower answer.
"""

from __future__ import annotations

import math

from engine.base.geometry import sqrt

# ---------------------------------------------------------------- ASME BTH-1 (below-the-hook lifting devices)

SHEAR_OVER_YIELD = 1.0 / sqrt(3.0)
"""Allowed shear is yield / (design factor * sqrt 3): BTH-1 as remembered, and von Mises."""

FRACTURE_FACTOR = 1.20
"""Limits set by breaking (welds, tear-out, net section) are divided by 1.20 times the design factor; that it holds for
pin-plate shear was read in a secondary copy, for welds it is from memory."""

BEARING_OVER_YIELD = 1.25
"""Pin bearing: 1.25 yield / design factor."""

# ---------------------------------------------------------------- ASME VIII (joint efficiencies UW-12)

QUALITY_SHARE = {"qualified_ndt": 1.00, "qualified_visual": 0.85, "own_eye": 0.70, "unknown": 0.70}
"""Share of a weld's strength by who made it and who looked at it; a weld nobody has seen has none: not entered.

The shares are joint efficiencies of butt welds in vessels; using them for fillets is common practice, no source."""

# ---------------------------------------------------------------- AISC 360, parts not read

ROUND_COMPACT = 0.07
ROUND_NONCOMPACT = 0.31
ROUND_MODULUS = 0.021
"""Round tube in bending, F8 and Table B4.1b: compact to 0.07 E/Fy, to 0.31 E/Fy ``(0.021 E/(D/t) + Fy) S``."""

ROUND_TORSION = 0.60
"""Round tube in torsion, H3-2b: critical stress at least ``0.60 E / (D/t)^1.5``, never over 0.6 Fy."""

TORSION_MIDDLE = 3.07
TORSION_SLENDER = 0.458
"""Rectangular tube in torsion, H3-4 and H3-5: limit of the middle range over sqrt(E/Fy) and factor of the last."""

SHEAR_MIDDLE = 1.37
SHEAR_SLENDER = 1.51
"""Web shear buckling G2-10 and G2-11: limit of the middle range over sqrt(k E/Fy), factor of the last range."""

YIELDING_SPREAD = 5.0
YIELDING_OMEGA = 1.50
"""Local yielding of a wall under a concentrated force, J10-2: ``Fy t (5 k + l)``, half the spread near an end."""

CRIPPLING = 0.80
CRIPPLING_END = 0.40
CRIPPLING_OMEGA = 2.00
"""Crippling of a wall, J10-4 and J10-5: ``0.80 t^2 (1 + 3 l/d) sqrt(E Fy)``, 0.40 near an end."""

CRIPPLING_FAR_LENGTH = 0.2
"""Bearing length over depth from which crippling near an end takes ``4 l/d - 0.2`` for ``3 l/d``, J10.3(b)."""

ROUND_BRANCH = math.pi / 4.0
"""A round tube on a wall has so much of the strength of a square one as wide (EN 1993-1-8, 7.5)."""

SHEAR_LAG_WELDS = 3.0
"""Plate with two side welds L long, w apart, Table D3.1 case 4: ``U = 3 L^2/(3 L^2 + w^2)``."""

GUSSET_OUTSTAND = 0.56
"""Outstand of a plate from its free edge over t sqrt(E/Fy), Table B4.1a."""

GUSSET_WALL_SHARE = 0.5
"""How much of a mast's wall is left for a gusset that folds it, where the mast's bending presses it too (a guess)."""

BASE_PLATE_K = 2.1
"""Effective length of a cantilever column with a real (not perfectly rigid) foot, Table C-A-7.1, recommended value."""

MINIMUM_LEGS_M = ((0.006, 0.003), (0.013, 0.005), (0.019, 0.006), (math.inf, 0.008))
"""Smallest fillet leg by the thinner part joined, Table J2.4 in metric: (thickness up to, leg)."""
