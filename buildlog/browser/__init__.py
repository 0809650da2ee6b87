"""A block computed again in a reader's browser, by the same Python: `brython` runs it there.

`shaking` finds what of our modules a kind needs, `packing` writes that as scripts, `description` writes a
block with all that its result rests on. In the browser `answer` makes a block of the description, puts the
reader's numbers in place of the author's, and has `buildlog.book.evaluation` compute it. `carrying` is what
the two sides have between them.
"""
