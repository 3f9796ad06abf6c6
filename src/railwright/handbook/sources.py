"""The works that the handbook's formulas and examples rest on."""

from __future__ import annotations

from railwright.handbook.formula import Source

_COMPANION = "as reworked in the FOSSEE (IIT Bombay) open textbook companion"
_COMPANION_ADDRESS = "https://github.com/FOSSEE/Python-Textbook-Companions"


def worked_example(work: str, place: str) -> Source:
    """A book's worked example, read in the open textbook companion; the book itself wasn't seen."""
    return Source(text=f"{work}, {place}, {_COMPANION}", grade="published", address=_COMPANION_ADDRESS)


def bapat(place: str) -> Source:
    """A worked example of Bapat."""
    return worked_example("Bapat, Electronics Circuits and Systems", place)


def bell(place: str) -> Source:
    """A worked example of Bell."""
    return worked_example("Bell, Electronic Devices and Circuits", place)


def boylestad(place: str) -> Source:
    """A worked example of Boylestad & Nashelsky."""
    return worked_example("Boylestad & Nashelsky, Electronic Devices and Circuit Theory", place)


def floyd(place: str) -> Source:
    """A worked example of Floyd."""
    return worked_example("Floyd, Electronic Devices", place)


def grob(place: str) -> Source:
    """A worked example of Schultz."""
    return worked_example("Schultz, Grob's Basic Electronics", place)


def kakani(place: str) -> Source:
    """A worked example of Kakani & Bhandari."""
    return worked_example("Kakani & Bhandari, Electronic Devices and Circuits", place)


def malvino(place: str) -> Source:
    """A worked example of Malvino & Bates."""
    return worked_example("Malvino & Bates, Electronic Principles", place)


def neamen(place: str) -> Source:
    """A worked example of Neamen."""
    return worked_example("Neamen, Electronic Circuit Analysis and Design", place)


def sedra(place: str) -> Source:
    """A worked example of Sedra & Smith."""
    return worked_example("Sedra & Smith, Microelectronic Circuits", place)


PRACTICE = Source(text="common practice, no source", grade="common practice, no source")
MEMORY = Source(text="from memory", grade="from memory")
ON_PAPER = Source(text="closed form, the number worked on paper", grade="common practice, no source")
NUMERICAL = Source(
    text="independent numerical steady state of the ideal circuit", grade="common practice, no source"
)
DEFINITION = Source(text="definition of the quantity", grade="common practice, no source")

CHATTOPADHYAY = worked_example("Chattopadhyay & Rakshit, Electronics Fundamentals and Applications", "Ex. 4, p. 115")
GUPTA = worked_example("Gupta & Singhal, Power Electronics", "Ex. 2.23, p. 68")
JACOB = worked_example("Jacob, Power Electronics: Principles and Applications", "Ex. 9.1, p. 457")
KISHORE = worked_example("Kishore, Electronic Devices and Circuits", "Ex. 3.8, p. 169")
PARKER_SMITH = worked_example("Parker Smith, Problems in Electrical Engineering", "Ex. 32, p. 375")
SALIVAHANAN = worked_example("Salivahanan, Kumar & Vallavaraj, Electronic Devices and Circuits", "Ex. 18.19, p. 569")
SEDHA_CHOKE = worked_example("Sedha, A Textbook of Applied Electronics", "Ex. 19.10, p. 454")
SEDHA_PI = worked_example("Sedha, A Textbook of Applied Electronics", "Ex. 19.13, p. 457")
STOREY = worked_example("Storey, Electrical and Electronic Systems", "Ex. 19.1 and 19.2, p. 392 and 406")
SUGANDHI = worked_example("Sugandhi & Sugandhi, Thyristors: Theory and Applications", "Ex. 3.1, p. 10")
MEHTA_FREE_AIR = worked_example("Mehta & Mehta, Principles of Electronics", "Ex. 12.16, p. 323")
MEHTA_RESISTANCE = worked_example("Mehta & Mehta, Principles of Electronics", "Ex. 6.14, p. 90")
TOOLEY_RESISTOR = worked_example("Tooley, Electronic Circuits", "Ex. 6.2, p. 118")
BIMBHRA_HALF_WAVE = worked_example("Bimbhra, Power Electronics", "Ex. 6.15, p. 321")
BIMBHRA_BRIDGE = worked_example("Bimbhra, Power Electronics", "Ex. 3.19, p. 115")

