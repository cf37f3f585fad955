"""Tests in a browser: a package, so that its fixtures can last as long as the folder."""
