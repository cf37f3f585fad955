from django.urls import path

from quotes import (
    act_views,
    alternate_views,
    approval_views,
    builder_views,
    compare_views,
    price_act_views,
    price_views,
    views,
)

app_name = "quotes"

_REVISION = "revisions/<str:public_id>/"
_YOURS = "your/<str:public_id>/"
_BOOK = "price-book/<str:public_id>/"

urlpatterns = [
    path("", views.quote_list, name="quote_list"),
    path("new/", views.quote_new, name="quote_new"),
    path("options/", views.form_options, name="form_options"),
    path("options/<str:public_id>/", views.floor_options, name="floor_options"),
    path("approvals/", approval_views.approval_list, name="approval_list"),
    path("price-book/", price_views.price_book, name="price_book"),
    path("price-book/new/", price_act_views.price_book_new, name="price_book_new"),
    path(_BOOK, price_views.price_book_version, name="price_book_version"),
    path(_BOOK + "changes/", price_views.price_book_changes, name="price_book_changes"),
    path(_BOOK + "prices.xlsx", price_views.price_book_xlsx, name="price_book_xlsx"),
    path(_BOOK + "prices.csv", price_views.price_book_csv, name="price_book_csv"),
    path(_BOOK + "edit/", price_act_views.price_book_edit, name="price_book_edit"),
    path(_BOOK + "load/", price_act_views.price_book_load, name="price_book_load"),
    path(_BOOK + "send/", price_act_views.price_book_send, name="price_book_send"),
    path(_BOOK + "give-back/", price_act_views.price_book_give_back, name="price_book_give_back"),
    path(_BOOK + "force/", price_act_views.price_book_put_in_force, name="price_book_put_in_force"),
    path(_BOOK + "discard/", price_act_views.price_book_discard, name="price_book_discard"),
    path(_REVISION, views.revision_page, name="revision_page"),
    path(_REVISION + "paper/", views.quote_paper, name="quote_paper"),
    path(_REVISION + "change/", act_views.revision_change, name="revision_change"),
    path(_REVISION + "reprice/", act_views.revision_reprice, name="revision_reprice"),
    path(_REVISION + "approval/ask/", act_views.approval_ask, name="approval_ask"),
    path(_REVISION + "approval/decide/", act_views.approval_decide, name="approval_decide"),
    path(_REVISION + "approval/question/", approval_views.approval_question, name="approval_question"),
    path(_REVISION + "approval/answer/", approval_views.approval_answer, name="approval_answer"),
    path(_REVISION + "alternates/new/", alternate_views.alternate_new, name="alternate_new"),
    path(_REVISION + "alternates/<str:letter>/", alternate_views.alternate_page, name="alternate_page"),
    path(
        _REVISION + "alternates/<str:letter>/rename/",
        alternate_views.alternate_rename,
        name="alternate_rename",
    ),
    path(
        _REVISION + "alternates/<str:letter>/remove/",
        alternate_views.alternate_remove,
        name="alternate_remove",
    ),
    path(_REVISION + "issue/", act_views.revision_issue, name="revision_issue"),
    path(_REVISION + "accept/", act_views.quote_accept, name="quote_accept"),
    path(_REVISION + "decline/", act_views.quote_decline, name="quote_decline"),
    path(_REVISION + "links/", act_views.quote_link_make, name="quote_link_make"),
    path(
        _REVISION + "links/<str:link_id>/withdraw/",
        act_views.quote_link_withdraw,
        name="quote_link_withdraw",
    ),
    path(_YOURS, builder_views.your_quote, name="your_quote"),
    path(_YOURS + "accept/", builder_views.your_quote_accept, name="your_quote_accept"),
    path(_YOURS + "decline/", builder_views.your_quote_decline, name="your_quote_decline"),
    path(_YOURS + "changes/", compare_views.your_quote_changes, name="your_quote_changes"),
    path(_YOURS + "paper/", builder_views.your_quote_paper, name="your_quote_paper"),
    path("<str:public_id>/", views.quote_page, name="quote_page"),
    path("<str:public_id>/compare/", compare_views.quote_compare, name="quote_compare"),
    path("<str:public_id>/revise/", act_views.revision_revise, name="revision_revise"),
]
