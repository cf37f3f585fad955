"""What a span table is asked for: one frozen value that pages, papers and the API share, and its digest."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass
from typing import Any, Final, Literal

from pydantic import TypeAdapter

from framing.engine.method import Method
from framing.engine.practice import Practice


@dataclass(frozen=True, slots=True)
class SpanAsk:
    """Loads, limits and layout of a table.

    Attributes:
        use: name of the occupancy whose live load it is; "" where the live load is a number of its own.
        layers: names of the floor's layers whose weights make `dead_psf`; empty where it is a number.
        live_limit, total_limit: span over deflection, as 480 for L/480.
        spans: one span, or two equal ones in one piece.
        depths_in: depths to show; empty shows all.
        units: how spans are written, `imperial` or `metric`.
    """

    use: str
    live_psf: float
    partition_psf: float
    dead_psf: float
    layers: tuple[str, ...]
    live_limit: int
    total_limit: int
    spans: Literal["single", "two"]
    spacings_in: tuple[float, ...]
    method: Method
    point_load: bool
    depths_in: tuple[float, ...]
    units: Literal["imperial", "metric"]


_ASK: Final = TypeAdapter(SpanAsk)


def ask_json(ask: SpanAsk) -> dict[str, Any]:
    """The ask as it is stored and told by the API."""
    return {name: list(value) if isinstance(value, tuple) else value for name, value in asdict(ask).items()}


def read_ask(stored: Any) -> SpanAsk:
    """An ask from its stored form. Raises pydantic's ValidationError where it is none."""
    return _ASK.validate_python(stored)


@dataclass(frozen=True, slots=True)
class SpanBasis:
    """What a table rests on besides the ask: versions of engine and catalogue, and the practice set."""

    engine_version: str
    catalogue_version: str
    practice: Practice


def ask_digest(ask: SpanAsk, basis: SpanBasis) -> str:
    """SHA-256 of ask and basis: equal tables have an equal digest, and so one paper."""
    told = {
        "ask": ask_json(ask),
        "engine": basis.engine_version,
        "catalogue": basis.catalogue_version,
        "practice": asdict(basis.practice),
    }
    return hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()


def ask_reference(digest: str) -> str:
    """How people name a table: the first eight signs of its digest, as `3F9A-1C2E`."""
    return f"{digest[:4]}-{digest[4:8]}".upper()
