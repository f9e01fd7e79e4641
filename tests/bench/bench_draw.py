"""Drawing many labels against a bare loop of the same drawing calls, and the memory of long runs. Not a test.

Run: python tests/bench/bench_draw.py [LABELS]
"""

import io
import resource
import subprocess
import sys
import tempfile
import time
from datetime import date

from reportlab.pdfgen.canvas import Canvas

from labelgen import paths
from labelgen.chain import declare_product, roll_up_folder
from labelgen.layout.boxes import RuleBox, TextBox
from labelgen.layout.label_stock import stock_named
from labelgen.layout.metrics import face
from labelgen.layout.whole_label import fit_label
from labelgen.order import Order
from labelgen.pdf.draw import draw_label
from labelgen.recipe.read import read_kitchen

KITCHEN = str(paths.templates("kitchens", "demo"))


def layouts() -> list:
    """One label of each product of the demonstration kitchen, on one size of stock."""
    rolled = roll_up_folder(KITCHEN)
    stock = stock_named("letter-4")
    said = [declare_product(rolled, key, Order("us", date(2026, 11, 25))) for key in rolled.profiles]
    return [face for one in said for face in fit_label(one, stock).faces]


def calls(layout) -> list:
    """The drawing calls a label comes down to, as (method, arguments)."""
    made = []
    for box in layout.boxes:
        if isinstance(box, TextBox):
            made += [
                ("setFont", (face(box.face).postscript_name, box.size_pt)),
                ("drawString", (box.x, box.y, box.text)),
            ]
        elif isinstance(box, RuleBox):
            made += [("setLineWidth", (box.thickness,)), ("line", (box.x1, box.y1, box.x2, box.y2))]
        else:
            made.append(("rect", (box.x, box.y, box.width, box.height, 0, 1)))
    return made


def bare(size, made) -> bytes:
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=size, invariant=1, initialFontName=face("regular").postscript_name)
    for name, arguments in made:
        getattr(canvas, name)(*arguments)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def peak(*arguments: str) -> tuple[float, float]:
    """(MB, seconds) of a whole process, measured in a process of its own."""
    program = (
        "import resource, subprocess, sys, time; t = time.perf_counter(); "
        "subprocess.run([sys.executable, *sys.argv[1:]], check=True, stdout=subprocess.DEVNULL); "
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024, time.perf_counter() - t)"
    )
    said = subprocess.run(
        [sys.executable, "-c", program, *arguments], check=True, capture_output=True, text=True
    ).stdout
    megabytes, seconds = map(float, said.split())
    return megabytes, seconds


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    every = layouts()
    made = [((one.width_pt, one.height_pt), calls(one)) for one in every]
    draw_label(every[0])
    ours = theirs = 0.0
    for n in range(count):
        k = n % len(every)
        start = time.perf_counter()
        draw_label(every[k])
        middle = time.perf_counter()
        bare(*made[k])
        ours, theirs = ours + middle - start, theirs + time.perf_counter() - middle
    print(
        f"{count} labels, a PDF each: {ours:.1f} s, {count / ours:.0f} a second; the bare loop {theirs:.1f} s"
    )
    print(f"speed against the bare loop: {theirs / ours:.0%} (goal 60 %)")
    print(
        f"memory after drawing them: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB"
        " (goal 200 MB)"
    )
    with tempfile.TemporaryDirectory() as out:
        run = (
            "-m",
            "labelgen",
            "label",
            "--kitchen",
            KITCHEN,
            "--stock",
            "letter-4",
            "--out",
            out,
            "--json",
        )
        one, took = peak(*run, "oat-thins", "--copies", str(count))
        print(f"{count} copies of one label on sheets, read back, whole process: {one:.0f} MB, {took:.1f} s")
        products = list(read_kitchen(KITCHEN)[0].products)
        each = count // len(products)
        for workers in ("1", "2"):
            many, took = peak(*run, *products, "--copies", str(each), "--workers", workers)
            print(
                f"{len(products)} products x {each} copies, {workers} process(es): largest {many:.0f} MB,"
                f" {took:.1f} s"
            )


if __name__ == "__main__":
    main()
