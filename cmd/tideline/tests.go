package main

import (
	"bytes"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"tideline/engine/evidence"
	"tideline/engine/record"
	"tideline/explain/sheet"
	"tideline/explain/words"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/yamlfile"
)

func newTests(a *app) *cobra.Command {
	c := &cobra.Command{
		Use:   "tests COMMAND",
		Short: "Gives test results to a spreadsheet, and takes new ones from it",
		Long: `Writes every question of a book as a table that a spreadsheet can edit, with the
answers there are, and reads new results back into the record.`,
		Example: "  tideline tests out testdata/books/lantern-street-4.yaml",
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return unknownCommand(c, args)
			}
			return c.Help()
		},
	}
	c.AddCommand(newTestsOut(a), newTestsIn(a))
	return c
}

func newTestsOut(a *app) *cobra.Command {
	c := &cobra.Command{
		Use:   "out BOOK",
		Short: "Writes the questions of a book as CSV, with the answers there are",
		Long: `Writes one row for every question that a test of the book's things can answer:
thing, question, asks, answer, date, by, at (mm from the left and the top), note,
state (why no answer stands) and takes (what an answer looks like).

It is CSV by RFC 4180, in UTF-8 with a byte order mark. Grades are written 4.5,
not 4-5, which spreadsheets take for a day. A text that a spreadsheet would run as
a formula has an apostrophe in front; 'tests in' takes it away.`,
		Example: `  tideline tests out testdata/books/lantern-street-4.yaml --on record
  tideline tests out testdata/books/lantern-street-4.yaml --json`,
		Args:              takes(1, 1),
		ValidArgsFunction: completeBooks,
		RunE: func(_ *cobra.Command, args []string) error {
			p, err := a.loadPack()
			if err != nil {
				return err
			}
			b, err := a.load(args[0], p)
			if err != nil {
				return err
			}
			c, err := a.gather(b, p)
			if err != nil {
				return err
			}
			if a.json {
				return a.writeJSON(sheet.Rows(c))
			}
			return a.write(string(sheet.CSV(sheet.Rows(c))))
		},
	}
	a.onFlag(c)
	return c
}

func newTestsIn(a *app) *cobra.Command {
	var write bool
	c := &cobra.Command{
		Use:   "in BOOK TABLE",
		Short: "Adds the new results of a CSV table to a record",
		Long: `Reads a table as 'tests out' writes it, and prints the record with the new results
added to its tests; nothing else in it changes, comments and order stay. With
--write the record itself is replaced, whole or not at all.

A table only adds. A row that says what the record says changes nothing, and a row
left out takes nothing away. To record a new test, write answer and date over the
old ones, or in a copy of the row; the earlier result stays in the record. With a
single fault in the table nothing is added (exit code 3).

Cells may be parted by commas, semicolons or tabs, columns may stand in any order,
and by, at and note may be missing.`,
		Example: `  tideline tests out testdata/books/lantern-street-4.yaml | tideline tests in testdata/books/lantern-street-4.yaml -
  tideline tests in testdata/books/lantern-street-4.yaml testdata/sheets/lantern-street-4.csv --json`,
		Args: takes(2, 2),
		ValidArgsFunction: func(c *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
			if len(args) == 1 {
				return []string{"csv"}, cobra.ShellCompDirectiveFilterFileExt
			}
			return completeBooks(c, args, word)
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.testsIn(args[0], args[1], write) },
	}
	c.Flags().BoolVar(&write, "write", false, "write the new results into BOOK instead of printing the record")
	return c
}

// testsIn adds the new results of a table to a record.
func (a *app) testsIn(book, table string, write bool) error {
	switch {
	case book == "-" && table == "-":
		return wrongUse{errors.New("book and table cannot both come from standard input; give one of them as a file")}
	case book == "-" && write:
		return wrongUse{errors.New("--write needs a file to write to; without it the record is printed")}
	}
	p, err := a.loadPack()
	if err != nil {
		return err
	}
	faults := &fault.List{}
	data := yamlfile.Read(book, a.stdin, faults)
	rows := yamlfile.Read(table, a.stdin, faults)
	if err := faults.Err(); err != nil {
		return unwritten{err}
	}
	in, err := addTable(book, data, table, rows, p)
	if err != nil {
		return err
	}
	if write && len(in.news) > 0 {
		if err := a.replaceUnchanged(book, data, in.record); err != nil {
			return err
		}
	}
	return a.tellAdded(in, write)
}

// added is what came of a table.
type added struct {
	record []byte
	news   []sheet.New
	notes  []string
}

// addTable adds the rows of a table to the bytes of a record.
func addTable(book string, data []byte, table string, rows []byte, p *pack.Pack) (*added, error) {
	faults, today, w := &fault.List{}, time.Now(), record.WordsOf(p)
	b := record.Parse(book, data, w, today, faults)
	if err := faults.Err(); err != nil {
		return nil, unwritten{err}
	}
	in := &added{news: sheet.Read(table, rows, evidence.Gather(p, b, time.Time{}), today, faults)}
	if err := faults.Err(); err != nil {
		return nil, unwritten{err}
	}
	out, misfits := record.Append(book, data, sheet.Results(in.news), w, today, faults)
	if err := faults.Err(); err != nil {
		return nil, unwritten{err}
	}
	if len(misfits) > 0 {
		return nil, unwritten{sheet.Misfits(table, in.news, misfits)}
	}
	in.record = out
	now := record.Parse(book, out, w, today, faults)
	if err := faults.Err(); err != nil {
		return nil, internal{fmt.Errorf("the new record does not read back: %w", err)}
	}
	in.notes = sheet.Notes(evidence.Gather(p, now, time.Time{}), in.news)
	return in, nil
}

// replaceUnchanged replaces the record unless someone else has changed it since it was read.
func (a *app) replaceUnchanged(book string, was, is []byte) error {
	faults := &fault.List{}
	if now := yamlfile.Read(book, a.stdin, faults); !bytes.Equal(now, was) {
		return badInput{fmt.Errorf("%s was changed by someone else meanwhile. Nothing was written; run the command again.", book)}
	}
	return replaceFile(book, is)
}

// addedJSON is what came of a table, for programs.
type addedJSON struct {
	Added  []addedRow `json:"added"`
	Notes  []string   `json:"notes"`
	Record string     `json:"record,omitempty"` // the new record; left out when it was written
}

type addedRow struct {
	Number int `json:"row"` // in the table
	sheet.Row
}

func (a *app) tellAdded(in *added, write bool) error {
	if a.json {
		j := addedJSON{Added: []addedRow{}, Notes: in.notes}
		for _, n := range in.news {
			j.Added = append(j.Added, addedRow{n.Row, n.Cells()})
		}
		if !write {
			j.Record = string(in.record)
		}
		return a.writeJSON(j)
	}
	for _, n := range in.notes {
		fmt.Fprintln(a.stderr, words.Safe(n))
	}
	if write {
		return a.write(words.Added(len(in.news)) + "\n")
	}
	fmt.Fprintln(a.stderr, words.Added(len(in.news)))
	return a.write(string(in.record))
}
