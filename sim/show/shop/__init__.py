"""The shop sheet: one printable page with the lure at full size and the lists for the bench."""

from sim.show.shop.page import PAPERS, as_pdf, as_svg, lists, shop_sheet

__all__ = ["PAPERS", "as_pdf", "as_svg", "lists", "shop_sheet"]
