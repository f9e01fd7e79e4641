"""Any declaration on any size of label: it is refused, or nothing overlaps, is cut off or is below its
legal size.
"""

from dataclasses import replace

from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from labelgen.layout.boxes import TextBox
from labelgen.layout.label_stock import Stock, single_stock
from labelgen.layout.metrics import face
from labelgen.layout.whole_label import find_fit, lay_out_label
from labelgen.market.declaration_records import Run
from labelgen.pdf.check_label import check_label
from labelgen.pdf.complete import check_complete
from labelgen.pdf.draw import draw_pages
from tests.layout import samples

MM = 72 / 25.4
WORDS = st.text(alphabet="abcdefghijklmnopqrstuvwxyzäöüßéèñłőžšœΩ-,()[]%&/", min_size=1, max_size=18)
TEXTS = st.lists(WORDS, min_size=1, max_size=60).map(" ".join)
SHORT = st.lists(WORDS, min_size=1, max_size=6).map(" ".join)


@st.composite
def declarations(draw):
    made = draw(st.sampled_from(sorted(samples.EVERY)))
    return replace(
        samples.EVERY[made](),
        product=draw(SHORT),
        identity=draw(SHORT),
        storage=draw(st.just("") | SHORT),
        ingredients=(
            Run("Ingredients: ", bold=True),
            Run(draw(TEXTS)),
            Run(draw(WORDS), bold=True),
            Run(draw(TEXTS)),
        ),
        advisories=tuple(draw(st.lists(SHORT, max_size=3))),
        dates=tuple(draw(st.lists(SHORT, max_size=2))),
        package=draw(st.sampled_from([(), (60.0, 80.0, 20.0), (150.0, 200.0, 50.0)])),
        gtin=draw(st.sampled_from(["", "012345678905", "96385074"])),
        qr=draw(st.sampled_from(["", "https://example.org/a"])),
    )


@st.composite
def stocks(draw):
    width, height = draw(st.integers(25, 220)) * MM, draw(st.integers(25, 290)) * MM
    kind = draw(st.sampled_from(["sheet", "round", "tag", "fold"]))
    keep = draw(st.sampled_from([3.0, 5.67, 9.0]))
    if kind == "sheet":
        return replace(single_stock(width, height, keep), corner=draw(st.sampled_from([0.0, 9.0])))
    if kind == "round":
        return Stock(
            "round",
            "sheet",
            "label",
            width,
            width,
            width,
            width,
            pitch_x=width,
            pitch_y=width,
            corner=width / 2,
            round=True,
            keep=keep,
        )
    return replace(single_stock(width, height, keep), kind=kind, hole=30.0 if kind == "tag" else 0.0)


@settings(max_examples=25, deadline=None, derandomize=True, phases=(Phase.generate,))
@given(declarations(), stocks())
def test_a_label_is_sound_or_refused(declaration, stock):
    fitted = find_fit(declaration, stock)
    if fitted is None:
        return
    for one in fitted.faces:
        rules = {s.part: s.rule for s in one.statements}
        for box in (b for b in one.boxes if isinstance(b, TextBox)):
            assert box.size_pt >= rules[box.part].least_size(face(box.face)) - 1e-6
            assert stock.keep - 0.1 <= box.x and box.x + box.width <= stock.width - stock.keep + 0.1
            assert (
                box.y + box.size_pt * face(box.face).cap_height
                <= stock.face_height - max(stock.hole, stock.keep) + 0.1
            )
    assert check_label(draw_pages(fitted.faces), *fitted.faces) == ()
    assert check_complete(declaration, fitted.faces) == ()


@settings(max_examples=10, deadline=None, derandomize=True, phases=(Phase.generate,))
@given(declarations(), st.integers(70, 250))
def test_as_high_as_needed(declaration, width):
    """Every declaration finds room on a label that may be as high as it likes, unless a word is wider than
    it.
    """
    from labelgen.errors import LayoutError

    try:
        layout = lay_out_label(declaration, width * MM)
    except LayoutError as error:
        assert "choose a wider one" in str(error)
        return
    assert check_label(draw_pages([layout]), layout) == () and check_complete(declaration, [layout]) == ()
