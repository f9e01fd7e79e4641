"""A PDF built to exhaust the machine, or to break its reader, costs no more than a refusal."""

from __future__ import annotations

import zlib

import pytest

from labelgen.cli import main
from labelgen.errors import ReadBackError
from labelgen.pdf import apart
from labelgen.pdf.label_words import read_words
from labelgen.pdf.opened import MOST_PAGES
from labelgen.pdf.second import read_upright

FONT = b"/Font<</F<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>>>"


def as_pdf(*objects: bytes) -> bytes:
    out, places = b"%PDF-1.7\n", []
    for number, body in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%b\nendobj\n" % (number, body)
    table = b"".join(b"%010d 00000 n \n" % at for at in places)
    head = b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    tail = b"trailer <</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF" % (len(objects) + 1, len(out))
    return out + head + table + tail


def stream(words: bytes, entries: bytes = b"") -> bytes:
    return b"<<%b/Length %d>>stream\n%b\nendstream" % (entries, len(words), words)


def one_page(content: bytes, *forms: bytes, pages: int = 1) -> bytes:
    """A page whose resources hold the first of the forms, numbered from 5, as X."""
    page = (
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 300 300]/Contents 4 0 R"
        b"/Resources<<%b/XObject<</X 5 0 R>>>>>>" % FONT
    )
    kids = b"<</Type/Pages/Kids[%b]/Count %d>>" % (b"3 0 R " * pages, pages)
    return as_pdf(b"<</Type/Catalog/Pages 2 0 R>>", kids, page, content, *forms)


def form(content: bytes, draws: int) -> bytes:
    resources = b"/Resources<<%b/XObject<</X %d 0 R>>>>" % (FONT, draws)
    return stream(content, b"/Type/XObject/Subtype/Form/BBox[0 0 300 300]" + resources)


def deflated_twice(megabytes: int) -> bytes:
    once = zlib.compressobj(9)
    parts = [once.compress(b" " * 2**20) for _ in range(megabytes)]
    return zlib.compress(b"".join((*parts, once.flush())), 9)


MILK = b"BT /F 9 Tf 10 10 Td (milk) Tj ET"
DRAWS_ITSELF = one_page(stream(b"/X Do " + MILK), form(b"/X Do /X Do", 5))
DOUBLED = one_page(stream(b"/X Do"), *(form(b"/X Do /X Do" if n < 29 else MILK, n + 1) for n in range(5, 30)))
SWELLS = one_page(stream(deflated_twice(1900), b"/Filter[/FlateDecode/FlateDecode]"))


def test_a_plain_label_is_read_the_same_apart():
    pdf = one_page(stream(MILK), form(b"", 5))
    assert apart.read_apart(read_words, pdf) == read_words(pdf)
    assert apart.read_apart(read_words, pdf).text == "milk"


@pytest.mark.parametrize("pdf", [DRAWS_ITSELF, DOUBLED, SWELLS], ids=["draws itself", "doubled", "swells"])
def test_a_small_file_that_grows_without_end_is_refused(monkeypatch, pdf):
    assert len(pdf) < 10_000
    monkeypatch.setattr(apart, "PROCESSOR_SECONDS", 2)
    monkeypatch.setattr(apart, "MEMORY", 200 * 2**20)
    with pytest.raises(ReadBackError, match="could not be read safely.*print it to a new PDF"):
        apart.read_apart(read_words, pdf)


@pytest.mark.parametrize(
    "function, given, why",
    [
        (sum, (range(10**12),), "takes too long"),
        (bytes, (10**12,), "wants too much memory"),
        (int, ("milk",), "breaks its reader"),
    ],
)
def test_it_is_said_why_a_file_is_not_read(monkeypatch, function, given, why):
    monkeypatch.setattr(apart, "PROCESSOR_SECONDS", 1)
    with pytest.raises(ReadBackError, match=why):
        apart.read_apart(function, *given)


def test_waiting_has_an_end_too(monkeypatch):
    from time import sleep

    monkeypatch.setattr(apart, "WAIT_SECONDS", 0.5)
    with pytest.raises(ReadBackError, match="takes too long"):
        apart.read_apart(sleep, 60)


def test_what_the_reader_says_itself_is_said():
    for pdf, said in ((b"", "it is empty"), (b"milk, eggs", "it is no PDF")):
        with pytest.raises(ReadBackError, match=said):
            apart.read_apart(read_words, pdf)


def test_a_book_is_no_label():
    book = one_page(stream(MILK), form(b"", 5), pages=MOST_PAGES + 1)
    for read in (read_words, read_upright):
        with pytest.raises(ReadBackError, match=f"has {MOST_PAGES + 1} pages"):
            read(book)


def test_the_commands_read_so(tmp_path, capsys):
    file = tmp_path / "label.pdf"
    file.write_bytes(b"milk, eggs")
    assert main(["allergens", "--pdf", str(file)]) == 2
    said = capsys.readouterr()
    assert "NOT READ" in said.err and "--text" in said.err and "none found" not in said.out
