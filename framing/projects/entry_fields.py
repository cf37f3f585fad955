"""Fields of the floor entry form. All are plain texts: what they mean is judged by the engine alone."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from django import forms
from django.http import QueryDict

from framing.engine.catalogue import load_catalogue
from framing.engine.loads import load_dead_layers, load_occupancies
from framing.projects.entry_bays import loads_words

ROWS_MOST = 400
TEXT_MOST = 400
LONG_MOST = 60_000
Choices = Sequence[tuple[str, str]]

EDGE_KINDS: Final = (
    ("", "By joist direction"),
    ("platform", "Bearing, platform"),
    ("balloon", "Bearing, ledger"),
    ("free", "Free, nothing under it"),
    ("parallel", "Beside the joists"),
)
DIRECTIONS: Final = (("y", "Bottom to top"), ("x", "Left to right"))
STARTS: Final = (("low", "Left, or bottom"), ("high", "Right, or top"))
PLIES: Final = (("1", "Single"), ("2", "Double"), ("3", "Triple"))
SPACINGS: Final = (("12", "12 in"), ("16", "16 in"), ("19.2", "19.2 in"), ("24", "24 in"))
SPACINGS_METRIC: Final = (
    ('12"', "305 mm (12 in)"),
    ('16"', "406 mm (16 in)"),
    ('19.2"', "488 mm (19.2 in)"),
    ('24"', "610 mm (24 in)"),
)


class OpenSelect(forms.Select):
    """A list that also shows a value which is not in it, so that a document's own word is never lost."""

    def optgroups(self, name: str, value: list[str], attrs: dict[str, Any] | None = None) -> list[Any]:
        known = {str(key) for key, _ in self.choices}
        for own in value:
            if own and own not in known:
                self.choices = [*self.choices, (own, own)]
        return super().optgroups(name, value, attrs)


class TypedField(forms.CharField):
    """Any text, also none: whether something is missing is the engine's word."""

    def validate(self, value: Any) -> None:
        del value


def _text(label: str, *, help_text: str = "", **attrs: str) -> forms.CharField:
    widget = forms.TextInput(attrs={"maxlength": "80", "autocomplete": "off", "spellcheck": "false", **attrs})
    return TypedField(label=label, widget=widget, help_text=help_text)


def _corners(label: str, *, help_text: str = "") -> forms.CharField:
    attrs = {"rows": 2, "spellcheck": "false", "placeholder": "0, 0; 12', 0; 12', 26'; 0, 26'"}
    return TypedField(label=label, widget=forms.Textarea(attrs=attrs), help_text=help_text)


def _length(label: str, *, help_text: str = "", placeholder: str = "") -> forms.CharField:
    return _text(label, help_text=help_text, **{"class": "length", "placeholder": placeholder})


def _figure(label: str, *, help_text: str = "", placeholder: str = "", title: str = "") -> forms.CharField:
    attrs = {"inputmode": "decimal", "placeholder": placeholder}
    return _text(label, help_text=help_text, **(attrs | ({"title": title} if title else {})))


def _choice(label: str, choices: Choices, *, help_text: str = "", **attrs: str) -> forms.CharField:
    return TypedField(label=label, help_text=help_text, widget=OpenSelect(choices=choices, attrs=attrs))


class TypedForm(forms.Form):
    """A form of texts, always bound, that is read whether or not it is valid."""

    use_required_attribute = False

    def text(self, name: str) -> str:
        """The field's text, stripped and cut to a sane length."""
        return self.long_text(name)[:TEXT_MOST]

    def long_text(self, name: str) -> str:
        """The whole text of a field that may hold a list of corners or a bay's loads."""
        value = self[name].value()
        return "" if value is None else str(value).strip()[:LONG_MOST]


