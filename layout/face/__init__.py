"""What is hung: runs, seam costs, the plan, its check, set-out and order."""
