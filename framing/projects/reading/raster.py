"""Plans to trace as pictures of our own: pages of a PDF, a PNG or a JPEG.

What comes out is a PNG of grey steps or few colours, at most 4,000 px long, with nothing in it of the original but what
one sees: no name, place, profile or thumbnail. Lengths in pixels; `width_in` and `height_in` are inches of paper.
"""

from __future__ import annotations

import math
import time
from io import BytesIO
from typing import Any, Final

import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_c
from PIL import Image, ImageChops, ImageOps

from framing.common.bounded import JobRefused

LONG_MOST_PX: Final = 4000
PAGES_MOST: Final = 40
JPEG_MOST_PX: Final = 64_000_000
WHOLE_MOST_PX: Final = 40_000_000
"""Pixels of what is unpacked whole: a PNG, a progressive JPEG. Another JPEG is unpacked no larger than needed."""
SHORT_LEAST_PX: Final = 16
PICTURE_MOST: Final = 1_000_000
"""Bytes that a picture should stay under; it loses colours, then size, until it does."""
SHRUNK_LEAST_PX: Final = 1200
RUN_S: Final = 11.0
"""After so many seconds no further page is begun; `next` in the facts says where another run goes on."""
SHARP_DPI: Final = 200
POINTS_PER_IN: Final = 72
PAPER_MOST_IN: Final = 1000
TURN_TAG: Final = 0x0112
COLOUR_STEP: Final = 40
COLOUR_SHARE: Final = 0.0003
"""A picture is grey where fewer of its pixels have channels that lie further apart."""

Image.preinit()  # loads the decoders before any file is looked at
Image.MAX_IMAGE_PIXELS = None  # the size is checked here, before anything is unpacked
DAMAGED: Final = "The picture is damaged or cut short. Save it anew as PNG or JPEG, and add that."
Answer = tuple[dict[str, Any], list[bytes]]


def read_image(data: bytes, options: dict[str, Any]) -> Answer:
    """The first picture of a PNG or JPEG, turned as its camera was held. Raises JobRefused."""
    del options
    try:
        image, animated = _opened(data)
    except (JobRefused, MemoryError):
        raise
    except Exception as error:  # decoders of damaged files raise whatever they meet
        raise JobRefused(DAMAGED) from error
    blob, size = _picture(image)
    notes = ["The picture moves; its first moment was taken."] if animated else []
    return {"pages": 1, "pictures": [_told(1, size)], "notes": notes}, [blob]


def _opened(data: bytes) -> tuple[Image.Image, bool]:
    with Image.open(BytesIO(data), formats=["PNG", "JPEG"]) as opened:
        whole = opened.format == "PNG" or bool(opened.info.get("progressive"))
        _refuse_size(WHOLE_MOST_PX if whole else JPEG_MOST_PX, *opened.size)
        animated = getattr(opened, "n_frames", 1) > 1
        opened.draft("RGB", (LONG_MOST_PX, LONG_MOST_PX))
        opened.load()
        turn = opened.getexif().get(TURN_TAG, 1)
        if opened.mode in ("1", "P", "PA"):
            return _turned(_small(_on_white(opened)), turn), animated
        small = _small(opened)  # before anything else, so that no large picture is there twice
        return _turned(_on_white(_eight_bits(small)), turn), animated


def _small(image: Image.Image) -> Image.Image:
    image.thumbnail((LONG_MOST_PX, LONG_MOST_PX), Image.Resampling.BOX)
    return image


def _refuse_size(most: int, width_px: int, height_px: int) -> None:
    if width_px * height_px > most:
        raise JobRefused(
            f"The picture has {width_px:,} by {height_px:,} pixels; at most {most:,} are read in all. "
            f"Save it smaller: {LONG_MOST_PX:,} pixels along the longer side are enough to trace."
        )
    if min(width_px, height_px) < SHORT_LEAST_PX:
        raise JobRefused(
            f"The picture has {width_px:,} by {height_px:,} pixels; nobody can trace fewer than "
            f"{SHORT_LEAST_PX} in one direction. Add a larger one."
        )


def _eight_bits(image: Image.Image) -> Image.Image:
    """Deep greys brought to 256 steps; converting alone would cut off all but the darkest."""
    if image.mode.startswith("I"):
        return image.convert("I").point(lambda value: value * (1 / 256)).convert("L")
    return image


def _on_white(image: Image.Image) -> Image.Image:
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        clear = image.convert("RGBA")
        white = Image.new("RGB", clear.size, "white")
        white.paste(clear, mask=clear.getchannel("A"))
        return white
    return image.convert("L" if image.mode in ("1", "L") else "RGB")


def _turned(image: Image.Image, turn: Any) -> Image.Image:
    """As the camera was held (the eight values of the tag); an unknown value turns nothing."""
    if turn not in range(2, 9):
        return image
    image.getexif()[TURN_TAG] = turn
    return ImageOps.exif_transpose(image)


