"""pint without numpy: it would load it wherever it is installed, and a plan would wait for that twice over."""

import sys

_UNWANTED = ("numpy", "scipy", "dask", "xarray", "uncertainties", "babel")
_hidden = [name for name in _UNWANTED if name not in sys.modules]
for _name in _hidden:
    sys.modules[_name] = None  # type: ignore[assignment]  # an import of it fails, as if it were not installed
try:
    from pint.util import UnitsContainer
finally:
    for _name in _hidden:
        del sys.modules[_name]

__all__ = ["UnitsContainer"]
