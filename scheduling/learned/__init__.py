"""What is learned from a family's answers: the times at which it answers, and where the told day is no longer true.

Pure: from what was heard before a moment to values. Entries in another order give the same answer: evidence is added up
in whole numbers.
"""
