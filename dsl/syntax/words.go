package syntax

// Joiners lists the words that join inside a statement, sorted.
func Joiners() []string { return append([]string(nil), joiners...) }

// Instead tells what this language says instead of a word that a writer may
// bring along from elsewhere; it is empty for any other word.
func Instead(word string) string { return habits[word] }
