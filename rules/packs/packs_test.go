package packs

import (
	"testing"

	"tideline/engine/dose"
	"tideline/rules/fault"
	"tideline/rules/pack"
)

// TestShipped: the shipped pack compiles without a fault.
func TestShipped(t *testing.T) {
	layer, err := Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	pack.Load([]pack.Layer{layer}, faults, dose.Functions()...)
	for _, f := range faults.All() {
		t.Error(f.Render())
	}
}

// BenchmarkLoad is the compiling of the shipped pack, which every start of the program pays once.
func BenchmarkLoad(b *testing.B) {
	layer, err := Shipped()
	if err != nil {
		b.Fatal(err)
	}
	b.Run("whole", func(b *testing.B) {
		for b.Loop() {
			pack.Load([]pack.Layer{layer}, &fault.List{}, dose.Functions()...)
		}
	})
	b.Run("without trials", func(b *testing.B) {
		for b.Loop() {
			pack.Load([]pack.Layer{pack.Trim(layer)}, &fault.List{}, dose.Functions()...)
		}
	})
}
