"""What the owner gets: findings in, letter, page and cards out as bytes."""
