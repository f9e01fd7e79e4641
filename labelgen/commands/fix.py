"""``labelgen check --fix``: the edits that can mean nothing else, shown as a diff, written when told to, and
taken back.

Before files are written their bytes are kept beside the kitchen, in ``.labelgen-undo``; what was edited since
is not overwritten by taking back.
"""

from __future__ import annotations

import difflib
import json
import shutil
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path

from labelgen.errors import Finding, RecipeError
from labelgen.pdf.write import write_whole
from labelgen.recipe.edits import change_of, mended, text_of

KEPT = ".labelgen-undo"
#: One slip can hide others in the same file: reading is tried again this often.
_MOST_ROUNDS = 12

Texts = dict[str, str]


def certain(findings: Iterable[Finding], root: Path) -> Texts:
    """File -> its text with every edit made that can mean nothing else."""
    changes: dict[str, list] = {}
    texts: Texts = {}
    for f in findings:
        if (
            f.edit
            and f.edit.sure
            and _same_allergens(f)
            and (text := text_of(root, f.where.file)) is not None
        ):
            texts[f.where.file] = text
            if change := change_of(f, text):
                changes.setdefault(f.where.file, []).append(change)
    return {file: mended(texts[file], found) for file, found in changes.items()}


def _same_allergens(finding: Finding) -> bool:
    """Whether the words typed and those in their stead speak of the same allergens: oat milk is no slip of
    the pen for goat milk.
    """
    if not finding.code.startswith("unknown-ingredient"):
        return True
    from labelgen.composition.text.lexicon import find_allergens

    before, after = (
        {h.allergen for h in find_allergens(words, kind="name").contains}
        for words in (finding.edit.old, finding.edit.new)
    )
    return not before or before == after


def propose(root: Path, read: Callable[[Path], Iterable[Finding]]) -> Texts:
    """The certain edits of a kitchen, and of what they bring to light: file -> its new text. read: the
    findings of a folder.
    """
    found: Texts = {}
    with tempfile.TemporaryDirectory() as folder:
        trial = Path(folder) / "kitchen"
        _copy(root, trial)
        for _ in range(_MOST_ROUNDS):
            new = certain(read(trial), trial)
            if not new:
                break
            for file, text in new.items():
                (trial / file).write_bytes(text.encode())
            found |= new
    return found


def _copy(root: Path, trial: Path) -> None:
    from labelgen.recipe.read import kitchen_files

    for path, _ in kitchen_files(root):
        target = trial / path.relative_to(root)
        target.parent.mkdir(parents=True, exist_ok=True)
        if path.is_file():
            shutil.copyfile(path, target)


def print_diff(root: Path, texts: Texts) -> int:
    """Shows what would be typed; returns in how many lines."""
    count = 0
    for file, new in texts.items():
        old = text_of(root, file)
        lines = list(difflib.unified_diff(old.splitlines(), new.splitlines(), file, file, n=0, lineterm=""))
        count += sum(line.startswith("+") for line in lines[2:])
        print("\n".join(lines))
    return count


def write(root: Path, texts: Texts) -> None:
    """Writes the files whole, their bytes kept for ``undo``."""
    old = {file: (root / file).read_bytes() for file in texts}
    new = {file: _with_mark(old[file], text) for file, text in texts.items()}
    kept = {file: {"old": old[file].decode(), "new": new[file].decode()} for file in texts}
    write_whole(root / KEPT / "last.json", json.dumps(kept, ensure_ascii=False).encode())
    _put(root, old, new)


def _put(root: Path, old: dict[str, bytes], new: dict[str, bytes]) -> None:
    """Writes every file or none: after a failure those written hold what they held."""
    done: list[str] = []
    try:
        for file, data in new.items():
            write_whole(root / file, data)
            done.append(file)
    except OSError:
        for file in done:
            write_whole(root / file, old[file])
        raise


def _with_mark(old: bytes, text: str) -> bytes:
    mark = "\ufeff".encode()
    return (mark if old.startswith(mark) else b"") + text.encode()


def undo(root: Path) -> list[str]:
    """Puts back what the last edits replaced. Raises RecipeError when there are none, or when a file was
    edited since.
    """
    path = root / KEPT / "last.json"
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        raise RecipeError(
            f"{root}: nothing to take back: no edit of 'check --fix --yes' is kept here"
        ) from None
    for file, told in kept.items():
        if not (root / file).is_file() or (root / file).read_bytes() != told["new"].encode():
            raise RecipeError(f"{file} was edited since: take the edits back by hand")
    _put(root, *({file: told[which].encode() for file, told in kept.items()} for which in ("new", "old")))
    path.unlink()
    return list(kept)


def run_fix(root: Path, read: Callable[[Path], Iterable[Finding]], yes: bool, as_json: bool) -> int:
    """Shows the certain edits, or writes them. Returns the exit code: 0 where there is nothing to do or it is
    done, 1 where edits wait.
    """
    texts = propose(root, read)
    if as_json:
        from labelgen.commands.output import print_json

        if texts and yes:
            write(root, texts)
        print_json({"written": bool(texts and yes), "files": texts})
    elif not texts:
        print("Nothing here has one remedy only: 'labelgen check' shows what to decide.")
    else:
        count = print_diff(root, texts)
        if yes:
            write(root, texts)
            print(f"{count} lines written; 'labelgen check {root} --undo' takes them back.")
        else:
            print(f"{count} lines would be written: 'labelgen check {root} --fix --yes' writes them.")
    return 1 if texts and not yes else 0
