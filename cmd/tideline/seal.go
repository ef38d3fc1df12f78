package main

import (
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tideline/engine/decision"
	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/engine/record"
	"tideline/engine/seal"
	"tideline/engine/seal/edition1"
	"tideline/explain/data"
	"tideline/explain/text"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/yamlfile"
)

// sealing is what `tideline seal` was asked for.
type sealing struct {
	into, name, decision, key, newKey, at string
	noPlan                                bool
	limit                                 time.Duration
}

func newSeal(a *app) *cobra.Command {
	var s sealing
	c := &cobra.Command{
		Use:   "seal BOOK",
		Short: "Seals a decision: all it was made from and all it said, in one file",
		Long: `Judges a book and seals the decision: the record, the packs, the aims and weights,
every verdict with its proof, and the plan recommended ('tideline plan' shows it),
in one numbered file that cannot be altered unnoticed. Each names the one before
it, so that the decisions of a case form a chain; 'tideline audit' looks at it
again, years later if need be.

What you decided goes in with --decision, a small YAML file:

  decision: 1
  by: M. K.
  accepted:
    - {step: brush, on: cover/outside, cautions: yes}
  departures:
    - {step: bath, on: cover, did: two minutes on a float, because: the reason}
  consent: {by: the owner, date: 2026-10-14, form: signed sheet}

'cautions: yes' says that its cautions and stop signs stand in your working notes.
'accepted: plan' in place of the list takes up every step of the plan but those
departed from; a plan carries its cautions and stop signs itself. What is not
advised can only be departed to, with a reason; where it is ruled out,
the proof of that is printed first. Without --decision the seal says that none is
recorded yet.

The short number printed belongs on the owner's sheet: it is the witness that
nothing was cut off or written anew. --key signs with an ed25519 key that
--new-key makes.`,
		Example: `  tideline seal testdata/books/lantern-street-4.yaml --into "$(mktemp -d)"
  tideline seal testdata/books/lantern-street-4.yaml --on record --into "$(mktemp -d)" --decision testdata/seals/lantern-street-4.decision.yaml
  tideline seal --new-key "$(mktemp -d)/studio.key"`,
		Args:              takes(0, 1),
		ValidArgsFunction: completeBooks,
		RunE: func(_ *cobra.Command, args []string) error {
			switch {
			case s.newKey != "" && len(args) > 0:
				return wrongUse{errors.New("--new-key makes a key and seals nothing; give it alone, then seal with --key")}
			case s.newKey != "":
				return a.newKey(s.newKey)
			case len(args) == 0:
				return wrongUse{errors.New("no book was given; it is `tideline seal BOOK`")}
			case args[0] == "-" && s.decision == "-":
				return wrongUse{errors.New("book and decision cannot both come from standard input")}
			}
			return a.seal(args[0], s)
		},
	}
	a.onFlag(c)
	f := c.Flags()
	f.StringVar(&s.into, "into", "", "seal into the folder `DIR` (default: the folder seals beside the book)")
	f.StringVar(&s.name, "case", "", "the `NAME` of the case (default: the name of the book's file)")
	f.StringVar(&s.decision, "decision", "", "seal what you decided, from `FILE`")
	f.StringVar(&s.key, "key", "", "sign with the key in `FILE`")
	f.StringVar(&s.newKey, "new-key", "", "make a key in `FILE`, which must not be there yet, and print its public half")
	f.BoolVar(&s.noPlan, "no-plan", false, "seal no plan, where the time it takes is not wanted")
	f.DurationVar(&s.limit, "limit", 10*time.Second, "search for a plan no longer than this `TIME`; the seal says when it was cut short")
	f.StringVar(&s.at, "at", "", "record this `TIME` of sealing, as in 2026-10-14T15:30:00Z (default: now)")
	must(c.MarkFlagDirname("into"))
	must(c.MarkFlagFilename("decision", "yaml", "yml", "json"))
	must(c.MarkFlagFilename("key"))
	return c
}

