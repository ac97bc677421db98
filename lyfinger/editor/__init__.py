"""What an editor shows while a score is written: findings, reasons, and edits to take, over the open texts."""
