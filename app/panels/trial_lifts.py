"""Trial lifts in the measure panel: noted with the pose they were made in, compared with the truck as entered."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.reading_form import Reading, ReadingForm, as_sentence
from app.panels.widgets import add_button, sentence
from engine.base.errors import TailweightError
from engine.base.formatting import fill, show
from engine.explain import refusals
from engine.schema.model import Job, TrialLift, Truck
from engine.schema.validation import checked
from engine.shop import trial_lift
from engine.shop.edits import REPLACE


class TrialLifts(QWidget):
    """One reading form, what all trial lifts together say, and the truck they would correct to."""

    told = Signal(str)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._corrected: Truck | None = None
        self.form = ReadingForm(
            "Trial lift with the rear axle on a scale",
            "In the pose shown now, with a load of known weight just clear of the ground.",
            (Reading("load", "Load", "mass"), Reading("rear", "Rear axle then", "mass")),
            "Note this trial lift",
            self._compare,
            self._note,
        )
        self.said = sentence("what the trial lifts say")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.form)
        column.addWidget(self.said)
        self.correct = add_button(column, "Take the corrected truck", "take the corrected truck", self._take_corrected)
        self.forget = add_button(column, "Forget the last trial lift", "forget the last trial lift", self._forget_last)

    # -------------------------------------------------------- showing

    def show_document(self, document: Document) -> None:
        """The readings in the document's units, and what the trial lifts noted say of its truck."""
        self.form.set_units(document.units)
        job = document.job
        self.forget.setEnabled(bool(job.trial_lifts))
        self._corrected, words = None, "No trial lift is noted yet."
        if job.trial_lifts:
            try:
                fit = trial_lift.fit(job)
                self._corrected, words = fit.corrected, self._fit_words(job, fit)
            except TailweightError as error:
                words = refusals.sentence(error, document.units)
        self.said.setText(words)
        self.correct.setEnabled(self._corrected is not None)

    def _fit_words(self, job: Job, fit: trial_lift.TrialFit) -> str:
        units = job.units
        lines = [as_sentence(fill(fit.words, fit.numbers, units))]
        for number, (comparison, residual_kg) in enumerate(zip(fit.readings, fit.residuals_kg, strict=True), start=1):
            load, predicted, weighed, left = (
                show(mass_kg, "kg", units)
                for mass_kg in (
                    comparison.lift.load_kg,
                    comparison.predicted_kg,
                    comparison.lift.rear_kg,
                    residual_kg,
                )
            )
            lines.append(f"{number}. load {load}: predicted {predicted}, weighed {weighed}, left over {left}")
        lines += [as_sentence(fill(one.words, one.numbers, units)) for one in trial_lift.contradictions(job, fit)]
        return "\n".join(lines)

    def _compare(self, values: Mapping[str, float]) -> str:
        comparison = trial_lift.compare(self._document.job, self._lift(values))
        predicted, weighed, off = (
            show(mass_kg, "kg", self._document.units)
            for mass_kg in (comparison.predicted_kg, values["rear"], abs(comparison.over_kg))
        )
        way = "heavier" if comparison.over_kg > 0 else "lighter"
        return f"Predicted {predicted}, weighed {weighed}: {off} {way} than predicted."

    def _lift(self, values: Mapping[str, float]) -> TrialLift:
        """The trial lift entered, in the pose shown."""
        document = self._document
        return TrialLift(
            pose=document.pose,
            load_kg=values["load"],
            rigging_kg=document.job.load.rigging_kg.best,
            rear_kg=values["rear"],
        )

    # -------------------------------------------------------- changing the job

    def _note(self) -> None:
        job = self._document.committed_job
        lifts = (*job.trial_lifts, self._lift(self.form.values))
        self._change(REPLACE(job, trial_lifts=lifts), "Note a trial lift")
        self.form.clear()

    def _forget_last(self) -> None:
        job = self._document.committed_job
        self._change(REPLACE(job, trial_lifts=job.trial_lifts[:-1]), "Forget a trial lift")

    def _take_corrected(self) -> None:
        if self._corrected is not None:
            job = REPLACE(self._document.committed_job, truck=self._corrected)
            self._change(job, "Take the corrected truck")

    def _change(self, job: Job, text: str) -> None:
        try:
            self._document.set_job(checked(job), text)
        except TailweightError as error:
            self.told.emit(refusals.sentence(error, self._document.units))
