"""What plans that the worker makes have alike: being given up, and being told to stop."""

from __future__ import annotations

from framing.common.models import OutboxEntry
from orders.models import LinePlan, LoadPlan


def given_up(kind: str, plan: LinePlan | LoadPlan) -> bool:
    """Whether the worker tried several times and will not try again; `kind` is that of the plan's outbox rows."""
    return OutboxEntry.objects.filter(kind=kind, key=str(plan.pk), parked_at__isnull=False).exists()


def stop_noted(kind: str, plan: LinePlan | LoadPlan) -> bool:
    """Write on a locked plan that it is to stop; False where it is known and the worker is still at it."""
    if plan.stop_asked and not given_up(kind, plan):
        return False
    plan.stop_asked = True
    plan.save(update_fields=["stop_asked"])
    return True
