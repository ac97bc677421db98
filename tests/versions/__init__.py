"""The tests under several Pythons, with the oldest and the newest allowed libraries, and under several engravers."""
