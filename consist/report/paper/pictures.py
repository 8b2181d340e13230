"""Pictures set into written pages, as the vectors they are.

Each becomes a form of its own in the PDF (ISO 32000-1, section 8.10), which the page then draws: nothing of either is
taken apart, and the hatching of a picture shrinks with it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from itertools import groupby

from pypdf import PageObject, PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    DecodedStreamObject,
    DictionaryObject,
    FloatObject,
    IndirectObject,
    NameObject,
    StreamObject,
)

from consist.report.charts import Chart, pdf_pages

__all__ = ["Place", "with_pictures"]


@dataclass(frozen=True)
class Place:
    """Where a picture stands: its page from 1, its left and foot in points, and how wide it is."""

    chart: Chart
    page: int
    left: float
    foot: float
    wide: float


def with_pictures(pages: bytes, places: Sequence[Place]) -> bytes:
    """The PDF with each picture in its place; the same pages and pictures give the same bytes."""
    if not places:
        return pages
    drawn = PdfReader(BytesIO(pdf_pages(place.chart for place in places)))
    writer = PdfWriter(clone_from=BytesIO(pages))
    numbered = enumerate(zip(places, drawn.pages, strict=True), start=1)
    for page, there in groupby(numbered, key=lambda each: each[1][0].page):
        forms, said = {}, []
        for number, (place, picture) in there:
            name, scale = f"/Picture{number}", place.wide / place.chart.width
            forms[name] = _form(writer, picture)
            said.append(f"q {scale:.5f} 0 0 {scale:.5f} {place.left:.3f} {place.foot:.3f} cm {name} Do Q\n")
        _draw(writer, writer.pages[page - 1], forms, "".join(said))
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def _form(writer: PdfWriter, picture: PageObject) -> IndirectObject:
    """A page that is a picture as a form."""
    content = picture["/Contents"].get_object()
    if not isinstance(content, StreamObject):
        raise TypeError("a picture's page has more than one stream")
    form = content.clone(writer)
    box = ArrayObject(FloatObject(side) for side in picture.mediabox)
    form.update(
        {
            NameObject("/Type"): NameObject("/XObject"),
            NameObject("/Subtype"): NameObject("/Form"),
            NameObject("/BBox"): box,
            NameObject("/Resources"): picture["/Resources"].clone(writer),
        }
    )
    reference = form.indirect_reference
    assert reference is not None  # a clone is part of the writer
    return reference


def _draw(writer: PdfWriter, page: PageObject, forms: dict[str, IndirectObject], said: str) -> None:
    """Have a page draw forms after all else, whatever that has left changed in how it draws."""
    resources = page["/Resources"].get_object()
    assert isinstance(resources, DictionaryObject)
    resources[NameObject("/XObject")] = DictionaryObject({NameObject(name): form for name, form in forms.items()})
    around = []
    for text in ("q\n", f"\nQ\n{said}"):
        stream = DecodedStreamObject()
        stream.set_data(text.encode("ascii"))
        around.append(writer._add_object(stream))
    page[NameObject("/Contents")] = ArrayObject([around[0], page.raw_get("/Contents"), around[1]])
