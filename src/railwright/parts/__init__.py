"""Part data with its provenance: the packaged tables, a reader's own part files, and the numbers models take."""

from railwright.parts.catalogue import STAND_INS, find, names, search
from railwright.parts.diode import DiodeLaw, DiodeRatings, diode_law, diode_ratings, law_from_points
from railwright.parts.electrolytic import CapacitorDefaults, capacitor_defaults, usual_voltage_rating
from railwright.parts.errors import PartError, PartFault, UnknownPart, UnsuitablePart
from railwright.parts.part import Part, PartValue
from railwright.parts.reader import read_parts, read_parts_text
from railwright.parts.regulator import RegulatorData, regulator_data
from railwright.parts.zener import ZenerData, zener_data

__all__ = [
    "STAND_INS",
    "CapacitorDefaults",
    "DiodeLaw",
    "DiodeRatings",
    "Part",
    "PartError",
    "PartFault",
    "PartValue",
    "RegulatorData",
    "UnknownPart",
    "UnsuitablePart",
    "ZenerData",
    "capacitor_defaults",
    "diode_law",
    "diode_ratings",
    "find",
    "law_from_points",
    "names",
    "read_parts",
    "read_parts_text",
    "regulator_data",
    "search",
    "usual_voltage_rating",
    "zener_data",
]
