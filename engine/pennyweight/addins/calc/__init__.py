"""The LibreOffice door: our functions in Calc's cells, as an extension."""
