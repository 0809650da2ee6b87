"""A chart as data, the place of everything in it, and its drawing as SVG."""
