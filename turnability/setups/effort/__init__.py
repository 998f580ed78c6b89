"""What a plan takes of the shop: its lathes, its tools, minutes and money."""
