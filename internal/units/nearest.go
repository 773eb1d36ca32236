package units

import "strings"

// Nearest returns the known names that word may have been meant to be, those
// with the fewest slips, three at most; none when nothing is near. A slip is a
// letter too many, missing or wrong. Case does not count, and a word cut short
// is one slip.
func Nearest(word string, known []string) []string {
	const most = 3
	least := 1 + min(len(word)/4, 2) // more slips than that is another word
	var near []string
	word = strings.ToLower(word)
	for _, name := range known {
		n := slips(word, strings.ToLower(name), least)
		if n < least {
			near, least = near[:0], n
		}
		if n == least && len(near) < most {
			near = append(near, name)
		}
	}
	return near
}

// slips returns the edit distance of a and b in bytes (Levenshtein), or more
// than most where that is certain beforehand.
func slips(a, b string, most int) int {
	if a != "" && strings.HasPrefix(b, a) {
		return min(len(b)-len(a), 1)
	}
	if max(len(a)-len(b), len(b)-len(a)) > most {
		return most + 1
	}
	row := make([]int, len(b)+1) // distances of the part of a done to each part of b
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, diagonal+1, row[j]+1)
		}
	}
	return row[len(b)]
}