AMETHERM = Source(text="Ametherm, application note on selecting an inrush current limiter", grade="published")
ARMY = Source(
    text="US Army TC 9-62, Solid State Devices and Solid State Power Supplies, 2005, par. 4-10 to 4-12",
    grade="published",
    address="http://armyengineer.tpub.com/TC-9-62/TC-9-620150.htm",
)
KUFFEL = Source(text="Kuffel, Zaengl & Kuffel, High Voltage Engineering, ch. 2", grade="from memory")
NAIDU = Source(text="Naidu & Kamaraju, High Voltage Engineering, ch. 6", grade="from memory")
NAVY = Source(
    text="US Navy NEETS module 7 (NAVEDTRA 14179), p. 4-14",
    grade="published",
    address="http://electriciantraining.tpub.com/14179",
)
PETRA = Source(
    text="Petra toroidal transformers, notes on secondary ratings in DC circuits",
    grade="published",
    address="http://www.petra-toroid.ro/en/determination-methods.html",
)
RASHID = Source(text="Standard table, e.g. Rashid, Power Electronics, ch. 3", grade="from memory")
RUBYCON = Source(
    text="Rubycon, Aluminum Electrolytic Capacitor Technical Notes, 5-1",
    grade="published",
    address="http://www.rubycon.co.jp/en/products/alumi/technote4.html",
)
WIKIPEDIA = Source(text='Wikipedia, "Ripple (electrical)"', grade="published")

ACHA = Source(
    text="Acha, Agelidis, Anaya-Lara & Miller, Power Electronic Control in Electrical Systems, 2002, sec. 2.12, p. 77",
    grade="published",
)
BIPM = Source(text="SI defining constants (BIPM, 2019)", grade="from memory")
BOYLESTAD_SECTION = boylestad("Ex. 15.7")
CHATTOPADHYAY_CHOKE = worked_example(
    "Chattopadhyay & Rakshit, Electronics Fundamentals and Applications", "Ex. 5, p. 116"
)
FRANCO = worked_example("Franco, Design with Operational Amplifiers and Analog Integrated Circuits", "Ex. 11.1, p. 502")
HAMMOND = Source(text="Hammond Manufacturing, Design Guide for Rectifier Use", grade="published")
LANGFORD_SMITH = Source(
    text="Langford-Smith, Radio Designer's Handbook, relation for very large capacitance", grade="from memory"
)
MAKER_OF_MULTIPLIERS = Source(
    text="Voltage Multipliers Inc., multiplier ripple note, rev. 2012",
    grade="published",
    address="http://www.voltagemultipliers.com/html/multripple.html",
)
MOHAN = Source(text="Standard result, e.g. Mohan, Undeland & Robbins, Power Electronics, ch. 5", grade="from memory")
KISHORE_CHOKE = worked_example("Kishore, Electronic Devices and Circuits", "Ex. 3.5, p. 164")
NAVY_QUESTIONS = Source(
    text="US Navy NEETS module 7 (NAVEDTRA 14179), assignment 4, questions 4-26 and 4-34",
    grade="published",
    address="http://electriciantraining.tpub.com/14179/css/Assignment-Questions-283.htm",
)
ARMY_FILTER = Source(
    text="US Army TC 9-62, Solid State Devices and Solid State Power Supplies, 2005, par. 4-59 and 4-60",
    grade="published",
    address="http://armyengineer.tpub.com/TC-9-62/TC-9-620167.htm",
)
PREFERRED_VALUES = Source(text="Encyclopaedia article on preferred values", grade="published")
SHARMA = worked_example("Sharma P., Analog Integrated Circuits", "Ex. 9.4 and 9.5, p. 384-385")
SLIDES = Source(text="Lecture slides on a full-wave choke-input supply", grade="published")
SUGANDHI_RIPPLE = Source(text="Sugandhi & Sugandhi, Thyristors, Ex. 8.7, uncontrolled case", grade="from memory")
TOOLEY_CHOKE = worked_example("Tooley, Electronic Circuits", "Ex. 6.3, p. 118")
