"""Jobs that do to a bounded process what a stranger's file may bring a library to do."""

from __future__ import annotations

import ctypes
import os
import signal
import socket
import sys
import time
from typing import Any

from framing.common.bounded import ANSWER_MOST, JobRefused

Answer = tuple[dict[str, Any], list[bytes]]


def measure(data: bytes, options: dict[str, Any]) -> Answer:
    sys.stdout.write("words of a library on standard output\n")
    sys.stdout.flush()
    return {"bytes": len(data), "options": options, "pid": os.getpid()}, [data[:3], b"", data[3:]]


def refuse(data: bytes, options: dict[str, Any]) -> Answer:
    raise JobRefused("The picture is blank. Add another.")


def fail(data: bytes, options: dict[str, Any]) -> Answer:
    raise KeyError("no such part")


def sleep(data: bytes, options: dict[str, Any]) -> Answer:
    time.sleep(60)
    return {}, []


def spin(data: bytes, options: dict[str, Any]) -> Answer:
    while True:
        pass


def swallow(data: bytes, options: dict[str, Any]) -> Answer:
    held = []
    while True:
        held.append(bytearray(8 * 2**20))


def flood(data: bytes, options: dict[str, Any]) -> Answer:
    part = b"x" * 2**20
    return {}, [part] * (ANSWER_MOST // 2**20 + 1)


def crash(data: bytes, options: dict[str, Any]) -> Answer:
    ctypes.string_at(0)
    return {}, []


def die(data: bytes, options: dict[str, Any]) -> Answer:
    os.kill(os.getpid(), signal.SIGKILL)
    return {}, []


def recurse(data: bytes, options: dict[str, Any]) -> Answer:
    return recurse(data, options)


def write(data: bytes, options: dict[str, Any]) -> Answer:
    with open(options["path"], "wb") as file:  # noqa: PTH123
        file.write(data)
    return {}, []


def open_many(data: bytes, options: dict[str, Any]) -> Answer:
    held = []
    while True:
        held.append(socket.socket())


def start_another(data: bytes, options: dict[str, Any]) -> Answer:
    if os.fork() == 0:
        time.sleep(60)
        os._exit(0)
    time.sleep(60)
    return {}, []


def surroundings(data: bytes, options: dict[str, Any]) -> Answer:
    return {"environment": sorted(os.environ), "django": "django" in sys.modules}, []


def lie(data: bytes, options: dict[str, Any]) -> Answer:
    """Answer by another way than the agreed one, as a library taken over by a file could."""
    for number in range(3, 20):
        try:
            os.write(number, data)
        except OSError:
            continue
    os._exit(0)
