package lesson

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/lesson"
	"tideline/explain/words"
	"tideline/rules/nearest"
)

// read reads an answer as it was typed. help says what is wrong with one that cannot be marked; "" when it can.
func read(e *lesson.Exercise, line string) (s lesson.Said, help string) {
	if e.Kind == lesson.Answer {
		return readAnswer(e, line)
	}
	names := choices(e)
	if e.Kind == lesson.Out && strings.EqualFold(line, words.NoneOfThem) {
		return s, ""
	}
	for _, item := range items(line) {
		at, help := find(e, names, item)
		if help != "" {
			return s, help
		}
		if !slices.Contains(s.Picks, at) {
			s.Picks = append(s.Picks, at)
		}
	}
	switch {
	case len(s.Picks) == 0:
		return s, words.NoAnswerGiven
	case e.Kind == lesson.Order && len(s.Picks) < len(names):
		return s, fmt.Sprintf(words.GiveAll, len(names))
	case e.Kind == lesson.Verdict || e.Kind == lesson.Principle:
		if len(s.Picks) > 1 {
			return s, words.OneOnly
		}
	}
	if e.Kind == lesson.Verdict {
		return lesson.Said{Word: lesson.Words[s.Picks[0]]}, ""
	}
	return s, ""
}

// items splits what was typed: numbers at blanks and commas, words at commas only.
func items(line string) []string {
	fields := strings.FieldsFunc(line, func(r rune) bool { return r == ',' || r == ';' || r == ' ' || r == '\t' })
	if !slices.ContainsFunc(fields, func(f string) bool { return !number(f) }) {
		return fields
	}
	var list []string
	for _, item := range strings.FieldsFunc(line, func(r rune) bool { return r == ',' || r == ';' }) {
		if item = strings.TrimSpace(item); item != "" {
			list = append(list, item)
		}
	}
	return list
}

func number(s string) bool {
	_, err := strconv.Atoi(s)
	return err == nil
}

// choices gives, for each place of an exercise's list, the names that stand for it, lower-case. Those of a reason are its
// numbered results.
func choices(e *lesson.Exercise) (list [][]string) {
	asks := e.Judgement.Case.Asks
	switch e.Kind {
	case lesson.Verdict:
		for _, w := range lesson.Words {
			list = append(list, []string{string(w)})
		}
	case lesson.Out, lesson.Order:
		for _, v := range e.Verdicts {
			list = append(list, verdictNames(v))
		}
	case lesson.Next:
		for _, n := range e.Asks {
			list = append(list, []string{strings.ToLower(words.Path(asks[n]))})
		}
	case lesson.Principle:
		for _, p := range e.Principles {
			list = append(list, []string{p.ID})
		}
	case lesson.Reason:
		for _, n := range e.Shown {
			list = append(list, []string{strings.ToLower(words.Path(asks[n]))})
		}
	}
	return list
}

func verdictNames(v *judge.Verdict) []string {
	return []string{strings.ToLower(words.On(v.Treatment.Name, v.Target.Path)), strings.ToLower(v.Treatment.Name), v.Treatment.ID}
}

// find finds the place that a number or a name stands for; of a reason, the number of the question.
func find(e *lesson.Exercise, names [][]string, item string) (at int, help string) {
	if n, err := strconv.Atoi(item); err == nil {
		if n < 1 || n > len(names) {
			return 0, words.NoSuchNumber(item, len(names))
		}
		return place(e, n-1), ""
	}
	word := strings.ToLower(strings.TrimRight(item, "."))
	var all []string
	for i, list := range names {
		if slices.Contains(list, word) {
			return place(e, i), ""
		}
		all = append(all, list...)
	}
	if e.Kind == lesson.Reason {
		return findEvidence(e, word)
	}
	return 0, words.NoSuchName(item, nearest.Word(word, all))
}

// place is what a place in the list stands for.
func place(e *lesson.Exercise, i int) int {
	if e.Kind == lesson.Reason {
		return e.Shown[i]
	}
	return i
}

// findEvidence finds an answer of the record by its path.
func findEvidence(e *lesson.Exercise, word string) (number int, help string) {
	var all []string
	for n, a := range e.Judgement.Case.Asks {
		if !lesson.Nameable(a) {
			continue
		}
		name := strings.ToLower(words.Path(a))
		if name == word {
			return n, untested(a)
		}
		all = append(all, name)
	}
	return 0, words.NoSuchName(word, nearest.Word(word, all))
}

func untested(a evidence.Ask) string {
	if a.Answer.Known {
		return ""
	}
	return words.NotTestedYet(words.Path(a))
}

func readAnswer(e *lesson.Exercise, line string) (s lesson.Said, help string) {
	q := e.Judgement.Case.Asks[e.Hidden].Question
	a, near, err := q.Parse(line)
	if err != nil {
		return s, words.NotAnAnswer(line, err, near)
	}
	return lesson.Said{Answer: a}, ""
}
