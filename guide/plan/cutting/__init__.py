"""Cutting: every part of a material out of bolts and pieces on hand, in cuts a person will make."""
