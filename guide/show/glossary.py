"""The trade's words as this guide uses them [common practice, no source]."""

import msgspec


class Word(msgspec.Struct, frozen=True):
    """A word and what it means; its American word, where it differs, is in `guide.read.spoken`."""

    word: str
    means: str


GLOSSARY: tuple[Word, ...] = (
    Word("above, below", "the layers of a block over and under its wadding"),
    Word("back", "a cushion's other side, which holds its closure"),
    Word("back-stitch", "a few stitches back over the last ones, so that a seam holds"),
    Word("block", "a stack of squares quilted as one"),
    Word("cloth", "any yardage, patterned or plain"),
    Word(
        "kind of cloth",
        "what a print is made of, such as denim: how heavy, how thick squeezed, how it frays and shrinks",
    ),
    Word("closure", "how an opening shuts: a zip, or an envelope of two panels that overlap"),
    Word("crossing", "where four blocks meet and two seams cross"),
    Word("face", "what shows inside the outer seam"),
    Word("fringe", "the edges left up beside a raw-edge seam; they fray when snipped and washed"),
    Word("free end", "the bit at each end of a raw-edge seam that is left unsewn, so that the next seam can cross it"),
    Word("front", "the quilted panel of a cushion"),
    Word("make", "one finished article: make 6 is six of them"),
    Word("nest", "to lay seams pressed opposite ways against each other"),
    Word("opening", "where the pad goes in"),
    Word("pace", "time per piece, per metre or per step"),
    Word("pad", "the inner cushion"),
    Word("panel", "rows of blocks joined"),
    Word("piece", "what a step is counted in: a block, a seam, a strip"),
    Word("pitch", "one block from seam to seam, before quilting draws it in"),
    Word("press", "to put the iron down and lift it, without pushing"),
    Word("print", "a patterned cloth"),
    Word("project", "one file that says what is made, of what and for whom"),
    Word("raw-edge seam", "a seam sewn wrong sides together, its edges left up on the front"),
    Word("rehearsal", "a session that plays itself through at the starter paces; it counts for nothing"),
    Word("row", "blocks joined side by side"),
    Word("selvedge", "the woven edge of a cloth, which does not fray"),
    Word("session", "one making of a project, kept in one journal file, over any number of sittings"),
    Word("slider", "the part of a zip that is pulled"),
    Word("snip", "a short cut into an edge, up to the stitching and never through it"),
    Word("square", "a piece of cloth cut to size"),
    Word("stack", "the squares of one block, front face first"),
    Word("tack", "long stitches that are taken out again"),
    Word("throw", "a cover that shows both faces and has no closure"),
    Word("unpicker", "a small forked blade for taking stitches out"),
    Word("wadding", "the soft layer inside a block"),
    Word("walking foot", "a machine foot that feeds the upper layers too"),
    Word("zip", "a closure with teeth and a slider"),
)
