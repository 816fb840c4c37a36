"""Pictures of the work, drawn from plain numbers in mm as inline SVG."""