// newKey makes a key file.
func (a *app) newKey(path string) error {
	secret := make([]byte, ed25519.SeedSize)
	if _, err := rand.Read(secret); err != nil {
		return internal{fmt.Errorf("no random bytes for a key: %w", err)}
	}
	public, err := seal.NewKey(path, secret)
	switch {
	case errors.Is(err, fs.ErrExist):
		return badInput{fmt.Errorf("%s is there already, and a key is never overwritten. Give another name.", path)}
	case errors.As(err, &seal.Unconfirmed{}):
		return ofMachine{fmt.Errorf("the key in %s: %w. See to the disk, and make another key.", path, err)}
	case err != nil:
		return badInput{fmt.Errorf("%s cannot be written: %v. Nothing was made.", path, plainCause(err))}
	}
	if a.json {
		return a.writeJSON(data.Key{Format: 1, File: path, Public: public})
	}
	return a.write(text.NewKey(path, public, a.style()))
}

// seal judges a book and seals the decision.
func (a *app) seal(book string, s sealing) error {
	where, name, err := s.place(book)
	if err != nil {
		return err
	}
	at, err := s.time()
	if err != nil {
		return err
	}
	var key ed25519.PrivateKey
	if s.key != "" {
		if key, err = seal.ReadKey(s.key); err != nil {
			return badInput{fmt.Errorf("--key: %w", err)}
		}
	}
	g, src, err := a.judgeWhole(book)
	if err != nil {
		return err
	}
	advice := decision.Advice{Judgement: g}
	if !s.noPlan {
		if advice.Plan, err = a.planToSeal(g, s.limit); err != nil {
			return err
		}
	}
	d, err := a.decided(s.decision, advice)
	if err != nil {
		return err
	}
	body, err := seal.New(g, src)
	if err != nil {
		return internal{err}
	}
	body.Case, body.At = name, at
	if advice.Plan != nil {
		body.Plan = advice.Plan.Sealed()
	}
	if d != nil {
		body.Decision = d.Sealed()
	}
	if err := a.beforeSealing(advice, d); err != nil {
		return err
	}
	return a.add(where, body, key, d)
}

// nextSealed is how many of the next best plans are sealed with the plan.
const nextSealed = 2

