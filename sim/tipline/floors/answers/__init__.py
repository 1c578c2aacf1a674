"""What is asked of a floor and answered: the report, questions, remedies, spreaders, sheet, maps."""
