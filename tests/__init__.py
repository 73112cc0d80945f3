"""The tests of noonhold; the folders mirror the package."""
