"""Widths and heights of type, read from the font files themselves, in points.

The four faces are taken from the installed ``font-roboto`` package. The first reading costs some tens of
milliseconds; the advance widths are then kept in the user's cache folder, keyed by the file's size and time.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from labelgen.errors import LayoutError
from labelgen.paths import cache_dir, keep

#: Face name -> font file of the font-roboto package. ``black`` is the heavy face of panel titles.
FACES = {
    "regular": "Roboto-Regular.ttf",
    "bold": "Roboto-Bold.ttf",
    "black": "Roboto-Black.ttf",
    "italic": "Roboto-Italic.ttf",
}
#: Faces that count as bold type.
HEAVY = frozenset({"bold", "black"})


@dataclass(frozen=True)
class Face:
    """One font face. Heights and advances are fractions of the type size (1.0 = one em).

    ascent and descent (positive) are those the font asks for; their sum is the line box of solid-set type.
    """

    name: str
    postscript_name: str
    path: str
    ascent: float
    descent: float
    cap_height: float
    x_height: float
    advances: dict[str, float]

    def width(self, text: str, size_pt: float = 1.0) -> float:
        """Width of ``text`` in points at ``size_pt``, without kerning.

        Raises LayoutError naming the characters the face cannot draw.
        """
        advances = self.advances
        try:
            return sum([advances[char] for char in text]) * size_pt
        except KeyError:
            raise LayoutError(
                f"the typeface has no {describe_characters(missing_characters(text, self.name))} "
                f"(in {text!r}): write the text with other characters"
            ) from None


def font_path(name: str) -> Path:
    """The font file of a face. Raises LayoutError if the font package is not installed."""
    spec = find_spec("font_roboto")
    path = Path(spec.origin).parent / "files" / FACES[name] if spec and spec.origin else None
    if path is None or not path.is_file():
        raise LayoutError(
            f"the font file {FACES[name]} is missing: run pip install --force-reinstall font-roboto"
        )
    return path


@cache
def face(name: str) -> Face:
    """The metrics of a face ("regular", "bold", "black", "italic")."""
    path = font_path(name)
    stat = path.stat()
    stamp = f"{stat.st_size}-{stat.st_mtime_ns}"
    kept = cache_dir() / "type" / f"{path.stem}-{stamp}.json"
    try:
        raw = json.loads(kept.read_text("utf-8"))
        advances = dict(zip(raw["characters"], raw["advances"], strict=True))
    except (OSError, ValueError, KeyError, TypeError):
        raw = _read_font(path)
        advances = dict(zip(raw["characters"], raw["advances"], strict=True))
        keep(kept, json.dumps(raw).encode())
    units = raw["units"]
    return Face(
        name=name,
        postscript_name=raw["postscript_name"],
        path=str(path),
        ascent=raw["ascent"] / units,
        descent=-raw["descent"] / units,
        cap_height=raw["cap_height"] / units,
        x_height=raw["x_height"] / units,
        advances={char: advance / units for char, advance in advances.items()},
    )


def _read_font(path: Path) -> dict:
    from fontTools.ttLib import TTFont

    with TTFont(path, lazy=True) as font:
        characters = font.getBestCmap()
        widths = font["hmtx"].metrics
        return {
            "units": font["head"].unitsPerEm,
            "postscript_name": font["name"].getDebugName(6),
            "ascent": font["hhea"].ascent,
            "descent": font["hhea"].descent,
            "cap_height": font["OS/2"].sCapHeight,
            "x_height": font["OS/2"].sxHeight,
            "characters": [chr(code) for code in characters],
            "advances": [widths[glyph][0] for glyph in characters.values()],
        }


def missing_characters(text: str, name: str = "regular") -> tuple[str, ...]:
    """The characters of ``text`` that a face has no glyph for, each once, in order."""
    advances = face(name).advances
    return tuple(dict.fromkeys(char for char in text if char not in advances))


def describe_characters(characters: tuple[str, ...]) -> str:
    """For a message: each character with its code point."""
    return ", ".join(f"{char!r} (U+{ord(char):04X})" for char in characters)
