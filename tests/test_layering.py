"""Rooms import only leftwards; only the drawing module knows the PDF library."""

import ast
from pathlib import Path

import labelgen

ROOT = Path(labelgen.__file__).parent
#: Inside the declare room: rule packs know nobody, claims may look at everything that has been declared.
GROUPS = ["law", "allergens", "statement", "nutrition", "claims"]
ROOMS = ["recipe", "composition", "formulation", "market", "layout", "pdf", "chain", "export", "ledger", "commands", "cli"]
SHARED = {"errors", "paths", "quantity", "nutrients"}


def imports(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and not node.level:
            yield node.module
            yield from (f"{node.module}.{a.name}" for a in node.names)
        elif isinstance(node, ast.Import):
            yield from (a.name for a in node.names)


def test_rooms_import_leftwards():
    wrong = []
    for path in ROOT.rglob("*.py"):
        room = path.relative_to(ROOT).parts[0].removesuffix(".py")
        if room not in ROOMS:
            continue
        for name in imports(path):
            parts = name.split(".")
            if parts[0] == "labelgen" and len(parts) > 1 and parts[1] in ROOMS and ROOMS.index(parts[1]) > ROOMS.index(room):
                wrong.append(f"{path.relative_to(ROOT)} imports {name}")
    assert not wrong


def test_groups_of_the_declare_room_import_leftwards():
    wrong = []
    for group in GROUPS:
        for path in (ROOT / "market" / group).glob("*.py"):
            for name in imports(path):
                other = name.split(".")[2] if name.startswith("labelgen.market.") else ""
                if other in GROUPS and GROUPS.index(other) > GROUPS.index(group):
                    wrong.append(f"{group}/{path.name} imports {name}")
    assert not wrong


def test_shared_modules_import_no_room():
    for name in SHARED:
        assert not [m for m in imports(ROOT / f"{name}.py") if m.split(".")[1:2] and m.split(".")[0] == "labelgen" and m.split(".")[1] in ROOMS]


def test_only_draw_imports_the_pdf_library():
    users = {str(p.relative_to(ROOT)) for p in ROOT.rglob("*.py") if any(m.split(".")[0] == "reportlab" for m in imports(p))}
    assert users <= {"pdf/draw.py"}


def test_modules_stay_small():
    assert not [p for p in ROOT.rglob("*.py") if len(p.read_text(encoding="utf-8").splitlines()) > 400]
