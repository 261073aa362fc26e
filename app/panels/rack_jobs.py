"""The jobs a rig from the rack must do: an entry for each, and the list of them."""

from __future__ import annotations

from functools import partial

from app.documents.document import Document
from app.panels.fields import ChoiceField, TextField
from app.panels.rack_entry import HEAVIEST_KG, LONGEST_M, RackEntry, name_in, unused_name
from app.panels.rack_words import job_words
from app.panels.widgets import add_button, add_entry_grid, add_row, heading
from engine.base.formatting import show
from engine.schema.model import JOBS_AT_MOST, WantedJob
from engine.schema.quantities import Estimate

KNOWN = ("guess", "similar", "worked_out", "papers", "weighed")


class RackJobs(RackEntry):
    """Jobs are the open rig's own; every change of them is an undo step."""

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self._typed: dict[str, float] = {}
        column = self._column
        column.addWidget(heading("Jobs it must do (up to three)"))
        grid = add_entry_grid(column)
        self.job_name = TextField("name of the job")
        add_row(grid, "Name", self.job_name)
        for name, label, kind in (
            ("load", "Load", "mass"),
            ("rigging", "Rigging", "mass"),
            ("height", "Hook height", "length"),
            ("reach", "Ahead of fork face", "length"),
        ):
            field = self._add_field(grid, f"job {name}", label, kind, partial(self._enter, name))
            field.set_empty_words("enter it")
        self.known = ChoiceField("how the load is known", KNOWN)
        add_row(grid, "Load known by", self.known)
        self.add = add_button(column, "Add this job", "add this job", self._add_job)
        self.rows = self._add_list("jobs wanted", 10)
        self.remove = add_button(column, "Remove the job", "remove the chosen job", self._remove_job)

    @property
    def wanted(self) -> tuple[WantedJob, ...]:
        """The jobs wanted."""
        return self._document.committed_job.wanted

    def _values(self) -> dict[str, float]:
        """What is typed so far; the rigging is the open rig's until another is typed."""
        return {"rigging": self._document.job.load.rigging_kg.best, **self._typed}

    def _enter(self, name: str, value: float) -> None:
        most, kind = (HEAVIEST_KG, "mass") if name in ("load", "rigging") else (LONGEST_M, "length")
        if not (0.0 <= value <= most if name == "rigging" else 0.0 < value <= most):
            limit = show(most, kind, self._document.units)
            self.fields[f"job {name}"].refuse(
                f"{name.capitalize()}: enter more than nothing, and no more than {limit}."
            )
            return
        self._typed[name] = value
        self.show_entries()

    def _add_job(self) -> None:
        values = self._values()
        missing = [name for name in ("load", "height", "reach") if name not in values]
        if missing:
            self.told.emit(f"Enter the {' and the '.join(missing)} of the job first.")
            return
        if len(self.wanted) == JOBS_AT_MOST:
            self.told.emit("Three jobs at most: remove one first.")
            return
        name = name_in(self.job_name) or unused_name("job {}", self.wanted)
        if any(job.name == name for job in self.wanted):
            self.told.emit(f"There is a job called {name} already: give this one another name.")
            return
        job = WantedJob(
            name=name,
            load_kg=Estimate(best=values["load"], known=self.known.currentData()),
            rigging_kg=values["rigging"],
            hook_height_m=values["height"],
            ahead_of_face_m=values["reach"],
        )
        if self._set("wanted", (*self.wanted, job), f"Want {name} done"):
            self.job_name.clear()
            self.rows.setCurrentRow(len(self.wanted) - 1)

    def _remove_job(self) -> None:
        self._remove_row("wanted", self.wanted, self.rows.currentRow(), "Want {} no more")

    def show_entries(self) -> None:
        """Show what is typed so far."""
        values = self._values()
        for name, field in self.fields.items():
            field.set_value(values.get(name.removeprefix("job ")), self._document.units)

    def show_list(self) -> None:
        """List the jobs wanted."""
        self.rows.fill([job_words(job, self._document.units) for job in self.wanted])
        self.remove.setEnabled(bool(self.wanted))
        self.add.setEnabled(len(self.wanted) < JOBS_AT_MOST)
