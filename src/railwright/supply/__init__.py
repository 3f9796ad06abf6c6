"""What a supply is, and how a sheet becomes one: checked as a whole, its faults told with line, key and remedy."""

from railwright.supply.corners import at_corner, with_mains, without_load
from railwright.supply.designators import Part, find_part, joined_nodes, nodes, parts, same_node
from railwright.supply.errors import SheetError, SheetFault
from railwright.supply.faults import known_faults, parse_fault, with_fault
from railwright.supply.keys import SECTIONS, Key, Section, all_keys
from railwright.supply.model import Fault, Load, Loads, Mains, Supply, Transformer
from railwright.supply.points import at_point, replace, replace_all
from railwright.supply.reader import point_names, read_sheet, read_text

__all__ = [
    "SECTIONS",
    "Fault",
    "Key",
    "Load",
    "Loads",
    "Mains",
    "Part",
    "Section",
    "SheetError",
    "SheetFault",
    "Supply",
    "Transformer",
    "all_keys",
    "at_corner",
    "at_point",
    "find_part",
    "joined_nodes",
    "known_faults",
    "nodes",
    "parse_fault",
    "parts",
    "point_names",
    "read_sheet",
    "read_text",
    "replace",
    "replace_all",
    "same_node",
    "with_fault",
    "with_mains",
    "without_load",
]
