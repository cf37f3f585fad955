"""The store of laid-out sections: files by their content's hash, checked when read, the longest unused removed.

It is a cache beside the stored papers: whoever loses it renders anew. A file that is damaged counts as absent.
"""

from __future__ import annotations

import hashlib
import logging
import os
import re
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Final

PART: Final = ".part-"  # the sweep of papers removes such files when they are old
FOLDER: Final = "sections"
MOST_BYTES: Final = 256 * 1024 * 1024
_NAME: Final = re.compile(r"[0-9a-f]{64}\.section")
_DIGEST_BYTES: Final = 32

logger = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class SectionStore:
    """Sections in one folder, at most `most_bytes` of them after a `trim`."""

    folder: Path
    most_bytes: int = MOST_BYTES

    def get(self, key: str) -> bytes | None:
        """The stored bytes, or None where they are not there or not whole; reading counts as use."""
        path = self._path(key)
        try:
            stored = path.read_bytes()
            os.utime(path)
        except OSError:
            return None
        digest, data = stored[:_DIGEST_BYTES], stored[_DIGEST_BYTES:]
        return data if hashlib.sha256(data).digest() == digest else None

    def put(self, key: str, data: bytes) -> None:
        """Store bytes; a reader sees all of them or none. Where the disk takes no more, nothing is kept."""
        try:
            self._write(key, data)
        except OSError:  # the paper does not depend on it
            logger.warning("a section was not kept in %s", self.folder, exc_info=True)

    def _write(self, key: str, data: bytes) -> None:
        self.folder.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=self.folder, prefix=PART)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(hashlib.sha256(data).digest() + data)
            Path(name).replace(self._path(key))
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise

    def trim(self) -> list[str]:
        """Remove the longest unused until the rest fits `most_bytes`; returns the names removed."""
        found = sorted(self._entries(), reverse=True)  # youngest first
        removed, total = [], 0
        for _, size, path in found:
            total += size
            if total > self.most_bytes:
                path.unlink(missing_ok=True)
                removed.append(path.name)
        return removed

    def _entries(self) -> list[tuple[float, int, Path]]:
        entries = []
        if self.folder.is_dir():
            for path in self.folder.iterdir():
                try:
                    state = path.stat()
                except FileNotFoundError:  # another worker trims too
                    continue
                if _NAME.fullmatch(path.name):
                    entries.append((state.st_mtime, state.st_size, path))
        return entries

    def _path(self, key: str) -> Path:
        return self.folder / f"{key}.section"
