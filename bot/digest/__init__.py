"""The week computed, then shown as text, picture, document and exchange files."""
