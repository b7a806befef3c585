"""Web server and worker held together on one machine, for the demo and for a small shop."""
