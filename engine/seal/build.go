package seal

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/seal/edition1"
	"tideline/rules/pack"
	"tideline/rules/vocab"
	"tideline/rules/yamlfile"
)

// Judge is which way of judging this program has. It is raised when the same record and packs can come to other verdicts
// or proofs than before, so that a difference found in an audit can be told from damage.
const Judge = "1"

// Sources are the files that a judgement was made from.
type Sources struct {
	RecordName string
	RecordText []byte
	Layers     []pack.Layer // whole, with their trials; the lowest first
}

// New makes the body of a seal: all but its place in a chain, the plan and the decision. The sources must be those of the
// judgement.
func New(g *judge.Judgement, src Sources) (*edition1.Body, error) {
	b := &edition1.Body{
		Edition: edition1.Edition, Judge: Judge, On: g.Case.On.Format(time.DateOnly), Aims: slices.Clone(g.Aims), Weights: weights(g.Weights),
		Record: recordOf(g.Case, src),
	}
	if err := addPacks(b, g.Case.Pack.Layers, src.Layers); err != nil {
		return nil, err
	}
	for _, c := range g.Contradictions {
		b.Clashes = append(b.Clashes, edition1.Clash{Never: c.Never.ID, On: c.Thing.Path})
	}
	p := newProver(g)
	for _, v := range g.Verdicts {
		b.Verdicts = append(b.Verdicts, p.verdict(v))
	}
	b.Steps = p.steps
	return b, nil
}

var errOtherPacks = errors.New("the packs to be sealed are not those that were judged by")

// addPacks puts the whole text of every file in, once for each hash.
func addPacks(b *edition1.Body, judged, whole []pack.Layer) error {
	if len(judged) != len(whole) {
		return errOtherPacks
	}
	texts := map[string][]byte{}
	for i, layer := range whole {
		if !sameFiles(pack.Trim(layer).Files, judged[i].Files) && !sameFiles(layer.Files, judged[i].Files) {
			return errOtherPacks
		}
		p := edition1.Pack{Name: judged[i].Name, SHA256: PackHash(layer)}
		for _, f := range layer.Files {
			sum := hash(f.Data)
			texts[sum] = f.Data
			p.Files = append(p.Files, edition1.File{Name: base(f.Name), SHA256: sum})
		}
		b.Packs = append(b.Packs, p)
	}
	for _, sum := range slices.Sorted(maps.Keys(texts)) {
		b.Texts = append(b.Texts, edition1.Text{SHA256: sum, Text: string(texts[sum])})
	}
	return nil
}

func sameFiles(a, b []pack.File) bool {
	return slices.EqualFunc(a, b, func(x, y pack.File) bool { return bytes.Equal(x.Data, y.Data) })
}

// Layers gives the packs of a body back, whole. A text that does not have the hash it stands under, or is missing, is an
// error.
func Layers(b *edition1.Body) ([]pack.Layer, error) {
	texts := map[string]string{}
	for _, t := range b.Texts {
		if len(t.Text) > yamlfile.MaxBytes {
			return nil, fmt.Errorf("the text with the hash %s is larger than a pack can be", t.SHA256)
		}
		if hash([]byte(t.Text)) != t.SHA256 {
			return nil, fmt.Errorf("the text of a pack does not have the hash %s that it stands under", t.SHA256)
		}
		texts[t.SHA256] = t.Text
	}
	var layers []pack.Layer
	for _, p := range b.Packs {
		layer := pack.Layer{Name: p.Name}
		for _, f := range p.Files {
			text, ok := texts[f.SHA256]
			if !ok {
				return nil, fmt.Errorf("the text of %s of the pack %s is missing", f.Name, p.Name)
			}
			layer.Files = append(layer.Files, pack.File{Name: f.Name, Data: []byte(text)})
		}
		if PackHash(layer) != p.SHA256 {
			return nil, fmt.Errorf("the pack %s does not have the hash %s that it is said to have", p.Name, p.SHA256)
		}
		layers = append(layers, layer)
	}
	return layers, nil
}

// PackHash is the SHA-256 of a pack: of the size in bytes, a line end and the bytes of each of its files, in their order.
// Where the files lie and what they are called does not matter.
func PackHash(l pack.Layer) string {
	h := sha256.New()
	for _, f := range l.Files {
		fmt.Fprintf(h, "%d\n", len(f.Data))
		h.Write(f.Data)
	}
	return hex.EncodeToString(h.Sum(nil))
}

