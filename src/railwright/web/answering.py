"""What a worker answers: pure functions from a question to plain data, with the last solves kept.

Each takes what the API was sent (checked already against its schema) and returns what it sends back. Whatever is wrong
with a sheet, a course or a circuit comes out as `Refused`, with its sentences.
"""

from __future__ import annotations

import json
from collections import OrderedDict
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final, TypeVar

if TYPE_CHECKING:
    from railwright.course import Course
    from railwright.documents.lesson.live import Circuit
    from railwright.study import Study
    from railwright.supply import Supply

Kept = TypeVar("Kept")

_SUPPLIES, _STUDIES, _CIRCUITS = 16, 24, 16
#: While a slider moves, so many ways of the current are drawn for one answer; the others follow when it rests.
_DRAWN_WHILE_MOVING: Final = 1


class Refused(Exception):
    """The question can't be answered; `sentence` says why, `faults` say where.

    Each fault: text, problem, and as far as known file, line, key, given, allowed, remedy.
    """

    def __init__(self, sentence: str, kind: str, faults: tuple[dict[str, Any], ...] = ()) -> None:
        super().__init__(sentence, kind, faults)
        self.sentence, self.kind, self.faults = sentence, kind, faults


class _Store:
    """The last few of something, by their names."""

    def __init__(self, most: int) -> None:
        self._kept: OrderedDict[str, Any] = OrderedDict()
        self._most = most

    def get(self, name: str, make: Callable[[], Kept]) -> Kept:
        if name in self._kept:
            self._kept.move_to_end(name)
        else:
            self._kept[name] = make()
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        found: Kept = self._kept[name]
        return found


_supplies, _studies, _circuits, _ways = _Store(_SUPPLIES), _Store(_STUDIES), _Store(_CIRCUITS), _Store(_CIRCUITS)


def guarded(answer: Callable[[Mapping[str, Any]], dict[str, Any]], asked: Mapping[str, Any]) -> dict[str, Any]:
    """An answer, or `Refused` for everything that the house means to raise."""
    from railwright.course import CourseError
    from railwright.figures.export import MissingExtra
    from railwright.network import NotSolvedYet
    from railwright.parts import PartError, UnknownPart, UnsuitablePart
    from railwright.quantities import QuantityError
    from railwright.readings import UnknownReading
    from railwright.solver import NoProvableAnswer
    from railwright.supply import SheetError
    from railwright.web.circuits import BoxError

    try:
        return answer(asked)
    except (SheetError, CourseError) as error:
        faults = tuple(_fault(fault) for fault in error.faults)
        kind = "sheet" if isinstance(error, SheetError) else "course"
        raise Refused(faults[0]["text"] if faults else str(error), kind, faults) from None
    except BoxError as error:
        fault = {"key": error.box, "given": error.given, "problem": str(error), "text": str(error)}
        raise Refused(str(error), "box", (fault,)) from None
    except (NoProvableAnswer, NotSolvedYet) as error:
        raise Refused(str(error), "no answer") from None
    except (MissingExtra, PartError, UnknownPart, UnsuitablePart, QuantityError, UnknownReading) as error:
        raise Refused(str(error), "not possible") from None
    except ModuleNotFoundError as missing:
        if missing.name != "schemdraw":
            raise
        raise Refused(str(MissingExtra(what="A schematic", extra="draw")), "not possible") from None


def _fault(fault: Any) -> dict[str, Any]:
    data = {
        name: getattr(fault, name)
        for name in ("line", "key", "given", "allowed", "remedy", "problem", "text")
        if getattr(fault, name) not in (None, "")
    }
    # What was set from a page stands nowhere in the sheet's text.
    if not isinstance(data.get("line"), int):
        data.pop("line", None)
    return data


# ---------------------------------------------------------------- the supply that is asked about


def supply_of(asked: Mapping[str, Any]) -> Supply:
    """The supply of a question: sheet, changes, point, mains, faults."""
    from railwright import supply as supplies

    supply = _read(asked["sheet"])
    if asked.get("changes"):
        supply = supplies.replace_all(supply, asked["changes"])
    if asked.get("point"):
        supply = supplies.at_point(supply, asked["point"])
    if asked.get("mains", 1) != 1:
        # The label's voltage is that of the nominal mains, so the winding's EMF goes along.
        supply = supplies.with_mains(supply, float(asked["mains"]))
    for words in asked.get("faults", ()):
        supply = supplies.with_fault(supply, words)
    return supply


def _read(text: str) -> Supply:
    from railwright.supply import SheetError, SheetFault, parts, read_text
    from railwright.web.limits import MOST_PARTS

    def read() -> Supply:
        supply = read_text(text)
        count = len(parts(supply)) + len(supply.elements)
        if count > MOST_PARTS:
            problem = f"the supply has {count} parts, and this page takes {MOST_PARTS} at most."
            remedy = "Solve it from the command line: railwright solve."
            raise SheetError([SheetFault(file="sheet", problem=problem, remedy=remedy)])
        return supply

    return _supplies.get(text, read)


