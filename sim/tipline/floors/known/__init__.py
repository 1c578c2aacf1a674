"""What is known of a floor, as bands from optimistic to pessimistic, and how it is drawn."""
