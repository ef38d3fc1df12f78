package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tideline/engine/dose"
	"tideline/engine/dose/photo"
	"tideline/explain/text"
	"tideline/rules/vocab"
)

// measure holds the flags of `tideline measure`, as typed.
type measure struct {
	kind                              string
	references, beforeReferences      []string
	clean, sample, line, inner, outer string
	before, out                       string
	scale, beforeScale                float64
	linear                            bool
	test, on, date                    string
}

func newMeasure(a *app) *cobra.Command {
	m := &measure{}
	c := &cobra.Command{
		Use:   "measure PICTURE --reference L,a,b@x,y,w,h --sample x,y,w,h",
		Short: "Grades colour from a photograph with a reference patch",
		Long: `Measures colour in a PNG or JPEG that shows a patch of known colour:

  staining  colour that came off onto white: --sample against the --clean white
  change    with --before: --sample against the same place before

It gives the grade, the difference with its uncertainty, with --line, --inner and
--outer the contrast of a tideline against its two sides, and the SHA-256 of each
picture. With --test and --on it adds a line for the record's list of tests, with
the lowest grade within the uncertainty.

A place is x,y,width,height from the top left of the upright picture: in pixels,
or with --scale in mm, as "10,5,4,4 mm". A patch is its L*, a*, b*, then @ and its
place. A picture that is clipped, uneven or without colour is refused, and why
(exit code 3). What --json prints, 'tideline schema dose' describes.`,
		Example: `  tideline measure testdata/pictures/swab.png --reference 70,0,0@4,10,30,40 --reference 70,0,0@166,10,30,40 --clean 50,15,30,30 --sample 95,15,30,30 --test ink.wet --on cover/outside/red
  tideline measure testdata/pictures/after.png --before testdata/pictures/before.png --reference 70,0,0@4,10,30,40 --sample 95,15,30,30 --line 95,15,30,30 --inner 50,15,30,30 --outer 135,15,20,30
  tideline measure testdata/pictures/swab.png --reference 70,0,0@4,10,30,40 --clean 50,15,30,30 --sample 95,15,30,30 --out /tmp/difference.png --json`,
		Args: takes(1, 1),
		ValidArgsFunction: func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			if len(args) > 0 {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			return pictureKinds, cobra.ShellCompDirectiveFilterFileExt
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.measure(m, args[0]) },
	}
	f := c.Flags()
	f.StringArrayVar(&m.references, "reference", nil, "patch of known colour, `L,a,b@x,y,w,h` (repeatable: lay patches on two sides)")
	f.StringVar(&m.sample, "sample", "", "`PLACE` to grade")
	f.StringVar(&m.clean, "clean", "", "clean white `PLACE` to grade against; with --before, the place there (default: that of --sample)")
	f.StringVar(&m.before, "before", "", "`PICTURE` from before")
	f.StringArrayVar(&m.beforeReferences, "before-reference", nil, "patch in the picture from before, `L,a,b@x,y,w,h` (default: as --reference)")
	f.Float64Var(&m.scale, "scale", 0, "pixels in a mm, `N`, for places in mm")
	f.Float64Var(&m.beforeScale, "before-scale", 0, "pixels in a mm of the picture from before, `N` (default: as --scale)")
	f.StringVar(&m.kind, "kind", "", "`staining|change` (default: change with --before, staining without)")
	f.BoolVar(&m.linear, "linear", false, "the pictures hold linear light, not sRGB")
	f.StringVar(&m.line, "line", "", "`PLACE` along a tideline")
	f.StringVar(&m.inner, "inner", "", "`PLACE` on its inner side")
	f.StringVar(&m.outer, "outer", "", "`PLACE` on its outer side")
	f.StringVar(&m.out, "out", "", "write the false-colour difference picture to `FILE`, a PNG")
	f.StringVar(&m.test, "test", "", "the `QUESTION` that the grade answers, for the record's list of tests")
	f.StringVar(&m.on, "on", "", "the `PATH` of the thing tested")
	f.StringVar(&m.date, "date", "", "the `DATE` of the test (default today)")
	must(c.RegisterFlagCompletionFunc("kind", cobra.FixedCompletions([]string{string(dose.StainingPicture), string(dose.ChangePicture)}, cobra.ShellCompDirectiveNoFileComp)))
	must(c.RegisterFlagCompletionFunc("test", a.completeGraded))
	must(c.RegisterFlagCompletionFunc("before", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return pictureKinds, cobra.ShellCompDirectiveFilterFileExt
	}))
	return c
}

