"""The strength of everything along the load path: what gives first of the rig itself.

**How it works.**  ``all_parts.checks(job, placed)`` asks every part in turn, from the hook inwards:

1. ``cuts`` turns the sums of ``engine.rig.load_path`` into the force and moment at each section.  They are six
   components in the link's own axes, each as *fixed part + part for every kilogram of load*, so that no limit has to be
   searched for by trying loads.  Rigging and load carry the dynamic factor, the rig's own weights do not; the floor's
   slope is in the direction of gravity; braking acts on all masses, load swing on what hangs.
2. Each part module (``hook_pin``, ``hoop``, ``arms``, ``hinges``, ``boom``, ``saddles``, ``saddle_bed``, ``jib_mast``,
   ``foot_weld``, ``sleeves``, ``forks``) turns those components into demands and holds them against what is allowed.
3. ``linear_in_load`` makes the `Check`: demand, allowed, use, the load at which the limit is just met, and the words.

What is allowed comes from ``allowable_stress`` (two rules side by side, the smaller counts), ``members`` (tubes,
AISC 360 chapters E to H), ``pins`` and ``welds``.  Values known only from memory stand in ``unverified_values``.
``cautions`` says what nobody has proved.

**Sources.**  AISC 360-22 for members, pins, plates and welds; curved bars as in Shigley; dowel theory of Johansen for
pins in single shear; elastic vector method for weld groups; the rest is statics.  Each check names its own.

**Joints.**  ``wall_patch``, ``wall_edge``, ``weld_lines``, ``bed``, ``base_on_forks``, ``strap_contact``,
``hinge_ends``, ``heel_hold``, ``mast_foot``, ``gussets``, ``stays``, ``hook_ends``, ``bought_gear`` and ``pieces`` hold
the mechanics of joints as functions of plain numbers; the part modules make checks of them.  What nothing looks at is
named in ``engine.rig.completeness.NOT_CHECKED``.

**What it leaves out**, besides what the cautions list: fatigue; impact beyond the dynamic factor; heat and cold; twist
of the mast's foot plate; welds between bed and jib mast and between cross-member and sleeves; sideways bending of a
hook hoop; carriage, upright and chains of the truck, which only its plate covers.  Friction never holds anything.

**For others in the engine.**  ``cuts.cuts_of`` gives the cuts; ``arms.arm_member``, ``boom.boom_member`` and
``jib_mast.mast_member`` give each tube's section with its design wall.  Floats and arrays of poses go through the same
formulas.

Imports `base`, `schema` and `rig`.
"""
