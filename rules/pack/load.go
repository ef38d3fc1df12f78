package pack

import (
	"bytes"
	"cmp"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"sort"
	"strings"
	"sync"
	"sync/atomic"

	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/nearest"
	"tideline/rules/vocab"
	"tideline/rules/yamlfile"
)

var sections = []string{
	"pack", "about", "sources", "principles", "criteria", "aims", "tests", "facts", "never", "treatments",
	"rules", "samples", "trials", "weights", "withdraw", "asking",
}

// ReadLayer reads the pack at name of a file system: a folder's .yaml files, or one file.
func ReadLayer(fsys fs.FS, name string) (Layer, error) {
	var layer Layer
	names := []string{name}
	if info, err := fs.Stat(fsys, name); err != nil {
		return layer, err
	} else if info.IsDir() {
		if names, err = fs.Glob(fsys, path.Join(name, "*.yaml")); err != nil {
			return layer, err
		}
		if len(names) == 0 {
			return layer, fmt.Errorf("%s holds no .yaml files", name)
		}
	}
	for _, n := range names {
		data, err := fs.ReadFile(fsys, n)
		if err != nil {
			return layer, err
		}
		layer.Files = append(layer.Files, File{Name: n, Data: data})
	}
	return layer, nil
}

// ReadPath reads the pack at a path of the machine: a folder or one file.
func ReadPath(name string, faults *fault.List) Layer {
	names := []string{name}
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		names, _ = filepath.Glob(filepath.Join(name, "*.yaml"))
		if len(names) == 0 {
			faults.Add(fault.Fault{Where: fault.Place{File: name}, Summary: "holds no .yaml files", Help: "A pack is a .yaml file or a folder of them."})
		}
	}
	var layer Layer
	for _, n := range names {
		if data := yamlfile.Read(n, nil, faults); data != nil {
			layer.Files = append(layer.Files, File{Name: n, Data: data})
		}
	}
	return layer
}

// Load compiles layers, the lowest first. functions are what their conditions and settings may call. With faults noted the
// pack is incomplete and must not be judged by.
func Load(layers []Layer, faults *fault.List, functions ...*cond.Function) *Pack {
	l := &loader{
		Pack:    &Pack{Vocabulary: vocab.NewVocabulary(), Asking: plainAsking(), Functions: functions, ids: map[string]any{}, layerOf: map[any]int{}},
		places:  map[string]*yamlfile.Node{},
		weighed: map[*Criterion]int{}, faults: faults,
	}
	for _, layer := range layers {
		l.layer = layer
		for _, root := range parse(layer.Files, faults) {
			l.file(root)
		}
		l.Layers = append(l.Layers, l.layer)
	}
	for _, read := range l.declare {
		read()
	}
	facts := make([]string, 0, len(l.Facts))
	for _, f := range l.Facts {
		if l.Fact(f.ID) == f && l.Vocabulary.Question(f.ID) == nil { // else its name is taken
			facts = append(facts, f.ID)
		}
	}
	sort.Strings(facts)
	env, err := cond.NewEnv(l.Vocabulary, facts, functions...)
	if err != nil {
		faults.Add(fault.Fault{Summary: "the conditions' environment could not be made", Help: err.Error()})
		return l.Pack
	}
	l.Env = env
	l.compileAll()
	l.sort()
	l.remembered()
	l.orderFacts()
	told := l.faults.Len()
	if l.orderNeeds(); l.faults.Len() == told {
		l.orderSteps()
	}
	return l.Pack
}

// parse reads files on all processors at once and gives those that can be walked, in their order.
func parse(files []File, faults *fault.List) []*yamlfile.Node {
	roots, noted := make([]*yamlfile.Node, len(files)), make([]fault.List, len(files))
	var next atomic.Int64
	var workers sync.WaitGroup
	for range min(len(files), runtime.GOMAXPROCS(0)) {
		workers.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(files); i = int(next.Add(1)) - 1 {
				roots[i] = yamlfile.Parse(files[i].Name, files[i].Data, &noted[i])
			}
		})
	}
	workers.Wait()
	var walkable []*yamlfile.Node
	for i, root := range roots {
		for _, f := range noted[i].All() {
			faults.Add(f)
		}
		if root != nil {
			walkable = append(walkable, root.With(faults))
		}
	}
	return walkable
}

var trialSection = regexp.MustCompile(`^(samples|trials):`)

// Trim gives a layer without its samples and trials, for a start that will not run them: reading them is half the work.
// Lines keep their numbers. A file of which it cannot be told line by line what belongs to them stays as it is.
func Trim(layer Layer) Layer {
	trimmed := Layer{Name: layer.Name}
	for _, f := range layer.Files {
		trimmed.Files = append(trimmed.Files, File{Name: f.Name, Data: trim(f.Data)})
	}
	return trimmed
}

