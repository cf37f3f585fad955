"""Pages of mail: sending an offer after a look at the mail, the company's words, a test, sending again."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from framing.common.access import grants, may
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, NotAllowed, NotThere, StaleSave
from framing.common.mail import mail_get, mail_list, mail_retry
from framing.common.mail_letter import Letter, show_letter
from framing.common.mail_sending import mail_test
from framing.common.mail_templates import Words, template_change, template_versions, template_words
from framing.common.mail_words import MailKind, Recipient, check_words, plain_line
from framing.common.models import MailMessage
from quotes import selectors, services
from quotes.mail_forms import SendForm, TemplateForm
from quotes.mail_kinds import KINDS
from quotes.models import Quote, QuoteRevision
from quotes.template_preview import sample_letter
from quotes.views import actor_of, new_key


@grants("quote", "send")
@require_http_methods(["GET", "POST"])
def quote_send(request: HttpRequest, public_id: str) -> HttpResponse:
    """See the mail, then send it; a draft is issued and sent in one act. Only `step=send` writes anything."""
    revision = selectors.revision_get(public_id)
    if request.method == "GET":
        builder = revision.quote.project.builder
        first = {"name-1": builder.contact_name, "email-1": builder.email, "idempotency_key": new_key()}
        return _show_send(request, revision, SendForm(initial=first), builder.contact_name, "")
    form = SendForm(request.POST)
    if not form.is_valid():
        return _show_send(request, revision, form, "", "", status=422, refused=form)
    if request.POST.get("step") != "send":
        name = form.people[0][0] if form.people else "…"
        return _show_send(request, revision, form, name, form.cleaned_data["word"])
    try:
        mails = _send(request, revision, form)
    except (NotAllowed, NotThere):
        raise
    except ApplicationError as error:
        form.add_error(form.field_of(error.field), error.message)
        fresh = selectors.revision_get(public_id)
        word = form.cleaned_data.get("word", "")
        return _show_send(request, fresh, form, "…", word, status=error.status, refused=form)
    named = ", ".join(mail.to_name for mail in mails)
    messages.success(request, f"On its way to {named}.")
    return redirect("quotes:quote_thread", revision.quote.public_id)


def _send(request: HttpRequest, revision: QuoteRevision, form: SendForm) -> list[MailMessage]:
    act = services.quote_send if revision.issued_at else services.revision_issue_and_send
    return act(
        actor=actor_of(request),
        revision=revision,
        people=form.people,
        key=form.cleaned_data["idempotency_key"],
        at=database_now(),
        word=form.cleaned_data["word"],
    )


def _show_send(
    request: HttpRequest,
    revision: QuoteRevision,
    form: SendForm,
    name: str,
    word: str,
    *,
    status: int = 200,
    **shown: Any,
) -> HttpResponse:
    to = Recipient(plain_line(name), "")
    letter = services.quote_preview(actor=actor_of(request), revision=revision, to=to, word=word)
    context = {"revision": revision, "quote": revision.quote, "form": form, "letter": letter}
    response = render(request, "quotes/send.html", context | shown, status=status)
    show_letter(response, letter)
    return response


@grants("mail", "retry")
@require_POST
def quote_mail_retry(request: HttpRequest, public_id: str, mail_id: str) -> HttpResponse:
    """Send a mail about a quote again that was not sent."""
    quote = selectors.quote_get(public_id)
    try:
        mail = mail_retry(actor=actor_of(request), mail=mail_of_quote(quote, mail_id), at=database_now())
    except (NotAllowed, NotThere):
        raise
    except ApplicationError as error:
        messages.error(request, error.message)
    else:
        messages.success(request, f"The mail to {mail.to_address} is on its way again.")
    return redirect("quotes:quote_thread", quote.public_id)


def mail_of_quote(quote: Quote, mail_id: str) -> MailMessage:
    """A mail about this quote. Raises NotThere."""
    mail = mail_get(mail_id)
    if not mail_list(quote).filter(pk=mail.pk).exists():
        raise NotThere()
    return mail


def kind_of(name: str) -> MailKind:
    """Raises NotThere for a kind that is not ours."""
    if name not in KINDS:
        raise NotThere()
    return KINDS[name]


@grants("mail_template", "read")
@require_GET
def mail_templates(request: HttpRequest) -> HttpResponse:
    """All kinds of mail with the words that hold, and the test of the mail server."""
    rows = [(kind, template_words(kind)) for kind in KINDS.values()]
    tests = MailMessage.objects.filter(kind="test", to_user=None, asked_by=request.user.pk)[:3]
    context = {
        "rows": rows,
        "may_test": may(actor_of(request).audience, "mail", "test"),
        "tests": tests,
    }
    return render(request, "quotes/mail_templates.html", context)


@grants("mail_template", "read")
@require_GET
def mail_template(request: HttpRequest, kind: str) -> HttpResponse:
    """The words of a kind, how a mail with real figures looks in them, and earlier versions."""
    found = kind_of(kind)
    held = template_words(found)
    form = TemplateForm(initial={"seen": held.version, "subject": held.subject, "text": held.text})
    return _show_template(request, found, form, sample_letter(found, held))


@grants("mail_template", "change")
@require_POST
def mail_template_change(request: HttpRequest, kind: str) -> HttpResponse:
    """Look at changed words (`step=look`), or keep them (`step=save`)."""
    found = kind_of(kind)
    form = TemplateForm(request.POST)
    letter: Letter | None = None
    if form.is_valid():
        data = form.cleaned_data
        try:
            subject, text = check_words(found, data["subject"], data["text"])
            letter = sample_letter(found, Words(subject, text, data["seen"]))
            if request.POST.get("step") == "save":
                template_change(actor=actor_of(request), kind=found, at=database_now(), **data)
                messages.success(request, f"Kept. {found.title} goes out in these words from now on.")
                return redirect("quotes:mail_template", found.name)
        except NotAllowed:
            raise
        except ApplicationError as error:
            form.add_error(error.field or None, error.message)
            if isinstance(error, StaleSave):
                form = _after_newer(found, form, error.message)
            return _show_template(request, found, form, letter, status=error.status, refused=form)
        return _show_template(request, found, form, letter)
    return _show_template(request, found, form, letter, status=422, refused=form)


def _after_newer(kind: MailKind, form: TemplateForm, message: str) -> TemplateForm:
    """The words as typed, to follow the version that came between."""
    typed = {name: form[name].value() for name in ("subject", "text")}
    fresh = TemplateForm({**typed, "seen": template_words(kind).version})
    fresh.add_error(None, message)
    return fresh


def _show_template(
    request: HttpRequest,
    kind: MailKind,
    form: TemplateForm,
    letter: Letter | None,
    *,
    status: int = 200,
    **shown: Any,
) -> HttpResponse:
    context = {
        "kind": kind,
        "form": form,
        "letter": letter,
        "places": kind.places.items(),
        "versions": template_versions(kind),
        "may_change": may(actor_of(request).audience, "mail_template", "change"),
    }
    response = render(request, "quotes/mail_template.html", context | shown, status=status)
    show_letter(response, letter)
    return response


@grants("mail", "test")
@require_POST
def mail_test_send(request: HttpRequest) -> HttpResponse:
    """Send the administrator a mail at once and show what the server said."""
    mail = mail_test(actor=actor_of(request), at=database_now())
    if mail.sent_at:
        messages.success(request, f"{mail.answer} Look into the box of {mail.to_address}.")
    else:
        messages.error(
            request, f"The mail to {mail.to_address} was not taken. The server says: {mail.answer}"
        )
    return redirect("quotes:mail_templates")
