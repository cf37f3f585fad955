"""What people type about labels and papers; the services check what it means."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms

from framing.common.errors import Refused
from orders.models import LabelStock
from orders.papers.reads import stock_list
from orders.papers.sizes import COUNTS, PRESETS, SIZES, read_tenths
from orders.states import LABEL_PAPERS, LabelUse, ShopPaperKind

_SIZE_LABELS = {
    "page_width": "Page width",
    "page_height": "Page height",
    "label_width": "Label width",
    "label_height": "Label height",
    "left": "First label from the left edge",
    "top": "First label from the upper edge",
    "across": "From left edge to left edge",
    "down": "From upper edge to upper edge",
}
_SIZE_MOST = 20
_PAIRS = (
    ("page_width", "page_height"),
    ("columns", "rows"),
    ("label_width", "label_height"),
    ("left", "top"),
    ("across", "down"),
)
USUAL = "usual"  # where no stock is entered


class StockForm(forms.Form):
    """Sizes of a sheet or roll, in millimetres or inches."""

    name = forms.CharField(label="Name", max_length=60, help_text="As it stands on the pack.")
    use = forms.ChoiceField(label="For", choices=LabelUse.choices)
    page_width = forms.CharField(max_length=_SIZE_MOST)
    page_height = forms.CharField(max_length=_SIZE_MOST)
    columns = forms.IntegerField(label="Labels across", min_value=1, max_value=30)
    rows = forms.IntegerField(label="Labels down", min_value=1, max_value=30)
    label_width = forms.CharField(max_length=_SIZE_MOST)
    label_height = forms.CharField(max_length=_SIZE_MOST)
    left = forms.CharField(max_length=_SIZE_MOST)
    top = forms.CharField(max_length=_SIZE_MOST)
    across = forms.CharField(max_length=_SIZE_MOST, required=False)
    down = forms.CharField(max_length=_SIZE_MOST, required=False)

    def __init__(self, *args: Any, fixed_use: bool = False, **more: Any) -> None:
        super().__init__(*args, **more)
        for field, label in _SIZE_LABELS.items():
            self.fields[field].label = label
            self.fields[field].widget.attrs["class"] = "length"
        if fixed_use:
            del self.fields["use"]

    def clean(self) -> dict[str, Any]:
        """Sizes as tenths of a millimetre, each refused at its own field."""
        data: dict[str, Any] = super().clean() or {}
        for field in SIZES:
            if field in data:
                try:
                    data[field] = read_tenths(data[field], field) if data[field].strip() else 0
                except Refused as error:
                    self.add_error(field, error.message)
        return data

    @property
    def pairs(self) -> list[list[forms.BoundField]]:
        """The fields as they stand on the page: name and use alone, sizes in pairs of width and height."""
        alone = [[self[name]] for name in ("name", "use") if name in self.fields]
        return [*alone, *([self[name] for name in pair] for pair in _PAIRS)]

    @property
    def sizes(self) -> Mapping[str, int]:
        return {field: self.cleaned_data[field] for field in (*SIZES, *COUNTS)}


def stock_initial(stock: Any) -> dict[str, Any]:
    """A stock's sizes as the form shows them, in millimetres."""
    sizes = {field: f"{getattr(stock, field) / 10:g} mm" for field in SIZES}
    return sizes | {field: getattr(stock, field) for field in COUNTS}


def preset_initial(key: str) -> dict[str, Any]:
    """What the form begins with: a common stock by its key, or nothing."""
    if key not in PRESETS:
        return {"columns": 1, "rows": 1, "left": "0 mm", "top": "0 mm"}
    use, name, stock = PRESETS[key]
    return {"use": use.value, "name": name, **stock_initial(stock)}


class LabelsForm(forms.Form):
    """On which stock labels go, and where a part-used sheet begins."""

    stock = forms.ChoiceField(label="On")
    start = forms.IntegerField(label="First free label", min_value=1, initial=1)

    def __init__(self, *args: Any, kind: str, **more: Any) -> None:
        more.setdefault("auto_id", f"{kind}_%s")
        super().__init__(*args, **more)
        self.stocks: dict[str, LabelStock] = {
            row.public_id: row for row in stock_list(LABEL_PAPERS[ShopPaperKind(kind)])
        }
        rows = [(key, f"{row.name}{' (usual)' if row.chosen else ''}") for key, row in self.stocks.items()]
        field = self.fields["stock"]
        field.choices = rows or [(USUAL, "Roll of 4 in")]  # type: ignore[attr-defined]

    @property
    def chosen(self) -> LabelStock | None:
        return self.stocks.get(self.cleaned_data["stock"])


class DayForm(forms.Form):
    """Which day of a line."""

    line = forms.CharField(max_length=20, widget=forms.HiddenInput)
    day = forms.DateField(widget=forms.HiddenInput)
