"""Addresses of what there is to invoice."""

from django.urls import path

from orders import invoice_views

PATTERNS = [
    path("invoices/", invoice_views.invoice_page_list, name="invoice_list"),
    path("invoices/list.<slug:form>", invoice_views.invoice_list_file, name="invoice_list_file"),
    path("invoices/export/", invoice_views.invoice_export, name="invoice_export"),
    path("invoices/<str:public_id>/items.<slug:form>", invoice_views.invoice_file, name="invoice_file"),
]
