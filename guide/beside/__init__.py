"""A page of the running session, on a phone or tablet beside the machine: it shows, and asks; the terminal decides."""
