"""One file per command; each is a function; what it returns is the exit code, 0 where it returns none."""
