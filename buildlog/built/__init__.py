"""A site as it is built: the files beside its pages, and whether it shows what was proofed."""
