package main

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/cobra"

	"tideline/engine/dose"
	"tideline/engine/dose/colour"
	"tideline/explain/data"
	"tideline/explain/text"
)

// TestDoseJSON holds every form that dose prints against its schema: the list, each computation, each example's result
// and refusals.
func TestDoseJSON(t *testing.T) {
	schema := strictly(t, say(t, exitDone, "schema", "dose"))
	validate(t, schema, say(t, exitDone, "dose", "--json"))
	for _, c := range dose.All() {
		validate(t, schema, encode(t, data.Dose(c)))
		validate(t, schema, say(t, exitDone, append([]string{"dose", c.Name, "--json"}, c.Example()...)...))
	}
	validate(t, schema, say(t, exitDone, "dose", "uv-limit", "uva=8 W/m²", "--json")) // a time without limit
	for _, wrong := range [][]string{{"peroxyde"}, {"limewater", "ph=13", "volume=1 L"}, {"dilute", "stock=3 vols"}, {"salt-chamber", "x"}} {
		validate(t, schema, say(t, exitInput, append([]string{"dose", "--json"}, wrong...)...))
	}
	validate(t, schema, say(t, exitDone, "measure", "../../testdata/pictures/swab.png", "--reference", "70,0,0@4,10,30,40", "--clean", "50,15,30,30",
		"--sample", "95,15,30,30", "--test", "ink.wet", "--on", "cover/outside/red", "--date", "2026-10-13", "--json"))
}

// TestDosePages prints every computation and its example at several widths: nothing but what is to be copied runs over, and
// what is from memory says so.
func TestDosePages(t *testing.T) {
	for _, c := range dose.All() {
		a, err := c.Parse(c.Example())
		if err != nil {
			t.Fatal(err)
		}
		r, err := c.Run(a)
		if err != nil {
			t.Fatal(err)
		}
		for _, width := range []int{20, 80, 110} {
			style := text.Style{Width: width}
			for line := range strings.Lines(text.Result(r, c.Danger(), "", style) + text.Dose(c, style)) {
				if len([]rune(line)) > width+1 && !strings.HasPrefix(line, "  tideline dose ") {
					t.Errorf("%s at %d: %q", c.Name, width, line)
				}
			}
		}
		whole := text.Result(r, c.Danger(), "", text.Style{Width: 110})
		for _, v := range r.Values {
			if v.Class == dose.Memory && !strings.Contains(whole, "from memory") {
				t.Errorf("%s: %s is from memory, and the page doesn't say so", c.Name, v.Name)
			}
		}
		if len(r.Cautions) > 0 && strings.Index(whole, "Read first") > strings.Index(whole, "Result\n") {
			t.Errorf("%s: cautions come after the figures", c.Name)
		}
	}
}

func TestDoseCompletion(t *testing.T) {
	for _, tt := range []struct {
		args       []string
		want, lack string
	}{
		{[]string{"dose", "lime"}, "limewater\t", "peroxide"},
		{[]string{"dose", "buffer", "acid=citric", ""}, "ph=\t", "acid="},
		{[]string{"dose", "buffer", "acid=ci"}, "acid=citric", "acid=acetic"},
		{[]string{"dose", "nothing", ""}, ":", "="},
		{[]string{"measure", ""}, "png", "yaml"},
		{[]string{"measure", "x.png", "--kind", ""}, "staining", "png"},
		{[]string{"measure", "x.png", "--test", "ink.w"}, "ink.wet\t", "yaml"},
	} {
		got := say(t, exitDone, append([]string{cobra.ShellCompRequestCmd}, tt.args...)...)
		if !strings.Contains(got, tt.want) || strings.Contains(got, tt.lack) {
			t.Errorf("completing %q: want %q and no %q in\n%s", tt.args, tt.want, tt.lack, got)
		}
	}
}

// scene draws an invented picture: a grey card of L* 70 at either end, white between, and a spot in the middle, under light
// that is a little yellow.
func scene(white, spot colour.Lab, exposure float64) *image.NRGBA {
	img := image.NewNRGBA(image.Rect(0, 0, 200, 60))
	for y := range 60 {
		for x := range 200 {
			c := white
			switch {
			case x < 40 || x >= 160:
				c = colour.Lab{L: 70}
			case x >= 90 && x < 130 && y >= 10 && y < 50:
				c = spot
			}
			v := c.XYZ(colour.MatrixWhite).RGB()
			grain := float64((7*x+13*y+x*y)%5-2) / 255 // as a sensor has
			e := func(f float64) uint8 {
				return uint8(math.Round(255 * math.Min(1, math.Max(0, colour.Encode(f*exposure)+grain))))
			}
			img.SetNRGBA(x, y, color.NRGBA{R: e(v.R), G: e(v.G * 0.95), B: e(v.B * 0.9), A: 255})
		}
	}
	return img
}

// TestPictures holds testdata/pictures against what draws them; -update draws them anew.
func TestPictures(t *testing.T) {
	paper := colour.Lab{L: 86, A: 2, B: 14}
	for name, img := range map[string]*image.NRGBA{
		"swab.png":   scene(colour.Lab{L: 95, B: 1}, colour.Lab{L: 90, A: 5, B: 3}, 0.7),
		"before.png": scene(paper, colour.Lab{L: 74, A: 6, B: 24}, 0.6),
		"after.png":  scene(paper, colour.Lab{L: 83, A: 3, B: 16}, 0.8),
		"burnt.png":  scene(colour.Lab{L: 95, B: 1}, colour.Lab{L: 90, A: 5, B: 3}, 1.6),
	} {
		path := filepath.Join("../../testdata/pictures", name)
		if mayUpdate(t) {
			var b bytes.Buffer
			if err := png.Encode(&b, img); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		file, err := os.ReadFile(path)
		if err != nil {
			t.Fatalf("%v; `go test ./cmd/tideline -run TestPictures -update` draws it", err)
		}
		got, err := png.Decode(bytes.NewReader(file))
		if err != nil {
			t.Fatal(err)
		}
		if got.Bounds() != img.Bounds() {
			t.Fatalf("%s is %v, drawn is %v", name, got.Bounds(), img.Bounds())
		}
		for y := range 60 {
			for x := range 200 {
				if g := color.NRGBAModel.Convert(got.At(x, y)); g != img.NRGBAAt(x, y) {
					t.Fatalf("%s at %d, %d: %v, drawn is %v", name, x, y, g, img.NRGBAAt(x, y))
				}
			}
		}
	}
}
