"""The handbook as pages to read: one Markdown text a formula, and an index by topic.

`python -m railwright.handbook.pages DIRECTORY` writes them all.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path

from railwright.handbook.derivation import expression_in_latex, letters_of, names_in
from railwright.handbook.derivation_names import AUXILIARY
from railwright.handbook.error_curve import error_curve
from railwright.handbook.formula import DerivationLine, Formula, Symbol
from railwright.handbook.registry import formulas

INDEX = "README.md"
_SAFETY = (
    "Mains can kill, charged capacitors bite and hot parts burn: these pages are for reckoning. "
    "Building and testing follow local codes and licensed practice."
)
_DOMAINS = {
    "positive": "above 0",
    "not negative": "0 or more",
    "fraction": "between 0 and 1",
    "any": "any",
}
_DIGITS = 6


def page(formula: Formula) -> str:
    """The page of one formula."""
    parts = [f"# {formula.title}", f"`{formula.id}`, {formula.topic}, {_kind(formula)}."]
    parts.append(f"$$\n{formula.statement}\n$$")
    parts.append(_quantities(formula))
    if formula.slip:
        parts.append(f"**A slip of its source**, kept so that the source's number can be met: {formula.slip}")
    parts.append("## Assumptions, in order")
    if formula.assumptions:
        parts.append(
            "\n".join(f"{number}. {each.sentence}" for number, each in enumerate(formula.assumptions, start=1))
        )
    else:
        parts.append("None.")
    parts.append(f"## Where it holds\n\n{formula.validity.sentence}{_computed(formula)}")
    chart = _chart(formula)
    if chart:
        parts.append(chart)
    parts.append(_derivation(formula))
    parts.append(_example(formula))
    parts.append(f"## Source\n\n{_opened(str(formula.source))}{_address(formula)}")
    parts.append(_uses(formula))
    return "\n\n".join(parts) + "\n"


def index() -> str:
    """The list of all formulas by topic."""
    topics: dict[str, list[Formula]] = {}
    for formula in formulas().values():
        topics.setdefault(formula.topic, []).append(formula)
    count = sum(bool(formula.derivation) for formula in formulas().values())
    parts = [
        "# The handbook of formulas",
        f"{len(formulas())} formulas, {count} of them with a derivation whose lines are checked by algebra. {_SAFETY}",
    ]
    for topic, members in topics.items():
        rows = "\n".join(f"- [{each.title}]({each.id}.md): ${each.statement}$" for each in members)
        parts.append(f"## {topic[0].upper()}{topic[1:]}\n\n{rows}")
    return "\n\n".join(parts) + "\n"


def pages() -> Mapping[str, str]:
    """All pages by file name, the index among them."""
    return {INDEX: index(), **{f"{formula.id}.md": page(formula) for formula in formulas().values()}}


def write_pages(directory: Path) -> int:
    """Write all pages into a directory, and return how many. Pages of formulas that are gone are removed."""
    directory.mkdir(parents=True, exist_ok=True)
    texts = pages()
    for stale in directory.glob("*.md"):
        if stale.name not in texts:
            stale.unlink()
    for name, text in texts.items():
        (directory / name).write_text(text, encoding="utf-8", newline="\n")
    return len(texts)


def _kind(formula: Formula) -> str:
    if formula.sense is not None:
        return f"a bound: {formula.sense} this"
    return {"exact law": "an exact law", "rule": "a rule"}.get(formula.kind, "an approximation")


def _unit(symbol: Symbol) -> str:
    return "-" if symbol.unit == "1" else symbol.unit


def _row(symbol: Symbol, role: str) -> str:
    cells = (f"${symbol.symbol}$", f"`{symbol.name}`", _cell(symbol.meaning), _unit(symbol), role)
    return f"| {' | '.join(cells)} |"


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def _quantities(formula: Formula) -> str:
    rows = [_row(formula.result, "result")]
    rows += [
        _row(symbol, f"{_DOMAINS[symbol.domain]}{', optional' if symbol.optional else ''}")
        for symbol in formula.quantities
    ]
    return "\n".join(("| letter | name | meaning | unit | value |", "|---|---|---|---|---|", *rows))


def _computed(formula: Formula) -> str:
    if formula.validity.condition is None:
        return ""
    needs = f", where {' and '.join(formula.validity.needs)} is given" if formula.validity.needs else ""
    return f" The tool checks this for the numbers put in{needs}."


def _chart(formula: Formula) -> str:
    axis = formula.axis
    if axis is None:
        return ""
    abscissae, errors = error_curve(formula.id, 6)
    rows = "\n".join(f"| {_place(at)} | {_percent(error)} |" for at, error in zip(abscissae, errors, strict=True))
    return (
        f"How far it is off depends on ${axis.symbol}$, the {axis.meaning}; against `{axis.reference}`:\n\n"
        f"| ${axis.symbol}$ | error |\n|---|---|\n{rows}"
    )


def _place(value: float) -> str:
    """A number along a chart's axis, three figures: 9.59, 313, 1000."""
    return f"{float(f'{value:.3g}'):g}"


