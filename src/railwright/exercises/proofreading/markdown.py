"""Takes the plain text of each line out of Markdown: no marks, no tables, LaTeX and fancy signs as typed letters."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from railwright.exercises.expressions.tokens import LONGEST_LINE


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """The text of one line, or of one cell of a table row; `heading` is the one that it stands under."""

    number: int
    text: str
    heading: str = ""
    cells: tuple[str, ...] = ()  # of a table row, all of them
    too_long: bool = False


_FENCE: Final = re.compile(r"\s{0,3}(`{3,}|~{3,})\s*([\w+-]*)")
_PROSE_FENCES: Final = ("", "text", "txt", "math", "plain", "none", "latex", "tex", "md", "markdown")
_HEADING: Final = re.compile(r"\s{0,3}#{1,6}\s+(.*?)\s*#*\s*$")
_LIST_MARK: Final = re.compile(r"^\s*(?:>\s?)*\s*(?:[-*+•]\s+(?:\[[ xX]\]\s+)?|\(?[0-9]{1,3}[.)]\s+|\(?[a-z][.)]\s+)?")
_RULE: Final = re.compile(r"^[\s|:+-]*$")

_SIGNS: Final = str.maketrans(
    {
        "×": "*", "·": "*", "⋅": "*", "∙": "*", "•": "*", "∗": "*", "÷": "/", "∕": "/", "⁄": "/", "−": "-", "–": "-",
        "‐": "-", "‑": "-", "µ": "u", "μ": "u", "Ω": "ohm", "\u2126": "ohm", "𝜋": "π", "º": "°", "℃": "°C",
        "∆": "Δ", "：": ":", "＝": "=", "\u00a0": " ", "\u202f": " ", "\u2009": " ", "\u2007": " ", "\t": " ",
        "→": " ; ", "⇒": " ; ", "∴": " ; ", "½": "(1/2)", "¼": "(1/4)", "¾": "(3/4)", "⅓": "(1/3)", "⅔": "(2/3)",
        "≅": "≈", "≃": "≈", "≒": "≈", "\u200b": "",
        "₀": "_0", "₁": "_1", "₂": "_2", "₃": "_3", "₄": "_4",
    }
)  # fmt: skip
_RAISED: Final = dict(zip("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺", "0123456789-+", strict=True))
_RAISED_RUN: Final = re.compile("[⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺]+")
_LATEX_WORDS: Final = (
    (r"\times", "*"), (r"\cdot", "*"), (r"\div", "/"), (r"\approx", "≈"), (r"\simeq", "≈"), (r"\cong", "≈"),
    (r"\sim", "≈"), (r"\pi", "π"), (r"\Omega", "ohm"), (r"\micro", "u"), (r"\mu", "u"), (r"\Delta", "Δ"),
    (r"\gamma", "γ"), (r"\eta", "η"), (r"\tau", "τ"), (r"\theta", "θ"), (r"\omega", "ω"), (r"\left", ""),
    (r"\right", ""), (r"\quad", " ; "), (r"\qquad", " ; "), (r"\,", " "), (r"\;", " "), (r"\:", " "), (r"\!", ""),
    (r"\ ", " "), (r"\%", "%"), (r"\\", " ; "), (r"\degree", "°"), (r"\circ", "°"), (r"\rightarrow", " ; "),
    (r"\Rightarrow", " ; "), ("&=", "="), ("&", " "),
)  # fmt: skip
_TEXT_COMMAND: Final = re.compile(r"\\(?:text|mathrm|mathit|mathsf|operatorname|textrm|rm|unit|si|SI)\s*\{([^{}]*)\}")
_FRACTION: Final = re.compile(r"\\[dt]?frac\s*\{([^{}]*)\}\s*\{([^{}]*)\}")
_ROOT: Final = re.compile(r"\\sqrt\s*\{([^{}]*)\}")
_ACCENT: Final = re.compile(r"\\(?:hat|bar|overline|tilde)\s*\{([^{}]*)\}")
_SUBSCRIPT: Final = re.compile(r"_\s*\{([^{}]*)\}")
_SUPERSCRIPT: Final = re.compile(r"\^\s*\{([^{}]*)\}")
_HTML_SUB: Final = re.compile(r"<sub>([^<]*)</sub>", re.IGNORECASE)
_HTML_SUP: Final = re.compile(r"<sup>([^<]*)</sup>", re.IGNORECASE)
_COMMENT: Final = re.compile(r"<!--.*?-->")
_TAG: Final = re.compile(r"</?[A-Za-z][^<>]{0,80}>")
_LINK: Final = re.compile(r"!?\[([^\[\]]*)\]\([^()]*\)")
_BOLD: Final = re.compile(r"(?<![\w*)])(\*\*|__)(?=\S)(.+?)(?<=\S)\1(?![\w*])")
_ITALIC: Final = re.compile(r"(?<![\w*)\d])([*_])(?=[^\s*_])([^*_]*?[^\s*_]|[^\s*_])\1(?![\w*(])")
#: Nested braces are peeled from inside; nobody nests deeper on paper.
_PEELS: Final = 6


def lines_of(text: str) -> Iterator[Line]:
    """The lines of Markdown notes that may hold an equation, in plain letters.

    Lines within a fence count, unless the fence names a language of programs or data.
    """
    heading, fence, prose_fence, comment = "", "", True, False
    lines = text.splitlines()
    start = _after_front_matter(lines)
    for number, raw in enumerate(lines, start=1):
        if number <= start:
            continue
        if len(raw) > LONGEST_LINE:
            yield Line(number=number, text="", heading=heading, too_long=True)
            continue
        mark = _FENCE.match(raw)
        if mark is not None and (not fence or raw.strip().startswith(fence)):
            if fence:
                fence, prose_fence = "", True
            else:
                fence, prose_fence = mark[1], mark[2].lower() in _PROSE_FENCES
            continue
        if fence and not prose_fence:
            continue
        if comment or "<!--" in raw:
            whole = _COMMENT.sub(" ", raw) if not comment else raw
            if comment and "-->" in whole:
                whole, comment = whole.partition("-->")[2], False
            elif comment:
                continue
            if "<!--" in whole:
                whole, comment = whole.partition("<!--")[0], True
            raw = whole
        title = None if fence else _HEADING.match(raw)
        if title is not None:
            heading = title[1]
        yield from _line(number, raw, heading)


def _after_front_matter(lines: list[str]) -> int:
    """How many lines at the start are data about the page: from --- to ---."""
    if lines and lines[0].strip() == "---":
        for place, line in enumerate(lines[1:60], start=2):
            if line.strip() == "---":
                return place
    return 0


def _line(number: int, raw: str, heading: str) -> Iterator[Line]:
    if raw.strip().startswith("|") or raw.count("|") >= 2:
        if _RULE.match(raw):
            return
        cells = tuple(plain(cell) for cell in raw.strip().strip("|").split("|"))
        yield Line(number=number, text="", heading=heading, cells=cells)
        for cell in cells:
            yield Line(number=number, text=cell, heading=heading)
        return
    yield Line(number=number, text=plain(raw), heading=heading)


def plain(raw: str) -> str:
    """One line without its marks, every sign as the grammar reads it.

    >>> plain("- **Peak**: $V_{p} = 12\\\\,\\\\text{V} \\\\times \\\\sqrt{2} ≈ 17$ V")
    'Peak: V_p = 12 V * sqrt(2) ≈ 17 V'
    """
    text = _LIST_MARK.sub("", raw, count=1)
    text = _HEADING.sub(r"\1", text)
    text = _LINK.sub(r"\1", text)
    text = _HTML_SUB.sub(r"_{\1}", text)
    text = _HTML_SUP.sub(r"^(\1)", text)
    text = _TAG.sub(" ", text)
    text = text.replace("`", "").replace("$", "")
    for pattern in (_BOLD, _ITALIC):
        text = pattern.sub(r"\2", text)
    if "\\" in text or "{" in text:
        text = _without_latex(text)
    text = text.replace("**", "^") if re.search(r"[\w)]\*\*[\d(-]", text) else text.replace("**", "")
    text = _RAISED_RUN.sub(lambda run: "^" + "".join(_RAISED[c] for c in run.group()), text)
    return re.sub(r" +", " ", text.translate(_SIGNS)).strip()


def _without_latex(text: str) -> str:
    for _ in range(_PEELS):
        before = text
        text = _TEXT_COMMAND.sub(r"\1", text)
        text = _ACCENT.sub(r"\1", text)
        text = _SUBSCRIPT.sub(lambda m: "_" + re.sub(r"[^A-Za-z0-9α-ω]", "", m[1]), text)
        text = _SUPERSCRIPT.sub(r"^(\1)", text)
        text = _ROOT.sub(r"sqrt(\1)", text)
        text = _FRACTION.sub(r"((\1)/(\2))", text)
        if text == before:
            break
    for command, sign in _LATEX_WORDS:
        text = text.replace(command, sign)
    return text.replace("\\(", "").replace("\\)", "").replace("\\[", "").replace("\\]", "").replace("\\", "")
