"""For people to look at: one report, then screen, plain text, tables, pages and JSON."""
