"""What happened: clock readings, events, the journal file and the record folded from it."""
