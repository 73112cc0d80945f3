"""The commands of ``python -m batch``, one a file; what they do stands in the files above."""
