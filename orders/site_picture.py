"""A photo from the site made anew: a JPEG that holds nothing but the picture, at most 1,600 px long.

Runs in a bounded process and loads no Django. What a telephone writes beside the picture (place, time, camera,
thumbnail) is left behind.
"""

from __future__ import annotations

from io import BytesIO
from typing import Any, Final

from PIL import Image, ImageOps

from framing.common.bounded import JobRefused

LONG_MOST_PX: Final = 1600
JPEG_MOST_PX: Final = 120_000_000
WHOLE_MOST_PX: Final = 40_000_000
"""Pixels of what is unpacked whole: a PNG, a WebP, a progressive JPEG. Other JPEGs are unpacked as large as needed."""
SHORT_LEAST_PX: Final = 8
QUALITY: Final = 82
FORMATS: Final = ("JPEG", "PNG", "WEBP")
TURN_TAG: Final = 0x0112

Image.preinit()  # loads the decoders before any file is looked at
Image.MAX_IMAGE_PIXELS = None  # the size is checked here, before anything is unpacked
DAMAGED: Final = "The photo is damaged or cut short. Take it again."
STRANGE: Final = "This is no photo that can be read here. Send a JPEG, PNG or WebP picture."


def remake(data: bytes, options: dict[str, Any]) -> tuple[dict[str, Any], list[bytes]]:
    """The photo as JPEG, upright, with its size in pixels. Raises JobRefused."""
    del options
    try:
        image = _opened(data)
        out = BytesIO()
        image.save(out, "JPEG", quality=QUALITY, optimize=True)
    except (JobRefused, MemoryError):
        raise
    except Exception as error:  # decoders of damaged files raise whatever they meet
        raise JobRefused(DAMAGED) from error
    return {"width_px": image.width, "height_px": image.height}, [out.getvalue()]


def _opened(data: bytes) -> Image.Image:
    try:
        opened = Image.open(BytesIO(data), formats=FORMATS)
    except Exception as error:
        raise JobRefused(STRANGE) from error
    with opened:
        whole = opened.format != "JPEG" or bool(opened.info.get("progressive"))
        _refuse_size(WHOLE_MOST_PX if whole else JPEG_MOST_PX, *opened.size)
        turn = opened.getexif().get(TURN_TAG, 1)
        opened.draft("RGB", (LONG_MOST_PX, LONG_MOST_PX))
        opened.load()
        small: Image.Image = opened
        small.thumbnail((LONG_MOST_PX, LONG_MOST_PX), Image.Resampling.BOX)  # before a copy is made of it
        return _plain(small, turn)


def _plain(image: Image.Image, turn: Any) -> Image.Image:
    """On white, in three colours, upright, and no word of where it came from."""
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        clear = image.convert("RGBA")
        flat = Image.new("RGB", clear.size, "white")
        flat.paste(clear, mask=clear.getchannel("A"))
    else:
        flat = image.convert("RGB")
    bare = Image.frombytes("RGB", flat.size, flat.tobytes())
    if turn not in range(2, 9):
        return bare
    bare.getexif()[TURN_TAG] = turn
    upright = ImageOps.exif_transpose(bare)
    return Image.frombytes("RGB", upright.size, upright.tobytes())


def _refuse_size(most: int, width_px: int, height_px: int) -> None:
    if width_px * height_px > most:
        raise JobRefused(
            f"The photo has {width_px:,} by {height_px:,} pixels; at most {most:,} are read in all. Take it with fewer:"
            f" {LONG_MOST_PX:,} along the longer side are enough."
        )
    if min(width_px, height_px) < SHORT_LEAST_PX:
        raise JobRefused(
            f"The photo has {width_px:,} by {height_px:,} pixels; nobody sees anything on it. Take it again."
        )
