"""The page: a web server for whoever on board has a browser. Everything it needs is served from here."""

from middlewatch.links.page.server import Answered, Door, PageServer, SheetSource, open_socket
from middlewatch.links.page.sheet_view import SheetImage, SheetView

__all__ = ["Answered", "Door", "PageServer", "SheetImage", "SheetSource", "SheetView", "open_socket"]
