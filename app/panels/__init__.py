"""The panels beside the drawing: each shows one side of the document, or edits it.

Imports `look`, `documents`, `workers`, `canvas` and the engine; never `shell`, which puts the panels into the window.

How a panel is made and followed:

- `app.shell.panel_registry` has one row for each section: its title, its stage of the job, what makes its panel, what
  fills it, and which entries it holds. A panel is made when somebody first looks at it.
- A panel is filled by `show_document(document)` (or `show_verdict(job, verdict)` where it needs no more) when it comes
  to the front and after every change; in a drag only if it is quick (`app.shell.drag_pace`). It fills itself again and
  again: it sets texts and values, and builds widgets only when the number of arms or rows has changed.
- It changes the document by one `Document.set_pose`, `set_value` or `set_job` for each entry: one undo step. What the
  engine refuses is marked in the field and sent out by the signal ``told`` or ``refused``; the window shows it.
- A panel with long sums has a ``background`` (`app.workers.background`): it asks one question, remembers what the
  answer depends on, and drops the answer once that has changed. Over the answer stands a `waiting.Waiting`; what comes
  by the signal ``partly`` is shown, and never printed, exported or called a verdict.
- A panel that paints in colours of its own has ``set_theme``.

A new panel: a widget here with `show_document`, built of `widgets` and `fields`; a row in the registry; a test in
``tests/app``. A panel that says much has its sentences in a module of their own (`handling_words`, `move_words`,
`rack_words`, `solution_words`), so that they can be tested without a window.

Elsewhere in the window: the banner, the stages (`stage_bar`), the heads of sections (`section_stack`), the verdict
block (`verdict_block` with `use_bars`, `load_table`, `missing_facts`), the dialogs (`plate`, `record`, `recovered`,
`keys`).
"""
