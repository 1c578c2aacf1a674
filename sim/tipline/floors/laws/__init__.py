"""How a floor answers the tyres of a simulation: from what is told of it to the laws that are stepped."""
