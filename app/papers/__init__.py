"""The papers: everything the program writes to a PDF file or a printer, from the engine's numbers, in black on white.

Imports everything up to `panels`; in fact only `look`, `canvas` and the engine.

How a paper comes about: `output.make` evaluates the pose and hands a `subject.Subject` (job, pose, verdict, date) to
the paper's own module (`helper_card`, `pick_sheet`, `load_placard`, `build_sheet`, `approval_request`, `proof_sheet`,
`hand_check`, `drawing_sheet`, `log_list`). That module fills a `layout.Sheet`; `output.write_pdf` and
`output.print_on` paint it.

Where to look:

- **rounding**: `rounding` is the one place where a paper rounds its numbers: allowed loads and weights left go down,
  everything else to the nearest. `Subject.show` and `Subject.show_down` call it.
- what every page carries (name of the paper, serials, units, caution, approval): `head_and_foot`
- text, tables, boxes and page breaks: `layout`, made of the marks of `page_marks`
- drawings to scale: `pictures` for the side view and the plan, `build_drawing` for the dimensioned drawing of the rig,
  `drawing_sheet` for a page to be measured at a standard scale
- the list of what is not known and what was assumed: `shared_parts`
"""
