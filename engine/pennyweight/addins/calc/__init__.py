"""The extension for LibreOffice: the worksheet functions in Calc's cells."""
