"""The steel on the rack: an entry for each length, the list of them, and the stretches not to be used."""

from __future__ import annotations

from functools import partial

from PySide6.QtWidgets import QVBoxLayout

from app.documents.document import Document
from app.panels.fields import ChoiceField, TextField
from app.panels.rack_entry import LONGEST_M, RackEntry, name_in, unused_name
from app.panels.rack_words import SIZES_OF, steel_words
from app.panels.widgets import add_button, add_entry_grid, add_row, caption, heading
from engine.base.errors import ContradictionError
from engine.base.formatting import M_PER_FT, System, show
from engine.explain import refusals
from engine.schema.model import NoGo, Stock
from engine.schema.sections import FlatBar, RectTube, RoundTube, Section, SolidRound
from engine.schema.steel import GRADES, UNKNOWN
from engine.schema.stock_sizes import RECT_TUBES, ROUND_TUBES, name_of_size, units_first

TYPED_RECT, TYPED_ROUND, TYPED_FLAT, TYPED_BAR = (
    "typed: square or flat tube",
    "typed: round tube",
    "typed: flat bar",
    "typed: round bar",
)
TYPED: dict[str, type[Section]] = {
    TYPED_RECT: RectTube,
    TYPED_ROUND: RoundTube,
    TYPED_FLAT: FlatBar,
    TYPED_BAR: SolidRound,
}
COMMON_SIZES: dict[str, RectTube | RoundTube] = {**RECT_TUBES, **ROUND_TUBES}

START: dict[System, tuple[str, float]] = {
    "metric": ("100 x 100 x 6 mm", 6.0),
    "us": ("4 x 4 x 1/4 in", 20.0 * M_PER_FT),
}
"""Size and length the entry for a piece of steel starts with; nothing lies on the rack before it is added."""

MOST_KERF_M = 0.02
MOST_ALIKE = 60
"""Lengths of one kind of steel, as the rig files have it."""


