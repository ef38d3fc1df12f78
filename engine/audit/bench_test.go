package audit

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync/atomic"
	"testing"
	"time"

	"tideline/engine/seal"
)

// BenchmarkFolder audits cases by the thousand, sealed by the made-up pack and judged by it again and now, and tells how
// many it does in a second and how much memory it held at the most. The cases are made first, in a folder of their own: some
// are sealed, the others are those under other names.
func BenchmarkFolder(b *testing.B) {
	for _, n := range []int{1000, 10_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			root := manyCases(b, n)
			tiny := tinyLayer(b)
			var most atomic.Uint64
			b.ResetTimer()
			for b.Loop() {
				stop := watchHeap(&most)
				audited := 0
				err := New(Options{Today: &Today{Layers: tiny, Given: true}}).Folder(root, nil, func(r *Report) error {
					if audited++; r.Result != Sound {
						b.Fatalf("%s: %s", r.Case, r.Result)
					}
					return nil
				})
				stop()
				if err != nil || audited != n {
					b.Fatal(audited, err)
				}
			}
			b.ReportMetric(float64(n*b.N)/b.Elapsed().Seconds(), "cases/s")
			b.ReportMetric(float64(most.Load())/(1<<20), "peak-MiB")
		})
	}
}

// watchHeap notes the most heap in use until it is stopped.
func watchHeap(most *atomic.Uint64) (stop func()) {
	done := make(chan struct{})
	go func() {
		for {
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			if m.HeapInuse > most.Load() {
				most.Store(m.HeapInuse)
			}
			select {
			case <-done:
				return
			case <-time.After(20 * time.Millisecond):
			}
		}
	}()
	return func() { close(done) }
}

// manyCases makes a folder with drawers of a hundred cases each.
func manyCases(b *testing.B, n int) string {
	b.Helper()
	tiny := tinyLayer(b)
	var bodies [][]byte
	for _, red := range []string{"1", "2-3", "3", "4", "5", ""} {
		for _, dusty := range []string{"yes", "no", ""} {
			f := sealed(b, sealing{layers: tiny, book: book(red, dusty, "")})
			data, err := os.ReadFile(filepath.Join(f.Path, "case-0001.json"))
			if err != nil {
				b.Fatal(err)
			}
			s, err := seal.Open(data)
			if err != nil {
				b.Fatal(err)
			}
			bodies = append(bodies, s.Body)
		}
	}
	root := b.TempDir()
	for i := range n {
		dir := filepath.Join(root, fmt.Sprintf("drawer-%03d", i/100))
		if err := os.MkdirAll(dir, 0o755); err != nil {
			b.Fatal(err)
		}
		name := fmt.Sprintf("case-%05d", i)
		body := bytes.Replace(bodies[i%len(bodies)], []byte(`"case":"case"`), fmt.Appendf(nil, `"case":%q`, name), 1)
		file := fmt.Appendf(nil, `{"body":%s,"sha256":"%x","signature":""}`, body, sha256.Sum256(body))
		if err := os.WriteFile(filepath.Join(dir, seal.FileName(name, 1)), file, 0o644); err != nil {
			b.Fatal(err)
		}
	}
	return root
}