// planToSeal finds the plan that is sealed as the one recommended; nil where the answers cannot all be true, for which none is
// made.
func (a *app) planToSeal(g *judge.Judgement, limit time.Duration) (*plan.Plan, error) {
	if len(g.Contradictions) > 0 {
		return nil, nil
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	ctx, cancel := context.WithTimeout(ctx, limit)
	defer cancel()
	defer a.waiting("looking for a plan to seal; Ctrl-C takes the best so far, --no-plan does without")()
	p, err := plan.Make(ctx, g, plan.Options{Next: nextSealed})
	if err != nil {
		return nil, badInput{fmt.Errorf("no plan can be made by these packs: %w. Nothing was sealed; --no-plan seals the verdicts alone.", err)}
	}
	return p, nil
}

// place gives the folder to seal into, and the name of the case.
func (s sealing) place(book string) (folder, name string, err error) {
	folder, name = s.into, s.name
	if book == "-" && (folder == "" || name == "") {
		return "", "", wrongUse{errors.New("a book from standard input has no name: give --case NAME and --into DIR")}
	}
	if folder == "" {
		folder = filepath.Join(filepath.Dir(book), "seals")
	}
	if name == "" {
		name = strings.TrimSuffix(filepath.Base(book), filepath.Ext(book))
	}
	if err := seal.CheckCase(name); err != nil {
		if s.name == "" {
			err = fmt.Errorf("%w; give one with --case NAME", err)
		}
		return "", "", wrongUse{err}
	}
	return folder, name, nil
}

// time gives the time of sealing, to the second.
func (s sealing) time() (string, error) {
	if s.at == "" {
		return time.Now().UTC().Truncate(time.Second).Format(time.RFC3339), nil
	}
	t, err := time.Parse(time.RFC3339, s.at)
	if err != nil {
		return "", wrongUse{fmt.Errorf("--at %q is not a time: write 2026-10-14T15:30:00Z, or with +02:00 in place of the Z", s.at)}
	}
	return t.UTC().Truncate(time.Second).Format(time.RFC3339), nil
}

// judgeWhole judges a book, and keeps the files that the judgement was made from.
func (a *app) judgeWhole(book string) (*judge.Judgement, seal.Sources, error) {
	src := seal.Sources{RecordName: book}
	layers, err := a.layers()
	if err != nil {
		return nil, src, err
	}
	src.Layers = layers
	trimmed := make([]pack.Layer, 0, len(layers))
	for _, l := range layers {
		trimmed = append(trimmed, pack.Trim(l))
	}
	p, err := compile(trimmed)
	if err != nil {
		return nil, src, err
	}
	faults := &fault.List{}
	src.RecordText = yamlfile.Read(book, a.stdin, faults)
	var b *record.Book
	if src.RecordText != nil {
		b = record.Parse(book, src.RecordText, record.WordsOf(p), time.Now(), faults)
	}
	if err := faults.Err(); err != nil {
		return nil, src, err
	}
	g, err := a.judgeBook(b, p)
	return g, src, err
}

// decided reads the decision, nil when none was given.
func (a *app) decided(path string, advice decision.Advice) (*decision.Decision, error) {
	if path == "" {
		return nil, nil
	}
	faults := &fault.List{}
	d := decision.Load(path, a.stdin, advice, time.Now(), faults)
	return d, faults.Err()
}

// beforeSealing prints the proofs of what is gone against, then what must be at hand with the steps decided on. With --json
// it is for the person all the same, and goes beside the result.
func (a *app) beforeSealing(advice decision.Advice, d *decision.Decision) error {
	if d == nil {
		return nil
	}
	overrides := text.Overrides(advice.Judgement, d.Overrides(), a.style())
	if a.json {
		_, err := io.WriteString(a.stderr, overrides)
		return err
	}
	return a.write(overrides + text.AtHand(advice, d.ToDo(), a.style()))
}

// add seals a body as the next of its case, and prints what was sealed.
func (a *app) add(where string, body *edition1.Body, key ed25519.PrivateKey, d *decision.Decision) error {
	folder := seal.In(where)
	if err := folder.Make(); err != nil {
		return badInput{fmt.Errorf("the folder %s cannot be made: %v. Nothing was sealed.", where, plainCause(err))}
	}
	added, err := folder.Add(body, key)
	if added.File == "" {
		return notSealed(where, err)
	}
	path := filepath.Join(where, added.File)
	var meanwhile []string
	for _, n := range added.Meanwhile {
		meanwhile = append(meanwhile, seal.FileName(body.Case, n))
	}
	var overrides []data.Place
	if d != nil {
		for _, o := range d.Overrides() {
			overrides = append(overrides, data.Place{Treatment: o.Verdict.Treatment.ID, On: o.Verdict.Target.Path})
		}
	}
	printed := error(nil)
	if a.json {
		printed = a.writeJSON(data.Seal(path, body, added.Link, meanwhile, overrides))
	} else {
		printed = a.write(text.Sealed(path, body, added.Link, meanwhile, a.style()))
	}
	switch {
	case err != nil:
		return ofMachine{fmt.Errorf("%s is sealed and holds; but %w. See to the disk, and look at the file with `tideline audit %s`.", path, err, path)}
	case printed != nil:
		return internal{fmt.Errorf("%s is sealed, but: %w", path, printed)}
	}
	return nil
}

// notSealed says why nothing was sealed, and what to do.
func notSealed(where string, err error) error {
	var broken seal.BrokenChain
	switch {
	case errors.As(err, &broken):
		return badInput{fmt.Errorf("the chain in %s is broken: %w. Nothing was sealed. `tideline audit %s` shows all of it; put back what is missing or altered, or start a new case with --case.", where, err, where)}
	case errors.As(err, &seal.Locked{}):
		return badInput{fmt.Errorf("%w. Nothing was sealed.", err)}
	case isDiskFault(err):
		return ofMachine{fmt.Errorf("nothing was sealed in %s: %v. What was there is as it was. Make room or see to the disk, or seal into another folder with --into, and seal again.", where, plainCause(err))}
	}
	return badInput{fmt.Errorf("nothing could be sealed in %s: %v. What was there is as it was.", where, plainCause(err))}
}
