"""The floor entry form: a floor document as fields, and back. What was typed is never touched.

The form judges nothing itself: it builds the raw document, the engine reads it, and the engine's problems are
put back at the fields they are about. So a page, the API and an uploaded document all say the same words.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.http import QueryDict

from framing.engine.document import FloorDocument
from framing.engine.errors import Problem
from framing.engine.loads import load_dead_layers
from framing.projects.entry_bays import FIRST, bay_values
from framing.projects.entry_document import DocumentMaker
from framing.projects.entry_fields import FloorForm, TypedForm
from framing.projects.entry_rows import ROWS, RowForm, Rows
from framing.projects.entry_values import (
    ROW_VALUES,
    SIDES,
    main_values,
    number_text,
    usual_values,
)
from framing.projects.options import parse_option


class FloorEntry:
    """One floor in the form: `main` holds single fields, `rows` the tables by name."""

    def __init__(self, main: FloorForm, rows: Mapping[str, Rows]) -> None:
        self.main = main
        self.rows = rows
        self.general: list[str] = []
        self._places: dict[str, str] = {}

    @classmethod
    def posted(cls, data: QueryDict) -> FloorEntry:
        """The form as it was sent."""
        main = FloorForm(data)
        return cls(main, {name: Rows(name, data=data, units=main.text("units")) for name in ROWS})

    @classmethod
    def blank(cls, units: str, name: str) -> FloorEntry:
        """A new floor: a rectangle to be filled in, with the usual dead load."""
        layer = load_dead_layers()[0].layer
        layers = [{"name": layer.name, "psf": number_text(layer.load_psf)}]
        main = FloorForm(usual_values(units) | {"name": name})
        return cls(
            main, {key: Rows(key, values=layers if key == "layer" else [], units=units) for key in ROWS}
        )

    @classmethod
    def of_document(cls, document: FloorDocument) -> FloorEntry:
        """The form of a document."""
        first, *further = [bay_values(bay) for bay in document.bays]
        main = FloorForm(main_values(document) | {FIRST[name]: text for name, text in first.items()})
        values = {name: make(document) for name, make in ROW_VALUES.items()} | {"bay": further}
        return cls(main, {name: Rows(name, values=values[name], units=document.units) for name in ROWS})

    @property
    def places_known(self) -> bool:
        """Whether the document was built, so that problems find their fields."""
        return bool(self._places)

    @property
    def messages(self) -> list[tuple[str, str]]:
        """All messages as (field name, message), those about the whole floor first."""
        forms: list[TypedForm] = [self.main, *(row for rows in self.rows.values() for row in rows)]
        placed = [
            (form.add_prefix(name), str(message))
            for form in forms
            for name, messages in form.errors.items()
            for message in messages
        ]
        return [*(("", message) for message in self.general), *placed]

    def act(self, asked: str) -> None:
        """Add or take away a row, as a button without script asks: `add:opening`, `remove:opening:2`."""
        verb, _, rest = asked.partition(":")
        name, _, number = rest.partition(":")
        if name not in self.rows:
            return
        if verb == "add":
            self.rows[name].add()
        elif verb == "remove" and number.isascii() and number.isdigit():
            self.rows[name].remove(int(number))
        if name == "corner" and verb == "add" and len(self.rows["corner"]) == 1:
            self._corners_of_rectangle()

    def choose(self, option: str) -> None:
        """Fill in profile and spacing of an option of the matrix; one that is none of ours changes nothing."""
        chosen = parse_option(option)
        if chosen is None:
            return
        bay, profile, spacing = chosen
        fixed = {"profile": profile, "spacing": spacing}
        rows = [Rows.texts(row) for row in self.rows["bay"]]
        if any(row["id"] == bay for row in rows):
            self.rows["bay"].replace([row | fixed if row["id"] == bay else row for row in rows])
        else:
            texts = {name: self.main.long_text(name) for name in self.main.fields}
            self.main = FloorForm(texts | fixed)

    def raw_document(self) -> dict[str, Any]:
        """The document as typed, not read yet; remembers which field each place came from."""
        maker = DocumentMaker(self.main, self.rows)
        raw = maker.document()
        self._places = maker.places
        return raw

    def field_of(self, place: str) -> str:
        """The name of the field that a document place came from; "" where there is none."""
        while place:
            if place in self._places:
                return self._places[place]
            place = place.rpartition(".")[0]
        return ""

    def add_problems(self, problems: Sequence[Problem]) -> None:
        """Put problems at their fields; those about the whole floor go to `general`. Equal ones show once."""
        for problem in problems:
            field = self.field_of(problem.place)
            form, name = self._locate(field)
            if form is None:
                if problem.message not in self.general:
                    self.general.append(problem.message)
            elif problem.message not in form.errors.get(name, ()):
                form.add_error(name, problem.message)

    def _locate(self, field: str) -> tuple[FloorForm | RowForm | None, str]:
        rows, _, rest = field.partition("-")
        if rows in self.rows and rest:
            number, _, name = rest.partition("-")
            return self.rows[rows][int(number)], name
        return (self.main, field) if field in self.main.fields else (None, "")

    def _corners_of_rectangle(self) -> None:
        """Begin the corner table with the rectangle's four corners instead of one empty row."""
        text = self.main.text
        width, depth = text("width"), text("depth")
        if not (width and depth):
            return
        pairs = (("0", "0"), (width, "0"), (width, depth), ("0", depth))
        values = [
            {"x": x, "y": y, "kind": text(f"edge_{side}"), "wall": text(f"wall_{side}")}
            for (x, y), side in zip(pairs, SIDES, strict=True)
        ]
        self.rows["corner"].replace(values)
