"""The managers' queue of approvals, and a question and its answer before the decision (R39)."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants
from framing.common.clock import database_now
from quotes import selectors, services
from quotes.act_views import act_on
from quotes.approval_reads import Asked, asked_list, decide_seen
from quotes.forms import AnswerForm, DecideForm, QuestionForm
from quotes.views import actor_of

DECIDED_MOST = 20


@grants("quote", "approve")
@require_GET
def approval_list(request: HttpRequest) -> HttpResponse:
    """What waits for a manager's word, with the numbers to say it by; what waits for sellers; what was decided."""
    waiting = [_card(asked) for asked in asked_list(selectors.approvals_waiting())]
    context = {
        "waiting": waiting,
        "asked_back": asked_list(selectors.approvals_asked_back()),
        "decided": selectors.approvals_decided()[:DECIDED_MOST],
    }
    return render(request, "quotes/approval_list.html", context)


def _card(asked: Asked) -> dict[str, Any]:
    """One request with its forms; several stand on the page, so ids carry the quote's number."""
    tail = f"{asked.approval.pk}_%s"
    decide = DecideForm(
        initial=decide_seen(asked.approval.revision, asked.alternates), auto_id=f"decide{tail}"
    )
    return {"asked": asked, "decide": decide, "question": QuestionForm(auto_id=f"question{tail}")}


@grants("quote", "approve")
@require_POST
def approval_question(request: HttpRequest, public_id: str) -> HttpResponse:
    """Ask the seller back."""
    revision = selectors.revision_get(public_id)

    def act(data: dict[str, Any]) -> None:
        services.approval_question(
            actor=actor_of(request), revision=revision, text=data["text"], at=database_now()
        )

    form = QuestionForm(request.POST)
    return act_on(request, revision, "question_form", form, act, "Asked back. It returns with the answer.")


@grants("draft", "change")
@require_POST
def approval_answer(request: HttpRequest, public_id: str) -> HttpResponse:
    """Answer the manager's question."""
    revision = selectors.revision_get(public_id)

    def act(data: dict[str, Any]) -> None:
        services.approval_answer(
            actor=actor_of(request), revision=revision, text=data["text"], at=database_now()
        )

    form = AnswerForm(request.POST)
    return act_on(request, revision, "answer_form", form, act, "Answered. It waits for a manager again.")
