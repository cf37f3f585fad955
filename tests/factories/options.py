"""Fewer options than the engine answers, so that pricing them all is quick."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from framing.engine.document import FloorDocument
from framing.engine.practice import Practice
from framing.projects.preview import Preview, preview_document
from quotes import option_prices


def limit(monkeypatch: pytest.MonkeyPatch, passing: int) -> None:
    """Keep the drawn option, the first passing ones up to that many, and all that fail."""

    def fewer(source: FloorDocument | Mapping[str, Any] | str | bytes, practice: Practice) -> Preview:
        preview = preview_document(source, practice)
        if preview.result is None:
            return preview
        drawn = preview.result.bays[0].profile
        options = sorted(preview.result.options, key=lambda o: (o.profile, o.spacing_in) != (drawn, 16.0))
        kept = [option for option in options if option.passes][:passing]
        kept += [option for option in options if not option.passes]
        return replace(preview, result=replace(preview.result, options=tuple(kept)))

    monkeypatch.setattr(option_prices, "preview_document", fewer)
