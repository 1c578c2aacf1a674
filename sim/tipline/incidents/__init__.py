"""What may have put a truck down: findings weighed against the runs of each cause that is thought of."""
