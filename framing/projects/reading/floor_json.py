"""Reading a floor document of our own format: the document as typed, or every place where it can't be read."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from framing.common.bounded import JobRefused
from framing.engine.document import MAX_BYTES, dump_document, read_document
from framing.engine.errors import DocumentRefused

PROBLEMS_MOST: Final = 200


def read_floor(data: bytes, options: Mapping[str, Any]) -> tuple[dict[str, Any], list[bytes]]:
    """The facts of a floor document: `document`, or `problems` with their places.

    Raises JobRefused where it is no document at all (no JSON, too large, nested too deep).
    """
    del options
    text = data.removeprefix(b"\xef\xbb\xbf")
    try:
        document = dump_document(read_document(text, max_bytes=MAX_BYTES))
    except DocumentRefused as error:
        whole = [problem for problem in error.problems if not problem.place]
        if whole:
            raise JobRefused(whole[0].message) from error
        problems = [[problem.place, problem.message] for problem in error.problems[:PROBLEMS_MOST]]
        return {"document": None, "problems": problems, "more": len(error.problems) - len(problems)}, []
    return {"document": document, "problems": [], "more": 0}, []
