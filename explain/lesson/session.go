package lesson

import (
	"bufio"
	"errors"
	"io"
	"strings"

	"tideline/engine/lesson"
	"tideline/explain/text"
	"tideline/explain/words"
)

// mostTries is how often an exercise may be answered wrong.
const mostTries = 3

// mostTyped is how long a line may be, in bytes.
const mostTyped = 4096

// Session leads through one run.
type Session struct {
	Maker     *lesson.Maker
	Notes     *lesson.Notes
	Save      func(*lesson.Notes) error // called after every exercise
	Questions int
	Style     text.Style
	In        io.Reader
	Out       io.Writer
	Echo      bool // what is typed is not seen, so it is printed behind the prompt

	in  *bufio.Reader
	err error // the first failure to print
}

// LineError is a failure to read or to write a line.
type LineError struct{ Err error }

func (e *LineError) Error() string { return e.Err.Error() }

// Unwrap gives the failure itself.
func (e *LineError) Unwrap() error { return e.Err }

// errStop tells that the apprentice stopped, or that there is nothing more to read.
var errStop = errors.New("stopped")

// Run gives exercises until there were as many as asked for, the apprentice stops, or nothing more is typed. The sheet
// holds what was done, and is printed, also where there is an error: a fault of the pack or the program, or of writing.
func (s *Session) Run(sheet *lesson.Sheet) error {
	s.in = bufio.NewReaderSize(s.In, mostTyped)
	s.say(text.Lines(s.Style, words.LessonHead(sheet.Title, sheet.Seed), words.LessonKeys))
	var err error
	for n := 1; n <= s.Questions && err == nil; n++ {
		err = s.next(sheet, n)
	}
	if errors.Is(err, errStop) {
		err = nil
	}
	s.say("\n" + text.Sheet(sheet, s.Style))
	if err == nil {
		err = s.err
	}
	return err
}

// next gives one exercise, and has what it showed kept before the next.
func (s *Session) next(sheet *lesson.Sheet, n int) error {
	e, err := s.Maker.Next()
	if err != nil {
		return err
	}
	if e == nil {
		s.say("\n" + text.Lines(s.Style, words.NoMoreExercises))
		return errStop
	}
	s.say("\n" + text.Exercise(e, n, s.Questions, s.Style))
	row, first, err := s.exercise(e)
	if errors.Is(err, errStop) {
		s.say(text.Lines(s.Style, words.StoppedNow))
	}
	if err != nil {
		return err
	}
	sheet.Rows = append(sheet.Rows, row)
	e.Note(s.Notes, first, row.Outcome)
	return s.Save(s.Notes)
}

// exercise asks one exercise until it is right, given up, or told.
func (s *Session) exercise(e *lesson.Exercise) (row lesson.Row, first *lesson.Mark, err error) {
	row.Exercise = e
	hints, err := Hints(e)
	if err != nil {
		return row, nil, err
	}
	for {
		line, err := s.line()
		if err != nil {
			return row, first, err
		}
		switch strings.ToLower(line) {
		case "q", "quit":
			return row, first, errStop
		case "", "help":
			s.say(text.Lines(s.Style, words.LessonKeys))
			continue
		case "?":
			if s.hint(hints, &row) {
				return s.end(row, nil, first, lesson.Told)
			}
			continue
		case words.PassWord:
			return s.end(row, nil, first, lesson.Passed)
		}
		said, help := read(e, line)
		if help != "" {
			s.say(text.Lines(s.Style, help))
			continue
		}
		m, err := s.mark(&row, said, line)
		if err != nil {
			return row, first, err
		}
		if first == nil {
			first = m
		}
		switch {
		case m.Right && row.Tries == 1 && row.Hints == 0:
			return s.end(row, m, first, lesson.Right)
		case m.Right:
			return s.end(row, m, first, lesson.Helped)
		case row.Tries == mostTries:
			return s.end(row, nil, first, lesson.NotFound)
		}
		s.say(text.Lines(s.Style, words.TryAgain))
	}
}

// mark marks one answer and says how it came out.
func (s *Session) mark(row *lesson.Row, said lesson.Said, line string) (*lesson.Mark, error) {
	m, err := row.Exercise.Mark(said)
	if err != nil {
		return nil, err
	}
	if row.Tries++; row.Tries == 1 {
		row.Said = line
	}
	row.Needless = len(m.Needless)
	s.say(text.Marked(row.Exercise, m, s.Style))
	return m, nil
}

// hint gives the next hint, and tells whether it was the last, which holds the answer.
func (s *Session) hint(hints []string, row *lesson.Row) (last bool) {
	s.say(text.Lines(s.Style, words.HintNo(row.Hints+1, len(hints), hints[row.Hints])))
	row.Hints++
	return row.Hints == len(hints)
}

// end tells the answer with its rule and source. last is the mark of a right answer, nil when there was none.
func (s *Session) end(row lesson.Row, last, first *lesson.Mark, o lesson.Outcome) (lesson.Row, *lesson.Mark, error) {
	row.Outcome = o
	solution, err := text.Solution(row.Exercise, last, s.Style)
	if err != nil {
		return row, first, err
	}
	if o.Points() == 0 {
		solution = text.Lines(s.Style, words.TheAnswer+":") + solution
	}
	s.say(solution)
	return row, first, nil
}

// line reads one line. What is longer than a line may be is read to its end and not taken.
func (s *Session) line() (string, error) {
	for {
		s.say("> ")
		b, more, err := s.in.ReadLine()
		long := more
		for more && err == nil {
			_, more, err = s.in.ReadLine()
		}
		if s.err != nil {
			return "", s.err
		}
		if err != nil {
			s.say("\n")
			if err == io.EOF {
				return "", errStop
			}
			return "", &LineError{err}
		}
		if long {
			s.say("\n" + text.Lines(s.Style, words.LineTooLong))
			continue
		}
		line := strings.TrimSpace(strings.ToValidUTF8(string(b), "\uFFFD"))
		if s.Echo {
			s.say(words.Safe(line) + "\n")
		}
		return line, nil
	}
}

func (s *Session) say(t string) {
	if s.err != nil {
		return
	}
	if _, err := io.WriteString(s.Out, t); err != nil {
		s.err = &LineError{err}
	}
}
