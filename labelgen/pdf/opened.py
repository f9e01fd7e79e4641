"""Opens a PDF for its second reader, or says why it cannot be opened."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from labelgen.errors import ReadBackError

#: A label that somebody else made has no more pages than this; a book has.
MOST_PAGES = 100


@contextmanager
def open_pdf(pdf: bytes, most_pages: int | None = None) -> Iterator[Any]:
    """The pypdfium2 document of a PDF, closed afterwards.

    Raises ReadBackError when it cannot be opened, has more than ``most_pages`` pages, or a page is damaged.
    """
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(pdf)
    except pypdfium2.PdfiumError as error:
        if not pdf:
            why = "it is empty"
        elif "password" in str(error):
            why = "it is locked with a password: save it without one"
        else:
            why = "it is no PDF, or only part of one: export it again"
        raise ReadBackError(f"the PDF cannot be opened: {why}") from None
    try:
        if most_pages is not None and len(document) > most_pages:
            raise ReadBackError(
                f"the PDF has {len(document)} pages and at most {most_pages} are read: save the label's pages"
                " alone"
            )
        yield document
    except pypdfium2.PdfiumError as error:
        raise ReadBackError(
            f"a page of the PDF cannot be read, it is damaged: export it again ({error})"
        ) from None
    finally:
        document.close()
