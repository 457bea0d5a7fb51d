"""WHAT THE CAMERA SEES: photos opened with care, every tag in them read, symbols that are damaged repaired.

The only folder that knows zxing-cpp. Read in this order: opening, straight, finders, repair, ladder, outline;
receiving, keepsake, looking for what a device sends.
"""
