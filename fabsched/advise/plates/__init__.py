"""Print a part whole, or cut plates out of it and print only what stands on them."""