func trim(data []byte) []byte {
	if yamlfile.OtherBreaks(string(data)) {
		return data
	}
	out, inside := make([]byte, 0, len(data)), false
	for line := range bytes.Lines(data) {
		switch {
		case line[0] == ' ' || line[0] == '#' || line[0] == '\n' || bytes.HasPrefix(line, []byte("- ")):
		case line[0] >= 'a' && line[0] <= 'z':
			inside = trialSection.Match(line)
		default: // a quoted name, a bracket, another document
			return data
		}
		if inside {
			line = []byte("\n")
		}
		out = append(out, line...)
	}
	return out
}

// loader reads files in three rounds: what has a name, then what refers to names, then what compiles conditions.
type loader struct {
	*Pack
	layer      Layer
	faults     *fault.List
	places     map[string]*yamlfile.Node // by id
	weighed    map[*Criterion]int        // the layer that weighed it last
	declare    []func()
	compile    []func() // note conditions to compile
	conditions []condition
	guesses    int // how many words were searched for their nearest
}

// condition is a condition to compile, and what to do with it.
type condition struct {
	node *yamlfile.Node
	vars []cond.Var
	keep func(*cond.Cond)
}

func (l *loader) file(root *yamlfile.Node) {
	m := root.Map("a pack", sections...)
	if name := m.Need("pack", "Give the pack a name, the same in all its files: `pack: house`.").Text(); name != "" {
		if l.layer.Name != "" && l.layer.Name != name {
			m.Get("pack").Fault(fmt.Sprintf("this file is of pack %q, its neighbour of %q", name, l.layer.Name), "Files of one folder are one pack.")
		}
		l.layer.Name = name
	}
	for _, s := range []struct {
		name string
		read func(id *yamlfile.Node, body *yamlfile.Node)
	}{
		{"sources", l.source},
		{"principles", l.principle},
		{"criteria", l.criterion},
		{"aims", l.aim},
		{"tests", l.test},
		{"facts", l.fact},
		{"never", l.never},
		{"treatments", l.treatment},
		{"rules", l.rule},
		{"samples", l.sample},
		{"withdraw", l.withdraw},
	} {
		for _, p := range m.Get(s.name).Map("a section of names").Pairs() {
			s.read(p.Key, p.Value)
		}
	}
	for _, p := range m.Get("weights").Map("weights by criterion").Pairs() {
		l.weigh(p.Key, p.Value)
	}
	l.asking(m.Get("asking"))
	for _, n := range m.Get("trials").List() {
		l.trial(n)
	}
}

var (
	idForm       = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	questionForm = regexp.MustCompile(`^[a-z]+\.[a-z][a-z0-9_]*$`)
)

// name claims an id for v.
func (l *loader) name(key *yamlfile.Node, v any) string {
	id := key.Raw()
	if !idForm.MatchString(id) {
		key.Fault(fmt.Sprintf("%q is not a name", id), "Names are lower-case words joined by hyphens: wash-bleeding-ink.")
	}
	l.claim(key, id, v)
	return id
}

func (l *loader) claim(key *yamlfile.Node, id string, v any) {
	if first := l.places[id]; first != nil {
		key.Fault(fmt.Sprintf("the name %q is taken", id), "Give it another name. A house pack adds rules of its own; to drop one of the pack below, withdraw it by name.")
		l.faults.Amend(func(f *fault.Fault) { f.Also = []fault.Place{first.Place()} })
		return
	}
	l.places[id] = key
	l.ids[id] = v
}

// asked reads a question's name, kind.word.
func (l *loader) asked(key *yamlfile.Node, v any) (id string, kind vocab.Kind, name string, ok bool) {
	id = key.Raw()
	before, after, _ := strings.Cut(id, ".")
	if !questionForm.MatchString(id) || !slices.Contains(vocab.Kinds, vocab.Kind(before)) {
		key.Fault(fmt.Sprintf("%q is not the name of a question or fact", id), "Write the kind of thing, a point and words joined by _: ink.wet, part.surface_ph.")
		return id, "", "", false
	}
	if _, link := vocab.LinkOf(vocab.Kind(before), after); link {
		key.Fault(fmt.Sprintf("%q is what leads to other things", id), "Choose another name.")
		return id, "", "", false
	}
	if slices.Contains([]string{"in", "true", "false", "null"}, after) {
		key.Fault(fmt.Sprintf("conditions cannot name %q", id), after+" means something else in them. Choose another name.")
		return id, "", "", false
	}
	l.claim(key, id, v)
	return id, vocab.Kind(before), after, true
}

// cite reads what something stands on. needed: it must say so.
func (l *loader) cite(m *yamlfile.Map, needed bool) Cite {
	c := Cite{Sources: m.Get("source").Texts(), Standing: m.Get("standing").Word(Standings...), StandsOn: m.Get("stands on").Texts()}
	if needed && m.Get("standing") == nil {
		m.Need("standing", "Say how well it is founded: one of "+strings.Join(Standings, "; ")+".")
	}
	if (c.Standing == "published" || c.Standing == "standard") && len(c.Sources) == 0 {
		m.Get("standing").Fault(fmt.Sprintf("%q needs a source", c.Standing), "Name it with `source:`, or write `standing: "+common+"`.")
	}
	l.refer(m.Get("source"), "source", func(id string) bool { return l.Source(id) != nil })
	return c
}

