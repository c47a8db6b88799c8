"""(Situation, time) -> Sentence."""