// pictureKinds are the endings of files that pictures have.
var pictureKinds = []string{"png", "jpg", "jpeg"}

func (a *app) measure(m *measure, picture string) error {
	req, err := m.request()
	if err != nil {
		return err
	}
	if err := a.checkTest(m); err != nil {
		return err
	}
	if err := m.checkOut(picture); err != nil {
		return err
	}
	if err := m.read(&req, picture); err != nil {
		return err
	}
	r, err := dose.MeasurePicture(req)
	if err != nil {
		return a.refused(err)
	}
	line := ""
	if m.test != "" {
		if line, err = text.TestLine(r, m.test, m.on, m.date); err != nil {
			return internal{err}
		}
	}
	if m.out != "" {
		if len(r.Pictures) == 0 {
			return internal{errors.New("no difference picture was drawn")}
		}
		if err := replaceFile(m.out, r.Pictures[0].Data); err != nil {
			return err
		}
		fmt.Fprintf(a.stderr, "written to %s\n", m.out)
		r.Pictures = nil
	}
	return a.showResult(r, false, line)
}

// request reads the flags; the pictures themselves are not read yet.
func (m *measure) request() (dose.PictureRequest, error) {
	req := dose.PictureRequest{Kind: dose.StainingPicture, Map: m.out != ""}
	if m.before != "" {
		req.Kind = dose.ChangePicture
	}
	switch kinds := []string{string(dose.StainingPicture), string(dose.ChangePicture)}; m.kind {
	case "":
	case kinds[0], kinds[1]:
		req.Kind = dose.PictureKind(m.kind)
	default:
		return req, wrongUse{fmt.Errorf("--kind %q is none of %s%s", m.kind, strings.Join(kinds, ", "), didYouMean(m.kind, kinds))}
	}
	if m.clean == "" && m.before != "" {
		m.clean = m.sample
	}
	switch {
	case len(m.references) == 0:
		return req, wrongUse{errors.New("--reference is missing: give the patch of known colour in the picture, such as --reference 70,0,0@4,10,30,40")}
	case m.sample == "":
		return req, wrongUse{errors.New("--sample is missing: give the place to grade, such as --sample 95,15,30,30")}
	case m.clean == "":
		return req, wrongUse{errors.New("--clean is missing: give a clean white place of the swab or blotter to grade against, or a picture from --before")}
	case m.before == "" && (len(m.beforeReferences) > 0 || m.beforeScale != 0):
		return req, wrongUse{errors.New("--before-reference and --before-scale go with a picture given as --before")}
	}
	if err := m.places(&req); err != nil {
		return req, err
	}
	return req, m.shots(&req)
}

// places reads the places to measure.
func (m *measure) places(req *dose.PictureRequest) error {
	lines := 0
	var line dose.TidelinePlaces
	for _, p := range []struct {
		flag, typed string
		to          *photo.Place
	}{
		{"sample", m.sample, &req.Place},
		{"clean", m.clean, &req.Clean},
		{"line", m.line, &line.Line},
		{"inner", m.inner, &line.Inner},
		{"outer", m.outer, &line.Outer},
	} {
		if p.typed == "" {
			continue
		}
		var err error
		if *p.to, err = photo.TypedPlace(p.typed); err != nil {
			return wrongUse{fmt.Errorf("--%s: %w", p.flag, err)}
		}
		if p.to != &req.Place && p.to != &req.Clean {
			lines++
		}
	}
	switch lines {
	case 0:
	case 3:
		req.Line = &line
	default:
		return wrongUse{errors.New("--line, --inner and --outer go together: give all three places")}
	}
	return nil
}

// shots reads how each picture is to be read. The picture to grade is the reference itself, unless there is one from before.
func (m *measure) shots(req *dose.PictureRequest) error {
	after, err := m.shot("reference", m.references, "scale", m.scale)
	if err != nil {
		return err
	}
	req.Reference = after
	if m.before == "" {
		return nil
	}
	req.Sample = after
	patches, scale := m.beforeReferences, m.beforeScale
	if len(patches) == 0 {
		patches = m.references
	}
	if scale == 0 {
		scale = m.scale
	}
	req.Reference, err = m.shot("before-reference", patches, "before-scale", scale)
	return err
}

