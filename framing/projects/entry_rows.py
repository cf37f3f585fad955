"""Tables of the entry form: rows that can be added and taken away, with or without script."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from django import forms
from django.http import QueryDict

from framing.projects.entry_bays import loads_words
from framing.projects.entry_fields import (
    DIRECTIONS,
    EDGE_KINDS,
    PLIES,
    SPACINGS,
    SPACINGS_METRIC,
    STARTS,
    TypedForm,
    choice_field,
    corners_field,
    figure_field,
    length_field,
    profile_choices,
    text_field,
)

ROWS_MOST = 400


class RowForm(TypedForm):
    """One row of a table; `TEXTS` are the fields that make it more than an empty row."""

    TEXTS: tuple[str, ...] = ()

    @classmethod
    def usual(cls, units: str) -> dict[str, str]:
        """What a new row begins with."""
        del units
        return {}

    def use_units(self, units: str) -> None:
        """Offer what is offered in the floor's units."""

    @property
    def blank(self) -> bool:
        return not any(self.long_text(name) for name in self.TEXTS)

    @property
    def address(self) -> str:
        """Table and number, as a button without script names them: `opening:2`."""
        return str(self.prefix).replace("-", ":")

    def field_name(self, name: str) -> str:
        return self.add_prefix(name)


class CornerRow(RowForm):
    TEXTS = ("x", "y")
    x = length_field("Across")
    y = length_field("Up")
    kind = choice_field("It is", EDGE_KINDS)
    wall = length_field("Its width", placeholder='5 1/2"')


class BayRow(RowForm):
    """A further bay; the first one's fields are the form's own."""

    TEXTS = ("id", "outline", "load_case")
    id = text_field("Name", placeholder="B")
    plies = choice_field("Each joist", PLIES)
    direction = choice_field("Joists run", DIRECTIONS)
    spacing = choice_field("Spacing", SPACINGS)
    start = choice_field("Count from", STARTS)
    offset = length_field("First joist at", placeholder="one spacing")
    profile = choice_field("Joist profile", ())
    outline = corners_field("Its corners", help_text="Across, up; corner after corner.")
    load_case = forms.CharField(required=False, widget=forms.HiddenInput)

    @property
    def loads_words(self) -> str:
        return loads_words(self.long_text("load_case"))

    @classmethod
    def usual(cls, units: str) -> dict[str, str]:
        return {"spacing": '16"' if units == "metric" else "16"}

    def use_units(self, units: str) -> None:
        self.fields["profile"].widget.choices = profile_choices()
        self.fields["spacing"].widget.choices = SPACINGS_METRIC if units == "metric" else SPACINGS


class SupportRow(RowForm):
    TEXTS = ("from_x", "from_y", "to_x", "to_y", "width")
    id = text_field("Name", placeholder="W1")
    kind = choice_field(
        "Kind", (("wall", "Bearing wall"), ("beam", "Beam below"), ("flush_beam", "Flush beam"))
    )
    from_x = length_field("From, across")
    from_y = length_field("From, up")
    to_x = length_field("To, across")
    to_y = length_field("To, up")
    width = length_field("Width", placeholder='3 1/2"')
    joint = choice_field("Joists there", (("lap", "Lap"), ("butt", "Butt"), ("through", "Run through")))


class OpeningRow(RowForm):
    TEXTS = ("name", "corner_x", "corner_y", "size_x", "size_y")
    id = forms.CharField(required=False, widget=forms.HiddenInput)
    name = text_field("Name", placeholder="Stair")
    kind = choice_field("Kind", (("stair", "Stair"), ("shaft", "Shaft")))
    corner_x = length_field("Low corner, across")
    corner_y = length_field("Low corner, up")
    size_x = length_field("Size, across")
    size_y = length_field("Size, up")


