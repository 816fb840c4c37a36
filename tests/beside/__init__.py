"""The page beside the machine: what it shows, who may ask, what a press does, and that it never delays a key."""
