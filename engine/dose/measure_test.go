package dose_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"
	"testing"

	"tideline/engine/dose"
	"tideline/engine/dose/colour"
	"tideline/engine/dose/photo"
)

// swab draws an invented swab picture as 16-bit PNG: a grey card at the left
// and right, white paper, and a spot of the given colour in the middle.
func swab(t *testing.T, white, spot colour.Lab, exposure float64) []byte {
	t.Helper()
	card := colour.Lab{L: 70}
	img := image.NewNRGBA64(image.Rect(0, 0, 200, 60))
	for y := range 60 {
		for x := range 200 {
			c := white
			switch {
			case x < 40 || x >= 160:
				c = card
			case x >= 90 && x < 130 && y >= 10 && y < 50:
				c = spot
			}
			v := c.XYZ(colour.MatrixWhite).RGB()
			e := func(f float64) uint16 {
				return uint16(math.Round(65535 * math.Min(1, math.Max(0, colour.Encode(f*exposure)))))
			}
			img.SetNRGBA64(x, y, color.NRGBA64{R: e(v.R), G: e(v.G * 0.95), B: e(v.B * 0.9), A: 65535})
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func place(x, y, w, h float64) photo.Place { return photo.Place{X: x, Y: y, W: w, H: h} }

func swabShot(name string, data []byte) photo.Shot {
	return photo.Shot{Name: name, Data: data, Patches: []photo.Patch{
		{Place: place(4, 10, 30, 40), Known: colour.Lab{L: 70}}, {Place: place(166, 10, 30, 40), Known: colour.Lab{L: 70}},
	}}
}

// A swab photograph becomes the very grade that readings of its colours get.
func TestSwabPhotographIsGradedLikeReadings(t *testing.T) {
	white := colour.Lab{L: 95, A: 0, B: 1}
	for _, spot := range []colour.Lab{white, {L: 93, A: 2, B: 1}, {L: 90, A: 5, B: 3}, {L: 80, A: 15, B: 4}, {L: 60, A: 40, B: 10}} {
		data := swab(t, white, spot, 0.7)
		r, err := dose.MeasurePicture(dose.PictureRequest{
			Kind: dose.StainingPicture, Reference: swabShot("swab", data), Clean: place(50, 15, 30, 30), Place: place(95, 15, 30, 30), Map: true,
		})
		if err != nil {
			t.Fatal(err)
		}
		_, rating := colour.Staining(white, spot)
		if got := get(t, r, "rating"); math.Abs(got-rating) > 0.02 {
			t.Errorf("spot %v: rating %.3f, by readings %.3f", spot, got, rating)
		}
		if got, want := get(t, r, "grade"), float64(colour.ToHalfStep(rating)); got != want {
			t.Errorf("spot %v: grade %v, by readings %v", spot, got, want)
		}
		if lo, hi := get(t, r, "grade_worst"), get(t, r, "grade_best"); lo > get(t, r, "grade") || hi < get(t, r, "grade") {
			t.Errorf("grade %v not within %v to %v", get(t, r, "grade"), lo, hi)
		}
		sum := sha256.Sum256(data)
		if got := word(t, r, "reference_sha256"); got != hex.EncodeToString(sum[:]) {
			t.Errorf("the hash is not that of the file: %s", got)
		}
		if len(r.Pictures) != 1 {
			t.Error("no false-colour picture")
		}
	}
}

func TestBeforeAndAfterPictures(t *testing.T) {
	paper, stained := colour.Lab{L: 86, A: 2, B: 14}, colour.Lab{L: 74, A: 6, B: 24}
	less := colour.Lab{L: 83, A: 3, B: 16}
	req := dose.PictureRequest{
		Kind: dose.ChangePicture, Reference: swabShot("before", swab(t, paper, stained, 0.6)), Sample: swabShot("after", swab(t, paper, less, 0.8)),
		Clean: place(95, 15, 30, 30), Place: place(95, 15, 30, 30), Map: true,
		Line: &dose.TidelinePlaces{Line: place(95, 15, 30, 30), Inner: place(50, 15, 30, 30), Outer: place(135, 15, 20, 30)},
	}
	r, err := dose.MeasurePicture(req)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := get(t, r, "de2000"), colour.DE2000(stained, less); math.Abs(got-want) > 0.02 {
		t.Errorf("ΔE00 %.3f, the scenes have %.3f", got, want)
	}
	if got, want := get(t, r, "tideline_before"), colour.DE2000(stained, paper); math.Abs(got-want) > 0.05 {
		t.Errorf("contrast before %.3f, the scene has %.3f", got, want)
	}
	left := 100 * colour.DE2000(less, paper) / colour.DE2000(stained, paper)
	if got := get(t, r, "tideline_left"); math.Abs(got-left) > 1 {
		t.Errorf("%.1f %% of the contrast left, the scenes have %.1f", got, left)
	}
	if word(t, r, "reference_sha256") == word(t, r, "sample_sha256") {
		t.Error("two pictures, one hash")
	}
	again, err := dose.MeasurePicture(req)
	if err != nil || !bytes.Equal(r.Pictures[0].Data, again.Pictures[0].Data) {
		t.Error("measuring differs from one run to the next")
	}
}

func TestUnmeasurablePicturesAreRefusals(t *testing.T) {
	white := colour.Lab{L: 95}
	good := dose.PictureRequest{Kind: dose.StainingPicture, Reference: swabShot("swab", swab(t, white, white, 0.7)), Clean: place(50, 15, 30, 30), Place: place(95, 15, 30, 30)}
	for name, edit := range map[string]func(*dose.PictureRequest){
		"kind":            func(r *dose.PictureRequest) { r.Kind = "beauty" },
		"burnt out":       func(r *dose.PictureRequest) { r.Reference = swabShot("swab", swab(t, white, white, 1.6)) },
		"grey reference":  func(r *dose.PictureRequest) { r.Clean = place(4, 10, 30, 40) },
		"no picture":      func(r *dose.PictureRequest) { r.Reference.Data = []byte("x") },
		"bad second":      func(r *dose.PictureRequest) { r.Sample = photo.Shot{Name: "after", Data: []byte("x")} },
		"place off":       func(r *dose.PictureRequest) { r.Place = place(190, 50, 30, 30) },
		"line off":        func(r *dose.PictureRequest) { r.Line = &dose.TidelinePlaces{} },
		"without a patch": func(r *dose.PictureRequest) { r.Reference.Patches = nil },
	} {
		req := good
		edit(&req)
		_, err := dose.MeasurePicture(req)
		var r *dose.Refusal
		if !errors.As(err, &r) || r.Help == "" || r.Why == "" || !strings.HasPrefix(r.Error(), "measure") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := dose.MeasurePicture(good); err != nil {
		t.Fatal(err)
	}
}
