from django.urls import path

from quotes.api import views
from quotes.api.options import PricedOptionsView

app_name = "quotes_api"

_REVISION = "revisions/<str:public_id>/"

urlpatterns = [
    path("quotes/", views.QuoteListView.as_view(), name="quote_list"),
    path("quotes/new/", views.QuoteCreateView.as_view(), name="quote_create"),
    path("quotes/<str:public_id>/", views.QuoteGetView.as_view(), name="quote_get"),
    path("quotes/<str:public_id>/revise/", views.RevisionReviseView.as_view(), name="revision_revise"),
    path(_REVISION, views.RevisionGetView.as_view(), name="revision_get"),
    path(_REVISION + "change/", views.RevisionChangeView.as_view(), name="revision_change"),
    path(_REVISION + "reprice/", views.DraftRepriceView.as_view(), name="draft_reprice"),
    path(_REVISION + "approval/ask/", views.ApprovalAskView.as_view(), name="approval_ask"),
    path(_REVISION + "approval/decide/", views.ApprovalDecideView.as_view(), name="approval_decide"),
    path(_REVISION + "issue/", views.RevisionIssueView.as_view(), name="revision_issue"),
    path(_REVISION + "accept/", views.QuoteAcceptView.as_view(), name="quote_accept"),
    path(_REVISION + "decline/", views.QuoteDeclineView.as_view(), name="quote_decline"),
    path(_REVISION + "links/", views.QuoteLinkMakeView.as_view(), name="quote_link_make"),
    path(
        _REVISION + "links/<str:link_id>/withdraw/",
        views.QuoteLinkWithdrawView.as_view(),
        name="quote_link_withdraw",
    ),
    path("projects/<str:public_id>/options", PricedOptionsView.as_view(), name="priced_options"),
    path("price-book/", views.PriceBookGetView.as_view(), name="price_book_get"),
    path("price-book/import/", views.PriceBookImportView.as_view(), name="price_book_import"),
]
