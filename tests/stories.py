"""What the stories of a shop share: a shop that has the tables, and how they put things back and ask."""

from __future__ import annotations

from builders import Play

from tagtrack.core.callout import Decoder
from tagtrack.core.reconcile import reconcile
from tagtrack.shop.lines.talk import Tone
from tagtrack.tables.loader import load

KNOWLEDGE = Decoder(load())


def knowing():
    """Return a Play at a shop that has the tables, standing in zone tail LEFT."""
    made = Play()
    made.job.shop.knowledge = KNOWLEDGE
    made("zone tail LEFT", Tone.NOTE)
    return made


def told(reply):
    """Return an answer as one text."""
    return "\n".join(reply.lines)


def findings(play, **how):
    """Return what a check finds and nobody has answered."""
    return reconcile(play.job.refresh(), KNOWLEDGE, **how).unanswered


def kinds(play, **how):
    """Return the kinds of what a check finds and nobody has answered."""
    return {f.kind for f in findings(play, **how)}


def refit(where):
    """Return the lines that put a part on and take its bag in hand."""
    return f"? <tag {where}>\non\n? <bag {where}>\n"
