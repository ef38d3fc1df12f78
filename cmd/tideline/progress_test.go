package main

import (
	"strings"
	"testing"
	"time"
)

// TestProgress: nothing is told of what is soon done; of what takes longer now and then, and nothing is left behind.
func TestProgress(t *testing.T) {
	for _, tt := range []struct {
		name string
		step time.Duration // between one case and the next
		want string
	}{
		{"soon done", 49 * time.Millisecond, ""},
		{"takes longer", 90 * time.Millisecond, "\raudited 6 of 10 cases\x1b[K\raudited 8 of 10 cases\x1b[K\r\x1b[K"},
		{"slow", time.Second, "\raudited 1 of 10 cases\x1b[K\raudited 2 of 10 cases\x1b[K\raudited 3 of 10 cases\x1b[K\raudited 4 of 10 cases\x1b[K" +
			"\raudited 5 of 10 cases\x1b[K\raudited 6 of 10 cases\x1b[K\raudited 7 of 10 cases\x1b[K\raudited 8 of 10 cases\x1b[K\raudited 9 of 10 cases\x1b[K\r\x1b[K"},
	} {
		var out strings.Builder
		clock := time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)
		told := progressTo(&out, func() time.Time { return clock })
		for done := 1; done <= 10; done++ {
			clock = clock.Add(tt.step)
			told(done, 10)
		}
		if out.String() != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, out.String(), tt.want)
		}
	}
	if (&app{stderr: &strings.Builder{}}).progress() != nil {
		t.Error("progress is told to what is no terminal")
	}
}
