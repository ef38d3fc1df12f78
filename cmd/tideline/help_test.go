package main

import (
	"bytes"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/spf13/cobra"
)

// commands gives the program's commands, all levels.
func commands() []*cobra.Command {
	var all []*cobra.Command
	var walk func(*cobra.Command)
	walk = func(c *cobra.Command) {
		all = append(all, c)
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk(newRoot(&app{}))
	return all
}

// TestHelp checks that every command has an example, lines that fit 80 columns, and that help runs.
func TestHelp(t *testing.T) {
	for _, c := range commands() {
		if strings.TrimSpace(c.Example) == "" {
			t.Errorf("%s --help has no example", c.CommandPath())
		}
		if strings.Contains(c.CommandPath(), "completion ") {
			continue // the wording is not ours
		}
		for line := range strings.Lines(c.Long + "\n" + c.Example) {
			if strings.HasPrefix(line, "  tideline ") {
				continue // a command is not broken
			}
			if len(strings.TrimRight(line, "\n")) > 82 {
				t.Errorf("%s --help: %d columns: %s", c.CommandPath(), len(line), line)
			}
		}
	}
}

// TestExamplesRun runs every line of every example from the top folder of the repository.
func TestExamplesRun(t *testing.T) {
	ran := map[string]bool{}
	for _, c := range commands() {
		for line := range strings.Lines(c.Example) {
			line = strings.TrimSpace(line)
			if line == "" || ran[line] {
				continue
			}
			ran[line] = true
			cmd := exec.Command("sh", "-c", line)
			cmd.Dir = "../.."
			cmd.Env = append(os.Environ(), "LANG=C.UTF-8")
			var out bytes.Buffer
			cmd.Stdout, cmd.Stderr = &out, &out
			if err := cmd.Run(); err != nil {
				t.Errorf("%s --help: %s: %v\n%s", c.CommandPath(), line, err, out.String())
			}
			if out.Len() == 0 {
				t.Errorf("%s --help: %s printed nothing", c.CommandPath(), line)
			}
		}
	}
	if len(ran) == 0 {
		t.Fatal("no example was run")
	}
}

// TestCompletion completes book files, treatments and targets.
func TestCompletion(t *testing.T) {
	const book = "../../testdata/books/lantern-street-4.yaml"
	for _, tt := range []struct {
		args []string
		want string
	}{
		{[]string{"decide", ""}, "yaml"},
		{[]string{"why", book, "blot"}, "blotter-wash\tblotter wash"},
		{[]string{"why", book, "mend-paste", "cover/"}, "cover/outside/tear-1"},
		{[]string{"why", book, "mend-paste", "--rather-than", "cold"}, "cold-press"},
		{[]string{"decide", book, "--fail-on", ""}, "ruled out"},
		{[]string{"whynot", book, "--to", ""}, "clear"},
		{[]string{"schema", "d"}, "decide"},
		{[]string{"tests", ""}, "out\t"},
		{[]string{"export", book, "--as", ""}, "linked-art"},
		{[]string{"tests", "in", book, ""}, "csv"},
		{[]string{"seal", ""}, "yaml"},
		{[]string{"audit", ""}, "json"},
		{[]string{"audit", "x", "--fail-on", ""}, "unsound"},
	} {
		got := say(t, exitDone, append([]string{cobra.ShellCompRequestCmd}, tt.args...)...)
		if !strings.Contains(got, tt.want) {
			t.Errorf("completing %q: no %q in\n%s", tt.args, tt.want, got)
		}
	}
}
