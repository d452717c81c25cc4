"""Workbooks altered at random, with seeds that repeat them."""
