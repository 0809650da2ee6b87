"""Results and figures as HTML: what a reader sees of a block, of a figure and of a finding.

Python prepares plain strings, the templates lay them out, and the template engine escapes every one of
them; an author's text is never a template and never markup. Nothing here asks the network or needs a
script. Links that leave the page are kept apart (`LinkPiece`) so that whoever puts the HTML into a site can
write their addresses.
"""

from buildlog.render.card import render_card
from buildlog.render.chart import Draw
from buildlog.render.figure import render_figure, source_anchor
from buildlog.render.page_parts import render_findings, render_sources
from buildlog.render.pieces import LinkPiece, Rendered, ledger_script, page_scripts, search_script, stylesheet

__all__ = [
    "Draw",
    "LinkPiece",
    "Rendered",
    "ledger_script",
    "page_scripts",
    "render_card",
    "render_figure",
    "render_findings",
    "render_sources",
    "search_script",
    "source_anchor",
    "stylesheet",
]