// refer checks, once everything is declared, that the names in a list exist.
func (l *loader) refer(n *yamlfile.Node, what string, exists func(id string) bool) {
	for _, item := range n.List() {
		l.declare = append(l.declare, func() {
			if !item.IsScalar() { // told when it was read
				return
			}
			if id := item.Text(); !exists(id) {
				item.Fault(fmt.Sprintf("there is no %s %q", what, id), "")
				l.nearName(id, what)
			}
		})
	}
}

// nearName offers the nearest name of the same sort for the fault just noted.
func (l *loader) nearName(word, what string) {
	const most = 100 // a person mends some and runs it again
	if l.guesses++; l.guesses > most {
		return
	}
	var names []string
	switch what {
	case "kind of finding":
		if q := l.Vocabulary.Question("finding.kind"); q != nil {
			names = slices.Clone(q.Words)
		}
	case "family":
		for _, t := range l.Treatments {
			names = append(names, t.Families...)
		}
	}
	for id, v := range l.ids {
		if sortOf(v) == what {
			names = append(names, id)
		}
	}
	sort.Strings(names)
	if near := nearest.Word(word, names); near != "" {
		l.faults.Amend(func(f *fault.Fault) { f.Nearest = near })
	}
}

func sortOf(v any) string {
	switch v.(type) {
	case *Source:
		return "source"
	case *Principle:
		return "principle"
	case *Criterion:
		return "criterion"
	case *Aim:
		return "aim"
	case *Test:
		return "question"
	case *Fact:
		return "fact"
	case *Treatment:
		return "treatment"
	case *Rule:
		return "rule"
	case *Sample:
		return "sample"
	}
	return ""
}

// condition notes a condition to compile; keep is called with it when it is sound.
func (l *loader) condition(n *yamlfile.Node, vars []cond.Var, keep func(*cond.Cond)) {
	if n == nil {
		return
	}
	if !n.IsScalar() {
		n.Fault("a condition is one line of text", "For example ink.wet < 4.")
		return
	}
	if n.IsFolded() {
		n.Fault("this condition runs over several lines", "Write it on one line, or start a block with | and indent it, so that faults in it can be pointed at.")
		return
	}
	l.conditions = append(l.conditions, condition{n, vars, keep})
}

// compileAll compiles every condition noted. Of a condition that is compiled for several kinds of target, only the first
// that has faults tells them.
func (l *loader) compileAll() {
	for _, note := range l.compile {
		note()
	}
	sources := make([]cond.Source, 0, len(l.conditions))
	for _, c := range l.conditions {
		sources = append(sources, cond.Source{Text: c.node.Text(), Vars: c.vars})
	}
	conds, problems := l.Env.CompileAll(sources)
	told := map[fault.Place]bool{}
	for i, c := range l.conditions {
		if problems[i] == nil {
			c.keep(conds[i])
		} else if !told[c.node.Place()] {
			told[c.node.Place()] = true
			for _, p := range problems[i] {
				c.node.FaultAt(p.Line, p.Col, p.Width, p.Summary, p.Help, p.Nearest)
			}
		}
	}
}

func (l *loader) sort() {
	by := cmp.Compare[string]
	slices.SortFunc(l.Sources, func(a, b *Source) int { return by(a.ID, b.ID) })
	slices.SortFunc(l.Principles, func(a, b *Principle) int { return by(a.ID, b.ID) })
	slices.SortFunc(l.Criteria, func(a, b *Criterion) int { return by(a.ID, b.ID) })
	slices.SortFunc(l.Aims, func(a, b *Aim) int { return by(a.ID, b.ID) })
	slices.SortFunc(l.Tests, func(a, b *Test) int { return by(a.Question.ID, b.Question.ID) })
	slices.SortFunc(l.Facts, func(a, b *Fact) int { return by(a.ID, b.ID) })
	slices.SortFunc(l.Never, func(a, b *Never) int { return by(a.ID, b.ID) })
	slices.SortFunc(l.Treatments, func(a, b *Treatment) int { return by(a.ID, b.ID) })
	slices.SortFunc(l.Rules, func(a, b *Rule) int { return by(a.ID, b.ID) })
	slices.SortFunc(l.Samples, func(a, b *Sample) int { return by(a.ID, b.ID) })
	slices.SortFunc(l.Trials, func(a, b *Trial) int { return by(a.Name, b.Name) })
	for _, r := range l.Rules {
		slices.SortFunc(r.Treatments, func(a, b *Treatment) int { return by(a.ID, b.ID) })
	}
}
