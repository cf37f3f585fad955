"""Pictures as telephones make them."""

from __future__ import annotations

from io import BytesIO

from PIL import Image

PLACE = b"GPS 44.6488 N 63.5752 W"


def photo(wide: int = 64, high: int = 32, turn: int = 1, form: str = "JPEG") -> bytes:
    """A picture as a telephone makes it: red above, blue below, with place, maker and turn beside it."""
    image = Image.new("RGB", (wide, high), "red")
    image.paste((0, 0, 255), (0, high // 2, wide, high))
    exif = Image.Exif()
    exif[0x0112] = turn
    exif[0x010F] = "Pocket telephone"
    exif.get_ifd(0x8825)[29] = "2026:11:29"
    exif.get_ifd(0x8825)[27] = PLACE
    out = BytesIO()
    image.save(out, form, exif=exif, comment=b"where I live") if form == "JPEG" else image.save(
        out, form, exif=exif
    )
    return out.getvalue()
