"""The commands of ``noonhold``, one a file; what they do stands in the files above."""
