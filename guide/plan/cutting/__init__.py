"""Cutting: every part of a material out of bolts and pieces on hand, in cuts a person will make."""

from guide.plan.cutting.count import cutting_order
from guide.plan.cutting.cut import cut
from guide.plan.cutting.strips import Bolt, CannotCut

__all__ = ["Bolt", "CannotCut", "cut", "cutting_order"]
