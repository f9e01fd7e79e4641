"""What every market's drawn panels are asked alike."""

from labelgen.layout.boxes import Block, PageLayout, TextBox
from labelgen.pdf.check_label import check_label
from labelgen.pdf.draw import draw_label


def assert_reads_back(block: Block, name: str) -> None:
    whole = PageLayout(block.width, block.height, block.boxes, block.statements, name)
    assert check_label(draw_label(whole), whole) == ()


def texts_of(block: Block) -> list[TextBox]:
    return [b for b in block.boxes if isinstance(b, TextBox)]
