"""The change-over grid as one form: a field for each pair; what is not touched is not sent to the service."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from django import forms

from orders.change_over_reads import Grid
from orders.line_typed import Pair, pair_field, pair_read


class GridForm(forms.Form):
    """Minutes of pairs. `known` is what was timed when the page was shown, so that only what was typed since counts.

    Cells of another person who typed meanwhile stay as they are.
    """

    known = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: Mapping[str, Any] | None, *, grid: Grid) -> None:
        timed = {cell.field: cell.minutes for cell in grid.cells if cell.minutes is not None}
        super().__init__(data, initial={**timed, "known": json.dumps(timed)})
        shown = [(cell.before, cell.after) for cell in grid.cells]
        sent = [pair for pair in map(pair_read, data or ()) if pair is not None]
        for pair in dict.fromkeys([*shown, *sent]):
            self.fields[pair_field(pair)] = forms.IntegerField(
                label=f"{pair[0]} to {pair[1]}", required=False
            )

    def clean_known(self) -> dict[str, Any]:
        try:
            known = json.loads(self.cleaned_data["known"] or "{}")
        except (ValueError, RecursionError):
            known = {}
        return known if isinstance(known, dict) else {}

    def typed(self) -> dict[Pair, int | None]:
        """Pairs that were changed on the page; None where the cell was emptied."""
        known = self.cleaned_data["known"]
        found = {name: pair_read(name) for name in self.data if name in self.fields}
        return {
            pair: self.cleaned_data[name]
            for name, pair in found.items()
            if pair is not None and self.cleaned_data[name] != known.get(name)
        }