def _percent(error: float) -> str:
    """A relative error with its sign, two figures; what is only the noise of floats is 0."""
    size = 100.0 * error
    if abs(size) < 1e-9:
        return "0 %"
    text = f"{float(f'{size:.2g}'):+g} %"
    return text.replace("-", "−")


def _derivation(formula: Formula) -> str:
    if not formula.derivation:
        return f"## Derivation\n\n{formula.derivation_note}"
    letters = letters_of(formula)
    lines = "\n".join(_line(number, line, letters) for number, line in enumerate(formula.derivation, start=1))
    own = {symbol.name for symbol in (*formula.quantities, formula.result)}
    names: dict[str, None] = {}
    for line in formula.derivation:
        names.update(dict.fromkeys(name for name in names_in(line.equation) if name not in own))
    meanings = "; ".join(f"${AUXILIARY[name][0]}$ is the {AUXILIARY[name][1]}" for name in names)
    return f"## Derivation\n\n{lines}" + (f"\n\nHere {meanings}." if meanings else "")


def _line(number: int, line: DerivationLine, letters: Mapping[str, str]) -> str:
    evidence = _sentence(line.evidence)
    if line.small:
        small = f"${expression_in_latex(line.small, letters)}$"
        evidence = evidence.replace("the small quantity", small, 1).replace("while it lies", f"while {small} lies")
    # The backslash breaks the line: the equation stands alone, as large as in a line of its own.
    return f"{number}. $\\displaystyle {line.statement}$\\\n   {_ground(line, evidence)}"


def _ground(line: DerivationLine, evidence: str) -> str:
    """Why a line holds, nothing said twice; another formula by its page."""
    if line.law.startswith("formula "):
        id = line.law.removeprefix("formula ")
        taken = f"Taken over from [{id}]({id}.md)."
        own = line.reason not in (line.law, f"taken over from {id}")
        return f"{_sentence(line.reason)} {taken}" if own else taken
    if line.reason == line.law:
        return f"Given: {line.law}." if line.step == "given" else evidence
    return f"{_sentence(line.reason)} {evidence}"


def _opened(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"


def _sentence(text: str) -> str:
    return f"{_opened(text)}."


def _example(formula: Formula) -> str:
    example = formula.example
    units = {symbol.name: _unit(symbol) for symbol in formula.quantities}
    given = ", ".join(
        f"{name} = {value:.{_DIGITS}g}{'' if units[name] == '-' else ' ' + units[name]}"
        for name, value in example.values.items()
    )
    unit = "" if formula.unit == "1" else f" {formula.unit}"
    worked = f"{formula.value(**example.values):.{_DIGITS}g}{unit}"
    printed = f"{example.expected:.{_DIGITS}g}{unit}"
    start = f"With {given} it gives" if given else "It gives"
    return f"## Example\n\n{start} {worked}; the witness says {printed}. Witness: {example.source}."


def _address(formula: Formula) -> str:
    return f", <{formula.source.address}>" if formula.source.address else ""


def _uses(formula: Formula) -> str:
    readings = ", ".join(f"`{reading}`" for reading in formula.readings) or "none directly; it is a step on the way"
    undoes = f" It undoes `{formula.undoes}`." if formula.undoes else ""
    return f"## Readings that it answers\n\n{_opened(readings)}.{undoes}"


def _main(arguments: list[str]) -> int:
    if len(arguments) != 1:
        sys.stderr.write("Say into which directory: python -m railwright.handbook.pages DIRECTORY\n")
        return 2
    sys.stdout.write(f"{write_pages(Path(arguments[0]))} pages written\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(_main(sys.argv[1:]))