def read_pdf(data: bytes, options: dict[str, Any]) -> Answer:
    """Pages of a PDF from `options["first"]` on, at most to the 40th, as many as the time allows. Raises JobRefused."""
    began, first = time.monotonic(), int(options.get("first", 1))
    document = _document(data)
    pages = len(document)
    told, blobs, notes = [], [], _notes(pages)
    number = first
    while number <= min(pages, PAGES_MOST) and time.monotonic() - began < RUN_S:
        try:
            facts, blob = _page(document, number)
            told.append(facts)
            blobs.append(blob)
        except JobRefused as error:
            notes.append(str(error))
        number += 1
    if first == 1 and number > pages and not blobs:
        raise JobRefused(" ".join([*notes[:3], "No page can be drawn. Print it to a new PDF, and add that."]))
    more = number if number <= min(pages, PAGES_MOST) else None
    return {"pages": pages, "pictures": told, "notes": notes, "next": more}, blobs


def _document(data: bytes) -> pdfium.PdfDocument:
    try:
        document = pdfium.PdfDocument(data)
    except pdfium.PdfiumError as error:
        if error.err_code == pdfium_c.FPDF_ERR_PASSWORD and b"/Encrypt" in data:
            raise JobRefused(
                "The PDF is locked with a password. Save it without one, or print it to a new PDF, and add that."
            ) from error
        raise JobRefused(
            "The PDF is damaged or has no pages. Print it to a new PDF, and add that."
        ) from error
    kind = document.get_formtype()
    if kind == pdfium_c.FORMTYPE_XFA_FULL:
        raise JobRefused(
            "The PDF is a form whose pages are made only when it is opened. Print it to a new PDF, and add that."
        )
    if kind == pdfium_c.FORMTYPE_ACRO_FORM:
        document.init_forms()
    return document


def _notes(pages: int) -> list[str]:
    if pages <= PAGES_MOST:
        return []
    return [f"The PDF has {pages:,} pages; the first {PAGES_MOST} are taken. Split it to get the others."]


def _page(document: pdfium.PdfDocument, number: int) -> tuple[dict[str, Any], bytes]:
    """One page as a picture. Raises JobRefused naming the page."""
    try:
        page = document[number - 1]
        sizes_in = [side / POINTS_PER_IN for side in page.get_size()]
        if not all(math.isfinite(side) and 0 < side <= PAPER_MOST_IN for side in sizes_in):
            shown = " by ".join(f"{side:,.0f}" for side in sizes_in)
            raise JobRefused(
                f"Page {number} is {shown} in; at most {PAPER_MOST_IN:,} in are drawn. It was left out."
            )
        scale = min(SHARP_DPI / POINTS_PER_IN, LONG_MOST_PX / POINTS_PER_IN / max(sizes_in))
        bitmap = page.render(scale=scale * 0.9999, rev_byteorder=True)
        image = bitmap.to_pil()
        image.load()
        if min(image.size) < SHORT_LEAST_PX:
            raise JobRefused(f"Page {number} is too narrow to be traced. It was left out.")
        blob, size = _picture(image.convert("RGB"))
        page.close()
    except pdfium.PdfiumError as error:
        raise JobRefused(f"Page {number} is damaged. It was left out.") from error
    width_in, height_in = (round(side, 2) for side in sizes_in)
    return _told(number, size) | {"width_in": width_in, "height_in": height_in}, blob


def _told(number: int, size: tuple[int, int]) -> dict[str, Any]:
    return {"number": number, "width_px": size[0], "height_px": size[1]}


def _picture(image: Image.Image) -> tuple[bytes, tuple[int, int]]:
    """A PNG of the picture within its limits, and its size in pixels."""
    _small(image)
    colours = 64 if _coloured(image) else 0
    if not colours:
        image = image.convert("L")
    while True:
        blob = _png(image, colours)
        if len(blob) <= PICTURE_MOST or max(image.size) <= SHRUNK_LEAST_PX:
            return blob, image.size
        if colours > 16:
            colours = 16
        else:
            smaller = [max(SHORT_LEAST_PX, side * 3 // 4) for side in image.size]
            image = image.resize((smaller[0], smaller[1]), Image.Resampling.BOX)


def _coloured(image: Image.Image) -> bool:
    if image.mode == "L":
        return False
    red, green, blue = image.split()
    apart = ImageChops.lighter(ImageChops.difference(red, green), ImageChops.difference(green, blue))
    return sum(apart.histogram()[COLOUR_STEP:]) > COLOUR_SHARE * image.width * image.height


def _png(image: Image.Image, colours: int) -> bytes:
    """Sixteen steps of grey, or so many colours; no word about where it came from."""
    if colours:
        few = image.quantize(colours, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
        bits = 4 if colours <= 16 else 8
    else:
        few = image.point([round(value / 17) for value in range(256)]).convert("L")
        few = Image.frombytes("P", few.size, few.tobytes())
        few.putpalette([step * 17 for step in range(16) for _ in range(3)])
        bits = 4
    few.info.clear()
    out = BytesIO()
    few.save(out, "PNG", bits=bits)
    return out.getvalue()
