package cond

import (
	"fmt"
	"sort"
	"strings"
	"sync"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
	"github.com/google/cel-go/parser"

	"tideline/rules/vocab"
)

// Limits on a condition, so that a pack from a stranger cannot hang the program.
const (
	maxChars   = 2000 // characters of a condition
	maxNodes   = 400  // nodes of its syntax tree
	maxReads   = 4    // answers in one comparison
	maxCalled  = 3    // answers in one that calls a function: each way they could turn out is computed
	maxDose    = 8    // answers in one call that a setting is computed by
	maxNesting = 2    // exists, all and atLeast inside one another
)

// Env compiles conditions against one vocabulary. It shares atoms between all conditions it compiled.
// It is not safe for concurrent use while compiling; evaluation of atoms is.
type Env struct {
	vocabulary *vocab.Vocabulary
	kinds      map[vocab.Kind]*kind
	base       *cel.Env
	mu         sync.Mutex
	byVars     map[string]*cel.Env // guarded by mu
	parsed     map[string]*parsed  // by text; guarded by mu
	atoms      []*Atom
	byKey      map[string]*Atom
	functions  map[string]*Function
}

// NewEnv makes an environment of a vocabulary, and of the facts (kind.name) and functions that conditions may use.
func NewEnv(v *vocab.Vocabulary, facts []string, functions ...*Function) (*Env, error) {
	e := &Env{vocabulary: v, kinds: map[vocab.Kind]*kind{}, byVars: map[string]*cel.Env{}, parsed: map[string]*parsed{}, byKey: map[string]*Atom{}, functions: map[string]*Function{}}
	for _, k := range vocab.Kinds {
		e.kinds[k] = newKind(k, v, facts)
	}
	reg, err := types.NewRegistry()
	if err != nil {
		return nil, err
	}
	options := []cel.EnvOption{
		cel.CustomTypeProvider(&provider{Registry: reg, env: e}), cel.CustomTypeAdapter(reg),
		cel.ClearMacros(), cel.Macros(cel.ExistsMacro, cel.AllMacro, cel.ReceiverMacro("atLeast", 3, atLeast)),
		cel.ParserExpressionSizeLimit(maxChars), cel.ParserRecursionLimit(60),
	}
	for name, u := range units {
		scale := u
		options = append(options, cel.Function(name, cel.Overload(name+"_double", []*cel.Type{cel.DoubleType}, cel.DoubleType,
			cel.UnaryBinding(func(v ref.Val) ref.Val {
				return types.Double(float64(v.(types.Double))*scale.factor + scale.offset)
			}))))
	}
	for _, f := range functions {
		e.functions[f.Name] = f
		options = append(options, f.declare())
	}
	e.base, err = cel.NewEnv(options...)
	return e, err
}

func newKind(k vocab.Kind, v *vocab.Vocabulary, facts []string) *kind {
	info := &kind{Kind: k, typ: types.NewObjectType("tideline." + string(k)), fields: map[string]field{}}
	for _, q := range v.Of(k) {
		info.fields[q.Name] = field{slot: info.slots, question: q}
		info.slots++
	}
	for _, f := range facts {
		if name, mine := strings.CutPrefix(f, string(k)+"."); mine {
			info.fields[name] = field{slot: info.slots, fact: f}
			info.slots++
		}
	}
	for i, l := range vocab.Links[k] {
		info.fields[l.Name] = field{link: &vocab.Links[k][i]}
	}
	for name := range info.fields {
		info.names = append(info.names, name)
	}
	sort.Strings(info.names)
	return info
}

// units are the functions that give a number its unit, and what they do to it.
var units = map[string]struct {
	unit           string
	factor, offset float64
}{
	"mm": {"mm", 1, 0}, "mm2": {"mm2", 1, 0}, "cm2": {"mm2", 100, 0}, "s": {"s", 1, 0}, "min": {"s", 60, 0},
	"degC": {"degC", 1, 0}, "degF": {"degC", 5.0 / 9, -32 * 5.0 / 9}, "gsm": {"gsm", 1, 0}, "percent": {"percent", 1, 0},
	"h": {"s", 3600, 0}, "g": {"g", 1, 0}, "kg": {"g", 1000, 0}, "mL": {"mL", 1, 0}, "L": {"mL", 1000, 0}, "kPa": {"kPa", 1, 0}, "mN": {"mN", 1, 0},
	"lx": {"lx", 1, 0}, "lx_h": {"lx_h", 1, 0}, "W": {"W", 1, 0}, "W_m2": {"W_m2", 1, 0}, "J_cm2": {"J_cm2", 1, 0}, "nm": {"nm", 1, 0}, "deg": {"deg", 1, 0},
	"mmol_L": {"mmol_L", 1, 0}, "mmol_kg": {"mmol_kg", 1, 0}, "mL_g": {"mL_g", 1, 0}, "g_m3": {"g_m3", 1, 0}, "w_v": {"w_v", 1, 0}, "w_w": {"w_w", 1, 0},
	"volumes": {"volumes", 1, 0}, "ppm": {"ppm", 1, 0}, "mN_m": {"mN_m", 1, 0}, "mN_m2_g": {"mN_m2_g", 1, 0},
}

