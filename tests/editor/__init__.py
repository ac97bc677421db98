"""The editor: the desk by itself, and the server with a real client."""
