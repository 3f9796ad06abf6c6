"""The film of a supply, its subtitles, and the same pictures as stills for slides."""

from __future__ import annotations

from railwright.documents.film.making import Film, TooShort, film, plan
from railwright.documents.film.stills import earlier_stills, stills

__all__ = ["Film", "TooShort", "earlier_stills", "film", "plan", "stills"]
