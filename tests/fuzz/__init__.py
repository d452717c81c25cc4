"""Books altered at random, by seeds that can be repeated."""
