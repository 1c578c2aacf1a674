"""What a set-up or a route asks of a floor, over all that is not known, against two numbers."""