def _study(asked: Mapping[str, Any]) -> Study:
    from railwright.study import solve

    names = ("sheet", "changes", "mains", "point", "faults", "model")
    # A number that stays on the screen is proved; one that is dragged past is followed by one that stays.
    is_proved = asked.get("detail", "rest") == "rest"
    name = json.dumps([is_proved, *(asked.get(key) for key in names)], sort_keys=True)
    return _studies.get(name, lambda: solve(supply_of(asked), asked["model"], proved=is_proved))


# ---------------------------------------------------------------- answers


def answer(asked: Mapping[str, Any]) -> dict[str, Any]:
    """Everything that follows a slider, in one reply: readings, waveforms, the current's ways, working, words."""
    from railwright.documents.lesson import live
    from railwright.documents.lesson.moments import MOST_WAYS
    from railwright.web.courses import course_of

    course = course_of(asked["course"])
    study = _study(asked)
    is_moving = asked.get("detail", "rest") != "rest"
    material = live.material_of(study, course, is_fine=not is_moving)
    circuit, known = _circuit(asked, course, study)
    have = asked.get("have", {})
    same = have.get("circuit") == circuit.name
    found = live.ways(
        material, circuit, have=have.get("ways", ()) if same else (), at=asked.get("degrees"),
        most=_DRAWN_WHILE_MOVING if is_moving else MOST_WAYS, known=known,
    )  # fmt: skip
    reply: dict[str, Any] = {
        "title": study.title,
        "model": study.model,
        "emf": dict(study.emf),
        "period": study.period,
        "degrees": live.whole_degrees(study),
        "startDegrees": live.begin(material),
        "readings": live.readings(study, course),
        "waves": live.waveforms(material),
        "moments": [list(moment) for moment in found.moments],
        "ways": dict(found.new),
        "circuit": {"name": circuit.name} if same else circuit.to_json(),
        "plots": live.plots(material),
        "beside": live.beside(material),
        "load": material.load,
        "reservoir": material.reservoir,
        "notes": list(dict.fromkeys((*study.supply.notes, *study.notes))),
    }
    if asked.get("detail") != "light":
        look = live.first_look(material)
        reply["working"] = {"lines": list(look.lines), "why": look.why}
    return reply


def _circuit(asked: Mapping[str, Any], course: Course, study: Study) -> tuple[Circuit, dict[str, Any]]:
    """The drawn circuit of the sheet as written, and the ways that were laid on it.

    While sliders move, the drawing stays that of the sheet: only its values change, as text.
    """
    from railwright.documents.lesson import live
    from railwright.study import solve

    plain = not any(asked.get(name) for name in ("changes", "mains", "point", "faults"))

    def drawn() -> Circuit:
        own = study if plain else solve(_read(asked["sheet"]), "ideal", proved=False)
        return live.circuit(own, course)

    def drawn_at_least() -> Circuit:
        from railwright.solver import NoProvableAnswer

        try:
            return drawn()
        except NoProvableAnswer:
            return live.circuit(study, course)

    name = json.dumps([asked["sheet"], course.drawing, course.current_direction])
    circuit = _circuits.get(name, drawn_at_least)
    # The circuit's own numbers are in the captions of its ways: decimal sign and words are the course's.
    store = json.dumps([circuit.name, course.words, course.decimal])
    fresh: dict[str, Any] = {}
    return circuit, _ways.get(store, lambda: fresh)


def readings(asked: Mapping[str, Any]) -> dict[str, Any]:
    """All readings in their columns, conduction intervals and the proof: as `railwright solve --json`."""
    from railwright.documents.hand_in_course import in_course
    from railwright.documents.lesson.markup import named
    from railwright.web.courses import course_of

    course: Course = course_of(asked["course"])
    # By hand as this course works it, and why that differs: one formula, one reason.
    study = in_course(_study({**asked, "detail": "rest"}), course)
    data = study.to_json(asked.get("readings") or None)
    for reading, one in data["readings"].items():
        one["name"] = _name(reading, course, named)
        one["shown"] = _shown(reading, one["value"], one["unit"], course)
        for hand in one.get("hand", ()):
            hand["shown"] = _shown(reading, hand["value"], one["unit"], course)
    data["conductionWords"] = _conduction_words(study, course)
    return data


#: Ratios that the trade writes as a plain number; the others are percent.
_PLAIN: Final = ("crest_factor", "form_factor", "over_dc", "pulses", "power.factor", "displacement_factor",
                 "distortion_factor")  # fmt: skip
#: A ratio below it is rounding, and nothing. [-]
_NOTHING: Final = 1e-9


def _shown(reading: str, value: float | None, unit: str, course: Course) -> str:
    from railwright.documents.lesson.markup import amount, stated

    if value is None:
        return ""
    if unit != "1":
        return amount(value, unit, course)
    if abs(value) < _NOTHING:
        value = 0.0
    return stated(value, "1", course) if reading.endswith(_PLAIN) else amount(value, "1", course)


