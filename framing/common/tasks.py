"""Celery shells of the outbox and of the sweeps; all they take is an id."""

from __future__ import annotations

from celery import shared_task

from framing.common.bytestore import stores_sweep
from framing.common.clock import database_now
from framing.common.mail import SEND
from framing.common.mail_sending import mail_send
from framing.common.outbox import RUN_TASK, outbox_handler, outbox_run, outbox_waiting

outbox_handler(SEND)(mail_send)


@shared_task(name=RUN_TASK, ignore_result=True)
def outbox_run_task(pk: int) -> None:
    outbox_run(pk)


@shared_task(name="framing.common.tasks.outbox_sweep", ignore_result=True)
def outbox_sweep() -> None:
    """Run what no hint brought, oldest first."""
    for pk in outbox_waiting():
        outbox_run(pk)


@shared_task(name="framing.common.tasks.papers_sweep", ignore_result=True)
def papers_sweep_task() -> None:
    """Remove what killed writers left in the stores of papers and plan files."""
    stores_sweep(database_now())
