package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tideline/engine/seal"
)

const (
	tinyPack = "../../testdata/packs/tiny.yaml"
	tinyBook = "../../testdata/packs/tiny-book.yaml"
	sealDir  = "../../testdata/seals"
)

// TestSealsOfEveryEdition audits every sealed example of every edition ever written, and compares what is said with
// testdata/seals/golden. A golden file no example uses is a failure, and so is an edition without examples.
func TestSealsOfEveryEdition(t *testing.T) {
	golden := filepath.Join(sealDir, "golden")
	old, err := filepath.Glob(filepath.Join(golden, "*"))
	if err != nil {
		t.Fatal(err)
	}
	unused := map[string]bool{}
	for _, name := range old {
		unused[name] = true
	}
	for _, edition := range []string{"edition-1"} {
		files, _ := filepath.Glob(filepath.Join(sealDir, edition, "*.json"))
		if len(files) == 0 {
			t.Fatalf("no sealed examples of %s", edition)
		}
		for _, file := range append(files, filepath.Join(sealDir, edition)) {
			name := filepath.Join(golden, strings.TrimSuffix(edition+"."+filepath.Base(file), ".json")+".txt")
			delete(unused, name)
			got := say(t, exitDone, "audit", file, "--pack", tinyPack)
			if mayUpdate(t) {
				if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(name)
			if err != nil {
				t.Fatalf("%v; `go test ./cmd/tideline -run TestSeals -update` writes it", err)
			}
			if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); diff != "" {
				t.Errorf("%s (-want +got):\n%s", name, diff)
			}
		}
	}
	for name := range unused {
		t.Errorf("%s is used by no example", name)
	}
}

// TestSealJSON holds what seal and audit print for programs against their schemas: sound, unsound, broken, moved.
func TestSealJSON(t *testing.T) {
	dir := t.TempDir()
	sealSchema, auditSchema := strictly(t, say(t, exitDone, "schema", "seal")), strictly(t, say(t, exitDone, "schema", "audit"))
	decided := filepath.Join(t.TempDir(), "decision.yaml")
	os.WriteFile(decided, []byte("decision: 1\ndepartures: [{step: damp-cloth, on: cover, did: it, because: why}]\n"), 0o600)
	for _, more := range [][]string{nil, {"--decision", decided}} {
		args := append([]string{"seal", tinyBook, "--pack", tinyPack, "--on", "record", "--into", dir, "--json"}, more...)
		validate(t, sealSchema, say(t, exitDone, args...))
	}
	validate(t, sealSchema, say(t, exitDone, "seal", "--new-key", filepath.Join(dir, "a.key"), "--json"))
	file := filepath.Join(dir, "tiny-book-0001.json")
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{file, dir, filepath.Join(sealDir, "edition-1")} {
		validate(t, auditSchema, say(t, exitDone, "audit", path, "--json", "--pack", tinyPack))
	}
	for _, file := range []string{"overridden-0001.json", "gull-street-0001.json"} {
		drifted := say(t, exitDone, "audit", filepath.Join(sealDir, "edition-1", file), "--json", "--pack", tinyPack)
		validate(t, auditSchema, drifted)
		if got := strings.Contains(drifted, `"enough_factors"`); got != strings.HasPrefix(file, "overridden") {
			t.Errorf("%s: what made the difference is told: %v", file, got)
		}
	}
	os.Remove(file)
	os.WriteFile(file, bytes.Replace(data, []byte("Tin"), []byte("Tim"), 1), 0o600)
	altered := say(t, exitAttention, "audit", dir, "--json", "--pack", tinyPack, "--fail-on", "broken")
	validate(t, auditSchema, altered)
	if !strings.Contains(altered, `"altered"`) {
		t.Errorf("no break in\n%s", altered)
	}
}

// TestAuditPage: the page tells what the text tells, loads nothing, and is safe from what a record says.
func TestAuditPage(t *testing.T) {
	dir := t.TempDir()
	book, err := os.ReadFile(tinyBook)
	if err != nil {
		t.Fatal(err)
	}
	evil := filepath.Join(dir, "evil.yaml")
	os.WriteFile(evil, bytes.Replace(book, []byte("Tin Harbour Monthly, no. 2"), []byte(`"<script>alert(1)</script>"`), 1), 0o600)
	say(t, exitDone, "seal", evil, "--pack", tinyPack, "--on", "record", "--into", dir)
	page := filepath.Join(dir, "audit.html")
	text := say(t, exitDone, "audit", filepath.Join(dir, "evil-0001.json"), "--pack", tinyPack, "--html", page)
	html, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(html, []byte("<script")) || bytes.Contains(html, []byte("http://")) || bytes.Contains(html, []byte("https://")) {
		t.Errorf("the page holds a script or leads elsewhere:\n%s", html)
	}
	first, _, _ := strings.Cut(text, "\n")
	if !strings.HasPrefix(first, "sound then and now: ") {
		t.Errorf("the first line is %q", first)
	}
	for _, want := range []string{"sound then and now: &lt;script&gt;", "byte for byte", "Content-Security-Policy", "<h2>The chain</h2>", "@media print"} {
		if !bytes.Contains(html, []byte(want)) {
			t.Errorf("the page does not hold %q", want)
		}
	}
}

// program builds the real program.
var program = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "tideline")
	if err != nil {
		return "", err
	}
	path := filepath.Join(dir, "tideline")
	out, err := exec.Command("go", "build", "-o", path, ".").CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("%w\n%s", err, out)
	}
	return path, nil
})

