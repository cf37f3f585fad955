"""Reading the files that people bring: which kind one is, and the reader of each kind.

A reader is a pure function of `(bytes, options)` that answers `(facts, blobs)` or raises `JobRefused` with words for a
person. It runs in a bounded process (`framing.common.bounded`) and loads no Django.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

READERS: Final[Mapping[str, str]] = {
    "pdf": "framing.projects.reading.raster.read_pdf",
    "image": "framing.projects.reading.raster.read_image",
    "dxf": "framing.projects.reading.dxf.read_dxf",
    "csv": "framing.projects.reading.corners.read_corners",
    "floor": "framing.projects.reading.floor_json.read_floor",
}
"""The job that reads each kind of file; blobs are the pictures of its pages, as PNG of our own."""
