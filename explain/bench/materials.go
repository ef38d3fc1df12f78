package bench

import (
	"slices"
	"strings"

	"tideline/explain/words"
)

// Supplies are what to have at hand before the plan is begun.
type Supplies struct {
	Materials []*Material
	Computed  []Amount // what is computed for steps: volumes, strengths, times
}

// Material is one material of the steps or of the tests done again, as the packs name it.
type Material struct {
	Name    string
	Steps   []int
	Dangers []int // the numbers of the dangers to people told with these steps
}

// Amount is a setting computed for a step.
type Amount struct {
	Step int
	Line string
}

// supplies gathers the materials of all steps by name.
func (m *maker) supplies() (all Supplies) {
	by := map[string]*Material{}
	for _, s := range m.sheet.Steps {
		names := slices.Clone(s.Materials)
		for _, t := range s.Tests {
			if how := m.plan.Judgement.Case.Pack.Test(t.ID); how != nil {
				names = append(names, how.Materials...)
			}
		}
		for _, name := range names {
			key := strings.ToLower(name)
			if by[key] == nil {
				by[key] = &Material{Name: name}
				all.Materials = append(all.Materials, by[key])
			}
			by[key].add(s)
		}
		for _, set := range s.Settings {
			if set.Computed {
				all.Computed = append(all.Computed, Amount{s.Number, set.Line})
			}
		}
	}
	slices.SortFunc(all.Materials, func(a, b *Material) int { return strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)) })
	return all
}

// add adds a step to a material.
func (a *Material) add(s *Step) {
	if !slices.Contains(a.Steps, s.Number) {
		a.Steps = append(a.Steps, s.Number)
	}
	for _, t := range s.Dangers {
		if !slices.Contains(a.Dangers, t.Number) {
			a.Dangers = append(a.Dangers, t.Number)
		}
	}
	slices.Sort(a.Dangers)
}

// Line tells what a material is for and which dangers go with it.
func (a *Material) Line() string {
	line := words.Labelled(a.Name, words.Steps(a.Steps))
	if len(a.Dangers) > 0 {
		line += " " + words.Aside(words.DangersNumbered(a.Dangers))
	}
	return line
}
