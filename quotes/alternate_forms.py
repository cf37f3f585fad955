"""What people type for an alternate: a name, and for each bay the joist it gets instead."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms

from framing.engine.result import FloorResult, PackageResult
from framing.projects.models import FloorVersion
from framing.projects.options import option_matrix
from quotes.models import QuoteRevision
from quotes.services import Choice
from quotes.services.alternates import LABEL_MOST

AS_DRAWN = "as in the base offer"
_SEPARATOR = "|"


class LabelForm(forms.Form):
    """The name of an alternate, as the builder reads it."""

    label = forms.CharField(
        label="Name",
        max_length=LABEL_MOST,
        widget=forms.TextInput(attrs={"placeholder": "Deeper joist at 24 in"}),
    )


@dataclass(frozen=True, slots=True)
class FloorFields:
    """The fields of one floor on the form."""

    name: str
    fields: tuple[forms.BoundField, ...]


class AlternateForm(LabelForm):
    """For each bay a passing option of the base offer, for each floor with several versions the one to take."""

    def __init__(self, *args: Any, revision: QuoteRevision, package: PackageResult, **more: Any) -> None:
        more.setdefault("auto_id", "alternate_%s")
        super().__init__(*args, **more)
        if package.floors[0].plan.units == "metric":
            self.fields["label"].widget.attrs["placeholder"] = "Deeper joist at 610 mm"
        self._versions = _versions_of(revision)
        self._rows: list[tuple[str, list[str]]] = []
        for entry, floor in zip(revision.floors, package.floors, strict=True):
            self._rows.append((entry["name"], list(self._add_floor(entry, floor))))

    def _add_floor(self, entry: Mapping[str, Any], floor: FloorResult) -> Iterator[str]:
        matrix = option_matrix(floor)
        for bay in matrix.bays:
            name = f"choice:{entry['floor']}:{bay.bay}"
            label = "Joists" if len(matrix.bays) == 1 else f"Joists of bay {bay.bay}"
            groups = [("", f"{bay.drawn}, {AS_DRAWN}")]
            for place, head in enumerate(bay.heads):
                cells = [row.cells[place] for row in bay.rows]
                options = [
                    (
                        f"{cell.option.profile}{_SEPARATOR}{cell.typed}",
                        _words(cell.option.profile, head, cell.option.weight_lb),
                    )
                    for cell in cells
                    if cell and cell.passes and not cell.chosen
                ]
                if options:
                    groups.append((f"At {head}", sorted(options, key=lambda one: one[1])))  # type: ignore[arg-type]  # a group
            self.fields[name] = forms.ChoiceField(label=label, choices=groups, required=False)
            yield name
        versions = [row for row in self._versions.get(entry["floor"], ()) if row.number != entry["version"]]
        if versions:
            name = f"version:{entry['floor']}"
            rows = [("", f"version {entry['version']}, {AS_DRAWN}")]
            rows += [
                (str(v.number), f"version {v.number}, saved {v.saved_at:%b %d, %Y} by {v.saved_by}")
                for v in versions
            ]
            self.fields[name] = forms.ChoiceField(label="Floor as drawn in", choices=rows, required=False)
            yield name

    @property
    def floor_fields(self) -> list[FloorFields]:
        return [FloorFields(name, tuple(self[field] for field in fields)) for name, fields in self._rows]

    @property
    def choices(self) -> list[Choice]:
        found = []
        for name, value in self.cleaned_data.items():
            kind, _, rest = name.partition(":")
            if kind == "choice" and value:
                floor, _, bay = rest.partition(":")
                profile, _, spacing = value.partition(_SEPARATOR)
                found.append(Choice(floor, bay, profile, spacing))
        return found

    @property
    def documents(self) -> dict[str, Any]:
        """Documents of the versions chosen, by floor."""
        chosen = {
            name.partition(":")[2]: int(value)
            for name, value in self.cleaned_data.items()
            if name.startswith("version:") and value
        }
        return {
            key: row.document
            for key, rows in self._versions.items()
            for row in rows
            if chosen.get(key) == row.number
        }


def _words(profile: str, head: str, weight_lb: float) -> str:
    return f"{profile} at {head}, {weight_lb:,.0f} lb"


def _versions_of(revision: QuoteRevision) -> dict[str, list[FloorVersion]]:
    """The newest versions of each floor of the project, a few of them."""
    rows = FloorVersion.objects.filter(floor__project=revision.quote.project).select_related("floor")
    found: dict[str, list[FloorVersion]] = {}
    for row in rows.order_by("floor_id", "-number"):
        kept = found.setdefault(row.floor.public_id, [])
        if len(kept) < VERSIONS_MOST:
            kept.append(row)
    return found


VERSIONS_MOST = 12
