"""Markdown as the site generator reads it, with the position of every part."""