class RackSteel(RackEntry):
    """Steel lies on the rack as the open rig's own stock; every change of it is an undo step."""

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self._sizes_m: dict[str, float] = {}
        self._started: System = document.units
        size, self._length_m = START[self._started]
        self._count = 1
        self._stretch_m: dict[str, float] = {}
        self._build_steel(self._column)
        self._build_stretches(self._column)
        self._pick_size(size)

    # -------------------------------------------------------- building

    def _build_steel(self, column: QVBoxLayout) -> None:
        column.addWidget(heading("Steel on the rack"))
        self.size_choice = ChoiceField("size of the steel", self._sizes())
        self.size_choice.entered.connect(self._pick_size)
        column.addWidget(caption("Common size, width before depth", self.size_choice))
        column.addWidget(self.size_choice)
        grid = add_entry_grid(column)
        for name, label in (
            ("width", "Width, across"),
            ("depth", "Depth, upright"),
            ("diameter", "Diameter"),
            ("wall", "Wall"),
        ):
            self._add_field(grid, f"steel {name}", label, "size", partial(self._enter_size, name))
        self._add_field(grid, "steel length", "Length", "length", self._enter_length)
        self._add_field(grid, "steel count", "How many", "count", self._enter_count)
        self.condition = ChoiceField("condition of the steel", ("good", "rusty", "bent"))
        add_row(grid, "Condition", self.condition)
        self.grade = ChoiceField("grade of the steel", (UNKNOWN, *GRADES))
        add_row(grid, "Grade, by its papers", self.grade)
        self.mark = TextField("mark of the steel")
        add_row(grid, "Mark, if any", self.mark)
        column.addWidget(
            caption("Of a rusty tube a millimetre of wall counts as lost; rusty bars and bent steel stay out.")
        )
        self.add = add_button(column, "Add to the rack", "add this steel to the rack", self._add_steel)
        self.rows = self._add_list("steel on the rack", 6)
        self.rows.currentRowChanged.connect(lambda _row: self._show_stretch_buttons())
        self.remove = add_button(column, "Take off the rack", "take the chosen steel off the rack", self._remove_steel)
        self._add_field(add_entry_grid(column), "saw kerf", "Lost to each cut", "size", self._enter_kerf)

    def _build_stretches(self, column: QVBoxLayout) -> None:
        column.addWidget(
            caption("Stretches of the chosen steel not to be used, from its datum end: old holes, a bend, a gouge")
        )
        grid = add_entry_grid(column)
        for end in ("from", "to"):
            field = self._add_field(
                grid, f"stretch {end}", end.capitalize(), "length", partial(self._enter_stretch, end)
            )
            field.set_empty_words("enter it")
        self.because = TextField("why the stretch is not to be used")
        add_row(grid, "Why", self.because)
        self.add_stretch = add_button(
            column, "Leave this stretch out", "leave this stretch of the chosen steel out", self._add_stretch
        )
        self.use_whole = add_button(column, "Use all of it again", "use all of the chosen steel again", self._use_whole)

    def _sizes(self) -> tuple[str, ...]:
        return (*units_first(COMMON_SIZES, self._document.units), *TYPED)

    def _take_units(self) -> None:
        """Offer the sizes of the person's units first, and start with one of them while nothing else was entered."""
        units, (size, length_m) = self._document.units, START[self._started]
        self.size_choice.set_choices(self._sizes())
        if units != self._started and (self.size_choice.currentData(), self._length_m) == (size, length_m):
            self._started = units
            size, self._length_m = START[units]
            self._pick_size(size)

    # -------------------------------------------------------- a length of steel

    @property
    def stock(self) -> tuple[Stock, ...]:
        """What lies on the rack."""
        return self._document.committed_job.stock

    @property
    def chosen(self) -> Stock | None:
        """The steel chosen in the list."""
        row = self.rows.currentRow()
        return self.stock[row] if 0 <= row < len(self.stock) else None

    @property
    def _kind(self) -> type[Section]:
        """The kind of section that is entered."""
        name = self.size_choice.currentData()
        return TYPED.get(name) or type(COMMON_SIZES[name])

    def _section(self) -> Section:
        """The section entered.

        Raises
        ------
        KeyError
            Where a size is missing.
        ValueError
            Where there is no such steel.
        """
        kind, sizes_m = self._kind, self._sizes_m
        if kind is RectTube:
            return RectTube(width_m=sizes_m["width"], depth_m=sizes_m["depth"], wall_m=sizes_m["wall"])
        if kind is RoundTube:
            return RoundTube(diameter_m=sizes_m["diameter"], wall_m=sizes_m["wall"])
        if kind is FlatBar:
            return FlatBar(width_m=sizes_m["width"], depth_m=sizes_m["depth"])
        return SolidRound(diameter_m=sizes_m["diameter"])

    def _named_size(self) -> str | None:
        try:
            return name_of_size(self._section())
        except (ValueError, KeyError):
            return None

    def _pick_size(self, name: str) -> None:
        section = COMMON_SIZES.get(name)
        if section is not None:
            self._sizes_m |= {size: getattr(section, f"{size}_m") for size in SIZES_OF[type(section)]}
        self.size_choice.set_value(name)
        self.show_entries()

    def _enter_size(self, name: str, size_m: float) -> None:
        if self._is_length(f"steel {name}", name, size_m):
            self._sizes_m[name] = size_m
            kind = self._kind
            typed = next(typed for typed, section in TYPED.items() if section is kind)
            self.size_choice.set_value(self._named_size() or typed)
            self.show_entries()

    def _enter_length(self, length_m: float) -> None:
        if self._is_length("steel length", "length", length_m):
            self._length_m = length_m
            self.show_entries()

    def _is_length(self, field: str, name: str, length_m: float) -> bool:
        """Whether steel can have this length; if not, the field says so."""
        if 0.0 < length_m <= LONGEST_M:
            return True
        most = show(LONGEST_M, "length", self._document.units)
        self.fields[field].refuse(f"{name.capitalize()}: enter more than nothing, and no more than {most}.")
        return False

    def _enter_count(self, count: float) -> None:
        if not 1 <= round(count) <= MOST_ALIKE:
            self.fields["steel count"].refuse(f"How many: enter a whole number from 1 to {MOST_ALIKE}.")
            return
        self._count = round(count)
        self.show_entries()

    def _add_steel(self) -> None:
        try:
            section = self._section()
        except KeyError as error:
            self.told.emit(f"Enter the {error.args[0]} of the steel first.")
            return
        except ContradictionError as error:
            self.told.emit(f"There is no such steel: {refusals.of_the_model(error, self._document.units)}")
            return
        name = name_in(self.mark) or unused_name("no. {}", self.stock)
        steel = Stock(
            name=name,
            section=section,
            length_m=self._length_m,
            count=self._count,
            steel=self.grade.currentData(),
            condition=self.condition.currentData(),
        )
        if self._set("stock", (*self.stock, steel), f"Put {name} on the rack"):
            self.mark.clear()
            self.rows.setCurrentRow(len(self.stock) - 1)

    def _remove_steel(self) -> None:
        self._remove_row("stock", self.stock, self.rows.currentRow(), "Take {} off the rack")

    def _enter_kerf(self, kerf_m: float) -> None:
        if not self._set("kerf_m", kerf_m, "Change what a cut takes"):
            most = show(MOST_KERF_M, "mm_down", self._document.units)
            self.fields["saw kerf"].refuse(f"Lost to each cut: enter 0 to {most}.")

    # -------------------------------------------------------- stretches not to be used

    def _enter_stretch(self, end: str, place_m: float) -> None:
        if not 0.0 <= place_m <= LONGEST_M:
            most = show(LONGEST_M, "length", self._document.units)
            self.fields[f"stretch {end}"].refuse(f"{end.capitalize()}: enter nothing up to {most}.")
            return
        self._stretch_m[end] = place_m
        self.show_entries()

    def _add_stretch(self) -> None:
        missing = [end for end in ("from", "to") if end not in self._stretch_m]
        steel = self.chosen
        if missing or steel is None:
            self.told.emit(
                f"Enter {' and '.join(missing)} of the stretch first." if missing else "Choose the steel first."
            )
            return
        try:
            zone = NoGo(
                from_m=self._stretch_m["from"], to_m=self._stretch_m["to"], why=name_in(self.because) or "old holes"
            )
        except ValueError:
            self.told.emit("The stretch must end further from the datum end than it begins.")
            return
        if self._set_zones((*steel.no_go, zone), f"Leave out a stretch of {steel.name}"):
            self._stretch_m = {}
            self.because.clear()
            self.show_entries()

    def _use_whole(self) -> None:
        steel = self.chosen
        if steel is not None and steel.no_go:
            self._set_zones((), f"Use all of {steel.name}")

    def _set_zones(self, zones: tuple[NoGo, ...], text: str) -> bool:
        """Say which stretches of the chosen steel are not to be used."""
        return self._set(f"stock[{self.rows.currentRow()}].no_go", zones, text)

    # -------------------------------------------------------- showing

    def show_entries(self) -> None:
        """Show what is typed so far, and only the sizes this kind of section has."""
        self._take_units()
        values: dict[str, float | None] = {f"steel {size}": size_m for size, size_m in self._sizes_m.items()}
        values |= {f"stretch {end}": place_m for end, place_m in self._stretch_m.items()}
        values |= {
            "steel length": self._length_m,
            "steel count": float(self._count),
            "saw kerf": self._document.job.kerf_m,
        }
        for name, field in self.fields.items():
            field.set_value(values.get(name), self._document.units)
        sizes = SIZES_OF[self._kind]
        for size in ("width", "depth", "diameter", "wall"):
            for widget in (self.fields[f"steel {size}"], self._captions[f"steel {size}"]):
                widget.setVisible(size in sizes)

    def show_list(self) -> None:
        """List what lies on the rack."""
        self.rows.fill([steel_words(steel, self._document.units) for steel in self.stock])
        self.remove.setEnabled(bool(self.stock))
        self._show_stretch_buttons()

    def _show_stretch_buttons(self) -> None:
        steel = self.chosen
        self.add_stretch.setEnabled(steel is not None)
        self.use_whole.setEnabled(steel is not None and bool(steel.no_go))
