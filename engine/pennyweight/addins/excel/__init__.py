"""The add-in for Excel, on the BSD part of xlwings."""
