package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tideline/engine/audit"
	"tideline/engine/seal"
	"tideline/explain/auditing"
	"tideline/explain/data"
	"tideline/explain/text"
	"tideline/rules/fault"
	"tideline/rules/yamlfile"
)

// auditings is what `tideline audit` was asked for.
type auditings struct {
	record, trust, witness, failOn, html string
	causes                               bool
}

// auditStops are the words of --fail-on, and whether a decision calls for attention by each.
var auditStops = map[string]func(*audit.Report) bool{
	"broken": func(r *audit.Report) bool { return r.Result == audit.Broken },
	"unsound": func(r *audit.Report) bool {
		return slices.ContainsFunc(r.Decisions, func(d *audit.Decision) bool { return len(d.Findings) > 0 })
	},
	"drift": func(r *audit.Report) bool {
		return slices.ContainsFunc(r.Decisions, func(d *audit.Decision) bool { return d.Now != nil && len(d.Now.Moves) > 0 })
	},
}

var auditStopWords = []string{"drift", "unsound", "broken"}

func newAudit(a *app) *cobra.Command {
	var o auditings
	c := &cobra.Command{
		Use:   "audit FILE|DIR",
		Short: "Looks again at a sealed decision, or at all in a folder",
		Long: `Looks at a sealed decision again, or at every one in a folder and those below it.
The first line names the result: sound then and now; sound then, would be decided
otherwise now; not sound then; broken. It tells

  whether the chain is whole: any altered byte, missing or reordered link is
  found and named; what the chain cannot show without the number on the owner's
  sheet (--witness) is said
  whether the same record and packs give the same verdicts, byte for byte; where
  not, an independent checker says whose proof holds
  whether it was sound on what was known then: against advice without a reason,
  tests skipped, cautions not carried, answers gone stale when relied upon
  with a plan, whether it was carried out: steps passed over or out of order,
  tests not done again before a step, a stop nobody gave the reason of; with
  --record, by what today's record says was done
  what would be decided now, by today's packs, with --record by today's record,
  and what made each difference: an answer, a rule, a weight or the program, and
  whether that alone was enough; of a folder with --causes, since it takes longer

Packs laid over the shipped one are taken as they were sealed, unless --pack gives
today's.`,
		Example: `  tideline audit testdata/seals/edition-1/tin-harbour-0002.json --pack testdata/packs/tiny.yaml
  tideline audit testdata/seals/edition-1 --pack testdata/packs/tiny.yaml --json
  tideline audit testdata/seals/edition-1 --fail-on "broken|unsound" || echo "look at it"`,
		Args: takes(1, 1),
		ValidArgsFunction: func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			if len(args) > 0 {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			return []string{"json"}, cobra.ShellCompDirectiveFilterFileExt
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.audit(args[0], o) },
	}
	a.onFlag(c)
	f := c.Flags()
	f.StringVar(&o.record, "record", "", "judge the book's `RECORD` of today beside the sealed one")
	f.StringVar(&o.trust, "trust", "", "every link must be signed with this public `KEY`: its digits, or a file that holds them")
	f.StringVar(&o.witness, "witness", "", "the `NUMBER` on the owner's sheet, which a link must have")
	f.BoolVar(&o.causes, "causes", false, "of a folder too, find what made each verdict another (always found of one file)")
	f.StringVar(&o.failOn, "fail-on", "", "exit with 1 if the audit comes to any of these `WORDS`, joined by |: drift, unsound, broken")
	f.StringVar(&o.html, "html", "", "write the audit to `FILE` too, as a page to print")
	must(c.MarkFlagFilename("record", "yaml", "yml", "json"))
	must(c.MarkFlagFilename("html", "html"))
	must(c.RegisterFlagCompletionFunc("fail-on", cobra.FixedCompletions(auditStopWords, cobra.ShellCompDirectiveNoFileComp)))
	return c
}

func (a *app) audit(path string, o auditings) error {
	stops, err := stopWords(o.failOn)
	if err != nil {
		return err
	}
	info, err := os.Stat(path)
	if err != nil {
		return badInput{fmt.Errorf("%s cannot be looked at: %v. Give a sealed file, or a folder that holds some.", path, plainCause(err))}
	}
	if o.record == "" && a.on != "" {
		return wrongUse{errors.New("--on is the day to judge today's record for; give that with --record")}
	}
	options, err := a.auditOptions(o)
	if err != nil {
		return err
	}
	if options.Causes = o.causes || !info.IsDir(); info.IsDir() {
		return a.auditFolder(path, o, options, stops)
	}
	return a.auditFile(path, o, options, stops)
}

// stopWords reads --fail-on.
func stopWords(list string) (found []string, err error) {
	for word := range strings.SplitSeq(list, "|") {
		word = strings.ToLower(strings.TrimSpace(word))
		switch {
		case word == "":
		case slices.Contains(auditStopWords, word):
			found = append(found, word)
		default:
			return nil, wrongUse{fmt.Errorf("--fail-on: %q is none of %s%s", word, strings.Join(auditStopWords, ", "), didYouMean(word, auditStopWords))}
		}
	}
	return found, nil
}

