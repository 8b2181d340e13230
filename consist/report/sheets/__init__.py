"""The sheets: results as plain blocks, every figure in words with the unrounded figure behind it; a file a sheet."""

__all__: list[str] = []