func (m *measure) shot(patchFlag string, patches []string, scaleFlag string, scale float64) (photo.Shot, error) {
	s := photo.Shot{PerMM: scale}
	if m.linear {
		s.Encoding = photo.LinearLight
	}
	if scale < 0 || math.IsNaN(scale) || scale > 1e4 {
		return s, wrongUse{fmt.Errorf("--%s %v: give how many pixels a mm has, measured on a ruler in the picture", scaleFlag, scale)}
	}
	for _, typed := range patches {
		p, err := photo.ParsePatch(typed)
		if err != nil {
			return s, wrongUse{fmt.Errorf("--%s: %w", patchFlag, err)}
		}
		s.Patches = append(s.Patches, p)
	}
	return s, nil
}

// checkTest checks what the line for the record needs.
func (a *app) checkTest(m *measure) error {
	if m.test == "" && m.on == "" {
		if m.date != "" {
			return wrongUse{errors.New("--date goes with --test and --on")}
		}
		return nil
	}
	if m.test == "" || m.on == "" {
		return wrongUse{errors.New("--test and --on go together: the question that the grade answers, and the path of the thing tested")}
	}
	if m.date == "" {
		m.date = time.Now().Format(time.DateOnly)
	}
	if _, err := time.Parse(time.DateOnly, m.date); err != nil {
		return wrongUse{fmt.Errorf("--date %q is not a date: write 2026-10-12", m.date)}
	}
	graded, err := a.graded()
	if err != nil {
		return err
	}
	var ids []string
	for _, q := range graded {
		if q.ID == m.test {
			return nil
		}
		ids = append(ids, q.ID)
	}
	return wrongUse{fmt.Errorf("--test %q is no question answered by a grade; they are %s%s", m.test, strings.Join(ids, ", "), didYouMean(m.test, ids))}
}

// graded lists the questions of the packs that a grade answers.
func (a *app) graded() ([]*vocab.Question, error) {
	p, err := a.loadPack()
	if err != nil {
		return nil, err
	}
	var list []*vocab.Question
	for _, id := range p.Vocabulary.IDs() {
		if q := p.Vocabulary.Question(id); q.Type == vocab.Grade && !q.Measured {
			list = append(list, q)
		}
	}
	return list, nil
}

func (a *app) completeGraded(_ *cobra.Command, _ []string, word string) ([]string, cobra.ShellCompDirective) {
	list, err := a.graded()
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	var found []string
	for _, q := range list {
		if strings.HasPrefix(q.ID, word) {
			found = append(found, cobra.CompletionWithDesc(q.ID, q.Asks))
		}
	}
	return found, cobra.ShellCompDirectiveNoFileComp
}

// checkOut keeps the difference picture from taking the place of a picture it is made from.
func (m *measure) checkOut(picture string) error {
	if m.out == "" {
		return nil
	}
	if m.out == "-" {
		return wrongUse{errors.New("--out: a picture is not printed; give a file, such as difference.png")}
	}
	there, err := os.Stat(m.out)
	if err != nil {
		return nil // a new file, or one that replaceFile tells of
	}
	if there.IsDir() {
		return badInput{fmt.Errorf("%s is a folder. Give --out a file, for example %s.", m.out, filepath.Join(m.out, "difference.png"))}
	}
	for _, name := range []string{picture, m.before} {
		if info, err := os.Stat(name); err == nil && os.SameFile(info, there) {
			return wrongUse{fmt.Errorf("--out %s would replace the picture that is measured; give another file", m.out)}
		}
	}
	return nil
}

// read puts the pictures into the request.
func (m *measure) read(req *dose.PictureRequest, picture string) error {
	graded := &req.Reference
	if m.before != "" {
		if err := readPicture(&req.Reference, m.before); err != nil {
			return err
		}
		graded = &req.Sample
	}
	return readPicture(graded, picture)
}

// readPicture reads a file whole, but no more of it than a picture may have.
func readPicture(s *photo.Shot, path string) error {
	s.Name = path
	f, err := os.Open(path)
	if err == nil {
		defer f.Close()
		s.Data, err = io.ReadAll(io.LimitReader(f, photo.MostBytes+1))
	}
	if err != nil {
		return badInput{fmt.Errorf("%s cannot be read: %w. Give a PNG or JPEG.", path, plainCause(err))}
	}
	if s.Data == nil {
		s.Data = []byte{} // an empty file is no missing one
	}
	return nil
}
