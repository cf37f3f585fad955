from django.urls import path

from quotes.api import (
    alternates,
    approvals,
    compare,
    figures,
    losing,
    mail,
    messages,
    prices,
    reminders,
    views,
)
from quotes.api.options import PricedOptionsView

app_name = "quotes_api"

_REVISION = "revisions/<str:public_id>/"
_BOOK = "price-book/versions/<str:public_id>/"

urlpatterns = [
    path("quotes/", views.QuoteListView.as_view(), name="quote_list"),
    path("quotes/new/", views.QuoteCreateView.as_view(), name="quote_create"),
    path("quotes/<str:public_id>/", views.QuoteGetView.as_view(), name="quote_get"),
    path("quotes/<str:public_id>/compare/", compare.QuoteCompareView.as_view(), name="quote_compare"),
    path("quotes/<str:public_id>/revise/", views.RevisionReviseView.as_view(), name="revision_revise"),
    path("quotes/<str:public_id>/thread/", messages.ThreadListView.as_view(), name="thread_list"),
    path("quotes/<str:public_id>/thread/answer/", messages.ThreadAnswerView.as_view(), name="thread_answer"),
    path("quotes/<str:public_id>/thread/seen/", messages.ThreadSeenView.as_view(), name="thread_seen"),
    path(
        "quotes/<str:public_id>/reminders/",
        reminders.RemindersSwitchView.as_view(),
        name="reminders_switch",
    ),
    path("quotes/<str:public_id>/mails/", messages.QuoteMailListView.as_view(), name="quote_mail_list"),
    path(
        "quotes/<str:public_id>/mails/<str:mail_id>/retry/",
        messages.QuoteMailRetryView.as_view(),
        name="quote_mail_retry",
    ),
    path(_REVISION + "send/", messages.QuoteSendView.as_view(), name="quote_send"),
    path(_REVISION + "send/preview/", messages.QuoteSendPreviewView.as_view(), name="quote_send_preview"),
    path(
        _REVISION + "issue-and-send/",
        messages.RevisionIssueAndSendView.as_view(),
        name="revision_issue_and_send",
    ),
    path("pipeline/", figures.PipelineView.as_view(), name="pipeline"),
    path("figures/", figures.FiguresView.as_view(), name="figures"),
    path("figures/quotes/", figures.FiguresQuotesView.as_view(), name="figures_quotes"),
    path("mail/templates/", mail.MailTemplateListView.as_view(), name="mail_template_list"),
    path(
        "mail/templates/<str:kind>/change/",
        mail.MailTemplateChangeView.as_view(),
        name="mail_template_change",
    ),
    path(
        "mail/templates/<str:kind>/preview/",
        mail.MailTemplatePreviewView.as_view(),
        name="mail_template_preview",
    ),
    path("mail/test/", mail.MailTestView.as_view(), name="mail_test"),
    path("mail/bounces/", mail.MailBounceView.as_view(), name="mail_bounce"),
    path(_REVISION, views.RevisionGetView.as_view(), name="revision_get"),
    path(_REVISION + "change/", views.RevisionChangeView.as_view(), name="revision_change"),
    path(_REVISION + "reprice/", views.DraftRepriceView.as_view(), name="draft_reprice"),
    path(_REVISION + "approval/ask/", views.ApprovalAskView.as_view(), name="approval_ask"),
    path(_REVISION + "approval/decide/", views.ApprovalDecideView.as_view(), name="approval_decide"),
    path(
        _REVISION + "approval/question/", approvals.ApprovalQuestionView.as_view(), name="approval_question"
    ),
    path(_REVISION + "approval/answer/", approvals.ApprovalAnswerView.as_view(), name="approval_answer"),
    path("approvals/", approvals.ApprovalListView.as_view(), name="approval_list"),
    path(_REVISION + "alternates/", alternates.AlternateListView.as_view(), name="alternate_list"),
    path(_REVISION + "alternates/add/", alternates.AlternateAddView.as_view(), name="alternate_add"),
    path(
        _REVISION + "alternates/<str:letter>/rename/",
        alternates.AlternateRenameView.as_view(),
        name="alternate_rename",
    ),
    path(
        _REVISION + "alternates/<str:letter>/remove/",
        alternates.AlternateRemoveView.as_view(),
        name="alternate_remove",
    ),
    path(_REVISION + "issue/", views.RevisionIssueView.as_view(), name="revision_issue"),
    path(_REVISION + "remind/", reminders.QuoteRemindView.as_view(), name="quote_remind"),
    path(
        _REVISION + "remind/preview/",
        reminders.QuoteRemindPreviewView.as_view(),
        name="quote_remind_preview",
    ),
    path(_REVISION + "accept/", views.QuoteAcceptView.as_view(), name="quote_accept"),
    path(_REVISION + "decline/", losing.QuoteDeclineView.as_view(), name="quote_decline"),
    path(_REVISION + "lost/", losing.LostNameView.as_view(), name="lost_name"),
    path(_REVISION + "links/", views.QuoteLinkMakeView.as_view(), name="quote_link_make"),
    path(
        _REVISION + "links/<str:link_id>/withdraw/",
        views.QuoteLinkWithdrawView.as_view(),
        name="quote_link_withdraw",
    ),
    path("projects/<str:public_id>/options", PricedOptionsView.as_view(), name="priced_options"),
    path("price-book/", views.PriceBookGetView.as_view(), name="price_book_get"),
    path("price-book/import/", views.PriceBookImportView.as_view(), name="price_book_import"),
    path("price-book/versions/", prices.PriceBookListView.as_view(), name="price_book_list"),
    path("price-book/draft/", prices.PriceBookDraftView.as_view(), name="price_book_draft"),
    path("price-book/file/", prices.PriceFileDraftView.as_view(), name="price_file_draft"),
    path("price-book/file/preview/", prices.PriceFilePreviewView.as_view(), name="price_file_preview"),
    path(_BOOK, prices.PriceBookVersionView.as_view(), name="price_book_version"),
    path(_BOOK + "changes/", prices.PriceBookChangesView.as_view(), name="price_book_changes"),
    path(_BOOK + "prices.xlsx", prices.PriceBookXlsxView.as_view(), name="price_book_xlsx"),
    path(_BOOK + "prices.csv", prices.PriceBookCsvView.as_view(), name="price_book_csv"),
    path(_BOOK + "change/", prices.PriceBookChangeView.as_view(), name="price_book_change"),
    path(_BOOK + "send/", prices.PriceBookSendView.as_view(), name="price_book_send"),
    path(_BOOK + "give-back/", prices.PriceBookGiveBackView.as_view(), name="price_book_give_back"),
    path(_BOOK + "force/", prices.PriceBookForceView.as_view(), name="price_book_put_in_force"),
    path(_BOOK + "discard/", prices.PriceBookDiscardView.as_view(), name="price_book_discard"),
]
