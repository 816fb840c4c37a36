"""The journal of a session, and the record folded from it.

What both promise, each with its test in `tests/record`:

P1   What the screen says is saved survives a crash: one write, fsync, and only then it is shown.
P2   A new session's file does not vanish: it and its folder are synced before work begins.
P3   A record cut off while being saved is set aside beside the journal, and told; all before it is whole.
P4   Damage is never hidden and never repaired: each line has a checksum and a number; writers refuse with line
     and byte, readers give the good part.
P5   One writer at a time: the file is locked until it is closed, or its program dies. Readers need no lock.
P6   A failed write loses only that record, and the maker is told: try again, or save elsewhere.
P7   After a failed fsync nothing more is written through that descriptor; opened again, it goes on.
P8   Interrupted calls are harmless.
P9   Another program's hand in the file is noticed at the next record; nothing is written into the void.
P10  A place that cannot be written is told in one sentence before any work starts.
P11  Links, folders and pipes are refused as journals.
P12  A slow disk loses no record and acknowledges none early.
P13  Any text comes through as written; what could not be read again is never written.
P14  Opening is linear: a hundred thousand records in well under a second.
P15  Network and synced drives are recognised, because less is promised there.
P16  Records keep their order whatever the clocks do; sleep, set clocks and restarts are told apart and said.
P17  Kinds of later versions are kept and shown; a later format is refused, politely and untouched.
P18  Corrections never edit: they are appended, may be taken back, and what stood there stays in sight.

Not promised: that whole records missing from the end of an unclosed journal are noticed; anything on network or
synced drives, where locks and syncs may be empty words; anything on a disk that lies about having saved.
"""
