"""Pages and pictures as pictures of our own: sizes, turns, depths, colours, and what is refused before unpacking."""

from __future__ import annotations

import time
import zlib
from io import BytesIO
from typing import Any

import pytest
from PIL import Image, ImageFile
from pypdf import PdfReader, PdfWriter

from framing.common.bounded import JobRefused, Outcome, run_bounded
from framing.projects.reading import raster
from framing.projects.reading.raster import PICTURE_MOST, read_image, read_pdf
from tests.projects import plan_seeds as seeds

JOB = "framing.projects.reading.raster."


def picture(blob: bytes) -> Image.Image:
    image = Image.open(BytesIO(blob))
    image.load()
    return image


def darkest_corner(blob: bytes) -> str:
    """Which corner of a sketch holds its filled square."""
    image = picture(blob).convert("L")
    w, h = image.size
    spots = {
        f"{up} {side}": (int(across * w), int(down * h))
        for up, down in (("upper", 0.15), ("lower", 0.85))
        for side, across in (("left", 0.15), ("right", 0.85))
    }
    return min(spots, key=lambda name: image.getpixel(spots[name]))


# --- pictures ---


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "L", "LA", "P", "1"])
def test_a_png_of_any_mode_reads(mode: str) -> None:
    facts, (blob,) = read_image(seeds.saved(seeds.sketch(mode)), {})
    assert facts["pictures"] == [{"number": 1, "width_px": 640, "height_px": 480}]
    assert picture(blob).size == (640, 480)
    assert darkest_corner(blob) == "upper left"


@pytest.mark.parametrize("mode", ["RGB", "L", "CMYK"])
def test_a_jpeg_of_any_mode_reads(mode: str) -> None:
    _, (blob,) = read_image(seeds.saved(seeds.sketch(mode), "JPEG"), {})
    assert darkest_corner(blob) == "upper left"
    assert picture(blob).convert("L").getpixel((320, 240)) > 240, "the sheet is white"


