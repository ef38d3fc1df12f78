package trial

import (
	"fmt"
	"testing"

	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

func TestTmpCross(t *testing.T) {
	layer, _ := packs.Shipped()
	p := pack.Load([]pack.Layer{layer}, &fault.List{})
	list := mutants(p)
	w := newWorkshop(p, map[string]bool{})
	n, k := 0, 0
	for i := 7; i < len(list); i += 71 {
		m := list[i]
		w.try(m)
		a := m.make(w)
		env := w.pack.Env
		if a.env != nil {
			w.pack.Env = a.env
		}
		r := Run(w.pack)
		w.pack.Env = env
		a.undo()
		n++
		if len(r.Failures) > 0 {
			k++
		}
		if (len(r.Failures) > 0) != (m.Fate == Killed) {
			t.Errorf("%s %s %q -> %q: %s, full run has %d failures", m.Of, m.Change, m.Was, m.Is, m.Fate, len(r.Failures))
		}
	}
	fmt.Println(n, k)
}
