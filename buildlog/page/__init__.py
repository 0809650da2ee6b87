"""The Python-Markdown extension: cards, figures and furniture put into a page."""