class PartitionRow(RowForm):
    TEXTS = ("from_x", "from_y", "to_x", "to_y", "load_plf")
    id = text_field("Name", placeholder="P1")
    bearing = choice_field("Carries load", (("", "No"), ("yes", "Yes, from above")))
    from_x = length_field("From, across")
    from_y = length_field("From, up")
    to_x = length_field("To, across")
    to_y = length_field("To, up")
    load_plf = figure_field("Load, lb/ft", placeholder="0")


class PointLoadRow(RowForm):
    TEXTS = ("name", "at_x", "at_y", "dead_lb", "live_lb")
    id = forms.CharField(required=False, widget=forms.HiddenInput)
    name = text_field("Name", placeholder="Post")
    at_x = length_field("Place, across")
    at_y = length_field("Place, up")
    dead_lb = figure_field("Dead load, lb", placeholder="0")
    live_lb = figure_field("Live load, lb", placeholder="0")


class LayerRow(RowForm):
    TEXTS = ("name", "psf")
    name = text_field("Layer", list="layer-names")
    psf = figure_field("psf")


class PliesRow(RowForm):
    TEXTS = ("of", "plies")
    PARTS = (
        ("trimmer_low", "Trimmer, low side"),
        ("trimmer_high", "Trimmer, high side"),
        ("header_low", "Header, low side"),
        ("header_high", "Header, high side"),
        ("joist", "Joist under a partition"),
        ("beam", "Flush beam"),
    )
    of = text_field("Opening, partition or beam", placeholder="O1")
    part = choice_field("Member", PARTS)
    plies = figure_field("Plies", placeholder="2")


ROWS: Final[Mapping[str, type[RowForm]]] = {
    "corner": CornerRow,
    "bay": BayRow,
    "support": SupportRow,
    "opening": OpeningRow,
    "partition": PartitionRow,
    "point_load": PointLoadRow,
    "layer": LayerRow,
    "plies": PliesRow,
}


class Rows:
    """The rows of one table: `<name>-<number>-<field>` in the form, `<name>-count` says how many."""

    def __init__(
        self,
        name: str,
        *,
        data: QueryDict | None = None,
        values: Sequence[dict[str, str]] = (),
        units: str = "imperial",
    ) -> None:
        self.name = name
        self.units = units
        if data is None:
            self.replace(values)
        else:
            count = data.get(self.count_name, "0")
            most = min(int(count), ROWS_MOST) if count.isascii() and count.isdigit() and len(count) < 6 else 0
            self.forms = [self._row(data, number) for number in range(most)]

    @property
    def count_name(self) -> str:
        return f"{self.name}-count"

    def __iter__(self) -> Iterator[RowForm]:
        return iter(self.forms)

    def __len__(self) -> int:
        return len(self.forms)

    def __getitem__(self, number: int) -> RowForm:
        return self.forms[number]

    @property
    def template(self) -> RowForm:
        """An empty row for the script to copy; its number is `__number__`."""
        return self._new("__number__")

    def add(self) -> None:
        if len(self.forms) < ROWS_MOST:
            self.forms.append(self._new(len(self.forms)))

    def remove(self, number: int) -> None:
        """Take a row away and number the rest anew."""
        self.replace([self.texts(form) for index, form in enumerate(self.forms) if index != number])

    def replace(self, values: Sequence[Mapping[str, str]]) -> None:
        """Make the rows anew from field values."""
        self.forms = [self._filled(number, texts) for number, texts in enumerate(values)]

    @staticmethod
    def texts(form: RowForm) -> dict[str, str]:
        """A row's field values."""
        return {name: form.long_text(name) for name in form.fields}

    def _new(self, number: int | str) -> RowForm:
        return self._filled(number, ROWS[self.name].usual(self.units))

    def _filled(self, number: int | str, texts: Mapping[str, str]) -> RowForm:
        return self._row({f"{self.name}-{number}-{field}": text for field, text in texts.items()}, number)

    def _row(self, data: Any, number: int | str) -> RowForm:
        row = ROWS[self.name](data, prefix=f"{self.name}-{number}")
        row.use_units(self.units)
        return row
