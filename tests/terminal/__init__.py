"""The program in a terminal: in this process, and in a real pseudo-terminal."""
