"""Patterns at full size: where everything lies, and the drawing in a page, on paper and as DXF."""
