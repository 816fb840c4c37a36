"""Cutting: every part of a material out of bolts and pieces on hand, in cuts a person will make."""

from guide.plan.cutting.cut import cut
from guide.plan.cutting.order import cut_rows, cutting_order
from guide.plan.cutting.pieces import Bolt, CannotCut
from guide.plan.cutting.sketch import sketch
from guide.plan.cutting.valuable import Valuable, most_valuable

__all__ = ["Bolt", "CannotCut", "Valuable", "cut", "cut_rows", "cutting_order", "most_valuable", "sketch"]
