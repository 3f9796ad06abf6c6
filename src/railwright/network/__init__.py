"""Networks: elements between nodes, made from a supply at a model."""

from railwright.network.build import build
from railwright.network.network import Network, NotSolvedYet, Place

__all__ = ["Network", "NotSolvedYet", "Place", "build"]
