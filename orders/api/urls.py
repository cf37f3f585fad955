"""Addresses of the orders' API."""

from django.urls import path

from orders.api import bundles, changes, deliveries, floor, line_urls, papers, release, shop_figures, views

app_name = "orders_api"

_ORDER = "orders/<str:public_id>/"
_BUNDLE = "bundles/<str:public_id>/"
_DELIVERY = "deliveries/<str:public_id>/"

urlpatterns = [
    *line_urls.PATTERNS,
    path("orders/", views.OrderListView.as_view(), name="order_list"),
    path("orders/book/", views.OrderBookView.as_view(), name="order_book"),
    path(_ORDER, views.OrderGetView.as_view(), name="order_get"),
    path(_ORDER + "checklist/", release.ChecklistView.as_view(), name="order_checklist"),
    path(_ORDER + "floors/", release.FloorsNowView.as_view(), name="order_floors_now"),
    path(_ORDER + "changes/", changes.ChangeListView.as_view(), name="change_list"),
    path(_ORDER + "changes/ask/", changes.ChangeAskView.as_view(), name="change_ask"),
    path(_ORDER + "changes/<int:number>/", changes.ChangeGetView.as_view(), name="change_get"),
    path(
        _ORDER + "changes/<int:number>/withdraw/",
        changes.ChangeWithdrawView.as_view(),
        name="change_withdraw",
    ),
    path(_ORDER + "changes/<int:number>/apply/", changes.ChangeApplyView.as_view(), name="change_apply"),
    path(_ORDER + "day/", release.DeliverOnView.as_view(), name="order_deliver_on"),
    path(_ORDER + "deposits/", release.DepositListView.as_view(), name="deposit_list"),
    path(_ORDER + "deposits/record/", release.DepositRecordView.as_view(), name="deposit_record"),
    path(
        _ORDER + "deposits/<int:deposit_id>/take-back/",
        release.DepositTakeBackView.as_view(),
        name="deposit_take_back",
    ),
    path(_ORDER + "drawings/", release.DrawingSetListView.as_view(), name="drawing_set_list"),
    path(_ORDER + "drawings/send/", release.DrawingsSendView.as_view(), name="drawings_send"),
    path(_ORDER + "drawings/record/", release.DrawingsRecordView.as_view(), name="drawings_record"),
    path(_ORDER + "approve-drawings/", views.DrawingsApproveView.as_view(), name="drawings_approve"),
    path(_ORDER + "release/", views.OrderReleaseView.as_view(), name="order_release"),
    path(_ORDER + "roll/", views.OrderRollView.as_view(), name="order_roll"),
    path(_ORDER + "bundle/", views.OrderBundleView.as_view(), name="order_bundle"),
    path(_ORDER + "close/", views.OrderCloseView.as_view(), name="order_close"),
    path(_ORDER + "hold/", views.OrderHoldView.as_view(), name="order_hold"),
    path(_ORDER + "resume/", views.OrderResumeView.as_view(), name="order_resume"),
    path(_ORDER + "cancel/", views.OrderCancelView.as_view(), name="order_cancel"),
    path(_ORDER + "bundles/", views.BundleListView.as_view(), name="bundle_list"),
    path(_ORDER + "bundles/plan/", bundles.BundlePlanView.as_view(), name="bundle_plan"),
    path(_ORDER + "bundles/edit/", bundles.BundlesEditView.as_view(), name="bundles_edit"),
    path(_ORDER + "bundles/undo/", bundles.BundlesUndoView.as_view(), name="bundles_undo"),
    path(_ORDER + "bundles/redo/", bundles.BundlesRedoView.as_view(), name="bundles_redo"),
    path(_ORDER + "deliveries/", deliveries.DeliveryMakeView.as_view(), name="delivery_make"),
    path("shop-figures/", shop_figures.ShopFiguresView.as_view(), name="shop_figures"),
    path("shop-floor/", floor.ShopFloorView.as_view(), name="shop_floor"),
    path("bundles/scan/", floor.CodeScanView.as_view(), name="code_scan"),
    path(_BUNDLE + "start/", floor.BundleStartView.as_view(), name="bundle_start"),
    path(_BUNDLE + "reopen/", floor.BundleReopenView.as_view(), name="bundle_reopen"),
    path(_BUNDLE + "weigh/", floor.BundleWeighView.as_view(), name="bundle_weigh"),
    path(_BUNDLE + "undo/", floor.TapUndoView.as_view(), name="tap_undo"),
    path(_BUNDLE + "pieces/<str:code>/scrap/", floor.PieceScrapView.as_view(), name="piece_scrap"),
    path(_BUNDLE + "pieces/<str:code>/remade/", floor.PieceRemadeView.as_view(), name="piece_remade"),
    path(_BUNDLE, views.BundleGetView.as_view(), name="bundle_get"),
    path(_BUNDLE + "finish/", views.BundleFinishView.as_view(), name="bundle_finish"),
    path("deliveries/", deliveries.DeliveryListView.as_view(), name="delivery_list"),
    path(_DELIVERY, deliveries.DeliveryGetView.as_view(), name="delivery_get"),
    path(_DELIVERY + "load/", deliveries.DeliveryLoadView.as_view(), name="delivery_load"),
    path(_DELIVERY + "deliver/", deliveries.DeliveryDeliverView.as_view(), name="delivery_deliver"),
    path(_DELIVERY + "links/", deliveries.DeliveryLinkMakeView.as_view(), name="delivery_link_make"),
    path(
        _DELIVERY + "links/<str:link_id>/withdraw/",
        deliveries.DeliveryLinkWithdrawView.as_view(),
        name="delivery_link_withdraw",
    ),
    path(_DELIVERY + "manifest/", deliveries.ManifestRequestView.as_view(), name="manifest_request"),
    path(_ORDER + "papers/", papers.OrderPapersView.as_view(), name="shop_paper_list"),
    path(_ORDER + "papers/make/", papers.ShopPaperMakeView.as_view(), name="shop_paper_make"),
    path("shop-papers/<str:public_id>/", papers.ShopPaperGetView.as_view(), name="shop_paper_get"),
    path("lines/<str:public_id>/cut-list/", papers.CutListMakeView.as_view(), name="cut_list_make"),
    path("label-stocks/", papers.LabelStockListView.as_view(), name="label_stock_list"),
    path("label-stocks/make/", papers.LabelStockMakeView.as_view(), name="label_stock_make"),
    path("label-stocks/<str:public_id>/", papers.LabelStockChangeView.as_view(), name="label_stock_change"),
    path(
        "label-stocks/<str:public_id>/choose/",
        papers.LabelStockChooseView.as_view(),
        name="label_stock_choose",
    ),
    path(
        "label-stocks/<str:public_id>/remove/",
        papers.LabelStockRemoveView.as_view(),
        name="label_stock_remove",
    ),
    path("tags/<str:code>/", papers.TaggedView.as_view(), name="tag_get"),
]