func hash(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// base is a file's name without its folder, which is of no concern to anyone else.
func base(name string) string {
	return strings.ToValidUTF8(filepath.Base(filepath.ToSlash(name)), "\ufffd")
}

// recordOf is the record: its text, and what was read from it.
func recordOf(c *evidence.Case, src Sources) edition1.Record {
	b := c.Book
	r := edition1.Record{
		Name: base(src.RecordName), SHA256: hash(src.RecordText), Text: string(src.RecordText), Title: b.Title, By: b.By, Examined: moment(b.Examined),
		Aims: slices.Clone(b.Aims), AimsOpen: b.Aims == nil, Weights: weights(b.Weights),
	}
	for _, t := range b.Things {
		r.Things = append(r.Things, thing(t))
	}
	for i := range b.Results {
		res := &b.Results[i]
		if ofSize(res) {
			continue
		}
		r.Answers = append(r.Answers, edition1.Answer{
			Question: res.Question.ID, On: res.Thing.Path, Answer: AnswerText(res.Question, res.Answer), Unit: Unit(res.Question),
			Date: moment(res.Date), By: res.By, At: point(res.At), Note: res.Note,
		})
	}
	for _, d := range b.Done {
		r.Done = append(r.Done, edition1.Done{Step: d.Treatment, On: d.Target.Path, Date: moment(d.Date), By: d.By, Note: d.Note})
	}
	return r
}

// ofSize tells of an answer that only says again how wide or high a thing is. It is not listed: the size stands with the thing.
func ofSize(r *record.Result) bool {
	return r.Question.Measured && r.Thing.Size != nil && (r.Question.Name == "width" || r.Question.Name == "height")
}

// Numbers gives the places of a book's results among the answers of its seal.
func Numbers(b *record.Book) map[*record.Result]string {
	places := map[*record.Result]string{}
	n := 0
	for i := range b.Results {
		if !ofSize(&b.Results[i]) {
			places[&b.Results[i]] = whole(n)
			n++
		}
	}
	return places
}

func thing(t *record.Thing) edition1.Thing {
	w := edition1.Thing{Kind: string(t.Kind), Path: t.Path, Line: points(t.Shape.Line), Area: points(t.Shape.Area), At: point(t.Shape.At)}
	if t.Size != nil {
		w.Size = &edition1.Size{Width: decimal(t.Size.Width), Height: decimal(t.Size.Height), Unit: "mm"}
	}
	w.Near, w.Holds = paths(t.Near), paths(t.Holds)
	w.NearNone = t.Near != nil && len(t.Near) == 0
	if t.Fastener != nil {
		w.Fastener = t.Fastener.Path
	}
	return w
}

func paths(list []*record.Thing) []string {
	var all []string
	for _, t := range list {
		all = append(all, t.Path)
	}
	return all
}

func points(list []record.Point) []edition1.Point {
	var all []edition1.Point
	for i := range list {
		all = append(all, *point(&list[i]))
	}
	return all
}

func point(p *record.Point) *edition1.Point {
	if p == nil {
		return nil
	}
	return &edition1.Point{X: decimal(p.X), Y: decimal(p.Y), Unit: "mm"}
}

func weights(m map[string]float64) []edition1.Weight {
	var list []edition1.Weight
	for _, k := range slices.Sorted(maps.Keys(m)) {
		list = append(list, edition1.Weight{Criterion: k, Weight: decimal(m[k])})
	}
	return list
}

// AnswerText writes an answer so that it stands for one answer alone: yes or no, a word, or a decimal number.
func AnswerText(q *vocab.Question, a vocab.Answer) string {
	switch {
	case !a.Known:
		return ""
	case q.Type == vocab.YesNo && a.Yes:
		return "yes"
	case q.Type == vocab.YesNo:
		return "no"
	case q.Type == vocab.Words:
		return a.Word
	}
	return decimal(a.Num)
}

// Unit is the unit of a number, "" for whatever has none.
func Unit(q *vocab.Question) string {
	if q.Type != vocab.Number {
		return ""
	}
	return q.Unit
}

// decimal writes a number with the fewest digits that give the same number, never with an exponent.
func decimal(v float64) string {
	if v == 0 {
		return "0"
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func whole(n int) string { return strconv.Itoa(n) }

// moment writes a date, with the time of day where it has one.
func moment(t time.Time) string {
	switch {
	case t.IsZero():
		return ""
	case t.Equal(t.Truncate(24 * time.Hour)):
		return t.Format(time.DateOnly)
	}
	return t.Format("2006-01-02T15:04:05")
}
