"""Writes of orders, bundles and deliveries. A verb is one transaction: lock, right, stage, change, audit."""

from orders.services.booking import order_book
from orders.services.bundles import bundles_edit, bundles_redo, bundles_undo
from orders.services.change_overs import change_over_set, change_overs_set
from orders.services.changes import change_apply, change_ask, change_withdraw
from orders.services.claim_ends import claim_credit, claim_reject, claim_replace, claims_replaced
from orders.services.claims import claim_from_receipt, claim_open, pieces_by_mark
from orders.services.company_trucks import truck_retire, truck_save
from orders.services.deliveries import (
    PLANNED_AT,
    delivery_deliver,
    delivery_link_make,
    delivery_link_withdraw,
    delivery_load,
    delivery_make,
    load_loaded,
    manifest_request,
)
from orders.services.delivery_changes import (
    delivery_change,
    delivery_drop,
    delivery_move_things,
    delivery_reschedule,
)
from orders.services.delivery_feeds import feed_make, feed_withdraw
from orders.services.delivery_told import feed_read
from orders.services.deposits import deposit_record, deposit_take_back
from orders.services.drawing_answers import drawings_answer, drawings_approve, drawings_record
from orders.services.drawings import drawings_send
from orders.services.handovers import stop_arrive, stop_unload, trip_link_make, trip_link_withdraw
from orders.services.invoice_files import invoice_export
from orders.services.line_pins import bundle_pin, bundle_unpin, coil_count
from orders.services.line_plans import (
    line_plan_ask,
    line_plan_make,
    line_plan_refuse,
    line_plan_rush,
    line_plan_stop,
    line_plan_take,
)
from orders.services.line_setup import (
    closure_add,
    closure_remove,
    line_save,
    line_settings_save,
)
from orders.services.notice_again import notice_resend, notice_resend_all, notice_send
from orders.services.notices import notice_choose
from orders.services.papers import cut_list_make, shop_paper_make
from orders.services.release import order_deliver_on, order_release
from orders.services.scanning import Scanned, code_scan, piece_of_bundle
from orders.services.shop import (
    bundle_finish,
    bundle_reopen,
    bundle_start,
    bundle_weigh,
    order_bundle,
    order_roll,
)
from orders.services.shop_pieces import piece_remade, piece_scrap
from orders.services.shop_undo import tap_undo
from orders.services.stocks import stock_change, stock_choose, stock_make, stock_remove
from orders.services.stops import order_cancel, order_close, order_hold, order_resume
from orders.services.taps import Tap

__all__ = [
    "PLANNED_AT",
    "Scanned",
    "Tap",
    "bundle_finish",
    "bundle_pin",
    "bundle_reopen",
    "bundle_start",
    "bundle_unpin",
    "bundle_weigh",
    "bundles_edit",
    "bundles_redo",
    "bundles_undo",
    "change_apply",
    "change_ask",
    "change_over_set",
    "change_overs_set",
    "change_withdraw",
    "claim_credit",
    "claim_from_receipt",
    "claim_open",
    "claim_reject",
    "claim_replace",
    "claims_replaced",
    "closure_add",
    "closure_remove",
    "code_scan",
    "coil_count",
    "cut_list_make",
    "delivery_change",
    "delivery_deliver",
    "delivery_drop",
    "delivery_link_make",
    "delivery_link_withdraw",
    "delivery_load",
    "delivery_make",
    "delivery_move_things",
    "delivery_reschedule",
    "deposit_record",
    "deposit_take_back",
    "drawings_answer",
    "drawings_approve",
    "drawings_record",
    "drawings_send",
    "feed_make",
    "feed_read",
    "feed_withdraw",
    "invoice_export",
    "line_plan_ask",
    "line_plan_make",
    "line_plan_refuse",
    "line_plan_rush",
    "line_plan_stop",
    "line_plan_take",
    "line_save",
    "line_settings_save",
    "load_loaded",
    "manifest_request",
    "notice_choose",
    "notice_resend",
    "notice_resend_all",
    "notice_send",
    "order_book",
    "order_bundle",
    "order_cancel",
    "order_close",
    "order_deliver_on",
    "order_hold",
    "order_release",
    "order_resume",
    "order_roll",
    "piece_of_bundle",
    "piece_remade",
    "piece_scrap",
    "pieces_by_mark",
    "shop_paper_make",
    "stock_change",
    "stock_choose",
    "stock_make",
    "stock_remove",
    "stop_arrive",
    "stop_unload",
    "tap_undo",
    "trip_link_make",
    "trip_link_withdraw",
    "truck_retire",
    "truck_save",
]
