"""WHAT IS PRINTED: tag sheets and reports as PDF, text and preview pictures.

The only folder that knows qrcode, ReportLab, Pillow and pypdfium2. Values in, bytes out; it never reads the clock.

What goes on paper is made in two steps. A layout (`tag_layout`, `card_layout`, `report_layout`) turns values into
*ink*: plain marks at millimetre places, which a test can measure. A writer (`pdf`) puts ink on pages. A new label
stock is a file in `label_templates`; a new kind of printer is one more writer.
"""
