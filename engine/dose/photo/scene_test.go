package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand"
	"testing"

	"tideline/engine/dose/colour"
)

// A scene is a flat test picture: a grey card, a clean white and a stain.
type scene struct {
	w, h          int
	light         func(x, y int) colour.RGB // what falls on it
	noise         float64
	linear        bool
	seed          int64
	clean, stain  colour.Lab
	secondPatchAt int // x of a second patch, 0 for none
}

var card = colour.Lab{L: 70}

func even(r, g, b float64) func(int, int) colour.RGB {
	return func(int, int) colour.RGB { return colour.RGB{R: r, G: g, B: b} }
}

// at is the colour of the scene at a pixel: patch 10..50, clean 70..110, stain
// 130..170, all from y 10 to 50; middle grey elsewhere.
func (s scene) at(x, y int) colour.Lab {
	if y >= 10 && y < 50 {
		switch {
		case x >= 10 && x < 50, s.secondPatchAt > 0 && x >= s.secondPatchAt && x < s.secondPatchAt+40:
			return card
		case x >= 70 && x < 110:
			return s.clean
		case x >= 130 && x < 170:
			return s.stain
		}
	}
	return colour.Lab{L: 60}
}

func newScene() scene {
	return scene{w: 240, h: 60, light: even(0.8, 0.8, 0.8), clean: colour.Lab{L: 94, A: 0, B: 1}, stain: colour.Lab{L: 84, A: 6, B: 9}}
}

func (s scene) image() image.Image {
	img := image.NewNRGBA64(image.Rect(0, 0, s.w, s.h))
	rng := rand.New(rand.NewSource(s.seed))
	for y := range s.h {
		for x := range s.w {
			c := s.at(x, y).XYZ(colour.MatrixWhite).RGB()
			l := s.light(x, y)
			v := [3]float64{c.R * l.R, c.G * l.G, c.B * l.B}
			var out [3]uint16
			for i := range v {
				e := v[i]
				if !s.linear {
					e = colour.Encode(v[i])
				}
				e += s.noise * rng.NormFloat64()
				out[i] = uint16(math.Round(65535 * math.Max(0, math.Min(1, e))))
			}
			img.SetNRGBA64(x, y, color.NRGBA64{R: out[0], G: out[1], B: out[2], A: 65535})
		}
	}
	return img
}

// eight rounds to 8 bits, as cameras save.
func eight(src image.Image) *image.NRGBA {
	b := src.Bounds()
	out := image.NewNRGBA(b)
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			r, g, bl, _ := src.At(x, y).RGBA()
			f := func(v uint32) uint8 { return uint8((v*255 + 32767) / 65535) }
			out.SetNRGBA(x, y, color.NRGBA{f(r), f(g), f(bl), 255})
		}
	}
	return out
}

func toPNG(t testing.TB, img image.Image) []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func toJPEG(t testing.TB, img image.Image) []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 98}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func px(x, y, w, h float64) Place { return Place{X: x, Y: y, W: w, H: h} }

var (
	patchPlace = px(14, 14, 32, 32)
	cleanPlace = px(74, 14, 32, 32)
	stainPlace = px(134, 14, 32, 32)
)

func shot(data []byte) Shot {
	return Shot{Name: "picture", Data: data, Patches: []Patch{{patchPlace, card}}}
}

func measure(t *testing.T, s Shot) (Comparison, error) {
	t.Helper()
	c, err := s.Open()
	if err != nil {
		return Comparison{}, err
	}
	return Compare(c, cleanPlace, c, stainPlace)
}
