"""The version of the program; it moves with each release (DEVELOPERS.md, "Make a release")."""

VERSION = "0.2.0"
