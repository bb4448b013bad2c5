"""Ways to make a part side by side: print it whole, or cut plates and print the rest."""
