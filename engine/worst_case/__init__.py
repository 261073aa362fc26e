"""The worst case over every uncertain entry, and the verdict that follows from it.

`verdict` puts one pose together and asks `worst_case`, which lists the entries (`uncertain_inputs`), builds the box of
their bands (`uncertainty_box`) and searches its corners (`corner_search`, in machine code `corner_search_llvm`, both by
`corner_rules`).  `corner_climb` goes on from corners where entries act on each other, `each_limit` does so for every
limit of a list.  Limits over variants come from the `evaluator`, which records the formulas (`recorded_formulas`) once
that pays; `nominal` has values as entered over many poses.  `entry_costs` says what measuring an entry would buy.

Imports `base`, `schema`, `jit`, `rig`, `strength` and `limits`.
"""
