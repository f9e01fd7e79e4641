"""Rooms import only leftwards; only the drawing module knows the PDF library."""

import ast
from pathlib import Path

import labelgen

ROOT = Path(labelgen.__file__).parent
#: Inside the declare room: claims may look at everything that has been declared.
GROUPS = ["allergens", "statement", "nutrition", "claims"]
#: The law is a fact of the world and stands on the ground floor: every room may ask it.
ROOMS = [
    "law",
    "order",
    "recipe",
    "composition",
    "formulation",
    "market",
    "layout",
    "pdf",
    "chain",
    "export",
    "ledger",
    "commands",
    "cli",
]
SHARED = {"errors", "findings", "paths", "quantity", "nutrients", "terminal", "tomlfile", "wordlists"}


def imports(path, root=ROOT):
    """The full name of all that a module imports, wherever in it: relative imports and
    import_module("...") too.
    """
    yield from loaded_by(
        ast.parse(path.read_text(encoding="utf-8")), ("labelgen", *path.relative_to(root).parts[:-1])
    )


def loaded_by(tree, package):
    """The same of a tree read from a module in a package (its names)."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom):
            base = package[: len(package) + 1 - node.level] if node.level else ()
            module = ".".join((*base, *([node.module] if node.module else [])))
            yield module
            yield from (f"{module}.{a.name}" for a in node.names)
        elif isinstance(node, ast.Import):
            yield from (a.name for a in node.names)
        elif isinstance(node, ast.Call) and getattr(node.func, "attr", getattr(node.func, "id", "")) in (
            "import_module",
            "__import__",
        ):
            yield from (a.value for a in node.args if isinstance(a, ast.Constant))


def test_imports_are_seen_however_they_are_written(tmp_path):
    (tmp_path / "layout").mkdir()
    module = tmp_path / "layout" / "label.py"
    for line in (
        "from ..pdf import draw",
        "from .. import pdf",
        "from labelgen.pdf import draw",
        "import labelgen.pdf.draw",
        "from labelgen import pdf",
        "def f():\n    importlib.import_module('labelgen.pdf')",
    ):
        module.write_text(line, encoding="utf-8")
        assert any(name.startswith("labelgen.pdf") for name in imports(module, tmp_path)), line
    module.write_text("from .panels import nutrient_lines", encoding="utf-8")
    assert set(imports(module, tmp_path)) == {
        "labelgen.layout.panels",
        "labelgen.layout.panels.nutrient_lines",
    }


def test_every_module_belongs_to_a_room_or_is_shared():
    names = {path.relative_to(ROOT).parts[0].removesuffix(".py") for path in ROOT.rglob("*.py")}
    assert names <= {*ROOMS, *SHARED, "__init__", "__main__"}


def test_rooms_import_leftwards():
    wrong = []
    for path in ROOT.rglob("*.py"):
        room = path.relative_to(ROOT).parts[0].removesuffix(".py")
        if room not in ROOMS:
            continue
        for name in imports(path):
            parts = name.split(".")
            if (
                parts[0] == "labelgen"
                and len(parts) > 1
                and parts[1] in ROOMS
                and ROOMS.index(parts[1]) > ROOMS.index(room)
            ):
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


def at_module_level(path) -> set[str]:
    """The package's modules that one loads as it is loaded: not those of its functions, nor those only
    types are of.
    """
    modules = {".".join(("labelgen", *p.relative_to(ROOT).with_suffix("").parts)) for p in ROOT.rglob("*.py")}
    tree = ast.parse(path.read_text(encoding="utf-8"))
    unread = (ast.FunctionDef, ast.AsyncFunctionDef, ast.If)
    tree.body = [node for node in tree.body if not isinstance(node, unread)]
    return {
        name for name in loaded_by(tree, ("labelgen", *path.relative_to(ROOT).parts[:-1])) if name in modules
    }


def circles(of: dict[str, set[str]]) -> list[str]:
    """The modules that lead back to themselves."""
    reached = {name: set(others) for name, others in of.items()}
    for _ in of:
        reached = {
            name: others.union(*(reached.get(o, ()) for o in others)) for name, others in reached.items()
        }
    return sorted(name for name, others in reached.items() if name in others)


def test_no_modules_import_each_other_in_a_circle():
    of = {
        ".".join(("labelgen", *p.relative_to(ROOT).with_suffix("").parts)): at_module_level(p)
        for p in ROOT.rglob("*.py")
    }
    assert circles(of) == [] and sum(map(len, of.values())) > 500
    law = {
        p.stem: {n.split(".")[2] for n in imports(p) if n.startswith("labelgen.law.")}
        for p in (ROOT / "law").glob("*.py")
    }
    assert circles(law) == [], "the ground floor has none inside its functions either"
    assert circles({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}}) == ["a", "b", "c"]


def test_only_the_law_knows_where_markets_lie():
    asking = {
        str(p.relative_to(ROOT))
        for p in ROOT.rglob("*.py")
        if "market_roots" in p.read_text(encoding="utf-8")
    }
    assert asking == {"paths.py", "law/registry.py"}


def test_shared_modules_import_no_room():
    for name in SHARED:
        assert not [
            m
            for m in imports(ROOT / f"{name}.py")
            if m.split(".")[1:2] and m.split(".")[0] == "labelgen" and m.split(".")[1] in ROOMS
        ]


def test_only_draw_imports_the_pdf_library():
    users = {
        str(p.relative_to(ROOT))
        for p in ROOT.rglob("*.py")
        if any(m.split(".")[0] == "reportlab" for m in imports(p))
    }
    assert users <= {"pdf/draw.py"}


def test_a_module_is_known_by_its_name_in_a_list_of_open_files():
    """A command is a file named after it; no other two modules share a name."""
    names = [p.name for p in ROOT.rglob("*.py") if p.parent.name != "commands" and p.name != "__init__.py"]
    assert sorted(names) == sorted(set(names))
    assert not {"words.py", "rows.py", "records.py", "figures.py", "parts.py", "utils.py"} & set(names)


def test_modules_stay_small():
    """450 lines as the formatter sets them. One is longer than it should be and may not grow."""
    most = {"formulation/rollup.py": 540}
    lines = {
        p.relative_to(ROOT).as_posix(): len(p.read_text(encoding="utf-8").splitlines())
        for p in ROOT.rglob("*.py")
    }
    assert not {name: n for name, n in lines.items() if n > most.get(name, 450)}
