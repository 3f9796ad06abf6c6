"""The ways in which a circuit has no answer, each a sentence that says what to try."""

from __future__ import annotations


class NoProvableAnswer(Exception):
    """The circuit has no steady state that can be proved; the text says which balance fails and what to try."""


NO_PATTERN = (
    "At {angle:.1f}° no set of conducting diodes satisfies the circuit. Two ideal parts probably fight each other: "
    "give a diode or the winding a small resistance, for example 10 milliohm."
)
STALLED = (
    "The diodes switch more than {events} times in one period near {angle:.1f}°. Something rings or chatters "
    "without damping: give the part that does (choke, leakage, stray capacitor) a resistance."
)
NOT_PERIODIC = (
    "No steady state was found: after {iterations} corrections the circuit still changes by {drift:.1e} from one "
    "period to the next. A loop without any resistance keeps what it starts with: state a resistance for the winding "
    "or choke."
)
NO_BALANCE = (
    "The {balance} is off by {value:.1e}, more than the {limit:.0e} that is allowed: the answer is not shown, because "
    "it is not proved. Parts of very different size may be the cause: check the smallest resistance and capacitance."
)
INFINITE_CURRENT = (
    "At {angle:.1f}° the charge of {part} would have to jump, by an infinite current: nothing in its way has any "
    "resistance. Give the capacitor its esr, or the source or diode a resistance, for example 10 milliohm."
)
INFINITE_VOLTAGE = (
    "At {angle:.1f}° the current of {part} would have to jump, by an infinite voltage: what it feeds steps or stops at "
    "once. Put a capacitor between the inductance and the load, or a resistance across the load."
)
TOO_MANY_PATTERNS = (
    "The circuit went through {count} sets of conducting diodes without settling. Parts that fight each other without "
    "resistance do that: give the winding and each diode a small resistance, for example 10 milliohm."
)
TOO_LONG = (
    "The search for a steady state was given up after {steps} steps. Something rings or chatters with little "
    "damping: give chokes, leakage and stray capacitors their resistances. Or many curved diodes take turns: "
    "solve at the textbook model."
)
OSCILLATES = (
    "The constant power of {load} is too much for the {resistance:.3g} ohm through which it is fed: its voltage would "
    "jump between two values at once. Put a capacitor with less series resistance across it, or raise minimum_voltage."
)
NO_LIMIT = (
    "Without any load the capacitors have no settled voltage here. Fit a bleeder (for example 1 megohm) and solve "
    "again."
)
