"""Where tyres stand: patches in plan, the zones under them, the way, and what each tyre carries."""
