"""One file per command; each is a function that returns an exit code."""
