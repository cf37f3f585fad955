"""Broken PDF, PNG and JPEG files through the readers: clear words, bounded memory, bounded time (2,000 with DXF's)."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from io import BytesIO
from random import Random

import pytest
from PIL import Image
from pypdf import PdfReader, PdfWriter

from tests.projects import plan_seeds as seeds
from tests.projects.reading_runner import Ran, Runner, mutated, reading_runner, run_mutations

PDF_JOB, IMAGE_JOB = "framing.projects.reading.raster.read_pdf", "framing.projects.reading.raster.read_image"
PDFS, PNGS, JPEGS = 700, 350, 350
"""1,400 in all; the rest of the 2,000 are DXF files."""


@pytest.fixture(scope="module")
def runner() -> Iterator[Runner]:
    with reading_runner(PDF_JOB, IMAGE_JOB) as running:
        yield running


def pictures_are_ours(ran: Ran, data: bytes) -> None:
    """Whatever came in, only small PNGs of the told size go out."""
    told = ran.outcome.facts.get("pictures", [])
    for blob, picture in zip(ran.outcome.blobs, told, strict=True):
        image = Image.open(BytesIO(blob))
        assert image.format == "PNG"
        assert image.size == (picture["width_px"], picture["height_px"])
        assert max(image.size) <= 4000
        image.load()


def pdf_seeds() -> list[bytes]:
    """Plain pages, several pages, packed streams with an image, a form with fields, object streams."""
    packed = PdfWriter(PdfReader(BytesIO(seeds.pdf(pages=2, box="0 0 300 200"))))
    for page in packed.pages:
        page.compress_content_streams()
    out = BytesIO()
    packed.write(out)
    image = BytesIO()
    seeds.sketch("RGB", (120, 90)).save(image, "PDF")
    field = b"<< /Type /Annot /Subtype /Widget /FT /Tx /T (a) /V (b) /Rect [10 10 90 40] /DA (/F1 9 Tf) >>"
    form = seeds.pdf(
        box="0 0 300 200",
        catalog_extra="/AcroForm << /Fields [5 0 R] >>",
        page_extra="/Annots [5 0 R]",
        more_objects=[field],
    )
    return [
        seeds.pdf(box="0 0 300 200"),
        seeds.pdf(pages=3, box="0 0 300 200"),
        out.getvalue(),
        image.getvalue(),
        form,
    ]


def png_seeds() -> list[bytes]:
    small = (160, 120)
    plain = [seeds.saved(seeds.sketch(mode, small)) for mode in ("RGB", "RGBA", "L", "LA", "P", "1")]
    deep = seeds.saved(Image.new("I;16", small, 40_000))
    moving = seeds.saved(seeds.sketch("RGB", small), save_all=True, append_images=[Image.new("RGB", small)])
    noted = seeds.png(
        64,
        64,
        chunks=seeds.png_chunk(b"tEXt", b"Comment\x00by hand")
        + seeds.png_chunk(b"gAMA", b"\x00\x00\xb1\x8f"),
    )
    return [*plain, deep, moving, noted]


def jpeg_seeds() -> list[bytes]:
    exif = Image.Exif()
    exif[0x0112] = 6
    small = (160, 120)
    kinds = [
        ("RGB", {}),
        ("L", {}),
        ("CMYK", {}),
        ("RGB", {"progressive": True}),
        ("RGB", {"exif": exif}),
        ("RGB", {"subsampling": 0}),
    ]
    return [seeds.saved(seeds.sketch(mode, small), "JPEG", **options) for mode, options in kinds]


def share(count: int, scale: float) -> int:
    return max(30, round(count * scale))


def test_every_seed_reads(runner: Runner) -> None:
    for job, files in ((PDF_JOB, pdf_seeds()), (IMAGE_JOB, png_seeds() + jpeg_seeds())):
        for number, data in enumerate(files):
            assert runner.run(job, data).outcome.state == "done", (job, number)


@pytest.mark.parametrize(
    ("job", "files", "count", "mend"),
    [
        (PDF_JOB, pdf_seeds, PDFS, None),
        (IMAGE_JOB, png_seeds, PNGS, seeds.with_right_sums),
        (IMAGE_JOB, jpeg_seeds, JPEGS, None),
    ],
    ids=["pdf", "png", "jpeg"],
)
def test_broken_files_end_in_words_within_the_limits(
    runner: Runner,
    job: str,
    files: Callable[[], list[bytes]],
    count: int,
    mend: Callable[[bytes], bytes] | None,
    scale: float,
    capsys: pytest.CaptureFixture[str],
) -> None:
    tally = run_mutations(runner, job, files(), share(count, scale), pictures_are_ours, mend)
    with capsys.disabled():
        print(f"\n{job.rpartition('.')[2]}: {tally}")  # noqa: T201  # what was measured
    assert tally.states["refused"] > 0
    assert tally.states["slow"] == 0


def test_mutations_do_change_files() -> None:
    rng, seed = Random(1), seeds.pdf()  # noqa: S311
    made = [mutated(seed, rng) for _ in range(200)]
    assert sum(data != seed for data in made) > 190
    assert len(set(made)) > 190


def test_right_sums_leave_a_whole_png_as_it_is() -> None:
    for data in png_seeds():
        assert seeds.with_right_sums(data) == data
    broken = bytearray(png_seeds()[0])
    broken[60] ^= 1
    assert Image.open(BytesIO(seeds.with_right_sums(bytes(broken)))).size == (160, 120)
