package plan

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/worlds"
)

// BenchmarkPlan plans the largest example book, the one that is hardest to plan, and one that is barely tested.
func BenchmarkPlan(b *testing.B) {
	p := shipped(b)
	for _, name := range []string{"harbour-almanac", "cellar-door-chronicle", "parcel-from-the-attic"} {
		b.Run(name, func(b *testing.B) {
			g := example(b, p, "../../testdata/books/"+name+".yaml")
			b.ReportAllocs()
			for b.Loop() {
				p, err := made(g, Options{})
				if err != nil || !p.Proven {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkWraps plans books of more and more wraps with five findings each, by the shipped pack: what one wrap calls for has little
// to do with the others.
func BenchmarkWraps(b *testing.B) {
	p := shipped(b)
	for _, wraps := range []int{1, 2, 4, 8, 16} {
		b.Run(fmt.Sprintf("%d-findings", 5*wraps), func(b *testing.B) {
			g, err := judge.Judge(evidence.Gather(p, worlds.Parse(b, p, wrapped(wraps)), time.Time{}))
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				grow(b, []*judge.Judgement{g})
			}
		})
	}
}

// wrapped describes an invented book of wraps.
func wrapped(wraps int) string {
	var s, tests strings.Builder
	s.WriteString(`record: 1
title: The Long Pier, bound
examined: 2026-05-05
listed: {inks: yes, findings: yes, fasteners: yes}
seen: {year: 1953, fastened: no, market_piece: no, old_sleeve: none, display_planned: no, insects: none}
owner: {aims: [readable, stable, clean, whole, flat, brighter], limits: none}
bench: {fume_extraction: yes, practised: yes, eye_protection: yes, wet_support: yes, person_at_risk: no, room_humidity: 50 %, alkali_carrier: inert liquid}
parts:
`)
	tests.WriteString("tests:\n")
	for i := range wraps {
		fmt.Fprintf(&s, `  wrap-%[1]d:
    kind: wrap
    size: [404, 286]
    seen: {furnish: chemical pulp, lignin: no, strength: supple, surface_ph: 5.3, absorbency: 20 s, brightener: no, alkalized: no, felted: no, damp: no, discolored: slight, loose: yes}
    outside:
      seen: {coating: none, relief: no, soil: loose dust, tool_marks: no}
      inks: {black: {kind: printing ink, seen: {colour: black, friable: no, eraser: no}}}
      findings:
        tear: {kind: tear, line: [[100, 0], [103, 14]], near: [black], seen: {severity: moderate, gets_worse: yes, disfigures: no, edges: blunt}}
        tideline: {kind: tideline, area: [[0, 210], [60, 204], [110, 286], [0, 286]], near: [black], seen: {severity: moderate, disfigures: yes, gets_worse: no, is_evidence: no, soluble: yes, fresh: no}}
        crease: {kind: crease, line: [[396, 0], [404, 16]], near: [black], seen: {severity: moderate, disfigures: no, gets_worse: yes}}
        specks: {kind: insect grime, at: [250, 40], near: [black], seen: {severity: slight, gets_worse: no, disfigures: no, is_evidence: no}}
        waves: {kind: cockle, area: [[300, 0], [380, 0], [380, 60]], near: [black], seen: {severity: moderate, disfigures: yes, gets_worse: no}}
    inside: {seen: {coating: none, relief: no, soil: none, tool_marks: no}, inks: {}, findings: {}}
`, i+1)
		for _, q := range []string{"dry", "wet", "ethanol"} {
			fmt.Fprintf(&tests, "  - {test: ink.%s, on: wrap-%d/outside/black, date: 2026-05-05, grade: 5}\n", q, i+1)
		}
	}
	return s.String() + tests.String()
}

// BenchmarkGrowth plans random books of growing size, ten of each, for two seconds each at most. Nearly every treatment of such a
// world has to do with every other, which is far harder than a pack of the trade.
func BenchmarkGrowth(b *testing.B) {
	for _, treatments := range []int{5, 10, 20, 40} {
		for _, findings := range []int{5, 10, 20, 40} {
			b.Run(fmt.Sprintf("%d-treatments/%d-findings", treatments, findings), func(b *testing.B) {
				var books []*judge.Judgement
				for seed := range 10 {
					w := worlds.Repair(b, rand.New(rand.NewPCG(uint64(seed), 5)), treatments)
					books = append(books, judged(b, w, w.Damaged(b, findings)))
				}
				for b.Loop() {
					grow(b, books)
				}
			})
		}
	}
}

// grow tells which share of books is proven, and what the best found and the bound leave undone.
func grow(b *testing.B, books []*judge.Judgement) {
	var proven, steps, undone, bound float64
	for _, g := range books {
		ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
		p, err := Make(ctx, g, Options{})
		cancel()
		if err != nil {
			b.Fatal(err)
		}
		if p.Proven {
			proven++
		}
		steps += float64(len(p.Steps))
		undone += float64(p.Cost.Undone)
		bound += float64(p.Bound.Undone)
	}
	n := float64(len(books))
	b.ReportMetric(proven/n, "proven")
	b.ReportMetric(steps/n, "steps")
	b.ReportMetric(undone/n, "undone")
	b.ReportMetric(bound/n, "undone-at-least")
}