def test_sixteen_bits_keep_their_greys() -> None:
    row = b"".join((x * 65535 // 199).to_bytes(2, "little") for x in range(200))
    deep = Image.frombytes("I;16", (200, 100), row * 100)
    _, (blob,) = read_image(seeds.saved(deep), {})
    greys = [picture(blob).convert("L").getpixel((x, 50)) for x in (0, 50, 100, 150, 199)]
    assert greys == pytest.approx([0, 64, 128, 191, 255], abs=9)


@pytest.mark.parametrize(
    ("turn", "corner", "size"),
    [
        (1, "upper left", (640, 480)),
        (2, "upper right", (640, 480)),
        (3, "lower right", (640, 480)),
        (4, "lower left", (640, 480)),
        (5, "upper left", (480, 640)),
        (6, "upper right", (480, 640)),
        (7, "lower right", (480, 640)),
        (8, "lower left", (480, 640)),
        (77, "upper left", (640, 480)),
    ],
)
def test_a_photograph_is_turned_as_the_camera_was_held(turn: int, corner: str, size: tuple[int, int]) -> None:
    exif = Image.Exif()
    exif[0x0112] = turn
    _, (blob,) = read_image(seeds.saved(seeds.sketch(), "JPEG", exif=exif), {})
    assert picture(blob).size == size
    assert darkest_corner(blob) == corner


def test_clear_parts_are_white_and_moving_pictures_give_their_first_moment() -> None:
    clear = Image.new("RGBA", (64, 64), (0, 0, 0, 0))
    _, (blob,) = read_image(seeds.saved(clear), {})
    assert picture(blob).convert("L").getextrema() == (255, 255)
    moving = seeds.saved(seeds.sketch(), save_all=True, append_images=[Image.new("RGB", (640, 480), "black")])
    facts, (blob,) = read_image(moving, {})
    assert facts["notes"] == ["The picture moves; its first moment was taken."]
    assert darkest_corner(blob) == "upper left"


def test_nothing_of_the_original_but_what_one_sees_comes_out() -> None:
    exif = Image.Exif()
    exif[0x010E] = "SECRET place"
    data = seeds.saved(
        seeds.sketch(), "JPEG", exif=exif, comment=b"SECRET word", icc_profile=b"SECRET profile" * 20
    )
    assert data.count(b"SECRET") > 20
    _, (blob,) = read_image(data, {})
    assert b"SECRET" not in blob
    chunks, at = [], 8
    while at < len(blob):
        size = int.from_bytes(blob[at : at + 4], "big")
        chunks.append(blob[at + 4 : at + 8])
        at += size + 12
    assert set(chunks) == {b"IHDR", b"PLTE", b"IDAT", b"IEND"}


def test_a_large_picture_becomes_4000_px_long_and_a_line_drawing_stays_small() -> None:
    facts, (blob,) = read_image(seeds.saved(seeds.sketch("L", (6000, 4500))), {})
    assert facts["pictures"][0] == {"number": 1, "width_px": 4000, "height_px": 3000}
    assert len(blob) < 60_000


def test_a_noisy_photograph_is_made_smaller_until_it_is_under_its_size() -> None:
    noise = Image.effect_noise((3000, 2000), 90)
    facts, (blob,) = read_image(seeds.saved(noise, "JPEG"), {})
    assert len(blob) <= PICTURE_MOST
    shown = facts["pictures"][0]
    assert picture(blob).size == (shown["width_px"], shown["height_px"])
    assert shown["width_px"] / shown["height_px"] == pytest.approx(1.5, abs=0.01)


def test_colours_stay_where_there_are_some() -> None:
    coloured = seeds.sketch()
    coloured.paste((200, 30, 30), (300, 200, 500, 230))
    _, (blob,) = read_image(seeds.saved(coloured), {})
    red, green, _ = picture(blob).convert("RGB").getpixel((400, 215))
    assert red - green > 120


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (seeds.saved(seeds.sketch())[:-200], "damaged or cut short"),
        (b"\x89PNG\r\n\x1a\nnothing of the kind", "damaged or cut short"),
        (b"\xff\xd8\xff\xe0 no picture", "damaged or cut short"),
        (seeds.saved(Image.new("L", (1, 1))), "1 by 1 pixels"),
        (seeds.saved(Image.new("L", (15, 400))), "fewer than 16"),
    ],
)
def test_what_is_no_picture_to_trace_is_refused_in_words(
    data: bytes, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The PDF library lets cut pictures pass in its process; the reader's own process never loads it.
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", False)
    with pytest.raises(JobRefused, match=words):
        read_image(data, {})


# --- PDF ---


def test_a_page_is_drawn_at_200_dots_an_inch_and_told_in_inches() -> None:
    facts, (blob,) = read_pdf(seeds.pdf(), {})
    assert facts["pages"] == 1
    (told,) = facts["pictures"]
    assert (told["width_in"], told["height_in"]) == (11.0, 8.5)
    assert told["width_px"] == pytest.approx(2200, abs=1)
    image = picture(blob).convert("L")
    assert image.getpixel((200, 850)) < 80, "the left line stands 1 in from the edge"
    assert image.getpixel((100, 850)) == 255


def test_a_large_sheet_is_4000_px_long_and_a_turned_page_is_drawn_turned() -> None:
    facts, _ = read_pdf(seeds.pdf(box="0 0 2592 1728"), {})
    assert (facts["pictures"][0]["width_px"], facts["pictures"][0]["height_px"]) == (4000, 2667)
    facts, _ = read_pdf(seeds.pdf(page_extra="/Rotate 90"), {})
    assert facts["pictures"][0]["width_px"] < facts["pictures"][0]["height_px"]


def test_of_a_hundred_pages_forty_are_taken_and_it_says_so() -> None:
    found = read_all(seeds.pdf(pages=100, box="0 0 200 200"))
    assert [told["number"] for told in found["pictures"]] == list(range(1, 41))
    assert found["notes"] == ["The PDF has 100 pages; the first 40 are taken. Split it to get the others."]


def read_all(data: bytes) -> dict[str, Any]:
    facts, blobs = read_pdf(data, {})
    assert len(blobs) == len(facts["pictures"])
    assert facts["next"] is None
    return facts


def test_a_run_that_is_out_of_time_says_where_to_go_on(monkeypatch: pytest.MonkeyPatch) -> None:
    moments = iter(range(0, 1000, 5))
    monkeypatch.setattr(raster.time, "monotonic", lambda: next(moments))
    data = seeds.pdf(pages=5, box="0 0 200 200")
    facts, blobs = read_pdf(data, {})
    assert [told["number"] for told in facts["pictures"]] == [1, 2]
    assert (facts["next"], len(blobs)) == (3, 2)
    facts, _ = read_pdf(data, {"first": 3})
    assert [told["number"] for told in facts["pictures"]] == [3, 4]


def test_ten_thousand_pages_are_no_more_work_than_forty() -> None:
    began = time.monotonic()
    facts = read_all(seeds.pdf(pages=10_000, box="0 0 100 100"))
    assert (facts["pages"], len(facts["pictures"])) == (10_000, 40)
    assert time.monotonic() - began < 5


def locked_pdf() -> bytes:
    writer, out = PdfWriter(PdfReader(BytesIO(seeds.pdf()))), BytesIO()
    writer.encrypt("only for those who know", algorithm="RC4-128")
    writer.write(out)
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (locked_pdf(), "locked with a password"),
        (seeds.pdf(pages=0), "damaged or has no pages"),
        (b"%PDF-1.7\nnothing more", "is damaged or has"),
        (
            seeds.pdf(
                catalog_extra="/AcroForm << /XFA 5 0 R /Fields [] >> /NeedsRendering true",
                more_objects=[b"<< /Length 11 >>\nstream\n<xdp></xdp>\nendstream"],
            ),
            "made only when it is opened",
        ),
        (seeds.pdf(box="0 0 1000000 1000000"), "at most 1,000 in"),
        (seeds.pdf(box="0 0 792 1"), "too narrow"),
    ],
)
def test_what_is_no_plan_to_trace_is_refused_with_what_to_do(data: bytes, words: str) -> None:
    with pytest.raises(JobRefused, match=words):
        read_pdf(data, {})


