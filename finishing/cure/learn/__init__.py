"""The shop teaches the program: how much slower or faster a finish hardens here, learned from touch tests.

`observations` reads a folded record, `learn` weighs them all, `Learned.factors` goes into every window.
"""

from finishing.cure.learn.learned import Learned, learn
from finishing.cure.learn.observation import Observation, observations, together
from finishing.cure.learn.posterior import Lessons
from finishing.cure.learn.rules import Rules

__all__ = ["Learned", "Lessons", "Observation", "Rules", "learn", "observations", "together"]