// atLeast expands list.atLeast(n, x, condition). cel-go's own evaluation of it, used in tests only, is weaker than ours:
// one open member makes it open even when n others are known to hold.
func atLeast(h parser.ExprHelper, list ast.Expr, a []ast.Expr) (ast.Expr, *cel.Error) {
	if a[1].Kind() != ast.IdentKind {
		return nil, h.NewError(a[1].ID(), "atLeast takes a number, a name and a condition: inks.atLeast(2, i, i.wet < 4)")
	}
	one, none := h.NewLiteral(types.Double(1)), h.NewLiteral(types.Double(0))
	step := h.NewCall(operators.Add, h.NewAccuIdent(), h.NewCall(operators.Conditional, a[2], one, none))
	return h.NewComprehension(list, a[1].AsIdent(), h.AccuIdentName(), h.NewLiteral(types.Double(0)),
		h.NewLiteral(types.True), step, h.NewCall(operators.GreaterEquals, h.NewAccuIdent(), a[0])), nil
}

// provider tells cel-go the kinds and their fields.
type provider struct {
	*types.Registry
	env *Env
}

func (p *provider) kind(structType string) *kind {
	return p.env.kinds[vocab.Kind(strings.TrimPrefix(structType, "tideline."))]
}

// FindStructType gives the type of a kind.
func (p *provider) FindStructType(name string) (*types.Type, bool) {
	if k := p.kind(name); k != nil && strings.HasPrefix(name, "tideline.") {
		return types.NewTypeTypeWithParam(k.typ), true
	}
	return p.Registry.FindStructType(name)
}

// FindStructFieldNames lists the fields of a kind.
func (p *provider) FindStructFieldNames(name string) ([]string, bool) {
	if k := p.kind(name); k != nil {
		return k.names, true
	}
	return nil, false
}

// FindStructFieldType gives the type of a field, and how to read it.
func (p *provider) FindStructFieldType(structType, name string) (*types.FieldType, bool) {
	k := p.kind(structType)
	if k == nil {
		return nil, false
	}
	f, ok := k.fields[name]
	if !ok {
		return nil, false
	}
	isSet := func(any) bool { return true } // has() is not offered
	return &types.FieldType{Type: p.env.typeOf(f), IsSet: isSet, GetFrom: f.get}, true
}

func (e *Env) typeOf(f field) *types.Type {
	switch {
	case f.link != nil && f.link.Many:
		return types.NewListType(e.kinds[f.link.To].typ)
	case f.link != nil:
		return e.kinds[f.link.To].typ
	case f.question == nil || f.question.Type == vocab.YesNo:
		return types.BoolType
	case f.question.Type == vocab.Words:
		return types.StringType
	}
	return types.DoubleType
}

// Var is a name a condition may use, and the kind of thing it stands for.
type Var struct {
	Name string
	Kind vocab.Kind
	From Seat // where that thing is found; of no concern to this package
}

// Seat is where the thing that a name stands for is found.
type Seat uint8

// The seats: the target of a treatment; the thing looked at in its reach; the one book, owner or bench; the part or side
// that the thing, else the target, lies on; and whatever exists, all or atLeast puts there.
const (
	FromTarget Seat = iota
	FromThing
	FromBook
	FromOwner
	FromBench
	FromPart
	FromSide
	Bound
)

// with gives the environment in which the variables are declared.
func (e *Env) with(vars []Var) (*cel.Env, error) {
	key := fmt.Sprint(vars)
	e.mu.Lock()
	defer e.mu.Unlock()
	if env, ok := e.byVars[key]; ok {
		return env, nil
	}
	var options []cel.EnvOption
	for _, v := range vars {
		options = append(options, cel.Variable(v.Name, e.kinds[v.Kind].typ))
	}
	env, err := e.base.Extend(options...)
	if err == nil {
		e.byVars[key] = env
	}
	return env, err
}
