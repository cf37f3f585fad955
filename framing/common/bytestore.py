"""Bytes on disk by their hash, never half a file; what no row names is swept. Papers and plan files lie so."""

from __future__ import annotations

import hashlib
import os
import re
import tempfile
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.db import connection, transaction

PART = ".part-"
LEFT_BEHIND_S = 3600
_HASH = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class ByteStore:
    """One folder of files named by the SHA-256 of what they hold.

    Attributes:
        folder: where it lies, asked each time.
        suffix: ends every file's name, as `.pdf`.
        lock: the store's own advisory lock of the database, class and number.
        named: those of the given hashes that some row names.
    """

    folder: Callable[[], Path]
    suffix: str
    lock: tuple[int, int]
    named: Callable[[list[str]], Iterable[str]]

    def path(self, sha256: str) -> Path:
        return self.folder() / sha256[:2] / f"{sha256}{self.suffix}"

    def write(self, data: bytes) -> str:
        """Write data under its hash: temporary file, sync, rename, sync of the folder. Returns the hash."""
        sha256 = hashlib.sha256(data).hexdigest()
        path = self.path(sha256)
        path.parent.mkdir(parents=True, exist_ok=True)
        _write_whole(path, data)
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
        return sha256

    def read(self, sha256: str) -> bytes | None:
        """The bytes, or None where the file is not what was stored. Raises FileNotFoundError."""
        data = self.path(sha256).read_bytes()
        return data if hashlib.sha256(data).hexdigest() == sha256 else None

    def hold(self) -> None:
        """Keep the sweep away until the transaction ends; call it before writing a file for a new row."""
        self._take("pg_advisory_xact_lock_shared")

    def sweep(self, at: datetime) -> list[str]:
        """Remove what killed writers left: files that no row names and half files, both over an hour old.

        Waits until nobody is between a file and its row, so that no row loses its file. Returns the names removed.
        """
        removed: list[str] = []
        for folder in sorted(path for path in self.folder().glob("*") if path.is_dir()):
            with transaction.atomic():
                self._take("pg_advisory_xact_lock")
                removed += self._sweep_folder(folder, at.timestamp() - LEFT_BEHIND_S)
        return removed

    def _sweep_folder(self, folder: Path, before: float) -> list[str]:
        old = {
            path.name: path
            for path in sorted(folder.iterdir())
            if path.is_file() and path.stat().st_mtime < before
        }
        hashes = {name: name.removesuffix(self.suffix) for name in old if name.endswith(self.suffix)}
        stored = {name: sha256 for name, sha256 in hashes.items() if _HASH.fullmatch(sha256)}
        kept = set(self.named(list(stored.values())))
        removed = [
            name for name in old if name.startswith(PART) or (name in stored and stored[name] not in kept)
        ]
        for name in removed:
            old[name].unlink(missing_ok=True)
        return removed

    def _take(self, lock: str) -> None:
        with connection.cursor() as cursor:
            cursor.execute(f"SELECT {lock}(%s, %s)", self.lock)  # one of two names above


def _write_whole(path: Path, data: bytes) -> None:
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=PART)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


_stores: list[ByteStore] = []


def register_store(store: ByteStore) -> ByteStore:
    """Have the hourly sweep look after a store; an app does so where its tasks are."""
    _stores.append(store)
    return store


def stores_sweep(at: datetime) -> list[str]:
    """Sweep every registered store. Returns the names removed."""
    return [name for store in _stores for name in store.sweep(at)]
