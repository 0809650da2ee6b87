"""A block computed again in a reader’s browser, with numbers that the reader puts in its author’s place."""
