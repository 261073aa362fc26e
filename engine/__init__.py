"""Balance, strength and planning for a shop-built lifting jib on a fork-lift truck.

Axes (the truck is the reference frame, whatever the floor does):

* ``x`` forward from the front-axle tipping line, so the steer axle stands at ``-wheelbase``;
* ``y`` to the left of the truck's centreline;
* ``z`` up from the floor, square to it.

Signs: tilt back, arms turned left, level arms raised, floor falling forward and floor falling to the
left are positive.  A falling floor turns the gravity vector in the truck's frame.

Everything inside is SI floats (m, kg, N, N·m, Pa, rad).  A pose may be one pose or an array of poses;
one set of formulas serves both.
"""
