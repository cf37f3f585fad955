"""Plans for tests, all drawn here: PDFs written by hand so that each byte is known, pictures by the imaging library."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from typing import Any

from PIL import Image, ImageDraw

from framing.common import bounded
from framing.common.bounded import Outcome


def pdf(
    pages: int = 1,
    *,
    box: str = "0 0 792 612",
    drawing: bytes = b"2 w 72 72 648 468 re S",
    more_objects: list[bytes] | None = None,
    page_extra: str = "",
    catalog_extra: str = "",
    trailer_extra: str = "",
) -> bytes:
    """A PDF with a line drawing on each page; `more_objects` follow as objects 4 + pages and up."""
    kids = " ".join(f"{4 + number} 0 R" for number in range(pages))
    objects = [
        f"<< /Type /Catalog /Pages 2 0 R {catalog_extra} >>".encode(),
        f"<< /Type /Pages /Kids [{kids}] /Count {pages} >>".encode(),
        b"<< /Length %d >>\nstream\n%s\nendstream" % (len(drawing), drawing),
    ]
    page = f"<< /Type /Page /Parent 2 0 R /MediaBox [{box}] /Contents 3 0 R /Resources << >> {page_extra} >>"
    objects += [page.encode()] * pages
    objects += more_objects or []
    return pdf_of(objects, trailer_extra)


def pdf_of(objects: list[bytes], trailer_extra: str = "") -> bytes:
    """A PDF of numbered objects, the first its catalogue, with a right cross-reference table."""
    out, places = BytesIO(), []
    out.write(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
    for number, content in enumerate(objects, 1):
        places.append(out.tell())
        out.write(b"%d 0 obj\n%s\nendobj\n" % (number, content))
    table = out.tell()
    out.write(b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1))
    out.write(b"".join(b"%010d 00000 n \n" % place for place in places))
    trailer = (
        f"trailer\n<< /Size {len(objects) + 1} /Root 1 0 R {trailer_extra} >>\nstartxref\n{table}\n%%EOF\n"
    )
    out.write(trailer.encode())
    return out.getvalue()


def sketch(mode: str = "RGB", size: tuple[int, int] = (640, 480)) -> Image.Image:
    """A white sheet with a black frame whose upper left corner has a filled square, to see how it is turned."""
    image = Image.new("RGB", size, "white")
    draw = ImageDraw.Draw(image)
    width, height = size
    draw.rectangle(
        (width // 20, height // 20, width - width // 20, height - height // 20), outline="black", width=3
    )
    draw.rectangle((width // 20, height // 20, width // 4, height // 4), fill="black")
    return image.convert(mode)


def saved(image: Image.Image, kind: str = "PNG", **options: Any) -> bytes:
    out = BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def png_chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def png(width: int, height: int, *, chunks: bytes = b"", rows: bytes | None = None, kind: int = 0) -> bytes:
    """A grey 8-bit PNG that says to be of a size, whatever `rows` hold (compressed here); more chunks before them."""
    head = struct.pack(">IIBBBBB", width, height, 8, kind, 0, 0, 0)
    data = zlib.compress(rows if rows is not None else (b"\x00" + b"\xff" * width) * height, 9)
    return b"".join(
        [
            b"\x89PNG\r\n\x1a\n",
            png_chunk(b"IHDR", head),
            chunks,
            png_chunk(b"IDAT", data),
            png_chunk(b"IEND", b""),
        ]
    )


def with_right_sums(data: bytes) -> bytes:
    """A broken PNG whose chunks carry right check sums again, so that its decoder looks inside; as far as they go."""
    out, at = [data[:8]], 8
    while at + 12 <= len(data):
        (size,) = struct.unpack_from(">I", data, at)
        name, inside = data[at + 4 : at + 8], data[at + 8 : at + 8 + size]
        if len(inside) < size:
            break
        out.append(png_chunk(name, inside))
        at += size + 12
    return b"".join([*out, data[at:]])


def read_here(job: str, data: bytes, options: dict[str, Any]) -> Outcome:
    """In place of the bounded process, where a test is not about it: half a second less."""
    return bounded._outcome(bounded.answer_of(job, data, options))
