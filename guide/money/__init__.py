"""Time into money: paces, forecasts, prices."""
