"""The floor entry form: a floor document as fields, and back. What was typed is never touched.

The form judges nothing itself: it builds the raw document, the engine reads it, and the engine's problems are
put back at the fields they are about. So a page, the API and an uploaded document all say the same words.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from django.http import QueryDict

from framing.engine.document import FloorDocument
from framing.engine.errors import Problem
from framing.engine.loads import load_dead_layers, load_occupancies
from framing.projects.entry_fields import ROWS, FloorForm, RowForm, Rows, TypedForm
from framing.projects.entry_values import (
    CORNERS,
    RECTANGLE,
    ROW_VALUES,
    SIDES,
    main_values,
    number_text,
    usual_values,
)
from framing.projects.options import parse_option

_NUMBER: Final = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,6})?", re.ASCII)
_RECTANGLE_PLACES: Final = {"1.0": "width", "2.0": "width", "2.1": "depth", "3.1": "depth"}


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
        return cls(FloorForm(data), {name: Rows(name, data=data) for name in ROWS})

    @classmethod
    def blank(cls, units: str, name: str) -> FloorEntry:
        """A new floor: a rectangle to be filled in, with the usual dead load."""
        layer = load_dead_layers()[0].layer
        layers = [{"name": layer.name, "psf": number_text(layer.load_psf)}]
        main = FloorForm(usual_values(units) | {"name": name})
        return cls(main, {key: Rows(key, values=layers if key == "layer" else []) for key in ROWS})

    @classmethod
    def of_document(cls, document: FloorDocument) -> FloorEntry:
        """The form of a saved document; `fits_form` tells whether it can hold it."""
        return cls(
            FloorForm(main_values(document)),
            {name: Rows(name, values=make(document)) for name, make in ROW_VALUES.items()},
        )

    @property
    def shape(self) -> str:
        return self.main.text("shape") or RECTANGLE

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
        if chosen is not None:
            texts = {name: self.main.text(name) for name in self.main.fields}
            self.main = FloorForm(texts | {"profile": chosen[1], "spacing": chosen[2]})

    def raw_document(self) -> dict[str, Any]:
        """The document as typed, not read yet; remembers which field each place came from."""
        self._places = {}
        main = self.main
        bay = {
            "id": main.text("bay_id") or "A",
            "direction": main.text("direction"),
            "start": main.text("start"),
            "spacing": main.text("spacing"),
            "offset": main.text("offset") or None,
            "profile": main.text("profile") or None,
            "outline": None,
        }
        self._note("bays.0", {name: name for name in bay})
        self._note("", {name: name for name in ("name", "level", "repeat", "units")})
        return {
            "format": "spanyard.floor",
            "version": 1,
            "name": main.text("name"),
            "level": main.text("level") or "1",
            "units": main.text("units") or "imperial",
            "repeat": _number(main.text("repeat") or "1"),
            "outline": self._outline(),
            "edges": self._edges(),
            "supports": self._supports(),
            "openings": self._openings(),
            "bays": [bay],
            "partitions": self._partitions(),
            "load_case": self._load_case(),
            "overrides": {"plies": self._plies()},
        }

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

    def _note(self, place: str, fields: Mapping[str, str]) -> None:
        dot = f"{place}." if place else ""
        self._places |= {f"{dot}{step}": field for step, field in fields.items()}

    def _outline(self) -> list[list[str]]:
        corners = [row for row in self.rows["corner"] if not row.blank]
        if self.shape == CORNERS and corners:
            self._note("", {"outline": corners[0].field_name("x")})
            for index, row in enumerate(corners):
                names = {"0": row.field_name("x"), "1": row.field_name("y")}
                self._note(f"outline.{index}", names)
                self._note("", {f"outline.{index}": row.field_name("x")})
            return [[row.text("x"), row.text("y")] for row in corners]
        self._note("", {"outline": "width"})
        self._note("outline", _RECTANGLE_PLACES)
        width, depth = self.main.text("width"), self.main.text("depth")
        return [["0", "0"], [width, "0"], [width, depth], ["0", depth]]

    def _edges(self) -> list[dict[str, Any]]:
        corners = [row for row in self.rows["corner"] if not row.blank]
        if self.shape == CORNERS and corners:
            sources = [(row.text("kind"), row.text("wall"), row.field_name("kind")) for row in corners]
        else:
            text = self.main.text
            sources = [(text(f"edge_{side}"), text(f"wall_{side}"), f"edge_{side}") for side in SIDES]
        edges: list[dict[str, Any]] = []
        for index, (kind, width, field) in enumerate(sources):
            if kind or width:
                wall = field.replace("edge_", "wall_") if field.startswith("edge_") else f"{field[:-4]}wall"
                self._note(f"edges.{len(edges)}", {"edge": field, "kind": field, "width": wall})
                edges.append({"edge": index, "kind": kind or None, "width": width or None})
        return edges

    def _entries(self, name: str, list_name: str, prefix: str) -> Iterable[tuple[RowForm, str, str]]:
        """Rows that hold something, with their place and id; rows without an id get the next free one."""
        rows = [row for row in self.rows[name] if not row.blank]
        taken = {row.text("id") for row in rows}
        free = (f"{prefix}{number}" for number in range(1, 1000))
        for index, row in enumerate(rows):
            own = row.text("id") or next(id_ for id_ in free if id_ not in taken)
            place = f"{list_name}.{index}"
            self._note("", {place: row.field_name("id")})
            self._note(place, {name: row.field_name(name) for name in row.fields})
            yield row, place, own

    def _supports(self) -> list[dict[str, Any]]:
        found = []
        for row, place, own in self._entries("support", "supports", "W"):
            self._note_line(row, place)
            entry = {"id": own, "kind": row.text("kind"), **_line(row)}
            found.append(entry | {"width": row.text("width") or None, "joint": row.text("joint")})
        return found

    def _openings(self) -> list[dict[str, Any]]:
        found = []
        for row, place, own in self._entries("opening", "openings", "O"):
            self._note(f"{place}.corner", {"0": row.field_name("corner_x"), "1": row.field_name("corner_y")})
            self._note(f"{place}.size", {"0": row.field_name("size_x"), "1": row.field_name("size_y")})
            corner_field = row.field_name("corner_x")
            self._note("", {place: corner_field, f"{place}.corner": corner_field})
            corner, size = ([row.text(f"{name}_x"), row.text(f"{name}_y")] for name in ("corner", "size"))
            entry = {"id": own, "name": row.text("name"), "kind": row.text("kind")}
            found.append(entry | {"corner": corner, "size": size})
        return found

    def _partitions(self) -> list[dict[str, Any]]:
        found = []
        for row, place, own in self._entries("partition", "partitions", "P"):
            self._note_line(row, place)
            load = _number(row.text("load_plf") or "0")
            found.append({"id": own, **_line(row), "bearing": row.text("bearing") == "yes", "load_plf": load})
        return found

    def _note_line(self, row: RowForm, place: str) -> None:
        for end in ("from", "to"):
            names = {"0": row.field_name(f"{end}_x"), "1": row.field_name(f"{end}_y")}
            self._note(f"{place}.{end}", names)
            self._note("", {f"{place}.{end}": row.field_name(f"{end}_x")})

    def _load_case(self) -> dict[str, Any]:
        main = self.main
        live = {use.name: use.live_psf for use in load_occupancies()}
        known = {preset.layer.name: preset.layer.load_psf for preset in load_dead_layers()}
        layers = []
        for index, row in enumerate(row for row in self.rows["layer"] if not row.blank):
            self._note(f"load_case.layers.{index}", {name: row.field_name(name) for name in ("name", "psf")})
            name = row.text("name")
            layers.append({"name": name, "psf": _number(row.text("psf"), known.get(name))})
        self._note("load_case", {name: name for name in ("occupancy", "live_psf", "partition_psf")})
        return {
            "occupancy": main.text("occupancy"),
            "live_psf": _number(main.text("live_psf"), live.get(main.text("occupancy"))),
            "layers": layers,
            "partition_psf": _number(main.text("partition_psf") or "0"),
        }

    def _plies(self) -> list[dict[str, Any]]:
        found = []
        for index, row in enumerate(row for row in self.rows["plies"] if not row.blank):
            self._note(f"overrides.plies.{index}", {name: row.field_name(name) for name in row.fields})
            found.append(
                {"of": row.text("of"), "part": row.text("part"), "plies": _number(row.text("plies"))}
            )
        return found

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


def fits_form(document: FloorDocument) -> bool:
    """Whether the form can hold the document: one bay over the whole outline."""
    return len(document.bays) == 1 and document.bays[0].outline is None


def _line(row: RowForm) -> dict[str, list[str]]:
    return {end: [row.text(f"{end}_x"), row.text(f"{end}_y")] for end in ("from", "to")}


def _number(text: str, otherwise: float | None = None) -> Any:
    """A typed number as a number; any other text stays, for the engine to refuse in its words."""
    if not text and otherwise is not None:
        return otherwise
    if not _NUMBER.fullmatch(text):
        return text
    return float(text) if "." in text else int(text)
