"""The shop: places, people, machines and stock, and everything that can be set about them."""
