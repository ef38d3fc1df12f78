package main

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tideline/engine/dose"
	"tideline/explain/data"
	"tideline/explain/text"
)

func newDose(a *app) *cobra.Command {
	var svg string
	c := &cobra.Command{
		Use:   "dose [NAME [KEY=VALUE]...]",
		Short: "Computes a setting, and shows how",
		Long: `Computes one setting of a treatment. Alone it lists the computations; with a name
it tells what that one needs; with inputs it computes, and shows cautions first,
then the result, the working line by line, what it holds for, and its sources.

A number is given with its unit. Nothing is computed outside the range of an
input: what is refused says why, on whose authority, and what to do (exit code 3).
A value from memory is marked so. A result is not a permission to do the step.`,
		Example: `  tideline dose
  tideline dose limewater
  tideline dose peroxide "stock=3 % w/v" "wanted=1 % w/v" "volume=250 mL"
  tideline dose bath-volume "width=340 mm" "height=260 mm" "grammage=60 g/m²" "ratio=40 mL/g" --json
  tideline dose solvent-region "tests=acetone dissolves; toluene dissolves; water holds" "ink=red" --svg /tmp/red.svg`,
		ValidArgsFunction: completeDose,
		RunE: func(_ *cobra.Command, args []string) error {
			if svg != "" && len(args) < 2 {
				return wrongUse{errors.New("--svg writes the drawing of a result: give a computation and its inputs")}
			}
			if len(args) == 0 {
				return a.show(data.Doses, func() string { return text.Doses(a.style()) })
			}
			c, err := dose.Find(args[0])
			if err != nil {
				return a.refused(err)
			}
			if len(args) == 1 {
				return a.show(func() data.Dosing { return data.Dose(c) }, func() string { return text.Dose(c, a.style()) })
			}
			inputs, err := c.Parse(args[1:])
			if err != nil {
				return a.refused(err)
			}
			r, err := c.Run(inputs)
			if err != nil {
				return a.refused(err)
			}
			if svg != "" {
				if err := a.writeDrawing(&r, svg); err != nil {
					return err
				}
			}
			return a.showResult(r, c.Danger(), "")
		},
	}
	c.Flags().StringVar(&svg, "svg", "", "write the drawing that belongs to the result to `FILE`")
	return c
}

// writeDrawing writes the drawing of a result to a file, in place of printing it.
func (a *app) writeDrawing(r *dose.Result, path string) error {
	at := slices.IndexFunc(r.Pictures, func(p dose.Picture) bool { return p.Type == "image/svg+xml" })
	if at < 0 {
		return wrongUse{fmt.Errorf("--svg: no drawing belongs to %s", r.Name)}
	}
	if info, err := os.Stat(path); path == "-" || err == nil && info.IsDir() {
		return wrongUse{fmt.Errorf("--svg %s: a drawing is not printed; give a file, such as %s.svg", path, r.Name)}
	}
	if err := replaceFile(path, r.Pictures[at].Data); err != nil {
		return err
	}
	fmt.Fprintf(a.stderr, "written to %s\n", path)
	r.Pictures = slices.Delete(r.Pictures, at, at+1)
	return nil
}

// showResult prints a result in the form asked for.
func (a *app) showResult(r dose.Result, danger bool, testLine string) error {
	return a.show(
		func() data.Dosing { return data.Dosed(r, danger, testLine) },
		func() string { return text.Result(r, danger, testLine, a.style()) })
}

func (a *app) show(form func() data.Dosing, page func() string) error {
	if a.json {
		return a.writeJSON(form())
	}
	return a.write(page())
}

// refused tells a refusal as bad input; with --json it is printed in that form as well.
func (a *app) refused(err error) error {
	var r *dose.Refusal
	if !errors.As(err, &r) {
		return internal{err}
	}
	if a.json {
		if err := a.writeJSON(data.DoseRefused(r)); err != nil {
			return err
		}
	}
	return badInput{errors.New(strings.TrimRight(text.Refusal(r, a.style()), "\n"))}
}

// completeDose offers the computations, then the inputs not yet given, then the words of an input.
func completeDose(_ *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
	var found []string
	offer := func(what, says string) {
		if strings.HasPrefix(what, word) {
			found = append(found, cobra.CompletionWithDesc(what, says))
		}
	}
	if len(args) == 0 {
		for _, c := range dose.All() {
			offer(c.Name, c.Says)
		}
		return found, cobra.ShellCompDirectiveNoFileComp
	}
	c, _ := dose.Lookup(args[0])
	key, _, typed := strings.Cut(word, "=")
	for _, p := range c.Params {
		switch {
		case typed && p.Name == key:
			for _, w := range p.Words {
				offer(p.Name+"="+w, "")
			}
		case !typed && !slices.ContainsFunc(args[1:], func(given string) bool { return strings.HasPrefix(given, p.Name+"=") }):
			offer(p.Name+"=", p.Says)
		}
	}
	if typed {
		return found, cobra.ShellCompDirectiveNoFileComp
	}
	return found, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}
