"""A class: who does what when, what to prepare, where it jams, and the board that a tutor keeps at it."""
