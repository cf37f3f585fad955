"""What there is to invoice, for staff: the list, its export, earlier exports again."""

from __future__ import annotations

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants, may
from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.listing_views import file_response, list_response
from orders import invoice_reads, services
from orders.invoice_content import FIELDS, TYPES, file_bytes, file_name, sums
from orders.views.parts import user_of

FILES_SHOWN = 24


@grants("invoice", "read")
@require_GET
def invoice_page_list(request: HttpRequest) -> HttpResponse:
    count, new_sums = invoice_reads.new_sums()
    files = invoice_reads.invoice_files()
    context = {
        "new_count": count,
        "new_sums": new_sums,
        "files": [(file, sums(file.content["items"])) for file in files[:FILES_SHOWN]],
        "files_more": max(0, files.count() - FILES_SHOWN),
        "fields": FIELDS.items(),
        "can_export": may(user_of(request).role, "invoice", "export"),
    }
    return list_response(request, "invoices", "orders/invoice_list.html", context)


@grants("invoice", "read")
@require_GET
def invoice_list_file(request: HttpRequest, form: str) -> FileResponse:
    """The list as it is shown, as a workbook or CSV; it is no export and marks nothing."""
    return file_response(request, "invoices", form)


@grants("invoice", "export")
@require_POST
def invoice_export(request: HttpRequest) -> HttpResponse:
    """Put all that is new into the next export."""
    file = services.invoice_export(actor=person(user_of(request)), at=database_now())
    messages.success(request, f"Export {file.number} is made; take its file below.")
    return redirect("orders:invoice_list")


@grants("invoice", "read")
@require_GET
def invoice_file(request: HttpRequest, public_id: str, form: str) -> HttpResponse:
    """An export as CSV or JSON, the same whenever it is asked for."""
    del request
    file = invoice_reads.invoice_file_get(public_id)
    response = HttpResponse(file_bytes(file.content, form), content_type=TYPES[form])
    response["Content-Disposition"] = f'attachment; filename="{file_name(file.number, form)}"'
    return response
