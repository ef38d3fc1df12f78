// Package nearest finds the word a person probably meant.
package nearest

import "slices"

// Word gives the candidate closest to word, or "" when none is close enough to be worth offering: at most one slip
// up to four characters, two up to eight, three above. A slip is one letter added, dropped, changed, or two
// neighbours swapped (optimal string alignment distance). A candidate that shares nothing with the word is not offered. Of
// equals the one with the fewest letters that the word does not have wins, then the first.
func Word(word string, candidates []string) string {
	limit := 1 + min(2, (len(word)-1)/4)
	best, strange, found := limit+1, 0, ""
	for _, c := range candidates {
		a, b := []rune(word), []rune(c)
		d := distance(a, b)
		if d == 0 || d >= max(len(a), len(b)) || d > limit {
			continue
		}
		if n := foreign(a, b); d < best || d == best && n < strange {
			best, strange, found = d, n, c
		}
	}
	return found
}

// foreign counts the letters of b that a does not have.
func foreign(a, b []rune) (n int) {
	for _, r := range b {
		if !slices.Contains(a, r) {
			n++
		}
	}
	return n
}

func distance(a, b []rune) int {
	if n := len(a) - len(b); n > 3 || n < -3 {
		return 4
	}
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
