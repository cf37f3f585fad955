"""Addresses of the yard's operations: the calendar, the company's trucks, calendars' addresses, notices."""

from django.urls import path

from orders.api import yard

_TRUCK = "trucks/<str:public_id>/"
_BUILDER = "builders/<str:public_id>/calendars/"

PATTERNS = [
    path("deliveries/by-day/", yard.BoardView.as_view(), name="delivery_board"),
    path("trucks/", yard.TruckListView.as_view(), name="truck_list"),
    path("trucks/make/", yard.TruckMakeView.as_view(), name="truck_make"),
    path(_TRUCK + "change/", yard.TruckChangeView.as_view(), name="truck_change"),
    path(_TRUCK + "retire/", yard.TruckRetireView.as_view(), name="truck_retire"),
    path(_TRUCK + "calendars/", yard.TruckFeedListView.as_view(), name="truck_calendar_list"),
    path(_TRUCK + "calendars/make/", yard.TruckFeedMakeView.as_view(), name="truck_calendar_make"),
    path(
        _TRUCK + "calendars/<str:link_id>/withdraw/",
        yard.TruckFeedWithdrawView.as_view(),
        name="truck_calendar_withdraw",
    ),
    path(_BUILDER, yard.BuilderFeedListView.as_view(), name="builder_calendar_list"),
    path(_BUILDER + "make/", yard.BuilderFeedMakeView.as_view(), name="builder_calendar_make"),
    path(
        _BUILDER + "<str:link_id>/withdraw/",
        yard.BuilderFeedWithdrawView.as_view(),
        name="builder_calendar_withdraw",
    ),
    path("notices/", yard.NoticeListView.as_view(), name="notice_list"),
    path("notices/choose/", yard.NoticeChooseView.as_view(), name="notice_choose"),
    path("notices/sent/", yard.NoticeSentView.as_view(), name="notice_sent"),
    path("notices/sent/retry/", yard.NoticeRetryAllView.as_view(), name="notice_retry_all"),
    path("notices/sent/<str:mail_id>/retry/", yard.NoticeRetryView.as_view(), name="notice_retry"),
    path("notices/missed/", yard.NoticeMissedView.as_view(), name="notice_missed"),
    path("notices/missed/<str:public_id>/send/", yard.NoticeSendView.as_view(), name="notice_send"),
]
