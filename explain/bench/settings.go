package bench

import (
	"tideline/engine/plan"
	"tideline/engine/setting"
	"tideline/explain/words"
)

// settings tells how the step is set: as the pack says, unless an earlier step has said so, and as computed for what it is
// done to.
func (m *maker) settings(w *Step, s *plan.Step) {
	w.SetAt = m.set[s.Treatment]
	for _, set := range s.Treatment.Settings {
		if set.Dose == nil && w.SetAt == 0 {
			w.Settings = append(w.Settings, Setting{Line: words.Of(set.What, set.Value), Because: set.Because, Standing: set.Standing})
		}
	}
	if len(w.Settings) > 0 {
		m.set[s.Treatment] = w.Number
	}
	for _, c := range setting.Of(s.State.Case, s.Treatment, s.Verdict.Target) {
		one := Setting{Line: words.Computed(c), Because: c.Setting.Because, Standing: c.Setting.Standing, Computed: true}
		if c.Setting.Value != "" {
			one.Line += "; " + words.Labelled(words.AsWritten, c.Setting.Value)
		}
		if c.Done {
			one.Range = c.Result.Range
		}
		w.Settings = append(w.Settings, one)
	}
}