def test_one_broken_page_leaves_the_others() -> None:
    data = seeds.pdf(pages=3, box="0 0 200 200")
    cut = data.replace(b"/MediaBox [0 0 200 200]", b"/MediaBox [0 0 900 90000000]", 1)
    assert cut != data
    facts = read_all(cut)
    assert [told["number"] for told in facts["pictures"]] == [2, 3]
    assert "Page 1 is" in facts["notes"][0]


# --- bombs, each in the bounded process (B17) ---


def run(job: str, data: bytes) -> tuple[Outcome, float]:
    began = time.monotonic()
    return run_bounded(JOB + job, data), time.monotonic() - began


def png_bomb() -> bytes:
    """200 megapixels of white in some kilobytes."""
    return seeds.png(16_000, 12_500, rows=(b"\x00" + b"\xff" * 16_000) * 12_500)


def deep_pdf() -> bytes:
    """Page trees nested 20,000 deep."""
    depth = 20_000
    objects = [b"<< /Type /Catalog /Pages 2 0 R >>"]
    objects += [b"<< /Type /Pages /Kids [%d 0 R] /Count 1 >>" % (number + 3) for number in range(depth)]
    objects.append(b"<< /Type /Page /MediaBox [0 0 200 200] >>")
    return seeds.pdf_of(objects)


def self_pdf() -> bytes:
    """A page tree that holds itself, and a form that draws itself."""
    form = b"<< /Type /XObject /Subtype /Form /BBox [0 0 9 9] /Resources << /XObject << /A 5 0 R >> >> /Length 5 >>\nstream\n/A Do\nendstream"  # noqa: E501
    return seeds.pdf(drawing=b"/A Do", more_objects=[form]).replace(
        b"/Resources << >>", b"/Resources << /XObject << /A 5 0 R >> >>"
    )


def nested_arrays_pdf() -> bytes:
    return seeds.pdf(page_extra=f"/Deep {'[' * 100_000}{']' * 100_000}")