// auditOptions gathers what the seals are held against.
func (a *app) auditOptions(o auditings) (opt audit.Options, err error) {
	if o.witness != "" {
		if opt.Witness, err = seal.ParseNumber(o.witness); err != nil {
			return opt, wrongUse{fmt.Errorf("--witness: %w", err)}
		}
	}
	if o.trust != "" {
		if opt.Trust, err = seal.ReadPublic(o.trust); err != nil {
			return opt, badInput{fmt.Errorf("--trust: %w", err)}
		}
	}
	layers, err := a.layers()
	if err != nil {
		return opt, err
	}
	if _, err := compile(layers); err != nil && len(a.packs) > 0 {
		return opt, err // a pack given that cannot be read is told before anything is audited
	}
	opt.Today = &audit.Today{Layers: layers, Given: len(a.packs) > 0}
	if o.record == "" {
		return opt, nil
	}
	faults := &fault.List{}
	text := yamlfile.Read(o.record, a.stdin, faults)
	if text == nil {
		return opt, faults.Err()
	}
	on := a.on
	if on == "" {
		on = time.Now().Format(time.DateOnly)
	}
	if _, err := time.Parse(time.DateOnly, on); err != nil && on != "record" {
		return opt, wrongUse{fmt.Errorf("--on %q is not a date: write 2026-10-12, or record", on)}
	}
	opt.Today.Record = &audit.Record{Name: o.record, Text: string(text), On: on}
	return opt, nil
}

// auditFile audits one decision, with the chain it stands in.
func (a *app) auditFile(path string, o auditings, opt audit.Options, stops []string) error {
	dir, file := filepath.Split(path)
	name, number, ok := seal.ParseName(file)
	if !ok {
		return badInput{fmt.Errorf("%s is not named as a sealed decision is, CASE-0001.json: its chain cannot be found. Give it its own name back; `tideline seal` printed it.", path)}
	}
	folder := seal.In(filepath.Clean(dir))
	cases, unfinished, err := folder.Cases()
	if err != nil {
		return badInput{fmt.Errorf("%s cannot be read: %v.", folder.Path, plainCause(err))}
	}
	r := audit.New(opt).Case(folder, name, cases[name], number)
	r.Unfinished = seal.UnfinishedOf(name, unfinished)
	outline := auditing.Of(r, false)
	page := func() (string, error) { return auditing.Page(outline) }
	if err := a.page(o.html, page); err != nil {
		return err
	}
	if a.json {
		err = a.writeJSON(data.Audit{Format: 1, Result: r.Result, Cases: []data.AuditCase{data.AuditOf(r)}})
	} else {
		err = a.write(text.Audit(outline, a.style()))
	}
	if err != nil {
		return err
	}
	return auditEnd(stops, r.Result == audit.NotJudged, stoppedBy(stops, r))
}

// auditFolder audits every case in a folder.
func (a *app) auditFolder(path string, o auditings, opt audit.Options, stops []string) error {
	if opt.Today.Record != nil {
		return wrongUse{errors.New("--record is one book's; give one of its sealed files, not a folder")}
	}
	summary, result := &auditing.Summary{}, data.Audit{Format: 1, Cases: []data.AuditCase{}}
	stopped, witnessed := false, 0
	err := audit.New(opt).Folder(path, a.progress(), func(r *audit.Report) error {
		summary.Add(r)
		stopped = stopped || stoppedBy(stops, r)
		witnessed += min(1, r.Witnessed)
		if a.json {
			result.Cases = append(result.Cases, data.AuditOf(r))
		}
		return nil
	})
	switch {
	case err != nil:
		return badInput{fmt.Errorf("%s cannot be read: %v.", path, plainCause(err))}
	case summary.Cases == 0:
		return badInput{fmt.Errorf("%s holds no sealed decision: they are called CASE-0001.json and so on.", path)}
	case opt.Witness != "" && summary.Cases > 1:
		return wrongUse{fmt.Errorf("--witness is the number of one case, and %s holds %d; give one of its files", path, summary.Cases)}
	}
	if err := a.page(o.html, func() (string, error) { return auditing.FolderPage(summary) }); err != nil {
		return err
	}
	if a.json {
		result.Result = summary.Result
		err = a.writeJSON(result)
	} else {
		err = a.write(text.AuditFolder(summary, a.style()))
	}
	if err != nil {
		return err
	}
	return auditEnd(stops, summary.Counts[audit.NotJudged] > 0, stopped)
}

// page writes the audit as a page, where one was asked for.
func (a *app) page(path string, make func() (string, error)) error {
	if path == "" {
		return nil
	}
	page, err := make()
	if err != nil {
		return internal{err}
	}
	return replaceFile(path, []byte(page))
}

func stoppedBy(stops []string, r *audit.Report) bool {
	return slices.ContainsFunc(stops, func(word string) bool { return auditStops[word](r) })
}

// auditEnd picks the end of a run that printed its audit.
func auditEnd(stops []string, unread, stopped bool) error {
	switch {
	case stopped:
		return attention{fmt.Errorf("the audit came to %s", strings.Join(stops, " or "))}
	case unread:
		return badInput{errors.New("A decision could not be judged again; the audit says why. Nothing was changed.")}
	}
	return nil
}
