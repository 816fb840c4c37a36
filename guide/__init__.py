"""fraywork: the guide on the table beside the machine."""

__version__ = "0.1.0"