def _name(reading: str, course: Course, named: Callable[[str, Course], str]) -> str:
    try:
        return named(reading, course)
    except (KeyError, ValueError):
        return reading


def _conduction_words(study: Study, course: Course) -> list[str]:
    from railwright.figures.caption import describe_conduction

    return [course.say(sentence) for sentence in describe_conduction(study)]


def sheet(asked: Mapping[str, Any]) -> dict[str, Any]:
    """What a page shows of a sheet beside its text: form, boxes, sliders, faults to choose from, points."""
    from railwright import supply as supplies
    from railwright.supply import known_faults
    from railwright.web.boxes import boxes_of, sliders_of
    from railwright.web.form import form_of

    supply = _read(asked["sheet"])
    decimal = asked.get("decimal", ".")
    return {
        "title": supply.title,
        "circuit": supply.rectifier.circuit if not supply.elements else "network",
        "form": form_of(supply, decimal=decimal),
        "boxes": boxes_of(supply, decimal=decimal),
        "sliders": sliders_of(supply),
        "faults": [words for words in known_faults(supply) if "<" not in words],
        "points": list(supplies.point_names(supply)),
        "notes": list(supply.notes),
    }


def change(asked: Mapping[str, Any]) -> dict[str, Any]:
    """A sheet's text with keys set, taken out or put in; its comments stay."""
    from railwright.quantities import QuantityError
    from railwright.supply import SheetError, SheetFault
    from railwright.web.boxes import with_boxes
    from railwright.web.form import key_of
    from railwright.web.sheet_text import Edits, edited
    from railwright.web.typed import Wanted, shown_unit, typed

    text, decimal = asked["sheet"], asked.get("decimal", ".")
    wanted: dict[str, object] = {}
    faults: list[SheetFault] = []
    for key, value in asked.get("set", {}).items():
        entry = key_of(key)
        if isinstance(value, str) and entry is not None and entry.takes in ("quantity", "fraction"):
            try:
                value = typed(value, Wanted(key=key, unit=entry.unit, shown=shown_unit(entry.unit)), decimal=decimal)
            except QuantityError as error:
                problem = f'"{error.given}" {error.reason}.'
                faults.append(
                    SheetFault(file="sheet", key=key, problem=problem, given=error.given, remedy=error.remedy)
                )
        wanted[key] = value
    if faults:
        raise SheetError(faults)
    edits = Edits(
        set=wanted,
        remove=tuple(asked.get("remove", ())),
        add=tuple((table["table"], table.get("values", {})) for table in asked.get("add", ())),
    )
    notes: tuple[str, ...] = ()
    if asked.get("boxes"):
        text, notes = with_boxes(text, asked["boxes"], decimal=decimal)
    if edits.set or edits.remove or edits.add:
        text, more = edited(text, edits)
        notes = (*notes, *more)
    return {**sheet({"sheet": text, "decimal": decimal}), "sheet": text, "notes": list(notes)}


def begin(asked: Mapping[str, Any]) -> dict[str, Any]:
    """The sheet of one of the eight circuits."""
    from railwright.web.circuits import STARTS, sheet_of

    start = STARTS[asked["circuit"]]
    text = sheet_of(
        start.name, winding=asked.get("winding", start.winding), capacitor=asked.get("capacitor", start.capacitor),
        load=asked.get("load", start.load), load_kind=asked.get("loadKind", start.load_kind),
        region=asked.get("region", "uk"), title=asked.get("title", start.name), decimal=asked.get("decimal", "."),
    )  # fmt: skip
    return {**sheet({"sheet": text, "decimal": asked.get("decimal", ".")}), "sheet": text}


def course(asked: Mapping[str, Any]) -> dict[str, Any]:
    """A course as a page needs it, and as a file."""
    from railwright.web.courses import course_of, course_text, plain

    return {"course": plain(course_of(asked["course"])), "file": course_text(asked["course"])}


def warm(asked: Mapping[str, Any]) -> dict[str, Any]:
    """Load everything that an answer needs, so that the first one doesn't wait for it."""
    from railwright.web.circuits import STARTS, sheet_of

    for name in ("bridge",):
        start = STARTS[name]
        text = sheet_of(name, winding=start.winding, capacitor=start.capacitor, load=start.load,
                        load_kind=start.load_kind, region="uk", title="")  # fmt: skip
        for detail in ("rest", "moving"):
            answer({"sheet": text, "model": "textbook", "course": {"profile": "uk"}, "detail": detail})
        sheet({"sheet": text})
    return {}


#: What the API may ask a worker, by name: a worker runs nothing else.
ANSWERS: Final[Mapping[str, Callable[[Mapping[str, Any]], dict[str, Any]]]] = {
    "answer": answer, "readings": readings, "sheet": sheet, "change": change, "begin": begin, "course": course,
    "warm": warm,
}  # fmt: skip
