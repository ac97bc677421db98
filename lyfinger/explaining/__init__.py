"""Why a note has its digit: the rules that decided, their sources, and what else there was."""
