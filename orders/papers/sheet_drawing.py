"""A label sheet as a drawing: the page, its labels with their numbers, and the sizes that were typed."""

from __future__ import annotations

from framing.drawing.paper import Box, Spot
from framing.drawing.svg import Canvas
from orders.papers.facts import Stock
from orders.papers.sheets import spot_of
from orders.papers.sizes import size_words

_TALL = 150.0
_EDGE = 8.0
_WORDS = 4.0


def stock_drawing(stock: Stock, name: str) -> str:
    """The sheet as SVG, scaled so that its longer side fits the drawing; labels are numbered as they are used."""
    scale = (_TALL - 2 * _EDGE) / max(stock.page_width, stock.page_height) * 10
    wide, high = stock.page_width / 10 * scale, stock.page_height / 10 * scale
    canvas = Canvas()
    canvas.open("dw-frame")
    canvas.rect(Box(_EDGE, _EDGE, _EDGE + wide, _EDGE + high))
    canvas.close()
    canvas.open("dw-joist")
    for number in range(1, stock.on_a_page + 1):
        _, left, top = spot_of(stock, number)
        x, y = _EDGE + left * scale, _EDGE + top * scale
        canvas.rect(Box(x, y, x + stock.wide * scale, y + stock.high * scale), {"rx": 0.8})
    canvas.close()
    size = min(6.0, stock.high * scale * 0.5, stock.wide * scale * 0.3)
    for number in range(1, stock.on_a_page + 1):
        _, left, top = spot_of(stock, number)
        middle = Spot(
            _EDGE + (left + stock.wide / 2) * scale,
            _EDGE + (top + stock.high / 2) * scale,
        )
        canvas.text(str(number), middle, size, "dw-text", mono=True)
    page = f"{size_words(stock.page_width)} wide"
    canvas.text(page, Spot(_EDGE + wide / 2, _EDGE / 2), _WORDS, "dw-dim-text")
    tall = f"{size_words(stock.page_height)} high"
    canvas.text(tall, Spot(_EDGE + wide + _EDGE / 2, _EDGE + high / 2), _WORDS, "dw-dim-text", turned=True)
    words = (
        f"Page {page}, {tall}: {stock.columns} across and {stock.rows} down, "
        f"each {size_words(stock.label_width)} by {size_words(stock.label_height)}."
    )
    return canvas.finish(wide + 2 * _EDGE, high + 2 * _EDGE, name, words, "dw-stock")
