def because_words(b, words): return "x"
