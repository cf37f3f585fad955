"""Web, worker and beat for browser tests, forked from a process that has imported what they need.

Importing takes 2.3 s of a processor and forking 0.1, and a test starts up to four of them. A line on the standard
input is a wish as JSON: the program's module, its arguments and its log. The answer is the number of the process, which
leads a group of its own. At the end of the input all groups are killed. `config/test_run.py` starts the product as
people do.
"""

from __future__ import annotations

import contextlib
import gc
import json
import os
import runpy
import signal
import sys
from importlib import import_module
from typing import Any, NoReturn

import django


def import_all() -> None:
    """What web, worker and beat import by themselves, sooner or later."""
    django.setup()
    for name in ("gunicorn.app.wsgiapp", "gunicorn.workers.gthread", "celery.bin.celery", "weasyprint"):
        import_module(name)
    for name in ("framing.config.wsgi", "framing.config.urls"):
        import_module(name)
    import_module("framing.config.celery").app.loader.import_default_modules()
    gc.freeze()


def become(wish: dict[str, Any]) -> NoReturn:
    """Be `python -m MODULE ARGUMENTS`."""
    os.setsid()
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    log = os.open(wish["log"], os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    nothing = os.open(os.devnull, os.O_RDONLY)
    for ours, standard in ((nothing, 0), (log, 1), (log, 2)):
        os.dup2(ours, standard)
    sys.argv = [wish["module"], *wish["arguments"]]
    code = 1
    try:
        runpy.run_module(wish["module"], run_name="__main__", alter_sys=True)
        code = 0
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else int(end.code is not None)
    finally:
        sys.stderr.flush()
        os._exit(code)


def bury(_signal: int, _frame: object) -> None:
    """Wait for those that have ended, so that their numbers are free and their time is counted."""
    with contextlib.suppress(ChildProcessError):
        while os.waitpid(-1, os.WNOHANG)[0]:
            pass


def main() -> None:
    import_all()
    signal.signal(signal.SIGCHLD, bury)
    started = []
    for line in sys.stdin:
        number = os.fork()
        if not number:
            become(json.loads(line))
        started.append(number)
        print(number, flush=True)  # noqa: T201
    for number in started:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(number, signal.SIGKILL)


if __name__ == "__main__":
    main()