// sealRun gives a command of the real program that seals the tiny book into a folder.
func sealRun(t *testing.T, dir string) *exec.Cmd {
	t.Helper()
	path, err := program()
	if err != nil {
		t.Fatal(err)
	}
	return exec.Command(path, "seal", tinyBook, "--pack", tinyPack, "--on", "record", "--at", "2026-10-14T10:00:00Z", "--into", dir)
}

// chainOf reads a chain that must be whole, and gives the numbers of its links and what runs left unfinished.
func chainOf(t *testing.T, dir string) (links int, unfinished []string) {
	t.Helper()
	f := seal.In(dir)
	cases, unfinished, err := f.Cases()
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range f.Chain("tiny-book", cases["tiny-book"], nil) {
		links++
		if len(l.Breaks) > 0 {
			t.Fatalf("%+v", l.Breaks)
		}
	}
	return links, unfinished
}

// TestKilledWhileSealing kills the real program at random moments of a run, and checks the chain each time.
func TestKilledWhileSealing(t *testing.T) {
	kills := 200
	if testing.Short() {
		kills = 30
	}
	dir := t.TempDir()
	whole := time.Hour // how long a run takes
	const first = 3
	for range first {
		c := sealRun(t, dir) // builds the program
		start := time.Now()
		if out, err := c.CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		whole = min(whole, time.Since(start))
	}
	before, done, killed := first, 0, 0
	for range kills {
		c := sealRun(t, dir)
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(rand.Int64N(int64(whole))))
		c.Process.Kill()
		finished := c.Wait() == nil
		links, _ := chainOf(t, dir)
		if links < before || links > before+1 || finished && links != before+1 {
			t.Fatalf("%d links after %d; the run finished: %v", links, before, finished)
		}
		if before = links; finished {
			done++
		} else {
			killed++
		}
	}
	t.Logf("%d killed, %d had finished, %d links", killed, done, before)
	if killed == 0 {
		t.Error("no run was killed")
	}
	if out, err := sealRun(t, dir).CombinedOutput(); err != nil {
		t.Errorf("sealing does not go on: %v\n%s", err, out)
	}
}

// TestSealedTogether: several runs of the real program seal one case at once. All are sealed, one after the other, and each
// that was overtaken says so.
func TestSealedTogether(t *testing.T) {
	dir := t.TempDir()
	const runs = 8
	outs := make([]bytes.Buffer, runs)
	var all []*exec.Cmd
	for i := range runs {
		c := sealRun(t, dir)
		c.Args = append(c.Args, "--json")
		c.Stdout, c.Stderr = &outs[i], os.Stderr
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		all = append(all, c)
	}
	numbers := []int{}
	for i, c := range all {
		if err := c.Wait(); err != nil {
			t.Fatal(err)
		}
		var said struct {
			Number    int
			Meanwhile []string
		}
		if err := json.Unmarshal(outs[i].Bytes(), &said); err != nil {
			t.Fatal(err)
		}
		numbers = append(numbers, said.Number)
	}
	slices.Sort(numbers)
	if want := []int{1, 2, 3, 4, 5, 6, 7, 8}; !slices.Equal(numbers, want) {
		t.Errorf("they say they are %v", numbers)
	}
	if links, unfinished := chainOf(t, dir); links != runs || len(unfinished) > 0 {
		t.Errorf("%d links, %q", links, unfinished)
	}
}

// TestSameSealAnywhere: the same inputs give the same bytes in any time zone, language, folder and number of processors.
func TestSameSealAnywhere(t *testing.T) {
	var first []byte
	for _, env := range [][]string{
		nil,
		{"TZ=Pacific/Kiritimati", "LANG=C", "GOMAXPROCS=1"},
		{"TZ=America/Los_Angeles", "LC_ALL=tr_TR.UTF-8", "GOMAXPROCS=2", "GOGC=1"},
		{"TZ=Asia/Kathmandu", "LC_NUMERIC=de_DE.UTF-8", "COLUMNS=20", "GODEBUG=randautoseed=0"},
	} {
		dir := t.TempDir()
		c := sealRun(t, dir)
		for i, arg := range c.Args {
			if strings.HasPrefix(arg, "../") {
				abs, _ := filepath.Abs(arg)
				copied := filepath.Join(dir, filepath.Base(abs))
				data, _ := os.ReadFile(abs)
				os.WriteFile(copied, data, 0o600)
				c.Args[i] = copied
			}
		}
		c.Env, c.Dir = append(os.Environ(), env...), dir
		if out, err := c.CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		got, err := os.ReadFile(filepath.Join(dir, "tiny-book-0001.json"))
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = got
		}
		if !bytes.Equal(first, got) {
			t.Errorf("with %q other bytes were sealed", env)
		}
	}
}

// TestSealWithoutRoom: on a full disk nothing is sealed, what was there is as it was, and it is told.
func TestSealWithoutRoom(t *testing.T) {
	dir := t.TempDir()
	say(t, exitDone, "seal", tinyBook, "--pack", tinyPack, "--on", "record", "--into", dir)
	path, err := program()
	if err != nil {
		t.Fatal(err)
	}
	// A limit on the size of files stands in for a disk that fills up while the seal is written.
	c := exec.Command("sh", "-c", `ulimit -f 8; trap '' XFSZ; exec "$0" "$@"`, path, "seal", tinyBook, "--pack", tinyPack, "--on", "record", "--into", dir)
	out, err := c.CombinedOutput()
	if code := c.ProcessState.ExitCode(); code != exitFault {
		t.Errorf("exit code %d, %v\n%s", code, err, out)
	}
	if !strings.Contains(string(out), "What was there is as it was. Make room") {
		t.Errorf("it says:\n%s", out)
	}
	if links, unfinished := chainOf(t, dir); links != 1 || len(unfinished) > 0 {
		t.Errorf("%d links, %q", links, unfinished)
	}
}