class FloorForm(TypedForm):
    """The single fields of a floor."""

    units = forms.CharField(required=False, widget=forms.HiddenInput)
    bay_id = _text("Name of this bay")
    bay_outline = _corners(
        "Its corners", help_text="Across, up; corner after corner. Empty: the whole floor."
    )
    bay_loads = forms.CharField(required=False, widget=forms.HiddenInput)
    name = _text("Name")
    level = _text("Level", title="The first sign of every mark, as the 2 of 2J07")
    repeat = _figure("Equal floors", title="How many floors are built just like this one")
    shape = forms.CharField(
        label="Outline",
        required=False,
        widget=forms.RadioSelect(choices=(("rectangle", "Rectangle"), ("corners", "List of corners"))),
    )
    width = _length("Width, left to right", placeholder="36'")
    depth = _length("Depth, bottom to top", placeholder="26' 6 1/2\"")
    edge_bottom = _choice("Bottom wall", EDGE_KINDS)
    edge_right = _choice("Right wall", EDGE_KINDS)
    edge_top = _choice("Top wall", EDGE_KINDS)
    edge_left = _choice("Left wall", EDGE_KINDS)
    wall_bottom = _length("Its width", placeholder='5 1/2"')
    wall_right = _length("Its width", placeholder='5 1/2"')
    wall_top = _length("Its width", placeholder='5 1/2"')
    wall_left = _length("Its width", placeholder='5 1/2"')
    direction = _choice("Joists run", DIRECTIONS)
    start = _choice("Count from", STARTS)
    plies = _choice("Each joist", PLIES)
    spacing = _choice("Spacing", SPACINGS)
    offset = _length("First joist at", placeholder="one spacing")
    profile = _choice("Joist profile", ())
    occupancy = _choice("Use", ())
    live_psf = _figure("Live load", placeholder="by use")
    partition_psf = _figure("Partition allowance", placeholder="0")

    @property
    def loads_words(self) -> str:
        """The first bay's own loads in a sentence; "" where it takes the floor's."""
        return loads_words(self.long_text("bay_loads"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        uses = load_occupancies()
        fields = self.fields
        fields["profile"].widget.choices = profile_choices()
        fields["occupancy"].widget.choices = [(use.name, use.name) for use in uses]
        live = json.dumps({use.name: f"{use.live_psf:g}" for use in uses})
        fields["occupancy"].widget.attrs["data-live"] = live
        if self.text("units") == "metric":
            fields["spacing"].widget.choices = SPACINGS_METRIC


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
    x = _length("Across")
    y = _length("Up")
    kind = _choice("It is", EDGE_KINDS)
    wall = _length("Its width", placeholder='5 1/2"')


class BayRow(RowForm):
    """A further bay; the first one's fields are the form's own."""

    TEXTS = ("id", "outline", "load_case")
    id = _text("Name", placeholder="B")
    plies = _choice("Each joist", PLIES)
    direction = _choice("Joists run", DIRECTIONS)
    spacing = _choice("Spacing", SPACINGS)
    start = _choice("Count from", STARTS)
    offset = _length("First joist at", placeholder="one spacing")
    profile = _choice("Joist profile", ())
    outline = _corners("Its corners", help_text="Across, up; corner after corner.")
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
    id = _text("Name", placeholder="W1")
    kind = _choice("Kind", (("wall", "Bearing wall"), ("beam", "Beam below"), ("flush_beam", "Flush beam")))
    from_x = _length("From, across")
    from_y = _length("From, up")
    to_x = _length("To, across")
    to_y = _length("To, up")
    width = _length("Width", placeholder='3 1/2"')
    joint = _choice("Joists there", (("lap", "Lap"), ("butt", "Butt"), ("through", "Run through")))


class OpeningRow(RowForm):
    TEXTS = ("name", "corner_x", "corner_y", "size_x", "size_y")
    id = forms.CharField(required=False, widget=forms.HiddenInput)
    name = _text("Name", placeholder="Stair")
    kind = _choice("Kind", (("stair", "Stair"), ("shaft", "Shaft")))
    corner_x = _length("Low corner, across")
    corner_y = _length("Low corner, up")
    size_x = _length("Size, across")
    size_y = _length("Size, up")


class PartitionRow(RowForm):
    TEXTS = ("from_x", "from_y", "to_x", "to_y", "load_plf")
    id = _text("Name", placeholder="P1")
    bearing = _choice("Carries load", (("", "No"), ("yes", "Yes, from above")))
    from_x = _length("From, across")
    from_y = _length("From, up")
    to_x = _length("To, across")
    to_y = _length("To, up")
    load_plf = _figure("Load, lb/ft", placeholder="0")


class LayerRow(RowForm):
    TEXTS = ("name", "psf")
    name = _text("Layer", list="layer-names")
    psf = _figure("psf")


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
    of = _text("Opening, partition or beam", placeholder="O1")
    part = _choice("Member", PARTS)
    plies = _figure("Plies", placeholder="2")


ROWS: Final[Mapping[str, type[RowForm]]] = {
    "corner": CornerRow,
    "bay": BayRow,
    "support": SupportRow,
    "opening": OpeningRow,
    "partition": PartitionRow,
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


def profile_choices() -> list[tuple[str, str]]:
    """Profiles of the catalogue by depth and weight, before them the engine's own choice."""
    rows = sorted(load_catalogue().profiles, key=lambda row: (row.depth_in, row.weight_plf, row.designator))
    named = [(row.designator, f"{row.designator} ({row.depth_in:g} in)") for row in rows]
    return [("", "Lightest that passes"), *named]


def layer_names() -> list[tuple[str, str]]:
    """Known dead loads as (name, weight) for the list beside the layer's name."""
    return [(preset.layer.name, f"{preset.layer.load_psf:g} psf") for preset in load_dead_layers()]
