package seal

import (
	"bufio"
	"encoding/json"
	"math/rand/v2"
	"os"
	"os/exec"
	"testing"
	"time"

	"tideline/engine/seal/edition1"
)

// sealForEver names a folder in the environment of a process that seals there until it is killed.
const sealForEver = "TIDELINE_TEST_SEALS_INTO"

func TestMain(m *testing.M) {
	if dir := os.Getenv(sealForEver); dir != "" {
		body := &edition1.Body{}
		if err := json.NewDecoder(os.Stdin).Decode(body); err != nil {
			panic(err)
		}
		os.Stdout.WriteString("ready\n")
		for {
			if _, err := In(dir).Add(body, someKey); err != nil {
				panic(err)
			}
		}
	}
	os.Exit(m.Run())
}

// TestKilledInTheAct kills processes that do nothing but seal, so that most die in the middle of it. After each the chain is
// whole, and only files aside were left behind.
func TestKilledInTheAct(t *testing.T) {
	rounds, each := 20, 10
	if testing.Short() {
		rounds = 4
	}
	body := sample(t, false)
	aside, made := 0, 0
	for round := range rounds {
		f := In(t.TempDir())
		for range each {
			killOne(t, f.Path, body, time.Duration(rand.IntN(8000))*time.Microsecond)
			cases, unfinished, err := f.Cases()
			if err != nil {
				t.Fatal(err)
			}
			links := f.Chain("tin-harbour", cases["tin-harbour"], nil)
			for _, l := range links {
				if len(l.Breaks) > 0 {
					t.Fatalf("round %d: %+v", round, l.Breaks)
				}
			}
			made, aside = made+len(links), aside+len(unfinished)
			for _, u := range unfinished {
				os.Remove(f.Path + "/" + u)
			}
			if got := len(names(t, f.Path)); got != len(links) {
				t.Fatalf("%d files for %d links", got, len(links))
			}
		}
	}
	t.Logf("%d kills, of which %d left an unfinished file", rounds*each, aside)
	if made == 0 || aside == 0 {
		t.Errorf("nothing was tried: %d links, %d unfinished files", made, aside)
	}
}

// killOne starts a process that seals for ever, and kills it.
func killOne(t *testing.T, dir string, body *edition1.Body, after time.Duration) {
	t.Helper()
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), sealForEver+"="+dir)
	in, err := c.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	defer c.Wait()
	defer c.Process.Kill()
	if err := json.NewEncoder(in).Encode(body); err != nil {
		t.Fatal(err)
	}
	if line, err := bufio.NewReader(out).ReadString('\n'); line != "ready\n" {
		t.Fatalf("%q, %v", line, err)
	}
	time.Sleep(after)
}
