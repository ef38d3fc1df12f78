package audit

import (
	"strings"
	"sync"

	"tideline/engine/dose"
	"tideline/engine/seal"
	"tideline/rules/fault"
	"tideline/rules/pack"
)

// compiled keeps the packs that were compiled last, so that cases sealed by the same packs share them.
type compiled struct {
	mu    sync.Mutex
	byKey map[string]*entry
	order []string // of use, the latest last
}

type entry struct {
	once sync.Once
	pack *pack.Pack
	err  error
}

// mostPacks is how many are kept: a studio changes its packs a few times a year.
const mostPacks = 8

// load compiles layers, or finds them compiled.
func (c *compiled) load(layers []pack.Layer) (*pack.Pack, error) {
	var key strings.Builder
	for _, l := range layers {
		key.WriteString(seal.PackHash(l))
	}
	e := c.entry(key.String())
	e.once.Do(func() {
		trimmed := make([]pack.Layer, 0, len(layers))
		for _, l := range layers {
			trimmed = append(trimmed, pack.Trim(pack.Layer{Files: l.Files}))
		}
		faults := &fault.List{}
		e.pack = pack.Load(trimmed, faults, dose.Functions()...)
		e.err = faults.Err()
	})
	return e.pack, e.err
}

func (c *compiled) entry(key string) *entry {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.byKey == nil {
		c.byKey = map[string]*entry{}
	}
	e := c.byKey[key]
	if e == nil {
		e = &entry{}
		c.byKey[key] = e
	}
	for i, k := range c.order {
		if k == key {
			c.order = append(c.order[:i], c.order[i+1:]...)
			break
		}
	}
	if c.order = append(c.order, key); len(c.order) > mostPacks {
		delete(c.byKey, c.order[0])
		c.order = c.order[1:]
	}
	return e
}
