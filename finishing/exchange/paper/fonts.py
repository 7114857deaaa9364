"""Type for any script: Alegreya Sans for what it has, Noto fonts for the rest, loaded only where a text needs them.

All are under the SIL Open Font License and come with Python packages of their own. A sign that none of them has is
printed as its number, as [U+1F9EA], and told: never as an empty box.
"""

from __future__ import annotations

import importlib.util
import unicodedata
from functools import cache
from pathlib import Path

from fontTools.ttLib import TTFont
from fpdf import FPDF

from finishing.errors import FinishingError
from finishing.exchange.plain import plain

FAMILY = "text"
STYLES = {"": "Regular", "B": "Bold", "I": "Italic"}

_BOLD: dict[str, float] | dict[str, dict[str, float]] = {"wght": 700.0}

WITHOUT_INK = frozenset("\u200b\u200c\u200d\u2060\ufe0e\ufe0f")
"""Joiners and selectors: they shape their neighbours where a font knows them, and are nothing where it doesn't."""


def _folder(package: str) -> Path:
    found = importlib.util.find_spec(package)
    if found is None or found.origin is None:
        raise FinishingError(f"the fonts of {package} are not installed", "install this program anew")
    return Path(found.origin).parent


def _others() -> list[Path]:
    """Fonts that step in, by how likely they are needed; the large one last."""
    noto = _folder("manimgx_fonts")
    first = [noto / f"Noto{name}[wght].ttf" for name in ("Sans", "SansSymbols", "Emoji")]
    rest = sorted(p for p in noto.glob("NotoSans*.ttf") if p not in first and "Italic" not in p.name)
    return [*first, *rest, *sorted(_folder("noto_cjk_sans_jp_regular").glob("*.otf"))]


@cache
def _signs(font: Path) -> frozenset[int]:
    with TTFont(font, lazy=True) as opened:
        return frozenset(opened.getBestCmap() or ())


def _has_bold(font: Path) -> bool:
    """Whether a bold is made of it: of other scripts, where weights come with the font.

    Not of the first, whose weights take five seconds, for a few rare letters; nor of pictures.
    """
    return font.stem.startswith("NotoSans") and font.stem.endswith("[wght]") and font.stem != "NotoSans[wght]"


class Type:
    """The fonts of one document. `missing`: signs that no font has, as they were met."""

    def __init__(self, pdf: FPDF) -> None:
        self._pdf = pdf
        self._own = _folder("fontpkg_alegreya_sans") / "files"
        self._loaded: list[Path] = []
        self._bold: set[Path] = set()
        self.missing: dict[str, None] = {}
        for style, name in STYLES.items():
            pdf.add_font(FAMILY, style, self._own / f"AlegreyaSans-{name}.ttf")
        pdf.set_text_shaping(True)

    def ready(self, text: str, style: str = "") -> str:
        """The text as it can be printed: composed, controls as escapes, every sign in some font or as its number.

        style: how it will be set; letters of another script are as bold as their neighbours where their font can be.
        """
        body = unicodedata.normalize("NFC", "\n".join(plain(line) for line in text.split("\n")))
        if body.isascii():
            return body
        known = _signs(self._own / "AlegreyaSans-Regular.ttf")
        return "".join(c if ord(c) < 128 or ord(c) in known else self._found(c, style) for c in body)

    def _found(self, sign: str, style: str) -> str:
        code = ord(sign)
        for font in [*self._loaded, *(font for font in _others() if font not in self._loaded)]:
            if code in _signs(font):
                if font not in self._loaded:
                    self._load(font)
                if style == "B" and font not in self._bold and _has_bold(font):
                    self._embolden(font)
                return sign
        if sign in WITHOUT_INK:
            return ""
        self.missing[sign] = None
        return f"[U+{code:04X}]"

    def _load(self, font: Path) -> None:
        self._pdf.add_font(font.stem, "", font)
        self._loaded.append(font)
        self._step_in()

    def _embolden(self, font: Path) -> None:
        """Another weight of a variable font, which takes half a second to make."""
        self._pdf.add_font(font.stem, "B", font, variations=_BOLD)
        self._bold.add(font)
        self._step_in()

    def _step_in(self) -> None:
        self._pdf.set_fallback_fonts([loaded.stem for loaded in self._loaded], exact_match=False)


def reads_leftwards(text: str) -> bool:
    """Whether its first strong letter is of a script written from right to left (UAX #9, P2)."""
    for sign in text:
        direction = unicodedata.bidirectional(sign)
        if direction in ("L", "R", "AL"):
            return direction != "L"
    return False
