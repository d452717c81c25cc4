"""The Excel door, over the BSD part of xlwings."""
