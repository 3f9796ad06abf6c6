"""The eight circuits that a first look offers: a sheet from a circuit and what is printed on three parts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from railwright.web.typed import Wanted, typed

Region = Literal["uk", "us"]

#: Where the sealed transformer is plugged in. (IEC 60038 names both voltages, from memory)
MAINS: Final[Mapping[str, tuple[str, str]]] = MappingProxyType({"uk": ("230 V", "50 Hz"), "us": ("120 V", "60 Hz")})
#: Units of the three boxes; a load is a resistance or a current.
BOXES: Final[Mapping[str, Wanted]] = MappingProxyType(
    {
        "winding": Wanted(key="transformer.secondary_voltage", unit="V", shown="V"),
        "capacitor": Wanted(key="filter.1.capacitor", unit="F", shown="µF"),
        "resistance": Wanted(key="load.resistance", unit="ohm", shown="Ω"),
        "current": Wanted(key="load.current", unit="A", shown="A"),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """One of the eight: what it is called, and what stands in its boxes at first."""

    name: str
    circuit: str  # of the sheet
    winding: str
    capacitor: str
    load: str
    load_kind: Literal["resistance", "current"] = "resistance"
    tapped: bool = False
    choke: str = ""
    regulator: str = ""
    in_stages: bool = False  # its capacitors belong to the rectifier itself
    pump: bool = False


#: The reference supply of most course books is the bridge with these values; the others keep to them.
STARTS: Final[Mapping[str, Start]] = MappingProxyType(
    {
        start.name: start
        for start in (
            Start(name="half-wave", circuit="half-wave", winding="12", capacitor="2200", load="100"),
            Start(name="centre-tap", circuit="centre-tap", winding="12", capacitor="2200", load="100", tapped=True),
            Start(name="bridge", circuit="bridge", winding="12", capacitor="2200", load="100"),
            Start(name="bridge-choke", circuit="bridge", winding="12", capacitor="2200", load="100", choke="150 mH"),
            Start(
                name="bridge-regulator", circuit="bridge", winding="9", capacitor="2200", load="0.25",
                load_kind="current", regulator="7805",
            ),
            Start(name="dual-rail", circuit="dual-rail", winding="12", capacitor="2200", load="100", tapped=True),
            Start(
                name="full-wave-doubler", circuit="full-wave-doubler", winding="12", capacitor="470", load="1000",
                in_stages=True,
            ),
            Start(
                name="half-wave-doubler", circuit="half-wave-doubler", winding="12", capacitor="470", load="1000",
                in_stages=True, pump=True,
            ),
        )
    }
)  # fmt: skip


class BoxError(ValueError):
    """What stands in a box can't be read; `box` names it, the sentence says what to write."""

    def __init__(self, box: str, given: str, sentence: str) -> None:
        super().__init__(sentence)
        self.box, self.given = box, given


def sheet_of(
    name: str, *, winding: str, capacitor: str, load: str, load_kind: str, region: str, title: str, decimal: str = "."
) -> str:
    """The sheet of a start.

    Parameters
    ----------
    winding, capacitor, load : str
        As typed into the boxes, with or without a unit; an empty capacitor box is a circuit without one.
    load_kind : str
        `resistance` or `current`.
    region : str
        `uk` or `us`: the mains.
    title : str
        The sheet's title.
    decimal : str
        The decimal sign of whoever typed.

    Raises
    ------
    BoxError
        If a box can't be read.
    """
    start = STARTS[name]
    volts = _read("winding", winding, BOXES["winding"], decimal)
    farads = _read("capacitor", capacitor, BOXES["capacitor"], decimal) if capacitor.strip() else ""
    if start.in_stages and not farads:
        raise BoxError("capacitor", capacitor, "A doubler works by its capacitors: write what is printed on them, 470.")
    amount = _read("load", load, BOXES[load_kind], decimal)
    voltage, frequency = MAINS[region]
    tapped = 'secondary = "centre-tapped"      # the voltage is that of one half\n' if start.tapped else ""
    parts = [
        f"title = {_quoted(title)}\n",
        f'[mains]\nvoltage = "{voltage}"\nfrequency = "{frequency}"\n',
        f"[transformer]                     # sealed, safety isolating\n{tapped}secondary_voltage = {_quoted(volts)}\n",
        f'[rectifier]\ncircuit = "{start.circuit}"\ndiode = {{ drop = "0.7 V" }}\n',
    ]
    if start.in_stages:
        parts[-1] += f"stage_capacitor = {_quoted(farads)}\n"
        if start.pump:
            parts[-1] += f"pump_capacitor = {_quoted(farads)}\n"
    if start.choke:
        parts.append(f'[[filter]]\nchoke = "{start.choke}"\n')
    if farads and not start.in_stages:
        parts.append(f"[[filter]]\ncapacitor = {_quoted(farads)}\n")
    if start.regulator:
        parts.append(f'[regulator]\nkind = "series"\npart = "{start.regulator}"\noutput = "5 V"\ndropout = "2 V"\n')
    parts.append(f"[load]\n{load_kind} = {_quoted(amount)}\n")
    return "\n".join(parts)


def _read(box: str, text: str, wanted: Wanted, decimal: str) -> str:
    from railwright.quantities import QuantityError

    try:
        return typed(text, wanted, decimal=decimal)
    except QuantityError as error:
        sentence = f"{error.reason[:1].upper()}{error.reason[1:]}. {error.remedy}".replace("..", ".")
        raise BoxError(box, text, sentence) from error


def _quoted(text: str) -> str:
    """A TOML text: JSON's way of quoting is one that TOML reads."""
    import json

    return json.dumps(text, ensure_ascii=False)
