"""Reads a lesson's worked numbers and finds slips in arithmetic, units, and values that change between the steps."""

from railwright.exercises.expressions.numerals import DecimalSign
from railwright.exercises.proofreading.findings import Finding, Proofreading, Severity
from railwright.exercises.proofreading.proofread import LONGEST_NOTES, NotesError, proofread, read_notes

__all__ = [
    "LONGEST_NOTES",
    "DecimalSign",
    "Finding",
    "NotesError",
    "Proofreading",
    "Severity",
    "proofread",
    "read_notes",
]
