"""The calculators: one kind, one file. They never import each other."""