def image_pdf(width: int, height: int) -> bytes:
    """A page with an image that says to be huge, its bytes a small compressed run of zeros."""
    packed = zlib.compress(b"\x00" * 50_000_000, 9)
    head = f"<< /Type /XObject /Subtype /Image /Width {width} /Height {height} /ColorSpace /DeviceRGB /BitsPerComponent 8 /Filter /FlateDecode /Length {len(packed)} >>"  # noqa: E501
    image = head.encode() + b"\nstream\n" + packed + b"\nendstream"
    return seeds.pdf(drawing=b"q 700 0 0 500 40 40 cm /A Do Q", more_objects=[image]).replace(
        b"/Resources << >>", b"/Resources << /XObject << /A 5 0 R >> >>"
    )


def twice_packed_pdf() -> bytes:
    """A drawing packed twice: a few kilobytes for 400 MB of strokes."""
    packed = zlib.compress(zlib.compress(b"0 0 m 9 9 l S\n" * 30_000_000, 9), 9)
    content = b"<< /Filter [/FlateDecode /FlateDecode] /Length %d >>\nstream\n%s\nendstream" % (
        len(packed),
        packed,
    )
    return seeds.pdf(more_objects=[content]).replace(b"/Contents 3 0 R", b"/Contents 5 0 R")


def nested_forms_pdf() -> bytes:
    """Six forms, each of which draws the next thirty times: 700 million strokes in a few kilobytes."""
    forms = []
    for level in range(6):
        body = (b"0 0 m 9 9 l S\n" if level == 5 else b"/A Do\n") * 30
        inside = b"<< >>" if level == 5 else b"<< /XObject << /A %d 0 R >> >>" % (6 + level)
        head = b"<< /Type /XObject /Subtype /Form /BBox [0 0 792 612] /Resources %s /Length %d >>"
        forms.append(head % (inside, len(body)) + b"\nstream\n" + body + b"\nendstream")
    page = seeds.pdf(drawing=b"/A Do", more_objects=forms)
    return page.replace(b"/Resources << >>", b"/Resources << /XObject << /A 5 0 R >> >>", 1)


@pytest.mark.parametrize(
    ("job", "data", "words"),
    [
        ("read_image", png_bomb, "16,000 by 12,500 pixels"),
        ("read_image", lambda: seeds.png(10**6, 10**6, rows=b"\x00" * 1000), "1,000,000 by 1,000,000 pixels"),
        ("read_image", lambda: seeds.png(2**31 - 1, 2**31 - 1, rows=b""), "pixels"),
        (
            "read_image",
            lambda: seeds.png(
                64,
                64,
                chunks=seeds.png_chunk(b"zTXt", b"a\x00\x00" + zlib.compress(b"\x00" * 300_000_000, 9)) * 3,
            ),
            "",
        ),
        (
            "read_image",
            lambda: seeds.png(
                64,
                64,
                chunks=seeds.png_chunk(b"iCCP", b"a\x00\x00" + zlib.compress(b"\x00" * 300_000_000, 9)),
            ),
            "",
        ),
        ("read_image", lambda: seeds.png(64, 64, rows=b"\x00" * 300_000_000), ""),
        ("read_pdf", deep_pdf, ""),
        ("read_pdf", self_pdf, ""),
        ("read_pdf", nested_arrays_pdf, ""),
        ("read_pdf", lambda: image_pdf(10**6, 10**6), ""),
        ("read_pdf", lambda: image_pdf(20_000, 20_000), ""),
        ("read_pdf", twice_packed_pdf, ""),
    ],
)
def test_bombs_do_not_go_off(job: str, data: Any, words: str) -> None:
    """Each ends within five seconds with a picture or with words; the memory is bounded by the process itself."""
    outcome, seconds = run(job, data())
    assert seconds < 5
    if outcome.state == "done":
        assert words == ""
        assert len(outcome.blobs) == len(outcome.facts["pictures"])
    else:
        assert words in outcome.words
        assert len(outcome.words) > 40


def test_endless_work_is_stopped_in_words() -> None:
    """By time or by memory, whichever is used up first."""
    outcome, seconds = run("read_pdf", nested_forms_pdf())
    assert outcome.state in ("slow", "big", "died")
    assert len(outcome.words) > 40
    assert seconds < 21
