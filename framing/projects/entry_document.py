"""From the fields of the entry form to the raw floor document, remembering which field each place came from.

Places are those of the document, and for whole corners and edges those of the plan that the engine's checks speak
of: it runs counter-clockwise, whatever way the outline was typed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from framing.engine.floor import Units
from framing.engine.loads import load_dead_layers, load_occupancies
from framing.projects.entry_bays import FIELDS, FIRST, free_letters, read_corners, read_loads, runs_clockwise
from framing.projects.entry_fields import FloorForm, TypedForm
from framing.projects.entry_rows import RowForm, Rows
from framing.projects.entry_values import CORNERS, RECTANGLE, SIDES

_NUMBER: Final = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,6})?", re.ASCII)
_RECTANGLE_PLACES: Final = {"1.0": "width", "2.0": "width", "2.1": "depth", "3.1": "depth"}
_AS_NAMED: Final = dict(zip(FIRST, FIRST, strict=True))
"""A further bay's fields have the document's names."""


class DocumentMaker:
    """Makes one document of the form's fields; `places` leads from its places to field names."""

    def __init__(self, main: FloorForm, rows: Mapping[str, Rows]) -> None:
        self.main = main
        self.rows = rows
        self.places: dict[str, str] = {}

    def document(self) -> dict[str, Any]:
        """The document as typed, not read yet."""
        main = self.main
        outline = self._outline()
        self._note("", {name: name for name in ("name", "level", "repeat", "units")})
        return {
            "format": "spanyard.floor",
            "version": 1,
            "name": main.text("name"),
            "level": main.text("level") or "1",
            "units": main.text("units") or "imperial",
            "repeat": _number(main.text("repeat") or "1"),
            "outline": outline,
            "edges": self._edges(outline),
            "supports": self._supports(),
            "openings": self._openings(),
            "bays": self._bays(),
            "partitions": self._partitions(),
            "point_loads": self._point_loads(),
            "load_case": self._load_case(),
            "overrides": {"plies": self._plies()},
        }

    def _note(self, place: str, fields: Mapping[str, str]) -> None:
        dot = f"{place}." if place else ""
        self.places |= {f"{dot}{step}": field for step, field in fields.items()}

    @property
    def _corner_rows(self) -> list[RowForm]:
        """Rows of the outline's corners; none where it is typed as a rectangle."""
        if (self.main.text("shape") or RECTANGLE) != CORNERS:
            return []
        return [row for row in self.rows["corner"] if not row.blank]

    def _outline(self) -> list[list[str]]:
        rows = self._corner_rows
        if not rows:
            self._note("", {"outline": "width"})
            self._note("outline", _RECTANGLE_PLACES)
            width, depth = self.main.text("width"), self.main.text("depth")
            return [["0", "0"], [width, "0"], [width, depth], ["0", depth]]
        corners = [[row.text("x"), row.text("y")] for row in rows]
        self._note("", {"outline": rows[0].field_name("x")})
        turned = runs_clockwise(corners, self._units)
        for index, row in enumerate(rows):
            self._note(f"outline.{index}", {"0": row.field_name("x"), "1": row.field_name("y")})
            # what the checks say of a whole corner counts in the plan, which runs counter-clockwise
            in_plan = -index % len(rows) if turned else index
            self._note("", {f"outline.{in_plan}": row.field_name("x")})
        return corners

    @property
    def _units(self) -> Units:
        return "metric" if self.main.text("units") == "metric" else "imperial"

    def _edges(self, outline: Sequence[Sequence[str]]) -> list[dict[str, Any]]:
        rows, text = self._corner_rows, self.main.text
        sources = [(row.text("kind"), row.text("wall"), row.add_prefix("%s")) for row in rows]
        if not rows:
            sources = [(text(f"edge_{side}"), text(f"wall_{side}"), f"%s_{side}") for side in SIDES]
        turned = runs_clockwise(outline, self._units)
        edges: list[dict[str, Any]] = []
        for index, (kind, width, pattern) in enumerate(sources):
            field, wall = pattern % ("kind" if rows else "edge"), pattern % "wall"
            in_plan = len(sources) - 1 - index if turned else index
            self._note("", {f"edges.{in_plan}": field})
            if kind or width:
                self._note(f"edges.{len(edges)}", {"edge": field, "kind": field, "width": wall})
                edges.append({"edge": index, "kind": kind or None, "width": width or None})
        return edges

    def _entries(self, name: str, list_name: str, prefix: str) -> Iterable[tuple[RowForm, str, str]]:
        """Rows that hold something, with their place and id; rows without an id get the next free one."""
        rows = [row for row in self.rows[name] if not row.blank]
        taken = {row.text("id") for row in rows}
        for index, row in enumerate(rows):
            letter = "B" if name == "support" and row.text("kind") == "flush_beam" else prefix
            free = (f"{letter}{number}" for number in range(1, 1000))
            own = row.text("id") or next(id_ for id_ in free if id_ not in taken)
            taken.add(own)
            place = f"{list_name}.{index}"
            self._note("", {place: row.field_name("id")})
            self._note(place, {name: row.field_name(name) for name in row.fields})
            yield row, place, own

    def _bays(self) -> list[dict[str, Any]]:
        """The first bay from the form's own fields, the rest from their rows."""
        rows = [row for row in self.rows["bay"] if not row.blank]
        forms: list[tuple[TypedForm, Mapping[str, str]]] = [(self.main, FIRST)]
        forms += [(row, _AS_NAMED) for row in rows]
        free = free_letters({form.text(names["id"]) for form, names in forms})
        bays = []
        for index, (form, names) in enumerate(forms):
            place = f"bays.{index}"
            self._note(place, {name: form.add_prefix(field) for name, field in names.items()})
            # loads of its own are not edited here: what is wrong with them is said at the bay's name
            self._note("", {place: form.add_prefix(names["id"])})
            self._note(place, {"load_case": form.add_prefix(names["id"])})
            texts = {name: form.text(names[name]) for name in FIELDS}
            bays.append(
                {
                    **texts,
                    "id": form.text(names["id"]) or next(free),
                    "offset": texts["offset"] or None,
                    "profile": texts["profile"] or None,
                    "plies": _number(texts["plies"] or "1"),
                    "outline": read_corners(form.long_text(names["outline"])),
                    "load_case": read_loads(form.long_text(names["load_case"])),
                }
            )
        self._note("", {"bays": "bay_outline"})
        return bays

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

    def _point_loads(self) -> list[dict[str, Any]]:
        found = []
        for row, place, own in self._entries("point_load", "point_loads", "Q"):
            self._note(f"{place}.at", {"0": row.field_name("at_x"), "1": row.field_name("at_y")})
            self._note("", {place: row.field_name("dead_lb"), f"{place}.at": row.field_name("at_x")})
            dead, live = (_number(row.text(name) or "0") for name in ("dead_lb", "live_lb"))
            at = [row.text("at_x"), row.text("at_y")]
            found.append({"id": own, "name": row.text("name"), "at": at, "dead_lb": dead, "live_lb": live})
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


def _line(row: RowForm) -> dict[str, list[str]]:
    return {end: [row.text(f"{end}_x"), row.text(f"{end}_y")] for end in ("from", "to")}


def _number(text: str, otherwise: float | None = None) -> Any:
    """A typed number as a number; any other text stays, for the engine to refuse in its words."""
    if not text and otherwise is not None:
        return otherwise
    if not _NUMBER.fullmatch(text):
        return text
    return float(text) if "." in text else int(text)
